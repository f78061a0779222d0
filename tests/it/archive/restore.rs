//! A backup in the place of an archive, and who may read either.

use std::fs;
use std::path::{Path, PathBuf};

use casepan::archive::{Archive, ArchiveError, Trouble};
use jiff::civil::DateTime;
use tempfile::tempdir;

use super::support::{answer, case, new_archive, tamper};

fn now() -> DateTime {
    "2026-11-27T21:45:03".parse().unwrap()
}

fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(end);
    PathBuf::from(name)
}

fn names(directory: &Path) -> Vec<String> {
    let files = fs::read_dir(directory).unwrap();
    let mut names: Vec<String> = files
        .map(|file| file.unwrap().file_name().into_string().unwrap())
        .collect();
    names.sort();
    names
}

/// Makes an archive with 5 entries, and a backup of it with 3.
fn with_backup(path: &Path) -> PathBuf {
    let mut archive = Archive::open(path).unwrap();
    archive.append("1", &case("1", 3)).unwrap();
    let backup = path.with_extension("backup");
    archive.backup(&backup).unwrap();
    archive
        .append("1", &[answer(3, 1.0), answer(4, 1.0)])
        .unwrap();
    backup
}

#[test]
fn a_backup_takes_the_archives_place_and_nothing_is_lost() {
    let (directory, path) = new_archive();
    let backup = with_backup(&path);
    let before = fs::read(&backup).unwrap();
    let restored = Archive::restore(&backup, &path, now(), None).unwrap();
    assert_eq!(restored.cases, 1);
    let aside = beside(&path, ".before-2026-11-27-214503");
    assert_eq!(restored.aside.as_ref(), Some(&aside));
    let length = |path: &Path| Archive::open(path).unwrap().journal("1").unwrap().len();
    assert_eq!((length(&path), length(&aside)), (3, 5));
    assert_eq!(fs::read(&backup).unwrap(), before);
    assert_eq!(
        names(directory.path()),
        [
            "cases.archive",
            "cases.archive.before-2026-11-27-214503",
            "cases.backup"
        ]
    );
    // Twice in one second.
    let again = Archive::restore(&backup, &path, now(), None).unwrap();
    assert_eq!(again.aside, Some(beside(&aside, "-2")));
    // Where there was none.
    let new = directory.path().join("lab/new");
    let restored = Archive::restore(&backup, &new, now(), None).unwrap();
    assert_eq!((restored.aside, length(&new)), (None, 3));
}

#[test]
fn a_log_beside_the_archive_goes_aside_with_it() {
    let (_directory, path) = new_archive();
    let backup = with_backup(&path);
    // As a cut-off program leaves them: answers that stand in the log alone.
    let mut archive = Archive::open(&path).unwrap();
    archive.append("1", &[answer(5, 1.0)]).unwrap();
    let cut = path.with_extension("cut");
    for end in ["", "-wal"] {
        fs::copy(beside(&path, end), beside(&cut, end)).unwrap();
    }
    drop(archive);
    assert!(fs::metadata(beside(&cut, "-wal")).unwrap().len() > 0);
    let restored = Archive::restore(&backup, &cut, now(), None).unwrap();
    assert_eq!(Archive::open(&cut).unwrap().journal("1").unwrap().len(), 3);
    let aside = restored.aside.unwrap();
    assert_eq!(
        Archive::open(&aside).unwrap().journal("1").unwrap().len(),
        6
    );
    // A log that was left without its archive is no obstacle either.
    let left = path.with_extension("left");
    fs::write(beside(&left, "-wal"), "x").unwrap();
    let restored = Archive::restore(&backup, &left, now(), None).unwrap();
    assert_eq!(
        fs::read(beside(&restored.aside.unwrap(), "-wal")).unwrap(),
        b"x"
    );
    assert_eq!(Archive::open(&left).unwrap().check(), Ok(vec![]));
}

#[test]
fn a_damaged_archive_is_replaced() {
    let (_directory, path) = new_archive();
    let backup = with_backup(&path);
    for content in [vec![0; 9000], b"notes".to_vec(), Vec::new()] {
        fs::write(&path, &content).unwrap();
        let restored = Archive::restore(&backup, &path, now(), None).unwrap();
        assert_eq!(fs::read(restored.aside.unwrap()).unwrap(), content);
        assert_eq!(Archive::open(&path).unwrap().journal("1").unwrap().len(), 3);
    }
}

