//! The key that prints: every sheet as text, all of them as one page.

use casepan::archive::Archive;
use casepan::case::Case;
use casepan::derive::Facts;
use casepan::desk::{Desk, Setup};
use casepan::flow::embedded;
use casepan::judge::judge;
use casepan::print::{Format, Laboratory, Record, Sheet, print};
use casepan::tooth::Notation;
use jiff::tz::TimeZone;
use uuid::Uuid;

use crate::good::{finish, flow, pan};
use crate::made::told;
use crate::session::moment;

/// A sheet as the key prints it at its moment, in the time of this machine.
fn at_that_time(case: &Case, sheet: Sheet, (entry, root): &(u64, String)) -> String {
    let facts = Facts::of(flow(), case);
    let judgement = judge(flow(), &facts);
    let mut told = told(flow(), &facts, &judgement);
    let zoned = moment(2).now.to_zoned_datetime(TimeZone::system());
    told.beside.imprint.printed = Some(zoned.datetime());
    told.beside.imprint.record = Some(Record::From {
        entry: *entry,
        root,
    });
    print(told, &[sheet], Format::Text).expect("a print")
}

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
        session_id: Uuid::from_u128(7),
        prints: directory.path().to_owned(),
    })
    .expect("a desk");
    desk.bring_in(&case, &moment(0), &mut Uuid::new_v4)
        .expect("the case is kept");
    desk.open("A/7").expect("the case opens");
    desk.key("s", &moment(1));
    desk.key("w", &moment(2));
    let notice = desk.session.notice.clone().unwrap_or_default();
    assert!(notice.starts_with("written: "), "{notice}");
    let read = |name: &str| {
        std::fs::read_to_string(directory.path().join(name))
            .unwrap_or_else(|e| panic!("{name}: {e}"))
    };
    let record = desk.record().expect("an archive that can be asked");
    let foot = format!("From entry {}, {}.\n", record.0, &record.1[..8]);
    for sheet in Sheet::ALL {
        let text = read(&format!("casepan-A%2F7-{}.txt", sheet.name()));
        assert!(text.ends_with(&foot), "{text}");
        if sheet != Sheet::Summary {
            // The summary also weighs the readings, which takes a doubt that is not worked out here.
            assert_eq!(text, at_that_time(&case, sheet, &record));
        }
    }
    assert_eq!(
        read("casepan-A%2F7.html").matches("<h1>").count(),
        Sheet::ALL.len()
    );
    // A laboratory's own folder is made where it is not there.
    let own = directory.path().join("prints/of ours");
    let laboratory = Laboratory {
        name: Some("Our laboratory".to_owned()),
        address: Vec::new(),
    };
    desk.prints_for(laboratory, Some(own.clone()));
    desk.key("w", &moment(3));
    let letter = std::fs::read_to_string(own.join("casepan-A%2F7-letter.txt")).expect("a letter");
    assert!(letter.starts_with("Our laboratory\n"), "{letter}");
    // A second print goes beside the first, under the next name, and says so.
    desk.key("w", &moment(4));
    let notice = desk.session.notice.clone().unwrap_or_default();
    assert!(
        notice.contains("prints/of ours/casepan-A%2F7.2"),
        "{notice}"
    );
    let again = std::fs::read_to_string(own.join("casepan-A%2F7-letter.txt")).expect("a letter");
    assert_eq!(again, letter);
    let second = own.join("casepan-A%2F7.2-letter.txt");
    assert!(second.exists());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = |path: &std::path::Path| {
            std::fs::metadata(path)
                .expect("a file")
                .permissions()
                .mode()
                & 0o777
        };
        assert_eq!((mode(&second), mode(&own)), (0o600, 0o700));
    }
}
