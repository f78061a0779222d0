//! A remake: which delivered case came back, and what was read of it then.

use jiff::civil::Date;

use super::{Draft, Stage, numbered};
use crate::case::Restoration;
use crate::case::outcome::{Kind, Known, Outcome};
use crate::fact::{ORDER_DENTIST, ORDER_MAKE, Place, REMAKE_CASE, REMAKE_WHAT, Spot, Value};
use crate::phrase::outcome as said;
use crate::session::view::ChoiceView;
use crate::session::{Effect, Inspection, Moment, Page, Session};

/// A delivered restoration that may be the one that came back.
#[derive(Clone, PartialEq, Debug)]
pub struct MayBe {
    /// The number of its case.
    pub number: String,
    /// The restoration.
    pub units: Restoration,
    /// The day of its delivery.
    pub delivered: Date,
}

/// Returns the first restoration that is made again and whose case is not named yet; `None` if there is none, or if
/// something of this case was delivered itself.
pub(super) fn first_open(inspection: &Inspection) -> Option<u8> {
    let case = &inspection.case;
    if !case.delivered().is_empty() {
        return None;
    }
    let mut all = case.units.restorations().iter().map(|own| own.id);
    all.find(|id| {
        let at = Place::Restoration(*id);
        let made = case.value(&ORDER_MAKE, at).and_then(Value::choice);
        made == Some("remake") && case.value(&REMAKE_CASE, at).is_none()
    })
}

/// Returns what went wrong with what is made again, or `None` while nobody has said so.
fn went_wrong(inspection: &Inspection, again: u8) -> Option<Kind> {
    let what = inspection
        .case
        .value(&REMAKE_WHAT, Place::Restoration(again))?;
    Kind::of_remake(what.choice()?)
}

fn dentist(inspection: &Inspection) -> Option<&str> {
    match inspection.case.value(&ORDER_DENTIST, Place::Case)? {
        Value::Text(code) if !code.is_empty() => Some(code),
        _ => None,
    }
}

impl Session {
    /// Returns for which restoration, and of which dentist, cases that may have come back are to be looked for, or `None` if
    /// nobody waits for them.
    pub fn wants_may_be(&self) -> Option<(u8, String)> {
        let Stage::Again(again) = self.outcome.stage else {
            return None;
        };
        if self.page != Page::Outcome || self.outcome.may_be.is_some() {
            return None;
        }
        let inspection = self.inspection.as_ref()?;
        Some((again, dentist(inspection)?.to_owned()))
    }

    /// Asks again which case came back, once that was taken back.
    pub fn look_again(&mut self) {
        if self.page != Page::Outcome || self.outcome.stage != Stage::Kind {
            return;
        }
        if let Some(again) = self.inspection.as_ref().and_then(first_open) {
            self.outcome.stage = Stage::Again(again);
            self.outcome.may_be = None;
        }
    }

    /// Takes the cases that may have come back.
    pub fn take_may_be(&mut self, found: Vec<MayBe>) {
        self.outcome.may_be = Some(found);
    }

    pub(super) fn pick_again(&mut self, again: u8, index: Option<usize>) {
        let picked = index.and_then(|index| self.outcome.may_be.as_ref()?.get(index).cloned());
        let Some(picked) = picked else {
            return;
        };
        let open = self.inspection.as_ref();
        let Some(what) = open.and_then(|own| went_wrong(own, again)) else {
            self.notice = Some(said::WENT_WRONG_FIRST.to_owned());
            return;
        };
        let draft = Draft {
            what,
            restoration: picked.units.id,
            at: picked.units.only_unit(),
            on: None,
            known: Known::usual(what),
        };
        self.outcome.stage = Stage::Link(again, picked, draft);
    }

    /// Keeps the number of the case that came back, and writes down there what became of it.
    pub(super) fn keep_link(&mut self, moment: &Moment) -> Vec<Effect> {
        let Stage::Link(again, from, draft) = self.outcome.stage.clone() else {
            return Vec::new();
        };
        let Some(inspection) = &mut self.inspection else {
            return Vec::new();
        };
        let outcome = Outcome {
            goes_on: Some(inspection.case.number.clone()),
            ..draft.outcome(moment.today)
        };
        let spot = Spot {
            fact: REMAKE_CASE,
            at: Place::Restoration(again),
        };
        let mut effects = inspection.answer_at(spot, Value::Text(from.number.clone()), moment);
        effects.push(Effect::CameBack {
            number: from.number.clone(),
            outcome,
        });
        let next = first_open(inspection);
        self.outcome.stage = next.map_or(Stage::Kind, Stage::Again);
        self.outcome.may_be = None;
        self.notice = Some(said::linked(&from.number));
        effects
    }

    /// Says which cases go on here.
    pub(super) fn goes_on_from(&self, inspection: &Inspection) -> Vec<String> {
        let phrase = self.phrase(inspection);
        let say = |own: &crate::case::before::Earlier| {
            let units = phrase.outcome_at(&inspection.case, own.again, None);
            let delivered = own.delivered(&inspection.case);
            match &own.case {
                Some(_) => {
                    let what = went_wrong(inspection, own.again).map(said::kind);
                    said::goes_on_from(&units, &own.number, delivered, what)
                }
                None => said::not_here(&units, &own.number),
            }
        };
        inspection.earlier.iter().map(say).collect()
    }

    /// What was read of what came back, beside what is read now.
    pub(super) fn read_then(&self, inspection: &Inspection) -> Vec<(String, Vec<String>)> {
        let phrase = self.phrase(inspection);
        let all = inspection.earlier.iter();
        all.map(|own| {
            (
                said::then_and_now(&own.number),
                phrase.readings_then(own, &inspection.case),
            )
        })
        .filter(|(_, lines)| !lines.is_empty())
        .collect()
    }

    pub(super) fn asks_again(
        &self,
        inspection: &Inspection,
        again: u8,
    ) -> (&'static str, Vec<ChoiceView>, Vec<String>) {
        let phrase = self.phrase(inspection);
        let units = phrase.outcome_at(&inspection.case, again, None);
        let mut says = vec![said::made_again(&units)];
        let found = self.outcome.may_be.as_deref().unwrap_or_default();
        if dentist(inspection).is_none() {
            says.push(said::NO_DENTIST.to_owned());
        } else if found.is_empty() && self.outcome.may_be.is_some() {
            says.push(said::NONE_MAY_BE.to_owned());
        }
        let words: Vec<String> = found
            .iter()
            .map(|own| said::may_be(&own.number, &phrase.units(&own.units), own.delivered))
            .collect();
        (
            said::WHICH_AGAIN,
            numbered(words.iter().map(String::as_str)),
            says,
        )
    }

    pub(super) fn asks_link(
        &self,
        inspection: &Inspection,
        from: &MayBe,
        draft: &Draft,
    ) -> (&'static str, Vec<ChoiceView>, Vec<String>) {
        let phrase = self.phrase(inspection);
        let on = draft.on.or(self.today);
        let outcome = said::as_kept(&phrase.units(&from.units), draft.what, on, draft.known);
        let says = vec![
            said::link(&from.number, &outcome, &inspection.case.number),
            self.keymap.say(said::KEEP_LINK),
        ];
        (said::READ_BACK, Vec::new(), says)
    }
}
