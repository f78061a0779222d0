//! What an option promises, against judging a case that reads as the option says it will.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Facts, Precision};
use casepan::fact::{FactId, Place, Value};
use casepan::options::CaseOption;

use super::{after, id, ways};
use crate::good::{choice, finish, flow, mm, pan, put};

fn grip(case: &Case) -> f64 {
    let facts = Facts::with(flow(), case, Precision::Quick);
    let grip = FactId::named("restoration.grip");
    let value = facts.value(&grip, Place::Restoration(1));
    value.and_then(Value::number).expect("a grip")
}

/// The case once the option is carried out: its readings, measured anew.
fn carried_out(case: &Case, way: &CaseOption) -> Case {
    let mut copy = case.clone();
    for (spot, value) in &way.changes {
        let reading = Reading::plain(value.clone());
        copy.put(spot.clone(), Layer::Measured, reading);
    }
    copy
}

/// A prep that leans in, with its margin above the gum and much space over it.
fn steep(tooth: &str, height: f64, lean: f64, widths: [f64; 2]) -> Case {
    let mut case = pan(tooth, "zirconia-3y", "resin-modified");
    let narrower = 2.0 * height * lean.to_radians().tan();
    put(&mut case, "tooth.height", tooth, mm(height));
    put(&mut case, "tooth.margin_width", tooth, mm(0.5));
    put(&mut case, "tooth.margin_to_gum", tooth, choice("above"));
    put(&mut case, "tooth.clearance", tooth, mm(1.6));
    for (base, top, width) in [
        ("tooth.width_margin_md", "tooth.width_top_md", widths[0]),
        ("tooth.width_margin_fl", "tooth.width_top_fl", widths[1]),
    ] {
        put(&mut case, base, tooth, mm(width));
        put(&mut case, top, tooth, mm(width - narrower));
    }
    finish(&mut case, true);
    case
}

/// A deeper margin moves away from the bite, so the lever grows with the wall; a straighter wall and a groove leave the bite
/// where it is. Either way the option promises what its readings give once they are there.
#[test]
fn cuts_promise_what_their_readings_give() {
    let mut seen = std::collections::BTreeSet::new();
    for (tooth, height, lean, widths) in [
        ("17", 4.0, 26.0, [7.5, 9.0]),
        ("26", 4.0, 22.0, [7.0, 9.0]),
        ("46", 2.6, 16.0, [8.0, 8.0]),
        ("14", 2.6, 16.0, [4.0, 7.0]),
        ("11", 2.4, 14.0, [6.0, 5.0]),
    ] {
        let case = steep(tooth, height, lean, widths);
        let (_, ways) = ways(&case);
        for way in &ways {
            let cuts = ["deeper", "straighter", "groove", "crown-lengthening"];
            if way.after.is_none() || !cuts.iter().any(|cut| id(way).starts_with(cut)) {
                continue;
            }
            let [_, Some(promised)] = after(way).grip[0].grip else {
                panic!("{tooth} {}: no grip", id(way));
            };
            let found = grip(&carried_out(&case, way));
            // Readings are written to a thousandth of a millimetre.
            assert!(
                (promised / found - 1.0).abs() < 0.01,
                "{tooth} {}: {promised} promised, {found} found",
                id(way)
            );
            seen.insert(id(way));
        }
    }
    assert!(
        seen.contains("crown-lengthening") && seen.len() >= 4,
        "{seen:?}"
    );
}

/// A build-up grows towards the bite and leaves it where it is: the promise is more than what its readings give, where the
/// bite is taken to stand on top of them.
#[test]
fn a_build_up_leaves_the_bite_where_it_is() {
    let built = |height: f64, clearance: f64| {
        let mut case = steep("46", height, 14.0, [8.0, 8.0]);
        put(&mut case, "tooth.clearance", "46", mm(clearance));
        let (_, ways) = ways(&case);
        let built = ways
            .iter()
            .find(|way| id(way) == "build-up")
            .expect("a build-up");
        let [Some(before), Some(promised)] = after(built).grip[0].grip else {
            panic!("no grip");
        };
        assert!(promised > before, "{height}");
        (promised, grip(&carried_out(&case, built)))
    };
    let (promised, read) = built(3.6, 3.5);
    assert!(promised > 1.02 * read, "{promised} {read}");
    // Of a stub the crown is as high as on a least prep before and after; the clearance that goes is no way down for it.
    let (promised, read) = built(2.8, 2.2);
    assert!(promised < 1.02 * read, "{promised} {read}");
}

/// One more abutment is no option where the weakest retainer would hold less with it.
#[test]
fn no_abutment_is_offered_that_lowers_grip() {
    for units in ["36 x37", "x14 13", "45 46 x47"] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        put(
            &mut case,
            "pontic.contact",
            units
                .split(' ')
                .find_map(|unit| unit.strip_prefix('x'))
                .expect("a pontic"),
            choice("side"),
        );
        finish(&mut case, true);
        let (_, ways) = ways(&case);
        let added = ways.iter().filter(|way| id(way) == "one-more-abutment");
        for way in added.filter(|way| way.is_open()) {
            if let Some((before, after)) = after(way).grip[0].both() {
                assert!(after >= before - 5e-3, "{units}: {before}, {after}");
            }
        }
    }
}
