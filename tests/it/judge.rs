//! Judging: levels and raises, open points, folding, verdicts; under small flows of its own and under the shipped one.

use casepan::case::{Case, Layer, Reading};
use casepan::derive::Facts;
use casepan::fact::{FactId, Place, PlaceKind, Value};
use casepan::flow::{Flow, Level, Rule, RuleId};
use casepan::judge::{Judgement, judge};
use casepan::logic::{Condition, Gap, Test};

mod random;

use super::made::{case, choice, flow, mm, spot};

fn is(fact: &str, value: Value) -> Condition {
    Condition::Test(FactId::named(fact), Test::Is(value))
}

fn below(fact: &str, limit: f64) -> Condition {
    Condition::Test(FactId::named(fact), Test::Below(limit))
}

fn rule(id: &str, at: PlaceKind, levels: Vec<(Level, Condition)>) -> Rule {
    Rule {
        never: false,
        id: id.to_owned(),
        at,
        foretells: Vec::new(),
        levels,
        raise: Vec::new(),
        topic: None,
        says: id.to_owned(),
        because: String::new(),
        source: "ours".to_owned(),
        limits: Vec::new(),
        stands: String::new(),
        asks: None,
        tells: None,
        settles: Vec::new(),
        choices: Vec::new(),
        bench: None,
        asks_back: None,
        examples: Vec::new(),
    }
}

/// The shipped flow's questions with other rules. What kind of work it is, is not asked: that would be open everywhere.
fn with_rules(rules: Vec<Rule>) -> Flow {
    let mut flow = flow().as_ref().clone();
    flow.questions
        .retain(|question| question.fact.as_str() != "order.scope");
    Flow { rules, ..flow }
}

/// Findings as `level rule@place`, what is folded in brackets; then open points as `? rule@place could be level`.
fn told(flow: &Flow, judgement: &Judgement) -> Vec<String> {
    let name = |rule: RuleId, at: Place| format!("{}@{at}", flow.rule(rule).expect("a rule").id);
    let mut lines = Vec::new();
    for finding in &judgement.findings {
        let mut line = format!(
            "{} {}",
            finding.level.as_str(),
            name(finding.rule, finding.at)
        );
        for folded in &finding.folded {
            let folded = format!("{} {}", folded.level.as_str(), name(folded.rule, folded.at));
            line.push_str(&format!(" ({folded})"));
        }
        lines.push(line);
    }
    for point in &judgement.open_points {
        lines.push(format!(
            "? {} could be {}",
            name(point.rule.expect("a rule"), point.at),
            point.could_be.as_str()
        ));
    }
    lines
}

#[track_caller]
fn judged(flow: &Flow, case: &Case, wanted: &[&str]) -> Judgement {
    let judgement = judge(flow, &Facts::of(flow, case));
    assert_eq!(told(flow, &judgement), wanted);
    judgement
}

/// A low prep: call under 2 mm, watch under 3 mm; one graver for grinding, one for a post.
fn low_prep() -> Flow {
    let mut low = rule(
        "low",
        PlaceKind::Abutment,
        vec![
            (Level::Call, below("tooth.height", 2.0)),
            (Level::Watch, below("tooth.height", 3.0)),
        ],
    );
    low.raise = vec![
        is("habit.grinding", choice("certain")),
        is("tooth.core", choice("post")),
    ];
    with_rules(vec![low])
}

/// (height, grinding, core, what is told).
type Row = (
    Option<f64>,
    Option<&'static str>,
    Option<&'static str>,
    &'static [&'static str],
);

const LOW: &[Row] = &[
    // The worst level that is true fires; what is above the limit does not.
    (Some(1.9), Some("none"), Some("none"), &["call low@26"]),
    (Some(2.0), Some("none"), Some("none"), &["watch low@26"]),
    (Some(3.0), Some("none"), Some("none"), &[]),
    // Each raise adds one, up to hold.
    (Some(2.5), Some("certain"), Some("none"), &["call low@26"]),
    (Some(2.5), Some("certain"), Some("post"), &["hold low@26"]),
    (Some(1.5), Some("certain"), Some("post"), &["hold low@26"]),
    // A raise does not fire by itself.
    (Some(3.5), Some("certain"), Some("post"), &[]),
    // A raise that is unknown leaves the finding and an open point beside it.
    (
        Some(2.5),
        None,
        Some("none"),
        &["watch low@26", "? low@26 could be call"],
    ),
    (
        Some(2.5),
        None,
        None,
        &["watch low@26", "? low@26 could be hold"],
    ),
    (
        Some(2.5),
        Some("certain"),
        None,
        &["call low@26", "? low@26 could be hold"],
    ),
    // Nothing is worse than hold, so nothing is open.
    (Some(1.5), Some("certain"), None, &["hold low@26"]),
    // Nothing fires that a raise could add to.
    (Some(3.5), None, None, &[]),
    // The reading itself is unknown: the worst level with what is raised already and what may be.
    (
        None,
        Some("none"),
        Some("none"),
        &["? low@26 could be call"],
    ),
    (
        None,
        Some("certain"),
        Some("none"),
        &["? low@26 could be hold"],
    ),
    (None, None, Some("none"), &["? low@26 could be hold"]),
];

