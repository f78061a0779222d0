//! What derivations wait for, and what nobody could type that they do not stand.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Derivation, Facts, Worked};
use casepan::fact::{FactId, Origin, Place, PlaceKind, Spot, Value};
use casepan::tooth::Tooth;
use proptest::prelude::*;

use crate::made::{any_facts, case, choice, day, deg, flow, mm};

/// A bridge with every reading that a derivation looks at.
pub(super) fn full() -> Case {
    let mut case = case(
        "44 x45 46",
        &[
            ("order.material", "R1", choice("zirconia-3y")),
            ("order.cement", "R1", choice("resin-modified")),
            ("order.fitting_surface", "R1", choice("not-said")),
            ("records.kind", "case", choice("impression")),
            ("bite.opposed_by", "R1", choice("natural")),
            ("impression.material", "case", choice("vinyl-polysiloxane")),
            ("impression.stiffness", "case", choice("metal")),
            ("pontic.span", "45", mm(7.0)),
            ("pontic.contact", "45", choice("side")),
            ("remake.loose", "R1", Value::Teeth(vec![tooth(46)])),
            ("remake.old_cement", "R1", choice("zinc-phosphate")),
            ("impression.taken", "case", day("2026-11-16")),
            ("impression.poured", "case", day("2026-11-18")),
        ],
    );
    let mut put = |fact: &str, at: Place, value: Value| {
        let fact = FactId::named(fact);
        case.put(Spot { fact, at }, Layer::Measured, Reading::plain(value));
    };
    for at in [Place::Unit(tooth(44)), Place::Unit(tooth(46))] {
        put("tooth.height", at, mm(4.0));
        for width in ["md", "fl"] {
            put(&format!("tooth.width_margin_{width}"), at, mm(8.0));
            put(&format!("tooth.width_top_{width}"), at, mm(7.0));
        }
        put("tooth.tilt", at, deg(4.0));
        put("tooth.tilt_toward", at, choice("mesial"));
        put("tooth.clearance", at, mm(1.0));
        put("tooth.grooves", at, choice("none"));
        put("tooth.undercut", at, choice("none"));
        put("tooth.sound_above_margin", at, mm(2.0));
        put("tooth.uneven", at, choice("margin-steps"));
        put("tooth.margin_form", at, choice("shoulder"));
        put("tooth.margin_width", at, mm(0.8));
        put("tooth.margin_to_gum", at, choice("at"));
    }
    for at in case_walls() {
        put("wall.height", at, mm(4.0));
        put("wall.taper", at, deg(6.0));
        put("wall.form", at, choice("dished-top"));
        put("wall.straight_height", at, mm(3.0));
        put("wall.margin_step", at, mm(0.5));
        put("wall.margin_form", at, choice("chamfer"));
        put("wall.margin_width", at, mm(0.5));
        put("wall.margin_to_gum", at, choice("above"));
    }
    for at in ["44-45", "45-46"] {
        let at: Place = at.parse().unwrap();
        put("connector.height", at, mm(4.0));
        put("connector.width", at, mm(4.0));
        put("connector.section", at, choice("round"));
        put("connector.space_height", at, mm(5.0));
        put("connector.space_width", at, mm(5.0));
    }
    case
}

fn tooth(number: u8) -> Tooth {
    Tooth::from_iso(number).expect("a tooth")
}

pub(super) fn case_walls() -> Vec<Place> {
    crate::made::units("44 x45 46").within(Place::Case, PlaceKind::Wall)
}

/// Readings that only help: without them, something else stands in.
const HELPS: [&str; 14] = [
    "tooth.clearance",
    "pontic.contact",
    "wall.margin_form",
    "wall.margin_width",
    "wall.margin_to_gum",
    "wall.height",
    "wall.taper",
    "wall.form",
    "tooth.uneven",
    "tooth.grooves",
    "tooth.undercut",
    "tooth.tilt",
    "tooth.tilt_toward",
    "pontic.span",
];

/// Facts that stand at the tooth that is first or weakest, and move with it.
const MOVE: [&str; 2] = ["tooth.grip", "tooth.weakest_share"];

#[test]
fn a_missing_reading_is_waited_for_and_nothing_else() {
    let flow = flow();
    let whole = full();
    let facts = Facts::of(&flow, &whole);
    // A reading that is not there contradicts nothing: what compares readings waits for none.
    let compares = |spot: &Spot| Derivation::of(&spot.fact).is_some_and(|d| d.id == "plausible");
    let derived: Vec<Spot> = facts
        .all_derived()
        .map(|(spot, _)| spot.clone())
        .filter(|spot| !compares(spot))
        .collect();
    for spot in &derived {
        let result = &facts.derived(spot).unwrap().result;
        assert!(matches!(result, Worked::Out(_)), "{spot:?}: {result:?}");
    }
    let removed: Vec<Spot> = whole.present().map(|(spot, ..)| spot.clone()).collect();
    let mut waited = 0;
    for gone in removed {
        for not_seen in [false, true] {
            let mut less = whole.clone();
            if not_seen {
                less.put(
                    gone.clone(),
                    Layer::Measured,
                    Reading::plain(Value::NotSeen),
                );
            } else {
                less.clear(&gone, Layer::Measured);
            }
            let now = Facts::of(&flow, &less);
            for spot in &derived {
                let before = facts.derived(spot).unwrap();
                let Some(after) = now.derived(spot).map(|derived| &derived.result) else {
                    assert!(
                        MOVE.contains(&spot.fact.as_str()),
                        "{spot:?} without {gone:?}: no outcome"
                    );
                    continue;
                };
                if !facts.readings(spot).contains(&gone) {
                    assert_eq!(after, &before.result, "{spot:?} without {gone:?}");
                    continue;
                }
                match after {
                    Worked::Waits(missing) => {
                        assert_eq!(missing, std::slice::from_ref(&gone), "{spot:?}");
                        waited += 1;
                    }
                    Worked::Out(_) => {
                        assert!(HELPS.contains(&gone.fact.as_str()), "{spot:?} {gone:?}");
                    }
                    Worked::Refused(why) => panic!("{spot:?} without {gone:?}: {why}"),
                }
            }
        }
    }
    assert!(waited > 100, "{waited}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn derived_facts_stay_inside_their_bounds(
        list in prop_oneof![any_facts("44 x45 46"), any_facts("x12 13; 26")]
    ) {
        let line = if list.iter().any(|(spot, _)| spot.at.to_string().starts_with("44")) {
            "44 x45 46"
        } else {
            "x12 13; 26"
        };
        let mut case = case(line, &[]);
        for (spot, value) in list {
            case.put(spot, Layer::Measured, Reading::plain(value));
        }
        let flow = flow();
        let facts = Facts::of(&flow, &case);
        for (spot, derived) in facts.all_derived() {
            let spec = spot.fact.spec().expect("a fact of the catalogue");
            match &derived.result {
                Worked::Out(value) => {
                    prop_assert_eq!(spec.check(value), Ok(()), "{:?}: {:?}", spot, value);
                }
                Worked::Waits(missing) => {
                    prop_assert!(!missing.is_empty());
                    for gone in missing {
                        let known = facts.value(&gone.fact, gone.at);
                        prop_assert!(known.is_none(), "{:?} is there", gone);
                        let asked = gone.fact.spec().map(|s| s.origin) == Some(Origin::Asked);
                        prop_assert!(asked || facts.is_refused(gone), "{:?}", gone);
                    }
                }
                Worked::Refused(why) => prop_assert!(!why.is_empty()),
            }
        }
    }
}
