//! Where the bite stands that grip is judged under.

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::fact::Place;

use crate::good::{choice, finish, flow, mm, pan, put};

fn heights(case: &Case) -> Vec<f64> {
    let facts = Facts::of(flow(), case);
    let loads = facts.details()[0].loads.iter();
    let oblique = loads.filter(|load| load.load == "oblique");
    oblique.map(|load| load.line.0[2]).collect()
}

/// 1.5 mm above the top, by the flow; no further than the clearance that was read; and never lower than above a least prep
/// of 4 mm (Goodacre 2001). The margin is at nought.
#[test]
fn clearance_bounds_the_height_of_the_bite() {
    for (height, clearance, wanted) in [
        (4.5, Some(3.0), 6.0),
        (4.5, Some(0.9), 5.4),
        (2.5, Some(0.9), 4.9),
        (2.5, None, 5.5),
        (4.5, None, 6.0),
    ] {
        let mut case = pan("46", "zirconia-3y", "resin-modified");
        put(&mut case, "tooth.height", "46", mm(height));
        for (fact, width) in [
            ("tooth.margin_width", 0.5),
            ("tooth.width_margin_md", 8.0),
            ("tooth.width_top_md", 7.0),
            ("tooth.width_margin_fl", 8.0),
            ("tooth.width_top_fl", 7.0),
        ] {
            put(&mut case, fact, "46", mm(width));
        }
        if let Some(clearance) = clearance {
            put(&mut case, "tooth.clearance", "46", mm(clearance));
        }
        let found = heights(&case);
        assert_eq!(found.len(), 4);
        for own in found {
            assert!(
                (own - wanted).abs() < 1e-9,
                "{height}, {clearance:?}: {own}"
            );
        }
    }
}

/// A free pontic that is touched only on closing bears nothing from the side; one that nobody looked at bears the worse.
#[test]
fn contact_of_a_free_pontic() {
    let grip = |contact: Option<&str>| {
        let mut case = pan("x45 46", "zirconia-3y", "resin-modified");
        finish(&mut case, true);
        let spot = crate::made::spot("pontic.contact", "45");
        case.clear(&spot, casepan::case::Layer::Measured);
        if let Some(contact) = contact {
            put(&mut case, "pontic.contact", "45", choice(contact));
        }
        let facts = Facts::of(flow(), &case);
        let leans = facts.details()[0].loads.iter();
        let leans = leans.filter(|load| load.unit.to_string() == "45" && load.toward.is_some());
        let grip = casepan::fact::FactId::named("restoration.grip");
        let value = facts.value(&grip, Place::Restoration(1));
        let number = value
            .and_then(casepan::fact::Value::number)
            .expect("a grip");
        (number, leans.count())
    };
    let (closing, none) = grip(Some("closing"));
    let (side, some) = grip(Some("side"));
    assert!(
        none == 0 && some > 0 && closing > 1.2 * side,
        "{closing}, {side}"
    );
    assert_eq!(grip(None), (side, some));
}

/// How far grip moves with the limits of the cement holds the figure itself.
#[test]
fn the_range_of_grip_holds_its_figure() {
    for units in ["46", "44 x45 46", "13 x12 x11 x21 x22 23"] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        finish(&mut case, true);
        let facts = Facts::of(flow(), &case);
        let (least, most) = facts.details()[0].grip_range.expect("a range");
        let grip = casepan::fact::FactId::named("restoration.grip");
        let value = facts.value(&grip, Place::Restoration(1));
        let own = value
            .and_then(casepan::fact::Value::number)
            .expect("a grip");
        assert!(
            least <= own && own <= most,
            "{units}: {least}, {own}, {most}"
        );
    }
}

/// Where grip cannot be worked out, none of its parts keeps silent: a rule on one of them stays open.
#[test]
fn no_part_of_grip_keeps_silent() {
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    // Hollow all the way, all round: nothing holds.
    for wall in crate::good::walls("46") {
        put(&mut case, "wall.form", &wall, choice("dished"));
    }
    put(
        &mut case,
        "tooth.wall_by_wall",
        "46",
        casepan::fact::Value::Yes,
    );
    let facts = Facts::of(flow(), &case);
    for (fact, at) in [
        ("restoration.grip", "R1"),
        ("restoration.plan_share", "R1"),
        ("tooth.prep_share", "46"),
        ("tooth.retainer_grip", "44"),
        ("tooth.weakest_share", "46"),
    ] {
        let spot = crate::made::spot(fact, at);
        assert!(facts.is_refused(&spot), "{fact} at {at}");
    }
}
