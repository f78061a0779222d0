//! Shapes that nobody would cut but somebody may type: each has a figure or a named reason, never a panic, never silence.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Facts, Found, Precision, Worked};
use casepan::fact::{CATALOGUE, FactId, Kind, Origin, Place, PlaceKind, Spot, Value};
use casepan::judge::judge;
use casepan::logic::Gap;
use casepan::mechanics::dislodgement::grip::{MESH, Retainer, Shared};
use casepan::mechanics::dislodgement::share::Root;
use casepan::mechanics::dislodgement::{Limits, Load, Settings};
use casepan::mechanics::frame::{Abutment, Frame};
use casepan::mechanics::prep::{Preparation, Wall};
use casepan::print::{Sheet, document};
use proptest::prelude::*;

use crate::made::{any_value, case, choice, deg, flow, mm, spot, units};

const LINES: [&str; 7] = [
    "46",
    "44 x45 46",
    "x12 13; 26",
    "13 x12 x11 x21 x22 23",
    "15 x16 17 18",
    "x31 x32 x33 x34 x35 x36 37",
    "13 x14 15 x16 17",
];

/// What an ordinary prep measures; everywhere else the whole of the catalogue's box.
fn ordinary(fact: &str) -> Option<(f64, f64)> {
    Some(match fact {
        "tooth.height" | "wall.height" => (0.5, 6.0),
        "tooth.width_margin_md" | "tooth.width_margin_fl" => (3.0, 10.0),
        "tooth.width_top_md" | "tooth.width_top_fl" => (1.0, 9.0),
        "wall.taper" => (0.0, 25.0),
        "wall.straight_height" | "wall.margin_step" => (0.0, 2.0),
        "tooth.tilt" => (0.0, 20.0),
        _ => return None,
    })
}

/// Every asked fact of preps, walls, connectors and pontics: the whole box, its edges often, or what is ordinary. Walls
/// are read one by one or not at all.
fn readings(line: &'static str) -> BoxedStrategy<Case> {
    let units = units(line);
    let kinds = [
        PlaceKind::Unit,
        PlaceKind::Abutment,
        PlaceKind::Pontic,
        PlaceKind::Wall,
        PlaceKind::Connector,
    ];
    let asked = CATALOGUE
        .iter()
        .filter(|spec| spec.origin == Origin::Asked && kinds.contains(&spec.at));
    let mut wild = Vec::new();
    let mut tame = Vec::new();
    for spec in asked {
        for at in units.within(Place::Case, spec.at) {
            let fact = FactId::named(&spec.id);
            let of = |value: BoxedStrategy<Value>| {
                let spot = Spot {
                    fact: fact.clone(),
                    at,
                };
                value.prop_map(move |value| (spot.clone(), value)).boxed()
            };
            wild.push(of(any_value(&spec.kind)));
            tame.push(of(match (&spec.kind, ordinary(&spec.id)) {
                (Kind::Number { unit, .. }, Some((least, most))) => {
                    let unit = *unit;
                    (least..most)
                        .prop_map(move |number| Value::Number(number, unit))
                        .boxed()
                }
                (kind, _) => any_value(kind),
            }));
        }
    }
    let own = [
        ("order.material", "R1", choice("zirconia-3y")),
        ("order.cement", "R1", choice("resin-modified")),
    ];
    (prop_oneof![wild, tame], any::<bool>())
        .prop_map(move |(list, wall_by_wall)| {
            let mut case = case(line, &own);
            for (spot, value) in list {
                let of_wall = ["wall.height", "wall.taper"].contains(&spot.fact.as_str());
                if wall_by_wall || !of_wall {
                    case.put(spot, Layer::Measured, Reading::plain(value));
                }
            }
            case
        })
        .boxed()
}

