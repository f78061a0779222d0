//! The walk over everything that is kept.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;
use std::ops::ControlFlow;

use super::chain::{Chain, Hash, LogChain};
use super::store::{Kept, RawRow, Store, StoreError, Stream};
use super::{ArchiveError, KeptFlow, instructions, practice};
use crate::case::journal::{self, Body, Entry};
use crate::phrase::faults::archive as said;

/// What a check found.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Checked {
    /// Everything that is not as it was written.
    pub damages: Vec<Damage>,
    /// The cases that can be read whole.
    pub whole: Vec<String>,
    /// The other cases, those that are gone among them.
    pub broken: Vec<String>,
    /// The digests of the flows that are here, each with how many cases it judges.
    pub flows: Vec<(String, usize)>,
}

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

impl Damage {
    /// Damage that is in no case.
    fn apart(sentence: String) -> Damage {
        Damage {
            case: None,
            entry: None,
            sentence,
        }
    }
}

/// Rows of the log by stream.
type Logged = BTreeMap<Stream, Vec<(u64, Hash)>>;

/// Finds all that is damaged, over one moment.
pub(super) fn check(store: &dyn Store) -> Kept<Checked> {
    let mut checked = Checked::default();
    store.at_one_moment(&mut || {
        checked = Checked::default();
        let own = readable(store.own_damage(), &mut checked.damages)?.unwrap_or_default();
        checked.damages.extend(own.into_iter().map(Damage::apart));
        walk(store, &mut checked)
    })?;
    Ok(checked)
}

/// Returns what was read, or `None` if its pages cannot be read: that is a damage, and no reason to leave the rest unread.
fn readable<T>(read: Kept<T>, damages: &mut Vec<Damage>) -> Kept<Option<T>> {
    match read {
        Ok(read) => Ok(Some(read)),
        Err(StoreError::Damaged(why)) => {
            let damage = Damage::apart(said::database_reports(&why));
            if !damages.contains(&damage) {
                damages.push(damage);
            }
            Ok(None)
        }
        Err(error) => Err(error),
    }
}

fn walk(store: &dyn Store, checked: &mut Checked) -> Kept<()> {
    let streams = readable(store.streams(), &mut checked.damages)?;
    let mut streams: BTreeSet<Stream> = streams.unwrap_or_default().into_iter().collect();
    let mut flows = BTreeMap::new();
    let log = readable(log(store), &mut checked.damages)?;
    // Against a log that cannot be read nothing is compared.
    let has_log = log.is_some();
    let (mut logged, broken) = log.unwrap_or_default();
    streams.extend(logged.keys().cloned());
    // A stream that was gone before there was a log shows only where something refers to it.
    let mut kept = BTreeSet::new();
    for stream in &streams {
        let rows = logged.remove(stream).unwrap_or_default();
        let rows = has_log.then_some(rows.as_slice());
        match stream {
            Stream::Case(number) => {
                let before = checked.damages.len();
                case(store, number, rows, &mut flows, &mut checked.damages)?;
                let list = match checked.damages.len() == before {
                    true => &mut checked.whole,
                    false => &mut checked.broken,
                };
                list.push(number.clone());
            }
            Stream::Flow(digest) => {
                kept.insert(digest.clone());
                let error = |digest: &String| ArchiveError::FlowDamaged {
                    digest: digest.clone(),
                };
                let Some(files) = readable(flow_files(store, digest), &mut checked.damages)? else {
                    checked.damages.push(error(digest).into());
                    continue;
                };
                match files {
                    None => {
                        kept.remove(digest);
                        flows.entry(digest.clone()).or_default();
                    }
                    Some(None) => checked.damages.push(error(digest).into()),
                    Some(Some((_, hash))) => {
                        let mut chain = Chain::new(stream);
                        chain.start_at(1, Some(hash));
                        if rows.is_some_and(|rows| chain.as_logged(&[hash], rows).is_err()) {
                            checked.damages.push(error(digest).into());
                        }
                    }
                }
            }
            Stream::Standing | Stream::Practice => {
                let read = match stream {
                    Stream::Practice => practice::hashes(store),
                    _ => instructions::rows(store).map(|read| read.map(|(_, hashes)| hashes)),
                };
                let Some(read) = readable(read, &mut checked.damages)? else {
                    continue;
                };
                let damage = match read {
                    Err(error) => Some(error),
                    Ok(hashes) => {
                        let mut chain = Chain::new(stream);
                        chain.start_at(hashes.len() as u64, hashes.last().copied());
                        rows.and_then(|rows| chain.as_logged(&hashes, rows).err())
                    }
                };
                checked.damages.extend(damage.map(Damage::from));
            }
        }
    }
    for (digest, cases) in flows {
        if kept.contains(&digest) {
            checked.flows.push((digest, cases));
        } else {
            let damage = Damage::apart(said::flow_missing(&digest, cases));
            checked.damages.push(damage);
        }
    }
    checked.damages.extend(broken);
    Ok(())
}

