//! Settings on the command line.

use serde_json::Value;

use super::{CANNOT_CREATE, DATA, NO_INPUT, USAGE, problems, refused};
use crate::support::{Home, Output};

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stderr, "", "{output:?}");
    output.stdout
}

#[test]
fn without_files_everything_is_built_in_and_it_is_said_where_they_would_be() {
    let home = Home::new();
    let told = good(home.run(&["settings"]));
    // The configuration directory of the user, as the platform has it.
    assert!(told.contains("keys.ron  not found: "), "{told}");
    assert!(told.contains("look.ron  not found: "), "{told}");
    assert!(told.contains("lab.ron   not found: "), "{told}");
    assert!(told.contains("lab       not named"), "{told}");
    assert!(
        told.contains("prints    into the current directory"),
        "{told}"
    );
    assert!(told.contains(&home.root().display().to_string()), "{told}");
    assert!(told.contains("theme     dark: "), "{told}");
    assert!(told.contains("keys      built in"), "{told}");
    assert!(good(home.run(&["settings", "check"])).contains("no problem"));
}

#[test]
fn what_differs_is_told_with_its_reason() {
    let home = Home::new()
        .with("LANG", "de_DE.UTF-8")
        .with("CASEPAN_SETTINGS", "own");
    home.file("own/keys.ron", "Keys([Key(\"undo\", [\"z\", \"f4\"])])");
    home.file(
        "own/look.ron",
        "Look(theme: Contrast, roles: [Role(role: \"key\", dim: true)])",
    );
    let told = good(home.run(&["settings"]));
    for line in [
        "keys.ron  read: own",
        "theme     contrast: set in look.ron",
        "signs     braille: LANG is de_DE.UTF-8",
        "roles     changed: key",
        "key       undo: z f4 (built in: u)",
    ] {
        assert!(told.contains(line), "{line} is not in\n{told}");
    }
    assert!(!told.contains("keys      built in"));
    let told = good(home.run(&[
        "--theme", "light", "--signs", "ascii", "settings", "--as", "json",
    ]));
    let told: Value = serde_json::from_str(&told).unwrap();
    assert_eq!(told["theme"]["name"], "light");
    assert_eq!(told["theme"]["colour"], true);
    assert_eq!(told["signs"]["name"], "ascii");
    assert_eq!(told["keys"][0]["command"], "undo");
    assert_eq!(told["keys"][0]["keys"], serde_json::json!(["z", "f4"]));
    assert_eq!(told["keys"][0]["built_in"], serde_json::json!(["u"]));
    assert_eq!(told["roles"], serde_json::json!(["key"]));
    let told = good(home.run(&["--color", "never", "settings"]));
    assert!(told.contains("theme     plain: --color never"), "{told}");
    assert_eq!(
        good(home.run(&["settings", "check"])),
        "2 files, 1 changed key, 1 changed role, no problems\n"
    );
}

#[test]
fn new_files_are_written_once_and_change_nothing() {
    let home = Home::new();
    let before = good(home.run(&["--settings", ".", "settings"]));
    good(home.run(&["--settings", "own", "settings", "new"]));
    let told = good(home.run(&["--settings", "own", "settings"]));
    let rest = |text: &str| text.lines().skip(3).map(str::to_owned).collect::<Vec<_>>();
    assert_eq!(rest(&told), rest(&before));
    assert!(told.contains("keys.ron  read: "), "{told}");
    home.file("own/keys.ron", "// mine");
    let output = home.run(&["--settings", "own", "settings", "new"]);
    refused(
        &output,
        CANNOT_CREATE,
        &["keys.ron already exists", "nothing was written"],
    );
    assert_eq!(
        std::fs::read_to_string(home.path("own/keys.ron")).unwrap(),
        "// mine"
    );
    // One of the two is enough to write neither.
    std::fs::rename(home.path("own/keys.ron"), home.path("own/look.ron")).unwrap();
    let output = home.run(&["--settings", "own", "settings", "new"]);
    refused(&output, CANNOT_CREATE, &["look.ron already exists"]);
    assert!(!home.path("own/keys.ron").exists());
    // The usual directory is made where it is not there.
    good(home.run(&["settings", "new"]));
    assert!(good(home.run(&["settings"])).contains("look.ron  read: "));
}

