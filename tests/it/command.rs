//! The command line: what goes in badly is refused in words, what comes out is what it says.

mod archive;
pub(crate) mod arrived;
mod bad_cases;
mod demo;
mod flows;
mod help;
mod instruction;
mod json;
mod life;
mod manual;
mod moving;
mod old_archives;
mod output;
mod schema;
mod settings;

use crate::support::Output;

/// Exit codes after the open convention of `sysexits.h` (4.3BSD): usage, data, no input, cannot create, input or
/// output.
const USAGE: i32 = 64;
const DATA: i32 = 65;
const NO_INPUT: i32 = 66;
const CANNOT_CREATE: i32 = 73;
const IO: i32 = 74;

/// A crown on 26 with a few facts, one on each line from line 6 on; invented.
const CROWN: &str = r#"Case(
    format: 1, number: "T-1", flow: "fixed", version: 3,
    restorations: [
        Crown("R1", [Abutment("26")]),
    ],
    facts: [
        (fact: "order.scope", at: "R1", is: Choice("teeth")),
        (fact: "order.material", at: "R1", is: Choice("zirconia-3y")),
        (fact: "tooth.height", at: "26", is: Mm(4.6), with: "caliper"),
    ],
)
"#;

/// Checks that a run was refused: one block of words on the error stream, nothing on the output.
///
/// `says` has to be in it: what is wrong, where, and what to do.
#[track_caller]
fn refused(output: &Output, code: i32, says: &[&str]) {
    assert_eq!(output.code, Some(code), "{output:?}");
    assert_eq!(output.stdout, "", "{output:?}");
    let text = &output.stderr;
    let sentences = text.lines().filter(|line| line.starts_with("casepan: "));
    assert_eq!(sentences.count(), 1, "{text}");
    for part in says {
        assert!(text.contains(part), "{part:?} is not in\n{text}");
    }
    let to_do = text
        .lines()
        .any(|line| line.contains("= help: ") || line.starts_with("  "));
    assert!(to_do, "nothing says what to do:\n{text}");
    for odd in ["panicked", "\x1b", "RUST_BACKTRACE", "Os {", "Error("] {
        assert!(!text.contains(odd), "{odd:?} in\n{text}");
    }
    assert!(text.len() < 4000, "{} bytes of message", text.len());
}

/// Counts the problems that were told.
fn problems(output: &Output) -> usize {
    let told = |line: &&str| line.starts_with("error[") || line.starts_with("warning[");
    output.stderr.lines().filter(told).count()
}
