//! Entries as rows, the chain of hashes that shows a row changed, removed or put elsewhere, and the root over all chains.

use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::ArchiveError;
use super::store::{Ends, Head, LogRow, RawHead, RawRow, Row, Stream};
use crate::case::journal::{Body, Entry};
use crate::phrase::faults::archive as said;

/// A SHA-256.
pub(super) type Hash = [u8; 32];

/// What the first row of a stream has in place of the hash before.
pub(super) const NONE: Hash = [0; 32];

/// What the standing instructions have in place of a case's number.
const STANDING: &str = "standing agreements";

/// What the practice has in its place.
const PRACTICE: &str = "practice record";

/// An entry in the words of its row.
#[derive(Clone)]
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

/// Returns the hash of a row: over the hash before, the stream, its number in the stream and what it says. The files of a
/// flow are one row with none before, told apart by the digest.
pub(super) fn hash(before: &Hash, stream: &Stream, number: u64, body: &str) -> Hash {
    let mut sha = Sha256::new();
    match stream {
        Stream::Flow(digest) => text(&mut sha, digest),
        Stream::Case(case) => link(&mut sha, before, case, number),
        Stream::Standing => link(&mut sha, before, STANDING, number),
        Stream::Practice => link(&mut sha, before, PRACTICE, number),
    }
    text(&mut sha, body);
    sha.finalize().into()
}

fn link(sha: &mut Sha256, before: &Hash, name: &str, number: u64) {
    sha.update(before);
    text(sha, name);
    sha.update(number.to_le_bytes());
}

/// Returns the root that stands for everything up to a row of the log: over the root before, the row's place in the log,
/// its stream, its number there and its hash.
pub(super) fn root(before: &Hash, seq: u64, stream: &str, number: u64, hash: &Hash) -> Hash {
    let mut sha = Sha256::new();
    sha.update(before);
    sha.update(seq.to_le_bytes());
    text(&mut sha, stream);
    sha.update(number.to_le_bytes());
    sha.update(hash);
    sha.finalize().into()
}

/// Returns the root before the first row of the log: over the archive's id and how many rows took in what was there.
pub(super) fn seed(id: &str, adopted: u64) -> Hash {
    let mut sha = Sha256::new();
    text(&mut sha, id);
    sha.update(adopted.to_le_bytes());
    sha.finalize().into()
}

/// Takes in a text with its length before it, so that no two texts run together into the same bytes.
fn text(sha: &mut Sha256, text: &str) {
    sha.update((text.len() as u64).to_le_bytes());
    sha.update(text.as_bytes());
}

/// What is wrong with a stream: at which row, or none for the stream as a whole, and what, as the end of a sentence.
pub(super) struct Broken {
    row: Option<u64>,
    why: String,
}

impl Broken {
    fn at(row: u64, why: &str) -> Broken {
        Broken {
            row: Some(row),
            why: why.to_owned(),
        }
    }

    /// Says it of a stream that has this many rows.
    pub(super) fn of(self, stream: &Stream, count: u64) -> ArchiveError {
        match stream {
            Stream::Case(number) => ArchiveError::Damaged {
                number: number.clone(),
                entry: self.row,
                why: self.why,
            },
            Stream::Standing => {
                ArchiveError::InstructionDamaged(self.row.unwrap_or(count.saturating_add(1)))
            }
            Stream::Practice => {
                ArchiveError::PracticeDamaged(self.row.unwrap_or(count.saturating_add(1)))
            }
            Stream::Flow(digest) => ArchiveError::FlowDamaged {
                digest: digest.clone(),
            },
        }
    }
}

/// The check of the rows of one stream, one after the other.
pub(super) struct Chain<'a> {
    stream: &'a Stream,
    /// How many rows there were so far.
    pub(super) count: u64,
    /// The hash of the last one.
    pub(super) hash: Hash,
}

impl<'a> Chain<'a> {
    pub(super) fn new(stream: &'a Stream) -> Chain<'a> {
        Chain {
            stream,
            count: 0,
            hash: NONE,
        }
    }

    /// Goes to where a stream ends.
    ///
    /// # Errors
    /// What is kept of its end is not its last row.
    pub(super) fn at_end(stream: &'a Stream, ends: &Ends) -> Result<Chain<'a>, ArchiveError> {
        let mut chain = Chain::new(stream);
        if *ends == Ends::default() {
            return Ok(chain);
        }
        if let Some(last) = &ends.last {
            chain.start_at(last.count, last.hash);
        }
        chain.end(ends.head.as_ref())?;
        Ok(chain)
    }

    /// Begins behind a row that is not looked at.
    pub(super) fn start_at(&mut self, count: u64, hash: Option<Hash>) {
        self.count = count;
        self.hash = hash.unwrap_or(NONE);
    }

    /// Returns where it stands.
    pub(super) fn head(&self) -> Head {
        Head {
            count: self.count,
            hash: self.hash,
        }
    }

    /// Makes the next row.
    pub(super) fn add(&mut self, id: Option<Uuid>, when: String, written: Written) -> Row {
        let number = self.count.saturating_add(1);
        let before = self.hash;
        self.count = number;
        self.hash = hash(&before, self.stream, number, &written.body);
        Row {
            number,
            id: id.map(|id| id.to_string()).unwrap_or_default(),
            when,
            kind: written.kind,
            body: written.body,
            before,
            hash: self.hash,
        }
    }

    /// Takes the next row and returns what it says. After an error the check can go on with the row after it.
    ///
    /// # Errors
    /// The row is not the one that was written there.
    pub(super) fn next<'b>(&mut self, row: &'b RawRow) -> Result<&'b str, ArchiveError> {
        let expected = self.count.saturating_add(1);
        let before = std::mem::replace(&mut self.hash, row.hash.unwrap_or(NONE));
        self.count = row.number;
        if row.number != expected {
            return Err(self.broken(Broken::at(expected, said::IS_MISSING)));
        }
        let Some(body) = row.body.as_deref() else {
            return Err(self.broken(Broken::at(row.number, said::CANNOT_BE_READ)));
        };
        if row.before != Some(before) {
            return Err(self.broken(Broken::at(row.number, said::OUT_OF_CHAIN)));
        }
        if row.hash != Some(hash(&before, self.stream, row.number, body)) {
            return Err(self.broken(Broken::at(row.number, said::CHANGED)));
        }
        Ok(body)
    }

