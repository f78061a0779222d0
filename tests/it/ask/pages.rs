//! Every page is said in the words of its view.

use casepan::ask::plain;
use casepan::phrase::pages::call::mark;
use casepan::phrase::pages::cells::cell;
use casepan::phrase::{CAUTION, CAUTION_SHORT, words};
use casepan::session::view::{CellState, CellView, LineView, PageView, PanelLine, UnitShown, View};
use casepan::session::{Command, Page};

use super::{Bench, Told};
use crate::session::moment;

fn demo(name: &str) -> Bench {
    let mut bench = Bench::on(&casepan::demo::case(name).expect("an invented case"));
    bench.desk.session.page = Page::Questions;
    bench
}

fn sections(sections: &[(String, Vec<String>)]) -> Vec<String> {
    let all = sections
        .iter()
        .flat_map(|(heading, texts)| std::iter::once(heading).chain(texts));
    all.cloned().collect()
}

/// A cell of a table or of a single question.
fn in_a_row(own: &CellView) -> String {
    cell(own, UnitShown::Elsewhere)
}

/// Every text that a view shows, but for numbers of lines, keys, and marks that only an eye needs.
fn shown(view: &View) -> Vec<String> {
    let mut all = Vec::new();
    match &view.page {
        PageView::Worklist(page) => {
            for row in &page.rows {
                all.extend(row.columns().map(|(_, text)| text.to_owned()));
            }
        }
        PageView::Questions(page) => {
            all.extend(page.steps.iter().map(|step| step.title.clone()));
            for line in &page.lines {
                match line {
                    LineView::Heading { title, columns } => {
                        all.push(title.clone());
                        all.extend(columns.iter().cloned());
                    }
                    LineView::Row { label, unit, cells } => {
                        let unit = unit.map_or("", |unit| unit.symbol());
                        all.extend([label.clone(), unit.to_owned()]);
                        let said = cells.iter().filter(|c| c.state != CellState::Idle);
                        all.extend(said.map(in_a_row));
                    }
                    LineView::Ask { label, place, cell } => {
                        all.extend([label.clone(), place.clone(), in_a_row(cell)]);
                    }
                    LineView::Idle { label, why } => {
                        all.push(label.clone());
                        all.extend(why.iter().cloned());
                    }
                }
            }
            if let Some(present) = &page.present {
                all.extend([&present.place, &present.asks, &present.takes].map(Clone::clone));
                all.extend(
                    present
                        .choices
                        .iter()
                        .map(|choice| format!("{}: {}", choice.digit, choice.words)),
                );
                all.extend(present.beyond.iter().map(|(_, words)| words.clone()));
                all.extend(present.last.iter().map(|last| last.said()));
            }
            all.extend(page.open_points.iter().cloned());
            all.extend(page.again.clone());
            all.extend((page.left > 0).then(|| format!("questions left: {},", page.left)));
            for finding in &page.findings {
                all.extend([
                    words::level(finding.level).to_owned(),
                    finding.place.clone(),
                    finding.told(),
                ]);
            }
        }
        PageView::Findings(page) => {
            for finding in &page.findings {
                all.extend([
                    words::level(finding.level).to_owned(),
                    finding.place.clone(),
                    finding.told(),
                ]);
            }
            all.extend(sections(&page.detail));
            all.extend(page.figures.iter().cloned());
            all.extend(page.open_points.iter().cloned());
            all.extend(page.to_come.iter().cloned());
        }
        PageView::Picture(page) => {
            all.push(page.title.clone());
            all.extend(page.grip.iter().map(|grip| grip.says.clone()));
            all.extend(page.says.iter().cloned());
            all.push(page.caution.to_owned());
        }
        PageView::Outcome(page) => {
            all.push(page.title.clone());
            all.extend(page.known.iter().cloned());
            all.push(page.asks.to_owned());
            all.extend(page.says.iter().cloned());
            let choices = page.choices.iter();
            all.extend(choices.map(|own| format!("{}: {}", own.digit, own.words)));
            all.extend(sections(&page.then));
        }
        PageView::FollowUp(page) => {
            all.extend([page.title.clone(), page.of.clone(), page.asks.to_owned()]);
            all.extend(page.head.iter().chain(&page.says).cloned());
            let choices = page.choices.iter();
            all.extend(choices.map(|own| format!("{}: {}", own.digit, own.words)));
            for row in &page.rows {
                let cells = row.cells.iter().filter(|cell| *cell != "–");
                all.extend(cells.cloned());
            }
        }
        PageView::Rates(page) => {
            all.extend([page.title.clone(), page.by.clone()]);
            all.extend(page.lines.iter().map(|line| line.text.clone()));
        }
        PageView::Leaf(page) => {
            let leaf = &page.leaf;
            all.extend([leaf.title.clone(), page.right.clone()]);
            all.extend(leaf.before.iter().cloned());
            for row in &leaf.rows {
                let cells = row.iter().enumerate();
                let cells = cells.filter(|(column, _)| Some(*column) != leaf.bar);
                all.extend(cells.map(|(_, cell)| cell.clone()));
            }
            all.extend(sections(&leaf.after));
        }
        PageView::History(page) => {
            all.push(page.title.clone());
            all.extend(page.lines.iter().cloned());
        }
        PageView::Summary(lines) => all.extend(lines.iter().map(|line| line.text.clone())),
        PageView::Call(page) => {
            all.push(page.count.clone());
            for ready in &page.ready {
                all.push(ready.label.clone());
                all.push(cell(&ready.cell, UnitShown::Behind));
            }
            for row in &page.rows {
                all.extend(row.section.map(str::to_owned));
                all.push(row.text.clone());
                all.extend(row.mark.map(|own| mark(own).to_owned()));
            }
            for line in &page.panel {
                match line {
                    PanelLine::Heading(text) | PanelLine::Text(text) | PanelLine::Dim(text) => {
                        all.push(text.clone());
                    }
                    PanelLine::Pick { text, note, .. } => all.extend([text.clone(), note.clone()]),
                }
            }
        }
        PageView::Options(page) => {
            all.extend(page.waiting.clone());
            for row in &page.rows {
                all.extend(row.section.map(str::to_owned));
                all.push(row.does.clone());
                all.extend(row.cells().map(|(_, cell)| cell));
                all.extend(row.barred.clone());
            }
            all.extend(sections(&page.detail));
        }
    }
    if let Some(head) = &view.header {
        all.extend([head.number.clone(), head.material.clone(), head.result()]);
        all.push(head.notation.to_owned());
        all.extend(head.units.iter().flatten().map(|unit| unit.name.clone()));
    }
    if let Some((what, example, text)) = &view.prompt {
        all.extend([what, example, text].map(Clone::clone));
    }
    all
}

