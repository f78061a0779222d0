//! `look.ron`: theme, signs, notation, and how single roles look.

use serde::Deserialize;

use super::short;
use crate::ronfile::{Diagnostic, Raw, Source, Spanned, nearest, parse, parse_raw};
use crate::screen::{Hue, Patch, Role, Signs, Theme};
use crate::tooth::Notation;

/// A theme by its name.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Deserialize)]
pub enum ThemeName {
    /// Dark or light, whichever the terminal's ground is.
    Auto,
    /// Colours on a dark ground.
    Dark,
    /// Colours on a light ground.
    Light,
    /// No colour.
    Plain,
    /// The strongest contrast.
    Contrast,
}

/// What the file says; none where it says nothing.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Look {
    /// The theme.
    pub theme: Option<ThemeName>,
    /// The signs.
    pub signs: Option<Signs>,
    /// The notation of teeth.
    pub notation: Option<Notation>,
    /// What is changed about roles.
    pub roles: Vec<(Role, Patch)>,
}

impl Look {
    /// Returns a theme as this look changes it.
    pub fn on(&self, theme: Theme) -> Theme {
        let patch = |theme: Theme, (role, patch): &(Role, Patch)| theme.patched(*role, patch);
        self.roles.iter().fold(theme, patch)
    }
}

#[derive(Deserialize)]
enum SignsShape {
    Braille,
    Ascii,
}

#[derive(Clone, Copy, Deserialize)]
enum NotationShape {
    Iso3950,
    Universal,
    Palmer,
}

impl From<NotationShape> for Notation {
    fn from(shape: NotationShape) -> Notation {
        match shape {
            NotationShape::Iso3950 => Notation::Iso3950,
            NotationShape::Universal => Notation::Universal,
            NotationShape::Palmer => Notation::Palmer,
        }
    }
}

#[derive(Deserialize)]
#[serde(rename = "Look", deny_unknown_fields)]
struct LookShape<'s> {
    theme: Option<ThemeName>,
    signs: Option<SignsShape>,
    notation: Option<NotationShape>,
    #[serde(borrow, default)]
    roles: Vec<Raw<'s>>,
}

#[derive(Deserialize)]
#[serde(rename = "Role", deny_unknown_fields)]
struct RoleShape {
    role: Spanned<String>,
    colour: Option<Spanned<String>>,
    bold: Option<bool>,
    dim: Option<bool>,
    underlined: Option<bool>,
    reversed: Option<bool>,
}

/// Reads the file.
///
/// # Errors
/// Everything that is wrong with it.
pub(super) fn read(source: &Source) -> Result<Look, Vec<Diagnostic>> {
    let shape: LookShape<'_> = parse(source).map_err(|problem| vec![problem])?;
    let mut look = Look {
        theme: shape.theme,
        signs: shape.signs.map(|signs| match signs {
            SignsShape::Braille => Signs::Braille,
            SignsShape::Ascii => Signs::Ascii,
        }),
        notation: shape.notation.map(Notation::from),
        roles: Vec::new(),
    };
    let mut problems = Vec::new();
    for raw in &shape.roles {
        let row = parse_raw::<RoleShape>(source, *raw)
            .map_err(|problem| vec![problem])
            .and_then(|shape| role(source, &shape, &look));
        match row {
            Ok(row) => look.roles.push(row),
            Err(list) => problems.extend(list),
        }
    }
    if problems.is_empty() {
        // Two roles may change looks, so that only the whole can be judged; the rows are those of the file then.
        problems.extend(lost(source, &shape.roles, &look));
    }
    if problems.is_empty() {
        Ok(look)
    } else {
        Err(problems)
    }
}

/// Reads only which notation the file names, whatever it says of roles.
///
/// # Errors
/// The file as a whole cannot be read, so that nobody knows whether it names one.
pub(super) fn notation(source: &Source) -> Result<Option<Notation>, Diagnostic> {
    let shape: LookShape<'_> = parse(source)?;
    Ok(shape.notation.map(Notation::from))
}

