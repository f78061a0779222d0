//! The shape of the code: who may import whom, what may stand where, how long a file may be.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use casepan::session::command::{COMMANDS, Context};

/// Each module with those it may import. The four at the end stand on top and may import anything.
///
/// The sentences of errors stand below everything that has errors, so that this part of `phrase` is a row of its own.
pub(crate) const MAY_IMPORT: &[(&str, &str)] = &[
    ("tooth", ""),
    ("phrase::faults", "fact tooth text"),
    ("phrase::program::values", ""),
    ("text", ""),
    ("ronfile", ""),
    ("fact", "tooth"),
    ("logic", "fact"),
    ("case", "fact tooth ronfile text"),
    ("flow", "logic fact case ronfile text tooth"),
    ("mechanics", ""),
    ("statistics", ""),
    ("prep", "fact mechanics tooth"),
    ("derive", "prep case fact flow logic mechanics tooth"),
    ("judge", "derive case fact flow logic"),
    (
        "options",
        "judge derive prep case fact flow logic mechanics tooth",
    ),
    (
        "practice",
        "statistics judge derive case fact flow logic tooth",
    ),
    (
        "phrase",
        "practice options judge derive case fact flow logic tooth text",
    ),
    (
        "learn",
        "phrase statistics judge derive case fact flow logic",
    ),
    ("call", "phrase judge derive case fact flow logic"),
    ("state", "call phrase judge derive flow case fact"),
    ("drawing", "learn statistics derive fact tooth judge case"),
    (
        "print",
        "state call phrase practice options drawing learn statistics judge derive case fact flow logic tooth mechanics",
    ),
    (
        "worklist",
        "state call phrase judge derive flow case fact tooth text",
    ),
    (
        "session",
        "worklist learn state call judge options phrase drawing derive flow logic fact case tooth text print",
    ),
    ("archive", "case text"),
    ("error", "archive phrase flow ronfile text"),
    ("files", "error phrase text"),
    (
        "desk",
        "session learn worklist state archive print phrase practice options judge derive flow fact case tooth ronfile error files text",
    ),
    (
        "screen",
        "desk session error drawing phrase flow fact tooth",
    ),
    (
        "ask",
        "desk session error phrase fact case tooth text ronfile flow",
    ),
    (
        "settings",
        "screen session print phrase error ronfile tooth text",
    ),
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
/// Unit tests stand at the end of a file, or in files of their own that are called `tests` or lie in a folder of that name.
fn code<'t>(name: &str, text: &'t str) -> Vec<(usize, &'t str)> {
    if name.ends_with("/tests.rs") || name.contains("/tests/") {
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
    let path = inner.replace('/', "::");
    if let Some(low) = LOW.iter().find(|low| path.starts_with(**low)) {
        return low;
    }
    let first = inner.split('/').next().unwrap_or(inner);
    first.strip_suffix(".rs").unwrap_or(first)
}

/// The parts of `phrase` that every room may use: sentences of errors, and help of the values that the command line takes.
const LOW: [&str; 2] = ["phrase::faults", "phrase::program::values"];

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
                if let Some(low) = LOW.iter().find(|low| name.starts_with(**low)) {
                    list.push((*number, (*low).to_owned()));
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
    if matches!(own, "mechanics" | "ronfile" | "statistics") {
        return Vec::new();
    }
    let may: BTreeSet<&str> = may.split(' ').collect();
    named(&code(name, text))
        .into_iter()
        .filter(|(_, other)| other != own && !LOW.contains(&other.as_str()))
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

/// Where sentences may stand: the room of words, the tables of the trade's vocabulary, and the crates that stand by
/// themselves.
const ROOMS_OF_WORDS: &[&str] = &[
    "src/phrase.rs",
    "src/phrase/",
    "src/fact/catalogue.rs",
    "src/tooth/table.rs",
    "src/ronfile/",
    "src/mechanics/",
    "src/statistics/",
];

/// Texts of three words and more that nobody reads as a sentence: the file, how the text begins, and why.
const NO_SENTENCES: &[(&str, &str, &str)] = &[
    ("src/archive/", "SELECT ", "SQL"),
    ("src/archive/", "INSERT ", "SQL"),
    ("src/archive/", "PRAGMA ", "SQL"),
    ("src/archive/sqlite/work.rs", "closed, ", "columns"),
    ("src/archive/", "BEGIN ", "SQL"),
    ("src/archive/", "DELETE ", "SQL"),
    ("src/archive/", "\nCREATE ", "SQL"),
    ("src/archive/", "UPDATE ", "SQL"),
    ("src/case/decision.rs", "as it is", "a name in JSON"),
    ("src/case/decision.rs", "no decision yet", "a name in JSON"),
    ("src/case/file/", "", "RON as it is written"),
    ("src/cli", "casepan ", "a line that can be typed"),
    ("src/print/html.rs", "", "HTML and CSS"),
    ("src/screen/terminal.rs", "asked to fail", "for tests alone"),
    (
        "src/screen/terminal.rs",
        "failing is what it is for",
        "why a lint is off",
    ),
];

/// The texts in quotes of some code, each with its line.
fn texts(code: &[(usize, &str)]) -> Vec<(usize, String)> {
    let mut list = Vec::new();
    let mut open: Option<(usize, String)> = None;
    for (number, line) in code {
        let mut chars = line.chars().peekable();
        while let Some(c) = chars.next() {
            match (&mut open, c) {
                (Some((_, text)), '\\') => match chars.next() {
                    Some('n') => text.push('\n'),
                    Some(other) => text.push(other),
                    // A line that goes on: the blanks before the next word are not meant.
                    None => text.push(' '),
                },
                (Some(_), '"') => list.extend(open.take()),
                (Some((_, text)), c) => text.push(c),
                // A quotation mark as a character, and not a lifetime.
                (None, '\'') if chars.peek() == Some(&'"') => {
                    chars.next();
                }
                (None, '"') => open = Some((*number, String::new())),
                (None, _) => {}
            }
        }
        if let Some((_, text)) = &mut open {
            text.push('\n');
        }
    }
    list
}

/// Whether a text has three words and more beside what is filled in.
fn is_sentence(text: &str) -> bool {
    let mut depth = 0_i32;
    let bare: String = text
        .chars()
        .filter(|c| {
            depth += i32::from(*c == '{');
            let inside = depth > 0;
            depth -= i32::from(*c == '}');
            !inside
        })
        .collect();
    let is_word = |word: &&str| {
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        word.chars().count() > 1 && word.chars().all(|c| c.is_alphabetic() || "'’-".contains(c))
    };
    bare.split_whitespace().filter(is_word).count() >= 3
}

fn sentences(name: &str, text: &str) -> Vec<String> {
    if ROOMS_OF_WORDS.iter().any(|room| name.starts_with(room)) {
        return Vec::new();
    }
    let known = |text: &str| {
        let mut known = NO_SENTENCES.iter();
        known.any(|(file, begins, _)| name.starts_with(file) && text.starts_with(begins))
    };
    texts(&code(name, text))
        .into_iter()
        .filter(|(_, text)| is_sentence(text) && !known(text))
        .map(|(line, text)| format!("{name}:{line}: {text}"))
        .collect()
}

#[test]
fn sentences_stand_in_the_room_of_words_alone() {
    let mut found = Vec::new();
    for (name, text) in files("src") {
        found.extend(sentences(&name, &text));
    }
    assert!(found.is_empty(), "{}", found.join("\n"));
}

#[test]
fn a_sentence_outside_the_room_of_words_would_be_found() {
    let room = "src/screen/pages.rs";
    for (code, count) in [
        ("let a = \"nothing was found here\";", 1),
        ("let a = format!(\"{n} checks still need {answer}\");", 1),
        ("let a = \"one line that \\\n    goes on\";", 1),
        ("let a = (\"two words\", '\"', \"id-of-it\");", 0),
        ("// A comment with a \"sentence in it\" is none.", 0),
        ("let a = \"{place} {label}: {value}\";", 0),
    ] {
        assert_eq!(sentences(room, code).len(), count, "{code}");
        assert_eq!(sentences("src/phrase/pages.rs", code).len(), 0);
    }
}
