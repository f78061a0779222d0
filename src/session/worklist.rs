//! The list of cases: which part of it is here, what it is filtered by, its order, the marked case and those picked.
//!
//! Only a window of the list is here, as many rows as a screen may show and some more on both sides. The mark asks for the
//! next window when it comes near the edge.

use std::collections::BTreeSet;

use super::{Command, Effect, Prompt, Session};
use crate::phrase::pages::worklist as said;
use crate::worklist::{Counts, Order, WorkItem};

/// How many rows of the list are here at most.
pub const WINDOW: usize = 200;

/// How near to the edge of the window the mark may come.
const EDGE: usize = 40;

/// The most characters of a filter.
const MOST: usize = 100;

/// What of the list is here, and how it was asked for.
#[derive(Clone, PartialEq, Debug, Default)]
pub struct Listing {
    /// The words of the filter.
    pub filter: String,
    /// The order.
    pub order: Order,
    /// How many rows stand before the first that is here.
    pub first: usize,
    /// Whether rows stand behind the last that is here.
    pub more: bool,
    /// Whether it is being looked through for the filter: what is here is of the one before.
    pub looks: bool,
    /// How many cases there are.
    pub counts: Counts,
    /// How many cases have been read, and how many there are to read, while that goes on.
    pub progress: Option<(usize, usize)>,
    /// The numbers of the cases that were picked.
    pub picked: BTreeSet<String>,
}

impl Session {
    /// Shows cases as the whole list. The case that was marked stays marked if it is among them.
    pub fn list(&mut self, items: Vec<WorkItem>) {
        self.list_part(items, 0, false);
    }

    /// Shows a part of the list, with `first` rows before it, and more behind it or not. The case that was marked stays
    /// marked if it is among them.
    pub fn list_part(&mut self, items: Vec<WorkItem>, first: usize, more: bool) {
        let number = self.marked_case().map(|item| item.number.clone());
        let place = items
            .iter()
            .position(|item| Some(&item.number) == number.as_ref());
        self.worklist = items;
        let last = self.worklist.len().saturating_sub(1);
        self.marked = place.unwrap_or(if self.listing.filter.is_empty() {
            self.marked.min(last)
        } else {
            0
        });
        (self.listing.first, self.listing.more) = (first, more);
    }

    /// Returns the marked case of the list, or `None` if it is empty.
    pub fn marked_case(&self) -> Option<&WorkItem> {
        self.worklist.get(self.marked)
    }

    /// Moves the mark; asks for the next part of the list where it comes near the edge of what is here.
    pub(super) fn move_mark(&mut self, down: bool, rows: usize) -> Vec<Effect> {
        let last = self.worklist.len().saturating_sub(1);
        self.marked = if down {
            self.marked.saturating_add(rows).min(last)
        } else {
            self.marked.saturating_sub(rows)
        };
        let below = self.listing.more && self.marked + EDGE > last;
        let above = self.listing.first > 0 && self.marked < EDGE;
        if below || above {
            vec![Effect::List]
        } else {
            Vec::new()
        }
    }

    pub(super) fn open_marked(&mut self) -> Vec<Effect> {
        let number = self.marked_case().map(|item| item.number.clone());
        if number.is_some() && matches!(self.prompt, Some((Prompt::Filter, _))) {
            self.prompt = None;
        }
        number
            .map(|number| Effect::Open { number })
            .into_iter()
            .collect()
    }

    /// Opens the line of the filter.
    pub(super) fn begin_filter(&mut self) {
        self.prompt = Some((Prompt::Filter, self.listing.filter.clone()));
    }

    /// Types into the filter, which narrows the list at once.
    pub(super) fn type_filter(&mut self, text: &str) -> Vec<Effect> {
        let Some((Prompt::Filter, line)) = &mut self.prompt else {
            return Vec::new();
        };
        let room = MOST.saturating_sub(line.chars().count());
        line.extend(text.chars().filter(|c| !c.is_control()).take(room));
        self.listing.filter = line.clone();
        vec![Effect::List]
    }

    pub(super) fn erase_filter(&mut self) -> Vec<Effect> {
        let Some((Prompt::Filter, line)) = &mut self.prompt else {
            return Vec::new();
        };
        if line.pop().is_none() {
            self.prompt = None;
            return Vec::new();
        }
        self.listing.filter = line.clone();
        vec![Effect::List]
    }

    /// Empties the filter. Returns what is to be done, or `None` if it was empty already.
    pub(super) fn empty_filter(&mut self) -> Option<Vec<Effect>> {
        if self.listing.filter.is_empty() {
            return None;
        }
        self.listing.filter.clear();
        Some(vec![Effect::List])
    }

    /// Filters the list by one of the ready filters, in place of what it was filtered by.
    pub(super) fn filter_ready(&mut self, command: Command) -> Vec<Effect> {
        let words = match command {
            Command::OnlyMine if self.who.is_none() => {
                self.notice = Some(said::NO_CODE.to_owned());
                return Vec::new();
            }
            Command::OnlyMine => said::MINE_WORD,
            Command::OnlyDue => said::DUE_WORD,
            Command::OnlyCalls => said::CALLS_WORDS,
            Command::OnlyWaiting => said::WAITING_WORD,
            _ => "",
        };
        words.clone_into(&mut self.listing.filter);
        vec![Effect::List]
    }

    pub(super) fn next_order(&mut self) -> Vec<Effect> {
        self.listing.order = self.listing.order.next();
        vec![Effect::List]
    }

    /// Picks the marked case, or no longer, and goes on to the next.
    pub(super) fn pick_case(&mut self) -> Vec<Effect> {
        let Some(number) = self.marked_case().map(|item| item.number.clone()) else {
            return Vec::new();
        };
        if !self.listing.picked.remove(&number) {
            self.listing.picked.insert(number);
        }
        self.move_mark(true, 1)
    }

    /// Prints the cases that were picked, or the marked one if none is.
    pub(super) fn print_picked(&self) -> Vec<Effect> {
        let mut numbers: Vec<String> = self.listing.picked.iter().cloned().collect();
        if numbers.is_empty() {
            numbers.extend(self.marked_case().map(|item| item.number.clone()));
        }
        if numbers.is_empty() {
            return Vec::new();
        }
        vec![Effect::PrintCases(numbers)]
    }
}
