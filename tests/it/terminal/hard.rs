//! Hard days: the program fails, the window is dragged, the line is slow, a shell stops and resumes the inspection.

use std::time::Duration;

use vt100::Screen;

use super::leaving::{demo, given_back};
use super::{FIRST, new_case, open_case};
use crate::support::Home;
use crate::support::pty::Pty;

/// A count of the system's about the program, from `/proc/PID/io`.
#[cfg(target_os = "linux")]
fn counted(pty: &Pty, what: &str) -> u64 {
    let text = std::fs::read_to_string(format!("/proc/{}/io", pty.id())).unwrap();
    let line = text.lines().find_map(|line| line.strip_prefix(what));
    let number = line.and_then(|rest| rest.strip_prefix(": "));
    number.and_then(|text| text.parse().ok()).expect("a count")
}

/// The questions on the left; the findings beside them change once the readings were weighed.
fn questions(text: &str) -> Vec<String> {
    let left = |line: &str| {
        line.chars()
            .take(40)
            .collect::<String>()
            .trim_end()
            .to_owned()
    };
    text.lines().skip(1).take(12).map(left).collect()
}

/// A debug build fails on request; a release has nothing to ask.
#[cfg(debug_assertions)]
#[test]
fn a_failure_gives_the_terminal_back_and_keeps_the_answers() {
    let home = Home::new().with("CASEPAN_FAIL_ON", "f9");
    let mut pty = new_case(&home);
    for number in 0..2 {
        pty.type_keys(FIRST[number].1);
        pty.wait_for(FIRST[number + 1].0);
    }
    // F9 as terminals send it.
    pty.type_keys("\x1b[20~");
    let status = pty.end();
    assert_eq!(status.exit_code(), 70, "{status}");
    pty.wait_until("the terminal to be given back", |screen| {
        !screen.alternate_screen() && !screen.bracketed_paste() && !screen.hide_cursor()
    });
    // What failed is said after the terminal was given back, where it stays to be read.
    pty.wait_for("asked to fail");
    pty.wait_for("casepan: internal error, not your input");
    let pty = open_case(&home);
    pty.wait_for(FIRST[2].0);
    for (.., shown) in &FIRST[..2] {
        pty.wait_for(shown);
    }
}

#[cfg(debug_assertions)]
#[test]
fn a_failure_beside_the_session_leaves_the_page_alone_and_is_told_at_the_end() {
    let home = Home::new().with("CASEPAN_FAIL_APART_ON", "f9");
    let (mut pty, modes) = demo(&home);
    pty.quiet(Duration::from_millis(700));
    let before = questions(&pty.text());
    pty.type_keys("\x1b[20~");
    // The next page shows that the inspection goes on.
    pty.type_keys("f");
    pty.wait_for("Why ");
    assert!(!pty.text().contains("asked to fail"));
    pty.type_keys("i");
    pty.wait_until("the page from before", |screen| {
        questions(&screen.contents()) == before
    });
    pty.type_keys("q");
    assert_eq!(pty.end().exit_code(), 70);
    given_back(&pty, &modes);
    pty.wait_for("asked to fail apart");
    pty.wait_for("every answer is saved");
}

#[test]
fn a_window_that_is_dragged_about_ends_as_it_should_look() {
    let home = Home::new();
    let mut still = Pty::start(&home, &["demo"], 90, 27);
    still.wait_for("? help");
    still.type_keys("?\x1b");
    still.quiet(Duration::from_millis(700));
    let wanted = questions(&still.text());
    let mut pty = Pty::start(&home, &["demo"], 120, 40);
    pty.wait_for("? help");
    pty.type_keys("?\x1b");
    for round in 0..150u16 {
        pty.resize(20 + round * 7 % 170, 5 + round * 5 % 55);
        if round % 16 == 0 {
            std::thread::sleep(Duration::from_millis(3));
        }
    }
    pty.resize(90, 27);
    pty.wait_until("the page of the last size", |screen| {
        questions(&screen.contents()) == wanted
    });
    pty.type_keys("q");
    assert!(pty.end().success());
}

/// A digit changes nothing on the disk, so that every write is one to the terminal.
#[cfg(target_os = "linux")]
#[test]
fn a_frame_is_one_write_and_a_digit_few_bytes() {
    let home = Home::new();
    let mut pty = Pty::start(&home, &["demo"], 80, 24);
    pty.wait_for("Which preps have a filling");
    pty.type_keys("\x1b[A\x1b[A");
    pty.wait_for("0 to 6 mm");
    let mut drawn = pty.quiet(Duration::from_millis(700));
    let first = counted(&pty, "syscw");
    let keys = ["3", ".", "1", "\x7f", "2", "\x7f", "3", "\x7f"];
    for key in keys {
        let before = drawn;
        pty.type_keys(key);
        pty.wait_drawn(before);
        drawn = pty.quiet(Duration::from_millis(100));
        // The picture follows the digit.
        assert!(drawn - before < 900, "{key:?}: {} bytes", drawn - before);
    }
    // Grip of what is typed follows in a frame of its own, unless the next key is there; on a slow machine how sure the
    // judgement is comes in between, with one too.
    let writes = counted(&pty, "syscw") - first;
    assert!((8..=17).contains(&writes), "{writes} writes for 8 keys");
}

/// Keys that come while a frame is on its way are all taken, in their order.
#[test]
fn keys_typed_ahead_are_all_taken() {
    let home = Home::new();
    let mut pty = new_case(&home);
    let ahead: String = FIRST[..6].iter().map(|(_, key, _)| *key).collect();
    pty.type_keys(&ahead);
    pty.wait_for(FIRST[6].0);
    pty.type_keys("b");
    for (.., shown) in &FIRST[..6] {
        pty.wait_for(shown);
    }
}

/// A shell with job control stops the inspection with its key and takes it to the front again.
#[test]
fn a_shell_stops_the_session_and_takes_it_up_again() {
    let path = std::env::var("PATH").unwrap();
    let bash = path.split(':').map(|dir| format!("{dir}/bash"));
    let Some(bash) = bash
        .into_iter()
        .find(|file| std::path::Path::new(file).exists())
    else {
        // Without a shell that knows job control there is nothing to see.
        return;
    };
    let home = Home::new().with("PATH", &path).with("PS1", "bench> ");
    let mut pty = Pty::program(&home, &bash, &["--norc", "--noprofile", "-i"], 100, 30);
    pty.wait_for("bench> ");
    pty.type_keys(&format!("'{}' demo\n", env!("CARGO_BIN_EXE_casepan")));
    pty.wait_for("? help");
    pty.quiet(Duration::from_millis(700));
    let before = questions(&pty.text());
    pty.type_keys("\x1a");
    pty.wait_until("the shell's own screen", |screen| {
        !screen.alternate_screen() && screen.contents().contains("Stopped")
    });
    pty.wait_for("bench> ");
    pty.type_keys("fg\n");
    pty.wait_until("the page from before", |screen| {
        screen.alternate_screen() && questions(&screen.contents()) == before
    });
    assert!(pty.see(Screen::bracketed_paste));
    pty.type_keys("q");
    // What is typed before the inspection has ended is still the inspection's.
    pty.wait_until("the shell again", |screen| {
        !screen.alternate_screen() && screen.contents().trim_end().ends_with("bench>")
    });
    pty.type_keys("exit\n");
    assert!(pty.end().success());
}
