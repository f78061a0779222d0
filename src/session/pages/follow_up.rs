//! The page of follow-up: what is due of one dentist, answered by exception.
//!
//! Nothing is quiet unless somebody says so: of each by itself, or with one key of all that are not named. What Enter writes
//! is said before it does, and it writes only once every row was in view.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use jiff::civil::Date;

use super::outcome::{choice, kinds, numbered};
use super::rates::Rated;
use crate::case::outcome::{Kind, Known, Outcome};
use crate::fact::Place;
use crate::flow::Days;
use crate::learn::follow_up::{Due, FollowUp, OfDentist};
use crate::phrase::follow_up as said;
use crate::phrase::outcome as words;
use crate::phrase::pages::worklist::progress;
use crate::phrase::{Phrase, learn};
use crate::print::Document;
use crate::print::follow_up::{follow_up, heard, units};
use crate::session::view::ChoiceView;
use crate::session::{Command, Effect, Moment, Page, Prompt, Session, days};

/// As many rows as there are digits.
const NINE: usize = 9;

/// What was said of a restoration.
#[derive(Clone, Copy, PartialEq, Debug)]
enum Told {
    /// Nobody has seen it: nothing is written down.
    NotSeen,
    /// Something became of it.
    Became {
        what: Kind,
        at: Option<Place>,
        /// The day, or `None` for that of all.
        on: Option<Date>,
    },
}

/// What is to be written down of a restoration.
#[derive(Clone, PartialEq, Debug)]
pub struct Followed {
    /// The number of its case.
    pub number: String,
    /// What became of it.
    pub outcome: Outcome,
    /// How many outcomes were written down of it when that was said.
    pub known: usize,
}

/// A restoration by its case and number.
type Key = (String, u8);

/// What the page shows and asks.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct State {
    /// What is due, or how far the reading is; `None` until it is asked for.
    found: Option<Found>,
    /// The code of the dentist that is shown.
    dentist: Option<String>,
    /// The marked row.
    marked: usize,
    /// How many rows were in view.
    seen: usize,
    /// What was said, of all dentists.
    told: BTreeMap<Key, Told>,
    /// Whether all of this dentist that are not named are quiet.
    rest_quiet: bool,
    /// The day of all that is written, or `None` for today.
    on: Option<Date>,
    stage: Stage,
    /// Whether somebody has tried to leave with something unwritten.
    warned: bool,
}

#[derive(Clone, PartialEq, Debug)]
enum Found {
    Reading(usize, usize),
    Done(Arc<FollowUp>, usize),
    Failed(String),
}

/// What is asked now.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
enum Stage {
    /// Which row.
    #[default]
    Row,
    /// What happened with the marked one.
    What,
    /// Where it happened.
    Where(Kind),
}

fn key(due: &Due) -> Key {
    (due.number.clone(), due.restoration.id)
}

impl State {
    /// The dentists of whom something is due.
    fn dentists(&self) -> Vec<&OfDentist> {
        match &self.found {
            Some(Found::Done(all, _)) => {
                let all = all.dentists.iter();
                all.filter(|own| !own.due.is_empty()).collect()
            }
            _ => Vec::new(),
        }
    }

    /// The dentist that is shown, and which it is of all: the one that was asked for, else the next by code.
    fn shown(&self) -> Option<(usize, &OfDentist)> {
        let all = self.dentists();
        let at = self.dentist.as_deref().and_then(|wanted| {
            let mut all = all.iter();
            all.position(|own| own.dentist.as_str() >= wanted)
        });
        let at = at.unwrap_or(0);
        all.get(at).map(|own| (at, *own))
    }

    fn due(&self) -> &[Due] {
        self.shown().map_or(&[][..], |(_, own)| own.due.as_slice())
    }

    /// The first row of those that have a digit.
    fn first(&self) -> usize {
        self.marked / NINE * NINE
    }

    /// Marks a row; those that stand with it are in view then.
    pub(super) fn mark(&mut self, row: usize) {
        self.marked = row.min(self.due().len().saturating_sub(1));
        self.seen = self.seen.max(self.first() + NINE);
    }

