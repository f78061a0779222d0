//! Figures that a publication or a supervisor may correct: the recommended minimum prep, roots, a hard bite, how
//! connectors break, how records are off, die spacer.

use serde::{Deserialize, Serialize};

use super::check::{Checker, LONGEST_LINE};
use super::shape::Part;
use crate::fact::{IMPRESSION_MATERIAL, Kind, Unit, Value};
use crate::phrase::faults::flow::{Sort, tables as faults};
use crate::ronfile::{Source, Spanned, parse, parse_raw};
use crate::tooth::{Arch, Tooth, ToothClass};

/// The figures of a flow; where its files give none, those that the program carries.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Figures {
    /// The recommended minimum prep of a single crown.
    pub least_prep: LeastPrep,
    /// The roots.
    pub roots: Roots,
    /// A hard bite.
    pub hard_bite: HardBite,
    /// How connectors break.
    pub breaking: Breaking,
    /// The grip that is recommended at least.
    pub least_grip: LeastGrip,
    /// How far impressions are off.
    pub impressions: Impressions,
    /// How far scans are off.
    pub scans: Scans,
    /// The die spacer of the work ticket.
    pub spacer: Spacer,
}

/// The recommended minimum prep of a single crown: it has grip 1.0.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
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
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Roots {
    /// Length below the margin by position from the midline, in mm.
    pub length: [f64; 8],
    /// Stiffness against an upper central incisor by position.
    pub stiffness: [f64; 8],
    /// The share of it that lower incisors have.
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

/// The force of a hard bite, and the share of it on front teeth.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
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
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Breaking {
    /// How far series differ, as a factor up or down.
    pub spread: f64,
    /// The share of the breaking force that is left after years of chewing.
    pub left: f64,
    /// The id of the source of the spread.
    pub source: String,
    /// The id of the source of what is left.
    pub left_source: String,
}

/// The grip that is recommended at least, marked on the bar of grip.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct LeastGrip {
    /// The grip; 1.0 is that of the recommended minimum prep.
    pub advised: f64,
    /// The id of its source.
    pub source: String,
}

/// How far impressions and their models are off.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Impressions {
    /// How much impression materials shrink.
    pub shrinks: Vec<Shrinkage>,
    /// How much stone expands, in per cent.
    pub stone_grows: f64,
    /// The id of the source of the expansion.
    pub stone_source: String,
    /// What a stock tray adds, in µm.
    pub stock_tray: f64,
    /// What a custom tray adds, in µm.
    pub custom_tray: f64,
    /// The id of the source of the trays.
    pub tray_source: String,
}

/// How much an impression material shrinks.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Shrinkage {
    /// The material, a choice of its fact.
    pub material: String,
    /// How much it shrinks, in per cent.
    pub by: f64,
    /// The id of its source.
    pub source: String,
}

/// How far repeated scans differ, in µm.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Scans {
    /// Over up to three units.
    pub three_units: f64,
    /// Over up to half an arch.
    pub half_arch: f64,
    /// Over more.
    pub beyond: f64,
    /// The id of their source.
    pub source: String,
}

/// The die spacer that the work ticket asks for.
#[derive(Clone, PartialEq, Debug, Default, Serialize, Deserialize)]
pub struct Spacer {
    /// How much and where.
    pub says: String,
    /// The id of its source.
    pub source: String,
}

impl Impressions {
    /// Returns how much an impression material shrinks, as a share of its length, or `None` if the flow has no figure.
    pub fn shrinkage(&self, material: &str) -> Option<f64> {
        let own = self.shrinks.iter().find(|own| own.material == material)?;
        Some(own.by / 100.0)
    }
}

/// The root of a tooth as it bears load.
#[derive(Clone, Copy, PartialEq, Debug, Serialize, Deserialize)]
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
    LeastGrip {
        advised: Spanned<Value>,
        source: Spanned<String>,
    },
    Impressions {
        shrinks: Vec<ShrinkageShape>,
        stone_grows: Spanned<Value>,
        stone_source: Spanned<String>,
        stock_tray: Spanned<Value>,
        custom_tray: Spanned<Value>,
        source: Spanned<String>,
    },
    Scans {
        three_units: Spanned<Value>,
        half_arch: Spanned<Value>,
        beyond: Spanned<Value>,
        source: Spanned<String>,
    },
    Spacer {
        says: Spanned<String>,
        source: Spanned<String>,
    },
}

