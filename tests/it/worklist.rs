//! The worklist: what its rows say, what a filter finds, when a row holds no longer, and that nothing is read at start.

mod follow_up;
mod laboratory;
mod lines;
mod list;
mod remake;
mod returns;
mod rows;
mod trials;

use std::path::{Path, PathBuf};

use casepan::archive::{Archive, WorkAsk};
use casepan::case::life::State;
use casepan::case::outcome::Kind;
use casepan::case::{Case, CaseUnit, Restoration, Role};
use casepan::desk::{Desk, Setup, freshness, listed};
use casepan::flow::embedded;
use casepan::learn::follow_up::{Due, FollowUp, OfDentist};
use casepan::tooth::{Notation, Tooth};
use casepan::worklist::WorkItem;
use jiff::ToSpan as _;
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

/// So many restorations of a dentist that are due, every fourth a bridge; of every third something was heard.
pub(crate) fn due_of(dentist: &str, count: u8) -> FollowUp {
    let restoration = |units: &[(&str, Role)]| Restoration {
        id: 1,
        units: (units.iter())
            .map(|(tooth, role)| CaseUnit {
                tooth: Tooth::from_iso(tooth.parse().unwrap()).unwrap(),
                role: *role,
            })
            .collect(),
        ..Restoration::default()
    };
    let crown = restoration(&[("26", Role::Abutment)]);
    let bridge = [
        ("44", Role::Abutment),
        ("45", Role::Pontic),
        ("46", Role::Abutment),
    ];
    let due = (1..=count).map(|nth| Due {
        number: format!("24-{nth:04}"),
        restoration: match nth % 4 {
            0 => restoration(&bridge),
            _ => crown.clone(),
        },
        delivered: date(2026, 4, 1).saturating_add(i64::from(nth).days()),
        months: 6,
        heard: (nth % 3 == 0).then_some((Kind::Quiet, date(2026, 6, 2))),
        known: usize::from(nth % 3 == 0),
    });
    FollowUp {
        dentists: vec![OfDentist {
            dentist: dentist.to_owned(),
            due: due.collect(),
            last_order: Some(date(2026, 11, 20)),
        }],
        nobodys: 2,
    }
}
