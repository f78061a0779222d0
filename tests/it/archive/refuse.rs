use std::fs;
use std::path::Path;

use casepan::archive::{Archive, ArchiveError, Trouble};
use rusqlite::Connection;

use super::support::{case, new_archive, tamper};

/// Checks that neither way of opening takes a path, what it says, and that the file is as it was.
#[track_caller]
fn refused(path: &Path, kind: Trouble, sentence: &str) -> ArchiveError {
    let before = fs::metadata(path)
        .unwrap()
        .is_file()
        .then(|| fs::read(path).unwrap());
    let error = Archive::open(path).unwrap_err();
    assert_eq!(Archive::open_existing(path).unwrap_err(), error);
    assert_eq!(error.kind(), kind);
    assert_eq!(error.to_string(), format!("{}{sentence}", path.display()));
    assert!(error.hint().is_some());
    if let Some(before) = before {
        assert_eq!(fs::read(path).unwrap(), before);
    }
    error
}

#[test]
fn an_archive_is_made_with_its_directories() {
    let (directory, _) = new_archive();
    let path = directory.path().join("lab/2026/cases.archive");
    let error = Archive::open_existing(&path).unwrap_err();
    assert_eq!(
        error.to_string(),
        format!("there is no archive at {}", path.display())
    );
    assert_eq!(error.kind(), Trouble::NoInput);
    assert!(!directory.path().join("lab").exists());
    Archive::open(&path)
        .unwrap()
        .append("1", &case("1", 2))
        .unwrap();
    assert_eq!(
        Archive::open_existing(&path)
            .unwrap()
            .journal("1")
            .unwrap()
            .len(),
        2
    );
    assert_eq!(fs::read_dir(path.parent().unwrap()).unwrap().count(), 1);
}

#[test]
fn what_is_no_archive_is_left_alone() {
    let (directory, path) = new_archive();
    refused(
        directory.path(),
        Trouble::NoInput,
        " is a folder, not an archive",
    );
    fs::write(&path, "").unwrap();
    refused(&path, Trouble::Data, " is an empty file, not an archive");
    for content in [
        "\n".to_owned(),
        "(format: 1)".to_owned(),
        "notes\n".repeat(5000),
    ] {
        fs::write(&path, content).unwrap();
        refused(
            &path,
            Trouble::Data,
            " is another kind of file, not an archive",
        );
    }
}

#[test]
#[cfg(unix)]
fn a_device_is_refused() {
    refused(
        Path::new("/dev/null"),
        Trouble::NoInput,
        " is a device or a pipe, not an archive",
    );
}

#[test]
#[cfg(unix)]
fn a_link_is_followed() {
    let (directory, path) = new_archive();
    let link = directory.path().join("link");
    std::os::unix::fs::symlink(&path, &link).unwrap();
    // It leads nowhere yet, and is not replaced.
    assert_eq!(
        Archive::open(&link).unwrap_err(),
        ArchiveError::Missing(link.clone())
    );
    Archive::open(&path)
        .unwrap()
        .append("1", &case("1", 2))
        .unwrap();
    assert_eq!(Archive::open(&link).unwrap().journal("1").unwrap().len(), 2);
}

#[test]
fn another_programs_database_is_left_alone() {
    let (_directory, path) = new_archive();
    for pragma in [
        "",
        "PRAGMA application_id = 1196444487;",
        "PRAGMA user_version = 1;",
        "PRAGMA journal_mode = WAL;",
    ] {
        let conn = Connection::open(&path).unwrap();
        conn.execute_batch(&format!("CREATE TABLE entry (id); {pragma}"))
            .unwrap();
        drop(conn);
        refused(
            &path,
            Trouble::Data,
            " is the database of another program, not an archive",
        );
        fs::remove_file(&path).unwrap();
    }
}

#[test]
fn a_newer_schema_is_left_alone() {
    let (_directory, path) = new_archive();
    Archive::open(&path).unwrap();
    let sentence = |by: &str| {
        format!(
            "the archive {} was written by {by} (schema 99; this one reads up to 5)",
            path.display()
        )
    };
    tamper(
        &path,
        "UPDATE about SET program = '9.8.7'; PRAGMA user_version = 99",
    );
    let error = Archive::open(&path).unwrap_err();
    assert_eq!(error.to_string(), sentence("version 9.8.7 of this program"));
    assert_eq!(error.kind(), Trouble::Data);
    assert!(
        error
            .hint()
            .unwrap()
            .contains("that version of the program")
    );
    Connection::open(&path)
        .unwrap()
        .execute_batch("DROP TABLE about")
        .unwrap();
    let error = Archive::open_existing(&path).unwrap_err();
    assert_eq!(
        error.to_string(),
        sentence("a newer version of this program")
    );
    let negative = Connection::open(&path).unwrap();
    negative.execute_batch("PRAGMA user_version = -1").unwrap();
    Archive::open(&path).unwrap_err();
}

#[test]
fn an_archive_without_its_tables_is_damaged() {
    let (_directory, path) = new_archive();
    Archive::open(&path).unwrap();
    tamper(&path, "DROP TABLE entry");
    let mut archive = Archive::open(&path).unwrap();
    for error in [
        archive.cases().unwrap_err(),
        archive.append("1", &case("1", 1)).unwrap_err(),
    ] {
        assert_eq!(error.kind(), Trouble::Data);
        assert!(
            error
                .to_string()
                .contains("is damaged: no such table: entry"),
            "{error}"
        );
    }
    // A check goes on as far as it can.
    let damages = archive.check().unwrap();
    let told = damages
        .iter()
        .any(|damage| damage.sentence.contains("no such table: entry"));
    assert!(told, "{damages:?}");
}

#[test]
fn a_place_below_a_file_is_refused() {
    let (directory, path) = new_archive();
    fs::write(&path, "notes").unwrap();
    for below in [path.join("cases"), path.join("lab/cases")] {
        let error = Archive::open(&below).unwrap_err();
        assert_eq!(error.kind(), Trouble::CannotCreate, "{error}");
        assert!(
            error
                .to_string()
                .starts_with(&format!("{} cannot be created: ", below.display())),
            "{error}"
        );
        assert!(error.hint().is_some());
    }
    assert_eq!(fs::read_dir(directory.path()).unwrap().count(), 1);
}

#[test]
fn names_that_sqlite_reads_in_its_own_way_are_files() {
    let (directory, _) = new_archive();
    for name in [":memory:", "file:cases?mode=memory", "50%25"] {
        let path = directory.path().join(name);
        Archive::open(&path)
            .unwrap()
            .append("1", &case("1", 2))
            .unwrap();
        assert!(path.is_file());
        assert_eq!(
            Archive::open_existing(&path)
                .unwrap()
                .journal("1")
                .unwrap()
                .len(),
            2
        );
    }
    assert_eq!(
        Archive::open(Path::new("")).unwrap_err().kind(),
        Trouble::Io
    );
}