fn role(source: &Source, shape: &RoleShape, look: &Look) -> Result<(Role, Patch), Vec<Diagnostic>> {
    let mut problems = Vec::new();
    let name = &shape.role.value;
    let role = Role::ALL.iter().copied().find(|role| role.name() == name);
    let place = shape.role.span(source);
    match role {
        None => {
            let what = format!("no role is called \"{}\"", short(name));
            let problem = Diagnostic::error("look-role", source, place, what, "not a role");
            problems.push(suggest(
                problem,
                name,
                Role::ALL.iter().map(|role| role.name()),
            ));
        }
        Some(role) if look.roles.iter().any(|(own, _)| *own == role) => {
            let what = format!("\"{}\" is changed in a line before already", role.name());
            let problem =
                Diagnostic::error("look-role-twice", source, place, what, "changed twice");
            problems.push(problem.help("put all of it into one line"));
        }
        Some(_) => {}
    }
    let mut colour = None;
    if let Some(wanted) = &shape.colour {
        colour = Hue::named(&wanted.value);
        if colour.is_none() {
            let what = format!(
                "\"{}\" is no colour that can be chosen",
                short(&wanted.value)
            );
            let span = wanted.span(source);
            let problem = Diagnostic::error("look-colour", source, span, what, "not a colour")
                .help("white, black and greys may be the ground itself and vanish on it");
            problems.push(suggest(problem, &wanted.value, Hue::names()));
        }
    }
    match role {
        Some(role) if problems.is_empty() => Ok((
            role,
            Patch {
                colour,
                bold: shape.bold,
                dim: shape.dim,
                underlined: shape.underlined,
                reversed: shape.reversed,
            },
        )),
        _ => Err(problems),
    }
}

fn suggest(
    problem: Diagnostic,
    word: &str,
    names: impl Iterator<Item = &'static str>,
) -> Diagnostic {
    let names: Vec<&str> = names.collect();
    match nearest(word, names.iter().copied()) {
        Some(near) => problem.help(format!("did you mean \"{near}\"?")),
        None => problem.help(format!("there are {}", names.join(", "))),
    }
}

/// What could no longer be told apart, in whatever theme.
fn lost(source: &Source, raws: &[Raw<'_>], look: &Look) -> Option<Diagnostic> {
    let themes = [
        Theme::dark(),
        Theme::light(),
        Theme::plain(),
        Theme::contrast(),
    ];
    // The last line that is about one of these roles.
    let span = |roles: &[Role]| {
        let rows = look.roles.iter().zip(raws).rev();
        let row = rows.into_iter().find(|((role, _), _)| roles.contains(role));
        row.map_or(0..0, |(_, raw)| raw.span(source))
    };
    themes.into_iter().find_map(|theme| {
        let theme = look.on(theme);
        if let Some((one, other)) = theme.levels_alike() {
            let (one_name, other_name) = (one.name(), other.name());
            let what = format!(
                "\"{one_name}\" and \"{other_name}\" would look alike where no colour is shown"
            );
            let span = span(&[one, other]);
            return Some(
                Diagnostic::error("look-levels", source, span, what, "no longer told apart")
                    .help("let them differ in bold, dim, underlined or reversed"),
            );
        }
        (!theme.marks()).then(|| {
            let what = "the open cell would look like other text where no colour is shown";
            let span = span(&[Role::Present, Role::Text, Role::Answer]);
            Diagnostic::error("look-mark", source, span, what, "no longer told apart").help(
                "let \"present\" differ from \"text\" and \"answer\" in bold, dim, underlined or reversed",
            )
        })
    })
}

/// Writes the file to begin with: everything that can be said, commented out.
pub(super) fn template() -> String {
    let colours: Vec<&str> = Hue::names().collect();
    let mut out = format!(
        "// Look of your own. Take the // away before what you change; everything else stays as it is.\n\
         // After a change: casepan settings check\n\
         Look(\n    \
             // Auto, Dark, Light, Plain or Contrast. Auto takes Light where COLORFGBG says so, or else Dark.\n    \
             // theme: Auto,\n    \
             // Braille, or Ascii for a terminal that shows nothing else.\n    \
             // signs: Braille,\n    \
             // Iso3950, Universal or Palmer. Where it is named, nobody is asked which teeth bare numbers are.\n    \
             // notation: Iso3950,\n    \
             // How single roles look, over any theme. What can be said of each, as much of it as is wanted:\n    \
             // colour: {:?}, bold: true, dim: true, underlined: true, reversed: true\n    \
             // Colours: {}.\n    \
             roles: [\n",
        colours.first().copied().unwrap_or_default(),
        colours.join(" ")
    );
    for role in Role::ALL {
        out.push_str(&format!(
            "        // {}\n        // Role(role: {:?}),\n",
            role.is(),
            role.name()
        ));
    }
    out.push_str("    ],\n)\n");
    out
}
