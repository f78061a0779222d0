//! Options on the summary: the two best of the laboratory's, and how many there are for the dentist.

use super::{Document, Told};
use crate::options::{for_the_dentist, ranked};
use crate::phrase::sheets::summary as says;
use crate::phrase::words;

/// The most of the laboratory's own options that the summary lists.
const MOST: usize = 2;

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
    let dentist = for_the_dentist(flow, ways);
    if laboratory.is_empty() && dentist.is_empty() {
        return;
    }
    document.heading(words::OPTIONS);
    if !laboratory.is_empty() {
        document.text(says::laboratory_can());
    }
    for (_, way) in laboratory.iter().take(MOST) {
        let after = way.after.as_ref();
        let then = after.map(|after| phrase.in_a_word(after.verdict));
        let option = says::option(&phrase.does(facts, way), then);
        document.point("-", None, option, Vec::new());
    }
    let more = laboratory.len().saturating_sub(MOST);
    let rest = says::more_options(more, dentist.len());
    rest.into_iter().for_each(|rest| document.text(rest));
}
