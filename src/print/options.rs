//! Options on the summary: the best of the laboratory's, the first of those for the dentist, and how many more there are.

use super::{Document, Told, compared};
use crate::options::{CaseOption, for_the_dentist, ranked};
use crate::phrase::sheets::summary as says;
use crate::phrase::words;

/// The most of the laboratory's own options that the summary lists.
const MOST: usize = 2;
/// The most options for the dentist that the summary lists.
const MOST_FOR_THE_DENTIST: usize = 3;

pub(super) fn add(document: &mut Document, told: Told<'_>) {
    let Told {
        facts,
        phrase,
        beside,
        ..
    } = told;
    let Some(ways) = beside.ways else {
        return;
    };
    let flow = phrase.flow;
    let laboratory = ranked(flow, ways);
    // Once it is cleared, nothing is left to put to the dentist.
    let far = told.state().state;
    let dentist = if far.is_cleared() || far.is_over() {
        Vec::new()
    } else {
        for_the_dentist(flow, ways)
    };
    if laboratory.is_empty() && dentist.is_empty() {
        return;
    }
    let mut list: Vec<(String, &CaseOption)> = Vec::new();
    for (_, way) in laboratory.iter().take(MOST) {
        list.push((says::laboratory(&phrase.does(facts, way)), way));
    }
    for way in dentist.iter().take(MOST_FOR_THE_DENTIST) {
        list.push((says::dentist(&phrase.does(facts, way)), way));
    }
    document.heading(words::OPTIONS);
    compared::options(document, told, &list);
    let orders = [
        (!laboratory.is_empty()).then_some(says::LABORATORY_ORDER),
        (!dentist.is_empty()).then_some(says::DENTIST_ORDER),
    ];
    let said: Vec<&str> = orders.into_iter().flatten().collect();
    document.text(said.join(" "));
    compared::limits(document, told, list.iter().map(|(_, way)| *way));
    let rest = says::more_options(
        laboratory.len().saturating_sub(MOST),
        dentist.len().saturating_sub(MOST_FOR_THE_DENTIST),
    );
    rest.into_iter().for_each(|rest| document.text(rest));
}
