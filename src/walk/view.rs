//! Views of ready strings: the screen and the plain walk show these and compute nothing.

use std::collections::BTreeSet;

use super::agenda::Cell;
use super::command::{self, Context};
use super::{Inspection, Page, Prompt, Walk};
use crate::derive::{Facts, Turn};
use crate::drawing::{Drawing, stump};
use crate::fact::{FactId, Kind, ORDER_MATERIAL, Place, Spot, Value};
use crate::flow::Level;
use crate::judge::doubt::{Doubt, NearLimit};
use crate::judge::{Finding, Judgement, Verdict};
use crate::phrase::{Phrase, words};
use crate::print::{Sheet, Told, document};

/// The whole screen.
pub struct View {
    /// What keys mean now.
    pub context: Context,
    /// The first line; none on the worklist.
    pub header: Option<Header>,
    /// The page.
    pub page: PageView,
    /// Help over the page.
    pub help: Option<HelpView>,
    /// A line that is being typed: what for, an example, the text.
    pub prompt: Option<(String, String, String)>,
    /// A sentence until the next key.
    pub notice: Option<String>,
    /// How far the page or help is scrolled.
    pub scroll: usize,
    /// Keys and what they do, for the last line.
    pub keys: Vec<(&'static str, &'static str)>,
}

/// The first line.
#[derive(Clone, PartialEq, Debug)]
pub struct Header {
    /// The case's number.
    pub number: String,
    /// The units; true for the present one.
    pub units: Vec<(String, bool)>,
    /// The material of the present restoration.
    pub material: String,
    /// The notation in force.
    pub notation: &'static str,
    /// The verdict in words.
    pub verdict: String,
    /// Its level.
    pub level: Level,
    /// Whether it is open.
    pub open: bool,
}

/// A page.
pub enum PageView {
    /// The list of cases.
    Worklist(WorklistView),
    /// The questions of a step.
    Questions(Box<QuestionsView>),
    /// The findings.
    Findings(FindingsView),
    /// Summary and call list, as lines.
    End(Vec<EndLine>),
}

/// The list of cases.
pub struct WorklistView {
    /// Number, units, result and what is left, the marked one told by `marked`.
    pub rows: Vec<[String; 4]>,
    /// Each row's level, for its colour.
    pub levels: Vec<Level>,
    /// The marked row.
    pub marked: usize,
    /// The notation in force.
    pub notation: &'static str,
}

/// How far a step is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum StepState {
    /// Nothing of it is left.
    Done,
    /// The cursor is in it.
    Present,
    /// It has questions that are not answered.
    ToCome,
}

/// The questions of a step.
pub struct QuestionsView {
    /// The steps.
    pub steps: Vec<(String, StepState)>,
    /// How many points are open, over the whole case.
    pub open_count: usize,
    /// The step's questions.
    pub lines: Vec<LineView>,
    /// Which of the lines holds the open cell.
    pub present_line: usize,
    /// The open cell.
    pub present: Option<PresentView>,
    /// Findings, what decides first.
    pub findings: Vec<FindingLine>,
    /// What the newest change took away.
    pub gone: Vec<String>,
    /// Open points whose readings were looked for and not seen, or skipped in a step that is passed.
    pub open_points: Vec<String>,
    /// How many rules wait for questions that are still to come.
    pub to_come: usize,
    /// The reading to take again, where its error could turn the result.
    pub again: Option<String>,
    /// The stump in hand.
    pub picture: Option<Drawing>,
}

/// One line of a step's page.
#[derive(Clone, PartialEq, Debug)]
pub enum LineView {
    /// A heading with the names of the columns.
    Heading {
        /// The heading.
        title: String,
        /// The columns.
        columns: Vec<String>,
    },
    /// A row of a table.
    Row {
        /// The row's name.
        label: String,
        /// The unit of its readings; empty where they have none.
        unit: &'static str,
        /// The cells.
        cells: Vec<CellView>,
    },
    /// A question by itself.
    Ask {
        /// Its name.
        label: String,
        /// The place, where there is more than one.
        place: String,
        /// Its cell.
        cell: CellView,
    },
    /// A question that does not come up, and why.
    Idle {
        /// Its name.
        label: String,
        /// The reason.
        why: String,
    },
}

