//! What this computer saw of an archive last: a file in a state directory, one for each archive.
//!
//! A chain that was worked out anew, and an older copy of the file, hold in themselves. Only somebody who has seen the
//! archive before can tell.

use std::fs;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::store::{About, Kept, LogRow, Store};
use crate::phrase::faults::archive as said;
use crate::text::hex;

/// What was seen at one path.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, Deserialize)]
struct Seen {
    /// The archive. One archive and a copy of it are told apart by their paths.
    path: PathBuf,
    /// The last row of its log.
    entries: u64,
    /// The root there, in hexadecimal letters.
    root: String,
}

/// The witness for one archive at one path.
#[derive(Debug)]
pub(super) struct Witness {
    file: PathBuf,
    path: PathBuf,
    /// What was seen of this archive, at this path or at one where no file is any more.
    seen: Option<Seen>,
    others: Vec<Seen>,
}

impl Witness {
    /// Reads what was seen. What cannot be read was not seen.
    pub(super) fn of(directory: &Path, about: &About, path: &Path) -> Witness {
        // The id comes out of a file that anybody may have written.
        let plain = about
            .id
            .chars()
            .filter(char::is_ascii_alphanumeric)
            .take(64);
        let name: String = plain.collect();
        let file = directory.join(format!("{name}.seen"));
        let text = fs::read_to_string(&file).unwrap_or_default();
        let all: Vec<Seen> = serde_json::from_str(&text).unwrap_or_default();
        let (mut own, mut others): (Vec<_>, Vec<_>) =
            all.into_iter().partition(|seen| seen.path == path);
        if own.is_empty() {
            // The archive was moved, then.
            (own, others) = others.into_iter().partition(|seen| !seen.path.exists());
        }
        Witness {
            file,
            path: path.to_path_buf(),
            seen: own.into_iter().max_by_key(|seen| seen.entries),
            others,
        }
    }

    /// Returns what there is to say if the archive is not what was seen, or what followed from it.
    pub(super) fn compare(&self, store: &dyn Store) -> Kept<Option<String>> {
        let Some(seen) = &self.seen else {
            return Ok(None);
        };
        let has = store.last()?.map_or(0, |last| last.seq);
        if has < seen.entries {
            return Ok(Some(said::older(has, seen.entries)));
        }
        let mut there = None;
        store.log(seen.entries.saturating_sub(1), &mut |row| {
            there = row.root.as_ref().map(hex);
            std::ops::ControlFlow::Break(())
        })?;
        let same = there.as_ref() == Some(&seen.root);
        Ok((!same).then(|| said::another(seen.entries)))
    }

    /// Keeps what is seen when the archive is closed. An archive that is not what was seen is told again, whatever was written
    /// to it since, until somebody takes it as it is.
    pub(super) fn close(&self, store: &dyn Store) {
        let goes_on = self.compare(store) == Ok(None);
        if let Ok(last) = store.last()
            && goes_on
            && !store.about().read_only
            && last.as_ref().is_some_and(|last| {
                self.seen
                    .as_ref()
                    .is_none_or(|seen| !is(seen, last, &self.path))
            })
            && store.is_in_place()
        {
            self.keep(last.as_ref());
        }
    }

    /// Takes what is there now for what was seen.
    pub(super) fn take(&mut self, last: Option<&LogRow>) {
        self.keep(last);
        self.seen = None;
    }

    /// Keeps what is seen now, whatever was seen before. Without a place for it nothing is kept.
    pub(super) fn keep(&self, last: Option<&LogRow>) {
        self.put_down(last, true);
    }

    /// Keeps what is seen after each answer, so that a crash does not take it: what the file holds survives the program, and
    /// after a power cut it says less than was kept, never more.
    pub(super) fn keep_for_now(&self, last: Option<&LogRow>) {
        self.put_down(last, false);
    }

    fn put_down(&self, last: Option<&LogRow>, for_sure: bool) {
        let Some(last) = last else { return };
        let mut all = self.others.clone();
        all.push(Seen {
            path: self.path.clone(),
            entries: last.seq,
            root: last.root.as_ref().map(hex).unwrap_or_default(),
        });
        let Ok(text) = serde_json::to_string(&all) else {
            return;
        };
        // There is nobody to tell: the archive itself is whole.
        let _ = self.write(&text, for_sure);
    }

    fn write(&self, text: &str, for_sure: bool) -> std::io::Result<()> {
        let directory = self.file.parent().unwrap_or(&self.file);
        super::sqlite::make_directories(directory)?;
        let mut file = tempfile::NamedTempFile::new_in(directory)?;
        file.write_all(text.as_bytes())?;
        if for_sure {
            file.as_file().sync_all()?;
        }
        file.persist(&self.file)?;
        Ok(())
    }
}

fn is(seen: &Seen, last: &LogRow, path: &Path) -> bool {
    seen.path == path
        && seen.entries == last.seq
        && last.root.as_ref().map(hex).as_ref() == Some(&seen.root)
}
