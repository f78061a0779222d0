//! Spacing of repetition by the rules of SM-2, worked out by hand.

use crate::Refused;
use crate::repetition::Spacing;

fn after(grades: &[u8]) -> Vec<(u32, u32)> {
    let mut spacing = Spacing::NEW;
    let mut list = Vec::new();
    for grade in grades {
        spacing = spacing.graded(*grade).unwrap();
        list.push((spacing.days, spacing.easiness));
    }
    list
}

/// 6 · 2.7 = 16.2 and 17 · 2.8 = 47.6, both rounded up; the factor is the one before the answer.
#[test]
fn waits_grow() {
    assert_eq!(
        after(&[5, 5, 5, 5]),
        [(1, 260), (6, 270), (17, 280), (48, 290)]
    );
}

/// What was forgotten starts again with its factor as it was.
#[test]
fn what_was_forgotten_starts_again() {
    let days: Vec<u32> = after(&[4, 4, 4, 2, 4, 4, 4])
        .iter()
        .map(|step| step.0)
        .collect();
    assert_eq!(days, [1, 6, 15, 1, 1, 6, 15]);
    for grade in 0..3 {
        assert_eq!(after(&[5, 5, grade]).last(), Some(&(1, 270)));
    }
}

/// Hard answers take .14 each, down to 1.3: 2.5, 2.36 … 1.38, then 1.3.
#[test]
fn the_factor_has_a_floor() {
    let easiness: Vec<u32> = after(&[3; 10]).iter().map(|step| step.1).collect();
    assert_eq!(easiness, [236, 222, 208, 194, 180, 166, 152, 138, 130, 130]);
    // 6 · 2.22 = 13.32.
    assert_eq!(after(&[3, 3, 3])[2].0, 14);
}

#[test]
fn waits_end_where_numbers_do() {
    let (days, _) = after(&[5; 60])[59];
    assert_eq!(days, u32::MAX);
    let refused = Refused::OutOfRange {
        what: "grade",
        value: 6.0,
    };
    assert_eq!(Spacing::NEW.graded(6), Err(refused));
}
