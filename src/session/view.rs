//! Views of ready strings: the screen and the plain walk show these and compute nothing.

mod call;
mod find;
mod findings;
mod help;
mod options;
mod picture;
mod prompts;
mod questions;

use super::command::{Command, Context, works};
use super::{Inspection, Page, Session};
use crate::case::coming::awaited;
use crate::case::life::State;
use crate::derive::Facts;
use crate::fact::{ORDER_MATERIAL, Place};
use crate::flow::Level;
use crate::judge::{Outcome, Verdict};
use crate::phrase::{Phrase, TRYING, words};
use crate::print::{Beside, Imprint, Sheet, Told, document};
use crate::state::CaseState;

pub use call::{CallRow, CallView, PanelLine};
pub use find::{FindRow, FindView};
pub use options::{OPTION_COLUMNS, OptionLine, OptionsView};
pub use picture::{GripView, PictureView, Plate};

/// The whole screen.
#[derive(Clone)]
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
    pub keys: Vec<(String, &'static str)>,
    /// What is being looked for, over the page.
    pub find: Option<FindView>,
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
    /// How far the case is, with the verdict, where there is room for more than that; empty where it says no more.
    pub state: String,
    /// Its level, for its colour; none where nothing was found yet and something still could be, or nothing is covered.
    pub level: Option<Level>,
    /// What is said before everything else while things are tried out.
    pub trying: Option<&'static str>,
}

/// A page.
#[derive(Clone)]
pub enum PageView {
    /// The list of cases.
    Worklist(WorklistView),
    /// The questions of a step.
    Questions(Box<QuestionsView>),
    /// The findings.
    Findings(FindingsView),
    /// Summary and call list, as lines.
    Summary(Vec<SummaryLine>),
    /// The call.
    Call(Box<CallView>),
    /// The options.
    Options(Box<OptionsView>),
    /// A picture of the case.
    Picture(Box<PictureView>),
}

