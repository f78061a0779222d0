//! Several people at one archive: they see what others write, what two of them answer differently is kept beside each
//! other, and nothing that was acknowledged is lost.

mod alone;
mod aside;
mod beside;
mod different;
mod held;
mod histories;
mod lines;
mod sheets;
#[cfg(unix)]
mod windows;

use std::path::Path;
use std::sync::LazyLock;

use casepan::archive::Archive;
use casepan::case::Case;
use casepan::case::journal::{Body, Entry, fold};
use casepan::desk::{Desk, Next, Setup};
use casepan::flow::{Flow, Loaded, embedded};
use casepan::ronfile::Source;
use casepan::session::{Act, Inspection, Page};
use casepan::tooth::Notation;
use tempfile::TempDir;
use uuid::Uuid;

use super::made::spot;
use super::session::{crown, moment};

/// A person at a bench of their own.
pub(crate) struct Person {
    pub(crate) desk: Desk,
    code: &'static str,
}

/// A laboratory: one archive with one case, whoever sits down at it, and one clock.
pub(crate) struct Lab {
    pub(crate) directory: TempDir,
    number: String,
    tick: u64,
}

pub(crate) fn archive_in(directory: &Path) -> Archive {
    Archive::open(&directory.join("a.casepan")).expect("an archive")
}

/// The shipped flow, read once: many people sit down here.
fn loaded() -> Loaded {
    static READ: LazyLock<(Vec<Source>, Flow)> = LazyLock::new(|| {
        let loaded = embedded();
        (loaded.sources, loaded.flow.expect("the shipped flow"))
    });
    Loaded {
        sources: READ.0.clone(),
        flow: Some(READ.1.clone()),
        problems: Vec::new(),
    }
}

fn sit_down(directory: &Path, code: &'static str, session: u128) -> Desk {
    Desk::new(Setup {
        archive: archive_in(directory),
        loaded: loaded(),
        notation: Notation::Iso3950,
        who: Some(code.to_owned()),
        session_id: Uuid::from_u128(session),
        prints: directory.join("prints"),
    })
    .expect("a desk")
}

impl Lab {
    pub(crate) fn with(case: &Case) -> Lab {
        let directory = tempfile::tempdir().expect("a directory");
        let mut desk = sit_down(directory.path(), "b0", 1);
        let mut count = 0;
        let mut fresh = || {
            count += 1;
            Uuid::from_u128(count)
        };
        desk.bring_in(case, &moment(0), &mut fresh).expect("a case");
        Lab {
            directory,
            number: case.number.clone(),
            tick: 10,
        }
    }

    /// Somebody sits down and opens the case.
    pub(crate) fn person(&mut self, code: &'static str) -> Person {
        self.tick += 1;
        let session = 100 + u128::from(self.tick);
        let mut desk = sit_down(self.directory.path(), code, session);
        desk.open(&self.number).expect("an open case");
        // How sure a judgement is does not matter here, and takes long.
        desk.work_late();
        Person { desk, code }
    }

    /// Turns to a page.
    pub(crate) fn go(&mut self, person: &mut Person, page: Page) {
        self.tick += 1;
        person.desk.act(Act::Go(page), &moment(self.tick));
        assert_eq!(person.desk.session.page, page);
    }

    /// Presses keys a second apart: a word that names a key is that key, every other is typed letter by letter.
    pub(crate) fn keys(&mut self, person: &mut Person, keys: &str) -> Next {
        let mut next = Next::Go;
        for word in keys.split_whitespace() {
            let named = casepan::session::command::COMMANDS
                .iter()
                .any(|spec| spec.keys.contains(&word));
            let single: Vec<String> = match named {
                true => vec![word.to_owned()],
                false => word.chars().map(|c| c.to_string()).collect(),
            };
            for key in single {
                self.tick += 1;
                next = person.desk.key(&key, &moment(self.tick));
            }
        }
        next
    }

    /// Lets a quarter of a second pass, as the screen does; returns whether anything is shown otherwise.
    pub(crate) fn tick(&mut self, person: &mut Person) -> bool {
        self.tick += 1;
        person.desk.tick(&moment(self.tick))
    }

    pub(crate) fn journal(&self) -> Vec<Entry> {
        let archive = archive_in(self.directory.path());
        archive.journal(&self.number).expect("a journal")
    }

    /// The case as the archive has it.
    pub(crate) fn case(&self) -> Case {
        fold(&self.journal()).expect("a case")
    }

    /// The values that are answered at a place, by how often.
    pub(crate) fn written(&self, fact: &str, at: &str) -> Vec<String> {
        let own = spot(fact, at);
        let value = |body: &Body| match body {
            Body::Answer { spot, value, .. } if *spot == own => Some(format!("{value:?}")),
            _ => None,
        };
        self.journal()
            .iter()
            .filter_map(|entry| match &entry.body {
                Body::Differs { body, .. } => value(body),
                body => value(body),
            })
            .collect()
    }
}

impl Person {
    pub(crate) fn open(&self) -> &Inspection {
        self.desk.session.inspection.as_ref().expect("an open case")
    }

    /// Goes to a cell.
    pub(crate) fn at(&mut self, fact: &str, at: &str) {
        let inspection = self.desk.session.inspection.as_mut().expect("a case");
        inspection.put_cursor(Some(spot(fact, at)));
        assert_eq!(inspection.cursor(), Some(&spot(fact, at)), "{}", self.code);
    }

    pub(crate) fn notice(&self) -> String {
        self.desk.session.notice.clone().unwrap_or_default()
    }

    /// What is at a place, in the words of the page.
    pub(crate) fn reads(&self, fact: &str, at: &str) -> Option<String> {
        let (_, answer) = self.desk.session.cell_in_words(&spot(fact, at))?;
        answer
    }
}

/// Two people at one crown, both at the height of its prep.
pub(crate) fn two() -> (Lab, Person, Person) {
    let mut lab = Lab::with(&crown());
    let mut b1 = lab.person("b1");
    let mut b2 = lab.person("b2");
    b1.at("tooth.height", "26");
    b2.at("tooth.height", "26");
    (lab, b1, b2)
}
