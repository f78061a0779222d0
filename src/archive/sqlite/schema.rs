//! The tables, the steps from one schema to the next, and the settings that keep an answer over a power cut.

use std::path::Path;
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, OptionalExtension, TransactionBehavior};

use super::super::ArchiveError;
use super::super::chain::Hash;
use super::super::store::{Head, Stream};
use super::column::{count, lossy};
use super::{file, reading, rows, said};

/// Marks the file as an archive of this program ("casp" in ASCII).
pub(super) const APPLICATION_ID: i64 = 0x6361_7370;

/// How long a write waits for others.
pub(super) const BUSY: Duration = Duration::from_secs(5);

/// How a file is opened: it must be there, and each thread has a connection of its own.
pub(super) const FLAGS: OpenFlags =
    OpenFlags::SQLITE_OPEN_READ_WRITE.union(OpenFlags::SQLITE_OPEN_NO_MUTEX);

/// The steps: the first makes schema 1 out of nothing, each further one the next schema. A step that was ever
/// released is never edited.
pub(super) const STEPS: &[&str] = &[SCHEMA_1, SCHEMA_2, SCHEMA_3, SCHEMA_4, SCHEMA_5];

/// The journal of every case, the head of every chain, and the files of every flow.
///
/// A chain alone does not show that its end is gone, so the head keeps how long it is and where it ends.
const SCHEMA_1: &str = "
CREATE TABLE entry (
    case_number TEXT NOT NULL,
    number INTEGER NOT NULL CHECK (number > 0),
    id TEXT NOT NULL UNIQUE,
    when_text TEXT NOT NULL,
    kind TEXT NOT NULL,
    body TEXT NOT NULL,
    before_hash BLOB NOT NULL CHECK (length(before_hash) = 32),
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    PRIMARY KEY (case_number, number)
) STRICT;
CREATE TABLE head (
    case_number TEXT NOT NULL PRIMARY KEY,
    entries INTEGER NOT NULL CHECK (entries > 0),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TABLE flow (
    digest TEXT NOT NULL PRIMARY KEY,
    files TEXT NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TABLE about (program TEXT NOT NULL) STRICT;

CREATE TRIGGER entry_stays BEFORE DELETE ON entry BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;
CREATE TRIGGER entry_is_final BEFORE UPDATE ON entry BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;
-- INSERT OR REPLACE deletes without asking the trigger on DELETE.
CREATE TRIGGER entry_is_new BEFORE INSERT ON entry
WHEN EXISTS (SELECT 1 FROM entry WHERE id = NEW.id)
    OR EXISTS (SELECT 1 FROM entry WHERE case_number = NEW.case_number AND number = NEW.number) BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;
CREATE TRIGGER head_stays BEFORE DELETE ON head BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;
CREATE TRIGGER head_grows BEFORE UPDATE ON head
WHEN NEW.case_number <> OLD.case_number OR NEW.entries <= OLD.entries BEGIN
    SELECT RAISE(ABORT, 'the journal is never rewritten');
END;
CREATE TRIGGER flow_stays BEFORE DELETE ON flow BEGIN
    SELECT RAISE(ABORT, 'the files of a flow are kept once');
END;
CREATE TRIGGER flow_is_final BEFORE UPDATE ON flow BEGIN
    SELECT RAISE(ABORT, 'the files of a flow are kept once');
END;
";

/// Standing instructions: a chain of their own, with a head as the cases have one.
const SCHEMA_2: &str = "
CREATE TABLE agreement (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    id TEXT NOT NULL UNIQUE,
    body TEXT NOT NULL,
    before_hash BLOB NOT NULL CHECK (length(before_hash) = 32),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TABLE agreement_head (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    entries INTEGER NOT NULL CHECK (entries > 0),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TRIGGER agreement_stays BEFORE DELETE ON agreement BEGIN
    SELECT RAISE(ABORT, 'agreements are never rewritten');
END;
CREATE TRIGGER agreement_is_final BEFORE UPDATE ON agreement BEGIN
    SELECT RAISE(ABORT, 'agreements are never rewritten');
END;
-- INSERT OR REPLACE deletes without asking the trigger on DELETE.
CREATE TRIGGER agreement_is_new BEFORE INSERT ON agreement
WHEN EXISTS (SELECT 1 FROM agreement WHERE id = NEW.id OR number = NEW.number) BEGIN
    SELECT RAISE(ABORT, 'agreements are never rewritten');
END;
CREATE TRIGGER agreement_head_stays BEFORE DELETE ON agreement_head BEGIN
    SELECT RAISE(ABORT, 'agreements are never rewritten');
END;
CREATE TRIGGER agreement_head_grows BEFORE UPDATE ON agreement_head
WHEN NEW.entries <= OLD.entries BEGIN
    SELECT RAISE(ABORT, 'agreements are never rewritten');
END;
";

/// The log of everything that was kept, and one row a case for the worklist, made from its journal and written with it. It says nothing that the journal does not
/// say, so it may be changed and made anew, and no chain covers it.
///
/// The log has a row for each row of each stream, with a root over all before it: a case that is gone with its end shows
/// there. What was there before the log is taken in by one row for each end, [`adopt`].
///
/// The two indexes carry what a filter reads, so that it touches no table.
const SCHEMA_3: &str = "
CREATE TABLE work (
    case_number TEXT NOT NULL PRIMARY KEY,
    entries INTEGER NOT NULL,
    engine TEXT NOT NULL,
    flow TEXT NOT NULL,
    fresh_until TEXT,
    closed INTEGER NOT NULL,
    turn TEXT NOT NULL,
    last TEXT NOT NULL,
    dentist TEXT NOT NULL,
    who TEXT NOT NULL,
    hay TEXT NOT NULL,
    body TEXT NOT NULL
) STRICT;
CREATE INDEX work_by_turn ON work (closed, turn, case_number, hay);
CREATE INDEX work_by_last ON work (closed, last, case_number, hay, dentist, who);
CREATE INDEX work_by_engine ON work (engine);
CREATE INDEX work_by_day ON work (fresh_until) WHERE fresh_until IS NOT NULL;
-- Nothing was judged yet: they are listed with their number, and made anew.
INSERT INTO work (case_number, entries, engine, flow, closed, turn, last, dentist, who, hay, body)
SELECT head.case_number, 0, '', '', 0, '8', last.when_text, '', '', lower(head.case_number), ''
FROM head JOIN entry AS last ON last.case_number = head.case_number AND last.number = head.entries;
ALTER TABLE flow ADD COLUMN format INTEGER NOT NULL DEFAULT 1;
CREATE TABLE archive (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    id TEXT NOT NULL,
    adopted INTEGER NOT NULL
) STRICT;
INSERT INTO archive (one, id, adopted) SELECT 1, lower(hex(randomblob(16))),
    (SELECT COUNT(*) FROM head) + (SELECT COUNT(*) FROM flow) + (SELECT COUNT(*) FROM agreement_head);
CREATE TABLE log (
    seq INTEGER PRIMARY KEY CHECK (seq > 0),
    stream TEXT NOT NULL,
    number INTEGER NOT NULL,
    hash BLOB NOT NULL CHECK (length(hash) = 32),
    root BLOB NOT NULL CHECK (length(root) = 32)
) STRICT;
CREATE TRIGGER log_stays BEFORE DELETE ON log BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER log_is_final BEFORE UPDATE ON log BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER log_is_new BEFORE INSERT ON log
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq), 0) + 1 FROM log) BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER archive_stays BEFORE DELETE ON archive BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER archive_is_final BEFORE UPDATE ON archive BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER archive_is_one BEFORE INSERT ON archive BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END;
CREATE TRIGGER flow_is_new BEFORE INSERT ON flow
WHEN EXISTS (SELECT 1 FROM flow WHERE digest = NEW.digest) BEGIN
    SELECT RAISE(ABORT, 'the files of a flow are kept once');
END;
";

/// How many there are, counted as rows come and go, so that no count reads the whole list; and an index of what is open,
/// by turn alone.
const SCHEMA_4: &str = "
CREATE TABLE tally (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    cases INTEGER NOT NULL,
    listed INTEGER NOT NULL,
    open INTEGER NOT NULL
) STRICT;
INSERT INTO tally (one, cases, listed, open) SELECT 1, (SELECT COUNT(*) FROM head), (SELECT COUNT(*) FROM work),
    (SELECT COUNT(*) FROM work WHERE closed = 0);
CREATE TRIGGER case_is_counted AFTER INSERT ON head BEGIN
    UPDATE tally SET cases = cases + 1;
END;
CREATE TRIGGER work_is_counted AFTER INSERT ON work BEGIN
    UPDATE tally SET listed = listed + 1, open = open + (NEW.closed = 0);
END;
CREATE TRIGGER work_counts_no_more AFTER DELETE ON work BEGIN
    UPDATE tally SET listed = listed - 1, open = open - (OLD.closed = 0);
END;
CREATE TRIGGER work_is_counted_anew AFTER UPDATE OF closed ON work WHEN NEW.closed <> OLD.closed BEGIN
    UPDATE tally SET open = open + (NEW.closed = 0) - (OLD.closed = 0);
END;
CREATE INDEX work_open ON work (turn) WHERE closed = 0;
";

/// Practice: a chain of its own, with a head as the cases have one. Cases that were walked for practice are no cases of the
/// laboratory: they have no row in the worklist, and so stand in no figure either.
const SCHEMA_5: &str = "
CREATE TABLE practice (
    number INTEGER PRIMARY KEY CHECK (number > 0),
    id TEXT NOT NULL UNIQUE,
    body TEXT NOT NULL,
    before_hash BLOB NOT NULL CHECK (length(before_hash) = 32),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TABLE practice_head (
    one INTEGER PRIMARY KEY CHECK (one = 1),
    entries INTEGER NOT NULL CHECK (entries > 0),
    hash BLOB NOT NULL CHECK (length(hash) = 32)
) STRICT;
CREATE TABLE practice_case (case_number TEXT NOT NULL PRIMARY KEY) STRICT;
CREATE TRIGGER work_without_practice BEFORE INSERT ON work
WHEN EXISTS (SELECT 1 FROM practice_case WHERE case_number = NEW.case_number) BEGIN
    SELECT RAISE(IGNORE);
END;
CREATE TRIGGER practice_stays BEFORE DELETE ON practice BEGIN
    SELECT RAISE(ABORT, 'practice is never rewritten');
END;
CREATE TRIGGER practice_is_final BEFORE UPDATE ON practice BEGIN
    SELECT RAISE(ABORT, 'practice is never rewritten');
END;
-- INSERT OR REPLACE deletes without asking the trigger on DELETE.
CREATE TRIGGER practice_is_new BEFORE INSERT ON practice
WHEN EXISTS (SELECT 1 FROM practice WHERE id = NEW.id OR number = NEW.number) BEGIN
    SELECT RAISE(ABORT, 'practice is never rewritten');
END;
CREATE TRIGGER practice_head_stays BEFORE DELETE ON practice_head BEGIN
    SELECT RAISE(ABORT, 'practice is never rewritten');
END;
CREATE TRIGGER practice_head_grows BEFORE UPDATE ON practice_head
WHEN NEW.entries <= OLD.entries BEGIN
    SELECT RAISE(ABORT, 'practice is never rewritten');
END;
";

/// Opens a file that exists as an archive of the newest schema; says whether it was brought to it.
pub(super) fn connect(path: &Path) -> Result<(Connection, bool), ArchiveError> {
    let mut conn = raw(path)?;
    if conn
        .is_readonly("main")
        .map_err(|error| said(path, error))?
    {
        // The first read over this connection would make files beside it.
        is_ours(&reading::in_place(path)?, path)?;
        return Err(ArchiveError::ReadOnly(path.to_path_buf()));
    }
    is_ours(&conn, path)?;
    settle(&conn, path)?;
    may_write(&conn, path)?;
    let moved_on = migrate(&mut conn, path, STEPS)?;
    Ok((conn, moved_on))
}

/// Looks whether a database is an archive that this program knows.
pub(super) fn is_ours(conn: &Connection, path: &Path) -> Result<(), ArchiveError> {
    let id = number(conn, "application_id").map_err(|error| said(path, error))?;
    if id != APPLICATION_ID {
        return Err(ArchiveError::OtherProgram(path.to_path_buf()));
    }
    refuse_newer(conn, path, STEPS)
}

/// Returns whether an archive has the newest schema.
pub(super) fn is_newest(conn: &Connection) -> rusqlite::Result<bool> {
    Ok(number(conn, "user_version")? == newest(STEPS))
}

/// Begins to write and goes no further: where the file can be written to but no log can be made beside it, nothing
/// else shows before the first answer is refused.
fn may_write(conn: &Connection, path: &Path) -> Result<(), ArchiveError> {
    let sql = |error: rusqlite::Error| said(path, error);
    conn.busy_timeout(Duration::ZERO).map_err(sql)?;
    let begun = conn.execute_batch("BEGIN IMMEDIATE; ROLLBACK");
    conn.busy_timeout(BUSY).map_err(sql)?;
    match begun.map_err(sql) {
        // Another one writes at this moment, so it can be done; opening does not wait for it.
        Err(ArchiveError::Busy(_)) => Ok(()),
        other => other,
    }
}

/// Opens a connection without a look at what the file holds.
pub(super) fn raw(path: &Path) -> Result<Connection, ArchiveError> {
    Connection::open_with_flags(path, FLAGS)
        .and_then(|conn| {
            conn.busy_timeout(BUSY)?;
            // More than an append, a read and the worklist need.
            conn.set_prepared_statement_cache_capacity(64);
            Ok(conn)
        })
        .map_err(|error| said(path, error))
}

/// Puts the settings in place that keep an answer over a power cut, and reads them back.
///
/// A place that cannot do it, a network drive for one, refuses without a word.
pub(super) fn settle(conn: &Connection, path: &Path) -> Result<(), ArchiveError> {
    let sql = |error: rusqlite::Error| said(path, error);
    let refused = |setting, got| ArchiveError::NotDurable {
        path: path.to_path_buf(),
        setting,
        got,
    };
    let mode: String = conn
        .query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0))
        .map_err(sql)?;
    if mode != "wal" {
        return Err(refused("journal_mode", mode));
    }
    // The flush that reaches the platter on macOS; nothing elsewhere.
    conn.execute_batch(
        "PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA trusted_schema = OFF;",
    )
    .map_err(sql)?;
    let level = number(conn, "synchronous").map_err(sql)?;
    if level != 2 {
        return Err(refused("synchronous", level.to_string()));
    }
    Ok(())
}

