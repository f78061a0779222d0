//! The worklist: rows of the archive as items of the list, and the row of a case as it is written with its entries.

use std::time::{Duration, Instant};

use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::Desk;
use super::filling::{Filled, Filler, Flows, engine, fill, fill_these, row_of};
use crate::archive::{Archive, Freshness, Listed, WorkAsk, WorkOrder, WorkRow};
use crate::error::Error;
use crate::session::{Inspection, Page, Prompt, WINDOW};
use crate::worklist::{Counts, Order, WorkItem, made, words};

/// How often the list is shown anew at most while cases are read beside it.
const PAUSE: Duration = Duration::from_millis(300);

/// What the worklist is filled with besides the archive.
#[derive(Default)]
pub(super) struct Filling {
    filler: Option<Filler>,
    /// How often others had written to the archive when the standing instructions were last read.
    pub(super) revision: u64,
    /// How many rows they had then.
    pub(super) standing: u64,
    /// When the list was last shown anew because of what was read.
    shown: Option<Instant>,
}

/// Asks the archive for a part of the list.
pub fn asked(filter: &str, notation: crate::tooth::Notation, order: Order) -> WorkAsk {
    WorkAsk {
        words: words(filter, notation),
        order: match order {
            Order::Turn => WorkOrder::Turn,
            Order::Last => WorkOrder::Last,
            Order::Number => WorkOrder::Number,
            Order::Dentist => WorkOrder::Dentist,
            Order::Who => WorkOrder::Who,
        },
        skip: 0,
        most: usize::MAX,
    }
}

/// Returns a row of the archive as an item of the list. Of a row that is not fresh only the number, and when the case was
/// last worked on, are sure.
pub fn listed(row: Listed) -> WorkItem {
    let body = row.body.as_deref();
    let item = body.and_then(|body| serde_json::from_str::<WorkItem>(body).ok());
    let unread = || WorkItem::unread(row.number.clone(), row.last);
    // What cannot be read as a row is made anew. The number is the archive's own, whatever the row says.
    let fresh = row.fresh && item.is_some();
    WorkItem {
        number: row.number.clone(),
        last: row.last,
        touched: Some(row.last.to_zoned_datetime(TimeZone::system()).date()),
        fresh,
        ..item.unwrap_or_else(unread)
    }
}

/// Fills every row of an archive that does not hold any more, and tells how far it is.
///
/// # Errors
/// The archive cannot be read or written to. What was filled stays.
pub fn fill_all(
    archive: &mut Archive,
    flows: &Flows,
    today: Date,
    tell: &mut dyn FnMut(usize, usize),
) -> Result<(), Error> {
    let now = freshness(today);
    let of = archive.count_stale(&now)?;
    let told = &mut |done: usize| tell(done.min(of), of);
    fill(archive, flows, &now, &|| Vec::new(), &|| false, told)
}

/// Returns what makes a row hold on a day.
pub fn freshness(today: Date) -> Freshness {
    Freshness {
        engine: engine(),
        today,
    }
}

impl Desk {
    fn now(&self) -> Freshness {
        freshness(self.session.today.unwrap_or(Date::MIN))
    }

    /// Returns the worklist's row of the case under inspection, as it is after `entries` journal entries, or `None` if
    /// another case is open.
    pub(super) fn work_row(&mut self, number: &str, entries: u64) -> Option<WorkRow> {
        self.mind_others();
        let open = self
            .session
            .real()
            .filter(|open| open.case().number == number && open.entries() == entries)?;
        self.row_of_inspection(open)
    }

    /// Reads the standing instructions again if somebody else has written to the archive: a row is judged by those that
    /// hold. Where they cannot be read, more is asked, never less.
    fn mind_others(&mut self) {
        let Ok(revision) = self.archive.revision() else {
            return;
        };
        if revision != self.filling.revision && self.fill_instructions().is_ok() {
            self.filling.revision = revision;
        }
    }

    /// Makes the row of the case that was opened anew if it is not what its journal gives, whoever wrote it.
    pub(super) fn mend_row(&mut self, number: &str) {
        let row = self
            .session
            .real()
            .and_then(|open| self.row_of_inspection(open));
        let Some(row) = row.filter(|row| row.number == number) else {
            return;
        };
        let now = self.now();
        let there = self.archive.row_of(number, &now);
        let same = |there: &Listed| there.fresh && there.body.as_deref() == Some(&row.body);
        if matches!(&there, Ok(found) if !found.as_ref().is_some_and(same)) {
            // Where it cannot be written, the list says what it said before.
            let _ = self.archive.put_work(&row);
        }
    }

