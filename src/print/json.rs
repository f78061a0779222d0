//! The judgement as one JSON object. Its keys are stable within a format; teeth and places are ISO 3950.

use serde::Serialize;

use super::Told;
use crate::call::asks;
use crate::case::Layer;
use crate::derive::{Detail, Facts, Found, Worked};
use crate::fact::{FactId, ORDER_CEMENT, Place, Side, Spot, Value};
use crate::flow::{Level, RuleId};
use crate::judge::doubt::{Deciding, Method, NearLimit};
use crate::judge::{Finding, Verdict};
use crate::logic::Gap;
use crate::mechanics::dislodgement::Limits;
use crate::mechanics::frame::Abutment;
use crate::mechanics::prep::BASE_EXPONENT;
use crate::phrase::Phrase;
use crate::tooth::{Notation, Tooth};

mod options;

use options::{CallObject, RemedyObject, call_object, remedies};

/// The format that is written.
const FORMAT: u32 = 1;

#[derive(Serialize)]
struct Object<'a> {
    format: u32,
    case: &'a str,
    flow: FlowObject<'a>,
    engine: &'static str,
    verdict: VerdictObject,
    restorations: Vec<RestorationObject>,
    findings: Vec<FindingObject<'a>>,
    open_points: Vec<OpenObject<'a>>,
    derived: Vec<FactObject<'a>>,
    not_computed: Vec<RefusedObject<'a>>,
    deciding: Vec<DecidingObject<'a>>,
    near_limits: Vec<NearObject<'a>>,
    remedies: Vec<RemedyObject<'a>>,
    call: Vec<CallObject<'a>>,
    dislodgement: Vec<DislodgementObject<'a>>,
    geometry: Vec<GeometryObject>,
    caution: &'static str,
}

#[derive(Serialize)]
struct FlowObject<'a> {
    id: &'a str,
    version: u32,
    digest: &'a str,
}

#[derive(Serialize)]
struct VerdictObject {
    level: &'static str,
    could_be: &'static str,
}

#[derive(Serialize)]
struct RestorationObject {
    id: String,
    units: Vec<String>,
    verdict: VerdictObject,
}

#[derive(Serialize)]
struct FindingObject<'a> {
    rule: &'a str,
    level: &'static str,
    at: Place,
    says: String,
    evidence: Vec<FactObject<'a>>,
    source: &'a str,
    status: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    asks: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    bench: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    same_cause: Vec<FindingObject<'a>>,
}

#[derive(Serialize)]
struct FactObject<'a> {
    fact: &'a FactId,
    at: Place,
    value: serde_json::Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<&'static str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    layer: Option<&'static str>,
}

#[derive(Serialize)]
struct OpenObject<'a> {
    rule: &'a str,
    at: Place,
    needs: Vec<NeedObject<'a>>,
    could_be: &'static str,
}

#[derive(Serialize)]
struct NeedObject<'a> {
    fact: &'a FactId,
    at: Place,
    why: &'static str,
}

#[derive(Serialize)]
struct RefusedObject<'a> {
    fact: &'a FactId,
    at: Place,
    because: &'a str,
}

/// One load on one restoration; the demand is that of its force over λ, the force held for each MPa of the cement.
#[derive(Serialize)]
struct DislodgementObject<'a> {
    fact: &'static str,
    at: String,
    load: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    toward: Option<&'static str>,
    force: f64,
    point: [f64; 3],
    direction: [f64; 3],
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<f64>,
    unit: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    lambda: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    grip: Option<f64>,
    /// The published mean stress of the planned cement over the demand; no level hangs on it.
    #[serde(skip_serializing_if = "Option::is_none")]
    reserve: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    first: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    not_computed: Option<&'a str>,
}

/// What another program needs to work the figures out again. Lengths in mm, angles in degrees.
#[derive(Serialize)]
struct GeometryObject {
    at: String,
    model: &'static str,
    tension_over_shear: f64,
    pressing_over_shear: f64,
    base_exponent: f64,
    nodes: &'static str,
    stumps: Vec<StumpObject>,
}

#[derive(Serialize)]
struct StumpObject {
    tooth: String,
    origin: [f64; 3],
    mesial: [f64; 3],
    facial: [f64; 3],
    occlusal: [f64; 3],
    mesiodistal: f64,
    faciolingual: f64,
    walls: Vec<WallObject>,
    grooves: usize,
}

#[derive(Serialize)]
struct WallObject {
    side: &'static str,
    height: f64,
    #[serde(skip_serializing_if = "Option::is_none")]
    straight: Option<f64>,
    taper: f64,
    margin: f64,
}

#[derive(Serialize)]
struct DecidingObject<'a> {
    fact: &'a FactId,
    at: Place,
    value: f64,
    unit: &'static str,
    sd: f64,
    flips_at: f64,
    to: &'static str,
    chance: f64,
}

