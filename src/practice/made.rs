//! The case of a drill: what was drawn, and everything else as a careful dentist's case would have it.

use crate::case::{Case, CaseUnit, FlowRef, Layer, OrderedKind, Reading, Restoration, Role, Units};
use crate::derive::{Facts, Precision, Turn};
use crate::fact::{FactId, Place, PlaceKind, Spot, Unit, Value};
use crate::flow::{Flow, StepBlock};
use crate::tooth::{Tooth, ToothClass, size};

/// The only restoration.
pub(super) const ONLY: Place = Place::Restoration(1);

/// Returns a case of one restoration, given as teeth and whether each is a pontic.
pub(super) fn ordered(flow: &Flow, teeth: &[(Tooth, bool)], of: (&str, &str)) -> Option<Case> {
    let units = teeth.iter().map(|(tooth, pontic)| CaseUnit {
        tooth: *tooth,
        role: if *pontic {
            Role::Pontic
        } else {
            Role::Abutment
        },
    });
    let ordered = match teeth {
        [_] => OrderedKind::Crown,
        _ => OrderedKind::Bridge,
    };
    let restoration = Restoration {
        id: 1,
        ordered,
        units: units.collect(),
    };
    let flow_of = FlowRef {
        id: flow.id.clone(),
        version: flow.version,
        digest: flow.digest.clone(),
    };
    let mut case = Case::new("drill", flow_of, Units::new(vec![restoration]).ok()?);
    put(flow, &mut case, "order.material", ONLY, choice(of.0))?;
    put(flow, &mut case, "order.cement", ONLY, choice(of.1))?;
    Some(case)
}

pub(super) fn choice(id: &str) -> Value {
    Value::Choice(id.to_owned())
}

pub(super) fn mm(number: f64) -> Value {
    Value::Number(number, Unit::Mm)
}

/// Names a place of a fact.
pub(super) fn spot(fact: &str, at: Place) -> Spot {
    let fact = FactId::named(fact);
    Spot { fact, at }
}

/// Enters an answer; `None` if the flow has no such fact or no such value.
pub(super) fn put(
    flow: &Flow,
    case: &mut Case,
    fact: &str,
    at: Place,
    value: Value,
) -> Option<Spot> {
    let spot = spot(fact, at);
    let spec = flow.spec(&spot.fact)?;
    (spec.check(&value).is_ok() && case.units.is_kind(at, spec.at)).then_some(())?;
    let scanned = case
        .value(&FactId::named("records.kind"), Place::Case)
        .and_then(Value::choice)
        == Some("scan");
    let with = flow.question(&spot.fact).and_then(|question| {
        let mut instruments = question.with.iter().map(|(id, _)| id);
        instruments.find(|id| {
            flow.instrument(id)
                .is_some_and(|own| own.of_scan == scanned)
        })
    });
    let reading = Reading {
        with: with.cloned(),
        ..Reading::plain(value)
    };
    case.put(spot.clone(), Layer::Measured, reading);
    Some(spot)
}

/// Rounds of questions until it is given up.
const ROUNDS: usize = 40;

/// Answers what the flow asks and nobody drew, until nothing is left to ask. `None` where it asks what is not known here: a
/// drill on a case that is open would teach nothing.
pub(super) fn finish(flow: &Flow, case: &mut Case) -> Option<()> {
    // What is asked hangs on answers, and a few questions on the grip, which takes longer.
    for searched in [false, true] {
        for round in 0.. {
            let asked = coming_up(flow, case, searched);
            if asked.is_empty() {
                break;
            }
            if round == ROUNDS {
                return None;
            }
            for spot in asked {
                let value = sound(flow, case, &spot)?;
                put(flow, case, spot.fact.as_str(), spot.at, value)?;
            }
        }
    }
    Some(())
}

