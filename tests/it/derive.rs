//! Derivations: their table against catalogue and flow, their figures against closed forms worked out by hand.
//!
//! Plane geometry of a crown that turns about one margin (Lewis 1959; Zuckerman 1988; rule of the occlusal half Parker
//! 1993, J Prosthodont): with the margin turned about at the origin, the resisting margin at (B, d), a wall of height H
//! that leans in by T, the wall resists from `s = B sin T - d cos T` on, of its slant length `H / cos T`.

use std::collections::BTreeSet;

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Facts, REGISTRY, Worked};
use casepan::fact::{CATALOGUE, FactId, Origin, Spot, Unit, Value};

mod after;
mod bite;
mod connectors;
mod degenerate;
mod missing;
mod plausible;

use super::made::{case, choice, day, deg, flow, mm, number, spot, value, worked};

#[test]
fn every_derived_fact_has_one_derivation() {
    for spec in CATALOGUE {
        let fact = FactId::named(&spec.id);
        let givers: Vec<_> = REGISTRY
            .iter()
            .filter(|derivation| derivation.gives.contains(&fact))
            .map(|derivation| derivation.id)
            .collect();
        let wanted = usize::from(spec.origin == Origin::Derived);
        assert_eq!(givers.len(), wanted, "{}: {givers:?}", spec.id);
    }
}

#[test]
fn every_need_is_asked_or_worked_out_before() {
    let mut given = BTreeSet::new();
    let mut ids = BTreeSet::new();
    for derivation in REGISTRY {
        assert!(ids.insert(derivation.id), "{} twice", derivation.id);
        given.extend(derivation.gives.iter().cloned());
        for need in derivation.needs {
            let spec = need.spec().expect("a fact of the catalogue");
            assert!(
                spec.origin == Origin::Asked || given.contains(need),
                "{} needs {need} before it is there",
                derivation.id
            );
            assert!(
                spec.origin == Origin::Derived || flow().question(need).is_some(),
                "no question asks for {need}"
            );
        }
    }
}

#[test]
fn every_source_is_one_of_the_shipped_flow() {
    for derivation in REGISTRY {
        for id in derivation.sources {
            assert!(flow().source(id).is_some(), "{}: {id}", derivation.id);
        }
    }
}

/// What a derivation looks at in a full case is what it says it needs.
#[test]
fn nothing_is_looked_at_but_what_is_named() {
    let flow = flow();
    let case = missing::full();
    // Without the readings of single walls, the prep's stand in.
    let mut quick = missing::full();
    for at in missing::case_walls() {
        for fact in [
            "wall.height",
            "wall.taper",
            "wall.margin_form",
            "wall.margin_width",
            "wall.margin_to_gum",
        ] {
            let fact = FactId::named(fact);
            quick.clear(&Spot { fact, at }, Layer::Measured);
        }
    }
    // The inside is looked at where the cement bonds.
    let at = "R1".parse().expect("a place");
    quick.put(
        Spot {
            fact: FactId::named("order.cement"),
            at,
        },
        Layer::Measured,
        Reading::plain(Value::Choice("adhesive-resin".to_owned())),
    );
    // A shape that cannot be is looked at where it is refused.
    let mut cannot_be = missing::full();
    for at in ["44", "46"] {
        let top = crate::made::spot("tooth.width_top_md", at);
        cannot_be.put(top, Layer::Measured, Reading::plain(mm(9.4)));
    }
    let cases = [&case, &quick, &cannot_be].map(|case| Facts::of(&flow, case));
    let mut seen = BTreeSet::new();
    for (spot, derived) in cases.iter().flat_map(|facts| facts.all_derived()) {
        let derivation = REGISTRY
            .iter()
            .find(|derivation| derivation.gives.contains(&spot.fact))
            .expect("a derivation");
        for from in &derived.from {
            let own = derivation.gives.contains(&from.fact);
            assert!(
                own || derivation.needs.contains(&from.fact),
                "{} looks at {}",
                derivation.id,
                from.fact
            );
            seen.insert((derivation.id, from.fact.clone()));
        }
    }
    for derivation in REGISTRY {
        for need in derivation.needs {
            assert!(
                seen.contains(&(derivation.id, need.clone())),
                "{} never looks at {need}",
                derivation.id
            );
        }
    }
}

