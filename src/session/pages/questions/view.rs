//! The page that a technician works on.

use super::typing::{Choice, TURN, Takes};
use crate::derive::{Facts, Turn};
use crate::fact::{FactId, Kind, Place, Spot, Unit, Value};
use crate::phrase::pages::help;
use crate::phrase::{Phrase, pages, words};
use crate::session::agenda::Cell;
use crate::session::command::{Command, Context};
use crate::session::pages::findings::finding_lines;
use crate::session::view::{
    ANSWERS, CellState, CellView, ChoiceView, FindingLine, GoneLine, PictureView,
};
use crate::session::{Inspection, Session, days};

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

/// A step of the inspection.
#[derive(Clone, PartialEq, Debug)]
pub struct StepView {
    /// Its name.
    pub title: String,
    /// How far it is.
    pub state: StepState,
    /// How many of its questions are answered.
    pub answered: usize,
    /// How many of its questions come up.
    pub of: usize,
}

/// The questions of a step.
#[derive(Clone)]
pub struct QuestionsView {
    /// The steps.
    pub steps: Vec<StepView>,
    /// How many questions that come up are unanswered, over the whole case.
    pub left: usize,
    /// Keys that answer the open question in place of a value, and what they do.
    pub answer_keys: Vec<(String, &'static str)>,
    /// How to look at what is asked, and why: headings with a text each.
    pub how: Vec<(String, String)>,
    /// The step's questions.
    pub lines: Vec<LineView>,
    /// Which of the lines holds the open cell.
    pub present_line: usize,
    /// The open cell.
    pub present: Option<PresentView>,
    /// Findings, what decides first.
    pub findings: Vec<FindingLine>,
    /// What is said where there are none.
    pub none: &'static str,
    /// What the newest change took away.
    pub gone: Vec<GoneLine>,
    /// Open points whose readings were looked for and not seen, or skipped in a step that is passed.
    pub open_points: Vec<String>,
    /// The key that shows all findings.
    pub more_key: String,
    /// The reading to take again, where its error could turn the result.
    pub again: Option<String>,
    /// The picture of the open question.
    pub picture: Option<PictureView>,
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
        /// The unit of its readings, or `None` if they are no numbers.
        unit: Option<Unit>,
        /// The cells.
        cells: Vec<CellView>,
    },
    /// A single question.
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
        /// The facts that decided it; empty if nothing asks for it.
        why: Vec<String>,
    },
}

/// The open cell.
#[derive(Clone)]
pub struct PresentView {
    /// What it is called, behind its place.
    pub name: String,
    /// The place.
    pub place: String,
    /// The question.
    pub asks: String,
    /// Choices that a digit picks now.
    pub choices: Vec<ChoiceView>,
    /// Choices of a long list that are not shown now, each with its place among all of them, from 0.
    pub beyond: Vec<(usize, String)>,
    /// What was typed.
    pub input: String,
    /// Unit, bounds and instrument; empty if the choices say it all.
    pub takes: String,
    /// The answer so far.
    pub last: Option<LastView>,
    /// What two people answered, where they answered differently, and which keys take one of the answers.
    pub two_answers: Option<String>,
    /// What is asked to be checked about the reading that was typed, before it is saved.
    pub asked: Option<String>,
    /// Why the last key was refused, or which key keeps what was asked back.
    pub refusal: Option<String>,
    /// Where Enter goes back to, and which key goes there at once.
    pub goes_back: Option<String>,
}

/// The answer of the open cell so far.
#[derive(Clone, PartialEq, Debug)]
pub struct LastView {
    /// The answer.
    pub cell: CellView,
    /// What stands beside it, such as what was read before it was agreed.
    pub beside: Option<String>,
}

impl LastView {
    /// Says the answer with what stands beside it.
    pub fn said(&self) -> String {
        pages::cells::cell_and_beside(&self.cell, self.beside.as_deref())
    }
}

impl Session {
    /// Returns the present step, whatever page is shown, or `None` if no case is open.
    pub fn step_in_hand(&self) -> Option<QuestionsView> {
        let inspection = self.inspection.as_ref()?;
        Some(self.questions_view(inspection, &inspection.facts()))
    }

    /// Names a cell, and says its answer where it has one.
    pub fn cell_in_words(&self, spot: &Spot) -> Option<(String, Option<String>)> {
        let inspection = self.inspection.as_ref()?;
        let phrase = self.phrase(inspection);
        let cell = phrase.cell(&inspection.case, spot);
        let answer = cell.counting().is_some().then(|| {
            let beside = phrase.beside(&inspection.case, spot);
            pages::cells::cell_and_beside(&cell, beside.as_deref())
        });
        Some((phrase.named(spot), answer))
    }

