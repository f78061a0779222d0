//! The real program with lines from a pipe.

use crate::support::{Home, Output};

const ANSWERS: &[u8] = b"1\n1\nzirconia 3Y, high strength\n5\nnew\nno\n";

fn ask(home: &Home, args: &[&str], input: &[u8]) -> Output {
    let all: Vec<&str> = ["--archive", "a.casepan", "ask"]
        .iter()
        .chain(args)
        .copied()
        .collect();
    let output = home.run_with(&all, input);
    assert!(!output.stdout.contains('\u{1b}'), "{output:?}");
    output
}

#[test]
fn a_case_is_made_answered_and_gone_on_with() {
    let home = Home::new();
    let output = ask(&home, &["24-1", "--units", "26", "--sure"], ANSWERS);
    assert_eq!(
        (output.code, output.stderr.as_str()),
        (Some(0), ""),
        "{output:?}"
    );
    assert!(
        output
            .stdout
            .contains("\nsaved: R1, material: zirconia 3Y, high strength\n")
    );
    assert!(output.stdout.ends_with("closed; every answer is saved\n"));
    // With the same units it is the same case, without them too.
    for args in [&["24-1"][..], &["24-1", "--units", "26", "--sure"]] {
        let output = ask(&home, args, b"");
        assert_eq!(output.code, Some(0), "{output:?}");
        assert!(
            output
                .stdout
                .contains("\nImpression, scan or poured models?\n"),
            "{output:?}"
        );
    }
    let file = home.run(&["--archive", "a.casepan", "archive", "export", "24-1"]);
    assert!(file.stdout.contains("zirconia-3y"), "{file:?}");
    // Without a number the worklist is said.
    let output = ask(&home, &[], b"1\n\nleave\nleave\n");
    assert_eq!(output.code, Some(0), "{output:?}");
    assert!(output.stdout.contains("\n1: 24-1, 26, "), "{output:?}");
    assert!(output.stdout.contains("\ncase: 24-1\n"), "{output:?}");
}

#[test]
fn a_line_that_is_not_taken_is_told_with_its_number() {
    let home = Home::new();
    let output = ask(
        &home,
        &["24-1", "--units", "26", "--sure"],
        b"1\n1\nzirconium\n5\n1\n",
    );
    assert_eq!(output.code, Some(65), "{output:?}");
    assert!(
        output
            .stderr
            .contains("casepan: line 3 was refused: \"zirconium\""),
        "{output:?}"
    );
    assert!(
        output.stderr.contains("nothing after it was read"),
        "{output:?}"
    );
    assert!(!output.stdout.contains("planned cement"), "{output:?}");
    let output = ask(&home, &["24-1", "--go-on"], b"zirconium\nzircon\n1\n");
    assert_eq!(output.code, Some(65), "{output:?}");
    assert!(
        output
            .stderr
            .contains("2 lines were refused; the first is line 1"),
        "{output:?}"
    );
    assert!(
        output.stdout.contains("saved: R1, material: zirconia 3Y"),
        "{output:?}"
    );
}

#[test]
fn a_case_that_cannot_be_opened_or_made_says_what_to_do() {
    let home = Home::new();
    ask(
        &home,
        &["24-1", "--units", "UL6", "--notation", "palmer"],
        b"",
    );
    for (args, code, says) in [
        (&["24-9"][..], 66, "--units"),
        (&["24-1", "--units", "44 x45 46"], 64, "with other units"),
        (&["24-2", "--units", "26"], 64, "--sure"),
        (&["24-2", "--units", "44 x99"], 64, "99"),
        (&["24-2", "--units", ""], 64, "--units"),
        (&["Dr;Who", "--units", "44"], 64, "never a patient's name"),
        (&["--units", "44"], 64, "case"),
    ] {
        let output = ask(&home, args, b"1\n");
        assert_eq!(output.code, Some(code), "{args:?} {output:?}");
        assert!(
            output.stderr.to_lowercase().contains(says),
            "{args:?} {output:?}"
        );
        assert_eq!(output.stdout, "", "{args:?}");
    }
    // Without an archive there is no case, and none is made.
    let output = home.run_with(&["--archive", "b.casepan", "ask", "24-1"], b"");
    assert_eq!(output.code, Some(66), "{output:?}");
    assert!(!home.path("b.casepan").exists());
}

#[cfg(unix)]
#[test]
fn a_reader_that_goes_away_is_no_news_and_the_answers_are_kept() {
    let home = Home::new();
    let output = home.shell(
        "printf '1\\n1\\n1\\n5\\n1\\n2\\n' | \"$casepan\" --archive a.casepan ask 24-1 --units 44 | head -n 1",
    );
    assert_eq!(output.stderr, "", "{output:?}");
    assert_eq!(output.stdout.lines().count(), 1, "{output:?}");
    let output = ask(&home, &["24-1"], b"");
    assert_eq!(output.code, Some(0), "{output:?}");
}

#[test]
fn what_can_be_mistaken_is_asked_back_until_it_is_sure() {
    let home = Home::new();
    for (args, says) in [
        (&["Mary Smith", "--units", "44"][..], "looks like a name"),
        (
            &["24-1", "--units", "44-46"],
            "44-46 means 44 x45 46, 45 missing",
        ),
    ] {
        let output = ask(&home, args, b"");
        assert_eq!(output.code, Some(64), "{output:?}");
        assert!(
            output.stderr.contains(says) && output.stderr.contains("--sure"),
            "{output:?}"
        );
        let output = ask(&home, &[args, &["--sure"]].concat(), b"");
        assert_eq!(output.code, Some(0), "{output:?}");
        // It is there now, and asked for by nobody.
        let output = ask(&home, &args[..1], b"");
        assert_eq!(output.code, Some(0), "{output:?}");
    }
    // Once somebody has said in which notation numbers are meant, nobody is asked again on this archive.
    assert_eq!(ask(&home, &["24-2", "--units", "26"], b"").code, Some(64));
    let output = ask(&home, &[], b"new case\n24-3\n26\n\n:leave\n");
    assert!(
        output.stdout.contains("in Universal it would be"),
        "{output:?}"
    );
    assert_eq!(ask(&home, &["24-2", "--units", "26"], b"").code, Some(0));
    let other = &["--notation", "universal", "24-4", "--units", "14"];
    assert_eq!(ask(&home, other, b"").code, Some(0));
}
