use std::path::{Path, PathBuf};

use casepan::case::journal::{Body, Entry};
use casepan::case::{CaseUnit, FlowRef, Layer, OrderedKind, Restoration, Role, Units};
use casepan::fact::{FactId, Spot, Unit, Value};
use jiff::Timestamp;
use rusqlite::Connection;
use sha2::{Digest, Sha256};
use tempfile::TempDir;
use uuid::Uuid;

/// Returns a path for an archive that does not exist yet, and what keeps its directory.
pub(crate) fn new_archive() -> (TempDir, PathBuf) {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("cases.archive");
    (directory, path)
}

pub(crate) fn spot(fact: &str, at: &str) -> Spot {
    Spot {
        fact: FactId::named(fact),
        at: at.parse().unwrap(),
    }
}

pub(crate) fn crown() -> Units {
    units(OrderedKind::Crown, &[("46", Role::Abutment)])
}

pub(crate) fn bridge() -> Units {
    units(
        OrderedKind::Bridge,
        &[
            ("44", Role::Abutment),
            ("45", Role::Pontic),
            ("46", Role::Abutment),
        ],
    )
}

fn units(ordered: OrderedKind, teeth: &[(&str, Role)]) -> Units {
    let units = teeth
        .iter()
        .map(|(tooth, role)| CaseUnit {
            tooth: tooth.parse().unwrap(),
            role: *role,
        })
        .collect();
    Units::new(vec![Restoration {
        id: 1,
        ordered,
        units,
    }])
    .unwrap()
}

pub(crate) fn entry(seen: u64, body: Body) -> Entry {
    Entry {
        id: Uuid::new_v4(),
        seen,
        session: Uuid::new_v4(),
        when: Timestamp::now(),
        who: Some("KM".to_owned()),
        body,
    }
}

pub(crate) fn opened(number: &str) -> Entry {
    let body = Body::Opened {
        number: number.to_owned(),
        flow: FlowRef::default(),
        units: crown(),
    };
    entry(0, body)
}

pub(crate) fn answer(seen: u64, height: f64) -> Entry {
    let body = Body::Answer {
        spot: spot("wall.height", "46/distal"),
        value: Value::Number(height, Unit::Mm),
        with: Some("gauge".to_owned()),
        layer: Layer::Measured,
        undoes: None,
    };
    entry(seen, body)
}

/// Returns a case with this many entries.
pub(crate) fn case(number: &str, entries: u64) -> Vec<Entry> {
    let mut case = vec![opened(number)];
    case.extend((1..entries).map(|seen| answer(seen, 2.5)));
    case
}

/// Does to an archive what the program never does, with its triggers out of the way meanwhile.
pub(crate) fn tamper(path: &Path, sql: &str) {
    let conn = Connection::open(path).unwrap();
    let triggers: Vec<(String, String)> = conn
        .prepare("SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    assert!(!triggers.is_empty());
    for (name, _) in &triggers {
        conn.execute_batch(&format!("DROP TRIGGER {name}")).unwrap();
    }
    conn.execute_batch(sql).unwrap();
    for (_, sql) in triggers {
        // Not where the table itself is gone.
        let _ = conn.execute_batch(&sql);
    }
}

/// Writes the log anew over what the archive holds now, as somebody would who knows how it is made.
pub(crate) fn forge_log(path: &Path) {
    tamper(path, "");
    let conn = Connection::open(path).unwrap();
    conn.execute_batch("DROP TRIGGER log_is_final").unwrap();
    let (id, adopted): (String, u32) = conn
        .query_row("SELECT id, adopted FROM archive", [], |row| {
            Ok((row.get(0)?, row.get(1)?))
        })
        .unwrap();
    let text = |text: &str| [&(text.len() as u64).to_le_bytes(), text.as_bytes()].concat();
    let mut root =
        Sha256::digest([text(&id), u64::from(adopted).to_le_bytes().to_vec()].concat()).to_vec();
    let rows: Vec<(u32, String, u32)> = conn
        .prepare("SELECT seq, stream, number FROM log ORDER BY seq")
        .unwrap()
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
        .unwrap()
        .map(Result::unwrap)
        .collect();
    for (seq, stream, number) in rows {
        let case = stream.strip_prefix("case ").unwrap();
        let hash: Vec<u8> = conn
            .query_row(
                "SELECT hash FROM entry WHERE case_number = ?1 AND number = ?2",
                rusqlite::params![case, number],
                |row| row.get(0),
            )
            .unwrap();
        let parts = [
            root,
            u64::from(seq).to_le_bytes().to_vec(),
            text(&stream),
            u64::from(number).to_le_bytes().to_vec(),
            hash.clone(),
        ];
        root = Sha256::digest(parts.concat()).to_vec();
        conn.execute(
            "UPDATE log SET hash = ?2, root = ?3 WHERE seq = ?1",
            rusqlite::params![seq, hash, root],
        )
        .unwrap();
    }
    conn.execute_batch(
        "CREATE TRIGGER log_is_final BEFORE UPDATE ON log BEGIN
    SELECT RAISE(ABORT, 'the log is never rewritten');
END",
    )
    .unwrap();
}

/// The hash of an entry, written again after its description: SHA-256 over the hash before, the case's number with
/// its length before it, the entry's number, and the JSON with its length before it; integers of 64 bits, the least
/// byte first.
pub(crate) fn seal(before: &[u8], case: &str, number: u64, body: &str) -> Vec<u8> {
    let mut bytes = before.to_vec();
    bytes.extend((case.len() as u64).to_le_bytes());
    bytes.extend(case.as_bytes());
    bytes.extend(number.to_le_bytes());
    bytes.extend((body.len() as u64).to_le_bytes());
    bytes.extend(body.as_bytes());
    Sha256::digest(&bytes).to_vec()
}
