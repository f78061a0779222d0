//! Which theme and which signs the screen has, and why.

use std::ffi::OsString;

use crate::cli::{Cli, Colour, NotationName, SignsName, ThemeChoice};
use crate::screen::{Signs, Theme};
use crate::settings::{Look, ThemeName};
use crate::tooth::Notation;

/// The theme and the signs in force, each with its reason as the end of a sentence.
pub(super) struct Chosen {
    pub(super) theme: Theme,
    pub(super) name: &'static str,
    pub(super) theme_since: String,
    pub(super) signs_since: String,
    pub(super) notation: Notation,
    pub(super) notation_since: &'static str,
}

/// Returns the notation in force, and as the end of a sentence who has chosen it; none where nobody has.
pub(super) fn notation(cli: &Cli, named: Option<Notation>) -> (Notation, Option<&'static str>) {
    let asked = cli.notation.map(|name| match name {
        NotationName::Iso3950 => Notation::Iso3950,
        NotationName::Universal => Notation::Universal,
        NotationName::Palmer => Notation::Palmer,
    });
    match (asked, named) {
        (Some(notation), _) => (notation, Some("--notation or CASEPAN_NOTATION names it")),
        (None, Some(notation)) => (notation, Some("look.ron names it")),
        (None, None) => (Notation::default(), None),
    }
}

/// Reads variables of the environment; what is empty counts as not set.
pub(super) type Variables<'a> = &'a dyn Fn(&str) -> Option<OsString>;

/// Returns a variable of this process.
pub(super) fn variable(name: &str) -> Option<OsString> {
    std::env::var_os(name).filter(|value| !value.is_empty())
}

/// Says whether this terminal cannot do more than write lines.
pub(super) fn is_dumb(variables: Variables<'_>) -> bool {
    variables("TERM").is_some_and(|term| term == "dumb")
}

/// Says why there is no colour; none where there may be.
pub(super) fn no_colour(cli: &Cli, variables: Variables<'_>) -> Option<&'static str> {
    match cli.color {
        Colour::Always => None,
        Colour::Never => Some("--color never says so"),
        Colour::Auto if variables("NO_COLOR").is_some() => Some("NO_COLOR is set"),
        Colour::Auto if is_dumb(variables) => Some("TERM is dumb"),
        Colour::Auto => None,
    }
}

/// Chooses theme and signs: what was asked for, then the file, then what the environment tells.
pub(super) fn chosen(cli: &Cli, look: &Look, variables: Variables<'_>) -> Chosen {
    let asked = cli.theme.map(|theme| match theme {
        ThemeChoice::Auto => ThemeName::Auto,
        ThemeChoice::Dark => ThemeName::Dark,
        ThemeChoice::Light => ThemeName::Light,
        ThemeChoice::Plain => ThemeName::Plain,
        ThemeChoice::Contrast => ThemeName::Contrast,
    });
    let (wanted, by) = match (asked, look.theme) {
        (Some(theme), _) => (theme, "--theme or CASEPAN_THEME names it"),
        (None, Some(theme)) => (theme, "look.ron names it"),
        (None, None) => (ThemeName::Auto, ""),
    };
    let (name, since) = match (no_colour(cli, variables), wanted) {
        (Some(why), _) => ("plain", why.to_owned()),
        (None, ThemeName::Auto) => ground(variables),
        (None, ThemeName::Dark) => ("dark", by.to_owned()),
        (None, ThemeName::Light) => ("light", by.to_owned()),
        (None, ThemeName::Plain) => ("plain", by.to_owned()),
        (None, ThemeName::Contrast) => ("contrast", by.to_owned()),
    };
    let theme = match name {
        "light" => look.on(Theme::light()),
        "contrast" => look.on(Theme::contrast()),
        // Weights of one's own stay, colours do not.
        "plain" => look.on(Theme::plain()).without_colour(),
        _ => look.on(Theme::dark()),
    };
    let asked = cli.signs.map(|signs| match signs {
        SignsName::Braille => Signs::Braille,
        SignsName::Ascii => Signs::Ascii,
    });
    let (signs, signs_since) = match (asked, look.signs) {
        (Some(signs), _) => (signs, "--signs or CASEPAN_SIGNS names them".to_owned()),
        (None, Some(signs)) => (signs, "look.ron names them".to_owned()),
        (None, None) => encoding(variables),
    };
    let (notation, notation_since) = notation(cli, look.notation);
    Chosen {
        notation,
        notation_since: notation_since
            .unwrap_or("nobody has chosen one, so that casepan asks back"),
        theme: theme.with_signs(signs),
        name,
        theme_since: since,
        signs_since,
    }
}

/// Tells a light ground from a dark one, where the terminal says which it has.
fn ground(variables: Variables<'_>) -> (&'static str, String) {
    let said = variables("COLORFGBG").and_then(|value| value.into_string().ok());
    match said {
        Some(said) => {
            // Text and ground by their numbers in the palette, sometimes with a third part between them.
            let light = matches!(said.rsplit(';').next(), Some("7" | "15"));
            let name = if light { "light" } else { "dark" };
            (name, format!("COLORFGBG is {said}"))
        }
        None => ("dark", "nothing says that the ground is light".to_owned()),
    }
}

/// Signs beyond ASCII want a terminal that takes UTF-8.
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
            (signs, format!("{name} is {value}"))
        }
        // There, terminals take UTF-8 and no variable says so.
        None if cfg!(windows) => (Signs::Braille, "terminals take UTF-8 here".to_owned()),
        None => (
            Signs::Ascii,
            "none of LC_ALL, LC_CTYPE and LANG names UTF-8".to_owned(),
        ),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::screen::{Hue, Patch, Role};
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
            ("0;15", "light"),
            ("0;7", "light"),
            ("0;default;15", "light"),
            ("15;0", "dark"),
            ("7;8", "dark"),
            ("15;default", "dark"),
            ("odd", "dark"),
        ] {
            let told = choose(&[], &Look::default(), &[("COLORFGBG", value)]);
            assert_eq!(told.name, wanted, "{value}");
            assert!(told.theme_since.contains(value));
        }
        assert_eq!(choose(&[], &Look::default(), &[]).name, "dark");
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
        assert_eq!((told.name, told.theme.signs()), ("contrast", Signs::Ascii));
        assert_eq!(told.notation, Notation::Palmer);
        assert!(told.notation_since.contains("look.ron"));
        let told = choose(&["--notation", "universal"], &look, &set);
        assert_eq!(told.notation, Notation::Universal);
        assert!(told.notation_since.contains("--notation"));
        let told = choose(&["--theme", "auto", "--signs", "braille"], &look, &set);
        assert_eq!((told.name, told.theme.signs()), ("light", Signs::Braille));
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
            roles: vec![(Role::Fine, patch)],
        };
        for (args, set) in [
            (&[][..], &[("NO_COLOR", "1")][..]),
            (&["--color", "never"], &[]),
            (&["--theme", "dark"], &[("TERM", "dumb")]),
        ] {
            let told = choose(args, &look, set);
            assert_eq!(told.name, "plain", "{args:?}");
            assert!(!told.theme.has_colour());
            assert_ne!(told.theme, Theme::plain(), "what is faint stays faint");
        }
        let told = choose(&["--color", "always"], &look, &[("NO_COLOR", "1")]);
        assert_eq!(told.name, "light");
        assert_eq!(told.theme, Theme::light().patched(Role::Fine, &patch));
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
}
