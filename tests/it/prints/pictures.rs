//! Pictures are to scale: held against the readings they are drawn from. Cases invented.

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::drawing::{Anchor, Figure, Ink, Label, Word, die, elevation};
use casepan::fact::Side;
use casepan::tooth::{Tooth, size};

use crate::good::{choice, finish, flow, mm, pan, put};

fn iso(number: u8) -> Tooth {
    Tooth::from_iso(number).expect("a tooth")
}

/// Bounds of the strokes of an ink: left, right, low, high.
fn bounds(figure: &Figure, ink: Ink) -> Vec<[f64; 4]> {
    figure
        .strokes
        .iter()
        .filter(|stroke| stroke.ink == ink)
        .map(|stroke| {
            stroke.points.iter().fold(
                [
                    f64::INFINITY,
                    f64::NEG_INFINITY,
                    f64::INFINITY,
                    f64::NEG_INFINITY,
                ],
                |[l, r, b, t], (x, y)| [l.min(*x), r.max(*x), b.min(*y), t.max(*y)],
            )
        })
        .collect()
}

fn label(figure: &Figure, wanted: Word) -> &Label {
    let found = figure.labels.iter().find(|label| label.word == wanted);
    found.unwrap_or_else(|| panic!("{wanted:?} in {:?}", figure.labels))
}

fn bridge(case: &Case) -> Figure {
    let facts = Facts::of(flow(), case);
    elevation(&facts, &case.units.restorations()[0]).expect("a picture")
}

#[track_caller]
fn near(value: f64, wanted: f64) {
    assert!((value - wanted).abs() < 1e-9, "{value}, wanted {wanted}");
}

#[test]
fn a_prep_is_drawn_as_wide_and_as_high_as_it_was_read() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    for (fact, value) in [
        ("tooth.height", 4.2),
        ("tooth.width_margin_md", 9.0),
        ("tooth.width_top_md", 7.6),
        ("tooth.width_margin_fl", 8.0),
        ("tooth.width_top_fl", 6.4),
    ] {
        put(&mut case, fact, "46", mm(value));
    }
    let facts = Facts::of(flow(), &case);
    let figure = die(&facts, iso(46)).expect("a picture");
    let margins = bounds(&figure, Ink::Margin);
    let widths: Vec<f64> = margins.iter().map(|[l, r, ..]| r - l).collect();
    near(widths[0], 9.0);
    near(widths[1], 8.0);
    let tops: Vec<f64> = bounds(&figure, Ink::Outline)
        .iter()
        .filter(|[_, _, b, t]| b == t)
        .map(|[l, r, ..]| r - l)
        .collect();
    near(tops[0], 7.6);
    near(tops[1], 6.4);
    assert!(
        margins
            .iter()
            .all(|[_, _, low, high]| *low == 0.0 && *high == 0.0)
    );
    let high = bounds(&figure, Ink::Outline)
        .iter()
        .map(|b| b[3])
        .fold(0.0, f64::max);
    near(high, 4.2);
}

/// As somebody sees it who holds the die with its top up and looks at it from the cheek: a lower right molar has mesial
/// on the right, a lower left one on the left; upper dies are upside down, so there it is the other way round.
#[test]
fn sides_of_a_die_are_where_the_eye_sees_them() {
    for (tooth, mesial_left, facial_left) in [
        (46, false, true),
        (36, true, false),
        (16, true, false),
        (26, false, true),
    ] {
        let mut case = pan(&tooth.to_string(), "zirconia-3y", "resin-modified");
        finish(&mut case, true);
        let facts = Facts::of(flow(), &case);
        let tooth = iso(tooth);
        let figure = die(&facts, tooth).expect("a picture");
        let x = |side| label(&figure, Word::Side(tooth, side)).at.0;
        assert_eq!(x(Side::Mesial) < x(Side::Distal), mesial_left, "{tooth}");
        assert_eq!(x(Side::Facial) < x(Side::Lingual), facial_left, "{tooth}");
    }
}

/// The patient's right stands on the left, whichever arch; upper crowns point down.
#[test]
fn a_bridge_stands_as_in_the_mouth() {
    for (units, left, right, up) in [
        ("44 x45 46", 46, 44, true),
        ("34 x35 36", 34, 36, true),
        ("14 x15 16", 16, 14, false),
        ("11 x21 22", 11, 22, false),
    ] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        finish(&mut case, false);
        let figure = bridge(&case);
        let place = |number| label(&figure, Word::Tooth(iso(number))).at;
        assert!(place(left).0 < place(right).0, "{units}");
        // Names stand at the margin, tops at 0.
        assert_eq!(place(left).1 < 0.0, up, "{units}");
        let [_, _, low, high] = bounds(&figure, Ink::Usual)[0];
        near(if up { high } else { low }, 0.0);
    }
}

/// Closed forms: units stand side by side, so the whole is as wide as they are; a round of area A is √(4A/π) high.
#[test]
fn a_bridge_is_to_scale() {
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    put(&mut case, "pontic.span", "45", mm(8.0));
    let figure = bridge(&case);
    let (low, high) = figure.bounds().expect("strokes");
    let wanted = size(iso(44)).mesiodistal_crown + 8.0 + size(iso(46)).mesiodistal_crown;
    near(high.0 - low.0, wanted);
    let least = bounds(&figure, Ink::Least);
    assert_eq!(least.len(), 2);
    for [_, _, low, high] in least {
        near((high - low).powi(2) * std::f64::consts::PI / 4.0, 9.0);
    }
    label(&figure, Word::Least(9.0));
    put(&mut case, "connector.height", "44-45", mm(3.4));
    put(&mut case, "connector.width", "44-45", mm(3.0));
    let figure = bridge(&case);
    let drawn = bounds(&figure, Ink::Connector);
    assert_eq!((drawn.len(), bounds(&figure, Ink::Least).len()), (1, 1));
    near(drawn[0][3] - drawn[0][2], 3.4);
    let said = label(&figure, Word::Section(3.4, 3.0));
    assert_eq!(said.anchor, Anchor::Middle);
}

/// The arc begins beside the margin that lifts and the ring lies on the margin that it turns about.
#[test]
fn the_arrow_shows_the_motion_that_is_told() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.height", "46", mm(2.4));
    finish(&mut case, true);
    let facts = Facts::of(flow(), &case);
    let motion = facts.details()[0]
        .worst()
        .and_then(|load| load.motion())
        .expect("a motion");
    let (about, lifts) = (motion.about.expect("it turns").1, motion.lifts.1);
    let figure = die(&facts, iso(46)).expect("a picture");
    let x = |side| label(&figure, Word::Side(iso(46), side)).at.0;
    let ring = figure.strokes.iter().find(|s| s.closed).expect("a ring");
    let centre = ring.points.iter().map(|p| p.0).sum::<f64>() / ring.points.len() as f64;
    let arc = figure
        .strokes
        .iter()
        .filter(|stroke| stroke.ink == Ink::Motion && !stroke.closed)
        .max_by_key(|stroke| stroke.points.len())
        .expect("an arc");
    let (begin, end) = (arc.points[0], arc.points[arc.points.len() - 1]);
    assert!((centre - x(about)).abs() < (centre - x(lifts)).abs());
    assert!((begin.0 - x(lifts)).abs() < (begin.0 - x(about)).abs());
    assert!(end.1 > begin.1, "it rises");
}

#[test]
fn what_was_not_read_is_not_drawn() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.margin_seen", "46", choice("all"));
    let facts = Facts::of(flow(), &case);
    assert!(die(&facts, iso(46)).is_none());
    assert!(elevation(&facts, &case.units.restorations()[0]).is_none());
}
