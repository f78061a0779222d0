//! Invented cases at good practice: every question that comes up is answered as a careful dentist's case would have it.

use std::sync::LazyLock;

use casepan::case::{
    Case, CaseUnit, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Units,
};
use casepan::derive::{Facts, Turn};
use casepan::fact::{FactId, Place, PlaceKind, Side, Spot, Unit as Measure, Value};
use casepan::flow::{Flow, Level, Material, StepBlock, embedded};
use casepan::judge::{Finding, Judgement, judge};
use casepan::tooth::{Tooth, ToothClass, size};

static FLOW: LazyLock<Flow> = LazyLock::new(|| embedded().flow.expect("the shipped flow"));

pub(crate) fn flow() -> &'static Flow {
    &FLOW
}

pub(crate) fn choice(name: &str) -> Value {
    Value::Choice(name.to_owned())
}

pub(crate) fn mm(number: f64) -> Value {
    Value::Number(number, Measure::Mm)
}

pub(crate) fn deg(number: f64) -> Value {
    Value::Number(number, Measure::Deg)
}

pub(crate) fn count(number: f64) -> Value {
    Value::Number(number, Measure::Count)
}

pub(crate) fn day(text: &str) -> Value {
    Value::Day(text.parse().expect("a day"))
}

fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

/// A case of one restoration, written as `13 x14 15`, an x before each tooth that is missing. Material and cement are
/// on the order, nothing else is answered.
pub(crate) fn pan(units: &str, material: &str, cement: &str) -> Case {
    let units: Vec<CaseUnit> = units
        .split(' ')
        .map(|unit| CaseUnit {
            tooth: Tooth::from_iso(unit.trim_start_matches('x').parse().expect("a number"))
                .expect("an ISO 3950 number"),
            role: if unit.starts_with('x') {
                Role::Pontic
            } else {
                Role::Abutment
            },
        })
        .collect();
    let pontic = units.iter().any(|unit| unit.role == Role::Pontic);
    let ordered = match units.len() {
        1 => OrderedKind::Crown,
        _ if pontic => OrderedKind::Bridge,
        _ => OrderedKind::Splinted,
    };
    let units = Units::new(vec![Restoration {
        id: 1,
        ordered,
        units,
    }])
    .expect("units");
    let flow = FlowRef {
        id: "fixed".to_owned(),
        version: flow().version,
        digest: String::new(),
    };
    let mut case = Case::new("invented", flow, units);
    put(&mut case, "order.material", "R1", choice(material));
    put(&mut case, "order.cement", "R1", choice(cement));
    case
}

/// Answers one question. A wrong name, place or value fails here and not as an unknown fact.
#[track_caller]
pub(crate) fn put(case: &mut Case, fact: &str, at: &str, value: Value) {
    let fact = FactId::named(fact);
    let spec = flow().spec(&fact).expect("a known fact");
    if let Err(misfit) = spec.check(&value) {
        panic!("{fact} at {at}: {misfit:?}");
    }
    let at: Place = at.parse().expect("a place");
    assert!(case.units.is_kind(at, spec.at), "{fact} at {at}");
    case.put(Spot { fact, at }, Layer::Measured, Reading::plain(value));
}

/// An answer that [`finish`] gave.
pub(crate) struct Answered {
    /// The fact.
    pub(crate) fact: FactId,
}

/// Answers with good answers every question that comes up until none is left. What stands in the case already stays.
/// With `design`, the questions after the design too. Returns the answers one by one, as the inspection would ask for them.
pub(crate) fn finish_one_by_one(case: &mut Case, design: bool) -> Vec<Answered> {
    finish_in(case, design, 1)
}

/// The same, faster: all that comes up is answered at once, so that an answer may be given whose question goes idle by
/// one before it.
pub(crate) fn finish(case: &mut Case, design: bool) -> Vec<Answered> {
    finish_in(case, design, usize::MAX)
}

