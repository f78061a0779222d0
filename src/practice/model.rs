//! Known models: what experts read is the key; a walk of somebody who learns is held against it, reading by reading.
//!
//! *Spread of two careful people*: 1.96 √(s_w² + s_k²/k), with s_w the reading error of the flow and s_k the standard deviation
//! of the k passes that made the key (of one pass, the reading error again), as differences of two means spread (JCGM
//! 100:2008, 5.1). Where the error of the key, s_k/√k, is more than a third of it, the key tells nothing.
//!
//! What a difference did is judged: the walk as it is, and the walk with that one reading replaced by the key.

use std::collections::BTreeMap;

use crate::case::{Case, Layer, Reading};
use crate::derive::{Facts, Precision};
use crate::fact::{Kind, Place, Spot, Value};
use crate::flow::{Flow, Level, RuleId};
use crate::judge::doubt::error_of;
use crate::judge::{Judgement, judge};

/// What a difference did, the most harmful first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Harm {
    /// A call or a hold was missed.
    Missed,
    /// One was invented.
    Invented,
    /// The result was another.
    Level,
    /// Nothing, but two careful people do not differ so much.
    Outside,
    /// The experts differ too much here for the key to tell.
    Unsure,
    /// Nothing, and two careful people differ as much.
    Within,
}

/// One reading of a walk beside the key.
#[derive(Clone, PartialEq, Debug)]
pub struct Compared {
    /// The reading.
    pub spot: Spot,
    /// What was read; `None` if it was not.
    pub own: Option<Value>,
    /// What the key says.
    pub key: Value,
    /// Own less key, of a number.
    pub differ: Option<f64>,
    /// What two careful people differ by at most, 95 times in 100; `None` where nothing is measured.
    pub spread: Option<f64>,
    /// The least and the most that experts read, of a number.
    pub experts: Option<(f64, f64)>,
    /// How many experts' passes read it.
    pub passes: usize,
    /// The rules that ask or hold with the key and not with this reading.
    pub missed: Vec<(RuleId, Place)>,
    /// The rules that ask or hold with this reading and not with the key.
    pub invented: Vec<(RuleId, Place)>,
    /// The result with this reading replaced by the key.
    pub level: Level,
    /// What it did.
    pub harm: Harm,
}

/// A walk beside the key.
#[derive(Clone, PartialEq, Debug)]
pub struct Comparison {
    /// Whether nothing of the walk is left to do that could change its result.
    pub finished: bool,
    /// The result of the walk.
    pub own: Level,
    /// The result of the key.
    pub key: Level,
    /// The readings that differ, the most harmful first.
    pub readings: Vec<Compared>,
    /// How many readings are as the key has them.
    pub same: usize,
}

/// What the passes of the experts say of one reading.
#[derive(Clone, PartialEq, Debug)]
struct Said {
    value: Value,
    reading: Reading,
    numbers: Vec<f64>,
    passes: usize,
}

/// Holds a walk against the passes of experts over the same model. `None` without a pass.
pub fn compare(flow: &Flow, own: &Case, passes: &[Case]) -> Option<Comparison> {
    let key = key(passes)?;
    let facts = Facts::with(flow, own, Precision::Quick);
    let judgement = judge(flow, &facts);
    let mut of_key = passes.first()?.clone();
    for (spot, said) in &key {
        put(&mut of_key, spot, said);
    }
    let key_level = judge(flow, &Facts::with(flow, &of_key, Precision::Quick))
        .verdict
        .level;
    let (mut readings, mut same) = (Vec::new(), 0);
    for (spot, said) in &key {
        // What comes up on one walk and not on the other is no reading of both.
        let read = own.reading(spot, Layer::Measured);
        if read.is_none() && facts.turn(&spot.fact, spot.at) != crate::derive::Turn::Up {
            continue;
        }
        if read.map(|read| &read.value) == Some(&said.value) {
            same += 1;
            continue;
        }
        readings.push(compared(&facts, &judgement, spot, said));
    }
    let far = |own: &Compared| {
        let spread = own.spread.filter(|spread| *spread > 0.0);
        own.differ
            .zip(spread)
            .map_or(0.0, |(differ, spread)| differ.abs() / spread)
    };
    readings.sort_by(|a: &Compared, b: &Compared| {
        let by_harm = a.harm.cmp(&b.harm);
        by_harm
            .then_with(|| far(b).total_cmp(&far(a)))
            .then_with(|| a.spot.cmp(&b.spot))
    });
    Some(Comparison {
        finished: !judgement.verdict.is_open(),
        own: judgement.verdict.level,
        key: key_level,
        readings,
        same,
    })
}

/// Returns what the key says of each reading.
pub fn means(passes: &[Case]) -> BTreeMap<Spot, Value> {
    let key = key(passes).unwrap_or_default().into_iter();
    key.map(|(spot, said)| (spot, said.value)).collect()
}