    pub(in crate::session) fn questions_view(
        &self,
        inspection: &Inspection,
        facts: &Facts<'_>,
    ) -> QuestionsView {
        let phrase = self.phrase(inspection);
        let present_step = inspection.step();
        let cells = &inspection.agenda.cells;
        let steps = inspection
            .flow
            .steps
            .iter()
            .enumerate()
            .filter(|(_, step)| !step.aside)
            .map(|(index, step)| {
                let own = || cells.iter().filter(|cell| cell.step == index);
                let comes_up = |cell: &&Cell| cell.turn == Turn::Up;
                let waits =
                    |cell: &Cell| matches!(cell.turn, Turn::Up | Turn::Later) && !cell.answered;
                let state = if index == present_step {
                    StepState::Present
                } else if own().any(waits) {
                    StepState::ToCome
                } else {
                    StepState::Done
                };
                StepView {
                    title: step.title.clone(),
                    state,
                    answered: own().filter(comes_up).filter(|cell| cell.answered).count(),
                    of: own().filter(comes_up).count(),
                }
            });
        let steps: Vec<StepView> = steps.collect();
        let left = steps.iter().map(|step| step.of - step.answered).sum();
        let shown = self.keymap.shown(Context::Questions);
        let answers = shown
            .filter(|(command, ..)| ANSWERS.contains(command))
            .map(|(_, key, short)| (key.to_owned(), short));
        let (lines, present_line) = self.lines(inspection, facts, present_step);
        let judgement = &inspection.judgement;
        // What was skipped in a step that is passed is to be found out, like what was looked for and not seen.
        let passed = |spot: &Spot| {
            cells.iter().any(|c| {
                c.spot == *spot && c.step < present_step && c.turn == Turn::Up && !c.answered
            })
        };
        let seen = judgement.open_points.iter().filter(|point| {
            point.is_not_seen() || point.needs.iter().any(|(spot, _)| passed(spot))
        });
        let (findings, gone) = {
            // While things are tried out, everything is compared with the case itself.
            let before = inspection.untried().or(inspection.before.as_ref());
            finding_lines(phrase, facts, judgement, before)
        };
        let mut open_points: Vec<String> = phrase.in_dispute(facts);
        for point in seen {
            let text = phrase.open_point(point);
            if !open_points.contains(&text) {
                open_points.push(text);
            }
        }
        QuestionsView {
            steps,
            left,
            answer_keys: answers.collect(),
            how: self.how_to_look(),
            lines,
            present_line,
            present: self.present(inspection, facts),
            findings,
            none: words::no_finding(judgement.verdict.covered),
            gone,
            open_points,
            more_key: self.keymap.key(Command::Findings).to_owned(),
            again: inspection
                .doubt
                .as_ref()
                .and_then(|doubt| doubt.measure_again.first())
                .map(|measure_again| phrase.again(measure_again)),
            picture: self
                .pictures
                .then(|| self.picture_in_hand(inspection))
                .flatten(),
        }
    }

