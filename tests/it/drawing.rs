//! Shapes held against arithmetic. Cases invented. What prints show of them is held in `prints::pictures`.

use casepan::case::Case;
use casepan::derive::Facts;
use casepan::drawing::{
    Figure, Ink, Stroke, Word, arch, bridge, die, elevation, help, shows, sides, staying,
};
use casepan::fact::{CATALOGUE, EFFECTIVE_SHARE, FactId, Kind, Origin, Place, Side, Value};
use casepan::statistics::survival::{Subject, kaplan_meier};
use casepan::tooth::{Arch, size};

use crate::good::{deg, finish, flow, mm, pan, put};
use crate::made::iso;

/// A molar of 4 mm with walls of 6°, on a base of 9.6 by 8.8 mm.
fn molar() -> Case {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    let lean = 2.0 * 4.0 * 6f64.to_radians().tan();
    for (fact, value) in [
        ("tooth.height", 4.0),
        ("tooth.width_margin_md", 9.6),
        ("tooth.width_top_md", 9.6 - lean),
        ("tooth.width_margin_fl", 8.8),
        ("tooth.width_top_fl", 8.8 - lean),
    ] {
        put(&mut case, fact, "46", mm(value));
    }
    case
}

fn strokes(figure: &Figure, ink: Ink) -> Vec<&Stroke> {
    figure.strokes.iter().filter(|s| s.ink == ink).collect()
}

fn ends(stroke: &Stroke) -> ((f64, f64), (f64, f64)) {
    (stroke.points[0], stroke.points[stroke.points.len() - 1])
}

fn length(stroke: &Stroke) -> f64 {
    let (from, to) = ends(stroke);
    (to.0 - from.0).hypot(to.1 - from.1)
}

/// How long the line of a distance is: of its three lines the only one that no other is as long as.
fn distance(figure: &Figure) -> f64 {
    let all: Vec<f64> = strokes(figure, Ink::Distance)
        .into_iter()
        .map(length)
        .collect();
    match all.as_slice() {
        [] => 0.0,
        [tick, other, line] => {
            near(*tick, *other);
            *line
        }
        all => panic!("{all:?}"),
    }
}

#[track_caller]
fn near(value: f64, wanted: f64) {
    assert!((value - wanted).abs() < 1e-9, "{value}, wanted {wanted}");
}

#[test]
fn walls_lean_as_they_were_read() {
    let case = molar();
    let facts = Facts::of(flow(), &case);
    let both = sides(&facts, iso(46), None);
    let from: Vec<Side> = both.iter().map(|(from, _)| *from).collect();
    assert_eq!(from, [Side::Facial, Side::Mesial]);
    for (_, figure) in &both {
        let walls: Vec<_> = figure
            .strokes
            .iter()
            .filter(|s| matches!(s.ink, Ink::Outline | Ink::Fails) && s.inner.is_some())
            .collect();
        assert_eq!(walls.len(), 2);
        for wall in walls {
            let (foot, head) = ends(wall);
            near(head.1 - foot.1, 4.0);
            near((head.0 - foot.0).abs(), 4.0 * 6f64.to_radians().tan());
            // The inner side is where the wall leans.
            let inner = wall.inner.unwrap();
            assert_eq!(head.0 > foot.0, inner.0 > foot.0);
        }
    }
}

#[test]
fn the_part_that_resists_is_drawn_as_long_as_it_is() {
    let mut case = molar();
    put(&mut case, "wall.taper", "46/distal", deg(14.0));
    let facts = Facts::of(flow(), &case);
    let both = sides(&facts, iso(46), None);
    let mut seen = 0;
    for (figure, pair) in both
        .iter()
        .map(|(_, figure)| figure)
        .zip([[Side::Mesial, Side::Distal], [Side::Facial, Side::Lingual]])
    {
        let share = |side| {
            let at = Place::Wall(iso(46), side);
            facts
                .value(&EFFECTIVE_SHARE, at)
                .and_then(Value::number)
                .unwrap()
                / 100.0
        };
        let walls: Vec<f64> = figure
            .strokes
            .iter()
            .filter(|s| matches!(s.ink, Ink::Outline | Ink::Fails) && s.inner.is_some())
            .map(length)
            .collect();
        let wanted: Vec<f64> = pair
            .iter()
            .zip(&walls)
            .map(|(side, wall)| share(*side) * wall)
            .filter(|part| *part > 0.0)
            .collect();
        let drawn: Vec<f64> = strokes(figure, Ink::Resists)
            .into_iter()
            .map(length)
            .collect();
        assert_eq!(drawn.len(), wanted.len());
        for (drawn, wanted) in drawn.iter().zip(&wanted) {
            near(*drawn, *wanted);
            seen += 1;
        }
    }
    assert!(seen >= 3, "{seen}");
}

