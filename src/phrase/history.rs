//! What was entered before, a line each: when, who, and what, in plain words.

use jiff::tz::TimeZone;

use super::Phrase;
use super::coming::{came, came_on};
use super::words::{self, day_in_words, minute_in_words};
use crate::case::beside::CaseFile;
use crate::case::coming::Arrival;
use crate::case::decision::Decision;
use crate::case::history::{About, Changed, Counted, Event, How, What};
use crate::case::life::CaseEvent;
use crate::case::{Layer, Reading};
use crate::derive::Facts;
use crate::fact::{FactId, Place, Value};

/// Said where nothing was entered yet.
pub const NOTHING: &str = "nothing was entered yet";

impl Phrase<'_> {
    /// Says what the page looks back at.
    pub fn history_of(self, facts: &Facts<'_>, about: &About) -> String {
        let what = match about {
            About::Case => format!("case {}", facts.case().number),
            About::Spot(spot) => self.named(spot),
            About::Fact(fact) => self.label(fact),
            About::Decision(matter) => {
                format!(
                    "{}, the dentist's answers",
                    self.decided_at(facts, matter.at)
                )
            }
            About::Units => "units of the order".to_owned(),
        };
        format!("{what}: what was entered, newest first")
    }

    /// Says something that happened: when in the time of the bench, who, and what. `about` is what is looked back at: what
    /// the heading says already is left out.
    pub fn event(
        self,
        facts: &Facts<'_>,
        (event, about): (&Event, &About),
        zone: &TimeZone,
    ) -> String {
        let when = event.when.to_zoned_datetime(zone.clone()).datetime();
        let who = event.who.as_deref().filter(|who| !who.is_empty());
        let who = who.map_or_else(String::new, |who| format!(", {who}"));
        let named = match about {
            About::Spot(_) => Named::No,
            About::Fact(_) => Named::Place,
            _ => Named::Whole,
        };
        let what = self.happened(facts, &event.what, named);
        format!("{}{who}: {what}", minute_in_words(when))
    }

    fn happened(self, facts: &Facts<'_>, what: &What, named: Named) -> String {
        match what {
            What::Opened(units) => format!("case opened: {}", self.all_units(units)),
            What::Imported(1) => "1 answer came with a case file".to_owned(),
            What::Imported(n) => format!("{n} answers came with a case file"),
            What::Value(changed) => {
                let said = self.changed(changed);
                match (named, changed.spot.at) {
                    (Named::No, _) | (Named::Place, Place::Case) => said,
                    (Named::Place, at) => format!("{}: {said}", self.place(at)),
                    (Named::Whole, _) => format!("{}: {said}", self.named(&changed.spot)),
                }
            }
            What::Decision(decision) => self.decided_then(facts, decision),
            What::Units(units) => format!("units now {}", self.all_units(units)),
            What::Proposed(0) => "nothing to propose on the call any more".to_owned(),
            What::Proposed(1) => "1 change to propose on the call".to_owned(),
            What::Proposed(n) => format!("{n} changes to propose on the call"),
            What::Arrived(arrival) => arrived(arrival),
            What::Happened(event) => self.became(facts, event),
            What::Outcome(own) => {
                let said = self.outcome_said(facts.case(), own);
                format!("{said}, on {}", day_in_words(own.on))
            }
            What::NoOutcome(own) => {
                let said = self.outcome_said(facts.case(), own);
                format!("outcome taken back: {said}, on {}", day_in_words(own.on))
            }
            What::Handed(to, note) => handed(to, note),
            What::Attached(file) => format!("file added: {}", file.name()),
            What::Detached(path) => format!("file taken off the case: {}", named_file(path)),
            What::Differs(what) => {
                let what = self.happened(facts, what, named);
                format!("{what}, while somebody else wrote another: neither counts")
            }
            What::MovedFlow(flow, aside, anew) => {
                let moved = format!(
                    "checked by flow \"{}\", version {} from here on",
                    flow.id, flow.version
                );
                let fits_not = aside.iter().map(|(spot, value)| self.fits_not(spot, value));
                let again = anew.iter().map(|about| self.asked_again(about));
                let all: Vec<String> = [moved].into_iter().chain(fits_not).chain(again).collect();
                all.join("; ")
            }
            What::TakenBack(what) => {
                format!("taken back: {}", self.happened(facts, what, named))
            }
            What::Again(what) => format!("redone: {}", self.happened(facts, what, named)),
            What::Undone => "something was taken back".to_owned(),
        }
    }

    fn decided_then(self, facts: &Facts<'_>, decision: &Decision) -> String {
        let at = self.decided_at(facts, decision.about.at);
        format!("{at}: {}", self.decision_then(facts, decision))
    }

    fn became(self, facts: &Facts<'_>, event: &CaseEvent) -> String {
        let teeth = event.restorations.iter();
        let teeth: Vec<String> = teeth
            .map(|id| self.decided_at(facts, Place::Restoration(*id)))
            .collect();
        let goes_on = event.goes_on.as_deref();
        let next = goes_on.map_or_else(String::new, |next| format!(", continued as case {next}"));
        format!(
            "{} {} on {}{next}",
            teeth.join("; "),
            event.what.as_str(),
            day_in_words(event.on)
        )
    }

    /// Says how a value changed, in the words of whose word it is.
    fn changed(self, changed: &Changed) -> String {
        let fact = &changed.spot.fact;
        let say = |own: &Option<Counted>| own.as_ref().map(|own| self.counted(fact, own));
        let (was, now) = (say(&changed.was), say(&changed.now));
        let value = |own: Option<&Counted>| own.map(|own| own.value.clone());
        let not_seen = value(changed.now.as_ref()) == Some(Value::NotSeen);
        let missing = || words::NOT_ASKED.to_owned();
        let expected = changed.expected.as_ref();
        let expected = expected.map(|own| self.value(self.flow.spec(fact), own, None));
        match (&changed.how, was, now) {
            (How::Entered, _, _) if not_seen => "checked, could not see".to_owned(),
            (How::Entered, _, Some(now)) => {
                let number = matches!(value(changed.now.as_ref()), Some(Value::Number(..)));
                let word = if number { "measured" } else { "entered" };
                format!("{word}: {now}")
            }
            (How::Entered, was, None) => was.unwrap_or_else(missing),
            (How::Told, _, _) if not_seen => "the dentist does not know either".to_owned(),
            (How::Told, _, now) => format!("told by the dentist: {}", now.unwrap_or_else(missing)),
            (How::Agreed, _, now) => match (expected, now) {
                (Some(expected), _) => {
                    format!("agreed with the dentist: {expected} expected")
                }
                (None, Some(now)) => format!("agreed with the dentist: {now}"),
                (None, None) => "no longer as it was agreed with the dentist".to_owned(),
            },
            (How::SetAside(parts), was, _) => {
                let parts: Vec<&str> = parts.iter().map(|part| came(*part)).collect();
                let why = format!("set aside, a new {} arrived", parts.join(", "));
                was.map_or(why.clone(), |was| format!("{why}; before: {was}"))
            }
            (How::Cleared, Some(was), _) => format!("cleared; before: {was}"),
            (How::Cleared, None, _) => "cleared".to_owned(),
            (How::TakenBack, Some(was), Some(now)) if was != now => {
                format!("taken back: {was}; again {now}")
            }
            (How::TakenBack, Some(was), None) => format!("taken back: {was}"),
            (How::TakenBack, None, Some(now)) => format!("restored: {now}"),
            (How::TakenBack, _, _) => "taken back".to_owned(),
            (How::Again, _, Some(now)) => format!("redone: {now}"),
            (How::Again, _, None) => "cleared again".to_owned(),
            (How::Imported, _, now) => {
                let own = match (expected, now) {
                    (Some(expected), _) => format!("{expected} expected"),
                    (None, now) => {
                        now.unwrap_or_else(|| "read before something new came".to_owned())
                    }
                };
                let told = changed
                    .now
                    .as_ref()
                    .is_some_and(|own| matches!(own.layer, Layer::Decided | Layer::Suspended));
                let told = if told { ", told by the dentist" } else { "" };
                format!("from a case file: {own}{told}")
            }
            (How::Differs, _, now) => {
                let now = now.unwrap_or_else(missing);
                format!("{now}, while somebody else answered differently: neither counts")
            }
        }
    }

    /// A value with its instrument.
    fn counted(self, fact: &FactId, own: &Counted) -> String {
        let reading = Reading {
            value: own.value.clone(),
            with: own.with.clone(),
            who: None,
            when: None,
        };
        let said = self.reading(fact, &reading);
        let with = own.with.as_deref().map(|id| {
            let instrument = self.flow.instrument(id);
            instrument.map_or_else(|| id.to_owned(), |own| own.name.clone())
        });
        with.map_or(said.clone(), |with| format!("{said}, {with}"))
    }
}

/// How much of its place an event names.
#[derive(Clone, Copy)]
enum Named {
    /// Nothing: the heading does.
    No,
    /// The place.
    Place,
    /// The place and what it is called.
    Whole,
}

fn arrived(arrival: &Arrival) -> String {
    let parts = arrival.parts.iter();
    let parts: Vec<String> = parts.map(|part| came_on(*part, arrival.on)).collect();
    parts.join("; ")
}

fn handed(to: &str, note: &str) -> String {
    match note {
        "" => format!("handed over to {to}"),
        note => format!("handed over to {to}: \"{note}\""),
    }
}

/// The name of a file that is known by its path alone.
fn named_file(path: &str) -> String {
    let file = CaseFile {
        path: path.to_owned(),
        sha256: String::new(),
        bytes: 0,
    };
    file.name()
}
