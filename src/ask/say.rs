//! Views as plain lines: one fact a line, nothing drawn, nothing in columns.

use super::words;
use crate::phrase::{CAUTION_SHORT, DISLODGEMENT_CAUTION, words as bench};
use crate::session::view::{CallView, CellState, CellView, FindingLine, FindingsView, Header};
use crate::session::view::{
    LineView, OptionsView, PageView, PanelLine, PresentView, QuestionsView,
};
use crate::session::view::{PictureView, StepState, View, WorklistView};
use crate::session::{Context, Prompt, Session};
use crate::text::clean;
use crate::tooth::as_typed;

/// A part of what can be said of a state. Of a part that was said before, only what has changed is said again.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Part {
    /// What it is about.
    pub(super) key: String,
    /// Its lines.
    pub(super) lines: Vec<String>,
    /// Whether it is what a line answers: it is said again where a line is not taken.
    pub(super) asks: bool,
}

impl Part {
    fn of(key: impl Into<String>, lines: Vec<String>) -> Part {
        Part {
            key: key.into(),
            lines,
            asks: false,
        }
    }

    fn asking(key: impl Into<String>, lines: Vec<String>) -> Part {
        Part {
            asks: true,
            ..Part::of(key, lines)
        }
    }
}

/// A line without anything that only an eye can use: blanks in a row, lines to write on, boxes to tick, controls. Signs
/// that stand between words and are passed over when read aloud become words.
pub fn plain(text: &str) -> String {
    let cleaned = clean(&as_typed(text))
        .replace("[ ]", "to tick:")
        .replace("[x]", "ticked:");
    let kept = cleaned
        .split_whitespace()
        .filter(|word| !word.chars().all(|c| c == '_'))
        .map(|word| match word {
            ">" => "becomes",
            "+" => "and",
            word => word,
        });
    kept.collect::<Vec<_>>().join(" ")
}

/// A part whose lines are plain.
pub(super) fn part(key: &str, lines: Vec<String>) -> Part {
    Part::of(key, lines.iter().map(|line| plain(line)).collect())
}

/// What the open question takes.
pub(super) fn takes(view: &View) -> Option<&str> {
    match &view.page {
        PageView::Questions(page) => page.present.as_ref().map(|present| present.takes.as_str()),
        _ => None,
    }
}

/// The first line of the screen, a fact a line.
pub(super) fn header(head: &Header) -> Vec<String> {
    let units: Vec<&str> = head.units.iter().map(|(name, _)| name.as_str()).collect();
    let mut lines: Vec<String> = head.trying.iter().map(|text| (*text).to_owned()).collect();
    lines.push(format!("case: {}", head.number));
    lines.push(format!("units: {}", units.join(" ").replace(" ;", ";")));
    lines.push(format!("material: {}", head.material));
    lines.push(format!("notation: {}", head.notation));
    lines.push(result(head));
    lines
}

pub(super) fn result(head: &Header) -> String {
    format!("{}: {}", bench::RESULT, head.verdict)
}

/// Everything that can be said of the page, and of a line that is typed.
pub(super) fn parts(session: &Session, view: &View) -> Vec<Part> {
    let mut parts = match &view.page {
        PageView::Worklist(list) => worklist(list),
        PageView::Questions(page) => questions(session, page),
        PageView::Findings(page) => findings(page),
        PageView::Summary(lines) => {
            let lines = lines.iter().map(|line| line.text.clone()).collect();
            vec![Part::of("summary", lines)]
        }
        PageView::Call(page) => call(session, page),
        PageView::Options(page) => options(page),
        PageView::Picture(page) => picture(page),
    };
    if let Some(found) = &view.find {
        let rows = (1..).zip(&found.rows);
        let mut lines: Vec<String> = rows
            .map(|(number, row)| format!("{number}: {}: {}", row.kind, row.line))
            .collect();
        lines.push(found.count.clone());
        parts = vec![Part::asking(format!("find {}", found.words), lines)];
    }
    if let Some((what, example, text)) = &view.prompt {
        for part in &mut parts {
            part.asks = false;
        }
        let mut lines = vec![what.clone(), example.clone()];
        if !text.is_empty() {
            lines.push(format!("now: {text}"));
        }
        parts.push(Part::asking(format!("prompt {what}"), lines));
    }
    for part in &mut parts {
        part.lines = part.lines.iter().map(|line| plain(line)).collect();
        part.lines.retain(|line| !line.is_empty());
    }
    parts
}

