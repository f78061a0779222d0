//! What other processes see, and what is left when one is killed, has no room, or may not write.
//!
//! The test binary runs itself again as the other process: [`PLAY`] says what part to play.

#![cfg(unix)]
// The part that is played speaks to the test that started it over standard output.
#![allow(clippy::print_stdout)]

use std::fs::{self, Permissions};
use std::io::{BufRead, BufReader};
use std::os::unix::fs::PermissionsExt as _;
use std::os::unix::process::CommandExt as _;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

use casepan::archive::Archive;
use uuid::Uuid;

use super::support::{answer, case, new_archive, opened};

const PLAY: &str = "CASEPAN_TEST_ARCHIVE";
const CASE: &str = "CASEPAN_TEST_CASE";
/// How often two writers are killed, where it is not as often as usual.
const ROUNDS: &str = "CASEPAN_TEST_KILLS";

fn this_binary(test: &str, path: &Path, number: &str) -> Command {
    prepare(
        Command::new(std::env::current_exe().unwrap()),
        test,
        path,
        number,
    )
}

fn prepare(mut command: Command, test: &str, path: &Path, number: &str) -> Command {
    command
        .args(["--exact", test, "--nocapture", "--test-threads=1"])
        .env(PLAY, path)
        .env(CASE, number)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped());
    command
}

/// Plays the writer, where this process was started as one: opens a case and answers until it cannot.
///
/// An open archive is a line `opened`, each acknowledged entry a line `kept N`; a refusal is a line `refused KIND SENTENCE`.
fn write_as_told() -> bool {
    let Ok(path) = std::env::var(PLAY) else {
        return false;
    };
    let number = std::env::var(CASE).unwrap();
    let refused =
        |error: casepan::archive::ArchiveError| println!("\nrefused {:?} {error}", error.kind());
    if let Some(number) = number.strip_prefix(READ) {
        read(Path::new(&path), number);
        return true;
    }
    match Archive::open(Path::new(&path)) {
        Err(error) => refused(error),
        Ok(mut archive) => {
            println!("\nopened");
            let mut next = opened(&number);
            for seen in 1.. {
                match archive.append(&number, &[next]) {
                    // The line break comes first: the harness leaves a line open before it.
                    Ok(count) => println!("\nkept {count}"),
                    Err(error) => {
                        refused(error);
                        break;
                    }
                }
                next = answer(seen, 2.5);
            }
        }
    }
    true
}

/// Before the number of a case: it is read, not written.
const READ: &str = "read ";

/// Plays the reader: reads, checks, and tries to write.
fn read(path: &Path, number: &str) {
    let told = Archive::open_to_read(path).and_then(|mut archive| {
        let entries = archive.journal(number)?;
        let damages = archive.check()?.len();
        let refused = archive.append(number, &[answer(entries.len() as u64, 1.0)]);
        let copy = std::env::temp_dir().join(Uuid::new_v4().to_string());
        archive.backup(&copy)?;
        let backup = Archive::open(&copy)?.journal(number)?.len();
        fs::remove_file(copy).unwrap();
        let notes = archive.notes().len();
        Ok(format!(
            "{} entries, {backup} in a backup, {damages} damages, {notes} notes, {} refused",
            entries.len(),
            refused.is_err()
        ))
    });
    match told {
        Ok(told) => println!("\nread {told}"),
        Err(error) => println!("\nrefused {:?} {error}", error.kind()),
    }
}

/// Returns the numbers that a writer acknowledges, as they come.
fn acknowledged(child: &mut Child) -> Receiver<u64> {
    let lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let (sender, receiver) = channel();
    thread::spawn(move || {
        for line in lines.map_while(Result::ok) {
            if let Some(count) = line.strip_prefix("kept ") {
                // The last line can be cut short by the kill; a count is whole when its line is.
                let _ = sender.send(count.parse().unwrap());
            }
        }
    });
    receiver
}

