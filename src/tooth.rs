//! Permanent teeth: their numbers in three notations, their usual sizes and root areas.
//!
//! A tooth is stored by its ISO 3950 digits and shown in the notation the bench chose. Milk teeth are refused with an
//! error of their own, since no rule of this program was made for them.

mod table;

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::phrase::faults::values as faults;
use crate::phrase::program::values;

pub use table::{ROOT_AREA_SOURCE, SIZE_SOURCE, ToothSize, root_area, size};

/// A permanent tooth.
///
/// Ordered by quadrant, then by position from the midline, as the ISO 3950 digits are.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Tooth {
    /// 1 upper right, 2 upper left, 3 lower left, 4 lower right, as the patient has them.
    quadrant: u8,
    /// 1 central incisor to 8 third molar.
    position: u8,
}

/// The shape class of a tooth.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum ToothClass {
    /// Central and lateral incisors.
    Incisor,
    /// Canines.
    Canine,
    /// First and second premolars.
    Premolar,
    /// First, second and third molars.
    Molar,
}

/// The jaw a tooth stands in.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Arch {
    /// The maxillary arch.
    Upper,
    /// The mandibular arch.
    Lower,
}

impl Tooth {
    /// Returns the tooth of a quadrant (1 to 4) and a position from the midline (1 to 8).
    pub const fn new(quadrant: u8, position: u8) -> Option<Tooth> {
        if quadrant >= 1 && quadrant <= 4 && position >= 1 && position <= 8 {
            Some(Tooth { quadrant, position })
        } else {
            None
        }
    }

    /// Returns the tooth of an ISO 3950 number, such as 46.
    pub fn from_iso(number: u8) -> Option<Tooth> {
        Tooth::new(number / 10, number % 10)
    }

    /// Returns the ISO 3950 number, such as 46.
    pub fn iso(self) -> u8 {
        self.quadrant * 10 + self.position
    }

    /// Returns the ISO 3950 quadrant: 1 upper right, 2 upper left, 3 lower left, 4 lower right.
    pub fn quadrant(self) -> u8 {
        self.quadrant
    }

    /// Returns the position from the midline, 1 to 8.
    pub fn position(self) -> u8 {
        self.position
    }

    /// Returns the shape class.
    pub fn class(self) -> ToothClass {
        match self.position {
            1 | 2 => ToothClass::Incisor,
            3 => ToothClass::Canine,
            4 | 5 => ToothClass::Premolar,
            _ => ToothClass::Molar,
        }
    }

    /// Returns the jaw.
    pub fn arch(self) -> Arch {
        if self.quadrant <= 2 {
            Arch::Upper
        } else {
            Arch::Lower
        }
    }

    /// Returns whether the tooth is a premolar or a molar.
    pub fn is_posterior(self) -> bool {
        matches!(self.class(), ToothClass::Premolar | ToothClass::Molar)
    }

    /// Returns the place along the arch, from 0 at the patient's right third molar to 15 at the left one.
    pub fn along(self) -> u8 {
        if matches!(self.quadrant, 1 | 4) {
            8 - self.position
        } else {
            7 + self.position
        }
    }

    /// Returns the tooth at a place along an arch, as counted by [`Tooth::along`].
    pub fn from_along(arch: Arch, along: u8) -> Option<Tooth> {
        let (right, left) = match arch {
            Arch::Upper => (1, 2),
            Arch::Lower => (4, 3),
        };
        match along {
            0..=7 => Tooth::new(right, 8 - along),
            8..=15 => Tooth::new(left, along - 7),
            _ => None,
        }
    }

    /// Returns whether the other tooth is the next one in the same arch, across the midline too.
    pub fn adjoins(self, other: Tooth) -> bool {
        self.arch() == other.arch() && self.along().abs_diff(other.along()) == 1
    }

    /// Returns the Universal number: 1 upper right third molar to 16 upper left, 17 lower left to 32 lower right.
    pub fn universal(self) -> u8 {
        match self.arch() {
            Arch::Upper => 1 + self.along(),
            Arch::Lower => 32 - self.along(),
        }
    }

    fn from_universal(number: u8) -> Option<Tooth> {
        match number {
            1..=16 => Tooth::from_along(Arch::Upper, number - 1),
            17..=32 => Tooth::from_along(Arch::Lower, 32 - number),
            _ => None,
        }
    }
}

impl fmt::Display for Tooth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.iso().to_string())
    }
}

impl FromStr for Tooth {
    type Err = ToothError;

    fn from_str(text: &str) -> Result<Tooth, ToothError> {
        Notation::Iso3950.read(text)
    }
}