    fn row_of_inspection(&self, open: &Inspection) -> Option<WorkRow> {
        // What was caught up with may lack its journal: then the row is made anew later.
        if open.journal().len() as u64 != open.entries() {
            return None;
        }
        let standing = self.session.standing();
        let made = made(
            &open.facts(),
            open.judgement(),
            open.expected(),
            &standing,
            open.journal(),
        );
        row_of(
            &made,
            open.entries(),
            &open.flow().digest,
            (&self.session.instructions, self.filling.standing),
            &self.now(),
        )
    }

    /// Makes the worklist's row of a case that is brought in with these entries.
    pub(super) fn row_of_new(&self, entries: &[crate::case::journal::Entry]) -> Option<WorkRow> {
        let session = self.session_id;
        let flow = self.flow.clone();
        let open = Inspection::of_journal(flow, entries.to_vec(), session, None).ok()?;
        self.row_of_inspection(&open)
    }

    /// Shows the worklist: the part of it around the marked case. Rows that do not hold any more are listed with what is
    /// sure of them; they are made anew beside, or at once where there is no thread for it.
    ///
    /// # Errors
    /// The archive cannot be read.
    pub fn show_worklist(&mut self) -> Result<(), Error> {
        self.mind_others();
        let numbers = self.list_around_mark()?;
        if numbers.is_empty() {
            return Ok(());
        }
        if let Some(filler) = &self.filling.filler {
            filler.wish(numbers, self.now());
            return Ok(());
        }
        let now = self.now();
        let filled = fill_these(&mut self.archive, &self.flows, &now, &numbers, &|| false);
        self.list_around_mark()?;
        filled.map(drop)
    }

    /// Lists the part of the worklist around the marked case; returns the numbers of rows in it that do not hold any more.
    fn list_around_mark(&mut self) -> Result<Vec<String>, Error> {
        let now = self.now();
        let listing = &self.session.listing;
        let mut ask = asked(&listing.filter, self.session.notation, listing.order);
        let marked = self.session.marked_case().map(|item| item.number.clone());
        let place = match &marked {
            Some(number) => self.archive.place_of(number, &ask)?.unwrap_or(0),
            None => 0,
        };
        ask.skip = place.saturating_sub(WINDOW / 2);
        ask.most = WINDOW + 1;
        let mut rows = self.archive.work(&ask, &now)?;
        let more = rows.len() > WINDOW;
        rows.truncate(WINDOW);
        let items: Vec<WorkItem> = rows.into_iter().map(listed).collect();
        // Those on the screen first: around the mark.
        let mut stale: Vec<(usize, String)> = (ask.skip..)
            .zip(&items)
            .filter(|(_, item)| !item.fresh)
            .map(|(at, item)| (at.abs_diff(place), item.number.clone()))
            .collect();
        stale.sort();
        self.session.list_part(items, ask.skip, more);
        // Typing a filter changes no count.
        let types = matches!(self.session.prompt, Some((Prompt::Filter, _)));
        if !types || self.session.listing.counts == Counts::default() {
            self.session.listing.counts = self.counts()?;
        }
        Ok(stale.into_iter().map(|(_, number)| number).collect())
    }

    fn counts(&self) -> Result<Counts, Error> {
        let (all, open) = self.archive.count()?;
        let (to_call, late) = self.archive.count_first_and_late(self.now().today)?;
        Ok(Counts {
            to_call,
            late,
            open,
            all,
        })
    }

    /// Shows the worklist, and makes rows anew in a thread of its own from now on: those that are shown first, then all
    /// others that do not hold any more.
    ///
    /// # Errors
    /// The archive cannot be opened once more.
    pub fn fill_apart(&mut self, deliver: impl Fn(Filled) + Send + 'static) -> Result<(), Error> {
        let archive = self.archive.again()?;
        let filler = Filler::begin(archive, self.flows.clone(), self.now(), deliver);
        filler.wish(self.list_around_mark()?, self.now());
        self.filling.filler = Some(filler);
        Ok(())
    }

    /// Takes in how far the reading of cases is; shows the worklist anew, though not too often.
    pub fn filled(&mut self, filled: Filled) {
        let ended = filled.done >= filled.of || filled.failed.is_some();
        self.session.listing.progress = (!ended).then_some((filled.done, filled.of));
        if self.session.page != Page::Worklist {
            return;
        }
        if let Some(why) = filled.failed {
            self.session.notice = Some(why);
        }
        let due = self.filling.shown.is_none_or(|at| at.elapsed() >= PAUSE);
        if !ended && !due {
            return;
        }
        self.filling.shown = Some(Instant::now());
        // Where it cannot be read, it stays as it is; the next key says so.
        let _ = self.list_around_mark();
    }
}