#[test]
fn what_was_acknowledged_survives_a_kill() {
    if write_as_told() {
        return;
    }
    let test = "archive::process::what_was_acknowledged_survives_a_kill";
    let (mut _directory, mut path) = new_archive();
    let mut total = 0;
    let rounds = std::env::var(ROUNDS).map_or(15, |rounds| rounds.parse().unwrap());
    for round in 0..rounds {
        // Three rounds over what the kills before have left, then a new archive: the checks grow long.
        if round % 3 == 0 {
            (_directory, path) = new_archive();
        }
        // Two writers at once; one goes on while the other's end is looked at.
        let mut writers: Vec<_> = ["a", "b"]
            .into_iter()
            .map(|name| {
                let number = format!("{name}-{round}");
                let mut child = this_binary(test, &path, &number).spawn().unwrap();
                let counts = acknowledged(&mut child);
                (number, child, counts)
            })
            .collect();
        let mut firsts = Vec::new();
        for (.., counts) in &writers {
            firsts.push(counts.recv_timeout(Duration::from_secs(20)).unwrap());
        }
        for ((number, child, counts), first) in writers.iter_mut().zip(firsts) {
            let [random, ..] = Uuid::new_v4().into_bytes();
            thread::sleep(Duration::from_micros(u64::from(random) * 100));
            child.kill().unwrap();
            child.wait().unwrap();
            let last = counts.iter().last().unwrap_or(first);
            let archive = Archive::open_existing(&path).unwrap();
            let kept = archive.journal(number).unwrap().len() as u64;
            // The last one may have been kept without having been acknowledged.
            assert!(
                kept == last || kept == last + 1,
                "{number}: {kept} kept, {last} acknowledged"
            );
            total += last;
        }
        let archive = Archive::open_existing(&path).unwrap();
        assert_eq!(archive.check(), Ok(vec![]), "round {round}");
    }
    println!("{} kills, {total} acknowledged", 2 * rounds);
    // Otherwise nothing was shown.
    assert!(total > 150, "only {total} entries were acknowledged");
}

#[test]
fn a_full_disk_loses_nothing_that_was_acknowledged() {
    if write_as_told() {
        return;
    }
    let test = "archive::process::a_full_disk_loses_nothing_that_was_acknowledged";
    let (_directory, path) = new_archive();
    Archive::open(&path).unwrap();
    // A limit on the size of files stands in for the full disk; the signal that goes with it is ignored.
    let mut shell = Command::new("sh");
    shell.args(["-c", "trap '' XFSZ; ulimit -f 2400; exec \"$0\" \"$@\""]);
    shell.arg(std::env::current_exe().unwrap());
    let output = prepare(shell, test, &path, "1").output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    let last: u64 = said
        .lines()
        .filter_map(|line| line.strip_prefix("kept "))
        .next_back()
        .unwrap()
        .parse()
        .unwrap();
    let refusal = said
        .lines()
        .find(|line| line.starts_with("refused "))
        .unwrap();
    assert!(refusal.starts_with("refused Io "), "{refusal}");
    assert!(last > 10, "{said}");
    let mut archive = Archive::open_existing(&path).unwrap();
    assert_eq!(archive.check(), Ok(vec![]));
    assert_eq!(archive.journal("1").unwrap().len() as u64, last);
    assert_eq!(archive.append("1", &[answer(last, 1.0)]), Ok(last + 1));
}

/// Runs the writer as someone who is bound by permissions, which root is not, and returns its refusal.
fn refusal_of_someone_else(directory: &Path, path: &Path) -> String {
    let said = someone_else(directory, path, "1");
    // Not only once something is to be written.
    assert!(!said.lines().any(|line| line == "opened"), "{said}");
    said.lines()
        .find_map(|line| line.strip_prefix("refused "))
        .unwrap_or_else(|| panic!("not refused: {said}"))
        .to_owned()
}

