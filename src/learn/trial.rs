//! Rules on trial: what came back of what a rule told of and was made all the same, against what it was silent on.
//!
//! Who was changed was not drawn by lot, and what was held back or changed was never tried as it was: nothing here says what
//! it would have done (C. B. Begg, R. A. Greenes 1983, Biometrics 39:207-215).

use jiff::civil::Date;

use super::figures::Ripe;
use super::followed::{Became, Followed, Following, first};
use super::lot::Lot;
use super::tried::{Answer, Said, Stood, Tried};
use crate::case::outcome::Kind;
use crate::flow::Flow;
use crate::statistics::proportion::{Count, Estimate, difference, log_ratio, score_ratio};
use crate::statistics::survival::{Groups, Subject, events_needed, log_rank};
use crate::statistics::{Confidence, Interval};

// How few are too few is ours.

/// Fewer returns than this in two groups together do not tell them apart.
const FEW_RETURNS: u64 = 5;
/// Fewer restorations than this are no group.
const FEW: u64 = 10;
/// Where both groups have so many returns, the ratio is compared on the log scale; otherwise by its score.
const ENOUGH: u64 = 5;
/// More calls than this for one return less are not told: the record knows too little.
const MOST_CALLS: f64 = 100.0;
/// How many times as many returns a laboratory would want to see.
const TIMES: f64 = 3.0;
/// How often that is to be seen if it is so.
const POWER: f64 = 0.8;
/// How often one rule stands out by luck alone, at 99 %.
const LUCK: f64 = 0.01;

/// What is asked of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Put {
    /// The kinds that count; what each rule foretells if none is named.
    pub kinds: Vec<Kind>,
    /// How many months a restoration is followed.
    pub months: i32,
    /// Today: figures close on the last quarter day before it.
    pub today: Date,
}

/// How sure a difference is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Standing {
    /// At 99 %.
    StandsOut,
    /// At 95 %, which chance brings too often where one looks again and again.
    Leans,
    /// No difference is shown. That is not the same as none.
    NotShown,
}

/// A ratio of two shares.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Ratio {
    /// The ratio, or `None` where nothing came back of the second.
    pub value: Option<f64>,
    /// The low end at 95 %.
    pub low: f64,
    /// The high end, or `None` where nothing came back of the second.
    pub high: Option<f64>,
    /// How sure it is that it is not 1.
    pub standing: Standing,
}

/// How long two groups last.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Lasting {
    /// How many of the first group came back.
    pub came: u64,
    /// How many would have if both lasted alike.
    pub expected: f64,
    /// How sure it is that they do not.
    pub standing: Standing,
}

/// How many calls it takes for one return less.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Calls {
    /// So many at the least.
    pub least: f64,
    /// The likeliest number.
    pub likely: f64,
    /// So many at the most, or `None` beyond 100.
    pub most: Option<f64>,
}

/// One rule on trial.
#[derive(Clone, PartialEq, Debug)]
pub struct Trial {
    /// The rule's place among the rules of the flow.
    pub nth: usize,
    /// The rule's id.
    pub rule: String,
    /// The kinds that count.
    pub kinds: Vec<Kind>,
    /// At how many restorations it told something or was silent.
    pub decidable: u64,
    /// At how many it could not be decided.
    pub open: u64,
    /// At how many it told something.
    pub fired: u64,
    /// For how many of these the dentist was asked.
    pub called: u64,
    /// How many were changed.
    pub changed: u64,
    /// How many were to be made as they were.
    pub as_ordered: u64,
    /// How many were not made at all.
    pub withdrawn: u64,
    /// How many of the decidable were delivered up to the closing day.
    pub built: u64,
    /// How many of these are of dentists who never said what became of anything.
    pub unheard: u64,
    /// How many of these were not followed long enough.
    pub unripe: u64,
    /// What it told of and was made as ordered.
    pub of_as_ordered: Ripe,
    /// What it told of and was changed.
    pub of_changed: Ripe,
    /// What it told of without anybody saying anything.
    pub of_unasked: Ripe,
    /// What it was silent on.
    pub of_silent: Ripe,
    /// As ordered against silent; `None` where too little is known.
    pub ratio: Option<Ratio>,
    /// The same over all the time that they were followed.
    pub lasting: Option<Lasting>,
    /// As ordered less changed; `None` where too little is known.
    pub difference: Option<(Estimate, Standing)>,
    /// Calls for one return less, where that difference is none of chance.
    pub calls: Option<Calls>,
    /// How many returns it takes to see three times as many, where there is no ratio.
    pub needed: Option<u64>,
}

impl Trial {
    /// Returns whether dentists always followed it, so that nothing that it told of was tried as it was.
    pub fn is_always_followed(&self) -> bool {
        self.fired > 0 && self.as_ordered == 0 && self.followed_it() == self.fired
    }

    /// Returns how many of what it told of were changed or not made.
    pub fn followed_it(&self) -> u64 {
        self.changed + self.withdrawn
    }

    /// Returns how many returns the ratio rests on.
    pub fn returns(&self) -> u64 {
        self.of_as_ordered.came + self.of_silent.came
    }
}

