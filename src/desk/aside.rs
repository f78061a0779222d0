//! The archive is gone: moved, removed, replaced or emptied while it was open. What this session wrote is saved in files of
//! its own, which `casepan archive import` reads.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::Desk;
use crate::case::journal::Entry;
use crate::case::journal::file::write;
use crate::files::{name_of, write_whole};
use crate::phrase::prompts::desk as prompts;
use crate::text::shown;

/// The journals of the cases that this session has written to, as far as they are in the archive.
#[derive(Default)]
pub(super) struct Held {
    journals: BTreeMap<String, (Vec<Entry>, bool)>,
}

impl Held {
    /// Holds the journal of a case that is opened; of the others, only those that were written to.
    pub(super) fn hold(&mut self, number: &str, journal: &[Entry]) {
        self.journals
            .retain(|own, (_, written)| *written || own == number);
        let held = self.journals.entry(number.to_owned()).or_default();
        held.0 = journal.to_vec();
    }

    /// Notes that this session writes to a case.
    pub(super) fn write(&mut self, number: &str) {
        if let Some(held) = self.journals.get_mut(number) {
            held.1 = true;
        }
    }

    /// Adds entries that were written to a case.
    pub(super) fn keep(&mut self, number: &str, entries: Vec<Entry>) {
        if let Some(held) = self.journals.get_mut(number) {
            held.0.extend(entries);
        }
    }
}

impl Desk {
    /// Saves what this session wrote in files of its own, and says so once. Nothing goes into the archive any more.
    pub(super) fn lose_archive(&mut self) {
        if self.gone.is_some() {
            return;
        }
        let said = self.save_aside();
        let gone = prompts::archive_gone(&self.archive.path().display());
        let said = match said {
            Some(said) => prompts::with_hint(&gone, Some(&said)),
            None => gone,
        };
        self.session.notice = Some(said.clone());
        self.gone = Some(said);
        self.say_unsaved();
    }

    /// Writes every case that this session wrote to into a file of its own, readable for its owner alone; returns which
    /// files, in a sentence, or `None` if nothing was written.
    pub(super) fn save_aside(&mut self) -> Option<String> {
        let mut cases: BTreeMap<String, Vec<Entry>> = BTreeMap::new();
        self.aside = self.unsaved.len();
        for (number, (journal, written)) in &self.held.journals {
            if *written {
                cases.insert(number.clone(), journal.clone());
            }
        }
        for (number, entry) in &self.unsaved {
            if let Some(journal) = cases.get_mut(number) {
                journal.push(entry.clone());
            }
        }
        if cases.is_empty() {
            return None;
        }
        let mut files = Vec::new();
        let mut failed = Vec::new();
        for (number, journal) in &cases {
            // With every entry as it is, so that nothing of it is new to the archive if that comes back.
            let text = write(number, journal, true).ok();
            let file = text.and_then(|text| self.write_aside(number, &text));
            match file {
                Some(file) => files.push(shown(&file)),
                None => failed.push(number.clone()),
            }
        }
        Some(prompts::saved_aside(&files, &failed))
    }

    /// Writes beside where the archive was, else where prints go, else where the system keeps what is temporary.
    fn write_aside(&self, number: &str, text: &str) -> Option<PathBuf> {
        let archive = self.archive.path();
        let stem = archive.file_name().unwrap_or_default().to_string_lossy();
        let session = self.session_id.simple().to_string();
        let short: String = session.chars().take(8).collect();
        let name = format!("{stem}.{}-{short}.jsonl", name_of(number));
        let beside = archive.parent().map(Path::to_path_buf);
        let prints = Some(self.prints.clone()).filter(|path| !path.as_os_str().is_empty());
        let folders = [beside, prints, Some(std::env::temp_dir())];
        folders.into_iter().flatten().find_map(|folder| {
            let file = folder.join(&name);
            write_whole(&file, text).is_ok().then_some(file)
        })
    }
}
