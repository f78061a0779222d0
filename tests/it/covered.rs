//! What is not covered says so and stops: no question, no finding, no figure; and it comes back when it is corrected.

use casepan::case::file::read;
use casepan::case::journal::{Body, Entry, fold};
use casepan::case::{Case, FlowRef, Layer};
use casepan::derive::{Facts, Precision, Turn};
use casepan::fact::{FactId, Kind, Place, Value};
use casepan::flow::Level;
use casepan::judge::{CaseResult, Verdict, judge};
use casepan::phrase::words;
use casepan::print::{Sheet, document};
use casepan::ronfile::Source;
use casepan::session::view::Badge;
use uuid::Uuid;

use super::good::{choice, finish, flow, judged, pan, put};
use super::made::{case, spot, told, units};
use super::session::Technician;

/// Every kind of work but the first, which is covered.
fn others() -> Vec<String> {
    let scope = FactId::named("order.scope");
    let Kind::Choice(kinds) = &flow().spec(&scope).expect("a fact").kind else {
        panic!("kinds of work are choices");
    };
    let ids: Vec<String> = kinds.iter().map(|(id, _)| id.to_string()).collect();
    assert_eq!(ids[0], "teeth");
    ids[1..].to_vec()
}

/// The questions that come up.
fn up(case: &Case) -> Vec<String> {
    let facts = Facts::with(flow(), case, Precision::Quick);
    let mut list = Vec::new();
    for question in &flow().questions {
        for at in case.units.within(Place::Case, question.at) {
            match facts.turn(&question.fact, at) {
                Turn::Up => list.push(format!("{}@{at}", question.fact)),
                Turn::Idle => {}
                turn => panic!("{} at {at}: {turn:?}", question.fact),
            }
        }
    }
    list
}

fn sheet(case: &Case, sheet: Sheet) -> String {
    let facts = Facts::with(flow(), case, Precision::Quick);
    let judgement = judge(flow(), &facts);
    let lines = document(told(flow(), &facts, &judgement), &[sheet]);
    let lines: Vec<String> = lines.lines().map(|(line, ..)| line).collect();
    lines.join("\n")
}

/// A poor prep, fully read: whatever is judged of it is found.
fn poor(line: &str) -> Case {
    let mut case = pan(line, "lithium-disilicate", "zinc-phosphate");
    let preps: Vec<Place> = case
        .units
        .within(Place::Case, casepan::fact::PlaceKind::Abutment);
    for at in preps {
        put(
            &mut case,
            "tooth.height",
            &at.to_string(),
            super::good::mm(1.5),
        );
        put(
            &mut case,
            "tooth.clearance",
            &at.to_string(),
            super::good::mm(0.3),
        );
    }
    finish(&mut case, true);
    case
}

#[test]
fn each_kind_that_is_not_covered_says_so_and_stops() {
    let kinds = others();
    assert_eq!(kinds.len(), 11);
    for kind in kinds {
        for line in ["26", "44 x45 46"] {
            let mut case = poor(line);
            assert_eq!(judged(&case).verdict.outcome(), CaseResult::Hold, "{line}");
            put(&mut case, "order.scope", "R1", choice(&kind));
            let facts = Facts::with(flow(), &case, Precision::Quick);
            let judgement = judge(flow(), &facts);
            assert_eq!(
                judgement.verdict.outcome(),
                CaseResult::NotCovered,
                "{kind}"
            );
            assert!(!judgement.verdict.is_fine() && !judgement.verdict.covered);
            assert_eq!(judgement.by_restoration, [(1, judgement.verdict)]);
            assert_eq!(judgement.findings, [], "{kind}");
            assert_eq!(judgement.open_points, [], "{kind}");
            assert_eq!(facts.all_derived().count(), 0, "{kind}");
            assert!(facts.details().is_empty(), "{kind}");
            assert_eq!(up(&case), ["order.scope@R1"], "{kind}");
            let ways = casepan::options::case_options(flow(), &facts, &judgement);
            assert!(ways.is_empty(), "{kind}");
        }
    }
}

