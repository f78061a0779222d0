//! The invented laboratory on the command line, and what is said of its record.

use super::{DATA, USAGE};
use crate::support::Home;

/// Writes an invented laboratory of 120 cases to `invented.casepan`.
pub(super) fn invent(home: &Home) {
    let told = home.run(&[
        "demo",
        "--archive-of",
        "120",
        "--seed",
        "3",
        "--to",
        "invented.casepan",
    ]);
    assert_eq!(told.code, Some(0), "{told:?}");
    assert!(
        told.stdout
            .starts_with("120 cases of invented laboratory 3 written to invented.casepan"),
        "{told:?}"
    );
}

#[test]
fn an_invented_laboratory_is_an_archive_like_any_other() {
    let home = Home::new();
    invent(&home);
    let run = |args: &[&str]| {
        let told = home.run(&[&["--archive", "invented.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{args:?} {told:?}");
        told.stdout
    };
    assert_eq!(run(&["archive", "check"]), "invented.casepan: no damage\n");
    assert_eq!(run(&["list"]).lines().count(), 121);
    let ticket = run(&["print", "L-0001", "--sheet", "ticket"]);
    assert!(ticket.contains("L-0001"), "{ticket}");
    let rates = run(&["rates", "--of", "came-off", "--by", "grip"]);
    // What is not known stands before any figure.
    let known = rates.find("Not known: ").unwrap();
    assert!(
        known < rates.find("came off within a year: ").unwrap(),
        "{rates}"
    );
    for part in [
        "who never said what became of anything",
        "withdrawn",
        "By grip",
        "By the half-year of the delivery",
        "How long they stay",
        "Came back although nothing had been found",
    ] {
        assert!(rates.contains(part), "{part}: {rates}");
    }
    let all = run(&["rates", "--by", "tray"]);
    for part in [
        "What came back first\n",
        "What came back first: ",
        "Of each restoration its first return counts.",
    ] {
        assert!(all.contains(part), "{part}: {all}");
    }
    let html = run(&["rates", "--of", "came-off", "--as", "html"]);
    assert!(
        html.contains("Share that came back first for this"),
        "{html}"
    );
    for part in [
        "<svg role=\"img\"",
        "Share without it by months",
        "<path class=\"fails\"",
    ] {
        assert!(html.contains(part), "{part}");
    }
    let other = home.run(&["demo", "--archive-of", "5", "--to", "invented.casepan"]);
    assert_ne!(other.code, Some(0));
    assert!(other.stderr.contains("is there already"), "{other:?}");
}

#[test]
fn what_cannot_be_invented_is_said() {
    let home = Home::new();
    for (args, says) in [
        (&["demo", "--archive-of", "0", "--to", "a"][..], "0"),
        (&["demo", "--archive-of", "many", "--to", "a"], "many"),
        (
            &["demo", "--archive-of", "5", "--seed", "x", "--to", "a"],
            "'x'",
        ),
        (&["demo", "--seed", "5"], "--archive-of"),
        (&["demo", "--to", "a"], "--archive-of"),
        (
            &["demo", "--archive-of", "5", "--case", "crown-26"],
            "--case",
        ),
        (&["rates", "--by", "colour"], "colour"),
        (&["rates", "--within", "0"], "0"),
    ] {
        let told = home.run(args);
        assert_eq!(told.code, Some(USAGE), "{args:?} {told:?}");
        assert!(told.stderr.contains(says), "{args:?} {told:?}");
        assert!(!std::path::Path::new(&home.path("a")).exists());
    }
}

/// The flow of half of the cases is damaged: they are counted out, and said to be.
#[test]
fn cases_whose_flow_cannot_be_read_are_said_to_be_left_out() {
    let home = Home::new();
    assert_eq!(home.run(&["flow", "new", "own"]).code, Some(0));
    let flow = std::path::Path::new(&home.path("own")).join("flow.ron");
    let text = std::fs::read_to_string(&flow).unwrap();
    std::fs::write(&flow, format!("// zzz-our-own-zzz\n{text}")).unwrap();
    home.file("one.ron", super::CROWN);
    home.file("other.ron", super::CROWN.replace("T-1", "T-2"));
    for args in [
        &["archive", "import", "one.ron"][..],
        &["--flow", "own", "archive", "import", "other.ron"],
        &["became", "T-1", "delivered"],
    ] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
    }
    let rates = home.run(&["--archive", "a.casepan", "rates"]);
    assert!(!rates.stdout.contains("cannot be read"), "{rates:?}");
    let path = home.path("a.casepan");
    let mut bytes = std::fs::read(&path).unwrap();
    let word = b"zzz-our-own-zzz";
    for at in 0..bytes.len() {
        if bytes[at..].starts_with(word) {
            bytes[at] ^= 1;
        }
    }
    std::fs::write(&path, bytes).unwrap();
    // What is kept beside the worklist was read while it could be.
    let sql = "UPDATE work SET engine = ''";
    let archive = rusqlite::Connection::open(&path).unwrap();
    archive.execute(sql, []).unwrap();
    drop(archive);
    assert_eq!(
        home.run(&["--archive", "a.casepan", "archive", "check"])
            .code,
        Some(DATA)
    );
    let rates = home.run(&["--archive", "a.casepan", "rates"]);
    assert_eq!(rates.code, Some(0), "{rates:?}");
    assert!(
        rates.stdout.contains("1 case that cannot be read"),
        "{rates:?}"
    );
}
