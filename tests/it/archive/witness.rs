//! What this computer saw of an archive before.

use std::fs;
use std::path::Path;

use casepan::archive::Archive;
use tempfile::tempdir;

use super::support::{answer, case, forge_log, new_archive, tamper};

/// Opens an archive and returns it with what it says.
fn seen(path: &Path, state: &Path) -> (Archive, Vec<String>) {
    let mut archive = Archive::open(path).unwrap();
    archive.witness_in(state).unwrap();
    let notes = archive.notes().to_vec();
    (archive, notes)
}

#[test]
fn an_older_archive_is_told_until_somebody_takes_it_as_it_is() {
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let state = &state.path().join("casepan");
    let (mut archive, notes) = seen(&path, state);
    assert!(notes.is_empty());
    archive.append("1", &case("1", 3)).unwrap();
    let backup = path.with_extension("backup");
    archive.backup(&backup).unwrap();
    archive
        .append("1", &[answer(3, 1.0), answer(4, 1.0)])
        .unwrap();
    drop(archive);
    assert!(seen(&path, state).1.is_empty());
    fs::copy(&backup, &path).unwrap();
    let older = "this archive is older than what this computer saw: 3 of 5 entries; later answers are missing";
    for _ in 0..2 {
        assert_eq!(seen(&path, state).1, [older]);
    }
    let (mut archive, _) = seen(&path, state);
    archive.append("1", &[answer(3, 2.0)]).unwrap();
    drop(archive);
    // Whoever goes on with it may not have seen what was told.
    let (mut archive, notes) = seen(&path, state);
    assert!(notes[0].contains("4 of 5 entries"), "{notes:?}");
    archive
        .append("1", &[answer(4, 2.0), answer(5, 2.0)])
        .unwrap();
    drop(archive);
    let (mut archive, notes) = seen(&path, state);
    assert!(
        notes[0].contains("is not the one that this computer saw"),
        "{notes:?}"
    );
    archive.take_as_it_is().unwrap();
    assert_eq!(archive.not_as_seen(), None);
    archive.append("1", &[answer(6, 2.0)]).unwrap();
    drop(archive);
    assert!(seen(&path, state).1.is_empty());
}

/// The program was cut off before it could close the archive, and what the log held is gone.
#[test]
fn what_was_kept_before_a_crash_was_seen() {
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let (mut archive, _) = seen(&path, state.path());
    archive.append("1", &case("1", 3)).unwrap();
    let backup = path.with_extension("backup");
    archive.backup(&backup).unwrap();
    archive.append("1", &[answer(3, 1.0)]).unwrap();
    std::mem::forget(archive);
    for end in ["", "-wal", "-shm"] {
        let mut name = path.as_os_str().to_os_string();
        name.push(end);
        fs::remove_file(Path::new(&name)).unwrap();
    }
    fs::copy(&backup, &path).unwrap();
    let (archive, notes) = seen(&path, state.path());
    assert!(notes[0].contains("3 of 4 entries"), "{notes:?}");
    assert_eq!(archive.not_as_seen(), Some(notes[0].as_str()));
}

#[test]
fn another_past_of_the_same_length_is_told() {
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let (mut archive, _) = seen(&path, state.path());
    archive.append("1", &case("1", 3)).unwrap();
    drop(archive);
    let copy = path.with_extension("backup");
    fs::copy(&path, &copy).unwrap();
    let mut other = Archive::open(&copy).unwrap();
    other.append("1", &[answer(3, 1.0)]).unwrap();
    drop(other);
    let (mut archive, _) = seen(&path, state.path());
    archive.append("1", &[answer(3, 7.0)]).unwrap();
    drop(archive);
    fs::copy(&copy, &path).unwrap();
    let (_, notes) = seen(&path, state.path());
    assert_eq!(notes.len(), 1);
    assert!(
        notes[0].contains("is not the one that this computer saw"),
        "{notes:?}"
    );
}

#[test]
fn a_chain_that_was_worked_out_anew_is_told() {
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let (mut archive, _) = seen(&path, state.path());
    archive.append("1", &case("1", 3)).unwrap();
    drop(archive);
    // The last answer goes, with its end and its line in the log, and all hashes hold.
    tamper(
        &path,
        "DELETE FROM entry WHERE number = 3; DELETE FROM log WHERE seq = 3;
         UPDATE head SET entries = 2, hash = (SELECT hash FROM entry WHERE number = 2)",
    );
    forge_log(&path);
    let (archive, notes) = seen(&path, state.path());
    assert_eq!(archive.check(), Ok(vec![]));
    assert!(notes[0].contains("2 of 3 entries"), "{notes:?}");
}

#[test]
fn a_copy_and_a_moved_archive_are_no_older_ones() {
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let (mut archive, _) = seen(&path, state.path());
    archive.append("1", &case("1", 3)).unwrap();
    let copy = path.with_extension("copy");
    archive.backup(&copy).unwrap();
    drop(archive);
    // Each goes its own way.
    let (mut archive, notes) = seen(&copy, state.path());
    assert!(notes.is_empty());
    archive.append("1", &[answer(3, 1.0)]).unwrap();
    drop(archive);
    let (mut archive, notes) = seen(&path, state.path());
    assert!(notes.is_empty(), "{notes:?}");
    archive
        .append("1", &[answer(3, 2.0), answer(4, 2.0)])
        .unwrap();
    drop(archive);
    // The copy takes the place of the archive under a third name, where nothing was seen yet.
    let third = path.with_extension("third");
    fs::rename(&path, &third).unwrap();
    assert!(seen(&third, state.path()).1.is_empty());
    // An archive that is older where it was moved to is told.
    let (mut archive, _) = seen(&third, state.path());
    archive.append("1", &[answer(5, 2.0)]).unwrap();
    let old = path.with_extension("old");
    archive.backup(&old).unwrap();
    archive.append("1", &[answer(6, 2.0)]).unwrap();
    drop(archive);
    fs::remove_file(&third).unwrap();
    let (_, notes) = seen(&old, state.path());
    assert!(notes[0].contains("6 of 7 entries"), "{notes:?}");
}

#[test]
#[cfg(unix)]
fn the_witness_is_private_and_can_be_missing() {
    use std::os::unix::fs::PermissionsExt as _;
    let (_directory, path) = new_archive();
    let state = tempdir().unwrap();
    let place = state.path().join("a/b");
    let (mut archive, _) = seen(&path, &place);
    archive.append("1", &case("1", 3)).unwrap();
    drop(archive);
    let files: Vec<_> = fs::read_dir(&place)
        .unwrap()
        .map(|f| f.unwrap().path())
        .collect();
    assert_eq!(files.len(), 1);
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!((mode(&files[0]), mode(&place)), (0o600, 0o700));
    fs::write(&files[0], "{ no list").unwrap();
    assert!(seen(&path, &place).1.is_empty());
    // A place where nothing can be kept.
    let (_, notes) = seen(&path, &files[0].join("x"));
    assert!(notes.is_empty());
}
