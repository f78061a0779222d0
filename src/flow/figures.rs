//! Figures that mechanics rests on and that a paper may put right: the least prep, roots, a hard bite.

use serde::Deserialize;

use super::check::Checker;
use super::shape::Part;
use crate::fact::{Unit, Value};
use crate::ronfile::{Source, Spanned, parse, parse_raw};
use crate::tooth::{Arch, Tooth, ToothClass};

/// The figures of a flow; where its files give none, those that the program carries.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Figures {
    /// The least single crown that is advised.
    pub least_prep: LeastPrep,
    /// The roots.
    pub roots: Roots,
    /// A hard bite.
    pub hard_bite: HardBite,
    /// How connectors break.
    pub breaking: Breaking,
}

/// The least single crown that is advised: the yardstick of grip.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct LeastPrep {
    /// Height on molars, in mm.
    pub molar: f64,
    /// Height on all other teeth, in mm.
    pub other: f64,
    /// Taper of each wall, in degrees.
    pub taper: f64,
    /// Width of the margin, in mm.
    pub margin: f64,
    /// The id of the source of all but the margin.
    pub source: String,
    /// The id of the source of the margin.
    pub margin_source: String,
}

/// Roots as they bear load.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Roots {
    /// Length below the margin by position from the midline, in mm.
    pub length: [f64; 8],
    /// Stiffness against an upper central incisor by position.
    pub stiffness: [f64; 8],
    /// What lower incisors have of it.
    pub lower_incisors: f64,
    /// The position from which roots stand apart from mesial to distal.
    pub apart_from: u8,
    /// The root area of a third molar over that of the second molar beside it.
    pub third_molar_area: f64,
    /// The id of their source.
    pub source: String,
    /// The id of the source of the area.
    pub area_source: String,
}

/// A hard bite, and what of it teeth in front bear.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct HardBite {
    /// Behind the canines, in N.
    pub back: f64,
    /// The share on incisors.
    pub incisors: f64,
    /// The share on canines.
    pub canines: f64,
    /// The id of the source of the force.
    pub source: String,
    /// The id of the source of the shares.
    pub shares_source: String,
}

/// How connectors break in series.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Breaking {
    /// How far series stand apart, as a factor either way.
    pub spread: f64,
    /// What years of chewing leave.
    pub left: f64,
    /// The id of the source of the spread.
    pub source: String,
    /// The id of the source of what is left.
    pub left_source: String,
}

/// The root of a tooth as it bears load.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct RootForm {
    /// Its length, in mm.
    pub length: f64,
    /// How stiff it stands against an upper central incisor.
    pub stiffness: f64,
    /// Whether its roots stand apart from mesial to distal.
    pub apart: bool,
}

impl LeastPrep {
    /// Returns its height on a tooth, in mm.
    pub fn height(&self, tooth: Tooth) -> f64 {
        match tooth.class() {
            ToothClass::Molar => self.molar,
            _ => self.other,
        }
    }
}

impl Roots {
    /// Returns the root of a tooth.
    pub fn of(&self, tooth: Tooth) -> RootForm {
        let position = tooth.position();
        let at = usize::from(position).saturating_sub(1);
        let [length, stiffness] =
            [&self.length, &self.stiffness].map(|row| row.get(at).copied().unwrap_or_default());
        let lower_incisor = tooth.arch() == Arch::Lower && tooth.class() == ToothClass::Incisor;
        RootForm {
            length,
            stiffness: if lower_incisor {
                self.lower_incisors * stiffness
            } else {
                stiffness
            },
            apart: position >= self.apart_from,
        }
    }
}

/// A row of the file.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) enum FigureShape {
    LeastPrep {
        molar: Spanned<Value>,
        other: Spanned<Value>,
        taper: Spanned<Value>,
        source: Spanned<String>,
        margin: Spanned<Value>,
        margin_source: Spanned<String>,
    },
    Roots {
        length: Box<[Spanned<Value>; 8]>,
        stiffness: Box<[Spanned<Value>; 8]>,
        lower_incisors: Spanned<Value>,
        apart_from: u8,
        source: Spanned<String>,
        third_molar_area: Spanned<Value>,
        area_source: Spanned<String>,
    },
    HardBite {
        back: Spanned<Value>,
        source: Spanned<String>,
        incisors: Spanned<Value>,
        canines: Spanned<Value>,
        shares_source: Spanned<String>,
    },
    Breaking {
        spread: Spanned<Value>,
        source: Spanned<String>,
        left: Spanned<Value>,
        left_source: Spanned<String>,
    },
}

/// How a figure and a source of a row are taken.
trait Take {
    fn figure(&mut self, value: &Spanned<Value>, unit: Unit, bounds: [f64; 2]) -> f64;
    fn cited(&mut self, id: &Spanned<String>) -> String;
}

