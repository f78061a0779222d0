//! `look.ron`: theme, signs, notation, and how single roles look.

use serde::Deserialize;

use super::short;
use crate::phrase::program::errors::did_you_mean;
use crate::phrase::program::settings_files::{self as says, label};
use crate::ronfile::{Diagnostic, Raw, Source, Spanned, nearest, parse, parse_raw};
use crate::screen::{Hue, Patch, Signs, TextRole, Theme, ThemeName};
use crate::tooth::Notation;

/// What the file says; each field is `None` or empty if the file does not name it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Look {
    /// The theme.
    pub theme: Option<ThemeName>,
    /// The signs.
    pub signs: Option<Signs>,
    /// The notation of teeth.
    pub notation: Option<Notation>,
    /// The roles that it changes.
    pub roles: Vec<(TextRole, Patch)>,
}

impl Look {
    /// Returns a theme with the roles changed.
    pub fn on(&self, theme: Theme) -> Theme {
        let patch = |theme: Theme, (role, patch): &(TextRole, Patch)| theme.patched(*role, patch);
        self.roles.iter().fold(theme, patch)
    }
}

#[derive(Deserialize)]
#[serde(rename = "Look", deny_unknown_fields)]
struct LookShape<'s> {
    theme: Option<ThemeName>,
    signs: Option<Signs>,
    notation: Option<Notation>,
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
/// Returns every problem of the file.
pub(super) fn read(source: &Source) -> Result<Look, Vec<Diagnostic>> {
    let shape: LookShape<'_> = parse(source).map_err(|problem| vec![problem])?;
    let mut look = Look {
        theme: shape.theme,
        signs: shape.signs,
        notation: shape.notation,
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

/// Returns the notation that the file names, or `None`, whatever the file says of roles.
///
/// # Errors
/// Returns an error if the file as a whole cannot be read and might name one.
pub(super) fn notation(source: &Source) -> Result<Option<Notation>, Diagnostic> {
    let shape: LookShape<'_> = parse(source)?;
    Ok(shape.notation)
}

fn role(
    source: &Source,
    shape: &RoleShape,
    look: &Look,
) -> Result<(TextRole, Patch), Vec<Diagnostic>> {
    let mut problems = Vec::new();
    let name = &shape.role.value;
    let role = TextRole::ALL
        .iter()
        .copied()
        .find(|role| role.name() == name);
    let place = shape.role.span(source);
    match role {
        None => {
            let what = says::no_role(&short(name));
            let problem = Diagnostic::error("look-role", source, place, what, label::NOT_A_ROLE);
            problems.push(suggest(
                problem,
                name,
                TextRole::ALL.iter().map(|role| role.name()),
            ));
        }
        Some(role) if look.roles.iter().any(|(own, _)| *own == role) => {
            let what = says::role_twice(role.name());
            let code = "look-role-twice";
            let problem = Diagnostic::error(code, source, place, what, label::CHANGED_TWICE);
            problems.push(problem.help(says::ROLE_TWICE_HINT));
        }
        Some(_) => {}
    }
    let mut colour = None;
    if let Some(wanted) = &shape.colour {
        colour = Hue::named(&wanted.value);
        if colour.is_none() {
            let what = says::no_colour(&short(&wanted.value));
            let span = wanted.span(source);
            let problem = Diagnostic::error("look-colour", source, span, what, label::NOT_A_COLOUR)
                .help(says::NO_COLOUR_HINT);
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
        Some(near) => problem.help(did_you_mean(near)),
        None => problem.help(says::there_are(&names)),
    }
}

/// Returns what could no longer be told apart in some theme, or `None`.
fn lost(source: &Source, raws: &[Raw<'_>], look: &Look) -> Option<Diagnostic> {
    let themes = ThemeName::all().iter().filter_map(|own| own.theme());
    // The last line that is about one of these roles.
    let span = |roles: &[TextRole]| {
        let rows = look.roles.iter().zip(raws).rev();
        let row = rows.into_iter().find(|((role, _), _)| roles.contains(role));
        row.map_or(0..0, |(_, raw)| raw.span(source))
    };
    let mut themes = themes.map(|theme| look.on(theme));
    themes.find_map(|theme| {
        (!theme.marks()).then(|| {
            let span = span(&[TextRole::Present, TextRole::Text, TextRole::Answer]);
            Diagnostic::error("look-mark", source, span, says::NO_MARK, label::ALIKE)
                .help(says::NO_MARK_HINT)
        })
    })
}

/// Returns a new file: every field and every role, commented out.
pub(super) fn template() -> String {
    let colours: Vec<&str> = Hue::names().collect();
    let [head, check] = says::LOOK_HEAD;
    let [roles, patch] = says::look_roles(colours.first().copied().unwrap_or_default());
    let mut out = format!(
        "// {head}\n\
         // {check}\n\
         Look(\n    \
             // {}\n    \
             // theme: Auto,\n    \
             // {}\n    \
             // signs: Braille,\n    \
             // {}\n    \
             // notation: Iso3950,\n    \
             // {roles}\n    \
             // {patch}\n    \
             // {}\n    \
             roles: [\n",
        says::LOOK_THEME,
        says::LOOK_SIGNS,
        says::LOOK_NOTATION,
        says::look_colours(&colours),
    );
    for role in TextRole::ALL {
        out.push_str(&format!(
            "        // {}\n        // Role(role: {:?}),\n",
            role.is(),
            role.name()
        ));
    }
    out.push_str("    ],\n)\n");
    out
}
