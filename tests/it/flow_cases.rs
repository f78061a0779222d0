//! What the shipped flow makes of ordinary work: nothing.

use std::collections::BTreeMap;

use casepan::case::{OrderedKind, Restoration, Role, Unit, Units};
use casepan::fact::{FactId, Kind, Place, PlaceKind, Spot, Unit as Measure, Value};
use casepan::flow::{Flow, embedded};
use casepan::logic::{Gap, Sight, Truth, World};
use casepan::tooth::Tooth;

/// Answers and worked-out facts by name, the same at every place; what is missing is idle.
struct Bench {
    units: Units,
    facts: BTreeMap<&'static str, Value>,
    idle: Vec<(Spot, Gap)>,
}

impl Bench {
    fn with(mut self, fact: &'static str, value: Value) -> Bench {
        self.facts.insert(fact, value);
        self
    }
}

impl World for Bench {
    fn sight(&self, fact: &FactId, _: Place) -> Sight<'_> {
        match self.facts.get(fact.as_str()) {
            Some(value) => Sight::Known(value),
            None => Sight::Unknown(self.idle.clone()),
        }
    }

    fn resolve(&self, fact: &FactId, at: Place) -> Option<Place> {
        self.units.resolve(fact.spec()?.at, at)
    }

    fn within(&self, at: Place, kind: PlaceKind) -> Vec<Place> {
        self.units.within(at, kind)
    }
}

fn iso(number: u8) -> Tooth {
    Tooth::from_iso(number).expect("an ISO 3950 number")
}

fn choice(name: &str) -> Value {
    Value::Choice(name.to_owned())
}

fn mm(number: f64) -> Value {
    Value::Number(number, Measure::Mm)
}

fn number(number: f64, unit: Measure) -> Value {
    Value::Number(number, unit)
}

/// A crown on an upper first molar as a careful dentist sends it, with an impression; zirconia and a resin-modified
/// glass ionomer. Worked-out values by hand from the readings.
fn sound_crown() -> Bench {
    let units = vec![Restoration {
        id: 1,
        ordered: OrderedKind::Crown,
        units: vec![Unit {
            tooth: iso(26),
            role: Role::Abutment,
        }],
    }];
    let day = |text: &str| Value::Day(text.parse().expect("a day"));
    let facts = [
        ("order.scope", choice("teeth")),
        ("order.matches", choice("yes")),
        ("order.shade_given", Value::Yes),
        ("order.material", choice("zirconia-3y")),
        ("order.cement", choice("resin-modified")),
        ("order.make", choice("first")),
        ("records.kind", choice("impression")),
        ("records.disinfected", Value::Yes),
        ("impression.tray", choice("full-arch")),
        ("impression.material", choice("vinyl-polysiloxane")),
        ("impression.taken", day("2025-03-03")),
        ("impression.poured", day("2025-03-05")),
        ("records.pour_sound", Value::Yes),
        ("records.opposing", choice("present")),
        ("records.opposing_state", choice("sound")),
        ("bite.record", choice("full")),
        ("bite.models_close", choice("one-way")),
        ("unit.bite", choice("normal")),
        ("habit.grinding", choice("none")),
        ("habit.facets", choice("light")),
        ("tooth.margin_seen", choice("all")),
        ("tooth.height", mm(4.5)),
        ("tooth.width_margin_md", mm(7.0)),
        ("tooth.width_top_md", mm(5.6)),
        ("tooth.width_margin_fl", mm(8.8)),
        ("tooth.width_top_fl", mm(7.2)),
        ("tooth.clearance", mm(1.0)),
        ("tooth.undercut", choice("none")),
        ("tooth.grooves", choice("none")),
        ("tooth.core", choice("filled")),
        ("tooth.neighbour_in_path", Value::No),
        ("tooth.carries_denture", Value::No),
        // Worked out.
        ("restoration.kind", choice("crown")),
        ("restoration.units", number(1.0, Measure::Count)),
        ("restoration.region", choice("back")),
        ("restoration.span_allowed", Value::Yes),
        (
            "restoration.cantilever_pontics",
            number(0.0, Measure::Count),
        ),
        ("restoration.has_canine", Value::No),
        ("impression.age_days", number(2.0, Measure::Count)),
        ("tooth.class", choice("molar")),
        ("tooth.height_used", mm(4.5)),
        ("tooth.base", mm(8.8)),
        // 4.5 / 8.8, and 2·atan(0.8 / 4.5) facial to lingual.
        ("tooth.height_to_base", number(0.51, Measure::Ratio)),
        ("tooth.total_taper", number(20.2, Measure::Deg)),
        ("tooth.quick_flag", Value::No),
        // 0.7 wanted, 1.0 there.
        ("tooth.clearance_short", mm(-0.3)),
        ("tooth.failing_directions", number(0.0, Measure::Count)),
        ("tooth.opposite_pair_fails", Value::No),
        ("wall.height_used", mm(4.5)),
        ("wall.taper_used", number(10.1, Measure::Deg)),
        ("wall.resists", Value::Yes),
        ("wall.resisting_share", number(66.0, Measure::Percent)),
    ];
    Bench {
        units: Units::new(units).expect("one crown"),
        facts: facts.into_iter().collect(),
        idle: vec![(
            Spot {
                fact: FactId::named("order.scope"),
                at: Place::Case,
            },
            Gap::Idle,
        )],
    }
}

fn flow() -> Flow {
    embedded().flow.expect("the shipped flow")
}

