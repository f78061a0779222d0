//! Manual pages and completions.

use casepan::error::EXIT_CODES;
use clap::{Command, CommandFactory as _, ValueEnum as _};

use super::help::commands;
use super::{CANNOT_CREATE, refused};
use crate::support::Home;

/// A page as it reads: dashes and points without the backslashes of the format.
fn page(home: &Home, path: &str) -> String {
    let name = format!("man1/{}.1", path.replace(' ', "-"));
    let text = std::fs::read_to_string(home.path(&name));
    text.unwrap_or_else(|error| panic!("{name}: {error}"))
        .replace('\\', "")
}

#[test]
fn every_command_has_a_page_with_its_options_examples_and_exit_codes() {
    let home = Home::new();
    let told = home.run(&["manual", "man1"]);
    assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
    let mut all = casepan::cli::Cli::command();
    all.build();
    let globals: Vec<String> = all
        .get_arguments()
        .filter(|argument| argument.is_global_set())
        .map(|argument| format!("--{}", argument.get_long().unwrap()))
        .collect();
    assert!(globals.contains(&"--archive".to_owned()));
    let list = commands();
    let pages = std::fs::read_dir(home.path("man1")).unwrap().count();
    assert_eq!(pages, list.len());
    for (path, command) in &list {
        let page = page(&home, path);
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
    let page = page(&home, "casepan");
    assert!(page.contains("CASEPAN_ARCHIVE"), "{page}");
    assert!(!page.contains("of-somebody"), "{page}");
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
