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
use super::{Outside, Theme, run};
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
pub fn sit(desk: &mut Desk, theme: Theme, mut moment: impl FnMut() -> Moment) -> Result<(), Error> {
    let _surface = Surface::take()?;
    let (sender, events) = channel();
    watch_signals(&sender)?;
    let weighed = sender.clone();
    // A loop that is gone needs no more results.
    desk.weigh_apart(move |result| drop(weighed.send(Event::Weighed(result))));
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
    run(&mut terminal, desk, theme, &mut outside)
}

fn next(events: &Receiver<Event>) -> Option<Event> {
    events.recv().ok()
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

#[cfg(unix)]
fn watch_signals(sender: &Sender<Event>) -> Result<(), Error> {
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGTERM};
    let mut signals = signal_hook::iterator::Signals::new([SIGHUP, SIGINT, SIGTERM, SIGCONT])
        .map_err(|error| Error::new(Trouble::Io, format!("signals cannot be watched: {error}")))?;
    let sender = sender.clone();
    std::thread::spawn(move || {
        for signal in signals.forever() {
            let event = if signal == SIGCONT {
                Event::Redraw
            } else {
                Event::End
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
    // Where the system refuses, the walk just goes on.
    let _ = signal_hook::low_level::emulate_default_handler(signal_hook::consts::SIGTSTP);
    let _ = enter().and_then(|()| io::stdout().flush());
}

#[cfg(not(unix))]
fn suspend() {}
