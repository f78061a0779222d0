//! What is said where a day is typed.

use jiff::civil::Date;

use crate::flow::Days;
use crate::phrase::words::day_in_words;

/// Said where a day lies too far back.
pub const TOO_LONG_AGO: &str = "that is more than ten years ago";

/// Said where a day lies too far ahead.
pub const TOO_FAR_AHEAD: &str = "that is more than ten years from now";

/// Said where no calendar has the day.
pub const OUT_OF_REACH: &str = "no calendar goes that far";

/// Says what can be typed where a day is asked for.
pub fn takes(days: Days) -> &'static str {
    match days {
        Days::Past => "days ago, day-month or year-month-day",
        Days::Future => "days from today, day-month or year-month-day",
        Days::Either => "days ago (2+: in two days), day-month or year-month-day",
    }
}

/// Says what to enter, where the text is no day.
pub fn enter(days: Days) -> String {
    format!("enter {}", takes(days))
}

/// Says that a day is still to come, where a past one is asked for.
pub fn still_to_come(day: Date) -> String {
    format!(
        "{} is still to come; enter today or an earlier day",
        day_in_words(day)
    )
}

/// Says that a day is past, where one to come is asked for.
pub fn past(day: Date) -> String {
    format!("{} is past; enter today or a later day", day_in_words(day))
}

/// Says that a day lies further ahead than such a day can.
pub fn months_ahead(day: Date) -> String {
    format!("{} is more than two months from now", day_in_words(day))
}
