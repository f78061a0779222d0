//! What the demo proposes to try next, in a line of at most 78 columns. The keys are filled in.

/// The first step: an answer.
pub const ANSWER: &str =
    "Try 1 of 4: at a question, press a digit, or type a number and {confirm}.";
/// The second step: the findings.
pub const FINDINGS: &str =
    "Try 2 of 4: {findings} shows each finding, why it matters and its source.";
/// The third step: the options.
pub const OPTIONS: &str = "Try 3 of 4: {options} shows what would help, and what it costs.";
/// The last step: the call and the sheets.
pub const CALL: &str =
    "Try 4 of 4: {call} is the call to the dentist; {summary}, then {print}, prints all.";
