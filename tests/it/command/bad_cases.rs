//! Case files that are wrong in one place each.

use super::{CROWN, DATA, IO, NO_INPUT, USAGE, problems, refused};
use crate::support::Home;

/// Judges the crown with one part exchanged; an archive is named and must not be touched.
#[track_caller]
fn judge_with(old: &str, new: &str, says: &[&str]) {
    assert!(CROWN.contains(old), "{old}");
    let home = Home::new();
    let archive = home.file("a.casepan", "not looked into");
    let case = home.file("case.ron", CROWN.replacen(old, new, 1));
    for command in [&["judge"][..], &["archive", "import"]] {
        let args = [&["--archive", &archive], command, &["case.ron"]].concat();
        let output = home.run(&args);
        refused(&output, DATA, says);
        assert_eq!(problems(&output), 1, "{output:?}");
        assert_eq!(std::fs::read(&archive).unwrap(), b"not looked into");
    }
    assert!(std::fs::exists(case).unwrap());
    let mut names: Vec<_> = std::fs::read_dir(home.root())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .filter(|name| name != "cache")
        .collect();
    names.sort();
    assert_eq!(names, ["a.casepan", "case.ron", "tmp"]);
}

#[test]
fn the_case_itself_is_good() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    let output = home.run(&["judge", "case.ron"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stderr, "");
}

/// A case file with readings that cannot be, be it an old one, opens and says so; no figure rests on them.
#[test]
fn readings_that_cannot_be_are_told() {
    let home = Home::new();
    let read = r#"(fact: "tooth.height", at: "26", is: Mm(4.6), with: "caliper"),"#;
    let more = [
        ("tooth.width_margin_md", 8.6),
        ("tooth.width_top_md", 9.4),
        ("tooth.width_margin_fl", 9.0),
        ("tooth.width_top_fl", 8.0),
        ("tooth.clearance", 5.8),
    ]
    .map(|(fact, mm)| format!(r#"(fact: "{fact}", at: "26", is: Mm({mm:?})),"#));
    assert!(CROWN.contains(read));
    let text = CROWN.replacen(read, &format!("{read}{}", more.concat()), 1);
    home.file("case.ron", text);
    let output = home.run(&["judge", "case.ron"]);
    assert_eq!(output.stderr, "");
    let said = output
        .stdout
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    for says in [
        "wider at the top (9.4 mm) than at the margin (8.6 mm), mesial to distal",
        "clearance 5.8 mm, probably misread",
        "26 readings fit one shape: the prep is wider at the top than at the margin, mesiodistally: measure again",
    ] {
        assert!(said.contains(says), "{says}: {said}");
    }
    let output = home.run(&["judge", "case.ron", "--as", "json"]);
    let json: serde_json::Value = serde_json::from_str(&output.stdout).expect("JSON");
    let refused = json["not_computed"].as_array().expect("a list");
    assert_eq!(refused.len(), 1, "{refused:?}");
    assert_eq!(refused[0]["fact"], "tooth.shape_possible");
    assert!(!output.stdout.contains("restoration.grip\":"));
    let output = home.run(&["archive", "import", "case.ron"]);
    assert_eq!(output.code, Some(0), "{output:?}");
}

#[test]
fn names_that_nobody_knows() {
    judge_with(
        "tooth.height",
        "tooth.heigth",
        &[
            "case-fact",
            "case.ron:9:16",
            "did you mean \"tooth.height\"?",
        ],
    );
    judge_with(
        "tooth.height",
        "x.height",
        &[
            "case-not-in-flow",
            "case.ron:9:16",
            "x.height",
            "flow facts",
        ],
    );
    judge_with(
        r#"at: "26""#,
        r#"at: "99""#,
        &["case-place", "case.ron:9:36", "\"99\" is not a place"],
    );
    judge_with(
        r#"at: "26""#,
        r#"at: "36""#,
        &[
            "case-no-such-place",
            "case.ron:9:36",
            "no place 36",
            "set_aside",
        ],
    );
    judge_with(
        r#"at: "26""#,
        r#"at: "case""#,
        &[
            "case-place-kind",
            "case.ron:9:36",
            "does not belong to case",
        ],
    );
    judge_with(
        "\"teeth\"",
        "\"tooth\"",
        &["case-choice", "case.ron:7:45", "choose one of \"teeth\""],
    );
    judge_with(
        "\"zirconia-3y\"",
        "\"unobtainium\"",
        &[
            "case-not-in-flow",
            "case.ron:8:48",
            "unobtainium",
            "\"zirconia-3y\"",
        ],
    );
    judge_with(
        "\"caliper\"",
        "\"thumb\"",
        &["case-not-in-flow", "case.ron:9:61", "thumb", "\"caliper\""],
    );
    judge_with(
        "\"fixed\"",
        "\"loose\"",
        &[
            "case-other-flow",
            "case.ron:2:37",
            "\"loose\"",
            "\"fixed\"",
            "--flow DIR",
        ],
    );
    judge_with(
        "format: 1",
        "format: 9",
        &["case-format", "case.ron:2:13", "format 1"],
    );
    judge_with(
        "\"T-1\"",
        "\"T\\u{1b}[31m\"",
        &["case-number", "case.ron:2:24", "never a patient's name"],
    );
    judge_with(
        "Abutment(\"26\")",
        "Abutment(\"29\")",
        &["case-tooth", "case.ron:4:31", "ISO 3950"],
    );
}

#[test]
fn numbers_that_cannot_be() {
    let at = "case.ron:9:46";
    judge_with("Mm(4.6)", "Cm(2.9)", &["`Cm` is not known", at, "`Mm`"]);
    judge_with(
        "Mm(4.6)",
        "Micron(4600)",
        &["case-type", at, "0.5 to 12 mm"],
    );
    for number in ["NaN", "inf", "-inf", "1e999"] {
        let written = format!("Mm({number})");
        judge_with(
            "Mm(4.6)",
            &written,
            &["case-number-not-finite", at, "plain number"],
        );
    }
    for number in ["-3", "0", "1e308", "12.1"] {
        let written = format!("Mm({number})");
        judge_with("Mm(4.6)", &written, &["case-bounds", at, "0.5 to 12 mm"]);
    }
    judge_with(
        "Mm(4.6)",
        "Mm(4,6)",
        &["ron-decimal-comma", "case.ron:9:49", "Write `4.6`"],
    );
}

#[test]
fn a_fact_that_stands_twice() {
    let line = "(fact: \"tooth.height\", at: \"26\", is: Mm(4.6), with: \"caliper\"),";
    judge_with(
        line,
        &format!("{line}\n        {line}"),
        &[
            "case-fact-twice",
            "case.ron:10:16",
            "the first is on line 9",
        ],
    );
}

#[test]
fn every_problem_of_a_file_is_told_at_once() {
    let home = Home::new();
    let case = CROWN
        .replace("\"teeth\"", "\"tooth\"")
        .replace("Mm(4.6)", "Mm(-3)");
    home.file("case.ron", case);
    let output = home.run(&["judge", "case.ron"]);
    refused(
        &output,
        DATA,
        &["case.ron:7:45", "case.ron:9:46", "2 problems"],
    );
    assert_eq!(problems(&output), 2);
}

#[test]
fn files_that_are_no_text_of_a_case() {
    let deep = format!(
        "{}{}",
        &CROWN[..CROWN.find('[').unwrap()],
        "[".repeat(100_000)
    );
    let truncated = &CROWN[..CROWN.find("\"26\", is").unwrap() + 2];
    let files: [(&[u8], &[&str]); 7] = [
        (b"", &["ron-empty", "bad.ron:1:1"]),
        (
            &b"Case(\n  \xff\xfe)"[..],
            &["ron-not-utf8", "bad.ron:2:3", "UTF-8"],
        ),
        (
            &b"\xff\xfeC\0a\0s\0e\0(\0)\0"[..],
            &["UTF-16", "bad.ron:1:1"],
        ),
        (truncated.as_bytes(), &["ron-unclosed-text", "bad.ron:9:36"]),
        (deep.as_bytes(), &["ron-too-deep", "bad.ron:3:"]),
        (&[b'['; 100_000], &["bad.ron:1:"]),
        (b"\0\0\0\0", &["bad.ron:1:1"]),
    ];
    for (content, says) in files {
        let home = Home::new();
        home.file("bad.ron", content);
        let output = home.run(&["judge", "bad.ron"]);
        refused(&output, DATA, says);
        assert_eq!(problems(&output), 1, "{output:?}");
    }
}

#[test]
fn files_that_are_too_long() {
    let home = Home::new();
    let path = home.file("long.ron", "");
    // No blocks are written for it.
    let file = std::fs::File::create(path).unwrap();
    file.set_len(50_000_000).unwrap();
    let output = home.run(&["judge", "long.ron"]);
    refused(&output, DATA, &["long.ron is longer", "4194304 bytes"]);
}

/// A device tells no length, and this one never ends.
#[cfg(unix)]
#[test]
fn devices_that_never_end() {
    let home = Home::new();
    let output = home.run(&["judge", "/dev/zero"]);
    refused(&output, DATA, &["/dev/zero is longer", "4194304 bytes"]);
}

#[cfg(unix)]
#[test]
fn a_case_may_come_through_a_pipe() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    let from_file = home.run(&["judge", "case.ron"]);
    let output = home.run_with(&["judge", "/dev/stdin"], CROWN.as_bytes());
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stdout, from_file.stdout);
}

