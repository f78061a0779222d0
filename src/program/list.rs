//! The worklist on the command line.

use std::cell::RefCell;
use std::io::{IsTerminal as _, Write};
use std::ops::ControlFlow;
use std::sync::Arc;
use std::time::{Duration, Instant};

use schemars::JsonSchema;
use serde::ser::{Error as _, SerializeSeq as _};
use serde::{Serialize, Serializer};

use super::archive::watch;
use super::{archive_path, loaded, moment, notation};
use crate::archive::{Archive, ArchiveError, Freshness, Listed, WorkAsk};
use crate::case::coming::{Awaited, Part};
use crate::case::{Role, Units};
use crate::cli::{Cli, DataFormat};
use crate::desk::{Flows, asked, fill_all, freshness, listed};
use crate::error::{Error, Trouble, usable};
use crate::fact::Place;
use crate::phrase::pages::worklist::progress;
use crate::phrase::program::worklist as says;
use crate::print::json::shape::{
    Day, FormatKey, Moment, OutcomeKindWord, RestorationShape, StateWord, VerdictShape,
    VerdictWord, Waiting, restorations, waiting,
};
use crate::text::clean;
use crate::tooth::Notation;
use crate::worklist::{Order, WorkItem};

/// The worklist, in the order that was asked for.
#[derive(Serialize, JsonSchema)]
pub(super) struct Worklist<'a> {
    /// The format of this object.
    format: FormatKey,
    /// The cases.
    #[schemars(with = "Vec<CaseObject>")]
    cases: Rows<'a>,
}

/// A case of the worklist.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Case")]
struct CaseObject {
    /// The case's number.
    case: String,
    /// Its restorations, each with its units; null if the case cannot be read.
    restorations: Option<Vec<RestorationShape>>,
    /// Its verdict, and what that may become; null if the case cannot be read.
    verdict: Option<VerdictShape>,
    /// How far it is; null if the case cannot be read.
    state: Option<StateWord>,
    /// What it is still waiting for.
    waiting_for: Vec<Waiting>,
    /// Its expected verdict once that is here; null if nothing is expected.
    expected: Option<VerdictShape>,
    /// Questions still to be answered; null if the case cannot be read.
    left: Option<usize>,
    /// When it was last worked on.
    last: Moment,
    /// The dentist's code, or null.
    dentist: Option<String>,
    /// The names of its materials.
    materials: Vec<String>,
    /// The first day on which something is due: what is awaited, the work at the bench, or what was
    /// promised. Null if nothing is.
    due: Option<Day>,
    /// The day that was promised to the dentist, or null.
    promised: Option<Day>,
    /// Who has it: whom it was handed to, else who worked on it last. Null if nobody gave a code.
    with: Option<String>,
    /// The newest thing that went wrong with what was delivered, or null.
    came_back: Option<CameBackObject>,
    /// Whether nothing is left to do: every restoration was delivered, closed or withdrawn, or goes on as
    /// another case, but for those that are not covered.
    closed: bool,
}

/// Something that went wrong with what was delivered.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "CameBack")]
struct CameBackObject {
    /// What.
    what: OutcomeKindWord,
    /// With which restoration.
    restoration: Place,
    /// At which unit or connector; null for the whole restoration.
    at: Option<Place>,
    /// On which day.
    on: Day,
}

/// The cases that are listed, read from the archive one by one.
struct Rows<'a> {
    archive: Option<&'a Archive>,
    ask: WorkAsk,
    now: Freshness,
    /// Why reading broke off.
    failed: RefCell<Option<Error>>,
}

