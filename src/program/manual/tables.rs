//! The tables of the manual, made from the tables that the program itself runs on, so that the two cannot differ.

use clap::{CommandFactory as _, ValueEnum};
use serde_json::Value;

use crate::case::coming::Part;
use crate::cli::{Cli, Colour, ObjectName};
use crate::error::{EXIT_CODES, Error, Trouble};
use crate::flow::CODES;
use crate::phrase::glossary::TERMS;
use crate::phrase::program::command_line::manual as says;
use crate::print::{Format, Sheet};
use crate::program::schema;
use crate::screen::{Hue, Signs, TextRole, ThemeName};
use crate::session::command::{COMMANDS, CommandSpec, Context};
use crate::tooth::Notation;

/// A line of a table.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum Line {
    /// A heading within the table.
    Head(String),
    /// What is explained, and the explanation. Backquotes in the explanation mark names.
    Row(String, String),
}

/// Returns the table with this name, or `None` if there is none.
///
/// # Errors
/// A schema cannot be written as JSON.
pub(super) fn table(name: &str) -> Result<Option<Vec<Line>>, Error> {
    Ok(Some(match name {
        "keys" => keys(),
        "commands" => commands(),
        "exit-codes" => exit_codes(),
        "parts" => values::<Part>(),
        "sheets" => values::<Sheet>(),
        "formats" => values::<Format>(),
        "themes" => values::<ThemeName>(),
        "signs" => values::<Signs>(),
        "notations" => values::<Notation>(),
        "colours" => values::<Colour>(),
        "objects" => values::<ObjectName>(),
        "roles" => roles(),
        "hues" => vec![row("colours", Hue::names().collect::<Vec<_>>().join(", "))],
        "flow-codes" => codes(CODES),
        "ron-codes" => codes(crate::ronfile::CODES),
        "settings-codes" => codes(crate::settings::CODES),
        "terms" => terms(),
        "json" => json()?,
        _ => return Ok(None),
    }))
}

fn row(tag: impl Into<String>, text: impl Into<String>) -> Line {
    Line::Row(tag.into(), text.into())
}

/// The keys of each page, first those that work on every page.
fn keys() -> Vec<Line> {
    let everywhere = |spec: &&CommandSpec| spec.contexts.len() == Context::ALL.len();
    let line = |spec: &CommandSpec| {
        row(
            spec.keys.join(" "),
            format!("{} (`{}`)", spec.does, spec.id),
        )
    };
    let mut out = vec![Line::Head("anywhere".to_owned())];
    out.extend(COMMANDS.iter().filter(everywhere).map(line));
    for context in Context::ALL {
        out.push(Line::Head(context.title().to_owned()));
        let here = COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context) && !everywhere(spec));
        out.extend(here.map(line));
    }
    out
}

/// Every command of the command line with its arguments.
fn commands() -> Vec<Line> {
    let mut out = vec![row("casepan", says::WORKLIST)];
    list(&Cli::command(), "casepan", &mut out);
    out
}

fn list(command: &clap::Command, path: &str, out: &mut Vec<Line>) {
    for sub in command.get_subcommands() {
        let path = format!("{path} {}", sub.get_name());
        let group = sub.has_subcommands();
        if !(group && sub.is_subcommand_required_set()) {
            let mut told = path.clone();
            for argument in sub.get_positionals() {
                let name = argument.get_id().as_str().to_uppercase();
                told.push_str(&if argument.is_required_set() {
                    format!(" {name}")
                } else {
                    format!(" [{name}]")
                });
            }
            let about = sub.get_about().map(ToString::to_string).unwrap_or_default();
            out.push(row(told, about));
        }
        list(sub, &path, out);
    }
}

/// The values of an option of the command line, with their help.
fn values<T: ValueEnum>() -> Vec<Line> {
    T::value_variants()
        .iter()
        .filter_map(T::to_possible_value)
        .map(|value| {
            let help = value.get_help().map(ToString::to_string);
            row(value.get_name(), help.unwrap_or_default())
        })
        .collect()
}

fn exit_codes() -> Vec<Line> {
    EXIT_CODES
        .iter()
        .map(|(code, name, meaning)| row(code.to_string(), format!("{name}: {meaning}")))
        .collect()
}

fn codes(list: &[(&str, &str)]) -> Vec<Line> {
    list.iter()
        .map(|(code, meaning)| row(*code, *meaning))
        .collect()
}

fn roles() -> Vec<Line> {
    TextRole::ALL
        .iter()
        .map(|role| row(role.name(), role.is()))
        .collect()
}

fn terms() -> Vec<Line> {
    TERMS
        .iter()
        .map(|term| {
            let also = match term.also {
                [] => String::new(),
                also => format!(" Also: {}.", also.join(", ")),
            };
            row(term.name, format!("{}{also}", term.is))
        })
        .collect()
}

/// The keys of every object, out of its schema: of a judged case the first ones, of the others all.
fn json() -> Result<Vec<Line>, Error> {
    let mut out = vec![
        Line::Head(says::EVERY_OBJECT.to_owned()),
        row("format", says::FORMAT),
    ];
    for object in ObjectName::value_variants() {
        let Some(value) = object.to_possible_value() else {
            continue;
        };
        let head = match object {
            // One object, listed once.
            ObjectName::Judge => continue,
            ObjectName::Print => "judge, print".to_owned(),
            _ => value.get_name().replace('-', " "),
        };
        out.push(Line::Head(head));
        let schema = serde_json::to_value(schema::of(Some(*object)))
            .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
        let mut rows = Vec::new();
        let shallow = *object == ObjectName::Print;
        rows_of(&schema, &schema, ("", shallow), &mut rows);
        rows.retain(|(key, _)| key != "format");
        out.extend(rows.into_iter().map(|(key, what)| row(key, what)));
    }
    Ok(out)
}

/// The keys of an object of a schema with what they are, first those that are always there.
fn rows_of(
    schema: &Value,
    part: &Value,
    (path, shallow): (&str, bool),
    rows: &mut Vec<(String, String)>,
) {
    let part = object_of(schema, part);
    let Some(all) = part["properties"].as_object() else {
        return;
    };
    let always: Vec<&str> = part["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let others = all.keys().map(String::as_str);
    let others = others.filter(|key| !always.contains(key));
    for key in always.iter().copied().chain(others) {
        let Some(own) = all.get(key) else { continue };
        let dot = if path.is_empty() { "" } else { "." };
        let path = format!("{path}{dot}{key}");
        let (inner, path) = match own.get("items") {
            Some(items) if object_of(schema, items)["properties"].is_object() => {
                (items, format!("{path}[]"))
            }
            _ => (own, path),
        };
        if !shallow && object_of(schema, inner)["properties"].is_object() {
            rows_of(schema, inner, (&path, false), rows);
        } else {
            let what = own["description"].as_str().unwrap_or_default();
            rows.push((
                path.trim_end_matches("[]").to_owned(),
                what.replace('\n', " "),
            ));
        }
    }
}

/// Returns a part of a schema itself, if it is a reference, and without the null that may stand for it.
fn object_of<'s>(schema: &'s Value, part: &'s Value) -> &'s Value {
    let reference = part["$ref"].as_str();
    if let Some(there) = reference.and_then(|to| schema.pointer(to.trim_start_matches('#'))) {
        return object_of(schema, there);
    }
    match part["anyOf"].as_array().and_then(|any| any.first()) {
        Some(first) => object_of(schema, first),
        None => part,
    }
}