#[test]
fn faults_are_told_with_their_places() {
    let home = Home::new();
    home.file(
        "own/keys.ron",
        "Keys([\n    Key(\"undo\", [\"y\"]),\n    Key(\"rdo\", [\"Z\"]),\n])",
    );
    home.file(
        "own/look.ron",
        "Look(roles: [Role(role: \"watch\", colour: \"white\")])",
    );
    for args in [
        &["settings"][..],
        &["settings", "check"],
        &["settings", "--as", "json"],
    ] {
        let output = home.run(&[&["--settings", "own"], args].concat());
        let places = [
            "keys.ron:3:9",
            "error[keys-command]",
            "look.ron:1:42",
            "2 problems in the settings",
        ];
        refused(&output, DATA, &places);
        assert_eq!(problems(&output), 2, "{output:?}");
    }
    // What needs no keys works all the same.
    home.file("case.ron", super::CROWN);
    good(home.run(&["--settings", "own", "judge", "case.ron"]));
    for args in [&["settings"][..], &["settings", "check"]] {
        let output = home.run(&[&["--settings", "gone"], args].concat());
        refused(&output, NO_INPUT, &["gone", "settings new"]);
    }
    let output = Home::new().with("CASEPAN_THEME", "pink").run(&["settings"]);
    assert_eq!(output.code, Some(USAGE), "{output:?}");
    assert!(output.stderr.contains("contrast"), "{output:?}");
}

#[test]
fn a_notation_in_the_file_of_the_look_is_chosen() {
    let home = Home::new();
    let told = good(home.run(&["settings"]));
    assert!(told.contains("notation  ISO 3950: not chosen;"), "{told}");
    home.file("own/look.ron", "Look(notation: Universal)");
    let with = |args: &[&str]| home.run(&[&["--settings", "own"], args].concat());
    let told = good(with(&["settings"]));
    assert!(
        told.contains("notation  Universal: set in look.ron"),
        "{told}"
    );
    home.file("case.ron", super::CROWN);
    assert!(good(with(&["judge", "case.ron"])).contains("Universal"));
    assert!(good(with(&["--notation", "palmer", "judge", "case.ron"])).contains("Palmer"));
    // Nobody is asked which tooth 14 is.
    let ask = ["--archive", "a.casepan", "ask", "24-1", "--units", "14"];
    good(with(&ask));
    // What cannot be read may name a notation: no number of a tooth is guessed.
    home.file("own/look.ron", "Look(notation: Universal");
    refused(&with(&["judge", "case.ron"]), DATA, &["look.ron"]);
    good(with(&["--notation", "universal", "judge", "case.ron"]));
}

#[test]
fn the_laboratory_and_who_inspected_reach_the_sheets() {
    let home = Home::new();
    home.file(
        "own/lab.ron",
        "Lab(name: \"Our laboratory\", address: [\"1 Example Street\"])",
    );
    home.file("case.ron", super::CROWN);
    let with = |args: &[&str]| home.run(&[&["--settings", "own", "--who", "AB"], args].concat());
    let told = good(with(&["settings"]));
    assert!(
        told.contains("lab       Our laboratory, 1 Example Street"),
        "{told}"
    );
    let sheets = ["summary", "call", "letter", "ticket", "seating"];
    for sheet in sheets {
        for format in ["text", "markdown", "html"] {
            let told = good(with(&[
                "judge", "case.ron", "--sheet", sheet, "--as", format,
            ]));
            assert!(told.contains("Our laboratory"), "{sheet} {format}: {told}");
            assert!(told.contains("Inspected by AB"), "{sheet} {format}: {told}");
        }
    }
    // Half an address is none: a print refuses, and JSON, which carries nothing of it, does not.
    home.file("own/lab.ron", "Lab(address: [\"\"])");
    let output = with(&["judge", "case.ron"]);
    refused(&output, DATA, &["lab.ron:1:15", "error[lab-empty]"]);
    good(with(&["judge", "case.ron", "--as", "json"]));
}