#[test]
fn a_new_case_is_open_and_never_fine() {
    for line in ["26", "44 x45 46", "11 21; 26"] {
        let judgement = judged(&case(line, &[]));
        for verdict in judgement
            .by_restoration
            .iter()
            .map(|(_, own)| *own)
            .chain([judgement.verdict])
        {
            assert_eq!(verdict.outcome(), CaseResult::Open, "{line}");
            assert!(!verdict.is_fine());
            assert_eq!(
                (verdict.could_be, verdict.drawn),
                (Level::Hold, Level::Hold)
            );
            assert_eq!(Badge::from(verdict), Badge::Open);
        }
    }
}

#[test]
fn a_kind_that_was_not_seen_leaves_the_case_open() {
    let mut good = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut good, true);
    assert!(judged(&good).verdict.is_fine());
    put(&mut good, "order.scope", "R1", Value::NotSeen);
    let judgement = judged(&good);
    assert_eq!(judgement.verdict.outcome(), CaseResult::Open);
    let [point] = &judgement.open_points[..] else {
        panic!("{:?}", judgement.open_points);
    };
    assert_eq!((point.rule, point.is_not_seen()), (None, true));
    assert!(sheet(&good, Sheet::Summary).contains("R1 type of work: not seen, may be not covered"));
    // Nobody was asked yet.
    good.clear(&spot("order.scope", "R1"), Layer::Measured);
    assert_eq!(judged(&good).verdict.outcome(), CaseResult::Open);
}

/// Two crowns, both poor; the second is on an implant.
fn mixed() -> Case {
    let mut case = case("44; 36", &[]);
    for (id, tooth) in [("R1", "44"), ("R2", "36")] {
        put(&mut case, "order.material", id, choice("zirconia-3y"));
        put(&mut case, "order.cement", id, choice("resin-modified"));
        if tooth == "36" {
            put(&mut case, "tooth.height", tooth, super::good::mm(1.5));
            put(&mut case, "tooth.clearance", tooth, super::good::mm(0.3));
        }
    }
    finish(&mut case, true);
    assert_eq!(judged(&case).verdict.level, Level::Call);
    put(&mut case, "order.scope", "R2", choice("implant"));
    case
}

#[test]
fn of_two_the_one_that_is_covered_is_judged_in_full() {
    let mixed = mixed();
    let judgement = judged(&mixed);
    let mut alone = pan("44", "zirconia-3y", "resin-modified");
    finish(&mut alone, true);
    assert_eq!(judgement.verdict, judged(&alone).verdict);
    assert_eq!(judgement.verdict.outcome(), CaseResult::NothingFound);
    let outcomes: Vec<_> = judgement
        .by_restoration
        .iter()
        .map(|(id, own)| (*id, own.outcome()))
        .collect();
    assert_eq!(
        outcomes,
        [(1, CaseResult::NothingFound), (2, CaseResult::NotCovered)]
    );
    let own: Vec<String> = up(&mixed)
        .into_iter()
        .filter(|cell| cell.contains("R2") || cell.contains("36"))
        .collect();
    assert_eq!(own, ["order.scope@R2"]);
    let facts = Facts::with(flow(), &mixed, Precision::Quick);
    assert!(facts.details().iter().all(|detail| detail.restoration == 1));
    for (spot, _) in facts.all_derived() {
        let owner = mixed.units.owner(spot.at).map(|own| own.id);
        assert_ne!(owner, Some(2), "{}", spot.fact);
    }

    let summary = sheet(&mixed, Sheet::Summary);
    assert!(summary.contains("R2 36: NOT COVERED, not checked here (on an implant)"));
    assert!(
        summary.contains("Result: NOTHING FOUND, 1 OF 2 NOT COVERED"),
        "{summary}"
    );
    let ticket = sheet(&mixed, Sheet::Ticket);
    assert!(
        !ticket.lines().next().unwrap().contains("NOT COVERED"),
        "{ticket}"
    );
    assert!(ticket.contains("R2 36: NOT COVERED, not checked here"));
    assert!(sheet(&mixed, Sheet::Seating).contains("R2 36: NOT COVERED, not checked here"));
    let letter = sheet(&mixed, Sheet::Letter);
    assert!(
        letter.contains(
            "Nothing has to be settled before we go on with 44. 36, on an implant, was not checked."
        ),
        "{letter}"
    );
    assert!(!letter.contains("have no question"), "{letter}");
}