/// One cell.
#[derive(Clone, PartialEq, Debug)]
pub struct CellView {
    /// What stands in it.
    pub text: String,
    /// Its state.
    pub state: CellState,
}

/// The state of a cell.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum CellState {
    /// It is open.
    Present,
    /// It has an answer.
    Answered,
    /// It waits for an answer.
    Empty,
    /// It does not come up here.
    Idle,
}

/// The open cell.
pub struct PresentView {
    /// The place.
    pub place: String,
    /// The question.
    pub asks: String,
    /// Choices with their digits, and whether each is the present answer.
    pub choices: Vec<(char, String, bool)>,
    /// What was typed.
    pub input: String,
    /// Unit, bounds and instrument.
    pub takes: String,
    /// The answer so far.
    pub last: Option<String>,
    /// Why the last key was refused.
    pub refusal: Option<String>,
}

/// A finding in a line.
#[derive(Clone, PartialEq, Debug)]
pub struct FindingLine {
    /// The level.
    pub level: Level,
    /// The level in words.
    pub word: &'static str,
    /// The place.
    pub place: String,
    /// The sentence.
    pub says: String,
    /// The limit, with the number where the sentence lacks it.
    pub number: Option<String>,
    /// Whether the newest change brought it or changed its level.
    pub new: bool,
    /// How many findings with the same cause are folded under it.
    pub folded: usize,
}

/// The findings with the marked one in full.
pub struct FindingsView {
    /// All findings.
    pub findings: Vec<FindingLine>,
    /// The marked one.
    pub marked: usize,
    /// The marked one in full: headings and texts.
    pub detail: Vec<(String, Vec<String>)>,
    /// Open points.
    pub open_points: Vec<String>,
}

/// A line of the end page.
#[derive(Clone, PartialEq, Debug)]
pub struct EndLine {
    /// The text.
    pub text: String,
    /// Whether it is a heading.
    pub heading: bool,
    /// The level it tells of.
    pub level: Option<Level>,
}

/// Help: headings and lines.
pub struct HelpView {
    /// Headings with their lines.
    pub sections: Vec<(String, Vec<String>)>,
}

impl Walk {
    /// Returns the whole screen in ready strings.
    pub fn view(&self) -> View {
        let context = self.context();
        let mut keys: Vec<_> = command::shown(context)
            .map(|(key, short, _)| (key, short))
            .collect();
        // Help is named first, so that a narrow screen cuts it last.
        keys.sort_by_key(|(key, _)| *key != "?");
        let facts = self.inspection.as_ref().map(Inspection::facts);
        let pair = self.inspection.as_ref().zip(facts.as_ref());
        let page = match (self.page, pair) {
            (Page::Questions, Some((inspection, facts))) => {
                PageView::Questions(Box::new(self.questions(inspection, facts)))
            }
            (Page::Findings, Some((inspection, facts))) => {
                PageView::Findings(self.findings(inspection, facts))
            }
            (Page::End, Some((inspection, facts))) => PageView::End(self.end(inspection, facts)),
            _ => PageView::Worklist(self.worklist_view()),
        };
        View {
            context,
            header: pair
                .filter(|_| self.page != Page::Worklist)
                .map(|(i, facts)| self.header(i, facts)),
            page,
            help: self.help.then(|| self.help_view()),
            prompt: self
                .prompt
                .as_ref()
                .map(|(prompt, text)| self.prompt_view(prompt, text)),
            notice: self.notice.clone(),
            scroll: self.scroll,
            keys,
        }
    }

