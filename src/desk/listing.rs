//! The worklist: rows of the archive as items of the list, and the row of a case as it is written with its entries.

use std::sync::mpsc::{Sender, channel};
use std::time::{Duration, Instant};

use jiff::ToSpan as _;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use super::Desk;
use super::filling::{Filled, Filler, Flows, at_hand, engine, fill, fill_these, row_of};
use crate::archive::{Archive, ArchiveError, Freshness, Listed, WorkAsk, WorkOrder, WorkRow};
use crate::error::Error;
use crate::learn::Lot;
use crate::session::{Inspection, Page, Prompt, WINDOW};
use crate::worklist::{Counts, Order, SOON, WorkItem, made, wanted};

/// How often the list is shown anew at most while cases are read beside it.
const PAUSE: Duration = Duration::from_millis(300);

/// With so many cases the list is looked through beside the keys while a filter is typed: each of them has to be read for a
/// word that few contain.
const MANY: usize = 10_000;

/// A part of the list that is looked for: around this case, in this order and through this filter.
#[derive(Clone, PartialEq, Debug)]
struct Look {
    ask: WorkAsk,
    around: Option<String>,
    now: Freshness,
}

/// A part of the list that was looked for beside the keys.
#[derive(Clone, PartialEq, Debug)]
pub struct Found {
    look: Look,
    /// The rows, how many stand before them, and whether more stand behind; or why they could not be read.
    part: Result<(Vec<Listed>, usize, bool), ArchiveError>,
}

impl Look {
    fn part(&self, archive: &Archive) -> Result<(Vec<Listed>, usize, bool), ArchiveError> {
        let mut ask = self.ask.clone();
        let place = match &self.around {
            Some(number) => archive.place_of(number, &ask)?.unwrap_or(0),
            None => 0,
        };
        ask.skip = place.saturating_sub(WINDOW / 2);
        ask.most = WINDOW + 1;
        let mut rows = archive.work(&ask, &self.now)?;
        let more = rows.len() > WINDOW;
        rows.truncate(WINDOW);
        Ok((rows, ask.skip, more))
    }
}

/// What the worklist is filled with besides the archive.
#[derive(Default)]
pub(super) struct Filling {
    filler: Option<Filler>,
    /// Where the list is looked through beside the keys.
    finder: Option<Sender<Look>>,
    /// What is looked for there and has not come back.
    looked: Option<Look>,
    /// How often others had written to the archive when the standing instructions were last read.
    pub(super) revision: u64,
    /// How many rows they had then.
    pub(super) standing: u64,
    /// When the list was last shown anew because of what was read.
    shown: Option<Instant>,
}

