//! The key that prints: every sheet as text, all of them as one page.

use casepan::archive::Archive;
use casepan::desk::{Desk, Setup};
use casepan::flow::embedded;
use casepan::print::{Format, Sheet};
use casepan::tooth::Notation;
use uuid::Uuid;

use super::printed;
use crate::good::{finish, pan};
use crate::walk::moment;

#[test]
fn the_key_that_prints_writes_every_sheet() {
    let directory = tempfile::tempdir().expect("a directory");
    let mut case = pan("26", "zirconia-3y", "resin-modified");
    finish(&mut case, true);
    case.number = "A/7".to_owned();
    let mut desk = Desk::new(Setup {
        archive: Archive::open(&directory.path().join("a.casepan")).expect("an archive"),
        loaded: embedded(),
        notation: Notation::Iso3950,
        who: None,
        sitting: Uuid::from_u128(7),
        prints: directory.path().to_owned(),
    })
    .expect("a desk");
    desk.bring_in(&case, &moment(0), &mut Uuid::new_v4)
        .expect("the case is kept");
    desk.open("A/7").expect("the case opens");
    desk.key("e", &moment(1));
    desk.key("p", &moment(2));
    let notice = desk.walk.notice.clone().unwrap_or_default();
    assert!(notice.starts_with("written: "), "{notice}");
    let read = |name: &str| {
        std::fs::read_to_string(directory.path().join(name))
            .unwrap_or_else(|e| panic!("{name}: {e}"))
    };
    for sheet in Sheet::ALL {
        let text = read(&format!("casepan-A-7-{}.txt", sheet.name()));
        if sheet != Sheet::Summary {
            // The summary also weighs the readings, which takes a doubt that is not worked out here.
            assert_eq!(text, printed(&case, &[sheet], Format::Text));
        }
    }
    assert_eq!(
        read("casepan-A-7.html").matches("<h1>").count(),
        Sheet::ALL.len()
    );
}
