//! The tables of the streams and the log: one statement for each thing that is done to them.

use std::ops::ControlFlow;

use rusqlite::{Connection, OptionalExtension, Row as SqlRow, params};

use super::super::chain::{self, Hash};
use super::super::store::{About, Ends, Head, LogRow, RawHead, RawRow, Row, Stream};
use super::column::{column, count, lossy, stored};

/// Returns the archive's id and how much was taken in; both empty before there is a log.
pub(super) fn about(conn: &Connection) -> rusqlite::Result<About> {
    let (id, adopted) = conn.query_row("SELECT id, adopted FROM archive", [], |row| {
        Ok((lossy(row, 0)?, count(row, 1)?))
    })?;
    Ok(About {
        id,
        adopted,
        read_only: false,
        moved_on: false,
    })
}

/// Returns where a stream ends, in one statement and so of one moment.
pub(super) fn ends(conn: &Connection, stream: &Stream) -> rusqlite::Result<Ends> {
    let query = match stream {
        Stream::Case(_) => {
            "SELECT h.entries, h.hash, l.number, l.hash FROM (SELECT ?1 AS own)
             LEFT JOIN head AS h ON h.case_number = own
             LEFT JOIN entry AS l ON l.case_number = own
                AND l.number = (SELECT MAX(number) FROM entry WHERE case_number = ?1)"
        }
        Stream::Flow(_) => {
            "SELECT 1, hash, 1, hash FROM flow WHERE digest = ?1
             UNION ALL SELECT NULL, NULL, NULL, NULL LIMIT 1"
        }
        Stream::Standing => {
            "SELECT h.entries, h.hash, l.number, l.hash FROM (SELECT ?1 AS own)
             LEFT JOIN agreement_head AS h
             LEFT JOIN agreement AS l ON l.number = (SELECT MAX(number) FROM agreement)"
        }
        Stream::Practice => {
            "SELECT h.entries, h.hash, l.number, l.hash FROM (SELECT ?1 AS own)
             LEFT JOIN practice_head AS h
             LEFT JOIN practice AS l ON l.number = (SELECT MAX(number) FROM practice)"
        }
    };
    let end = |row: &SqlRow<'_>, at: usize| -> rusqlite::Result<Option<RawHead>> {
        let there: Option<i64> = row.get(at)?;
        Ok(there.map(|_| RawHead {
            count: count(row, at).unwrap_or_default(),
            hash: column(row, at + 1),
        }))
    };
    conn.prepare_cached(query)?
        .query_row([name(stream)], |row| {
            Ok(Ends {
                head: end(row, 0)?,
                last: end(row, 2)?,
            })
        })
}

/// What stands for a stream in the columns of its table.
fn name(stream: &Stream) -> &str {
    match stream {
        Stream::Case(name) | Stream::Flow(name) => name,
        Stream::Standing | Stream::Practice => "",
    }
}

/// Returns the hash of a row, where it is there.
pub(super) fn hash_of(
    conn: &Connection,
    stream: &Stream,
    number: u64,
) -> rusqlite::Result<Option<Hash>> {
    let query = match stream {
        Stream::Case(_) => "SELECT hash FROM entry WHERE case_number = ?1 AND number = ?2",
        Stream::Flow(_) => "SELECT hash FROM flow WHERE digest = ?1 AND ?2 = 1",
        Stream::Standing => "SELECT hash FROM agreement WHERE number = ?2 AND ?1 = ''",
        Stream::Practice => "SELECT hash FROM practice WHERE number = ?2 AND ?1 = ''",
    };
    conn.prepare_cached(query)?
        .query_row(params![name(stream), stored(number)], |row| row.get(0))
        .optional()
}

/// Returns the stream and the body of the row with this id.
pub(super) fn known(
    conn: &Connection,
    kind: &Stream,
    id: &str,
) -> rusqlite::Result<Option<(Stream, String)>> {
    let query = match kind {
        Stream::Case(_) => "SELECT case_number, body FROM entry WHERE id = ?1",
        Stream::Standing => "SELECT '', body FROM agreement WHERE id = ?1",
        Stream::Practice => "SELECT '', body FROM practice WHERE id = ?1",
        Stream::Flow(_) => return Ok(None),
    };
    conn.prepare_cached(query)?
        .query_row([id], |row| {
            let stream = match kind {
                Stream::Case(_) => Stream::Case(lossy(row, 0)?),
                other => other.clone(),
            };
            Ok((stream, lossy(row, 1)?))
        })
        .optional()
}

