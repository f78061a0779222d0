//! A choice by the start of any of its words; what could be two things is asked back and never taken; whole numbers.

use casepan::ask::words;
use casepan::case::Case;
use casepan::fact::{Kind, PlaceKind, Value};
use casepan::flow::embedded;
use casepan::session::command::{COMMANDS, Command, Context};
use casepan::session::{Page, Session};

use super::{Bench, Told};
use crate::made::{choice, spot};
use crate::session::crown;

fn kept(case: &Case, fact: &str, at: &str) -> Option<Value> {
    let spot = spot(fact, at);
    case.merged(&spot).map(|(_, reading)| reading.value.clone())
}

/// Says one line at a question and checks that it was not taken, and that nothing was said again.
#[track_caller]
fn asked_back(bench: &mut Bench, line: &str) -> (Told, String) {
    let before = bench.journal();
    let told = bench.say(&format!("{line}\n"));
    let (_, why) = told.ended.first.clone().expect(line);
    assert_eq!(bench.journal(), before, "{line}: {why}");
    assert_eq!(bench.desk.session.page, Page::Questions, "{line}");
    assert_eq!(
        told.after_the_opening()[..2],
        [format!("refused: {why}"), "your answer?".to_owned()]
    );
    (told, why)
}

#[test]
fn the_start_of_any_word_of_a_choice_is_enough() {
    for (fact, at, line, wanted) in [
        ("tooth.margin_seen", "26", "all", "all"),
        ("tooth.margin_seen", "26", "ROUND", "all"),
        ("tooth.margin_seen", "26", "under", "under-1"),
        ("tooth.margin_seen", "26", "und", "under-1"),
        ("tooth.margin_seen", "26", "hidden  for o", "over-2"),
        ("tooth.margin_form", "26", "fe", "feather"),
        ("tooth.margin_form", "26", "Rounded", "shoulder"),
        ("order.scope", "R1", "tel", "telescope"),
        ("order.material", "R1", "leu", "leucite"),
        ("order.material", "R1", "cast", "metal"),
    ] {
        let mut bench = Bench::on(&crown());
        bench.at(fact, at).all(&format!("{line}\n"));
        let kept = kept(&bench.kept(), fact, at);
        match (kept, wanted) {
            // The name of cast metal is the flow's own.
            (Some(Value::Choice(kept)), "metal") => assert!(kept.contains("metal"), "{kept}"),
            (kept, wanted) => assert_eq!(kept, Some(choice(wanted)), "{fact} {line}"),
        }
    }
}

#[test]
fn what_begins_several_choices_names_them_and_takes_none() {
    for (fact, at, line, names) in [
        (
            "tooth.margin_seen",
            "26",
            "hidden",
            &["hidden for under 1 mm", "hidden for 1 to 2 mm", "over 2 mm"][..],
        ),
        (
            "order.material",
            "R1",
            "zirc",
            &["zirconia 3Y", "zirconia 4Y", "porcelain-layered zirconia"],
        ),
        ("bite.class", "case", "class", &["class I;", "class III"]),
    ] {
        let mut bench = Bench::on(&crown());
        let (_, why) = asked_back(bench.at(fact, at), line);
        assert!(names.iter().all(|name| why.contains(name)), "{why}");
        // The next line is heard as if nothing had been.
        bench.all("1\n");
    }
    // The whole words of a choice are that choice, whatever else begins so.
    let mut bench = Bench::on(&crown());
    bench.at("bite.class", "case").all("CLASS I\n");
    assert_eq!(kept(&bench.kept(), "bite.class", "case"), Some(choice("I")));
}

#[test]
fn what_is_a_command_as_well_is_asked_back_and_a_colon_is_the_command() {
    for (fact, at, line, names) in [
        ("tooth.margin_form", "26", "f", ["feather edge", "findings"]),
        (
            "order.fitting_surface",
            "R1",
            "left",
            ["left untreated", "command left"],
        ),
        (
            "order.fitting_surface",
            "R1",
            "not",
            ["not stated", "not seen"],
        ),
        ("order.scope", "R1", "end", ["endocrown", "command summary"]),
        ("order.shade_given", "case", "y", ["yes", "command redo"]),
        (
            "records.kind",
            "case",
            "i",
            ["impression", "command inspect"],
        ),
    ] {
        let mut bench = Bench::on(&crown());
        let (told, why) = asked_back(bench.at(fact, at), line);
        assert!(names.iter().all(|name| why.contains(name)), "{why}");
        assert_eq!(told.ended.refused, 1);
    }
    let mut bench = Bench::on(&crown());
    bench.at("tooth.margin_form", "26").all(":f\n");
    assert_eq!(bench.desk.session.page, Page::Findings);
    // Where no choice begins so, the letter is the page: "for" stands within two of them.
    let mut bench = Bench::on(&crown());
    bench.at("tooth.margin_seen", "26").all("f\n");
    assert_eq!(bench.desk.session.page, Page::Findings);
    let rule = "a colon before it, as in :f, it is the command";
    let told = bench.all("inspect\nhelp\n");
    assert!(told.lines.iter().any(|line| line.contains(rule)));
}

