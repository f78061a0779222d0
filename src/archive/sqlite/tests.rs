//! What is SQLite's own: schemas and their steps, settings, triggers, what is looked at after a commit.

mod faults;
mod lost;
mod practice;
mod restore;

use jiff::Timestamp;
use rusqlite::Connection;
use uuid::Uuid;

use super::super::chain::{self, Chain};
use super::super::store::LogRow;
use super::super::{Archive, Trouble};
use super::*;
use crate::archive::ArchiveError;
use crate::case::instruction::Instruction;
use crate::case::journal::{Body, Entry};
use crate::case::{CaseUnit, FlowRef, OrderedKind, Restoration, Role, Units};
use crate::text::shown;

fn opened(number: &str) -> Entry {
    let units = Units::new(vec![Restoration {
        id: 1,
        ordered: OrderedKind::Crown,
        units: vec![CaseUnit {
            tooth: "46".parse().unwrap(),
            role: Role::Abutment,
        }],
    }])
    .unwrap();
    Entry {
        id: Uuid::new_v4(),
        seen: 0,
        session: Uuid::new_v4(),
        when: Timestamp::UNIX_EPOCH,
        who: None,
        body: Body::Opened {
            number: number.to_owned(),
            flow: FlowRef::default(),
            units,
        },
    }
}

fn schema_of(conn: &Connection) -> i64 {
    conn.pragma_query_value(None, "user_version", |row| row.get(0))
        .unwrap()
}

#[test]
fn a_place_that_cannot_keep_a_log_is_refused() {
    // A database in memory keeps no write-ahead log and says nothing about it.
    let conn = Connection::open_in_memory().unwrap();
    let error = schema::settle(&conn, Path::new("/n/a")).unwrap_err();
    assert_eq!(
        error.to_string(),
        "answers in /n/a would not be safe if the power fails (journal_mode stays \"memory\")"
    );
    assert_eq!(error.kind(), Trouble::Io);
    assert!(error.hint().unwrap().contains("network drives"));
}

#[test]
fn the_settings_hold_on_a_new_archive() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    Archive::open(&path).unwrap();
    let store = Sqlite::connect(&path).unwrap();
    let text = |pragma| -> String {
        let asked = store
            .conn
            .pragma_query_value(None, pragma, |row| row.get(0));
        asked.unwrap()
    };
    assert_eq!(text("journal_mode"), "wal");
    // sqlite.org/pragma.html#pragma_synchronous: FULL is 2.
    assert_eq!(schema::number(&store.conn, "synchronous"), Ok(2));
}

/// A connection beside the program's.
fn plain(path: &Path) -> Connection {
    Connection::open(path).unwrap()
}

#[test]
fn a_step_to_a_newer_schema_leaves_a_backup_and_the_cases() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    let mut conn = plain(&path);
    let steps = [schema::STEPS, &["CREATE TABLE outcome (x) STRICT"]].concat();
    // STRICT wants a type: the step fails and leaves nothing behind.
    schema::migrate(&mut conn, &path, &steps).unwrap_err();
    assert_eq!(schema_of(&conn), 5);
    let half = [
        schema::STEPS,
        &["CREATE TABLE half (x TEXT) STRICT; CREATE TABLE"],
    ]
    .concat();
    schema::migrate(&mut conn, &path, &half).unwrap_err();
    conn.prepare("SELECT * FROM half").unwrap_err();
    let steps = [schema::STEPS, &["CREATE TABLE outcome (x TEXT) STRICT"]].concat();
    assert_eq!(schema::migrate(&mut conn, &path, &steps), Ok(true));
    assert_eq!(schema_of(&conn), 6);
    conn.prepare("SELECT x FROM outcome").unwrap();
    assert_eq!(archive.journal("24-1").unwrap().len(), 1);
    let copy = directory.path().join("a.schema-5");
    assert_eq!(schema_of(&plain(&copy)), 5);
    assert_eq!(
        Archive::open_existing(&copy)
            .unwrap()
            .journal("24-1")
            .unwrap(),
        archive.journal("24-1").unwrap()
    );
}

