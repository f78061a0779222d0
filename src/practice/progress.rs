//! What somebody's drills say: how often which check was right, how many calls were seen, what to teach next.
//!
//! Only the first answer to each drill counts: what is asked again may be known by heart. Nobody is compared with anybody.

use std::collections::BTreeSet;

use jiff::Timestamp;

use super::Kind;
use super::drill::LEVELS;
use super::record::{Act, Answered, Missed, Row};
use crate::flow::Level;
use crate::statistics::Confidence;
use crate::statistics::kappa::{Kappa, Weights, kappa};
use crate::statistics::proportion::{Count, wilson};

/// How many results are needed before agreement beyond chance is said. With fewer, and most cases sound, it misleads.
pub const LEAST: u64 = 30;

/// The first of the results that is asked about.
const CALL: usize = 2;

/// One kind of drill.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct OfKind {
    /// Which.
    pub kind: Kind,
    /// How many were right, of how many.
    pub right: Count,
    /// What was missed: calls, calls invented, levels, others.
    pub missed: [u64; 4],
    /// The middle time for one, in seconds.
    pub seconds: u32,
}

/// What somebody's drills say.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Progress {
    /// How many drills were answered.
    pub answered: u64,
    /// Each kind that was asked.
    pub kinds: Vec<OfKind>,
    /// How long each model walked took, in seconds.
    pub walks: Vec<u32>,
    /// The results given, a row for each right one.
    table: [[u64; LEVELS.len()]; LEVELS.len()],
}

impl Progress {
    /// Sums up somebody's drills, the oldest row first.
    pub fn of<'a>(rows: impl IntoIterator<Item = &'a Row>, who: &str) -> Progress {
        let mut seen = BTreeSet::new();
        let first: Vec<&Answered> = rows
            .into_iter()
            .filter(|row| row.who == who)
            .filter_map(|row| match &row.act {
                Act::Drill(answered) => Some(answered),
                _ => None,
            })
            .filter(|own| seen.insert((own.kind, own.seed)))
            .collect();
        let mut progress = Progress {
            answered: first.len() as u64,
            ..Progress::default()
        };
        for kind in Kind::ALL {
            let own: Vec<&&Answered> = first.iter().filter(|own| own.kind == kind).collect();
            if own.is_empty() {
                continue;
            }
            let seconds: Vec<u32> = own.iter().map(|own| own.seconds).collect();
            let missed = [Missed::Call, Missed::Invented, Missed::Level, Missed::Other]
                .map(|what| own.iter().filter(|own| own.missed == Some(what)).count() as u64);
            progress.kinds.push(OfKind {
                kind,
                right: Count {
                    events: own.iter().filter(|own| own.missed.is_none()).count() as u64,
                    of: own.len() as u64,
                },
                missed,
                seconds: middle(&seconds).unwrap_or_default(),
            });
        }
        let results = first.iter().filter(|own| own.kind.asks_result());
        for own in results {
            if let Some(cell) = progress
                .table
                .get_mut(own.right)
                .and_then(|row| row.get_mut(own.chosen))
            {
                *cell += 1;
            }
        }
        progress
    }

    /// Adds the result of a walk of a known model, with that of its key.
    pub fn walked(&mut self, own: Level, key: Level, seconds: u32) {
        let at = |level: Level| LEVELS.iter().position(|own| *own == level).unwrap_or(0);
        self.walks.push(seconds);
        self.table[at(key)][at(own)] += 1;
    }

    /// How many calls and holds were seen, of how many; `None` if there was none to be seen.
    pub fn calls(&self) -> Option<Count> {
        self.called(&self.table[CALL..])
    }

    /// How many calls were invented, of how many results without one.
    pub fn invented(&self) -> Option<Count> {
        self.called(&self.table[..CALL])
    }

    fn called(&self, rows: &[[u64; LEVELS.len()]]) -> Option<Count> {
        let of: u64 = rows.iter().flatten().sum();
        let events = rows.iter().map(|row| row[CALL..].iter().sum::<u64>()).sum();
        (of > 0).then_some(Count { events, of })
    }

    /// How many results were given.
    pub fn results(&self) -> u64 {
        self.table.iter().flatten().sum()
    }

    /// Agreement with the judge beyond chance, with linear weights; `None` with too few results or no spread.
    pub fn kappa(&self) -> Option<Kappa> {
        (self.results() >= LEAST).then_some(())?;
        kappa(&self.table, Weights::Linear, Confidence::P95).ok()
    }

    /// The kind in which the most harmful was missed most often, with what that is; `None` if nothing was missed.
    pub fn teach_next(&self) -> Option<(Kind, Missed, u64)> {
        let worst = self.kinds.iter().max_by_key(|own| own.missed)?;
        let all = [Missed::Call, Missed::Invented, Missed::Level, Missed::Other];
        let mut missed = all.into_iter().zip(worst.missed);
        missed
            .find(|(_, count)| *count > 0)
            .map(|(what, count)| (worst.kind, what, count))
    }
}

