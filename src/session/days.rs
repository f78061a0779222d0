//! Days as they are typed: so many from today, day and month, or year-month-day.

use jiff::ToSpan;
use jiff::civil::Date;

use crate::flow::Days;
use crate::phrase::prompts::days as said;

pub use crate::phrase::prompts::days::takes;

/// The most days that a bare number may be away: about ten years.
const MOST: i64 = 3660;

/// How far ahead a day may be that is usually past, in days: a pour is planned for the next weeks.
const NEAR: i64 = 60;

/// How far on the wrong side of today a day and month may be and still be a slip rather than a day of another year, in
/// days: the usual slip is by one month.
const SLIP: i64 = 31;

/// What is between the parts of a day.
const BETWEEN: [char; 4] = ['-', '.', '/', ' '];

/// Returns whether `c` continues the day in `typed`. A day begins with a digit: in an empty cell the other keys are
/// commands.
pub fn has(c: char, typed: &str) -> bool {
    c.is_ascii_digit() || (!typed.is_empty() && (c == '+' || BETWEEN.contains(&c)))
}

/// Reads a day.
///
/// A bare number counts days back where the day is past or may be either, and forward where it is still to come; with a
/// plus before or behind it, it counts forward. Without a year the day is the nearest that fits.
///
/// # Errors
/// A sentence, if the text is no day, or the day is on the wrong side of today.
pub fn read(text: &str, today: Date, days: Days) -> Result<Date, String> {
    let wrong = || said::enter(days);
    let text = text.trim();
    let ahead = text.strip_prefix('+').or(text.strip_suffix('+'));
    let day = if let Some(ahead) = ahead {
        from_today(ahead.parse().map_err(|_| wrong())?, today)?
    } else if text.contains(BETWEEN) {
        let parts: Vec<&str> = text.split(BETWEEN).filter(|p| !p.is_empty()).collect();
        match parts.as_slice() {
            [day, month] => in_no_year(day, month, today, days).ok_or_else(wrong)?,
            [year, month, day] if year.len() == 4 => exact(year, month, day).ok_or_else(wrong)?,
            [day, month, year] => exact(year, month, day).ok_or_else(wrong)?,
            _ => return Err(wrong()),
        }
    } else {
        let count: i64 = text.parse().map_err(|_| wrong())?;
        from_today(if days == Days::Future { count } else { -count }, today)?
    };
    side(day, today, days)?;
    Ok(day)
}

fn from_today(count: i64, today: Date) -> Result<Date, String> {
    if count < -MOST {
        return Err(said::TOO_LONG_AGO.to_owned());
    }
    if count > MOST {
        return Err(said::TOO_FAR_AHEAD.to_owned());
    }
    let day = today.checked_add(count.days());
    day.map_err(|_| said::OUT_OF_REACH.to_owned())
}

/// A day with its year; two digits are a year of this century.
fn exact(year: &str, month: &str, day: &str) -> Option<Date> {
    let short = year.len() == 2;
    if !short && year.len() != 4 {
        return None;
    }
    let year: i16 = year.parse().ok()?;
    let year = if short { 2000 + year } else { year };
    Date::new(year, month.parse().ok()?, day.parse().ok()?).ok()
}

/// A day and month in the nearest year that fits.
fn in_no_year(day: &str, month: &str, today: Date, days: Days) -> Option<Date> {
    let (day, month): (i8, i8) = (day.parse().ok()?, month.parse().ok()?);
    // Between two leap years that leave one out lie eight.
    let near = (-8..=8).filter_map(|years| Date::new(today.year() + years, month, day).ok());
    let fits = |day: &Date| match days {
        Days::Past => away(*day, today) <= SLIP,
        Days::Future => away(*day, today) >= -SLIP,
        Days::Either => true,
    };
    near.filter(fits).min_by_key(|day| away(*day, today).abs())
}

/// Returns how many days from today, negative if past.
fn away(day: Date, today: Date) -> i64 {
    // Days between two dates always fit.
    today
        .until(day)
        .map_or(0, |span| i64::from(span.get_days()))
}