    fn phrase<'a>(&self, inspection: &'a Inspection) -> Phrase<'a> {
        Phrase {
            flow: &inspection.flow,
            notation: self.notation,
        }
    }

    fn header(&self, inspection: &Inspection, facts: &Facts<'_>) -> Header {
        let phrase = self.phrase(inspection);
        let at = inspection.cursor.as_ref().map(|spot| spot.at);
        let units = &inspection.case.units;
        let owner = at
            .and_then(|at| units.owner(at))
            .or(units.restorations().first());
        let present = |tooth| match at {
            Some(Place::Unit(own) | Place::Wall(own, _)) => own == tooth,
            Some(Place::Connector(a, b)) => a == tooth || b == tooth,
            _ => false,
        };
        let mut names = Vec::new();
        for (index, restoration) in units.restorations().iter().enumerate() {
            if index > 0 {
                names.push((";".to_owned(), false));
            }
            for unit in &restoration.units {
                let pontic = if unit.role == crate::case::Role::Pontic {
                    "x"
                } else {
                    ""
                };
                names.push((
                    format!("{pontic}{}", phrase.tooth(unit.tooth)),
                    present(unit.tooth),
                ));
            }
        }
        let material = owner
            .and_then(|r| facts.value(&ORDER_MATERIAL, Place::Restoration(r.id)))
            .map_or_else(
                || "no material yet".to_owned(),
                |v| phrase.value(inspection.flow.spec(&ORDER_MATERIAL), v, None),
            );
        let verdict = inspection.judgement.verdict;
        Header {
            number: inspection.case.number.clone(),
            units: names,
            material,
            notation: self.notation.name(),
            verdict: phrase.verdict(verdict),
            level: verdict.level,
            open: verdict.is_open(),
        }
    }

    fn worklist_view(&self) -> WorklistView {
        let word = |verdict: Option<Verdict>| match verdict {
            None => "cannot be read".to_owned(),
            Some(verdict) => match verdict.level {
                Level::Fine if verdict.is_open() => words::OPEN.to_owned(),
                Level::Fine => words::NOTHING_FOUND.to_owned(),
                Level::Watch => words::WATCH.to_owned(),
                Level::Call => words::CALL.to_owned(),
                Level::Hold => words::ON_HOLD.to_owned(),
            },
        };
        let rows = self.worklist.iter().map(|item| {
            let units = item.units.as_ref().map_or_else(String::new, |units| {
                let said = units.restorations().iter().map(|r| {
                    let units = r.units.iter().map(|unit| {
                        let x = if unit.role == crate::case::Role::Pontic {
                            "x"
                        } else {
                            ""
                        };
                        format!("{x}{}", self.notation.show(unit.tooth))
                    });
                    units.collect::<Vec<_>>().join(" ")
                });
                said.collect::<Vec<_>>().join("; ")
            });
            let left = match item.left {
                0 => "all asked".to_owned(),
                1 => "1 question left".to_owned(),
                n => format!("{n} questions left"),
            };
            [item.number.clone(), units, word(item.verdict), left]
        });
        WorklistView {
            rows: rows.collect(),
            levels: self
                .worklist
                .iter()
                .map(|item| item.verdict.map_or(Level::Fine, |v| v.level))
                .collect(),
            marked: self.marked,
            notation: self.notation.name(),
        }
    }

    fn prompt_view(&self, prompt: &Prompt, text: &str) -> (String, String, String) {
        let units = format!(
            "x marks a missing tooth, ; the next restoration: {}",
            match self.notation {
                crate::tooth::Notation::Iso3950 => "44 x45 46; 26",
                crate::tooth::Notation::Universal => "28 x29 30; 14",
                crate::tooth::Notation::Palmer => "LR4 xLR5 LR6; UL6",
            }
        );
        let (what, example) = match prompt {
            Prompt::Number => (
                "Number of the new case".to_owned(),
                "letters, digits and - / . _; never a patient's name".to_owned(),
            ),
            Prompt::NewUnits(number) => (
                format!("Units of {number} ({})", self.notation.name()),
                units,
            ),
            Prompt::Sure(_, line, says) => {
                return (
                    says.clone(),
                    "enter keeps it, esc goes back".to_owned(),
                    line.clone(),
                );
            }
            Prompt::Units => (format!("Units ordered ({})", self.notation.name()), units),
        };
        (what, example, text.to_owned())
    }

    fn questions(&self, inspection: &Inspection, facts: &Facts<'_>) -> QuestionsView {
        let phrase = self.phrase(inspection);
        let present_step = inspection.step();
        let cells = &inspection.agenda.cells;
        let steps = inspection
            .flow
            .steps
            .iter()
            .enumerate()
            .map(|(index, step)| {
                let mut own = cells.iter().filter(|cell| cell.step == index);
                let state = if index == present_step {
                    StepState::Present
                } else if own
                    .any(|cell| matches!(cell.turn, Turn::Up | Turn::Later) && !cell.answered)
                {
                    StepState::ToCome
                } else {
                    StepState::Done
                };
                (step.title.clone(), state)
            });
        let (lines, present_line) = self.lines(inspection, facts, present_step);
        let judgement = &inspection.judgement;
        // What was skipped in a step that is passed is to be found out, like what was looked for and not seen.
        let passed = |spot: &Spot| {
            cells.iter().any(|c| {
                c.spot == *spot && c.step < present_step && c.turn == Turn::Up && !c.answered
            })
        };
        let (seen, to_come): (Vec<_>, Vec<_>) = judgement.open_points.iter().partition(|point| {
            point.is_not_seen() || point.needs.iter().any(|(spot, _)| passed(spot))
        });
        let (findings, gone) = finding_lines(phrase, facts, judgement, inspection.before.as_ref());
        let mut open_points: Vec<String> = Vec::new();
        for point in &seen {
            let text = phrase.open_point(point);
            if !open_points.contains(&text) {
                open_points.push(text);
            }
        }
        QuestionsView {
            steps: steps.collect(),
            open_count: judgement.open_points.len(),
            lines,
            present_line,
            present: self.present(inspection, facts),
            findings,
            gone,
            open_points,
            to_come: to_come.len(),
            again: inspection
                .doubt
                .as_ref()
                .and_then(|doubt| doubt.deciding.first())
                .map(|deciding| phrase.again(deciding)),
            picture: inspection
                .cursor
                .as_ref()
                .and_then(|spot| stump(facts, spot.at)),
        }
    }

    fn lines(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
        step: usize,
    ) -> (Vec<LineView>, usize) {
        let phrase = self.phrase(inspection);
        let agenda = &inspection.agenda;
        let several = inspection.case.units.restorations().len() > 1;
        let mut page = Lines {
            lines: Vec::new(),
            present: 0,
        };
        for (index, group) in agenda
            .groups
            .iter()
            .enumerate()
            .filter(|(_, group)| group.step == step)
        {
            let row_cells = |row: usize| -> Vec<&Cell> {
                agenda
                    .cells
                    .iter()
                    .filter(|cell| cell.group == index && cell.row == row)
                    .collect()
            };
            let shown = |cell: &&Cell| cell.turn == Turn::Up || cell.answered;
            let rows: Vec<Vec<&Cell>> = (0..group.rows.len()).map(row_cells).collect();
            // A table of one column for the only restoration reads better as single questions.
            let single = group.title.is_none()
                || (!several && matches!(group.columns.as_slice(), [Place::Restoration(_)]));
            if single {
                for cells in &rows {
                    let places = cells.len() > 1;
                    for cell in cells.iter().filter(|cell| shown(cell)) {
                        let place = if places {
                            phrase.place(cell.spot.at)
                        } else {
                            String::new()
                        };
                        let view = cell_view(phrase, inspection, cell);
                        page.push(LineView::Ask {
                            label: phrase.label(&cell.spot.fact),
                            place,
                            cell: view,
                        });
                    }
                    if !cells.iter().any(shown) {
                        page.idle(phrase, facts, cells);
                    }
                }
                continue;
            }
            let title = group.title.as_deref().unwrap_or_default();
            if !rows.iter().flatten().any(shown) {
                let of_tooth = match group.columns.first() {
                    Some(Place::Wall(tooth, _)) => format!("{title} {}", phrase.tooth(*tooth)),
                    _ => title.to_owned(),
                };
                page.idle_as(
                    phrase,
                    facts,
                    rows.first().map_or(&[], Vec::as_slice),
                    of_tooth,
                );
                continue;
            }
            let (title, columns) = grid_heading(phrase, title, &group.columns);
            page.push(LineView::Heading { title, columns });
            for (fact, cells) in group.rows.iter().zip(&rows) {
                if cells.iter().any(shown) {
                    let cells = cells
                        .iter()
                        .map(|cell| cell_view(phrase, inspection, cell))
                        .collect();
                    page.push(LineView::Row {
                        label: phrase.label(fact),
                        unit: row_unit(phrase, fact),
                        cells,
                    });
                } else {
                    page.idle(phrase, facts, cells);
                }
            }
        }
        (page.lines, page.present)
    }

    fn present(&self, inspection: &Inspection, facts: &Facts<'_>) -> Option<PresentView> {
        let phrase = self.phrase(inspection);
        let spot = inspection.cursor.as_ref()?;
        let question = inspection.question()?;
        let spec = inspection.spec()?;
        let now = inspection.case.merged(spot).map(|(_, reading)| reading);
        let digit = |n: usize| char::from_digit(n as u32 + 1, 10).unwrap_or(' ');
        let is_now = |value: &Value| now.is_some_and(|reading| reading.value == *value);
        let choices: Vec<(char, String, bool)> = match &spec.kind {
            Kind::Choice(_) | Kind::Listed(_) => inspection
                .flow
                .choices(&spec.kind)
                .into_iter()
                .enumerate()
                .map(|(n, (id, words))| (digit(n), words, is_now(&Value::Choice(id))))
                .collect(),
            Kind::YesNo => vec![
                ('1', "yes".to_owned(), is_now(&Value::Yes)),
                ('2', "no".to_owned(), is_now(&Value::No)),
            ],
            Kind::Number { unit, .. } => question
                .bands
                .iter()
                .enumerate()
                .map(|(n, band)| {
                    let value = Value::Number(*band, *unit);
                    (
                        digit(n),
                        phrase.value(Some(spec), &value, Some(1)),
                        is_now(&value),
                    )
                })
                .collect(),
            Kind::Teeth => inspection
                .teeth_to_choose()
                .into_iter()
                .enumerate()
                .map(|(n, tooth)| {
                    (
                        digit(n),
                        phrase.tooth(tooth),
                        inspection.input.contains(digit(n)),
                    )
                })
                .collect(),
            Kind::Day | Kind::Text => Vec::new(),
        };
        let mut takes = match &spec.kind {
            Kind::Number { .. } if question.bands.is_empty() => spec.wanted(),
            Kind::Day => "days ago, or year-month-day".to_owned(),
            Kind::Text => "text; never a patient's name".to_owned(),
            Kind::Teeth => "digits mark teeth, enter keeps".to_owned(),
            _ => String::new(),
        };
        if let Some(name) = inspection
            .instrument()
            .and_then(|id| inspection.flow.instrument(&id))
            .map(|i| i.name.clone())
        {
            takes = if takes.is_empty() {
                name
            } else {
                format!("{takes}, {name}")
            };
            if question.with.len() > 1 {
                takes.push_str(" (i: other)");
            }
        }
        let place = match spot.at {
            Place::Case => String::new(),
            at => phrase.place(at),
        };
        Some(PresentView {
            place,
            asks: phrase.fill(&question.asks, facts, spot.at, &[]),
            choices,
            input: inspection.input.clone(),
            takes,
            last: now.map(|reading| phrase.reading(&spot.fact, reading)),
            refusal: inspection.refusal.clone(),
        })
    }

    fn findings(&self, inspection: &Inspection, facts: &Facts<'_>) -> FindingsView {
        let phrase = self.phrase(inspection);
        let judgement = &inspection.judgement;
        let (findings, _) = finding_lines(phrase, facts, judgement, None);
        let detail = judgement
            .findings
            .get(self.finding)
            .map_or_else(Vec::new, |f| {
                finding_detail(phrase, facts, f, inspection.doubt.as_ref())
            });
        FindingsView {
            findings,
            marked: self.finding,
            detail,
            open_points: judgement
                .open_points
                .iter()
                .map(|point| {
                    let when = if point.is_not_seen() {
                        ""
                    } else {
                        " (still to be asked)"
                    };
                    format!(
                        "{}{when}: could be {}",
                        phrase.open_point(point),
                        phrase.level(point.could_be)
                    )
                })
                .collect(),
        }
    }

    fn end(&self, inspection: &Inspection, facts: &Facts<'_>) -> Vec<EndLine> {
        let told = Told {
            facts,
            judgement: &inspection.judgement,
            doubt: inspection.doubt.as_ref(),
            phrase: self.phrase(inspection),
        };
        let document = document(told, &[Sheet::Summary, Sheet::Call]);
        document
            .lines()
            .map(|(text, heading, level)| EndLine {
                text,
                heading,
                level,
            })
            .collect()
    }

    fn help_view(&self) -> HelpView {
        let mut sections = Vec::new();
        let question = self
            .inspection
            .as_ref()
            .filter(|_| self.page == Page::Questions);
        if let Some((inspection, question)) = question.and_then(|i| Some((i, i.question()?))) {
            let phrase = self.phrase(inspection);
            sections.push(("What to look at".to_owned(), vec![question.look.clone()]));
            if let Some(how) = &question.how {
                sections.push(("How to measure".to_owned(), vec![how.clone()]));
            }
            sections.push(("Why it matters".to_owned(), vec![question.why.clone()]));
            let instruments: Vec<String> = question
                .with
                .iter()
                .filter_map(|(id, error)| {
                    let instrument = inspection.flow.instrument(id)?;
                    Some(format!(
                        "{}: steps of {}, one reading is good to about ±{error} (one standard deviation)",
                        instrument.name, instrument.step
                    ))
                })
                .collect();
            if !instruments.is_empty() {
                sections.push(("Read with".to_owned(), instruments));
            }
            sections.push(("Source".to_owned(), vec![phrase.source(&question.source)]));
        }
        let context = match self.page {
            Page::Worklist => Context::Worklist,
            Page::Questions => Context::Questions,
            Page::Findings => Context::Findings,
            Page::End => Context::End,
        };
        let keys = command::COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context))
            .map(|spec| format!("{:<12} {}", spec.keys.join(" "), spec.does));
        let mut lines: Vec<String> = keys.collect();
        if context == Context::Questions {
            lines.insert(
                0,
                format!(
                    "{:<12} {}",
                    "1 to 9", "Pick a choice, or type a number with point or comma."
                ),
            );
        }
        sections.push((format!("Keys on the {}", context.title()), lines));
        HelpView { sections }
    }
}

