//! Checked flows, kept in a folder that may be emptied at any time: what has not changed since is there at once.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::files::{make_folder, write_whole};
use crate::flow::{self, Loaded, kept};
use crate::ronfile::Source;

/// How many are kept.
const MOST: usize = 8;

/// The most bytes of one: some thirty times those of the shipped flow.
const LARGEST: u64 = 16 << 20;

/// A folder for checked flows, and the build of the program that it is for.
#[derive(Clone, Debug, Default)]
pub struct Checked {
    place: Option<(PathBuf, String)>,
    /// Whether it is only looked whether one is there.
    reads_only: bool,
}

impl Checked {
    /// Keeps flows in this folder for the program that runs. Without a folder, or where the program cannot tell its own
    /// build, none is kept.
    pub fn in_folder(folder: Option<PathBuf>) -> Checked {
        Checked {
            place: folder.zip(build()),
            reads_only: false,
        }
    }

    /// Keeps nothing that is not there: for what leaves nothing behind.
    pub fn reading_only(self) -> Checked {
        Checked {
            reads_only: true,
            ..self
        }
    }

    /// Loads a flow from its files, or from what was kept of it.
    pub fn load(&self, sources: Vec<Source>) -> Loaded {
        let Some((folder, build)) = &self.place else {
            return flow::load(sources);
        };
        let file = folder.join(format!("{}.flow", flow::digest(&sources)));
        let text = read(&file).unwrap_or_default();
        if let Some(loaded) = kept::from_text(&text, build, sources.clone()) {
            return loaded;
        }
        let loaded = flow::load(sources);
        if let Some(text) = kept::to_text(&loaded, build).filter(|_| !self.reads_only) {
            // Where it cannot be kept, it is checked again the next time.
            let _ = make_folder(folder).and_then(|()| write_whole(&file, &text));
            forget_old(folder);
        }
        loaded
    }
}

/// Reads a file that may be a kept flow: nothing that never ends, or is larger than any of them.
fn read(file: &Path) -> Option<String> {
    let about = fs::metadata(file).ok()?;
    let fits = about.is_file() && about.len() <= LARGEST;
    fits.then(|| fs::read_to_string(file).ok())?
}

/// Tells this build from every other: its version, and the size and the time of its file.
fn build() -> Option<String> {
    let about = fs::metadata(std::env::current_exe().ok()?).ok()?;
    let time = about
        .modified()
        .ok()?
        .duration_since(SystemTime::UNIX_EPOCH);
    let time = time.ok()?.as_nanos();
    let version = env!("CARGO_PKG_VERSION");
    Some(format!("casepan {version} {} {time}", about.len()))
}

/// Removes what was kept longest ago.
fn forget_old(folder: &Path) {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut files: Vec<(SystemTime, PathBuf)> = entries
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|own| own == "flow"))
        .filter_map(|path| Some((fs::metadata(&path).ok()?.modified().ok()?, path)))
        .collect();
    files.sort();
    let many = files.len().saturating_sub(MOST);
    for (_, path) in files.into_iter().take(many) {
        let _ = fs::remove_file(path);
    }
}
