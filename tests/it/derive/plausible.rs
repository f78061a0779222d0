//! Readings against one another: what is worked out by hand here, and that no figure rests on what cannot be.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::{Facts, Worked};
use casepan::fact::Value;
use casepan::flow::Flow;
use casepan::judge::judge;
use casepan::logic::Gap;
use casepan::tooth::{Tooth, size};

use crate::made::{case, choice, deg, flow, mm, number, spot, value, worked};

/// A crown on 46: the usual crown is 11 by 10.5 mm and 7.5 mm long, 9 by 9 mm at its neck.
fn crown(changes: &[(&str, &str, Value)]) -> Case {
    let mut facts = vec![
        ("tooth.height", "46", mm(4.0)),
        ("tooth.margin_width", "46", mm(0.5)),
        ("tooth.width_margin_md", "46", mm(8.6)),
        ("tooth.width_margin_fl", "46", mm(8.0)),
        ("tooth.width_top_md", "46", mm(7.8)),
        ("tooth.width_top_fl", "46", mm(7.0)),
        ("tooth.grooves", "46", choice("none")),
    ];
    facts.extend(changes.iter().cloned());
    case("46", &facts)
}

fn figure(changes: &[(&str, &str, Value)], fact: &str, at: &str) -> Option<f64> {
    let flow = flow();
    let case = crown(changes);
    let facts = Facts::without_search(&flow, &case);
    let spot = spot(fact, at);
    facts.value(&spot.fact, spot.at).and_then(Value::number)
}

#[track_caller]
fn is(found: Option<f64>, wanted: f64) {
    assert!(
        found.is_some_and(|found| (found - wanted).abs() < 1e-9),
        "{found:?}, {wanted}"
    );
}

/// An undercut on both walls explains twice as much; what is not found or not seen explains nothing.
#[test]
fn an_undercut_explains_a_top_that_is_wider() {
    for (undercut, left) in [
        (None, 0.8),
        (Some(Value::NotSeen), 0.8),
        (Some(choice("none")), 0.8),
        (Some(choice("to-0.1")), 0.6),
        (Some(choice("to-0.3")), 0.2),
        (Some(choice("over-0.3")), 0.0),
        (Some(choice("at-margin")), 0.0),
    ] {
        let mut changes = vec![("tooth.width_top_md", "46", mm(9.4))];
        changes.extend(undercut.map(|value| ("tooth.undercut", "46", value)));
        is(figure(&changes, "tooth.top_over_margin_md", "46"), left);
    }
    is(figure(&[], "tooth.top_over_margin_md", "46"), 0.0);
}

/// 3·√(0.2² + 0.2²) = 0.849 mm is what reading errors explain between a mean and a wall by caliper.
#[test]
fn a_mean_lies_between_its_walls() {
    let walls = |heights: [f64; 4]| {
        let places = ["46/mesial", "46/distal", "46/facial", "46/lingual"].into_iter();
        let read = places
            .zip(heights)
            .map(|(at, height)| ("wall.height", at, mm(height)));
        read.collect::<Vec<_>>()
    };
    let error = 3.0 * (0.08_f64).sqrt();
    for (heights, off, from) in [
        ([4.0, 4.0, 4.0, 4.0], 0.0, 0.0),
        ([2.0, 5.0, 3.0, 4.0], 0.0, 0.5),
        ([6.0, 6.5, 6.0, 6.5], 2.0 - error, 2.25),
        ([2.0, 2.4, 2.6, 3.0], 1.0 - error, 1.5),
        ([3.2, 3.2, 3.2, 3.2], 0.0, 0.8),
    ] {
        let walls = walls(heights);
        is(figure(&walls, "tooth.height_off_walls", "46"), off);
        is(figure(&walls, "tooth.height_from_walls", "46"), from);
    }
    // Three walls say nothing of the fourth.
    let three = &walls([6.0, 6.0, 6.0, 6.0])[..3];
    assert_eq!(figure(three, "tooth.height_off_walls", "46"), None);
}

