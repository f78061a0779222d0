//! What is said before and after the inspection on the screen.

/// Said in a terminal that only prints lines.
pub const DUMB: &str =
    "this terminal only prints lines (TERM is dumb), and the inspection needs a full screen";
/// What to do then.
pub const DUMB_HINT: &str = "`casepan ask CASE` asks line by line, `casepan print CASE` prints";

/// Said if there is no terminal.
pub const MISSING: &str = "the inspection needs a terminal for its keys and its screen";
/// What to do then.
pub const MISSING_HINT: &str = crate::phrase::pages::screen::WITHOUT_TERMINAL;

/// Said after the inspection if a calculation beside it failed.
pub const CALCULATION_FAILED: &str =
    "a calculation failed while you were working: internal error, not your input";
/// What became of the case then.
pub const CALCULATION_FAILED_HINT: &str =
    "every answer is saved; the result was judged without that calculation";

/// Said when a sample case opens, with names of commands in braces for their keys.
pub const SAMPLE: &str = "Sample case, nothing is saved. {help} shows the keys, {leave} leaves.";