fn row_unit(phrase: Phrase<'_>, fact: &FactId) -> &'static str {
    match phrase.flow.spec(fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => unit.symbol(),
        _ => "",
    }
}

fn grid_heading(phrase: Phrase<'_>, title: &str, columns: &[Place]) -> (String, Vec<String>) {
    match columns.first() {
        Some(Place::Wall(tooth, _)) => {
            let sides = columns.iter().map(|place| match place {
                Place::Wall(tooth, side) => phrase.side(*tooth, *side).to_owned(),
                place => phrase.place(*place),
            });
            (format!("{title} {}", phrase.tooth(*tooth)), sides.collect())
        }
        _ => (
            title.to_owned(),
            columns.iter().map(|place| phrase.place(*place)).collect(),
        ),
    }
}

fn cell_view(phrase: Phrase<'_>, inspection: &Inspection, cell: &Cell) -> CellView {
    let present = inspection.cursor.as_ref() == Some(&cell.spot);
    let said = inspection.case.merged(&cell.spot).map(|(_, reading)| {
        let said = phrase.reading(&cell.spot.fact, reading);
        // The row names the unit already.
        match &reading.value {
            Value::Number(_, unit) => said.trim_end_matches(unit.symbol()).trim_end().to_owned(),
            Value::NotSeen => "–".to_owned(),
            _ => said,
        }
    });
    let (text, state) = match (present, said) {
        (true, said) if inspection.input.is_empty() => {
            (said.unwrap_or_default(), CellState::Present)
        }
        (true, _) => (inspection.input.clone(), CellState::Present),
        (false, Some(said)) => (said, CellState::Answered),
        (false, None) if cell.turn == Turn::Up => (String::new(), CellState::Empty),
        (false, None) => (String::new(), CellState::Idle),
    };
    CellView { text, state }
}

/// The lines of a page as they are put together.
struct Lines {
    lines: Vec<LineView>,
    present: usize,
}

impl Lines {
    fn push(&mut self, line: LineView) {
        let open = |cell: &CellView| cell.state == CellState::Present;
        let holds = match &line {
            LineView::Row { cells, .. } => cells.iter().any(open),
            LineView::Ask { cell, .. } => open(cell),
            LineView::Heading { .. } | LineView::Idle { .. } => false,
        };
        if holds {
            self.present = self.lines.len();
        }
        self.lines.push(line);
    }

    fn idle(&mut self, phrase: Phrase<'_>, facts: &Facts<'_>, cells: &[&Cell]) {
        if let Some(cell) = cells.first() {
            self.idle_as(phrase, facts, cells, phrase.label(&cell.spot.fact));
        }
    }

    /// Tells why a question is skipped; questions skipped for one reason share a line.
    fn idle_as(&mut self, phrase: Phrase<'_>, facts: &Facts<'_>, cells: &[&Cell], name: String) {
        // What depends on answers still to come is not told yet.
        let Some(cell) = cells.iter().find(|cell| cell.turn == Turn::Idle) else {
            return;
        };
        let Some(question) = phrase.flow.question(&cell.spot.fact) else {
            return;
        };
        let reason = phrase.why_idle(facts, question, cell.spot.at);
        match self.lines.last_mut() {
            Some(LineView::Idle { label, why }) if *why == reason => {
                label.push_str(", ");
                label.push_str(&name);
            }
            _ => self.lines.push(LineView::Idle {
                label: name,
                why: reason,
            }),
        }
    }
}

/// Returns the findings in lines, and what the newest change took away.
fn finding_lines(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    judgement: &Judgement,
    before: Option<&Judgement>,
) -> (Vec<FindingLine>, Vec<String>) {
    let key = |finding: &Finding| (finding.rule, finding.at);
    let old: BTreeSet<_> = before
        .map(|before| before.all_findings().map(|f| (key(f), f.level)).collect())
        .unwrap_or_default();
    let lines = judgement
        .findings
        .iter()
        .map(|finding| FindingLine {
            level: finding.level,
            word: phrase.level(finding.level),
            place: phrase.place(finding.at),
            says: phrase.says(facts, finding),
            number: phrase.limit(facts, finding),
            new: before.is_some()
                && std::iter::once(finding)
                    .chain(&finding.folded)
                    .any(|f| !old.contains(&(key(f), f.level))),
            folded: finding.folded.len(),
        })
        .collect();
    let now: BTreeSet<_> = judgement.all_findings().map(key).collect();
    let mut gone = Vec::new();
    for finding in before.iter().flat_map(|before| &before.findings) {
        if !now.contains(&key(finding)) && facts.units().has(finding.at) {
            gone.push(format!(
                "{}: {}",
                phrase.place(finding.at),
                phrase.level(finding.level)
            ));
        }
    }
    (lines, gone)
}

/// Says everything about one finding.
fn finding_detail(
    phrase: Phrase<'_>,
    facts: &Facts<'_>,
    finding: &Finding,
    doubt: Option<&Doubt>,
) -> Vec<(String, Vec<String>)> {
    let mut detail = vec![
        ("What".to_owned(), vec![phrase.says(facts, finding)]),
        ("Why".to_owned(), vec![phrase.because(facts, finding)]),
    ];
    let mut evidence = Vec::new();
    for spot in &finding.evidence {
        evidence.push(phrase.evidence(facts, spot));
        for reading in facts.readings(spot) {
            let line = format!("  from {}", phrase.evidence(facts, &reading));
            if reading != *spot && !evidence.contains(&line) {
                evidence.push(line);
            }
        }
    }
    detail.push(("Evidence".to_owned(), evidence));
    let own = |near: &&NearLimit| {
        std::iter::once(finding)
            .chain(&finding.folded)
            .any(|f| f.rule == near.rule && f.at == near.at)
    };
    let near: Vec<String> = doubt
        .iter()
        .flat_map(|doubt| &doubt.near)
        .filter(own)
        .map(|near| phrase.near(near))
        .collect();
    if !near.is_empty() {
        detail.push(("Near a limit".to_owned(), near));
    }
    if let Some(asks) = phrase.asks(facts, finding) {
        detail.push(("Ask the dentist".to_owned(), vec![asks]));
    }
    if let Some(bench) = phrase.bench(facts, finding) {
        detail.push(("At the bench".to_owned(), vec![bench]));
    }
    let rule = phrase.flow.rules.get(finding.rule);
    detail.push((
        "Source".to_owned(),
        rule.map(|rule| phrase.source(&rule.source))
            .into_iter()
            .collect(),
    ));
    if !finding.folded.is_empty() {
        let folded = finding.folded.iter().map(|folded| {
            format!(
                "{}: {}",
                phrase.level(folded.level),
                phrase.line(facts, folded)
            )
        });
        detail.push(("Same cause".to_owned(), folded.collect()));
    }
    detail
}