/// Something that was told, was made as ordered all the same, and came back.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Overruled {
    /// The number of its case.
    pub number: String,
    /// The number of the restoration.
    pub restoration: u8,
    /// The rule that told it.
    pub rule: String,
    /// How it came back.
    pub what: Kind,
    /// When.
    pub on: Date,
}

/// What the record says of the rules.
#[derive(Clone, PartialEq, Debug)]
pub struct Trials {
    /// The day on which figures close.
    pub closing: Date,
    /// How many restorations were looked at.
    pub restorations: u64,
    /// How many of them were judged by another flow, or another version of it.
    pub of_other_flow: u64,
    /// The rules on trial, in the order of the flow.
    pub trials: Vec<Trial>,
    /// How many rules foretell nothing.
    pub not_on_trial: usize,
    /// Rules that could be decided and never told anything, by their ids, with how often they could.
    pub never_told: Vec<(String, u64)>,
    /// What was overruled and came back, the newest first.
    pub overruled: Vec<Overruled>,
}

impl Trials {
    /// Returns how many rules could be compared.
    pub fn compared(&self) -> usize {
        self.trials.iter().filter(|own| own.ratio.is_some()).count()
    }

    /// Returns how many of these would stand out by luck alone.
    pub fn by_luck(&self) -> f64 {
        LUCK * self.compared() as f64
    }
}

/// Puts the rules of a flow on trial. `lots` are the cases, as the figures see them; `tried` their restorations, as the rules
/// saw them.
pub fn trials(flow: &Flow, lots: &[Lot], tried: &[Tried], put: &Put) -> Trials {
    let following = Following::of(lots, put.today);
    let mut never_told = Vec::new();
    let (mut trials, mut overruled) = (Vec::new(), Vec::new());
    for (nth, rule) in flow.rules.iter().enumerate() {
        let stood = |own: &Tried| own.rules.get(nth).copied();
        let count = |said: &[Said]| {
            let own = tried.iter().filter_map(stood);
            own.filter(|own| said.contains(&own.said)).count() as u64
        };
        let (fired, silent) = (count(&[Said::Fired]), count(&[Said::Silent]));
        if fired == 0 && silent > 0 {
            never_told.push((rule.id.clone(), silent));
        }
        let kinds = match put.kinds.as_slice() {
            [] => &rule.foretells,
            kinds => kinds,
        };
        if kinds.is_empty() {
            continue;
        }
        let of = |answer| {
            let own = tried.iter().filter_map(stood);
            own.filter(|own| own.said == Said::Fired && own.answer == answer)
                .count() as u64
        };
        let arms = Arms::of(tried, &stood, &following, kinds, put.months);
        let mut trial = Trial {
            nth,
            rule: rule.id.clone(),
            kinds: kinds.to_vec(),
            decidable: fired + silent,
            open: count(&[Said::Open]),
            fired,
            called: tried
                .iter()
                .filter_map(stood)
                .filter(|own| own.said == Said::Fired && own.called)
                .count() as u64,
            changed: of(Answer::Changed),
            as_ordered: of(Answer::AsOrdered),
            withdrawn: of(Answer::Withdrawn),
            built: arms.built,
            unheard: arms.unheard,
            unripe: arms.unripe,
            of_as_ordered: arms.as_ordered.ripe(),
            of_changed: arms.changed.ripe(),
            of_unasked: arms.unasked.ripe(),
            of_silent: arms.silent.ripe(),
            ratio: None,
            lasting: None,
            difference: None,
            calls: None,
            needed: None,
        };
        compare(&mut trial, &arms);
        overruled.extend(tried.iter().filter_map(|own| {
            let back =
                |stood: &Stood| stood.said == Said::Fired && stood.answer == Answer::AsOrdered;
            stood(own).filter(back)?;
            let on = first(&own.outcomes, kinds)?;
            let delivered = own.delivered?;
            let (what, _) = own.outcomes.iter().find(|(kind, day)| {
                *day == on && kind.is_failure() && (kinds.is_empty() || kinds.contains(kind))
            })?;
            (on >= delivered).then(|| Overruled {
                number: own.number.clone(),
                restoration: own.restoration,
                rule: rule.id.clone(),
                what: *what,
                on,
            })
        }));
        trials.push(trial);
    }
    overruled.sort_by(|a, b| b.on.cmp(&a.on).then_with(|| a.number.cmp(&b.number)));
    Trials {
        closing: following.closing,
        restorations: tried.len() as u64,
        of_other_flow: tried.iter().filter(|own| own.of_other_flow).count() as u64,
        not_on_trial: flow.rules.len() - trials.len(),
        trials,
        never_told,
        overruled,
    }
}

/// One group of restorations.
#[derive(Default)]
struct Arm {
    of: u64,
    came: u64,
    subjects: Vec<Subject>,
}

impl Arm {
    fn take(&mut self, followed: Followed) {
        match followed {
            Followed::Ripe { came, subject } => {
                self.of += 1;
                self.came += u64::from(came);
                self.subjects.push(subject);
            }
            Followed::Unripe(subject) => self.subjects.push(subject),
            Followed::Later | Followed::Unheard => {}
        }
    }

