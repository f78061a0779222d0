//! Manual pages and completions.

use std::path::Path;

use casepan::cli::{Cli, ObjectName};
use casepan::error::EXIT_CODES;
use casepan::phrase::glossary::TERMS;
use casepan::print::{Format, Sheet};
use casepan::screen::{Signs, TextRole, ThemeName};
use casepan::session::command::{COMMANDS, Context};
use casepan::tooth::Notation;
use clap::{Command, CommandFactory as _, Parser as _, ValueEnum};

use super::help::{commands, words};
use super::{CANNOT_CREATE, refused};
use crate::support::Home;

/// A page as it reads: signs without the backslashes of the format.
pub(super) fn page(home: &Home, directory: &str, name: &str) -> String {
    let text = std::fs::read_to_string(home.path(&format!("{directory}/{name}")));
    text.unwrap_or_else(|error| panic!("{name}: {error}"))
        .replace("\\*(Aq", "'")
        .replace("\\(ti", "~")
        .replace("\\(ha", "^")
        .replace("\\(ga", "`")
        .replace('\\', "")
}

/// The page of a command.
fn page_of(home: &Home, path: &str) -> String {
    page(home, "man1", &format!("{}.1", path.replace(' ', "-")))
}

/// The pages on subjects, name and Markdown.
fn chapters() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/phrase/program/manual");
    let mut list = Vec::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|ending| ending == "md") {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            list.push((name, std::fs::read_to_string(&path).unwrap()));
        }
    }
    list.sort();
    list
}

#[test]
fn every_command_has_a_page_with_its_options_examples_and_exit_codes() {
    let home = Home::new();
    let told = home.run(&["manual", "man1"]);
    assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
    let mut all = Cli::command();
    all.build();
    let globals: Vec<String> = all
        .get_arguments()
        .filter(|argument| argument.is_global_set())
        .map(|argument| format!("--{}", argument.get_long().unwrap()))
        .collect();
    assert!(globals.contains(&"--archive".to_owned()));
    let list = commands();
    let pages = std::fs::read_dir(home.path("man1")).unwrap().count();
    assert_eq!(pages, list.len() + chapters().len());
    for (path, command) in &list {
        let page = page_of(&home, path);
        let about = command.get_about().unwrap().to_string();
        let begin: String = about.chars().take(20).collect();
        assert!(page.contains(&begin), "{path}: {about}");
        let own = command
            .get_arguments()
            .filter_map(|argument| argument.get_long());
        for option in own.map(|long| format!("--{long}")).chain(globals.clone()) {
            assert!(page.contains(&option), "{path}: {option}\n{page}");
        }
        for sub in command.get_subcommands().map(Command::get_name) {
            assert!(page.contains(sub), "{path}: {sub}");
        }
        for (code, name, meaning) in EXIT_CODES {
            let said = format!("fB{code}fR\n{name}: {meaning}");
            assert!(page.contains(&said), "{path}: {said}\n{page}");
        }
        assert!(page.contains("\n.nf\ncasepan"), "{path} has no example");
        assert!(page.contains("does not mean approved"), "{path}");
    }
    // Again, into the same directory, as after an update.
    assert_eq!(home.run(&["manual", "man1"]).code, Some(0));
}

/// What the person who makes the pages has in the environment is not in them.
#[test]
fn pages_name_variables_and_not_what_they_hold() {
    let home = Home::new().with("CASEPAN_ARCHIVE", "of-somebody.casepan");
    assert_eq!(home.run(&["manual", "man1"]).code, Some(0));
    let page = page_of(&home, "casepan");
    assert!(page.contains("CASEPAN_ARCHIVE"), "{page}");
    assert!(!page.contains("of-somebody"), "{page}");
}

/// The section of a page on a subject, which stands in its title.
fn file_of(name: &str, text: &str) -> String {
    let title = text.lines().next().unwrap();
    let begin = format!("# casepan-{name}(");
    let section = title.strip_prefix(&begin).and_then(|rest| rest.get(..1));
    let section = section.unwrap_or_else(|| panic!("{title}"));
    format!("casepan-{name}.{section}")
}

