//! Badges: a level or a state as sign and word, painted where the theme paints it, in brackets elsewhere.

use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use ratatui::style::Modifier;
use unicode_width::UnicodeWidthStr;

use super::pen::put_at;
use super::theme::{Signs, TextRole, Theme};
use crate::flow::Level;
use crate::session::view::Badge;

fn role(badge: Badge) -> TextRole {
    match badge {
        Badge::Open => TextRole::Open,
        Badge::Level(Level::Fine) => TextRole::Fine,
        Badge::Level(Level::Watch) => TextRole::Watch,
        Badge::Level(Level::Call) => TextRole::Call,
        Badge::Level(Level::Hold) => TextRole::Hold,
        Badge::Waiting => TextRole::Waiting,
        Badge::NotCovered => TextRole::NotCovered,
    }
}

/// Returns the sign of a badge: as it is drawn, or in ASCII.
pub(super) fn sign(badge: Badge, signs: Signs) -> &'static str {
    let [drawn, ascii] = match badge {
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

/// Returns a badge as it is put on the screen, always as wide whatever the theme.
fn text(badge: Badge, theme: Theme) -> String {
    let (sign, word) = (sign(badge, theme.signs()), badge.word());
    let style = theme.style(role(badge));
    let painted = style.bg.is_some() || style.add_modifier.contains(Modifier::REVERSED);
    let second = match badge {
        Badge::Level(Level::Hold) => format!(" {sign}"),
        _ => String::new(),
    };
    match painted {
        true => format!(" {sign} {word}{second} "),
        false => format!("[{sign} {word}{second}]"),
    }
}

/// Returns how many columns a badge takes.
pub(super) fn width(badge: Badge, theme: Theme) -> u16 {
    u16::try_from(text(badge, theme).width()).unwrap_or(0)
}

/// Puts a badge on the screen; returns the columns that were used.
pub(super) fn put(
    buf: &mut Buffer,
    area: Rect,
    (column, row): (u16, u16),
    badge: Badge,
    theme: Theme,
) -> u16 {
    let style = theme.style(role(badge));
    put_at(buf, area, column, row, &text(badge, theme), style)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::ThemeName;

    #[test]
    fn badges_differ_in_sign_and_word_and_are_as_wide_in_every_theme() {
        for signs in [Signs::Braille, Signs::Ascii] {
            for (nth, badge) in Badge::ALL.into_iter().enumerate() {
                for other in Badge::ALL.into_iter().skip(nth + 1) {
                    assert_ne!(sign(badge, signs), sign(other, signs));
                    assert_ne!(badge.word(), other.word());
                }
                let themes = ThemeName::all().iter().filter_map(|name| name.theme());
                for theme in themes.map(|theme| theme.with_signs(signs)) {
                    assert_eq!(width(badge, theme), width(badge, Theme::plain()));
                    assert_eq!(signs == Signs::Ascii, text(badge, theme).is_ascii());
                }
            }
        }
    }

    /// What is found weighs more than what is only open, whatever the colours.
    #[test]
    fn weights_follow_the_levels_where_no_colour_is_shown() {
        let weight = |badge: Badge| Theme::plain().style(role(badge)).add_modifier;
        let reversed = |badge| weight(badge).contains(Modifier::REVERSED);
        assert_eq!(
            Badge::ALL.map(reversed),
            [false, false, true, true, true, false, false]
        );
        let bold = |badge| weight(badge).contains(Modifier::BOLD);
        assert_eq!(
            Badge::ALL.map(bold),
            [false, true, false, true, true, false, false]
        );
    }
}