fn finish_in(case: &mut Case, design: bool, at_once: usize) -> Vec<Answered> {
    let mut answered = Vec::new();
    loop {
        let batch = coming_up(case, design, at_once);
        if batch.is_empty() {
            return answered;
        }
        for spot in batch {
            let value = good(case, &spot);
            put(case, spot.fact.as_str(), &spot.at.to_string(), value);
            answered.push(Answered { fact: spot.fact });
        }
        assert!(answered.len() < 1000, "the questions never end");
    }
}

/// The first unanswered questions that come up, in the order of the inspection.
fn coming_up(case: &Case, design: bool, at_once: usize) -> Vec<Spot> {
    let facts = Facts::with(flow(), case, casepan::derive::Precision::Quick);
    let mut list = Vec::new();
    for step in flow()
        .steps
        .iter()
        .filter(|step| design || step.id != "design")
    {
        for block in &step.blocks {
            let asked = match block {
                StepBlock::Ask(fact) => std::slice::from_ref(fact),
                StepBlock::Grid { rows, .. } => rows.as_slice(),
            };
            for fact in asked {
                let question = flow().question(fact).expect("a question");
                for at in case.units.within(Place::Case, question.at) {
                    if facts.turn(fact, at) == Turn::Up && case.value(fact, at).is_none() {
                        let fact = fact.clone();
                        list.push(Spot { fact, at });
                        if list.len() == at_once {
                            return list;
                        }
                    }
                }
            }
        }
    }
    list
}

pub(crate) fn judged(case: &Case) -> Judgement {
    judge(
        flow(),
        &Facts::with(flow(), case, casepan::derive::Precision::Quick),
    )
}

pub(crate) fn rule_of(finding: &Finding) -> &'static str {
    &flow().rule(finding.rule).expect("a rule").id
}

/// The heads of what was found: rule, place, level.
pub(crate) fn heads(judgement: &Judgement) -> Vec<(&'static str, String, Level)> {
    judgement
        .findings
        .iter()
        .map(|finding| (rule_of(finding), finding.at.to_string(), finding.level))
        .collect()
}

/// Open points in words, without those that wait for the design.
pub(crate) fn open(judgement: &Judgement) -> Vec<String> {
    let drawn = ["connector.height", "connector.width", "connector.section"];
    judgement
        .open_points
        .iter()
        .filter(|point| {
            !point
                .needs
                .iter()
                .all(|(spot, _)| drawn.contains(&spot.fact.as_str()))
        })
        .map(|point| {
            format!(
                "{} at {}: {:?}",
                point
                    .rule
                    .and_then(|rule| flow().rule(rule))
                    .map_or("kind of work", |rule| &rule.id),
                point.at,
                point.needs
            )
        })
        .collect()
}

/// Heights of preps at good practice, in mm: over the published least of 4 for molars and 3 for others (Goodacre 2001).
fn good_height(tooth: Tooth) -> f64 {
    match tooth.class() {
        ToothClass::Molar => 4.5,
        ToothClass::Premolar => 4.2,
        ToothClass::Canine | ToothClass::Incisor => 5.0,
    }
}

fn material(case: &Case, at: Place) -> &'static Material {
    let at = case
        .units
        .resolve(PlaceKind::Restoration, at)
        .expect("a restoration");
    let id = case
        .value(&FactId::named("order.material"), at)
        .and_then(Value::choice)
        .expect("a material");
    flow().material(id).expect("a material of the flow")
}

/// The width at the margin: the usual width of the tooth at the neck less the margin on both sides.
fn good_base(case: &Case, tooth: Tooth, mesiodistal: bool) -> f64 {
    let size = size(tooth);
    let neck = if mesiodistal {
        size.mesiodistal_cervix
    } else {
        size.faciolingual_cervix
    };
    tenth(neck - 2.0 * material(case, Place::Unit(tooth)).margin_depth)
}