fn low_case(height: Option<f64>, grinding: Option<&str>, core: Option<&str>) -> Case {
    let mut facts = Vec::new();
    facts.extend(height.map(|height| ("tooth.height", "26", mm(height))));
    facts.extend(grinding.map(|name| ("habit.grinding", "case", choice(name))));
    facts.extend(core.map(|name| ("tooth.core", "26", choice(name))));
    case("26", &facts)
}

#[test]
fn levels_and_raises() {
    let flow = low_prep();
    for (height, grinding, core, wanted) in LOW {
        let case = low_case(*height, *grinding, *core);
        let judgement = judged(&flow, &case, wanted);
        let level = judgement
            .findings
            .first()
            .map_or(Level::Fine, |finding| finding.level);
        let could_be = judgement
            .open_points
            .first()
            .map_or(level, |point| point.could_be);
        assert_eq!(judgement.verdict.level, level);
        assert_eq!(judgement.verdict.could_be, could_be);
        assert_eq!(judgement.verdict.is_open(), could_be > level);
        assert_eq!(
            judgement.verdict.is_fine(),
            level == Level::Fine && could_be == Level::Fine
        );
    }
}

#[test]
fn an_unknown_level_above_the_one_that_fires_is_open() {
    let flow = with_rules(vec![rule(
        "defect",
        PlaceKind::Abutment,
        vec![
            (Level::Hold, is("tooth.undercut", choice("at-margin"))),
            (Level::Call, is("tooth.core", choice("post-loose"))),
            (Level::Watch, is("tooth.core", choice("post"))),
        ],
    )]);
    let core = |name: &str| ("tooth.core", "26", choice(name));
    let known = ("tooth.undercut", "26", choice("none"));
    judged(
        &flow,
        &case("26", &[core("post")]),
        &["watch defect@26", "? defect@26 could be hold"],
    );
    judged(
        &flow,
        &case("26", &[core("post"), known.clone()]),
        &["watch defect@26"],
    );
    judged(
        &flow,
        &case("26", std::slice::from_ref(&known)),
        &["? defect@26 could be call"],
    );
    // An unknown below what fires is nobody's business.
    let held = ("tooth.undercut", "26", choice("at-margin"));
    judged(&flow, &case("26", &[held]), &["hold defect@26"]);
    let found = judged(
        &flow,
        &case("26", &[core("post"), known]),
        &["watch defect@26"],
    );
    assert_eq!(found.findings[0].evidence, [spot("tooth.core", "26")]);
}

#[test]
fn raises_are_evidence_too() {
    let flow = low_prep();
    let case = low_case(Some(2.5), Some("certain"), Some("none"));
    let found = judged(&flow, &case, &["call low@26"]);
    assert_eq!(
        found.findings[0].evidence,
        [spot("tooth.height", "26"), spot("habit.grinding", "case")]
    );
}

#[test]
fn not_seen_and_not_asked_are_both_open_and_told_apart() {
    let flow = low_prep();
    let settled = [
        ("habit.grinding", "case", choice("none")),
        ("tooth.core", "26", choice("none")),
    ];
    let mut case = case("26", &settled);
    let point = |case: &Case| {
        let judgement = judged(&flow, case, &["? low@26 could be call"]);
        judgement.open_points[0].clone()
    };
    let height = spot("tooth.height", "26");
    let not_asked = point(&case);
    assert!(!not_asked.is_not_seen());
    assert_eq!(not_asked.needs, [(height.clone(), Gap::NotAsked)]);
    case.put(
        height.clone(),
        Layer::Measured,
        Reading::plain(Value::NotSeen),
    );
    let not_seen = point(&case);
    assert!(not_seen.is_not_seen());
    assert_eq!(not_seen.needs, [(height, Gap::NotSeen)]);
}