/// Walks the log; returns its rows by stream, and what is wrong with it.
fn log(store: &dyn Store) -> Kept<(Logged, Vec<Damage>)> {
    let about = store.about();
    let mut chain = LogChain::new(&about.id, about.adopted);
    let mut logged = Logged::new();
    let mut damages = Vec::new();
    let mut last = 0;
    store.log(0, &mut |row| {
        let mut whole = chain.next(&row);
        match Stream::from_key(&row.stream).zip(row.hash) {
            Some((stream, hash)) => {
                let rows = logged.entry(stream).or_default();
                // Each row follows the one before; what was taken in at the beginning may begin at any number.
                whole &= match rows.last() {
                    Some((last, _)) => last.checked_add(1) == Some(row.number),
                    None => row.number == 1 || row.seq <= about.adopted,
                };
                rows.push((row.number, hash));
            }
            None => whole = false,
        }
        if !whole {
            damages.push(Damage::apart(said::log_damaged(row.seq)));
        }
        last = row.seq;
        ControlFlow::Continue(())
    })?;
    // What was taken in at the beginning was there from the first.
    if last < about.adopted {
        damages.push(Damage::apart(said::log_damaged(last.saturating_add(1))));
    }
    Ok((logged, damages))
}

/// Walks a case, and compares it with its rows of the log where that can be read. `flows` counts the cases that each flow
/// judges.
fn case(
    store: &dyn Store,
    number: &str,
    logged: Option<&[(u64, Hash)]>,
    flows: &mut BTreeMap<String, usize>,
    damages: &mut Vec<Damage>,
) -> Kept<()> {
    let stream = Stream::Case(number.to_owned());
    let mut chain = Chain::new(&stream);
    let (mut entries, mut hashes) = (Vec::new(), Vec::new());
    let before = damages.len();
    let mut take = |row: RawRow| {
        match chain.entry(&row) {
            Ok(entry) => entries.push(entry),
            Err(error) => damages.push(error.into()),
        }
        hashes.push(chain.hash);
        ControlFlow::Continue(())
    };
    let head = match store.read(&stream, 0, &mut take) {
        Ok(head) => head,
        // The pages of one case are no reason to leave the others unread.
        Err(StoreError::Damaged(why)) => {
            damages.push(Damage {
                case: Some(number.to_owned()),
                entry: None,
                sentence: said::database_reports(&why),
            });
            return Ok(());
        }
        Err(error) => return Err(error),
    };
    if head.is_some() || chain.count > 0 {
        damages.extend(chain.end(head.as_ref()).err().map(Damage::from));
    }
    // One damage is not told twice; and only whole entries can tell whether they make a case.
    if damages.len() == before {
        let as_logged = logged.and_then(|logged| chain.as_logged(&hashes, logged).err());
        damages.extend(as_logged.map(Damage::from));
    }
    if damages.len() == before
        && let Err(error) = journal::fold(&entries)
    {
        damages.push(Damage {
            sentence: said::not_a_case(number, &error),
            case: Some(number.to_owned()),
            entry: None,
        });
    }
    for digest in judged_by(&entries) {
        *flows.entry(digest.to_owned()).or_default() += 1;
    }
    Ok(())
}

/// Returns the digests of the flows that a case was judged by.
fn judged_by(entries: &[Entry]) -> BTreeSet<&str> {
    let digests = entries.iter().filter_map(|entry| match &entry.body {
        Body::Opened { flow, .. } | Body::MoveFlow { flow, .. } => Some(flow.digest.as_str()),
        _ => None,
    });
    // Without a digest no files were named.
    digests.filter(|digest| !digest.is_empty()).collect()
}

/// A flow, and the hash of its row.
type Found = (KeptFlow, Hash);

/// Reads a flow, or `Some(None)` if it is not as it was written.
pub(super) fn flow_files(store: &dyn Store, digest: &str) -> Kept<Option<Option<Found>>> {
    let stream = Stream::Flow(digest.to_owned());
    let mut found = None;
    store.read(&stream, 0, &mut |row| {
        let mut chain = Chain::new(&stream);
        let body = chain.next(&row).ok();
        let files = body.and_then(|body| serde_json::from_str(body).ok());
        let format = row.kind.as_deref().and_then(|kind| kind.parse().ok());
        let flow = files.zip(format);
        found = Some(flow.map(|(files, format)| (KeptFlow { format, files }, chain.hash)));
        ControlFlow::Break(())
    })?;
    Ok(found)
}
