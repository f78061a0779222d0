//! A funnel of dentists: each with how many were followed and how many of them came back, and what chance allows.

use super::figures::{Ripe, Row};
use crate::statistics::funnel::funnel;
use crate::statistics::{Confidence, Interval};

/// A funnel.
#[derive(Clone, PartialEq, Debug)]
pub struct Funnel {
    /// The share of all together, more than 0 and less than 1.
    pub target: f64,
    /// The dentists, in the order of their codes.
    pub points: Vec<Point>,
    /// What chance allows, by how many were followed, from few to many.
    pub limits: Vec<Limits>,
}

/// A dentist in a funnel.
#[derive(Clone, PartialEq, Debug)]
pub struct Point {
    /// The code, or `None` where it is not known.
    pub name: Option<String>,
    /// How many were followed long enough.
    pub of: u64,
    /// The share that came back.
    pub share: f64,
    /// Whether that is more than chance brings.
    pub stands_out: bool,
}

/// What chance allows among so many.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Limits {
    /// Among how many.
    pub of: u64,
    /// 19 of 20 lie within.
    pub inner: Interval,
    /// 998 of 1,000 lie within.
    pub outer: Interval,
}

/// At so many places the limits are worked out.
const STEPS: u64 = 40;

impl Funnel {
    /// Returns the funnel of rows, or `None` where nothing, or all, came back.
    pub(super) fn of(all: &Ripe, rows: &[Row]) -> Option<Funnel> {
        let target = all.came as f64 / all.of.max(1) as f64;
        let most = rows.iter().map(|row| row.ripe.of).max()?;
        let mut limits: Vec<Limits> = Vec::new();
        for step in 1..=STEPS {
            let of = (most * step).div_ceil(STEPS).max(1);
            if limits.last().is_some_and(|own| own.of == of) {
                continue;
            }
            limits.push(Limits {
                of,
                inner: funnel(target, of, Confidence::P95).ok()?,
                outer: funnel(target, of, Confidence::P99_8).ok()?,
            });
        }
        let points = rows.iter().map(|row| Point {
            name: row.names.first().cloned().flatten(),
            of: row.ripe.of,
            share: row.ripe.came as f64 / row.ripe.of.max(1) as f64,
            stands_out: row.stands_out,
        });
        Some(Funnel {
            target,
            points: points.collect(),
            limits,
        })
    }
}