// The prep.

/// A crown on 26 with the same readings both ways.
fn prep(base: f64, top: f64, height: f64) -> Case {
    case(
        "26",
        &[
            ("tooth.height", "26", mm(height)),
            ("tooth.width_margin_md", "26", mm(base)),
            ("tooth.width_top_md", "26", mm(top)),
            ("tooth.width_margin_fl", "26", mm(base)),
            ("tooth.width_top_fl", "26", mm(top)),
        ],
    )
}

fn with(mut case: Case, facts: &[(&str, &str, Value)]) -> Case {
    for (fact, at, value) in facts {
        case.put(
            spot(fact, at),
            Layer::Measured,
            Reading::plain(value.clone()),
        );
    }
    case
}

fn near(got: f64, wanted: f64) {
    assert!((got - wanted).abs() < 1e-9, "{got} is not {wanted}");
}

const WALLS: [&str; 4] = ["26/mesial", "26/distal", "26/facial", "26/lingual"];

/// Right triangle: a base of 8, a top of 4 and a height of 2 mm lean in by 45° on each side.
#[test]
fn tapers_and_ratios_of_a_prep() {
    let case = prep(8.0, 4.0, 2.0);
    let flow = flow();
    let facts = Facts::of(&flow, &case);
    for fact in [
        "tooth.total_taper_md",
        "tooth.total_taper_fl",
        "tooth.total_taper",
    ] {
        near(number(&facts, fact, "26"), 90.0);
    }
    near(number(&facts, "tooth.height_to_base", "26"), 0.25);
    for wall in WALLS {
        near(number(&facts, "wall.taper_used", wall), 45.0);
        near(number(&facts, "wall.height_used", wall), 2.0);
    }
    // The faciolingual width counts (Goodacre 2001), however wide the other is.
    let case = with(
        case,
        &[
            ("tooth.width_margin_md", "26", mm(12.0)),
            ("tooth.width_margin_fl", "26", mm(10.0)),
        ],
    );
    let facts = Facts::of(&flow, &case);
    near(number(&facts, "tooth.base", "26"), 10.0);
    near(number(&facts, "tooth.height_to_base", "26"), 0.2);
}

#[test]
fn the_mean_of_four_walls_takes_the_place_of_the_quick_height() {
    let flow = flow();
    let three = [
        ("wall.height", "26/mesial", mm(3.0)),
        ("wall.height", "26/distal", mm(4.0)),
        ("wall.height", "26/facial", mm(5.0)),
    ];
    let case = with(prep(8.0, 7.0, 4.5), &three);
    let facts = Facts::of(&flow, &case);
    near(number(&facts, "tooth.height_used", "26"), 4.5);
    near(number(&facts, "wall.height_used", "26/facial"), 5.0);
    near(number(&facts, "wall.height_used", "26/lingual"), 4.5);
    let case = with(case, &[("wall.height", "26/lingual", mm(6.0))]);
    let facts = Facts::of(&flow, &case);
    near(number(&facts, "tooth.height_used", "26"), 4.5);
    near(number(&facts, "tooth.heights_differ", "26"), 3.0);
    let case = with(case, &[("wall.height", "26/lingual", mm(2.0))]);
    near(
        number(&Facts::of(&flow, &case), "tooth.height_used", "26"),
        3.5,
    );
}

/// `asin(H/B) / 2` by hand for five ratios: the largest taper at which the occlusal half still resists on level
/// margins (Parker 1993, J Prosthodont; 3 mm on 10 mm is the 17.4° in all of Goodacre 2001, J Prosthet Dent).
#[test]
fn the_half_wall_rule_turns_where_the_closed_form_says() {
    let flow = flow();
    for (ratio, limit) in [
        (0.1, 2.87),
        (0.2, 5.77),
        (0.3, 8.73),
        (0.4, 11.79),
        (0.5, 15.0),
    ] {
        for (taper, passes) in [(limit - 0.02, Value::Yes), (limit + 0.02, Value::No)] {
            let read = WALLS.map(|wall| ("wall.taper", wall, deg(taper)));
            let case = with(prep(10.0, 9.0, 10.0 * ratio), &read);
            let facts = Facts::of(&flow, &case);
            for wall in WALLS {
                assert_eq!(value(&facts, "wall.effective", wall), &passes, "{ratio}");
            }
            let failing = if passes == Value::Yes { 0.0 } else { 4.0 };
            near(number(&facts, "tooth.failing_directions", "26"), failing);
            let pair = Value::from(passes == Value::No);
            assert_eq!(value(&facts, "tooth.opposite_pair_fails", "26"), &pair);
        }
    }
}

