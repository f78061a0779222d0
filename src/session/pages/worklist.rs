//! The list of cases: which part of it is here, what it is filtered by, its order, the marked case and those picked.
//!
//! Only a window of the list is here, as many rows as a screen may show and some more on both sides. The mark asks for the
//! next window when it comes near the edge.

use std::collections::BTreeSet;

use crate::case::Units;
use crate::case::life::State;
use crate::fact::Place;
use crate::judge::Verdict;
use crate::phrase::pages::worklist as said;
use crate::phrase::{Phrase, outcome, pages, words};
use crate::session::view::FindingLine;
use crate::session::{Command, Effect, Page, Prompt, Session};
use crate::text::clean;
use crate::worklist::{CameBack, Counts, Order, ShortState, WorkItem};

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
    /// Carries out a command of the page; `None` if it is none.
    pub(in crate::session) fn worklist_command(&mut self, command: Command) -> Option<Vec<Effect>> {
        let effects = match command {
            Command::PageDown | Command::PageUp if self.is_on_the_list() => {
                self.move_mark(command == Command::PageDown, 10)
            }
            Command::Up | Command::Down if self.is_on_the_list() => {
                self.move_mark(command == Command::Down, 1)
            }
            Command::Print if self.page == Page::Worklist => self.print_picked(),
            Command::Filter => {
                self.begin_filter();
                Vec::new()
            }
            Command::KeepFilter => {
                self.over.close_line();
                Vec::new()
            }
            Command::NewCase => {
                self.over.ask((Prompt::Number, String::new()));
                Vec::new()
            }
            Command::OnlyMine | Command::OnlyDue | Command::OnlyCalls | Command::OnlyWaiting => {
                self.filter_ready(command)
            }
            Command::Sort => self.next_order(),
            Command::Pick => self.pick_case(),
            Command::OpenCase => self.open_marked(),
            _ => return None,
        };
        Some(effects)
    }

    /// Whether keys move the mark of the list of cases.
    fn is_on_the_list(&self) -> bool {
        let filters = matches!(self.over.line(), Some((Prompt::Filter, _)));
        self.page == Page::Worklist && (self.over.top().is_none() || filters)
    }

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
    pub(in crate::session) fn move_mark(&mut self, down: bool, rows: usize) -> Vec<Effect> {
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

    pub(in crate::session) fn open_marked(&mut self) -> Vec<Effect> {
        let number = self.marked_case().map(|item| item.number.clone());
        if number.is_some() && matches!(self.over.line(), Some((Prompt::Filter, _))) {
            self.over.close_line();
        }
        number
            .map(|number| Effect::Open { number })
            .into_iter()
            .collect()
    }

    /// Opens the line of the filter.
    pub(in crate::session) fn begin_filter(&mut self) {
        self.over.ask((Prompt::Filter, self.listing.filter.clone()));
    }

    /// Types into the filter, which narrows the list at once.
    pub(in crate::session) fn type_filter(&mut self, text: &str) -> Vec<Effect> {
        let Some((Prompt::Filter, line)) = self.over.line_mut() else {
            return Vec::new();
        };
        let room = MOST.saturating_sub(line.chars().count());
        line.extend(text.chars().filter(|c| !c.is_control()).take(room));
        self.listing.filter = line.clone();
        vec![Effect::List]
    }

    pub(in crate::session) fn erase_filter(&mut self) -> Vec<Effect> {
        let Some((Prompt::Filter, line)) = self.over.line_mut() else {
            return Vec::new();
        };
        if line.pop().is_none() {
            self.over.close_line();
            return Vec::new();
        }
        self.listing.filter = line.clone();
        vec![Effect::List]
    }

    /// Empties the filter. Returns what is to be done, or `None` if it was empty already.
    pub(in crate::session) fn empty_filter(&mut self) -> Option<Vec<Effect>> {
        if self.listing.filter.is_empty() {
            return None;
        }
        self.listing.filter.clear();
        Some(vec![Effect::List])
    }

    /// Filters the list by one of the ready filters, in place of what it was filtered by.
    pub(in crate::session) fn filter_ready(&mut self, command: Command) -> Vec<Effect> {
        let words = match command {
            Command::OnlyMine if self.who.is_none() => {
                self.notice = Some(said::NO_CODE.to_owned());
                return Vec::new();
            }
            Command::OnlyMine => said::MINE_WORD,
            Command::OnlyDue => said::DUE_WORD,
            Command::OnlyCalls => said::CALLS_WORD,
            _ => said::WAITING_WORD,
        };
        words.clone_into(&mut self.listing.filter);
        vec![Effect::List]
    }

    pub(in crate::session) fn next_order(&mut self) -> Vec<Effect> {
        self.listing.order = self.listing.order.next();
        vec![Effect::List]
    }

    /// Picks the marked case, or no longer, and goes on to the next.
    pub(in crate::session) fn pick_case(&mut self) -> Vec<Effect> {
        let Some(number) = self.marked_case().map(|item| item.number.clone()) else {
            return Vec::new();
        };
        if !self.listing.picked.remove(&number) {
            self.listing.picked.insert(number);
        }
        self.move_mark(true, 1)
    }

    /// Prints the cases that were picked, or the marked one if none is.
    pub(in crate::session) fn print_picked(&self) -> Vec<Effect> {
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

/// The list of cases.
#[derive(Clone)]
pub struct WorklistView {
    /// The cases, as far as they are here.
    pub rows: Vec<WorklistRow>,
    /// How many cases stand before the first of them.
    pub first: usize,
    /// Whether cases stand behind the last of them.
    pub more: bool,
    /// The marked row, by its place among those that are here.
    pub marked: usize,
    /// The marked case in short.
    pub about: Option<AboutCase>,
    /// The ready filters, each behind its key.
    pub ready: String,
    /// Today, where it is known.
    pub today: Option<String>,
    /// What is said where there is no case.
    pub empty: [String; 2],
    /// The words of the filter.
    pub filter: String,
    /// Whether they are being typed.
    pub typing: bool,
    /// How many cases the filter has left, where that is known.
    pub found: Option<String>,
    /// The order in words.
    pub order: &'static str,
    /// How many cases there are.
    pub counts: Counts,
    /// How many cases have been read, while that goes on.
    pub progress: Option<String>,
    /// How many cases are picked.
    pub picked: usize,
    /// The notation in force.
    pub notation: &'static str,
}

/// What the row of the marked case has no room for.
#[derive(Clone, PartialEq, Debug)]
pub struct AboutCase {
    /// Number, units, materials.
    pub title: String,
    /// The gravest finding.
    pub found: Option<FindingLine>,
    /// How many questions are left, the day that was promised, when it was last worked on.
    pub lines: Vec<String>,
}

impl AboutCase {
    /// Returns all of it in a line.
    pub fn in_a_line(&self) -> String {
        let found = self.found.iter();
        let mut parts: Vec<String> = found
            .map(|own| said::gravest(&own.place, &own.says))
            .collect();
        parts.extend(self.lines.iter().cloned());
        said::marked(&self.title, &parts)
    }
}

/// A case in the list.
#[derive(Clone, PartialEq, Debug)]
pub struct WorklistRow {
    /// The case's number.
    pub number: String,
    /// Its units, restorations behind semicolons; empty where they are not known.
    pub units: String,
    /// The dentist's code, or nothing.
    pub dentist: String,
    /// How far it is; empty for a case that cannot be read.
    pub state: String,
    /// The same without what is awaited, where there is no room for it.
    pub state_in_short: String,
    /// Whose turn it is, or nothing.
    pub turn: &'static str,
    /// What it comes to, in words.
    pub result: String,
    /// What it comes to, or `None` if it cannot be read or was not yet.
    pub verdict: Option<Verdict>,
    /// What the result may not be read without where there is no room for the state; empty where it says all.
    pub beside: String,
    /// The first day on which something is due, or nothing.
    pub due: String,
    /// Whether that day is past.
    pub late: bool,
    /// Who has it, or nothing.
    pub who: String,
    /// When it was last worked on, or nothing.
    pub last: String,
    /// Whether it is picked.
    pub picked: bool,
}

impl WorklistRow {
    /// Returns the head and the text of each column, as they stand from left to right.
    pub fn columns(&self) -> [(&'static str, &str); 9] {
        [
            (said::CASE, &self.number),
            (said::UNITS, &self.units),
            (said::DENTIST, &self.dentist),
            (said::STATE, &self.state),
            (said::RESULT, &self.result),
            (said::DUE, &self.due),
            (said::WITH, &self.who),
            (said::LAST, &self.last),
            (said::TURN, self.turn),
        ]
    }
}

/// Says an order in words.
fn in_order(order: Order) -> &'static str {
    match order {
        Order::Turn => said::SORTED_BY_TURN,
        Order::Last => said::SORTED_BY_LAST,
        Order::Number => said::SORTED_BY_NUMBER,
        Order::Dentist => said::SORTED_BY_DENTIST,
        Order::Who => said::SORTED_BY_WHO,
    }
}

/// Says whose turn it is: the dentist's while something is awaited, nobody's once the case is closed.
fn turn(item: &WorkItem) -> &'static str {
    match item.state.as_ref().map(|own| own.state) {
        None => "",
        Some(_) if item.closed => "",
        Some(State::Waiting) => said::THEIRS,
        Some(_) => said::OURS,
    }
}

impl Session {
    fn worklist_row(&self, item: &WorkItem) -> WorklistRow {
        let restorations = item.units.as_ref().map_or(&[][..], Units::restorations);
        let units: Vec<String> = restorations
            .iter()
            .map(|restoration| Phrase::units_in(self.notation, restoration))
            .collect();
        let not_covered = (item.not_covered, restorations.len());
        let said = |in_short: &dyn Fn(&ShortState) -> String| {
            let state = item.state.as_ref();
            let said = state.map(|own| {
                let said = said::state(own.state, &in_short(own), item.left, not_covered);
                let said = match &item.came_back {
                    Some(own) => outcome::came_back(own.what, &said),
                    None => said,
                };
                match item.disputed {
                    true => said::two_answers(&said),
                    false => said,
                }
            });
            said.unwrap_or_default()
        };
        let state = said(&ShortState::in_short);
        let state_in_short = said(&ShortState::without_awaited);
        let due = item.first_due();
        let beside = match (&item.state, item.verdict) {
            (Some(state), _) if state.state == State::Waiting => {
                words::state(State::Waiting).to_owned()
            }
            (Some(state), Some(verdict)) => {
                pages::beside_in_short(verdict, not_covered, state.state)
            }
            _ => String::new(),
        };
        let mut row = WorklistRow {
            number: clean(&item.number),
            units: pages::units(units.iter().map(|units| vec![units.as_str()])),
            dentist: item.dentist.as_deref().map_or_else(String::new, clean),
            state,
            state_in_short,
            turn: turn(item),
            result: said::result(item.verdict).to_owned(),
            verdict: item.verdict,
            beside,
            due: due.map_or_else(String::new, |due| said::due(due, self.today)),
            late: self.today.is_some_and(|today| item.is_late(today)),
            who: item.who.as_deref().map_or_else(String::new, clean),
            last: item
                .touched
                .map_or_else(String::new, |day| said::day(day, self.today)),
            picked: self.listing.picked.contains(&item.number),
        };
        if !item.fresh {
            // What was judged may be another by now.
            row.verdict = None;
            row.late = false;
            row.turn = "";
            let judged = [
                &mut row.state,
                &mut row.state_in_short,
                &mut row.result,
                &mut row.due,
            ];
            for judged in judged {
                said::NOT_YET.clone_into(judged);
            }
        }
        row
    }

    /// Says what came back of a case, where and when.
    fn came_back(&self, item: &WorkItem, own: &CameBack) -> String {
        let units = item.units.as_ref();
        let whole = || {
            let restoration = units.and_then(|units| units.restoration(own.restoration));
            restoration.map(|own| Phrase::units_in(self.notation, own))
        };
        let at = match own.at {
            Some(at) => Some(Phrase::place_in(self.notation, at)),
            None => whole(),
        };
        let day = said::day(own.on, self.today);
        outcome::came_back_on(&at.unwrap_or_default(), own.what, &day)
    }

    /// Says of a case what its row has no room for.
    fn about(&self, item: &WorkItem) -> AboutCase {
        let row = self.worklist_row(item);
        let materials: Vec<String> = item.materials.iter().map(|own| clean(own)).collect();
        let gravest = item.gravest.as_ref().filter(|_| item.fresh);
        let found = gravest.map(|own| FindingLine {
            level: own.level,
            place: match own.at {
                Place::Unit(tooth) | Place::Wall(tooth, _) => self.notation.show(tooth),
                Place::Connector(a, b) => {
                    format!("{}-{}", self.notation.show(a), self.notation.show(b))
                }
                Place::Case | Place::Restoration(_) => String::new(),
            },
            says: clean(&own.says),
            passed: None,
            new: false,
            folded: 0,
        });
        let left = said::left(item.left).filter(|_| item.fresh && !item.closed);
        let promised = item.promised.map(|day| said::day(day, self.today));
        let came_back = item.came_back.as_ref().filter(|_| item.fresh);
        let came_back = came_back.map(|own| self.came_back(item, own));
        let mut parts: Vec<String> = came_back.into_iter().chain(left).collect();
        parts.extend(promised.map(|day| said::promised(&day)));
        let worked = (!row.last.is_empty()).then(|| said::last_worked(&row.last, &row.who));
        parts.extend(worked);
        AboutCase {
            title: said::marked_title(&row.number, &row.units, &materials),
            found,
            lines: (!parts.is_empty())
                .then(|| pages::listed(&parts.iter().map(String::as_str).collect::<Vec<_>>()))
                .into_iter()
                .collect(),
        }
    }

    pub(in crate::session) fn worklist_view(&self) -> WorklistView {
        let listing = &self.listing;
        let filtered = !listing.filter.trim().is_empty();
        let empty = if filtered {
            [
                said::NO_MATCH.to_owned(),
                self.keymap.say(said::CLEAR_FILTER),
            ]
        } else {
            [self.keymap.say(said::FIRST_CASE), said::SAMPLE.to_owned()]
        };
        let here = listing.first + self.worklist.len();
        WorklistView {
            rows: self
                .worklist
                .iter()
                .map(|item| self.worklist_row(item))
                .collect(),
            first: listing.first,
            more: listing.more,
            marked: self.marked,
            about: self.marked_case().map(|item| self.about(item)),
            ready: self.keymap.say(said::READY_FILTERS),
            today: self.today.map(said::today),
            empty,
            filter: clean(&listing.filter),
            typing: matches!(self.over.line(), Some((Prompt::Filter, _))),
            found: if listing.looks {
                Some(said::LOOKS.to_owned())
            } else {
                (filtered && !listing.more).then(|| said::found(here))
            },
            order: in_order(listing.order),
            counts: listing.counts,
            progress: listing.progress.map(|(done, of)| said::progress(done, of)),
            picked: listing.picked.len(),
            notation: self.notation.name(),
        }
    }
}
