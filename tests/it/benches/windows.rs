//! Two real programs on one archive, each in a terminal of its own.

use std::time::{Duration, Instant};

use crate::support::Home;
use crate::support::pty::Pty;

fn open(home: &Home, who: &str) -> Pty {
    let args = ["--archive", "a.casepan", "--who", who, "open", "24-0381"];
    Pty::start(home, &args, 100, 30)
}

/// A crown whose order is read and whose impression is next.
fn made() -> Home {
    let home = Home::new();
    let args = [
        "--archive",
        "a.casepan",
        "--who",
        "b0",
        "ask",
        "24-0381",
        "--units",
        "26",
        "--sure",
    ];
    let output = home.run_with(&args, b"1\n1\n1\n5\n1\n2\n");
    assert_eq!(output.code, Some(0), "{output:?}");
    home
}

const NEXT: &str = "Impression, scan or poured models?";

#[test]
fn two_windows_see_each_other_within_a_second() {
    let home = made();
    let (one, mut other) = (open(&home, "b1"), open(&home, "b2"));
    one.wait_for(NEXT);
    other.wait_for(NEXT);
    other.type_keys("1");
    let start = Instant::now();
    one.wait_for("b2: ");
    let took = start.elapsed();
    assert!(took < Duration::from_secs(1), "{took:?}");
    one.wait_until("the answer of the other", |screen| {
        let text = screen.contents();
        text.lines()
            .any(|line| line.starts_with("impression or scan") && line.contains("impression  "))
            || text.contains("is now impression")
    });
    // Nothing more is drawn once it is seen.
    let drawn = one.quiet(Duration::from_millis(1000));
    std::thread::sleep(Duration::from_millis(1200));
    assert_eq!(one.drawn(), drawn);
}

#[test]
fn a_held_archive_shows_it_and_frames_go_on() {
    let home = made();
    let mut one = open(&home, "b1");
    one.wait_for(NEXT);
    let mut holder = rusqlite::Connection::open(home.path("a.casepan")).unwrap();
    let lock = holder
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .unwrap();
    let start = Instant::now();
    one.type_keys("1");
    one.wait_for("NOT SAVED");
    // Whatever is typed meanwhile is shown.
    one.type_keys("?");
    one.wait_for("esc");
    one.type_keys("\x1b");
    let took = start.elapsed();
    assert!(took < Duration::from_secs(2), "{took:?}");
    std::thread::sleep(Duration::from_secs(1));
    drop(lock);
    one.wait_until("the corner to be empty", |screen| {
        !screen.contents().contains("NOT SAVED")
    });
    one.cut();
    // What was shown without the corner is there.
    let again = open(&home, "b1");
    again.wait_until("the next question", |screen| {
        let text = screen.contents();
        text.contains("24-0381") && !text.contains(NEXT)
    });
}

#[test]
fn a_signal_waits_for_no_lock_and_loses_nothing() {
    let home = made();
    let mut one = open(&home, "b1");
    one.wait_for(NEXT);
    let mut holder = rusqlite::Connection::open(home.path("a.casepan")).unwrap();
    let lock = holder
        .transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)
        .unwrap();
    one.type_keys("1");
    one.wait_for("NOT SAVED");
    let start = Instant::now();
    one.signal("TERM");
    let status = one.end();
    let took = start.elapsed();
    assert!(took < Duration::from_secs(1), "{took:?}");
    assert_eq!(status.exit_code(), 74);
    drop(lock);
    let files = std::fs::read_dir(home.root()).unwrap();
    let saved = files
        .map(|entry| entry.unwrap().path())
        .find(|path| path.extension().is_some_and(|ending| ending == "jsonl"))
        .expect("a file with the answers");
    let text = std::fs::read_to_string(&saved).unwrap();
    assert!(text.contains("records.kind"), "{text}");
    one.wait_until("the file by its name", |screen| {
        let name = saved.file_name().unwrap().to_string_lossy().into_owned();
        let text: String = screen.contents().split_whitespace().collect();
        text.contains(&name)
    });
    // It is read as a case into another archive.
    let output = home.run(&[
        "--archive",
        "b.casepan",
        "archive",
        "import",
        &saved.display().to_string(),
    ]);
    assert_eq!(output.code, Some(0), "{output:?}");
}
