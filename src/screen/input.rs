//! Keys of the terminal by the names of the command table.

use crate::desk::{Filled, Found, Tried, Weighed};
use crate::session::Rated;
use crossterm::event::{Event as TerminalEvent, KeyCode, KeyEventKind, KeyModifiers};

/// What the loop is woken by.
#[derive(Clone, PartialEq, Debug)]
pub enum Event {
    /// A key by its name.
    Key(String),
    /// Pasted text.
    Paste(String),
    /// How sure the judgement is was worked out.
    Weighed(Weighed),
    /// Options were worked out.
    Tried(Tried),
    /// Cases of the worklist were read.
    Filled(Filled),
    /// A part of the worklist was looked for.
    Found(Found),
    /// What came back was worked out, or cases were read for it.
    Rated(Rated),
    /// Time has passed: others may have written, and what waits may be tried again.
    Tick,
    /// The window has another size.
    Redraw,
    /// Somebody else may have drawn on the terminal: everything is drawn anew.
    Repaint,
    /// The terminal is gone, or somebody asked the program to end.
    End,
}

/// Translates an event of the terminal. Releases and what has no name are none.
pub(crate) fn translate(event: TerminalEvent) -> Option<Event> {
    match event {
        TerminalEvent::Key(key) if key.kind != KeyEventKind::Release => {
            let control = key.modifiers.contains(KeyModifiers::CONTROL);
            let alt = key.modifiers.contains(KeyModifiers::ALT);
            let name = match key.code {
                KeyCode::Char(' ') => "space".to_owned(),
                // Ctrl and Alt together are AltGr on some keyboards: the character is meant.
                KeyCode::Char(c) if control && !alt => format!("ctrl-{}", c.to_ascii_lowercase()),
                KeyCode::Char(c) => c.to_string(),
                KeyCode::Enter => "enter".to_owned(),
                KeyCode::Backspace => "backspace".to_owned(),
                KeyCode::Delete => "delete".to_owned(),
                KeyCode::Tab => "tab".to_owned(),
                KeyCode::BackTab => "shift-tab".to_owned(),
                KeyCode::Up => "up".to_owned(),
                KeyCode::Down => "down".to_owned(),
                KeyCode::Left => "left".to_owned(),
                KeyCode::Right => "right".to_owned(),
                KeyCode::PageUp => "pgup".to_owned(),
                KeyCode::PageDown => "pgdn".to_owned(),
                KeyCode::Esc => "esc".to_owned(),
                KeyCode::Home => "home".to_owned(),
                KeyCode::End => "end".to_owned(),
                KeyCode::Insert => "insert".to_owned(),
                // F1 is the terminal's own help in many, F10 to F12 belong to window managers.
                KeyCode::F(number @ 2..=9) => format!("f{number}"),
                _ => return None,
            };
            Some(Event::Key(name))
        }
        TerminalEvent::Paste(text) => Some(Event::Paste(text)),
        TerminalEvent::Resize(..) | TerminalEvent::FocusGained => Some(Event::Redraw),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::session::command::COMMANDS;
    use crate::session::keymap::NAMED;
    use crossterm::event::{KeyEvent, KeyEventState};

    fn key(code: KeyCode, modifiers: KeyModifiers, kind: KeyEventKind) -> Option<Event> {
        translate(TerminalEvent::Key(KeyEvent {
            code,
            modifiers,
            kind,
            state: KeyEventState::NONE,
        }))
    }

    #[test]
    fn a_release_is_not_a_second_press() {
        let press = key(KeyCode::Char('4'), KeyModifiers::NONE, KeyEventKind::Press);
        assert_eq!(press, Some(Event::Key("4".to_owned())));
        assert_eq!(
            key(
                KeyCode::Char('4'),
                KeyModifiers::NONE,
                KeyEventKind::Release
            ),
            None
        );
    }

    #[test]
    fn every_named_key_of_the_table_can_be_pressed() {
        let codes = [
            KeyCode::Enter,
            KeyCode::Backspace,
            KeyCode::Delete,
            KeyCode::Tab,
            KeyCode::BackTab,
            KeyCode::Up,
            KeyCode::Down,
            KeyCode::Left,
            KeyCode::Right,
            KeyCode::PageUp,
            KeyCode::PageDown,
            KeyCode::Esc,
            KeyCode::Home,
            KeyCode::End,
            KeyCode::Insert,
            KeyCode::Char(' '),
        ];
        let codes = codes.into_iter().chain((2..=9).map(KeyCode::F));
        let mut names: Vec<String> = Vec::new();
        for code in codes {
            if let Some(Event::Key(name)) = key(code, KeyModifiers::NONE, KeyEventKind::Press) {
                names.push(name);
            }
        }
        for c in ['c', 'z'] {
            if let Some(Event::Key(name)) =
                key(KeyCode::Char(c), KeyModifiers::CONTROL, KeyEventKind::Press)
            {
                names.push(name);
            }
        }
        for wanted in COMMANDS
            .iter()
            .flat_map(|spec| spec.keys)
            .filter(|key| key.chars().count() > 1)
            .chain(NAMED)
        {
            assert!(names.iter().any(|name| name == wanted), "{wanted}");
        }
    }
}