/// Gives the rows of a stream after the first `after`.
pub(super) fn read(
    conn: &Connection,
    stream: &Stream,
    after: u64,
    each: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
) -> rusqlite::Result<()> {
    let query = match stream {
        Stream::Case(_) => {
            "SELECT number, id, when_text, kind, body, before_hash, hash FROM entry
             WHERE case_number = ?1 AND number > ?2 ORDER BY number"
        }
        Stream::Flow(_) => {
            "SELECT 1, NULL, NULL, CAST(format AS TEXT), files, zeroblob(32), hash FROM flow
             WHERE digest = ?1 AND ?2 = 0"
        }
        Stream::Standing => {
            "SELECT number, id, NULL, NULL, body, before_hash, hash FROM agreement
             WHERE ?1 = '' AND number > ?2 ORDER BY number"
        }
        Stream::Practice => {
            "SELECT number, id, NULL, NULL, body, before_hash, hash FROM practice
             WHERE ?1 = '' AND number > ?2 ORDER BY number"
        }
    };
    let mut statement = conn.prepare_cached(query)?;
    let mut rows = statement.query(params![name(stream), stored(after)])?;
    while let Some(row) = rows.next()? {
        let row = RawRow {
            number: count(row, 0).unwrap_or_default(),
            id: column(row, 1),
            when: column(row, 2),
            kind: column(row, 3),
            body: column(row, 4),
            before: column(row, 5),
            hash: column(row, 6),
        };
        if each(row).is_break() {
            break;
        }
    }
    Ok(())
}

/// Returns every stream that has a row or an end.
pub(super) fn streams(conn: &Connection) -> rusqlite::Result<Vec<Stream>> {
    let mut statement = conn.prepare_cached(
        "SELECT 'case', case_number FROM head UNION SELECT DISTINCT 'case', case_number FROM entry
         UNION SELECT 'flow', digest FROM flow
         UNION SELECT 'standing', '' FROM agreement_head UNION SELECT DISTINCT 'standing', '' FROM agreement
         UNION SELECT 'practice', '' FROM practice_head UNION SELECT DISTINCT 'practice', '' FROM practice",
    )?;
    let streams = statement.query_map([], |row| {
        let name = lossy(row, 1)?;
        Ok(match lossy(row, 0)?.as_str() {
            "case" => Stream::Case(name),
            "flow" => Stream::Flow(name),
            "practice" => Stream::Practice,
            _ => Stream::Standing,
        })
    })?;
    streams.collect()
}

fn log_row(row: &SqlRow<'_>) -> rusqlite::Result<LogRow> {
    Ok(LogRow {
        seq: count(row, 0)?,
        stream: lossy(row, 1)?,
        number: count(row, 2).unwrap_or_default(),
        hash: column(row, 3),
        root: column(row, 4),
    })
}

/// Gives the rows of the log after `after`.
pub(super) fn log(
    conn: &Connection,
    after: u64,
    each: &mut dyn FnMut(LogRow) -> ControlFlow<()>,
) -> rusqlite::Result<()> {
    let mut statement = conn.prepare_cached(
        "SELECT seq, stream, number, hash, root FROM log WHERE seq > ?1 ORDER BY seq",
    )?;
    let mut rows = statement.query([stored(after)])?;
    while let Some(row) = rows.next()? {
        if each(log_row(row)?).is_break() {
            break;
        }
    }
    Ok(())
}

/// Returns the last row of the log.
pub(super) fn last(conn: &Connection) -> rusqlite::Result<Option<LogRow>> {
    conn.prepare_cached(
        "SELECT seq, stream, number, hash, root FROM log ORDER BY seq DESC LIMIT 1",
    )?
    .query_row([], log_row)
    .optional()
}

