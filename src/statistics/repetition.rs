//! When to ask again what somebody learns: the spacing SM-2.
//!
//! Source: P. A. Wozniak 1990, Optimization of learning, master's thesis, University of Technology in Poznan, chapter 3.2.

use crate::refused::Refused;

/// What is known of one thing that is learnt.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct Spacing {
    /// How often in a row it was recalled.
    pub recalled: u32,
    /// The factor by which the wait grows, in hundredths; 130 at least.
    pub easiness: u32,
    /// Days until it is asked again; 0 before it was asked at all.
    pub days: u32,
}

impl Spacing {
    /// Never asked yet.
    pub const NEW: Spacing = Spacing {
        recalled: 0,
        easiness: 250,
        days: 0,
    };

    /// Returns the spacing after an answer with a grade from 0 to 5; from 3 on it counts as recalled.
    ///
    /// The wait is 1 day, then 6, then the last one by the easiness that was, rounded up; forgotten, it starts again and
    /// leaves the easiness alone.
    ///
    /// # Errors
    /// Refuses a grade above 5.
    pub fn graded(self, grade: u8) -> Result<Spacing, Refused> {
        // 0.1 - (5 - q) (0.08 + (5 - q) 0.02) for q from 3 on, in hundredths: whole numbers, so that nothing is rounded.
        let easiness = match grade {
            0..3 => {
                return Ok(Spacing {
                    recalled: 0,
                    days: 1,
                    ..self
                });
            }
            3 => self.easiness.saturating_sub(14).max(130),
            4 => self.easiness,
            5 => self.easiness.saturating_add(10),
            _ => {
                return Err(Refused::OutOfRange {
                    what: "grade",
                    value: f64::from(grade),
                });
            }
        };
        let days = match self.recalled {
            0 => 1,
            1 => 6,
            _ => {
                let days = u64::from(self.days) * u64::from(self.easiness);
                u32::try_from(days.div_ceil(100)).unwrap_or(u32::MAX)
            }
        };
        Ok(Spacing {
            recalled: self.recalled.saturating_add(1),
            easiness,
            days,
        })
    }
}
