//! Keys and look of one's own at the real terminal.

use std::time::Duration;

use vt100::Color;

use super::{cells, is_colour, looks};
use crate::support::Home;
use crate::support::pty::Pty;

/// Starts the demo with its findings shown: all levels that it has are on the screen.
fn findings(home: &Home, args: &[&str]) -> Pty {
    let mut pty = Pty::start(home, &[args, &["demo"]].concat(), 100, 30);
    pty.wait_for("Sample case");
    pty.type_keys("f");
    pty.wait_for("Why ");
    pty
}

fn colours(pty: &Pty) -> Vec<Color> {
    let mut all: Vec<Color> = Vec::new();
    for cell in pty.see(cells) {
        for colour in [cell.fgcolor(), cell.bgcolor()] {
            if colour != Color::Default && !all.contains(&colour) {
                all.push(colour);
            }
        }
    }
    all
}

/// The library that writes to the terminal leaves colours out by itself where NO_COLOR is set.
#[test]
fn colour_that_is_asked_for_goes_before_no_color() {
    let home = Home::new().with("NO_COLOR", "1");
    let pty = findings(&home, &["--color", "always"]);
    assert!(looks(&pty.raw()).into_iter().any(is_colour));
    let magenta = Color::Idx(5);
    assert!(colours(&pty).contains(&magenta), "{:?}", colours(&pty));
    // Weights are there too: CALL is heavy as well as painted.
    let heavy = pty.see(|screen| {
        let cells = cells(screen);
        cells
            .iter()
            .any(|cell| cell.bgcolor() == magenta && cell.bold())
    });
    assert!(heavy);
    let pty = findings(&home, &[]);
    assert!(!looks(&pty.raw()).into_iter().any(is_colour));
}

#[test]
fn a_ground_is_painted_with_its_letters_and_the_mark_shows_on_a_light_one() {
    let bright = Color::Idx(14);
    for (home, has_bright) in [
        (Home::new(), true),
        (Home::new().with("COLORFGBG", "0;15"), false),
    ] {
        let pty = findings(&home, &[]);
        pty.see(|screen| {
            let cells = cells(screen);
            let painted = |colour: Color| colour != Color::Default;
            assert!(cells.iter().any(|cell| painted(cell.bgcolor())));
            let both = |cell: &vt100::Cell| painted(cell.bgcolor()) == painted(cell.fgcolor());
            assert!(cells.iter().all(both));
            let shown = cells.iter().any(|cell| cell.bgcolor() == bright);
            assert_eq!(shown, has_bright);
        });
    }
}

#[test]
fn other_keys_are_shown_and_work() {
    let home = Home::new();
    home.file(
        "own/keys.ron",
        "Keys([Key(\"findings\", [\"F\"]), Key(\"leave\", [\"f4\"])])",
    );
    home.file(
        "own/look.ron",
        "Look(roles: [Role(role: \"watch\", colour: \"bright-cyan\")])",
    );
    let mut pty = Pty::start(&home, &["--settings", "own", "demo"], 100, 30);
    pty.wait_for("f4 leaves");
    pty.type_keys("f");
    pty.type_keys("F");
    pty.wait_for("Why ");
    assert!(
        colours(&pty).contains(&Color::Idx(14)),
        "{:?}",
        colours(&pty)
    );
    pty.type_keys("\x1bOS");
    assert!(pty.end().success());
}

#[test]
fn half_a_keymap_does_not_start() {
    let home = Home::new();
    home.file("own/keys.ron", "Keys([Key(\"undo\", [\"y\"])])");
    for args in [&["demo"][..], &["--archive", "a.casepan"]] {
        let args = [&["--settings", "own"], args].concat();
        let mut pty = Pty::start(&home, &args, 100, 30);
        pty.wait_for("1 problem in the settings");
        assert_eq!(pty.end().exit_code(), 65);
        assert!(pty.text().contains("error[keys-twice]"), "{}", pty.text());
        assert!(!pty.see(vt100::Screen::alternate_screen));
    }
    assert!(!home.path("a.casepan").exists());
}

#[test]
fn a_terminal_that_only_writes_lines_is_told_what_works_there() {
    let home = Home::new().with("TERM", "dumb");
    let mut pty = Pty::start(&home, &["--archive", "a.casepan"], 100, 30);
    pty.wait_for("casepan ask CASE");
    pty.wait_for("casepan print CASE");
    assert_eq!(pty.end().exit_code(), 64);
    assert!(!pty.raw().contains(&0x1b));
    assert!(!home.path("a.casepan").exists());
}

#[test]
fn ascii_signs_are_all_that_is_written() {
    let home = Home::new();
    // Without a locale, and where they are asked for.
    for (home, args) in [
        (&home, &[][..]),
        (
            &Home::new().with("LANG", "en_GB.UTF-8"),
            &["--signs", "ascii"],
        ),
    ] {
        let mut pty = findings(home, args);
        pty.type_keys("i");
        pty.wait_for("Which preps have a filling");
        // Looked for and not seen: one of our own signs.
        pty.type_keys("-");
        pty.wait_for("[Preps");
        pty.quiet(Duration::from_millis(300));
        assert!(pty.raw().is_ascii(), "{}", pty.text());
    }
    let mut pty = findings(&Home::new().with("LANG", "en_GB.UTF-8"), &[]);
    pty.type_keys("i");
    pty.wait_for("Which preps have a filling");
    pty.type_keys("-");
    pty.wait_for("not seen");
    pty.type_keys("p");
    pty.wait_for("°");
}