/// An archive of schema 1, 2, 3 or 4, as earlier versions made it, with a case, a flow and, from 2 on, an instruction in it.
fn of_schema(schema: usize, path: &Path) {
    let other = path.with_extension("other");
    let mut archive = Archive::open(&other).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    archive.keep_flow("d1", 1, &[]).unwrap();
    archive
        .agree(&instruction("K18"), Timestamp::UNIX_EPOCH, None)
        .unwrap();
    if schema > 2 {
        drop(archive);
        std::fs::rename(other, path).unwrap();
        let conn = plain(path);
        conn.execute_batch(
            "DROP TRIGGER work_without_practice;
             DROP TABLE practice; DROP TABLE practice_head; DROP TABLE practice_case;",
        )
        .unwrap();
        if schema == 3 {
            conn.execute_batch(
                "DROP TRIGGER case_is_counted; DROP TRIGGER work_is_counted; DROP TRIGGER work_counts_no_more;
                 DROP TRIGGER work_is_counted_anew; DROP INDEX work_open; DROP TABLE tally;",
            )
            .unwrap();
        }
        conn.pragma_update(None, "user_version", i64::try_from(schema).unwrap())
            .unwrap();
        return;
    }
    let connect = |path: &Path| {
        let conn = Connection::open(path).unwrap();
        conn.pragma_update(None, "application_id", schema::APPLICATION_ID)
            .unwrap();
        conn
    };
    let mut conn = connect(path);
    schema::settle(&conn, path).unwrap();
    schema::migrate(&mut conn, path, &schema::STEPS[..schema]).unwrap();
    conn.execute("ATTACH ?1 AS other", [shown(&other)]).unwrap();
    conn.execute_batch(
        "INSERT INTO entry SELECT * FROM other.entry; INSERT INTO head SELECT * FROM other.head;
         INSERT INTO flow SELECT digest, files, hash FROM other.flow;",
    )
    .unwrap();
    if schema > 1 {
        conn.execute_batch(
            "INSERT INTO agreement SELECT * FROM other.agreement;
             INSERT INTO agreement_head SELECT * FROM other.agreement_head;",
        )
        .unwrap();
    }
    conn.execute_batch("DETACH other").unwrap();
    drop(archive);
    std::fs::remove_file(other).unwrap();
}

fn instruction(dentist: &str) -> Instruction {
    Instruction {
        id: Uuid::new_v4(),
        dentist: dentist.to_owned(),
        rule: "clearance".to_owned(),
        words: "as thin as it has to be".to_owned(),
        from: "2026-11-23".parse().unwrap(),
        until: None,
    }
}

fn log_of(path: &Path) -> Vec<LogRow> {
    let mut log = Vec::new();
    let store = Sqlite::connect(path).unwrap();
    store
        .log(0, &mut |row| {
            log.push(row);
            ControlFlow::Continue(())
        })
        .unwrap();
    log
}

#[test]
fn archives_of_earlier_schemas_are_taken_over_whole() {
    for schema in [1, 2, 3, 4] {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("a");
        of_schema(schema, &path);
        let mut archive = Archive::open(&path).unwrap();
        assert_eq!(schema_of(&plain(&path)), 5);
        assert_eq!(archive.count(), Ok((1, 1)));
        assert_eq!(archive.journal("24-1").unwrap().len(), 1);
        assert_eq!(archive.flow("d1").unwrap().unwrap().files, []);
        assert_eq!(archive.instructions().unwrap().len(), schema.min(2) - 1);
        assert_eq!(archive.check(), Ok(vec![]));
        assert!(archive.notes().is_empty());
        let streams =
            |log: &[LogRow]| -> Vec<String> { log.iter().map(|row| row.stream.clone()).collect() };
        let there = ["case 24-1", "flow d1", "standing"];
        assert_eq!(streams(&log_of(&path)), there[..schema.min(2) + 1]);
        archive.append("24-2", &[opened("24-2")]).unwrap();
        assert_eq!(archive.count(), Ok((2, 2)));
        assert_eq!(streams(&log_of(&path))[schema.min(2) + 1..], ["case 24-2"]);
        assert_eq!(archive.check(), Ok(vec![]));
        // The copy beside it is as the archive was.
        let copy = plain(&directory.path().join(format!("a.schema-{schema}")));
        assert_eq!(schema_of(&copy), i64::try_from(schema).unwrap());
        let count = "SELECT COUNT(*) FROM entry";
        assert_eq!(copy.query_row(count, [], |row| row.get(0)), Ok(1));
    }
}

