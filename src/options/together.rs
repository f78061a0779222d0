//! Two options at once; where no two are enough, the best two and a third.
//!
//! A pair is wanted where it comes further than either part alone, and at least to Watch or further than every single
//! one. Pairs that cannot are left out before they are judged: a finding none of whose readings either part changes stays
//! as it is. The pairs that are left are judged one by one; what is left out could not have won.

use std::collections::BTreeSet;

use rayon::prelude::*;

use super::search::Attempt;
use super::{After, CaseOption, JudgedCopy, compare, proposed, quick};
use crate::case::Case;
use crate::derive::Facts;
use crate::fact::Spot;
use crate::flow::{Flow, Level, RuleId};
use crate::judge::{Judgement, judge};

/// Several options at once.
#[derive(Clone, PartialEq, Debug)]
pub struct Together {
    /// The options, by their places in the list of single ones.
    pub parts: Vec<usize>,
    /// What comes of them.
    pub after: After,
    /// Tooth that is cut, in mm³, or `None` if it is not known.
    pub cut: Option<f64>,
    /// Whether the third was only added to the best two, and other threes were not tried.
    pub greedy: bool,
}

/// Tries pairs of options, and a third where no pair comes to Watch. Returns those that beat the best single one, the
/// best first.
pub fn together(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    ways: &[CaseOption],
) -> Vec<Together> {
    pairs(flow, facts, judgement, ways, true)
}

fn pairs(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    ways: &[CaseOption],
    pruned: bool,
) -> Vec<Together> {
    let judged = JudgedCopy {
        flow,
        facts,
        judgement,
    };
    let tried: Vec<(usize, &CaseOption)> = ways
        .iter()
        .enumerate()
        .filter(|(_, way)| !way.forbidden && way.after.is_some())
        .collect();
    let best = tried
        .iter()
        .filter(|(_, way)| way.is_open())
        .filter_map(|(_, way)| way.after.as_ref())
        .map(|after| after.verdict.level)
        .min()
        .unwrap_or(judgement.verdict.level)
        .min(judgement.verdict.level);
    // The level that a pair has to come to.
    let wanted = if best > Level::Watch {
        lower(best)
    } else if judgement.verdict.level > Level::Watch {
        Level::Watch
    } else {
        return Vec::new();
    };
    let heavy: Vec<Vec<Spot>> = judgement
        .all_findings()
        .filter(|finding| finding.level > wanted)
        .map(|finding| {
            finding
                .evidence
                .iter()
                .flat_map(|spot| facts.readings(spot))
                .collect()
        })
        .collect();
    let touches: Vec<BTreeSet<usize>> = tried
        .iter()
        .map(|(_, way)| {
            (0..heavy.len())
                .filter(|index| {
                    way.units.is_some()
                        || heavy.get(*index).is_some_and(|readings| {
                            way.changes.iter().any(|(spot, _)| readings.contains(spot))
                        })
                })
                .collect()
        })
        .collect();
    let with_first = |(a, (first, way)): (usize, &(usize, &CaseOption))| {
        let mut found = Vec::new();
        let mut copy = None;
        for (b, (second, other)) in tried.iter().enumerate().skip(a + 1) {
            let reach = match (touches.get(a), touches.get(b)) {
                (Some(one), Some(two)) => one.union(two).count(),
                _ => 0,
            };
            if (pruned && reach < heavy.len()) || excludes(flow, way, other) {
                continue;
            }
            let case = copy
                .get_or_insert_with(|| proposed(facts.case(), &way.changes, way.units.as_ref()));
            if let Some((after, cut)) = judged.on_top(case, other) {
                let cut = way
                    .cut
                    .zip(cut)
                    .map_or(way.cut.or(cut), |(a, b)| Some(a + b));
                found.push(Together {
                    parts: vec![*first, *second],
                    after,
                    cut,
                    greedy: false,
                });
            }
        }
        found
    };
    let mut found: Vec<Together> = tried
        .par_iter()
        .enumerate()
        .flat_map_iter(with_first)
        .collect();
    let alone = |part: &usize| {
        let after = ways.get(*part).and_then(|way| way.after.as_ref());
        after.map_or(Level::Hold, |after| after.verdict.level)
    };
    found.retain(|pair| {
        let level = pair.after.verdict.level;
        level <= wanted && pair.parts.iter().all(|part| alone(part) > level)
    });
    found.sort_by_key(|pair| key(flow, ways, pair));
    if found
        .first()
        .is_none_or(|pair| pair.after.verdict.level > Level::Watch)
        && best > Level::Watch
    {
        let third = judged.third(ways, &tried, found.first());
        if let Some(third) = third {
            found.insert(0, third);
        }
    }
    found
}

