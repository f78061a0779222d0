//! How long a key takes to its frame in a pseudo-terminal, beside the least program that draws a typed character.
//!
//! `cargo bench --bench keystroke`. It prints and judges nothing: the figures hang on the machine.

#![allow(missing_docs)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]
#![allow(clippy::print_stdout)]

#[cfg(unix)]
#[path = "../it"]
mod it {
    #[allow(dead_code)]
    pub(crate) mod support;
}

#[cfg(unix)]
fn main() -> std::io::Result<()> {
    if std::env::var_os(least::VARIABLE).is_some() {
        return least::run();
    }
    measure::run();
    Ok(())
}

#[cfg(not(unix))]
fn main() {}

/// The least program: each typed character is shown in a paragraph.
#[cfg(unix)]
mod least {
    use crossterm::event::{self, DisableBracketedPaste, EnableBracketedPaste, Event, KeyCode};
    use crossterm::execute;
    use crossterm::terminal::{
        EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
    };
    use ratatui::Terminal;
    use ratatui::backend::CrosstermBackend;
    use ratatui::widgets::Paragraph;
    use std::io::{BufWriter, Result, stdout};

    pub(super) const VARIABLE: &str = "KEYSTROKE_LEAST";

    pub(super) fn run() -> Result<()> {
        enable_raw_mode()?;
        execute!(stdout(), EnterAlternateScreen, EnableBracketedPaste)?;
        let writer = BufWriter::with_capacity(1 << 16, stdout());
        let mut terminal = Terminal::new(CrosstermBackend::new(writer))?;
        let mut text = String::from("ready ");
        loop {
            terminal.draw(|frame| frame.render_widget(Paragraph::new(&*text), frame.area()))?;
            if let Event::Key(key) = event::read()? {
                match key.code {
                    KeyCode::Char('q') => break,
                    KeyCode::Char(c) => text.push(c),
                    KeyCode::Backspace => drop(text.pop()),
                    _ => {}
                }
            }
        }
        execute!(stdout(), DisableBracketedPaste, LeaveAlternateScreen)?;
        disable_raw_mode()
    }
}

#[cfg(unix)]
mod measure {
    use std::time::{Duration, Instant};

    use super::it::support::Home;
    use super::it::support::pty::Pty;
    use super::least::VARIABLE;

    /// Keys that are timed for each program and kind of key.
    const KEYS: usize = 300;
    /// How long nobody types.
    const IDLE: Duration = Duration::from_secs(10);
    /// Starts that are timed for each program.
    const STARTS: usize = 30;

    /// Times in ascending order.
    struct Times(Vec<Duration>);

    impl Times {
        fn of(mut times: Vec<Duration>) -> Times {
            times.sort();
            Times(times)
        }

        fn at(&self, percent: usize) -> f64 {
            let index = (self.0.len() * percent).div_ceil(100).saturating_sub(1);
            self.0[index].as_secs_f64() * 1000.0
        }
    }

    fn line(what: &str, ours: &Times, least: &Times) {
        println!(
            "{what:<28} casepan {:7.2} {:7.2}   least {:7.2} {:7.2}   ratio {:5.2} {:5.2}",
            ours.at(50),
            ours.at(99),
            least.at(50),
            least.at(99),
            ours.at(50) / least.at(50),
            ours.at(99) / least.at(99),
        );
    }

    /// Types keys and waits after each until something is drawn; returns the times and the bytes of each frame.
    ///
    /// The times hold the harness: the way through the pseudo-terminal and the parsing of the screen.
    fn keystrokes(pty: &mut Pty, mut key: impl FnMut(usize) -> &'static str) -> (Times, Bytes) {
        let (mut times, mut bytes) = (Vec::new(), Vec::new());
        // A person leaves pauses; nothing is under way when the key comes.
        let mut before = pty.quiet(Duration::from_millis(20));
        for number in 0..KEYS {
            let start = Instant::now();
            pty.type_keys(key(number));
            pty.wait_drawn(before);
            times.push(start.elapsed());
            let after = pty.quiet(Duration::from_millis(20));
            bytes.push(after - before);
            before = after;
        }
        bytes.sort_unstable();
        (Times::of(times), Bytes(bytes))
    }

    /// Bytes of frames in ascending order.
    struct Bytes(Vec<usize>);

    fn bytes_line(what: &str, ours: &Bytes, least: &Bytes) {
        let median = |bytes: &Bytes| bytes.0[bytes.0.len() / 2];
        let most = |bytes: &Bytes| bytes.0[bytes.0.len() - 1];
        println!(
            "{what:<28} casepan {:7} {:7}   least {:7} {:7}   bytes, median and most",
            median(ours),
            most(ours),
            median(least),
            most(least),
        );
    }

