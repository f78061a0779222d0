use std::fmt;

use serde::{Deserialize, Serialize};

use crate::fact::{Place, PlaceKind, Side};
use crate::phrase::faults::case as faults;
use crate::tooth::Tooth;

/// What a unit stands on.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub enum Role {
    /// On a prepared tooth.
    Abutment,
    /// On nothing: it replaces a tooth.
    Pontic,
}

/// One unit of a restoration.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Serialize, Deserialize)]
pub struct CaseUnit {
    /// Its tooth.
    pub tooth: Tooth,
    /// Its role.
    pub role: Role,
}

/// What the order calls a restoration. What it is judged as is computed from its units.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub enum OrderedKind {
    /// A single crown.
    #[default]
    Crown,
    /// A bridge.
    Bridge,
    /// Crowns joined together.
    Splinted,
    /// A bridge with a pontic held from one side.
    Cantilever,
}

impl OrderedKind {
    /// Returns the name in files.
    pub fn as_str(self) -> &'static str {
        match self {
            OrderedKind::Crown => "Crown",
            OrderedKind::Bridge => "Bridge",
            OrderedKind::Splinted => "Splinted",
            OrderedKind::Cantilever => "Cantilever",
        }
    }
}

/// A restoration: units that are one piece.
#[derive(Clone, PartialEq, Eq, Hash, Debug, Default, Serialize, Deserialize)]
pub struct Restoration {
    /// Its number, 1 for `R1`.
    pub id: u8,
    /// What the order calls it.
    pub ordered: OrderedKind,
    /// Its units as they stand side by side: from the patient's right to the left,
    /// but from the midline outwards where all of them stand on the right.
    pub units: Vec<CaseUnit>,
}

impl Restoration {
    /// Returns the place of its unit where it has one alone, or `None`.
    pub fn only_unit(&self) -> Option<Place> {
        match self.units.as_slice() {
            [only] => Some(Place::Unit(only.tooth)),
            _ => None,
        }
    }

    /// Returns the neighbouring pairs of units, each with the place of its connector.
    pub fn connectors(&self) -> impl Iterator<Item = (Place, CaseUnit, CaseUnit)> + '_ {
        self.units.windows(2).filter_map(|pair| match pair {
            [a, b] => Some((Place::connector(a.tooth, b.tooth), *a, *b)),
            _ => None,
        })
    }

    /// Returns the places of its units and then of its connectors, or nothing where it has one unit alone.
    pub fn parts(&self) -> Vec<Place> {
        if self.units.len() < 2 {
            return Vec::new();
        }
        let units = self.units.iter().map(|unit| Place::Unit(unit.tooth));
        units
            .chain(self.connectors().map(|(place, ..)| place))
            .collect()
    }

    /// Returns the teeth of one role, side by side.
    pub fn teeth(&self, role: Role) -> impl Iterator<Item = Tooth> + '_ {
        self.units
            .iter()
            .filter(move |unit| unit.role == role)
            .map(|unit| unit.tooth)
    }

    /// Returns how many pontics hang beyond the last abutment, at the end that has more of them.
    pub fn free_pontics(&self) -> usize {
        let run = |units: &mut dyn Iterator<Item = &CaseUnit>| {
            units.take_while(|u| u.role == Role::Pontic).count()
        };
        run(&mut self.units.iter()).max(run(&mut self.units.iter().rev()))
    }
}

/// The restorations of a case, checked.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, Deserialize)]
#[serde(try_from = "Vec<Restoration>", into = "Vec<Restoration>")]
pub struct Units(Vec<Restoration>);

/// Why some restorations cannot be one case.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum UnitsError {
    /// No restoration, or one without units.
    Empty,
    /// Two restorations have the same number.
    SameNumber(u8),
    /// A tooth stands in two units.
    ToothTwice(Tooth),
    /// The units of a restoration are not in one arch.
    TwoArches(u8),
    /// No unit of the restoration stands on a tooth.
    NoAbutment(u8),
    /// What the order calls it does not fit its units.
    Kind(u8, OrderedKind),
}

