//! Agreement of two who judge the same cases: Cohen's kappa.
//!
//! Sources: J. Cohen 1960, Educational and Psychological Measurement 20:37-46, and 1968, Psychological Bulletin
//! 70:213-220, for weights; J. L. Fleiss, J. Cohen, B. S. Everitt 1969, Psychological Bulletin 72:323-327, for the standard
//! error.

use crate::confidence::{Confidence, Interval};
use crate::refused::Refused;

/// What a near miss counts.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Weights {
    /// Nothing: agreed or not.
    Unweighted,
    /// The less, the more classes lie between: for classes in order.
    Linear,
}

/// Agreement beyond chance.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Kappa {
    /// 1 at full agreement, 0 where chance alone would agree as often.
    pub kappa: f64,
    /// The share that agreed, weighted.
    pub observed: f64,
    /// The share that would agree by chance, weighted.
    pub expected: f64,
    /// Its standard error.
    pub se: f64,
    /// Its interval; none where the standard error is 0, for full agreement of a few proves no perfection.
    pub interval: Option<Interval>,
}

/// Returns kappa of a square table of counts: a row for each class of the one, a column for each class of the other.
///
/// # Errors
/// Refuses a table that is not square or has one class, an empty one, and one where both always gave the same class.
pub fn kappa(
    table: &[impl AsRef<[u64]>],
    weights: Weights,
    confidence: Confidence,
) -> Result<Kappa, Refused> {
    let classes = table.len();
    if classes < 2 || table.iter().any(|row| row.as_ref().len() != classes) {
        return Err(Refused::NotSquare);
    }
    let counted = |row: usize, column: usize| table[row].as_ref()[column] as f64;
    let all = || (0..classes).flat_map(|row| (0..classes).map(move |column| (row, column)));
    let n: f64 = all().map(|(row, column)| counted(row, column)).sum();
    if n == 0.0 {
        return Err(Refused::Empty);
    }
    let share = |row, column| counted(row, column) / n;
    let weight = |row: usize, column: usize| match weights {
        Weights::Unweighted => f64::from(u8::from(row == column)),
        Weights::Linear => 1.0 - row.abs_diff(column) as f64 / (classes - 1) as f64,
    };
    let sum = |term: &dyn Fn(usize) -> f64| (0..classes).map(term).sum::<f64>();
    let rows: Vec<f64> = (0..classes).map(|i| sum(&|j| share(i, j))).collect();
    let columns: Vec<f64> = (0..classes).map(|j| sum(&|i| share(i, j))).collect();
    let observed: f64 = all().map(|(i, j)| weight(i, j) * share(i, j)).sum();
    let expected: f64 = all()
        .map(|(i, j)| weight(i, j) * rows[i] * columns[j])
        .sum();
    if 1.0 - expected < ROUNDING {
        return Err(Refused::NoSpread);
    }
    let kappa = (observed - expected) / (1.0 - expected);

    let by_row: Vec<f64> = (0..classes)
        .map(|i| sum(&|j| columns[j] * weight(i, j)))
        .collect();
    let by_column: Vec<f64> = (0..classes)
        .map(|j| sum(&|i| rows[i] * weight(i, j)))
        .collect();
    let squares: f64 = all()
        .map(|(i, j)| {
            share(i, j) * (weight(i, j) - (by_row[i] + by_column[j]) * (1.0 - kappa)).powi(2)
        })
        .sum();
    let variance = squares - (kappa - expected * (1.0 - kappa)).powi(2);
    let se = match variance > ROUNDING {
        true => (variance / n).sqrt() / (1.0 - expected),
        false => 0.0,
    };
    let half = confidence.z() * se;
    Ok(Kappa {
        kappa,
        observed,
        expected,
        se,
        interval: (se > 0.0).then(|| Interval {
            low: (kappa - half).max(-1.0),
            high: (kappa + half).min(1.0),
        }),
    })
}

/// A difference of shares that is nothing but rounding.
const ROUNDING: f64 = 1e-13;
