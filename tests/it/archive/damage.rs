use std::fs;
use std::path::Path;

use casepan::archive::{Archive, ArchiveError, Trouble};
use rusqlite::Connection;

use super::support::{answer, case, forge_log, new_archive, seal, tamper};

/// Does something to case "b" of three, and says what the check must find: the case, the entry, part of the sentence.
#[track_caller]
fn check(sql: &str, found: &[(&str, Option<u64>, &str)]) {
    let (_directory, path) = new_archive();
    three_cases(&path);
    tamper(&path, sql);
    let archive = Archive::open_existing(&path).unwrap();
    let damages = archive.check().unwrap();
    assert_eq!(damages.len(), found.len(), "{damages:?}");
    for (damage, (case, entry, sentence)) in damages.iter().zip(found) {
        assert_eq!(damage.case.as_deref(), Some(*case), "{damages:?}");
        assert_eq!(damage.entry, *entry, "{damages:?}");
        assert!(damage.sentence.contains(sentence), "{damages:?}");
    }
    for number in ["a", "b", "c"] {
        let damaged = found.iter().any(|(case, ..)| *case == number);
        let journal = archive.journal(number);
        assert_eq!(journal.is_err(), damaged, "{number}: {journal:?}");
        if let Err(error) = journal {
            assert_eq!(error.kind(), Trouble::Data, "{error}");
            assert!(
                error.to_string().contains(&format!("case \"{number}\"")),
                "{error}"
            );
            assert!(error.hint().unwrap().contains("puts a backup back"));
        }
    }
}

fn three_cases(path: &Path) {
    let mut archive = Archive::open(path).unwrap();
    for number in ["a", "b", "c"] {
        archive.append(number, &case(number, 5)).unwrap();
    }
    assert_eq!(archive.check(), Ok(vec![]));
}

#[test]
fn a_changed_row_is_found() {
    let changed = [(
        "b",
        Some(3),
        "entry 3 of case \"b\" is not what was written",
    )];
    check(
        "UPDATE entry SET body = replace(body, '2.5', '3.5') WHERE case_number = 'b' AND number = 3",
        &changed,
    );
    check(
        "UPDATE entry SET body = replace(body, '\"KM\"', '\"KN\"') WHERE case_number = 'b' AND number = 3",
        &changed,
    );
    check(
        "UPDATE entry SET body = '' WHERE case_number = 'b' AND number = 3",
        &changed,
    );
    check(
        "UPDATE entry SET body = CAST(x'ff' AS TEXT) WHERE case_number = 'b' AND number = 3",
        &[("b", Some(3), "cannot be read")],
    );
}

#[test]
fn a_changed_column_is_found() {
    for change in [
        "id = 'ffffffff-ffff-4fff-bfff-ffffffffffff'",
        "when_text = '2026-01-01T00:00:00Z'",
        "kind = 'Clear'",
    ] {
        check(
            &format!("UPDATE entry SET {change} WHERE case_number = 'b' AND number = 3"),
            &[("b", Some(3), "does not agree with the other columns")],
        );
    }
    check(
        "UPDATE entry SET hash = zeroblob(32) WHERE case_number = 'b' AND number = 3",
        &[
            ("b", Some(3), "is not what was written"),
            ("b", Some(4), "does not follow the entry before it"),
        ],
    );
}

#[test]
fn a_removed_row_is_found_at_every_place() {
    for (number, sentence) in [
        (1, "entry 1 of case \"b\" is missing"),
        (3, "entry 3 of case \"b\" is missing"),
        (
            5,
            "entry 5 of case \"b\" is missing: the case had 5 entries",
        ),
    ] {
        let sql = format!("DELETE FROM entry WHERE case_number = 'b' AND number = {number}");
        // Where the first row is gone, the one after it is the one that does not begin the case.
        check(&sql, &[("b", Some(number), sentence)]);
    }
    check(
        "DELETE FROM entry WHERE case_number = 'b'",
        &[(
            "b",
            Some(1),
            "entry 1 of case \"b\" is missing: the case had 5 entries",
        )],
    );
}