/// Refuses a day on the wrong side of today.
fn side(day: Date, today: Date, days: Days) -> Result<(), String> {
    let away = away(day, today);
    match days {
        Days::Past if away > 0 => Err(said::still_to_come(day)),
        Days::Future if away < 0 => Err(said::past(day)),
        Days::Either if away > NEAR => Err(said::months_ahead(day)),
        Days::Past | Days::Either if away < -MOST => Err(said::TOO_LONG_AGO.to_owned()),
        Days::Future if away > MOST => Err(said::TOO_FAR_AHEAD.to_owned()),
        _ => Ok(()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn a_day_is_read_the_way_its_question_looks() {
        // A Monday.
        let today = date(2026, 11, 23);
        for (text, days, wanted) in [
            ("7", Days::Past, date(2026, 11, 16)),
            ("7", Days::Either, date(2026, 11, 16)),
            ("7", Days::Future, date(2026, 11, 30)),
            ("+7", Days::Future, date(2026, 11, 30)),
            ("+2", Days::Either, date(2026, 11, 25)),
            ("2+", Days::Either, date(2026, 11, 25)),
            ("0", Days::Past, today),
            ("0", Days::Future, today),
            ("28-11", Days::Future, date(2026, 11, 28)),
            ("28.11", Days::Future, date(2026, 11, 28)),
            ("28.11.", Days::Future, date(2026, 11, 28)),
            ("28/11", Days::Future, date(2026, 11, 28)),
            ("28 11", Days::Future, date(2026, 11, 28)),
            // Over the turn of the year.
            ("5.1", Days::Future, date(2027, 1, 5)),
            ("30-5", Days::Future, date(2027, 5, 30)),
            ("20-11", Days::Past, date(2026, 11, 20)),
            ("30 12", Days::Past, date(2025, 12, 30)),
            ("2-12", Days::Either, date(2026, 12, 2)),
            ("2026-12-04", Days::Future, date(2026, 12, 4)),
            ("2026.12.4", Days::Future, date(2026, 12, 4)),
            ("4.12.2026", Days::Future, date(2026, 12, 4)),
            ("4/12/26", Days::Future, date(2026, 12, 4)),
            ("29-2", Days::Future, date(2028, 2, 29)),
        ] {
            assert_eq!(read(text, today, days), Ok(wanted), "{text} {days:?}");
        }
    }

    #[test]
    fn a_day_on_the_wrong_side_of_today_is_refused_in_words() {
        let today = date(2026, 11, 23);
        for (text, days, why) in [
            (
                "20-11",
                Days::Future,
                "Fri 20 Nov 2026 is past; enter today or a later day",
            ),
            (
                "2026-11-16",
                Days::Future,
                "Mon 16 Nov 2026 is past; enter today or a later day",
            ),
            (
                "28.11",
                Days::Past,
                "Sat 28 Nov 2026 is still to come; enter today or an earlier day",
            ),
            (
                "+1",
                Days::Past,
                "Tue 24 Nov 2026 is still to come; enter today or an earlier day",
            ),
            (
                "+90",
                Days::Either,
                "Sun 21 Feb 2027 is more than two months from now",
            ),
            ("4000", Days::Past, "that is more than ten years ago"),
            ("4000", Days::Future, "that is more than ten years from now"),
            (
                "1990-01-01",
                Days::Either,
                "that is more than ten years ago",
            ),
            // Day first: there is no 28th month.
            (
                "11/28",
                Days::Future,
                "enter days from today, day-month or year-month-day",
            ),
            (
                "2026-02-30",
                Days::Past,
                "enter days ago, day-month or year-month-day",
            ),
            (
                "1-2-3-4",
                Days::Past,
                "enter days ago, day-month or year-month-day",
            ),
            (
                "1-1-1",
                Days::Past,
                "enter days ago, day-month or year-month-day",
            ),
        ] {
            assert_eq!(
                read(text, today, days),
                Err(why.to_owned()),
                "{text} {days:?}"
            );
        }
    }
}
