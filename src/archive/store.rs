//! What the archive asks of the engine that keeps its rows.
//!
//! Everything that is kept is a row of a stream. An engine has transactions, an order and retries, and knows nothing of what
//! a row says: rows come hashed, and above it stand the chain, the entries and every check of order. It blocks, and one
//! thread uses it.

use std::fmt::Debug;
use std::ops::ControlFlow;
use std::path::Path;
use std::time::Duration;

use jiff::civil::Date;

use super::chain::{Hash, NONE};
use super::{ArchiveError, Freshness, Listed, WorkAsk, WorkRow};

/// What an engine gives back.
pub(super) type Kept<T> = Result<T, StoreError>;

/// What rows belong to.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Stream {
    /// The journal of the case with this number.
    Case(String),
    /// The files of the flow with this digest: one row.
    Flow(String),
    /// The standing instructions.
    Standing,
    /// What people did in practice.
    Practice,
}

impl Stream {
    /// Returns the name that the log has for it.
    pub(super) fn key(&self) -> String {
        match self {
            Self::Case(number) => format!("case {number}"),
            Self::Flow(digest) => format!("flow {digest}"),
            Self::Standing => "standing".to_owned(),
            Self::Practice => "practice".to_owned(),
        }
    }

    /// Reads the name that the log has for it.
    pub(super) fn from_key(key: &str) -> Option<Stream> {
        match key.split_once(' ') {
            Some(("case", number)) => Some(Self::Case(number.to_owned())),
            Some(("flow", digest)) => Some(Self::Flow(digest.to_owned())),
            _ => match key {
                "standing" => Some(Self::Standing),
                "practice" => Some(Self::Practice),
                _ => None,
            },
        }
    }
}

/// How many rows a stream has, and the hash it ends with.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct Head {
    pub(super) count: u64,
    pub(super) hash: Hash,
}

impl Head {
    /// The end of a stream without rows.
    pub(super) const NONE: Head = Head {
        count: 0,
        hash: NONE,
    };
}

/// The end of a stream as it is found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct RawHead {
    pub(super) count: u64,
    pub(super) hash: Option<Hash>,
}

/// Where a stream ends: by what is kept of its end, and by its last row.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct Ends {
    pub(super) head: Option<RawHead>,
    pub(super) last: Option<RawHead>,
}

/// A row to be kept.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Row {
    /// Its number in the stream, from 1.
    pub(super) number: u64,
    /// Its id, or nothing where the stream tells it apart.
    pub(super) id: String,
    /// When, as text.
    pub(super) when: String,
    /// Its kind.
    pub(super) kind: String,
    /// What it says.
    pub(super) body: String,
    /// The hash of the row before.
    pub(super) before: Hash,
    /// Its hash.
    pub(super) hash: Hash,
}

/// A row as it is found, whatever has become of it.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub(super) struct RawRow {
    pub(super) number: u64,
    pub(super) id: Option<String>,
    pub(super) when: Option<String>,
    pub(super) kind: Option<String>,
    pub(super) body: Option<String>,
    pub(super) before: Option<Hash>,
    pub(super) hash: Option<Hash>,
}

/// A row of the log of all that was ever kept, as it is found.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct LogRow {
    pub(super) seq: u64,
    pub(super) stream: String,
    pub(super) number: u64,
    pub(super) hash: Option<Hash>,
    pub(super) root: Option<Hash>,
}

