use jiff::Timestamp;
use rusqlite::Connection;
use uuid::Uuid;

use super::*;
use crate::case::instruction::Instruction;
use crate::case::{CaseUnit, FlowRef, OrderedKind, Restoration, Role, Units};

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
    let archive = Archive::open(&directory.path().join("a")).unwrap();
    let mode: String = archive
        .conn
        .pragma_query_value(None, "journal_mode", |row| row.get(0))
        .unwrap();
    let level: i64 = archive
        .conn
        .pragma_query_value(None, "synchronous", |row| row.get(0))
        .unwrap();
    // sqlite.org/pragma.html#pragma_synchronous: FULL is 2.
    assert_eq!((mode.as_str(), level), ("wal", 2));
}

#[test]
fn a_step_to_a_newer_schema_leaves_a_backup_and_the_cases() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    let steps = [schema::STEPS, &["CREATE TABLE outcome (x) STRICT"]].concat();
    // STRICT wants a type: the step fails and leaves nothing behind.
    schema::migrate(&mut archive.conn, &path, &steps).unwrap_err();
    assert_eq!(schema_of(&archive.conn), 2);
    let half = [
        schema::STEPS,
        &["CREATE TABLE half (x TEXT) STRICT; CREATE TABLE"],
    ]
    .concat();
    schema::migrate(&mut archive.conn, &path, &half).unwrap_err();
    archive.conn.prepare("SELECT * FROM half").unwrap_err();
    let steps = [schema::STEPS, &["CREATE TABLE outcome (x TEXT) STRICT"]].concat();
    schema::migrate(&mut archive.conn, &path, &steps).unwrap();
    assert_eq!(schema_of(&archive.conn), 3);
    archive.conn.prepare("SELECT x FROM outcome").unwrap();
    assert_eq!(archive.journal("24-1").unwrap().len(), 1);
    let before = Archive::open_existing(&directory.path().join("a.schema-2")).unwrap();
    assert_eq!(schema_of(&before.conn), 2);
    assert_eq!(
        before.journal("24-1").unwrap(),
        archive.journal("24-1").unwrap()
    );
}

/// An archive of schema 1, as the first version made it, with a case in it.
fn of_schema_1(path: &Path) {
    let other = path.with_extension("other");
    let mut archive = Archive::open(&other).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    let connect = |path: &Path| {
        let conn = Connection::open(path).unwrap();
        conn.pragma_update(None, "application_id", schema::APPLICATION_ID)
            .unwrap();
        conn
    };
    let mut conn = connect(path);
    schema::settle(&conn, path).unwrap();
    schema::migrate(&mut conn, path, &schema::STEPS[..1]).unwrap();
    conn.execute("ATTACH ?1 AS other", [other.display().to_string()])
        .unwrap();
    conn.execute_batch(
        "INSERT INTO entry SELECT * FROM other.entry; INSERT INTO head SELECT * FROM other.head;",
    )
    .unwrap();
}