#[test]
fn a_fault_of_the_one_that_is_covered_is_found_beside_one_that_is_not() {
    let mut mixed = mixed();
    put(&mut mixed, "tooth.height", "44", super::good::mm(1.5));
    finish(&mut mixed, true);
    let judgement = judged(&mixed);
    assert!(judgement.verdict.level >= Level::Call);
    assert!(
        judgement
            .findings
            .iter()
            .all(|found| { mixed.units.owner(found.at).is_none_or(|own| own.id == 1) })
    );
    let letter = sheet(&mixed, Sheet::Letter);
    assert!(letter.contains("Please tell us how to proceed"));
    assert!(
        letter.contains("36, on an implant, was not checked."),
        "{letter}"
    );
}

#[test]
fn prints_of_what_is_not_covered_say_so_and_nothing_else() {
    let mut case = poor("26");
    put(&mut case, "order.scope", "R1", choice("veneer"));
    for name in Sheet::ALL {
        let text = sheet(&case, name);
        assert!(!text.contains("have no question"), "{text}");
        assert!(!text.contains("Nothing to ask"), "{text}");
        assert!(!text.to_lowercase().contains("nothing found."), "{text}");
        assert!(
            !text.contains("Margins") && !text.contains("Preps"),
            "{text}"
        );
        assert!(!text.contains("lithium"), "{text}");
    }
    let first = |name| sheet(&case, name).lines().next().unwrap().to_owned();
    assert_eq!(
        first(Sheet::Ticket),
        "Work ticket, case invented: NOT COVERED"
    );
    assert_eq!(
        first(Sheet::Seating),
        "Seating notes, case invented: NOT COVERED"
    );
    assert!(sheet(&case, Sheet::Letter).contains("No letter: "));
    assert!(sheet(&case, Sheet::Summary).contains("R1 26: NOT COVERED, not checked here (veneer)"));
    assert!(sheet(&case, Sheet::Summary).contains("Result: NOT COVERED"));
}

#[test]
fn correcting_the_kind_brings_back_what_was_read() {
    let poor = poor("44 x45 46");
    let before = judged(&poor);
    let mut changed = poor.clone();
    put(&mut changed, "order.scope", "R1", choice("telescope"));
    assert_eq!(changed.set_aside().count(), 0);
    put(&mut changed, "order.scope", "R1", choice("teeth"));
    assert_eq!(changed, poor);
    assert_eq!(judged(&changed), before);
}

/// By keys: the ninth turns the list, and what comes after the answer is the end, until it is corrected.
#[test]
fn by_keys_nothing_else_is_asked_until_it_is_corrected() {
    let mut tech = Technician::on(&case("26", &[]));
    assert_eq!(tech.cursor(), "order.scope@R1");
    tech.keys("8");
    assert_eq!(tech.wrote()[0], "order.scope@R1 = implant");
    assert_eq!(tech.cursor(), "");
    let header = tech.session.view().header.expect("a case");
    assert_eq!(header.result(), words::NOT_COVERED);
    assert_eq!(
        (header.badge(), header.material.as_str()),
        (Badge::NotCovered, "on an implant")
    );
    // The end page is shown; back from there the answer can be corrected.
    tech.key("i");
    assert_eq!(tech.cursor(), "order.scope@R1");
    tech.keys("9 3");
    assert_eq!(tech.wrote().last().unwrap(), "order.scope@R1 = denture");
    tech.key("i");
    tech.keys("1");
    assert_eq!(tech.cursor(), "order.matches@case");
    let header = tech.session.view().header.expect("a case");
    assert_eq!(header.result(), words::OPEN);
}

fn entries(bodies: Vec<Body>) -> Vec<Entry> {
    let entry = |(n, body)| Entry {
        id: Uuid::from_u128(n as u128),
        seen: n as u64,
        session: Uuid::from_u128(7),
        when: "2026-11-20T08:00:00Z".parse().expect("a time"),
        who: None,
        body,
    };
    bodies.into_iter().enumerate().map(entry).collect()
}

fn answer(at: &str, kind: &str) -> Body {
    let fact = FactId::named("order.scope");
    Body::Answer {
        spot: casepan::fact::Spot {
            fact,
            at: at.parse().expect("a place"),
        },
        value: choice(kind),
        with: None,
        layer: Layer::Measured,
        undoes: None,
    }
}

