//! Which theme, signs and notation are active, and why.

use std::ffi::OsString;

use crate::cli::{Cli, Colour};
use crate::phrase::program::settings as says;
use crate::screen::{Signs, Theme, ThemeName};
use crate::settings::Look;
use crate::tooth::Notation;

/// The theme, signs and notation that are active, each with its reason.
pub(super) struct Chosen {
    pub(super) theme: Theme,
    pub(super) name: ThemeName,
    pub(super) theme_since: String,
    pub(super) signs_since: String,
    pub(super) notation: Notation,
    pub(super) notation_since: &'static str,
}

/// Returns the active notation and why it was chosen, or `None` if it was not.
///
/// `named` is the notation of `look.ron`.
pub(super) fn notation(cli: &Cli, named: Option<Notation>) -> (Notation, Option<&'static str>) {
    match (cli.notation, named) {
        (Some(notation), _) => (notation, Some(says::NOTATION_NAMED)),
        (None, Some(notation)) => (notation, Some(says::IN_LOOK)),
        (None, None) => (Notation::default(), None),
    }
}

/// Returns a variable of the environment, or `None` if it is not set or empty.
pub(super) type Variables<'a> = &'a dyn Fn(&str) -> Option<OsString>;

/// Returns a variable of this process, or `None` if it is not set or empty.
pub(super) fn variable(name: &str) -> Option<OsString> {
    std::env::var_os(name).filter(|value| !value.is_empty())
}

/// Returns whether this terminal only prints lines.
pub(super) fn is_dumb(variables: Variables<'_>) -> bool {
    variables("TERM").is_some_and(|term| term == "dumb")
}

