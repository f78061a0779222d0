//! Commands by their words, what is not taken, and what only lines need.

use casepan::ask::{MARK, is_offered, words};
use casepan::session::command::{COMMANDS, Command, Context};
use casepan::session::view::PageView;
use casepan::session::{Act, Page, Session};
use rayon::prelude::*;

use super::Bench;
use crate::session::{crown, moment};

/// A crown with a finding and with options as if they were none, in a context.
fn bench(context: Context) -> Bench {
    let mut bench = Bench::on(&crown());
    let no_ways = Some(casepan::session::Ways {
        together: Some(Vec::new()),
        ..casepan::session::Ways::default()
    });
    bench
        .desk
        .session
        .inspection
        .as_mut()
        .unwrap()
        .ways
        .clone_from(&no_ways);
    let command = |bench: &mut Bench, command| {
        bench.desk.act(Act::Do(command), &moment(5));
    };
    bench.desk.work_late();
    match context {
        Context::Worklist => {
            bench.desk.session.single = false;
            command(&mut bench, Command::Leave);
        }
        Context::Filter => {
            bench.desk.session.single = false;
            command(&mut bench, Command::Leave);
            command(&mut bench, Command::Filter);
        }
        Context::Prompt => command(&mut bench, Command::EditUnits),
        Context::Questions | Context::AskedBack => {}
        Context::Findings => command(&mut bench, Command::Findings),
        Context::Summary => command(&mut bench, Command::Summary),
        Context::Call => command(&mut bench, Command::Call),
        Context::Answer => {
            bench = Bench::on(&super::call::held());
            bench.desk.session.page = Page::Questions;
            bench.desk.session.inspection.as_mut().unwrap().ways = no_ways;
            bench.desk.work_late();
            command(&mut bench, Command::Call);
            bench.desk.key("1", &moment(6));
            bench.desk.key("8", &moment(9));
        }
        Context::Options => command(&mut bench, Command::Options),
        Context::Picture => command(&mut bench, Command::Picture),
        Context::History => command(&mut bench, Command::History),
        Context::Outcome => {
            command(&mut bench, Command::Summary);
            command(&mut bench, Command::Outcome);
        }
        Context::Rates => {
            bench.desk.session.single = false;
            command(&mut bench, Command::Leave);
            command(&mut bench, Command::Rates);
        }
        Context::Trials | Context::OneTrial | Context::Limits | Context::Slice => {
            bench.desk.session.single = false;
            command(&mut bench, Command::Leave);
            let ways = [
                (Context::Trials, Command::Trials),
                (Context::OneTrial, Command::OpenTrial),
                (Context::Limits, Command::Limits),
                (Context::Slice, Command::SliceCases),
            ];
            for (page, way) in ways {
                let effects = bench.desk.session.command(way, &moment(5));
                crate::trial::answer(&mut bench.desk.session, effects);
                if page == context {
                    break;
                }
            }
        }
        Context::MoveFlow => {
            command(&mut bench, Command::Summary);
            bench.desk.session.look_at_flow(&crate::moving::another());
        }
        Context::FollowUp => {
            bench.desk.session.single = false;
            command(&mut bench, Command::Leave);
            command(&mut bench, Command::FollowUp);
            let due = crate::worklist::due_of("K17", 3);
            let due = std::sync::Arc::new(due);
            bench
                .desk
                .session
                .rated(casepan::session::Rated::FollowUp(due, 0));
        }
        Context::Find => command(&mut bench, Command::Find),
        Context::Help => command(&mut bench, Command::Help),
    }
    assert_eq!(bench.desk.session.context(), context);
    bench
}

/// What a command can change, short of the time.
fn state(session: &Session) -> String {
    let inspection = session.inspection.as_ref();
    format!(
        "{:?}",
        (
            (
                session.page,
                session.over.line(),
                session.notation,
                session.is_trying()
            ),
            (
                (session.marked, &session.listing),
                session.findings.marked,
                session.options.marked,
                session.picture.shown,
                (&session.call, &session.outcome, &session.follow_up),
                match session.view().page {
                    PageView::Leaf(page) => Some(page),
                    _ => None,
                },
                session.over.find()
            ),
            inspection.map(|i| (i.entries(), i.cursor().cloned(), i.typed().to_owned())),
        )
    )
}