/// Brings an archive to the newest schema, each step in one transaction, after a backup beside it; says whether there was
/// something to bring. A new one takes all steps in one.
pub(super) fn migrate(
    conn: &mut Connection,
    path: &Path,
    steps: &[&str],
) -> Result<bool, ArchiveError> {
    let sql = |error: rusqlite::Error| said(path, error);
    let newest = newest(steps);
    let found = number(conn, "user_version").map_err(sql)?;
    if found >= newest {
        // Opening waits for no writer.
        return Ok(false);
    }
    if found > 0 {
        file::keep_as_it_was(conn, path, found)?;
    }
    loop {
        let tx = conn
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        // Another process may have done some of them since.
        let now = number(&tx, "user_version").map_err(sql)?;
        let left = steps.iter().zip(1_i64..).filter(|(_, to)| *to > now);
        let mut reached = now;
        for (step, to) in left.take(if now == 0 { steps.len() } else { 1 }) {
            tx.execute_batch(step).map_err(sql)?;
            tx.execute("DELETE FROM about", []).map_err(sql)?;
            tx.execute(
                "INSERT INTO about (program) VALUES (?1)",
                [env!("CARGO_PKG_VERSION")],
            )
            .map_err(sql)?;
            if to == LOG_SINCE {
                adopt(&tx).map_err(sql)?;
            }
            reached = to;
        }
        if reached == now {
            return Ok(found > 0);
        }
        tx.pragma_update(None, "user_version", reached)
            .map_err(sql)?;
        tx.commit().map_err(sql)?;
    }
}

