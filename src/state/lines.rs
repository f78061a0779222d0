//! How far a restoration is, in a line: what comes next, and what is not to be done before.

use jiff::civil::Date;

use super::{CaseState, NotYet, RestorationState};
use crate::case::coming::{Awaited, Part};
use crate::case::life::State;
use crate::derive::Facts;
use crate::fact::Place;
use crate::phrase::coming::{NOT_RECORDED, came, part};
use crate::phrase::{Phrase, join, words};

impl CaseState {
    /// Says each restoration in a line.
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

    /// Says the state of the case in a few words: what is waited for, and of how many restorations.
    pub fn in_short(&self) -> String {
        let mut said = words::state(self.state).to_uppercase();
        let (own, all) = self.of;
        if own < all {
            said.push_str(&format!(" {own} of {all}"));
        }
        if self.state == State::Waiting {
            let parts = self.missing();
            if !parts.is_empty() {
                said.push_str(&format!(" for {}", join(&parts)));
            }
        }
        said
    }

    /// What is waited for, each once.
    fn missing(&self) -> Vec<String> {
        let mut said: Vec<String> = Vec::new();
        for own in self.awaited() {
            let text = what(own).to_owned();
            if !said.contains(&text) {
                said.push(text);
            }
        }
        said
    }
}

/// What is awaited, in words.
fn what(own: &Awaited) -> &'static str {
    if own.is_recorded {
        part(own.part)
    } else {
        NOT_RECORDED
    }
}

impl RestorationState {
    /// Says it in a line that begins with its teeth.
    pub fn line(&self, facts: &Facts<'_>, phrase: Phrase<'_>, today: Option<Date>) -> String {
        let teeth = phrase.decided_at(facts, Place::Restoration(self.id));
        let word = phrase.state(self.state).to_uppercase();
        match self.state {
            State::ToCall => {
                let again = if self.again { ", asked again" } else { "" };
                let questions = match self.asks {
                    1 => "1 question to the dentist".to_owned(),
                    n => format!("{n} questions to the dentist"),
                };
                let ours = match self.ours(facts, phrase).as_slice() {
                    [] => String::new(),
                    list => format!(" Ours to do: {}.", list.join("; ")),
                };
                format!("{teeth} CALL FIRST{again}: {questions}.{ours} Do not start {teeth}.")
            }
            State::Returned | State::Delivered | State::Withdrawn => {
                let day = self
                    .since
                    .map_or_else(String::new, |day| format!(" {}", phrase.day(day)));
                let next = match &self.goes_on {
                    Some(number) => format!(" Nothing under this number: see {number}."),
                    None if self.state == State::Returned => {
                        " Nothing is made under this number.".to_owned()
                    }
                    None => String::new(),
                };
                let open = match self.asks {
                    0 => String::new(),
                    _ if self.state != State::Delivered => String::new(),
                    1 => " One question to the dentist was never answered.".to_owned(),
                    n => format!(" {n} questions to the dentist were never answered."),
                };
                format!("{teeth} {word}{day}.{next}{open}")
            }
            State::Inspecting => format!("{teeth} {word}: {}.", self.left(facts, phrase)),
            State::Waiting => self.waiting(facts, phrase, today, &teeth),
            State::ForDesign => {
                format!(
                    "{teeth} {word}. Do not make {teeth}: {}.{}",
                    self.not_made_for(facts, phrase),
                    self.on_models()
                )
            }
            State::ToMake => {
                let accepted: Vec<String> = self
                    .accepted
                    .iter()
                    .map(|finding| phrase.line(facts, finding))
                    .collect();
                let cleared = match accepted.as_slice() {
                    [] => format!("{teeth} {word}."),
                    list => format!(
                        "{teeth} {word} as it was decided. Accepted: {}.",
                        join(list)
                    ),
                };
                format!("{cleared}{}", self.mind(facts, phrase))
            }
            State::NotCovered => format!("{teeth} {word}: not checked here."),
        }
    }

