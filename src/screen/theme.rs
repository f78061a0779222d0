//! Roles, not colours: the only file that names a colour.
//!
//! Only the named colours of the terminal's own palette are used, never white, black or grey, which are the ground of
//! one terminal or another, and no ground is painted but by reversing. Each level differs from the others by weight,
//! underline or reversal too, so that nothing hangs on a colour.

use ratatui::style::{Color, Modifier, Style};

use crate::flow::Level;

macro_rules! roles {
    ($($role:ident $name:literal $is:literal;)+) => {
        /// What a piece of text is.
        #[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
        pub enum Role { $(#[doc = $is] $role),+ }

        impl Role {
            /// All roles.
            pub const ALL: &[Role] = &[$(Role::$role),+];

            /// Returns its name in files.
            pub fn name(self) -> &'static str {
                match self { $(Role::$role => $name),+ }
            }

            /// Says what it is.
            pub fn is(self) -> &'static str {
                match self { $(Role::$role => $is),+ }
            }
        }
    };
}

roles! {
    Text "text" "Plain text.";
    Dim "dim" "Less important.";
    Heading "heading" "A heading.";
    Present "present" "The open cell or the marked line.";
    Answer "answer" "An answer.";
    Key "key" "A key in the last line.";
    Fine "fine" "Nothing found.";
    Watch "watch" "Make it, with care.";
    Call "call" "Ask before making.";
    Hold "hold" "Do not start.";
    Refusal "refusal" "What a key was refused for, or what went wrong.";
}

/// How many roles there are.
const ROLES: usize = Role::ALL.len();

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
#[derive(Clone, Copy, PartialEq, Eq, Debug, Default)]
pub enum Signs {
    /// Pictures in braille points, signs as they are written.
    #[default]
    Braille,
    /// Nothing but ASCII.
    Ascii,
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
            Role::Fine => Some(Color::Green),
            Role::Watch => Some(Color::Yellow),
            Role::Call => Some(Color::Magenta),
            Role::Hold | Role::Refusal => Some(Color::Red),
            _ => None,
        })
    }

    /// The named colours that are dark enough for a light ground: no green, yellow or cyan.
    pub fn light() -> Theme {
        Theme::of(|role| match role {
            Role::Fine => Some(Color::Blue),
            Role::Watch | Role::Call => Some(Color::Magenta),
            Role::Hold | Role::Refusal => Some(Color::Red),
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
            Role::Call => Some(Color::Magenta),
            Role::Hold => Some(Color::Red),
            _ => None,
        });
        for (role, modifiers) in [
            (Role::Dim, Modifier::empty()),
            (Role::Answer, Modifier::BOLD),
            (Role::Present, Modifier::REVERSED | Modifier::BOLD),
            (Role::Refusal, Modifier::BOLD | Modifier::UNDERLINED),
        ] {
            theme.style_mut(role).add_modifier = modifiers;
        }
        theme
    }

    fn of(colour: impl Fn(Role) -> Option<Color>) -> Theme {
        let mut styles = [Style::new(); ROLES];
        for (style, role) in styles.iter_mut().zip(Role::ALL) {
            style.fg = colour(*role);
            style.add_modifier = weight(*role);
        }
        Theme {
            styles,
            signs: Signs::Braille,
        }
    }

    fn style_mut(&mut self, role: Role) -> &mut Style {
        // A role is its own index: both are made from the same lines.
        &mut self.styles[role as usize]
    }

    /// Returns how a role looks.
    pub fn style(self, role: Role) -> Style {
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
    pub fn patched(mut self, role: Role, patch: &Patch) -> Theme {
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

    /// Says whether any role has a colour.
    pub fn has_colour(self) -> bool {
        self.styles.iter().any(|style| style.fg.is_some())
    }

    /// Returns two levels that look alike where no colour is shown.
    pub fn levels_alike(self) -> Option<(Role, Role)> {
        let levels = [Role::Fine, Role::Watch, Role::Call, Role::Hold];
        // By itself, and over a whole line.
        let weight = |role: Role| {
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

    /// Says whether the open cell or the marked line can be told from other text where no colour is shown.
    pub fn marks(self) -> bool {
        let weight = |role: Role| self.style(role).add_modifier;
        [Role::Text, Role::Answer]
            .into_iter()
            .all(|role| weight(role) != weight(Role::Present))
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
fn role_of(level: Level) -> Role {
    match level {
        Level::Fine => Role::Fine,
        Level::Watch => Role::Watch,
        Level::Call => Role::Call,
        Level::Hold => Role::Hold,
    }
}

/// What a role has beside its colour.
fn weight(role: Role) -> Modifier {
    match role {
        Role::Text | Role::Answer | Role::Fine => Modifier::empty(),
        Role::Dim => Modifier::DIM,
        Role::Heading | Role::Key | Role::Call => Modifier::BOLD,
        Role::Present => Modifier::REVERSED,
        Role::Watch | Role::Refusal => Modifier::UNDERLINED,
        Role::Hold => Modifier::BOLD.union(Modifier::REVERSED),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> [(&'static str, Theme); 4] {
        [
            ("dark", Theme::dark()),
            ("light", Theme::light()),
            ("plain", Theme::plain()),
            ("contrast", Theme::contrast()),
        ]
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
        let theme = Theme::dark().patched(Role::Watch, &alike);
        assert_eq!(theme.levels_alike(), Some((Role::Fine, Role::Watch)));
        let hidden = Patch {
            reversed: Some(false),
            ..Patch::default()
        };
        assert!(!Theme::dark().patched(Role::Present, &hidden).marks());
    }

    #[test]
    fn nothing_may_be_the_ground_itself_and_none_is_painted() {
        let grounds = [Color::White, Color::Black, Color::Gray, Color::DarkGray];
        for (name, theme) in all() {
            for role in Role::ALL {
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
        for role in Role::ALL {
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
        let theme = Theme::dark().patched(Role::Watch, &patch);
        let wanted = Style::new().fg(Color::Blue).add_modifier(Modifier::BOLD);
        assert_eq!(theme.style(Role::Watch), wanted);
        for role in Role::ALL.iter().filter(|role| **role != Role::Watch) {
            assert_eq!(theme.style(*role), Theme::dark().style(*role));
        }
        let none = Patch {
            colour: Hue::named("none"),
            ..Patch::default()
        };
        assert_eq!(
            theme.patched(Role::Watch, &none).style(Role::Watch).fg,
            None
        );
        for name in ["white", "black", "gray", "#ff0000", "Blue", ""] {
            assert_eq!(Hue::named(name), None, "{name}");
        }
        assert!(Hue::names().all(|name| Hue::named(name).is_some()));
    }
}