/// Another archive was once in this place, and a copy of it as it was lies beside: it is not taken for this one's.
#[test]
fn a_copy_of_another_archive_is_no_copy_of_this_one() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    of_schema(2, &path);
    let before = directory.path().join("before");
    std::fs::copy(&path, &before).unwrap();
    let first = directory.path().join("a.schema-2");
    std::fs::write(&first, "of another").unwrap();
    let second = directory.path().join("a.schema-2.2");
    let third = directory.path().join("a.schema-2.3");
    for _ in 0..2 {
        Archive::open(&path).unwrap();
        assert_eq!(std::fs::read(&first).unwrap(), b"of another");
        assert_eq!(schema_of(&plain(&second)), 2);
        // Put back and opened again, it has its copy already.
        assert!(!third.exists());
        std::fs::copy(&before, &path).unwrap();
    }
    // Another process may have brought it further between a look at its schema and the copy.
    Archive::open(&path).unwrap();
    file::keep_as_it_was(&plain(&path), &path, 2).unwrap();
    assert!(!third.exists());
}

/// Everything is gone at once, the log with it: that there was something is known from how much was taken in.
#[test]
fn an_archive_that_took_something_in_is_never_empty() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    of_schema(2, &path);
    Archive::open(&path).unwrap();
    let conn = plain(&path);
    let triggers = || -> Vec<(String, String)> {
        let mut statement = conn
            .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
            .unwrap();
        let rows = statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)));
        rows.unwrap().map(Result::unwrap).collect()
    };
    let all = triggers();
    for (name, _) in &all {
        conn.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    for table in [
        "entry",
        "head",
        "flow",
        "agreement",
        "agreement_head",
        "practice",
        "practice_head",
        "log",
        "work",
    ] {
        conn.execute(&format!("DELETE FROM {table}"), []).unwrap();
    }
    for (_, sql) in &all {
        conn.execute_batch(sql).unwrap();
    }
    assert_eq!(triggers().len(), all.len());
    let damages = Archive::open(&path).unwrap().check().unwrap();
    let sentences: Vec<_> = damages.iter().map(|own| own.sentence.as_str()).collect();
    assert_eq!(
        sentences,
        ["line 1 of the list of everything that was kept is missing or is not what was written"]
    );
}

#[test]
fn what_was_damaged_before_is_said_when_it_is_taken_over() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    of_schema(2, &path);
    plain(&path)
        .execute_batch(
            "DROP TRIGGER entry_is_final; UPDATE entry SET body = replace(body, '46', '47')",
        )
        .unwrap();
    let archive = Archive::open(&path).unwrap();
    let notes = archive.notes().join("; ");
    assert!(notes.contains("damaged in 2 places"), "{notes}");
    assert!(notes.contains("entry_is_final"), "{notes}");
    assert_eq!(archive.check().unwrap().len(), 2);
}