    /// What to mind although it may be made: what is not known, and what stands beside it unchecked.
    fn mind(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> String {
        let mut said = self.on_models().to_owned();
        let untold: Vec<String> = self
            .untold
            .iter()
            .map(|spot| phrase.label(&spot.fact))
            .collect();
        if !untold.is_empty() {
            said.push_str(&format!(" Not known yet: {}.", join(&untold)));
        }
        for id in &self.unchecked_beside {
            let other = phrase.decided_at(facts, Place::Restoration(*id));
            said.push_str(&format!(
                " {other} beside it is not checked here: set the contact when it is settled."
            ));
        }
        said
    }

    /// On which models it is made, where there are two.
    fn on_models(&self) -> &'static str {
        if self.on_earlier_record {
            " Made on the earlier models, not on the new ones."
        } else {
            ""
        }
    }

    /// What the laboratory has to do again, in words.
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

    /// What is left at the bench.
    fn left(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> String {
        let mut said = self.ours(facts, phrase);
        match self.to_do.len() {
            0 => {}
            1 => said.push("1 question to do".to_owned()),
            n => said.push(format!("{n} questions to do")),
        }
        if !self.not_seen.is_empty() {
            let names: Vec<String> = self
                .not_seen
                .iter()
                .map(|spot| {
                    let label = phrase.label(&spot.fact);
                    match spot.at {
                        Place::Case => label,
                        at => format!("{} {label}", phrase.place(at)),
                    }
                })
                .collect();
            said.push(format!("not seen: {}", join(&names)));
        }
        said.join("; ")
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
                let text = what(own);
                if at.is_empty() || at == teeth || !own.is_recorded {
                    text.to_owned()
                } else {
                    format!("{text} of {at}")
                }
            })
            .collect();
        let due = self.awaited.iter().filter_map(|own| own.due).max();
        let late = due.zip(today).is_some_and(|(due, today)| due < today);
        let due = match due {
            Some(_) if late => ", late".to_owned(),
            Some(due) => format!(", due {}", phrase.day(due)),
            None => String::new(),
        };
        let here = self.here(facts);
        format!(
            "{teeth} WAITING for {}{due}. {here}Do not start {teeth}.",
            join(&parts)
        )
    }

    /// What of the same agreement is here already.
    fn here(&self, facts: &Facts<'_>) -> String {
        let mut parts: Vec<Part> = self
            .awaited
            .iter()
            .flat_map(|own| &own.matters)
            .flat_map(|about| facts.case().got(about))
            .map(|(part, _)| *part)
            .collect();
        parts.sort();
        parts.dedup();
        let said: Vec<String> = parts.iter().map(|part| came(*part).to_owned()).collect();
        if said.is_empty() {
            return String::new();
        }
        let text = join(&said);
        let is = if said.len() == 1 { "is" } else { "are" };
        format!(
            "{}{} {is} here: inspect only. ",
            &text[..1].to_uppercase(),
            &text[1..]
        )
    }

    /// Why it is not made yet, in words.
    pub fn not_made_for(&self, facts: &Facts<'_>, phrase: Phrase<'_>) -> String {
        let said: Vec<String> = self
            .not_yet
            .iter()
            .map(|why| match why {
                NotYet::Undrawn => "connectors to be drawn".to_owned(),
                NotYet::Redraw(finding) => {
                    let bench = phrase.bench(facts, finding);
                    let line = phrase.line(facts, finding);
                    match bench {
                        Some(bench) => format!("{line}; {}", bench.trim_end_matches('.')),
                        None => line,
                    }
                }
                NotYet::Awaits(own) => format!("{} is missing", part(*own)),
                NotYet::Tells(spot) => {
                    let label = phrase.label(&spot.fact);
                    match spot.at {
                        Place::Case => format!("{label} not known"),
                        at => format!("{label} of {} not known", phrase.decided_at(facts, at)),
                    }
                }
                NotYet::Beside(id) => format!(
                    "{} beside it waits for its impression",
                    phrase.decided_at(facts, Place::Restoration(*id))
                ),
            })
            .collect();
        said.join("; ")
    }
}
