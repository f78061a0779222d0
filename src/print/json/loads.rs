//! Loads on restorations and the shapes they press on: enough to work the figures out again.

use schemars::JsonSchema;
use serde::Serialize;

use super::shape::{SideWord, gap, proven, shape};
use crate::derive::{Detail, Facts, Found};
use crate::fact::{ORDER_CEMENT, Place, Side, Value};
use crate::mechanics::dislodgement::Limits;
use crate::mechanics::frame::Abutment;
use crate::mechanics::prep::BASE_EXPONENT;
use crate::phrase::rounded;
use crate::phrase::sheets::json as sheets;
use crate::tooth::Tooth;

/// One load on one restoration. The demand is its force over λ, the force held for each MPa of the cement.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Load")]
pub(super) struct DislodgementObject<'a> {
    /// The fact that `value` is.
    fact: &'static str,
    /// The restoration.
    at: Place,
    /// The load and the unit it acts on.
    load: String,
    /// The side it is directed to.
    #[serde(skip_serializing_if = "Option::is_none")]
    toward: Option<SideWord>,
    /// Its force in N.
    force: f64,
    /// A point of its line, in mm.
    point: [f64; 3],
    /// Its direction, of length 1.
    direction: [f64; 3],
    /// The demand on the cement, to a tenth of the gap.
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    /// The unit of the demand.
    unit: &'static str,
    /// The force held for each MPa of the cement, in N, to a tenth of the gap.
    #[serde(skip_serializing_if = "Option::is_none")]
    lambda: Option<f64>,
    /// The proven gap between the bounds of λ, as a share of the upper one.
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<f64>,
    /// Grip under this load, to a tenth of the gap.
    #[serde(skip_serializing_if = "Option::is_none")]
    grip: Option<f64>,
    /// The stress at which the planned cement fails, over the demand; it does not affect the result.
    #[serde(skip_serializing_if = "Option::is_none")]
    reserve: Option<f64>,
    /// The retainer that this load lifts first.
    #[serde(skip_serializing_if = "Option::is_none")]
    first: Option<Tooth>,
    /// Why there is no figure.
    #[serde(skip_serializing_if = "Option::is_none")]
    not_computed: Option<&'a str>,
}

/// What another program needs to compute the figures again. Lengths in mm, angles in degrees.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Geometry")]
pub(super) struct GeometryObject {
    /// The restoration.
    at: Place,
    /// The model, in words.
    model: &'static str,
    /// The cement's limit in tension over that in shear.
    tension_over_shear: f64,
    /// The cement's limit in compression over that in shear.
    pressing_over_shear: f64,
    /// The exponent of the base curve of a prep: 2 is an ellipse.
    base_exponent: f64,
    /// Where the nodes of the model lie, in words.
    nodes: &'static str,
    /// The preps.
    #[serde(rename = "stumps")]
    preps: Vec<PrepObject>,
}

/// A prep as a shape.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Stump")]
struct PrepObject {
    /// Its tooth.
    tooth: Tooth,
    /// The middle of its base.
    origin: [f64; 3],
    /// The axis towards mesial.
    mesial: [f64; 3],
    /// The axis towards labial or buccal.
    facial: [f64; 3],
    /// The axis towards occlusal.
    occlusal: [f64; 3],
    /// The width of its base, mesial to distal.
    mesiodistal: f64,
    /// The width of its base, facial to lingual.
    faciolingual: f64,
    /// Its walls.
    walls: Vec<WallObject>,
    /// How many grooves and boxes it has.
    grooves: usize,
}

/// A wall of a prep.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Wall")]
struct WallObject {
    /// Its side.
    side: SideWord,
    /// Its height.
    height: f64,
    /// How much of the height is straight, from the margin up; only that part resists.
    #[serde(skip_serializing_if = "Option::is_none")]
    straight: Option<f64>,
    /// Its taper; below zero it is undercut.
    taper: f64,
    /// The level of its margin; above zero it is nearer to occlusal.
    margin: f64,
}

/// Returns the stress at which the planned cement fails, in MPa, or `None` if no cement is planned.
pub(super) fn stress(facts: &Facts<'_>, detail: &Detail) -> Option<f64> {
    let at = Place::Restoration(detail.restoration);
    let cement = facts.value(&ORDER_CEMENT, at).and_then(Value::choice)?;
    Some(facts.flow().cement(cement)?.stress)
}

pub(super) fn loads(
    detail: &Detail,
    stress: Option<f64>,
) -> impl Iterator<Item = DislodgementObject<'_>> {
    detail.loads.iter().map(move |load| {
        let mut object = DislodgementObject {
            fact: "dislodgement.demand",
            at: Place::Restoration(detail.restoration),
            load: format!("{}@{}", load.load, load.unit),
            toward: load.toward.map(SideWord),
            force: shape(load.force),
            point: load.line.0.map(shape),
            direction: load.line.1.map(shape),
            value: None,
            unit: "MPa",
            lambda: None,
            gap: None,
            grip: None,
            reserve: None,
            first: load.motion().map(|motion| motion.first),
            not_computed: None,
        };
        match &load.found {
            Found::Figure {
                lambda,
                demand,
                gap: own,
                grip,
                ..
            } => {
                object.value = Some(proven(*demand, *own));
                object.lambda = Some(proven(*lambda, *own));
                object.gap = Some(gap(*own));
                object.grip = grip.map(|grip| proven(grip, *own));
                object.reserve = stress.map(|stress| rounded(stress / demand, 1));
            }
            Found::NotComputed(why) => object.not_computed = Some(why),
        }
        object
    })
}

pub(super) fn geometry(detail: &Detail) -> GeometryObject {
    let limits = Limits::default();
    GeometryObject {
        at: Place::Restoration(detail.restoration),
        model: sheets::MODEL,
        tension_over_shear: limits.tension,
        pressing_over_shear: limits.pressing,
        base_exponent: BASE_EXPONENT,
        nodes: sheets::NODES,
        preps: detail
            .preps
            .iter()
            .map(|(tooth, abutment)| prep(*tooth, abutment))
            .collect(),
    }
}

fn prep(tooth: Tooth, abutment: &Abutment) -> PrepObject {
    let Abutment { frame, preparation } = abutment;
    let [mesial, facial, occlusal] = frame.axes.map(|axis| axis.map(shape));
    let sides = [Side::Mesial, Side::Facial, Side::Distal, Side::Lingual];
    PrepObject {
        tooth,
        origin: frame.origin.map(shape),
        mesial,
        facial,
        occlusal,
        mesiodistal: shape(preparation.mesiodistal),
        faciolingual: shape(preparation.faciolingual),
        walls: sides
            .into_iter()
            .zip(&preparation.walls)
            .map(|(side, wall)| WallObject {
                side: SideWord(side),
                height: shape(wall.height),
                straight: wall.straight.map(shape),
                taper: shape(wall.taper),
                margin: shape(wall.margin),
            })
            .collect(),
        grooves: preparation.grooves.len(),
    }
}