/// sin 30° = 1/2: on a base of 6 mm a wall of 30° resists from 3 mm on along its slant of 4 / cos 30° mm.
#[test]
fn the_share_that_resists() {
    let flow = flow();
    let case = with(
        prep(6.0, 5.0, 4.0),
        &[("wall.taper", "26/facial", deg(30.0))],
    );
    let facts = Facts::of(&flow, &case);
    let share = 100.0 * (1.0 - 3.0 * 3_f64.sqrt() / 8.0);
    near(number(&facts, "wall.effective_share", "26/facial"), share);
    assert_eq!(value(&facts, "wall.effective", "26/facial"), &Value::No);
    // The wall across still leans by half of what the widths say: atan(0.5 / 4) each.
    near(
        number(&facts, "wall.taper_used", "26/lingual"),
        0.125_f64.atan().to_degrees(),
    );
}

/// Parallel walls over a margin that steps: where the wall is no taller than the step it loses all resistance
/// (in words Parker 2004, Dent Clin N Am; with T = 0 the form above gives s = -d).
#[test]
fn parallel_walls_over_a_stepped_margin_lose_their_resistance() {
    let flow = flow();
    let steps = [
        ("tooth.uneven", "26", choice("margin-steps")),
        ("wall.margin_step", "26/mesial", mm(0.0)),
        ("wall.margin_step", "26/distal", mm(2.5)),
        ("wall.margin_step", "26/facial", mm(1.0)),
        ("wall.margin_step", "26/lingual", mm(1.0)),
    ];
    for (height, share, resists) in [
        (2.0, 0.0, Value::No),
        (2.5, 0.0, Value::No),
        (4.0, 37.5, Value::No),
        (5.0, 50.0, Value::Yes),
        (10.0, 75.0, Value::Yes),
    ] {
        let case = with(prep(8.0, 8.0, height), &steps);
        let facts = Facts::of(&flow, &case);
        // The low wall stands against turning about the high margin, and only what is above that margin does so.
        near(number(&facts, "wall.effective_share", "26/mesial"), share);
        assert_eq!(
            value(&facts, "wall.effective", "26/mesial"),
            &resists,
            "{height}"
        );
        // The high wall against turning about the low margin resists from its foot, and so do level walls.
        for wall in ["26/distal", "26/facial", "26/lingual"] {
            near(number(&facts, "wall.effective_share", wall), 100.0);
            assert_eq!(value(&facts, "wall.effective", wall), &Value::Yes);
        }
    }
}

/// The form with taper and step together: B = 8, d = -1, T = 10°, H = 4.
#[test]
fn a_leaning_wall_over_a_stepped_margin() {
    let flow = flow();
    let case = with(
        prep(8.0, 7.0, 4.0),
        &[
            ("wall.taper", "26/mesial", deg(10.0)),
            ("tooth.uneven", "26", choice("margin-steps")),
            ("wall.margin_step", "26/mesial", mm(0.0)),
            ("wall.margin_step", "26/distal", mm(1.0)),
        ],
    );
    let facts = Facts::of(&flow, &case);
    // sin 10° = 0.17364818, cos 10° = 0.98480775: s = 2.37399319, slant = 4.06170645.
    let share = number(&facts, "wall.effective_share", "26/mesial");
    assert!((share - 41.5518).abs() < 1e-3, "{share}");
    // A sloping top leaves the margins level: s = 1.38918543.
    let case = with(case, &[("tooth.uneven", "26", choice("top-slopes"))]);
    let share = number(
        &Facts::of(&flow, &case),
        "wall.effective_share",
        "26/mesial",
    );
    assert!((share - 65.7980).abs() < 1e-3, "{share}");
}