/// Plays a part as someone who is bound by permissions, and returns what is said.
fn someone_else(directory: &Path, path: &Path, number: &str) -> String {
    let test = "archive::process::a_read_only_place_is_refused";
    let probe = directory.join("probe");
    fs::create_dir_all(&probe).unwrap();
    fs::set_permissions(&probe, Permissions::from_mode(0o555)).unwrap();
    let output = if fs::write(probe.join("x"), "").is_ok() {
        let binary = directory.join("binary");
        if !binary.exists() {
            fs::copy(std::env::current_exe().unwrap(), &binary).unwrap();
        }
        fs::set_permissions(&binary, Permissions::from_mode(0o755)).unwrap();
        let mut command = prepare(Command::new(binary), test, path, number);
        command.current_dir(directory).uid(65534).gid(65534);
        command.output().unwrap()
    } else {
        this_binary(test, path, number).output().unwrap()
    };
    String::from_utf8(output.stdout).unwrap()
}

#[test]
fn a_read_only_place_is_refused() {
    if write_as_told() {
        return;
    }
    let (directory, _) = new_archive();
    let directory = directory.path();
    fs::set_permissions(directory, Permissions::from_mode(0o755)).unwrap();
    let place = directory.join("place");
    fs::create_dir(&place).unwrap();
    let path = place.join("cases.archive");

    // A place where nothing can be made.
    fs::set_permissions(&place, Permissions::from_mode(0o555)).unwrap();
    for new in [path.clone(), place.join("lab/cases.archive")] {
        let refusal = refusal_of_someone_else(directory, &new);
        assert!(
            refusal.starts_with(&format!(
                "CannotCreate {} cannot be created: ",
                new.display()
            )),
            "{refusal}"
        );
    }

    // An archive that may not be written to, in such a place and in a free one.
    fs::set_permissions(&place, Permissions::from_mode(0o755)).unwrap();
    Archive::open(&path)
        .unwrap()
        .append("2", &case("2", 2))
        .unwrap();
    let sentence = format!(
        "CannotCreate the archive {} cannot be written to",
        path.display()
    );
    for (file, around) in [
        (0o444, 0o555),
        (0o444, 0o777),
        (0o666, 0o555),
        (0o000, 0o777),
        (0o666, 0o000),
    ] {
        fs::set_permissions(&path, Permissions::from_mode(file)).unwrap();
        fs::set_permissions(&place, Permissions::from_mode(around)).unwrap();
        assert_eq!(
            refusal_of_someone_else(directory, &path),
            sentence,
            "{file:o} in {around:o}"
        );
        fs::set_permissions(&place, Permissions::from_mode(0o755)).unwrap();
    }
    fs::set_permissions(&path, Permissions::from_mode(0o644)).unwrap();
    assert_eq!(Archive::open(&path).unwrap().check(), Ok(vec![]));

    // It can be read there all the same, as it is with the newest answers, and nothing is written.
    let reads = |file: u32, around: u32| -> String {
        fs::set_permissions(&path, Permissions::from_mode(file)).unwrap();
        fs::set_permissions(&place, Permissions::from_mode(around)).unwrap();
        let names = || fs::read_dir(&place).unwrap().count();
        let before = (fs::read(&path).unwrap(), names());
        let said = someone_else(directory, &path, "read 2");
        let after = (fs::read(&path).unwrap(), names());
        assert!(
            after == before,
            "{} files, {} before: {said}",
            after.1,
            before.1
        );
        fs::set_permissions(&place, Permissions::from_mode(0o755)).unwrap();
        let mut lines = said.lines();
        let line = lines.find(|line| line.starts_with("read ") || line.starts_with("refused "));
        line.unwrap_or_else(|| panic!("{said}")).to_owned()
    };
    for (file, around) in [(0o444, 0o555), (0o444, 0o777), (0o666, 0o555)] {
        let told = "read 2 entries, 2 in a backup, 0 damages, 0 notes, true refused";
        assert_eq!(reads(file, around), told, "{file:o} in {around:o}");
    }
    let mut archive = Archive::open(&path).unwrap();
    archive.append("2", &[answer(2, 1.0)]).unwrap();
    let log = place.join("cases.archive-wal");
    fs::set_permissions(&log, Permissions::from_mode(0o444)).unwrap();
    let told = "read 3 entries, 3 in a backup, 0 damages, 1 notes, true refused";
    assert_eq!(reads(0o444, 0o555), told);
    drop(archive);
    assert_eq!(
        reads(0o000, 0o555),
        format!(
            "refused NoInput you may not read the archive {}",
            path.display()
        )
    );
}
