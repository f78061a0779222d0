//! Views as plain lines: one fact a line, nothing drawn, nothing in columns.

use super::words;
use crate::case::decision::Matter;
use crate::fact::Spot;
use crate::phrase::pages::cells::{Cell, CellState, UnitShown, cell, here};
use crate::phrase::pages::findings as of_findings;
use crate::phrase::pages::worklist as of_list;
use crate::phrase::pages::{self, ask as said, lines as typed, options as columns};
use crate::phrase::{CAUTION, CAUTION_SHORT, DISLODGEMENT_CAUTION, words as bench};
use crate::session::view::{AboutCase, CallView, FindingLine, FindingsView, Header};
use crate::session::view::{
    LineView, OptionsView, PageView, PanelLine, PresentView, QuestionsView,
};
use crate::session::view::{PictureView, StepState, StepView, View, WorklistView};
use crate::session::{Context, Prompt, Search, Session};
use crate::text::clean;
use crate::tooth::as_typed;

/// What a part is about.
#[derive(Clone, PartialEq, Debug)]
pub(super) enum About {
    /// The first line of the screen.
    Header,
    /// The words that are looked for.
    Find(String),
    /// A line that is typed.
    Prompt(String),
    /// The list of cases.
    Worklist,
    /// The marked case.
    MarkedCase,
    /// The present step.
    Step,
    /// The open question.
    Question(Option<Spot>),
    /// The list of findings.
    Findings,
    /// Open points.
    OpenPoints,
    /// What has still to be asked.
    ToCome,
    /// Figures as detail.
    Figures,
    /// The summary.
    Summary,
    /// The list of the call.
    Call,
    /// An answer that is put together.
    Answering(Matter),
    /// The table of options.
    Options,
    /// A picture.
    Picture,
    /// What became of a delivered restoration.
    Outcome,
    /// What is asked on that page.
    AskingOutcome(&'static str),
    /// What was known when it was built.
    KnownThen,
    /// What came back.
    Rates,
    /// Rules on trial, or a limit that is moved, under this title.
    Leaf(String),
    /// What is due of this dentist.
    FollowUp(String),
    /// What was entered before, under this title.
    History(String),
    /// The marked line of a list in full, counted from 1.
    Marked(usize),
}

/// A part of a page. Of a part that was said before, only the lines that changed are said again.
#[derive(Clone, PartialEq, Debug)]
pub(super) struct Said {
    /// What it is about.
    pub(super) about: About,
    /// Its lines.
    pub(super) lines: Vec<String>,
    /// Whether a line answers it: it is said again after a line that is refused.
    pub(super) asks: bool,
    /// What is said in its place where the page is only gone to, if it is detail.
    pub(super) aside: Option<String>,
}

impl Said {
    pub(super) fn of(about: About, lines: Vec<String>) -> Said {
        Said {
            about,
            lines,
            asks: false,
            aside: None,
        }
    }

