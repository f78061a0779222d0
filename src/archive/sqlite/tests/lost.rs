//! The log beside an archive, with a bit turned over.

use std::fs;
use std::path::{Path, PathBuf};

use super::super::{place, wal};
use super::opened;
use crate::archive::Archive;

/// Keeps so many cases, one answer each, and copies the archive with its log as a power cut would leave them.
fn cut(directory: &Path, cases: usize) -> PathBuf {
    let path = directory.join("a");
    let mut archive = Archive::open(&path).unwrap();
    for number in 0..cases {
        let number = number.to_string();
        archive.append(&number, &[opened(&number)]).unwrap();
    }
    let copy = directory.join("copy");
    fs::copy(&path, &copy).unwrap();
    fs::copy(place::ending(&path, "-wal"), place::ending(&copy, "-wal")).unwrap();
    copy
}

fn frames(log: &[u8]) -> usize {
    (log.len() - 32) / (24 + 4096)
}

/// Where a frame ends an answer (sqlite.org/fileformat2.html, 4.1: bytes 4 to 7 of its head).
fn ends(log: &[u8], frame: usize) -> bool {
    let at = 32 + frame * (24 + 4096);
    log[at + 4..at + 8] != [0; 4]
}

#[test]
fn a_log_that_is_whole_or_cut_off_is_no_damage() {
    let directory = tempfile::tempdir().unwrap();
    let copy = cut(directory.path(), 6);
    let log = fs::read(place::ending(&copy, "-wal")).unwrap();
    assert!(frames(&log) > 12, "{}", frames(&log));
    assert_eq!(wal::lost_in(&log).0, 0);
    for length in (0..log.len()).step_by(511) {
        assert_eq!(wal::lost_in(&log[..length]).0, 0, "{length}");
    }
    // Any part of the last answer can be missing after a power cut, and the rest be there.
    let last = (0..frames(&log) - 1)
        .rev()
        .find(|f| ends(&log, *f))
        .unwrap()
        + 1;
    for frame in last..frames(&log) {
        let mut torn = log.clone();
        let at = 32 + frame * (24 + 4096);
        for part in (at..at + 4120).step_by(512) {
            torn[part..(part + 512).min(at + 4120)].fill(0);
            assert_eq!(wal::lost_in(&torn).0, 0, "{frame}");
        }
    }
}

#[test]
fn damage_before_the_last_answer_is_told_and_a_copy_kept() {
    let directory = tempfile::tempdir().unwrap();
    let copy = cut(directory.path(), 6);
    let beside = place::ending(&copy, "-wal");
    let log = fs::read(&beside).unwrap();
    let last = (0..frames(&log) - 1)
        .rev()
        .find(|f| ends(&log, *f))
        .unwrap()
        + 1;
    let mut told = 0;
    for frame in 0..last {
        let mut bad = log.clone();
        bad[32 + frame * (24 + 4096) + 24 + frame * 97 % 4000] ^= 4;
        let (lost, at) = wal::lost_in(&bad);
        assert_eq!(lost, frames(&log) - frame - 1, "{frame}");
        assert_eq!(at.start, 32 + frame * (24 + 4096), "{frame}");
        told += 1;
    }
    assert!(told > 10);
    let mut bad = log.clone();
    bad[32 + 24 + 1000] ^= 4;
    fs::write(&beside, &bad).unwrap();
    let archive = Archive::open(&copy).unwrap();
    let damages = archive.check().unwrap();
    assert!(
        damages
            .iter()
            .any(|d| d.sentence.contains("newest answers")),
        "{damages:?}"
    );
    assert!(
        archive.notes()[0].contains("newest answers"),
        "{:?}",
        archive.notes()
    );
    drop(archive);
    assert_eq!(fs::read(place::ending(&copy, ".damaged-log")).unwrap(), bad);
}

#[test]
fn a_log_that_was_kept_before_is_not_taken_for_this_one() {
    let directory = tempfile::tempdir().unwrap();
    let copy = cut(directory.path(), 6);
    let beside = place::ending(&copy, "-wal");
    let mut bad = fs::read(&beside).unwrap();
    bad[32 + 24 + 1000] ^= 4;
    let (first, second) = (
        place::ending(&copy, ".damaged-log"),
        place::ending(&copy, ".damaged-log.2"),
    );
    fs::write(&first, "of last year").unwrap();
    for _ in 0..2 {
        fs::write(&beside, &bad).unwrap();
        let archive = Archive::open(&copy).unwrap();
        let note = &archive.notes()[0];
        assert!(note.ends_with("copy.damaged-log.2"), "{note}");
        drop(archive);
        assert_eq!(fs::read(&first).unwrap(), b"of last year");
        assert_eq!(fs::read(&second).unwrap(), bad);
    }
    assert!(!place::ending(&copy, ".damaged-log.3").exists());
}

/// While others write, a log is read half from before and half from after.
#[test]
fn damage_that_a_second_reading_does_not_find_is_none() {
    let directory = tempfile::tempdir().unwrap();
    let copy = cut(directory.path(), 6);
    let log = fs::read(place::ending(&copy, "-wal")).unwrap();
    let torn = |frame: usize, byte: u8| {
        let mut torn = log.clone();
        torn[32 + frame * (24 + 4096) + 24 + 1000] ^= byte;
        torn
    };
    let lost = |readings: &[&Vec<u8>]| {
        let mut readings = readings.iter();
        wal::lost_twice(|| readings.next().map(|bytes| (*bytes).clone()))
    };
    let (one, same, other, later) = (torn(1, 4), torn(1, 4), torn(1, 8), torn(2, 4));
    let all = frames(&log);
    assert_eq!(lost(&[&one, &same]), all - 2);
    assert_eq!(lost(&[&one, &log]), 0);
    assert_eq!(lost(&[&one, &other, &log]), 0);
    assert_eq!(lost(&[&one, &later, &log]), 0);
    assert_eq!(lost(&[&one, &later, &later]), all - 3);
    // It never came to rest.
    assert_eq!(lost(&[&one, &other, &one, &other, &other]), 0);
    let mut begun_anew = one.clone();
    begun_anew.truncate(32 + 24);
    assert_eq!(lost(&[&one, &begun_anew]), 0);
}