/// The list of cases.
#[derive(Clone)]
pub struct WorklistView {
    /// Number, units, result and what is left, the marked one told by `marked`.
    pub rows: Vec<[String; 4]>,
    /// Each row's level, for its colour; none where nothing was found yet and something still could be, or nothing is
    /// covered.
    pub levels: Vec<Option<Level>>,
    /// The marked row.
    pub marked: usize,
    /// What is said where there is no case.
    pub empty: [String; 2],
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
#[derive(Clone)]
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
    /// What is said where there are none.
    pub none: &'static str,
    /// What the newest change took away.
    pub gone: Vec<String>,
    /// Open points whose readings were looked for and not seen, or skipped in a step that is passed.
    pub open_points: Vec<String>,
    /// How many rules wait for questions that are still to come.
    pub to_come: usize,
    /// The key that shows all findings.
    pub more_key: String,
    /// The reading to take again, where its error could turn the result.
    pub again: Option<String>,
    /// The picture of what is in hand.
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
#[derive(Clone)]
pub struct PresentView {
    /// The place.
    pub place: String,
    /// The question.
    pub asks: String,
    /// Choices with their digits, and whether each is the present answer.
    pub choices: Vec<(char, String, bool)>,
    /// Choices of a long list that are not shown now, each with the keys that pick it.
    pub beyond: Vec<(String, String)>,
    /// What was typed.
    pub input: String,
    /// Unit, bounds and instrument.
    pub takes: String,
    /// The answer so far.
    pub last: Option<String>,
    /// What is asked back about what was typed, before it is kept.
    pub asked: Option<String>,
    /// Why the last key was refused, or which key keeps what was asked back.
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

impl FindingLine {
    /// Says the finding behind its level and place: the sentence, the limit, how many share its cause.
    pub fn told(&self) -> String {
        let number = self
            .number
            .as_ref()
            .map_or_else(String::new, |number| format!(" ({number})"));
        let folded = match self.folded {
            0 => String::new(),
            more => format!(" (+{more} same cause)"),
        };
        format!("{}{number}{folded}", self.says)
    }
}

impl QuestionsView {
    /// Says how many rules wait for questions that are still to come; none where no rule does.
    pub fn waiting(&self) -> Option<String> {
        (self.to_come > 0).then(|| format!("{} checks wait for answers", self.to_come))
    }
}

/// The findings with the marked one in full.
#[derive(Clone)]
pub struct FindingsView {
    /// All findings.
    pub findings: Vec<FindingLine>,
    /// What is said where there are none.
    pub none: &'static str,
    /// The marked one.
    pub marked: usize,
    /// The marked one in full: headings and texts.
    pub detail: Vec<(String, Vec<String>)>,
    /// Grip, motion and demand under each load, as detail.
    pub figures: Vec<String>,
    /// Open points whose readings were looked for and not told, or could not be worked out.
    pub open_points: Vec<String>,
    /// What waits for questions still to come, a line a step.
    pub to_come: Vec<String>,
}

/// A line of the end page.
#[derive(Clone, PartialEq, Debug)]
pub struct SummaryLine {
    /// The text.
    pub text: String,
    /// Whether it is a heading.
    pub heading: bool,
    /// The level it tells of.
    pub level: Option<Level>,
}

/// Help: headings and lines.
#[derive(Clone)]
pub struct HelpView {
    /// What is measured, as a picture, where there is one.
    pub picture: Option<Plate>,
    /// Headings with their lines.
    pub sections: Vec<(String, Vec<String>)>,
}

impl Session {
    /// Returns the whole screen in ready strings.
    pub fn view(&self) -> View {
        let context = self.context();
        let mut keys: Vec<_> = self.keymap.shown(context).collect();
        let arrived = self.keymap.key(Command::Arrived);
        let hides = works(context, Command::Arrived) && !self.awaits();
        keys.retain(|(key, _)| !(hides && key == arrived));
        // A narrow screen cuts what is named last: help comes first, then what is to be done now, then the way back.
        let weight = |key: &String| {
            let is = |command| key == self.keymap.key(command);
            let arrives = works(context, Command::Arrived) && is(Command::Arrived);
            match () {
                () if is(Command::Help) => 0,
                () if context == Context::Summary && is(Command::Print) => 1,
                () if arrives => 1,
                () if context != Context::Questions && is(Command::Back) => 2,
                () => 3,
            }
        };
        keys.sort_by_key(|(key, _)| weight(key));
        let facts = self.inspection.as_ref().map(Inspection::facts);
        let pair = self.inspection.as_ref().zip(facts.as_ref());
        let page = match (self.page, pair) {
            (Page::Questions, Some((inspection, facts))) => {
                PageView::Questions(Box::new(self.questions(inspection, facts)))
            }
            (Page::Findings, Some((inspection, facts))) => {
                PageView::Findings(self.findings(inspection, facts))
            }
            (Page::Summary, Some((inspection, facts))) => {
                PageView::Summary(self.end(inspection, facts))
            }
            (Page::Call, Some((inspection, facts))) => {
                PageView::Call(Box::new(self.call(inspection, facts)))
            }
            (Page::Options, Some((inspection, facts))) => {
                PageView::Options(Box::new(self.options(inspection, facts)))
            }
            (Page::Picture, Some((inspection, _))) => {
                PageView::Picture(Box::new(self.picture_page(inspection)))
            }
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
            find: self.search.as_ref().map(FindView::of),
        }
    }

    /// Whether something that was agreed has still to come in.
    fn awaits(&self) -> bool {
        let case = self.inspection.as_ref().map(Inspection::case);
        case.is_some_and(|case| !awaited(case).is_empty())
    }

    pub(super) fn phrase<'a>(&self, inspection: &'a Inspection) -> Phrase<'a> {
        Phrase {
            flow: &inspection.flow,
            notation: self.notation,
        }
    }