/// Checks all that was worked out; returns for each restoration its grip, or why there is none.
#[track_caller]
fn outcomes(case: &Case, facts: &Facts<'_>) -> Vec<Result<f64, String>> {
    for (spot, derived) in facts.all_derived() {
        match &derived.result {
            Worked::Out(value) => {
                let spec = spot.fact.spec().expect("a fact of the catalogue");
                assert_eq!(spec.check(value), Ok(()), "{spot:?}: {value:?}");
            }
            Worked::Waits(missing) => assert!(!missing.is_empty(), "{spot:?}"),
            Worked::Refused(why) => assert!(!why.is_empty(), "{spot:?}"),
        }
    }
    for load in facts.details().iter().flat_map(|detail| &detail.loads) {
        match &load.found {
            Found::Figure {
                lambda,
                demand,
                gap,
                grip,
                pressing_share,
                ..
            } => {
                for number in [*lambda, *demand, grip.unwrap_or(1.0)] {
                    assert!(number.is_finite() && number > 0.0, "{load:?}");
                }
                assert!((-1e-12..=1e-3).contains(gap), "{load:?}");
                assert!((-1e-9..=1.0 + 1e-9).contains(pressing_share), "{load:?}");
            }
            Found::NotComputed(why) => assert!(!why.is_empty()),
        }
    }
    case.units
        .restorations()
        .iter()
        .map(|restoration| {
            let at = Place::Restoration(restoration.id);
            let grip = spot("restoration.grip", &at.to_string());
            match &facts.derived(&grip).expect("an outcome").result {
                Worked::Out(value) => Ok(value.number().expect("a number")),
                Worked::Refused(why) => Err(why.clone()),
                // It waits for nothing but figures that were refused: nothing is left to ask.
                Worked::Waits(missing) => {
                    let why = |spot: &Spot| match &facts.derived(spot)?.result {
                        Worked::Refused(why) => Some(why.clone()),
                        _ => None,
                    };
                    let first = missing.first().expect("what it waits for");
                    assert!(
                        missing.iter().all(|spot| why(spot).is_some()),
                        "{missing:?}"
                    );
                    Err(why(first).expect("refused"))
                }
            }
        })
        .collect()
}

/// What has no figure is an open point and is told on the summary, with the reason.
#[track_caller]
fn refusals_are_told(case: &Case, facts: &Facts<'_>, outcomes: &[Result<f64, String>]) {
    let flow = flow();
    let judgement = judge(&flow, facts);
    let told = crate::made::told(&flow, facts, &judgement);
    let lines: Vec<String> = document(told, &[Sheet::Summary])
        .lines()
        .map(|(line, ..)| line)
        .collect();
    for (restoration, outcome) in case.units.restorations().iter().zip(outcomes) {
        let Err(why) = outcome else { continue };
        let at = Place::Restoration(restoration.id);
        let open = judgement.open_points.iter().any(|point| {
            point
                .rule
                .and_then(|rule| flow.rule(rule))
                .is_some_and(|rule| rule.id == "grip")
                && case.units.owner(point.at).map(|owner| owner.id) == Some(restoration.id)
                && point.needs.iter().any(|(_, gap)| *gap == Gap::NotComputed)
        });
        assert!(open, "{at}: {why}: {:?}", judgement.open_points);
        assert!(judgement.verdict.is_open() || !judgement.verdict.is_fine());
        assert!(
            lines.iter().any(|line| line.contains(why.as_str())),
            "{why}: {lines:#?}"
        );
        assert!(
            lines.iter().any(|line| line.contains("not computed")),
            "{lines:#?}"
        );
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(120))]

    #[test]
    fn every_shape_has_a_figure_or_a_reason(
        case in (0..LINES.len()).prop_flat_map(|line| readings(LINES[line])),
    ) {
        let flow = flow();
        let facts = Facts::with(&flow, &case, Precision::Quick);
        let outcomes = outcomes(&case, &facts);
        refusals_are_told(&case, &facts, &outcomes);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]

    /// The same as for a print, with the ranges over the cement's limits.
    #[test]
    fn so_it_has_on_a_print(case in readings("44 x45 46")) {
        let flow = flow();
        let facts = Facts::of(&flow, &case);
        outcomes(&case, &facts);
        for detail in facts.details() {
            if let Some((least, most)) = detail.grip_range {
                prop_assert!(least.is_finite() && most.is_finite() && 0.0 < least && least <= most);
            }
        }
    }
}

