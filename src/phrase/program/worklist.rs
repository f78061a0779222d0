//! The worklist as lines for scripts.

use jiff::civil::Date;

use crate::case::coming::Part;
use crate::case::life::State;
use crate::phrase::words;

/// The heads of the columns, with a tab between them.
pub const COLUMNS: &str =
    "number\tunits\tstate\tverdict\tcould be\tleft\tlast\tdentist\tdue\tpromised\twith\tclosed";

/// Of a case in which nothing is left to do.
pub const CLOSED: &str = "yes";

/// Of a case in which something is left to do.
pub const OPEN: &str = "no";

/// In place of the verdict of a case that cannot be read.
pub const UNREADABLE: &str = "unreadable";

/// In place of what a case that cannot be read does not say.
pub const UNKNOWN: &str = "-";

/// Returns how far a case is: its state, what it is waiting for, how many of its restorations are not covered, and the
/// day that is due.
pub fn state(
    state: State,
    parts: &[Part],
    (not_covered, all): (usize, usize),
    due: Option<Date>,
) -> String {
    let mut said = state.as_str().to_owned();
    if !parts.is_empty() {
        let parts: Vec<&str> = parts.iter().map(|own| own.as_str()).collect();
        said.push_str(&format!(" for {}", parts.join(", ")));
    }
    if let Some(other) = words::some_not_covered(not_covered, all) {
        said.push_str(&format!(", {other}"));
    }
    if let Some(due) = due {
        said.push_str(&format!(", due {due}"));
    }
    said
}