fn worklist(list: &WorklistView) -> Vec<Part> {
    let mut lines: Vec<String> = Vec::new();
    if list.rows.is_empty() {
        lines.push(bench::NO_CASE.to_owned());
    }
    for (number, row) in (1..).zip(&list.rows) {
        let said: Vec<&str> = row.iter().map(String::as_str).collect();
        lines.push(format!("{number}: {}", listed(&said)));
    }
    lines.push(CAUTION_SHORT.to_owned());
    let mut parts = vec![Part::of("worklist", lines)];
    if let Some([number, ..]) = list.rows.get(list.marked) {
        let line = format!("marked: {}: {number}", list.marked + 1);
        parts.push(Part::of("mark", vec![line]));
    }
    parts
}

/// What is not empty, with commas between.
fn listed(said: &[&str]) -> String {
    let said: Vec<&str> = said
        .iter()
        .copied()
        .filter(|said| !said.is_empty())
        .collect();
    said.join(", ")
}

fn questions(session: &Session, page: &QuestionsView) -> Vec<Part> {
    let key = session
        .inspection
        .as_ref()
        .and_then(|i| i.cursor())
        .map_or_else(String::new, |spot| format!("{} {}", spot.fact, spot.at));
    let mut parts = vec![Part::of("step", step(page).into_iter().collect())];
    if let Some(present) = &page.present {
        parts.push(Part::asking(key, question(present)));
    }
    parts
}

/// Which step it is.
pub(super) fn step(page: &QuestionsView) -> Option<String> {
    let present = |(_, state): &(String, StepState)| *state == StepState::Present;
    let index = page.steps.iter().position(present)?;
    let (title, _) = page.steps.get(index)?;
    Some(format!(
        "step: {title}, {} of {}",
        index + 1,
        page.steps.len()
    ))
}

fn question(present: &PresentView) -> Vec<String> {
    let mut lines = Vec::new();
    if !present.place.is_empty() {
        lines.push(format!("place: {}", present.place));
    }
    lines.push(present.asks.clone());
    if !present.takes.is_empty() {
        lines.push(format!("takes: {}", present.takes));
    }
    for (digit, words, _) in &present.choices {
        lines.push(format!("{digit}: {words}"));
    }
    lines.extend(
        present
            .beyond
            .iter()
            .map(|(_, words)| format!("by its name: {words}")),
    );
    if let Some(last) = &present.last {
        lines.push(format!("now: {last}"));
    }
    if let Some(asked) = &present.asked {
        lines.push(format!("asked back: {asked}"));
        lines.push(format!(
            "\"{}\" or the reading once more keeps it; another answer takes its place",
            super::hear::YES
        ));
    }
    lines
}

/// What was found so far and what is still to find out, as it stands beside the questions.
pub(super) fn so_far(page: &QuestionsView) -> Vec<String> {
    let mut lines: Vec<String> = found(page).into_iter().map(|(line, _)| line).collect();
    if lines.is_empty() {
        lines.push(page.none.to_owned());
    }
    let point = |point: &String| format!("{}: {point}", bench::STILL_TO_FIND_OUT);
    lines.extend(page.open_points.iter().map(point));
    let again = |again: &String| format!("{}: {again}", bench::MEASURE_AGAIN);
    lines.extend(page.again.iter().map(again));
    lines.extend(page.waiting());
    lines.push(format!("{}: {}", bench::OPEN, page.open_count));
    lines
}

/// What stands in the list of findings, each with whether the newest change brought it.
pub(super) fn found(page: &QuestionsView) -> Vec<(String, bool)> {
    let line =
        |finding: &FindingLine| format!("{}, {}: {}", finding.word, finding.place, finding.told());
    let lines = page.findings.iter();
    lines.map(|finding| (line(finding), finding.new)).collect()
}

/// The whole step: every row with its cells.
pub(super) fn whole_step(page: &QuestionsView) -> Vec<String> {
    let mut lines: Vec<String> = page
        .steps
        .iter()
        .filter_map(|(title, state)| match state {
            StepState::Done => Some(format!("step {title}: nothing left")),
            StepState::Present => None,
            StepState::ToCome => Some(format!("step {title}: questions left")),
        })
        .collect();
    lines.extend(step(page));
    let mut columns: &[String] = &[];
    for line in &page.lines {
        match line {
            LineView::Heading {
                title,
                columns: names,
            } => {
                columns = names;
                lines.push(title.clone());
            }
            LineView::Row { label, unit, cells } => {
                let cells = columns.iter().zip(cells);
                let said: Vec<String> = cells
                    .filter_map(|(column, cell)| Some(format!("{column} {}", said(cell)?)))
                    .collect();
                lines.push(format!("{label} {unit}: {}", said.join("; ")).replace(" :", ":"));
            }
            LineView::Ask { label, place, cell } => {
                let cell = said(cell).unwrap_or_default();
                lines.push(format!("{place} {label}: {cell}"));
            }
            LineView::Idle { label, why } => lines.push(format!("{label}: not asked, {why}")),
        }
    }
    lines
}