/// Returns why there is no colour, or `None` if there may be.
pub(super) fn no_colour(cli: &Cli, variables: Variables<'_>) -> Option<&'static str> {
    match cli.color {
        Colour::Always => None,
        Colour::Never => Some(says::COLOR_NEVER),
        Colour::Auto if variables("NO_COLOR").is_some() => Some(says::NO_COLOR),
        Colour::Auto if is_dumb(variables) => Some(says::DUMB),
        Colour::Auto => None,
    }
}

/// Chooses theme, signs and notation: by the command line, then by the file, then by the environment.
pub(super) fn chosen(cli: &Cli, look: &Look, variables: Variables<'_>) -> Chosen {
    let (wanted, by) = match (cli.theme, look.theme) {
        (Some(theme), _) => (theme, says::THEME_NAMED),
        (None, Some(theme)) => (theme, says::IN_LOOK),
        (None, None) => (ThemeName::Auto, ""),
    };
    let (name, theme_since) = match (no_colour(cli, variables), wanted) {
        (Some(why), _) => (ThemeName::Plain, why.to_owned()),
        (None, ThemeName::Auto) => background(variables),
        (None, named) => (named, by.to_owned()),
    };
    let theme = look.on(name.theme().unwrap_or_default());
    let theme = match name {
        // Weights of one's own stay, colours do not.
        ThemeName::Plain => theme.without_colour(),
        _ => theme,
    };
    let (signs, signs_since) = match (cli.signs, look.signs) {
        (Some(signs), _) => (signs, says::SIGNS_NAMED.to_owned()),
        (None, Some(signs)) => (signs, says::IN_LOOK.to_owned()),
        (None, None) => encoding(variables),
    };
    let (notation, notation_since) = notation(cli, look.notation);
    Chosen {
        notation,
        notation_since: notation_since.unwrap_or(says::NOTATION_DEFAULT),
        theme: theme.with_signs(signs),
        name,
        theme_since,
        signs_since,
    }
}

/// Returns the theme for the background of the terminal, as far as the terminal says what it is.
fn background(variables: Variables<'_>) -> (ThemeName, String) {
    const NAME: &str = "COLORFGBG";
    let value = variables(NAME).and_then(|value| value.into_string().ok());
    match value {
        Some(value) => {
            // Text and background by their numbers in the palette, sometimes with a third part between them.
            let name = match value.rsplit(';').next() {
                Some("7" | "15") => ThemeName::Light,
                _ => ThemeName::Dark,
            };
            (name, says::variable(NAME, &value))
        }
        None => (ThemeName::Dark, says::NO_BACKGROUND.to_owned()),
    }
}

/// Returns the signs for the encoding of the terminal: signs beyond ASCII need UTF-8.
fn encoding(variables: Variables<'_>) -> (Signs, String) {
    let locale = ["LC_ALL", "LC_CTYPE", "LANG"]
        .into_iter()
        .find_map(|name| Some((name, variables(name)?)));
    match locale {
        Some((name, value)) => {
            let value = value.to_string_lossy().into_owned();
            let plain = value.to_lowercase().replace('-', "");
            let signs = if plain.contains("utf8") {
                Signs::Braille
            } else {
                Signs::Ascii
            };
            (signs, says::variable(name, &value))
        }
        // On Windows, terminals take UTF-8 and no variable says so.
        None if cfg!(windows) => (Signs::Braille, says::UTF8_HERE.to_owned()),
        None => (Signs::Ascii, says::NO_LOCALE.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::{Hue, Patch, TextRole};
    use clap::Parser as _;

    fn choose(args: &[&str], look: &Look, set: &[(&str, &str)]) -> Chosen {
        let cli = Cli::parse_from([&["casepan"], args].concat());
        let of = |name: &str| {
            let value = set.iter().find(|(own, _)| *own == name);
            value.map(|(_, value)| OsString::from(value))
        };
        chosen(&cli, look, &of)
    }

    #[test]
    fn the_ground_is_told_by_colorfgbg() {
        for (value, wanted) in [
            ("0;15", ThemeName::Light),
            ("0;7", ThemeName::Light),
            ("0;default;15", ThemeName::Light),
            ("15;0", ThemeName::Dark),
            ("7;8", ThemeName::Dark),
            ("15;default", ThemeName::Dark),
            ("odd", ThemeName::Dark),
        ] {
            let told = choose(&[], &Look::default(), &[("COLORFGBG", value)]);
            assert_eq!(told.name, wanted, "{value}");
            assert!(told.theme_since.contains(value));
        }
        assert_eq!(choose(&[], &Look::default(), &[]).name, ThemeName::Dark);
    }

    #[test]
    fn the_command_line_goes_before_the_file_and_that_before_the_environment() {
        let look = Look {
            theme: Some(ThemeName::Contrast),
            signs: Some(Signs::Ascii),
            notation: Some(Notation::Palmer),
            roles: Vec::new(),
        };
        let set = [("COLORFGBG", "0;15"), ("LANG", "de_DE.UTF-8")];
        let told = choose(&[], &look, &set);
        assert_eq!(
            (told.name, told.theme.signs()),
            (ThemeName::Contrast, Signs::Ascii)
        );
        assert_eq!(told.notation, Notation::Palmer);
        assert!(told.notation_since.contains("look.ron"));
        let told = choose(&["--notation", "universal"], &look, &set);
        assert_eq!(told.notation, Notation::Universal);
        assert!(told.notation_since.contains("--notation"));
        let told = choose(&["--theme", "auto", "--signs", "braille"], &look, &set);
        assert_eq!(
            (told.name, told.theme.signs()),
            (ThemeName::Light, Signs::Braille)
        );
        assert_eq!(told.theme, Theme::light());
    }

    #[test]
    fn no_colour_wins_over_every_theme_but_not_over_always() {
        let patch = Patch {
            colour: Hue::named("blue"),
            dim: Some(true),
            ..Patch::default()
        };
        let look = Look {
            theme: Some(ThemeName::Light),
            signs: Some(Signs::Braille),
            notation: None,
            roles: vec![(TextRole::Fine, patch)],
        };
        for (args, set) in [
            (&[][..], &[("NO_COLOR", "1")][..]),
            (&["--color", "never"], &[]),
            (&["--theme", "dark"], &[("TERM", "dumb")]),
        ] {
            let told = choose(args, &look, set);
            assert_eq!(told.name, ThemeName::Plain, "{args:?}");
            assert!(!told.theme.has_colour());
            assert_ne!(told.theme, Theme::plain(), "what is faint stays faint");
        }
        let told = choose(&["--color", "always"], &look, &[("NO_COLOR", "1")]);
        assert_eq!(told.name, ThemeName::Light);
        assert_eq!(told.theme, Theme::light().patched(TextRole::Fine, &patch));
    }

    #[test]
    fn signs_follow_the_locale() {
        for (set, wanted) in [
            (&[("LANG", "en_GB.UTF-8")][..], Signs::Braille),
            (&[("LANG", "C.utf8")], Signs::Braille),
            (&[("LANG", "C")], Signs::Ascii),
            (
                &[("LC_ALL", "POSIX"), ("LANG", "de_DE.UTF-8")],
                Signs::Ascii,
            ),
            (
                &[("LC_CTYPE", "de_DE.UTF-8"), ("LANG", "C")],
                Signs::Braille,
            ),
        ] {
            let told = choose(&[], &Look::default(), set);
            assert_eq!(told.theme.signs(), wanted, "{set:?}");
        }
    }
    #[test]
    fn every_theme_that_can_be_named_is_the_one_that_is_shown() {
        for name in ThemeName::all() {
            let told = choose(&["--theme", name.name()], &Look::default(), &[]);
            let wanted = name.theme().unwrap_or(Theme::dark());
            assert_eq!(told.theme, wanted.with_signs(Signs::Ascii), "{name:?}");
            let shown = told.name == *name;
            assert!(shown || *name == ThemeName::Auto, "{name:?}");
        }
    }
}
