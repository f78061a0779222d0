//! Cases into the archive and out again, by commands.

use casepan::case::file::read;
use casepan::case::{Case, Reading};
use casepan::ronfile::Source;

use super::{CROWN, DATA, NO_INPUT, refused};
use crate::support::{Home, Output};

/// The crown with a text.
fn crown_with_text() -> String {
    let more = r#"(fact: "order.fee_lines", at: "case", is: Text("Called twice.")),
        (fact: "order.scope""#;
    CROWN.replacen("(fact: \"order.scope\"", more, 1)
}

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stderr, "", "{output:?}");
    output.stdout
}

#[track_caller]
fn case(text: &str) -> Case {
    read(&Source::new("case", text)).unwrap()
}

/// Returns every reading without who and when.
fn readings(case: &Case) -> Vec<String> {
    case.layers()
        .map(|(spot, layer, reading)| {
            let plain = Reading {
                who: None,
                when: None,
                ..reading.clone()
            };
            format!("{spot:?} {layer:?} {plain:?}")
        })
        .collect()
}

#[test]
fn a_case_comes_out_as_it_went_in() {
    for (name, text) in casepan::demo::CASES {
        let home = Home::new();
        home.file("case.ron", text);
        let number = case(text).number;
        let archive = ["--archive", "a.casepan", "--who", "KM"];
        let run = |args: &[&str]| home.run(&[&archive, args].concat());
        let told = good(run(&["archive", "import", "case.ron"]));
        assert_eq!(told, format!("case {number} is on the worklist\n"));
        let exported = good(run(&["archive", "export", &number, "--free-text"]));
        let (was, is) = (case(text), case(&exported));
        assert_eq!(is.number, was.number);
        assert_eq!(is.units, was.units);
        assert_eq!(readings(&is), readings(&was), "{name}");
        assert!(
            is.layers()
                .all(|(.., reading)| reading.who.as_deref() == Some("KM"))
        );
        assert!(is.layers().all(|(.., reading)| reading.when.is_some()));
        // What came out goes in again, in another archive, and comes out as the same file but for the time.
        home.file("again.ron", &exported);
        let other = ["--archive", "b.casepan", "--who", "KM"];
        good(home.run(&[&other[..], &["archive", "import", "again.ron"]].concat()));
        let again =
            good(home.run(&[&other[..], &["archive", "export", &number, "--free-text"]].concat()));
        assert_eq!(readings(&case(&again)), readings(&was), "{name}");
        // Judged from the archive or from the file, the summary and the call list are the same, but for who and when.
        let from_file = good(home.run(&["judge", "case.ron"]));
        for sheet in ["summary", "call"] {
            let print = good(run(&["print", &number, "--sheet", sheet]));
            assert!(print.lines().count() > 3, "{print}");
            assert!(print.contains("Inspected by KM."), "{print}");
            // When it was printed, and from which entry of the archive.
            let stamp =
                |line: &str| line.starts_with("Printed ") || line.starts_with("From entry ");
            for line in print
                .lines()
                .filter(|line| !line.trim().is_empty() && !stamp(line))
            {
                assert!(from_file.contains(line), "{name}: {line}");
            }
        }
        assert!(good(run(&["archive", "check"])).contains("no damage"));
    }
}

#[test]
fn free_text_stays_at_home_unless_asked_for() {
    let home = Home::new();
    home.file("case.ron", crown_with_text());
    let archive = ["--archive", "a.casepan", "archive"];
    let run = |args: &[&str]| good(home.run(&[&archive, args].concat()));
    run(&["import", "case.ron"]);
    let without = run(&["export", "T-1"]);
    assert!(!without.contains("Called twice."), "{without}");
    assert_eq!(case(&without).layers().count(), 3);
    let with = run(&["export", "T-1", "--free-text"]);
    assert!(with.contains("Called twice."), "{with}");
    assert_eq!(case(&with).layers().count(), 4);
}