/// The middle one of some times.
pub fn middle(seconds: &[u32]) -> Option<u32> {
    let mut seconds = seconds.to_vec();
    seconds.sort_unstable();
    seconds.get(seconds.len() / 2).copied()
}

/// A longer time between two answers is a pause, in seconds. Ours.
const PAUSE: i64 = 300;

/// How long somebody worked, in seconds, by when the answers came; pauses are left out.
pub fn busy(answers: &[Timestamp]) -> u32 {
    let gaps = answers
        .windows(2)
        .map(|two| two[1].as_second() - two[0].as_second());
    let worked: i64 = gaps.filter(|gap| (0..=PAUSE).contains(gap)).sum();
    u32::try_from(worked).unwrap_or(u32::MAX)
}

/// The interval of a share, by Wilson.
pub fn interval(count: Count) -> Option<(f64, f64)> {
    let estimate = wilson(count, Confidence::P95).ok()?;
    Some((estimate.interval.low, estimate.interval.high))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(who: &str, kind: Kind, seed: u64, (chosen, right): (usize, usize)) -> Row {
        let missed = (chosen != right).then_some(match (chosen >= CALL, right >= CALL) {
            (false, true) => Missed::Call,
            (true, false) => Missed::Invented,
            _ => Missed::Level,
        });
        Row {
            who: who.to_owned(),
            on: jiff::civil::date(2026, 11, 28),
            case: None,
            act: Act::Drill(Answered {
                kind,
                seed,
                flow: ("fixed".to_owned(), 3),
                chosen,
                right,
                missed,
                grade: 4,
                recalled: 0,
                easiness: 250,
                days: 0,
                seconds: 10,
            }),
        }
    }

    /// Six of eight: 0.409 to 0.929 by Wilson (worked from the formula of 1927), and a repeat of a missed drill changes nothing.
    #[test]
    fn calls_seen_are_counted_once_and_of_the_own_drills_alone() {
        let mut rows: Vec<Row> = (0..8)
            .map(|n| row("t2", Kind::Tray, n, (if n < 6 { 2 } else { 0 }, 2)))
            .collect();
        rows.extend((0..20).map(|n| row("t2", Kind::Sound, n, (if n < 2 { 3 } else { 0 }, 0))));
        rows.push(row("t2", Kind::Tray, 7, (2, 2)));
        rows.push(row("t3", Kind::Tray, 9, (0, 2)));
        let found = Progress::of(&rows, "t2");
        assert_eq!(found.answered, 28);
        assert_eq!(found.calls(), Some(Count { events: 6, of: 8 }));
        assert_eq!(found.invented(), Some(Count { events: 2, of: 20 }));
        let (low, high) = interval(Count { events: 6, of: 8 }).unwrap();
        assert!((low - 0.409_3).abs() < 1e-4 && (high - 0.928_5).abs() < 1e-4);
        // A walk is a result like any other.
        let mut more = found.clone();
        more.walked(Level::Fine, Level::Hold, 840);
        assert_eq!(more.calls(), Some(Count { events: 6, of: 9 }));
        assert_eq!((middle(&more.walks), more.results()), (Some(840), 29));
        // A call missed is worse than two invented.
        assert_eq!(found.teach_next(), Some((Kind::Tray, Missed::Call, 2)));
        assert_eq!(found.kappa(), None);
    }

    #[test]
    fn a_pause_is_no_work() {
        let at = |second: i64| Timestamp::from_second(second).unwrap();
        assert_eq!(busy(&[at(0), at(20), at(320), at(5000), at(5010)]), 330);
        assert_eq!(busy(&[]), 0);
        assert_eq!((middle(&[30, 10, 20]), middle(&[])), (Some(20), None));
    }

    /// By hand: 40 results, 30 of them agreed at the ends, 10 off by three levels of three: linear weights leave them nothing, so
    /// that kappa is that of a table of two classes: observed 0.75, expected 0.5, kappa 0.5.
    #[test]
    fn kappa_is_said_from_thirty_results_on() {
        let mut rows: Vec<Row> = Vec::new();
        for (n, pair) in [(15, (0, 0)), (15, (3, 3)), (5, (0, 3)), (5, (3, 0))] {
            for _ in 0..n {
                let seed = rows.len() as u64;
                rows.push(row("t2", Kind::Clearance, seed, pair));
            }
        }
        let found = Progress::of(&rows, "t2").kappa().unwrap();
        assert!((found.kappa - 0.5).abs() < 1e-12, "{found:?}");
        let few = Progress::of(&rows[..29], "t2");
        assert_eq!((few.results(), few.kappa()), (29, None));
    }
}
