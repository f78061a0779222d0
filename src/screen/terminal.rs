//! The real terminal: entered, left and left again only once, whatever happens.

mod editor;

use std::cell::{Cell, RefCell};
use std::io::{self, Write};
use std::rc::Rc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use crossterm::{cursor, execute};
use jiff::Timestamp;
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;

use super::input::{Event, translate};
use super::{Outside, Theme, cannot_draw, run};
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::phrase::pages::screen as said;
use crate::session::Moment;

/// Whether the terminal is in our hands, so that leaving it twice does nothing.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// What failed in a thread beside the inspection, while the terminal was ours and nothing could be said.
static FAILED_APART: Mutex<Option<String>> = Mutex::new(None);

/// Returns what failed in a thread beside the inspection, once.
pub fn failed_apart() -> Option<String> {
    FAILED_APART
        .lock()
        .unwrap_or_else(PoisonError::into_inner)
        .take()
}

/// The terminal while it is ours. Dropping it gives it back.
pub struct Surface(());

impl Surface {
    /// Takes the terminal: raw input, the other screen, bracketed paste.
    ///
    /// # Errors
    /// It is not a terminal, or does not answer.
    pub fn take() -> Result<Surface, Error> {
        let failed = |error: io::Error| {
            Error::new(Trouble::Io, said::no_terminal(&error)).hint(said::WITHOUT_TERMINAL)
        };
        enter().map_err(|error| {
            leave();
            failed(error)
        })?;
        let before = std::panic::take_hook();
        let session = std::thread::current().id();
        std::panic::set_hook(Box::new(move |info| {
            // The walk goes on without a thread beside it: its page must not be written over.
            if std::thread::current().id() != session && TAKEN.load(Ordering::SeqCst) {
                let mut failed = FAILED_APART.lock().unwrap_or_else(PoisonError::into_inner);
                failed.get_or_insert(info.to_string());
                return;
            }
            leave();
            before(info);
        }));
        Ok(Surface(()))
    }
}

impl Drop for Surface {
    fn drop(&mut self) {
        leave();
    }
}

fn enter() -> io::Result<()> {
    enable_raw_mode()?;
    TAKEN.store(true, Ordering::SeqCst);
    execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste)
}

/// Gives the terminal back. Raw mode goes first, so that a failing write cannot leave it behind.
fn leave() {
    if TAKEN.swap(false, Ordering::SeqCst) {
        let raw = disable_raw_mode();
        let screen = execute!(
            io::stdout(),
            DisableBracketedPaste,
            LeaveAlternateScreen,
            cursor::Show
        );
        // Nobody is left to be told: the terminal is gone or the program is ending.
        let _ = (raw, screen);
    }
}

/// Sits down at the bench: runs the loop in this process's terminal until somebody leaves.
///
/// # Errors
/// There is no terminal, or it fails.
pub fn sit(desk: &mut Desk, theme: Theme, mut moment: impl FnMut() -> Moment) -> Result<(), Error> {
    desk.session.taps.by_hand = true;
    let _surface = Surface::take()?;
    if theme.has_colour() {
        // Whether there is colour was decided where the theme was. Left to itself, crossterm leaves colours out where
        // NO_COLOR is set, and the weights of what has one with them.
        crossterm::style::force_color_output(true);
    }
    let (sender, events) = channel();
    watch_signals(&sender)?;
    watch_terminal(&sender);
    let weighed = sender.clone();
    // A loop that is gone needs no more results.
    desk.weigh_apart(move |result| drop(weighed.send((None, Event::Weighed(result)))));
    let tried = sender.clone();
    desk.try_apart(move |result| drop(tried.send((None, Event::Tried(result)))));
    if !desk.session.single {
        let filled = sender.clone();
        desk.fill_apart(move |result| drop(filled.send((None, Event::Filled(result)))))?;
        let found = sender.clone();
        desk.find_apart(move |result| drop(found.send((None, Event::Found(result)))));
        let rated = sender.clone();
        desk.rate_apart(move |result| drop(rated.send((None, Event::Rated(result)))));
    }
    let ticking = tick(&sender);
    read_keys(sender, desk.session.supervisor);
    let frame = Frame::default();
    let mut terminal =
        Terminal::new(CrosstermBackend::new(frame.clone())).map_err(|error| cannot_draw(&error))?;
    // When a key came counts, and not when the page before it was worked out.
    let came = Cell::new(None);
    let arrived = |(at, event): Came| {
        came.set(at);
        if event == Event::Tick {
            ticking.store(false, Ordering::SeqCst);
        }
        arrive(&event);
        event
    };
    let mut outside = Outside {
        event: &mut || events.recv().ok().map(arrived),
        waiting: &mut || events.try_recv().ok().map(arrived),
        drawn: &mut || frame.send(&mut io::stdout()),
        moment: &mut || {
            let moment = moment();
            Moment {
                now: came.get().unwrap_or(moment.now),
                ..moment
            }
        },
        suspend: &mut suspend,
        edit: &mut editor::edit,
    };
    run(&mut terminal, desk, theme, &mut outside)
}

/// What has to be done about an event before anybody takes it.
fn arrive(event: &Event) {
    if *event == Event::Repaint {
        leave();
        // Where it cannot be taken again, drawing on it fails next, with words.
        let _ = enter();
    }
    fail_on_request(event);
}

