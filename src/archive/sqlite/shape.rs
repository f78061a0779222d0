//! The tables and triggers of an archive, compared with those that the steps make.

use std::sync::OnceLock;

use rusqlite::Connection;
use sha2::{Digest, Sha256};

use super::column::lossy;
use super::schema;
use crate::phrase::faults::archive as said;
use crate::text::hex;

/// A table, an index or a trigger: what it is, its name, its text.
type Part = (String, String, String);

/// What is wrong with the shape of an archive.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Shape {
    /// Everything, as sentences.
    pub(super) faults: Vec<String>,
    /// What makes it unsafe to write to, if anything does: a trigger of somebody else could undo it, a table could lack
    /// what keeps rows apart. Where a guard is missing, what is written is kept all the same.
    pub(super) unsafe_to_write: Option<String>,
}

/// Returns the parts of a database, but for those that SQLite makes.
fn parts(conn: &Connection) -> rusqlite::Result<Vec<Part>> {
    let mut statement = conn.prepare_cached(
        "SELECT type, name, COALESCE(sql, '') FROM sqlite_schema
         WHERE name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY type, name",
    )?;
    let rows = statement.query_map([], |row| {
        Ok((lossy(row, 0)?, lossy(row, 1)?, lossy(row, 2)?))
    })?;
    rows.collect()
}

/// Returns the parts that the steps make, worked out once.
fn made() -> &'static [Part] {
    static MADE: OnceLock<Vec<Part>> = OnceLock::new();
    MADE.get_or_init(|| {
        let made = Connection::open_in_memory().and_then(|conn| {
            for step in schema::STEPS {
                conn.execute_batch(step)?;
            }
            parts(&conn)
        });
        // Without them everything is called a part of somebody else; the steps make them in every test.
        made.unwrap_or_default()
    })
}

/// SHA-256 of the parts that the steps make, in hexadecimal letters: whoever finds just these need not make them once more,
/// which takes longer than opening the archive.
const ALL_WELL: &str = "54df94bb39898b60823ccac8ef8d59cb94c1b1e4b04390f0bc77acb5eb79a990";

/// Returns the SHA-256 of parts, each text with its length before it.
fn digest(parts: &[Part]) -> String {
    let mut all = Sha256::new();
    for (what, name, text) in parts {
        for own in [what, name, text] {
            all.update((own.len() as u64).to_le_bytes());
            all.update(own);
        }
    }
    hex(all.finalize())
}

/// Compares the parts of an archive with those that are made.
pub(super) fn of(conn: &Connection) -> rusqlite::Result<Shape> {
    let found = parts(conn)?;
    let mut shape = Shape::default();
    if digest(&found) == ALL_WELL {
        return Ok(shape);
    }
    for (what, name, text) in made() {
        let same = found.iter().find(|(w, n, _)| (w, n) == (what, name));
        let (fault, guard) = match same {
            Some((.., own)) if own == text => continue,
            Some(_) => (said::part_changed(what, name), false),
            None => (said::part_missing(what, name), what != "table"),
        };
        if !guard {
            shape.unsafe_to_write.get_or_insert(fault.clone());
        }
        shape.faults.push(fault);
    }
    for (what, name, _) in &found {
        let ours = made().iter().any(|(w, n, _)| (w, n) == (what, name));
        if what == "trigger" && !ours {
            let fault = said::part_added(what, name);
            shape.unsafe_to_write.get_or_insert(fault.clone());
            shape.faults.push(fault);
        }
    }
    Ok(shape)
}

#[cfg(test)]
mod tests {
    use super::{ALL_WELL, digest, made};

    #[test]
    fn what_is_taken_as_well_at_a_glance_is_what_the_steps_make() {
        assert!(made().len() > 20);
        assert_eq!(digest(made()), ALL_WELL);
    }
}
