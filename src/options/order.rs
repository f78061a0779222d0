//! In which order options are listed, and which of them.

use super::{After, CaseOption, JudgedCopy};
use crate::fact::Place;
use crate::flow::{Flow, Level, OptionRow, Whose};

/// What an option does to the worst of what was found: the findings at the level of the verdict.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Worst {
    /// One of them goes.
    Goes,
    /// One of them gets lower; or the option answers one and changes no figure, so that nothing was computed.
    Answers,
    /// They stay: it improves something else.
    Stays,
}

impl JudgedCopy<'_> {
    /// Says what an option at a place does to the worst of what was found.
    pub(super) fn worst(&self, option: &OptionRow, at: Place, after: Option<&After>) -> Worst {
        let level = self.judgement.verdict.level;
        let mut worst = self
            .judgement
            .all_findings()
            .filter(|finding| finding.level == level);
        let (goes, answers) = match after {
            Some(after) => (
                worst.any(|finding| after.gone.contains(&(finding.rule, finding.at))),
                after.relieved == level,
            ),
            None => (
                false,
                worst.any(|finding| self.concerns(option, at, finding.rule, finding.at)),
            ),
        };
        match (goes, answers) {
            (true, _) => Worst::Goes,
            (false, true) => Worst::Answers,
            (false, false) => Worst::Stays,
        }
    }
}

/// The options that are listed: of one side, not barred, advice, and not told in another's line.
fn listed<'w>(
    flow: &Flow,
    ways: &'w [CaseOption],
    by: Whose,
) -> impl Iterator<Item = &'w CaseOption> {
    ways.iter().filter(move |way| {
        way.is_open()
            && !way.told_elsewhere
            && !way.is_as_it_is(flow)
            && way.of(flow).is_some_and(|option| option.by == by)
    })
}

/// Returns what the laboratory can do, each with its rank; equal ranks are ties. First come those by which one of the worst
/// findings goes, then those that answer one, then the rest; each by result, price and time.
pub fn ranked<'w>(flow: &Flow, ways: &'w [CaseOption]) -> Vec<(usize, &'w CaseOption)> {
    let key = |way: &CaseOption| {
        let option = way.of(flow);
        let price = option.and_then(|option| flow.price(&option.price));
        // What changes no figure comes after what does.
        let result = way
            .after
            .as_ref()
            .map_or((1, Level::Hold, Level::Hold), |after| {
                (0, after.verdict.level, after.left)
            });
        (
            way.worst,
            result,
            price.map_or(u32::MAX, |price| price.rank),
            option.map_or(u32::MAX, |option| option.days),
        )
    };
    let mut list: Vec<_> = listed(flow, ways, Whose::Laboratory)
        .map(|way| (key(way), way))
        .collect();
    list.sort_by_key(|entry| entry.0);
    let mut ranked: Vec<(usize, &CaseOption)> = Vec::new();
    for (index, (key, way)) in list.iter().enumerate() {
        let rank = match (
            index.checked_sub(1).and_then(|i| list.get(i)),
            ranked.last(),
        ) {
            (Some((before, _)), Some((rank, _))) if before == key => *rank,
            _ => index + 1,
        };
        ranked.push((rank, way));
    }
    ranked
}

/// Returns what is for the dentist to consider: first that by which one of the worst findings goes, then what answers one,
/// then the rest, each in the flow's order and never by result.
pub fn for_the_dentist<'w>(flow: &Flow, ways: &'w [CaseOption]) -> Vec<&'w CaseOption> {
    let mut list: Vec<_> = listed(flow, ways, Whose::Dentist).collect();
    list.sort_by_key(|way| way.worst);
    list
}

/// Returns what is barred or not enough by itself.
pub fn barred(ways: &[CaseOption]) -> impl Iterator<Item = &CaseOption> {
    ways.iter()
        .filter(|way| !way.is_open() && !way.told_elsewhere)
}