/// Takes what the program carries as it stands.
struct AsItStands;

impl Take for AsItStands {
    fn figure(&mut self, value: &Spanned<Value>, _: Unit, _: [f64; 2]) -> f64 {
        value.value.number().unwrap_or_default()
    }

    fn cited(&mut self, id: &Spanned<String>) -> String {
        id.value.clone()
    }
}

impl Take for Checker<'_> {
    fn figure(&mut self, value: &Spanned<Value>, unit: Unit, [least, most]: [f64; 2]) -> f64 {
        let figure = self.number(value, unit);
        if !(least..=most).contains(&figure) {
            let span = value.span(self.source());
            self.error(
                "flow-bounds",
                span,
                "nothing that is worked out means anything with this figure",
                "out of bounds",
            );
            self.help(format!("it lies within {least} to {most}"));
        }
        figure
    }

    fn cited(&mut self, id: &Spanned<String>) -> String {
        self.refers_source(id)
    }
}

const HEIGHT: [f64; 2] = [0.5, 10.0];
const TAPER: [f64; 2] = [0.0, 20.0];
const MARGIN: [f64; 2] = [0.0, 2.0];
const ROOT: [f64; 2] = [1.0, 40.0];
const SHARE: [f64; 2] = [0.01, 1.0];
const FACTOR: [f64; 2] = [0.05, 20.0];
const FORCE: [f64; 2] = [1.0, 5000.0];
const SPREAD: [f64; 2] = [1.0, 10.0];

impl Figures {
    /// Returns those that the program carries.
    pub(super) fn shipped() -> Figures {
        let source = Source::new("figures.ron", include_str!("../../flows/fixed/figures.ron"));
        let mut figures = Figures::default();
        if let Ok(Part::Figures(rows)) = parse::<Part<'_>>(&source) {
            for row in rows {
                if let Ok(shape) = parse_raw::<FigureShape>(&source, row) {
                    figures.take(&mut AsItStands, &shape);
                }
            }
        }
        figures
    }

    fn take(&mut self, how: &mut impl Take, shape: &FigureShape) {
        match shape {
            FigureShape::LeastPrep {
                molar,
                other,
                taper,
                source,
                margin,
                margin_source,
            } => {
                self.least_prep = LeastPrep {
                    molar: how.figure(molar, Unit::Mm, HEIGHT),
                    other: how.figure(other, Unit::Mm, HEIGHT),
                    taper: how.figure(taper, Unit::Deg, TAPER),
                    margin: how.figure(margin, Unit::Mm, MARGIN),
                    source: how.cited(source),
                    margin_source: how.cited(margin_source),
                };
            }
            FigureShape::Roots {
                length,
                stiffness,
                lower_incisors,
                apart_from,
                source,
                third_molar_area,
                area_source,
            } => {
                self.roots = Roots {
                    length: length.each_ref().map(|own| how.figure(own, Unit::Mm, ROOT)),
                    stiffness: stiffness
                        .each_ref()
                        .map(|own| how.figure(own, Unit::Ratio, FACTOR)),
                    lower_incisors: how.figure(lower_incisors, Unit::Ratio, SHARE),
                    apart_from: *apart_from,
                    third_molar_area: how.figure(third_molar_area, Unit::Ratio, SHARE),
                    source: how.cited(source),
                    area_source: how.cited(area_source),
                };
            }
            FigureShape::HardBite {
                back,
                source,
                incisors,
                canines,
                shares_source,
            } => {
                self.hard_bite = HardBite {
                    back: how.figure(back, Unit::Newton, FORCE),
                    incisors: how.figure(incisors, Unit::Ratio, SHARE),
                    canines: how.figure(canines, Unit::Ratio, SHARE),
                    source: how.cited(source),
                    shares_source: how.cited(shares_source),
                };
            }
            FigureShape::Breaking {
                spread,
                source,
                left,
                left_source,
            } => {
                self.breaking = Breaking {
                    spread: how.figure(spread, Unit::Ratio, SPREAD),
                    left: how.figure(left, Unit::Ratio, SHARE),
                    source: how.cited(source),
                    left_source: how.cited(left_source),
                };
            }
        }
    }
}

impl Checker<'_> {
    pub(super) fn figure_row(&mut self, shape: FigureShape) {
        let (name, source) = match &shape {
            FigureShape::LeastPrep { source, .. } => ("LeastPrep", source),
            FigureShape::Roots { source, .. } => ("Roots", source),
            FigureShape::HardBite { source, .. } => ("HardBite", source),
            FigureShape::Breaking { source, .. } => ("Breaking", source),
        };
        self.once("figure", name.to_owned(), source.span(self.source()));
        let mut figures = self.flow.figures.clone();
        figures.take(self, &shape);
        self.flow.figures = figures;
    }
}
