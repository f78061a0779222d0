//! `keys.ron`: other keys for commands.

use serde::Deserialize;

use super::short;
use crate::ronfile::{Diagnostic, Raw, Source, Span, Spanned, nearest, parse, parse_raw};
use crate::session::command::COMMANDS;
use crate::session::keymap::{KeyFault, NAMED};
use crate::session::{Command, Keymap};

/// The most keys of one command.
const MOST_KEYS: usize = 9;

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
/// Everything that is wrong with it, in the order of the file.
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
                    // A line that cannot be read may be the one that makes the key free, and ctrl-c is told already.
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
        let what = format!("no command is called \"{}\"", short(&name.value));
        let problem = Diagnostic::error("keys-command", source, place, what, "not a command");
        return Err(
            match nearest(&name.value, COMMANDS.iter().map(|spec| spec.id)) {
                Some(near) => problem.help(format!("did you mean \"{near}\"?")),
                None => problem.help("`casepan settings new` writes a file that names them all"),
            },
        );
    };
    if let Some(before) = rows.iter().find(|row| row.command == command) {
        let (line, _) = source.line_column(before.name.start);
        let what = format!(
            "\"{}\" has its keys in line {line} already",
            command.spec().id
        );
        let problem = Diagnostic::error("keys-command-twice", source, place, what, "named twice");
        return Err(problem.help("put all its keys into one line"));
    }
    let list = keys.span(source);
    if keys.value.len() > MOST_KEYS {
        let what = format!("{} keys for one command", keys.value.len());
        let problem = Diagnostic::error("keys-too-many", source, list, what, "too many");
        return Err(problem.help(format!("name {MOST_KEYS} at most")));
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

/// Tells a fault at its place, with what to do.
fn told(source: &Source, row: &Row, fault: &KeyFault) -> Diagnostic {
    let at = |key: &str| {
        let found = row.keys.iter().find(|(own, _)| own == key);
        found.map_or(row.list.clone(), |(_, span)| span.clone())
    };
    let (code, place, why) = match fault {
        KeyFault::NoSuchKey(key) => ("keys-name", at(key), "not a key"),
        KeyFault::Swallowed(key) => ("keys-swallowed", at(key), "never arrives as such"),
        KeyFault::Typed(key, _) => ("keys-typed", at(key), "typed there"),
        KeyFault::Twice(key, ..) => ("keys-twice", at(key), "taken"),
        KeyFault::NoKey => ("keys-none", row.list.clone(), "no key"),
        KeyFault::Leaves => ("keys-leaves", row.list.clone(), "not to be changed"),
    };
    let problem = Diagnostic::error(code, source, place, fault.to_string(), why);
    match fault {
        KeyFault::NoSuchKey(key) => match nearest(key, NAMED.iter().copied()) {
            Some(near) => problem.help(format!("did you mean \"{near}\"?")),
            None => problem.help("write the key as one character, or by its name"),
        },
        KeyFault::Swallowed(_) => problem.help("choose another letter, or one of f2 to f9"),
        KeyFault::Typed(..) => problem
            .help("choose a key that writes nothing there, such as f4 or ctrl- with a letter"),
        KeyFault::Twice(_, _, other) => problem
            .help(format!(
                "give \"{}\" another key in this file too",
                other.spec().id
            ))
            .help("or choose a key that nothing has: `?` in the walk shows those that are taken"),
        KeyFault::NoKey => problem.help("name one key at least, or take the line out"),
        KeyFault::Leaves => problem.help("leave ctrl-c with \"quit\" and with nothing else"),
    }
}

/// Writes the file to begin with: every command with what it does and its keys, commented out.
pub(super) fn template() -> String {
    let mut out = format!(
        "// Keys of your own. What stands here replaces all keys of a command; everything else stays as it is.\n\
         // Take the // away before a line that begins with Key, and change its keys; the first is the one that is shown.\n\
         // A key is one character, an upper-case letter being a key of its own; ctrl- with a letter; or one of\n\
         // {}.\n\
         // After a change: casepan settings check\n\
         Keys([\n",
        NAMED.join(" ")
    );
    for spec in COMMANDS {
        let places: Vec<&str> = spec.contexts.iter().map(|own| own.title()).collect();
        out.push_str(&format!(
            "    // {} ({})\n    // Key({:?}, {:?}),\n",
            spec.does,
            places.join(", "),
            spec.id,
            spec.keys
        ));
    }
    out.push_str("])\n");
    out
}
