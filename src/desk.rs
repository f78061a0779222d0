//! Performs effects: saves answers, opens cases, fills the worklist, writes prints.
//!
//! An answer is in the archive before the next frame is drawn. If that fails, the answer stays in memory, the screen
//! says so, and it is tried again; nothing is dropped.
//! The inspection judges at once, in well under a millisecond. How sure the judgement is, and which options there are,
//! takes longer and is worked out in threads; the page goes on meanwhile.

mod aside;
mod benches;
mod checked;
mod editing;
mod filling;
mod importing;
mod instructions;
mod learning;
mod listing;
mod printing;
mod rating;
mod replaying;
mod returned;
mod saving;
mod trying;
mod workers;

use std::path::PathBuf;
use std::sync::Arc;

use jiff::tz::TimeZone;
use uuid::Uuid;

use crate::archive::Archive;
use crate::case::journal::{Body, Entry, FoldError, fold};
use crate::case::{Case, FlowRef, Units};
use crate::error::{Error, Trouble, usable};
use crate::fact::Spot;
use crate::files::write_whole;
use crate::flow::{Flow, Loaded};
use crate::phrase::practice::model;
use crate::phrase::prompts::desk as prompts;
use crate::phrase::prompts::number_taken;
use crate::practice::record::Act as Practised;
use crate::print::Laboratory;
use crate::ronfile::Source;
use crate::session::{Act, Effect, Inspection, Moment, Prompt, Session};
use crate::tooth::Notation;
use aside::Held;
use listing::Filling;
use workers::Worker;

pub use checked::Checked;
pub use filling::{Filled, Flows, row_of};
pub use learning::lots;
pub use listing::{Found, asked, fill_all, freshness, listed};
pub use replaying::{Found as FoundCase, Walked, both, sliced, walk};
pub use trying::{Record, tried};
pub use workers::{Tried, Weighed};

/// What the loop does next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Next {
    /// Draw and wait.
    Go,
    /// Put the program into the background, then go on.
    Suspend,
    /// Open a file of the flow in an editor, then go on: see [`Desk::editing`].
    Edit,
    /// Leave.
    Quit,
}

/// The session, and what it acts on: archive, prints and worker threads.
pub struct Desk {
    /// The state of the screen.
    pub session: Session,
    archive: Archive,
    flow: Arc<Flow>,
    /// Every flow that a case was judged by so far, each parsed once.
    flows: Arc<Flows>,
    filling: Filling,
    sources: Vec<Source>,
    session_id: Uuid,
    who: Option<String>,
    prints: PathBuf,
    laboratory: Laboratory,
    /// Answers that the archive would not take. A full disk must neither lose an answer nor stop the inspection: the
    /// screen says NOT SAVED until they are kept, and leaving asks once.
    unsaved: Vec<(String, Entry)>,
    /// Where the answers of this session are since the archive is gone, in a sentence.
    gone: Option<String>,
    /// How many answers waited when these files were written.
    aside: usize,
    /// Why answers wait, in a sentence.
    why: String,
    /// Which file the archive is.
    file: Option<(u64, u64)>,
    held: Held,
    /// What the archive said when it was last asked for news.
    revision: Option<u64>,
    /// When the present key or tick came.
    now: Option<Moment>,
    /// Whether there are ticks, which try again to save.
    ticks: bool,
    remembers: Option<PathBuf>,
    weighs: Worker,
    tries: Worker,
    rates: rating::Rater,
    late: bool,
    failed: bool,
    /// Where the flow's files are, if it is one's own and may be edited.
    own_flow: Option<PathBuf>,
    editing: Option<editing::Editing>,
    /// Whether the key of a practice model may be looked at.
    shows_keys: bool,
}

/// What a desk is set up with.
pub struct Setup {
    /// The archive.
    pub archive: Archive,
    /// The flow for new cases, with its files.
    pub loaded: Loaded,
    /// The notation to begin with.
    pub notation: Notation,
    /// The code of the person at the bench.
    pub who: Option<String>,
    /// An id for this session.
    pub session_id: Uuid,
    /// The directory that prints go to.
    pub prints: PathBuf,
}

impl Desk {
    /// Sets a desk up. No case is read: [`Desk::show_worklist`] lists them.
    ///
    /// # Errors
    /// The flow has problems.
    pub fn new(setup: Setup) -> Result<Desk, Error> {
        let (mut flow, sources) = usable(setup.loaded)?;
        flow.hands = filling::hands(&setup.archive);
        let flow = Arc::new(flow);
        let file = saving::identity(setup.archive.path());
        let mut desk = Desk {
            session: Session::new(setup.notation),
            archive: setup.archive,
            flows: Arc::new(Flows::new(flow.clone())),
            filling: Filling::default(),
            flow,
            sources,
            session_id: setup.session_id,
            who: setup.who,
            prints: setup.prints,
            laboratory: Laboratory::default(),
            unsaved: Vec::new(),
            gone: None,
            aside: 0,
            why: String::new(),
            file,
            held: Held::default(),
            revision: None,
            now: None,
            ticks: false,
            remembers: None,
            weighs: Worker::default(),
            tries: Worker::default(),
            rates: rating::Rater::default(),
            late: false,
            failed: false,
            own_flow: None,
            editing: None,
            shows_keys: false,
        };
        desk.session.zone = TimeZone::system();
        desk.session.who.clone_from(&desk.who);
        desk.filling.revision = desk.archive.revision().unwrap_or_default();
        if let Err(error) = desk.fill_instructions() {
            // Without them more is asked, never less.
            desk.session.notice = Some(said(&error));
        }
        Ok(desk)
    }

