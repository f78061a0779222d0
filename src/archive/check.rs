//! The walk over everything that is kept.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use rusqlite::{Connection, Row, Transaction};

use std::fmt;

use super::ArchiveError;
use super::chain::{self, Chain, Found, Hash, Head};
use super::instructions;
use crate::case::journal::{self, Entry};
use crate::phrase::faults::archive as said;

/// Something in the archive that is not as it was written.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Damage {
    /// The case, or `None` if it is not in a case.
    pub case: Option<String>,
    /// The entry, the first being 1, or `None` if it is not in one entry.
    pub entry: Option<u64>,
    /// What it is, as a clause that stands alone.
    pub sentence: String,
}

impl fmt::Display for Damage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&said::damage(
            self.case.as_deref(),
            self.entry,
            &self.sentence,
        ))
    }
}

impl From<ArchiveError> for Damage {
    fn from(error: ArchiveError) -> Damage {
        let sentence = error.to_string();
        let (case, entry) = match error {
            ArchiveError::Damaged { number, entry, .. } => (Some(number), entry),
            ArchiveError::UnknownKind { number, entry, .. } => (Some(number), Some(entry)),
            _ => (None, None),
        };
        Damage {
            case,
            entry,
            sentence,
        }
    }
}

/// Finds all that is damaged, over one snapshot.
pub(super) fn check(conn: &Connection, path: &Path) -> Result<Vec<Damage>, ArchiveError> {
    let sql = |error: rusqlite::Error| ArchiveError::from_sql(path, &error);
    let tx = conn.unchecked_transaction().map_err(sql)?;
    let mut damages = pages(&tx).map_err(sql)?;
    damages.extend(cases(&tx).map_err(sql)?);
    damages.extend(flows(&tx).map_err(sql)?);
    damages.extend(instructions::check(&tx).map_err(sql)?.map(Damage::from));
    Ok(damages)
}

/// What the database finds in its own pages.
fn pages(tx: &Transaction<'_>) -> rusqlite::Result<Vec<Damage>> {
    let mut statement = tx.prepare("PRAGMA integrity_check")?;
    let found = statement
        .query_map([], |row| chain::lossy(row, 0))?
        .collect::<Result<Vec<_>, _>>()?;
    Ok(found
        .into_iter()
        .filter(|line| line != "ok")
        .map(|line| Damage {
            case: None,
            entry: None,
            sentence: said::database_reports(&line),
        })
        .collect())
}

fn cases(tx: &Transaction<'_>) -> rusqlite::Result<Vec<Damage>> {
    let mut heads = BTreeMap::new();
    let mut statement = tx.prepare("SELECT case_number, entries, hash FROM head")?;
    for head in statement.query_map([], Head::from_row)? {
        let head = head?;
        heads.insert(head.case.clone(), head);
    }
    let mut damages = Vec::new();
    let query = format!(
        "SELECT {} FROM entry ORDER BY case_number, number",
        chain::COLUMNS
    );
    let mut statement = tx.prepare(&query)?;
    let mut session: Option<ChainCheck> = None;
    for row in statement.query_map([], Found::from_row)? {
        let row = row?;
        if session
            .as_ref()
            .is_none_or(|session| session.case != row.case)
        {
            if let Some(done) = session.take() {
                let head = heads.remove(&done.case);
                damages.extend(done.end(head.as_ref()));
            }
            session = Some(ChainCheck::new(&row.case));
        }
        if let Some(session) = &mut session {
            session.next(&row);
        }
    }
    if let Some(done) = session {
        let head = heads.remove(&done.case);
        damages.extend(done.end(head.as_ref()));
    }
    // Cases of which nothing is left but the head.
    for (case, head) in heads {
        damages.extend(ChainCheck::new(&case).end(Some(&head)));
    }
    Ok(damages)
}

struct ChainCheck {
    case: String,
    chain: Chain,
    entries: Vec<Entry>,
    damages: Vec<Damage>,
}

impl ChainCheck {
    fn new(case: &str) -> ChainCheck {
        ChainCheck {
            case: case.to_owned(),
            chain: Chain::new(case),
            entries: Vec::new(),
            damages: Vec::new(),
        }
    }

    fn next(&mut self, row: &Found) {
        match self.chain.next(row) {
            Ok(entry) => self.entries.push(entry),
            Err(error) => self.damages.push(error.into()),
        }
    }

    fn end(mut self, head: Option<&Head>) -> Vec<Damage> {
        if let Err(error) = self.chain.end(head) {
            self.damages.push(error.into());
        }
        // Only whole entries can tell whether they make a case.
        if self.damages.is_empty()
            && let Err(error) = journal::fold(&self.entries)
        {
            self.damages.push(Damage {
                sentence: said::not_a_case(&self.case, &error),
                case: Some(self.case),
                entry: None,
            });
        }
        self.damages
    }
}

fn flows(tx: &Transaction<'_>) -> rusqlite::Result<Vec<Damage>> {
    let mut statement = tx.prepare("SELECT digest, files, hash FROM flow ORDER BY digest")?;
    let mut rows = statement.query([])?;
    let mut damaged = BTreeSet::new();
    while let Some(row) = rows.next()? {
        let digest = chain::lossy(row, 0)?;
        if flow_files(&digest, row, 1, 2).is_none() {
            damaged.insert(digest);
        }
    }
    Ok(damaged
        .into_iter()
        .map(|digest| ArchiveError::FlowDamaged { digest }.into())
        .collect())
}

/// Reads the files of a flow, or `None` if they are not as they were written.
pub(super) fn flow_files(
    digest: &str,
    row: &Row<'_>,
    files: usize,
    hash: usize,
) -> Option<Vec<(String, String)>> {
    let files: String = row.get(files).ok()?;
    let hash: Hash = row.get(hash).ok()?;
    (hash == chain::flow_hash(digest, &files))
        .then(|| serde_json::from_str(&files).ok())
        .flatten()
}