#[test]
fn what_is_no_good_backup_changes_nothing() {
    let (directory, path) = new_archive();
    let backup = with_backup(&path);
    let before = (fs::read(&path).unwrap(), names(directory.path()));
    let damaged = path.with_extension("damaged");
    fs::copy(&backup, &damaged).unwrap();
    tamper(&damaged, "DELETE FROM entry WHERE number = 3");
    let notes = path.with_extension("notes");
    fs::write(&notes, "notes").unwrap();
    let missing = path.with_extension("missing");
    for (bad, kind, sentence) in [
        (
            &damaged,
            Trouble::Data,
            "is damaged in 1 place; nothing was changed",
        ),
        (&notes, Trouble::Data, "is another kind of file"),
        (&missing, Trouble::NoInput, "there is no archive at"),
        (&path, Trouble::Usage, "is the archive itself"),
    ] {
        let error = Archive::restore(bad, &path, now(), None).unwrap_err();
        assert_eq!(error.kind(), kind, "{error}");
        assert!(error.to_string().contains(sentence), "{error}");
        assert!(
            error.to_string().contains(&bad.display().to_string()),
            "{error}"
        );
        assert!(error.hint().is_some());
    }
    fs::remove_file(damaged).unwrap();
    fs::remove_file(notes).unwrap();
    assert_eq!((fs::read(&path).unwrap(), names(directory.path())), before);
}

#[test]
fn nothing_is_put_in_place_while_others_have_it_open() {
    let (directory, path) = new_archive();
    let backup = with_backup(&path);
    let mut open = Archive::open(&path).unwrap();
    let error = Archive::restore(&backup, &path, now(), None).unwrap_err();
    assert_eq!(error, ArchiveError::InUse(path.clone()));
    assert_eq!(error.kind(), Trouble::Busy);
    assert_eq!(open.append("1", &[answer(5, 1.0)]), Ok(6));
    drop(open);
    assert_eq!(names(directory.path()), ["cases.archive", "cases.backup"]);
    Archive::restore(&backup, &path, now(), None).unwrap();
}

#[test]
fn a_restored_archive_is_no_older_one() {
    let (_directory, path) = new_archive();
    let backup = with_backup(&path);
    let state = tempdir().unwrap();
    let open = || {
        let mut archive = Archive::open(&path).unwrap();
        archive.witness_in(state.path()).unwrap();
        archive.notes().to_vec()
    };
    assert!(open().is_empty());
    Archive::restore(&backup, &path, now(), Some(state.path())).unwrap();
    assert!(open().is_empty(), "{:?}", open());
}

#[test]
#[cfg(unix)]
fn archives_and_copies_are_for_their_owner_alone() {
    use std::os::unix::fs::PermissionsExt as _;
    let mode = |path: &Path| fs::metadata(path).unwrap().permissions().mode() & 0o777;
    let (directory, _) = new_archive();
    let path = directory.path().join("lab/2026/a");
    let backup = with_backup(&path);
    assert_eq!(mode(&directory.path().join("lab")), 0o700);
    assert_eq!(mode(path.parent().unwrap()), 0o700);
    assert_eq!(mode(&backup), 0o600);
    // An archive that an earlier version made, or that was copied, is made so.
    for (file, is) in [
        (0o644, 0o600),
        (0o666, 0o600),
        (0o600, 0o600),
        (0o640, 0o600),
    ] {
        fs::set_permissions(&path, fs::Permissions::from_mode(file)).unwrap();
        let mut archive = Archive::open(&path).unwrap();
        archive.append("1", &[]).unwrap();
        for end in ["", "-wal", "-shm"] {
            assert_eq!(mode(&beside(&path, end)), is, "{file:o} {end}");
        }
    }
    // A group that shares the folder shares the archive.
    let shared = fs::Permissions::from_mode(0o770);
    fs::set_permissions(path.parent().unwrap(), shared).unwrap();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o664)).unwrap();
    Archive::open(&path).unwrap();
    assert_eq!(mode(&path), 0o660);
    let restored = Archive::restore(&backup, &path, now(), None).unwrap();
    assert_eq!(mode(&path), 0o600);
    assert_eq!(mode(&restored.aside.unwrap()), 0o660);
}

#[test]
#[cfg(target_os = "linux")]
fn what_cut_off_processes_left_behind_goes() {
    let (directory, path) = new_archive();
    let mut child = std::process::Command::new("true").spawn().unwrap();
    let dead = child.id();
    child.wait().unwrap();
    let own = std::process::id();
    for name in [
        format!(".casepan-{dead}-x1"),
        format!(".casepan-{dead}-x1-journal"),
        format!(".casepan-{own}-x2"),
        ".casepan-notes".to_owned(),
    ] {
        fs::write(directory.path().join(name), "half").unwrap();
    }
    with_backup(&path);
    let kept = [format!(".casepan-{own}-x2"), ".casepan-notes".to_owned()];
    let mut expected = kept.to_vec();
    expected.extend(["cases.archive", "cases.backup"].map(str::to_owned));
    expected.sort();
    assert_eq!(names(directory.path()), expected);
}
