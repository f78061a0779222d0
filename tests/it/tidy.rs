//! The shape of the code: who may import whom, what may stand where, how long a file may be.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use casepan::session::command::{COMMANDS, Context};

/// Each module with those it may import. The four at the end stand on top and may import anything.
///
/// The sentences of errors stand below everything that has errors, so that this part of `phrase` is a row of its own.
pub(crate) const MAY_IMPORT: &[(&str, &str)] = &[
    ("tooth", ""),
    ("phrase::faults", "fact tooth"),
    ("text", ""),
    ("ronfile", ""),
    ("fact", "tooth"),
    ("logic", "fact"),
    ("case", "fact tooth ronfile text"),
    ("flow", "logic fact case ronfile text tooth"),
    ("mechanics", ""),
    ("prep", "fact mechanics tooth"),
    ("derive", "prep case fact flow logic mechanics tooth"),
    ("judge", "derive case fact flow logic"),
    (
        "options",
        "judge derive prep case fact flow logic mechanics tooth",
    ),
    ("phrase", "options judge derive case fact flow logic tooth"),
    ("call", "phrase judge derive case fact flow logic"),
    ("state", "call phrase judge derive flow case fact"),
    ("drawing", "derive fact tooth judge case"),
    (
        "print",
        "state call phrase options drawing judge derive case fact flow logic tooth mechanics",
    ),
    (
        "session",
        "state call judge options phrase drawing derive flow logic fact case tooth text print",
    ),
    ("archive", "case"),
    ("error", "archive ronfile text"),
    (
        "desk",
        "session state archive print phrase options judge derive flow fact case tooth ronfile error",
    ),
    ("screen", "desk session error drawing phrase flow tooth"),
    (
        "ask",
        "desk session error phrase fact case tooth text ronfile flow",
    ),
    ("settings", "screen session print error ronfile tooth text"),
    ("demo", "*"),
    ("cli", "*"),
    ("program", "*"),
    ("main", "*"),
];

/// The most lines of a file.
const MOST_LINES: usize = 600;

/// Files that are longer still, each with a ceiling: they may shrink, never grow. To be split.
const LONGER: &[(&str, usize)] = &[];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every Rust file below a folder, by its path within the project.
fn files(folder: &str) -> Vec<(String, String)> {
    let mut list = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).expect("a folder") {
            let path: PathBuf = entry.expect("an entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "rs") {
                let name = path.strip_prefix(root()).expect("within the project");
                let name = name.to_string_lossy().replace('\\', "/");
                let text = std::fs::read_to_string(&path).expect("a text");
                list.push((name, text));
            }
        }
    }
    list.sort();
    list
}

/// The code without its unit tests, comments and texts, line by line with numbers from 1.
///
/// Unit tests stand at the end of a file, or in a file of their own that is called `tests`.
fn code<'t>(name: &str, text: &'t str) -> Vec<(usize, &'t str)> {
    if name.ends_with("/tests.rs") {
        return Vec::new();
    }
    text.lines()
        .enumerate()
        .take_while(|(_, line)| line.trim() != "#[cfg(test)]")
        .filter(|(_, line)| !line.trim_start().starts_with("//"))
        .map(|(index, line)| (index + 1, line.split(" // ").next().unwrap_or(line)))
        .collect()
}

/// The module of a file, one of the table.
fn module(name: &str) -> &str {
    let inner = name.strip_prefix("src/").unwrap_or(name);
    if inner.starts_with("phrase/faults") {
        return FAULTS;
    }
    let first = inner.split('/').next().unwrap_or(inner);
    first.strip_suffix(".rs").unwrap_or(first)
}

/// The part of `phrase` that every room may use.
const FAULTS: &str = "phrase::faults";

/// The modules that some code names behind `crate::`, also in braces, each with its line.
fn named(code: &[(usize, &str)]) -> Vec<(usize, String)> {
    let mut list = Vec::new();
    for (number, line) in code {
        for part in line.split("crate::").skip(1) {
            let names: Vec<&str> = match part.strip_prefix('{') {
                // Over several lines it cannot be told: one line each, please.
                Some(group) if !group.contains('}') => {
                    list.push((*number, "a group over several lines".to_owned()));
                    continue;
                }
                Some(group) => group.split([',', '}']).map(str::trim).collect(),
                None => vec![part],
            };
            for name in names {
                if name.starts_with(FAULTS) {
                    list.push((*number, FAULTS.to_owned()));
                    continue;
                }
                let end = name
                    .find(|c: char| !(c.is_ascii_lowercase() || c == '_'))
                    .unwrap_or(name.len());
                list.push((*number, name[..end].to_owned()));
            }
        }
    }
    list.retain(|(_, name)| !name.is_empty());
    list
}