/// Asks the archive for a part of the list, on a day and for whoever sits at the bench, if that is known.
pub fn asked(
    filter: &str,
    notation: crate::tooth::Notation,
    order: Order,
    (today, who): (Date, Option<&str>),
) -> WorkAsk {
    let wanted = wanted(filter, notation, who.is_some());
    let soon = today.saturating_add(SOON.days()).saturating_add(1.day());
    WorkAsk {
        words: wanted.words,
        who: who.filter(|_| wanted.mine).map(str::to_owned),
        calls: wanted.calls,
        due_before: match (wanted.late, wanted.due) {
            (true, _) => Some(today),
            (false, true) => Some(soon),
            (false, false) => None,
        },
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
    pub(super) fn now(&self) -> Freshness {
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
        let lot = Lot::of(&open.facts(), open.journal(), &TimeZone::system());
        row_of(
            (&made, lot.as_ref()),
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
        if self.find_beside() {
            return Ok(());
        }
        let numbers = self.list_around_mark()?;
        if numbers.is_empty() || self.filling.filler.is_some() {
            self.wish(numbers);
            return Ok(());
        }
        let now = self.now();
        let filled = fill_these(&mut self.archive, &self.flows, &now, &numbers, &|| false);
        self.list_around_mark()?;
        filled.map(drop)
    }

    /// Lists the part of the worklist around the marked case; returns the numbers of rows in it that do not hold any more.
    fn list_around_mark(&mut self) -> Result<Vec<String>, Error> {
        let look = self.wanted_part();
        self.filling.looked = None;
        self.session.listing.looks = false;
        let part = look.part(&self.archive)?;
        self.show_part(part)
    }

    /// Returns the part of the list that is to be shown.
    fn wanted_part(&self) -> Look {
        let listing = &self.session.listing;
        let now = self.now();
        Look {
            ask: asked(
                &listing.filter,
                self.session.notation,
                listing.order,
                (now.today, self.session.who.as_deref()),
            ),
            around: self.session.marked_case().map(|item| item.number.clone()),
            now,
        }
    }

    fn show_part(
        &mut self,
        (rows, first, more): (Vec<Listed>, usize, bool),
    ) -> Result<Vec<String>, Error> {
        let items: Vec<WorkItem> = rows.into_iter().map(listed).collect();
        let mut stale: Vec<(usize, String)> = (0..)
            .zip(&items)
            .filter(|(_, item)| !item.fresh)
            .map(|(at, item)| (at, item.number.clone()))
            .collect();
        self.session.list_part(items, first, more);
        // Those on the screen first: around the mark.
        let marked = self.session.marked;
        stale.sort_by_key(|(at, _)| at.abs_diff(marked));
        // Typing a filter changes no count.
        if !self.types_filter() || self.session.listing.counts == Counts::default() {
            self.session.listing.counts = self.counts()?;
        }
        Ok(stale.into_iter().map(|(_, number)| number).collect())
    }

    fn types_filter(&self) -> bool {
        matches!(self.session.over.line(), Some((Prompt::Filter, _)))
    }

    /// Looks the list through in a thread of its own from now on, where it is long and a filter is typed.
    pub fn find_apart(&mut self, deliver: impl Fn(Found) + Send + 'static) {
        let open = self.archive.opener();
        let (sender, looks) = channel::<Look>();
        std::thread::spawn(move || {
            let mut opened = None;
            while let Ok(look) = looks.recv() {
                let look = looks.try_iter().last().unwrap_or(look);
                let part = at_hand(&mut opened, &open).and_then(|archive| look.part(archive));
                deliver(Found { look, part });
            }
        });
        self.filling.finder = Some(sender);
    }

    /// Hands the search to the thread, where there is one for it and the list is long; returns whether it did.
    fn find_beside(&mut self) -> bool {
        if !self.types_filter() || self.session.listing.counts.all < MANY {
            return false;
        }
        let look = self.wanted_part();
        let sent = match &self.filling.finder {
            Some(finder) => finder.send(look.clone()).is_ok(),
            None => false,
        };
        self.session.listing.looks = sent;
        self.filling.looked = sent.then_some(look);
        sent
    }

    /// Shows what was looked for beside the keys, unless something else is wanted by now.
    pub fn found(&mut self, found: Found) {
        if self.filling.looked.as_ref() != Some(&found.look) {
            return;
        }
        self.filling.looked = None;
        self.session.listing.looks = false;
        let shown = found.part.map_err(Error::from);
        match shown.and_then(|part| self.show_part(part)) {
            Ok(numbers) => self.wish(numbers),
            Err(error) => self.session.notice = Some(super::said(&error)),
        }
    }

    /// Sees to it that a key that acts on the list, and only types into the filter if `types`, finds the list of the filter as
    /// it was typed, and not the one before.
    pub(super) fn list_before(&mut self, types: bool) {
        if self.filling.looked.is_none() || (types && self.types_filter()) {
            return;
        }
        if let Err(error) = self.list_around_mark() {
            self.session.notice = Some(super::said(&error));
        }
    }

    /// Asks for rows that do not hold any more, where a thread makes them anew.
    fn wish(&self, numbers: Vec<String>) {
        if let Some(filler) = self.filling.filler.as_ref().filter(|_| !numbers.is_empty()) {
            filler.wish(numbers, self.now());
        }
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
    /// The archive cannot be read.
    pub fn fill_apart(&mut self, deliver: impl Fn(Filled) + Send + 'static) -> Result<(), Error> {
        let open = self.archive.opener();
        let filler = Filler::begin(open, self.flows.clone(), self.now(), deliver);
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
        if !self.find_beside() {
            // Where it cannot be read, it stays as it is; the next key says so.
            let _ = self.list_around_mark();
        }
    }
}