/// The schema that brings the log.
const LOG_SINCE: i64 = 3;

/// Takes what is there into the log: a row for the end of each stream.
fn adopt(conn: &Connection) -> rusqlite::Result<()> {
    let about = rows::about(conn)?;
    let mut heads: Vec<(Stream, Head)> = Vec::new();
    for (query, stream) in [
        (
            "SELECT entries, hash, case_number FROM head ORDER BY case_number",
            Stream::Case as fn(String) -> Stream,
        ),
        (
            "SELECT 1, hash, digest FROM flow ORDER BY digest",
            Stream::Flow,
        ),
        ("SELECT entries, hash, '' FROM agreement_head", |_| {
            Stream::Standing
        }),
    ] {
        let mut statement = conn.prepare(query)?;
        let found = statement.query_map([], |row| {
            let hash: Hash = row.get(1)?;
            let head = Head {
                count: count(row, 0)?,
                hash,
            };
            Ok((stream(lossy(row, 2)?), head))
        })?;
        for head in found {
            heads.push(head?);
        }
    }
    for (stream, head) in heads {
        rows::add_to_log(
            conn,
            &about,
            &stream,
            std::iter::once((head.count, head.hash)),
        )?;
    }
    Ok(())
}

fn refuse_newer(conn: &Connection, path: &Path, steps: &[&str]) -> Result<(), ArchiveError> {
    let sql = |error: rusqlite::Error| said(path, error);
    let schema = number(conn, "user_version").map_err(sql)?;
    let known = newest(steps);
    if (0..=known).contains(&schema) {
        return Ok(());
    }
    // The newer schema may have done away with the table.
    let program = conn
        .query_row("SELECT program FROM about", [], |row| row.get(0))
        .optional()
        .unwrap_or_default();
    Err(ArchiveError::Newer {
        path: path.to_path_buf(),
        schema,
        known,
        program,
    })
}

fn newest(steps: &[&str]) -> i64 {
    i64::try_from(steps.len()).unwrap_or(i64::MAX)
}

pub(super) fn number(conn: &Connection, pragma: &str) -> rusqlite::Result<i64> {
    conn.prepare_cached(&format!("PRAGMA {pragma}"))?
        .query_row([], |row| row.get(0))
}