    fn turn_to(&mut self, dentist: Option<String>) {
        self.dentist = dentist;
        self.stage = Stage::Row;
        self.rest_quiet = false;
        self.seen = 0;
        self.mark(0);
    }

    /// How many things that somebody named are not written down yet. What was not seen never is.
    fn unwritten(&self) -> usize {
        let named = |told: &&Told| matches!(told, Told::Became { .. });
        self.told.values().filter(named).count()
    }

    /// What is written down of a restoration on a day; `None` if nothing is.
    fn outcome(&self, due: &Due, today: Date) -> Option<Outcome> {
        let (what, at, on) = match self.told.get(&key(due)) {
            Some(Told::NotSeen) => return None,
            Some(Told::Became { what, at, on }) => (*what, *at, *on),
            None if self.rest_quiet => (Kind::Quiet, None, None),
            None => return None,
        };
        Some(Outcome {
            what,
            restoration: due.restoration.id,
            at: at.or_else(|| due.restoration.only_unit()),
            on: on.or(self.on).unwrap_or(today),
            known: Known::usual(what),
            seen: None,
            goes_on: None,
        })
    }

    /// Counts what Enter writes, by kind, and what it does not.
    fn counts(&self) -> (Vec<(Kind, usize)>, usize) {
        let (mut by, mut not_seen) = (BTreeMap::new(), 0);
        for due in self.due() {
            match self.told.get(&key(due)) {
                Some(Told::NotSeen) => not_seen += 1,
                Some(Told::Became { what, .. }) => *by.entry(*what).or_default() += 1,
                None if self.rest_quiet => *by.entry(Kind::Quiet).or_default() += 1,
                None => not_seen += 1,
            }
        }
        let mut by: Vec<(Kind, usize)> = by.into_iter().collect();
        by.sort_by_key(|(kind, _)| *kind != Kind::Quiet);
        (by, not_seen)
    }
}

impl Session {
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn follow_up_command(
        &mut self,
        command: Command,
        moment: &Moment,
    ) -> Option<Vec<Effect>> {
        if command == Command::FollowUp {
            return Some(self.open_follow_up());
        }
        if self.page != Page::FollowUp || self.over.top().is_some() {
            return None;
        }
        let state = &mut self.follow_up;
        let here = state.marked;
        match command {
            Command::Up if state.stage == Stage::Row => state.mark(here.saturating_sub(1)),
            Command::Down if state.stage == Stage::Row => state.mark(here + 1),
            Command::PageUp if state.stage == Stage::Row => {
                let first = state.first();
                state.mark(first.saturating_sub(NINE));
            }
            Command::PageDown if state.stage == Stage::Row => {
                let next = state.first() + NINE;
                if next < state.due().len() {
                    state.mark(next);
                }
            }
            Command::Exception if !state.due().is_empty() => state.stage = Stage::What,
            Command::Unseen => self.say_of_marked(Told::NotSeen),
            Command::AllQuiet if state.stage == Stage::Row && !state.due().is_empty() => {
                state.rest_quiet = !state.rest_quiet;
                state.warned = false;
            }
            Command::NoMore => self.pick_what(Kind::LostSight),
            Command::NextDentist | Command::PreviousDentist => {
                self.turn_dentist(command == Command::NextDentist);
            }
            Command::OutcomeDay if !state.due().is_empty() => {
                self.over.ask((Prompt::OutcomeDay, String::new()));
            }
            Command::KeepAll => return Some(self.keep_all(moment)),
            Command::Print => {
                let document = self.follow_up_document();
                let print = document.map(|own| Effect::PrintFollowUp(Box::new(own)));
                return Some(print.into_iter().collect());
            }
            Command::Exception | Command::OutcomeDay | Command::AllQuiet => {}
            _ => return None,
        }
        Some(Vec::new())
    }