#[test]
fn every_subject_has_a_page_that_ends_with_the_caution_and_names_the_others() {
    let home = Home::new();
    assert_eq!(home.run(&["manual", "man"]).code, Some(0));
    let files: Vec<String> = chapters().iter().map(|(n, t)| file_of(n, t)).collect();
    for (name, text) in chapters() {
        let file = file_of(&name, &text);
        let page = page(&home, "man", &file);
        assert!(
            page.contains(&format!(".SH NAME\ncasepan-{name} - ")),
            "{page}"
        );
        let (_, caution) = page.rsplit_once(".SH CAUTION\n").unwrap();
        assert!(caution.starts_with(casepan::phrase::CAUTION), "{name}");
        for other in files.iter().filter(|other| **other != file) {
            let (name, section) = other.rsplit_once('.').unwrap();
            assert!(
                page.contains(&format!("fB{name}fR({section})")),
                "{file}: {other}"
            );
        }
        // A table stands in place of its name.
        let left = page
            .lines()
            .find(|line| line.starts_with('{') && line.ends_with('}'));
        assert_eq!(left, None, "{name}");
        // What a text says of another page is true.
        for part in text.split("casepan-").skip(1) {
            let told: String = part.chars().take_while(|c| *c != ')').collect();
            let Some((name, section)) = told.split_once('(') else {
                continue;
            };
            let file = format!("man/casepan-{name}.{section}");
            assert!(home.path(&file).exists(), "{told}) is not written");
        }
    }
}

/// Checks that rows stand in a page, each what is explained above its explanation.
#[track_caller]
fn holds<T: AsRef<str>>(page: &str, rows: impl IntoIterator<Item = (T, T)>) {
    for (tag, text) in rows {
        let text = text.as_ref();
        assert!(!text.is_empty(), "{} says nothing", tag.as_ref());
        let row = format!("\n.TP\nfB{}fR\n{}", tag.as_ref(), text.replace('`', ""));
        let page = page.replace("fB", "").replace("fR", "");
        let row = row.replace("fB", "").replace("fR", "");
        assert!(page.contains(&row), "{row:?} is not in\n{page}");
    }
}

fn values<T: ValueEnum>() -> Vec<(String, String)> {
    let values = T::value_variants().iter().filter_map(T::to_possible_value);
    values
        .map(|value| {
            let help = value.get_help().map(ToString::to_string);
            (value.get_name().to_owned(), help.unwrap_or_default())
        })
        .collect()
}

fn codes(list: &'static [(&str, &str)]) -> impl Iterator<Item = (&'static str, &'static str)> {
    list.iter().copied()
}

#[test]
fn every_row_of_every_table_stands_in_its_page() {
    let home = Home::new();
    assert_eq!(home.run(&["manual", "man"]).code, Some(0));
    let page = |name: &str| page(&home, "man", name);
    let keys = page("casepan-keys.7");
    for context in Context::ALL {
        let head = format!("\n.SS {}\n", quoted(context.title()));
        let (_, part) = keys.split_once(&head).unwrap_or_else(|| panic!("{head}"));
        let (_, anywhere) = keys.split_once("\n.SS anywhere\n").unwrap();
        for spec in COMMANDS
            .iter()
            .filter(|spec| spec.contexts.contains(&context))
        {
            let all = spec.contexts.len() == Context::ALL.len();
            let part = if all { anywhere } else { part };
            let part = part.split("\n.SS ").next().unwrap();
            let row = (spec.keys.join(" "), format!("{} ({})", spec.does, spec.id));
            holds(&format!("\n{part}"), [row]);
        }
    }
    let every = page("casepan-commands.7");
    holds(
        &every,
        EXIT_CODES
            .iter()
            .map(|(code, name, meaning)| (code.to_string(), format!("{name}: {meaning}"))),
    );
    holds(&every, values::<Notation>());
    holds(&every, values::<casepan::cli::Colour>());
    for (path, command) in commands() {
        let group = command.has_subcommands() && command.is_subcommand_required_set();
        assert!(group || every.contains(&format!("fB{path}")), "{path}");
    }
    holds(
        &page("casepan-inspection.7"),
        values::<casepan::case::coming::Part>(),
    );
    holds(&page("casepan-prints.7"), values::<Sheet>());
    holds(&page("casepan-prints.7"), values::<Format>());
    holds(&page("casepan-flow.5"), codes(casepan::flow::CODES));
    holds(&page("casepan-flow.5"), codes(casepan::ronfile::CODES));
    let settings = page("casepan-settings.5");
    holds(&settings, codes(casepan::settings::CODES));
    holds(&settings, values::<ThemeName>());
    holds(&settings, values::<Signs>());
    holds(
        &settings,
        TextRole::ALL.iter().map(|role| (role.name(), role.is())),
    );
    let json = page("casepan-json.5");
    holds(&json, values::<ObjectName>());
    let object = super::json::object(&home, &["flow", "facts", "--as", "json"], 0);
    let format = &object["format"];
    assert!(
        json.contains(&format!("fBformatfR is {format}.")),
        "{format}"
    );
    holds(
        &page("casepan-words.7"),
        TERMS.iter().map(|term| (term.name, term.is)),
    );
}

/// A heading as the format writes it.
fn quoted(text: &str) -> String {
    if text.contains(' ') {
        format!("\"{text}\"")
    } else {
        text.to_owned()
    }
}