#[test]
fn a_gap_that_was_closed_is_found() {
    check(
        "DELETE FROM entry WHERE case_number = 'b' AND number = 3;
         UPDATE entry SET number = 3 WHERE case_number = 'b' AND number = 4;
         UPDATE entry SET number = 4 WHERE case_number = 'b' AND number = 5;
         UPDATE head SET entries = 4 WHERE case_number = 'b'",
        &[
            ("b", Some(3), "does not follow the entry before it"),
            ("b", Some(4), "is not what was written"),
        ],
    );
}

#[test]
fn swapped_rows_are_found() {
    check(
        "UPDATE entry SET number = 99 WHERE case_number = 'b' AND number = 2;
         UPDATE entry SET number = 2 WHERE case_number = 'b' AND number = 3;
         UPDATE entry SET number = 3 WHERE case_number = 'b' AND number = 99",
        &[
            ("b", Some(2), "does not follow the entry before it"),
            ("b", Some(3), "does not follow the entry before it"),
            ("b", Some(4), "does not follow the entry before it"),
        ],
    );
}

#[test]
fn a_row_put_into_another_case_is_found() {
    check(
        "UPDATE entry SET case_number = 'c', number = 6 WHERE case_number = 'b' AND number = 5",
        &[
            ("b", Some(5), "entry 5 of case \"b\" is missing"),
            ("c", Some(6), "does not follow the entry before it"),
            ("c", None, "does not end where the archive says"),
        ],
    );
}

#[test]
fn a_damaged_head_is_found_and_stops_writing() {
    for sql in [
        "DELETE FROM head WHERE case_number = 'b'",
        "UPDATE head SET hash = zeroblob(32) WHERE case_number = 'b'",
        "UPDATE head SET entries = 4 WHERE case_number = 'b'",
    ] {
        check(
            sql,
            &[("b", None, "case \"b\" does not end where the archive says")],
        );
        let (_directory, path) = new_archive();
        three_cases(&path);
        tamper(&path, sql);
        let mut archive = Archive::open_existing(&path).unwrap();
        let error = archive.append("b", &[answer(5, 1.0)]).unwrap_err();
        assert!(matches!(error, ArchiveError::Damaged { .. }), "{error}");
        assert_eq!(archive.append("a", &[answer(5, 1.0)]), Ok(6));
    }
}

#[test]
fn a_damaged_case_is_still_listed() {
    let (_directory, path) = new_archive();
    three_cases(&path);
    tamper(
        &path,
        "UPDATE entry SET when_text = CAST(x'ff' AS TEXT), body = 'x' WHERE case_number = 'b';
         DELETE FROM entry WHERE case_number = 'c' AND number = 1;
         DELETE FROM head WHERE case_number = 'a'",
    );
    let cases = Archive::open_existing(&path).unwrap().cases().unwrap();
    let numbers: Vec<_> = cases
        .iter()
        .map(|case| (case.number.as_str(), case.entries))
        .collect();
    assert_eq!(numbers, [("a", 5), ("b", 5), ("c", 5)]);
    // Of one that is gone with its end, the list of everything that was kept knows.
    tamper(
        &path,
        "DELETE FROM entry WHERE case_number = 'b'; DELETE FROM head WHERE case_number = 'b'",
    );
    let cases = Archive::open_existing(&path).unwrap().cases().unwrap();
    assert_eq!((cases[1].number.as_str(), cases[1].entries), ("b", 5));
}