    pub(super) fn asking(about: About, lines: Vec<String>) -> Said {
        Said {
            asks: true,
            ..Said::of(about, lines)
        }
    }
}

/// Returns a line without blanks in a row, lines to write on and control characters. Boxes to tick, and signs that a
/// screen reader passes over, become words.
pub fn plain(text: &str) -> String {
    let cleaned = clean(&as_typed(text))
        .replace("[ ]", said::TO_TICK)
        .replace("[x]", said::TICKED);
    let kept = cleaned
        .split_whitespace()
        .filter(|word| !word.chars().all(|c| c == '_'))
        .map(|word| match word {
            ">" => said::BECOMES,
            "+" => said::AND,
            word => word,
        });
    kept.collect::<Vec<_>>().join(" ")
}

/// A part whose lines are plain.
pub(super) fn part(about: About, lines: Vec<String>) -> Said {
    Said::of(about, lines.iter().map(|line| plain(line)).collect())
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
    let names = head.units.iter().map(|units| {
        let names = units.iter().map(|unit| unit.name.as_str());
        names.collect()
    });
    let mut lines: Vec<String> = head.trying.iter().map(|text| (*text).to_owned()).collect();
    lines.push(said::case(&head.number));
    lines.push(said::units(&pages::units(names)));
    lines.push(said::material(&head.material));
    lines.push(said::notation(head.notation));
    lines.push(said::result(&head.result()));
    lines.extend(head.days.iter().cloned());
    lines.extend(head.with.iter().map(|[_, full]| full.clone()));
    lines
}

/// Returns the parts of the page, and of the line that is typed.
pub(super) fn parts(session: &Session, view: &View) -> Vec<Said> {
    let mut parts = match &view.page {
        PageView::Worklist(list) => worklist(list),
        PageView::Questions(page) => questions(session, page),
        PageView::Findings(page) => findings(page),
        PageView::Summary(lines) => {
            let lines = lines.iter().map(|line| line.text.clone()).collect();
            vec![Said::of(About::Summary, lines)]
        }
        PageView::Call(page) => call(session, page),
        PageView::Options(page) => options(page, view.header.as_ref()),
        PageView::Picture(page) => picture(page),
        PageView::Outcome(page) => super::became::outcome(page),
        PageView::FollowUp(page) => super::became::follow_up(page),
        PageView::Rates(page) => {
            let title = [page.title.clone(), page.by.clone()].into_iter();
            let lines = title.chain(page.lines.iter().map(|line| line.text.clone()));
            vec![Said::of(About::Rates, lines.collect())]
        }
        PageView::Leaf(page) => super::became::leaf(page),
        PageView::History(page) => {
            let title = std::iter::once(page.title.clone());
            let lines = title.chain(page.lines.iter().cloned()).collect();
            vec![Said::of(About::History(page.title.clone()), lines)]
        }
    };
    if let Some(found) = &view.find {
        let first = session.over.find().map_or(0, Search::offset) + 1;
        let rows = (first..).zip(&found.rows);
        let mut lines: Vec<String> = rows
            .map(|(number, row)| said::numbered(number, &said::found(&row.kind, &row.line)))
            .collect();
        lines.push(found.count.clone());
        parts = vec![Said::asking(About::Find(found.words.clone()), lines)];
    }
    if let Some((what, example, text)) = &view.prompt {
        for part in &mut parts {
            part.asks = false;
        }
        let mut lines = vec![what.clone(), example.clone()];
        if !text.is_empty() {
            lines.push(said::now(text));
        }
        parts.push(Said::asking(About::Prompt(what.clone()), lines));
    }
    for part in &mut parts {
        part.lines = part.lines.iter().map(|line| plain(line)).collect();
        part.lines.retain(|line| !line.is_empty());
    }
    parts
}

fn worklist(list: &WorklistView) -> Vec<Said> {
    let counts = list.counts;
    let mut lines = vec![
        of_list::counts(counts.to_call, counts.late, counts.open, counts.all),
        list.order.to_owned(),
    ];
    lines.extend(list.progress.clone());
    if !list.filter.is_empty() {
        lines.push(of_list::filter(&list.filter));
        lines.extend(list.found.clone());
    }
    if list.picked > 0 {
        lines.push(of_list::selected(list.picked));
    }
    if list.rows.is_empty() {
        lines.extend(list.empty.iter().cloned());
    }
    for (number, row) in (list.first + 1..).zip(&list.rows) {
        let mut line = vec![row.number.clone(), row.units.clone()];
        let result = row.verdict.map(pages::verdict_aloud);
        line.extend([row.state.clone(), result.unwrap_or(row.result.clone())]);
        let named = [
            (of_list::DUE, row.due.as_str()),
            (of_list::TURN, row.turn),
            (of_list::DENTIST, &row.dentist),
            (of_list::WITH, &row.who),
            (of_list::LAST, &row.last),
        ];
        let named = named.into_iter().filter(|(_, text)| !text.is_empty());
        line.extend(named.map(|(head, text)| of_list::column(head, text)));
        line.extend(row.picked.then(|| of_list::PICKED.to_owned()));
        let line: Vec<&str> = line.iter().map(String::as_str).collect();
        lines.push(said::numbered(number, &pages::listed(&line)));
    }
    lines.push(CAUTION_SHORT.to_owned());
    let mut parts = vec![Said::of(About::Worklist, lines)];
    if let Some(row) = list.rows.get(list.marked) {
        let number = list.first + list.marked + 1;
        let mut lines = vec![said::marked_case(number, &row.number)];
        lines.extend(list.about.as_ref().map(AboutCase::in_a_line));
        parts.push(Said::of(About::MarkedCase, lines));
    }
    if list.typing {
        let what = typed::FILTER.to_owned();
        let mut lines = vec![what.clone(), typed::FILTER_SAID.to_owned()];
        if !list.filter.is_empty() {
            lines.push(said::now(&list.filter));
        }
        parts.push(Said::asking(About::Prompt(what), lines));
    }
    parts
}

fn questions(session: &Session, page: &QuestionsView) -> Vec<Said> {
    let inspection = session.inspection.as_ref();
    let spot = inspection.and_then(|i| i.cursor()).cloned();
    let mut parts = vec![Said::of(About::Step, step(page).into_iter().collect())];
    if let Some(present) = &page.present {
        parts.push(Said::asking(About::Question(spot), question(present)));
    }
    parts
}

/// Which step it is.
pub(super) fn step(page: &QuestionsView) -> Option<String> {
    let present = |own: &StepView| own.state == StepState::Present;
    let index = page.steps.iter().position(present)?;
    let step = page.steps.get(index)?;
    Some(said::step(&step.title, index + 1, page.steps.len()))
}

fn question(present: &PresentView) -> Vec<String> {
    let mut lines = Vec::new();
    if !present.place.is_empty() {
        lines.push(said::place(&present.place));
    }
    lines.push(present.asks.clone());
    if !present.takes.is_empty() {
        lines.push(said::takes(&present.takes));
    }
    let choices = present.choices.iter();
    lines.extend(choices.map(|own| said::choice(own.digit, &own.words)));
    let beyond = present.beyond.iter();
    lines.extend(beyond.map(|(_, words)| said::by_its_name(words)));
    if let Some(last) = &present.last {
        lines.push(said::now(&last.said()));
    }
    lines.extend(present.two_answers.clone());
    if let Some(asked) = &present.asked {
        lines.push(said::checked(asked));
        lines.push(said::how_to_keep());
    }
    lines
}

/// What was found so far and what is still to find out, as it stands beside the questions.
pub(super) fn so_far(page: &QuestionsView) -> Vec<String> {
    let mut lines: Vec<String> = page.findings.iter().map(finding).collect();
    if lines.is_empty() {
        lines.push(page.none.to_owned());
    }
    let points = page.open_points.iter();
    lines.extend(points.map(|point| said::still_to_find_out(point)));
    lines.extend(page.again.as_deref().map(said::measure_again));
    let here = page
        .steps
        .iter()
        .find(|own| own.state == StepState::Present);
    lines.push(said::questions_left(page.left, here.map_or(0, left)));
    lines
}

/// How many questions of a step are left.
fn left(step: &StepView) -> usize {
    step.of.saturating_sub(step.answered)
}

/// A finding in a line.
pub(super) fn finding(own: &FindingLine) -> String {
    pages::findings::aloud(own.level, &own.place, &own.told())
}

/// The whole step: every row with its cells.
pub(super) fn whole_step(page: &QuestionsView) -> Vec<String> {
    let mut lines: Vec<String> = page
        .steps
        .iter()
        .filter(|step| step.state != StepState::Present)
        .map(|step| said::other_step(&step.title, step.state == StepState::Done, left(step)))
        .collect();
    lines.extend(step(page));
    let mut names: &[String] = &[];
    for line in &page.lines {
        match line {
            LineView::Heading { title, columns } => {
                names = columns;
                lines.push(title.clone());
            }
            LineView::Row { label, unit, cells } => {
                let cells = names.iter().zip(cells);
                let cells: Vec<String> = cells
                    .filter_map(|(column, own)| {
                        Some(pages::questions::in_column(column, &in_words(own)?))
                    })
                    .collect();
                lines.push(pages::questions::row(label, *unit, &cells));
            }
            LineView::Ask { label, place, cell } => {
                let cell = in_words(cell).unwrap_or_default();
                lines.push(pages::questions::single(place, label, &cell));
            }
            LineView::Idle { label, why } => lines.push(pages::questions::idle(label, why)),
        }
    }
    lines
}

/// A cell in words, or `None` if it does not come up.
fn in_words(own: &Cell) -> Option<String> {
    let text = cell(own, UnitShown::Elsewhere);
    match own.state {
        CellState::Idle => None,
        CellState::Present => Some(here(&text)),
        _ => Some(text),
    }
}

fn findings(page: &FindingsView) -> Vec<Said> {
    let mut list = vec![said::findings(page.findings.len())];
    for (number, own) in (1..).zip(&page.findings) {
        list.push(said::numbered(number, &finding(own)));
    }
    if page.findings.is_empty() {
        list.push(page.none.to_owned());
    }
    let mut parts = vec![Said::of(About::Findings, list)];
    if !page.detail.is_empty() {
        let mut lines = sections(&page.detail);
        if !page.evidence.is_empty() {
            lines.push(said::heading(of_findings::EVIDENCE));
        }
        lines.extend(page.evidence.iter().map(|own| {
            of_findings::evidence_aloud(&own.what, &own.found, own.needs.as_ref(), &own.from)
        }));
        lines.extend(sections(&page.rest));
        parts.push(marked(page.marked + 1, lines));
    }
    if !page.open_points.is_empty() {
        let mut lines = vec![said::open_points(page.open_points.len())];
        lines.extend(page.open_points.iter().cloned());
        parts.push(Said::of(About::OpenPoints, lines));
    }
    if !page.to_come.is_empty() {
        let mut lines = vec![said::to_be_asked()];
        lines.extend(page.to_come.iter().cloned());
        parts.push(Said::of(About::ToCome, lines));
    }
    if !page.figures.is_empty() {
        let mut lines = vec![bench::FIGURES.to_owned()];
        lines.extend(page.figures.iter().cloned());
        lines.push(DISLODGEMENT_CAUTION.to_owned());
        parts.push(Said {
            aside: Some(said::aside(bench::FIGURES, lines.len() - 1)),
            ..Said::of(About::Figures, lines)
        });
    }
    parts
}

/// The marked line of a list in full.
pub(super) fn marked(number: usize, mut lines: Vec<String>) -> Said {
    lines.insert(0, said::in_full(number));
    Said::of(About::Marked(number), lines)
}

/// Returns headings with their texts; a single text stands on the line of its heading.
pub(super) fn sections(sections: &[(String, Vec<String>)]) -> Vec<String> {
    let mut lines = Vec::new();
    for (heading, texts) in sections {
        match texts.as_slice() {
            [text] => lines.push(said::headed(heading, text)),
            texts => {
                lines.push(said::heading(heading));
                lines.extend(texts.iter().cloned());
            }
        }
    }
    lines
}

fn call(session: &Session, page: &CallView) -> Vec<Said> {
    let mut lines = vec![said::call(&page.count)];
    let mut here = 0;
    let mut number = 0;
    for ready in &page.ready {
        number += 1;
        if ready.marked {
            here = number;
        }
        let value = cell(&ready.cell, UnitShown::Behind);
        lines.push(said::numbered(number, &said::ready(&ready.label, &value)));
    }
    for row in &page.rows {
        number += 1;
        if row.marked {
            here = number;
        }
        lines.extend(row.section.map(said::heading));
        let line = pages::call::aloud(row.level, &row.text, row.mark);
        lines.push(said::numbered(number, &line));
    }
    let list = Said::of(About::Call, lines);
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
                let line = pages::listed(&[text, note]);
                let line = if *ticked { said::picked(&line) } else { line };
                panel.push(match digit {
                    Some(digit) => said::choice(*digit, &line),
                    None if open => said::numbered(picks, &line),
                    None => line,
                });
            }
        }
    }
    let panel = match (&session.call.open, session.draft()) {
        (Some(about), Some(draft)) => {
            if picks > 0 {
                panel.push(said::marked(draft.marked + 1));
            }
            Said::asking(About::Answering(about.clone()), panel)
        }
        _ => marked(here, panel),
    };
    vec![list, panel]
}

