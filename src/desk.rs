//! Performs effects: keeps answers, opens cases, fills the worklist, writes prints.
//!
//! An answer is in the archive before the next frame is drawn. Where that fails, the answer stays in memory, the
//! screen says so, and the next answer or key tries again; nothing is thrown away.
//! Judging happens in the inspection itself, in the same breath: it takes well under a millisecond. How far the readings can
//! be trusted with the verdict takes longer and is weighed in a thread of its own, and so are options tried; the page
//! goes on meanwhile.

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

/// The bench: the inspection, and the world that it asks to act on.
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

    /// Takes a notation as chosen: by a setting, or by what was remembered in a file beside the archive. What is chosen
    /// in the inspection is remembered there.
    pub fn choose_by(&mut self, file: PathBuf, setting: Option<Notation>) {
        let remembered = std::fs::read_to_string(&file).ok();
        let remembered = remembered.and_then(|text| {
            let mut all = Notation::all().into_iter();
            all.find(|notation| notation.name() == text.trim())
        });
        self.session.chosen_notation = setting.or(remembered);
        self.remembers = Some(file);
    }

    /// Prints for a laboratory from now on, into a folder of its own if it has one.
    pub fn prints_for(&mut self, laboratory: Laboratory, folder: Option<PathBuf>) {
        self.laboratory = laboratory;
        if let Some(folder) = folder {
            self.prints = folder;
        }
    }

    /// Takes a key by its name.
    pub fn key(&mut self, key: &str, moment: &Moment) -> Next {
        let effects = self.session.key(key, moment);
        self.perform(effects, moment)
    }

    /// Takes pasted text.
    pub fn paste(&mut self, text: &str, moment: &Moment) -> Next {
        let effects = self.session.paste(text, moment);
        self.perform(effects, moment)
    }

    /// Takes a command as its key would; where it means nothing now, nothing happens.
    pub fn command(&mut self, command: Command, moment: &Moment) -> Next {
        let effects = self.session.press(command, moment);
        self.perform(effects, moment)
    }

    /// Says whether something that the last key asked for could not be done, such as a print. Answers that could not be
    /// kept are no such thing: they wait.
    pub fn has_failed(&self) -> bool {
        self.failed
    }

    /// Says whether answers wait in memory since the archive would not take them.
    pub fn has_unsaved(&self) -> bool {
        !self.unsaved.is_empty()
    }

    /// Tries once more to keep what waits in memory.
    ///
    /// # Errors
    /// The archive still does not take it.
    pub fn save(&mut self) -> Result<(), Error> {
        self.flush().map_err(Error::from)
    }

    /// Carries out effects of a command line, and fails where they cannot be kept.
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
            self.session.notice = Some(format!("NOT SAVED, kept in memory: {}", said(&error)));
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

    /// Asks once before answers are left behind: the second wish to leave is granted.
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

    /// Somebody else wrote to the case meanwhile: takes their entries in and puts ours behind them.
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
            let (flow, who) = (open.flow().clone(), self.who.clone());
            let mut inspection = Inspection::new(flow, case, seen, self.session_id, who);
            inspection.go_on_as(open);
            self.weighs.forget();
            self.tries.forget();
            self.session.untried = None;
            self.session.inspection = Some(inspection);
            self.session.notice = Some(
                "somebody else worked on this case: their answers are in, yours too".to_owned(),
            );
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
            .map_err(|error| Error::new(Trouble::Data, format!("case {number}: {error}")))?;
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
                format!(
                    "the flow \"{}\", version {}, that this case was opened with is not in the archive",
                    wanted.id, wanted.version
                ),
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
                let what = format!("{} cannot be made: {error}", self.prints.display());
                Error::new(Trouble::CannotCreate, what)
                    .hint("name another folder for prints in lab.ron")
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
        self.session.notice = Some(format!("written: {0}.html, {0}-*.txt", shown.display()));
        Ok(())
    }
}

/// Returns where the last answer was given, so that the inspection goes on behind it.
///
/// Answers that came in with the case, all at its opening, say nothing about where somebody was.
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
            format!("{} cannot be written: {error}", path.display()),
        )
        .hint("choose a directory that you may write to, with room on its disk")
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

/// Returns the error that tells every problem of a load.
pub(crate) fn unusable(loaded: Loaded) -> Error {
    let mut error = Error::new(Trouble::Data, "the flow cannot be used as it is");
    error.problems = with_sources(loaded);
    error.hint("mend the places above and try again")
}

/// Returns the problems of a load, each with the file that it is in.
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
    match error.hints.first() {
        Some(hint) => format!("{}; {hint}", error.sentence),
        None => error.sentence.clone(),
    }
}