#[test]
fn a_case_is_not_taken_in_twice() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    let args = ["--archive", "a.casepan", "archive", "import", "case.ron"];
    good(home.run(&args));
    let before = home.run(&["--archive", "a.casepan", "archive", "export", "T-1"]);
    let output = home.run(&args);
    assert_eq!(output.stdout, "");
    assert!(output.code.is_some_and(|code| code != 0), "{output:?}");
    refused(&output, output.code.unwrap(), &["T-1"]);
    let after = home.run(&["--archive", "a.casepan", "archive", "export", "T-1"]);
    assert_eq!(after.stdout, before.stdout);
}

#[test]
fn archives_and_cases_that_are_not_there() {
    let home = Home::new();
    for args in [
        &["print", "T-1"][..],
        &["archive", "check"],
        &["archive", "export", "T-1"],
        &["archive", "backup", "b.casepan"],
    ] {
        let output = home.run(&[&["--archive", "a.casepan"], args].concat());
        refused(&output, NO_INPUT, &["a.casepan"]);
        assert!(!home.path("a.casepan").exists(), "{args:?}");
        assert!(!home.path("b.casepan").exists(), "{args:?}");
    }
    home.file("case.ron", CROWN);
    good(home.run(&["--archive", "a.casepan", "archive", "import", "case.ron"]));
    for args in [&["print", "T-2"][..], &["archive", "export", "T-2"]] {
        let output = home.run(&[&["--archive", "a.casepan"], args].concat());
        refused(&output, NO_INPUT, &["T-2"]);
    }
    home.file("other", "No archive.");
    let output = home.run(&["--archive", "other", "archive", "check"]);
    refused(&output, DATA, &["other"]);
    assert_eq!(std::fs::read(home.path("other")).unwrap(), b"No archive.");
}

#[test]
fn a_backup_is_an_archive_and_writes_over_nothing() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    good(run(&["archive", "import", "case.ron"]));
    good(run(&["archive", "backup", "b.casepan"]));
    let copy = home.run(&["--archive", "b.casepan", "archive", "export", "T-1"]);
    assert_eq!(good(copy), good(run(&["archive", "export", "T-1"])));
    let output = run(&["archive", "backup", "case.ron"]);
    refused(&output, super::CANNOT_CREATE, &["case.ron"]);
    assert_eq!(
        std::fs::read(home.path("case.ron")).unwrap(),
        CROWN.as_bytes()
    );
}

#[test]
fn a_backup_is_put_back_and_what_was_there_is_moved_aside() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    home.file("other.ron", CROWN.replace("T-1", "T-2"));
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan", "archive"], args].concat());
    good(run(&["import", "case.ron"]));
    good(run(&["backup", "b.casepan"]));
    good(run(&["import", "other.ron"]));
    let told = good(run(&["restore", "b.casepan"]));
    let mut lines = told.lines();
    let (first, second) = (lines.next().unwrap(), lines.next().unwrap());
    // Nobody is left to believe that nothing was lost.
    assert!(
        lines.next().unwrap().starts_with("it has 2 cases; "),
        "{told}"
    );
    assert!(first.ends_with("a.casepan: restored, 1 case"), "{told}");
    let aside = second
        .trim_end()
        .strip_prefix("what was there before is now ");
    let aside = aside.unwrap_or_else(|| panic!("{told}"));
    refused(&run(&["export", "T-2"]), NO_INPUT, &["T-2"]);
    good(home.run(&["--archive", aside, "archive", "export", "T-2"]));
    // It is no older archive, since it was put back on purpose.
    good(run(&["check"]));
    refused(&run(&["restore", "case.ron"]), DATA, &["case.ron"]);
    refused(&run(&["restore", "a.casepan"]), 64, &["archive itself"]);
    refused(&run(&["restore", "none"]), NO_INPUT, &["none"]);
    good(run(&["check"]));
}

