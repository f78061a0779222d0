//! The worklist: what its rows say, what a filter finds, when a row holds no longer, and that nothing is read at start.

mod laboratory;
mod lines;
mod list;
mod remake;
mod returns;
mod rows;

use std::path::{Path, PathBuf};

use casepan::archive::{Archive, WorkAsk};
use casepan::case::Case;
use casepan::case::life::State;
use casepan::desk::{Desk, Setup, freshness, listed};
use casepan::flow::embedded;
use casepan::tooth::Notation;
use casepan::worklist::WorkItem;
use jiff::civil::{Date, date};
use tempfile::TempDir;
use uuid::Uuid;

use crate::session::moment;

/// The day of [`moment`].
const TODAY: Date = date(2026, 11, 23);

/// A laboratory of its own.
struct Lab {
    directory: TempDir,
    desk: Desk,
}

impl Lab {
    fn new() -> Lab {
        let directory = tempfile::tempdir().unwrap();
        let desk = desk(directory.path());
        Lab { directory, desk }
    }

    /// A laboratory with the sample cases.
    fn with_samples() -> Lab {
        let mut lab = Lab::new();
        for (name, _) in casepan::demo::CASES {
            lab.bring_in(&casepan::demo::case(name).unwrap());
        }
        lab
    }

    fn bring_in(&mut self, case: &Case) {
        self.desk
            .bring_in(case, &moment(0), &mut Uuid::new_v4)
            .unwrap();
    }

    fn path(&self) -> PathBuf {
        path(self.directory.path())
    }

    fn archive(&self) -> Archive {
        Archive::open_existing(&self.path()).unwrap()
    }

    /// The program is started again.
    fn again(&mut self) {
        self.desk = desk(self.directory.path());
    }

    fn keys(&mut self, keys: &str) {
        for key in keys.split(' ') {
            self.desk.key(key, &moment(1));
        }
    }

    /// The numbers of the rows that are here, the marked one in brackets.
    fn shown(&self) -> Vec<String> {
        let session = &self.desk.session;
        let rows = session.worklist.iter().enumerate();
        rows.map(|(index, item)| match index == session.marked {
            true => format!("[{}]", item.number),
            false => item.number.clone(),
        })
        .collect()
    }

    fn marked(&self) -> &str {
        &self.desk.session.marked_case().unwrap().number
    }

    fn item(&self, number: &str) -> WorkItem {
        let all = everything(&self.archive());
        all.into_iter().find(|own| own.number == number).unwrap()
    }
}

fn path(directory: &Path) -> PathBuf {
    directory.join("a.casepan")
}

fn desk(directory: &Path) -> Desk {
    let mut desk = Desk::new(Setup {
        archive: Archive::open(&path(directory)).unwrap(),
        loaded: embedded(),
        notation: Notation::Iso3950,
        who: Some("mk".to_owned()),
        session_id: Uuid::new_v4(),
        prints: directory.join("prints"),
    })
    .unwrap();
    desk.session.today = Some(TODAY);
    desk
}

/// All rows, in the day's order.
fn everything(archive: &Archive) -> Vec<WorkItem> {
    let ask = WorkAsk {
        most: usize::MAX,
        ..WorkAsk::default()
    };
    let rows = archive.work(&ask, &freshness(TODAY)).unwrap();
    rows.into_iter().map(listed).collect()
}

/// Does to the archive what no program of this version does.
fn sql(path: &Path, text: &str) {
    let conn = rusqlite::Connection::open(path).unwrap();
    conn.execute_batch(text).unwrap();
}

fn state(item: &WorkItem) -> Option<State> {
    item.state.as_ref().map(|own| own.state)
}