/// The lines within code blocks of a Markdown text.
fn code(text: &str) -> impl Iterator<Item = &str> {
    let mut within = false;
    text.lines().filter(move |line| {
        let fence = line.starts_with("```");
        within ^= fence;
        within && !fence
    })
}

#[test]
fn every_line_to_type_in_manual_and_readme_can_be_typed() {
    let readme = Path::new(env!("CARGO_MANIFEST_DIR")).join("README.md");
    let readme = std::fs::read_to_string(readme).unwrap();
    let mut typed = 0;
    for (name, text) in chapters()
        .into_iter()
        .chain([("README".to_owned(), readme)])
    {
        for line in code(&text) {
            let line = line.rsplit(" | ").next().unwrap();
            if line == "casepan" || line.starts_with("casepan ") {
                // What the shell takes for a remark.
                let line = line.split("  #").next().unwrap();
                let parsed = Cli::try_parse_from(words(line));
                assert!(parsed.is_ok(), "{name}: {line}: {}", parsed.unwrap_err());
                typed += 1;
            }
        }
    }
    assert!(typed > 15, "{typed}");
}

/// The first example in RON of a page.
fn example(name: &str) -> String {
    let all = chapters();
    let (_, text) = all.iter().find(|(own, _)| own == name).unwrap();
    let (_, rest) = text.split_once("```ron\n").unwrap();
    rest.split_once("```").unwrap().0.to_owned()
}

#[test]
fn the_examples_of_a_case_and_of_a_rule_are_right() {
    let home = Home::new();
    home.file("case.ron", example("case"));
    let told = home.run(&["judge", "case.ron"]);
    assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
    assert_eq!(home.run(&["flow", "new", "our-flow"]).code, Some(0));
    home.file(
        "our-flow/rules/ours.ron",
        format!(
            "Rules([\n{}])\n",
            example("flow").trim_end().to_owned() + ",\n"
        ),
    );
    let told = home.run(&["flow", "check", "our-flow"]);
    assert_eq!(told.code, Some(0), "{}{}", told.stdout, told.stderr);
}

/// Where there is a `man` that warns, it has nothing to warn of.
#[cfg(unix)]
#[test]
fn the_pages_are_without_fault_to_a_formatter() {
    let home = Home::new();
    assert_eq!(home.run(&["manual", "man"]).code, Some(0));
    let lint = if home.shell("command -v mandoc").code == Some(0) {
        "mandoc -T lint -W warning"
    } else if home.shell("command -v groff").code == Some(0) {
        "groff -man -K utf8 -T utf8 -w w -z"
    } else {
        eprintln!("skipped: neither mandoc nor groff is installed");
        return;
    };
    for (name, text) in chapters() {
        let file = file_of(&name, &text);
        let told = home.shell(&format!("{lint} man/{file}"));
        assert_eq!(
            (told.code, told.stderr.as_str()),
            (Some(0), ""),
            "{file}: {told:?}"
        );
    }
}

#[test]
fn a_directory_that_cannot_be_made_is_told() {
    let home = Home::new();
    home.file("file", "");
    let told = home.run(&["manual", "file/man1"]);
    refused(&told, CANNOT_CREATE, &["file/man1", "name a directory"]);
}

#[test]
fn every_shell_gets_a_completion() {
    let home = Home::new();
    for shell in clap_complete::Shell::value_variants() {
        let shell = shell.to_possible_value().unwrap();
        let told = home.run(&["completions", shell.get_name()]);
        assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
        for word in ["instruction", "settings", "theme"] {
            assert!(told.stdout.contains(word), "{}: {word}", shell.get_name());
        }
    }
}

/// Where there is a bash, it can read its completion, and the completion answers.
#[cfg(unix)]
#[test]
fn the_completion_for_bash_is_one() {
    let home = Home::new();
    if home.shell("command -v bash").code != Some(0) {
        // Nothing to ask on this machine.
        return;
    }
    let line = "$casepan completions bash > c.bash && bash -n c.bash && bash -c '. ./c.bash; \
                COMP_WORDS=(casepan flow ch); COMP_CWORD=2; _casepan casepan ch flow; echo \"${COMPREPLY[@]}\"'";
    let told = home.shell(line);
    assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
    assert_eq!(told.stdout.trim(), "check");
}

/// A reader that goes away ends it quietly.
#[cfg(unix)]
#[test]
fn nobody_reading_on_is_no_failure_that_is_told() {
    let home = Home::new();
    for command in ["completions bash", "flow facts --as json", "flow facts"] {
        let told = home.shell(&format!("$casepan {command} | head -1"));
        assert_eq!(told.stderr, "", "{command}");
        assert_eq!(told.stdout.lines().count(), 1, "{command}");
    }
}
