//! Roles, not colours: the only file that names a colour.
//!
//! Only the named colours of the terminal's own palette are used, never white, black or grey, which are the ground of
//! one terminal or another, and no ground is painted but by reversing. Each level differs from the others by weight,
//! underline or reversal too, so that nothing hangs on a colour.

use clap::ValueEnum;
use ratatui::style::{Color, Modifier, Style};
use serde::Deserialize;

use crate::flow::Level;
use crate::phrase::pages::screen as said;
use crate::phrase::program::values;

macro_rules! roles {
    ($($(#[$doc:meta])* $role:ident $name:literal $is:ident;)+) => {
        /// What a piece of text is.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum TextRole { $($(#[$doc])* $role),+ }

        impl TextRole {
            /// All roles.
            pub const ALL: &[TextRole] = &[$(TextRole::$role),+];

            /// Returns its name in files.
            pub fn name(self) -> &'static str {
                match self { $(TextRole::$role => $name),+ }
            }

            /// Returns what it is, as a sentence.
            pub fn is(self) -> &'static str {
                match self { $(TextRole::$role => said::$is),+ }
            }
        }
    };
}

roles! {
    /// Plain text.
    Text "text" TEXT;
    /// Less important.
    Dim "dim" DIM;
    /// A heading.
    Heading "heading" HEADING;
    /// The open cell or the marked line.
    Present "present" PRESENT;
    /// An answer.
    Answer "answer" ANSWER;
    /// A key in the last line.
    Key "key" KEY;
    /// Nothing found.
    Fine "fine" FINE;
    /// Make it, with care.
    Watch "watch" WATCH;
    /// Ask before making.
    Call "call" CALL;
    /// Do not start.
    Hold "hold" HOLD;
    /// What a key was refused for, or what went wrong.
    Refusal "refusal" REFUSAL;
}

/// How many roles there are.
const ROLES: usize = TextRole::ALL.len();

/// The colours that can be chosen, by their names in files. White, black and greys may be the ground itself.
const HUES: [(&str, Color); 12] = [
    ("red", Color::Red),
    ("green", Color::Green),
    ("yellow", Color::Yellow),
    ("blue", Color::Blue),
    ("magenta", Color::Magenta),
    ("cyan", Color::Cyan),
    ("bright-red", Color::LightRed),
    ("bright-green", Color::LightGreen),
    ("bright-yellow", Color::LightYellow),
    ("bright-blue", Color::LightBlue),
    ("bright-magenta", Color::LightMagenta),
    ("bright-cyan", Color::LightCyan),
];

/// A colour that can be chosen, or none.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Hue(Option<Color>);

impl Hue {
    /// Finds a colour by its name in files; "none" is the terminal's own.
    pub fn named(name: &str) -> Option<Hue> {
        if name == "none" {
            return Some(Hue(None));
        }
        let known = HUES.iter().find(|(own, _)| *own == name);
        known.map(|(_, colour)| Hue(Some(*colour)))
    }

    /// Returns the names of all colours that can be chosen.
    pub fn names() -> impl Iterator<Item = &'static str> {
        HUES.iter().map(|(name, _)| *name).chain(["none"])
    }
}

/// What a person changes about a role; what is none stays as the theme has it.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub struct Patch {
    /// Another colour.
    pub colour: Option<Hue>,
    /// Heavy or not.
    pub bold: Option<bool>,
    /// Faint or not.
    pub dim: Option<bool>,
    /// Underlined or not.
    pub underlined: Option<bool>,
    /// Ground and text exchanged or not.
    pub reversed: Option<bool>,
}

/// What pictures and special signs are made of.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default, ValueEnum, Deserialize)]
pub enum Signs {
    /// Nothing but ASCII.
    #[value(help = values::SIGNS_ASCII)]
    Ascii,
    /// Pictures in braille points, signs as they are written.
    #[default]
    #[value(help = values::SIGNS_BRAILLE)]
    Braille,
}

impl Signs {
    /// Returns the name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            Signs::Ascii => "ascii",
            Signs::Braille => "braille",
        }
    }
}