impl fmt::Display for UnitsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = match self {
            UnitsError::Empty => return f.write_str(faults::NO_UNIT),
            UnitsError::SameNumber(id) => faults::restoration_twice(*id),
            UnitsError::ToothTwice(tooth) => faults::tooth_twice(*tooth),
            UnitsError::TwoArches(id) => faults::two_arches(*id),
            UnitsError::NoAbutment(id) => faults::no_abutment(*id),
            UnitsError::Kind(id, OrderedKind::Crown) => faults::not_a_crown(*id),
            UnitsError::Kind(id, OrderedKind::Splinted) => faults::not_splinted(*id),
            UnitsError::Kind(id, _) => faults::not_a_bridge(*id),
        };
        f.write_str(&text)
    }
}

impl std::error::Error for UnitsError {}

impl TryFrom<Vec<Restoration>> for Units {
    type Error = UnitsError;

    fn try_from(restorations: Vec<Restoration>) -> Result<Units, UnitsError> {
        Units::new(restorations)
    }
}

impl From<Units> for Vec<Restoration> {
    fn from(units: Units) -> Vec<Restoration> {
        units.0
    }
}

impl Units {
    /// Returns the restorations that have a tooth of a restoration of other units, by their numbers.
    pub fn sharing(&self, others: &Units, restoration: u8) -> Vec<u8> {
        let Some(other) = others.restoration(restoration) else {
            return Vec::new();
        };
        let has = |tooth| other.units.iter().any(|unit| unit.tooth == tooth);
        let all = self.restorations().iter();
        all.filter(|own| own.units.iter().any(|unit| has(unit.tooth)))
            .map(|own| own.id)
            .collect()
    }