/// A dished wall counts its straight part only, and the share is told of the whole wall.
#[test]
fn dished_walls_count_their_straight_part() {
    let flow = flow();
    let at = "26/facial";
    let dished = |form: &str, straight: f64| {
        let facts = [
            ("wall.form", at, choice(form)),
            ("wall.straight_height", at, mm(straight)),
            ("wall.taper", at, deg(0.0)),
        ];
        let case = with(prep(8.0, 7.0, 4.0), &facts);
        let facts = Facts::of(&flow, &case);
        (
            number(&facts, "wall.effective_share", at),
            value(&facts, "wall.effective", at).clone(),
        )
    };
    assert_eq!(dished("straight", 1.0), (100.0, Value::Yes));
    assert_eq!(dished("dished-top", 1.0), (25.0, Value::Yes));
    assert_eq!(dished("dished-top", 0.0), (0.0, Value::No));
    // A straight part that is read taller than the wall by less than reading errors is the wall; one taller by far cannot
    // be: see `plausible`.
    assert_eq!(dished("dished-top", 4.5), (100.0, Value::Yes));
    assert_eq!(dished("dished", 3.0), (0.0, Value::No));
}

/// Mesial and distal grooves stop turning faciolingually, facial and lingual ones mesiodistally (Parker 1991).
#[test]
fn grooves_help_the_walls_across_their_own() {
    let flow = flow();
    let passing = |grooves: &str| -> Vec<&str> {
        let case = with(
            prep(9.0, 4.0, 3.0),
            &[("tooth.grooves", "26", choice(grooves))],
        );
        let facts = Facts::of(&flow, &case);
        // Grooves are no part of the wall's own share.
        for wall in WALLS {
            near(number(&facts, "wall.effective_share", wall), 0.0);
        }
        let passes = |wall: &&str| value(&facts, "wall.effective", wall) == &Value::Yes;
        WALLS.into_iter().filter(passes).collect()
    };
    assert_eq!(passing("none"), [""; 0]);
    assert_eq!(passing("proximal"), ["26/facial", "26/lingual"]);
    assert_eq!(passing("facial-lingual"), ["26/mesial", "26/distal"]);
    assert_eq!(passing("all"), WALLS);
}

// Support.

/// Root areas: Jepsen 1963, Acta Odontol Scand, as widely reprinted, from memory; sums by hand.
#[test]
fn support_by_root_areas() {
    let flow = flow();
    for (units, ratio) in [
        ("45 x46 47", 633.0 / 431.0),
        ("13 x14 x15 16", 706.0 / 454.0),
        ("13 x12 x11 x21 x22 23", 546.0 / 766.0),
        ("13 x12", 273.0 / 179.0),
        // Three quarters of the second molar for a third, ours.
        ("46 x47 48", (431.0 + 0.75 * 426.0) / 426.0),
    ] {
        let case = case(units, &[]);
        let facts = Facts::of(&flow, &case);
        near(number(&facts, "restoration.support_ratio", "R1"), ratio);
    }
    // A crown replaces no root.
    for units in ["26", "11 21"] {
        let case = case(units, &[]);
        let facts = Facts::of(&flow, &case);
        let support = worked(&facts, "restoration.support_ratio", "R1");
        assert_eq!(support, None, "{units}");
    }
}

// Days.

#[test]
fn days_between_taking_and_pouring() {
    let flow = flow();
    let age = |taken: &str, poured: &str| {
        let facts = [
            ("impression.taken", "case", day(taken)),
            ("impression.poured", "case", day(poured)),
        ];
        let case = case("26", &facts);
        worked(&Facts::of(&flow, &case), "impression.age_days", "case")
            .expect("an outcome")
            .result
            .clone()
    };
    let days = |n: f64| Worked::Out(Value::Number(n, Unit::Count));
    assert_eq!(age("2026-02-27", "2026-03-02"), days(3.0));
    // A leap year has one day more.
    assert_eq!(age("2028-02-27", "2028-03-02"), days(4.0));
    assert_eq!(age("2025-12-31", "2026-12-31"), days(365.0));
    assert_eq!(age("2026-03-02", "2026-03-02"), days(0.0));
    // Beyond ten years it is old, however old.
    assert_eq!(age("1999-01-01", "2026-03-02"), days(3660.0));
    assert!(matches!(
        age("2026-03-03", "2026-03-02"),
        Worked::Refused(_)
    ));
}
