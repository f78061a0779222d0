//! The days of a case: by when the bench is done, what was promised, and whether that can be kept. A day that has passed
//! changes no state.

use jiff::civil::Date;

use super::CaseState;
use crate::case::Case;
use crate::case::coming::Awaited;
use crate::phrase::beside as says;

/// The days of a case.
#[derive(Clone, PartialEq, Debug)]
pub struct CaseDays<'s> {
    /// The day by which the bench has to be done.
    pub due: Option<Date>,
    /// The day that was promised to the dentist.
    pub promised: Option<Date>,
    /// How many days the bench is late, or `None` if it is not.
    pub late: Option<i32>,
    /// Whether the promised day is past and the work is not out.
    pub promise_is_past: bool,
    /// What comes in after the promised day only, the last first, each with its day.
    pub after_promise: Vec<(&'s Awaited, Date)>,
}

impl CaseState {
    /// Returns the days of the case, as they are on a day.
    pub fn days(&self, case: &Case, today: Option<Date>) -> CaseDays<'_> {
        let (due, promised) = (case.due_day(), case.promised_day());
        let is_open = !self.state.is_over();
        let past = |day: Option<Date>| {
            let (day, today) = day.zip(today).filter(|_| is_open)?;
            let span = day.until(today).ok()?;
            Some(span.get_days()).filter(|days| *days > 0)
        };
        let mut after_promise: Vec<(&Awaited, Date)> = Vec::new();
        for own in self.awaited() {
            let after = own.due.zip(promised).filter(|(due, day)| due > day);
            after_promise.extend(after.map(|(due, _)| (own, due)));
        }
        after_promise.sort_by_key(|(_, due)| std::cmp::Reverse(*due));
        CaseDays {
            due,
            promised,
            late: past(due),
            promise_is_past: past(promised).is_some(),
            after_promise,
        }
    }
}

impl CaseDays<'_> {
    /// Returns the days in sentences; empty if there are none.
    pub fn lines(&self) -> Vec<String> {
        let mut lines: Vec<String> = Vec::new();
        lines.extend(says::days(self.due, self.promised, self.late));
        if let Some(promised) = self.promised {
            if self.promise_is_past {
                lines.push(says::promise_past(promised));
            } else {
                let last = self.after_promise.first();
                lines.extend(last.map(|(own, due)| says::promise_breaks(promised, own, *due)));
            }
        }
        lines
    }
}