    /// Returns the restorations that have a tooth of other units, by their numbers.
    pub fn sharing_any(&self, others: &Units) -> Vec<u8> {
        let mut all: Vec<u8> = (others.restorations().iter())
            .flat_map(|own| self.sharing(others, own.id))
            .collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// Returns whether a restoration has a tooth of a restoration of other units.
    pub fn shares(&self, others: &Units, restoration: u8) -> bool {
        !self.sharing(others, restoration).is_empty()
    }

    /// Puts each restoration's units side by side and checks them.
    ///
    /// # Errors
    /// The first way in which they cannot be one case.
    pub fn new(mut restorations: Vec<Restoration>) -> Result<Units, UnitsError> {
        if restorations.is_empty() || restorations.iter().any(|r| r.units.is_empty()) {
            return Err(UnitsError::Empty);
        }
        restorations.sort_by_key(|r| r.id);
        let mut teeth = Vec::new();
        let mut last = None;
        for restoration in &mut restorations {
            let id = restoration.id;
            if last.replace(id) == Some(id) {
                return Err(UnitsError::SameNumber(id));
            }
            let units = &mut restoration.units;
            units.sort_by_key(|unit| unit.tooth.along());
            if units
                .iter()
                .all(|unit| matches!(unit.tooth.quadrant(), 1 | 4))
            {
                units.reverse();
            }
            if units
                .iter()
                .zip(units.iter().skip(1))
                .any(|(a, b)| a.tooth.arch() != b.tooth.arch())
            {
                return Err(UnitsError::TwoArches(id));
            }
            for unit in units.iter() {
                if teeth.contains(&unit.tooth) {
                    return Err(UnitsError::ToothTwice(unit.tooth));
                }
                teeth.push(unit.tooth);
            }
            let abutments = restoration.teeth(Role::Abutment).count();
            let pontics = restoration.teeth(Role::Pontic).count();
            if abutments == 0 {
                return Err(UnitsError::NoAbutment(id));
            }
            let fits = match restoration.ordered {
                OrderedKind::Crown => abutments == 1 && pontics == 0,
                OrderedKind::Splinted => abutments > 1 && pontics == 0,
                OrderedKind::Bridge | OrderedKind::Cantilever => pontics > 0,
            };
            if !fits {
                return Err(UnitsError::Kind(id, restoration.ordered));
            }
        }
        Ok(Units(restorations))
    }

    /// Returns the restorations in the order of their numbers.
    pub fn restorations(&self) -> &[Restoration] {
        &self.0
    }

    /// Returns the restoration with this number.
    pub fn restoration(&self, id: u8) -> Option<&Restoration> {
        self.0.iter().find(|r| r.id == id)
    }

    /// Returns whether two restorations stand side by side: a tooth of one adjoins a tooth of the other.
    pub fn touch(&self, a: u8, b: u8) -> bool {
        let (Some(a), Some(b)) = (self.restoration(a), self.restoration(b)) else {
            return false;
        };
        let beside = |unit: &CaseUnit| b.units.iter().any(|other| unit.tooth.adjoins(other.tooth));
        a.id != b.id && a.units.iter().any(beside)
    }

    /// Returns the restoration and the unit of a tooth.
    pub fn unit(&self, tooth: Tooth) -> Option<(&Restoration, CaseUnit)> {
        self.0.iter().find_map(|r| {
            r.units
                .iter()
                .find(|unit| unit.tooth == tooth)
                .map(|unit| (r, *unit))
        })
    }

    /// Returns the restoration that a place belongs to; none for the case and for places that do not exist.
    pub fn owner(&self, at: Place) -> Option<&Restoration> {
        match at {
            Place::Case => None,
            Place::Restoration(id) => self.restoration(id),
            Place::Unit(tooth) | Place::Wall(tooth, _) => self.unit(tooth).map(|(r, _)| r),
            Place::Connector(a, _) => self.unit(a).map(|(r, _)| r),
        }
    }

    /// Returns whether a place exists in this case.
    pub fn has(&self, at: Place) -> bool {
        match at {
            Place::Case => true,
            Place::Restoration(id) => self.restoration(id).is_some(),
            Place::Unit(tooth) => self.unit(tooth).is_some(),
            Place::Wall(tooth, _) => self
                .unit(tooth)
                .is_some_and(|(_, unit)| unit.role == Role::Abutment),
            Place::Connector(a, _) => self
                .unit(a)
                .is_some_and(|(r, _)| r.connectors().any(|(place, ..)| place == at)),
        }
    }

    /// Returns whether an existing place is of this kind.
    pub fn is_kind(&self, at: Place, kind: PlaceKind) -> bool {
        let role = |tooth| self.unit(tooth).map(|(_, unit)| unit.role);
        kind.fits(at)
            && self.has(at)
            && match (kind, at) {
                (PlaceKind::Abutment, Place::Unit(tooth)) => role(tooth) == Some(Role::Abutment),
                (PlaceKind::Pontic, Place::Unit(tooth)) => role(tooth) == Some(Role::Pontic),
                _ => true,
            }
    }

    /// Returns the place of a kind that is `at` or contains it.
    pub fn resolve(&self, kind: PlaceKind, at: Place) -> Option<Place> {
        let unit = match at {
            Place::Unit(tooth) | Place::Wall(tooth, _) => Some(Place::Unit(tooth)),
            _ => None,
        };
        let candidate = match kind {
            PlaceKind::Case => Some(Place::Case),
            PlaceKind::Restoration => self.owner(at).map(|r| Place::Restoration(r.id)),
            PlaceKind::Unit | PlaceKind::Abutment | PlaceKind::Pontic => unit,
            PlaceKind::Wall | PlaceKind::Connector => Some(at),
        };
        candidate.filter(|place| self.is_kind(*place, kind))
    }

    /// Returns the places of a kind within `at`, in the order of the inspection; `at` itself if it is of that kind.
    pub fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        if self.is_kind(at, kind) {
            return vec![at];
        }
        let mut places = Vec::new();
        let restorations = self.0.iter().filter(|r| match at {
            Place::Case => true,
            Place::Restoration(id) => r.id == id,
            _ => self.owner(at).is_some_and(|owner| owner.id == r.id),
        });
        for restoration in restorations {
            match kind {
                PlaceKind::Case => {}
                PlaceKind::Restoration => {
                    if at == Place::Case {
                        places.push(Place::Restoration(restoration.id));
                    }
                }
                PlaceKind::Connector => {
                    if matches!(at, Place::Case | Place::Restoration(_)) {
                        places.extend(restoration.connectors().map(|(place, ..)| place));
                    }
                }
                PlaceKind::Unit | PlaceKind::Abutment | PlaceKind::Pontic => {
                    if matches!(at, Place::Case | Place::Restoration(_)) {
                        let units = restoration.units.iter().map(|unit| Place::Unit(unit.tooth));
                        places.extend(units.filter(|place| self.is_kind(*place, kind)));
                    }
                }
                PlaceKind::Wall => {
                    let teeth = restoration.teeth(Role::Abutment).filter(|tooth| match at {
                        Place::Case | Place::Restoration(_) => true,
                        Place::Unit(own) => own == *tooth,
                        Place::Wall(..) | Place::Connector(..) => false,
                    });
                    for tooth in teeth {
                        places.extend(Side::ALL.map(|side| Place::Wall(tooth, side)));
                    }
                }
            }
        }
        places
    }
}