/// Puts another JSON in place of the last of two entries, with hashes that hold.
fn replace_last(path: &Path, change: impl Fn(&str) -> String, kind: &str) -> Archive {
    let mut archive = Archive::open(path).unwrap();
    archive.append("good", &case("good", 3)).unwrap();
    archive.append("odd", &case("odd", 2)).unwrap();
    drop(archive);
    let conn = Connection::open(path).unwrap();
    let (body, before, hash): (String, Vec<u8>, Vec<u8>) = conn
        .query_row(
            "SELECT body, before_hash, hash FROM entry WHERE case_number = 'odd' AND number = 2",
            [],
            |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)),
        )
        .unwrap();
    drop(conn);
    // The program's own hash is the one that its description gives.
    assert_eq!(hash, seal(&before, "odd", 2, &body));
    let body = change(&body);
    let hash: String = seal(&before, "odd", 2, &body)
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect();
    let body = body.replace('\'', "''");
    tamper(
        path,
        &format!(
            "UPDATE entry SET body = '{body}', kind = '{kind}', hash = x'{hash}'
             WHERE case_number = 'odd' AND number = 2;
             UPDATE head SET hash = x'{hash}' WHERE case_number = 'odd'"
        ),
    );
    forge_log(path);
    Archive::open_existing(path).unwrap()
}

#[test]
fn an_entry_of_a_kind_from_later_is_named() {
    let (_directory, path) = new_archive();
    let archive = replace_last(
        &path,
        |body| body.replace("\"Answer\"", "\"Foretold\""),
        "Foretold",
    );
    let error = archive.journal("odd").unwrap_err();
    assert_eq!(
        error.to_string(),
        "entry 2 of case \"odd\" is of the kind \"Foretold\", which this program does not know"
    );
    assert_eq!(error.kind(), Trouble::Data);
    assert!(error.hint().unwrap().contains("newer version"));
    assert_eq!(archive.journal("good").unwrap().len(), 3);
    let damages = archive.check().unwrap();
    assert_eq!(damages.len(), 1);
    assert_eq!(
        (damages[0].case.as_deref(), damages[0].entry),
        (Some("odd"), Some(2))
    );
}

#[test]
fn an_entry_that_is_no_json_is_named() {
    for change in [
        (|body: &str| body[..body.len() - 9].to_owned()) as fn(&str) -> String,
        |body| body.replace("\"Mm\"", "\"Furlong\""),
        |body| body.replace("46/distal", "46/upside"),
    ] {
        let (_directory, path) = new_archive();
        let archive = replace_last(&path, change, "Answer");
        let error = archive.journal("odd").unwrap_err();
        assert!(
            matches!(error, ArchiveError::Damaged { entry: Some(2), .. }),
            "{error}"
        );
        assert!(
            error
                .to_string()
                .starts_with("entry 2 of case \"odd\" cannot be read: "),
            "{error}"
        );
        assert_eq!(archive.journal("good").unwrap().len(), 3);
    }
}

#[test]
fn entries_that_hold_but_make_no_case_are_found() {
    let (_directory, path) = new_archive();
    let mut first = String::new();
    {
        let mut archive = Archive::open(&path).unwrap();
        archive.append("x", &case("x", 1)).unwrap();
        first.push_str(&serde_json::to_string(&archive.journal("x").unwrap()[0].body).unwrap());
    }
    let (_directory, path) = new_archive();
    let again = |body: &str| {
        let mut entry: serde_json::Value = serde_json::from_str(body).unwrap();
        entry["body"] = serde_json::from_str(&first).unwrap();
        entry.to_string()
    };
    let archive = replace_last(&path, again, "Opened");
    let damages = archive.check().unwrap();
    assert_eq!(damages.len(), 1, "{damages:?}");
    assert!(damages[0].sentence.contains("a second time"), "{damages:?}");
}

#[test]
fn one_flipped_bit_in_the_file_is_found() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive.append("a", &case("a", 3)).unwrap();
    let mut marked = case("b", 3);
    marked[1].who = Some("MARKED".to_owned());
    archive.append("b", &marked).unwrap();
    drop(archive);
    let mut bytes = fs::read(&path).unwrap();
    let at = bytes.windows(6).position(|part| part == b"MARKED").unwrap();
    bytes[at] ^= 1;
    fs::write(&path, bytes).unwrap();
    let pages: String = Connection::open(&path)
        .unwrap()
        .query_row("PRAGMA integrity_check", [], |row| row.get(0))
        .unwrap();
    assert_eq!(pages, "ok", "the database itself does not see it");
    let archive = Archive::open_existing(&path).unwrap();
    let damages = archive.check().unwrap();
    assert_eq!(damages.len(), 1, "{damages:?}");
    assert_eq!(
        (damages[0].case.as_deref(), damages[0].entry),
        (Some("b"), Some(2))
    );
    assert_eq!(archive.journal("a").unwrap().len(), 3);
}