impl Rows<'_> {
    /// Hands on case after case, until `each` fails.
    fn each<E>(&self, each: &mut dyn FnMut(&WorkItem) -> Result<(), E>) -> Result<(), E> {
        let Some(archive) = self.archive else {
            return Ok(());
        };
        let mut handed = Ok(());
        let read = archive.each_work(&self.ask, &self.now, &mut |row: Listed| {
            handed = each(&listed(row));
            match handed {
                Ok(()) => ControlFlow::Continue(()),
                Err(_) => ControlFlow::Break(()),
            }
        });
        if let Err(error) = read {
            *self.failed.borrow_mut() = Some(error.into());
        }
        handed
    }

    fn failed(&self) -> Result<(), Error> {
        self.failed.borrow_mut().take().map_or(Ok(()), Err)
    }
}

impl Serialize for Rows<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut cases = serializer.serialize_seq(None)?;
        self.each(&mut |item| cases.serialize_element(&object(item)))?;
        match &*self.failed.borrow() {
            Some(error) => Err(S::Error::custom(error)),
            None => cases.end(),
        }
    }
}

/// Lists the cases that have all of these words. Without an archive there is none.
///
/// # Errors
/// Returns an error if the archive cannot be read.
pub(super) fn carry_out(
    cli: &Cli,
    filter: &str,
    (sort, format): (Order, DataFormat),
    out: &mut dyn Write,
) -> Result<(), Error> {
    let (flow, _) = usable(loaded(cli)?)?;
    let notation = notation(cli)?.0;
    let now = freshness(moment().today);
    let archive = match Archive::open_to_read(&archive_path(cli)?) {
        Ok(mut archive) => {
            watch(&mut archive)?;
            fill(&mut archive, &Flows::new(Arc::new(flow)), &now)?;
            Some(archive)
        }
        Err(ArchiveError::Missing(_)) => None,
        Err(error) => return Err(error.into()),
    };
    let rows = Rows {
        archive: archive.as_ref(),
        ask: asked(
            filter,
            notation,
            sort,
            (now.today, cli.who.as_deref().filter(|own| !own.is_empty())),
        ),
        now,
        failed: RefCell::new(None),
    };
    match format {
        DataFormat::Json => json(rows, out),
        DataFormat::Text => text(&rows, notation, out),
    }
}

/// Reads the cases whose rows do not hold any more: what is filtered and sorted has to be known of all of them.
fn fill(archive: &mut Archive, flows: &Flows, now: &Freshness) -> Result<(), Error> {
    /// How long it may take before anything is said of it, and how often it is said where no terminal shows it.
    const SOON: Duration = Duration::from_millis(500);
    const SELDOM: Duration = Duration::from_secs(10);
    let mut stream = std::io::stderr();
    let shows = stream.is_terminal();
    let begun = Instant::now();
    let mut said: Option<Instant> = None;
    let filled = fill_all(archive, flows, now.today, &mut |done, of| {
        let pause = if shows { SOON } else { SELDOM };
        if said.unwrap_or(begun).elapsed() < pause {
            return;
        }
        said = Some(Instant::now());
        let line = progress(done, of);
        // Nothing depends on it.
        let _ = match shows {
            true => write!(stream, "\r{line}").and_then(|()| stream.flush()),
            false => writeln!(stream, "{line}"),
        };
    });
    if said.is_some() && shows {
        let _ = write!(stream, "\r\x1b[K").and_then(|()| stream.flush());
    }
    filled
}

/// Writes one JSON object, case after case.
fn json(cases: Rows<'_>, out: &mut dyn Write) -> Result<(), Error> {
    let worklist = Worklist {
        format: FormatKey,
        cases,
    };
    let written = serde_json::to_writer_pretty(&mut *out, &worklist);
    worklist.cases.failed()?;
    written.map_err(|error| match error.io_error_kind() {
        Some(kind) => Error::from(std::io::Error::from(kind)),
        None => Error::new(Trouble::Bug, error.to_string()),
    })?;
    writeln!(out)?;
    out.flush()?;
    Ok(())
}