#[test]
fn every_command_is_reached_by_each_of_its_words_wherever_it_works() {
    // A reading that is asked back is answered on the page of questions: see `asked_back`.
    let over = [Context::Help, Context::AskedBack];
    let contexts = Context::ALL.into_par_iter();
    let each = contexts.filter(|c| !over.contains(c)).map(|context| {
        let mut tried = 0;
        let own = |spec: &&casepan::session::command::CommandSpec| {
            spec.contexts.contains(&context) && is_offered(spec.command)
        };
        for spec in COMMANDS.iter().filter(own) {
            let mut keyed = bench(context);
            keyed.desk.act(Act::Do(spec.command), &moment(11));
            // At a question, it goes to the question before: see `steps_back`.
            if (context, spec.command) == (Context::Questions, Command::Back) {
                continue;
            }
            for word in words(spec) {
                let mut spoken = bench(context);
                let told = spoken.say(&format!("{MARK}{word}\n"));
                // It may have nothing to do here, but it is known.
                let known = told
                    .ended
                    .first
                    .is_none_or(|(_, why)| !why.contains("nor a command"));
                assert!(known, "{context:?} {word} {:#?}", told.lines);
                // Help and an option in full are said at once, and leave no page open.
                if !matches!(spec.command, Command::Help | Command::Detail) {
                    let (by_word, by_key) =
                        (state(&spoken.desk.session), state(&keyed.desk.session));
                    assert_eq!(by_word, by_key, "{context:?} {word}");
                }
                tried += 1;
            }
        }
        tried
    });
    let tried: usize = each.sum();
    assert!(tried > 180, "{tried}");
}

#[test]
fn letters_and_names_of_keys_are_commands_too() {
    let mut bench = Bench::on(&crown());
    for (line, page) in [
        ("f", Page::Findings),
        ("esc", Page::Questions),
        ("Summary", Page::Summary),
        ("I", Page::Questions),
        (":end", Page::Summary),
        ("", Page::Questions),
    ] {
        bench.all(&format!("{line}\n"));
        assert_eq!(bench.desk.session.page, page, "{line}");
    }
}

/// (lines, why the last is not taken): nothing is kept by it, and the question is asked again.
const REFUSED: &[(&str, &str)] = &[
    ("13", "enter 0.5 to 12 mm"),
    ("4.45", "caliper reads in 0.1 mm steps"),
    ("4.4.4", "4.4.4 is not a number"),
    ("4.40000000001", "too long"),
    ("4 mm", "enter 0.5 to 12 mm"),
    ("undoo", "did you mean \"undo\"?"),
    ("units", "did you mean \"edit units\"?"),
    ("print", "works only on: summary"),
    ("xyzzy", "\"help\" says what can be typed"),
    ("*", "no previous value in this row"),
    ("undo 3", "takes no number"),
    ("line 3", "there is no list here"),
    ("line", "needs a number"),
    (":", "a command is expected"),
];

#[test]
fn what_is_not_taken_says_why_and_asks_again() {
    for (line, why) in REFUSED {
        let mut bench = Bench::on(&crown());
        let spot = crate::made::spot("tooth.height", "26");
        let inspection = bench.desk.session.inspection.as_mut().unwrap();
        inspection.put_cursor(Some(spot.clone()));
        let before = bench.journal();
        let told = bench.say(&format!("{line}\n"));
        let (number, said) = told.ended.first.clone().expect(line);
        assert_eq!((number, told.ended.refused), (1, 1), "{line}");
        assert!(said.contains(why), "{line}: {said}");
        let lines = told.after_the_opening();
        assert_eq!(lines[0], format!("refused: {said}"), "{line}");
        assert_eq!(lines[1], "place: 26", "{line}");
        assert!(
            lines
                .iter()
                .any(|line| line.starts_with("takes: 0.5 to 12 mm"))
        );
        assert_eq!(bench.journal(), before, "{line}");
        let inspection = bench.desk.session.inspection.as_ref().unwrap();
        assert_eq!(
            (inspection.typed(), inspection.cursor()),
            ("", Some(&spot)),
            "{line}"
        );
        // The next line is taken as if nothing had been.
        bench.all("4.4\n");
        assert_eq!(bench.journal().len(), before.len() + 1, "{line}");
    }
}

#[test]
fn a_choice_takes_one_digit_or_its_words() {
    let mut bench = Bench::on(&crown());
    let spot = crate::made::spot("tooth.undercut", "26");
    bench
        .desk
        .session
        .inspection
        .as_mut()
        .unwrap()
        .put_cursor(Some(spot));
    let before = bench.journal().len();
    for line in ["12", "6", "0", "1.5"] {
        let told = bench.say(&format!("{line}\n"));
        assert_eq!(told.ended.refused, 1, "{line}");
        assert_eq!(bench.journal().len(), before, "{line}");
    }
}