/// The questions that come up and have no answer.
fn coming_up(flow: &Flow, case: &Case, searched: bool) -> Vec<Spot> {
    let facts = match searched {
        true => Facts::with(flow, case, Precision::Quick),
        false => Facts::without_search(flow, case),
    };
    let mut list = Vec::new();
    // What waits for the design is not part of the inspection, what is asked on the call no part of the judging.
    for step in flow.steps.iter().filter(|step| !step.drawn && !step.aside) {
        for block in &step.blocks {
            let asked = match block {
                StepBlock::Ask(fact) => std::slice::from_ref(fact),
                StepBlock::Grid { rows, .. } => rows.as_slice(),
            };
            for fact in asked {
                let Some(question) = flow.question(fact) else {
                    continue;
                };
                for at in case.units.within(Place::Case, question.at) {
                    if facts.turn(fact, at) == Turn::Up && case.value(fact, at).is_none() {
                        let fact = fact.clone();
                        list.push(Spot { fact, at });
                    }
                }
            }
        }
    }
    list
}

fn teeth_of(case: &Case, kind: PlaceKind) -> Value {
    let places = case.units.within(ONLY, kind).into_iter();
    Value::Teeth(
        places
            .filter_map(|at| match at {
                Place::Unit(tooth) => Some(tooth),
                _ => None,
            })
            .collect(),
    )
}

fn number(case: &Case, fact: &str, at: Place) -> Option<f64> {
    case.value(&FactId::named(fact), at).and_then(Value::number)
}

fn tenth(number: f64) -> f64 {
    (number * 10.0).round() / 10.0
}

/// Choices where nothing is out of the ordinary. Common practice, no source.
const CHOICES: [(&str, &str); 41] = [
    ("order.scope", "teeth"),
    ("order.matches", "yes"),
    ("order.make", "first"),
    ("order.fitting_surface", "not-said"),
    ("order.age_band", "18-64"),
    ("records.kind", "impression"),
    ("records.opposing", "present"),
    ("records.opposing_state", "sound"),
    ("impression.tray", "full-arch"),
    ("impression.stiffness", "metal"),
    ("impression.material", "vinyl-polysiloxane"),
    ("impression.waited", "half-hour"),
    ("restoration.neighbours", "both"),
    ("scan.gaps", "none"),
    ("scan.size", "true"),
    ("scan.margin_line", "on-edge"),
    ("bite.record", "none"),
    ("bite.models_close", "one-way"),
    ("bite.class", "I"),
    ("bite.anterior", "normal"),
    ("bite.articulation", "average"),
    ("bite.vertical", "kept"),
    ("bite.guidance", "canine"),
    ("bite.opposed_by", "natural"),
    ("unit.occlusion", "normal"),
    ("habit.grinding", "none"),
    ("habit.facets", "light"),
    ("tooth.margin_seen", "all"),
    ("tooth.margin_form", "chamfer"),
    ("wall.margin_form", "chamfer"),
    ("tooth.margin_to_gum", "at"),
    ("wall.margin_to_gum", "at"),
    ("tooth.margin_defect", "none"),
    ("tooth.undercut", "none"),
    ("tooth.grooves", "none"),
    ("tooth.core", "filled"),
    ("tooth.uneven", "top-slopes"),
    ("tooth.contact", "usual"),
    ("tooth.prep_colour", "normal"),
    ("wall.form", "straight"),
    ("restoration.connector_space", "ample"),
];

const MORE_CHOICES: [(&str, &str); 5] = [
    ("pontic.ridge", "healed"),
    ("pontic.form", "modified-lap"),
    ("pontic.contact", "closing"),
    ("tooth.mobility", "none"),
    ("tooth.post", "fibre"),
];

const YES: [&str; 9] = [
    "order.shade_given",
    "records.disinfected",
    "records.pour_sound",
    "records.model_sound",
    "records.untrimmed_kept",
    "impression.stops",
    "impression.canine_in",
    "scan.bites_agree",
    "habit.night_guard",
];

const NO: [&str; 8] = [
    "order.metal_sensitivity",
    "impression.tray_on_tissue",
    "scan.stitch_step",
    "restoration.last_tooth",
    "tooth.neighbour_in_path",
    "tooth.sharp_edges",
    "tooth.root_filled",
    "tooth.carries_denture",
];