/// Checks that all a view shows was said.
#[track_caller]
fn said_all(bench: &Bench, told: &Told) -> usize {
    let all = shown(&bench.desk.session.view());
    let text = told.lines.join("\n");
    for shown in &all {
        let wanted = plain(shown);
        assert!(text.contains(&wanted), "{wanted:?} is not said in\n{text}");
    }
    all.len()
}

#[test]
fn the_opening_begins_with_the_caution() {
    let mut bench = demo("bridge-44-46");
    let told = bench.all("");
    assert_eq!(told.lines[0], CAUTION_SHORT);
    assert!(told.lines[1].starts_with("\"Nothing found\" does not mean approved"));
    assert_eq!(told.lines[2], "case: D-1044");
    assert_eq!(told.lines[3], "units: 44 x45 46");
    assert_eq!(told.lines.last().unwrap(), "closed; every answer is saved");
    // The whole of it is in help, and the list of cases does not say it twice.
    bench.all("help\n").has(&plain(CAUTION));
    bench.desk.session.single = false;
    let told = bench.all("leave\n");
    assert!(told.after_the_opening().contains(&CAUTION_SHORT.to_owned()));
    let told = bench.all("");
    let said = told.lines.iter().filter(|line| *line == CAUTION_SHORT);
    assert_eq!(said.count(), 1);
}

#[test]
fn the_questions_are_said_in_the_words_of_their_view() {
    let mut looked = 0;
    for name in ["bridge-44-46", "crown-26", "remake-35-37"] {
        let mut bench = demo(name);
        for step in 0..9 {
            let told = bench.all(if step == 0 {
                "page\nwhere\n"
            } else {
                "step\npage\nwhere\n"
            });
            if bench.desk.session.page != Page::Questions {
                break;
            }
            looked += said_all(&bench, &told);
        }
    }
    assert!(looked > 600, "{looked}");
}

