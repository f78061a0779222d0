//! What a person answered, how it is graded, and what comes back when.
//!
//! *Spacing*: SM-2 (P. A. Wozniak 1990), of `statistics`. What was right at once never comes back as itself; what was missed
//! does, as the very same drill, tomorrow, and then after longer and longer waits. Grades by harm: 2 where a call or hold was
//! missed, or one was invented, 3 where nothing comes of it, 4 right, 5 right with the reading that decides.

use std::collections::BTreeMap;

use jiff::ToSpan as _;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use super::{Asks, Choice, Drill, Kind, nth};
use crate::fact::Spot;
use crate::flow::Level;
use crate::statistics::repetition::Spacing;

/// What was missed, the most harmful first.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Missed {
    /// A call or a hold: it would have been made, unasked.
    Call,
    /// None was there: the dentist would have been asked for nothing.
    Invented,
    /// Another level, with the same consequence.
    Level,
    /// Another answer to a question that is not for a level, where the dentist is asked nothing.
    Other,
}

/// An answer to a drill, as it is kept.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
pub struct Answered {
    /// What the drill was about.
    pub kind: Kind,
    /// What it was drawn from.
    pub seed: u64,
    /// The flow's id and version that judged it.
    pub flow: (String, u32),
    /// Which answer was given, from 0.
    pub chosen: usize,
    /// Which was right, from 0.
    pub right: usize,
    /// What was missed, if anything was.
    pub missed: Option<Missed>,
    /// The grade, from 2 to 5.
    pub grade: u8,
    /// How often in a row it was recalled since it was missed.
    pub recalled: u32,
    /// The factor by which the wait grows, in hundredths.
    pub easiness: u32,
    /// Days until it comes back; 0 if it does not.
    pub days: u32,
    /// How long it took, in seconds.
    pub seconds: u32,
}

/// One thing that somebody did in practice, as it is kept.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Act {
    /// Answered a drill.
    Drill(Answered),
    /// Walked a model as an expert: the case is a pass of its key.
    Key {
        /// The model.
        model: String,
    },
    /// Began to walk a model to learn.
    Walk {
        /// The model.
        model: String,
    },
    /// The supervisor agreed that somebody's own reading errors are used.
    Hand {
        /// Kind of reading, instrument, standard deviation in the unit of the reading.
        errors: Vec<(String, String, f64)>,
    },
}

/// A row of the record.
#[derive(Clone, PartialEq, Debug)]
pub struct Row {
    /// The code of whose record it is.
    pub who: String,
    /// The day.
    pub on: Date,
    /// The case that was walked, by its number.
    pub case: Option<String>,
    /// What was done.
    pub act: Act,
}

/// Returns what was missed with an answer, if anything was.
pub fn missed(drill: &Drill, chosen: usize) -> Option<Missed> {
    if chosen == drill.right {
        return None;
    }
    let is_call = drill.judgement.verdict.level >= Level::Call;
    Some(match drill.choices.get(chosen) {
        Some(Choice::Level(said)) => match (*said >= Level::Call, is_call) {
            (false, true) => Missed::Call,
            (true, false) => Missed::Invented,
            _ => Missed::Level,
        },
        // With another wall, cause or reading than the one that counts, what is to be asked is not asked.
        _ if is_call || drill.asks == Asks::AgainFirst => Missed::Call,
        _ => Missed::Other,
    })
}

/// Returns the grade of an answer; `named` is the reading that was named as the deciding one.
pub fn grade(drill: &Drill, missed: Option<Missed>, named: Option<&Spot>) -> u8 {
    match missed {
        Some(Missed::Call | Missed::Invented) => 2,
        Some(Missed::Level | Missed::Other) => 3,
        None if named.is_some_and(|named| drill.decides.contains(named)) => 5,
        None => 4,
    }
}

/// What is known of a drill that somebody has had.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Known {
    /// Where its spacing stands; `None` if it was right at once.
    pub spacing: Option<Spacing>,
    /// The day from which it is asked again.
    pub due: Option<Date>,
}

/// One person's drills.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Drills {
    known: BTreeMap<(Kind, u64), Known>,
}

impl Drills {
    /// Reads somebody's drills from the record, the oldest row first.
    pub fn of<'a>(rows: impl IntoIterator<Item = &'a Row>, who: &str) -> Drills {
        let mut drills = Drills::default();
        for row in rows.into_iter().filter(|row| row.who == who) {
            if let Act::Drill(answered) = &row.act {
                drills.add(answered, row.on);
            }
        }
        drills
    }

    /// Adds an answer.
    pub fn add(&mut self, answered: &Answered, on: Date) {
        let comes_back = answered.days > 0;
        let known = Known {
            spacing: comes_back.then_some(Spacing {
                recalled: answered.recalled,
                easiness: answered.easiness,
                days: answered.days,
            }),
            due: comes_back.then(|| on.saturating_add(i64::from(answered.days).days())),
        };
        self.known.insert((answered.kind, answered.seed), known);
    }

    /// Returns what is known of a drill, if somebody has had it.
    pub fn known(&self, kind: Kind, seed: u64) -> Option<Known> {
        self.known.get(&(kind, seed)).copied()
    }

    /// Returns the drills that are asked on a day: what is due, the longest due first, then new ones of the course that `seed`
    /// gives.
    pub fn session(&self, seed: u64, count: usize, today: Date) -> Vec<(Kind, u64)> {
        let mut due: Vec<(Date, (Kind, u64))> = self
            .known
            .iter()
            .filter_map(|(drill, known)| Some((known.due?, *drill)))
            .filter(|(due, _)| *due <= today)
            .collect();
        due.sort();
        let mut asked: Vec<(Kind, u64)> = due.into_iter().map(|(_, drill)| drill).collect();
        let mut number = 0;
        while asked.len() < count {
            let next = nth(seed, number);
            if !self.known.contains_key(&next) && !asked.contains(&next) {
                asked.push(next);
            }
            number += 1;
        }
        asked.truncate(count);
        asked
    }

    /// Returns how many drills are due on a day.
    pub fn due(&self, today: Date) -> usize {
        let due = self.known.values().filter_map(|known| known.due);
        due.filter(|due| *due <= today).count()
    }

    /// Returns the spacing of a drill after a grade, or `None` if it does not come back: it was right, and never missed.
    pub fn after(&self, kind: Kind, seed: u64, grade: u8) -> Option<Spacing> {
        let before = self.known(kind, seed).and_then(|known| known.spacing);
        if before.is_none() && grade >= 4 {
            return None;
        }
        before.unwrap_or(Spacing::NEW).graded(grade).ok()
    }
}

/// Returns the record of an answer.
pub fn answered(
    drills: &Drills,
    drill: &Drill,
    chosen: usize,
    named: Option<&Spot>,
    seconds: u32,
) -> Answered {
    let missed = missed(drill, chosen);
    let grade = grade(drill, missed, named);
    let spacing = drills.after(drill.kind, drill.seed, grade);
    let flow = &drill.case.flow;
    Answered {
        kind: drill.kind,
        seed: drill.seed,
        flow: (flow.id.clone(), flow.version),
        chosen,
        right: drill.right,
        missed,
        grade,
        recalled: spacing.map_or(0, |own| own.recalled),
        easiness: spacing.map_or(Spacing::NEW.easiness, |own| own.easiness),
        days: spacing.map_or(0, |own| own.days),
        seconds,
    }
}