/// A no that was said to another question is no answer here.
#[test]
fn yes_and_no_begin_no_other_choice() {
    for (fact, at) in [
        ("order.fitting_surface", "R1"),
        ("bite.anterior", "case"),
        ("tooth.margin_defect", "26"),
        ("tooth.undercut", "26"),
        ("restoration.neighbours", "R1"),
    ] {
        for line in ["no", "yes", "NO"] {
            let mut bench = Bench::on(&crown());
            let before = bench.journal();
            let told = bench.at(fact, at).say(&format!("{line}\n"));
            assert_eq!(told.ended.refused, 1, "{fact} {line}");
            assert_eq!(bench.journal(), before, "{fact} {line}");
        }
    }
    let mut bench = Bench::on(&crown());
    bench.at("order.matches", "case").all("yes\n");
    let said = kept(&bench.kept(), "order.matches", "case");
    assert_eq!(said, Some(choice("yes")));
}

/// Whether a choice, or where a whole word is said any word of it, begins so.
fn begins(words: &str, line: &str) -> bool {
    let words = words.to_lowercase();
    let is_word = line.chars().count() > 1;
    words.starts_with(line) || is_word && words.split(' ').any(|word| word.starts_with(line))
}

/// Over the whole flow: no letter of a page and no word of a command answers a question.
#[test]
fn no_command_is_taken_for_an_answer_in_the_whole_flow() {
    let flow = embedded().flow.expect("a flow");
    let mut tried = 0;
    for question in &flow.questions {
        let spec = flow.spec(&question.fact).expect("a fact");
        let at = match spec.at {
            PlaceKind::Case => "case",
            PlaceKind::Restoration => "R1",
            PlaceKind::Unit | PlaceKind::Abutment => "26",
            _ => continue,
        };
        let all: Vec<String> = match &spec.kind {
            Kind::YesNo => vec!["yes".to_owned(), "no".to_owned()],
            Kind::Choice(_) | Kind::Listed(_) => {
                let all = flow.choices(&spec.kind).into_iter();
                all.map(|(_, words)| words).collect()
            }
            _ => continue,
        };
        let here = COMMANDS
            .iter()
            .filter(|own| own.contexts.contains(&Context::Questions));
        let mut lines: Vec<String> = here.flat_map(words).collect();
        lines.extend(["i", "f", "o", "c", "p", "s"].map(str::to_owned));
        lines.retain(|line| all.iter().any(|words| begins(words, line)));
        // The whole of a choice is the choice.
        lines.retain(|line| !all.contains(line));
        let mut bench = Bench::on(&crown());
        bench.at(question.fact.as_str(), at);
        let cursor = |session: &Session| session.inspection.as_ref()?.cursor().cloned();
        if cursor(&bench.desk.session) != Some(spot(question.fact.as_str(), at)) {
            continue;
        }
        for line in lines {
            let (_, why) = asked_back(&mut bench, &line);
            assert!(why.contains("could be"), "{} {line}: {why}", question.fact);
            tried += 1;
        }
    }
    assert!(tried > 20, "{tried}");
}

#[test]
fn a_count_is_a_whole_number_and_says_so() {
    for line in ["2.5", "2,5", "21"] {
        let mut bench = Bench::on(&crown());
        let before = bench.journal();
        let told = bench
            .at("bite.stable_stops", "case")
            .say(&format!("{line}\n"));
        told.has("takes: a whole number, 0 to 20");
        told.has("refused: enter a whole number, 0 to 20");
        assert_eq!(bench.journal(), before, "{line}");
    }
    let mut bench = Bench::on(&crown());
    let told = bench.at("bite.stable_stops", "case").all("8\n");
    told.has("saved: stable stops: 8");
}

#[test]
fn the_pages_are_named_as_in_the_line_of_pages_and_by_their_first_letters() {
    let session = &Bench::on(&crown()).desk.session;
    let names: Vec<String> = (session.view().tabs.iter())
        .map(|tab| tab.name.to_lowercase())
        .collect();
    assert_eq!(
        names,
        [
            "inspect", "findings", "options", "call", "pictures", "summary"
        ]
    );
    let pages = [
        Page::Questions,
        Page::Findings,
        Page::Options,
        Page::Call,
        Page::Picture,
        Page::Summary,
    ];
    let mut bench = Bench::on(&crown());
    bench.at("tooth.height", "26");
    for (from, (start, key)) in names.iter().zip(pages.into_iter().zip([0, 1, 2, 0, 1, 2])) {
        for (name, page) in names.iter().zip(pages) {
            let line = match key {
                0 => name.clone(),
                1 => name.to_uppercase(),
                _ => name[..1].to_owned(),
            };
            let told = bench.all(&format!("{from}\n{line}\n"));
            assert_eq!(bench.desk.session.page, page, "{start:?} {line}");
            let next = match page {
                Page::Questions => "your answer?".to_owned(),
                _ => format!("{name}, what next?"),
            };
            let said = told.after_the_opening();
            assert!(said.contains(&next), "{said:#?}");
        }
    }
    // What they were called before is understood.
    let mut bench = Bench::on(&crown());
    bench.all("picture\nquestions\nend\nquestions\n");
    assert_eq!(bench.desk.session.page, Page::Questions);
    assert_eq!(words(Command::Picture.spec())[0], "pictures");
}