fn options(page: &OptionsView, head: Option<&Header>) -> Vec<Said> {
    let mut lines = vec![match &page.waiting {
        Some(waiting) => said::options(waiting),
        None => said::options_count(page.rows.len()),
    }];
    for (number, row) in (1..).zip(&page.rows) {
        lines.extend(row.section.map(said::heading));
        let cells = row.cells().map(|(name, cell)| match row.verdict.zip(head) {
            Some((after, head)) if name == columns::RESULT_COLUMN => {
                columns::result_from_to(head.verdict, after)
            }
            _ => columns::named(name, &cell),
        });
        let cells: Vec<String> = row.barred.iter().cloned().chain(cells).collect();
        lines.push(said::numbered(number, &columns::aloud(&row.does, &cells)));
    }
    let mut parts = vec![Said::of(About::Options, lines)];
    if !page.detail.is_empty() {
        parts.push(marked(page.marked + 1, sections(&page.detail)));
    }
    parts
}

/// A picture by its figures, which say what is drawn.
fn picture(page: &PictureView) -> Vec<Said> {
    let mut lines = vec![page.title.clone()];
    lines.extend(page.of.map(|(index, of)| pages::index_of(index, of)));
    lines.extend(page.sketch.clone());
    if let Some(grip) = &page.grip {
        lines.push(grip.says.clone());
        lines.extend(grip.marks.iter().cloned());
    }
    lines.extend(page.says.iter().cloned());
    lines.push(page.caution.to_owned());
    vec![Said::of(About::Picture, lines)]
}