    fn open_follow_up(&mut self) -> Vec<Effect> {
        let dentist = self.marked_case().and_then(|item| item.dentist.clone());
        self.follow_up.found = None;
        self.follow_up.warned = false;
        self.follow_up.turn_to(dentist);
        self.page = Page::FollowUp;
        self.scroll = 0;
        vec![Effect::FollowUp(self.today.unwrap_or_default())]
    }

    /// Takes in what is due, or how far the reading is.
    pub(super) fn take_follow_up(&mut self, rated: Rated) {
        let found = match rated {
            Rated::Reading(done, of) => Found::Reading(done, of),
            Rated::Failed(why) => Found::Failed(why),
            Rated::FollowUp(all, unread) => Found::Done(all, unread),
            _ => return,
        };
        let state = &mut self.follow_up;
        state.found = Some(found);
        let marked = state.marked;
        state.mark(marked);
        // What is due no more was written down, here or by somebody else.
        if let Some(Found::Done(all, _)) = &state.found {
            let all = all.dentists.iter().flat_map(|own| &own.due);
            let due: BTreeSet<Key> = all.map(key).collect();
            state.told.retain(|own, _| due.contains(own));
        }
    }

    fn turn_dentist(&mut self, forward: bool) {
        let all = self.follow_up.dentists();
        let Some((at, _)) = self.follow_up.shown() else {
            return;
        };
        let at = match forward {
            true => (at + 1) % all.len(),
            false => (at + all.len() - 1) % all.len(),
        };
        let next = all.get(at).map(|own| own.dentist.clone());
        self.follow_up.turn_to(next);
        self.scroll = 0;
    }

    /// Handles a digit: a row, what happened, where.
    pub(in crate::session) fn follow_up_digit(&mut self, c: char) {
        let Some(digit) = c.to_digit(10).and_then(|digit| usize::try_from(digit).ok()) else {
            return;
        };
        let index = digit.checked_sub(1);
        let state = &mut self.follow_up;
        match state.stage {
            Stage::Row => {
                let row = index.map(|index| state.first() + index);
                if let Some(row) = row.filter(|row| *row < state.due().len()) {
                    state.mark(row);
                    state.stage = Stage::What;
                }
            }
            Stage::What => match index {
                None => self.pick_what(Kind::Quiet),
                Some(index) => {
                    if let Some(kind) = Kind::ALL.get(index).copied() {
                        self.pick_what(kind);
                    }
                }
            },
            Stage::Where(what) => {
                let places = self.places_of_marked();
                if let Some(at) = index.and_then(|index| places.get(index)).copied() {
                    self.say_of_marked(Told::Became { what, at, on: None });
                }
            }
        }
    }

    fn pick_what(&mut self, what: Kind) {
        match what.is_failure() && self.places_of_marked().len() > 1 {
            true => self.follow_up.stage = Stage::Where(what),
            false => self.say_of_marked(Told::Became {
                what,
                at: None,
                on: None,
            }),
        }
    }

    /// Where something can have happened with the marked restoration: at its units and connectors, then in all of it. Of a
    /// long bridge no connectors, and of one that has more units than digits the whole alone.
    fn places_of_marked(&self) -> Vec<Option<Place>> {
        let state = &self.follow_up;
        let own = state.due().get(state.marked);
        let mut parts = own.map(|due| due.restoration.parts()).unwrap_or_default();
        if parts.len() >= NINE {
            parts.retain(|at| matches!(at, Place::Unit(_)));
        }
        if parts.len() >= NINE {
            parts.clear();
        }
        parts.into_iter().map(Some).chain([None]).collect()
    }

    /// Keeps in mind what was said of the marked restoration.
    fn say_of_marked(&mut self, told: Told) {
        let state = &mut self.follow_up;
        state.stage = Stage::Row;
        state.warned = false;
        let Some(own) = state.due().get(state.marked).map(key) else {
            return;
        };
        state.told.insert(own, told);
    }

