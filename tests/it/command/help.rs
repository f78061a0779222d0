//! Help of every command: what it is, each argument, lines that can be typed, exit codes.

use casepan::cli::Cli;
use casepan::error::EXIT_CODES;
use clap::{Command, CommandFactory as _, Parser as _};

use super::{NO_INPUT, USAGE};
use crate::support::Home;

/// Every command below the program, each with its path.
pub(super) fn commands() -> Vec<(String, Command)> {
    fn add(command: &Command, path: &str, list: &mut Vec<(String, Command)>) {
        for sub in command.get_subcommands() {
            let path = format!("{path} {}", sub.get_name());
            list.push((path.clone(), sub.clone()));
            add(sub, &path, list);
        }
    }
    let mut list = vec![("casepan".to_owned(), Cli::command())];
    add(&Cli::command(), "casepan", &mut list);
    list
}

/// Splits a line as a shell does: at blanks, not within quotation marks, up to a redirection.
pub(super) fn words(line: &str) -> Vec<String> {
    let mut words = vec![String::new()];
    let mut quoted = false;
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            '>' | '<' | '|' if !quoted => break,
            ' ' if !quoted => words.push(String::new()),
            c => words.last_mut().unwrap().push(c),
        }
    }
    words.retain(|word| !word.is_empty());
    words
}

fn below(command: &Command) -> String {
    command
        .get_after_help()
        .map(ToString::to_string)
        .unwrap_or_default()
}

/// The example lines of a help.
fn examples(command: &Command) -> Vec<String> {
    let lines = below(command);
    let lines = lines.lines().filter_map(|line| line.strip_prefix("  "));
    lines
        .filter(|line| line.starts_with("casepan"))
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_command_and_every_argument_says_what_it_is() {
    let list = commands();
    assert!(list.len() > 20, "{}", list.len());
    for (path, command) in list {
        let about = command.get_about().map(ToString::to_string);
        assert!(about.is_some_and(|about| about.len() > 9), "{path}");
        for argument in command.get_arguments() {
            let help = argument.get_help().map(ToString::to_string);
            assert!(help.is_some_and(|help| help.len() > 5), "{path} {argument}");
        }
    }
}

#[test]
fn every_example_can_be_typed_and_is_of_its_command() {
    for (path, command) in commands() {
        let examples = examples(&command);
        assert!(!examples.is_empty(), "{path} has no example");
        for line in examples {
            assert!(line.len() < 76, "{line}: a narrow screen would break it");
            let words = words(&line);
            let parsed = Cli::try_parse_from(&words);
            assert!(parsed.is_ok(), "{line}: {}", parsed.unwrap_err());
            // Global options may stand before the command.
            let own: Vec<&str> = path.split(' ').skip(1).collect();
            let named = words.iter().map(String::as_str).collect::<Vec<_>>();
            let there = own.is_empty() || named.windows(own.len()).any(|part| part == own);
            assert!(there, "{line} is no example of {path}");
        }
    }
    assert!(Cli::try_parse_from(words("casepan instruction add K17")).is_err());
    assert_eq!(words("a \"b c\" > d"), ["a", "b c"]);
}

#[test]
fn exit_codes_stand_in_every_help() {
    for (path, command) in commands() {
        let below = below(&command);
        for (code, name, _) in EXIT_CODES {
            assert!(below.contains(&format!("{code} {name}")), "{path}: {code}");
        }
    }
    let home = Home::new();
    let told = home.run(&["--help"]);
    assert_eq!(told.code, Some(0));
    for (code, _, meaning) in EXIT_CODES {
        assert!(told.stdout.contains(&code.to_string()), "{}", told.stdout);
        let words: Vec<&str> = told.stdout.split_whitespace().collect();
        assert!(words.join(" ").contains(meaning), "{meaning}");
    }
    assert!(told.stdout.contains("The licensed dentist decides"));
}

/// What a script meets most is what the table says.
#[test]
fn exit_codes_are_those_of_the_table() {
    let home = Home::new();
    home.file("odd.ron", "Odd(");
    for (args, code) in [
        (&["--version"][..], 0),
        (&["no-such-command"], USAGE),
        (&["--theme", "pink"], USAGE),
        (&["judge", "odd.ron"], super::DATA),
        (&["judge", "gone.ron"], NO_INPUT),
        (&["--archive", "gone.casepan", "list"], 0),
        (&["--archive", "gone.casepan", "print", "1"], NO_INPUT),
        (&["manual", "odd.ron"], super::CANNOT_CREATE),
    ] {
        let told = home.run(args);
        assert_eq!(told.code, Some(code), "{args:?} {told:?}");
        let known = EXIT_CODES.iter().any(|(own, ..)| i32::from(*own) == code);
        assert!(known, "{code} is not in the table");
        assert!(code == 0 || told.stdout.is_empty(), "{args:?} {told:?}");
    }
}
