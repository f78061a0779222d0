//! Standing instructions on the command line.

use super::{NO_INPUT, USAGE, refused};
use crate::support::Home;

#[test]
fn instructions_are_added_listed_and_ended() {
    let home = Home::new();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    let good = |args: &[&str]| {
        let output = run(args);
        assert_eq!(
            (output.code, output.stderr.as_str()),
            (Some(0), ""),
            "{args:?} {output:?}"
        );
        output.stdout
    };
    refused(&run(&["instruction", "list"]), NO_INPUT, &["no archive"]);
    good(&[
        "instruction",
        "add",
        "K17",
        "clearance",
        "--words",
        "as thin\u{1b}[31m as it has to be",
        "--from",
        "2026-01-02",
        "--until",
        "2099-01-01",
    ]);
    let list = good(&["instruction", "list"]);
    assert_eq!(
        list,
        "1  K17  clearance  from 2026-01-02 until 2099-01-01  as thin[31m as it has to be\n"
    );
    refused(
        &run(&["instruction", "add", "K17", "clearence"]),
        USAGE,
        &["\"clearance\""],
    );
    refused(
        &run(&["instruction", "add", "Dr Who", "clearance"]),
        USAGE,
        &["never a name"],
    );
    refused(
        &run(&["instruction", "end", "2"]),
        NO_INPUT,
        &["no standing instruction 2"],
    );
    good(&["instruction", "end", "1"]);
    assert!(good(&["instruction", "list"]).contains(", ended on "));
    assert!(good(&["instruction", "end", "1"]).contains("already"));
    assert!(good(&["archive", "check"]).contains("no damage"));
}