/// Margin 8.6, top 7.8: walls of 0° leave 8.6, walls of 5.7106° (tangent 0.1) 7.8 at 4 mm. Errors of one reading: 0.1 mm a
/// width, 2° a taper, which is 4·tan 2° at the top.
#[test]
fn tapers_of_straight_walls_lead_to_the_top() {
    let error =
        3.0 * (2.0 * 0.1_f64.powi(2) + 2.0 * (4.0 * 2.0_f64.to_radians().tan()).powi(2)).sqrt();
    let walls = |form: &str, [one, other]: [f64; 2]| {
        figure(
            &[
                ("wall.form", "46/mesial", choice(form)),
                ("wall.form", "46/distal", choice(form)),
                ("wall.taper", "46/mesial", deg(one)),
                ("wall.taper", "46/distal", deg(other)),
            ],
            "tooth.top_off_walls",
            "46",
        )
    };
    is(walls("straight", [5.710_593_137, 5.710_593_137]), 0.0);
    is(walls("straight", [0.0, 0.0]), 0.8 - error);
    is(walls("straight", [1.0, 5.0]), 0.0);
    let lean = 4.0 * 20.0_f64.to_radians().tan();
    is(walls("straight", [20.0, 20.0]), 2.0 * lean - 0.8 - error);
    // The straight part of a dished wall says nothing of where its top ends.
    assert_eq!(walls("dished-top", [20.0, 20.0]), None);
    // One wall alone leads nowhere.
    let one = [
        ("wall.form", "46/mesial", choice("straight")),
        ("wall.taper", "46/mesial", deg(20.0)),
    ];
    assert_eq!(figure(&one, "tooth.top_off_walls", "46"), None);
}

/// Where the room was not measured a connector is no larger than the tooth beside it usually is: 44 is 8.5 mm long, 46 10.5 wide.
#[test]
fn a_connector_is_no_larger_than_its_tooth() {
    let over = |height: f64, width: f64, room: &[(&'static str, &'static str, Value)]| {
        let mut facts = vec![
            ("connector.height", "44-45", mm(height)),
            ("connector.width", "44-45", mm(width)),
        ];
        facts.extend(room.iter().cloned());
        let flow = flow();
        let case = case("44 x45 46", &facts);
        let facts = Facts::without_search(&flow, &case);
        let spot = spot("connector.over_space", "44-45");
        facts.value(&spot.fact, spot.at).and_then(Value::number)
    };
    let teeth = [44, 45].map(|tooth| size(Tooth::from_iso(tooth).expect("a tooth")));
    let length = teeth[0].crown_length.max(teeth[1].crown_length);
    let width = teeth[0].faciolingual_crown.max(teeth[1].faciolingual_crown);
    is(over(4.0, 4.0, &[]), 0.0);
    is(over(12.0, 1.0, &[]), 12.0 - length);
    is(over(4.0, 12.0, &[]), 12.0 - width);
    let room = [
        ("connector.space_height", "44-45", mm(3.5)),
        ("connector.space_width", "44-45", mm(5.0)),
    ];
    is(over(4.0, 4.0, &room), 0.5);
}

/// The usual crown of 46 is 11 by 10.5 mm; 8.6 and 8.0 mm with a margin of 0.5 on both sides.
#[test]
fn the_margin_lies_outside_the_width() {
    is(
        figure(&[], "tooth.neck_to_crown", "46"),
        (9.6 / 11.0_f64).max(9.0 / 10.5),
    );
    let wide = [("wall.margin_width", "46/facial", mm(3.0))];
    is(figure(&wide, "tooth.neck_to_crown", "46"), 11.5 / 10.5);
}

