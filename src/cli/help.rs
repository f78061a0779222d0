//! What stands below the options in every help: real lines to type, and the exit codes.

use crate::error::EXIT_CODES;

/// Lines to type, then the exit codes.
pub(super) fn examples(lines: &[&str]) -> String {
    let head = if lines.len() == 1 {
        "Example:"
    } else {
        "Examples:"
    };
    format!("{head}\n  {}\n\n{}", lines.join("\n  "), exit_codes())
}

/// The exit codes in one line.
fn exit_codes() -> String {
    let codes: Vec<String> = EXIT_CODES
        .iter()
        .map(|(code, name, _)| format!("{code} {name}"))
        .collect();
    format!("Exit codes: {}.", codes.join(", "))
}

/// What stands below the help of the program itself: each exit code with its meaning.
pub(super) fn closing() -> String {
    let mut out = String::from(
        "Examples:\n  casepan demo\n  casepan --archive lab.casepan\n  casepan --theme light --signs ascii\n\nExit codes:\n",
    );
    for (code, name, meaning) in EXIT_CODES {
        out.push_str(&format!("  {code:>2} {name}: {meaning}\n"));
    }
    out.push_str(
        "\nScreening only. The licensed dentist decides; makers' instructions and local rules go first.",
    );
    out
}
