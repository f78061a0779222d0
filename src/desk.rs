//! Performs effects: saves answers, opens cases, fills the worklist, writes prints.
//!
//! An answer is in the archive before the next frame is drawn. If that fails, the answer stays in memory, the screen
//! says so, and the next key tries again; nothing is dropped.
//! The inspection judges at once, in well under a millisecond. How sure the judgement is, and which options there are,
//! takes longer and is worked out in threads; the page goes on meanwhile.

mod importing;
mod instructions;
mod workers;

use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use jiff::tz::TimeZone;
use uuid::Uuid;

use crate::archive::{Archive, ArchiveError};
use crate::case::journal::{Body, Entry, fold};
use crate::case::{Case, FlowRef, Units};
use crate::derive::{Facts, Precision, Turn};
use crate::error::{Error, Trouble};
use crate::fact::{Place, Spot};
use crate::flow::{Flow, Loaded, load};
use crate::judge::doubt::doubt;
use crate::judge::judge;
use crate::phrase::Phrase;
use crate::phrase::prompts::desk as prompts;
use crate::print::{Beside, Format, Imprint, Laboratory, Sheet, Told, print};
use crate::ronfile::{Diagnostic, Source};
use crate::session::{Command, Effect, Inspection, Moment, Session, WorkItem};
use crate::state::{CaseState, expected};
use crate::tooth::Notation;
use workers::Worker;

pub use workers::{Tried, Weighed};

/// What the loop does next.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Next {
    /// Draw and wait.
    Go,
    /// Put the program into the background, then go on.
    Suspend,
    /// Leave.
    Quit,
}

/// The session, and what it acts on: archive, prints and worker threads.
pub struct Desk {
    /// The state of the screen.
    pub session: Session,
    archive: Archive,
    flow: Arc<Flow>,
    sources: Vec<Source>,
    session_id: Uuid,
    who: Option<String>,
    prints: PathBuf,
    laboratory: Laboratory,
    /// Answers that the archive would not take. A full disk must neither lose an answer nor stop the inspection: the
    /// screen says NOT SAVED until they are kept, and leaving asks once.
    unsaved: Vec<(String, Entry)>,
    remembers: Option<PathBuf>,
    weighs: Worker,
    tries: Worker,
    late: bool,
    failed: bool,
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
    /// Sets a desk up and fills the worklist.
    ///
    /// # Errors
    /// The flow has problems, or the archive cannot be read.
    pub fn new(setup: Setup) -> Result<Desk, Error> {
        let (flow, sources) = usable(setup.loaded)?;
        let mut desk = Desk {
            session: Session::new(setup.notation),
            archive: setup.archive,
            flow: Arc::new(flow),
            sources,
            session_id: setup.session_id,
            who: setup.who,
            prints: setup.prints,
            laboratory: Laboratory::default(),
            unsaved: Vec::new(),
            remembers: None,
            weighs: Worker::default(),
            tries: Worker::default(),
            late: false,
            failed: false,
        };
        desk.fill_worklist()?;
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
        let effects = self.session.key(key, moment);
        self.perform(effects, moment)
    }

    /// Handles pasted text.
    pub fn paste(&mut self, text: &str, moment: &Moment) -> Next {
        let effects = self.session.paste(text, moment);
        self.perform(effects, moment)
    }

    /// Carries out a command as its key would; does nothing if the command does not work in the present context.
    pub fn command(&mut self, command: Command, moment: &Moment) -> Next {
        let effects = self.session.press(command, moment);
        self.perform(effects, moment)
    }

    /// Returns whether something that the last key asked for failed, such as a print. Answers that could not be saved do not
    /// count: they wait in memory.
    pub fn has_failed(&self) -> bool {
        self.failed
    }

    /// Returns whether answers wait in memory because the archive could not be written to.
    pub fn has_unsaved(&self) -> bool {
        !self.unsaved.is_empty()
    }

