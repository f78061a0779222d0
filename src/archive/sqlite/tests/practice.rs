//! Practice is never rewritten, a changed row shows, and a case that was walked for it is in no worklist.

use std::ops::ControlFlow;

use jiff::Timestamp;
use jiff::civil::Date;
use uuid::Uuid;

use super::{opened, plain};
use crate::archive::{Archive, ArchiveError, Freshness, Practice, WorkAsk};

fn row(who: &str, case: Option<&str>) -> Practice {
    Practice {
        id: Uuid::new_v4(),
        when: Timestamp::UNIX_EPOCH,
        who: who.to_owned(),
        case: case.map(str::to_owned),
        act: serde_json::json!({ "drill": { "chosen": 2 } }),
    }
}

#[test]
fn practice_is_never_rewritten_and_a_changed_row_shows() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    let rows = ["t1", "t2", "t3"].map(|who| row(who, None));
    for row in &rows {
        archive.practise(row).unwrap();
        // The same once more is kept once.
        archive.practise(row).unwrap();
    }
    let other = Practice {
        who: "t9".to_owned(),
        ..rows[0].clone()
    };
    let taken = archive.practise(&other);
    assert_eq!(taken, Err(ArchiveError::IdTaken(rows[0].id)));
    assert_eq!(archive.practice().unwrap(), rows);
    assert_eq!(archive.check(), Ok(vec![]));
    let conn = plain(archive.path());
    for sql in [
        "DELETE FROM practice",
        "UPDATE practice SET body = ''",
        "INSERT OR REPLACE INTO practice SELECT * FROM practice WHERE number = 2",
        "DELETE FROM practice_head",
        "UPDATE practice_head SET entries = 1",
    ] {
        let error = conn.execute_batch(sql).unwrap_err();
        assert!(error.to_string().contains("never rewritten"), "{error}");
    }
    conn.execute_batch(
        "DROP TRIGGER practice_stays; DROP TRIGGER practice_is_final; DROP TRIGGER practice_head_stays;",
    )
    .unwrap();
    drop((conn, archive));
    for (sql, row) in [
        ("UPDATE practice SET body = replace(body, 't2', 't9')", 2),
        ("DELETE FROM practice WHERE number = 2", 2),
        ("DELETE FROM practice WHERE number = 3", 3),
        ("DELETE FROM practice_head", 4),
        // With its end taken back the chain holds; the log knows better.
        (
            "DELETE FROM practice WHERE number = 3; DELETE FROM practice_head;
             INSERT INTO practice_head SELECT 1, number, hash FROM practice WHERE number = 2",
            3,
        ),
        ("DELETE FROM practice; DELETE FROM practice_head", 1),
    ] {
        let copy = path.with_extension("copy");
        std::fs::copy(&path, &copy).unwrap();
        plain(&copy).execute_batch(sql).unwrap();
        let damages = Archive::open(&copy).unwrap().check().unwrap();
        let found: Vec<String> = damages.into_iter().map(|own| own.sentence).collect();
        let sentence =
            format!("row {row} of the practice record is missing or is not what was written");
        assert_eq!(found[3..], [sentence], "{sql}: {found:?}");
        std::fs::remove_file(&copy).unwrap();
    }
}

#[test]
fn a_case_that_is_walked_for_practice_is_in_no_worklist() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("a");
    let mut archive = Archive::open(&path).unwrap();
    for number in ["24-1", "M-1"] {
        archive.append(number, &[opened(number)]).unwrap();
    }
    let listed = |archive: &Archive| {
        let now = Freshness {
            engine: String::new(),
            today: Date::MIN,
        };
        let ask = WorkAsk {
            most: usize::MAX,
            ..WorkAsk::default()
        };
        let mut listed = Vec::new();
        archive
            .each_work(&ask, &now, &mut |row| {
                listed.push(row.number);
                ControlFlow::Continue(())
            })
            .unwrap();
        listed
    };
    assert_eq!(listed(&archive), ["24-1", "M-1"]);
    archive.practise(&row("t2", Some("M-1"))).unwrap();
    // One that is begun later never gets there.
    archive.practise(&row("t2", Some("M-2"))).unwrap();
    archive.append("M-2", &[opened("M-2")]).unwrap();
    assert_eq!(listed(&archive), ["24-1"]);
    assert_eq!(archive.count(), Ok((1, 1)));
    // Nor is it waited for there: the row of the one that is listed is all that has to be made.
    let now = Freshness {
        engine: "judge 1".to_owned(),
        today: Date::MIN,
    };
    assert_eq!(archive.count_stale(&now), Ok(1));
    assert_eq!(archive.stale(&now, 9), Ok(vec!["24-1".to_owned()]));
    let own = archive.own_cases().unwrap();
    assert_eq!(own.len(), 1);
    // They are kept as any case is.
    assert_eq!(archive.cases().unwrap().len(), 3);
    assert_eq!(archive.journal("M-2").unwrap().len(), 1);
    assert_eq!(archive.check(), Ok(vec![]));
}
