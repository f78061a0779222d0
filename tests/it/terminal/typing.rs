//! What is typed and pasted at the real terminal.

use vt100::Screen;

use super::{FIRST, new_case};
use crate::support::Home;
use crate::support::pty::Pty;

/// Starts the demo at the number cell of its preps that is easy to reach: the clearance of 44.
fn at_a_number(home: &Home) -> Pty {
    let mut pty = Pty::start(home, &["demo"], 100, 30);
    pty.wait_for("Which preps have a filling");
    // Two arrows up: over the path to the row of clearances.
    pty.type_keys("\x1b[A\x1b[A");
    pty.wait_for("0 to 6 mm");
    pty
}

/// Returns the line that is typed on.
fn typed(screen: &Screen) -> String {
    screen
        .contents()
        .lines()
        .rev()
        .find_map(|line| line.trim_start().strip_prefix("> ").map(str::to_owned))
        .unwrap_or_default()
}

#[test]
fn a_number_is_pasted_into_a_number_cell() {
    let home = Home::new();
    let mut pty = at_a_number(&home);
    pty.paste("3.1\n");
    pty.wait_until("the number", |screen| typed(screen).starts_with("3.1 "));
    pty.type_keys("\r");
    pty.wait_until("the number in its row", |screen| {
        screen
            .contents()
            .lines()
            .any(|line| line.contains("clearance") && line.contains("3.1  "))
    });
}

#[test]
fn what_is_no_number_is_not_pasted_into_a_number_cell() {
    let home = Home::new();
    let mut pty = at_a_number(&home);
    let before = pty.see(typed);
    // Letters are keys where they are typed; q would leave.
    pty.paste("q3.1");
    pty.wait_for("text can be pasted only into");
    assert_eq!(pty.see(typed), before);
    pty.paste("12345678901");
    pty.type_keys("4");
    pty.wait_until("the digit that was typed after", |screen| {
        typed(screen).starts_with("4 ")
    });
}

#[test]
fn a_number_and_its_units_are_pasted_into_prompts() {
    let home = Home::new();
    let mut pty = Pty::start(&home, &["--archive", "a.casepan"], 100, 30);
    pty.wait_for("No case yet");
    pty.paste("24-0381");
    pty.wait_for("text can be pasted only into text and number fields");
    pty.type_keys("n");
    pty.wait_for("Number of the new case");
    pty.paste("24-0381\r\n");
    pty.wait_until("the number", |screen| typed(screen).trim() == "24-0381");
    pty.type_keys("\r");
    pty.wait_for("Units of 24-0381");
    pty.paste("44 x45 46");
    pty.type_keys("\r");
    pty.wait_for(FIRST[0].0);
    assert!(pty.text().starts_with(" 24-0381  44 x45 46"));
}

#[test]
fn pasted_control_characters_cannot_paint_the_screen() {
    // Escape, its one-byte form, bell, a command to the window, a turn of direction, a zero-width space.
    let evil = "24\x1b[2J\x1b[31;7mHA\u{9b}41m\x07\x1b]0;title\x07\u{202e}\u{200b}-1";
    let home = Home::new();
    let mut pty = Pty::start(&home, &["--archive", "a.casepan"], 100, 30);
    pty.wait_for("No case yet");
    pty.type_keys("n");
    pty.wait_for("Number of the new case");
    let before = pty.raw().len();
    let above = pty
        .text()
        .lines()
        .take(12)
        .map(str::to_owned)
        .collect::<Vec<_>>();
    pty.paste(evil);
    pty.wait_for("24[2J[31;7mHA41m]0;title-1");
    let text = pty.text();
    assert_eq!(text.lines().take(12).collect::<Vec<_>>(), above);
    let raw = String::from_utf8(pty.raw()[before..].to_vec()).unwrap();
    for painted in [
        "\x1b[2J",
        "\x1b[31;7m",
        "\u{9b}",
        "\x07",
        "\x1b]0",
        "\u{202e}",
        "\u{200b}",
    ] {
        assert!(!raw.contains(painted), "{painted:?} in {raw:?}");
    }
    pty.type_keys("\r");
    pty.wait_for("a case number cannot contain '['");
}

#[test]
fn typed_bytes_that_are_no_text_do_no_harm() {
    let home = Home::new();
    let mut pty = new_case(&home);
    pty.type_bytes(b"\xff\xfe\x80\x1b[999999;999999H\x1b[<0;5;5M\x1b[I\x00\x01\x02");
    pty.type_keys("1");
    pty.wait_for(FIRST[1].0);
    pty.wait_for(FIRST[0].2);
}

#[test]
fn a_burst_of_keys_is_taken_one_by_one() {
    let home = Home::new();
    let mut pty = new_case(&home);
    // All at once, as a person types ahead of a slow line.
    let keys: String = FIRST[..6].iter().map(|(_, key, _)| *key).collect();
    pty.type_keys(&keys);
    pty.wait_for(FIRST[6].0);
    pty.type_keys("b");
    for (.., shown) in &FIRST[..6] {
        pty.wait_for(shown);
    }
}