#[test]
fn files_that_are_not_there() {
    let home = Home::new();
    let output = home.run(&["judge", "nowhere.ron"]);
    refused(
        &output,
        NO_INPUT,
        &["nowhere.ron cannot be read", "name a case file"],
    );
    let output = home.run(&["judge", "tmp"]);
    refused(&output, NO_INPUT, &["tmp is a directory", ".ron file"]);
    home.file("plain", "text");
    let output = home.run(&["judge", "plain/case.ron"]);
    let code = output.code.unwrap();
    assert!([NO_INPUT, IO].contains(&code), "{output:?}");
    refused(&output, code, &["plain/case.ron cannot be read"]);
}

#[test]
fn a_name_of_a_file_cannot_paint_the_screen() {
    let home = Home::new();
    let output = home.run(&["judge", "a\x1b[2J\u{202e}.ron"]);
    refused(&output, NO_INPUT, &["a[2J.ron cannot be read"]);
}

#[test]
fn command_lines_that_ask_for_nothing_that_is() {
    let home = Home::new();
    for args in [
        &["judge"][..],
        &["jugde", "case.ron"],
        &["judge", "case.ron", "--as", "pdf"],
        &["--notation", "roman", "judge", "case.ron"],
        &["print"],
        &["archive"],
        &["flow", "mend"],
        &["--nothing"],
    ] {
        let output = home.run(args);
        assert_eq!(output.code, Some(USAGE), "{args:?} {output:?}");
        assert_eq!(output.stdout, "");
        let errors = output.stderr.matches("error: ").count();
        let usage = output.stderr.contains("Usage: casepan");
        assert!(errors == 1 || usage, "{args:?} {output:?}");
        assert!(usage || output.stderr.contains("--help"), "{output:?}");
    }
    let output = home.run(&["demo", "--case", "nobody"]);
    refused(&output, NO_INPUT, &["nobody", "crown-26"]);
}