#[test]
fn an_old_journal_answers_for_every_restoration() {
    let opened = Body::Opened {
        number: "24-1".to_owned(),
        flow: FlowRef::default(),
        units: units("44; 36"),
    };
    let more = Body::Units {
        units: units("44; 36; 11"),
        undoes: None,
    };
    let kinds = |bodies: Vec<Body>| {
        let case = fold(&entries(bodies)).expect("a case");
        let kind = |id: &str| {
            let spot = spot("order.scope", id);
            let value = case.value(&spot.fact, spot.at);
            value.and_then(Value::choice).unwrap_or("-").to_owned()
        };
        assert_eq!(case.set_aside().count(), 0);
        ["R1", "R2", "R3"].map(kind)
    };
    let old = vec![opened.clone(), answer("case", "implant")];
    assert_eq!(kinds(old.clone()), ["implant", "implant", "-"]);
    // What came into the case later is of the case too.
    let later = [old.clone(), vec![more.clone()]].concat();
    assert_eq!(kinds(later.clone()), ["implant", "implant", "implant"]);
    // What was asked by itself since then stays as it was answered.
    let corrected = [later.clone(), vec![answer("R2", "teeth")]].concat();
    assert_eq!(kinds(corrected), ["implant", "teeth", "implant"]);
    let cleared = Body::Clear {
        spot: spot("order.scope", "R3"),
        layer: Layer::Measured,
        undoes: None,
    };
    assert_eq!(
        kinds([later, vec![cleared]].concat()),
        ["implant", "implant", "-"]
    );
    let mut undone = spot("order.scope", "R1");
    undone.at = Place::Case;
    let undone = Body::Clear {
        spot: undone,
        layer: Layer::Measured,
        undoes: None,
    };
    assert_eq!(kinds([old, vec![undone, more]].concat()), ["-", "-", "-"]);
}

#[test]
fn an_old_case_file_answers_for_every_restoration() {
    let file = |facts: &str| {
        let text = format!(
            "#![enable(implicit_some)]\nCase(format: 1, number: \"24-7\", flow: \"fixed\", version: 2,\n\
             restorations: [Crown(\"R1\", [Abutment(\"44\")]), Crown(\"R2\", [Abutment(\"36\")])],\n\
             facts: [{facts}],\n)\n"
        );
        let case = read(&Source::new("case.ron", &text)).expect("a case");
        ["R1", "R2"].map(|id| {
            let spot = spot("order.scope", id);
            let value = case.value(&spot.fact, spot.at).and_then(Value::choice);
            value.unwrap_or("-").to_owned()
        })
    };
    let old = r#"(fact: "order.scope", at: "case", is: Choice("tooth-implant"))"#;
    let own = r#"(fact: "order.scope", at: "R2", is: Choice("teeth"))"#;
    assert_eq!(file(old), ["tooth-implant", "tooth-implant"]);
    // What a restoration says of itself counts, wherever it stands.
    assert_eq!(file(&format!("{old}, {own}")), ["tooth-implant", "teeth"]);
    assert_eq!(file(&format!("{own}, {old}")), ["tooth-implant", "teeth"]);
}

/// A flow of old asks for the kind of work at the case and holds what is not covered; it still opens, and holds nothing.
#[test]
fn a_flow_of_old_still_opens() {
    let sources = casepan::flow::EMBEDDED.iter().map(|(name, text)| {
        let old = r#"Rules([
    Rule(
        id: "out-of-scope",
        at: Case,
        levels: [(Hold, Not(Is("order.scope", Choice("teeth"))))],
        says: "Out of scope: {order.scope}. Not judged here",
        because: "They fail in other ways.",
        source: "ours",
        bench: "Take it elsewhere.",
        examples: [
            Fires(Hold, [("order.scope", Choice("implant"))]),
            Silent([("order.scope", Choice("teeth"))]),
            Open([("order.scope", NotSeen)]),
        ],
    ),"#;
        let text = match *name {
            "rules/1-order.ron" => text.replacen("Rules([", old, 1),
            _ => (*text).to_owned(),
        };
        Source::new(*name, &text)
    });
    let loaded = casepan::flow::load(sources.collect());
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let old = loaded.flow.expect("a flow");
    assert_eq!(casepan::flow::run_examples(&old), []);
    let outcome = |case: &Case| judge(&old, &Facts::with(&old, case, Precision::Quick)).verdict;
    let mut good = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut good, true);
    assert!(outcome(&good).is_fine());
    put(&mut good, "order.scope", "R1", choice("implant"));
    assert_eq!(outcome(&good).outcome(), CaseResult::NotCovered);
    assert_eq!(outcome(&mixed()).outcome(), CaseResult::NothingFound);
    put(&mut good, "order.scope", "R1", Value::NotSeen);
    assert_eq!(outcome(&good).outcome(), CaseResult::Open);
}