#[test]
fn instructions_are_kept_once_and_ended_by_a_row() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    let instruction = instruction("K17");
    let now = Timestamp::UNIX_EPOCH;
    archive.agree(&instruction, now, Some("mk")).unwrap();
    // Once only, and never another under the same id.
    archive.agree(&instruction, now, Some("mk")).unwrap();
    let mut other = instruction.clone();
    other.rule = "span".to_owned();
    let error = archive.agree(&other, now, Some("mk")).unwrap_err();
    assert_eq!(error, ArchiveError::IdTaken(instruction.id));
    assert_eq!(
        archive.instructions().unwrap(),
        std::slice::from_ref(&instruction)
    );
    let error = archive
        .end_instruction(
            Uuid::new_v4(),
            instruction.from,
            (Uuid::new_v4(), now),
            None,
        )
        .unwrap_err();
    assert_eq!(error.kind(), Trouble::NoInput);
    archive
        .end_instruction(
            instruction.id,
            instruction.from,
            (Uuid::new_v4(), now),
            None,
        )
        .unwrap();
    assert_eq!(archive.instructions().unwrap(), []);
    assert_eq!(archive.all_instructions().unwrap().len(), 1);
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn instructions_are_never_rewritten_and_a_changed_one_shows() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    for dentist in ["K17", "K18", "K19"] {
        archive
            .agree(&instruction(dentist), Timestamp::UNIX_EPOCH, None)
            .unwrap();
    }
    let conn = plain(archive.path());
    for sql in [
        "DELETE FROM agreement",
        "UPDATE agreement SET body = ''",
        "INSERT OR REPLACE INTO agreement SELECT * FROM agreement WHERE number = 2",
        "DELETE FROM agreement_head",
        "UPDATE agreement_head SET entries = 1",
    ] {
        let error = conn.execute_batch(sql).unwrap_err();
        assert!(error.to_string().contains("never rewritten"), "{error}");
    }
    let damages = |archive: &Archive| -> Vec<String> {
        let damages = archive.check().unwrap();
        damages.into_iter().map(|damage| damage.sentence).collect()
    };
    conn.execute_batch(
        "DROP TRIGGER agreement_stays; DROP TRIGGER agreement_is_final; DROP TRIGGER agreement_head_stays;",
    )
    .unwrap();
    drop((conn, archive));
    for (sql, row) in [
        ("UPDATE agreement SET body = replace(body, 'K18', 'K99')", 2),
        ("DELETE FROM agreement WHERE number = 2", 2),
        ("DELETE FROM agreement WHERE number = 3", 3),
        ("DELETE FROM agreement_head", 4),
        // With its end taken back the chain holds; the log knows better.
        (
            "DELETE FROM agreement WHERE number = 3; DELETE FROM agreement_head;
             INSERT INTO agreement_head SELECT 1, number, hash FROM agreement WHERE number = 2",
            3,
        ),
        ("DELETE FROM agreement; DELETE FROM agreement_head", 1),
    ] {
        let copy = path.with_extension("copy");
        std::fs::copy(&path, &copy).unwrap();
        plain(&copy).execute_batch(sql).unwrap();
        let found = damages(&Archive::open(&copy).unwrap());
        let sentence =
            format!("row {row} of the standing instructions is missing or is not what was written");
        assert_eq!(found[3..], [sentence], "{sql}: {found:?}");
        std::fs::remove_file(&copy).unwrap();
    }
    let found = damages(&Archive::open(&path).unwrap());
    let missing = |name| format!("the trigger {name}, which is part of every archive, is missing");
    assert_eq!(
        found,
        [
            "agreement_head_stays",
            "agreement_is_final",
            "agreement_stays"
        ]
        .map(missing)
    );
}

#[test]
fn a_commit_that_failed_is_looked_up() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    Archive::open(&path).unwrap();
    let mut store = Sqlite::connect(&path).unwrap();
    let stream = Stream::Case("24-1".to_owned());
    let entry = opened("24-1");
    let written = chain::write("24-1", &entry).unwrap();
    let when = entry.when.to_string();
    let rows = [Chain::new(&stream).add(Some(entry.id), when, written)];
    let failure = || {
        let error = rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_IOERR);
        rusqlite::Error::SqliteFailure(error, None)
    };
    let error = store.look_after(&stream, &rows, failure()).unwrap_err();
    assert!(matches!(error, StoreError::Failed(_)), "{error:?}");
    // It has happened after all: here because another handle did it.
    Archive::open(&path)
        .unwrap()
        .append("24-1", &[entry])
        .unwrap();
    let kept = store.look_after(&stream, &rows, failure());
    assert_eq!(kept, Ok(Appended::Kept));
    // Another archive lies in its place, or none.
    let other = directory.path().join("other");
    Archive::open(&other).unwrap();
    std::fs::rename(&path, directory.path().join("gone")).unwrap();
    let moved = Err(StoreError::Gone(words::WAS_MOVED));
    assert_eq!(store.look_after(&stream, &rows, failure()), moved);
    std::fs::rename(&other, &path).unwrap();
    assert_eq!(store.look_after(&stream, &rows, failure()), moved);
    // Where nothing shows that the file is another, the id of the archive does.
    store.conn = Connection::open_in_memory().unwrap();
    store.place = Place::of(&path, true);
    assert_eq!(store.look_after(&stream, &rows, failure()), moved);
    // It cannot be looked at.
    std::fs::remove_file(&path).unwrap();
    let error = store.look_after(&stream, &rows, failure()).unwrap_err();
    assert!(matches!(error, StoreError::Unsure(_)), "{error:?}");
}

