//! A pseudo-terminal with the real program in it: keys in, the parsed screen out. Every wait has a deadline.

use std::io::{Read as _, Write};
use std::num::NonZero;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, ExitStatus, MasterPty, PtySize, native_pty_system};
use vt100::{Parser, Screen};

use super::{Home, PATIENCE};

/// How often the screen is looked at while waiting.
const LOOK: Duration = Duration::from_micros(200);

/// What came out of the terminal so far.
struct Shown {
    parser: Parser,
    raw: Vec<u8>,
}

/// A program in a pseudo-terminal. Dropping it ends the program.
pub(crate) struct Pty {
    child: Box<dyn Child + Send + Sync>,
    master: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    shown: Arc<(Mutex<Shown>, Condvar)>,
    reader: Option<JoinHandle<()>>,
    closing: Arc<AtomicBool>,
    /// The digit that was typed last, by itself.
    digit: Option<String>,
}

fn size(cols: u16, rows: u16) -> PtySize {
    PtySize {
        rows,
        cols,
        pixel_width: 0,
        pixel_height: 0,
    }
}

fn lines(count: u16) -> NonZero<u16> {
    NonZero::new(count).unwrap()
}

impl Pty {
    /// Starts `casepan` with these arguments.
    pub(crate) fn start(home: &Home, args: &[&str], cols: u16, rows: u16) -> Pty {
        Pty::program(home, env!("CARGO_BIN_EXE_casepan"), args, cols, rows)
    }

    /// Starts a program.
    pub(crate) fn program(home: &Home, program: &str, args: &[&str], cols: u16, rows: u16) -> Pty {
        let pair = native_pty_system().openpty(size(cols, rows)).unwrap();
        let mut command = CommandBuilder::new(program);
        command.env_clear();
        for (name, value) in home.variables() {
            // The size is the terminal's own here.
            if name != "COLUMNS" {
                command.env(name, value);
            }
        }
        command.cwd(home.root());
        command.args(args);
        let child = pair.slave.spawn_command(command).unwrap();
        let shown = Shown {
            parser: Parser::new(lines(rows), lines(cols), 0),
            raw: Vec::new(),
        };
        let shown = Arc::new((Mutex::new(shown), Condvar::new()));
        let mut reader = pair.master.try_clone_reader().unwrap();
        let keys = pair.master.take_writer().unwrap();
        let into = shown.clone();
        let closing = Arc::new(AtomicBool::new(false));
        let stop = closing.clone();
        let reader = std::thread::spawn(move || {
            let mut bytes = [0; 1 << 16];
            while let Ok(count @ 1..) = reader.read(&mut bytes) {
                let mut shown = into.0.lock().unwrap();
                shown.parser.process(&bytes[..count]);
                shown.raw.extend_from_slice(&bytes[..count]);
                drop(shown);
                into.1.notify_all();
                if stop.load(Ordering::SeqCst) {
                    return;
                }
            }
        });
        Pty {
            child,
            master: Some(pair.master),
            keys: Some(keys),
            shown,
            reader: Some(reader),
            closing,
            digit: None,
        }
    }