/// Fails where a test asks for it, to see that the terminal is given back. A release has no such key.
#[cfg(debug_assertions)]
#[expect(clippy::panic, reason = "failing is what it is for")]
fn fail_on_request(event: &Event) {
    let Event::Key(key) = event else { return };
    let asked = |name| std::env::var(name).is_ok_and(|wanted| wanted == *key);
    if asked("CASEPAN_FAIL_APART_ON") {
        let failed = std::thread::spawn(|| std::panic::panic_any("asked to fail apart"));
        drop(failed.join());
    }
    if asked("CASEPAN_FAIL_ON") {
        std::panic::panic_any("asked to fail");
    }
}

#[cfg(not(debug_assertions))]
fn fail_on_request(_: &Event) {}

/// What is drawn, put together until it is a whole frame: over a slow line a frame is one write, and no half of one is
/// seen.
#[derive(Clone, Default)]
struct Frame(Rc<RefCell<Vec<u8>>>);

/// From so many bytes on a frame asks the terminal to show it at once (private mode 2026, which others ignore). Less than
/// that arrives together anyway.
const LARGE: usize = 1024;

impl Frame {
    fn send(&self, to: &mut impl Write) -> io::Result<()> {
        let mut bytes = self.0.borrow_mut();
        if bytes.len() >= LARGE {
            bytes.splice(..0, *b"\x1b[?2026h");
            bytes.extend_from_slice(b"\x1b[?2026l");
        }
        let sent = to.write_all(&bytes).and_then(|()| to.flush());
        bytes.clear();
        sent
    }
}

impl Write for Frame {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    /// Does nothing: parts of a frame are not sent.
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// An event, and when it came where a hand may have brought it.
type Came = (Option<Timestamp>, Event);

/// How often it is looked whether others have written.
const TICK: Duration = Duration::from_millis(250);

/// Sends an event a few times a second. While one is on its way there is no other: a program that was stopped for an hour
/// has nothing to catch up.
fn tick(sender: &Sender<Came>) -> Arc<AtomicBool> {
    let on_its_way = Arc::new(AtomicBool::new(false));
    let (sender, sent) = (sender.clone(), on_its_way.clone());
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(TICK);
            if !sent.swap(true, Ordering::SeqCst) && sender.send((None, Event::Tick)).is_err() {
                return;
            }
        }
    });
    on_its_way
}

/// Reads keys in a thread of its own; a terminal that is gone ends the inspection.
fn read_keys(sender: Sender<Came>, may_edit: bool) {
    std::thread::spawn(move || {
        let mut at = Timestamp::now();
        let mut together = false;
        loop {
            match editor::wait_for_keys(may_edit) {
                Ok(true) | Err(_) => {}
                // The terminal was somebody else's, or nothing came.
                Ok(false) => {
                    together = false;
                    continue;
                }
            }
            let event = match crossterm::event::read() {
                Ok(event) => translate(event),
                Err(_) => Some(Event::End),
            };
            if !together {
                at = Timestamp::now();
            }
            if let Some(event) = event {
                let last = matches!(event, Event::End);
                if sender.send((Some(at), event)).is_err() || last {
                    return;
                }
            }
            // What comes in one piece was typed ahead or sent by a program: it is of one moment. Asked without any wait,
            // crossterm 0.29 does not look at what it has read already.
            together = crossterm::event::poll(Duration::from_millis(1)).unwrap_or(false);
        }
    });
}

/// Ends the inspection when the terminal is gone without a signal, as it is for a program that no terminal controls.
///
/// The thread that reads keys cannot tell: crossterm 0.29 reads a dead terminal again and again.
#[cfg(unix)]
fn watch_terminal(sender: &Sender<Came>) {
    let gone = || crossterm::terminal::window_size().is_err();
    if gone() {
        // A terminal that never tells its size tells nothing by not telling it.
        return;
    }
    let sender = sender.clone();
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(Duration::from_secs(1));
            if gone() {
                let _ = sender.send((None, Event::End));
                return;
            }
        }
    });
}

#[cfg(not(unix))]
fn watch_terminal(_: &Sender<Came>) {}

/// Whether this program put itself into the background, and takes the terminal again itself.
#[cfg(unix)]
static SUSPENDED: AtomicBool = AtomicBool::new(false);

#[cfg(unix)]
fn watch_signals(sender: &Sender<Came>) -> Result<(), Error> {
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
    let watched = [SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGCONT];
    let mut signals = signal_hook::iterator::Signals::new(watched)
        .map_err(|error| Error::new(Trouble::Io, said::no_signals(&error)))?;
    let sender = sender.clone();
    std::thread::spawn(move || {
        for signal in signals.forever() {
            if editor::has_the_terminal() && editor::takes(signal) {
                continue;
            }
            let event = match signal {
                // Whoever stopped the program by force may have used the terminal meanwhile.
                SIGCONT if SUSPENDED.swap(false, Ordering::SeqCst) => continue,
                SIGCONT => Event::Repaint,
                SIGTSTP => Event::Key("ctrl-z".to_owned()),
                _ => Event::End,
            };
            if sender.send((None, event)).is_err() {
                return;
            }
        }
    });
    Ok(())
}

#[cfg(not(unix))]
fn watch_signals(_: &Sender<Came>) -> Result<(), Error> {
    Ok(())
}

#[cfg(unix)]
fn suspend() {
    leave();
    SUSPENDED.store(true, Ordering::SeqCst);
    // Where the system refuses, the inspection just goes on.
    let _ = signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP);
    let _ = enter().and_then(|()| io::stdout().flush());
}

#[cfg(not(unix))]
fn suspend() {}
