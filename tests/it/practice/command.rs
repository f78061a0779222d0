//! Practice as plain lines, and the record of it.

use casepan::archive::Archive;
use casepan::practice::{Asks, Drill, drill, nth};

use crate::good::flow;
use crate::support::{Home, Output};

const USAGE: i32 = 64;
const DATA: i32 = 65;

fn course(seed: u64, count: usize) -> Vec<Drill> {
    let numbers = (0..count).map(|number| nth(seed, number));
    numbers
        .map(|(kind, seed)| drill(flow(), kind, seed).unwrap())
        .collect()
}

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

/// The line that answers a drill rightly, and an empty one where the reading that decides is asked for.
fn right(own: &Drill) -> String {
    let more = if own.decides.is_empty() { "" } else { "\n" };
    format!("{}\n{more}", own.right + 1)
}

fn wrong(own: &Drill) -> String {
    let other = if own.right == 0 { 2 } else { 1 };
    format!("{other}\n")
}

#[test]
fn drills_are_answered_kept_and_come_back() {
    let home = Home::new();
    let own = course(7, 3);
    let run = |who: &str, count: &str, input: &str| {
        let args = [
            "--archive",
            "a.casepan",
            "--who",
            who,
            "practise",
            "--seed",
            "7",
            "--count",
            count,
        ];
        home.run_with(&args, input.as_bytes())
    };
    let input = [right(&own[0]), wrong(&own[1]), right(&own[2])].concat();
    let told = good(run("t2", "3", &input));
    assert!(told.contains("Practice\n3 drills, all new.\n"), "{told}");
    assert!(told.contains("3 drills answered, 2 right."), "{told}");
    assert!(told.contains("Missed, the most harmful first:"), "{told}");
    assert_eq!(told.matches("Comes back tomorrow.").count(), 2, "{told}");
    assert_eq!(told.matches("Right: ").count(), 2, "{told}");

    // What was kept is what was answered, and is not asked again today.
    let archive = Archive::open_existing(&home.path("a.casepan")).unwrap();
    let rows = archive.practice().unwrap();
    assert_eq!(rows.len(), 3);
    assert!(rows.iter().all(|row| row.who == "t2"));
    let (kind, seed) = nth(7, 1);
    let missed = &rows[1].act["drill"];
    assert_eq!(missed["kind"], serde_json::to_value(kind).unwrap());
    assert_eq!(missed["seed"], seed);
    assert_eq!(
        (&missed["days"], &missed["recalled"]),
        (&1.into(), &0.into())
    );
    assert_eq!(archive.check(), Ok(vec![]));
    drop(archive);
    let fourth = course(7, 4).pop().unwrap();
    let told = good(run("t2", "1", &right(&fourth)));
    assert!(told.contains("1 drill, all new."), "{told}");
    // Somebody else begins at the beginning.
    let told = good(run("t3", "1", &right(&own[0])));
    assert!(told.contains("Nothing was missed."), "{told}");
}

#[test]
fn a_line_that_is_no_answer_ends_a_script_and_what_was_answered_is_kept() {
    let home = Home::new();
    let own = course(7, 2);
    let args = [
        "--archive",
        "a.casepan",
        "--who",
        "t2",
        "practise",
        "--seed",
        "7",
        "--count",
        "2",
    ];
    let input = format!("{}nine\n{}", right(&own[0]), right(&own[1]));
    let output = home.run_with(&args, input.as_bytes());
    assert_eq!(output.code, Some(DATA), "{output:?}");
    assert!(
        output.stderr.contains("\"nine\" is no answer"),
        "{output:?}"
    );
    assert!(
        output.stdout.contains("1 drill answered, 1 right."),
        "{output:?}"
    );
    let archive = Archive::open_existing(&home.path("a.casepan")).unwrap();
    assert_eq!(archive.practice().unwrap().len(), 1);
    // "stop" and the end of the input end it without a fault.
    let told = good(home.run_with(&args, b"stop\n"));
    assert!(told.contains("Nothing was answered."), "{told}");
}