/// What is worse for the whole margin than on each wall is on none of them; a wall not read may have it.
#[test]
fn the_worst_of_a_margin_is_on_a_wall() {
    let told = |whole: &[(&'static str, Value)], wall: &'static str, each: &Value, walls: usize| {
        let mut changes: Vec<_> = whole
            .iter()
            .map(|(fact, value)| (*fact, "46", value.clone()))
            .collect();
        let places = ["46/mesial", "46/distal", "46/facial", "46/lingual"];
        changes.extend(places[..walls].iter().map(|at| (wall, *at, each.clone())));
        changes.push(("order.material", "R1", choice("zirconia-3y")));
        let flow = flow();
        let case = crown(&changes);
        let facts = Facts::without_search(&flow, &case);
        let spot = spot("tooth.margin_on_no_wall", "46");
        facts.value(&spot.fact, spot.at) == Some(&Value::Yes)
    };
    let width = |width: f64| [("tooth.margin_width", mm(width))];
    let form = |form: &str| [("tooth.margin_form", choice(form))];
    let gum = |gum: &str| [("tooth.margin_to_gum", choice(gum))];
    assert!(told(&width(0.1), "wall.margin_width", &mm(0.8), 4));
    assert!(!told(&width(0.1), "wall.margin_width", &mm(0.8), 3));
    // A band apart is how the eye differs; wider all round is no harm.
    assert!(!told(&width(0.5), "wall.margin_width", &mm(0.8), 4));
    assert!(!told(&width(1.2), "wall.margin_width", &mm(0.5), 4));
    assert!(told(
        &form("lipped"),
        "wall.margin_form",
        &choice("chamfer"),
        4
    ));
    assert!(!told(
        &form("lipped"),
        "wall.margin_form",
        &choice("lipped"),
        4
    ));
    // Both are taken by the material; and where it differs the walls are meant.
    assert!(!told(
        &form("shoulder"),
        "wall.margin_form",
        &choice("chamfer"),
        4
    ));
    assert!(!told(
        &form("differs"),
        "wall.margin_form",
        &choice("chamfer"),
        4
    ));
    assert!(told(&gum("deeper"), "wall.margin_to_gum", &choice("at"), 4));
    assert!(told(&gum("at"), "wall.margin_to_gum", &choice("above"), 4));
    assert!(!told(&gum("above"), "wall.margin_to_gum", &choice("at"), 4));
}

#[test]
fn sizes_are_told_against_the_table() {
    is(figure(&[], "tooth.width_to_neck_md", "46"), 10.6 / 9.0);
    is(figure(&[], "tooth.width_to_crown_md", "46"), 8.6 / 11.0);
    is(figure(&[], "tooth.height_to_crown", "46"), 4.0 / 7.5);
    is(figure(&[], "tooth.usual_length", "46"), 7.5);
    // 2·atan(0.8/8) and 2·atan(1/8) in degrees.
    is(
        figure(&[], "tooth.least_taper", "46"),
        2.0 * (0.1_f64).atan().to_degrees(),
    );
    let bites = |against: &str| {
        let changes = [
            ("tooth.clearance", "46", mm(5.8)),
            ("bite.opposed_by", "R1", choice(against)),
        ];
        figure(&changes, "tooth.clearance_met", "46")
    };
    is(bites("natural"), 5.8);
    // Nothing bites there: there is no clearance to be wrong.
    assert_eq!(bites("nothing"), None);
}

/// What is read, by fact and place.
type Read = Vec<(&'static str, &'static str, Value)>;

/// Each way in which a shape cannot be, with the first words of the reason.
fn cannot_be() -> Vec<(Read, &'static str)> {
    let walls = ["46/mesial", "46/distal", "46/facial", "46/lingual"];
    vec![
        (
            vec![("tooth.width_top_md", "46", mm(8.7))],
            "the prep is wider at the top than at the margin, mesiodistally",
        ),
        (
            vec![("tooth.width_top_fl", "46", mm(12.0))],
            "the prep is wider at the top than at the margin, faciolingually",
        ),
        (
            walls.map(|at| ("wall.height", at, mm(6.0))).to_vec(),
            "the average height is outside the heights of all four walls",
        ),
        (
            vec![
                ("wall.taper", "46/facial", deg(45.0)),
                ("wall.taper", "46/lingual", deg(45.0)),
            ],
            "the walls meet below the top",
        ),
        (
            vec![
                ("wall.form", "46/facial", choice("dished-top")),
                ("wall.straight_height", "46/facial", mm(8.0)),
            ],
            "the straight part of a wall is higher than the wall",
        ),
        (
            vec![
                ("tooth.height", "46", mm(2.0)),
                ("tooth.uneven", "46", choice("margin-steps")),
                ("wall.margin_step", "46/facial", mm(5.0)),
            ],
            "a step in the margin is higher than the prep",
        ),
    ]
}

/// Figures that rest on the shape of a prep.
const RESTS: [(&str, &str); 9] = [
    ("tooth.total_taper_md", "46"),
    ("tooth.total_taper_fl", "46"),
    ("tooth.total_taper", "46"),
    ("tooth.height_to_base", "46"),
    ("wall.effective_share", "46/mesial"),
    ("wall.effective", "46/lingual"),
    ("tooth.failing_directions", "46"),
    ("tooth.grip", "46"),
    ("restoration.grip", "R1"),
];

#[track_caller]
fn none_rests(flow: &Flow, case: &Case, why: &str) {
    let facts = Facts::of(flow, case);
    match &worked(&facts, "tooth.shape_possible", "46")
        .expect("an outcome")
        .result
    {
        Worked::Refused(said) => assert!(said.starts_with(why), "{said}"),
        other => panic!("{why}: {other:?}"),
    }
    for (fact, at) in RESTS {
        match &worked(&facts, fact, at).expect("an outcome").result {
            Worked::Waits(missing) => {
                assert!(
                    missing.contains(&spot("tooth.shape_possible", "46")),
                    "{fact}: {missing:?}"
                );
            }
            other => panic!("{why}, {fact}: {other:?}"),
        }
    }
    let judgement = judge(flow, &facts);
    assert!(judgement.verdict.is_open(), "{why}");
    let open = judgement.open_points.iter().any(|point| {
        point
            .needs
            .contains(&(spot("tooth.shape_possible", "46"), Gap::NotComputed))
    });
    assert!(open, "{why}: {:?}", judgement.open_points);
}

#[test]
fn no_figure_rests_on_a_shape_that_cannot_be() {
    let flow = flow();
    for (changes, why) in cannot_be() {
        none_rests(&flow, &crown(&changes), why);
    }
    let case = crown(&[]);
    let facts = Facts::of(&flow, &case);
    assert_eq!(value(&facts, "tooth.shape_possible", "46"), &Value::Yes);
    assert!(number(&facts, "restoration.grip", "R1") > 0.0);
}

/// One prep of a bridge that cannot be leaves the whole without grip, and the other with its own figures.
#[test]
fn a_bridge_on_one_such_prep_has_no_grip() {
    let flow = flow();
    let mut case = super::missing::full();
    case.put(
        spot("tooth.width_top_md", "44"),
        Layer::Measured,
        Reading::plain(mm(9.4)),
    );
    let facts = Facts::of(&flow, &case);
    let refused = worked(&facts, "restoration.grip", "R1").expect("an outcome");
    assert!(matches!(&refused.result, Worked::Waits(_)), "{refused:?}");
    assert!(number(&facts, "tooth.total_taper", "46") > 0.0);
}

/// A flow that has no such rules asks nothing back and finds nothing of it, but takes no figure from such a shape either.
#[test]
fn a_flow_without_such_rules_takes_no_figure_either() {
    let mut own = flow().as_ref().clone();
    own.rules.retain(|rule| rule.asks_back.is_none());
    for (changes, why) in cannot_be() {
        none_rests(&own, &crown(&changes), why);
    }
}

/// One slip is one line among what is found, whatever else it makes of the shape; what is open waits for the shape alone.
#[test]
fn a_slip_is_one_line() {
    let flow = flow();
    for (changes, why) in cannot_be() {
        let case = crown(&changes);
        let facts = Facts::of(&flow, &case);
        let judgement = judge(&flow, &facts);
        let topic = |finding: &casepan::judge::Finding| {
            flow.rule(finding.rule)
                .expect("a rule")
                .topic
                .clone()
                .unwrap_or_default()
        };
        let shape = judgement
            .findings
            .iter()
            .filter(|finding| topic(finding) == "shape");
        assert_eq!(shape.count(), 1, "{why}");
        let computed = judgement
            .open_points
            .iter()
            .flat_map(|point| &point.needs)
            .filter(|(_, gap)| *gap == Gap::NotComputed);
        assert!(computed.clone().count() > 0, "{why}");
        for (needed, _) in computed {
            assert_eq!(needed, &spot("tooth.shape_possible", "46"), "{why}");
        }
    }
}

/// Every tooth of the table, cut by 0.4 to 1.2 mm at the neck (0.4 to 0.8 is what is cut: Tiu 2015), from 1.87 to 5.25 mm
/// high (the shortest and the tallest mean of that paper), with the published mean tapers: none is asked back. The least
/// incisors are not cut so deep: of 3.5 mm nothing would be left.
#[test]
fn usual_teeth_are_never_asked_back() {
    let flow = flow();
    for quadrant in 1..=4 {
        for position in 1..=8 {
            let tooth = Tooth::new(quadrant, position).expect("a tooth");
            let (at, size) = (tooth.iso().to_string(), size(tooth));
            for depth in [0.4, 0.8, 1.0] {
                for height in [1.87, 3.0, 4.0, 5.25] {
                    for taper in [10.0_f64, 20.7, 26.7, 31.6] {
                        let narrower = 2.0 * height * (taper / 2.0).to_radians().tan();
                        let md = (size.mesiodistal_cervix - 2.0 * depth).max(1.0);
                        let fl = (size.faciolingual_cervix - 2.0 * depth).max(1.0);
                        let top = |width: f64| mm((width - narrower).max(0.5));
                        let case = case(
                            &at,
                            &[
                                ("tooth.height", &at, mm(height)),
                                ("tooth.width_margin_md", &at, mm(md)),
                                ("tooth.width_top_md", &at, top(md)),
                                ("tooth.width_margin_fl", &at, mm(fl)),
                                ("tooth.width_top_fl", &at, top(fl)),
                                ("tooth.clearance", &at, mm(2.0)),
                                ("tooth.undercut", &at, choice("none")),
                            ],
                        );
                        let facts = Facts::without_search(&flow, &case);
                        for (_, rule) in flow.rules().filter(|(_, r)| r.asks_back.is_some()) {
                            for place in facts.units().within(casepan::fact::Place::Case, rule.at) {
                                let fired = rule.evaluate(&facts, place).fired;
                                assert!(
                                    fired.is_none(),
                                    "{} at {at}: {depth} {height} {taper}",
                                    rule.id
                                );
                            }
                        }
                    }
                }
            }
        }
    }
}