    /// Takes the next row of a journal.
    ///
    /// # Errors
    /// The row is not the one that was written there, or this program cannot read it.
    pub(super) fn entry(&mut self, row: &RawRow) -> Result<Entry, ArchiveError> {
        let body = self.next(row)?;
        let entry = self.read(row, body)?;
        let agrees = row.id.as_deref() == Some(&entry.id.to_string())
            && row.when.as_deref() == Some(&entry.when.to_string())
            && row.kind == kind(body)
            && entry.seen.checked_add(1) == Some(row.number);
        if agrees {
            Ok(entry)
        } else {
            Err(self.broken(Broken::at(row.number, said::COLUMNS_DIFFER)))
        }
    }

    /// Compares the last row with what was kept of the end.
    ///
    /// # Errors
    /// The stream ends elsewhere.
    pub(super) fn end(&self, head: Option<&RawHead>) -> Result<(), ArchiveError> {
        match head {
            Some(head) if head.count > self.count => Err(self.ends_before(head.count)),
            Some(head) if head.count == self.count && head.hash == Some(self.hash) => Ok(()),
            _ => Err(self.broken(Broken {
                row: None,
                why: said::ENDS_ELSEWHERE.to_owned(),
            })),
        }
    }

    /// Says that rows are missing at the end.
    fn ends_before(&self, had: u64) -> ArchiveError {
        self.broken(Broken::at(
            self.count.saturating_add(1),
            &said::is_missing_of(had),
        ))
    }

    /// Compares rows that hold, by their hashes, with what the log says of the stream.
    ///
    /// # Errors
    /// The log knows of rows that are not there, or of others, or not of these.
    pub(super) fn as_logged(
        &self,
        hashes: &[Hash],
        logged: &[(u64, Hash)],
    ) -> Result<(), ArchiveError> {
        let Some((last, _)) = logged.last() else {
            return Err(self.broken(Broken::at(1, said::NOT_LOGGED)));
        };
        if *last > self.count {
            return Err(self.ends_before(*last));
        }
        for (number, hash) in logged {
            let place = number.checked_sub(1).and_then(|n| usize::try_from(n).ok());
            if place.and_then(|place| hashes.get(place)) != Some(hash) {
                return Err(self.broken(Broken::at(*number, said::CHANGED)));
            }
        }
        if *last < self.count {
            return Err(self.broken(Broken::at(last.saturating_add(1), said::NOT_LOGGED)));
        }
        Ok(())
    }

    fn read(&self, row: &RawRow, body: &str) -> Result<Entry, ArchiveError> {
        serde_json::from_str(body).map_err(|error| {
            let kind = row.kind.clone().unwrap_or_default();
            // The variant of a value can be unknown too; then its name is not the kind.
            match self.stream {
                Stream::Case(number)
                    if error
                        .to_string()
                        .starts_with(&format!("unknown variant `{kind}`")) =>
                {
                    ArchiveError::UnknownKind {
                        number: number.clone(),
                        entry: row.number,
                        kind,
                    }
                }
                _ => self.broken(Broken::at(
                    row.number,
                    &said::cannot_be_read(&error.to_string()),
                )),
            }
        })
    }

    /// Says that a row, the last that was taken, cannot be read.
    pub(super) fn unreadable(&self) -> ArchiveError {
        self.broken(Broken::at(self.count, said::CANNOT_BE_READ))
    }

    fn broken(&self, broken: Broken) -> ArchiveError {
        broken.of(self.stream, self.count)
    }
}

/// The check of the log, one row after the other.
pub(super) struct LogChain {
    seq: u64,
    root: Hash,
}

impl LogChain {
    pub(super) fn new(id: &str, adopted: u64) -> LogChain {
        LogChain {
            seq: 0,
            root: seed(id, adopted),
        }
    }

    /// Takes the next row; returns whether it is the one that was written there.
    pub(super) fn next(&mut self, row: &LogRow) -> bool {
        let expected = self.seq.saturating_add(1);
        let hash = row.hash.unwrap_or(NONE);
        let root = root(&self.root, row.seq, &row.stream, row.number, &hash);
        self.seq = row.seq;
        self.root = row.root.unwrap_or(NONE);
        row.seq == expected && row.hash.is_some() && row.root == Some(root)
    }
}
