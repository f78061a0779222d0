//! Roles, not colours: the only file that names a colour.

use ratatui::style::{Color, Modifier, Style};

use crate::flow::Level;

/// What a piece of text is.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub enum Role {
    /// Plain text.
    Text,
    /// Less important.
    Dim,
    /// A heading.
    Heading,
    /// The open cell or the marked line.
    Present,
    /// An answer.
    Answer,
    /// A key in the last line.
    Key,
    /// Nothing found.
    Fine,
    /// Make it, with care.
    Watch,
    /// Ask before making.
    Call,
    /// Do not start.
    Hold,
    /// What a key was refused for, or what went wrong.
    Refusal,
}

/// A palette.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Theme {
    /// The sixteen named colours on the terminal's own background.
    #[default]
    Sixteen,
    /// No colour at all: bold, reversed, underlined.
    Plain,
}

impl Theme {
    /// Returns how a role looks.
    pub fn style(self, role: Role) -> Style {
        let plain = Style::new();
        let colour = |colour| match self {
            Theme::Sixteen => plain.fg(colour),
            Theme::Plain => plain,
        };
        match role {
            Role::Text | Role::Answer => plain,
            Role::Dim => match self {
                Theme::Sixteen => plain.fg(Color::DarkGray),
                Theme::Plain => plain.add_modifier(Modifier::DIM),
            },
            Role::Heading => plain.add_modifier(Modifier::BOLD),
            Role::Present => plain.add_modifier(Modifier::REVERSED),
            Role::Key => plain.add_modifier(Modifier::BOLD),
            Role::Fine => colour(Color::Green),
            Role::Watch => colour(Color::Yellow),
            Role::Call => colour(Color::Magenta).add_modifier(Modifier::BOLD),
            Role::Hold => colour(Color::Red).add_modifier(Modifier::BOLD | Modifier::REVERSED),
            Role::Refusal => colour(Color::Red).add_modifier(Modifier::UNDERLINED),
        }
    }

    /// Returns how a level looks.
    pub fn level(self, level: Level) -> Style {
        self.style(match level {
            Level::Fine => Role::Fine,
            Level::Watch => Role::Watch,
            Level::Call => Role::Call,
            Level::Hold => Role::Hold,
        })
    }
}