impl Serialize for Tooth {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Tooth {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Tooth, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

/// A way to write the number of a tooth.
///
/// On the command line and in JSON the names are in kebab case; `look.ron` has them as they stand here.
#[derive(
    Clone,
    Copy,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Debug,
    Default,
    Serialize,
    Deserialize,
    clap::ValueEnum,
)]
#[serde(rename_all(serialize = "kebab-case"))]
pub enum Notation {
    /// Two digits: quadrant 1 to 4, position 1 to 8 (ISO 3950).
    #[default]
    #[value(help = values::ISO_3950)]
    Iso3950,
    /// 1 to 32, round the mouth from the upper right third molar to the lower right one.
    #[value(help = values::UNIVERSAL)]
    Universal,
    /// Position 1 to 8 in the bracket of its quadrant.
    #[value(help = values::PALMER)]
    Palmer,
}

impl Notation {
    /// Returns all notations, in the order in which to offer them.
    pub fn all() -> [Notation; 3] {
        [Notation::Iso3950, Notation::Universal, Notation::Palmer]
    }

    /// Returns the name to show.
    pub fn name(self) -> &'static str {
        match self {
            Notation::Iso3950 => "ISO 3950",
            Notation::Universal => "Universal",
            Notation::Palmer => "Palmer",
        }
    }

    /// Writes a tooth in this notation.
    ///
    /// Palmer is written with its brackets: `6┘` upper right, `└6` upper left, `┌6` lower left, `6┐` lower right.
    pub fn show(self, tooth: Tooth) -> String {
        let position = tooth.position;
        match (self, tooth.quadrant) {
            (Notation::Iso3950, _) => tooth.to_string(),
            (Notation::Universal, _) => tooth.universal().to_string(),
            (Notation::Palmer, 1) => format!("{position}┘"),
            (Notation::Palmer, 2) => format!("└{position}"),
            (Notation::Palmer, 3) => format!("┌{position}"),
            (Notation::Palmer, _) => format!("{position}┐"),
        }
    }

    /// Reads a tooth written in this notation. Space around it does not matter.
    ///
    /// Palmer is also read as typed on a keyboard, in capitals or small letters: `UR6`, `UL6`, `LL6`, `LR6`.
    ///
    /// # Errors
    ///
    /// Refuses empty text, milk teeth, and whatever is not a permanent tooth in this notation. A number with a leading
    /// zero is refused too, for ISO 3950 uses such codes for whole jaws and sextants.
    pub fn read(self, text: &str) -> Result<Tooth, ToothError> {
        let text = text.trim();
        let read = if text.is_empty() {
            Err(ToothErrorKind::Empty)
        } else {
            match self {
                Notation::Iso3950 => read_iso(text),
                Notation::Universal => read_universal(text),
                Notation::Palmer => read_palmer(text),
            }
        };
        read.map_err(|kind| ToothError {
            kind,
            notation: self,
            text: text.to_owned(),
        })
    }

    /// Returns the notations other than this one in which the same text is another tooth.
    ///
    /// Bare 11 to 18, 21 to 28, 31 and 32 are teeth in ISO 3950 and in Universal, and never the same tooth. Empty when
    /// the text is no tooth in this notation, for then nothing can be mistaken.
    pub fn also_reads(self, text: &str) -> Vec<(Notation, Tooth)> {
        let Ok(meant) = self.read(text) else {
            return Vec::new();
        };
        self.others_reading(text)
            .filter(|(_, tooth)| *tooth != meant)
            .collect()
    }

    fn others_reading(self, text: &str) -> impl Iterator<Item = (Notation, Tooth)> {
        Notation::all()
            .into_iter()
            .filter(move |other| *other != self)
            .filter_map(move |other| Some((other, other.read(text).ok()?)))
    }
}

/// What is wrong with a text that should be a tooth.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum ToothErrorKind {
    /// Nothing was given.
    Empty,
    /// The text is no tooth in the notation in force.
    NotATooth,
    /// The text is a milk tooth in the notation in force.
    MilkTooth,
}

/// A text that is no permanent tooth in the notation it was read in.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct ToothError {
    /// What is wrong.
    pub kind: ToothErrorKind,
    /// The notation in force.
    pub notation: Notation,
    /// The text as given, without the space around it.
    pub text: String,
}

impl ToothError {
    /// Returns a sentence on what to do instead.
    pub fn hint(&self) -> String {
        let takes = match self.notation {
            Notation::Iso3950 => faults::ISO_TAKES,
            Notation::Universal => faults::UNIVERSAL_TAKES,
            Notation::Palmer => faults::PALMER_TAKES,
        };
        if self.kind == ToothErrorKind::MilkTooth {
            return faults::PERMANENT_ONLY.to_owned();
        }
        let elsewhere: Vec<&str> = self
            .notation
            .others_reading(&self.text)
            .map(|(other, _)| other.name())
            .collect();
        if elsewhere.is_empty() {
            takes.to_owned()
        } else {
            faults::tooth_elsewhere(takes, &elsewhere, &self.text)
        }
    }
}