#[test]
fn what_is_not_asked_here_is_silent() {
    // Walls are asked for only where the quick pass flags the prep or somebody wants them.
    let walls = || {
        rule(
            "wall",
            PlaceKind::Wall,
            vec![(Level::Call, below("wall.height", 2.0))],
        )
    };
    let flow = with_rules(vec![walls()]);
    let wanted = |yes: Value| ("tooth.wall_by_wall", "26", yes);
    let sound = [
        ("tooth.height", "26", mm(5.0)),
        ("tooth.width_margin_md", "26", mm(7.0)),
        ("tooth.width_top_md", "26", mm(6.5)),
        ("tooth.width_margin_fl", "26", mm(7.0)),
        ("tooth.width_top_fl", "26", mm(6.5)),
        wanted(Value::No),
    ];
    judged(&flow, &case("26", &sound), &[]);
    let mut on = sound;
    on[5] = wanted(Value::Yes);
    judged(
        &flow,
        &case("26", &on),
        &[
            "? wall@26/mesial could be call",
            "? wall@26/distal could be call",
            "? wall@26/facial could be call",
            "? wall@26/lingual could be call",
        ],
    );
}

#[test]
fn one_cause_is_told_in_one_line_with_the_worst_first() {
    let at_core = |level, name: &str| vec![(level, is("tooth.core", choice(name)))];
    let topic = |mut rule: Rule, topic: &str| {
        rule.topic = Some(topic.to_owned());
        rule
    };
    let low = |level, limit| vec![(level, below("wall.height", limit))];
    let flow = with_rules(vec![
        topic(
            rule("short-wall", PlaceKind::Wall, low(Level::Watch, 3.0)),
            "hold",
        ),
        topic(
            rule("post", PlaceKind::Abutment, at_core(Level::Call, "post")),
            "hold",
        ),
        rule("alone", PlaceKind::Abutment, at_core(Level::Watch, "post")),
        rule("very-short", PlaceKind::Wall, low(Level::Watch, 2.0)),
    ]);
    let case = case(
        "26 27",
        &[
            ("wall.height", "27/mesial", mm(2.5)),
            ("wall.height", "27/distal", mm(4.0)),
            ("wall.height", "27/facial", mm(4.0)),
            ("wall.height", "27/lingual", mm(4.0)),
            ("wall.height", "26/mesial", mm(4.0)),
            ("wall.height", "26/distal", mm(1.5)),
            ("wall.height", "26/facial", mm(1.0)),
            ("wall.height", "26/lingual", mm(4.0)),
            ("tooth.core", "26", choice("post")),
            ("tooth.core", "27", choice("none")),
        ],
    );
    let found = judged(
        &flow,
        &case,
        &[
            // One topic at one tooth, walls with their tooth; another tooth is another cause.
            "call post@26 (watch short-wall@26/distal) (watch short-wall@26/facial)",
            "watch short-wall@27/mesial",
            "watch alone@26",
            // A rule without a topic is told once a tooth.
            "watch very-short@26/distal (watch very-short@26/facial)",
        ],
    );
    assert_eq!(found.all_findings().count(), 7);
    // Two restorations: what is at one tooth does not fold with the other.
    let verdicts: Vec<_> = found
        .by_restoration
        .iter()
        .map(|(id, verdict)| (*id, verdict.level))
        .collect();
    assert_eq!(verdicts, [(1, Level::Call)]);
}

#[test]
fn each_restoration_has_its_own_verdict_and_the_case_over_all() {
    let flow = with_rules(vec![
        rule(
            "pour",
            PlaceKind::Case,
            vec![(Level::Watch, is("records.pour_sound", Value::No))],
        ),
        rule(
            "low",
            PlaceKind::Abutment,
            vec![(Level::Call, below("tooth.height", 2.0))],
        ),
        rule(
            "room",
            PlaceKind::Connector,
            vec![(Level::Hold, below("connector.space_height", 2.0))],
        ),
    ]);
    let mut case = case(
        "26; 44 x45",
        &[
            ("records.pour_sound", "case", Value::No),
            ("tooth.height", "26", mm(1.5)),
            ("connector.space_height", "44-45", mm(4.0)),
        ],
    );
    let found = judged(
        &flow,
        &case,
        &["call low@26", "watch pour@case", "? low@44 could be call"],
    );
    let verdicts = |judgement: &Judgement| -> Vec<_> {
        judgement
            .by_restoration
            .iter()
            .map(|(id, verdict)| (*id, verdict.level, verdict.could_be))
            .collect()
    };
    assert_eq!(
        verdicts(&found),
        [
            (1, Level::Call, Level::Call),
            // What holds for the case holds for each of its restorations.
            (2, Level::Watch, Level::Call)
        ]
    );
    let room = spot("connector.space_height", "44-45");
    case.put(room, Layer::Measured, Reading::plain(mm(1.0)));
    let found = judged(
        &flow,
        &case,
        &[
            "hold room@44-45",
            "call low@26",
            "watch pour@case",
            "? low@44 could be call",
        ],
    );
    assert_eq!(
        verdicts(&found),
        [(1, Level::Call, Level::Call), (2, Level::Hold, Level::Hold)]
    );
    assert_eq!(found.verdict.level, Level::Hold);
}