/// Questions that come up, each with its kind of value, once for each place.
fn come_up(flow: &Flow, bench: &Bench) -> Vec<(FactId, Kind)> {
    let mut list = Vec::new();
    for question in &flow.questions {
        for place in bench.units.within(Place::Case, question.at) {
            if question.when.eval(bench, place).truth == Truth::True {
                let kind = flow
                    .spec(&question.fact)
                    .expect("a known fact")
                    .kind
                    .clone();
                list.push((question.fact.clone(), kind));
            }
        }
    }
    list
}

/// What fires or is open, as `rule at place: what`.
fn told(flow: &Flow, bench: &Bench) -> Vec<String> {
    let mut list = Vec::new();
    for rule in &flow.rules {
        for place in bench.units.within(Place::Case, rule.at) {
            let outcomes: Vec<_> = rule
                .levels
                .iter()
                .map(|(level, condition)| (level, condition.eval(bench, place)))
                .collect();
            let fired = outcomes
                .iter()
                .find(|(_, outcome)| outcome.truth == Truth::True);
            if let Some((level, _)) = fired {
                list.push(format!("{} at {place}: {level:?}", rule.id));
            } else if outcomes.iter().any(|(_, outcome)| outcome.is_open()) {
                list.push(format!("{} at {place}: open", rule.id));
            }
        }
    }
    list
}

#[test]
fn a_sound_crown_draws_nothing() {
    let (flow, bench) = (flow(), sound_crown());
    assert_eq!(told(&flow, &bench), Vec::<String>::new());
}

/// A clean crown takes three minutes: about forty answers and numbers, nothing about walls or bridges.
#[test]
fn a_sound_crown_is_asked_little() {
    let (flow, bench) = (flow(), sound_crown());
    let asked = come_up(&flow, &bench);
    for (fact, _) in &asked {
        assert!(
            bench.facts.contains_key(fact.as_str()),
            "{fact} comes up and has no answer here"
        );
    }
    let readings = asked
        .iter()
        .filter(|(_, kind)| matches!(kind, Kind::Number { .. }))
        .count();
    assert_eq!(readings, 6);
    assert!(asked.len() <= 33, "{} questions", asked.len());
    assert!(!asked.iter().any(|(fact, _)| {
        ["wall.", "pontic.", "connector.", "scan.", "remake."]
            .iter()
            .any(|prefix| fact.as_str().starts_with(prefix))
    }));
}

/// Güth 2013, Clin Oral Investig 17:1389-95: mean total taper 26.7° on upper first molars. With the published least
/// height of 4 mm (Goodacre 2001) and a base of 8.8 mm (10 mm at the neck, ash-tooth-dimensions, less twice the 0.6 mm
/// that finish lines measure, Tiu 2015) the half-wall rule gives ½·asin(4/8.8) = 13.5° a wall, and 13.35° passes.
#[test]
fn average_practice_draws_nothing() {
    let height: f64 = 4.0;
    let base: f64 = 8.8;
    let limit = 0.5 * (height / base).asin().to_degrees();
    assert!(26.7 / 2.0 < limit, "{limit}");
    // 1 - B·sin T·cos T / H, in per cent.
    let (sine, cosine) = 13.35_f64.to_radians().sin_cos();
    let share = 100.0 * (1.0 - base * sine * cosine / height);
    let bench = sound_crown()
        .with("tooth.height", mm(height))
        .with("tooth.height_used", mm(height))
        .with(
            "tooth.height_to_base",
            number(height / base, Measure::Ratio),
        )
        .with("tooth.total_taper", number(26.7, Measure::Deg))
        .with("wall.taper_used", number(13.35, Measure::Deg))
        .with("wall.resisting_share", number(share, Measure::Percent));
    assert_eq!(told(&flow(), &bench), Vec::<String>::new());
}

/// The shape of a stump is told as one: every rule that looks at height, ratio, taper or resistance has one topic.
#[test]
fn a_low_wide_stump_is_one_topic() {
    let bench = sound_crown()
        .with("tooth.height_used", mm(3.0))
        .with("tooth.height_to_base", number(0.34, Measure::Ratio))
        .with("tooth.total_taper", number(32.0, Measure::Deg))
        .with("tooth.failing_directions", number(2.0, Measure::Count))
        .with("tooth.opposite_pair_fails", Value::Yes)
        .with("wall.resisting_share", number(22.0, Measure::Percent));
    let flow = flow();
    let told = told(&flow, &bench);
    assert_eq!(
        told,
        [
            "stump-short at 26: Watch",
            "low-for-its-width at 26: Watch",
            "tips-off at 26: Call",
            "taper-without-hold at 26: Call",
        ]
    );
    for line in told {
        let id = line.split(' ').next().expect("an id");
        let rule = flow
            .rules
            .iter()
            .find(|rule| rule.id == id)
            .expect("the rule");
        assert_eq!(rule.topic.as_deref(), Some("stump"), "{id}");
    }
}

/// A scan asks for nothing about impressions, and a full-arch impression for nothing about dual-arch trays.
#[test]
fn records_ask_for_their_own_kind_only() {
    let flow = flow();
    let mut scan = sound_crown().with("records.kind", choice("scan"));
    scan.facts
        .retain(|fact, _| !fact.starts_with("impression."));
    let asked: Vec<String> = come_up(&flow, &scan)
        .iter()
        .map(|(fact, _)| fact.to_string())
        .collect();
    assert!(!asked.iter().any(|fact| fact.starts_with("impression.")));
    assert_eq!(
        asked
            .iter()
            .filter(|fact| fact.starts_with("scan."))
            .count(),
        5
    );
    let dual = sound_crown().with("impression.tray", choice("dual-arch"));
    let more = come_up(&flow, &dual).len() - come_up(&flow, &sound_crown()).len();
    // Stiffness, stops, tissue, canine, neighbours, last tooth.
    assert_eq!(more, 6);
}
