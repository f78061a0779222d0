//! A backup that cannot be put in place: the archive is where it was, or the error says where it is.

use std::fs;
use std::path::{Path, PathBuf};

use jiff::civil::DateTime;
use rusqlite::Connection;

use super::super::restore::Draft;
use super::super::{file, place, restore};
use super::opened;
use crate::archive::{Archive, ArchiveError, Trouble};

fn now() -> DateTime {
    "2026-11-27T21:45:03".parse().unwrap()
}

fn names(directory: &Path) -> Vec<String> {
    let files = fs::read_dir(directory).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// Makes an archive as a program that was cut off leaves it, its case in the log alone.
fn cut_off(path: &Path) {
    let whole = path.with_extension("whole");
    let mut archive = Archive::open(&whole).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    for end in ["", "-wal"] {
        fs::copy(place::ending(&whole, end), place::ending(path, end)).unwrap();
    }
    drop(archive);
    fs::remove_file(whole).unwrap();
}

fn cases(path: &Path) -> usize {
    Archive::open_existing(path).unwrap().cases().unwrap().len()
}

/// Makes an archive `a` without a case, and a draft of a backup with one; returns where the draft lies.
fn drafted(directory: &Path) -> (PathBuf, Draft, PathBuf) {
    let (path, backup) = (directory.join("a"), directory.join("b"));
    Archive::open(&path).unwrap();
    cut_off(&backup);
    let draft = restore::draft(&backup, &path).unwrap();
    let all = names(directory);
    let own = all.iter().find(|name| {
        name.starts_with(".casepan-") && !name.ends_with("-wal") && !name.ends_with("-shm")
    });
    let own = directory.join(own.unwrap());
    (path, draft, own)
}

#[test]
fn what_the_log_of_a_backup_holds_comes_with_it() {
    let directory = tempfile::tempdir().unwrap();
    let (path, draft, own) = drafted(directory.path());
    // Nobody opened and closed it: the log is as it was copied.
    assert!(fs::metadata(place::ending(&own, "-wal")).unwrap().len() > 0);
    draft.put_in_place(&path, now()).unwrap();
    assert_eq!(cases(&path), 1);
}

#[test]
fn a_backup_whose_log_cannot_be_taken_over_is_not_put_in_place() {
    let directory = tempfile::tempdir().unwrap();
    let (path, draft, own) = drafted(directory.path());
    // Whoever reads an earlier moment of it keeps the log from being taken over whole.
    let reader = Connection::open(&own).unwrap();
    reader.execute_batch("BEGIN").unwrap();
    let count = "SELECT COUNT(*) FROM entry";
    let read: i64 = reader.query_row(count, [], |row| row.get(0)).unwrap();
    assert_eq!(read, 1);
    let other = Connection::open(&own).unwrap();
    other
        .execute_batch("UPDATE about SET program = 'another'")
        .unwrap();
    drop(other);
    let error = draft.put_in_place(&path, now()).unwrap_err();
    assert_eq!(error.kind(), Trouble::Io);
    assert!(
        error.to_string().contains("could not be taken over"),
        "{error}"
    );
    assert_eq!(cases(&path), 0);
    drop(reader);
    assert!(
        !names(directory.path())
            .iter()
            .any(|name| name.contains("before"))
    );
}

#[test]
fn an_archive_that_nobody_could_look_into_stays_where_it_is() {
    let directory = tempfile::tempdir().unwrap();
    let (path, draft, _) = drafted(directory.path());
    fs::remove_file(&path).unwrap();
    // It cannot be opened, which says nothing of damage.
    fs::create_dir(&path).unwrap();
    let error = draft.put_in_place(&path, now()).unwrap_err();
    assert_eq!(error, ArchiveError::ReadOnly(path.clone()));
    assert!(path.is_dir());
    assert!(
        !names(directory.path())
            .iter()
            .any(|name| name.contains("before"))
    );
}

#[test]
fn an_archive_is_taken_back_where_the_backup_cannot_take_its_place() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    cut_off(&path);
    let before = fs::read(place::ending(&path, "-wal")).unwrap();
    let whole = file::temporary(&path).unwrap();
    // Somebody takes the copy away at the last moment.
    fs::remove_file(&whole).unwrap();
    let error = restore::replace(whole, &path, now()).unwrap_err();
    assert!(matches!(error, ArchiveError::Io { .. }), "{error:?}");
    assert_eq!(fs::read(place::ending(&path, "-wal")).unwrap(), before);
    assert_eq!(cases(&path), 1);
    assert_eq!(names(directory.path()), ["a"]);
}

#[test]
fn an_archive_that_cannot_be_taken_back_is_named() {
    let directory = tempfile::tempdir().unwrap();
    let (path, aside) = (
        directory.path().join("a"),
        directory.path().join("a.before"),
    );
    cut_off(&aside);
    let failed = || ArchiveError::TargetExists(path.clone());
    // Another one has taken the place: its log and this one must not be mixed.
    Archive::open(&path).unwrap();
    let error = restore::take_back(&path, &aside, failed());
    let ArchiveError::LeftAside { aside: left, .. } = &error else {
        panic!("{error:?}");
    };
    assert_eq!(*left, aside);
    assert!(
        error.to_string().contains("a.before, and could not"),
        "{error}"
    );
    assert!(error.to_string().contains("is there already"), "{error}");
    assert!(error.hint().unwrap().contains("-wal"));
    assert_eq!(names(directory.path()), ["a", "a.before", "a.before-wal"]);
    assert_eq!((cases(&path), cases(&aside)), (0, 1));
    // With nothing aside nothing was moved.
    let none = directory.path().join("none");
    assert_eq!(restore::take_back(&path, &none, failed()), failed());
}
