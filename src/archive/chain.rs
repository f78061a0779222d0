//! Entries as rows, and the chain of hashes that shows a row changed, removed or put elsewhere.

use rusqlite::Row;
use rusqlite::types::FromSql;
use sha2::{Digest, Sha256};

use super::ArchiveError;
use crate::case::journal::{Body, Entry};
use crate::phrase::faults::archive as said;

/// A SHA-256.
pub(super) type Hash = [u8; 32];

/// What the first entry of a case has in place of the hash before.
pub(super) const NONE: Hash = [0; 32];

/// An entry in the words of its row.
pub(super) struct Written {
    pub(super) kind: String,
    pub(super) body: String,
}

/// Writes an entry as its row has it.
///
/// # Errors
/// The entry would not read back as itself, a number that is not finite for one.
pub(super) fn write(number: &str, entry: &Entry) -> Result<Written, ArchiveError> {
    let refused = |why: &str| ArchiveError::NotStorable {
        number: number.to_owned(),
        id: entry.id,
        why: why.to_owned(),
    };
    if let Body::Opened { number: other, .. } = &entry.body
        && other != number
    {
        return Err(refused(&said::opens_another(other)));
    }
    let body = serde_json::to_string(entry).map_err(|error| refused(&error.to_string()))?;
    let back: Option<Entry> = serde_json::from_str(&body).ok();
    if back.as_ref() != Some(entry) {
        return Err(refused(said::NOT_ITSELF));
    }
    let kind = kind(&body).ok_or_else(|| refused(said::NO_KIND))?;
    Ok(Written { kind, body })
}

/// Returns the kind of a body out of the JSON of its entry.
fn kind(json: &str) -> Option<String> {
    let entry: serde_json::Value = serde_json::from_str(json).ok()?;
    match entry.get("body")? {
        serde_json::Value::String(kind) => Some(kind.clone()),
        serde_json::Value::Object(body) => body.keys().next().cloned(),
        _ => None,
    }
}

/// Returns the hash of an entry: over the hash before, the case, its number in the case and its JSON.
pub(super) fn hash(before: &Hash, case: &str, number: u64, body: &str) -> Hash {
    let mut sha = Sha256::new();
    sha.update(before);
    text(&mut sha, case);
    sha.update(number.to_le_bytes());
    text(&mut sha, body);
    sha.finalize().into()
}

/// Returns the hash of a flow's files.
pub(super) fn flow_hash(digest: &str, files: &str) -> Hash {
    let mut sha = Sha256::new();
    text(&mut sha, digest);
    text(&mut sha, files);
    sha.finalize().into()
}

/// Takes in a text with its length before it, so that no two texts run together into the same bytes.
fn text(sha: &mut Sha256, text: &str) {
    sha.update((text.len() as u64).to_le_bytes());
    sha.update(text.as_bytes());
}

/// A row as it is found, whatever has become of it.
pub(super) struct Found {
    pub(super) case: String,
    pub(super) number: u64,
    id: Option<String>,
    when: Option<String>,
    kind: Option<String>,
    body: Option<String>,
    before: Option<Hash>,
    hash: Option<Hash>,
}

/// The columns that [`Found::from_row`] reads, in their order.
pub(super) const COLUMNS: &str =
    "case_number, number, id, when_text, kind, body, before_hash, hash";

impl Found {
    /// Reads a row; what is not text in UTF-8, or not a hash, is left out and found wanting by the chain.
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Found> {
        Ok(Found {
            case: lossy(row, 0)?,
            number: count(row, 1).unwrap_or_default(),
            id: column(row, 2),
            when: column(row, 3),
            kind: column(row, 4),
            body: column(row, 5),
            before: column(row, 6),
            hash: column(row, 7),
        })
    }
}

fn column<T: FromSql>(row: &Row<'_>, index: usize) -> Option<T> {
    row.get(index).ok()
}

/// Reads a number of entries.
pub(super) fn count(row: &Row<'_>, index: usize) -> rusqlite::Result<u64> {
    let count: i64 = row.get(index)?;
    u64::try_from(count).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(index, count))
}