#[test]
fn an_older_archive_is_told_on_the_error_stream() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    home.file("other.ron", CROWN.replace("T-1", "T-2"));
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan", "archive"], args].concat());
    good(run(&["import", "case.ron"]));
    good(run(&["backup", "b.casepan"]));
    good(run(&["import", "other.ron"]));
    std::fs::copy(home.path("b.casepan"), home.path("a.casepan")).unwrap();
    let checked = home.run(&["--archive", "a.casepan", "archive", "check"]);
    assert_eq!(checked.code, Some(65), "{checked:?}");
    assert!(!checked.stdout.contains("no damage"), "{checked:?}");
    let older = "this archive is older than what this computer saw: ";
    assert!(checked.stderr.contains(older), "{checked:?}");
    for args in [&["list"][..], &["print", "T-1"]] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
        let line = "casepan: this archive is older than what this computer saw: ";
        assert!(told.stderr.starts_with(line), "{told:?}");
        assert_eq!(told.stderr.lines().count(), 1, "{told:?}");
    }
    // An answer to another case does not make it whole.
    home.file("third.ron", CROWN.replace("T-1", "T-3"));
    run(&["import", "third.ron"]);
    let check =
        |args: &[&str]| home.run(&[&["--archive", "a.casepan", "archive", "check"], args].concat());
    assert_eq!(check(&[]).code, Some(65));
    let taken = check(&["--accept"]);
    assert_eq!(taken.code, Some(0), "{taken:?}");
    let after = check(&[]);
    assert_eq!(
        (after.code, after.stderr.as_str()),
        (Some(0), ""),
        "{after:?}"
    );
}

#[test]
fn decisions_go_in_and_come_out() {
    let text = CROWN.replacen(
        "    ],\n)",
        r#"    ],
    decisions: [
        (rule: "stump-short", at: "26", outcome: Agreed, from: "2026-11-23", by: Assistant, words: "half more", cost: "a visit", coming: (parts: []),
         changes: [(fact: "tooth.height", at: "26", is: Mm(5.0)), (fact: "tooth.clearance", at: "26", is: Mm(1.0)), (fact: "order.material", at: "R1", is: Choice("zirconia-3y"))]),
        (rule: "gone", at: "17", outcome: NoDecision, from: "2026-11-24"),
    ],
    proposals: [(changes: [(fact: "tooth.grooves", at: "26", is: Choice("proximal"))])],
)"#,
        1,
    );
    let home = Home::new();
    home.file("case.ron", &text);
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    good(run(&["archive", "import", "case.ron"]));
    // What a dentist will cut is looked at when it comes: a file cannot have it decided.
    let mut was = case(&text);
    was.expect_what_is_looked_at(|fact| fact.as_str().starts_with("order."));
    let exported = good(run(&["archive", "export", "T-1", "--free-text"]));
    let is = case(&exported);
    assert_eq!(exported.matches("layer: Decided").count(), 1, "{exported}");
    assert_eq!(readings(&is), readings(&was));
    let said = |case: &Case| -> Vec<_> { case.decisions().map(|d| d.decision.clone()).collect() };
    assert_eq!(said(&is), said(&was));
    assert_eq!(is.proposals(), was.proposals());
    let bare = good(run(&["archive", "export", "T-1"]));
    assert!(
        !bare.contains("half more") && !bare.contains("a visit"),
        "{bare}"
    );
    assert!(good(run(&["archive", "check"])).contains("no damage"));
    // A reading that suspends one goes in and out as well.
    let later = exported.replacen("layer: Decided", "layer: Suspended", 1);
    assert_ne!(later, exported);
    home.file("later.ron", later.replace("T-1", "T-2"));
    good(run(&["archive", "import", "later.ron"]));
    let again = case(&good(run(&["archive", "export", "T-2", "--free-text"])));
    assert_eq!(again.suspended().count(), 1);
}

/// A flow in a format of no program is damage; one of a program to come is told and is none.
#[test]
fn a_flow_that_this_program_cannot_read_is_told_by_the_check() {
    let home = Home::new();
    home.file("crown.ron", CROWN);
    good(home.run(&["--archive", "a.casepan", "archive", "import", "crown.ron"]));
    let check = ["--archive", "a.casepan", "archive", "check"];
    assert!(good(home.run(&check)).contains("no damage"));
    for (format, code) in [(0, DATA), (99, 0)] {
        let sql = format!("UPDATE flow SET format = {format}");
        crate::archive::support::tamper(&home.path("a.casepan"), &sql);
        let told = home.run(&check);
        assert_eq!(told.code, Some(code), "{told:?}");
        let says = format!("by which 1 case is judged, is in format {format};");
        assert!(told.stderr.contains(&says), "{told:?}");
    }
}