/// The width at the top for a total taper of 12°, within the 10 to 20° advised (Goodacre 2001).
fn good_top(case: &Case, tooth: Tooth, mesiodistal: bool) -> f64 {
    let name = if mesiodistal {
        "tooth.width_margin_md"
    } else {
        "tooth.width_margin_fl"
    };
    let entered = |name: &str| {
        case.value(&FactId::named(name), Place::Unit(tooth))
            .and_then(Value::number)
    };
    let base = entered(name).unwrap_or_else(|| good_base(case, tooth, mesiodistal));
    let height = entered("tooth.height").unwrap_or_else(|| good_height(tooth));
    tenth(base - 2.0 * height * 6_f64.to_radians().tan()).max(0.5)
}

fn all_within(case: &Case, at: Place, kind: PlaceKind) -> Value {
    let places = case.units.within(at, kind).into_iter();
    Value::Teeth(
        places
            .filter_map(|place| match place {
                Place::Unit(tooth) => Some(tooth),
                _ => None,
            })
            .collect(),
    )
}

/// Says whether the least connector here is more than three units of any material need, in mm².
fn needs_much(case: &Case, at: Place) -> bool {
    let facts = Facts::without_search(flow(), case);
    let least = facts.value(&FactId::named("connector.least_area"), at);
    least
        .and_then(Value::number)
        .is_some_and(|least| least > 16.0)
}

