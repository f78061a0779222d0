//! An editor in the same terminal: this program lets go of it whole, waits, and takes it again.

use std::path::Path;
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use super::{enter, leave};
use crate::phrase::prompts::editing as said;

/// Whether the editor has the terminal: no key is read meanwhile.
static HELD: AtomicBool = AtomicBool::new(false);

/// Whether the thread that reads keys has stopped for it.
static STOPPED: AtomicBool = AtomicBool::new(false);

/// How long the thread that reads keys waits at a time, so that it can be stopped.
const WAIT: Duration = Duration::from_millis(100);

/// How often it is looked whether the other thread went on.
const PAUSE: Duration = Duration::from_millis(10);

/// How often at the most.
const MOST: usize = 100;

/// Returns whether the editor has the terminal.
pub(super) fn has_the_terminal() -> bool {
    HELD.load(Ordering::SeqCst)
}

/// Waits for a key, for a moment; returns whether there is one. While the editor has the terminal, all keys are its own. Where
/// none can be opened, nothing is waited for here: crossterm 0.29 turns in circles in the last millisecond of a wait.
///
/// # Errors
/// The terminal is gone.
pub(super) fn wait_for_keys(may_edit: bool) -> std::io::Result<bool> {
    if !may_edit {
        return Ok(true);
    }
    if has_the_terminal() {
        STOPPED.store(true, Ordering::SeqCst);
        std::thread::sleep(PAUSE);
        return Ok(false);
    }
    STOPPED.store(false, Ordering::SeqCst);
    crossterm::event::poll(WAIT)
}

/// Does what a signal asks for while the editor has the terminal; returns whether that was all. An interrupt is the editor's
/// own; a shell that stops the editor stops both.
#[cfg(unix)]
pub(super) fn takes(signal: i32) -> bool {
    use signal_hook::consts::{SIGCONT, SIGINT, SIGTSTP};
    if signal == SIGTSTP {
        // Where the system refuses, the editor alone stops.
        let _ = signal_hook::low_level::emulate_default_handler(SIGTSTP);
    }
    [SIGCONT, SIGINT, SIGTSTP].contains(&signal)
}

/// Opens a file at a line in the editor that the environment names, and returns when it is left.
///
/// # Errors
/// A sentence: none is named, or it failed.
pub(super) fn edit(file: &Path, line: usize) -> Result<(), String> {
    let named = ["VISUAL", "EDITOR"].into_iter();
    let named = named.filter_map(|name| std::env::var(name).ok());
    let mut named = named.map(|own| own.trim().to_owned());
    let Some(editor) = named.find(|own| !own.is_empty()) else {
        return Err(said::NO_EDITOR.to_owned());
    };
    let mut words = editor.split_whitespace();
    let mut command = Command::new(words.next().unwrap_or_default());
    command.args(words).arg(format!("+{line}")).arg(file);
    HELD.store(true, Ordering::SeqCst);
    // Where it has ended, there is nobody to wait for.
    for _ in 0..MOST {
        if STOPPED.load(Ordering::SeqCst) {
            break;
        }
        std::thread::sleep(PAUSE);
    }
    leave();
    let ended = command.status();
    // Where the terminal cannot be taken again, drawing on it fails next, with words.
    let _ = enter();
    HELD.store(false, Ordering::SeqCst);
    match ended {
        Err(why) => Err(said::failed(&editor, &why)),
        Ok(status) if !status.success() => Err(said::failed(&editor, &status)),
        Ok(_) => Ok(()),
    }
}