#[test]
fn a_decided_value_counts_before_a_measured_one() {
    let flow = low_prep();
    let mut case = low_case(Some(1.5), Some("none"), Some("none"));
    judged(&flow, &case, &["call low@26"]);
    let height = spot("tooth.height", "26");
    case.put(height.clone(), Layer::Decided, Reading::plain(mm(3.5)));
    judged(&flow, &case, &[]);
    assert_eq!(Facts::of(&flow, &case).layer(&height), Layer::Decided);
    // What follows from it is decided too.
    let used = spot("tooth.height_used", "26");
    assert_eq!(Facts::of(&flow, &case).layer(&used), Layer::Decided);
}

/// A question that decides which others come up and was not seen leaves open whatever they would have shown.
#[test]
fn what_hangs_on_something_not_seen_stays_open() {
    use crate::good::{finish, judged, pan, put};
    for (fact, at) in [
        ("records.kind", "case"),
        ("impression.tray", "case"),
        ("order.make", "R1"),
        ("restoration.connector_space", "R1"),
    ] {
        let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
        put(&mut case, fact, at, Value::NotSeen);
        if fact == "restoration.connector_space" {
            for joint in ["44-45", "45-46"] {
                for side in ["height", "width"] {
                    put(
                        &mut case,
                        &format!("connector.room_{side}"),
                        joint,
                        Value::NotSeen,
                    );
                }
            }
        }
        finish(&mut case, true);
        let verdict = judged(&case).verdict;
        assert!(!verdict.is_fine(), "{fact}");
        assert!(verdict.could_be >= Level::Call, "{fact}: {verdict:?}");
    }
}

/// Widths that nobody could see at any wall leave the margin open.
#[test]
fn a_margin_not_seen_at_any_wall_stays_open() {
    use crate::good::{choice, finish, judged, pan, put, walls};
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    put(&mut case, "tooth.margin_form", "26", choice("differs"));
    for wall in walls("26") {
        put(&mut case, "wall.margin_form", &wall, choice("chamfer"));
        put(&mut case, "wall.margin_width", &wall, Value::NotSeen);
    }
    finish(&mut case, true);
    assert!(!judged(&case).verdict.is_fine());
}

/// Space for connectors that nobody looked at is open, however the connectors are drawn.
#[test]
fn space_that_was_not_looked_at_stays_open() {
    use crate::good::{finish, judged, pan};
    let mut case = pan("44 x45 46", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    assert!(judged(&case).verdict.is_fine());
    case.clear(&spot("restoration.connector_space", "R1"), Layer::Measured);
    assert!(judged(&case).verdict.could_be >= Level::Call);
}

/// The two days of an impression the wrong way round are told, beside the age that cannot be worked out.
#[test]
fn days_the_wrong_way_round_are_told() {
    use crate::good::{day, finish, heads, judged, pan, put};
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    put(&mut case, "impression.taken", "case", day("2026-11-16"));
    put(&mut case, "impression.poured", "case", day("2026-11-12"));
    finish(&mut case, true);
    let judgement = judged(&case);
    assert_eq!(
        heads(&judgement),
        [("days-reversed", "case".to_owned(), Level::Watch)]
    );
    assert_eq!(judgement.verdict.could_be, Level::Hold);
}

/// A cement that nobody could tell may be provisional: no green, and no more than was not asked.
#[test]
fn a_cement_that_nobody_could_tell_is_no_green() {
    use casepan::fact::Value;
    use casepan::flow::Level;
    let judged = |cement: Option<Value>| {
        let mut case = crate::good::pan("44 x45 46", "zirconia-3y", "resin-modified");
        crate::good::finish(&mut case, true);
        let at = "R1";
        if let Some(value) = cement {
            crate::good::put(&mut case, "order.cement", at, value);
        }
        crate::good::judged(&case).verdict
    };
    assert_eq!(judged(None).could_be, Level::Fine);
    assert_eq!(
        judged(Some(Value::Choice("provisional".to_owned()))).level,
        Level::Watch
    );
    assert_eq!(judged(Some(Value::NotSeen)).could_be, Level::Watch);
}