#[test]
fn a_full_disk_is_called_so() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    let mut store = Sqlite::connect(&path).unwrap();
    let pages = schema::number(&store.conn, "page_count").unwrap();
    // SQLite gives the same answer at this limit as on a full disk (sqlite.org/pragma.html#pragma_max_page_count).
    let set = format!("PRAGMA max_page_count = {pages}");
    assert_eq!(store.conn.query_row(&set, [], |row| row.get(0)), Ok(pages));
    let mut long = opened("24-2");
    long.who = Some("x".repeat(20_000));
    let stream = Stream::Case("24-2".to_owned());
    let written = chain::write("24-2", &long).unwrap();
    let rows = [Chain::new(&stream).add(Some(long.id), String::new(), written)];
    let error = store
        .append(&stream, &Head::NONE, &rows, Beside::Nothing)
        .unwrap_err();
    assert_eq!(error, StoreError::Full);
    assert_eq!(error.at(&path, "").kind(), Trouble::Io);
    assert_eq!(archive.cases().unwrap().len(), 1);
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn only_what_shows_that_it_is_gone_is_called_so() {
    use rusqlite::ffi;
    let directory = tempfile::tempdir().unwrap();
    let there = directory.path().join("a");
    std::fs::write(&there, "x").unwrap();
    let missing = directory.path().join("b");
    let of = |code| rusqlite::Error::SqliteFailure(ffi::Error::new(code), None);
    for code in [
        ffi::SQLITE_NOTADB,
        ffi::SQLITE_CORRUPT,
        ffi::SQLITE_CORRUPT_INDEX,
        ffi::SQLITE_ERROR,
        ffi::SQLITE_IOERR_SHORT_READ,
    ] {
        assert!(error::says_gone(&of(code), &there), "{code}");
    }
    // A disk that stutters, a lock, no memory, no more files: the next look may find it.
    for code in [
        ffi::SQLITE_BUSY,
        ffi::SQLITE_LOCKED,
        ffi::SQLITE_NOMEM,
        ffi::SQLITE_PERM,
        ffi::SQLITE_PROTOCOL,
        ffi::SQLITE_INTERRUPT,
        ffi::SQLITE_IOERR,
        ffi::SQLITE_IOERR_READ,
        ffi::SQLITE_IOERR_LOCK,
        ffi::SQLITE_IOERR_SHMMAP,
        ffi::SQLITE_FULL,
        ffi::SQLITE_READONLY,
    ] {
        assert!(!error::says_gone(&of(code), &there), "{code}");
    }
    let cannot_open = of(ffi::SQLITE_CANTOPEN);
    assert!(!error::says_gone(&cannot_open, &there));
    assert!(error::says_gone(&cannot_open, &missing));
}

/// Somebody holds the archive for himself: nobody can look whether the row is there, for as long as one waits.
#[test]
fn a_look_that_others_prevent_is_unsure_and_waits_no_longer_than_it_may() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    let entries = [opened("24-1")];
    archive.append("24-1", &entries).unwrap();
    let mut store = Sqlite::connect(&path).unwrap();
    let stream = Stream::Case("24-1".to_owned());
    let head = store.ends(&stream).unwrap().head.unwrap();
    let head = Head {
        count: head.count,
        hash: head.hash.unwrap(),
    };
    store.patience(Duration::from_millis(50)).unwrap();
    drop(archive);
    // Its own connection would keep others from holding it.
    store.conn = Connection::open_in_memory().unwrap();
    store.place = Place::of(&path, true);
    let holder = plain(&path);
    holder
        .execute_batch("PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE")
        .unwrap();
    let before = std::time::Instant::now();
    let error = store.stands(&stream, &head).unwrap_err();
    assert!(matches!(error, StoreError::Unsure(_)), "{error:?}");
    assert!(before.elapsed() < Duration::from_secs(3));
    drop(holder);
    assert_eq!(store.stands(&stream, &head), Ok(()));
}

/// The row of counts says nothing that the list does not say: without it they are counted.
#[test]
fn without_its_counts_the_list_is_counted() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    archive.append("24-2", &[opened("24-2")]).unwrap();
    assert_eq!(archive.count(), Ok((2, 2)));
    plain(&path)
        .execute_batch("UPDATE work SET closed = 1 WHERE case_number = '24-2'")
        .unwrap();
    assert_eq!(archive.count(), Ok((2, 1)));
    plain(&path).execute_batch("DELETE FROM tally").unwrap();
    assert_eq!(archive.count(), Ok((2, 1)));
    plain(&path)
        .execute_batch("DELETE FROM work WHERE case_number = '24-1'")
        .unwrap();
    assert_eq!(archive.count(), Ok((1, 0)));
}