#[test]
fn a_bridge_that_is_complete_is_not_open_for_want_of_a_drawing() {
    let mut bridge = pan("44 x45 46", "zirconia-3y", "resin-modified");
    finish(&mut bridge, false);
    let judgement = judged(&bridge);
    let verdict = judgement.verdict;
    assert_eq!(verdict.outcome(), CaseResult::NothingFound);
    assert!(verdict.awaits_drawing() && !verdict.is_open() && verdict.is_fine());
    assert_eq!(
        (verdict.could_be, verdict.drawn),
        (Level::Fine, Level::Hold)
    );
    assert!(!judgement.open_points.is_empty());
    assert!(judgement.open_points.iter().all(|point| point.drawn));
    for (spot, _) in judgement.open_points.iter().flat_map(|point| &point.needs) {
        assert!(flow().is_drawn(&spot.fact), "{}", spot.fact);
    }
    let summary = sheet(&bridge, Sheet::Summary);
    assert!(
        summary.contains("Result: NOTHING FOUND, CONNECTORS TO BE DESIGNED"),
        "{summary}"
    );
    assert!(summary.contains("Design: "), "{summary}");
    // Looked for and not seen, it still waits for the drawing.
    put(&mut bridge, "connector.height", "44-45", Value::NotSeen);
    assert!(!judged(&bridge).verdict.is_open());
    // Anything else that is missing opens it.
    put(&mut bridge, "tooth.height", "44", Value::NotSeen);
    assert!(judged(&bridge).verdict.is_open());

    let mut drawn = pan("44 x45 46", "zirconia-3y", "resin-modified");
    finish(&mut drawn, true);
    let verdict = judged(&drawn).verdict;
    assert!(verdict.is_fine() && !verdict.awaits_drawing());
}

/// The outcome of every verdict there can be.
#[test]
fn outcomes_follow_from_levels() {
    for level in Level::ALL {
        for could_be in Level::ALL.into_iter().filter(|own| *own >= level) {
            for drawn in Level::ALL.into_iter().filter(|own| *own >= could_be) {
                let verdict = |covered| Verdict {
                    level,
                    could_be,
                    drawn,
                    covered,
                };
                let wanted = match (level, could_be) {
                    (Level::Fine, Level::Fine) => CaseResult::NothingFound,
                    (Level::Fine, _) => CaseResult::Open,
                    (Level::Watch, _) => CaseResult::Watch,
                    (Level::Call, _) => CaseResult::Call,
                    (Level::Hold, _) => CaseResult::Hold,
                };
                assert_eq!(verdict(true).outcome(), wanted);
                assert_eq!(verdict(false).outcome(), CaseResult::NotCovered);
                assert!(!verdict(false).is_fine());
                assert_eq!(verdict(true).is_fine(), wanted == CaseResult::NothingFound);
                assert_eq!(verdict(true).is_open(), could_be > level);
                assert_eq!(verdict(true).awaits_drawing(), drawn > could_be);
            }
        }
    }
}

/// Readings of what is not covered stay in the case and its file.
#[test]
fn readings_of_what_is_not_covered_stay_in_the_file() {
    let mut case = poor("26");
    put(&mut case, "order.scope", "R1", choice("endocrown"));
    let text = casepan::case::file::write(&case, true).expect("a case is written");
    let again = read(&Source::new("case.ron", &text)).expect("a case");
    assert_eq!(again.layers().count(), case.layers().count());
    let height = spot("tooth.height", "26");
    assert_eq!(
        again
            .reading(&height, Layer::Measured)
            .map(|own| &own.value),
        Some(&super::good::mm(1.5))
    );
}
