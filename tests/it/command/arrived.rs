//! What arrives and what becomes of a case, from a script; what cannot be is one sentence.

use super::{USAGE, refused};
use crate::support::{Home, Output};

pub(crate) const WAITS: &str = r#"#![enable(implicit_some)]
Case(
    format: 1, number: "T-1", flow: "fixed", version: 3,
    restorations: [
        Crown("R1", [Abutment("26")]),
    ],
    facts: [
        (fact: "order.scope", at: "R1", is: Choice("teeth")),
        (fact: "tooth.margin_seen", at: "26", is: Choice("over-2")),
    ],
    decisions: [
        (rule: "finish-line-lost", at: "26", outcome: Agreed, from: "2026-11-02", by: Dentist,
         taken: [(remedy: "clear-margin", at: "26")],
         expected: [(fact: "tooth.margin_seen", at: "26", is: Choice("all"))],
         coming: (parts: [(Impression, Design)], due: "2026-11-09")),
    ],
)
"#;

/// What a run that went well has said.
#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

#[test]
fn what_arrives_is_kept_and_asked_anew() {
    let home = Home::new();
    home.file("case.ron", WAITS);
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    good(run(&["archive", "import", "case.ron"]));
    let list = good(run(&["list"]));
    assert!(
        list.contains("waiting for impression, due 2026-11-09"),
        "{list}"
    );
    // Never agreed, before it was agreed, and a day that is still to come.
    refused(
        &run(&["arrived", "T-1", "bite"]),
        USAGE,
        &["a new bite is not expected here"],
    );
    refused(
        &run(&["arrived", "T-1", "impression", "--on", "2026-11-01"]),
        USAGE,
        &["was agreed on Mon 2 Nov 2026: it cannot have come before"],
    );
    refused(
        &run(&["arrived", "T-1", "impression", "--on", "2099-01-01"]),
        USAGE,
        &["in the future"],
    );
    refused(
        &run(&["arrived", "T-1", "impression", "--teeth", "46"]),
        USAGE,
        &["46 is not a unit"],
    );
    let said = good(run(&["arrived", "T-1", "impression", "--on", "2026-11-05"]));
    assert!(
        said.contains("recorded: impression or scan arrived on Thu 5 Nov 2026"),
        "{said}"
    );
    assert!(said.contains("26 OPEN"), "{said}");
    // It goes out and comes in again as it is.
    let out = good(run(&["archive", "export", "T-1"]));
    assert!(
        out.contains("layer: Before") && out.contains("arrived: ["),
        "{out}"
    );
    home.file("again.ron", out.replace("T-1", "T-2"));
    good(run(&["archive", "import", "again.ron"]));
    let again = good(run(&["archive", "export", "T-2"]));
    let timeless = |text: &str| -> String {
        let parts = text.split("when: \"").enumerate();
        parts
            .map(|(n, part)| {
                if n == 0 {
                    part
                } else {
                    part.split_once('"').map_or("", |(_, rest)| rest)
                }
            })
            .collect()
    };
    assert_eq!(timeless(&again.replace("T-2", "T-1")), timeless(&out));
    assert!(good(run(&["archive", "check"])).contains("no damage"));
}

#[test]
fn what_became_of_a_case_is_kept() {
    let home = Home::new();
    home.file("case.ron", WAITS);
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    good(run(&["archive", "import", "case.ron"]));
    refused(
        &run(&["became", "T-1", "returned", "--goes-on", "T-1"]),
        USAGE,
        &["cannot continue itself"],
    );
    let said = good(run(&[
        "became",
        "T-1",
        "returned",
        "--on",
        "2026-11-20",
        "--goes-on",
        "T-1-2",
    ]));
    assert!(
        said.contains("26 RETURNED Fri 20 Nov 2026. Continued as case T-1-2."),
        "{said}"
    );
    assert!(good(run(&["list"])).contains("\treturned"), "{said}");
    // What came back is a case of its own; what was said by mistake is taken back.
    refused(
        &run(&["became", "T-1", "resumed"]),
        USAGE,
        &["delivered, closed or withdrawn by mistake"],
    );
    let said = good(run(&["became", "T-1", "delivered"]));
    assert!(
        said.contains("note: delivered although not cleared: 26 RETURNED"),
        "{said}"
    );
    good(run(&["became", "T-1", "resumed"]));
    assert!(good(run(&["list"])).contains("waiting for impression"));
    refused(
        &run(&["became", "T-9", "delivered"]),
        super::NO_INPUT,
        &["T-9"],
    );
}