    /// Returns how to look at what is asked and why, as it stands below the question where there is room.
    fn how_to_look(&self) -> Vec<(String, String)> {
        let question = self.inspection.as_ref().and_then(|own| own.question());
        let Some(question) = question else {
            return Vec::new();
        };
        let how = question.how.as_ref();
        let how = how.map(|how| (help::HOW.to_owned(), how.clone()));
        [(help::LOOK.to_owned(), question.look.clone())]
            .into_iter()
            .chain(how)
            .chain([(help::WHY.to_owned(), question.why.clone())])
            .collect()
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
                    Some(Place::Wall(tooth, _)) => {
                        pages::questions::of_tooth(title, &phrase.tooth(*tooth))
                    }
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
        let spot = inspection.hand.cursor.as_ref()?;
        let question = inspection.question()?;
        let spec = inspection.spec()?;
        let now = inspection.case.merged(spot).map(|(_, reading)| reading);
        let digit = |n: usize| char::from_digit(n as u32 + 1, 10).unwrap_or(' ');
        let is_now = |value: &Value| now.is_some_and(|reading| reading.value == *value);
        let listed = inspection.choices();
        let said = |value: &Value| phrase.value(Some(spec), value, Some(1));
        let one = |digit: char, value: &Value| choice(digit, said(value), is_now(value));
        let choices: Vec<ChoiceView> = match &spec.kind {
            Kind::Choice(_) | Kind::Listed(_) => (listed.here.into_iter().enumerate())
                .map(|(n, Choice { id, words, .. })| {
                    let short = phrase.flow.short(&spot.fact, &id).map(str::to_owned);
                    let own = choice(digit(n), words, is_now(&Value::Choice(id)));
                    ChoiceView {
                        short: short.unwrap_or(own.short),
                        ..own
                    }
                })
                .chain(
                    listed
                        .turn
                        .map(|words| choice(TURN, words.to_owned(), false)),
                )
                .collect(),
            Kind::YesNo => vec![one('1', &Value::Yes), one('2', &Value::No)],
            Kind::Number { unit, .. } => (question.bands.iter().enumerate())
                .map(|(n, band)| one(digit(n), &Value::Number(*band, *unit)))
                .collect(),
            Kind::Teeth => {
                let none = inspection.lists_exceptions().then(|| {
                    let all = Value::Teeth(inspection.teeth_to_choose());
                    choice('0', pages::questions::NONE.to_owned(), is_now(&all))
                });
                let teeth = inspection.teeth_to_choose().into_iter().enumerate();
                let tooth = |(n, tooth)| {
                    let marked = inspection.hand.input.contains(digit(n));
                    choice(digit(n), phrase.tooth(tooth), marked)
                };
                none.into_iter().chain(teeth.map(tooth)).collect()
            }
            Kind::Day | Kind::Text => Vec::new(),
        };
        let what = match &spec.kind {
            Kind::Number { .. } if question.bands.is_empty() => spec.wanted(),
            Kind::Day => question
                .days
                .map(days::takes)
                .unwrap_or_default()
                .to_owned(),
            Kind::Number { .. } => pages::questions::OR_A_NUMBER.to_owned(),
            Kind::Text => pages::questions::TEXT.to_owned(),
            Kind::Teeth if inspection.lists_exceptions() => {
                self.keymap.say(pages::questions::EXCEPTIONS)
            }
            Kind::Teeth => self.keymap.say(pages::questions::TEETH),
            _ => String::new(),
        };
        let instrument = inspection
            .instrument()
            .and_then(|id| inspection.flow.instrument(&id))
            .map(|i| i.name.as_str());
        let other = if question.with.len() > 1 {
            self.keymap.say(pages::questions::OTHER_INSTRUMENT)
        } else {
            String::new()
        };
        let takes = pages::questions::takes(&what, instrument, &other);
        let place = match spot.at {
            Place::Case => String::new(),
            at => phrase.place(at),
        };
        let asked = inspection
            .asked_back()
            .map(|asked| phrase.fill(asked.asks, &asked.facts, asked.at, asked.held_at));
        let refusal = match &asked {
            Some(_) => Some(pages::questions::INSIST),
            None => inspection.hand.refusal.as_deref(),
        };
        Some(PresentView {
            name: match spot.at {
                Place::Case => phrase.label(&spot.fact),
                at => pages::questions::name(&phrase.place(at), &phrase.label(&spot.fact)),
            },
            place,
            asks: phrase.fill(&question.asks, facts, spot.at, &[]),
            choices,
            beyond: listed
                .beyond
                .into_iter()
                .map(|c| (c.place, c.words))
                .collect(),
            input: inspection.hand.input.clone(),
            takes,
            last: {
                let cell = phrase.cell(&inspection.case, spot);
                let beside = phrase.beside(&inspection.case, spot);
                // What was read on what was replaced, and what is expected, stands alone where nothing counts.
                // A list of what is as usual would read as its opposite beside the question.
                let shown = cell.counting().is_some()
                    || (beside.is_some() && inspection.flow.covered(&spot.fact).next().is_none());
                shown.then_some(LastView { cell, beside })
            },
            two_answers: (inspection.case.dispute(spot))
                .map(|dispute| self.two_answers(inspection, spot, dispute)),
            asked,
            refusal: refusal.map(|why| self.keymap.say(why)),
            goes_back: inspection.bookmark().map(|home| {
                let key = self.keymap.key(Command::Back);
                pages::questions::goes_back(&phrase.named(home), key)
            }),
        })
    }
}

/// Returns a choice of the open cell.
fn choice(digit: char, words: String, now: bool) -> ChoiceView {
    ChoiceView {
        digit,
        short: pages::questions::short_choice(&words).to_owned(),
        words,
        now,
    }
}

fn row_unit(phrase: Phrase<'_>, fact: &FactId) -> Option<Unit> {
    match phrase.flow.spec(fact).map(|spec| &spec.kind) {
        Some(Kind::Number { unit, .. }) => Some(*unit),
        _ => None,
    }
}

fn grid_heading(phrase: Phrase<'_>, title: &str, columns: &[Place]) -> (String, Vec<String>) {
    match columns.first() {
        Some(Place::Wall(tooth, _)) => {
            let sides = columns.iter().map(|place| match place {
                Place::Wall(tooth, side) => phrase.side(*tooth, *side).to_owned(),
                place => phrase.place(*place),
            });
            let title = pages::questions::of_tooth(title, &phrase.tooth(*tooth));
            (title, sides.collect())
        }
        _ => (
            title.to_owned(),
            columns.iter().map(|place| phrase.place(*place)).collect(),
        ),
    }
}

fn cell_view(phrase: Phrase<'_>, inspection: &Inspection, cell: &Cell) -> CellView {
    let present = inspection.hand.cursor.as_ref() == Some(&cell.spot);
    let mut view = phrase.cell(&inspection.case, &cell.spot);
    if present {
        // Digits in a list of choices only turn its pages; beside bands a number can be typed as well.
        let picks = inspection.answered_by() == Some(Takes::Digit) && !inspection.has_bands();
        let typed = !inspection.hand.input.is_empty() && !picks;
        view.typed = typed.then(|| inspection.hand.input.clone());
        view.state = CellState::Present;
    } else if view.state == CellState::ToDo && cell.turn != Turn::Up {
        view.state = CellState::Idle;
    }
    view
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
        let reasons = phrase.reasons(facts, question, cell.spot.at);
        match self.lines.last_mut() {
            Some(LineView::Idle { label, why }) if *why == reasons => {
                label.push_str(", ");
                label.push_str(&name);
            }
            _ => self.lines.push(LineView::Idle {
                label: name,
                why: reasons,
            }),
        }
    }
}
