//! Now and then side by side: options with the result and grip that they lead to, and what is expected.

use super::{Block, Document, Told};
use crate::derive::{Facts, Precision};
use crate::fact::{GRIP, Place, Unit, Value};
use crate::judge::judge;
use crate::options::{After, CaseOption};
use crate::phrase::sheets::{self, compared as says};
use crate::phrase::{grip_moved, number_words, words};

/// Adds a table of options, each by its text: result and grip now and with it. Without the columns of grip if none has any.
pub(super) fn options(document: &mut Document, told: Told<'_>, list: &[(String, &CaseOption)]) {
    if list.is_empty() {
        return;
    }
    let now = told.phrase.in_a_word(told.judgement.verdict).to_uppercase();
    let mut has_grip = false;
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (text, way) in list {
        let then = way.after.as_ref().map_or_else(
            || says::NOT_COMPUTED.to_owned(),
            |after| told.phrase.in_a_word(after.verdict).to_uppercase(),
        );
        let grip = grip(told, way);
        has_grip |= grip.iter().any(Option::is_some);
        // With a result and without a figure, grip was tried and could not be computed.
        let missing = match (&way.after, grip) {
            (Some(_), [Some(_), None]) => says::NOT_COMPUTED,
            _ => sheets::NOTHING,
        };
        let [before, after] = grip.map(|grip| figure(grip).unwrap_or_else(|| missing.to_owned()));
        rows.push(vec![text.clone(), now.clone(), then, before, after]);
    }
    let columns = if has_grip { 5 } else { 3 };
    let head = says::OPTION_COLUMNS.iter().take(columns);
    rows.iter_mut().for_each(|row| row.truncate(columns));
    document.blocks.push(Block::Table {
        head: head.map(|head| (*head).to_owned()).collect(),
        rows,
    });
}

/// Adds what limits the results of these options: that one has none, and that questions are left.
pub(super) fn limits<'w>(
    document: &mut Document,
    told: Told<'_>,
    list: impl Iterator<Item = &'w CaseOption>,
) {
    let (mut any, mut without) = (false, false);
    for way in list {
        any = true;
        without |= way.after.is_none();
    }
    if without {
        document.text(says::WHY_NOT_COMPUTED);
    }
    if any && told.judgement.verdict.is_open() {
        document.text(says::MAY_CHANGE);
    }
}

/// Adds the result and the grip of each restoration as they are now and as they are expected once everything that was
/// agreed has arrived.
pub(super) fn arrived(document: &mut Document, told: Told<'_>) {
    let Told { facts, phrase, .. } = told;
    let Some(case) = facts.case().expected() else {
        return;
    };
    let then = Facts::on_copy(phrase.flow, &case, Precision::Quick, facts.results());
    let verdicts = [told.judgement.verdict, judge(phrase.flow, &then).verdict];
    let [now, expected] = verdicts.map(|verdict| phrase.verdict(verdict).to_uppercase());
    let mut rows = vec![[words::RESULT.to_owned(), now, expected]];
    for restoration in facts.covered() {
        let at = Place::Restoration(restoration.id);
        let grip = [facts, &then].map(|facts| {
            let grip = facts.value(&GRIP, at).and_then(Value::number);
            figure(grip).unwrap_or_else(|| sheets::NOTHING.to_owned())
        });
        if grip.iter().any(|grip| grip != sheets::NOTHING) {
            let [now, expected] = grip;
            rows.push([says::grip_of(&phrase.place(at)), now, expected]);
        }
    }
    document.heading(says::EXPECTED);
    document.table(says::EXPECTED_COLUMNS, rows);
}

/// Returns grip now and with an option: of the restoration whose grip moves most, or else of its own, which is the only one
/// if the option is about the whole case.
fn grip(told: Told<'_>, way: &CaseOption) -> [Option<f64>; 2] {
    let units = told.facts.units();
    let only = match units.restorations() {
        [only] => Some(only),
        _ => None,
    };
    let own = units.owner(way.at).or(only).map(|own| own.id);
    let of_own = |after: &After| {
        let mut all = after.grip.iter();
        all.find(|change| Some(change.restoration) == own)
            .map(|change| change.grip)
    };
    match &way.after {
        Some(after) => grip_moved(after)
            .map(|both| both.map(Some))
            .or_else(|| of_own(after))
            .unwrap_or_default(),
        None => {
            let at = own.map(Place::Restoration);
            let now = at.and_then(|at| told.facts.value(&GRIP, at)?.number());
            [now, None]
        }
    }
}

fn figure(grip: Option<f64>) -> Option<String> {
    Some(number_words(grip?, Unit::Ratio, Some(2)))
}
