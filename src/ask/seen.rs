//! What is seen of a state, to tell what a line has changed.

use std::collections::BTreeMap;

use super::say::{self, About, Said};
use crate::case::Case;
use crate::fact::{Spot, Value};
use crate::phrase::pages::ask as said;
use crate::session::call::State as CallState;
use crate::session::view::{FindingLine, GoneLine, View};
use crate::session::{FollowUpState, Listing, OutcomeState, Page, Prompt, Search, Session};
use crate::tooth::Notation;

/// A value with its instrument.
type Entered = (Value, Option<String>);

/// A state in lines.
pub(super) struct Seen {
    /// The session's state, to tell whether a line has changed anything.
    pub(super) state: PageState,
    /// Header, page and typed line.
    pub(super) parts: Vec<Said>,
    /// What was found.
    found: Vec<FindingLine>,
    /// What the newest change took away.
    gone: Vec<GoneLine>,
    /// What was answered.
    readings: BTreeMap<Spot, Entered>,
    /// What is shown.
    pub(super) view: View,
}

/// Everything that a line can change.
#[derive(PartialEq)]
pub(super) struct PageState {
    pub(super) entries: Option<u64>,
    number: Option<String>,
    trying: bool,
    page: Page,
    prompt: Option<(Prompt, String)>,
    pub(super) cursor: Option<Spot>,
    marks: (usize, usize, usize),
    listing: Listing,
    call: CallState,
    outcome: OutcomeState,
    follow_up: FollowUpState,
    search: Option<Search>,
    notation: Notation,
    takes: Option<String>,
    pub(super) asked: bool,
}

impl Seen {
    pub(super) fn of(session: &Session) -> Seen {
        let view = session.view();
        let open = session.inspection.as_ref();
        let mut parts: Vec<Said> = Vec::new();
        if let Some(head) = &view.header {
            parts.push(say::part(About::Header, say::header(head)));
        }
        parts.extend(say::parts(session, &view));
        let step = session.step_in_hand();
        Seen {
            state: PageState {
                entries: open.map(|i| i.entries()),
                number: open.map(|i| i.case().number.clone()),
                trying: session.is_trying(),
                page: session.page,
                prompt: session.over.line().cloned(),
                cursor: open.and_then(|i| i.cursor()).cloned(),
                marks: (
                    session.marked,
                    session.findings.marked,
                    session.options.marked,
                ),
                // How far reading is changes by itself.
                listing: Listing {
                    progress: None,
                    ..session.listing.clone()
                },
                call: session.call.clone(),
                outcome: session.outcome.clone(),
                follow_up: session.follow_up.clone(),
                search: session.over.find().cloned(),
                notation: session.notation,
                takes: say::takes(&view).map(str::to_owned),
                asked: session.is_asked_back(),
            },
            parts,
            gone: step
                .as_ref()
                .map_or_else(Vec::new, |page| page.gone.clone()),
            found: step.map_or_else(Vec::new, |page| page.findings),
            readings: open.map_or_else(BTreeMap::new, |i| readings(i.case())),
            view,
        }
    }

    /// Returns what has been answered, cleared, found and lost since `before`.
    pub(super) fn changes(&self, session: &Session, before: &Seen) -> Vec<String> {
        if self.state.number != before.state.number {
            return Vec::new();
        }
        let mut lines = Vec::new();
        if self.state.trying == before.state.trying {
            lines.extend(self.answers(session, before));
        }
        // The mark of what is new goes with the next key: it says nothing about the finding itself.
        let unmarked = |own: &FindingLine| FindingLine {
            new: false,
            ..own.clone()
        };
        let old: Vec<FindingLine> = before.found.iter().map(unmarked).collect();
        let is_old = |own: &FindingLine| old.contains(&unmarked(own));
        let found = self.found.iter().filter(|own| !is_old(own));
        lines.extend(found.map(|own| {
            let line = say::finding(own);
            if own.new {
                said::new_finding(&line)
            } else {
                said::changed_finding(&line)
            }
        }));
        // While trying, what is gone is gone since the beginning; else only with a change.
        let told = |gone: &&GoneLine| {
            if self.state.trying {
                !before.gone.contains(gone)
            } else {
                self.state.entries != before.state.entries
            }
        };
        let gone = self.gone.iter().filter(told);
        lines.extend(gone.map(|gone| said::gone(&gone.said())));
        lines.iter().map(|line| say::plain(line)).collect()
    }

    fn answers(&self, session: &Session, before: &Seen) -> Vec<String> {
        let spots = self.readings.keys().chain(before.readings.keys());
        let mut changed: Vec<&Spot> = spots
            .filter(|spot| self.readings.get(spot) != before.readings.get(spot))
            .collect();
        changed.sort();
        changed.dedup();
        let told = changed.into_iter().filter_map(|spot| {
            let line = match (
                session.two_answers_in_words(spot),
                session.cell_in_words(spot)?,
            ) {
                (Some(both), _) => said::kept_beside(&both),
                (None, (name, Some(answer))) => said::kept(&name, &answer, self.state.trying),
                (None, (name, None)) => said::cleared(&name),
            };
            Some(match session.not_saved.is_some() && !self.state.trying {
                true => said::not_kept(&line),
                false => line,
            })
        });
        told.collect()
    }

    /// Returns the lines of header, page and typed line that were not said before. Of detail it says only that there is some.
    pub(super) fn new_lines(&self, before: &Seen) -> Vec<String> {
        let mut lines = Vec::new();
        for part in &self.parts {
            // A line of another page was another line, though it read alike.
            let stays = self.state.page == before.state.page || part.about == About::Header;
            let old = before.parts.iter().find(|old| old.about == part.about);
            let old = old.filter(|_| stays);
            if let Some(aside) = &part.aside {
                let is_new = old.is_none_or(|old| old.lines != part.lines);
                lines.extend(is_new.then(|| aside.clone()));
                continue;
            }
            let mut left: Vec<&String> = old.iter().flat_map(|old| &old.lines).collect();
            for line in &part.lines {
                match left.iter().position(|old| *old == line) {
                    Some(at) => drop(left.swap_remove(at)),
                    None => lines.push(line.clone()),
                }
            }
        }
        lines
    }

    /// Returns the marked line of a list in full.
    pub(super) fn marked(&self) -> Vec<String> {
        let marked = |part: &&Said| matches!(part.about, About::Marked(_));
        let parts = self.parts.iter().filter(marked);
        parts.flat_map(|part| part.lines.iter().cloned()).collect()
    }

    /// Returns what a line answers: the open question, the panel of an answer, the line that is typed.
    pub(super) fn asked(&self) -> Vec<String> {
        let asks = self.parts.iter().filter(|part| part.asks);
        asks.flat_map(|part| part.lines.iter().cloned()).collect()
    }
}

/// Every reading that counts, also where its place is gone for now.
fn readings(case: &Case) -> BTreeMap<Spot, Entered> {
    case.present()
        .chain(case.set_aside())
        .map(|(spot, _, reading)| (spot.clone(), (reading.value.clone(), reading.with.clone())))
        .collect()
}
