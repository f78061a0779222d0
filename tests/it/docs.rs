//! The README's tables and its screen are made from the program, so that they cannot drift.
//! `UPDATE_DOCS=1 cargo test` writes them.

use casepan::cli::{Cli, ObjectName};
use casepan::error::EXIT_CODES;
use casepan::flow::{CODES, embedded};
use casepan::print::{Format, Sheet};
use casepan::program::carry_out;
use casepan::ronfile;
use casepan::screen::{Signs, Theme, ThemeName, draw};
use casepan::session::command::{COMMANDS, Context};
use casepan::session::{Inspection, Session};
use casepan::settings;
use casepan::tooth::Notation;
use clap::{CommandFactory as _, Parser as _, ValueEnum};
use ratatui::buffer::Buffer;
use ratatui::layout::Rect;
use serde_json::Value;
use std::path::Path;
use std::sync::Arc;
use uuid::Uuid;

#[test]
fn the_readme_is_up_to_date() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let text = std::fs::read_to_string(&path).unwrap();
    let mut wanted = text.clone();
    for (name, block) in [
        ("screen", screen(&[])),
        ("picture", screen(&["g", "right"])),
        ("ask", lines()),
        ("keys", keys()),
        ("commands", commands()),
        ("sheets", values::<Sheet>("sheet", "what it is")),
        ("formats", values::<Format>("format", "what it is")),
        ("codes", codes(CODES.iter().chain(ronfile::CODES))),
        ("settings-codes", codes(settings::CODES)),
        ("themes", values::<ThemeName>("theme", "what it is")),
        ("signs", values::<Signs>("signs", "what they are")),
        ("exit-codes", exit_codes()),
        ("objects", values::<ObjectName>("object", "what it is")),
        ("json", json()),
    ] {
        wanted = replaced(&wanted, name, &block);
    }
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &wanted).unwrap();
        return;
    }
    assert!(
        text == wanted,
        "README.md has drifted: run `UPDATE_DOCS=1 cargo test docs` and look at what changes"
    );
}

fn replaced(text: &str, name: &str, block: &str) -> String {
    let (begin, end) = (format!("<!-- {name} -->\n"), format!("<!-- /{name} -->"));
    let (before, rest) = text
        .split_once(&begin)
        .unwrap_or_else(|| panic!("README.md has no {begin}"));
    let (_, after) = rest
        .split_once(&end)
        .unwrap_or_else(|| panic!("README.md has no {end}"));
    format!("{before}{begin}{block}{end}{after}")
}

/// The demo at 80 by 24 after some keys.
fn screen(keys: &[&str]) -> String {
    let flow = Arc::new(embedded().flow.unwrap());
    let case = casepan::demo::case("bridge-44-46").unwrap();
    let mut session = Session::new(Notation::Iso3950);
    session.show(Inspection::new(flow, case, 1, Uuid::nil(), None));
    for key in keys {
        session.key(key, &crate::session::moment(1));
    }
    let area = Rect::new(0, 0, 80, 24);
    let mut buf = Buffer::empty(area);
    draw(&mut buf, area, &session.view(), Theme::plain());
    let mut out = String::from("```text\n");
    for row in 0..area.height {
        let line: String = (0..area.width)
            .map(|column| buf[(column, row)].symbol())
            .collect();
        out.push_str(line.trim_end());
        out.push('\n');
    }
    out.push_str("```\n");
    out
}

/// The prep of an invented crown in plain lines: what is typed, then what is said.
fn lines() -> String {
    let mut case = crate::ask::short();
    case.number = "24-0381".to_owned();
    let typed = ["6.8", "undo", "6,8", "-"];
    let mut bench = crate::ask::Bench::on(&case);
    let told = bench
        .at("tooth.width_top_fl", "26")
        .all(&format!("{}\n", typed.join("\n")));
    let quoted: Vec<String> = typed
        .iter()
        .map(|line| match line.contains(' ') || line.starts_with('-') {
            true => format!("'{line}'"),
            false => (*line).to_owned(),
        })
        .collect();
    format!(
        "```text\n$ printf '%s\\n' {} | casepan ask 24-0381\n{}\n```\n",
        quoted.join(" "),
        told.lines.join("\n")
    )
}

fn keys() -> String {
    let mut out = String::from("| key | name | what it does | where |\n|---|---|---|---|\n");
    for spec in COMMANDS {
        let keys: Vec<_> = spec.keys.iter().map(|key| format!("`{key}`")).collect();
        let places = if spec.contexts.len() == Context::ALL.len() {
            "anywhere".to_owned()
        } else {
            spec.contexts
                .iter()
                .map(|context| context.title())
                .collect::<Vec<_>>()
                .join(", ")
        };
        out.push_str(&format!(
            "| {} | {} | {} | {places} |\n",
            keys.join(" "),
            spec.id,
            spec.does
        ));
    }
    out
}

fn commands() -> String {
    let mut out =
        String::from("| command | what it does |\n|---|---|\n| `casepan` | Show the worklist |\n");
    list(&Cli::command(), "casepan", &mut out);
    out
}

fn list(command: &clap::Command, path: &str, out: &mut String) {
    for sub in command.get_subcommands() {
        let mut path = format!("{path} {}", sub.get_name());
        let group = sub.has_subcommands();
        if group && sub.is_subcommand_required_set() {
            list(sub, &path, out);
            continue;
        }
        for argument in sub.get_positionals() {
            let name = argument.get_id().as_str().to_uppercase();
            path.push_str(&if argument.is_required_set() {
                format!(" {name}")
            } else {
                format!(" [{name}]")
            });
        }
        let about = sub.get_about().map(ToString::to_string).unwrap_or_default();
        out.push_str(&format!("| `{path}` | {about} |\n"));
        if group {
            list(sub, &path, out);
        }
    }
}

