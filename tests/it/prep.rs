//! Readings as a prep and a prep as readings: what a cut changes is read back as the prep that was cut.

use casepan::case::Case;
use casepan::derive::{Facts, Precision};
use casepan::fact::Place;
use casepan::mechanics::prep::{PrepSide, Preparation};
use casepan::options::proposed;
use casepan::prep::{from_prep, to_prep, write};
use casepan::tooth::Tooth;

use crate::dislodgement::random::Random;
use crate::good::{choice, finish, flow, mm, pan, put, walls};

const TEETH: [u8; 6] = [11, 13, 24, 26, 36, 44];

fn read(case: &Case) -> Preparation {
    let facts = Facts::with(flow(), case, Precision::Quick);
    let detail = facts.details().first().expect("the prep was read");
    detail.preps[0].1.preparation.clone()
}

fn cut(prep: &Preparation, which: u64) -> Preparation {
    match which {
        0 => prep.deepened(&PrepSide::ALL, 0.7),
        1 => prep.deepened(&[PrepSide::Facial], 0.4),
        2 => prep.straightened(&PrepSide::ALL, 3.0),
        3 => prep.straightened(&[PrepSide::Mesial, PrepSide::Distal], 4.0),
        4 => prep.grooved(&[PrepSide::Mesial, PrepSide::Distal]),
        5 => prep.grooved(&[PrepSide::Facial, PrepSide::Lingual]),
        6 => prep.grooved(&PrepSide::ALL),
        _ => prep.built_up(0.8),
    }
}

/// The worst that two preps stand apart by, in mm or degrees.
fn apart(one: &Preparation, other: &Preparation) -> f64 {
    let mut worst = (one.mesiodistal - other.mesiodistal)
        .abs()
        .max((one.faciolingual - other.faciolingual).abs());
    // Readings tell how margins stand to one another, not to what they were.
    let lowest = |prep: &Preparation| {
        let margins = prep.walls.iter().map(|wall| wall.margin);
        margins.fold(f64::MAX, f64::min)
    };
    let level = [lowest(one), lowest(other)];
    for side in PrepSide::ALL {
        let (a, b) = (one.wall(side), other.wall(side));
        assert_eq!(a.straight.is_some(), b.straight.is_some(), "{side:?}");
        for (a, b) in [
            (a.height, b.height),
            (a.taper, b.taper),
            (a.margin - level[0], b.margin - level[1]),
            (a.depth, b.depth),
            (a.straight.unwrap_or(0.0), b.straight.unwrap_or(0.0)),
        ] {
            worst = worst.max((a - b).abs());
        }
    }
    worst
}

#[test]
fn a_cut_prep_is_read_back_as_it_was_cut() {
    let mut random = Random(14);
    let mut tried = 0;
    for round in 0..64_u64 {
        let number = TEETH[(round % 6) as usize];
        let tooth = Tooth::from_iso(number).expect("a tooth");
        let at = number.to_string();
        let mut case = pan(&at, "zirconia-3y", "resin-modified");
        let height = random.within(3.0, 5.5);
        let [md, fl] = [random.within(5.0, 8.0), random.within(5.0, 9.0)];
        let lean = 2.0 * height * random.within(5.0, 11.0).to_radians().tan();
        for (fact, number) in [
            ("tooth.height", height),
            ("tooth.width_margin_md", md),
            ("tooth.width_top_md", md - lean),
            ("tooth.width_margin_fl", fl),
            ("tooth.width_top_fl", fl - lean),
        ] {
            put(&mut case, fact, &at, mm((number * 100.0).round() / 100.0));
        }
        if round % 5 == 0 {
            let [mesial, ..] = walls(&at);
            put(&mut case, "wall.form", &mesial, choice("dished-top"));
            put(&mut case, "wall.straight_height", &mesial, mm(1.5));
        }
        finish(&mut case, false);
        let before = read(&case);
        let after = cut(&before, round % 8);
        if after.check().is_err() {
            continue;
        }
        let never = |_: Place| false;
        let changes = write(never, tooth, &before, &after).expect("no undercut");
        let back = read(&proposed(&case, &changes, None));
        assert!(apart(&after, &back) < 2e-3, "{round}: {after:?}\n{back:?}");
        let sides = |prep: &Preparation| {
            let mut sides: Vec<String> = prep
                .grooves
                .iter()
                .map(|groove| format!("{:?}", groove.side))
                .collect();
            sides.sort();
            sides
        };
        assert_eq!(sides(&after), sides(&back), "{round}");
        // A cut that changes nothing would be read back whatever is written.
        assert!(apart(&before, &back) > 0.05 || sides(&before) != sides(&back));
        tried += 1;
    }
    assert!(tried > 50, "{tried}");
}

/// A feather edge that is cut to a width is written as a chamfer: a feather edge is read as no width at all.
#[test]
fn a_feather_edge_that_is_cut_becomes_a_chamfer() {
    let tooth = Tooth::from_iso(26).expect("a tooth");
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    for side in PrepSide::ALL {
        let at = Place::Wall(tooth, from_prep(side)).to_string();
        put(&mut case, "wall.margin_form", &at, choice("feather"));
    }
    finish(&mut case, false);
    let before = read(&case);
    assert!(
        PrepSide::ALL
            .iter()
            .all(|side| before.wall(*side).depth == 0.0)
    );
    let mut after = before.clone();
    for wall in &mut after.walls {
        wall.depth = 0.8;
    }
    let changes = write(|_| true, tooth, &before, &after).expect("no undercut");
    let back = read(&proposed(&case, &changes, None));
    assert!(apart(&after, &back) < 2e-3, "{back:?}");
}

#[test]
fn a_wall_that_leans_out_is_not_written() {
    let tooth = Tooth::from_iso(26).expect("a tooth");
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, false);
    let before = read(&case);
    let mut after = before.clone();
    after.walls[0].taper = -2.0;
    assert!(write(|_| false, tooth, &before, &after).is_err());
}

#[test]
fn sides_go_there_and_back() {
    for side in PrepSide::ALL {
        assert_eq!(to_prep(from_prep(side)), side);
    }
}
