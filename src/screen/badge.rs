//! Badges: a level or a state as sign and word, painted where the theme paints it, in brackets elsewhere.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;
use unicode_width::UnicodeWidthStr;

use super::pen::put_at;
use super::theme::{Signs, TextRole, Theme};
use crate::case::life::State;
use crate::flow::Level;
use crate::judge::{CaseResult, Verdict};
use crate::phrase::words;

/// What a badge says.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Badge {
    Open,
    Level(Level),
    Waiting,
    NotCovered,
}

impl Badge {
    /// Returns the badge of a case or of one of its restorations.
    pub(super) fn of(verdict: Verdict, state: Option<State>) -> Badge {
        if state == Some(State::Waiting) {
            return Badge::Waiting;
        }
        Badge::from(verdict)
    }

    fn role(self) -> TextRole {
        match self {
            Badge::Open => TextRole::Open,
            Badge::Level(Level::Fine) => TextRole::Fine,
            Badge::Level(Level::Watch) => TextRole::Watch,
            Badge::Level(Level::Call) => TextRole::Call,
            Badge::Level(Level::Hold) => TextRole::Hold,
            Badge::Waiting => TextRole::Waiting,
            Badge::NotCovered => TextRole::NotCovered,
        }
    }

    /// Returns its sign: as it is drawn, and in ASCII.
    pub(super) fn sign(self, signs: Signs) -> &'static str {
        let [drawn, ascii] = match self {
            Badge::Open => ["○", "o"],
            Badge::Level(Level::Fine) => ["●", "="],
            Badge::Level(Level::Watch) => ["◊", "^"],
            Badge::Level(Level::Call) => ["▲", "!"],
            Badge::Level(Level::Hold) => ["■", "#"],
            Badge::Waiting => ["…", "~"],
            Badge::NotCovered => ["×", "x"],
        };
        match signs {
            Signs::Braille => drawn,
            Signs::Ascii => ascii,
        }
    }

    fn word(self) -> String {
        let word = match self {
            Badge::Open => words::outcome(CaseResult::Open),
            Badge::Level(level) => return crate::phrase::pages::badge(level).to_owned(),
            Badge::Waiting => words::state(State::Waiting),
            Badge::NotCovered => words::outcome(CaseResult::NotCovered),
        };
        word.to_uppercase()
    }

    /// Returns the badge as it is put on the screen, always as wide whatever the theme.
    fn text(self, theme: Theme) -> String {
        let sign = self.sign(theme.signs());
        let word = self.word();
        let style = theme.style(self.role());
        let painted = style.bg.is_some() || style.add_modifier.contains(Modifier::REVERSED);
        let second = match self {
            Badge::Level(Level::Hold) => format!(" {sign}"),
            _ => String::new(),
        };
        match painted {
            true => format!(" {sign} {word}{second} "),
            false => format!("[{sign} {word}{second}]"),
        }
    }

    /// Returns how many columns it takes.
    pub(super) fn width(self, theme: Theme) -> u16 {
        u16::try_from(self.text(theme).width()).unwrap_or(0)
    }

    /// Puts it on the screen; returns the columns that were used.
    pub(super) fn put(
        self,
        buf: &mut Buffer,
        area: Rect,
        column: u16,
        row: u16,
        theme: Theme,
    ) -> u16 {
        let style = theme.style(self.role());
        put_at(buf, area, column, row, &self.text(theme), style)
    }
}

impl From<Verdict> for Badge {
    fn from(verdict: Verdict) -> Badge {
        match verdict.outcome() {
            CaseResult::Open => Badge::Open,
            CaseResult::NotCovered => Badge::NotCovered,
            CaseResult::NothingFound => Badge::Level(Level::Fine),
            CaseResult::Watch => Badge::Level(Level::Watch),
            CaseResult::Call => Badge::Level(Level::Call),
            CaseResult::Hold => Badge::Level(Level::Hold),
        }
    }
}

impl From<Level> for Badge {
    fn from(level: Level) -> Badge {
        Badge::Level(level)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::ThemeName;

    const ALL: [Badge; 7] = [
        Badge::Open,
        Badge::Level(Level::Fine),
        Badge::Level(Level::Watch),
        Badge::Level(Level::Call),
        Badge::Level(Level::Hold),
        Badge::Waiting,
        Badge::NotCovered,
    ];

    #[test]
    fn badges_differ_in_sign_and_word_and_are_as_wide_in_every_theme() {
        for signs in [Signs::Braille, Signs::Ascii] {
            for (nth, badge) in ALL.iter().enumerate() {
                for other in &ALL[nth + 1..] {
                    assert_ne!(badge.sign(signs), other.sign(signs));
                    assert_ne!(badge.word(), other.word());
                }
                let themes = ThemeName::all().iter().filter_map(|name| name.theme());
                for theme in themes.map(|theme| theme.with_signs(signs)) {
                    assert_eq!(badge.width(theme), badge.width(Theme::plain()));
                    assert_eq!(signs == Signs::Ascii, badge.text(theme).is_ascii());
                }
            }
        }
    }

    /// What is found weighs more than what is only open, whatever the colours.
    #[test]
    fn weights_follow_the_levels_where_no_colour_is_shown() {
        let weight = |badge: Badge| Theme::plain().style(badge.role()).add_modifier;
        let reversed = |badge| weight(badge).contains(Modifier::REVERSED);
        assert_eq!(
            ALL.map(reversed),
            [false, false, true, true, true, false, false]
        );
        let bold = |badge| weight(badge).contains(Modifier::BOLD);
        assert_eq!(
            ALL.map(bold),
            [false, true, false, true, true, false, false]
        );
    }
}