/// Puts rows into the table of their stream, and its new end beside it.
pub(super) fn insert(conn: &Connection, stream: &Stream, rows: &[Row]) -> rusqlite::Result<()> {
    for row in rows {
        match stream {
            Stream::Case(number) => conn
                .prepare_cached(
                    "INSERT INTO entry (case_number, number, id, when_text, kind, body, before_hash, hash)
                     VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
                )?
                .execute(params![
                    number,
                    stored(row.number),
                    row.id,
                    row.when,
                    row.kind,
                    row.body,
                    row.before,
                    row.hash
                ])?,
            Stream::Standing => conn
                .prepare_cached(
                    "INSERT INTO agreement (number, id, body, before_hash, hash)
                     VALUES (?1, ?2, ?3, ?4, ?5)",
                )?
                .execute(params![stored(row.number), row.id, row.body, row.before, row.hash])?,
            Stream::Practice => conn
                .prepare_cached(
                    "INSERT INTO practice (number, id, body, before_hash, hash)
                     VALUES (?1, ?2, ?3, ?4, ?5)",
                )?
                .execute(params![stored(row.number), row.id, row.body, row.before, row.hash])?,
            Stream::Flow(digest) => conn
                .prepare_cached("INSERT INTO flow (digest, files, hash, format) VALUES (?1, ?2, ?3, ?4)")?
                .execute(params![digest, row.body, row.hash, row.kind])?,
        };
    }
    let Some(last) = rows.last() else {
        return Ok(());
    };
    match stream {
        Stream::Case(number) => conn
            .prepare_cached(
                "INSERT INTO head (case_number, entries, hash) VALUES (?1, ?2, ?3)
                 ON CONFLICT (case_number) DO UPDATE SET entries = excluded.entries, hash = excluded.hash",
            )?
            .execute(params![number, stored(last.number), last.hash])?,
        Stream::Standing => conn
            .prepare_cached(
                "INSERT INTO agreement_head (one, entries, hash) VALUES (1, ?1, ?2)
                 ON CONFLICT (one) DO UPDATE SET entries = excluded.entries, hash = excluded.hash",
            )?
            .execute(params![stored(last.number), last.hash])?,
        Stream::Practice => conn
            .prepare_cached(
                "INSERT INTO practice_head (one, entries, hash) VALUES (1, ?1, ?2)
                 ON CONFLICT (one) DO UPDATE SET entries = excluded.entries, hash = excluded.hash",
            )?
            .execute(params![stored(last.number), last.hash])?,
        Stream::Flow(_) => 0,
    };
    Ok(())
}

/// Adds rows of a stream to the log; returns the number and the root it ends with.
pub(super) fn add_to_log(
    conn: &Connection,
    about: &About,
    stream: &Stream,
    rows: impl Iterator<Item = (u64, Hash)>,
) -> rusqlite::Result<(u64, Hash)> {
    let (mut seq, mut root) = match last(conn)? {
        Some(last) => (last.seq, last.root.unwrap_or(chain::NONE)),
        None => (0, chain::seed(&about.id, about.adopted)),
    };
    let key = stream.key();
    let mut statement = conn.prepare_cached(
        "INSERT INTO log (seq, stream, number, hash, root) VALUES (?1, ?2, ?3, ?4, ?5)",
    )?;
    for (number, hash) in rows {
        seq = seq.saturating_add(1);
        root = chain::root(&root, seq, &key, number, &hash);
        statement.execute(params![stored(seq), key, stored(number), hash, root])?;
    }
    Ok((seq, root))
}

/// Looks whether rows that were put in are there, with their end and the end of the log: a trigger can take out a row and
/// leave the count of rows as it should be.
pub(super) fn are_there(
    conn: &Connection,
    stream: &Stream,
    rows: &[Row],
    log: (u64, Hash),
) -> rusqlite::Result<bool> {
    for row in rows {
        if hash_of(conn, stream, row.number)? != Some(row.hash) {
            return Ok(false);
        }
    }
    let end = rows.last().map(|row| RawHead {
        count: row.number,
        hash: Some(row.hash),
    });
    let ends = ends(conn, stream)?;
    let logged = last(conn)?.is_some_and(|last| (last.seq, last.root) == (log.0, Some(log.1)));
    Ok(ends.head == end && ends.last == end && logged)
}

/// Returns whether a stream ends as expected, by its end and by its last row.
pub(super) fn ends_with(ends: &Ends, expected: &Head) -> bool {
    let is = |found: &Option<RawHead>| match found {
        Some(found) => found.count == expected.count && found.hash == Some(expected.hash),
        None => *expected == Head::NONE,
    };
    is(&ends.head) && is(&ends.last)
}