/// A good answer. Common practice throughout, no source.
pub(crate) fn good(case: &Case, spot: &Spot) -> Value {
    let name = spot.fact.as_str();
    match (name, spot.at) {
        ("tooth.height", Place::Unit(tooth)) => return mm(good_height(tooth)),
        ("wall.height", Place::Wall(tooth, _)) => {
            let height = case.value(&FactId::named("tooth.height"), Place::Unit(tooth));
            return height.cloned().expect("the quick pass came before");
        }
        ("tooth.width_margin_md", Place::Unit(tooth)) => return mm(good_base(case, tooth, true)),
        ("tooth.width_margin_fl", Place::Unit(tooth)) => return mm(good_base(case, tooth, false)),
        ("tooth.width_top_md", Place::Unit(tooth)) => return mm(good_top(case, tooth, true)),
        ("tooth.width_top_fl", Place::Unit(tooth)) => return mm(good_top(case, tooth, false)),
        ("tooth.clearance", at) => return mm(tenth(material(case, at).occlusal + 0.2)),
        ("wall.margin_width" | "tooth.margin_width", at) => {
            let least = material(case, at).margin_depth;
            let bands = &flow().question(&spot.fact).expect("a question").bands;
            return mm(*bands.iter().find(|band| **band >= least).expect("a band"));
        }
        ("pontic.span", Place::Unit(tooth)) => return mm(size(tooth).mesiodistal_crown),
        // Nothing of what is asked by exception is there.
        ("restoration.usual_occlusion", at) => return all_within(case, at, PlaceKind::Unit),
        ("restoration.usual_path" | "restoration.usual_preps", at) => {
            return all_within(case, at, PlaceKind::Abutment);
        }
        // A canine that is missing cannot guide.
        ("bite.guidance", _) => {
            let missing = case.units.restorations().iter().any(|r| {
                r.teeth(Role::Pontic)
                    .any(|tooth| tooth.class() == ToothClass::Canine)
            });
            return choice(if missing { "group" } else { "canine" });
        }
        _ => {}
    }
    match name {
        "order.scope" => choice("teeth"),
        "order.matches" => choice("yes"),
        "order.make" => choice("first"),
        "order.fitting_surface" => choice("not-said"),
        "remake.what" => choice("open-margin"),
        "remake.broke_at" => choice("veneer"),
        "remake.times" => count(1.0),
        "remake.cement_left" => choice("both"),
        "remake.old_cement" => choice("zinc-phosphate"),
        "remake.loose" => Value::Teeth(
            case.units
                .restorations()
                .iter()
                .flat_map(|r| r.teeth(Role::Abutment))
                .collect(),
        ),
        "records.kind" => choice("impression"),
        "impression.tray" => choice("full-arch"),
        "impression.stiffness" => choice("metal"),
        "impression.material" => choice("vinyl-polysiloxane"),
        "impression.taken" => day("2026-11-16"),
        "impression.poured" => day("2026-11-17"),
        "impression.waited" => choice("half-hour"),
        "restoration.neighbours" => choice("both"),
        "scan.gaps" => choice("none"),
        "scan.size" => choice("true"),
        "scan.margin_line" => choice("on-edge"),
        "records.opposing" => choice("present"),
        "records.opposing_state" => choice("sound"),
        "bite.record" => choice("none"),
        "bite.models_close" => choice("one-way"),
        "bite.stable_stops" => count(8.0),
        "bite.class" => choice("I"),
        "bite.anterior" | "unit.occlusion" | "tooth.prep_colour" => choice("normal"),
        "bite.overlap_vertical" | "bite.overlap_horizontal" => mm(2.0),
        "bite.opposed_by" => choice("natural"),
        "habit.grinding" => choice("none"),
        "habit.facets" => choice("light"),
        "tooth.margin_seen" => choice("all"),
        "tooth.margin_defect" | "tooth.undercut" | "tooth.grooves" | "tooth.mobility" => {
            choice("none")
        }
        "tooth.core" => choice("filled"),
        "tooth.uneven" => choice("top-slopes"),
        "tooth.tilt" | "wall.taper" => deg(6.0),
        "tooth.sound_above_margin" => mm(2.5),
        "tooth.bone_to_margin" => mm(3.0),
        "wall.form" => choice("straight"),
        "wall.straight_height" => mm(3.0),
        "pontic.contact" => choice("closing"),
        "wall.margin_step" => mm(0.0),
        "wall.margin_form" | "tooth.margin_form" => choice("chamfer"),
        "wall.margin_to_gum" | "tooth.margin_to_gum" => choice("at"),
        "tooth.contact" => choice("usual"),
        "tooth.post" => choice("fibre"),
        "pontic.form" => choice("modified-lap"),
        "bite.articulation" => choice("average"),
        "bite.vertical" => choice("kept"),
        "restoration.connector_space" => choice("ample"),
        "pontic.ridge" => choice("healed"),
        // 17.7 mm² as a round section; the largest least of a bridge of three units is 16. A longer span has more.
        "connector.space_height" if needs_much(case, spot.at) => mm(5.5),
        "connector.space_width" if needs_much(case, spot.at) => mm(5.0),
        "connector.height" if needs_much(case, spot.at) => mm(5.0),
        "connector.width" if needs_much(case, spot.at) => mm(4.5),
        "connector.space_height" => mm(5.0),
        "connector.space_width" => mm(4.5),
        "connector.height" => mm(4.5),
        "connector.width" => mm(4.0),
        "connector.section" => choice("rounded-box"),
        "tooth.tilt_toward" => choice("mesial"),
        "order.age_band" => choice("18-64"),
        "order.seating_day" => day("2026-12-01"),
        "order.fee_lines" => Value::Text("crown".to_owned()),
        "records.model_sound"
        | "order.shade_given"
        | "records.disinfected"
        | "records.pour_sound"
        | "impression.stops"
        | "impression.canine_in"
        | "scan.bites_agree"
        | "records.untrimmed_kept"
        | "records.temporary_model"
        | "records.incisal_edge"
        | "remake.cause_written"
        | "habit.night_guard" => Value::Yes,
        "order.metal_sensitivity"
        | "impression.tray_on_tissue"
        | "scan.stitch_step"
        | "restoration.last_tooth"
        | "remake.broke_here"
        | "tooth.neighbour_in_path"
        | "tooth.sharp_edges"
        | "tooth.root_filled"
        | "tooth.carries_denture" => Value::No,
        other => panic!("no good answer to {other}"),
    }
}

/// The four walls of a tooth, as places in files.
pub(crate) fn walls(tooth: &str) -> [String; 4] {
    Side::ALL.map(|side| format!("{tooth}/{}", side.as_str()))
}
