//! Roles, not colours: the only file that names a colour.
//!
//! Text is never coloured: what has a hue is painted, ground and letters together, so that it can be read on any ground of
//! any palette. Only levels, states, what went wrong and the place where one is are painted. Each level and state has a
//! sign and a word of its own beside, so that nothing hangs on a colour.

use clap::ValueEnum;
use ratatui::style::{Color, Modifier, Style};
use serde::Deserialize;

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
    /// Nothing is found yet, and something still could be.
    Open "open" OPEN;
    /// Nothing found.
    Fine "fine" FINE;
    /// Make it, with care.
    Watch "watch" WATCH;
    /// Ask before making.
    Call "call" CALL;
    /// Do not start.
    Hold "hold" HOLD;
    /// Something that was agreed has still to come in.
    Waiting "waiting" WAITING;
    /// No rule of the flow is about this work.
    NotCovered "not-covered" NOT_COVERED;
    /// The sign before what a key was refused for, or what went wrong.
    Refusal "refusal" REFUSAL;
}

/// How many roles there are.
const ROLES: usize = TextRole::ALL.len();

/// The colours that can be painted, by their names in files. White, black and greys may be the ground itself.
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
    /// Another paint, with letters that can be read on it.
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
    /// Painted for a dark ground.
    pub fn dark() -> Theme {
        Theme::painted(Color::LightCyan)
    }

    /// Painted for a light ground, on which a bright paint is lost.
    pub fn light() -> Theme {
        Theme::painted(Color::Cyan)
    }

    /// No colour at all: bold, faint, reversed.
    pub fn plain() -> Theme {
        Theme::of(|_| None)
    }

    /// The terminal's own text on its own ground or the other way round, which is the strongest contrast there is, and
    /// nothing faint.
    pub fn contrast() -> Theme {
        let mut theme = Theme::plain();
        for role in [TextRole::Dim, TextRole::NotCovered] {
            theme.style_mut(role).add_modifier = Modifier::empty();
        }
        for role in [TextRole::Answer, TextRole::Waiting, TextRole::Present] {
            theme.style_mut(role).add_modifier.insert(Modifier::BOLD);
        }
        theme
    }

    fn painted(here: Color) -> Theme {
        Theme::of(|role| match role {
            TextRole::Present => Some(here),
            TextRole::Fine => Some(Color::Green),
            TextRole::Watch => Some(Color::Yellow),
            TextRole::Call => Some(Color::Magenta),
            TextRole::Hold | TextRole::Refusal => Some(Color::Red),
            TextRole::Waiting => Some(Color::Blue),
            _ => None,
        })
    }

    fn of(colour: impl Fn(TextRole) -> Option<Color>) -> Theme {
        Theme::styled(|role| match colour(role) {
            Some(hue) => paint(hue),
            None => Style::new().add_modifier(weight(role)),
        })
    }

    /// A theme from the style of each role.
    pub fn styled(own: impl Fn(TextRole) -> Style) -> Theme {
        let mut styles = [Style::new(); ROLES];
        for (style, role) in styles.iter_mut().zip(TextRole::ALL) {
            *style = own(*role);
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
        match patch.colour {
            Some(Hue(Some(hue))) => *style = paint(hue),
            Some(Hue(None)) => *style = Style::new().add_modifier(weight(role)),
            None => {}
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
        for (style, role) in self.styles.iter_mut().zip(TextRole::ALL) {
            // What somebody added to the paint stays.
            if let Some(hue) = style.bg {
                let added = style.add_modifier.difference(paint(hue).add_modifier);
                *style = Style::new().add_modifier(weight(*role).union(added));
            }
        }
        self
    }

    /// Returns whether any role has a colour.
    pub fn has_colour(self) -> bool {
        self.styles.iter().any(|style| style.bg.is_some())
    }

    /// Returns whether the open cell and the marked line differ from other text without colours.
    pub fn marks(self) -> bool {
        let plain = self.without_colour();
        let weight = |theme: Theme, role: TextRole| theme.style(role).add_modifier;
        let differs = |theme: Theme| {
            [TextRole::Text, TextRole::Answer]
                .into_iter()
                .all(|role| weight(theme, role) != weight(theme, TextRole::Present))
        };
        differs(plain) && (self.style(TextRole::Present).bg.is_some() || differs(self))
    }
}

/// The hues on which black is read better than bright white, in the palettes that terminals come with.
const UNDER_BLACK: [Color; 9] = [
    Color::Green,
    Color::Yellow,
    Color::Cyan,
    Color::LightRed,
    Color::LightGreen,
    Color::LightYellow,
    Color::LightBlue,
    Color::LightMagenta,
    Color::LightCyan,
];

/// A ground with its letters. Black letters are never bold: where bold means bright they would turn grey.
fn paint(hue: Color) -> Style {
    if UNDER_BLACK.contains(&hue) {
        return Style::new().fg(Color::Black).bg(hue);
    }
    let bold = Modifier::BOLD;
    Style::new().fg(Color::White).bg(hue).add_modifier(bold)
}

/// How a role looks where it is not painted.
fn weight(role: TextRole) -> Modifier {
    match role {
        TextRole::Text | TextRole::Answer | TextRole::Open | TextRole::Waiting => Modifier::empty(),
        TextRole::Dim | TextRole::NotCovered => Modifier::DIM,
        TextRole::Heading | TextRole::Key | TextRole::Fine => Modifier::BOLD,
        TextRole::Present | TextRole::Watch => Modifier::REVERSED,
        TextRole::Call | TextRole::Hold | TextRole::Refusal => {
            Modifier::BOLD.union(Modifier::REVERSED)
        }
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
    fn the_open_cell_shows_in_every_theme() {
        for (name, theme) in all() {
            assert!(theme.marks(), "{name}");
        }
        let hidden = Patch {
            reversed: Some(false),
            ..Patch::default()
        };
        assert!(!Theme::plain().patched(TextRole::Present, &hidden).marks());
    }

    #[test]
    fn text_has_no_colour_and_a_ground_is_painted_with_its_letters() {
        let text = [
            TextRole::Text,
            TextRole::Dim,
            TextRole::Heading,
            TextRole::Answer,
            TextRole::Key,
            TextRole::Open,
            TextRole::NotCovered,
        ];
        for (name, theme) in all() {
            for role in TextRole::ALL {
                let style = theme.style(*role);
                assert_eq!(style.fg.is_some(), style.bg.is_some(), "{name} {role:?}");
                if text.contains(role) {
                    assert_eq!(style.bg, None, "{name} {role:?}");
                }
                let black = style.fg == Some(Color::Black);
                let weight = style.add_modifier;
                assert!(
                    !(black && weight.contains(Modifier::BOLD)),
                    "{name} {role:?}"
                );
                assert!(!weight.contains(Modifier::UNDERLINED), "{name} {role:?}");
                let dim = [TextRole::Dim, TextRole::NotCovered].contains(role);
                assert!(dim || !weight.contains(Modifier::DIM), "{name} {role:?}");
            }
        }
        assert!(!Theme::plain().has_colour() && !Theme::contrast().has_colour());
        assert!(Theme::dark().has_colour());
        assert_eq!(Theme::dark().without_colour(), Theme::plain());
    }

    /// Sixteen colours as a terminal comes with them, in their usual order. All are from memory; the standard ones are in
    /// the documents of their terminals.
    type Palette = (&'static str, [u32; 16]);
    const PALETTES: [Palette; 7] = [
        (
            "the text mode of early graphics cards",
            [
                0x000000, 0xaa0000, 0x00aa00, 0xaa5500, 0x0000aa, 0xaa00aa, 0x00aaaa, 0xaaaaaa,
                0x555555, 0xff5555, 0x55ff55, 0xffff55, 0x5555ff, 0xff55ff, 0x55ffff, 0xffffff,
            ],
        ),
        (
            "an old window system",
            [
                0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd, 0x00cdcd, 0xe5e5e5,
                0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00, 0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff,
            ],
        ),
        (
            "a console of 2017",
            [
                0x0c0c0c, 0xc50f1f, 0x13a10e, 0xc19c00, 0x0037da, 0x881798, 0x3a96dd, 0xcccccc,
                0x767676, 0xe74856, 0x16c60c, 0xf9f1a5, 0x3b78ff, 0xb4009e, 0x61d6d6, 0xf2f2f2,
            ],
        ),
        (
            "a desktop's palette",
            [
                0x2e3436, 0xcc0000, 0x4e9a06, 0xc4a000, 0x3465a4, 0x75507b, 0x06989a, 0xd3d7cf,
                0x555753, 0xef2929, 0x8ae234, 0xfce94f, 0x729fcf, 0xad7fa8, 0x34e2e2, 0xeeeeec,
            ],
        ),
        (
            "another desktop's palette",
            [
                0x000000, 0x990000, 0x00a600, 0x999900, 0x0000b2, 0xb200b2, 0x00a6b2, 0xbfbfbf,
                0x666666, 0xe50000, 0x00d900, 0xe5e500, 0x0000ff, 0xe500e5, 0x00e5e5, 0xe5e5e5,
            ],
        ),
        (
            "a palette of even lightness",
            [
                0x073642, 0xdc322f, 0x859900, 0xb58900, 0x268bd2, 0xd33682, 0x2aa198, 0xeee8d5,
                0x002b36, 0xcb4b16, 0x586e75, 0x657b83, 0x839496, 0x6c71c4, 0x93a1a1, 0xfdf6e3,
            ],
        ),
        (
            "a warm dark palette",
            [
                0x282828, 0xcc241d, 0x98971a, 0xd79921, 0x458588, 0xb16286, 0x689d6a, 0xa89984,
                0x928374, 0xfb4934, 0xb8bb26, 0xfabd2f, 0x83a598, 0xd3869b, 0x8ec07c, 0xebdbb2,
            ],
        ),
    ];

    /// How many of [`PALETTES`] are what terminals come with.
    const STANDARD: usize = 5;

    fn index(colour: Color) -> usize {
        let order = [
            Color::Black,
            Color::Red,
            Color::Green,
            Color::Yellow,
            Color::Blue,
            Color::Magenta,
            Color::Cyan,
            Color::Gray,
            Color::DarkGray,
            Color::LightRed,
            Color::LightGreen,
            Color::LightYellow,
            Color::LightBlue,
            Color::LightMagenta,
            Color::LightCyan,
            Color::White,
        ];
        order.iter().position(|own| *own == colour).unwrap()
    }

    /// Relative luminance after the Web Content Accessibility Guidelines 2.1.
    fn luminance(rgb: u32) -> f64 {
        let part = |shift: u32| {
            let own = f64::from((rgb >> shift) & 0xff) / 255.0;
            if own <= 0.03928 {
                own / 12.92
            } else {
                ((own + 0.055) / 1.055).powf(2.4)
            }
        };
        0.2126 * part(16) + 0.7152 * part(8) + 0.0722 * part(0)
    }

    fn contrast(one: u32, other: u32) -> f64 {
        let (a, b) = (luminance(one), luminance(other));
        (a.max(b) + 0.05) / (a.min(b) + 0.05)
    }

    #[test]
    fn what_is_painted_can_be_read_in_every_palette() {
        // The examples of the guidelines: black on white, and the grey that just passes 4.5 on white.
        assert!((contrast(0x000000, 0xffffff) - 21.0).abs() < 1e-9);
        assert!((contrast(0x767676, 0xffffff) - 4.54).abs() < 0.01);
        for (nth, (palette, colours)) in PALETTES.iter().enumerate() {
            let least = if nth < STANDARD { 3.5 } else { 3.0 };
            for theme in [Theme::dark(), Theme::light()] {
                for role in TextRole::ALL {
                    let style = theme.style(*role);
                    let (Some(fg), Some(bg)) = (style.fg, style.bg) else {
                        continue;
                    };
                    let own = contrast(colours[index(fg)], colours[index(bg)]);
                    assert!(own >= least, "{palette} {role:?}: {own:.2}");
                }
            }
        }
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
        let wanted = Style::new().fg(Color::White).bg(Color::Blue);
        let wanted = wanted.add_modifier(Modifier::BOLD);
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
                .bg,
            None
        );
        for name in ["white", "black", "gray", "#ff0000", "Blue", ""] {
            assert_eq!(Hue::named(name), None, "{name}");
        }
        assert!(Hue::names().all(|name| Hue::named(name).is_some()));
    }
}
