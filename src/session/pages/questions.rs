//! The page of questions: the open cell, what is typed there and what of it is asked back, and where the work goes on.
//!
//! It is the state of one case, so that it stands in its [`Inspection`]: the copy on which things are tried out has its own.

mod answering;
mod asked_back;
mod course;
mod instruments;
mod moving;
mod sketch;
mod typing;
mod view;

use std::cell::OnceCell;

use crate::case::Case;
use crate::fact::Spot;
use crate::flow::Flow;
use crate::phrase::prompts as said;
use crate::session::agenda::Agenda;
use crate::session::{
    Command, Context, Effect, Inspection, Moment, Page, Prompt, Session, units_line,
};

use asked_back::AskedBack;
use course::Course;
use instruments::Instruments;
use sketch::Sketch;

pub use asked_back::Doubted;
pub use typing::{TURN, Takes};
pub use view::{LastView, LineView, PresentView, QuestionsView, StepState, StepView};

/// What is open on the page.
pub(in crate::session) struct State {
    /// The open cell.
    pub(in crate::session) cursor: Option<Spot>,
    /// What was typed there and is not kept.
    pub(in crate::session) input: String,
    /// Why the last key was refused.
    pub(in crate::session) refusal: Option<String>,
    /// What Enter refused of what was typed.
    refused: Option<String>,
    /// The digit that has just chosen a band, until the next key.
    picked: Option<typing::Picked>,
    /// A reading that is implausible and to be confirmed, until the next key.
    pub(in crate::session) asked: Option<AskedBack>,
    /// The instruments of readings.
    instruments: Instruments,
    /// Where the inspection goes on.
    pub(in crate::session) course: Course,
    /// The case with the number that is being typed.
    sketch: OnceCell<Option<Sketch>>,
    /// Whether a digit is drawn before what takes a search in its sketch.
    draws_first: bool,
}

impl State {
    /// Begins at the first unanswered question.
    pub(in crate::session) fn of(flow: &Flow, case: &Case, agenda: &Agenda) -> State {
        State {
            cursor: agenda.next_open(None).map(|cell| cell.spot.clone()),
            input: String::new(),
            refusal: None,
            refused: None,
            picked: None,
            asked: None,
            instruments: Instruments::of(flow, case, agenda),
            course: Course::default(),
            sketch: OnceCell::new(),
            draws_first: false,
        }
    }

    /// Takes up the instruments that another flow names.
    pub(in crate::session) fn take_flow(&mut self, flow: &Flow, case: &Case, agenda: &Agenda) {
        self.instruments = Instruments::of(flow, case, agenda);
    }

    /// Goes on as another one of the same case, with its instruments.
    pub(in crate::session) fn go_on_as(&mut self, other: &State) {
        self.course = other.course.clone();
        self.instruments = other.instruments.clone();
    }
}

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn questions_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        let inspection = self.inspection.as_mut()?;
        let mut effects = Vec::new();
        match command {
            Command::Confirm => effects = inspection.confirm(moment),
            Command::Insist => effects = inspection.insist(moment),
            Command::NotSeen => effects = inspection.not_seen(moment),
            Command::Same => effects = inspection.same(moment),
            Command::TakeFirst | Command::TakeSecond => {
                effects = inspection.take_side(command == Command::TakeFirst, moment);
            }
            Command::Erase => inspection.erase(),
            Command::Clear => return Some(inspection.clear(moment)),
            Command::NextCell => inspection.go_beside(true),
            Command::PreviousCell => inspection.go_beside(false),
            Command::Up => inspection.go_vertical(false),
            Command::Down => inspection.go_vertical(true),
            Command::Left => inspection.go_horizontal(false),
            Command::Right => inspection.go_horizontal(true),
            Command::NextStep => {
                if !inspection.go_step(true) {
                    self.turn_to(Page::Summary);
                }
            }
            Command::PreviousStep => {
                inspection.go_step(false);
            }
            Command::WallByWall => return Some(inspection.wall_by_wall(moment)),
            Command::Instrument => inspection.next_instrument(),
            Command::EditUnits => self.edit_units(),
            _ => return None,
        }
        if matches!(
            command,
            Command::Confirm
                | Command::Insist
                | Command::NotSeen
                | Command::Same
                | Command::TakeFirst
                | Command::TakeSecond
        ) {
            self.after_answer();
        }
        Some(effects)
    }

    /// Returns whether the open cell takes a character.
    pub(in crate::session) fn types(&self, c: char) -> bool {
        let open = self.inspection.as_ref();
        self.context() == Context::Questions && open.is_some_and(|i| i.takes_text() || i.takes(c))
    }

    /// Types a character into the open cell; in a choice, a digit answers at once.
    pub(in crate::session) fn type_answer(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        let open = self.inspection.as_mut();
        let effects = open.map_or_else(Vec::new, |open| open.type_char(c, moment));
        self.after_answer();
        effects
    }

    /// Turns to the summary if no question is left, and says where it went if that was back.
    pub(in crate::session) fn after_answer(&mut self) {
        if let Some(spot) = self.inspection.as_mut().and_then(Inspection::take_back_to) {
            self.notice = self.gone_back(&spot);
        }
        if self.page == Page::Questions
            && self
                .inspection
                .as_ref()
                .is_some_and(|i| i.hand.cursor.is_none())
        {
            self.page = Page::Summary;
            self.scroll = 0;
        }
    }

    /// Returns a notice that the inspection has gone back to an earlier step.
    fn gone_back(&self, spot: &Spot) -> Option<String> {
        let inspection = self.inspection.as_ref()?;
        let step = &inspection.flow.steps.get(inspection.step())?.title;
        let (name, _) = self.cell_in_words(spot)?;
        Some(said::back_to(step, &name))
    }

    /// Asks for other units.
    fn edit_units(&mut self) {
        if self.is_trying() {
            self.say_trying();
        } else if let Some(inspection) = &self.inspection {
            let line = units_line::write(&inspection.case.units, self.notation);
            self.over.ask((Prompt::Units, line));
        }
    }

    pub(in crate::session) fn turn_to_questions(&mut self) {
        if let Some(inspection) = &mut self.inspection {
            inspection.come_back();
        }
        self.turn_to(Page::Questions);
    }

    /// One step back: what was typed, a look at an answer, what is tried out, the case; `None` if it may not be left so.
    pub(in crate::session) fn questions_back(&mut self) -> Option<Vec<Effect>> {
        if let Some(inspection) = self
            .inspection
            .as_mut()
            .filter(|i| !i.hand.input.is_empty())
        {
            inspection.settle();
            inspection.clear_input();
            return Some(Vec::new());
        }
        let inspection = self.inspection.as_mut();
        if inspection.is_some_and(Inspection::return_to_bookmark) {
            // The next step back leaves the page.
            return Some(Vec::new());
        }
        if self.is_trying() {
            self.drop_trial();
            return Some(Vec::new());
        }
        (!self.single).then(|| self.leave())
    }
}
