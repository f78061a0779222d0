use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::phrase::faults::values;
use crate::tooth::Tooth;

/// A side of a prep. Stored under these names; shown as buccal, labial, palatal or lingual by the tooth.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum Side {
    /// Towards the midline along the arch.
    Mesial,
    /// Away from the midline along the arch.
    Distal,
    /// Towards cheek or lip.
    Facial,
    /// Towards tongue or palate.
    Lingual,
}

impl Side {
    /// All four, in the order a technician turns the die.
    pub const ALL: [Side; 4] = [Side::Mesial, Side::Distal, Side::Facial, Side::Lingual];

    /// Returns the side across the prep.
    pub fn opposite(self) -> Side {
        match self {
            Side::Mesial => Side::Distal,
            Side::Distal => Side::Mesial,
            Side::Facial => Side::Lingual,
            Side::Lingual => Side::Facial,
        }
    }

    /// Returns the name in files.
    pub fn as_str(self) -> &'static str {
        match self {
            Side::Mesial => "mesial",
            Side::Distal => "distal",
            Side::Facial => "facial",
            Side::Lingual => "lingual",
        }
    }
}

/// Where a fact stands.
///
/// The order is the order of the inspection: the case, then its restorations, their units, walls, connectors.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Place {
    /// The case as a whole.
    Case,
    /// A restoration, `R1` being the first.
    Restoration(u8),
    /// A unit, by its tooth.
    Unit(Tooth),
    /// A wall of a prep.
    Wall(Tooth, Side),
    /// A connector between two neighbouring units; [`Place::connector`] orders the pair.
    Connector(Tooth, Tooth),
}

impl Place {
    /// Returns the connector between two units, whichever is named first.
    ///
    /// The pair is kept as the bench writes it: the mesial tooth first, the patient's right first across the midline.
    ///
    /// Units run from the midline outwards on the right and along the arch elsewhere, so that a case reads as on the
    /// ticket.
    pub fn connector(a: Tooth, b: Tooth) -> Place {
        let ordered = if a.quadrant() == b.quadrant() {
            a.position() <= b.position()
        } else {
            a.along() <= b.along()
        };
        if ordered {
            Place::Connector(a, b)
        } else {
            Place::Connector(b, a)
        }
    }
}

/// A kind of place. Abutments and pontics are units.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub enum PlaceKind {
    /// The case as a whole.
    Case,
    /// A restoration.
    Restoration,
    /// Any unit.
    Unit,
    /// A unit that stands on a prepared tooth.
    Abutment,
    /// A unit that hangs between or beside abutments.
    Pontic,
    /// A wall of an abutment.
    Wall,
    /// A connector.
    Connector,
}

impl PlaceKind {
    /// Returns whether a place is written like this kind. Roles of units need the case to tell.
    pub fn fits(self, place: Place) -> bool {
        matches!(
            (self, place),
            (PlaceKind::Case, Place::Case)
                | (PlaceKind::Restoration, Place::Restoration(_))
                | (
                    PlaceKind::Unit | PlaceKind::Abutment | PlaceKind::Pontic,
                    Place::Unit(_)
                )
                | (PlaceKind::Wall, Place::Wall(..))
                | (PlaceKind::Connector, Place::Connector(..))
        )
    }

    /// Returns how a place of this kind is written, for messages.
    pub fn example(self) -> &'static str {
        values::written(self)
    }
}

/// A text that is not a place.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct PlaceError(String);

impl PlaceError {
    /// Returns the text, cut to 40 characters.
    pub fn text(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for PlaceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}; {}", values::not_a_place(&self.0), values::PLACES)
    }
}

impl std::error::Error for PlaceError {}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Case => f.write_str("case"),
            Place::Restoration(number) => write!(f, "R{number}"),
            Place::Unit(tooth) => write!(f, "{tooth}"),
            Place::Wall(tooth, side) => write!(f, "{tooth}/{}", side.as_str()),
            Place::Connector(a, b) => write!(f, "{a}-{b}"),
        }
    }
}

impl FromStr for Place {
    type Err = PlaceError;

    fn from_str(text: &str) -> Result<Place, PlaceError> {
        let wrong = || PlaceError(text.chars().take(40).collect());
        if text == "case" {
            return Ok(Place::Case);
        }
        if let Some(number) = text.strip_prefix('R') {
            return match number.parse::<u8>() {
                Ok(number) if number > 0 && !text.contains('+') => Ok(Place::Restoration(number)),
                _ => Err(wrong()),
            };
        }
        let tooth = |text: &str| text.parse::<Tooth>().map_err(|_| wrong());
        if let Some((unit, side)) = text.split_once('/') {
            let side = Side::ALL
                .into_iter()
                .find(|s| s.as_str() == side)
                .ok_or_else(wrong)?;
            return Ok(Place::Wall(tooth(unit)?, side));
        }
        if let Some((a, b)) = text.split_once('-') {
            return Ok(Place::connector(tooth(a)?, tooth(b)?));
        }
        tooth(text).map(Place::Unit)
    }
}

impl Serialize for Place {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Place {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}