#[derive(Serialize)]
struct NearObject<'a> {
    rule: &'a str,
    at: Place,
    fact: &'a FactId,
    value: serde_json::Value,
    #[serde(skip_serializing_if = "Option::is_none")]
    sd: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    limit: Option<f64>,
    chance: f64,
    method: &'static str,
}

/// Writes the judgement of a case as one JSON object with a line feed at the end.
///
/// # Errors
/// A figure that JSON cannot write; none of the figures that are kept is one.
pub fn json(told: Told<'_>) -> Result<String, serde_json::Error> {
    let Told {
        facts,
        judgement,
        doubt,
        phrase,
        beside,
    } = told;
    let phrase = Phrase {
        notation: Notation::Iso3950,
        ..phrase
    };
    let flow = phrase.flow;
    let object = Object {
        format: FORMAT,
        case: &facts.case().number,
        flow: FlowObject {
            id: &flow.id,
            version: flow.version,
            digest: &flow.digest,
        },
        engine: env!("CARGO_PKG_VERSION"),
        verdict: verdict(judgement.verdict),
        restorations: judgement
            .by_restoration
            .iter()
            .map(|(id, result)| RestorationObject {
                id: format!("R{id}"),
                units: facts.units().restoration(*id).map_or_else(Vec::new, |r| {
                    r.units.iter().map(|unit| unit.tooth.to_string()).collect()
                }),
                verdict: verdict(*result),
            })
            .collect(),
        findings: judgement
            .findings
            .iter()
            .map(|f| finding(facts, f, phrase))
            .collect(),
        open_points: judgement
            .open_points
            .iter()
            .map(|point| OpenObject {
                rule: rule_id(phrase, point.rule),
                at: point.at,
                needs: point
                    .needs
                    .iter()
                    .map(|(spot, gap)| NeedObject {
                        fact: &spot.fact,
                        at: spot.at,
                        why: gap_word(*gap),
                    })
                    .collect(),
                could_be: point.could_be.as_str(),
            })
            .collect(),
        derived: facts
            .all_derived()
            .filter_map(|(spot, derived)| match &derived.result {
                Worked::Out(value) => Some(fact(spot, value, None)),
                Worked::Waits(_) | Worked::Refused(_) => None,
            })
            .collect(),
        not_computed: facts
            .all_derived()
            .filter_map(|(spot, derived)| match &derived.result {
                Worked::Refused(because) => Some(RefusedObject {
                    fact: &spot.fact,
                    at: spot.at,
                    because,
                }),
                Worked::Out(_) | Worked::Waits(_) => None,
            })
            .collect(),
        deciding: doubt
            .iter()
            .flat_map(|doubt| &doubt.deciding)
            .map(deciding)
            .collect(),
        near_limits: doubt
            .iter()
            .flat_map(|doubt| &doubt.near)
            .map(|near| near_limit(near, phrase))
            .collect(),
        remedies: remedies(facts, phrase, beside.ways.unwrap_or_default()),
        call: asks(facts, judgement, phrase, beside.agreements)
            .iter()
            .map(|ask| call_object(facts, phrase, ask))
            .collect(),
        dislodgement: facts
            .details()
            .iter()
            .flat_map(|detail| loads(detail, stress(facts, detail)))
            .collect(),
        geometry: facts.details().iter().map(geometry).collect(),
        caution: crate::phrase::CAUTION,
    };
    let mut text = serde_json::to_string_pretty(&object)?;
    text.push('\n');
    Ok(text)
}

/// The published mean stress of the planned cement, in MPa.
fn stress(facts: &Facts<'_>, detail: &Detail) -> Option<f64> {
    let at = Place::Restoration(detail.restoration);
    let cement = facts.value(&ORDER_CEMENT, at).and_then(Value::choice)?;
    Some(facts.flow().cement(cement)?.stress)
}

fn loads(detail: &Detail, stress: Option<f64>) -> impl Iterator<Item = DislodgementObject<'_>> {
    detail.loads.iter().map(move |load| {
        let mut object = DislodgementObject {
            fact: "dislodgement.demand",
            at: format!("R{}", detail.restoration),
            load: format!("{}@{}", load.load, load.unit),
            toward: load.toward.map(Side::as_str),
            force: load.force,
            point: load.line.0,
            direction: load.line.1,
            value: None,
            unit: "MPa",
            lambda: None,
            gap: None,
            grip: None,
            reserve: None,
            first: load.motion().map(|motion| motion.first.to_string()),
            not_computed: None,
        };
        match &load.found {
            Found::Figure {
                lambda,
                demand,
                gap,
                grip,
                ..
            } => {
                object.value = Some(*demand);
                object.lambda = Some(*lambda);
                object.gap = Some(*gap);
                object.grip = *grip;
                object.reserve = stress.map(|stress| stress / demand);
            }
            Found::NotComputed(why) => object.not_computed = Some(why),
        }
        object
    })
}