/// A cell in words; none where it does not come up.
fn said(cell: &CellView) -> Option<String> {
    let text = match cell.text.as_str() {
        "" => bench::NOT_ASKED,
        "–" => bench::NOT_SEEN,
        text => text,
    };
    match cell.state {
        CellState::Idle => None,
        CellState::Present => Some(format!("{text} (here)")),
        CellState::Answered | CellState::Empty => Some(text.to_owned()),
    }
}

fn findings(page: &FindingsView) -> Vec<Part> {
    let mut list = vec![format!("{}: {}", bench::FINDINGS, page.findings.len())];
    for (number, finding) in (1..).zip(&page.findings) {
        list.push(format!(
            "{number}: {}, {}: {}",
            finding.word,
            finding.place,
            finding.told()
        ));
    }
    if page.findings.is_empty() {
        list.push(page.none.to_owned());
    }
    let mut parts = vec![Part::of("findings", list)];
    if !page.detail.is_empty() {
        parts.push(marked(page.marked + 1, sections(&page.detail)));
    }
    if !page.open_points.is_empty() {
        let mut lines = vec![format!(
            "{}: {}",
            bench::STILL_TO_FIND_OUT,
            page.open_points.len()
        )];
        lines.extend(page.open_points.iter().cloned());
        parts.push(Part::of("open points", lines));
    }
    if !page.to_come.is_empty() {
        let mut lines = vec![format!("{}:", bench::STILL_TO_BE_ASKED)];
        lines.extend(page.to_come.iter().cloned());
        parts.push(Part::of("to come", lines));
    }
    if !page.figures.is_empty() {
        let mut lines = vec![bench::FIGURES.to_owned()];
        lines.extend(page.figures.iter().cloned());
        lines.push(DISLODGEMENT_CAUTION.to_owned());
        parts.push(Part::of("figures", lines));
    }
    parts
}

/// How the key of the marked line in full begins.
pub(super) const MARKED: &str = "marked ";

/// The marked line of a list in full.
fn marked(number: usize, mut lines: Vec<String>) -> Part {
    lines.insert(0, format!("line {number} in full:"));
    Part::of(format!("{MARKED}{number}"), lines)
}

/// Headings with their texts: a heading of one text stands before it.
fn sections(sections: &[(String, Vec<String>)]) -> Vec<String> {
    let mut lines = Vec::new();
    for (heading, texts) in sections {
        match texts.as_slice() {
            [text] => lines.push(format!("{heading}: {text}")),
            texts => {
                lines.push(format!("{heading}:"));
                lines.extend(texts.iter().cloned());
            }
        }
    }
    lines
}

fn call(session: &Session, page: &CallView) -> Vec<Part> {
    let mut lines = vec![format!("{}: {}", bench::THE_CALL, page.count)];
    let mut here = 0;
    let mut number = 0;
    for (label, value, marked) in &page.ready {
        number += 1;
        if *marked {
            here = number;
        }
        let value = match value.as_str() {
            "" => bench::NOT_ASKED,
            value => value,
        };
        lines.push(format!("{number}: {label}: {value}"));
    }
    for row in &page.rows {
        number += 1;
        if row.marked {
            here = number;
        }
        if let Some(section) = row.section {
            lines.push(format!("{section}:"));
        }
        let level = row.level.map_or("", bench::level);
        lines.push(format!(
            "{number}: {}",
            listed(&[level, &row.text, &row.state])
        ));
    }
    let list = Part::of("call", lines);
    let mut panel: Vec<String> = Vec::new();
    let mut picks = 0;
    for line in &page.panel {
        match line {
            PanelLine::Heading(text) | PanelLine::Text(text) | PanelLine::Dim(text) => {
                panel.push(text.clone());
            }
            PanelLine::Pick {
                digit,
                ticked,
                text,
                note,
                ..
            } => {
                picks += 1;
                // Where a line can be picked it has a number; options behind a question are only told.
                let open = session.call.open.is_some() || digit.is_some();
                let number = match digit {
                    Some(digit) => format!("{digit}: "),
                    None if open => format!("{picks}: "),
                    None => String::new(),
                };
                let picked = if *ticked { "picked: " } else { "" };
                panel.push(format!("{number}{picked}{}", listed(&[text, note])));
            }
        }
    }
    let panel = match (&session.call.open, session.draft()) {
        (Some(about), Some(draft)) => {
            if picks > 0 {
                panel.push(format!("marked: {}", draft.marked + 1));
            }
            Part::asking(format!("answering {about:?}"), panel)
        }
        _ => marked(here, panel),
    };
    vec![list, panel]
}