/// How much an impression material shrinks.
#[derive(Deserialize)]
#[serde(rename = "Shrinkage", deny_unknown_fields)]
pub(super) struct ShrinkageShape {
    material: Spanned<String>,
    by: Spanned<Value>,
    source: Spanned<String>,
}

/// How a figure and a source of a row are taken.
trait Take {
    fn figure(&mut self, value: &Spanned<Value>, unit: Unit, bounds: [f64; 2]) -> f64;
    fn cited(&mut self, id: &Spanned<String>) -> String;
    fn line(&mut self, text: &Spanned<String>) -> String;
    fn impression_material(&mut self, id: &Spanned<String>) -> String;
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

    fn line(&mut self, text: &Spanned<String>) -> String {
        text.value.clone()
    }

    fn impression_material(&mut self, id: &Spanned<String>) -> String {
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
                faults::figure_out_of_range(least, most),
            );
        }
        figure
    }

    fn cited(&mut self, id: &Spanned<String>) -> String {
        self.refers_source(id)
    }

    fn line(&mut self, text: &Spanned<String>) -> String {
        self.fits_line(text, LONGEST_LINE)
    }

    fn impression_material(&mut self, id: &Spanned<String>) -> String {
        let known = match IMPRESSION_MATERIAL.spec().map(|spec| &spec.kind) {
            Some(Kind::Choice(choices)) => choices.iter().map(|(id, _)| id.to_string()).collect(),
            _ => Vec::new(),
        };
        self.refers(Sort::ImpressionMaterial, id, known)
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
const GRIP: [f64; 2] = [0.1, 10.0];
const SHRINKS: [f64; 2] = [0.0, 5.0];
const OFF: [f64; 2] = [0.0, 1000.0];

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
            FigureShape::LeastGrip { advised, source } => {
                self.least_grip = LeastGrip {
                    advised: how.figure(advised, Unit::Ratio, GRIP),
                    source: how.cited(source),
                };
            }
            FigureShape::Impressions {
                shrinks,
                stone_grows,
                stone_source,
                stock_tray,
                custom_tray,
                source,
            } => {
                let mut shrinkage = |own: &ShrinkageShape| Shrinkage {
                    material: how.impression_material(&own.material),
                    by: how.figure(&own.by, Unit::Percent, SHRINKS),
                    source: how.cited(&own.source),
                };
                self.impressions = Impressions {
                    shrinks: shrinks.iter().map(&mut shrinkage).collect(),
                    stone_grows: how.figure(stone_grows, Unit::Percent, SHRINKS),
                    stone_source: how.cited(stone_source),
                    stock_tray: how.figure(stock_tray, Unit::Micron, OFF),
                    custom_tray: how.figure(custom_tray, Unit::Micron, OFF),
                    tray_source: how.cited(source),
                };
            }
            FigureShape::Scans {
                three_units,
                half_arch,
                beyond,
                source,
            } => {
                let mut off = |own: &Spanned<Value>| how.figure(own, Unit::Micron, OFF);
                let [three_units, half_arch, beyond] =
                    [three_units, half_arch, beyond].map(&mut off);
                self.scans = Scans {
                    three_units,
                    half_arch,
                    beyond,
                    source: how.cited(source),
                };
            }
            FigureShape::Spacer { says, source } => {
                self.spacer = Spacer {
                    says: how.line(says),
                    source: how.cited(source),
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
            FigureShape::LeastGrip { source, .. } => ("LeastGrip", source),
            FigureShape::Impressions { source, .. } => ("Impressions", source),
            FigureShape::Scans { source, .. } => ("Scans", source),
            FigureShape::Spacer { source, .. } => ("Spacer", source),
        };
        self.once(Sort::Figure, name.to_owned(), source.span(self.source()));
        let mut figures = self.flow.figures.clone();
        figures.take(self, &shape);
        self.flow.figures = figures;
    }
}
