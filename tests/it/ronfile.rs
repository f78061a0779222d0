//! Reading RON with places.
//!
//! Lines and columns are checked against a mark written into the input by hand, counted here by the test itself. What is
//! valid RON is checked against the `ron` crate, the reference reader of the format.

// The lints spare functions marked as tests, but not what those share.
#![allow(clippy::expect_used, clippy::panic)]

mod codes;
mod places;
mod random;

use casepan::ronfile::{Diagnostic, Source, Spanned};
use serde::Deserialize;

/// Stands in an input right before the place where the problem is expected.
const MARK: char = '◆';

#[derive(Debug, Deserialize)]
struct Mm(f64);

// Most fields are only there to be read from text: no test looks at each of them.
#[allow(dead_code)]
#[derive(Debug, Deserialize)]
enum Condition {
    Yes,
    Below(String, Mm),
    All(Vec<Spanned<Condition>>),
    Not(Box<Spanned<Condition>>),
    Wall { height: u8 },
}

#[allow(dead_code)]
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct Rule {
    id: String,
    size: f64,
    count: u8,
    solid: bool,
    letter: char,
    when: Option<Condition>,
    placed: Option<Spanned<Condition>>,
    pair: (u8, f64),
    list: Vec<u8>,
    inner: Option<Inner>,
    nonzero: Option<std::num::NonZeroU8>,
    spot: Option<Spanned<f64>>,
}

#[allow(dead_code)]
#[derive(Debug, Deserialize)]
struct Inner {
    depth: Mm,
    width: Mm,
}

/// The input without its mark, and the line and column where the mark stood.
fn marked(input: &str) -> (String, usize, usize) {
    let (before, after) = input.split_once(MARK).expect("the input has a mark");
    let line = before.split('\n').count();
    let last = before.rsplit('\n').next().unwrap_or_default();
    (format!("{before}{after}"), line, last.chars().count() + 1)
}

#[track_caller]
fn refused<T>(outcome: Result<T, Diagnostic>, source: &Source) -> Diagnostic {
    let Err(problem) = outcome else {
        panic!("this was read without a problem:\n{}", source.text());
    };
    problem
}