#[test]
fn findings_and_end_page_are_said_in_the_words_of_their_views() {
    for name in ["bridge-44-46", "cantilever-12-13"] {
        let mut bench = demo(name);
        let told = bench.all("findings\npage\n");
        assert!(said_all(&bench, &told) > 40);
        let count = bench
            .desk
            .session
            .inspection
            .as_ref()
            .unwrap()
            .judgement()
            .findings
            .len();
        for number in 1..=count {
            let told = bench.all(&format!("{number}\npage\n"));
            assert_eq!(bench.desk.session.findings.marked, number - 1);
            said_all(&bench, &told);
        }
        let told = bench.say(&format!("{}\n0\n", count + 1));
        assert_eq!(told.ended.refused, 2);
        let told = bench.all("end\n");
        assert!(said_all(&bench, &told) > 40);
        let mut told = bench.all("picture\n");
        let mut figures = said_all(&bench, &told);
        let first = bench.desk.session.picture.shown;
        loop {
            told = bench.all("next\n");
            if bench.desk.session.picture.shown == first {
                break;
            }
            figures += said_all(&bench, &told);
        }
        assert!(figures > 30, "{figures}");
    }
}

#[test]
fn a_mark_that_moves_says_only_the_line_it_goes_to() {
    let mut bench = demo("cantilever-12-13");
    let told = bench.all("findings\nline 2\nup\n");
    let said = told.after_the_opening();
    let prompts: Vec<usize> = said
        .iter()
        .enumerate()
        .filter(|(_, line)| *line == "findings, what next?")
        .map(|(index, _)| index)
        .collect();
    let [first, second, third] = prompts[..] else {
        panic!("{said:#?}");
    };
    assert_eq!(said[first + 1], "line 2 in full:");
    assert_eq!(said[second + 1], "line 1 in full:");
    assert!(third - second < first, "{said:#?}");
    assert!(
        !said[first..].iter().any(|line| line.starts_with("1: ")),
        "{said:#?}"
    );
}

#[test]
fn call_and_options_are_said_in_the_words_of_their_views() {
    let mut bench = super::call::bridge();
    let told = bench.all("call\n");
    assert!(said_all(&bench, &told) > 20);
    let session = &bench.desk.session;
    let count = session
        .call_rows(session.inspection.as_ref().unwrap())
        .len();
    for number in 1..=count {
        let told = bench.all(&format!("line {number}\n"));
        assert_eq!(bench.desk.session.call.marked, number - 1);
        said_all(&bench, &told);
    }
    // Each stage of an answer.
    let mut told = bench.all("line 7\n1\n");
    said_all(&bench, &told);
    told = bench.all("1\n");
    said_all(&bench, &told);
    for line in ["change words", "soon", "change cost", "half each", ""] {
        told.lines.extend(bench.all(&format!("{line}\n")).lines);
        said_all(&bench, &told);
    }
    let mut bench = super::call::bridge();
    let told = bench.all("options\n");
    assert!(said_all(&bench, &told) > 60);
    for number in 1..=bench.desk.session.option_rows() {
        let told = bench.all(&format!("{number}\n"));
        assert_eq!(bench.desk.session.options.marked, number - 1);
        said_all(&bench, &told);
    }
    // In full, once more, and the list is where it was.
    let told = bench.all("in full\ndown\n3\n");
    assert!(told.after_the_opening()[0].starts_with("line "));
    assert_eq!(bench.desk.session.options.marked, 2);
}

#[test]
fn the_worklist_is_said_and_a_case_opened_from_it() {
    let mut bench = demo("crown-26");
    bench.desk.session.single = false;
    let told = bench.all("leave\n");
    said_all(&bench, &told);
    told.has("worklist, what next?");
    let told = bench.all("1\nopen\n");
    told.has(&format!("case: {}", bench.number));
    assert!(bench.desk.session.inspection.is_some());
    let told = bench.all("leave\nnew case\n26-7\n44 x45 46\n");
    told.has("case: 26-7");
    told.has("units: 44 x45 46");
    let open = bench.desk.session.inspection.as_ref().unwrap();
    assert_eq!(open.case().number, "26-7");
}

#[test]
fn the_page_of_outcomes_is_said_at_each_of_its_steps() {
    let mut bench = Bench::on(&crate::outcome::bridge());
    bench.desk.session.page = Page::Summary;
    bench.all("became\n1\n\n");
    let mut looked = 0;
    for lines in [
        "outcome\n",
        "came off\n",
        "1\n",
        "how known\n",
        "keep\n",
        "3\n",
    ] {
        let told = bench.all(lines);
        assert_eq!(bench.desk.session.page, Page::Outcome, "{lines}");
        looked += said_all(&bench, &told);
    }
    assert!(looked > 60, "{looked}");
    let told = bench.say("44\n");
    assert_eq!(told.ended.refused, 1, "{:#?}", told.lines);
}