fn options(page: &OptionsView) -> Vec<Part> {
    let mut lines = vec![match &page.waiting {
        Some(waiting) => format!("{}: {waiting}", bench::OPTIONS),
        None => format!("{}: {}", bench::OPTIONS, page.rows.len()),
    }];
    for (number, row) in (1..).zip(&page.rows) {
        if let Some(section) = row.section {
            lines.push(format!("{section}:"));
        }
        let mut said = row.does.clone();
        // A dash says that nothing is worked out for it; so does the line in full.
        let told = |(_, cell): &(&str, &str)| !matches!(*cell, "" | "-");
        for (name, cell) in row.cells().filter(told) {
            // The reason of one that is barred stands in the last column.
            let cell = if row.barred {
                cell.to_owned()
            } else {
                format!("{name} {cell}")
            };
            said.push_str("; ");
            said.push_str(&cell);
        }
        lines.push(format!("{number}: {said}"));
    }
    let mut parts = vec![Part::of("options", lines)];
    if !page.detail.is_empty() {
        parts.push(marked(page.marked + 1, sections(&page.detail)));
    }
    parts
}

/// A picture by its figures, which say what is drawn.
fn picture(page: &PictureView) -> Vec<Part> {
    let mut lines = vec![page.title.clone()];
    lines.extend(page.of.map(|(index, of)| format!("{index} of {of}")));
    lines.extend(page.sketch.clone());
    if let Some(grip) = &page.grip {
        lines.push(grip.says.clone());
        lines.extend(grip.marks.iter().cloned());
    }
    lines.extend(page.says.iter().cloned());
    lines.push(page.caution.to_owned());
    vec![Part::of("picture", lines)]
}

/// Help: what to look at, what can be typed here, and how.
pub(super) fn help(session: &Session) -> Vec<String> {
    let context = session.context();
    let mut lines = sections(&session.help_on_question());
    lines.push(format!("What can be typed here ({}):", context.title()));
    let own: &[&str] = match context {
        Context::Questions | Context::AskedBack => &[
            "a digit, or the words of a choice: that choice",
            "a number, with point or comma: a reading",
            "7, +7, 28-11 or 2026-11-28: a day; 7 counts the way the question says",
            "-: not seen",
            "*: as before",
            "yes, where a reading was asked back: it is kept",
        ],
        Context::Call => &[
            "a digit: a choice of the marked line",
            "line 7: line 7 of the list",
        ],
        Context::Answer => &["a number, or the words of a line: that line is picked"],
        Context::Worklist | Context::Findings | Context::Options => {
            &["a number: that line of the list"]
        }
        Context::Find => &[
            "words: what has them",
            "a number: that line of what was found",
        ],
        Context::Prompt | Context::Summary | Context::Picture | Context::Help => &[],
    };
    lines.extend(own.iter().map(|line| (*line).to_owned()));
    lines.extend(words::help(session));
    lines.push(format!(
        "Where a text is typed, a command wants a colon before it, as in {0}undo; {0} alone empties the text, and two \
         colons begin a text with one.",
        words::MARK
    ));
    lines.push(
        "Where a sentence names a key, its name can be typed as a line; enter is an empty line."
            .to_owned(),
    );
    lines.iter().map(|line| plain(line)).collect()
}

/// What is said last, before a line is waited for.
pub(super) fn prompt(session: &Session) -> String {
    let asks = match &session.prompt {
        Some((Prompt::Sure(..), _)) => "enter or esc?".to_owned(),
        _ if session.is_asked_back() => "keep it?".to_owned(),
        _ if session.takes_words() => "your text?".to_owned(),
        _ => match session.context() {
            Context::Questions if is_open(session) => "your answer?".to_owned(),
            Context::Answer => "your answer?".to_owned(),
            context => format!("{}, what next?", context.title()),
        },
    };
    if session.is_trying() {
        format!("trying, {asks}")
    } else {
        asks
    }
}

fn is_open(session: &Session) -> bool {
    session
        .inspection
        .as_ref()
        .is_some_and(|i| i.cursor().is_some())
}