    /// Processor time that a program has taken so far, in ticks of the system (usually a hundredth of a second).
    #[cfg(target_os = "linux")]
    fn ticks(pty: &Pty) -> u64 {
        let text = std::fs::read_to_string(format!("/proc/{}/stat", pty.id())).unwrap();
        // The name stands in brackets and may hold blanks; user and system time are the 14th and 15th field.
        let fields: Vec<&str> = text
            .rsplit_once(')')
            .unwrap()
            .1
            .split_whitespace()
            .collect();
        fields[11].parse::<u64>().unwrap() + fields[12].parse::<u64>().unwrap()
    }

    #[cfg(target_os = "linux")]
    fn idle(pty: &Pty) -> u64 {
        pty.quiet(Duration::from_secs(2));
        let before = ticks(pty);
        std::thread::sleep(IDLE);
        ticks(pty) - before
    }

    fn starts(mut start: impl FnMut() -> (Pty, &'static str)) -> Times {
        let mut times = Vec::new();
        for _ in 0..STARTS {
            let began = Instant::now();
            let (mut pty, shown) = start();
            pty.wait_for(shown);
            times.push(began.elapsed());
            pty.type_keys("q");
            pty.end();
        }
        Times::of(times)
    }

    /// A digit, then its removal, in turns: the cell or the paragraph does not grow.
    fn digits(number: usize) -> &'static str {
        if number.is_multiple_of(2) {
            "4"
        } else {
            "\x7f"
        }
    }

    /// An answer, then back to its cell, in turns: each answer differs from the one before, so that each is kept.
    fn answers(number: usize) -> &'static str {
        ["1", "\x1b[A", "2", "\x1b[A"][number % 4]
    }

    pub(super) fn run() {
        let home = Home::new();
        let least_home = Home::new().with(VARIABLE, "1");
        let me = std::env::current_exe().unwrap().display().to_string();
        let ours = || Pty::start(&home, &["demo"], 100, 30);
        let least = || Pty::program(&least_home, &me, &[], 100, 30);
        println!("milliseconds, median and 99th percentile");

        let mut pty = least();
        pty.wait_for("ready");
        let (least_keys, least_bytes) = keystrokes(&mut pty, digits);
        #[cfg(target_os = "linux")]
        let least_idle = idle(&pty);
        pty.type_keys("q");
        pty.end();

        let mut pty = ours();
        pty.wait_for("? help");
        // The second row above takes a number.
        pty.type_keys("\x1b[A\x1b[A");
        pty.wait_for("> ");
        let (times, bytes) = keystrokes(&mut pty, digits);
        line("a digit to its frame", &times, &least_keys);
        bytes_line("a digit", &bytes, &least_bytes);
        #[cfg(target_os = "linux")]
        println!(
            "{:<28} casepan {:7} ticks   least {least_idle:7} ticks   in {} s",
            "idle",
            idle(&pty),
            IDLE.as_secs()
        );
        pty.type_keys("q");
        pty.end();

        // The window has room for the picture, which follows the digit.
        let mut pty = Pty::start(&home, &["demo"], 130, 40);
        pty.wait_for("? help");
        pty.type_keys("\x1b[A\x1b[A");
        pty.wait_for("> ");
        let (times, bytes) = keystrokes(&mut pty, digits);
        line("a digit and its picture", &times, &least_keys);
        bytes_line("a digit and its picture", &bytes, &least_bytes);
        pty.type_keys("q");
        pty.end();

        let mut pty = Pty::start(&home, &["--archive", "a.casepan"], 100, 30);
        pty.wait_for("No case yet");
        pty.type_keys("n");
        pty.wait_for("Number of the new case");
        pty.type_keys("24-0381\r");
        pty.wait_for("Units of 24-0381");
        pty.type_keys("44 x45 46\r");
        pty.wait_for("What type of work is it?");
        let (times, bytes) = keystrokes(&mut pty, answers);
        line("an answer, kept, or a move", &times, &least_keys);
        bytes_line("an answer or a move", &bytes, &least_bytes);
        pty.type_keys("\x03");
        pty.end();

        let least_starts = starts(|| (least(), "ready"));
        // The archive is there, and so is the checked flow, from the start above.
        let own = || Pty::start(&home, &["--archive", "a.casepan"], 100, 30);
        line(
            "start to first frame",
            &starts(|| (own(), "24-0381")),
            &least_starts,
        );
        line(
            "demo, its archive made",
            &starts(|| (ours(), "? help")),
            &least_starts,
        );
    }
}