#[test]
fn rules_on_trial_and_slices_are_said_in_the_words_of_their_views() {
    let mut bench = demo("crown-26");
    bench.desk.session.single = false;
    bench.all("leave\n");
    let mut looked = 0;
    let mut told = bench.all("rules on trial\npage\n");
    for commands in [
        &[Command::Back, Command::Trials][..],
        &[Command::OpenTrial],
        &[Command::Limits],
        &[Command::Down],
        &[Command::SliceCases],
    ] {
        looked += said_all(&bench, &told);
        for command in commands {
            let effects = bench.desk.session.command(*command, &moment(7));
            crate::trial::answer(&mut bench.desk.session, effects);
        }
        told = bench.all("page\n");
    }
    looked += said_all(&bench, &told);
    assert!(looked > 300, "{looked}");
    // A line is marked by its number, and opened by its word.
    let told = bench.all("line 2\n");
    told.has("line 2 in full:");
    let (marked, of) = bench.desk.session.marked_line().unwrap();
    assert_eq!(marked, 1);
    let told = bench.say(&format!("{}\n", of + 1));
    assert_eq!(told.ended.refused, 1, "{:#?}", told.lines);
    // One rule in full is no list.
    let mut bench = demo("crown-26");
    bench.desk.session.single = false;
    bench
        .all("leave\nrules on trial\nopen\n")
        .has("one rule on trial, what next?");
    let told = bench.say("2\n");
    assert_eq!(told.ended.refused, 1, "{:#?}", told.lines);
}

#[test]
fn help_says_what_to_look_at_and_the_words_of_the_commands() {
    let mut bench = demo("bridge-44-46");
    let told = bench.all("help\n");
    for (heading, texts) in bench.desk.session.help_on_question() {
        assert!(
            told.lines
                .iter()
                .any(|line| line.starts_with(&plain(&heading)))
        );
        for text in texts {
            let text = plain(&text);
            assert!(told.lines.iter().any(|line| line.contains(&text)), "{text}");
        }
    }
    told.has("undo, or u: Undo the last answer.");
    assert!(!bench.desk.session.over.helps(), "help leaves no page open");
}

/// What stands beside a badge on the screen is said beside the result, and options say what becomes of it.
#[test]
fn what_stands_beside_a_badge_is_said() {
    for (name, result) in [
        ("bridge-44-46", "result: call, may become on hold"),
        ("remake-35-37", "result: call, connectors to be designed"),
        ("crown-26", "result: nothing found, cleared to make"),
    ] {
        demo(name).all("").has(result);
    }
    let mut bench = super::call::bridge();
    let told = bench.all("findings\noptions\n");
    let count = |begins: &str| {
        told.lines
            .iter()
            .filter(|own| own.starts_with(begins))
            .count()
    };
    // Each page says its marked line, though both are the first.
    assert_eq!(count("line 1 in full:"), 2, "{:#?}", told.lines);
    let option = |own: &&String| own.contains("result from call to watch");
    let option = told.lines.iter().find(option).expect("an option");
    assert!(option.contains("grip from 0.74 to "), "{option}");
    // Detail is told of, and said with the whole page.
    assert_eq!(count("R1: hard bite at"), 0);
    assert_eq!(count("Grip and demand on the cement (detail): "), 1);
    let told = bench.all("findings\npage\n");
    assert!(
        told.lines
            .iter()
            .any(|own| own.starts_with("R1: hard bite at"))
    );
}

/// Palmer's brackets are drawn; they are said as they are typed.
#[test]
fn palmers_teeth_are_said_as_they_are_typed() {
    let mut bench = demo("bridge-44-46");
    let told = bench.all("notation\nnotation\n");
    assert_eq!(
        bench.desk.session.notation,
        casepan::tooth::Notation::Palmer
    );
    assert!(
        told.lines.iter().any(|line| line == "units: LR4 xLR5 LR6"),
        "{:#?}",
        told.lines
    );
    for (drawn, typed) in [
        ("6┘ and 4┐; x└3", "UR6 and LR4; xUL3"),
        ("16, ┌", "16, LL"),
        ("┘", "UR"),
    ] {
        assert_eq!(casepan::tooth::as_typed(drawn), typed);
    }
}
