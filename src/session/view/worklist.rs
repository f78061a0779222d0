//! The list of cases.

use super::FindingLine;
use crate::case::Units;
use crate::case::life::State;
use crate::fact::Place;
use crate::judge::Verdict;
use crate::phrase::pages::worklist as said;
use crate::phrase::{Phrase, pages, words};
use crate::session::{Prompt, Session};
use crate::text::clean;
use crate::worklist::{Counts, Order, ShortState, WorkItem};

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
        let mut parts: Vec<String> = left.into_iter().collect();
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

    pub(super) fn worklist_view(&self) -> WorklistView {
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
            typing: matches!(self.prompt, Some((Prompt::Filter, _))),
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
