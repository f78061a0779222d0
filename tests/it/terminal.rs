//! The real program in a pseudo-terminal: the inspection as a person sees it, whatever happens to the terminal.

mod editing;
mod hard;
mod leaving;
mod look;
mod typing;

use std::time::Duration;

use vt100::{Color, Screen};

use crate::support::Home;
use crate::support::pty::Pty;

/// The first questions of a new bridge 44 x45 46, each with the key that answers it and the words that the answer
/// shows; from `flows/fixed/questions`.
const FIRST: [(&str, &str, &str); 7] = [
    (
        "What type of work is it?",
        "1",
        "type of work             crown or bridge",
    ),
    (
        "Does the order match the models",
        "1",
        "order matches models     yes, tooth for tooth",
    ),
    (
        "Which material is ordered?",
        "1",
        "material                 zirconia 3Y",
    ),
    (
        "Which cement does the dentist plan to use?",
        "5",
        "planned cement           resin-modified",
    ),
    ("New case or remake?", "1", "new or remake            new"),
    ("Is a shade given?", "2", "shade given              no"),
    (
        "Impression, scan or poured models?",
        "1",
        "impression or scan       impression",
    ),
];

/// Starts the program on a fresh archive and makes a case by keys.
fn new_case(home: &Home) -> Pty {
    let mut pty = Pty::start(home, &["--archive", "a.casepan"], 100, 30);
    pty.wait_for("No case yet");
    pty.type_keys("n");
    pty.wait_for("Number of the new case");
    pty.type_keys("24-0381\r");
    pty.wait_for("Units of 24-0381");
    pty.type_keys("44 x45 46\r");
    pty.wait_for(FIRST[0].0);
    pty
}

fn open_case(home: &Home) -> Pty {
    Pty::start(
        home,
        &["--archive", "a.casepan", "open", "24-0381"],
        100,
        30,
    )
}

#[test]
fn the_demo_shows_its_first_frame_and_leaves_nothing_behind() {
    let home = Home::new();
    let mut pty = Pty::start(&home, &["demo"], 100, 30);
    pty.wait_for("Sample case, nothing is saved");
    let text = pty.text();
    assert!(text.starts_with(" D-1044  44 x45 46"), "{text}");
    assert!(text.contains("? help"), "{text}");
    assert!(pty.see(Screen::alternate_screen));
    pty.type_keys("q");
    assert!(pty.end().success());
    let mut left: Vec<_> = std::fs::read_dir(home.root())
        .unwrap()
        .chain(std::fs::read_dir(home.path("tmp")).unwrap())
        .map(|entry| entry.unwrap().file_name())
        .collect();
    left.sort();
    assert_eq!(left, ["tmp"]);
}

#[test]
fn no_answer_that_was_shown_is_lost_when_the_program_is_cut_off() {
    let home = Home::new();
    let mut pty = new_case(&home);
    for (number, (question, key, _)) in FIRST[..6].iter().enumerate() {
        pty.wait_for(question);
        pty.type_keys(key);
        // The next question shows that the answer was taken.
        pty.wait_for(FIRST[number + 1].0);
        pty.cut();
        pty = open_case(&home);
        pty.wait_for(FIRST[number + 1].0);
        if number < 5 {
            for (.., shown) in &FIRST[..=number] {
                pty.wait_for(shown);
            }
        } else {
            // The impression is the next step; the step before shows the answers.
            pty.type_keys("b");
            for (.., shown) in &FIRST[..=number] {
                pty.wait_for(shown);
            }
        }
    }
}

#[test]
fn a_window_that_is_too_small_says_so_and_comes_back() {
    let home = Home::new();
    let mut pty = Pty::start(&home, &["demo"], 100, 30);
    pty.wait_for("Which preps have a filling");
    // How sure the judgement is comes a moment after the first frame.
    pty.quiet(Duration::from_millis(700));
    let before = pty.text();
    pty.resize(30, 8);
    pty.wait_for("The window is too small");
    pty.wait_until("the size in words", |screen| {
        let text = screen
            .contents()
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ");
        text == "The window is too small: casepan needs 40 by 12."
    });
    // Nobody answers a question that is not shown.
    pty.type_keys("0");
    pty.type_keys("\r");
    pty.quiet(Duration::from_millis(300));
    pty.resize(40, 12);
    pty.wait_for("Which preps have a filling");
    pty.resize(100, 30);
    pty.wait_until("the frame from before, without its notice", |screen| {
        let rows = |text: &str| text.lines().take(16).map(str::to_owned).collect::<Vec<_>>();
        rows(&screen.contents()) == rows(&before)
    });
}