/// Help: what to look at, what can be typed here, and how.
pub(super) fn help(session: &Session) -> Vec<String> {
    let context = session.context();
    let mut lines = sections(&session.help_on_question());
    lines.push(said::what_can_be_typed(context.title()));
    let own: &[&str] = match context {
        Context::Questions | Context::AskedBack => said::AT_A_QUESTION,
        Context::Call => said::ON_THE_CALL,
        Context::Answer => said::IN_AN_ANSWER,
        Context::Worklist | Context::Findings | Context::Options => said::AT_A_LIST,
        Context::Trials | Context::Limits | Context::Slice => said::AT_A_LIST,
        Context::Find => said::IN_FINDING,
        Context::Outcome => said::ON_AN_OUTCOME,
        Context::FollowUp => said::IN_FOLLOW_UP,
        Context::Prompt
        | Context::Filter
        | Context::Summary
        | Context::Picture
        | Context::History
        | Context::Rates
        | Context::OneTrial
        | Context::MoveFlow
        | Context::Help => &[],
    };
    lines.extend(own.iter().map(|line| (*line).to_owned()));
    lines.extend(words::help(session));
    lines.push(said::commands_in_a_text(words::MARK));
    lines.push(said::KEYS_BY_NAME.to_owned());
    lines.push(CAUTION.to_owned());
    lines.iter().map(|line| plain(line)).collect()
}

/// Returns the last line before the next input line is read.
pub(super) fn prompt(session: &Session) -> String {
    let asks = match session.over.line() {
        Some((Prompt::Sure(..), _)) => said::ENTER_OR_ESC.to_owned(),
        _ if session.is_asked_back() => said::KEEP_IT.to_owned(),
        _ if session.takes_words() => said::YOUR_TEXT.to_owned(),
        _ => match session.context() {
            Context::Questions if is_open(session) => said::YOUR_ANSWER.to_owned(),
            Context::Answer | Context::Outcome | Context::FollowUp => said::YOUR_ANSWER.to_owned(),
            context => said::what_next(context.title()),
        },
    };
    if session.is_trying() {
        said::trying(&asks)
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