#[test]
fn an_archive_of_schema_1_gets_instructions_and_keeps_its_cases() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    of_schema_1(&path);
    let mut archive = Archive::open(&path).unwrap();
    assert_eq!(schema_of(&archive.conn), 2);
    assert_eq!(archive.journal("24-1").unwrap().len(), 1);
    assert_eq!(archive.instructions().unwrap(), []);
    assert_eq!(archive.check(), Ok(vec![]));
    // The copy beside it is as the archive was.
    let copy = Connection::open(directory.path().join("a.schema-1")).unwrap();
    assert_eq!(schema_of(&copy), 1);
    let count: i64 = copy
        .query_row("SELECT COUNT(*) FROM entry", [], |row| row.get(0))
        .unwrap();
    assert_eq!(count, 1);
    let instruction = Instruction {
        id: Uuid::new_v4(),
        dentist: "K17".to_owned(),
        rule: "clearance".to_owned(),
        words: "as thin as it has to be".to_owned(),
        from: "2026-11-23".parse().unwrap(),
        until: None,
    };
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
    let mut archive = Archive::open(&directory.path().join("a")).unwrap();
    for dentist in ["K17", "K18", "K19"] {
        let instruction = Instruction {
            id: Uuid::new_v4(),
            dentist: dentist.to_owned(),
            rule: "clearance".to_owned(),
            words: String::new(),
            from: "2026-11-23".parse().unwrap(),
            until: None,
        };
        archive
            .agree(&instruction, Timestamp::UNIX_EPOCH, None)
            .unwrap();
    }
    for sql in [
        "DELETE FROM agreement",
        "UPDATE agreement SET body = ''",
        "INSERT OR REPLACE INTO agreement SELECT * FROM agreement WHERE number = 2",
        "DELETE FROM agreement_head",
        "UPDATE agreement_head SET entries = 1",
    ] {
        let error = archive.conn.execute_batch(sql).unwrap_err();
        assert!(error.to_string().contains("never rewritten"), "{error}");
    }
    archive
        .conn
        .execute_batch(
            "DROP TRIGGER agreement_stays; DROP TRIGGER agreement_is_final; DROP TRIGGER agreement_head_stays;",
        )
        .unwrap();
    for (sql, row) in [
        ("UPDATE agreement SET body = replace(body, 'K18', 'K99')", 2),
        ("DELETE FROM agreement WHERE number = 2", 2),
        ("DELETE FROM agreement WHERE number = 3", 3),
        ("DELETE FROM agreement_head", 4),
    ] {
        archive.conn.execute_batch("SAVEPOINT before").unwrap();
        archive.conn.execute_batch(sql).unwrap();
        assert_eq!(
            instructions::check(&archive.conn).unwrap(),
            Some(ArchiveError::InstructionDamaged(row)),
            "{sql}"
        );
        archive
            .conn
            .execute_batch("ROLLBACK TO before; RELEASE before")
            .unwrap();
    }
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn a_commit_that_failed_is_looked_up() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    let entries = [opened("24-1")];
    let written = [chain::write("24-1", &entries[0]).unwrap()];
    let failure = rusqlite::Error::SqliteFailure(
        rusqlite::ffi::Error::new(rusqlite::ffi::SQLITE_IOERR),
        None,
    );
    let error = archive
        .look_after("24-1", &entries, &written, &failure)
        .unwrap_err();
    assert_eq!(error.kind(), Trouble::Io);
    assert!(
        error.to_string().contains("could not be read or written"),
        "{error}"
    );
    // It has happened after all: here because another handle did it.
    Archive::open(&path)
        .unwrap()
        .append("24-1", &entries)
        .unwrap();
    assert_eq!(
        archive.look_after("24-1", &entries, &written, &failure),
        Ok(1)
    );
    // The archive cannot be looked at any more.
    std::fs::rename(&path, directory.path().join("gone")).unwrap();
    let error = archive
        .look_after("24-1", &entries, &written, &failure)
        .unwrap_err();
    assert!(matches!(error, ArchiveError::Unsure { .. }), "{error}");
}

#[test]
fn a_full_disk_is_called_so() {
    let directory = tempfile::tempdir().unwrap();
    let mut archive = Archive::open(&directory.path().join("a")).unwrap();
    archive.append("24-1", &[opened("24-1")]).unwrap();
    let pages: i64 = archive
        .conn
        .pragma_query_value(None, "page_count", |row| row.get(0))
        .unwrap();
    // SQLite gives the same answer at this limit as on a full disk (sqlite.org/pragma.html#pragma_max_page_count).
    let limit: i64 = archive
        .conn
        .query_row(&format!("PRAGMA max_page_count = {pages}"), [], |row| {
            row.get(0)
        })
        .unwrap();
    assert_eq!(limit, pages);
    let mut long = opened("24-2");
    long.who = Some("x".repeat(20_000));
    let error = archive.append("24-2", &[long]).unwrap_err();
    assert_eq!(error, ArchiveError::Full(archive.path().to_path_buf()));
    assert_eq!(error.kind(), Trouble::Io);
    assert_eq!(archive.cases().unwrap().len(), 1);
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn the_hash_is_sha_256_over_lengths_and_texts() {
    // Worked out with Python's hashlib:
    // sha256(bytes(32) + pack("<Q", 7) + b"24-0381" + pack("<Q", 2) + pack("<Q", 2) + b"{}").
    let hash = chain::hash(&chain::NONE, "24-0381", 2, "{}");
    let hex: String = hash.iter().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(
        hex,
        "beacd8909e5bdbe4332566ef5bb239b2a9b4dd79e9d6e19bf88df3e8d45bdfd3"
    );
}

#[test]
fn near_numbers_are_within_two_slips() {
    let known = || {
        ["24-0381", "24-0318", "24-9999", "7"]
            .map(str::to_owned)
            .to_vec()
    };
    assert_eq!(near("24-0382", known()), ["24-0381", "24-0318"]);
    assert_eq!(near("8", known()), <[&str; 0]>::default());
}