#[test]
fn each_sees_the_own_record_and_a_supervisor_all() {
    let home = Home::new();
    let own = course(7, 1);
    for who in ["t2", "t3"] {
        let args = [
            "--archive",
            "a.casepan",
            "--who",
            who,
            "practise",
            "--seed",
            "7",
            "--count",
            "1",
        ];
        good(home.run_with(&args, right(&own[0]).as_bytes()));
    }
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    let told = good(run(&["--who", "t2", "practise", "--record"]));
    assert!(
        told.starts_with("Practice of t2\n1 drill answered; none is due.\n"),
        "{told}"
    );
    assert!(!told.contains("t3"), "{told}");
    let refused = run(&["--who", "t2", "practise", "--record", "--of", "t3"]);
    assert_eq!(refused.code, Some(USAGE), "{refused:?}");
    assert!(refused.stderr.contains("somebody else"), "{refused:?}");
    let of_what = run(&["--who", "t2", "practise", "--of", "t2"]);
    assert_eq!(of_what.code, Some(USAGE), "{of_what:?}");
    let nobody = run(&["practise"]);
    assert_eq!(nobody.code, Some(USAGE), "{nobody:?}");
    let all = good(run(&["--supervisor", "practise", "--record"]));
    assert!(
        all.contains("Practice of t2") && all.contains("Practice of t3"),
        "{all}"
    );
    let one = good(run(&["--supervisor", "practise", "--record", "--of", "t3"]));
    assert!(
        one.contains("Practice of t3") && !one.contains("t2"),
        "{one}"
    );
}

#[test]
fn practice_goes_with_an_archive_that_moves() {
    let home = Home::new();
    let own = course(7, 1);
    let args = [
        "--archive",
        "a.casepan",
        "--who",
        "t2",
        "practise",
        "--seed",
        "7",
        "--count",
        "1",
    ];
    good(home.run_with(&args, right(&own[0]).as_bytes()));
    home.file("case.ron", crate::practice::CASE);
    good(home.run(&["--archive", "a.casepan", "archive", "import", "case.ron"]));
    good(home.run(&[
        "--archive",
        "a.casepan",
        "archive",
        "export",
        "--to",
        "whole",
    ]));
    for _ in 0..2 {
        good(home.run(&["--archive", "b.casepan", "archive", "import", "whole"]));
    }
    let rows = |name: &str| {
        Archive::open_existing(&home.path(name))
            .unwrap()
            .practice()
            .unwrap()
    };
    assert_eq!(rows("a.casepan"), rows("b.casepan"));
}

/// An answer is kept before it is told: whoever was told it finds it in the archive, however the program ended.
#[cfg(unix)]
#[test]
fn what_was_told_is_kept_when_the_program_is_killed() {
    use std::io::{BufRead as _, BufReader, Write as _};

    let home = Home::new();
    let own = course(7, 2);
    let mut program = home
        .command(env!("CARGO_BIN_EXE_casepan"))
        .args(["--archive", "a.casepan", "--who", "t2", "practise"])
        .args(["--seed", "7", "--count", "2"])
        .stdin(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    let mut input = program.stdin.take().unwrap();
    input.write_all(right(&own[0]).as_bytes()).unwrap();
    input.flush().unwrap();
    let output = BufReader::new(program.stdout.take().unwrap());
    let told = output
        .lines()
        .map(Result::unwrap)
        .find(|line| line.starts_with("Drill 2"));
    assert!(told.is_some());
    program.kill().unwrap();
    program.wait().unwrap();
    let archive = Archive::open_existing(&home.path("a.casepan")).unwrap();
    assert_eq!(archive.practice().unwrap().len(), 1);
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn a_sheet_has_its_key_behind_all_drills() {
    let home = Home::new();
    let sheet = |format: &str| {
        let args = [
            "practise", "--sheet", "--count", "5", "--seed", "7", "--as", format,
        ];
        good(home.run(&args))
    };
    let text = sheet("text");
    let (asked, key) = text.split_once("\nKey\n===\n").expect("a key");
    assert_eq!(asked.matches("Drill ").count(), 5, "{text}");
    assert_eq!(key.matches("Right: ").count(), 5, "{text}");
    assert!(
        !asked.contains("Right: ") && !asked.contains("Decided by"),
        "{asked}"
    );
    assert!(asked.contains("[ ] "), "{asked}");
    // What is right on the sheet is what the drill says.
    let own = course(7, 5);
    let sound = own
        .iter()
        .filter(|own| own.asks == Asks::Result && own.right == 0);
    assert_eq!(key.matches("Right: nothing found.").count(), sound.count());
    assert!(key.trim_end().ends_with("take precedence."), "{key}");
    let html = sheet("html");
    assert_eq!(html.matches("<section").count(), 2, "a page for the key");
    let before = html.split("<section").nth(1).unwrap();
    assert!(
        !before.contains("Right: ") && !before.contains("<svg"),
        "{before}"
    );
    // Nothing was kept.
    assert!(!home.path("data").exists());
}
