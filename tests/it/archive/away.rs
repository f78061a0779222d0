//! What is away without a trace in what is left: a case with its end, a flow, an instruction, a trigger.

use std::fs;

use casepan::archive::{Archive, Damage, Trouble};
use casepan::case::instruction::Instruction;
use casepan::case::journal::Body;
use jiff::Timestamp;
use rusqlite::Connection;
use uuid::Uuid;

use super::support::{answer, case, new_archive, tamper};

/// Makes an archive with three cases, two flows and two instructions, does something to it, and returns what a check
/// finds.
fn found(sql: &str) -> Vec<Damage> {
    let (_directory, path) = new_archive();
    {
        let mut archive = Archive::open(&path).unwrap();
        for digest in ["d1", "d2"] {
            let files = [("flow.ron".to_owned(), digest.to_owned())];
            archive.keep_flow(digest, 1, &files).unwrap();
        }
        for (number, digest) in [("a", "d1"), ("b", "d2"), ("c", "d2")] {
            let mut entries = case(number, 5);
            if let Body::Opened { flow, .. } = &mut entries[0].body {
                flow.digest = digest.to_owned();
            }
            archive.append(number, &entries).unwrap();
        }
        for dentist in ["K17", "K18"] {
            let instruction = Instruction {
                id: Uuid::new_v4(),
                dentist: dentist.to_owned(),
                rule: "clearance".to_owned(),
                words: String::new(),
                from: "2026-11-23".parse().unwrap(),
                until: None,
            };
            archive
                .agree(&instruction, Timestamp::UNIX_EPOCH, None)
                .unwrap();
        }
        assert_eq!(archive.check(), Ok(vec![]));
    }
    tamper(&path, sql);
    Archive::open_existing(&path).unwrap().check().unwrap()
}

#[track_caller]
fn is_found(sql: &str, sentences: &[&str]) {
    let damages: Vec<String> = found(sql).iter().map(ToString::to_string).collect();
    assert_eq!(damages, sentences, "{sql}");
}

#[test]
fn a_whole_case_is_missed() {
    is_found(
        "DELETE FROM entry WHERE case_number = 'b'; DELETE FROM head WHERE case_number = 'b';
         DELETE FROM work WHERE case_number = 'b'",
        &["case b, entry 1: entry 1 of case \"b\" is missing: the case had 5 entries"],
    );
}

#[test]
fn the_last_entry_is_missed_with_the_end_set_back() {
    is_found(
        "DELETE FROM entry WHERE case_number = 'b' AND number = 5;
         UPDATE head SET entries = 4, hash = (SELECT hash FROM entry WHERE case_number = 'b' AND number = 4)
         WHERE case_number = 'b'",
        &["case b, entry 5: entry 5 of case \"b\" is missing: the case had 5 entries"],
    );
}

#[test]
fn a_flow_is_missed() {
    let missing = "the saved files of flow d2, by which 2 cases are judged, are missing";
    is_found("DELETE FROM flow WHERE digest = 'd2'", &[missing]);
    // Also where nobody refers to it.
    is_found(
        "UPDATE flow SET digest = 'd9', hash = hash WHERE digest = 'd1'",
        &[
            "the saved files of flow d9 are not as they were written",
            "the saved files of flow d1, by which 1 case is judged, are missing",
        ],
    );
}

#[test]
fn an_instruction_is_missed() {
    for sql in [
        "DELETE FROM agreement WHERE number = 2; UPDATE agreement_head SET entries = 1,
         hash = (SELECT hash FROM agreement WHERE number = 1)",
        "DELETE FROM agreement WHERE number = 2; DELETE FROM agreement_head",
    ] {
        is_found(
            sql,
            &["row 2 of the standing instructions is missing or is not what was written"],
        );
    }
}