    /// Keeps the day: of the marked restoration if something went wrong with it, else of all.
    ///
    /// # Errors
    /// A sentence, if the text is no day, or something was delivered after it.
    pub(super) fn take_follow_up_day(&mut self, text: &str, today: Date) -> Result<(), String> {
        let on = match text {
            "" => None,
            text => Some(days::read(text, today, Days::Past)?),
        };
        let state = &mut self.follow_up;
        let Some(marked) = state.due().get(state.marked) else {
            return Ok(());
        };
        let own = key(marked);
        if let Some(Told::Became { what, at, .. }) = state.told.get(&own).copied() {
            if on.is_some_and(|on| on < marked.delivered) {
                return Err(words::before_delivery(marked.delivered));
            }
            state.told.insert(own, Told::Became { what, at, on });
            return Ok(());
        }
        let late = |due: &&Due| on.is_some_and(|on| on < due.delivered);
        if let Some(late) = state.due().iter().find(late) {
            let why = words::before_delivery(late.delivered);
            return Err(said::of_case(&late.number, &why));
        }
        state.on = on;
        Ok(())
    }

    /// Writes everything down that was said of the dentist's restorations.
    fn keep_all(&mut self, moment: &Moment) -> Vec<Effect> {
        let state = &mut self.follow_up;
        if state.stage != Stage::Row {
            self.notice = Some(self.keymap.say(said::ANSWER_FIRST));
            return Vec::new();
        }
        let rows = state.due().len();
        if rows == 0 {
            return Vec::new();
        }
        if state.seen < rows && !self.whole_pages {
            let left = rows - state.seen;
            self.notice = Some(self.keymap.say(&said::not_looked_at(left)));
            return Vec::new();
        }
        let all = state.due().iter();
        let all: Vec<Followed> = all
            .filter_map(|due| {
                Some(Followed {
                    number: due.number.clone(),
                    outcome: state.outcome(due, moment.today)?,
                    known: due.known,
                })
            })
            .collect();
        if all.is_empty() {
            self.notice = Some(self.keymap.say(said::NOTHING_TO_WRITE));
            return Vec::new();
        }
        let next = self.follow_up.shown().map(|(_, own)| own.dentist.clone());
        self.follow_up.found = None;
        self.follow_up.on = None;
        self.follow_up.turn_to(next);
        vec![Effect::Followed(all), Effect::FollowUp(moment.today)]
    }

    /// One step back: to what was asked before, to the rows, then to the list of cases.
    pub(in crate::session) fn back_from_follow_up(&mut self) -> Vec<Effect> {
        let state = &mut self.follow_up;
        state.stage = match state.stage {
            Stage::Where(_) => Stage::What,
            Stage::What => Stage::Row,
            Stage::Row => return self.leave(),
        };
        Vec::new()
    }

    /// Returns whether something was named that is not written down yet; says so, once.
    pub(in crate::session) fn keeps_follow_up(&mut self) -> bool {
        let unwritten = self.follow_up.unwritten();
        let keeps = self.page == Page::FollowUp && unwritten > 0 && !self.follow_up.warned;
        if keeps {
            self.follow_up.warned = true;
            self.notice = Some(self.keymap.say(&said::not_written(unwritten)));
        } else if self.page == Page::FollowUp {
            self.follow_up.told.clear();
        }
        keeps
    }

    /// Returns the marked row of the page and how many there are; `None` while something is asked of one.
    pub fn follow_up_rows(&self) -> Option<(usize, usize)> {
        let state = &self.follow_up;
        (state.stage == Stage::Row).then(|| (state.marked, state.due().len()))
    }

    fn follow_up_document(&self) -> Option<Document> {
        let (_, own) = self.follow_up.shown()?;
        Some(follow_up(own, self.today?, self.notation))
    }
}

/// What is due of one dentist, and what is about to be written.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct FollowUpView {
    /// The title.
    pub title: String,
    /// Which dentist it is of all.
    pub of: String,
    /// What is known of the whole, or why there is nothing.
    pub head: Vec<String>,
    /// The restorations.
    pub rows: Vec<FollowUpRow>,
    /// What is asked of the marked one; nothing if nothing is.
    pub asks: &'static str,
    /// What can be picked.
    pub choices: Vec<ChoiceView>,
    /// How it is answered, and what Enter writes.
    pub says: Vec<String>,
}

