//! The real terminal: entered, left and left again only once, whatever happens.

use std::io::{self, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel};

use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::terminal::{
    EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode,
};
use crossterm::{cursor, execute};
use ratatui::Terminal;
use ratatui::backend::CrosstermBackend;

use super::input::{Event, translate};
use super::{Look, Outside, run};
use crate::desk::Desk;
use crate::error::{Error, Trouble};
use crate::walk::Moment;

/// Whether the terminal is in our hands, so that leaving it twice does nothing.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// The terminal while it is ours. Dropping it gives it back.
pub struct Surface(());

impl Surface {
    /// Takes the terminal: raw input, the other screen, bracketed paste.
    ///
    /// # Errors
    /// It is not a terminal, or does not answer.
    pub fn take() -> Result<Surface, Error> {
        let failed = |error: io::Error| {
            Error::new(
                Trouble::Io,
                format!("this is not a terminal that can be drawn on: {error}"),
            )
            .hint("`casepan judge FILE.ron` and `casepan print CASE` work without one")
        };
        enter().map_err(failed)?;
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
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
pub fn sit(
    desk: &mut Desk,
    look: impl Into<Look>,
    mut moment: impl FnMut() -> Moment,
) -> Result<(), Error> {
    let _surface = Surface::take()?;
    let (sender, events) = channel();
    watch_signals(&sender)?;
    watch_terminal(&sender);
    let weighed = sender.clone();
    // A loop that is gone needs no more results.
    desk.weigh_apart(move |result| drop(weighed.send(Event::Weighed(result))));
    let tried = sender.clone();
    desk.try_apart(move |result| drop(tried.send(Event::Tried(result))));
    read_keys(sender);
    let mut terminal = Terminal::new(CrosstermBackend::new(io::BufWriter::with_capacity(
        1 << 16,
        io::stdout(),
    )))
    .map_err(|error| {
        Error::new(
            Trouble::Io,
            format!("the terminal cannot be drawn on: {error}"),
        )
    })?;
    let mut outside = Outside {
        event: &mut || next(&events),
        moment: &mut moment,
        suspend: &mut suspend,
    };
    run(&mut terminal, desk, look, &mut outside)
}

fn next(events: &Receiver<Event>) -> Option<Event> {
    let event = events.recv().ok()?;
    if event == Event::Repaint {
        leave();
        // Where it cannot be taken again, drawing on it fails next, with words.
        let _ = enter();
    }
    Some(event)
}

/// Reads keys in a thread of its own; a terminal that is gone ends the walk.
fn read_keys(sender: Sender<Event>) {
    std::thread::spawn(move || {
        loop {
            let event = match crossterm::event::read() {
                Ok(event) => translate(event),
                Err(_) => Some(Event::End),
            };
            let Some(event) = event else { continue };
            let last = matches!(event, Event::End);
            if sender.send(event).is_err() || last {
                return;
            }
        }
    });
}

/// Ends the walk when the terminal is gone without a signal, as it is for a program that no terminal controls.
///
/// The thread that reads keys cannot tell: crossterm 0.29 reads a dead terminal again and again.
#[cfg(unix)]
fn watch_terminal(sender: &Sender<Event>) {
    let gone = || crossterm::terminal::window_size().is_err();
    if gone() {
        // A terminal that never tells its size tells nothing by not telling it.
        return;
    }
    let sender = sender.clone();
    std::thread::spawn(move || {
        loop {
            std::thread::sleep(std::time::Duration::from_secs(1));
            if gone() {
                let _ = sender.send(Event::End);
                return;
            }
        }
    });
}

#[cfg(not(unix))]
fn watch_terminal(_: &Sender<Event>) {}

/// Whether this program put itself into the background, and takes the terminal again itself.
#[cfg(unix)]
static SUSPENDED: AtomicBool = AtomicBool::new(false);

#[cfg(unix)]
fn watch_signals(sender: &Sender<Event>) -> Result<(), Error> {
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM, SIGTSTP};
    let watched = [SIGHUP, SIGINT, SIGTERM, SIGTSTP, SIGCONT];
    let mut signals = signal_hook::iterator::Signals::new(watched)
        .map_err(|error| Error::new(Trouble::Io, format!("signals cannot be watched: {error}")))?;
    let sender = sender.clone();
    std::thread::spawn(move || {
        for signal in signals.forever() {
            let event = match signal {
                // Whoever stopped the program by force may have used the terminal meanwhile.
                SIGCONT if SUSPENDED.swap(false, Ordering::SeqCst) => continue,
                SIGCONT => Event::Repaint,
                SIGTSTP => Event::Key("ctrl-z".to_owned()),
                _ => Event::End,
            };
            if sender.send(event).is_err() {
                return;
            }
        }
    });
    Ok(())
}

#[cfg(not(unix))]
fn watch_signals(_: &Sender<Event>) -> Result<(), Error> {
    Ok(())
}

#[cfg(unix)]
fn suspend() {
    leave();
    SUSPENDED.store(true, Ordering::SeqCst);
    // Where the system refuses, the walk just goes on.
    let _ = signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP);
    let _ = enter().and_then(|()| io::stdout().flush());
}

#[cfg(not(unix))]
fn suspend() {}
