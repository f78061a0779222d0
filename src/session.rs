//! The state machine: keys become acts, acts change the state and give effects.
//!
//! Nothing here touches the disk, the clock or the terminal. Every act brings the time and a fresh id.

mod act;
pub mod agenda;
mod asked_back;
mod benches;
pub mod command;
pub mod days;
mod effect;
mod find;
mod inspection;
pub mod keymap;
mod layers;
mod life;
mod pages;
mod prompts;
mod record;
mod taps;
mod tour;
mod typed;
pub mod units_line;
pub mod view;
mod whatif;

use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::case::coming::Part;
use crate::case::decision::Matter;
use crate::case::instruction::Instruction;
use crate::fact::{FactId, Place, Spot};
use crate::phrase::prompts as said;
use crate::tooth::Notation;
use crate::worklist::WorkItem;

pub use act::{Act, Given};
pub use benches::NotSaved;
pub use command::{Command, Context};
pub use effect::{Effect, Moment};
pub use find::{Hit, NINE, Search, Target};
pub use inspection::{Inspection, Moving, Ways};
pub use keymap::Keymap;
pub use layers::{Layer, Layers};
pub use pages::follow_up::{Followed, State as FollowUpState};
pub use pages::history::Past;
pub use pages::limits::{State as LimitsState, Swept};
pub use pages::outcome::{MayBe, State as OutcomeState};
pub use pages::questions::{Doubted, TURN, Takes};
pub use pages::rates::Rated;
pub use pages::trials::{OnTrial, State as TrialsState};
pub use pages::worklist::{Listing, WINDOW};
pub use pages::{Page, call};
pub use taps::Taps;
pub use tour::Tour;

/// A line that is being typed.
#[derive(Clone, PartialEq, Debug)]
pub enum Prompt {
    /// The words that filter the list of cases.
    Filter,
    /// The number of a new case.
    Number,
    /// The units of a new case with this number.
    NewUnits(String),
    /// Other units for the present case.
    Units,
    /// Something to have ready before the call.
    Ready(FactId),
    /// A line of the answer to a question.
    Answer(call::AnswerLine),
    /// What the dentist told.
    Tell(Spot),
    /// The day on which something arrived, for these restorations.
    Arrived(Part, Vec<u8>),
    /// The words of a standing instruction on this matter.
    Standing(Matter),
    /// A day of the case.
    Day(FactId),
    /// Who gets the case.
    HandTo,
    /// What that person has to know.
    HandNote(String),
    /// What became of the case.
    Became,
    /// The day of an outcome.
    OutcomeDay,
    /// Asks whether an ambiguous line is meant: the prompt it came from, the line, how it is read.
    Sure(Box<Prompt>, String, String),
}

/// Everything that the screen shows is in here.
pub struct Session {
    /// The notation in force.
    pub notation: Notation,
    /// The notation chosen in the settings or by confirming a line; in it, bare numbers are not confirmed again.
    pub chosen_notation: Option<Notation>,
    /// Taps on the same digit.
    pub taps: Taps,
    /// The page.
    pub page: Page,
    /// The cases, as far as they are here.
    pub worklist: Vec<WorkItem>,
    /// What of the list is here, and how it was asked for.
    pub listing: Listing,
    /// The marked case, by its place among those that are here.
    pub marked: usize,
    /// The case under inspection.
    pub inspection: Option<Inspection>,
    /// What lies over the page.
    pub over: Layers,
    /// How far findings, summary or help are scrolled, in lines.
    pub scroll: usize,
    /// The page of findings.
    pub findings: pages::findings::State,
    /// A sentence for the person, until the next key.
    pub notice: Option<String>,
    /// Whether leaving a case leaves the program: true where it was opened by name.
    pub single: bool,
    /// What is not in the archive, or `None` if everything is.
    pub not_saved: Option<NotSaved>,
    /// Whether somebody has already tried to leave with unsaved answers.
    pub leaving_unsaved: bool,
    /// The page of the call.
    pub call: call::State,
    /// The page of options.
    pub options: pages::options::State,
    /// The page of pictures.
    pub picture: pages::pictures::State,
    /// The page of outcomes.
    pub outcome: pages::outcome::State,
    /// The page of what came back.
    pub rates: pages::rates::State,
    /// The page of rules on trial.
    pub trials: pages::trials::State,
    /// The page of a limit that is moved.
    pub limits: pages::limits::State,
    /// The move to another version of the flow that is looked at.
    moving: Option<Moving>,
    /// The page of follow-up.
    pub follow_up: pages::follow_up::State,
    /// The case itself, while things are tried out on a copy.
    pub untried: Option<Inspection>,
    /// Standing instructions that were not ended.
    pub instructions: Vec<Instruction>,
    /// Today, once it is known.
    pub today: Option<Date>,
    /// What the keys mean.
    pub keymap: Keymap,
    /// What the demo proposes next, or `None` outside of it.
    pub tour: Option<Tour>,
    /// Whether there is room for a picture beside the questions; without, none is worked out.
    pub pictures: bool,
    /// What the page of what was entered before looks back at.
    pub past: Option<Past>,
    /// Whether pages are told whole, so that nothing of them stays unseen.
    pub whole_pages: bool,
    /// Whether rules may be edited.
    pub supervisor: bool,
    /// The code of the person at the bench.
    pub who: Option<String>,
    /// The time zone of the bench.
    pub zone: TimeZone,
    /// What the case is opened for from the worklist.
    then: Option<Command>,
    /// Whether the case was opened from the worklist for one line.
    returns: bool,
}

