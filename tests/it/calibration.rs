//! Plain preps from tall and steep to short and tapered through the whole of the program, as a table that is kept.
//!
//! The shapes are invented. The published least prep is 4 mm high on molars and 3 mm on other teeth, with a total taper
//! of 20° at the most (Goodacre 2001, J Prosthet Dent 85:363-76); the published mean total taper is 26.7°, on upper first
//! molars (Güth 2013, Clin Oral Investig 17:1389-95).

use std::fmt::Write as _;

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::fact::{FactId, Place};
use casepan::flow::Level;
use casepan::judge::judge;
use casepan::tooth::{Tooth, ToothClass};

use crate::good::{flow, mm, pan, put, rule_of};

/// Tooth, foot of the walls from mesial to distal and from facial to lingual, in mm: the usual neck less 0.5 mm of margin on
/// either side.
type Base = (&'static str, f64, f64);

const BASES: [Base; 6] = [
    ("46", 8.0, 8.0),
    ("16", 7.0, 9.0),
    ("14", 4.0, 7.0),
    ("35", 4.0, 6.0),
    ("12", 4.0, 4.0),
    ("13", 4.5, 6.0),
];

const HEIGHTS: [f64; 5] = [5.0, 4.0, 3.0, 2.0, 1.5];

/// Half of the published mean.
const MEAN: f64 = 26.7 / 2.0;

/// Taper of a wall; twice that is the total taper.
const TAPERS: [f64; 4] = [6.0, 10.0, MEAN, 15.0];

/// What came of a prep.
struct Row {
    height: f64,
    taper: f64,
    tooth: Tooth,
    grip: Option<f64>,
    level: Level,
    failing: f64,
    worst: String,
}

/// The least height advised, in mm (Goodacre 2001).
fn least(tooth: Tooth) -> f64 {
    match tooth.class() {
        ToothClass::Molar => 4.0,
        _ => 3.0,
    }
}

fn prep((tooth, md, fl): Base, height: f64, taper: f64) -> Case {
    let mut case = pan(tooth, "zirconia-3y", "resin-modified");
    let narrower = 2.0 * height * taper.to_radians().tan();
    put(&mut case, "tooth.height", tooth, mm(height));
    put(&mut case, "tooth.margin_width", tooth, mm(0.5));
    for (margin, top, width) in [
        ("tooth.width_margin_md", "tooth.width_top_md", md),
        ("tooth.width_margin_fl", "tooth.width_top_fl", fl),
    ] {
        put(&mut case, margin, tooth, mm(width));
        put(&mut case, top, tooth, mm(width - narrower));
    }
    case
}

fn row(base: Base, height: f64, taper: f64) -> Row {
    let case = prep(base, height, taper);
    let facts = Facts::of(flow(), &case);
    let number = |fact: &str, at: &str| {
        let at: Place = at.parse().expect("a place");
        facts
            .value(&FactId::named(fact), at)
            .and_then(|value| value.number())
    };
    let detail = &facts.details()[0];
    let level = judge(flow(), &facts)
        .all_findings()
        .find(|finding| rule_of(finding) == "grip")
        .map_or(Level::Fine, |finding| finding.level);
    Row {
        height,
        taper,
        tooth: detail.preps[0].0,
        grip: number("restoration.grip", "R1"),
        level,
        failing: number("tooth.failing_directions", base.0).expect("known"),
        worst: detail.worst().map_or_else(String::new, |load| {
            let side = load.toward.map_or("along", |side| side.as_str());
            format!("{} {side}", load.load)
        }),
    }
}

fn rows() -> Vec<(Base, Vec<Row>)> {
    let of = |base| {
        let grid = HEIGHTS
            .iter()
            .flat_map(|height| TAPERS.map(|taper| (*height, taper)));
        grid.map(|(height, taper)| row(base, height, taper))
            .collect()
    };
    BASES.map(|base| (base, of(base))).into()
}

fn told(table: &[(Base, Vec<Row>)]) -> String {
    let mut text = String::new();
    let figure = |number: Option<f64>| number.map_or("none".to_owned(), |n| format!("{n:.2}"));
    for ((tooth, md, fl), rows) in table {
        let _ = writeln!(
            text,
            "{tooth}, base {md} x {fl} mm, least height {} mm",
            least(rows[0].tooth)
        );
        let _ = writeln!(text, "height  taper/wall  grip  level  failing  worst load");
        for row in rows {
            let _ = writeln!(
                text,
                "{:>6}  {:>10.1}  {:>4}  {:<5}  {:>7}  {}",
                row.height,
                row.taper,
                figure(row.grip),
                row.level.as_str(),
                row.failing,
                row.worst
            );
        }
        text.push('\n');
    }
    text
}

#[test]
fn plain_preps() {
    let table = rows();
    let text = told(&table);
    println!("{text}");
    insta::assert_snapshot!("calibration", text);
    let (mut good, mut bad) = (0, 0);
    for ((tooth, ..), rows) in &table {
        for row in rows {
            let what = format!("{tooth}, {} mm, {}°: {:?}", row.height, row.taper, row.grip);
            let grip = row.grip.expect(&what);
            if row.height >= least(row.tooth) && row.taper <= 10.0 {
                good += 1;
                assert_eq!(row.level, Level::Fine, "{what}");
                assert!(grip >= 0.99, "{what}");
            }
            // What is cut on the average, where it was measured.
            if row.tooth.class() == ToothClass::Molar
                && row.height >= least(row.tooth)
                && row.taper == MEAN
            {
                good += 1;
                assert_eq!(row.level, Level::Fine, "{what}");
            }
            if row.height == 1.5 && row.taper == 15.0 {
                bad += 1;
                assert!(row.level > Level::Fine, "{what}");
            }
        }
        // Taller is better, steeper is better.
        for (one, other) in rows.iter().zip(&rows[TAPERS.len()..]) {
            assert!(one.grip > other.grip, "{tooth}, {} mm", one.height);
        }
        for rows in rows.chunks(TAPERS.len()) {
            assert!(
                rows.is_sorted_by(|one, other| one.grip > other.grip),
                "{tooth}"
            );
        }
    }
    assert!(good >= 14 && bad == BASES.len(), "{good}, {bad}");
}
