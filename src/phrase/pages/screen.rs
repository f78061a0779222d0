//! What only the screen says: roles of its look, a window that is too small, a terminal that fails.

/// Says which size the window has to have at the least, in columns and rows.
pub fn too_small(columns: u16, rows: u16) -> String {
    format!("The window is too small: casepan needs {columns} by {rows}.")
}

/// Says that drawing on the terminal failed.
pub fn cannot_draw(error: &dyn std::fmt::Display) -> String {
    format!("cannot draw on the terminal: {error}")
}

/// Says that there is no terminal to draw on.
pub fn no_terminal(error: &dyn std::fmt::Display) -> String {
    format!("this is not a terminal to draw on: {error}")
}

/// Says which commands need no terminal.
pub const WITHOUT_TERMINAL: &str =
    "`casepan ask CASE`, `casepan judge FILE.ron` and `casepan print CASE` work without one";

/// Says that signals of the system cannot be watched.
pub fn no_signals(error: &dyn std::fmt::Display) -> String {
    format!("signals cannot be watched: {error}")
}

/// Says, behind the lines that are shown, how to see the others of a page.
pub const ARROWS_SCROLL: &str = ", arrows scroll";
/// Says, behind the lines that are shown, how to see the others of a part.
pub const PAGE_KEYS_SCROLL: &str = ", page keys scroll";

/// Says what plain text is.
pub const TEXT: &str = "Plain text.";
/// Says what less important text is.
pub const DIM: &str = "Less important.";
/// Says what a heading is.
pub const HEADING: &str = "A heading.";
/// Says what the open cell is.
pub const PRESENT: &str = "The open cell or the marked line.";
/// Says what an answer is.
pub const ANSWER: &str = "An answer.";
/// Says what a key is.
pub const KEY: &str = "A key in the last line.";
/// Says what *open* means.
pub const OPEN: &str = "Nothing found yet; something still could be.";
/// Says what *nothing found* means.
pub const FINE: &str = "Nothing found.";
/// Says what *watch* means.
pub const WATCH: &str = "Make it, with care.";
/// Says what *call* means.
pub const CALL: &str = "Ask before making.";
/// Says what *on hold* means.
pub const HOLD: &str = "Do not start.";
/// Says what *waiting* means.
pub const WAITING: &str = "Something that was agreed has still to come in.";
/// Says what *not covered* means.
pub const NOT_COVERED: &str = "No rule of the flow is about this work.";
/// Says what a refusal is.
pub const REFUSAL: &str = "The sign before why a key was refused, or what went wrong.";

/// Says, in the corner, that answers wait in memory because the archive does not take them yet.
pub fn not_saved(answers: usize) -> String {
    match answers {
        0 | 1 => "NOT SAVED".to_owned(),
        answers => format!("NOT SAVED: {answers}"),
    }
}

/// Says, in the corner, that the archive is gone and answers are in a file of their own.
pub const NO_ARCHIVE: &str = "NO ARCHIVE";