    /// Sets the chosen notation: from the settings, or from a file beside the archive. What is chosen during the session is
    /// written to that file.
    pub fn choose_by(&mut self, file: PathBuf, setting: Option<Notation>) {
        let remembered = std::fs::read_to_string(&file).ok();
        let remembered = remembered.and_then(|text| {
            let mut all = Notation::all().into_iter();
            all.find(|notation| notation.name() == text.trim())
        });
        self.session.chosen_notation = setting.or(remembered);
        self.remembers = Some(file);
    }

    /// Sets the laboratory that prints are for, and their folder if it names one.
    pub fn prints_for(&mut self, laboratory: Laboratory, folder: Option<PathBuf>) {
        self.laboratory = laboratory;
        if let Some(folder) = folder {
            self.prints = folder;
        }
    }

    /// Handles a key by its name.
    pub fn key(&mut self, key: &str, moment: &Moment) -> Next {
        self.list_before(key == "space" || key == "backspace" || key.chars().count() == 1);
        let effects = self.session.key(key, moment);
        self.perform(effects, moment)
    }

    /// Handles pasted text.
    pub fn paste(&mut self, text: &str, moment: &Moment) -> Next {
        let effects = self.session.paste(text, moment);
        self.perform(effects, moment)
    }

    /// Carries out an act as its key would be; does nothing where nothing takes it.
    pub fn act(&mut self, act: Act, moment: &Moment) -> Next {
        self.list_before(matches!(act, Act::Type(_) | Act::Put(_) | Act::Enter(_)));
        let effects = self.session.act(act, moment);
        self.perform(effects, moment)
    }

    /// Returns whether something that the last key asked for failed, such as a print. Answers that could not be saved do not
    /// count: they wait in memory.
    pub fn has_failed(&self) -> bool {
        self.failed
    }

    /// Carries out effects for the command line.
    ///
    /// # Errors
    /// The archive cannot be written to.
    pub fn carry_out(&mut self, effects: Vec<Effect>, moment: &Moment) -> Result<(), Error> {
        self.perform(effects, moment);
        self.flush().map_err(Error::from)
    }

    fn perform(&mut self, effects: Vec<Effect>, moment: &Moment) -> Next {
        let mut next = Next::Go;
        self.now = Some(*moment);
        self.failed = false;
        for effect in effects {
            let done = match effect {
                Effect::Append { number, entries } => {
                    self.held.write(&number);
                    self.unsaved
                        .extend(entries.into_iter().map(|entry| (number.clone(), entry)));
                    Ok(())
                }
                Effect::Open { number } => self.open(&number),
                Effect::Create { number, units } => self.create(&number, units, moment),
                Effect::Choose(notation) => {
                    // Where it cannot be written down, it is asked again another day.
                    let file = self.remembers.as_ref();
                    let _ = file.map(|file| write_whole(file, &format!("{}\n", notation.name())));
                    Ok(())
                }
                Effect::LookUp { number } => self.look_up(&number),
                // What was entered before the list came back stands in it.
                Effect::List => self
                    .flush()
                    .map_err(Error::from)
                    .and_then(|()| self.show_worklist()),
                Effect::CameBack { number, outcome } => self.came_back(&number, outcome, moment),
                Effect::Agree(instruction) => self.agree(instruction, moment),
                Effect::Rate(asked) => {
                    self.rate(*asked);
                    Ok(())
                }
                Effect::Try(put) => {
                    self.try_rules(*put);
                    Ok(())
                }
                Effect::Sweep(moved) => {
                    self.sweep(*moved);
                    Ok(())
                }
                Effect::StopReading => {
                    self.stop_reading();
                    Ok(())
                }
                Effect::PrintTrials(document) => self.print_document(printing::RULES, &document),
                Effect::PrintRates(document) => self.print_document(printing::RETURNS, &document),
                Effect::FollowUp(today) => {
                    self.look_for_due(today);
                    Ok(())
                }
                Effect::LookAtFlow => {
                    self.session.look_at_flow(&self.flow);
                    Ok(())
                }
                Effect::MoveFlow => self.move_flow(moment),
                Effect::Followed(told) => self.followed(told, moment),
                Effect::PrintFollowUp(document) => {
                    self.print_document(printing::FOLLOW_UP, &document)
                }
                Effect::Print => self.print(moment),
                Effect::PrintCases(numbers) => self.print_cases(&numbers, moment),
                Effect::Suspend => {
                    next = Next::Suspend;
                    Ok(())
                }
                Effect::EditRule(rule) => self.edit_rule(&rule).map(|()| next = Next::Edit),
                Effect::Quit => {
                    next = Next::Quit;
                    Ok(())
                }
            };
            if let Err(error) = done {
                self.failed = true;
                self.session.notice = Some(said(&error));
            }
        }
        self.look_back();
        if !self.save_now() && next == Next::Quit && !self.leaves_unsaved() {
            next = Next::Go;
        }
        if !self.late {
            self.weigh();
            self.try_ways();
        }
        next
    }