/// A list of more than nine: eight by their digits, nine turns, and a name is taken wherever it stands.
#[test]
fn a_long_list_is_turned_by_nine_and_answered_by_name() {
    let material = |bench: &Bench| {
        let spot = crate::made::spot("order.material", "R1");
        bench.kept().merged(&spot).map(|(_, r)| r.value.clone())
    };
    let at_material = || {
        let mut bench = Bench::on(&crown());
        let spot = crate::made::spot("order.material", "R1");
        let inspection = bench.desk.session.inspection.as_mut().unwrap();
        inspection.put_cursor(Some(spot));
        bench
    };
    for (lines, wanted) in [
        ("2\n", "lithium-disilicate"),
        ("9\n4\n", "leucite"),
        ("leucite glass-ceramic\n", "leucite"),
        ("9\nleucite glass-ceramic\n", "leucite"),
        ("9\n9\n2\n", "lithium-disilicate"),
        ("9\nlithium disilicate\n", "lithium-disilicate"),
        ("more\nresin-matrix ceramic\n", "resin-matrix"),
    ] {
        let mut bench = at_material();
        let told = bench.say(lines);
        assert_eq!(told.ended.refused, 0, "{lines}");
        assert_eq!(
            material(&bench),
            Some(crate::made::choice(wanted)),
            "{lines}"
        );
    }
    // Nothing but a digit of the page or a name is an answer.
    for line in ["92", "99", "0", "9\n5"] {
        let mut bench = at_material();
        let before = bench.journal().len();
        assert_eq!(bench.say(&format!("{line}\n")).ended.refused, 1, "{line}");
        assert_eq!(bench.journal().len(), before, "{line}");
    }
    let told = at_material().say("again\n");
    told.has("9: more");
    told.has("by its name: leucite glass-ceramic");
}

#[test]
fn a_text_takes_words_and_commands_want_the_mark() {
    let mut bench = Bench::on(&crown());
    let spot = crate::made::spot("order.fee_lines", "case");
    let put = |bench: &mut Bench| {
        let inspection = bench.desk.session.inspection.as_mut().unwrap();
        inspection.put_cursor(Some(spot.clone()));
    };
    put(&mut bench);
    let said = |bench: &Bench| {
        bench
            .kept()
            .merged(&spot)
            .map(|(_, r)| format!("{:?}", r.value))
    };
    bench.all("undo\n");
    assert_eq!(said(&bench).as_deref(), Some("Text(\"undo\")"));
    put(&mut bench);
    bench.all("::)\n");
    assert_eq!(said(&bench).as_deref(), Some("Text(\":)\")"));
    put(&mut bench);
    bench.all(":undo\n");
    assert_eq!(said(&bench).as_deref(), Some("Text(\"undo\")"));
    // What does not fit is not cut short.
    put(&mut bench);
    let told = bench.say(&format!("{}\n", "a".repeat(1000)));
    assert!(told.ended.first.unwrap().1.contains("too long"));
    assert_eq!(said(&bench).as_deref(), Some("Text(\"undo\")"));
    // Bytes that are no text, and lines that nobody types.
    let told = bench.told(b"\xff\xfe\n", true);
    assert!(told.ended.first.unwrap().1.contains("UTF-8"));
    let told = bench.say(&format!("{}\n", "1".repeat(100_000)));
    assert_eq!(told.ended.refused, 1);
    // Whatever steers a terminal is taken out before it is kept or said.
    put(&mut bench);
    bench.all("ok\u{1b}[31m \u{202e}now\n");
    assert_eq!(said(&bench).as_deref(), Some("Text(\"ok[31m now\")"));
}

#[test]
fn units_are_changed_in_a_line_and_asked_back_where_they_can_be_mistaken() {
    let mut bench = Bench::on(&crown());
    let told = bench.all("edit units\n44 x45 46\n");
    told.has("now: 26");
    told.has("units: 44 x45 46");
    let told = bench.say("edit units\n26 x99\n");
    assert!(told.ended.first.unwrap().1.contains("99"));
    // The line that stood there stands there still.
    assert_eq!(bench.desk.session.over.line().unwrap().1, "44 x45 46");
    let told = bench.all("26 27\nesc\n:back\n");
    assert!(
        told.lines
            .iter()
            .any(|line| line.contains("in Universal it would be"))
    );
    told.has("enter or esc?");
    assert_eq!(bench.kept().units, crate::made::units("44 x45 46"));
    bench.all("edit units\n26 27\n\n");
    assert_eq!(bench.kept().units, crate::made::units("26 27"));
}