/// A theme by its name.
#[derive(Clone, Copy, PartialEq, Eq, Debug, ValueEnum, Deserialize)]
pub enum ThemeName {
    /// Dark or light, whichever the background of the terminal is.
    #[value(help = values::THEME_AUTO)]
    Auto,
    /// Colours on a dark background.
    #[value(help = values::THEME_DARK)]
    Dark,
    /// Colours on a light background.
    #[value(help = values::THEME_LIGHT)]
    Light,
    /// No colour.
    #[value(help = values::THEME_PLAIN)]
    Plain,
    /// The strongest contrast.
    #[value(help = values::THEME_CONTRAST)]
    Contrast,
}

impl ThemeName {
    /// Returns every name, in the order of the command line's help.
    pub fn all() -> &'static [ThemeName] {
        ThemeName::value_variants()
    }

    /// Returns the name on the command line.
    pub fn name(self) -> &'static str {
        match self {
            ThemeName::Auto => "auto",
            ThemeName::Dark => "dark",
            ThemeName::Light => "light",
            ThemeName::Plain => "plain",
            ThemeName::Contrast => "contrast",
        }
    }

    /// Returns the theme of this name, or `None` for [`ThemeName::Auto`], which has none of its own.
    pub fn theme(self) -> Option<Theme> {
        match self {
            ThemeName::Auto => None,
            ThemeName::Dark => Some(Theme::dark()),
            ThemeName::Light => Some(Theme::light()),
            ThemeName::Plain => Some(Theme::plain()),
            ThemeName::Contrast => Some(Theme::contrast()),
        }
    }
}

/// How each role looks, and which signs are used.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Theme {
    styles: [Style; ROLES],
    signs: Signs,
}

impl Default for Theme {
    fn default() -> Theme {
        Theme::dark()
    }
}

impl Theme {
    /// The named colours on a dark ground.
    pub fn dark() -> Theme {
        Theme::of(|role| match role {
            TextRole::Fine => Some(Color::Green),
            TextRole::Watch => Some(Color::Yellow),
            TextRole::Call => Some(Color::Magenta),
            TextRole::Hold | TextRole::Refusal => Some(Color::Red),
            _ => None,
        })
    }

    /// The named colours that are dark enough for a light ground: no green, yellow or cyan.
    pub fn light() -> Theme {
        Theme::of(|role| match role {
            TextRole::Fine => Some(Color::Blue),
            TextRole::Watch | TextRole::Call => Some(Color::Magenta),
            TextRole::Hold | TextRole::Refusal => Some(Color::Red),
            _ => None,
        })
    }

    /// No colour at all: bold, faint, reversed, underlined.
    pub fn plain() -> Theme {
        Theme::of(|_| None)
    }

    /// The terminal's own text on its own ground, which is the strongest contrast there is, told apart by weight; colour
    /// only where the weight is greatest, and nothing faint.
    ///
    /// It has little colour, since nobody knows which colours come near the ground.
    pub fn contrast() -> Theme {
        let mut theme = Theme::of(|role| match role {
            TextRole::Call => Some(Color::Magenta),
            TextRole::Hold => Some(Color::Red),
            _ => None,
        });
        for (role, modifiers) in [
            (TextRole::Dim, Modifier::empty()),
            (TextRole::Answer, Modifier::BOLD),
            (TextRole::Present, Modifier::REVERSED | Modifier::BOLD),
            (TextRole::Refusal, Modifier::BOLD | Modifier::UNDERLINED),
        ] {
            theme.style_mut(role).add_modifier = modifiers;
        }
        theme
    }

    fn of(colour: impl Fn(TextRole) -> Option<Color>) -> Theme {
        let mut styles = [Style::new(); ROLES];
        for (style, role) in styles.iter_mut().zip(TextRole::ALL) {
            style.fg = colour(*role);
            style.add_modifier = weight(*role);
        }
        Theme {
            styles,
            signs: Signs::Braille,
        }
    }

    fn style_mut(&mut self, role: TextRole) -> &mut Style {
        // A role is its own index: both are made from the same lines.
        &mut self.styles[role as usize]
    }

    /// Returns how a role looks.
    pub fn style(self, role: TextRole) -> Style {
        self.styles[role as usize]
    }

