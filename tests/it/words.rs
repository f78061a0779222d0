//! The glossary: what it explains is what the program says, and other words of the trade lead there.

use casepan::flow::{EMBEDDED, embedded};
use casepan::phrase::glossary::{TERMS, called, terms_in};
use casepan::session::Target;

use crate::session::{Technician, crown};

/// Terms that stand on pages and sheets, and in no question or rule.
const OF_PAGES: [&str; 47] = [
    "drill",
    "practice model",
    "as ordered",
    "followed, of a restoration",
    "interval",
    "recall",
    "replay",
    "seen quiet",
    "silent, of a rule",
    "stands out",
    "sweep",
    "told, of a rule",
    "withdrawn",
    "h²·w",
    "spare clearance",
    "turn",
    "call sheet",
    "finding",
    "flow",
    "quick pass",
    "work ticket",
    "crown lengthening",
    "CLOSED",
    "due day",
    "hand over",
    "promised day",
    "effective wall",
    "amended order",
    "CALL",
    "CLEARED FOR DESIGN",
    "CLEARED TO MAKE",
    "grip",
    "inspection",
    "measure again",
    "NOT COVERED",
    "not seen",
    "NOTHING FOUND",
    "ON HOLD",
    "OPEN",
    "option",
    "session",
    "standing instruction",
    "summary",
    "to do",
    "WAITING",
    "WATCH",
    "weakest retainer",
];

#[test]
fn every_term_is_used_by_the_flow_or_stands_on_a_page() {
    let flow = embedded().flow.unwrap();
    let files: String = EMBEDDED.iter().map(|(_, text)| *text).collect();
    let mut unused = Vec::new();
    for term in TERMS.iter().filter(|term| !OF_PAGES.contains(&term.name)) {
        let uses = term.used_in(&flow);
        if uses.questions.is_empty() && uses.rules.is_empty() && !term.is_in(&files) {
            unused.push(term.name);
        }
    }
    assert!(unused.is_empty(), "{unused:?}");
}

/// Everyday words of the trade, each with the term it means. Common practice, no source.
#[test]
fn words_of_other_laboratories_lead_to_the_term() {
    for (other, term) in [
        ("finish line", "margin"),
        ("intaglio", "fitting surface"),
        ("sandblasting", "air abrasion"),
        ("TOC", "total taper"),
        ("convergence angle", "total taper"),
        ("knife edge", "feather edge"),
        ("dummy", "pontic"),
        ("bite guard", "night guard"),
        ("interocclusal space", "clearance"),
        ("closed-bite tray", "tray"),
        ("provisional", "temporary"),
        ("path of draw", "path of insertion"),
        ("stump", "prep"),
        ("high spot", "high contact"),
    ] {
        let found: Vec<_> = called(other).iter().map(|term| term.name).collect();
        assert_eq!(found.first(), Some(&term), "{other}: {found:?}");
    }
    assert!(called("no such word of any trade").is_empty());
}

#[test]
fn find_takes_another_laboratorys_word() {
    let mut tech = Technician::on(&crown());
    tech.keys("/");
    for c in "finish line".chars() {
        let key = if c == ' ' {
            "space".to_owned()
        } else {
            c.to_string()
        };
        tech.keys(&key);
    }
    let search = tech.session.over.find().unwrap();
    let facts: Vec<String> = search
        .hits
        .iter()
        .filter_map(|hit| match &hit.to {
            Target::Question(spot) => Some(spot.fact.to_string()),
            _ => None,
        })
        .collect();
    assert!(
        facts.iter().any(|fact| fact == "tooth.margin_seen"),
        "{facts:?}"
    );
}

#[test]
fn help_explains_the_terms_of_the_page_it_stands_over() {
    let mut tech = Technician::on(&crown());
    tech.at("tooth.clearance", "26").keys("?");
    let help = tech.session.view().help.unwrap();
    let (_, terms) = help
        .sections
        .iter()
        .find(|(heading, _)| heading == "Terms on this page")
        .unwrap();
    assert!(
        terms.iter().any(|line| line.starts_with("clearance: ")),
        "{terms:#?}"
    );
    for line in terms {
        let name = line.split(": ").next().unwrap();
        assert!(TERMS.iter().any(|term| term.name == name), "{line}");
    }
}

#[test]
fn a_question_names_terms_that_have_their_sentence() {
    let flow = embedded().flow.unwrap();
    let named = flow
        .questions
        .iter()
        .filter(|question| !terms_in(&question.asks).is_empty());
    assert!(named.count() > flow.questions.len() / 3);
}

#[test]
fn the_tour_goes_on_with_what_is_done_and_never_stands_in_the_way() {
    let mut tech = Technician::on(&crown());
    assert_eq!(tech.session.view().tip, None, "only in the demo");
    tech.session.tour = Some(casepan::session::Tour::Answer);
    let mut seen = Vec::new();
    for keys in ["", "?", "esc", "1", "f", "o", "c"] {
        if !keys.is_empty() {
            tech.keys(keys);
        }
        seen.push(
            tech.session
                .view()
                .tip
                .map(|tip| tip.chars().take(12).collect::<String>()),
        );
    }
    let first = Some("Try 1 of 4: ".to_owned());
    assert_eq!(seen[..3], [first.clone(), first.clone(), first]);
    let rest: Vec<_> = seen[3..].iter().map(|tip| tip.as_deref()).collect();
    assert_eq!(
        rest,
        [
            Some("Try 2 of 4: "),
            Some("Try 3 of 4: "),
            Some("Try 4 of 4: "),
            None
        ]
    );
}