/// A restoration that is due.
#[derive(Clone, PartialEq, Debug)]
pub struct FollowUpRow {
    /// The digit that picks it, where it has one now.
    pub digit: Option<char>,
    /// Whether it is marked.
    pub marked: bool,
    /// Whether something else than quiet was said of it.
    pub named: bool,
    /// Case, units, delivery, when it is due, what was heard last, what is said now.
    pub cells: [String; 6],
}

impl Session {
    fn told_in_words(&self, due: &Due) -> (bool, String) {
        match self.follow_up.told.get(&key(due)) {
            None if self.follow_up.rest_quiet => (false, said::QUIET.to_owned()),
            None => (false, said::NOT_SAID.to_owned()),
            Some(Told::NotSeen) => (true, said::NOT_SEEN.to_owned()),
            Some(Told::Became { what, at, on }) => {
                let at = at.map(|at| Phrase::place_in(self.notation, at));
                (true, said::now(*what, at.as_deref(), *on))
            }
        }
    }

    pub(in crate::session) fn follow_up_view(&self) -> FollowUpView {
        let state = &self.follow_up;
        let mut view = FollowUpView {
            title: said::TITLE.to_owned(),
            ..FollowUpView::default()
        };
        let unread = match &state.found {
            None => {
                view.head.push(learn::READS.to_owned());
                return view;
            }
            Some(Found::Reading(done, of)) => {
                view.head.push(progress(*done, *of));
                return view;
            }
            Some(Found::Failed(why)) => {
                view.head.push(why.clone());
                return view;
            }
            Some(Found::Done(all, unread)) => {
                view.head.extend(said::nobodys(all.nobodys));
                *unread
            }
        };
        view.head.extend(said::unread(unread));
        let Some((at, own)) = state.shown() else {
            view.head.push(said::NOTHING_DUE.to_owned());
            return view;
        };
        view.title = said::title(&own.dentist);
        view.of = said::which(at + 1, state.dentists().len());
        let about = said::about(own.due.len(), own.last_order, own.never_heard_of());
        view.head.insert(0, about);
        let first = state.first();
        for (row, due) in own.due.iter().enumerate() {
            let (named, now) = self.told_in_words(due);
            let index = row.checked_sub(first).filter(|index| *index < NINE);
            let digit = index.and_then(|index| ('1'..='9').nth(index));
            view.rows.push(FollowUpRow {
                digit: digit.filter(|_| state.stage == Stage::Row),
                marked: row == state.marked,
                named,
                cells: [
                    crate::text::clean(&due.number),
                    units(due, self.notation),
                    said::day(due.delivered),
                    said::months(due.months),
                    heard(due),
                    now,
                ],
            });
        }
        (view.asks, view.choices) = match state.stage {
            Stage::Row => ("", Vec::new()),
            Stage::What => {
                let mut all = kinds();
                all.push(choice('-', said::NOT_SEEN));
                (words::WHAT, all)
            }
            Stage::Where(_) => {
                let whole = state.due().get(state.marked);
                let whole = whole.map(|due| units(due, self.notation));
                let all = self.places_of_marked().into_iter();
                let names: Vec<String> = all
                    .filter_map(|at| match at {
                        Some(at) => Some(Phrase::place_in(self.notation, at)),
                        None => whole.clone(),
                    })
                    .collect();
                (words::WHERE, numbered(names.iter().map(String::as_str)))
            }
        };
        view.says = match state.stage {
            Stage::Row => {
                let (by, not_seen) = state.counts();
                let on = state.on.filter(|on| Some(*on) != self.today);
                let mut says = vec![self.keymap.say(said::BY_EXCEPTION)];
                says.push(said::NEITHER.to_owned());
                says.push(self.keymap.say(&said::writes(&by, not_seen, on)));
                says
            }
            Stage::What | Stage::Where(_) => {
                vec![self.keymap.say(said::OR_LOST)]
            }
        };
        view
    }
}