impl fmt::Display for ToothError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (text, name) = (&self.text, self.notation.name());
        match self.kind {
            ToothErrorKind::Empty => f.write_str(faults::NO_TOOTH_GIVEN),
            ToothErrorKind::NotATooth => f.write_str(&faults::not_a_tooth(text, name)),
            ToothErrorKind::MilkTooth => f.write_str(&faults::milk_tooth(text, name)),
        }
    }
}

impl std::error::Error for ToothError {}

/// Reads a number of one or two plain digits. Signs and leading zeros are no part of a tooth's number.
fn read_number(text: &str) -> Option<u8> {
    let plain =
        text.len() <= 2 && text.bytes().all(|byte| byte.is_ascii_digit()) && !text.starts_with('0');
    if plain { text.parse().ok() } else { None }
}

fn read_iso(text: &str) -> Result<Tooth, ToothErrorKind> {
    let number = read_number(text).ok_or(ToothErrorKind::NotATooth)?;
    match (number / 10, number % 10) {
        (5..=8, 1..=5) => Err(ToothErrorKind::MilkTooth),
        _ => Tooth::from_iso(number).ok_or(ToothErrorKind::NotATooth),
    }
}

fn read_universal(text: &str) -> Result<Tooth, ToothErrorKind> {
    if let Some(letter) = only_char(text)
        && matches!(letter.to_ascii_uppercase(), 'A'..='T')
    {
        return Err(ToothErrorKind::MilkTooth);
    }
    read_number(text)
        .and_then(Tooth::from_universal)
        .ok_or(ToothErrorKind::NotATooth)
}

fn read_palmer(text: &str) -> Result<Tooth, ToothErrorKind> {
    let (quadrant, mark) = split_palmer(text).ok_or(ToothErrorKind::NotATooth)?;
    let mark = only_char(mark).ok_or(ToothErrorKind::NotATooth)?;
    match mark.to_ascii_uppercase() {
        'A'..='E' => Err(ToothErrorKind::MilkTooth),
        digit @ '1'..='8' => digit
            .to_digit(10)
            .and_then(|digit| u8::try_from(digit).ok())
            .and_then(|position| Tooth::new(quadrant, position))
            .ok_or(ToothErrorKind::NotATooth),
        _ => Err(ToothErrorKind::NotATooth),
    }
}

/// Splits a Palmer text into the quadrant and the rest. The bracket must stand on the side of the midline.
fn split_palmer(text: &str) -> Option<(u8, &str)> {
    if let Some(rest) = text.strip_suffix('┘') {
        return Some((1, rest));
    }
    if let Some(rest) = text.strip_prefix('└') {
        return Some((2, rest));
    }
    if let Some(rest) = text.strip_prefix('┌') {
        return Some((3, rest));
    }
    if let Some(rest) = text.strip_suffix('┐') {
        return Some((4, rest));
    }
    let (letters, rest) = text.split_at_checked(2)?;
    let quadrant = match letters.to_ascii_uppercase().as_str() {
        "UR" => 1,
        "UL" => 2,
        "LL" => 3,
        "LR" => 4,
        _ => return None,
    };
    Some((quadrant, rest))
}

fn only_char(text: &str) -> Option<char> {
    let mut chars = text.chars();
    let first = chars.next()?;
    chars.next().is_none().then_some(first)
}

/// The brackets of Palmer's notation with the letters that are typed for them. The first two stand behind the digit.
const BRACKETS: [(char, &str); 4] = [('┘', "UR"), ('┐', "LR"), ('└', "UL"), ('┌', "LL")];

/// Returns a text with Palmer's brackets as they are typed, `UR6` for `6┘`: for screens without the signs, and for ears.
pub fn as_typed(text: &str) -> std::borrow::Cow<'_, str> {
    let letters_of = |c: char| BRACKETS.iter().find(|(sign, _)| *sign == c);
    if !text.chars().any(|c| letters_of(c).is_some()) {
        return text.into();
    }
    let mut out = String::new();
    for c in text.chars() {
        let Some((sign, letters)) = letters_of(c) else {
            out.push(c);
            continue;
        };
        let digit = match sign {
            '┘' | '┐' if out.ends_with(|c: char| c.is_ascii_digit()) => out.pop(),
            _ => None,
        };
        out.push_str(letters);
        out.extend(digit);
    }
    out.into()
}