/// Writes a line a case, with a tab between columns: case numbers and units may have blanks in them, never tabs.
fn text(rows: &Rows<'_>, notation: Notation, out: &mut dyn Write) -> Result<(), Error> {
    let mut first = true;
    rows.each(&mut |item| -> Result<(), Error> {
        if std::mem::take(&mut first) {
            writeln!(out, "{}", says::COLUMNS)?;
        }
        writeln!(out, "{}", line(item, notation).join("\t"))?;
        Ok(())
    })?;
    rows.failed()?;
    out.flush()?;
    Ok(())
}

fn line(item: &WorkItem, notation: Notation) -> [String; 12] {
    let verdict = item.verdict.filter(|_| item.fresh);
    let told = verdict.map(|verdict| {
        (
            VerdictWord::of(verdict).as_str().to_owned(),
            verdict.could_be.as_str().to_owned(),
            item.left.to_string(),
        )
    });
    // A case that cannot be read is listed all the same.
    let (level, could_be, left) =
        told.unwrap_or_else(|| (says::UNREADABLE.to_owned(), unknown(), unknown()));
    let day = |day: Option<jiff::civil::Date>| day.map_or_else(unknown, |day| day.to_string());
    let code = |code: &Option<String>| code.as_deref().map_or_else(unknown, clean);
    [
        clean(&item.number),
        item.units
            .as_ref()
            .map_or_else(unknown, |own| units(own, notation)),
        state(item),
        level,
        could_be,
        left,
        Moment(item.last).to_string(),
        code(&item.dentist),
        day(item.first_due()),
        day(item.promised),
        code(&item.who),
        if item.closed {
            says::CLOSED
        } else {
            says::OPEN
        }
        .to_owned(),
    ]
}

fn units(units: &Units, notation: Notation) -> String {
    let said = units.restorations().iter().map(|own| {
        let units = own.units.iter().map(|unit| {
            let missing = if unit.role == Role::Pontic { "x" } else { "" };
            format!("{missing}{}", notation.show(unit.tooth))
        });
        units.collect::<Vec<_>>().join(" ")
    });
    said.collect::<Vec<_>>().join("; ")
}

/// What stands for a value of a case that cannot be read.
fn unknown() -> String {
    says::UNKNOWN.to_owned()
}

/// Returns how far a case is, with what it is waiting for and the day that is due.
fn state(item: &WorkItem) -> String {
    let Some(state) = item.state.as_ref().filter(|_| item.fresh) else {
        return unknown();
    };
    let parts: Vec<Part> = state.awaited.iter().map(|own| own.part).collect();
    let due = state.awaited.iter().filter_map(|own| own.due).min();
    let all = item
        .units
        .as_ref()
        .map_or(0, |units| units.restorations().len());
    says::state(state.state, &parts, (item.not_covered, all), due)
}

fn object(item: &WorkItem) -> CaseObject {
    let verdict = item.verdict.filter(|_| item.fresh);
    let state = item.state.as_ref().filter(|_| item.fresh);
    let cleaned = |text: &Option<String>| text.as_deref().map(clean);
    CaseObject {
        case: clean(&item.number),
        restorations: item.units.as_ref().map(restorations),
        verdict: verdict.map(VerdictShape::from),
        state: state.map(|state| StateWord(state.state)),
        waiting_for: match (state, &item.units) {
            (Some(state), Some(units)) => {
                let awaited: Vec<&Awaited> = state.awaited.iter().collect();
                waiting(units, &awaited)
            }
            _ => Vec::new(),
        },
        expected: item.expected.map(VerdictShape::from),
        left: verdict.map(|_| item.left),
        last: Moment(item.last),
        dentist: cleaned(&item.dentist),
        materials: item.materials.iter().map(|own| clean(own)).collect(),
        due: item.first_due().map(Day),
        promised: item.promised.map(Day),
        with: cleaned(&item.who),
        came_back: item.came_back.as_ref().map(|own| CameBackObject {
            what: OutcomeKindWord(own.what),
            restoration: Place::Restoration(own.restoration),
            at: own.at,
            on: Day(own.on),
        }),
        closed: item.closed,
    }
}