    fn shown(&self) -> MutexGuard<'_, Shown> {
        self.shown.0.lock().unwrap()
    }

    /// Types text or the bytes of a key.
    ///
    /// The same digit again comes no sooner than from a hand that has read what it answers.
    pub(crate) fn type_keys(&mut self, keys: &str) {
        let digit =
            (keys.len() == 1 && keys.chars().all(|c| c.is_ascii_digit())).then(|| keys.to_owned());
        if digit.is_some() && digit == self.digit {
            std::thread::sleep(Duration::from_millis(200));
        }
        self.digit = digit;
        self.type_bytes(keys.as_bytes());
    }

    /// Types bytes that need not be text.
    pub(crate) fn type_bytes(&mut self, keys: &[u8]) {
        let stream = self.keys.as_mut().unwrap();
        stream.write_all(keys).unwrap();
        stream.flush().unwrap();
    }

    /// Paints on the screen as another program on the same terminal would.
    pub(crate) fn scribble(&self, text: &str) {
        self.shown().parser.process(text.as_bytes());
    }

    /// Pastes text as a terminal does that was asked to mark what is pasted.
    pub(crate) fn paste(&mut self, text: &str) {
        assert!(self.see(Screen::bracketed_paste), "pastes are not marked");
        self.type_keys(&format!("\x1b[200~{text}\x1b[201~"));
    }

    /// Returns what the screen says about a question.
    pub(crate) fn see<T>(&self, question: impl FnOnce(&Screen) -> T) -> T {
        question(self.shown().parser.screen())
    }

    /// Returns the text on the screen.
    pub(crate) fn text(&self) -> String {
        self.see(Screen::contents)
    }

    /// Returns every byte that came out of the terminal.
    pub(crate) fn raw(&self) -> Vec<u8> {
        self.shown().raw.clone()
    }

    /// Waits until the screen is as wanted; fails with the screen as it is.
    #[track_caller]
    pub(crate) fn wait_until(&self, what: &str, wanted: impl Fn(&Screen) -> bool) {
        let deadline = Instant::now() + PATIENCE;
        while !self.see(&wanted) {
            if Instant::now() > deadline {
                panic!("waited for {what}; the screen shows\n{}", self.text());
            }
            std::thread::sleep(LOOK);
        }
    }

    /// Lets a stopped program go on until the screen is as wanted.
    ///
    /// A program gives the terminal back before it stops: a signal that comes in between goes for nothing.
    #[track_caller]
    pub(crate) fn resume_until(&self, what: &str, wanted: impl Fn(&Screen) -> bool) {
        let deadline = Instant::now() + PATIENCE;
        while !self.see(&wanted) {
            if Instant::now() > deadline {
                panic!("waited for {what}; the screen shows\n{}", self.text());
            }
            self.signal("CONT");
            std::thread::sleep(Duration::from_millis(200));
        }
    }

    /// Waits until the screen shows a text.
    #[track_caller]
    pub(crate) fn wait_for(&self, text: &str) {
        self.wait_until(&format!("{text:?}"), |screen| {
            in_one_line(&screen.contents()).contains(&in_one_line(text))
        });
    }

    /// Returns how many bytes came out of the terminal so far.
    pub(crate) fn drawn(&self) -> usize {
        self.shown().raw.len()
    }

    /// Waits until nothing was drawn for a while; returns how many bytes came out of the terminal so far.
    #[track_caller]
    pub(crate) fn quiet(&self, pause: Duration) -> usize {
        let deadline = Instant::now() + PATIENCE;
        loop {
            let before = self.drawn();
            std::thread::sleep(pause);
            if self.drawn() == before {
                return before;
            }
            assert!(Instant::now() < deadline, "it goes on drawing");
        }
    }

    /// Waits until more has come out of the terminal than so many bytes.
    #[track_caller]
    pub(crate) fn wait_drawn(&self, before: usize) {
        let (shown, more) = &*self.shown;
        let waiting = |shown: &mut Shown| shown.raw.len() == before;
        let (guard, waited) = more
            .wait_timeout_while(shown.lock().unwrap(), PATIENCE, waiting)
            .unwrap();
        drop(guard);
        assert!(!waited.timed_out(), "waited for a frame");
    }

    /// Gives the window another size.
    pub(crate) fn resize(&mut self, cols: u16, rows: u16) {
        self.shown()
            .parser
            .screen_mut()
            .set_size(lines(rows), lines(cols));
        self.master
            .as_ref()
            .unwrap()
            .resize(size(cols, rows))
            .unwrap();
    }

    /// Returns how the terminal treats its input, in words that only compare.
    pub(crate) fn modes(&self) -> String {
        format!("{:?}", self.master.as_ref().unwrap().get_termios().unwrap())
    }

    pub(crate) fn id(&self) -> u32 {
        self.child.process_id().unwrap()
    }

    /// Sends a signal by its name.
    #[track_caller]
    pub(crate) fn signal(&self, name: &str) {
        let line = format!("kill -{name} {}", self.id());
        let sent = Command::new("/bin/sh").args(["-c", &line]).status();
        assert!(sent.unwrap().success(), "{line}");
    }

    /// Ends the program at once, as a power cut would, and waits until it is gone.
    #[track_caller]
    pub(crate) fn cut(mut self) {
        self.signal("KILL");
        let status = self.end();
        assert!(status.signal().is_some(), "{status}");
    }

    /// Closes the window: the terminal is gone.
    pub(crate) fn close(&mut self) {
        // The thread that reads holds the window open. It sees the wish once something is drawn: the help page, on
        // which the line end that the writer sends at its end means nothing.
        self.closing.store(true, Ordering::SeqCst);
        self.type_keys("?");
        self.reader.take().unwrap().join().unwrap();
        self.keys = None;
        self.master = None;
    }

    /// Waits for the program to end.
    #[track_caller]
    pub(crate) fn end(&mut self) -> ExitStatus {
        let deadline = Instant::now() + PATIENCE;
        loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                return status;
            }
            if Instant::now() > deadline {
                panic!("waited for the end; the screen shows\n{}", self.text());
            }
            std::thread::sleep(Duration::from_millis(2));
        }
    }
}

impl Drop for Pty {
    fn drop(&mut self) {
        // The test is over; nothing hangs on how this ends.
        if let Ok(None) = self.child.try_wait() {
            let line = format!("kill -KILL {}", self.id());
            let _ = Command::new("/bin/sh").args(["-c", &line]).status();
            let _ = self.child.wait();
        }
    }
}

/// Words without how wide the columns are that they stand in, and without the mark of the open cell.
fn in_one_line(text: &str) -> String {
    let words: Vec<&str> = text
        .split([' ', '\n', '>'])
        .filter(|word| !word.is_empty())
        .collect();
    words.join(" ")
}
