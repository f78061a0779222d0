//! The life of a case from a script: its days, who has it, what was entered, its files.

use super::arrived::WAITS;
use super::{CROWN, NO_INPUT, USAGE, refused};
use crate::support::{Home, Output};

/// What a run that went well has said.
#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

fn home() -> Home {
    let home = Home::new();
    home.file("case.ron", CROWN);
    home.file("waits.ron", WAITS.replace("T-1", "T-2"));
    for file in ["case.ron", "waits.ron"] {
        good(home.run(&["--archive", "a.casepan", "archive", "import", file]));
    }
    home
}

#[test]
fn days_are_entered_shown_and_taken_back() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    assert_eq!(
        good(run(&["due", "T-2"])),
        "T-2: no due day, nothing promised\n"
    );
    let args = [
        "due",
        "T-2",
        "--due",
        "2026-11-20",
        "--promised",
        "2026-11-05",
    ];
    assert_eq!(
        good(run(&args)),
        "T-2: due Fri 20 Nov 2026, promised for Thu 5 Nov 2026; the due day is after the promised day\n"
    );
    let json: serde_json::Value =
        serde_json::from_str(&good(run(&["print", "T-2", "--as", "json"]))).unwrap();
    assert_eq!(json["days"]["due"], "2026-11-20");
    assert_eq!(json["days"]["promised"], "2026-11-05");
    assert_eq!(json["days"]["late"], true);
    assert_eq!(json["days"]["promise_holds"], false);
    // A day is an answer: it leaves with the case and comes in with it.
    let out = good(run(&["archive", "export", "T-2"]));
    assert!(out.contains("(fact: \"order.due_day\", at: \"case\", is: Day(\"2026-11-20\")"));
    home.file("again.ron", out.replace("T-2", "T-3"));
    good(run(&["archive", "import", "again.ron"]));
    assert_eq!(
        good(run(&["due", "T-3"])),
        good(run(&["due", "T-2"])).replace("T-2", "T-3")
    );
    good(run(&["due", "T-2", "--due", "none"]));
    assert_eq!(
        good(run(&["due", "T-2"])),
        "T-2: no due day, promised for Thu 5 Nov 2026\n"
    );
    refused(&run(&["due", "T-9"]), NO_INPUT, &["T-9"]);
    let odd = run(&["due", "T-2", "--due", "soon"]);
    assert_eq!(odd.code, Some(USAGE));
    assert!(odd.stderr.contains("\"soon\" is not a day"), "{odd:?}");
}

#[test]
fn a_case_is_handed_over_and_the_note_stays_in_the_house() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    let said = good(run(&[
        "--who",
        "b1",
        "hand",
        "T-1",
        "b2",
        "wax\nup\u{202e} 26",
    ]));
    assert!(said.contains("recorded: T-1 handed over to b2"), "{said}");
    let ticket = good(run(&["print", "T-1", "--sheet", "ticket"]));
    assert!(
        ticket.contains("With b2 since ") && ticket.contains(": \"wax up 26\""),
        "{ticket}"
    );
    let shared = good(run(&["archive", "export", "T-1"]));
    assert!(!shared.contains("wax up"), "{shared}");
    let whole = good(run(&["archive", "export", "T-1", "--free-text"]));
    assert!(whole.contains("note: \"wax up 26\""), "{whole}");
    // Who has it since when comes in with the file.
    home.file("again.ron", whole.replace("T-1", "T-4"));
    good(run(&["archive", "import", "again.ron"]));
    let again = good(run(&["archive", "export", "T-4", "--free-text"]));
    let line = |text: &str| {
        let line = text.lines().find(|line| line.contains("handed: "));
        line.unwrap().to_owned()
    };
    assert_eq!(line(&again), line(&whole));
    refused(
        &run(&["hand", "T-1", "Anna B"]),
        USAGE,
        &["TO: ", "never a name"],
    );
    refused(
        &run(&["hand", "T-1", &"x".repeat(21)]),
        USAGE,
        &["at most 20"],
    );
    refused(
        &run(&["hand", "T-1", "b2", &"x".repeat(201)]),
        USAGE,
        &["NOTE: ", "200"],
    );
    assert!(good(run(&["archive", "check"])).contains("no damage"));
}

#[test]
fn who_is_a_code_and_no_name() {
    let home = home();
    let list = |who: &str| home.run(&["--archive", "a.casepan", "--who", who, "list"]);
    refused(&list("Anna Example"), USAGE, &["--who: ", "never a name"]);
    refused(&list(&"x".repeat(21)), USAGE, &["--who: ", "at most 20"]);
    good(list("b-1/x_2.z"));
    // An empty variable names nobody.
    let home = home.with("CASEPAN_WHO", "");
    good(home.run(&["--archive", "a.casepan", "list"]));
}

#[test]
fn a_case_is_closed_and_resumed() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    let said = good(run(&["became", "T-2", "closed", "--on", "2026-11-20"]));
    assert!(
        said.contains("note: closed although it is not out: 26 WAITING"),
        "{said}"
    );
    assert!(said.contains("26 CLOSED Fri 20 Nov 2026."), "{said}");
    assert!(good(run(&["list"])).contains("\tclosed\t"));
    let call = good(run(&["print", "T-2", "--sheet", "call"]));
    assert!(call.contains("nothing to ask any more"), "{call}");
    let out = good(run(&["archive", "export", "T-2"]));
    home.file("again.ron", out.replace("T-2", "T-5"));
    good(run(&["archive", "import", "again.ron"]));
    assert!(good(run(&["print", "T-5"])).contains("26 CLOSED Fri 20 Nov 2026."));
    good(run(&["became", "T-2", "resumed"]));
    assert!(good(run(&["list"])).contains("waiting for impression"));
}