#[test]
fn a_tip_fits_a_window_of_eighty_columns() {
    use casepan::session::Tour;
    for step in [Tour::Answer, Tour::Findings, Tour::Options, Tour::Call] {
        let mut tech = Technician::on(&crown());
        tech.session.tour = Some(step);
        let tip = tech.session.view().tip.unwrap();
        assert!(tip.chars().count() <= 80, "{tip}");
        assert!(!tip.contains('{'), "{tip}");
    }
}

#[test]
fn whoever_is_ahead_of_the_tour_is_not_sent_back() {
    use casepan::session::Tour;
    for (keys, left) in [
        ("f", Some(Tour::Options)),
        ("o", Some(Tour::Call)),
        ("c", None),
        ("s", None),
    ] {
        let mut tech = Technician::on(&crown());
        tech.session.tour = Some(Tour::Answer);
        tech.keys(keys);
        assert_eq!(tech.session.tour, left, "{keys}");
    }
}

/// A pass that reads like a fail, or the reverse, is told apart by words.
#[test]
fn a_number_that_rounds_to_its_limit_says_on_which_side_it_lies() {
    use casepan::fact::Unit;
    use casepan::flow::Level;
    use casepan::phrase::pages::findings::{Bound, Passed, limit};
    let passed = |value: f64, bound: Bound, unit: Unit| Passed {
        number: None,
        bound,
        limit: 0.5,
        value,
        unit,
        level: Level::Call,
        decimals: 2,
    };
    let below = limit(&passed(0.498, Bound::AtLeast, Unit::Ratio));
    assert_eq!(below, "at least 0.50; exactly 0.498");
    let nearly = limit(&passed(0.49999, Bound::AtLeast, Unit::Ratio));
    assert_eq!(nearly, "at least 0.50, just below it");
    let above = limit(&passed(0.502, Bound::AtMost, Unit::Ratio));
    assert_eq!(above, "at most 0.50; exactly 0.502");
    assert_eq!(
        limit(&passed(0.41, Bound::AtLeast, Unit::Ratio)),
        "at least 0.50"
    );
    assert_eq!(
        limit(&passed(0.41, Bound::AtLeast, Unit::Mm)),
        "needs 0.50 mm"
    );
}

#[test]
fn a_crown_is_no_retainer_and_splinted_crowns_are_none() {
    use casepan::phrase::sheets::ticket::abutment;
    let said = [(1, 0), (2, 0), (3, 1)].map(|(units, pontics)| abutment(units, pontics));
    assert_eq!(said, ["crown", "splinted crown", "retainer"]);
}

/// Help on a finding shows the rule as it is written, where it stands, and what each part of it comes to in this case.
#[test]
fn help_on_a_finding_says_by_which_rule_and_why_it_came_up() {
    let case = casepan::demo::case("bridge-44-46").unwrap();
    let mut tech = Technician::on(&case);
    tech.keys("f ?");
    let help = tech.session.view().help.expect("help");
    let section = |heading: &str| {
        let own = help.sections.iter().find(|(own, _)| own == heading);
        own.unwrap_or_else(|| panic!("{heading} in {:?}", help.sections))
            .1
            .clone()
    };
    let rule = section("Rule tips-off");
    assert!(
        rule.iter()
            .any(|line| line.starts_with("Call: All([Is(\"tooth.opposite_pair_fails\", Yes)")),
        "{rule:?}"
    );
    let why = section("Why it came up here");
    let holds = "- - Is(\"tooth.opposite_pair_fails\", Yes): yes";
    assert!(why.iter().any(|line| line == holds), "{why:?}");
    // The same limit at each wall: all four are below 40 %.
    let below = why
        .iter()
        .filter(|line| line.contains("Below(\"wall.effective_share\", Percent(40))"));
    assert!(
        below.clone().count() >= 4 && below.clone().all(|line| line.ends_with(": yes")),
        "{why:?}"
    );
    let stands = section("Where the rule stands");
    assert!(stands[0].starts_with("rules/4-preps.ron:"), "{stands:?}");
    assert!(
        stands[0].ends_with("flow \"fixed\", version 3"),
        "{stands:?}"
    );
}

/// The headline names the weakest wall.
#[test]
fn the_weakest_of_several_walls_is_named() {
    use casepan::fact::{EFFECTIVE_SHARE, Place, Value};
    let case = casepan::demo::case("bridge-44-46").unwrap();
    let tech = Technician::on(&case);
    let inspection = tech.session.inspection.as_ref().unwrap();
    let facts = inspection.facts();
    let judgement = inspection.judgement();
    let phrase = casepan::phrase::Phrase {
        flow: inspection.flow(),
        notation: casepan::tooth::Notation::Iso3950,
    };
    let tips = judgement.all_findings().find(|own| {
        inspection
            .flow()
            .rule(own.rule)
            .is_some_and(|rule| rule.id == "tips-off")
    });
    let tips = tips.expect("a prep that tips");
    let shares: Vec<f64> = facts
        .places(casepan::fact::PlaceKind::Wall)
        .into_iter()
        .filter(|at| matches!(at, Place::Wall(tooth, _) if Place::Unit(*tooth) == tips.at))
        .filter_map(|at| facts.value(&EFFECTIVE_SHARE, at).and_then(Value::number))
        .collect();
    assert_eq!(shares.len(), 4);
    let least = shares.iter().copied().fold(f64::INFINITY, f64::min);
    assert!(
        shares[0] - least > 1.0,
        "the first wall is not the weakest: {shares:?}"
    );
    let line = phrase.line(&facts, tips);
    assert!(
        line.contains(&format!("effective wall {least:.0} %")),
        "{line} {shares:?}"
    );
}
