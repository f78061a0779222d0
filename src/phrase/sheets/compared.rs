//! Options side by side, and what was agreed beside what was measured.

/// The columns of options: result, then grip, each as it is now and with the option.
pub const OPTION_COLUMNS: [&str; 5] = ["option", "result now", "with it", "grip now", "with it"];
/// A cell of an option without a figure to compare.
pub const NOT_COMPUTED: &str = crate::phrase::words::NOT_COMPUTED;
/// Said under options of which one has no figure to compare.
pub const WHY_NOT_COMPUTED: &str = "Not computed: nothing that was measured changes by the option itself, so there is no result to compare.";
/// Said under options while questions are left that may change every result.
pub const MAY_CHANGE: &str =
    "Results as far as the case is inspected; questions still to do may change each of them.";
/// The columns of agreed values.
pub const AGREED_COLUMNS: [&str; 4] = ["agreed value", "before", "now", "agreed on"];
/// The heading of the result and grip that are expected once everything agreed has arrived.
pub const EXPECTED: &str = "Once everything has arrived";
/// The columns of what is expected.
pub const EXPECTED_COLUMNS: [&str; 3] = ["expected", "now", "then"];

/// The grip of a restoration.
pub fn grip_of(restoration: &str) -> String {
    format!("{restoration} grip")
}

/// Said of an option that clears what is asked about.
pub const CLEARS: &str = "; clears this finding";
/// Said of an option with which no call is needed any more.
pub const EASES: &str = "; brings it down to WATCH";
/// Said of an option with which something of it is left.
pub const NOT_ALONE: &str = "; not enough by itself";

/// An option with its price, the days that it takes, and whether it is enough.
pub fn option(does: &str, price: &str, days: &str, clears: &str) -> String {
    format!("{does} ({price}, {days}{clears})")
}

/// How many more options there are.
pub fn more(options: usize) -> String {
    format!("{options} more on the options page.")
}