    /// Tries again to save the answers that wait in memory.
    ///
    /// # Errors
    /// The archive still cannot be written to.
    pub fn save(&mut self) -> Result<(), Error> {
        self.flush().map_err(Error::from)
    }

    /// Carries out effects for the command line.
    ///
    /// # Errors
    /// The archive cannot be written to.
    pub fn carry_out(&mut self, effects: Vec<Effect>, moment: &Moment) -> Result<(), Error> {
        self.perform(effects, moment);
        if self.has_unsaved() {
            self.save()
        } else {
            Ok(())
        }
    }

    fn perform(&mut self, effects: Vec<Effect>, moment: &Moment) -> Next {
        let mut next = Next::Go;
        self.failed = false;
        for effect in effects {
            let done = match effect {
                Effect::Append { number, entries } => {
                    self.unsaved
                        .extend(entries.into_iter().map(|entry| (number.clone(), entry)));
                    Ok(())
                }
                Effect::Open { number } => self.open(&number),
                Effect::Create { number, units } => self.create(&number, units, moment),
                Effect::Choose(notation) => {
                    // Where it cannot be written down, it is asked again another day.
                    let file = self.remembers.as_ref();
                    let _ = file.map(|file| write_file(file, &format!("{}\n", notation.name())));
                    Ok(())
                }
                Effect::List => self.fill_worklist(),
                Effect::Agree(instruction) => self.agree(instruction, moment),
                Effect::Print => self.print(moment),
                Effect::Suspend => {
                    next = Next::Suspend;
                    Ok(())
                }
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
        if let Err(error) = self.flush() {
            let error = Error::from(error);
            self.session.notice = Some(prompts::not_saved(&said(&error)));
            if next == Next::Quit && !self.leaves_unsaved() {
                next = Next::Go;
            }
        }
        if !self.late {
            self.weigh();
            self.try_ways();
        }
        next
    }

    /// Returns whether to leave with unsaved answers: not the first time, but the second.
    fn leaves_unsaved(&mut self) -> bool {
        let asked = self.session.leaving_unsaved;
        self.session.leaving_unsaved = true;
        asked
    }

    fn flush(&mut self) -> Result<(), ArchiveError> {
        while let Some((number, entry)) = self.unsaved.first().cloned() {
            match self.archive.append(&number, std::slice::from_ref(&entry)) {
                Ok(_) => {
                    self.unsaved.remove(0);
                }
                Err(ArchiveError::Moved { .. }) => self.catch_up(&number)?,
                Err(error) => return Err(error),
            }
        }
        self.session.leaving_unsaved = false;
        Ok(())
    }

    /// Reads the entries that somebody else wrote to the case meanwhile, and appends ours after them.
    fn catch_up(&mut self, number: &str) -> Result<(), ArchiveError> {
        let journal = self.archive.journal(number)?;
        let mut seen = journal.len() as u64;
        let mut mine = Vec::new();
        for (own, entry) in &mut self.unsaved {
            if own == number && !journal.iter().any(|kept| kept.id == entry.id) {
                entry.seen = seen;
                seen += 1;
                mine.push(entry.clone());
            }
        }
        self.unsaved.retain(|(own, entry)| {
            own != number || !journal.iter().any(|kept| kept.id == entry.id)
        });
        let Some(open) = self
            .session
            .real()
            .filter(|open| open.case().number == number)
        else {
            return Ok(());
        };
        if let Ok(case) = fold(journal.iter().chain(&mine)) {
            let mut newest = journal.iter().rev();
            let other = newest.find(|entry| entry.session != self.session_id);
            let other = other.and_then(|entry| entry.who.as_deref());
            let (flow, who) = (open.flow().clone(), self.who.clone());
            let mut inspection = Inspection::new(flow, case, seen, self.session_id, who);
            inspection.go_on_as(open);
            self.weighs.forget();
            self.tries.forget();
            self.session.untried = None;
            self.session.inspection = Some(inspection);
            self.session.notice = Some(prompts::changed_by(other));
        }
        Ok(())
    }

    /// Opens a case and shows it.
    ///
    /// # Errors
    /// There is no such case, or its journal or flow cannot be read.
    pub fn open(&mut self, number: &str) -> Result<(), Error> {
        let journal = self.archive.journal(number)?;
        let case = fold(&journal)
            .map_err(|error| Error::new(Trouble::Data, prompts::unreadable_case(number, &error)))?;
        let flow = self.flow_of(&case.flow)?;
        let mut inspection = Inspection::new(
            flow,
            case,
            journal.len() as u64,
            self.session_id,
            self.who.clone(),
        );
        inspection.go_on_after(last_answer(&journal));
        self.session.show(inspection);
        // The same case opened anew knows nothing of what was worked out for it before.
        self.weighs.forget();
        self.tries.forget();
        // Nobody waits for it before the first frame: without a thread the first key weighs, or the thread once it is there.
        if self.weighs.has_thread() {
            self.weigh();
        }
        Ok(())
    }

    /// Returns the flow that a case is judged by: its own, as it was when the case was opened.
    ///
    /// # Errors
    /// The archive does not have it, or its files have problems.
    fn flow_of(&self, wanted: &FlowRef) -> Result<Arc<Flow>, Error> {
        if wanted.digest == self.flow.digest {
            return Ok(self.flow.clone());
        }
        let Some(files) = self.archive.flow(&wanted.digest)? else {
            return Err(Error::new(
                Trouble::Data,
                prompts::flow_not_archived(&wanted.id, wanted.version),
            ));
        };
        let loaded = load(
            files
                .into_iter()
                .map(|(name, text)| Source::new(name, text))
                .collect(),
        );
        Ok(Arc::new(usable(loaded)?.0))
    }

    /// Makes a new case and shows it.
    ///
    /// # Errors
    /// The number is taken, or the archive cannot be written to.
    pub fn create(&mut self, number: &str, units: Units, moment: &Moment) -> Result<(), Error> {
        let case = Case::new(number, FlowRef::default(), units);
        self.bring_in(&case, moment, &mut Uuid::new_v4)?;
        self.open(number)
    }

    fn fill_worklist(&mut self) -> Result<(), Error> {
        let instructions = self.session.standing();
        let mut items = Vec::new();
        for row in self.archive.cases()? {
            let journal = self.archive.journal(&row.number);
            let case = journal.ok().and_then(|journal| fold(&journal).ok());
            let judged = case.and_then(|case| {
                let flow = self.flow_of(&case.flow).ok()?;
                let facts = Facts::with(&flow, &case, Precision::Quick);
                let left = flow
                    .questions
                    .iter()
                    .flat_map(|q| {
                        case.units
                            .within(Place::Case, q.at)
                            .into_iter()
                            .map(move |at| (q, at))
                    })
                    .filter(|(q, at)| {
                        facts.turn(&q.fact, *at) == Turn::Up && case.value(&q.fact, *at).is_none()
                    })
                    .count();
                let judgement = judge(&flow, &facts);
                let phrase = Phrase {
                    flow: &flow,
                    notation: self.session.notation,
                };
                let state = CaseState::of(&facts, &judgement, phrase, &instructions);
                let not_covered = facts.not_covered().len();
                let expected = expected(&flow, &facts).map(|judged| judged.verdict);
                drop(facts);
                let outlook = (state, expected);
                Some((case.units, judgement.verdict, outlook, not_covered, left))
            });
            let (units, verdict, outlook, not_covered, left) = match judged {
                Some((units, verdict, outlook, other, left)) => {
                    (Some(units), Some(verdict), Some(outlook), other, left)
                }
                None => (None, None, None, 0, 0),
            };
            let (state, expected) = outlook.unzip();
            items.push(WorkItem {
                number: row.number,
                units,
                verdict,
                state,
                expected: expected.flatten(),
                not_covered,
                left,
                last: row.last,
            });
        }
        self.session.list(items);
        Ok(())
    }

    fn print(&mut self, moment: &Moment) -> Result<(), Error> {
        let Some(inspection) = &self.session.inspection else {
            return Ok(());
        };
        let facts = Facts::of(inspection.flow(), inspection.case());
        let phrase = Phrase {
            flow: inspection.flow(),
            notation: self.session.notation,
        };
        let instructions = self.session.standing();
        // A print waits for it; the screen does not.
        let doubt = doubt(
            inspection.flow(),
            inspection.case(),
            &facts,
            inspection.judgement(),
        );
        let told = Told {
            facts: &facts,
            judgement: inspection.judgement(),
            doubt: Some(&doubt),
            phrase,
            beside: Beside {
                instructions: &instructions,
                ways: inspection.ways.as_ref().map(|ways| ways.singles.as_slice()),
                today: self.session.today,
                imprint: Imprint {
                    laboratory: Some(&self.laboratory),
                    who: self.who.as_deref(),
                    printed: Some(moment.now.to_zoned_datetime(TimeZone::system()).datetime()),
                },
            },
        };
        let number: String = inspection
            .case()
            .number
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        if !self.prints.as_os_str().is_empty() {
            std::fs::create_dir_all(&self.prints).map_err(|error| {
                let what = prompts::folder_not_made(&self.prints.display(), &error);
                Error::new(Trouble::CannotCreate, what).hint(prompts::OTHER_PRINT_FOLDER)
            })?;
        }
        let write = |sheets: &[Sheet], format, name: &str| {
            let text = print(told, sheets, format)
                .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
            write_file(&self.prints.join(format!("casepan-{number}{name}")), &text)
        };
        for sheet in Sheet::ALL {
            write(&[sheet], Format::Text, &format!("-{}.txt", sheet.name()))?;
        }
        write(&Sheet::ALL, Format::Html, ".html")?;
        let shown = self.prints.join(format!("casepan-{number}"));
        self.session.notice = Some(prompts::printed(&shown.display()));
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

/// Writes a file whole or not at all: to a temporary name beside it, synced, renamed.
///
/// # Errors
/// The file cannot be made or written.
pub fn write_file(path: &Path, text: &str) -> Result<(), Error> {
    let directory = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let failed = |error: &dyn std::fmt::Display| {
        Error::new(
            Trouble::CannotCreate,
            prompts::file_not_written(&path.display(), error),
        )
        .hint(prompts::OTHER_FOLDER)
    };
    let mut file = tempfile::NamedTempFile::new_in(directory).map_err(|error| failed(&error))?;
    file.write_all(text.as_bytes())
        .map_err(|error| failed(&error))?;
    file.as_file().sync_all().map_err(|error| failed(&error))?;
    file.persist(path).map_err(|error| failed(&error.error))?;
    Ok(())
}

/// Returns the flow of a load that has no errors.
///
/// # Errors
/// Every problem of the files.
pub fn usable(loaded: Loaded) -> Result<(Flow, Vec<Source>), Error> {
    match loaded.flow {
        Some(flow) => Ok((flow, loaded.sources)),
        None => Err(unusable(loaded)),
    }
}

/// Returns an error with every problem of a load.
pub(crate) fn unusable(loaded: Loaded) -> Error {
    let mut error = Error::new(Trouble::Data, prompts::FLOW_UNUSABLE);
    error.problems = with_sources(loaded);
    error.hint(prompts::FIX_FLOW)
}

/// Returns the problems of a load, each with its file.
pub(crate) fn with_sources(loaded: Loaded) -> Vec<(Diagnostic, Option<Source>)> {
    let source = |problem: &Diagnostic| {
        let mut sources = loaded.sources.iter();
        sources
            .find(|source| source.name() == problem.file)
            .cloned()
    };
    let problems = loaded.problems.into_iter();
    problems
        .map(|problem| {
            let source = source(&problem);
            (problem, source)
        })
        .collect()
}

fn said(error: &Error) -> String {
    let hint = error.hints.first().map(String::as_str);
    prompts::with_hint(&error.sentence, hint)
}