/// The program looks once a second whether its terminal is there; nothing may come of it on the screen.
#[test]
fn nothing_is_drawn_while_nobody_types() {
    let home = Home::new();
    let mut pty = Pty::start(&home, &["demo"], 100, 30);
    pty.wait_for("? help");
    let before = pty.drawn();
    pty.type_keys("?");
    pty.wait_drawn(before);
    // Weighing comes last, when nothing else is to be done.
    let before = pty.quiet(Duration::from_millis(2000));
    std::thread::sleep(Duration::from_millis(2500));
    assert_eq!(pty.drawn(), before);
}

/// Returns the parameters of every sequence that sets how characters look (ECMA-48, select graphic rendition).
fn looks(raw: &[u8]) -> Vec<u16> {
    String::from_utf8_lossy(raw)
        .split("\x1b[")
        .skip(1)
        .filter_map(|rest| {
            let end = rest.find(|c: char| !(c.is_ascii_digit() || ";:".contains(c)))?;
            rest[end..].starts_with('m').then(|| rest[..end].to_owned())
        })
        .flat_map(|list| {
            list.split([';', ':'])
                .map(|n| n.parse().unwrap_or(0))
                .collect::<Vec<_>>()
        })
        .collect()
}

/// Says whether a parameter asks for a colour: 30 to 38, 40 to 48, 90 to 97, 100 to 107 (39 and 49 take it back).
fn is_colour(parameter: u16) -> bool {
    matches!(parameter, 30..=38 | 40..=48 | 90..=97 | 100..=107)
}

fn cells(screen: &Screen) -> Vec<vt100::Cell> {
    let (rows, cols) = screen.size();
    (0..rows.get())
        .flat_map(|row| (0..cols.get()).map(move |col| (row, col)))
        .filter_map(|(row, col)| screen.cell(row, col).cloned())
        .collect()
}

#[test]
fn colours_are_used_where_they_are_wanted() {
    let home = Home::new();
    let pty = Pty::start(&home, &["demo"], 100, 30);
    pty.wait_for("? help");
    assert!(looks(&pty.raw()).into_iter().any(is_colour));
    assert!(pty.see(|screen| {
        cells(screen)
            .iter()
            .any(|cell| cell.fgcolor() != Color::Default)
    }));
}

#[test]
fn no_color_leaves_weight_and_reversal_but_no_colour() {
    for (home, args) in [
        (Home::new().with("NO_COLOR", "1"), &["demo"][..]),
        (Home::new(), &["--color", "never", "demo"][..]),
        (
            Home::new().with("NO_COLOR", "1"),
            &["--color", "never", "demo", "--case", "remake-35-37"][..],
        ),
    ] {
        let mut pty = Pty::start(&home, args, 100, 30);
        pty.wait_for("Sample case");
        let open = pty.see(|screen| cells(screen).iter().any(vt100::Cell::inverse));
        assert!(open, "{}", pty.text());
        pty.type_keys("f");
        pty.wait_for("Source");
        pty.type_keys("i");
        pty.wait_for("enter next");
        let colours: Vec<u16> = looks(&pty.raw())
            .into_iter()
            .filter(|n| is_colour(*n))
            .collect();
        assert!(colours.is_empty(), "{args:?} {colours:?}");
        let cells = pty.see(cells);
        assert!(cells.iter().all(|cell| cell.fgcolor() == Color::Default));
        assert!(cells.iter().all(|cell| cell.bgcolor() == Color::Default));
        assert!(cells.iter().any(|cell| cell.bold() && cell.has_contents()));
        assert!(cells.iter().any(vt100::Cell::inverse), "{}", pty.text());
    }
}
