//! The state machine: keys become actions, actions change the state and give effects.
//!
//! Nothing here touches the disk, the clock or the terminal. Every action brings the time and a fresh id.

pub mod agenda;
mod asked_back;
mod benches;
pub mod call;
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

pub use benches::NotSaved;
pub use command::{Command, Context};
pub use effect::{Effect, Moment};
pub use find::{Hit, NINE, Search, Target};
pub use inspection::{Doubted, Inspection, Moving, TURN, Takes, Ways};
pub use keymap::Keymap;
pub use layers::{Layer, Layers};
pub use pages::follow_up::State as FollowUpState;
pub use pages::history::Past;
pub use pages::outcome::{MayBe, State as OutcomeState};
pub use pages::rates::Rated;
pub use pages::worklist::{Listing, WINDOW};
pub use taps::Taps;
pub use tour::Tour;

/// The page that is shown.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Page {
    /// The list of cases.
    Worklist,
    /// The questions of a step.
    Questions,
    /// The findings.
    Findings,
    /// Summary and call sheet.
    Summary,
    /// The call with the dentist.
    Call,
    /// The options.
    Options,
    /// The pictures of the case.
    Picture,
    /// What was entered before.
    History,
    /// What became of a delivered restoration.
    Outcome,
    /// What came back, over the whole record.
    Rates,
    /// What is due of one dentist.
    FollowUp,
    /// What a move to another version of the flow changes.
    MoveFlow,
}

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
    pub call: call::CallState,
    /// The page of options.
    pub options: pages::options::State,
    /// The page of pictures.
    pub picture: pages::pictures::State,
    /// The page of outcomes.
    pub outcome: pages::outcome::State,
    /// The page of what came back.
    pub rates: pages::rates::State,
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
            call: call::CallState::default(),
            options: pages::options::State::default(),
            picture: pages::pictures::State::default(),
            outcome: pages::outcome::State::default(),
            rates: pages::rates::State::default(),
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
        self.call = call::CallState::default();
        self.go_on_from_list();
    }

    /// Returns what keys mean now.
    pub fn context(&self) -> Context {
        match self.over.top() {
            Some(Layer::Find(_)) => Context::Find,
            Some(Layer::Help) => Context::Help,
            Some(Layer::Line((Prompt::Filter, _))) => Context::Filter,
            Some(Layer::Line(_)) => Context::Prompt,
            None => self.context_of_page(),
        }
    }

    /// Returns what keys mean on the page itself, without help or a line over it.
    fn context_of_page(&self) -> Context {
        match self.page {
            Page::Worklist => Context::Worklist,
            Page::Questions => Context::Questions,
            Page::Findings => Context::Findings,
            Page::Summary => Context::Summary,
            Page::Call if self.call.open.is_some() => Context::Answer,
            Page::Call => Context::Call,
            Page::Options => Context::Options,
            Page::Picture => Context::Picture,
            Page::History => Context::History,
            Page::Outcome => Context::Outcome,
            Page::Rates => Context::Rates,
            Page::FollowUp => Context::FollowUp,
            Page::MoveFlow => Context::MoveFlow,
        }
    }

    /// Handles a key by its name: a character, or a name such as `enter`.
    pub fn key(&mut self, key: &str, moment: &Moment) -> Vec<Effect> {
        let mut effects = self.take_key(key, moment);
        self.keep_record(&mut effects, moment);
        self.go_on_with_tour(&effects);
        effects
    }

    fn take_key(&mut self, key: &str, moment: &Moment) -> Vec<Effect> {
        self.notice = None;
        self.then = None;
        self.today = Some(moment.today);
        if let Some(effects) = self.was_no_band(key, moment) {
            return effects;
        }
        if let Some(effects) = self
            .tapped(key, moment)
            .or_else(|| self.picked(key, moment))
        {
            return effects;
        }
        self.forget_refusal();
        let context = self.context();
        let single = {
            let mut chars = key.chars();
            chars.next().filter(|_| chars.next().is_none())
        };
        if self.insists(key) {
            return self.command(Command::Insist, moment);
        }
        if let Some(command) = self.takes_side(key) {
            return self.command(command, moment);
        }
        if let Some(c) = single {
            if matches!(context, Context::Call | Context::Answer) && c.is_ascii_digit() {
                return self.call_digit(c, moment);
            }
            if context == Context::Outcome && c.is_ascii_digit() {
                return self.outcome_digit(c, moment);
            }
            if context == Context::FollowUp && c.is_ascii_digit() {
                self.follow_up_digit(c);
                return Vec::new();
            }
            let typed = match context {
                Context::Prompt | Context::Filter => true,
                Context::Find => {
                    self.find_char(c);
                    return Vec::new();
                }
                _ => self.types(c),
            };
            if typed {
                return self.type_char(c, moment);
            }
        }
        match self.keymap.lookup(context, key) {
            Some(command) => self.command(command, moment),
            None if key == "space" && context == Context::Find => {
                self.find_char(' ');
                Vec::new()
            }
            None if key == "space"
                && (matches!(context, Context::Prompt | Context::Filter) || self.types(' ')) =>
            {
                self.type_char(' ', moment)
            }
            None => Vec::new(),
        }
    }

    /// Carries out a command as its key would; does nothing if the command does not work in the present context.
    pub fn press(&mut self, command: Command, moment: &Moment) -> Vec<Effect> {
        self.notice = None;
        self.then = None;
        self.today = Some(moment.today);
        self.forget_refusal();
        let insists = command == Command::Insist && self.is_asked_back();
        let mut effects = if insists || command::works(self.context(), command) {
            self.command(command, moment)
        } else {
            Vec::new()
        };
        self.keep_record(&mut effects, moment);
        effects
    }

    /// Forgets why the key before was refused: said over what this one does, it would be read as its refusal.
    fn forget_refusal(&mut self) {
        if let Some(inspection) = &mut self.inspection {
            inspection.refusal = None;
        }
    }

    fn type_char(&mut self, c: char, moment: &Moment) -> Vec<Effect> {
        if matches!(self.over.line(), Some((Prompt::Filter, _))) {
            return self.type_filter(c.encode_utf8(&mut [0; 4]));
        }
        if let Some((prompt, line)) = self.over.line_mut() {
            if !matches!(prompt, Prompt::Sure(..)) && !c.is_control() && line.chars().count() < 200
            {
                line.push(c);
            }
            return Vec::new();
        }
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let effects = inspection.type_char(c, moment);
        self.after_answer();
        effects
    }

    /// Turns to the summary if no question is left.
    fn after_answer(&mut self) {
        if let Some(spot) = self.inspection.as_mut().and_then(Inspection::take_back_to) {
            self.notice = self.gone_back(&spot);
        }
        if self.page == Page::Questions
            && self.inspection.as_ref().is_some_and(|i| i.cursor.is_none())
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

    /// Carries out a command.
    pub fn command(&mut self, command: Command, moment: &Moment) -> Vec<Effect> {
        if let Some(effects) = self.follow_up_command(command, moment) {
            return effects;
        }
        if let Some(effects) = self.worklist_command(command) {
            return effects;
        }
        if let Some(effects) = self.call_command(command, moment) {
            return effects;
        }
        if let Some(effects) = self.outcome_command(command, moment) {
            return effects;
        }
        let beside = self.rates_command(command);
        if let Some(effects) = beside.or_else(|| self.moving_command(command)) {
            return effects;
        }
        match command {
            Command::Quit => return vec![Effect::Quit],
            Command::Suspend => return vec![Effect::Suspend],
            Command::Help => {
                self.over.open_help();
                self.scroll = 0;
                return Vec::new();
            }
            Command::Notation => {
                let all = Notation::all();
                let now = all.iter().position(|n| *n == self.notation).unwrap_or(0);
                self.notation = all.get((now + 1) % all.len()).copied().unwrap_or_default();
                // A word of the filter may be another tooth now.
                let relists = self.page == Page::Worklist && !self.listing.filter.is_empty();
                return relists.then_some(Effect::List).into_iter().collect();
            }
            Command::Leave => return self.leave(),
            Command::Back => return self.back(),
            Command::Accept => return self.accept(moment),
            Command::Find => self.begin_search(),
            Command::GoThere => return self.go_there(moment),
            Command::NextHits => self.turn_hits(true),
            Command::PreviousHits => self.turn_hits(false),
            Command::EraseLine if self.over.find().is_some() => self.erase_search(),
            Command::EraseLine if matches!(self.over.line(), Some((Prompt::Filter, _))) => {
                return self.erase_filter();
            }
            Command::EraseLine => {
                if let Some((_, line)) = self.over.line_mut() {
                    line.pop();
                }
                return Vec::new();
            }
            Command::PageDown => self.scroll = self.scroll.saturating_add(10),
            Command::PageUp => self.scroll = self.scroll.saturating_sub(10),
            Command::Call
            | Command::Arrived
            | Command::Options
            | Command::Summary
            | Command::EditUnits
            | Command::Print
                if self.is_trying() =>
            {
                self.say_trying();
            }
            Command::Findings => self.turn_to(Page::Findings),
            Command::Summary => self.turn_to(Page::Summary),
            Command::Call => self.turn_to_call(),
            Command::Options => self.turn_to_options(),
            Command::Picture => self.turn_to_pictures(),
            Command::NextPicture | Command::PreviousPicture => {
                self.turn_picture(command == Command::NextPicture);
            }
            Command::Detail => self.show_in_full(!self.options.full),
            Command::Arrived => self.turn_to_awaited(),
            Command::Days | Command::HandOver | Command::Became => return self.begin_line(command),
            Command::History => self.look_back(),
            Command::Try => self.begin_trial(),
            Command::KeepTrial => return self.keep_trial(moment),
            Command::Questions | Command::ToQuestions => self.show_questions(),
            Command::Print => return vec![Effect::Print],
            Command::TakeFirst => return self.take_side(true, moment),
            Command::TakeSecond => return self.take_side(false, moment),
            Command::EditUnits => {
                if let Some(inspection) = &self.inspection {
                    let line = units_line::write(&inspection.case.units, self.notation);
                    self.over.ask((Prompt::Units, line));
                }
            }
            Command::Up | Command::Down if self.over.find().is_some() => {
                self.mark_hit(command == Command::Down);
            }
            Command::Up | Command::Down if self.page != Page::Questions || self.over.helps() => {
                self.scroll_by(command == Command::Down);
            }
            other => return self.inspect(other, moment),
        }
        Vec::new()
    }

    fn scroll_by(&mut self, down: bool) {
        match self.page {
            _ if self.over.helps() => self.scroll = beside(self.scroll, down, usize::MAX),
            Page::Findings => self.mark_finding(down),
            Page::Call if self.call.open.is_some() => self.mark_answer(down),
            Page::Call => self.mark_call(down),
            Page::Options if !self.options.full => self.mark_option(down),
            _ => self.scroll = beside(self.scroll, down, usize::MAX),
        }
    }

    /// Commands of the questions page and those that change the case.
    fn inspect(&mut self, command: Command, moment: &Moment) -> Vec<Effect> {
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let mut effects = Vec::new();
        match command {
            Command::Confirm => effects = inspection.confirm(moment),
            Command::Insist => effects = inspection.insist(moment),
            Command::NotSeen => effects = inspection.not_seen(moment),
            Command::Same => effects = inspection.same(moment),
            Command::Erase => inspection.erase(),
            Command::Clear => effects = inspection.clear(moment),
            Command::NextCell => inspection.go_beside(true),
            Command::PreviousCell => inspection.go_beside(false),
            Command::Up => inspection.go_vertical(false),
            Command::Down => inspection.go_vertical(true),
            Command::Left => inspection.go_horizontal(false),
            Command::Right => inspection.go_horizontal(true),
            Command::NextStep => {
                let found = inspection.go_step(true);
                if !found {
                    self.turn_to(Page::Summary);
                }
            }
            Command::PreviousStep => {
                inspection.go_step(false);
            }
            Command::Undo | Command::Redo => {
                effects = if command == Command::Undo {
                    inspection.undo(moment)
                } else {
                    inspection.redo(moment)
                };
                if self.page != Page::Questions {
                    let key = |command| self.keymap.key(command);
                    self.notice = Some(match (&inspection.refusal, command) {
                        (Some(why), _) => self.keymap.say(why),
                        (None, Command::Undo) => said::undone(key(Command::Redo)),
                        (None, _) => said::redone(key(Command::Undo)),
                    });
                }
            }
            Command::WallByWall => effects = inspection.wall_by_wall(moment),
            Command::Instrument => inspection.next_instrument(),
            _ => {}
        }
        if matches!(
            command,
            Command::Confirm | Command::Insist | Command::NotSeen | Command::Same
        ) {
            self.after_answer();
        }
        effects
    }

    fn turn_to(&mut self, page: Page) {
        self.page = page;
        self.scroll = 0;
        self.findings.marked = 0;
    }

    fn show_questions(&mut self) {
        if let Some(inspection) = &mut self.inspection {
            inspection.come_back();
        }
        self.turn_to(Page::Questions);
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