/// The values of an option of the command line, with their help.
fn values<T: ValueEnum>(head: &str, what: &str) -> String {
    let mut out = format!("| {head} | {what} |\n|---|---|\n");
    for value in T::value_variants().iter().filter_map(T::to_possible_value) {
        let help = value
            .get_help()
            .map(ToString::to_string)
            .unwrap_or_default();
        assert!(!help.is_empty(), "{}", value.get_name());
        out.push_str(&format!("| `{}` | {help} |\n", value.get_name()));
    }
    out
}

fn exit_codes() -> String {
    let mut out = String::from("| code | name | meaning |\n|---|---|---|\n");
    for (code, name, meaning) in EXIT_CODES {
        out.push_str(&format!("| {code} | {name} | {meaning} |\n"));
    }
    out
}

fn codes<'a>(list: impl IntoIterator<Item = &'a (&'a str, &'a str)>) -> String {
    let mut out = String::from("| code | meaning |\n|---|---|\n");
    for (code, meaning) in list {
        out.push_str(&format!("| `{code}` | {meaning} |\n"));
    }
    out
}

/// The keys of every object, out of their schemas: of a judged case the first ones, of the others all.
fn json() -> String {
    let mut out = String::from(
        "| command | key | what it is |\n|---|---|---|\n| every one | `format` | The format of this object. |\n",
    );
    for object in ObjectName::value_variants() {
        let object = object.to_possible_value().unwrap();
        let name = object.get_name();
        let command = match name {
            // One object; told once.
            "judge" => continue,
            "print" => "`judge`, `print`".to_owned(),
            name => format!("`{}`", name.replace('-', " ")),
        };
        let mut text = Vec::new();
        let cli = Cli::try_parse_from(["casepan", "schema", name]).unwrap();
        carry_out(&cli, &mut text).unwrap();
        let schema: Value = serde_json::from_slice(&text).unwrap();
        let mut rows = Vec::new();
        rows_of(&schema, &schema, ("", name == "print"), &mut rows);
        for (key, what) in rows.iter().filter(|(key, _)| key != "format") {
            assert!(!what.is_empty(), "{name}: {key}");
            out.push_str(&format!("| {command} | `{key}` | {what} |\n"));
        }
    }
    out
}

/// The keys of an object of a schema with what they are, first those that are always there.
fn rows_of(
    schema: &Value,
    part: &Value,
    (path, shallow): (&str, bool),
    rows: &mut Vec<(String, String)>,
) {
    let part = object_of(schema, part);
    let always: Vec<&str> = part["required"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(Value::as_str)
        .collect();
    let all = part["properties"].as_object().unwrap();
    let others = all.keys().map(String::as_str);
    let others = others.filter(|key| !always.contains(key));
    for key in always.iter().copied().chain(others) {
        let dot = if path.is_empty() { "" } else { "." };
        let path = format!("{path}{dot}{key}");
        let (inner, path) = match all[key].get("items") {
            Some(items) if object_of(schema, items)["properties"].is_object() => {
                (items, format!("{path}[]"))
            }
            _ => (&all[key], path),
        };
        if !shallow && object_of(schema, inner)["properties"].is_object() {
            rows_of(schema, inner, (&path, false), rows);
        } else {
            let what = all[key]["description"].as_str().unwrap_or_default();
            rows.push((
                path.trim_end_matches("[]").to_owned(),
                what.replace('\n', " "),
            ));
        }
    }
}

/// A part of a schema itself, where it says where it stands, and without the null that may stand for it.
fn object_of<'s>(schema: &'s Value, part: &'s Value) -> &'s Value {
    if let Some(there) = part["$ref"].as_str() {
        let there = schema.pointer(there.trim_start_matches('#')).unwrap();
        return object_of(schema, there);
    }
    match part["anyOf"].as_array() {
        Some(any) => object_of(schema, &any[0]),
        None => part,
    }
}

/// Names in backquotes that hold `::` and begin with a file of these tests are tests or folders of tests.
#[test]
fn the_tests_named_for_developers_exist() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(root.join("DEVELOPERS.md")).unwrap();
    let (_, rest) = text.split_once("## Invariants").unwrap();
    let (invariants, _) = rest.split_once("## To add").unwrap();
    let mut named = 0;
    for name in invariants
        .split('`')
        .skip(1)
        .step_by(2)
        .filter(|name| name.contains("::"))
    {
        let mut parts: Vec<&str> = name.split("::").collect();
        let last = parts.pop().unwrap();
        let folder = root.join("tests/it").join(parts.join("/"));
        let file = folder.with_extension("rs");
        if !file.exists() {
            // Unit tests stand in the room they test.
            assert!(
                root.join("src")
                    .join(name.replace("::", "/"))
                    .with_extension("rs")
                    .exists(),
                "{name}"
            );
            continue;
        }
        let module = folder.join(last).with_extension("rs").exists();
        let test = std::fs::read_to_string(&file)
            .unwrap()
            .contains(&format!("fn {last}("));
        assert!(
            module || test,
            "DEVELOPERS.md names {name}, which is not there"
        );
        named += 1;
    }
    assert!(named > 15, "{named}");
}