    fn ripe(&self) -> Ripe {
        Ripe::of(self.came, self.of)
    }
}

#[derive(Default)]
struct Arms {
    built: u64,
    unheard: u64,
    unripe: u64,
    as_ordered: Arm,
    changed: Arm,
    unasked: Arm,
    silent: Arm,
}

impl Arms {
    fn of(
        tried: &[Tried],
        stood: &dyn Fn(&Tried) -> Option<Stood>,
        following: &Following,
        kinds: &[Kind],
        months: i32,
    ) -> Arms {
        let mut arms = Arms::default();
        for own in tried {
            let (Some(stood), Some(delivered)) = (stood(own), own.delivered) else {
                continue;
            };
            let became = Became {
                delivered,
                dentist: &own.dentist,
                outcomes: &own.outcomes,
            };
            let followed = following.of_one(became, kinds, months);
            let arm = match (stood.said, stood.answer) {
                (Said::Silent, _) => &mut arms.silent,
                (Said::Fired, Answer::AsOrdered) => &mut arms.as_ordered,
                (Said::Fired, Answer::Changed) => &mut arms.changed,
                (Said::Fired, Answer::None) => &mut arms.unasked,
                _ => continue,
            };
            arm.take(followed);
            arms.built += u64::from(followed != Followed::Later);
            arms.unheard += u64::from(followed == Followed::Unheard);
            arms.unripe += u64::from(matches!(followed, Followed::Unripe(_)));
        }
        arms
    }
}

fn count(ripe: &Ripe) -> Count {
    Count {
        events: ripe.came,
        of: ripe.of,
    }
}

/// Returns whether two groups are large enough to be compared.
fn can_compare(one: &Ripe, other: &Ripe) -> bool {
    one.of >= FEW && other.of >= FEW && one.came + other.came >= FEW_RETURNS
}

fn compare(trial: &mut Trial, arms: &Arms) {
    let (as_ordered, silent) = (&trial.of_as_ordered, &trial.of_silent);
    if can_compare(as_ordered, silent) {
        trial.ratio = ratio(count(as_ordered), count(silent));
        trial.lasting = lasting(&arms.as_ordered.subjects, &arms.silent.subjects);
    } else if trial.decidable > 0 {
        let share = trial.fired as f64 / trial.decidable as f64;
        trial.needed = events_needed(TIMES, share, Confidence::P99, POWER).ok();
    }
    let changed = &trial.of_changed;
    if can_compare(as_ordered, changed) {
        trial.difference = less(count(as_ordered), count(changed));
    }
    let answered = trial.changed + trial.as_ordered + trial.withdrawn;
    if let Some((estimate, _)) = &trial.difference
        && estimate.interval.low > 0.0
        && trial.changed > 0
    {
        let share = trial.changed as f64 / answered as f64;
        let calls = |less: f64| 1.0 / (share * less);
        trial.calls = Some(Calls {
            least: calls(estimate.interval.high),
            likely: calls(estimate.value),
            most: Some(calls(estimate.interval.low)).filter(|most| *most <= MOST_CALLS),
        });
    }
}

/// Returns the ratio of two shares: by its score, which takes none, or on the log scale where both have enough.
fn ratio(first: Count, second: Count) -> Option<Ratio> {
    let at = |confidence| -> Option<(Option<f64>, f64, Option<f64>)> {
        if first.events >= ENOUGH && second.events >= ENOUGH {
            let own = log_ratio(first, second, confidence).ok()?;
            return Some((Some(own.ratio), own.interval.low, Some(own.interval.high)));
        }
        let own = score_ratio(first, second, confidence).ok()?;
        Some((own.ratio, own.low, own.high))
    };
    let outside = |(_, low, high): (Option<f64>, f64, Option<f64>)| {
        low > 1.0 || high.is_some_and(|high| high < 1.0)
    };
    let (value, low, high) = at(Confidence::P95)?;
    Some(Ratio {
        value,
        low,
        high,
        standing: standing(outside((value, low, high)), outside(at(Confidence::P99)?)),
    })
}

fn less(first: Count, second: Count) -> Option<(Estimate, Standing)> {
    let outside = |own: Interval| own.low > 0.0 || own.high < 0.0;
    let own = difference(first, second, Confidence::P95).ok()?;
    let surer = difference(first, second, Confidence::P99).ok()?;
    Some((
        own,
        standing(outside(own.interval), outside(surer.interval)),
    ))
}

fn lasting(first: &[Subject], second: &[Subject]) -> Option<Lasting> {
    let own = log_rank(Groups { first, second }).ok()?;
    Some(Lasting {
        came: own.observed.0,
        expected: own.expected.0,
        standing: standing(
            own.p < 1.0 - Confidence::P95.level(),
            own.p < 1.0 - Confidence::P99.level(),
        ),
    })
}

fn standing(at_95: bool, at_99: bool) -> Standing {
    match (at_95, at_99) {
        (_, true) => Standing::StandsOut,
        (true, false) => Standing::Leans,
        (false, false) => Standing::NotShown,
    }
}