/// What a file imports although the table does not allow it.
fn forbidden(name: &str, text: &str) -> Vec<String> {
    let own = module(name);
    let Some((_, may)) = MAY_IMPORT.iter().find(|(module, _)| *module == own) else {
        return vec![format!("{name}: {own} is not in the table")];
    };
    // A crate of its own: the compiler keeps the others out.
    if matches!(own, "mechanics" | "ronfile") {
        return Vec::new();
    }
    let may: BTreeSet<&str> = may.split(' ').collect();
    named(&code(name, text))
        .into_iter()
        .filter(|(_, other)| other != own && other != FAULTS)
        .filter(|(_, other)| !may.contains("*") && !may.contains(other.as_str()))
        .map(|(line, other)| format!("{name}:{line}: {own} imports {other}"))
        .collect()
}

#[test]
fn imports_go_one_way() {
    let mut found = Vec::new();
    let mut seen = BTreeSet::new();
    for (name, text) in files("src") {
        if name != "src/lib.rs" {
            found.extend(forbidden(&name, &text));
            seen.insert(module(&name).to_owned());
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
    let table: BTreeSet<String> = MAY_IMPORT.iter().map(|(m, _)| (*m).to_owned()).collect();
    assert_eq!(table, seen, "the table names the modules there are");
}

#[test]
fn a_forbidden_import_would_be_found() {
    for (name, text, wanted) in [
        (
            "src/fact.rs",
            "use crate::flow::Flow;",
            "src/fact.rs:1: fact imports flow",
        ),
        (
            "src/fact/value.rs",
            "\nlet a = crate::session::Walk::new();",
            "src/fact/value.rs:2: fact imports session",
        ),
        (
            "src/tooth/table.rs",
            "use crate::{tooth::Arch, fact::Value};",
            "src/tooth/table.rs:1: tooth imports fact",
        ),
        (
            "src/fact.rs",
            "use crate::{\n    flow,\n};",
            "src/fact.rs:1: fact imports a group over several lines",
        ),
        (
            "src/other.rs",
            "",
            "src/other.rs: other is not in the table",
        ),
    ] {
        assert_eq!(forbidden(name, text), [wanted]);
    }
    for (name, text) in [
        (
            "src/derive/stump.rs",
            "use crate::fact::Value;\nuse crate::derive::Facts;",
        ),
        (
            "src/fact.rs",
            "//! See [`crate::flow`].\n/// Not crate::walk.",
        ),
        (
            "src/fact.rs",
            "#[cfg(test)]\nmod tests { use crate::session::Walk; }",
        ),
        ("src/program.rs", "use crate::screen::sit;"),
        ("src/archive/tests.rs", "use crate::session::Walk;"),
    ] {
        assert_eq!(forbidden(name, text), [""; 0], "{text}");
    }
    // No module may import one that imports it: the table itself goes one way.
    let may = |own: &str| -> Vec<&str> {
        let row = MAY_IMPORT.iter().find(|(module, _)| *module == own);
        row.map_or(Vec::new(), |(_, may)| may.split_whitespace().collect())
    };
    for (own, _) in MAY_IMPORT {
        let mut below = may(own);
        let mut next = 0;
        while next < below.len() {
            for other in may(below[next]) {
                if !below.contains(&other) {
                    below.push(other);
                }
            }
            next += 1;
        }
        assert!(!below.contains(own), "{own} imports itself in a round");
    }
}

/// What may not stand in code, and the one file where it may.
const NOT_IN_CODE: &[(&str, &str)] = &[
    ("Color::", "src/screen/theme.rs"),
    (".unwrap()", ""),
    (".expect(", ""),
    ("panic!(", ""),
    ("todo!(", ""),
    ("unimplemented!(", ""),
    ("unreachable!(", ""),
    ("dbg!(", ""),
    ("unsafe ", ""),
];

/// Places of a word that is not part of a longer one.
fn lines_with(name: &str, text: &str, word: &str) -> Vec<String> {
    code(name, text)
        .into_iter()
        .filter(|(_, line)| {
            line.match_indices(word).any(|(at, _)| {
                let before = line[..at].chars().next_back();
                before.is_none_or(|c| !(c.is_alphanumeric() || c == '_'))
                    || !word.starts_with(char::is_alphanumeric)
            })
        })
        .map(|(number, _)| format!("{name}:{number}: {word}"))
        .collect()
}

fn not_in_code(name: &str, text: &str) -> Vec<String> {
    let mut found: Vec<String> = NOT_IN_CODE
        .iter()
        .filter(|(_, but)| name != *but)
        .flat_map(|(word, _)| lines_with(name, text, word))
        .collect();
    for word in ["print!(", "println!(", "eprint!(", "eprintln!("] {
        found.extend(lines_with(name, text, word));
    }
    found
}

#[test]
fn nothing_stands_in_code_that_may_not() {
    let found: Vec<String> = files("src")
        .iter()
        .flat_map(|(name, text)| not_in_code(name, text))
        .collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn what_may_not_stand_in_code_would_be_found() {
    for (line, count) in [
        ("let a = b.unwrap();", 1),
        ("b.expect(\"a\")", 1),
        ("println!(\"a\")", 1),
        ("    eprint!(\"a\")", 1),
        ("fg(Color::Red)", 1),
        ("dbg!(a)", 1),
        ("unreachable!()", 1),
        // Others that only look like it.
        ("b.unwrap_or_default()", 0),
        ("b.expect_err(\"a\")", 0),
        ("writeln!(out)", 0),
        ("// b.unwrap()", 0),
        ("MyColor::Red", 0),
    ] {
        assert_eq!(not_in_code("src/session.rs", line).len(), count, "{line}");
    }
    assert!(not_in_code("src/screen/theme.rs", "fg(Color::Red)").is_empty());
}

#[test]
fn no_file_is_too_long() {
    let mut found = Vec::new();
    for (name, text) in files("src").into_iter().chain(files("tests")) {
        let lines = text.lines().count();
        let longer = LONGER.iter().find(|(longer, _)| *longer == name);
        let most = longer.map_or(MOST_LINES, |(_, most)| *most);
        if lines > most {
            found.push(format!("{name}: {lines} lines, at most {most}"));
        }
        if longer.is_some() && lines <= MOST_LINES {
            found.push(format!("{name}: short enough now, take it off the list"));
        }
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

/// A file of tests that no `mod` names would never run.
fn undeclared(files: &[(String, String)]) -> Vec<String> {
    let mut lost = Vec::new();
    for (name, _) in files.iter().filter(|(name, _)| name != "tests/it/main.rs") {
        let (folder, own) = name.rsplit_once('/').expect("a folder");
        let parent = if folder == "tests/it" {
            "tests/it/main.rs".to_owned()
        } else {
            format!("{folder}.rs")
        };
        let own = own.strip_suffix(".rs").unwrap_or(own);
        let line = format!("mod {own};");
        let declared = files.iter().any(|(file, text)| {
            *file == parent
                && text.lines().any(|l| {
                    l.trim_start_matches("pub(crate) ")
                        .trim_start_matches("pub ")
                        == line
                })
        });
        if !declared {
            lost.push(name.clone());
        }
    }
    lost
}

#[test]
fn every_file_of_tests_is_declared() {
    let files = files("tests/it");
    assert!(files.len() > 20);
    assert_eq!(undeclared(&files), [""; 0]);
    let file = |name: &str, text: &str| (name.to_owned(), text.to_owned());
    let made_up = [
        file("tests/it/main.rs", "mod a;\npub(crate) mod b;"),
        file("tests/it/a.rs", "// mod lost;"),
        file("tests/it/b.rs", "mod c;"),
        file("tests/it/b/c.rs", ""),
        file("tests/it/a/lost.rs", ""),
        file("tests/it/gone.rs", ""),
    ];
    assert_eq!(
        undeclared(&made_up),
        ["tests/it/a/lost.rs", "tests/it/gone.rs"]
    );
}

#[test]
fn every_command_says_what_it_does() {
    for spec in COMMANDS {
        let begins = spec.does.chars().next().is_some_and(char::is_uppercase);
        assert!(begins && spec.does.ends_with('.'), "{:?}", spec.command);
        assert!(spec.does.chars().count() >= 3, "{:?}", spec.command);
        assert!(!spec.keys.is_empty() && !spec.contexts.is_empty());
    }
    // Every context has an option and one to somewhere.
    for context in Context::ALL {
        let own = COMMANDS.iter().filter(|s| s.contexts.contains(&context));
        let keys: Vec<_> = own.flat_map(|spec| spec.keys).collect();
        assert!(keys.contains(&&"ctrl-c"), "{context:?}");
        assert!(keys.len() > 2, "{context:?}");
    }
}