#[test]
fn what_was_entered_is_told_by_fact_and_place() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    good(run(&["--who", "b2", "due", "T-1", "--due", "2026-12-04"]));
    good(run(&["--who", "b3", "due", "T-1", "--due", "2026-12-05"]));
    let told = good(run(&["history", "T-1", "order.due_day"]));
    let told: Vec<&str> = told.lines().collect();
    assert_eq!(told.len(), 2, "{told:?}");
    assert!(
        told[0].ends_with(", b3: entered: Sat 5 Dec 2026"),
        "{told:?}"
    );
    assert!(
        told[1].ends_with(", b2: entered: Fri 4 Dec 2026"),
        "{told:?}"
    );
    let height = good(run(&["history", "T-1", "tooth.height", "--at", "26"]));
    assert!(
        height.ends_with("from a case file: 4.6 mm, caliper\n"),
        "{height}"
    );
    assert_eq!(
        good(run(&["history", "T-1", "tooth.clearance", "--at", "26"])),
        "nothing was entered yet\n"
    );
    let whole = good(run(&["history", "T-1"]));
    assert!(whole.contains("3 answers came with a case file"), "{whole}");
    assert!(
        whole.lines().last().unwrap().contains("case opened: 26"),
        "{whole}"
    );
    assert!(good(run(&["history", "T-1", "units"])).contains("case opened: 26"));
    let args = ["history", "T-1", "order.due_day", "--as", "json"];
    let json: serde_json::Value = serde_json::from_str(&good(run(&args))).unwrap();
    let newest = &json["events"][0];
    assert_eq!(
        (&newest["what"], &newest["who"]),
        (&"entered".into(), &"b3".into())
    );
    assert_eq!(newest["now"]["value"], "2026-12-05");
    assert_eq!(newest["was"]["value"], "2026-12-04");
    assert_eq!(newest["taken_back"], false);
    refused(
        &run(&["history", "T-1", "tooth.hight"]),
        USAGE,
        &[
            "there is no fact \"tooth.hight\"",
            "did you mean \"tooth.height\"?",
        ],
    );
    refused(
        &run(&["history", "T-1", "tooth.height", "--at", "99"]),
        USAGE,
        &["--at: "],
    );
}

#[test]
fn files_are_named_and_watched_not_copied() {
    let home = home();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    assert_eq!(good(run(&["files", "T-1"])), "no photographs or files\n");
    // The digests are those of FIPS 180-4 and of nothing at all.
    home.file("photos/abc.jpg", "abc");
    home.file("photos/none.jpg", "");
    home.file("photos/more/abc.jpg", "abd");
    let said = good(run(&["attach", "T-1", "photos/abc.jpg", "photos/none.jpg"]));
    assert_eq!(said, "added: abc.jpg, 3 bytes\nadded: none.jpg, 0 bytes\n");
    let out = good(run(&["archive", "export", "T-1", "--free-text"]));
    for digest in [
        "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
        "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    ] {
        assert!(out.contains(digest), "{out}");
    }
    assert!(good(run(&["attach", "T-1", "photos/abc.jpg"])).contains("already there"));
    let found = |run: &dyn Fn(&[&str]) -> Output| -> Vec<String> {
        let lines = good(run(&["files", "T-1"]));
        lines.lines().map(str::to_owned).collect()
    };
    let lines = found(&run);
    assert!(
        lines[0].starts_with("1  abc.jpg  there, unchanged  /"),
        "{lines:?}"
    );
    home.file("photos/abc.jpg", "abd");
    std::fs::remove_file(home.path("photos/none.jpg")).unwrap();
    let lines = found(&run);
    assert!(lines[0].contains("changed since it was added"), "{lines:?}");
    assert!(lines[1].contains("  gone  "), "{lines:?}");
    let args = ["--archive", "a.casepan", "files", "T-1", "--as", "json"];
    let json = super::json::object(&home, &args, 0);
    assert_eq!(json["files"][0]["found"], "changed");
    assert_eq!(json["files"][1]["found"], "gone");
    let summary = good(run(&["print", "T-1"]));
    assert!(
        summary.contains("Photographs and files: abc.jpg, none.jpg."),
        "{summary}"
    );
    // By name where one is called so, by path where several are.
    good(run(&["attach", "T-1", "photos/more/abc.jpg"]));
    refused(
        &run(&["detach", "T-1", "abc.jpg"]),
        USAGE,
        &["several files are called abc.jpg"],
    );
    good(run(&["detach", "T-1", "photos/more/abc.jpg", "none.jpg"]));
    assert_eq!(found(&run).len(), 1);
    assert!(home.path("photos/more/abc.jpg").exists());
    refused(
        &run(&["detach", "T-1", "none.jpg"]),
        NO_INPUT,
        &["has no file none.jpg"],
    );
    // All or nothing.
    refused(
        &run(&["attach", "T-1", "photos/more/abc.jpg", "photos/missing.jpg"]),
        NO_INPUT,
        &["photos/missing.jpg cannot be read"],
    );
    assert_eq!(found(&run).len(), 1);
    refused(
        &run(&["attach", "T-1", "photos"]),
        NO_INPUT,
        &["photos is not a file"],
    );
    refused(
        &run(&["attach", "T-9", "photos/abc.jpg"]),
        NO_INPUT,
        &["T-9"],
    );
}

#[cfg(unix)]
#[test]
fn what_would_never_end_is_not_read() {
    let home = home();
    assert_eq!(home.shell("mkfifo pipe").code, Some(0));
    for path in ["/dev/zero", "pipe"] {
        let told = home.run(&["--archive", "a.casepan", "attach", "T-1", path]);
        refused(&told, NO_INPUT, &["is not a file"]);
    }
}
