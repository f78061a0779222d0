//! Materials and cements, and which of them go together.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::model::{Flow, Treatment};

/// The name of a material in a flow's files and in the answers of a case.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
pub struct MaterialId(String);

impl MaterialId {
    pub(super) fn new(id: String) -> MaterialId {
        MaterialId(id)
    }

    /// Returns the name as it is written in files.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for MaterialId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl PartialEq<str> for MaterialId {
    fn eq(&self, other: &str) -> bool {
        self.0 == other
    }
}

impl PartialEq<&str> for MaterialId {
    fn eq(&self, other: &&str) -> bool {
        self.0 == *other
    }
}

/// The least connector areas of a material, in mm², by what a connector belongs to.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Connectors {
    /// In a span held at both ends that lies in front, by its number of pontics; the last holds for more of them.
    pub front: Vec<f64>,
    /// The same behind the canines.
    pub back: Vec<f64>,
    /// Beside a pontic that hangs free, or `None` if the material is not used so.
    pub cantilever: Option<f64>,
    /// Between two abutments in front, with no pontic on either side.
    pub joint_front: f64,
    /// The same behind the canines.
    pub joint_back: f64,
    /// The id of their source.
    pub source: String,
}

/// The bending stress at which connectors broke in laboratory series, in MPa.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Breaks {
    /// With sharp edges.
    pub sharp: f64,
    /// With rounded edges.
    pub rounded: f64,
    /// The id of their source.
    pub source: String,
}

/// A material.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Material {
    /// Its id.
    pub id: MaterialId,
    /// Its generic name.
    pub name: String,
    /// Flexural strength in MPa, which its class goes by; none for metal frames.
    pub strength: Option<f64>,
    /// Least thickness over the top in mm.
    pub occlusal: f64,
    /// Least thickness of a wall in mm.
    pub axial: f64,
    /// Least depth of the margin in mm.
    pub margin_depth: f64,
    /// Forms of margin it takes.
    pub margins: Vec<String>,
    /// Least connector areas by span, or `None` if the flow gives them by units or it is not for bridges.
    pub connectors: Option<Connectors>,
    /// Least connector area in front in mm², in flows that give it by the units of the piece.
    pub connector_front: Option<f64>,
    /// The same behind the canine.
    pub connector_back: Option<f64>,
    /// The same for four units and more, and for cantilevers.
    pub connector_long: Option<f64>,
    /// The most units in one piece that its class covers.
    pub most_units: u32,
    /// Whether its class covers bridges with a molar among their units, abutments included.
    pub takes_molar: bool,
    /// Whether it is used for cantilevers.
    pub cantilever: bool,
    /// The stress at which its connectors broke in the laboratory, or `None` if nobody measured it.
    pub breaks: Option<Breaks>,
    /// Whether it is for temporaries only.
    pub temporary: bool,
    /// The id of its source.
    pub source: String,
}

/// A class of cement.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Cement {
    /// Its id.
    pub id: String,
    /// Its generic name.
    pub name: String,
    /// The stress it comes off at, in MPa: a laboratory mean, or chosen within such.
    pub stress: f64,
    /// Whether it sets with water and does not bond.
    pub water_based: bool,
    /// Whether it needs a dry field.
    pub dry_field: bool,
    /// Whether it is bonded step by step, over a primer.
    pub primer: bool,
    /// Whether it is for temporaries only.
    pub temporary: bool,
    /// The treatment it works over: it goes only with materials whose way to the seat has this step.
    pub over: Option<Treatment>,
    /// The id of its source.
    pub source: String,
}

impl Flow {
    /// Returns whether a cement goes with a material: the flow has a row for the two, and the treatment that the
    /// cement works over is among the steps. A flow without seatings does not say, and takes all.
    pub fn goes_with(&self, material: &str, cement: &str) -> bool {
        if self.seatings.is_empty() {
            return true;
        }
        let over = self.cement(cement).and_then(|cement| cement.over);
        let way = self
            .material(material)
            .and_then(|material| self.seating(&material.id, cement));
        way.is_some_and(|way| {
            over.is_none_or(|over| way.steps.iter().any(|step| step.treatment == over))
        })
    }

    /// Returns whether a cement may be put forward for a material: it goes with it, and no temporary cement is put forward
    /// for a final restoration.
    pub fn offers_cement(&self, material: &str, cement: &str) -> bool {
        let temporary = |id: &str| self.material(id).is_some_and(|material| material.temporary);
        self.goes_with(material, cement)
            && self
                .cement(cement)
                .is_some_and(|cement| !cement.temporary || temporary(material))
    }

    /// Returns whether a material may be put forward in place of another: a final one for a final one, a temporary one for
    /// a temporary one, and one that the planned cement goes with unless that went with the first neither.
    pub fn offers_material(&self, now: &str, other: &str, cement: Option<&str>) -> bool {
        let (Some(from), Some(to)) = (self.material(now), self.material(other)) else {
            return false;
        };
        let fits = |cement: &str| self.goes_with(other, cement) || !self.goes_with(now, cement);
        from.temporary == to.temporary && cement.is_none_or(fits)
    }
}