#[test]
fn again_where_and_page_say_what_there_is() {
    let mut bench = Bench::on(&crown());
    let told = bench.all("again\n");
    let opening: Vec<&String> = told.lines.iter().skip(7).collect();
    let said = told.after_the_opening();
    assert!(
        opening.starts_with(&said.iter().take(5).collect::<Vec<_>>()),
        "{:#?}",
        told.lines
    );
    let told = bench.all("where\n");
    let said = told.after_the_opening();
    for begins in [
        "case: T-1",
        "result: ",
        "step: Order, 1 of 8",
        "questions left: ",
    ] {
        assert!(
            said.iter().any(|line| line.starts_with(begins)),
            "{begins} {said:#?}"
        );
    }
    // On another page too.
    let told = bench.all("findings\nwhere\n");
    assert!(
        told.after_the_opening()
            .iter()
            .any(|line| line.starts_with("step: Order"))
    );
}

#[test]
fn trying_out_says_so_at_each_line_and_keeps_nothing() {
    let mut bench = Bench::on(&crown());
    let spot = crate::made::spot("tooth.height", "26");
    bench
        .desk
        .session
        .inspection
        .as_mut()
        .unwrap()
        .put_cursor(Some(spot));
    let before = bench.journal();
    let told = bench.all("try\n5\nwhere\n");
    let said = told.after_the_opening();
    assert!(
        said.iter()
            .filter(|line| *line == "WHAT IF (not saved)")
            .count()
            > 1
    );
    assert!(
        said.iter()
            .filter(|line| *line == "what-if, your answer?")
            .count()
            == 3
    );
    assert!(
        said.iter()
            .any(|line| line.starts_with("tried: 26, height: 5")),
        "{said:#?}"
    );
    assert!(
        !said.iter().any(|line| line.starts_with("saved: ")),
        "{said:#?}"
    );
    assert_eq!(bench.journal(), before);
    let told = bench.say("call\nback\n");
    assert_eq!(told.ended.refused, 1);
    assert!(!bench.desk.session.is_trying());
    assert_eq!(bench.journal(), before);
    bench.all("try\n5\nkeep trial\n");
    assert_eq!(bench.kept().proposals().len(), 1);
}

#[test]
fn words_are_looked_for_and_a_line_that_was_found_is_gone_to() {
    let mut bench = Bench::on(&crown());
    let told = bench.say("find 26 height\n");
    let first = |told: &super::Told, line: &str| {
        assert!(
            told.lines.iter().any(|own| own.starts_with(line)),
            "{line} {:#?}",
            told.lines
        );
    };
    first(&told, "1: question: 26 height");
    first(&bench.say("clearence\n"), "1: question: 26 clearance");
    first(&bench.say("77\n"), "refused: there is no line 77");
    bench.all("1\n");
    assert!(bench.desk.session.over.find().is_none());
    let cursor = bench
        .desk
        .session
        .inspection
        .as_ref()
        .unwrap()
        .cursor()
        .cloned();
    assert_eq!(cursor, Some(crate::made::spot("tooth.clearance", "26")));
}

#[test]
fn what_is_found_and_needs_a_screen_is_refused_and_help_is_said() {
    let mut bench = Bench::on(&crown());
    let told = bench.say("find background\n1\n");
    assert_eq!(told.ended.refused, 1, "{:#?}", told.lines);
    bench.all("back\n");
    let told = bench.all("find help\n1\n");
    assert!(!bench.desk.session.over.helps());
    assert!(
        told.lines
            .iter()
            .any(|line| line.starts_with("What can be typed here")),
        "{:#?}",
        told.lines
    );
    // A tooth is looked for by its number, too.
    let told = bench.all("find clearance\nfind 26\n");
    assert!(
        told.lines
            .iter()
            .any(|line| line.starts_with("1: question: 26 ")),
        "{:#?}",
        told.lines
    );
}

/// A script with an answer too many must not go back into the answers.
#[test]
fn an_answer_behind_the_last_one_is_not_taken() {
    for line in ["5", "8", "2", "-", "+", "3"] {
        let mut bench = Bench::on(&crown());
        bench.all("end\n");
        let told = bench.say(&format!("{line}\n"));
        assert_eq!(told.ended.refused, 1, "{line} {:#?}", told.lines);
        assert_eq!(bench.desk.session.page, Page::Summary, "{line}");
    }
}

#[test]
fn a_refusal_names_the_key_and_no_brace() {
    let mut bench = Bench::on(&crown());
    let told = bench.at("tooth.height", "26").say("4.45\n");
    let (_, why) = told.ended.first.expect("a refusal");
    assert!(why.contains("press m for another instrument"), "{why}");
    assert!(told.lines.iter().all(|line| !line.contains('{')));
}
