//! Ways to leave, wanted or not: the terminal is given back, the answers are kept.

use std::time::{Duration, Instant};

use vt100::Screen;

use super::{FIRST, new_case, open_case};
use crate::support::pty::Pty;
use crate::support::{Home, PATIENCE};

/// Checks that the terminal is as it was before the program took it.
#[track_caller]
pub(super) fn given_back(pty: &Pty, modes: &str) {
    pty.wait_until("the terminal to be given back", |screen| {
        !screen.alternate_screen() && !screen.bracketed_paste() && !screen.hide_cursor()
    });
    assert_eq!(pty.modes(), modes);
}

/// Starts the demo in a shell that first tells how the terminal is, so that there is something to compare with.
pub(super) fn demo(home: &Home) -> (Pty, String) {
    let line = format!("read go; exec '{}' demo", env!("CARGO_BIN_EXE_casepan"));
    let mut pty = Pty::program(home, "/bin/sh", &["-c", &line], 100, 30);
    let modes = pty.modes();
    pty.type_keys("\n");
    pty.wait_for("? help");
    assert!(pty.see(Screen::alternate_screen));
    assert_ne!(pty.modes(), modes, "raw input is other input");
    (pty, modes)
}

#[test]
fn keys_that_leave_give_the_terminal_back() {
    // Control and C is 3 in ASCII.
    for keys in ["\x03", "q", "?\x03"] {
        let home = Home::new();
        let (mut pty, modes) = demo(&home);
        pty.type_keys(keys);
        assert!(pty.end().success(), "{keys:?}");
        given_back(&pty, &modes);
    }
}

#[test]
fn signals_that_end_give_the_terminal_back() {
    for name in ["TERM", "HUP", "INT"] {
        let home = Home::new();
        let (mut pty, modes) = demo(&home);
        pty.signal(name);
        let status = pty.end();
        assert!(status.success(), "{name}: {status}");
        given_back(&pty, &modes);
    }
}

#[test]
fn answers_are_kept_when_a_signal_ends_the_program() {
    for name in ["TERM", "HUP"] {
        let home = Home::new();
        let mut pty = new_case(&home);
        for number in 0..3 {
            pty.type_keys(FIRST[number].1);
            pty.wait_for(FIRST[number + 1].0);
        }
        pty.signal(name);
        assert!(pty.end().success(), "{name}");
        let pty = open_case(&home);
        pty.wait_for(FIRST[3].0);
        for (.., shown) in &FIRST[..3] {
            pty.wait_for(shown);
        }
    }
}

#[test]
fn a_session_can_be_put_into_the_background_and_comes_back() {
    for by_key in [true, false] {
        let home = Home::new();
        let (mut pty, modes) = demo(&home);
        pty.quiet(Duration::from_millis(700));
        let before = pty.text();
        let first = |text: &str| text.lines().take(16).map(str::to_owned).collect::<Vec<_>>();
        if by_key {
            // Control and Z is 26 in ASCII.
            pty.type_keys("\x1a");
        } else {
            pty.signal("TSTP");
        }
        given_back(&pty, &modes);
        pty.resume_until("the frame from before", |screen| {
            screen.alternate_screen() && first(&screen.contents()) == first(&before)
        });
        assert_ne!(pty.modes(), modes);
        pty.type_keys("q");
        assert!(pty.end().success());
        given_back(&pty, &modes);
    }
}

#[test]
fn everything_is_drawn_anew_after_a_stop_by_force() {
    let home = Home::new();
    let (mut pty, modes) = demo(&home);
    pty.quiet(Duration::from_millis(700));
    let before = pty.text();
    pty.signal("STOP");
    // Whoever has the terminal meanwhile writes over the screen.
    pty.scribble("\x1b[2J\x1b[Hsomething else");
    pty.wait_for("something else");
    pty.signal("CONT");
    pty.wait_until("the frame from before", |screen| {
        screen.contents() == before
    });
    pty.type_keys("q");
    assert!(pty.end().success());
    given_back(&pty, &modes);
}

#[test]
fn a_closed_window_ends_the_program_with_its_answers_kept() {
    let home = Home::new();
    let mut pty = new_case(&home);
    pty.type_keys(FIRST[0].1);
    pty.wait_for(FIRST[1].0);
    let start = Instant::now();
    pty.close();
    pty.end();
    assert!(
        start.elapsed() < Duration::from_secs(5),
        "{:?}",
        start.elapsed()
    );
    let pty = open_case(&home);
    pty.wait_for(FIRST[1].0);
    pty.wait_for(FIRST[0].2);
}

/// A program that no terminal controls gets no signal when its terminal goes away.
#[cfg(target_os = "linux")]
#[test]
fn a_terminal_that_goes_without_a_signal_ends_the_program() {
    let path = std::env::var("PATH").unwrap();
    let home = Home::new().with("PATH", &path);
    let line = format!(
        "trap '' HUP; setsid -w sh -c 'echo $$ > id; exec \"{}\" demo'; echo $? > ended",
        env!("CARGO_BIN_EXE_casepan")
    );
    let mut pty = Pty::program(&home, "/bin/sh", &["-c", &line], 100, 30);
    pty.wait_for("? help");
    let start = Instant::now();
    pty.close();
    loop {
        let ended = std::fs::read_to_string(home.path("ended")).unwrap_or_default();
        if ended.ends_with('\n') {
            break;
        }
        if start.elapsed() > PATIENCE {
            home.shell("kill -KILL $(cat id)");
            panic!("the program goes on without a terminal");
        }
        std::thread::sleep(Duration::from_millis(10));
    }
    assert!(
        start.elapsed() < Duration::from_secs(8),
        "{:?}",
        start.elapsed()
    );
}

#[test]
fn without_a_terminal_the_session_says_what_works_instead() {
    for args in [&[][..], &["demo"], &["open", "24-0381"]] {
        let home = Home::new();
        let output = home.run(args);
        assert_eq!(output.code, Some(64), "{args:?} {output:?}");
        assert_eq!(output.stdout, "");
        assert!(
            output
                .stderr
                .starts_with("casepan: the inspection needs a terminal"),
            "{output:?}"
        );
        assert!(
            output.stderr.contains("casepan judge FILE.ron"),
            "{output:?}"
        );
        // Not even an archive was made.
        assert!(!home.path("data").exists(), "{args:?}");
    }
}
