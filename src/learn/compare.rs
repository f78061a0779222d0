//! Whether a group comes back oftener than the others, or less often.
//!
//! What is seen at fit is a share: the ratio within each dentist is put together (Mantel-Haenszel), since trays and dentists
//! go together. What comes later hangs on time: all that were followed are compared as long as they were (log-rank). Both
//! show 95 %; that a group stands out is said beyond 99 % alone, since the same record is looked at again and again (S. J.
//! Pocock 1977, Biometrika 64:191-199).

use std::collections::{BTreeMap, BTreeSet};

use super::figures::{FEW_RETURNS, Followed};
use crate::statistics::proportion::{
    Count, LogRatio, Stratum, log_ratio, mantel_haenszel, score_ratio,
};
use crate::statistics::survival::{Groups, Subject, log_rank};
use crate::statistics::{Confidence, Interval};

/// Fewer restorations on a side are not compared.
const FEW_ON_A_SIDE: u64 = 10;

/// Fewer dentists on a side could be the habit of one.
const FEW_DENTISTS: usize = 3;

/// Beyond this chance stands what is said to stand out.
const CHANCE: f64 = 0.01;

/// How a group compares with all others.
#[derive(Clone, PartialEq, Debug)]
pub enum Against {
    /// There is nothing to compare it with, or it is no matter of comparing.
    NotCompared,
    /// Too few came back in all, or too few were followed on a side.
    TooFew,
    /// On a side are fewer than three dentists: it could be the habit of one.
    FewDentists,
    /// So many times as often.
    Times(Times),
}

/// So many times as often as the others.
#[derive(Clone, PartialEq, Debug)]
pub struct Times {
    /// How many times, or `None` where none of the others came back.
    pub ratio: Option<f64>,
    /// The low end at 95 %.
    pub low: f64,
    /// The high end at 95 %, or `None` where it has none.
    pub high: Option<f64>,
    /// The same within each dentist, put together; only of what is seen at fit.
    pub within_dentists: Option<(f64, Interval)>,
    /// Whether it is beyond chance at 99 %.
    pub stands_out: bool,
}

impl Times {
    /// Returns whether the interval leaves open that it is as often.
    pub fn holds_one(&self) -> bool {
        self.low <= 1.0 && self.high.is_none_or(|high| high >= 1.0)
    }
}

impl Against {
    /// Returns whether it stands out.
    pub fn stands_out(&self) -> bool {
        matches!(self, Against::Times(times) if times.stands_out)
    }
}

/// One side of a comparison.
pub(super) struct Side<'a>(pub(super) Vec<&'a Followed<'a>>);

impl Side<'_> {
    fn count(&self) -> Count {
        let ripe = self.0.iter().filter(|own| own.ripe);
        Count {
            events: ripe.clone().filter(|own| own.came).count() as u64,
            of: ripe.count() as u64,
        }
    }

    fn subjects(&self) -> Vec<Subject> {
        self.0.iter().filter_map(|own| own.subject()).collect()
    }

    fn dentists(&self) -> usize {
        let ripe = self.0.iter().filter(|own| own.ripe);
        ripe.filter_map(|own| own.dentist())
            .collect::<BTreeSet<_>>()
            .len()
    }

    fn by_dentist(&self) -> BTreeMap<Option<&str>, Count> {
        let mut counts = BTreeMap::new();
        for own in self.0.iter().filter(|own| own.ripe) {
            let count = counts
                .entry(own.dentist())
                .or_insert(Count { events: 0, of: 0 });
            count.of += 1;
            count.events += u64::from(own.came);
        }
        counts
    }
}

/// Compares a group with the others.
pub(super) fn against(first: &Side<'_>, second: &Side<'_>, fit: bool) -> Against {
    let (one, other) = (first.count(), second.count());
    let few = one.events + other.events < FEW_RETURNS;
    if few || one.of < FEW_ON_A_SIDE || other.of < FEW_ON_A_SIDE {
        return Against::TooFew;
    }
    if fit && (first.dentists() < FEW_DENTISTS || second.dentists() < FEW_DENTISTS) {
        return Against::FewDentists;
    }
    let Some((ratio, low, high)) = ratio(one, other) else {
        return Against::TooFew;
    };
    let strata = strata(first, second);
    let within = |confidence| mantel_haenszel(&strata, confidence).ok();
    let stands_out = match fit {
        true => within(Confidence::P99).is_some_and(|own| !own.interval.contains(1.0)),
        false => {
            let (first, second) = (first.subjects(), second.subjects());
            let groups = Groups {
                first: &first,
                second: &second,
            };
            log_rank(groups).is_ok_and(|compared| compared.p < CHANCE)
        }
    };
    let shown = within(Confidence::P95).filter(|_| fit);
    Against::Times(Times {
        ratio,
        low,
        high,
        within_dentists: shown.map(|own: LogRatio| (own.ratio, own.interval)),
        stands_out,
    })
}

/// The ratio at 95 %: on the log scale where both sides have five events, else by the score, which takes none.
fn ratio(one: Count, other: Count) -> Option<(Option<f64>, f64, Option<f64>)> {
    if one.events.min(other.events) >= FEW_RETURNS {
        let own = log_ratio(one, other, Confidence::P95).ok()?;
        return Some((Some(own.ratio), own.interval.low, Some(own.interval.high)));
    }
    let own = score_ratio(one, other, Confidence::P95).ok()?;
    Some((own.ratio, own.low, own.high))
}

fn strata(first: &Side<'_>, second: &Side<'_>) -> Vec<Stratum> {
    let (one, other) = (first.by_dentist(), second.by_dentist());
    let names: BTreeSet<_> = one.keys().chain(other.keys()).copied().collect();
    let none = Count { events: 0, of: 0 };
    let of =
        |counts: &BTreeMap<Option<&str>, Count>, name| counts.get(&name).copied().unwrap_or(none);
    names
        .into_iter()
        .map(|name| Stratum {
            first: of(&one, name),
            second: of(&other, name),
        })
        .collect()
}