#[test]
fn the_wall_in_hand_is_marked_with_its_name() {
    let case = molar();
    let facts = Facts::of(flow(), &case);
    let marked = |side| {
        let both = sides(&facts, iso(46), Some(side));
        let names: Vec<Word> = both
            .iter()
            .flat_map(|(_, figure)| &figure.labels)
            .filter(|label| label.marked)
            .map(|label| label.word)
            .collect();
        let lines: Vec<f64> = both
            .iter()
            .flat_map(|(_, figure)| strokes(figure, Ink::Marked))
            .map(|stroke| ends(stroke).0.0)
            .collect();
        (names, lines)
    };
    for side in Side::ALL {
        let (names, lines) = marked(side);
        assert_eq!(names, [Word::Side(iso(46), side)]);
        assert_eq!(lines.len(), 1);
    }
    // Across each other: one at the near end of the base, one at the far end.
    let (_, mesial) = marked(Side::Mesial);
    let (_, distal) = marked(Side::Distal);
    near((mesial[0] - distal[0]).abs(), 9.6);
}

/// What can be drawn of one side does not wait for the other; prints wait.
#[test]
fn a_side_is_drawn_as_soon_as_it_is_read() {
    let mut case = pan("46", "zirconia-3y", "resin-modified");
    for (fact, value, drawn) in [
        ("tooth.height", 4.0, 0),
        ("tooth.width_margin_md", 9.0, 0),
        ("tooth.width_top_md", 8.0, 1),
        ("tooth.width_margin_fl", 9.0, 1),
        ("tooth.width_top_fl", 8.0, 2),
    ] {
        put(&mut case, fact, "46", mm(value));
        let facts = Facts::of(flow(), &case);
        assert_eq!(sides(&facts, iso(46), None).len(), drawn, "{fact}");
        assert_eq!(die(&facts, iso(46)).is_some(), drawn == 2, "{fact}");
    }
}

#[test]
fn the_opposing_tooth_is_as_far_away_as_there_is_room() {
    for room in [0.0, 0.6, 1.8] {
        let mut case = molar();
        put(&mut case, "tooth.clearance", "46", mm(room));
        let facts = Facts::of(flow(), &case);
        for (_, figure) in sides(&facts, iso(46), None) {
            let line = strokes(&figure, Ink::Opposing);
            let low = line[0].points.iter().map(|p| p.1).fold(f64::MAX, f64::min);
            near(low - 4.0, room);
            near(distance(&figure), room);
            assert!(figure.labels.iter().any(|l| l.word == Word::Distance(room)));
        }
    }
    let case = molar();
    let facts = Facts::of(flow(), &case);
    for (_, figure) in sides(&facts, iso(46), None) {
        assert!(strokes(&figure, Ink::Opposing).is_empty());
    }
}

/// A bridge whose spans, clearances and one connector are read.
pub(crate) fn long() -> Case {
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    for (fact, at, value) in [
        ("tooth.clearance", "44", mm(1.1)),
        ("tooth.clearance", "46", mm(1.7)),
        ("pontic.span", "45", mm(8.0)),
        ("connector.height", "44-45", mm(3.4)),
        ("connector.width", "44-45", mm(3.0)),
    ] {
        put(&mut case, fact, at, value);
    }
    finish(&mut case, false);
    case
}

#[test]
fn a_bridge_shows_the_room_over_each_prep() {
    let case = long();
    let facts = Facts::of(flow(), &case);
    let restoration = &case.units.restorations()[0];
    let figure = bridge(&facts, restoration, None).expect("a picture");
    // Lines between ticks are upright, ticks level.
    let rooms: Vec<f64> = strokes(&figure, Ink::Distance)
        .into_iter()
        .map(ends)
        .map(|(from, to)| (to.1 - from.1).abs())
        .filter(|high| *high > 0.0)
        .collect();
    assert_eq!(rooms.len(), 2);
    // The patient's right stands on the left.
    near(rooms[0], 1.7);
    near(rooms[1], 1.1);
    assert!(figure.labels.iter().all(|label| !label.marked));
}