/// As [`together`], with every pair judged: what pruning is held against.
pub fn together_unpruned(
    flow: &Flow,
    facts: &Facts<'_>,
    judgement: &Judgement,
    ways: &[CaseOption],
) -> Vec<Together> {
    pairs(flow, facts, judgement, ways, false)
}

/// The level below.
fn lower(level: Level) -> Level {
    match level {
        Level::Hold => Level::Call,
        Level::Call => Level::Watch,
        Level::Watch | Level::Fine => Level::Fine,
    }
}

/// Two of one verb at one place, or two that want one fact to be two things, exclude one another.
fn excludes(flow: &Flow, one: &CaseOption, other: &CaseOption) -> bool {
    if one.units.is_some() && other.units.is_some() {
        return true;
    }
    if one.at == other.at && one.option == other.option && one.walls == other.walls {
        return true;
    }
    let cuts = |way: &CaseOption| way.of(flow).is_some_and(|option| option.verb.cuts());
    // Cuts are made one after the other, each on what the one before left.
    if cuts(one) && cuts(other) {
        return false;
    }
    one.changes.iter().any(|(spot, value)| {
        other
            .changes
            .iter()
            .any(|(own, wanted)| own == spot && wanted != value)
    })
}

/// What the best pairs are sorted by: result, parts that cut tooth, price, days.
fn key(flow: &Flow, ways: &[CaseOption], pair: &Together) -> (Level, Level, u32, u32, Vec<usize>) {
    let options = || {
        pair.parts
            .iter()
            .filter_map(|part| ways.get(*part)?.of(flow))
    };
    let rank = |id: &str| flow.price(id).map_or(u32::MAX, |price| price.rank);
    (
        pair.after.verdict.level,
        pair.after.left,
        options()
            .map(|option| rank(&option.price))
            .fold(0, u32::saturating_add),
        options().map(|option| option.days).max().unwrap_or(0),
        pair.parts.clone(),
    )
}

impl JudgedCopy<'_> {
    /// What comes of an option on a case in which another was taken. None where it cannot be done any more.
    fn on_top(&self, case: &Case, way: &CaseOption) -> Option<(After, Option<f64>)> {
        let facts = quick(self.facts, case);
        let judgement = judge(self.flow, &facts);
        let there = JudgedCopy {
            flow: self.flow,
            facts: &facts,
            judgement: &judgement,
        };
        let attempt = Attempt::of(way);
        if !facts.units().has(way.at) {
            return None;
        }
        let change = there.change(&attempt, way.amount).ok()?;
        let option = way.of(self.flow)?;
        let both = proposed(case, &change.values, change.units.as_ref());
        let after = quick(&facts, &both);
        let barred = option
            .bars
            .iter()
            .any(|(bar, _)| bar.eval(&after, way.at).truth == crate::logic::Truth::True);
        if barred {
            return None;
        }
        let all = |_: RuleId, _| true;
        Some((compare(self, &after, &[], all), change.cut))
    }

    /// Adds the best third to the best pair.
    fn third(
        &self,
        ways: &[CaseOption],
        tried: &[(usize, &CaseOption)],
        pair: Option<&Together>,
    ) -> Option<Together> {
        let pair = pair?;
        let mut case = self.facts.case().clone();
        for part in &pair.parts {
            let way = ways.get(*part)?;
            let facts = quick(self.facts, &case);
            let judgement = judge(self.flow, &facts);
            let there = JudgedCopy {
                flow: self.flow,
                facts: &facts,
                judgement: &judgement,
            };
            let attempt = Attempt::of(way);
            let change = there.change(&attempt, way.amount).ok()?;
            case = proposed(&case, &change.values, change.units.as_ref());
        }
        let best = tried
            .iter()
            .filter(|(index, way)| {
                !pair.parts.contains(index)
                    && !pair
                        .parts
                        .iter()
                        .filter_map(|part| ways.get(*part))
                        .any(|part| excludes(self.flow, part, way))
            })
            .filter_map(|(index, way)| {
                let (after, cut) = self.on_top(&case, way)?;
                let mut parts = pair.parts.clone();
                parts.push(*index);
                Some(Together {
                    parts,
                    cut: pair
                        .cut
                        .zip(cut)
                        .map_or(pair.cut.or(cut), |(a, b)| Some(a + b)),
                    after,
                    greedy: true,
                })
            })
            .min_by_key(|three| key(self.flow, ways, three))?;
        (best.after.verdict.level < pair.after.verdict.level).then_some(best)
    }
}