impl Session {
    /// Returns a session that shows the worklist.
    pub fn new(notation: Notation) -> Session {
        Session {
            notation,
            chosen_notation: None,
            taps: Taps::default(),
            page: Page::Worklist,
            worklist: Vec::new(),
            listing: Listing::default(),
            marked: 0,
            inspection: None,
            over: Layers::default(),
            scroll: 0,
            findings: pages::findings::State::default(),
            notice: None,
            single: false,
            not_saved: None,
            leaving_unsaved: false,
            call: call::State::default(),
            options: pages::options::State::default(),
            picture: pages::pictures::State::default(),
            outcome: pages::outcome::State::default(),
            rates: pages::rates::State::default(),
            trials: pages::trials::State::default(),
            limits: pages::limits::State::default(),
            follow_up: pages::follow_up::State::default(),
            moving: None,
            untried: None,
            instructions: Vec::new(),
            today: None,
            keymap: Keymap::default(),
            tour: None,
            pictures: true,
            past: None,
            whole_pages: false,
            supervisor: false,
            who: None,
            zone: TimeZone::UTC,
            then: None,
            returns: false,
        }
    }

    /// Shows a case.
    pub fn show(&mut self, inspection: Inspection) {
        let is_closed = inspection.case.is_closed(Place::Case);
        self.page = if is_closed || inspection.is_complete() {
            Page::Summary
        } else {
            Page::Questions
        };
        self.inspection = Some(inspection);
        self.untried = None;
        self.over.clear();
        self.scroll = 0;
        self.findings.marked = 0;
        self.call = call::State::default();
        self.go_on_from_list();
    }

    /// Returns the cell that is open, on whatever page.
    pub fn cursor(&self) -> Option<&Spot> {
        self.inspection.as_ref()?.cursor()
    }

    /// Carries out a command: what lies over the page first, then the page, then what all pages share.
    pub fn command(&mut self, command: Command, moment: &Moment) -> Vec<Effect> {
        if let Some(effects) = self.layer_command(command, moment) {
            return effects;
        }
        if let Some(effects) = self.page_command(command, moment) {
            return effects;
        }
        match command {
            Command::Quit => return vec![Effect::Quit],
            Command::Suspend => return vec![Effect::Suspend],
            Command::Help => {
                self.over.open_help();
                self.scroll = 0;
            }
            Command::Notation => return self.next_notation(),
            Command::Leave => return self.leave(),
            Command::Back => return self.back(),
            Command::Find => self.begin_search(),
            Command::PageDown => self.scroll = self.scroll.saturating_add(10),
            Command::PageUp => self.scroll = self.scroll.saturating_sub(10),
            Command::Up | Command::Down => return self.step(command == Command::Down),
            Command::Undo | Command::Redo => return self.take_back(command, moment),
            Command::Call | Command::Arrived | Command::Options | Command::Summary
                if self.is_trying() =>
            {
                self.say_trying();
            }
            Command::Questions | Command::ToQuestions => self.turn_to_questions(),
            Command::Findings => self.turn_to(Page::Findings),
            Command::Summary => self.turn_to(Page::Summary),
            Command::Call => self.turn_to_call(),
            Command::Arrived => self.turn_to_awaited(),
            Command::Options => self.turn_to_options(),
            Command::Picture => self.turn_to_pictures(),
            Command::History => self.look_back(),
            Command::Outcome => return self.turn_to_outcome(),
            Command::Rates => return self.rates_command(command).unwrap_or_default(),
            Command::Trials => return self.trials_command(command).unwrap_or_default(),
            Command::FollowUp => {
                return self.follow_up_command(command, moment).unwrap_or_default();
            }
            Command::MoveFlow | Command::EditRule => {
                return self.moving_command(command).unwrap_or_default();
            }
            Command::Days | Command::HandOver | Command::Became => return self.begin_line(command),
            Command::Try => self.begin_trial(),
            Command::KeepTrial => return self.keep_trial(moment),
            _ => {}
        }
        Vec::new()
    }

    fn next_notation(&mut self) -> Vec<Effect> {
        let all = Notation::all();
        let now = all.iter().position(|n| *n == self.notation).unwrap_or(0);
        self.notation = all.get((now + 1) % all.len()).copied().unwrap_or_default();
        // A word of the filter may be another tooth now.
        let relists = self.page == Page::Worklist && !self.listing.filter.is_empty();
        relists.then_some(Effect::List).into_iter().collect()
    }

    /// Takes the newest change back, or makes it again; where that is not seen, it is said.
    fn take_back(&mut self, command: Command, moment: &Moment) -> Vec<Effect> {
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let effects = match command {
            Command::Undo => inspection.undo(moment),
            _ => inspection.redo(moment),
        };
        if self.page != Page::Questions {
            let key = |command| self.keymap.key(command);
            self.notice = Some(match (&inspection.hand.refusal, command) {
                (Some(why), _) => self.keymap.say(why),
                (None, Command::Undo) => said::undone(key(Command::Redo)),
                (None, _) => said::redone(key(Command::Undo)),
            });
        }
        effects
    }

    fn turn_to(&mut self, page: Page) {
        self.page = page;
        self.scroll = 0;
        self.findings.marked = 0;
    }
}

/// Returns the place beside another one of so many.
fn beside(place: usize, down: bool, of: usize) -> usize {
    if down {
        place.saturating_add(1).min(of.saturating_sub(1))
    } else {
        place.min(of).saturating_sub(1)
    }
}