#[test]
fn the_unit_or_connector_in_hand_is_marked() {
    let case = long();
    let facts = Facts::of(flow(), &case);
    let restoration = &case.units.restorations()[0];
    for (at, word) in [
        (Place::Unit(iso(46)), Word::Tooth(iso(46))),
        (Place::Unit(iso(45)), Word::Pontic(iso(45))),
        (Place::connector(iso(44), iso(45)), Word::Section(3.4, 3.0)),
    ] {
        let figure = bridge(&facts, restoration, Some(at)).expect("a picture");
        let named: Vec<Word> = figure
            .labels
            .iter()
            .filter(|label| label.marked)
            .map(|label| label.word)
            .collect();
        assert_eq!(named, [word]);
        assert_eq!(strokes(&figure, Ink::Marked).len(), 1, "{at}");
    }
}

/// The picture has no arch of its own: preps lie where the limit analysis stands them.
#[test]
fn the_arch_is_the_one_that_loads_are_put_on() {
    for (units, which, front_up) in [
        ("44 x45 46", Arch::Lower, -1.0),
        ("13 x12 x11 21", Arch::Upper, 1.0),
    ] {
        let mut case = pan(units, "zirconia-3y", "resin-modified");
        finish(&mut case, false);
        let facts = Facts::of(flow(), &case);
        let figure = arch(&facts, which, None);
        let detail = &facts.details()[0];
        assert_eq!(detail.preps.len(), 2);
        for (tooth, prep) in &detail.preps {
            let word = Word::Tooth(*tooth);
            let label = figure.labels.iter().find(|l| l.word == word).unwrap();
            near(label.at.0, prep.frame.origin[0]);
            near(label.at.1, front_up * prep.frame.origin[1]);
        }
        // Seven teeth a side, each hinted or a unit.
        let rings = figure
            .strokes
            .iter()
            .filter(|s| s.closed && matches!(s.ink, Ink::Usual | Ink::Outline | Ink::Pontic));
        assert_eq!(rings.count(), 14);
        let boxes = strokes(&figure, Ink::Connector).len();
        assert_eq!(boxes, units.split(' ').count() - 1);
    }
}

/// A hinted tooth has its usual size: its ring is as long as the crown is wide.
#[test]
fn a_tooth_that_is_no_unit_is_only_hinted() {
    let case = pan("46", "zirconia-3y", "resin-modified");
    let facts = Facts::of(flow(), &case);
    let figure = arch(&facts, Arch::Lower, Some(Place::Unit(iso(46))));
    let first = strokes(&figure, Ink::Usual)[0];
    // The first along the arch is the right second molar; opposite points of its ring are its width apart.
    let (a, b) = (first.points[0], first.points[first.points.len() / 2]);
    near(
        (a.0 - b.0).hypot(a.1 - b.1),
        size(iso(47)).mesiodistal_crown,
    );
    let marked: Vec<_> = figure.labels.iter().filter(|l| l.marked).collect();
    assert_eq!(marked.len(), 1);
    assert_eq!(figure.labels.len(), 1, "hints have no names");
}

#[test]
fn what_is_measured_is_drawn_between_its_ticks() {
    let of = |name: &str| help(&FactId::named(name)).unwrap_or_else(|| panic!("{name}"));
    let wide = |figure: &Figure, ink| {
        let all = strokes(figure, ink);
        let points = all.iter().flat_map(|s| &s.points);
        let (low, high) = points.fold((f64::MAX, f64::MIN), |(low, high), p| {
            (low.min(p.0), high.max(p.0))
        });
        high - low
    };
    let tall = |figure: &Figure| {
        let all = strokes(figure, Ink::Outline);
        let points = all.iter().flat_map(|s| &s.points);
        points.map(|p| p.1).fold(f64::MIN, f64::max)
    };
    for name in ["tooth.height", "wall.height"] {
        let figure = of(name);
        near(distance(&figure), tall(&figure));
    }
    for name in ["tooth.width_margin_md", "tooth.width_margin_fl"] {
        let figure = of(name);
        near(distance(&figure), wide(&figure, Ink::Margin));
    }
    for name in ["tooth.width_top_md", "tooth.width_top_fl"] {
        let figure = of(name);
        let outline = &strokes(&figure, Ink::Outline)[0].points;
        near(distance(&figure), outline[2].0 - outline[1].0);
    }
    let figure = of("tooth.clearance");
    let line = strokes(&figure, Ink::Opposing)[0];
    let low = line.points.iter().map(|p| p.1).fold(f64::MAX, f64::min);
    near(distance(&figure), low - tall(&figure));
    for name in ["connector.height", "connector.space_height"] {
        let figure = of(name);
        let ring = &strokes(&figure, Ink::Connector)[0].points;
        near(distance(&figure), ring[2].1 - ring[1].1);
    }
    for name in ["connector.width", "connector.space_width"] {
        let figure = of(name);
        let ring = &strokes(&figure, Ink::Connector)[0].points;
        near(distance(&figure), ring[2].1 - ring[1].1);
    }
    assert!(help(&FactId::named("order.shade_given")).is_none());
}