/// A file may call a reading decided; nothing backs it, so what was read beneath it counts.
#[test]
fn a_decided_reading_without_an_instruction_counts_for_nothing() {
    let home = Home::new();
    let alone = WAITS.split("    decisions: [").next().unwrap().replace(
        "is: Choice(\"over-2\")),",
        "is: Choice(\"over-2\")),\n        (fact: \"tooth.margin_seen\", at: \"26\", is: Choice(\"all\"), layer: Decided),",
    );
    let file = home.file("case.ron", format!("{alone})\n"));
    let told = good(home.run(&["judge", &file]));
    assert!(told.contains("Result: ON HOLD"), "{told}");
    refused(
        &home.run(&["--archive", "a.casepan", "became", "T-1", "returned"]),
        super::NO_INPUT,
        &["a.casepan"],
    );
}

/// Whatever a file writes: what is looked at counts once it was looked at, a message is no answer, and nothing arrives in
/// the future.
#[test]
fn a_file_cannot_clear_what_nobody_looked_at() {
    let home = Home::new();
    let judged = |text: String| {
        let file = home.file("odd.ron", text);
        good(home.run(&["judge", &file, "--sheet", "ticket"]))
    };
    let waits = WAITS.replace("over-2", "1-2");
    let none = "coming: (parts: [])),";
    let parts = "coming: (parts: [(Impression, Design)], due: \"2026-11-09\")),";
    for text in [
        // Nothing comes in, and something is expected.
        waits.replace(parts, none),
        // Said to count at once.
        waits
            .replace(parts, none)
            .replace("expected: [", "changes: ["),
        // Passed on.
        waits
            .replace("by: Dentist", "by: Message")
            .replace(parts, none),
    ] {
        let told = judged(text);
        assert!(told.contains("WAITING for "), "{told}");
    }
    // On hold, with the order said to be here: nobody with a say, nothing named, an option without what it needs, a day
    // still to come, a value that was only tried.
    let (before, _) = WAITS.split_once("    decisions: [").expect("decisions");
    let open = "Do not start before this is settled";
    let held = |decision: &str| {
        format!(
            "{before}    decisions: [\n        (rule: \"finish-line-lost\", at: \"26\", {decision}),\n    ],\n)\n"
        )
    };
    for decision in [
        "outcome: AsItIs, from: \"2026-11-02\", amended: true",
        "outcome: AsItIs, by: Message, from: \"2026-11-02\", amended: true",
        "outcome: Agreed, by: Dentist, from: \"2026-11-02\", amended: true",
        "outcome: Agreed, by: Dentist, taken: [(remedy: \"clear-margin\", at: \"26\")], from: \"2026-11-02\", amended: true",
        "outcome: Agreed, by: Dentist, taken: [(remedy: \"nope\", at: \"26\")], from: \"2026-11-02\", amended: true",
    ] {
        let told = judged(held(decision));
        assert!(told.contains(open), "{decision}\n{told}");
    }
    let good_order = held("outcome: AsItIs, by: Dentist, from: \"2026-11-02\", amended: true");
    assert!(!judged(good_order).contains(open));
    let tried = before.replace(
        "is: Choice(\"over-2\")",
        "is: Choice(\"over-2\")), (fact: \"tooth.margin_seen\", at: \"26\", layer: Proposed, is: Choice(\"all\")",
    );
    assert!(judged(format!("{tried})\n")).contains(open));
    let late = WAITS.replace(
        "    ],\n)",
        "    ],\n    arrived: [(rule: \"finish-line-lost\", at: \"26\", part: Impression, on: \"2099-01-01\")],\n)",
    );
    let file = home.file("late.ron", late);
    refused(
        &home.run(&["judge", &file]),
        super::DATA,
        &["in the future"],
    );
}
