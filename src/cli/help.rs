//! What stands below the options in every help: lines that can be typed, and the exit codes.

use crate::error::EXIT_CODES;
use crate::phrase::program::command_line::{below, below_the_program};

/// Returns examples of a command, then the exit codes.
pub(super) fn examples(lines: &[&str]) -> String {
    below(lines, EXIT_CODES)
}

/// Returns what stands below the help of the program itself: each exit code with its meaning.
pub(super) fn closing() -> String {
    let examples = [
        "casepan demo",
        "casepan --archive lab.casepan",
        "casepan --theme light --signs ascii",
    ];
    below_the_program(&examples, EXIT_CODES)
}