/// Returns a number of entries as a column has it.
pub(super) fn stored(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// Reads a text that may not be UTF-8 any more.
pub(super) fn lossy(row: &Row<'_>, index: usize) -> rusqlite::Result<String> {
    let value = row.get_ref(index)?;
    Ok(String::from_utf8_lossy(value.as_bytes().unwrap_or_default()).into_owned())
}

/// The check of the entries of one case, one after the other.
pub(super) struct Chain {
    case: String,
    /// How many entries there were so far.
    pub(super) count: u64,
    /// The hash of the last one.
    pub(super) hash: Hash,
}

impl Chain {
    pub(super) fn new(case: &str) -> Chain {
        Chain {
            case: case.to_owned(),
            count: 0,
            hash: NONE,
        }
    }

    /// Takes the next row. After an error the check can go on with the row after it.
    ///
    /// # Errors
    /// The row is not the one that was written there, or this program cannot read it.
    pub(super) fn next(&mut self, row: &Found) -> Result<Entry, ArchiveError> {
        let expected = self.count.saturating_add(1);
        let before = std::mem::replace(&mut self.hash, row.hash.unwrap_or(NONE));
        self.count = row.number;
        if row.number != expected {
            return Err(self.missing(expected));
        }
        let Some(body) = row.body.as_deref() else {
            return Err(self.damaged(said::CANNOT_BE_READ));
        };
        if row.before != Some(before) {
            return Err(self.damaged(said::OUT_OF_CHAIN));
        }
        if row.hash != Some(hash(&before, &self.case, row.number, body)) {
            return Err(self.damaged(said::CHANGED));
        }
        let entry = self.read(row, body)?;
        let agrees = row.id.as_deref() == Some(&entry.id.to_string())
            && row.when.as_deref() == Some(&entry.when.to_string())
            && row.kind == kind(body)
            && entry.seen.checked_add(1) == Some(row.number);
        if agrees {
            Ok(entry)
        } else {
            Err(self.damaged(said::COLUMNS_DIFFER))
        }
    }

    /// Compares the last entry with the head that was kept.
    ///
    /// # Errors
    /// The case ends elsewhere.
    pub(super) fn end(&self, head: Option<&Head>) -> Result<(), ArchiveError> {
        match head {
            Some(head) if head.count > self.count => Err(ArchiveError::Damaged {
                number: self.case.clone(),
                entry: Some(self.count.saturating_add(1)),
                why: said::is_missing_of(head.count),
            }),
            Some(head) if head.count == self.count && head.hash == Some(self.hash) => Ok(()),
            _ => Err(ArchiveError::Damaged {
                number: self.case.clone(),
                entry: None,
                why: said::ENDS_ELSEWHERE.to_owned(),
            }),
        }
    }

    fn read(&self, row: &Found, body: &str) -> Result<Entry, ArchiveError> {
        serde_json::from_str(body).map_err(|error| {
            let kind = row.kind.clone().unwrap_or_default();
            // The variant of a value can be unknown too; then its name is not the kind.
            if error
                .to_string()
                .starts_with(&format!("unknown variant `{kind}`"))
            {
                ArchiveError::UnknownKind {
                    number: self.case.clone(),
                    entry: row.number,
                    kind,
                }
            } else {
                self.damaged(&said::cannot_be_read(&error.to_string()))
            }
        })
    }

    fn missing(&self, expected: u64) -> ArchiveError {
        ArchiveError::Damaged {
            number: self.case.clone(),
            entry: Some(expected),
            why: said::IS_MISSING.to_owned(),
        }
    }

    fn damaged(&self, why: &str) -> ArchiveError {
        ArchiveError::Damaged {
            number: self.case.clone(),
            entry: Some(self.count),
            why: why.to_owned(),
        }
    }
}

/// How long the chain of a case is, and the hash it ends with.
pub(super) struct Head {
    pub(super) case: String,
    pub(super) count: u64,
    hash: Option<Hash>,
}

impl Head {
    /// Returns the hash in hexadecimal letters; empty where it cannot be read.
    pub(super) fn in_letters(&self) -> String {
        let hash = self.hash.as_ref().map_or(&[][..], |hash| hash.as_slice());
        hash.iter().map(|byte| format!("{byte:02x}")).collect()
    }

    /// Reads the columns `case_number, entries, hash`.
    pub(super) fn from_row(row: &Row<'_>) -> rusqlite::Result<Head> {
        Ok(Head {
            case: lossy(row, 0)?,
            count: count(row, 1).unwrap_or_default(),
            hash: column(row, 2),
        })
    }
}