/// What goes into the worklist in the transaction of an append.
#[derive(Clone, Copy, Debug)]
pub(super) enum Beside<'a> {
    /// Nothing.
    Nothing,
    /// The row of the case; marked as one to be made anew where the standing instructions are others than it was judged by.
    Row(&'a WorkRow),
    /// A mark that the row of the case has to be made anew; the text is when the case was written to.
    Mark(&'a str),
    /// The same mark at every case of a dentist.
    MarkAll(&'a str),
    /// No row for this case, now and later: it is walked for practice.
    Apart(&'a str),
}

/// What became of rows.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Appended {
    /// They are kept, where everybody finds them.
    Kept,
    /// The stream does not end where it was expected to. Nothing was written.
    Conflict,
}

/// What is to be known of an archive.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct About {
    /// The archive's own id, which its copies share.
    pub(super) id: String,
    /// How many rows at the beginning of the log took in what was there before there was a log.
    pub(super) adopted: u64,
    /// Whether it can be read only.
    pub(super) read_only: bool,
    /// Whether opening it brought it to the newest schema.
    pub(super) moved_on: bool,
}

/// Why an engine did not do what it was asked. Nothing was written, except after `Unsure` and `Gone`.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) enum StoreError {
    /// Others held it for too long.
    Busy,
    /// It failed, and whether the rows are kept cannot be told.
    Unsure(String),
    /// It is no longer what others find in its place; how, as the end of a sentence.
    Gone(&'static str),
    /// It cannot be written to.
    ReadOnly,
    /// There is no room.
    Full,
    /// It is damaged.
    Damaged(String),
    /// It is something else.
    NotOurs,
    /// The system failed.
    Failed(String),
}

impl StoreError {
    /// Says it of the archive at a path; `number` is the case that was written to, or nothing.
    pub(super) fn at(self, path: &Path, number: &str) -> ArchiveError {
        let path = path.to_path_buf();
        match self {
            Self::Busy => ArchiveError::Busy(path),
            Self::Unsure(why) if number.is_empty() => ArchiveError::Io { path, why },
            Self::Unsure(why) => ArchiveError::Unsure {
                number: number.to_owned(),
                why,
            },
            Self::Gone(how) => ArchiveError::Gone { path, how },
            Self::ReadOnly => ArchiveError::ReadOnly(path),
            Self::Full => ArchiveError::Full(path),
            Self::Damaged(why) => ArchiveError::Corrupt { path, why },
            Self::NotOurs => ArchiveError::NotADatabase(path),
            Self::Failed(why) => ArchiveError::Io { path, why },
        }
    }
}

/// Opens an engine once more, as often as it is asked.
pub(super) type Opener = Box<dyn Fn() -> Result<Box<dyn Store>, ArchiveError> + Send>;

/// An engine, opened.
pub(super) trait Store: Send + Debug {
    /// Returns what is to be known of it.
    fn about(&self) -> &About;

    /// Returns what was found on opening that a person should know, as sentences.
    fn notes(&self) -> &[String];

    /// Appends rows to a stream that ends as expected, with a row of the log for each, in one transaction.
    ///
    /// Kept means: read back before the commit, flushed by it, and found after it by whoever opens the archive now.
    fn append(
        &mut self,
        to: &Stream,
        expected: &Head,
        rows: &[Row],
        beside: Beside<'_>,
    ) -> Kept<Appended>;

    /// Looks whether whoever opens the archive now finds this row of a stream, or fails with [`StoreError::Gone`].
    fn stands(&self, stream: &Stream, row: &Head) -> Kept<()>;

    /// Returns whether this is still the archive that is found in its place.
    fn is_in_place(&self) -> bool;

    /// Returns the stream and the body of the row with this id, among the streams of this kind.
    fn known(&self, kind: &Stream, id: &str) -> Kept<Option<(Stream, String)>>;

    /// Returns where a stream ends.
    fn ends(&self, stream: &Stream) -> Kept<Ends>;

    /// Gives each row of a stream after the first `after`, in their order; returns what is kept of its end, from the same
    /// moment.
    fn read(
        &self,
        stream: &Stream,
        after: u64,
        each: &mut dyn FnMut(RawRow) -> ControlFlow<()>,
    ) -> Kept<Option<RawHead>>;

    /// Returns every stream that has a row or an end.
    fn streams(&self) -> Kept<Vec<Stream>>;

    /// Gives each row of the log after `after`. What was appended since then is what has changed.
    fn log(&self, after: u64, each: &mut dyn FnMut(LogRow) -> ControlFlow<()>) -> Kept<()>;

    /// Returns the last row of the log, or `None` if nothing was ever kept.
    fn last(&self) -> Kept<Option<LogRow>>;

    /// Runs reads that see one moment, whatever others write meanwhile.
    fn at_one_moment(&self, reads: &mut dyn FnMut() -> Kept<()>) -> Kept<()>;

    /// Returns a number that changes when somebody else has written.
    fn revision(&self) -> Kept<u64>;

    /// Gives rows of the worklist one by one, as they are at one moment, until `each` breaks off.
    fn work(
        &self,
        ask: &WorkAsk,
        now: &Freshness,
        each: &mut dyn FnMut(Listed) -> ControlFlow<()>,
    ) -> Kept<()>;

    /// Returns how many rows of the worklist stand before a case, or `None` if it is not among them.
    fn place_of(&self, number: &str, ask: &WorkAsk) -> Kept<Option<usize>>;

    /// Returns the row of a case in the worklist, or `None` if it has none.
    fn row_of(&self, number: &str, now: &Freshness) -> Kept<Option<Listed>>;

    /// Counts the rows of the worklist: all, and those in which something is left to do.
    fn count(&self) -> Kept<(usize, usize)>;

    /// Counts the cases in which something is left to do: those whose turn comes first, and those that are late.
    fn count_first_and_late(&self, today: Date) -> Kept<(usize, usize)>;

    /// Counts the cases whose row has to be made anew.
    fn count_stale(&self, now: &Freshness) -> Kept<usize>;

    /// Returns the numbers of cases whose row has to be made anew, the one last written to first.
    fn stale(&self, now: &Freshness, most: usize) -> Kept<Vec<String>>;

    /// Keeps rows of the worklist in one transaction, but none whose case has been written to since it was made; returns
    /// the numbers of those that were kept. Those that other standing instructions judged are marked.
    fn put_work(&mut self, rows: &[WorkRow]) -> Kept<Vec<String>>;

    /// Returns what the engine itself finds wrong with its files, as sentences.
    fn own_damage(&self) -> Kept<Vec<String>>;

    /// Copies the whole to a file that does not exist.
    fn backup(&self, to: &Path) -> Result<(), ArchiveError>;

    /// Returns what opens the same once more, in another thread.
    fn opener(&self) -> Opener;

    /// Sets how long a write waits for others.
    fn patience(&mut self, time: Duration) -> Kept<()>;
}
