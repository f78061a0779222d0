//! A case that moves to another version of its flow: only on request, nothing is lost, and undo takes it back.

use std::path::Path;
use std::sync::Arc;

use casepan::archive::Archive;
use casepan::case::decision::{Decided, DentistAnswer};
use casepan::case::journal::{Body, fold};
use casepan::case::{Case, Layer, Reading};
use casepan::desk::{Desk, Setup};
use casepan::fact::Value;
use casepan::flow::{Flow, embedded_sources, load};
use casepan::judge::judge;
use casepan::ronfile::Source;
use casepan::session::view::PageView;
use casepan::session::{Inspection, Page};
use casepan::tooth::Notation;
use tempfile::TempDir;
use uuid::Uuid;

use crate::made::{choice, mm, spot};
use crate::session::{crown, moment};
use crate::support::Home;
use crate::trial::written::decision;

const OWN: &str = r#"Facts([
    (id: "x.wax", at: Case, kind: YesNo, label: "wax-up", sentence: "There is a wax-up."),
    (id: "x.die", at: Abutment, kind: Choice([("stone", "stone"), ("resin", "resin"), ("metal", "metal")]), label: "die", sentence: "What the die is made of."),
    (id: "x.gap", at: Abutment, kind: Number(Mm(0.0), Mm(5.0)), label: "gap", sentence: "The gap."),
    (id: "x.kept", at: Abutment, kind: Number(Mm(0.0), Mm(5.0)), label: "kept", sentence: "What stays."),
])"#;

/// The shipped flow with own facts.
fn first() -> Vec<Source> {
    let mut sources = embedded_sources();
    sources.push(Source::new("own.ron", OWN));
    sources
}