    /// Returns how a level looks.
    pub fn level(self, level: Level) -> Style {
        self.style(role_of(level))
    }

    /// Returns how a level looks over a whole line, where a reversed one would weigh too much: it is underlined.
    pub fn level_line(self, level: Level) -> Style {
        over_a_line(self.level(level))
    }

    /// Returns the signs that are used.
    pub fn signs(self) -> Signs {
        self.signs
    }

    /// Returns the theme with other signs.
    #[must_use]
    pub fn with_signs(self, signs: Signs) -> Theme {
        Theme { signs, ..self }
    }

    /// Returns the theme with a role changed.
    #[must_use]
    pub fn patched(mut self, role: TextRole, patch: &Patch) -> Theme {
        let style = self.style_mut(role);
        if let Some(Hue(colour)) = patch.colour {
            style.fg = colour;
        }
        for (wanted, modifier) in [
            (patch.bold, Modifier::BOLD),
            (patch.dim, Modifier::DIM),
            (patch.underlined, Modifier::UNDERLINED),
            (patch.reversed, Modifier::REVERSED),
        ] {
            if let Some(wanted) = wanted {
                style.add_modifier.set(modifier, wanted);
            }
        }
        self
    }

    /// Returns the theme with every colour taken out.
    #[must_use]
    pub fn without_colour(mut self) -> Theme {
        for style in &mut self.styles {
            style.fg = None;
        }
        self
    }

    /// Returns whether any role has a colour.
    pub fn has_colour(self) -> bool {
        self.styles.iter().any(|style| style.fg.is_some())
    }

    /// Returns two levels that look alike where no colour is shown.
    pub fn levels_alike(self) -> Option<(TextRole, TextRole)> {
        let levels = [
            TextRole::Fine,
            TextRole::Watch,
            TextRole::Call,
            TextRole::Hold,
        ];
        // By itself, and over a whole line.
        let weight = |role: TextRole| {
            let style = self.style(role);
            (style.add_modifier, over_a_line(style).add_modifier)
        };
        levels.iter().enumerate().find_map(|(index, role)| {
            let before = levels.iter().take(index);
            let (own, line) = weight(*role);
            let alike = before.copied().find(|other| {
                let (other, other_line) = weight(*other);
                other == own || other_line == line
            });
            alike.map(|other| (other, *role))
        })
    }

    /// Returns whether the open cell and the marked line differ from other text without colours.
    pub fn marks(self) -> bool {
        let weight = |role: TextRole| self.style(role).add_modifier;
        [TextRole::Text, TextRole::Answer]
            .into_iter()
            .all(|role| weight(role) != weight(TextRole::Present))
    }
}

/// A look over a whole line, where a reversed one would weigh too much: it is underlined.
fn over_a_line(mut style: Style) -> Style {
    if style.add_modifier.contains(Modifier::REVERSED) {
        style.add_modifier.remove(Modifier::REVERSED);
        style.add_modifier.insert(Modifier::UNDERLINED);
    }
    style
}

/// The role of a level.
fn role_of(level: Level) -> TextRole {
    match level {
        Level::Fine => TextRole::Fine,
        Level::Watch => TextRole::Watch,
        Level::Call => TextRole::Call,
        Level::Hold => TextRole::Hold,
    }
}