#[test]
fn a_row_that_nobody_logged_is_found() {
    is_found(
        "DELETE FROM log WHERE seq = (SELECT MAX(seq) FROM log)",
        &["row 2 of the standing instructions is missing or is not what was written"],
    );
    is_found(
        "DELETE FROM log WHERE seq = 7",
        &[
            "case a, entry 5: entry 5 of case \"a\" is not in the list of everything that was kept",
            "line 8 of the list of everything that was kept is missing or is not what was written",
        ],
    );
    is_found(
        "UPDATE log SET hash = zeroblob(32) WHERE seq = 4",
        &[
            "case a, entry 2: entry 2 of case \"a\" is not what was written",
            "line 4 of the list of everything that was kept is missing or is not what was written",
        ],
    );
    is_found(
        "UPDATE archive SET id = 'another'",
        &["line 1 of the list of everything that was kept is missing or is not what was written"],
    );
}

#[test]
fn triggers_are_missed_and_strange_ones_found() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("a", &case("a", 3)).unwrap();
    let conn = Connection::open(&path).unwrap();
    conn.execute_batch("DROP TRIGGER entry_stays").unwrap();
    let sentences = |archive: &Archive| -> Vec<String> {
        let damages = archive.check().unwrap();
        damages.iter().map(ToString::to_string).collect()
    };
    let missing = "the trigger entry_stays, which is part of every archive, is missing";
    assert_eq!(sentences(&archive), [missing]);
    // What is written is kept all the same.
    assert_eq!(archive.append("a", &[answer(3, 1.0)]), Ok(4));
    conn.execute_batch(
        "CREATE TRIGGER eats AFTER INSERT ON entry BEGIN DELETE FROM entry WHERE id = NEW.id; END",
    )
    .unwrap();
    let added = "the trigger eats was added to the archive by another program";
    assert_eq!(sentences(&archive), [missing, added]);
    let error = archive.append("a", &[answer(4, 1.0)]).unwrap_err();
    assert_eq!(error.kind(), Trouble::Data);
    assert!(error.to_string().contains(added), "{error}");
    assert_eq!(archive.journal("a").unwrap().len(), 4);
    drop(archive);
    // One that is opened now says so at once.
    let mut archive = Archive::open(&path).unwrap();
    assert_eq!(archive.notes(), [missing, added]);
    archive.append("a", &[answer(4, 1.0)]).unwrap_err();
    conn.execute_batch("DROP TRIGGER eats").unwrap();
    assert_eq!(archive.append("a", &[answer(4, 1.0)]), Ok(5));
}

#[test]
fn what_can_still_be_read_is_said() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    for number in ["a", "b", "c"] {
        archive.append(number, &case(number, 3)).unwrap();
    }
    drop(archive);
    tamper(
        &path,
        "UPDATE entry SET body = '' WHERE case_number = 'b' AND number = 2;
         DELETE FROM entry WHERE case_number = 'c'; DELETE FROM head WHERE case_number = 'c'",
    );
    let checked = Archive::open(&path).unwrap().check_all().unwrap();
    assert_eq!(checked.whole, ["a"]);
    assert_eq!(checked.broken, ["b", "c"]);
}

#[test]
fn a_torn_page_hides_no_other_case() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    let mut long = case("b", 3);
    // Long enough to have pages of its own.
    long[1].who = Some("x".repeat(40_000));
    archive.append("a", &case("a", 3)).unwrap();
    archive.append("b", &long).unwrap();
    archive.append("c", &case("c", 3)).unwrap();
    drop(archive);
    let mut bytes = fs::read(&path).unwrap();
    let page = (0..bytes.len() / 4096)
        .find(|page| {
            bytes[page * 4096 + 100..page * 4096 + 600]
                .iter()
                .all(|byte| *byte == b'x')
        })
        .unwrap();
    // The number of the next page of the text leads out of the file.
    bytes[page * 4096] = 0x7f;
    fs::write(&path, bytes).unwrap();
    let checked = Archive::open(&path).unwrap().check_all().unwrap();
    assert_eq!(checked.whole, ["a", "c"], "{:?}", checked.damages);
    assert_eq!(checked.broken, ["b"]);
}