    /// Reads a case.
    fn inspection_of(&mut self, number: &str) -> Result<Inspection, Error> {
        let journal = self.with_waiting(number)?;
        let unreadable =
            |error: &FoldError| Error::new(Trouble::Data, prompts::unreadable_case(number, error));
        let case = fold(&journal).map_err(|error| unreadable(&error))?;
        let flow = self.flow_of(&case.flow)?;
        Inspection::of_journal(flow, journal, self.session_id, self.who.clone())
            .map_err(|error| unreadable(&error))
    }

    /// Opens a case and shows it.
    ///
    /// # Errors
    /// There is no such case, its journal or flow cannot be read, or it is the key of a practice model and not to be seen.
    pub fn open(&mut self, number: &str) -> Result<(), Error> {
        if !self.shows_keys && self.is_key(number) {
            return Err(Error::new(Trouble::Usage, model::SUPERVISOR_ONLY)
                .hint(model::SUPERVISOR_ONLY_HINT));
        }
        let mut inspection = self.inspection_of(number)?;
        let last = last_answer(inspection.journal()).cloned();
        inspection.go_on_after(last.as_ref());
        inspection.go_to_dispute();
        inspection.earlier = returned::earlier(&self.archive, inspection.case());
        self.session.show(inspection);
        self.mend_row(number);
        self.revision = None;
        // The same case opened anew knows nothing of what was worked out for it before.
        self.weighs.forget();
        self.tries.forget();
        // Nobody waits for it before the first frame: without a thread the first key weighs, or the thread once it is there.
        if self.weighs.has_thread() {
            self.weigh();
        }
        Ok(())
    }

    /// Lets the keys of practice models be looked at, from now on.
    pub fn show_keys(&mut self) {
        self.shows_keys = true;
    }

    /// Whether a case is a pass of the key of a practice model. Where the practice cannot be read, no case is kept closed for it.
    fn is_key(&self, number: &str) -> bool {
        // What stands in the worklist is no practice: the rows of the practice are read for few cases alone.
        if let Ok(Some(_)) = self.archive.row_of(number, &self.now()) {
            return false;
        }
        let rows = self.archive.practice().unwrap_or_default().into_iter();
        rows.filter(|row| row.case.as_deref() == Some(number))
            .any(|row| matches!(serde_json::from_value(row.act), Ok(Practised::Key { .. })))
    }

    /// Returns the flow of new cases.
    pub fn flow(&self) -> &Arc<Flow> {
        &self.flow
    }

    fn flow_of(&self, wanted: &FlowRef) -> Result<Arc<Flow>, Error> {
        self.flows.of(&self.archive, wanted)
    }

    /// Returns whether the archive has a case with this number.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn has(&self, number: &str) -> Result<bool, Error> {
        Ok(self.archive.end_of(number)?.is_some())
    }

    /// Asks for another number where there is a case with this one. What is here of the worklist need not be all of it.
    fn look_up(&mut self, number: &str) -> Result<(), Error> {
        if self.has(number)? {
            self.session.over.ask((Prompt::Number, number.to_owned()));
            self.session.notice = Some(number_taken(number));
        }
        Ok(())
    }

    /// Makes a new case and shows it.
    ///
    /// # Errors
    /// The number is taken, or the archive cannot be written to.
    pub fn create(&mut self, number: &str, units: Units, moment: &Moment) -> Result<(), Error> {
        let case = Case::new(number, FlowRef::default(), units);
        self.bring_in(&case, moment, &mut Uuid::new_v4)?;
        self.open(number)?;
        self.held.write(number);
        Ok(())
    }
}

/// Returns where the last answer was given, so that the inspection goes on after it.
///
/// Answers that were imported with the case say nothing about where the work was.
fn last_answer(journal: &[Entry]) -> Option<&Spot> {
    let opened = journal.first()?.when;
    let newest = journal.iter().rev().find(|entry| {
        let answer = matches!(entry.body, Body::Answer { .. }) && entry.when != opened;
        answer || matches!(entry.body, Body::Arrived { .. })
    })?;
    match &newest.body {
        Body::Answer { spot, .. } => Some(spot),
        // What has arrived is inspected from its beginning.
        _ => None,
    }
}

fn said(error: &Error) -> String {
    let hint = error.hints.first().map(String::as_str);
    prompts::with_hint(&error.sentence, hint)
}
