//! The shortest word on options: the two best of the laboratory's, and how many there are for the dentist.

use super::{Document, Told};
use crate::options::{for_the_dentist, ranked};
use crate::phrase::LABORATORY_CAN;

/// The most of the laboratory's own that the summary names.
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
    document.heading("Options");
    if !laboratory.is_empty() {
        document.text(format!("{LABORATORY_CAN}, best first:"));
    }
    for (_, way) in laboratory.iter().take(MOST) {
        let then = way.after.as_ref().map_or_else(String::new, |after| {
            format!(" (then {})", phrase.in_a_word(after.verdict))
        });
        let does = phrase.does(facts, way);
        document.point("-", None, format!("{does}{then}"), Vec::new());
    }
    let more = laboratory.len().saturating_sub(MOST);
    let mut rest = Vec::new();
    if more > 0 {
        rest.push(format!("{more} more at the bench"));
    }
    if !dentist.is_empty() {
        rest.push(format!("{} for the dentist to consider", dentist.len()));
    }
    if !rest.is_empty() {
        document.text(format!(
            "{}; the options page shows them all.",
            rest.join(", ")
        ));
    }
}