    fn header(&self, inspection: &Inspection, facts: &Facts<'_>) -> Header {
        let phrase = self.phrase(inspection);
        let state = self.state_of(inspection, facts);
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
            .filter(|own| facts.covers(Place::Restoration(own.id)))
            .and_then(|r| facts.value(&ORDER_MATERIAL, Place::Restoration(r.id)))
            .map_or_else(
                || match owner {
                    Some(own) if !facts.covers(Place::Restoration(own.id)) => {
                        phrase.kind_of_work(facts, own)
                    }
                    _ => "no material yet".to_owned(),
                },
                |v| phrase.value(inspection.flow.spec(&ORDER_MATERIAL), v, None),
            );
        Header {
            number: inspection.case.number.clone(),
            units: names,
            material,
            notation: self.notation.name(),
            verdict: match state.state {
                State::Waiting => format!(
                    "{}, {}",
                    phrase.in_a_word(inspection.judgement.verdict),
                    words::state(State::Waiting)
                ),
                _ => phrase.result(&inspection.judgement),
            },
            state: match state.state {
                // What is still open is said by the result.
                State::Inspecting | State::ToCall | State::NotCovered => String::new(),
                State::Waiting => match inspection.expected() {
                    Some(verdict) if verdict.outcome() != Outcome::Open => format!(
                        "{}, expected ~{}",
                        state.in_short(),
                        phrase.in_a_word(verdict)
                    ),
                    _ => state.in_short(),
                },
                _ => format!(
                    "{}, {}",
                    phrase.result(&inspection.judgement),
                    state.in_short()
                ),
            },
            level: inspection.judgement.verdict.shown(),
            trying: self.is_trying().then_some(TRYING),
        }
    }

    /// Says how far a listed case is, where that is more than questions left: what is waited for and by when.
    fn far(&self, state: &CaseState) -> String {
        match state.state {
            State::Inspecting | State::NotCovered => return String::new(),
            _ => {}
        }
        let mut said = state.in_short();
        let due = state.awaited().iter().filter_map(|own| own.due).min();
        match (due, self.today) {
            (Some(due), Some(today)) if due < today => said.push_str(", late"),
            (Some(due), _) => said.push_str(&format!(", due {}", words::day_in_words(due))),
            (None, _) => {}
        }
        said
    }

    fn worklist_view(&self) -> WorklistView {
        let word = |verdict: Option<Verdict>| match verdict {
            None => "cannot be read".to_owned(),
            Some(verdict) => words::outcome(verdict.outcome()).to_owned(),
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
            let all = item
                .units
                .as_ref()
                .map_or(0, |own| own.restorations().len());
            let far = item.state.as_ref().map(|state| self.far(state));
            let mut left = match (far, item.left) {
                // Nothing is known of a case that cannot be read.
                _ if item.verdict.is_none() => String::new(),
                (Some(far), _) if !far.is_empty() => far,
                (_, 0) => "all asked".to_owned(),
                (_, 1) => "1 question left".to_owned(),
                (_, n) => format!("{n} questions left"),
            };
            if let Some(other) = words::some_not_covered(item.not_covered, all) {
                left = format!("{left}, {other}");
            }
            [item.number.clone(), units, word(item.verdict), left]
        });
        WorklistView {
            rows: rows.collect(),
            levels: self
                .worklist
                .iter()
                .map(|item| item.verdict.and_then(Verdict::shown))
                .collect(),
            marked: self.marked,
            empty: [
                self.keymap
                    .say(&format!("{} {{new-case}} starts one.", words::NO_CASE)),
                "`casepan demo` shows an invented one.".to_owned(),
            ],
            notation: self.notation.name(),
        }
    }

    fn end(&self, inspection: &Inspection, facts: &Facts<'_>) -> Vec<SummaryLine> {
        let instructions = self.standing();
        let told = Told {
            facts,
            judgement: &inspection.judgement,
            doubt: inspection.doubt.as_ref(),
            phrase: self.phrase(inspection),
            beside: Beside {
                instructions: &instructions,
                ways: inspection.ways.as_ref().map(|ways| ways.singles.as_slice()),
                today: self.today,
                // The screen is no paper.
                imprint: Imprint::default(),
            },
        };
        let document = document(told, &[Sheet::Summary, Sheet::Call]);
        document
            .lines()
            .map(|(text, heading, level)| SummaryLine {
                text,
                heading,
                level,
            })
            .collect()
    }
}
