//! `keys.ron`: other keys for commands.

use serde::Deserialize;

use super::short;
use crate::phrase::program::errors::did_you_mean;
use crate::phrase::program::settings_files::{self as says, label};
use crate::ronfile::{Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw};
use crate::session::command::COMMANDS;
use crate::session::keymap::{KeyFault, NAMED};
use crate::session::{Command, Keymap};

/// The most keys that a command may have.
const MOST_KEYS: usize = 9;

/// Commands that had another key in the program's first versions, with that key: a file of that time is told what moved.
const MOVED: [(Command, &str); 10] = [
    (Command::Questions, "c"),
    (Command::Options, "x"),
    (Command::Call, "d"),
    (Command::Picture, "g"),
    (Command::Summary, "e"),
    (Command::Print, "p"),
    (Command::Instrument, "i"),
    (Command::EditUnits, "o"),
    (Command::Try, "v"),
    (Command::Notation, "t"),
];

#[derive(Deserialize)]
#[serde(rename = "Keys")]
struct KeysShape<'s>(#[serde(borrow)] Vec<Raw<'s>>);

#[derive(Deserialize)]
#[serde(rename = "Key")]
struct KeyShape(Spanned<String>, Spanned<Vec<Spanned<String>>>);

/// A line that gives keys to a command.
struct Row {
    command: Command,
    name: Span,
    /// The whole list, then each key with its place.
    list: Span,
    keys: Vec<(String, Span)>,
}

/// Reads the file.
///
/// # Errors
/// Returns every problem of the file, in the order of its lines.
pub(super) fn read(source: &Source) -> Result<Keymap, Vec<Diagnostic>> {
    let KeysShape(raws) = parse(source).map_err(|problem| vec![problem])?;
    let mut rows: Vec<Row> = Vec::new();
    let mut problems = Vec::new();
    for raw in raws {
        let row = parse_raw::<KeyShape>(source, raw).and_then(|shape| row(source, &shape, &rows));
        match row {
            Ok(row) => rows.push(row),
            Err(problem) => problems.push(problem),
        }
    }
    let changes: Vec<(Command, Vec<String>)> = rows
        .iter()
        .map(|row| {
            (
                row.command,
                row.keys.iter().map(|(key, _)| key.clone()).collect(),
            )
        })
        .collect();
    match Keymap::default().changed(&changes) {
        Ok(keymap) if problems.is_empty() => return Ok(keymap),
        Ok(_) => {}
        Err(faults) => {
            let whole = problems.is_empty();
            for (index, fault) in faults {
                let follows = match &fault {
                    // A line that cannot be read may be the one that frees the key, and ctrl-c has a problem of its own.
                    KeyFault::Twice(key, ..) => !whole || key == "ctrl-c",
                    _ => false,
                };
                if let Some(row) = rows.get(index)
                    && !follows
                {
                    problems.push(told(source, row, &fault));
                }
            }
        }
    }
    problems.sort_by_key(|problem| problem.span.start);
    Err(problems)
}

fn row(source: &Source, shape: &KeyShape, rows: &[Row]) -> Result<Row, Diagnostic> {
    let KeyShape(name, keys) = shape;
    let place = name.span(source);
    let Some(command) = Command::named(&name.value) else {
        let what = says::no_command(&short(&name.value));
        let problem = Diagnostic::error("keys-command", source, place, what, label::NOT_A_COMMAND);
        return Err(
            match nearest(&name.value, COMMANDS.iter().map(|spec| spec.id)) {
                Some(near) => problem.help(did_you_mean(near)),
                None => problem.help(says::NO_COMMAND_HINT),
            },
        );
    };
    if let Some(before) = rows.iter().find(|row| row.command == command) {
        let (line, _) = source.line_column(before.name.start);
        let what = says::command_twice(command.spec().id, line);
        let code = "keys-command-twice";
        let problem = Diagnostic::error(code, source, place, what, label::NAMED_TWICE);
        return Err(problem.help(says::COMMAND_TWICE_HINT));
    }
    let list = keys.span(source);
    if keys.value.len() > MOST_KEYS {
        let what = says::too_many_keys(keys.value.len());
        let problem = Diagnostic::error("keys-too-many", source, list, what, label::TOO_MANY);
        return Err(problem.help(says::too_many_keys_hint(MOST_KEYS)));
    }
    let keys = keys.value.iter();
    Ok(Row {
        command,
        name: place,
        list,
        // No key's name is as long as what is cut here.
        keys: keys
            .map(|key| (short(&key.value), key.span(source)))
            .collect(),
    })
}

/// Returns a fault at its place, with what to do about it.
fn told(source: &Source, row: &Row, fault: &KeyFault) -> Diagnostic {
    let at = |key: &str| {
        let found = row.keys.iter().find(|(own, _)| own == key);
        found.map_or(row.list.clone(), |(_, span)| span.clone())
    };
    let (code, place, why) = match fault {
        KeyFault::NoSuchKey(key) => ("keys-name", at(key), label::NOT_A_KEY),
        KeyFault::Swallowed(key) => ("keys-swallowed", at(key), label::SWALLOWED),
        KeyFault::Typed(key, _) => ("keys-typed", at(key), label::TYPED),
        KeyFault::Twice(key, ..) => ("keys-twice", at(key), label::TAKEN),
        KeyFault::NoKey => ("keys-none", row.list.clone(), label::NO_KEY),
        KeyFault::Leaves => ("keys-leaves", row.list.clone(), label::FIXED),
    };
    let problem = Diagnostic::error(code, source, place, fault.to_string(), why);
    match fault {
        KeyFault::NoSuchKey(key) => match nearest(key, NAMED.iter().copied()) {
            Some(near) => problem.help(did_you_mean(near)),
            None => problem.help(says::NO_KEY_NAMED_HINT),
        },
        KeyFault::Swallowed(_) => problem.help(says::SWALLOWED_HINT),
        KeyFault::Typed(..) => problem.help(says::TYPED_HINT),
        KeyFault::Twice(key, _, other) => {
            let moved = MOVED.iter().find(|(command, _)| command == other);
            let here = moved.filter(|_| other.spec().keys.contains(&key.as_str()));
            let problem = match here {
                Some((_, former)) => problem.help(says::moved(other.spec().id, former, key)),
                None => problem,
            };
            problem
                .help(says::taken_hint(other.spec().id))
                .help(says::FREE_KEY_HINT)
        }
        KeyFault::NoKey => problem.help(says::NO_KEY_HINT),
        KeyFault::Leaves => problem.help(says::LEAVES_HINT),
    }
}

/// Returns a new file: every command with what it does and its keys, commented out.
pub(super) fn template() -> String {
    let mut out = String::new();
    for line in says::keys_head(NAMED) {
        out.push_str(&format!("// {line}\n"));
    }
    out.push_str("Keys([\n");
    for spec in COMMANDS {
        let places: Vec<&str> = spec.contexts.iter().map(|own| own.title()).collect();
        out.push_str(&format!(
            "    // {}\n    // Key({:?}, {:?}),\n",
            says::keys_line(spec.does, &places),
            spec.id,
            spec.keys
        ));
    }
    out.push_str("])\n");
    out
}