#[test]
fn a_changed_flow_is_found() {
    let (_directory, path) = new_archive();
    let mut archive = Archive::open(&path).unwrap();
    archive
        .keep_flow("d1", 1, &[("f".to_owned(), "one".to_owned())])
        .unwrap();
    archive
        .keep_flow("d2", 1, &[("f".to_owned(), "two".to_owned())])
        .unwrap();
    drop(archive);
    tamper(
        &path,
        "UPDATE flow SET files = replace(files, 'one', 'won') WHERE digest = 'd1'",
    );
    let archive = Archive::open_existing(&path).unwrap();
    let error = archive.flow("d1").unwrap_err();
    assert_eq!(
        error.to_string(),
        "the saved files of flow d1 are not as they were written"
    );
    assert!(archive.flow("d2").unwrap().is_some());
    let damages = archive.check().unwrap();
    assert_eq!(damages.len(), 1);
    assert_eq!(damages[0].sentence, error.to_string());
}

#[test]
fn the_journal_cannot_be_rewritten_by_plain_sql() {
    let (_directory, path) = new_archive();
    three_cases(&path);
    Archive::open(&path)
        .unwrap()
        .keep_flow("d1", 1, &[])
        .unwrap();
    let conn = Connection::open(&path).unwrap();
    for sql in [
        "DELETE FROM entry WHERE number = 5",
        "UPDATE entry SET body = '{}'",
        "UPDATE entry SET number = number + 10",
        "INSERT OR REPLACE INTO entry SELECT * FROM entry",
        "INSERT OR REPLACE INTO entry SELECT case_number, number + 100, id, when_text, kind, body, before_hash, hash FROM entry",
        "INSERT OR REPLACE INTO entry SELECT case_number, number, 'new', when_text, kind, body, before_hash, hash FROM entry",
        "DELETE FROM head",
        "UPDATE head SET entries = 1",
        "UPDATE head SET case_number = 'z' WHERE case_number = 'a'",
        "DELETE FROM flow",
        "UPDATE flow SET files = '[]'",
        "INSERT OR REPLACE INTO flow SELECT * FROM flow",
        "DELETE FROM log WHERE seq = 3",
        "UPDATE log SET number = number + 1",
        "INSERT OR REPLACE INTO log SELECT * FROM log",
        "DELETE FROM archive",
        "UPDATE archive SET adopted = 9",
        "INSERT OR REPLACE INTO archive SELECT * FROM archive",
    ] {
        let error = conn.execute_batch(sql).unwrap_err();
        assert!(
            error.to_string().contains("is never rewritten")
                || error.to_string().contains("are kept once"),
            "{sql}: {error}"
        );
    }
    drop(conn);
    assert_eq!(Archive::open(&path).unwrap().check(), Ok(vec![]));
}

#[test]
fn a_page_of_zeros_is_found() {
    let (_directory, path) = new_archive();
    three_cases(&path);
    let mut bytes = fs::read(&path).unwrap();
    // 4096 is the page size that SQLite gives new databases (sqlite.org/pgszchng2016.html); page 2 holds a table.
    bytes[4096..8192].fill(0);
    fs::write(&path, bytes).unwrap();
    let found = Archive::open_existing(&path).and_then(|archive| archive.check());
    match found {
        Ok(damages) => assert!(!damages.is_empty()),
        Err(error) => assert_eq!(error.kind(), Trouble::Data, "{error}"),
    }
}