/// What a role has beside its colour.
fn weight(role: TextRole) -> Modifier {
    match role {
        TextRole::Text | TextRole::Answer | TextRole::Fine => Modifier::empty(),
        TextRole::Dim => Modifier::DIM,
        TextRole::Heading | TextRole::Key | TextRole::Call => Modifier::BOLD,
        TextRole::Present => Modifier::REVERSED,
        TextRole::Watch | TextRole::Refusal => Modifier::UNDERLINED,
        TextRole::Hold => Modifier::BOLD.union(Modifier::REVERSED),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> impl Iterator<Item = (&'static str, Theme)> {
        ThemeName::all()
            .iter()
            .filter_map(|own| Some((own.name(), own.theme()?)))
    }

    #[test]
    fn every_name_is_the_one_that_the_command_line_takes_and_all_but_auto_have_a_theme() {
        for own in ThemeName::all() {
            let value = own.to_possible_value().expect("a value");
            assert_eq!(value.get_name(), own.name());
            assert_eq!(own.theme().is_none(), *own == ThemeName::Auto, "{own:?}");
            for other in ThemeName::all().iter().filter(|other| *other != own) {
                assert_ne!(own.theme(), other.theme(), "{own:?} {other:?}");
            }
        }
        for own in Signs::value_variants() {
            let value = own.to_possible_value().expect("a value");
            assert_eq!(value.get_name(), own.name());
        }
    }

    #[test]
    fn levels_differ_without_colour_and_the_open_cell_shows_in_every_theme() {
        for (name, theme) in all() {
            assert_eq!(theme.levels_alike(), None, "{name}");
            assert!(theme.marks(), "{name}");
            let levels = [Level::Fine, Level::Watch, Level::Call, Level::Hold];
            let mut lines = levels.map(|level| theme.level_line(level).add_modifier.bits());
            assert!(lines.iter().all(|own| own & Modifier::REVERSED.bits() == 0));
            lines.sort_unstable();
            assert!(lines.windows(2).all(|two| two[0] != two[1]), "{name}");
        }
        let alike = Patch {
            underlined: Some(false),
            ..Patch::default()
        };
        let theme = Theme::dark().patched(TextRole::Watch, &alike);
        assert_eq!(
            theme.levels_alike(),
            Some((TextRole::Fine, TextRole::Watch))
        );
        let hidden = Patch {
            reversed: Some(false),
            ..Patch::default()
        };
        assert!(!Theme::dark().patched(TextRole::Present, &hidden).marks());
    }

    #[test]
    fn nothing_may_be_the_ground_itself_and_none_is_painted() {
        let grounds = [Color::White, Color::Black, Color::Gray, Color::DarkGray];
        for (name, theme) in all() {
            for role in TextRole::ALL {
                let style = theme.style(*role);
                assert_eq!(style.bg, None, "{name} {role:?}");
                let colour = style.fg;
                assert!(
                    colour.is_none_or(|own| !grounds.contains(&own)),
                    "{name} {role:?}"
                );
                let named = HUES.iter().any(|(_, own)| Some(*own) == colour);
                assert!(colour.is_none() || named, "{name} {role:?}");
            }
        }
        assert!(HUES.iter().all(|(_, colour)| !grounds.contains(colour)));
    }

    #[test]
    fn light_has_nothing_pale_and_contrast_nothing_faint() {
        let pale = [Color::Yellow, Color::Green, Color::Cyan];
        for role in TextRole::ALL {
            let own = Theme::light().style(*role).fg;
            assert!(own.is_none_or(|own| !pale.contains(&own)), "{role:?}");
            let weight = Theme::contrast().style(*role).add_modifier;
            assert!(!weight.contains(Modifier::DIM), "{role:?}");
        }
        assert!(!Theme::plain().has_colour());
        assert!(Theme::dark().has_colour());
        assert_eq!(Theme::dark().without_colour(), Theme::plain());
    }

    #[test]
    fn a_patch_changes_its_role_and_no_other() {
        let patch = Patch {
            colour: Hue::named("blue"),
            bold: Some(true),
            underlined: Some(false),
            ..Patch::default()
        };
        let theme = Theme::dark().patched(TextRole::Watch, &patch);
        let wanted = Style::new().fg(Color::Blue).add_modifier(Modifier::BOLD);
        assert_eq!(theme.style(TextRole::Watch), wanted);
        for role in TextRole::ALL
            .iter()
            .filter(|role| **role != TextRole::Watch)
        {
            assert_eq!(theme.style(*role), Theme::dark().style(*role));
        }
        let none = Patch {
            colour: Hue::named("none"),
            ..Patch::default()
        };
        assert_eq!(
            theme
                .patched(TextRole::Watch, &none)
                .style(TextRole::Watch)
                .fg,
            None
        );
        for name in ["white", "black", "gray", "#ff0000", "Blue", ""] {
            assert_eq!(Hue::named(name), None, "{name}");
        }
        assert!(Hue::names().all(|name| Hue::named(name).is_some()));
    }
}
