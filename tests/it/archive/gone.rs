//! An archive that is taken away, replaced or emptied while it is open: nothing is called kept that is not found there.

#![cfg(unix)]

use std::fs::{self, File};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use casepan::archive::{Archive, ArchiveError, Trouble};

use super::support::{answer, case, new_archive};

fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

/// Does something to an archive that is open, and looks that the next answer is not called kept.
#[track_caller]
fn gone(how: &str, sentence: &str, act: impl Fn(&Path)) {
    let (_directory, path) = new_archive();
    let place = path.parent().unwrap().join("place");
    fs::create_dir(&place).unwrap();
    let path = place.join("cases.archive");
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    act(&path);
    let next = [answer(3, 1.0)];
    // Not the first time, and not when it is given again.
    for _ in 0..2 {
        let error = archive.append("1", &next).unwrap_err();
        assert!(matches!(error, ArchiveError::Gone { .. }), "{how}: {error}");
        assert_eq!(error.kind(), Trouble::Io);
        assert!(error.to_string().contains(sentence), "{how}: {error}");
        assert!(error.hint().unwrap().contains("restore a backup"));
    }
    // What was kept before is no longer called so either.
    let again = archive.append("1", &archive.journal("1").unwrap()[..1]);
    assert!(
        matches!(again, Err(ArchiveError::Gone { .. })),
        "{how}: {again:?}"
    );
}

const MOVED: &str = "was moved, replaced or deleted while it was open";

#[test]
fn an_archive_that_was_taken_away() {
    gone("renamed", MOVED, |path| {
        fs::rename(path, path.with_extension("old")).unwrap();
    });
    gone("deleted", MOVED, |path| fs::remove_file(path).unwrap());
    gone("folder renamed", MOVED, |path| {
        fs::rename(
            path.parent().unwrap(),
            path.parent().unwrap().with_extension("old"),
        )
        .unwrap();
    });
}

#[test]
fn an_archive_that_was_replaced() {
    gone("by a copy of it", MOVED, |path| {
        let copy = path.with_extension("copy");
        fs::copy(path, &copy).unwrap();
        fs::rename(&copy, path).unwrap();
    });
    gone("by another", MOVED, |path| {
        let other = path.with_extension("other");
        Archive::open(&other)
            .unwrap()
            .append("9", &case("9", 2))
            .unwrap();
        fs::rename(&other, path).unwrap();
    });
}

/// The log of the archive that was there must not be read into the one that lies there now.
#[test]
fn an_archive_that_takes_another_ones_place_is_read_as_it_was() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    let other = path.with_extension("other");
    Archive::open(&other)
        .unwrap()
        .append("9", &case("9", 4))
        .unwrap();
    fs::rename(&other, &path).unwrap();
    let error = archive.append("1", &[answer(3, 1.0)]).unwrap_err();
    assert!(matches!(error, ArchiveError::Gone { .. }), "{error}");
    let now = Archive::open(&path).unwrap();
    assert_eq!(now.check().unwrap(), []);
    assert_eq!(now.journal("9").unwrap().len(), 4);
    // What was kept before is in its log.
    assert!(beside(&path, "-wal.of-the-one-before").exists());
}

#[test]
fn an_archive_that_was_emptied() {
    gone("emptied", "was emptied or written over", |path| {
        File::options()
            .write(true)
            .open(path)
            .unwrap()
            .set_len(0)
            .unwrap();
    });
}

#[test]
fn an_archive_that_was_cut_short() {
    gone("cut short", "was emptied or written over", |path| {
        let file = File::options().write(true).open(path).unwrap();
        assert!(file.metadata().unwrap().len() > 4096);
        file.set_len(4096).unwrap();
    });
}

/// The log is the same file, and holds nothing of what it held.
#[test]
fn a_log_that_was_emptied_or_written_over() {
    let changed = |path: &Path, change: &dyn Fn(&File)| {
        let log = beside(path, "-wal");
        assert!(fs::metadata(&log).unwrap().len() > 4096);
        change(&File::options().write(true).open(log).unwrap());
    };
    gone("emptied log", "lost a file that belongs to it", |path| {
        changed(path, &|log| log.set_len(0).unwrap());
    });
    gone("another in it", "lost a file that belongs to it", |path| {
        changed(path, &|mut log| log.write_all(&[b'x'; 5000]).unwrap());
    });
}

/// Whoever takes over what the log holds, however thoroughly, takes nothing away.
#[test]
fn a_log_that_others_take_over_is_no_loss() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    let other = rusqlite::Connection::open(&path).unwrap();
    let mut entries = 3;
    for _ in 0..3 {
        for how in ["PASSIVE", "FULL", "RESTART", "TRUNCATE"] {
            let ask = format!("PRAGMA wal_checkpoint({how})");
            let busy: i64 = other.query_row(&ask, [], |row| row.get(0)).unwrap();
            assert_eq!(busy, 0, "{how}");
            if how == "TRUNCATE" {
                assert_eq!(fs::metadata(beside(&path, "-wal")).unwrap().len(), 0);
            }
            let next = [answer(entries, 1.0)];
            entries += 1;
            assert_eq!(archive.append("1", &next), Ok(entries), "{how}");
            assert_eq!(archive.append("1", &next), Ok(entries), "{how}");
        }
    }
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn an_archive_that_lost_its_log() {
    for end in ["-wal", "-shm"] {
        gone(end, "lost a file that belongs to it", |path| {
            fs::remove_file(beside(path, end)).unwrap();
        });
    }
    gone("another log", "lost a file that belongs to it", |path| {
        let log = beside(path, "-wal");
        fs::copy(&log, beside(path, "-copy")).unwrap();
        fs::rename(beside(path, "-copy"), log).unwrap();
    });
}

#[test]
fn an_answer_is_kept_once_the_archive_is_back() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    let old = path.with_extension("old");
    fs::rename(&path, &old).unwrap();
    let next = [answer(3, 1.0)];
    archive.append("1", &next).unwrap_err();
    fs::rename(&old, &path).unwrap();
    assert_eq!(archive.append("1", &next), Ok(4));
    assert_eq!(Archive::open(&path).unwrap().journal("1").unwrap().len(), 4);
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn a_link_to_an_archive_is_no_move() {
    let (directory, path) = new_archive();
    Archive::open(&path).unwrap();
    let link = directory.path().join("link");
    std::os::unix::fs::symlink(&path, &link).unwrap();
    let mut archive = Archive::open(&link).unwrap();
    assert_eq!(archive.append("1", &case("1", 3)), Ok(3));
    fs::rename(&path, path.with_extension("old")).unwrap();
    let error = archive.append("1", &[answer(3, 1.0)]).unwrap_err();
    assert!(matches!(error, ArchiveError::Gone { .. }), "{error}");
}

#[test]
fn no_archive_is_made_beside_a_log_that_was_left() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    fs::remove_file(&path).unwrap();
    for end in ["-wal", "-shm"] {
        let error = Archive::open(&path).unwrap_err();
        assert_eq!(error, ArchiveError::LeftBehind(path.clone()));
        assert_eq!(error.kind(), Trouble::Data);
        assert!(error.hint().unwrap().contains("restore a backup"));
        assert!(!path.exists());
        fs::remove_file(beside(&path, end)).unwrap();
    }
    Archive::open(&path).unwrap();
}