/// A sound answer to a question, or `None` if none is known here.
fn sound(flow: &Flow, case: &Case, spot: &Spot) -> Option<Value> {
    let name = spot.fact.as_str();
    let found = |list: &[(&str, &str)]| {
        let own = list.iter().find(|(own, _)| *own == name);
        own.map(|(_, id)| choice(id))
    };
    if let Some(value) = found(&CHOICES).or_else(|| found(&MORE_CHOICES)) {
        return Some(value);
    }
    if YES.contains(&name) {
        return Some(Value::Yes);
    }
    if NO.contains(&name) {
        return Some(Value::No);
    }
    // A day and the next: no pour is too late.
    let day = |day: i8| jiff::civil::Date::new(2026, 1, day).ok().map(Value::Day);
    match (name, spot.at) {
        ("impression.taken", _) => day(12),
        ("impression.poured", _) => day(13),
        ("order.seating_day", _) => day(27),
        ("bite.stable_stops", _) => Some(Value::Number(8.0, Unit::Count)),
        ("bite.overlap_vertical" | "bite.overlap_horizontal", _) => Some(mm(2.0)),
        ("tooth.sound_above_margin", _) => Some(mm(2.5)),
        ("tooth.bone_to_margin", _) => Some(mm(3.0)),
        ("wall.margin_step", _) => Some(mm(0.0)),
        ("wall.straight_height", _) => Some(mm(3.0)),
        ("wall.taper", _) => Some(Value::Number(6.0, Unit::Deg)),
        ("connector.space_height", _) => Some(mm(5.0)),
        ("connector.space_width", _) => Some(mm(4.5)),
        ("restoration.usual_occlusion", _) => Some(teeth_of(case, PlaceKind::Unit)),
        ("restoration.usual_path" | "restoration.usual_preps", _) => {
            Some(teeth_of(case, PlaceKind::Abutment))
        }
        ("pontic.span", Place::Unit(tooth)) => Some(mm(size(tooth).mesiodistal_crown)),
        (_, Place::Unit(tooth)) => of_prep(flow, case, name, tooth),
        (_, Place::Wall(tooth, _)) => of_prep(flow, case, name, tooth),
        _ => None,
    }
}

/// A prep at good practice: over the published least of 4 mm on molars and 3 on others, 12° of total taper within the 10 to 20°
/// advised (Goodacre 2001), and a fifth of a millimetre of room to spare.
fn of_prep(flow: &Flow, case: &Case, name: &str, tooth: Tooth) -> Option<Value> {
    let at = Place::Unit(tooth);
    let material = case
        .value(&FactId::named("order.material"), ONLY)
        .and_then(Value::choice)?;
    let material = flow.material(material)?;
    let height = number(case, "tooth.height", at).unwrap_or(match tooth.class() {
        ToothClass::Molar => 4.5,
        ToothClass::Premolar => 4.2,
        ToothClass::Canine | ToothClass::Incisor => 5.0,
    });
    let (neck, margin) = match name {
        "tooth.width_margin_md" | "tooth.width_top_md" => {
            (size(tooth).mesiodistal_cervix, "tooth.width_margin_md")
        }
        _ => (size(tooth).faciolingual_cervix, "tooth.width_margin_fl"),
    };
    let base = number(case, margin, at).unwrap_or(tenth(neck - 2.0 * material.margin_depth));
    let number = match name {
        "tooth.height" | "wall.height" => height,
        "tooth.width_margin_md" | "tooth.width_margin_fl" => base,
        "tooth.width_top_md" | "tooth.width_top_fl" => {
            tenth(base - 2.0 * height * 6_f64.to_radians().tan()).max(0.5)
        }
        "tooth.clearance" => tenth(material.occlusal + 0.4),
        "tooth.margin_width" | "wall.margin_width" => {
            // A fair amount over the least, so that no reading error brings it under.
            let bands = &flow.question(&FactId::named(name))?.bands;
            let enough = |band: &&f64| **band >= material.margin_depth + 0.4;
            bands.iter().find(enough).or(bands.last()).copied()?
        }
        _ => return None,
    };
    Some(mm(number))
}