/// A crown with plain readings, and these instead.
fn crown(changes: &[(&str, &str, Value)]) -> Case {
    let mut facts = vec![
        ("tooth.height", "46", mm(4.0)),
        ("tooth.margin_width", "46", mm(0.5)),
        ("tooth.width_margin_md", "46", mm(8.0)),
        ("tooth.width_margin_fl", "46", mm(8.0)),
        ("tooth.width_top_md", "46", mm(7.0)),
        ("tooth.width_top_fl", "46", mm(7.0)),
    ];
    facts.extend(changes.iter().cloned());
    case("46", &facts)
}

const WALLS: [&str; 4] = ["46/mesial", "46/distal", "46/facial", "46/lingual"];

fn all_round(fact: &'static str, value: Value) -> Vec<(&'static str, &'static str, Value)> {
    WALLS.map(|wall| (fact, wall, value.clone())).to_vec()
}

#[track_caller]
fn outcome(case: &Case) -> Result<f64, String> {
    let flow = flow();
    let facts = Facts::of(&flow, case);
    let outcomes = outcomes(case, &facts);
    refusals_are_told(case, &facts, &outcomes);
    outcomes[0].clone()
}

/// Shapes that cannot be: each is named.
#[test]
fn impossible_shapes_are_named() {
    for (name, changes, why) in [
        (
            "no height at one wall",
            vec![("wall.height", "46/mesial", mm(0.0))],
            "height of a wall",
        ),
        ("no height all round", all_round("wall.height", mm(0.0)), ""),
        (
            // What is dished holds nothing, and a top alone does not keep a crown from lifting.
            "walls that are dished all the way, all round",
            all_round("wall.form", choice("dished")),
            "do not hold",
        ),
        (
            // 12·tan 45° is 12 mm on either side of a base of 8 mm.
            "walls that meet below the top",
            [
                // The mean fits the walls, so that nothing else is wrong.
                vec![("tooth.height", "46", mm(12.0))],
                all_round("wall.height", mm(12.0)),
                all_round("wall.taper", deg(45.0)),
            ]
            .concat(),
            "the walls meet below the top",
        ),
        (
            "a top wider than the base",
            vec![("tooth.width_top_md", "46", mm(8.1))],
            "the prep is wider at the top than at the margin, mesiodistally",
        ),
        (
            "a mean beyond all four walls",
            all_round("wall.height", mm(6.0)),
            "the average height is outside the heights of all four walls",
        ),
        (
            "a straight part higher than its wall",
            vec![
                ("wall.form", "46/mesial", choice("dished-top")),
                ("wall.straight_height", "46/mesial", mm(9.0)),
            ],
            "the straight part of a wall is higher than the wall",
        ),
        (
            "a step higher than the stump",
            vec![
                ("tooth.uneven", "46", choice("margin-steps")),
                ("tooth.height", "46", mm(2.0)),
                ("wall.margin_step", "46/mesial", mm(5.0)),
                ("wall.margin_step", "46/distal", mm(0.0)),
                ("wall.margin_step", "46/facial", mm(0.0)),
                ("wall.margin_step", "46/lingual", mm(0.0)),
            ],
            "a step in the margin is higher than the prep",
        ),
        (
            // An undercut was found, but 2·atan(4/4) is 90° of it, more than the 40° that are taken for anything but a slip.
            "a top wider than the base by far",
            vec![
                ("tooth.undercut", "46", choice("over-0.3")),
                ("tooth.width_top_md", "46", mm(12.0)),
                ("tooth.width_top_fl", "46", mm(12.0)),
            ],
            "look for a slip",
        ),
        (
            "a groove on a wall too short for it",
            [
                vec![("tooth.height", "46", mm(0.5))],
                all_round("wall.height", mm(0.4)),
                all_round("wall.taper", deg(6.0)),
                vec![("tooth.grooves", "46", choice("all"))],
            ]
            .concat(),
            "too short for a groove",
        ),
    ] {
        let found = outcome(&crown(&changes)).expect_err(name);
        assert!(found.contains(why), "{name}: {found}");
    }
}