/// What the experts read: of numbers the mean, of choices the one that more than half of them have.
fn key(passes: &[Case]) -> Option<BTreeMap<Spot, Said>> {
    (!passes.is_empty()).then_some(())?;
    let mut read: BTreeMap<Spot, Vec<&Reading>> = BTreeMap::new();
    for pass in passes {
        for (spot, layer, reading) in pass.present() {
            if layer == Layer::Measured && reading.value != Value::NotSeen {
                read.entry(spot.clone()).or_default().push(reading);
            }
        }
    }
    let said = read.into_iter().filter_map(|(spot, readings)| {
        let numbers: Vec<f64> = readings
            .iter()
            .filter_map(|own| own.value.number())
            .collect();
        let value = match readings.first()?.value {
            Value::Number(_, unit) if numbers.len() == readings.len() => {
                Value::Number(numbers.iter().sum::<f64>() / numbers.len() as f64, unit)
            }
            _ => {
                let same =
                    |value: &Value| readings.iter().filter(|own| own.value == *value).count();
                let most = readings.iter().max_by_key(|own| same(&own.value))?;
                (2 * same(&most.value) > readings.len()).then(|| most.value.clone())?
            }
        };
        let said = Said {
            value,
            reading: (*readings.first()?).clone(),
            passes: readings.len(),
            numbers,
        };
        Some((spot, said))
    });
    Some(said.collect())
}

fn put(case: &mut Case, spot: &Spot, said: &Said) {
    let reading = Reading {
        value: said.value.clone(),
        ..said.reading.clone()
    };
    case.put(spot.clone(), Layer::Measured, reading);
}

fn compared(facts: &Facts<'_>, judgement: &Judgement, spot: &Spot, said: &Said) -> Compared {
    let flow = facts.flow();
    let own = facts.case().reading(spot, Layer::Measured);
    let number = |value: &Value| match value {
        Value::Number(number, _) => Some(*number),
        _ => None,
    };
    let is_number = flow
        .spec(&spot.fact)
        .is_some_and(|spec| matches!(spec.kind, Kind::Number { .. }));
    let error = error_of(facts, spot, own.unwrap_or(&said.reading)).filter(|_| is_number);
    let of_key = error.map(|error| key_error(&said.numbers, error));
    let spread = error
        .zip(of_key)
        .map(|(error, of_key)| 1.96 * error.hypot(of_key));
    let unsure = of_key
        .zip(spread)
        .is_some_and(|(of_key, spread)| of_key > spread / 3.0);
    let differ = own
        .and_then(|own| number(&own.value))
        .zip(number(&said.value))
        .map(|(own, key)| own - key);
    let mut replaced = facts.case().clone();
    put(&mut replaced, spot, said);
    let then = Facts::after(flow, &replaced, Precision::Quick, facts.results());
    let with_key = judge(flow, &then);
    let missed = only(&with_key, judgement);
    let invented = only(judgement, &with_key);
    let moved = with_key.verdict.level != judgement.verdict.level;
    let outside = match (differ, spread) {
        (Some(differ), Some(spread)) => differ.abs() > spread,
        // A choice is the key's or it is not.
        _ => true,
    };
    let harm = match () {
        () if unsure => Harm::Unsure,
        () if !missed.is_empty() => Harm::Missed,
        () if !invented.is_empty() => Harm::Invented,
        () if moved => Harm::Level,
        () if outside => Harm::Outside,
        () => Harm::Within,
    };
    let bound = |pick: fn(f64, f64) -> f64| said.numbers.iter().copied().reduce(pick);
    Compared {
        spot: spot.clone(),
        own: own.map(|own| own.value.clone()),
        key: said.value.clone(),
        differ,
        spread,
        experts: bound(f64::min).zip(bound(f64::max)),
        passes: said.passes,
        missed,
        invented,
        level: with_key.verdict.level,
        harm,
    }
}

/// The standard error of a key: of the passes' standard deviation, or of the reading error where there is one pass.
fn key_error(numbers: &[f64], error: f64) -> f64 {
    let k = numbers.len() as f64;
    if numbers.len() < 2 {
        return error;
    }
    let mean = numbers.iter().sum::<f64>() / k;
    let squares: f64 = numbers.iter().map(|own| (own - mean).powi(2)).sum();
    (squares / (k - 1.0) / k).sqrt()
}

/// The rules that ask or hold in the one and not in the other.
fn only(one: &Judgement, other: &Judgement) -> Vec<(RuleId, Place)> {
    let asks = |own: &Judgement| -> Vec<(RuleId, Place)> {
        let grave = own.all_findings().filter(|own| own.level >= Level::Call);
        grave.map(|own| (own.rule, own.at)).collect()
    };
    let there = asks(other);
    asks(one)
        .into_iter()
        .filter(|own| !there.contains(own))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 2.8, 2.9, 3.0, 2.9 have the standard deviation 0.0816497; of four passes the error is 0.0408248. With a reading
    /// error of 0.2 two careful people differ by 1.96 · √(0.04 + 0.0016667) = 0.4001.
    #[test]
    fn the_error_of_a_key_is_that_of_a_mean() {
        let own = key_error(&[2.8, 2.9, 3.0, 2.9], 0.2);
        assert!((own - 0.040_824_8).abs() < 1e-7, "{own}");
        assert!((1.96 * 0.2_f64.hypot(own) - 0.400_1).abs() < 1e-4);
        assert_eq!(key_error(&[2.9], 0.2), 0.2);
    }
}