/// The same one version on: a fact is gone, a choice, a bound; a short molar of 2.4 mm needs no call.
fn second() -> Vec<Source> {
    let own = OWN
        .replace(r#"    (id: "x.wax", at: Case, kind: YesNo, label: "wax-up", sentence: "There is a wax-up."),"#, "")
        .replace(r#"("stone", "stone"), "#, "")
        .replacen("Mm(5.0)), label: \"gap\"", "Mm(1.0)), label: \"gap\"", 1);
    let mut sources = first();
    for source in &mut sources {
        let text = source.text();
        let text = match source.name() {
            "own.ron" => own.clone(),
            "flow.ron" => text.replacen("version: 3", "version: 4", 1),
            "rules/4-preps.ron" => text
                .replacen(
                    "Below(\"tooth.height_used\", Mm(2.5)), Is(\"tooth.class\", Choice(\"molar\"))",
                    "Below(\"tooth.height_used\", Mm(2.2)), Is(\"tooth.class\", Choice(\"molar\"))",
                    1,
                )
                .replacen(
                    "Choice(\"molar\")), (\"tooth.height_used\", Mm(2.4))",
                    "Choice(\"molar\")), (\"tooth.height_used\", Mm(2.1))",
                    1,
                ),
            _ => continue,
        };
        *source = Source::new(source.name(), text);
    }
    sources
}

/// The second flow.
pub(crate) fn another() -> Arc<Flow> {
    Arc::new(load(second()).flow.unwrap())
}

fn desk(directory: &Path, sources: Vec<Source>) -> Desk {
    Desk::new(Setup {
        archive: Archive::open(&directory.join("a.casepan")).unwrap(),
        loaded: load(sources),
        notation: Notation::Iso3950,
        who: Some("mk".to_owned()),
        session_id: Uuid::new_v4(),
        prints: directory.join("prints"),
    })
    .unwrap()
}

/// A low crown with answers to the own facts, one thing accepted and one agreed, in an archive under the first flow.
fn begun() -> (TempDir, Case) {
    let directory = tempfile::tempdir().unwrap();
    let mut case = crown();
    for (fact, at, value) in [
        ("tooth.height", "26", mm(2.4)),
        ("x.wax", "case", Value::Yes),
        ("x.die", "26", choice("stone")),
        ("x.gap", "26", mm(1.2)),
        ("x.kept", "26", mm(1.2)),
    ] {
        case.put(spot(fact, at), Layer::Measured, Reading::plain(value));
    }
    for (rule, outcome) in [
        ("stump-short", DentistAnswer::AsItIs),
        ("cone", DentistAnswer::AsItIs),
    ] {
        case.decide(Decided {
            decision: decision(rule, outcome),
            who: Some("mk".to_owned()),
            when: None,
        });
    }
    let mut first = desk(directory.path(), first());
    first
        .bring_in(&case, &moment(0), &mut Uuid::new_v4)
        .unwrap();
    (directory, case)
}

fn kept(directory: &Path, number: &str) -> Case {
    let archive = Archive::open_existing(&directory.join("a.casepan")).unwrap();
    fold(&archive.journal(number).unwrap()).unwrap()
}

fn lines(desk: &Desk) -> Vec<String> {
    match desk.session.view().page {
        PageView::History(page) => page.lines,
        _ => panic!("another page"),
    }
}

fn open(desk: &Desk) -> &Inspection {
    desk.session.inspection.as_ref().unwrap()
}

/// Opened under another version, a case stays with its own; what a move changes is said before, and only Enter moves.
#[test]
fn a_case_moves_on_request_and_nothing_is_lost() {
    let (directory, case) = begun();
    let mut desk = desk(directory.path(), second());
    desk.open(&case.number).unwrap();
    assert_eq!(open(&desk).flow().version, 3);
    let before = open(&desk).judgement().clone();
    let mut tick = 0;
    let mut key = |desk: &mut Desk, keys: &str| {
        for key in keys.split(' ') {
            tick += 1;
            desk.key(key, &moment(tick));
        }
    };
    key(&mut desk, "s m");
    assert_eq!(desk.session.page, Page::MoveFlow);
    let all = lines(&desk).join("\n");
    for part in [
        "version 3. New cases are checked by flow \"fixed\", version 4.",
        "watch instead of call: 26 short prep, 2.4 mm high",
        "case wax-up: yes no longer fits",
        "26 die: stone no longer fits",
        "26 gap: 1.2 mm no longer fits",
        "26 stump short: its rule is another now",
    ] {
        assert!(
            all.to_lowercase().contains(&part.to_lowercase()),
            "{part}: {all}"
        );
    }
    assert!(
        !all.contains("26 kept") && !all.contains("cone: its rule"),
        "{all}"
    );
    key(&mut desk, "esc");
    assert_eq!(desk.session.page, Page::Summary);
    assert_eq!(
        kept(directory.path(), &case.number).flow.version,
        3,
        "only enter moves"
    );
    key(&mut desk, "m enter");
    assert!(
        desk.session
            .notice
            .as_deref()
            .unwrap()
            .contains("version 4 from here on")
    );
    // As it is shown, so it is kept, and so another program judges it.
    let now = kept(directory.path(), &case.number);
    assert_eq!(now.flow.version, 4);
    for (fact, at) in [("x.wax", "case"), ("x.die", "26"), ("x.gap", "26")] {
        assert_eq!(now.merged(&spot(fact, at)), None, "{fact}");
    }
    assert!(now.merged(&spot("x.kept", "26")).is_some());
    let matters: Vec<&str> = now
        .decisions()
        .map(|own| own.decision.about.rule.as_str())
        .collect();
    assert_eq!(matters, ["cone"]);
    let flow = load(second()).flow.unwrap();
    let facts = casepan::derive::Facts::with(&flow, &now, casepan::derive::Precision::Quick);
    let again = judge(&flow, &facts);
    assert_eq!(open(&desk).judgement().verdict, again.verdict);
    assert_eq!(open(&desk).judgement().findings, again.findings);
    // What no longer fits is named in what was entered before.
    key(&mut desk, "h");
    let past = lines(&desk).join("\n");
    assert!(
        past.contains("gap: 1.2 mm no longer fits")
            || past.contains("x.gap: 1.2 mm no longer fits"),
        "{past}"
    );
    // Undo takes all of it back, redo moves it again.
    key(&mut desk, "esc u");
    let back = kept(directory.path(), &case.number);
    assert_eq!(back.flow, {
        let mut own = now.flow.clone();
        own.version = 3;
        own.digest.clone_from(&back.flow.digest);
        own
    });
    assert_ne!(back.flow.digest, now.flow.digest);
    for (fact, at) in [("x.wax", "case"), ("x.die", "26"), ("x.gap", "26")] {
        let value = |case: &Case| {
            case.merged(&spot(fact, at))
                .map(|(_, own)| own.value.clone())
        };
        assert_eq!(value(&back), value(&case), "{fact}");
    }
    assert_eq!(back.decisions().count(), 2);
    assert_eq!(open(&desk).flow().version, 3);
    assert_eq!(open(&desk).judgement().findings, before.findings);
    key(&mut desk, "y");
    assert_eq!(kept(directory.path(), &case.number).flow.version, 4);
    assert_eq!(open(&desk).judgement().findings, again.findings);
    key(&mut desk, "m");
    assert!(desk.session.notice.as_deref().unwrap().contains("already"));
}

/// Whoever has the case open sees it moved, and what was corrected meanwhile stays.
#[test]
fn others_see_it_moved() {
    let (directory, case) = begun();
    let mut one = desk(directory.path(), second());
    let mut other = desk(directory.path(), first());
    one.open(&case.number).unwrap();
    other.open(&case.number).unwrap();
    one.key("s", &moment(1));
    one.key("m", &moment(2));
    one.key("enter", &moment(3));
    other.tick(&moment(4));
    assert_eq!(open(&other).flow().version, 4);
    assert_eq!(
        open(&other).judgement().findings,
        open(&one).judgement().findings
    );
    let row = |desk: &mut Desk| {
        desk.session.single = false;
        desk.key("q", &moment(5));
        desk.session
            .worklist
            .iter()
            .find(|item| item.number == case.number)
            .cloned()
            .unwrap()
    };
    assert_eq!(row(&mut other).verdict, row(&mut one).verdict);
    // A value that was entered where one was set aside is another answer.
    let journal = Archive::open_existing(&directory.path().join("a.casepan"))
        .unwrap()
        .journal(&case.number)
        .unwrap();
    let moved = journal
        .iter()
        .rev()
        .find(|own| matches!(own.body, Body::MoveFlow { .. }))
        .unwrap();
    let mut before = fold(&journal[..1]).unwrap();
    before.put(
        spot("x.gap", "26"),
        Layer::Measured,
        Reading::plain(mm(0.5)),
    );
    casepan::case::journal::apply(&mut before, moved).unwrap();
    assert!(before.merged(&spot("x.gap", "26")).is_some());
}

/// The same from a script: said first, moved only with --yes.
#[test]
fn the_command_line_says_it_first() {
    let (directory, case) = begun();
    let home = Home::new();
    std::fs::copy(directory.path().join("a.casepan"), home.path("a.casepan")).unwrap();
    for source in second() {
        let path = home.path(&format!("own/{}", source.name()));
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, source.text()).unwrap();
    }
    let run = |args: &[&str]| {
        home.run(
            &[
                &[
                    "--archive",
                    "a.casepan",
                    "--flow",
                    "own",
                    "flow",
                    "move",
                    &case.number,
                ],
                args,
            ]
            .concat(),
        )
    };
    let said = run(&[]);
    assert_eq!(said.code, Some(0), "{said:?}");
    assert!(
        said.stdout.contains("26 gap: 1.2 mm no longer fits"),
        "{said:?}"
    );
    assert!(
        said.stdout
            .ends_with("Nothing was moved: --yes moves it.\n"),
        "{said:?}"
    );
    assert_eq!(kept(home.path("").as_path(), &case.number).flow.version, 3);
    let moved = run(&["--yes"]);
    assert_eq!(moved.code, Some(0), "{moved:?}");
    assert_eq!(kept(home.path("").as_path(), &case.number).flow.version, 4);
    let again = run(&["--yes"]);
    assert_eq!(
        (again.code, again.stdout.as_str()),
        (Some(64), ""),
        "{again:?}"
    );
    assert!(again.stderr.contains("already"), "{again:?}");
    let check = home.run(&["--archive", "a.casepan", "archive", "check"]);
    assert_eq!(check.code, Some(0), "{check:?}");
}