/// Shapes that are poor but can be: each has a figure, and a poor one where it should.
#[test]
fn poor_shapes_have_a_figure() {
    let plain = outcome(&crown(&[])).expect("a plain crown");
    let low = [
        vec![("tooth.height", "46", mm(0.5))],
        all_round("wall.height", mm(0.1)),
        all_round("wall.taper", deg(6.0)),
    ];
    let lowest = outcome(&crown(&low.concat())).expect("a tenth of a millimetre");
    assert!(lowest < 0.5 * plain, "{lowest}, {plain}");
    // An undercut all round holds more than parallel walls: what it costs is told by the path, not by grip. It has to be
    // found: a top that is wider without one cannot be.
    let undercut = outcome(&crown(&[
        ("tooth.undercut", "46", choice("to-0.3")),
        ("tooth.width_top_md", "46", mm(8.4)),
        ("tooth.width_top_fl", "46", mm(8.4)),
    ]));
    assert!(undercut.expect("undercut all round") > plain);
    // The narrowest base that is taken.
    let narrow = [
        ("tooth.width_margin_md", "46", mm(1.0)),
        ("tooth.width_margin_fl", "46", mm(1.0)),
        ("tooth.width_top_md", "46", mm(0.9)),
        ("tooth.width_top_fl", "46", mm(0.9)),
    ];
    outcome(&crown(&narrow)).expect("a base of 1 mm");
}

/// One abutment at the far end of six pontics: the loads on the far ones decide.
#[test]
fn one_abutment_far_from_the_load() {
    let far = case(
        "x31 x32 x33 x34 x35 x36 37",
        &[
            ("tooth.height", "37", mm(4.0)),
            ("tooth.margin_width", "37", mm(0.5)),
            ("tooth.width_margin_md", "37", mm(8.0)),
            ("tooth.width_margin_fl", "37", mm(8.0)),
            ("tooth.width_top_md", "37", mm(7.0)),
            ("tooth.width_top_fl", "37", mm(7.0)),
        ],
    );
    let flow = flow();
    let facts = Facts::of(&flow, &far);
    outcome(&far).expect("a figure");
    let demand = |unit: u8| {
        let loads = facts.details()[0]
            .loads
            .iter()
            .filter(|load| load.load == "oblique" && load.unit == crate::made::iso(unit));
        let demands = loads.map(|load| match load.found {
            Found::Figure { demand, .. } => demand / load.force,
            Found::NotComputed(_) => f64::NAN,
        });
        demands.fold(0.0, f64::max)
    };
    assert!(
        demand(31) > 5.0 * demand(37),
        "{}, {}",
        demand(31),
        demand(37)
    );
}

/// Bases narrower than any tooth are refused as readings; a prep on one has a figure all the same.
#[test]
fn a_base_of_a_tenth_of_a_millimetre() {
    for width in ["tooth.width_margin_md", "tooth.width_margin_fl"] {
        let spec = FactId::named(width)
            .spec()
            .expect("a fact of the catalogue");
        assert!(spec.check(&mm(0.1)).is_err(), "{width}");
    }
    let preparation = Preparation::new(0.1, 0.1, [Wall::straight(1.0, 1.0); 4]);
    assert!(preparation.check().is_ok());
    let retainer = Retainer {
        abutment: Abutment {
            frame: Frame::IDENTITY,
            preparation,
        },
        root: Root {
            length: 12.0,
            factor: 1.0,
            apart: false,
        },
    };
    let load = Load {
        point: [0.0, 0.0, 2.5],
        direction: [1.0, 0.0, -1.0],
        force: 100.0,
    };
    let shared = Shared::new(&[retainer], MESH, Limits::default()).expect("held");
    let found = shared.demands(&load, Settings::EXACT);
    assert!(
        found[0].certified().is_some_and(|own| own.demand > 10.0),
        "{found:?}"
    );
}