fn geometry(detail: &Detail) -> GeometryObject {
    let limits = Limits::default();
    GeometryObject {
        at: format!("R{}", detail.restoration),
        model: "rigid restoration; at each node |shear| <= c, -tension*c <= normal <= pressing*c, pressing positive; \
                demand is force over the largest multiplier in equilibrium at c = 1 MPa",
        tension_over_shear: limits.tension,
        pressing_over_shear: limits.pressing,
        base_exponent: BASE_EXPONENT,
        nodes: "16 evenly round the tooth by 5 up the wall, by Simpson's rule over two halves of the height, and 16 each at the rim and middle of the top",
        stumps: detail
            .stumps
            .iter()
            .map(|(tooth, abutment)| stump(*tooth, abutment))
            .collect(),
    }
}

fn stump(tooth: Tooth, abutment: &Abutment) -> StumpObject {
    let Abutment { frame, preparation } = abutment;
    let [mesial, facial, occlusal] = frame.axes;
    let names = ["mesial", "facial", "distal", "lingual"];
    StumpObject {
        tooth: tooth.to_string(),
        origin: frame.origin,
        mesial,
        facial,
        occlusal,
        mesiodistal: preparation.mesiodistal,
        faciolingual: preparation.faciolingual,
        walls: names
            .into_iter()
            .zip(&preparation.walls)
            .map(|(side, wall)| WallObject {
                side,
                height: wall.height,
                straight: wall.straight,
                taper: wall.taper,
                margin: wall.margin,
            })
            .collect(),
        grooves: preparation.grooves.len(),
    }
}

fn deciding(deciding: &Deciding) -> DecidingObject<'_> {
    DecidingObject {
        fact: &deciding.spot.fact,
        at: deciding.spot.at,
        value: deciding.value,
        unit: deciding.unit.symbol(),
        sd: deciding.error,
        flips_at: deciding.flips_at,
        to: deciding.to.as_str(),
        chance: deciding.chance,
    }
}

fn near_limit<'a>(near: &'a NearLimit, phrase: Phrase<'a>) -> NearObject<'a> {
    NearObject {
        rule: rule_id(phrase, near.rule),
        at: near.at,
        fact: &near.spot.fact,
        value: fact(&near.spot, &near.value, None).value,
        sd: near.spread,
        limit: near.limit,
        chance: near.chance,
        method: match near.method {
            Method::Differences => "differences",
            Method::Draws(_) => "draws",
        },
    }
}

fn verdict(verdict: Verdict) -> VerdictObject {
    let word = |level: Level| level.as_str();
    VerdictObject {
        level: word(verdict.level),
        could_be: word(verdict.could_be),
    }
}

fn rule_id<'a>(phrase: Phrase<'a>, id: RuleId) -> &'a str {
    phrase.flow.rule(id).map_or("", |rule| rule.id.as_str())
}

fn gap_word(gap: Gap) -> &'static str {
    match gap {
        Gap::NotAsked => "not asked",
        Gap::NotSeen => "not seen",
        Gap::NotComputed => "not computed",
        Gap::Idle => "idle",
    }
}

fn finding<'a>(
    facts: &'a Facts<'_>,
    finding: &'a Finding,
    phrase: Phrase<'a>,
) -> FindingObject<'a> {
    let rule = phrase.flow.rule(finding.rule);
    let source = rule.map_or("", |rule| rule.source.as_str());
    FindingObject {
        rule: rule_id(phrase, finding.rule),
        level: finding.level.as_str(),
        at: finding.at,
        says: phrase.says(facts, finding),
        evidence: finding
            .evidence
            .iter()
            .filter_map(|spot| {
                facts
                    .value(&spot.fact, spot.at)
                    .map(|value| fact(spot, value, Some(facts.layer(spot))))
            })
            .collect(),
        source,
        status: phrase
            .flow
            .source(source)
            .map_or("", |source| source.status.words()),
        asks: phrase.asks(facts, finding),
        bench: phrase.bench(facts, finding),
        same_cause: finding
            .folded
            .iter()
            .map(|folded| self::finding(facts, folded, phrase))
            .collect(),
    }
}

fn fact<'a>(spot: &'a Spot, value: &Value, layer: Option<Layer>) -> FactObject<'a> {
    let (value, unit) = match value {
        Value::Number(number, unit) => (
            serde_json::json!(number),
            Some(unit.symbol()).filter(|symbol| !symbol.is_empty()),
        ),
        Value::Yes => (true.into(), None),
        Value::No => (false.into(), None),
        Value::Choice(name) => (name.as_str().into(), None),
        Value::Text(text) => (text.as_str().into(), None),
        Value::Day(day) => (day.to_string().into(), None),
        Value::Teeth(teeth) => (
            teeth
                .iter()
                .map(ToString::to_string)
                .collect::<Vec<_>>()
                .into(),
            None,
        ),
        Value::NotSeen => (serde_json::Value::Null, None),
    };
    let layer = layer.map(|layer| match layer {
        Layer::Suspended => "suspended",
        Layer::Measured => "measured",
        Layer::Decided => "decided",
        Layer::Proposed => "proposed",
    });
    FactObject {
        fact: &spot.fact,
        at: spot.at,
        value,
        unit,
        layer,
    }
}
