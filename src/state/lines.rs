//! How far a restoration is, in a line.

use jiff::civil::Date;

use super::{CaseState, NotYet, RestorationState};
use crate::case::coming::Part;
use crate::case::life::State;
use crate::derive::Facts;
use crate::fact::Place;
use crate::phrase::Phrase;
use crate::phrase::states::{self, Caveats};

impl CaseState {
    /// Returns a line for each restoration, with its state.
    pub fn lines(
        &self,
        facts: &Facts<'_>,
        phrase: Phrase<'_>,
        today: Option<Date>,
    ) -> Vec<(State, String)> {
        self.restorations
            .iter()
            .map(|own| (own.state, own.line(facts, phrase, today)))
            .collect()
    }

    /// Returns the state of the case in a few words: of how many restorations, and what is waited for.
    pub fn in_short(&self) -> String {
        states::in_short(self.state, self.of, &self.awaited())
    }
}

impl RestorationState {
    /// Returns the line of this restoration, which begins with its teeth.
    pub fn line(&self, facts: &Facts<'_>, phrase: Phrase<'_>, today: Option<Date>) -> String {
        let teeth = phrase.decided_at(facts, Place::Restoration(self.id));
        match self.state {
            State::ToCall => {
                let ours = self.ours(facts, phrase);
                let left = self.at_the_bench(phrase);
                states::call_first(&teeth, self.again, self.asks, &ours, &left)
            }
            State::Returned | State::Delivered | State::Closed | State::Withdrawn => {
                let unanswered = match self.state {
                    State::Delivered => self.asks,
                    _ => 0,
                };
                let goes_on = self.goes_on.as_deref();
                states::closed(&teeth, self.state, self.since, goes_on, unanswered)
            }
            State::Inspecting => states::inspecting(&teeth, &self.left(facts, phrase)),
            State::Waiting => self.waiting(facts, phrase, today, &teeth),
            State::ForDesign => {
                let reasons = self.not_made_for(facts, phrase);
                states::for_design(&teeth, &reasons, self.on_earlier_record)
            }
            State::ToMake => self.to_make(facts, phrase, &teeth),
            State::NotCovered => states::not_covered(&teeth),
        }
    }

    fn to_make(&self, facts: &Facts<'_>, phrase: Phrase<'_>, teeth: &str) -> String {
        let accepted = self.accepted.iter();
        let accepted: Vec<String> = accepted
            .map(|finding| phrase.line(facts, finding))
            .collect();
        let untold = self.untold.iter();
        let untold: Vec<String> = untold.map(|spot| phrase.label(&spot.fact)).collect();
        let beside = self.unchecked_beside.iter();
        let unchecked: Vec<String> = beside
            .map(|id| phrase.decided_at(facts, Place::Restoration(*id)))
            .collect();
        let caveats = Caveats {
            on_earlier_models: self.on_earlier_record,
            untold: &untold,
            unchecked: &unchecked,
        };
        states::to_make(teeth, &accepted, caveats)
    }

    /// Returns what the laboratory has to do again, in words.
    fn ours(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> Vec<String> {
        let say = |finding| {
            phrase
                .bench(facts, finding)
                .unwrap_or_else(|| phrase.line(facts, finding))
        };
        let said = self.ours.iter().map(say);
        said.map(|text| text.trim_end_matches('.').to_owned())
            .collect()
    }

    /// Returns what is left at the bench, in words.
    fn left(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> Vec<String> {
        let mut said: Vec<String> = states::in_the_laboratory(&self.ours(facts, phrase))
            .into_iter()
            .collect();
        said.extend(self.at_the_bench(phrase));
        said
    }

    /// Returns what is still to be answered at the bench, in words.
    fn at_the_bench(&self, phrase: Phrase<'_>) -> Vec<String> {
        let mut said: Vec<String> = states::questions_left(self.to_do.len())
            .into_iter()
            .collect();
        let names: Vec<String> = self
            .not_seen
            .iter()
            .map(|spot| {
                let label = phrase.label(&spot.fact);
                states::named(phrase, spot.at, &label)
            })
            .collect();
        said.extend(states::not_seen(&names));
        said
    }

    fn waiting(
        &self,
        facts: &Facts<'_>,
        phrase: Phrase<'_>,
        today: Option<Date>,
        teeth: &str,
    ) -> String {
        let parts: Vec<String> = self
            .awaited
            .iter()
            .map(|own| {
                let at = phrase.awaited_for(facts, own);
                let named = own.is_recorded && at != teeth;
                states::awaited_for(own, if named { &at } else { "" })
            })
            .collect();
        let due = self.awaited.iter().filter_map(|own| own.due).max();
        let late = due.zip(today).is_some_and(|(due, today)| due < today);
        states::waiting(teeth, &parts, due, late, &self.here(facts))
    }

    /// Returns what of the same agreement is here already.
    fn here(&self, facts: &Facts<'_>) -> Vec<Part> {
        let mut parts: Vec<Part> = self
            .awaited
            .iter()
            .flat_map(|own| &own.matters)
            .flat_map(|about| facts.case().got(about))
            .map(|(part, _)| *part)
            .collect();
        parts.sort();
        parts.dedup();
        parts
    }

    /// Returns why it is not made yet, in words.
    pub fn not_made_for(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> String {
        let teeth = |at: Place| phrase.decided_at(facts, at);
        let said: Vec<String> = self
            .not_yet
            .iter()
            .map(|why| match why {
                NotYet::Undrawn => states::NOT_DRAWN.to_owned(),
                NotYet::Redraw(finding) => {
                    let bench = phrase.bench(facts, finding);
                    let bench = bench.as_deref().map(|own| own.trim_end_matches('.'));
                    states::redraw(&phrase.line(facts, finding), bench)
                }
                NotYet::Awaits(own) => states::still_to_come(*own),
                NotYet::Tells(spot) => {
                    let at = (spot.at != Place::Case).then(|| teeth(spot.at));
                    states::not_told(&phrase.label(&spot.fact), at.as_deref())
                }
                NotYet::Beside(id) => states::next_to(&teeth(Place::Restoration(*id))),
            })
            .collect();
        said.join("; ")
    }
}