/// Whatever can be sketched while it is typed is a number that somebody types, and has a picture of what is measured.
#[test]
fn what_is_sketched_can_be_typed() {
    let shown: Vec<_> = CATALOGUE
        .iter()
        .filter(|spec| shows(&FactId::named(&spec.id)))
        .collect();
    assert_eq!(shown.len(), 14);
    for spec in shown {
        assert!(matches!(spec.kind, Kind::Number { .. }), "{}", spec.id);
        assert_eq!(spec.origin, Origin::Asked, "{}", spec.id);
        assert!(help(&FactId::named(&spec.id)).is_some(), "{}", spec.id);
    }
    assert!(!shows(&FactId::named("order.material")));
}

/// On the screen an arc as long as on paper would take the room of the bridge itself. It begins at the same place.
#[test]
fn the_motion_of_a_bridge_is_a_short_arc_on_the_screen() {
    // The free end levers its retainer up on the far side; a turn towards cheek or tongue does not show in this view.
    let mut case = pan("x45 46", "zirconia-3y", "resin-modified");
    finish(&mut case, false);
    let facts = Facts::of(flow(), &case);
    let restoration = &case.units.restorations()[0];
    let arc = |figure: &Figure| {
        let arcs = strokes(figure, Ink::Motion);
        let arc = arcs.iter().find(|s| !s.closed).expect("an arc");
        let long: f64 = arc
            .points
            .windows(2)
            .map(|pair| (pair[1].0 - pair[0].0).hypot(pair[1].1 - pair[0].1))
            .sum();
        (arc.points[0], long)
    };
    let (paper, far) = arc(&elevation(&facts, restoration).expect("a picture"));
    let (screen, near_by) = arc(&bridge(&facts, restoration, None).expect("a picture"));
    near(paper.0, screen.0);
    near(paper.1, screen.1);
    assert!(far > near_by + 0.1, "{far}, {near_by}");
    assert!((near_by - 5.0).abs() < 0.01, "{near_by}");
}

/// Freireich and others 1963, remission under the drug in weeks: after 6 weeks .8571428571 are without relapse, with a log-log
/// band from .6197179553 to .9515517476; after 10 weeks .7529411765.
#[test]
fn a_curve_stands_where_its_shares_are() {
    const WIDE: f64 = 96.0;
    const HIGH: f64 = 40.0;
    let ends = [6, 6, 6, 7, 10, 13, 16, 22, 23];
    let lost = [6, 9, 10, 11, 17, 19, 20, 25, 32, 32, 34, 35];
    let subject = |weeks: &i32, event| Subject {
        time: f64::from(*weeks) * 7.0,
        event,
    };
    let ends = ends.iter().map(|own| subject(own, true));
    let all: Vec<Subject> = ends
        .chain(lost.iter().map(|own| subject(own, false)))
        .collect();
    let figure = staying(&kaplan_meier(&all).unwrap()).unwrap();
    let shares: Vec<f64> = figure
        .labels
        .iter()
        .filter_map(|label| match label.word {
            Word::Share(share) => Some(share),
            _ => None,
        })
        .collect();
    let (to, from) = (shares[0], shares[1]);
    assert!(to == 1.0 && from < 0.6, "{shares:?}");
    // Ten are followed for 17 weeks: three whole months.
    let days = 3.0 * 30.4375;
    let has = |ink: Ink, weeks: f64, share: f64| {
        let at = (
            weeks * 7.0 / days * WIDE,
            (share - from) / (to - from) * HIGH,
        );
        let points = figure.strokes.iter().filter(|own| own.ink == ink);
        let mut points = points.flat_map(|own| &own.points);
        points.any(|own| (own.0 - at.0).abs() < 1e-6 && (own.1 - at.1).abs() < 1e-6)
    };
    assert!(has(Ink::Curve, 0.0, 1.0));
    assert!(has(Ink::Curve, 6.0, 0.857142857142857));
    assert!(has(Ink::Curve, 10.0, 0.752941176470588));
    assert!(!has(Ink::Curve, 10.0, 0.76));
    assert!(has(Ink::Inner, 6.0, 0.61971795528));
    assert!(has(Ink::Inner, 6.0, 0.95155174759));
}
