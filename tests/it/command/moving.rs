//! Whole archives into folders and back: every entry with who and when, what is wrong told by itself.

use std::collections::BTreeMap;
use std::path::Path;

use rusqlite::Connection;

use super::{CANNOT_CREATE, CROWN, DATA, NO_INPUT, refused};
use crate::support::{Home, Output};

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stderr, "", "{output:?}");
    output.stdout
}

/// The crown with a text and the dentist's code.
fn crown(number: &str) -> String {
    let more = r#"(fact: "order.fee_lines", at: "case", is: Text("Called twice.")),
        (fact: "order.dentist", at: "case", is: Text("K17")),
        (fact: "order.scope""#;
    let with = CROWN.replacen("(fact: \"order.scope\"", more, 1);
    with.replacen("T-1", number, 1)
}

/// A laboratory with some cases, a standing instruction, and answers of two people.
fn laboratory() -> Home {
    let home = Home::new();
    for number in ["A.1", "A/1", "A 1", "24-0381"] {
        home.file("case.ron", crown(number));
        good(home.run(&[
            "--archive",
            "a.casepan",
            "--who",
            "b1",
            "archive",
            "import",
            "case.ron",
        ]));
    }
    let told = [
        "instruction",
        "add",
        "K17",
        "clearance",
        "--words",
        "thin as it is",
    ];
    good(home.run(&[&["--archive", "a.casepan", "--who", "b1"], &told[..]].concat()));
    let day = ["became", "24-0381", "delivered"];
    good(home.run(&[&["--archive", "a.casepan", "--who", "b2"], &day[..]].concat()));
    home
}

/// Every row of an archive that holds what people wrote, read without the program.
fn rows(path: &Path) -> BTreeMap<String, Vec<String>> {
    let conn = Connection::open(path).unwrap();
    let mut all = BTreeMap::new();
    for (table, columns) in [
        (
            "entry",
            "case_number || '|' || number || '|' || id || '|' || when_text || '|' || body || '|' || hex(hash)",
        ),
        ("agreement", "number || '|' || id || '|' || body"),
        ("flow", "digest || '|' || files"),
    ] {
        let mut statement = conn
            .prepare(&format!("SELECT {columns} FROM {table}"))
            .unwrap();
        let found = statement.query_map([], |row| row.get(0)).unwrap();
        let mut lines: Vec<String> = found.map(Result::unwrap).collect();
        lines.sort();
        all.insert(table.to_owned(), lines);
    }
    all
}

#[test]
fn a_whole_archive_comes_back_as_the_same_rows() {
    let home = laboratory();
    let run = |args: &[&str]| home.run(&[&["--archive", "a.casepan"], args].concat());
    let told = good(run(&["archive", "export", "--to", "out", "--free-text"]));
    assert_eq!(told, "4 cases written into out\n");
    assert_eq!(
        std::fs::read_dir(home.path("out/cases")).unwrap().count(),
        4
    );
    let into = |archive: &str| good(home.run(&["--archive", archive, "archive", "import", "out"]));
    assert_eq!(into("b.casepan"), "4 cases imported\n");
    let before = rows(&home.path("a.casepan"));
    assert!(before.values().all(|lines| !lines.is_empty()));
    assert_eq!(rows(&home.path("b.casepan")), before);
    // Once more changes nothing; nor does it in the archive it came from.
    assert_eq!(into("b.casepan"), "0 cases imported, 4 already here\n");
    assert_eq!(into("a.casepan"), "0 cases imported, 4 already here\n");
    assert_eq!(rows(&home.path("b.casepan")), before);
    assert!(good(home.run(&["--archive", "b.casepan", "archive", "check"])).contains("no damage"));
    // A case that went on where it came from goes on here too.
    let day = [
        "--archive",
        "a.casepan",
        "--who",
        "b3",
        "became",
        "A.1",
        "withdrawn",
    ];
    good(home.run(&day));
    good(run(&["archive", "export", "--to", "later", "--free-text"]));
    let told = good(home.run(&["--archive", "b.casepan", "archive", "import", "later"]));
    assert_eq!(told, "1 case imported, 3 already here\n");
    assert_eq!(rows(&home.path("b.casepan")), rows(&home.path("a.casepan")));
}

/// A folder says which cases it should have: one that was broken off, or that lost a file, is told.
#[test]
fn what_a_folder_lacks_is_told() {
    let home = laboratory();
    good(home.run(&[
        "--archive",
        "a.casepan",
        "archive",
        "export",
        "--to",
        "out",
        "--free-text",
    ]));
    let into = |archive: &str| home.run(&["--archive", archive, "archive", "import", "out"]);
    std::fs::remove_file(home.path("out/cases/24-0381.jsonl")).unwrap();
    let told = into("b.casepan");
    assert_eq!(told.code, Some(65), "{told:?}");
    assert_eq!(told.stdout, "3 cases imported\n");
    assert!(
        told.stderr
            .contains("case 24-0381 is on the list of this folder"),
        "{told:?}"
    );
    std::fs::remove_file(home.path("out/contents.json")).unwrap();
    let told = good(into("c.casepan"));
    assert!(
        told.starts_with("the folder has no list of its cases"),
        "{told}"
    );
    assert!(told.ends_with("3 cases imported\n"), "{told}");
}

#[test]
fn free_text_stays_at_home_and_codes_come_along() {
    let home = laboratory();
    let told = good(home.run(&["--archive", "a.casepan", "archive", "export", "--to", "out"]));
    assert!(told.contains("without free text"), "{told}");
    let (mut texts, mut folders) = (String::new(), vec![home.path("out")]);
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            match path.is_dir() {
                true => folders.push(path),
                false => texts.push_str(&std::fs::read_to_string(path).unwrap()),
            }
        }
    }
    assert!(!texts.contains("Called twice."), "{texts}");
    assert!(!texts.contains("thin as it is"), "{texts}");
    assert!(texts.contains("K17") && texts.contains("b2"), "{texts}");
    assert!(texts.contains("\"rule\":\"clearance\""), "{texts}");
    let told = good(home.run(&["--archive", "b.casepan", "archive", "import", "out"]));
    assert_eq!(told, "4 cases imported\n4 cases came without free text\n");
    // What is there with its texts is not mixed with what came without.
    let output = home.run(&["--archive", "a.casepan", "archive", "import", "out"]);
    assert!(
        output.stderr.contains("5 items were not imported"),
        "{output:?}"
    );
    assert!(
        output.stderr.contains("instructions.jsonl, line 1: "),
        "{output:?}"
    );
    assert_eq!(output.code, Some(DATA), "{output:?}");
    let list = good(home.run(&["--archive", "a.casepan", "instruction", "list"]));
    assert!(list.contains("thin as it is"), "{list}");
}

/// A case that is gone, with its end or without, and one that ends too early are named; the others are written.
#[test]
fn an_export_names_what_is_gone() {
    let home = laboratory();
    let archive = home.path("a.casepan");
    crate::archive::support::tamper(
        &archive,
        "DELETE FROM entry WHERE case_number = 'A.1'; DELETE FROM head WHERE case_number = 'A.1';
         DELETE FROM work WHERE case_number = 'A.1'; DELETE FROM entry WHERE case_number = 'A 1'",
    );
    crate::archive::support::tamper(
        &archive,
        "DELETE FROM entry WHERE case_number = 'A/1' AND number > 3;
         DELETE FROM head WHERE case_number = 'A/1';
         INSERT INTO head SELECT case_number, number, hash FROM entry WHERE case_number = 'A/1' AND number = 3",
    );
    let output = home.run(&["--archive", "a.casepan", "archive", "export", "--to", "out"]);
    assert_eq!(output.code, Some(DATA), "{output:?}");
    assert!(output.stdout.starts_with("1 case written"), "{output:?}");
    assert!(output.stderr.contains("3 items could not be read"));
    for said in [
        "case A.1 is gone: it had ",
        "case \"A 1\"",
        "case A/1 has 3 entries; it had ",
    ] {
        assert!(output.stderr.contains(said), "{said}: {output:?}");
    }
}

/// An export of an older copy says that it is one, as opening it does.
#[test]
fn an_export_says_what_is_to_be_known_of_the_archive() {
    let home = laboratory();
    std::fs::copy(home.path("a.casepan"), home.path("old")).unwrap();
    let day = [
        "--archive",
        "a.casepan",
        "--who",
        "b3",
        "became",
        "A.1",
        "withdrawn",
    ];
    good(home.run(&day));
    std::fs::copy(home.path("old"), home.path("a.casepan")).unwrap();
    for (at, what) in [&["--to", "out"][..], &["24-0381"][..]]
        .into_iter()
        .enumerate()
    {
        let export = ["--archive", "a.casepan", "archive", "export"];
        let output = home.run(&[&export[..], what].concat());
        assert_eq!(output.code, Some(0), "{at}: {output:?}");
        assert!(
            output.stderr.contains("is older than what"),
            "{at}: {output:?}"
        );
    }
}

#[test]
fn a_journal_that_is_not_whole_is_refused_by_itself() {
    let home = laboratory();
    good(home.run(&["--archive", "a.casepan", "archive", "export", "--to", "out"]));
    let path = home.path("out/cases/24-0381.jsonl");
    let text = std::fs::read_to_string(&path).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let joined = |lines: &[&str]| lines.join("\n") + "\n";
    let without = |at: usize| {
        let mut lines = lines.clone();
        lines.remove(at);
        joined(&lines)
    };
    let swapped = {
        let mut lines = lines.clone();
        lines.swap(2, 3);
        joined(&lines)
    };
    let last = lines.len();
    for (at, (damaged, line, why)) in [
        (without(2), 3, "has lost lines"),
        (without(last - 1), last - 1, "copy the file again"),
        (swapped, 3, "moved"),
        (
            text[..text.len() - 1].to_owned(),
            last,
            "copy the file again",
        ),
        (text[..text.len() - 9].to_owned(), last, "line"),
        (
            text.replacen("\"format\":1", "\"format\":9", 1),
            1,
            "reads format 1",
        ),
        (
            text.replacen("\"journal\"", "\"letter\"", 1),
            1,
            "no journal file",
        ),
        (text.replacen("24-0381", "24-0382", 1), 2, "24-0382"),
        (
            text.replacen("\"Answer\"", "\"Sang\"", 1),
            4,
            "unknown variant",
        ),
        (String::new(), 1, "empty"),
        ("\u{feff}{}\n".to_owned(), 1, "no journal file"),
    ]
    .into_iter()
    .enumerate()
    {
        std::fs::write(&path, damaged).unwrap();
        let archive = format!("b{at}.casepan");
        let output = home.run(&["--archive", &archive, "archive", "import", "out"]);
        assert_eq!(output.code, Some(DATA), "{at}: {output:?}");
        assert_eq!(
            output.stdout.lines().next(),
            Some("3 cases imported"),
            "{at}: {output:?}"
        );
        let at_line = format!("24-0381.jsonl: line {line}: ");
        assert!(output.stderr.contains(&at_line), "{at}: {output:?}");
        assert!(output.stderr.contains(why), "{at}: {output:?}");
    }
}

#[test]
fn what_is_no_export_is_refused() {
    let home = laboratory();
    home.file("full/file", "text");
    let export = |to: &str| home.run(&["--archive", "a.casepan", "archive", "export", "--to", to]);
    refused(&export("full"), CANNOT_CREATE, &["full is not empty"]);
    let output = home.run(&["--archive", "a.casepan", "archive", "export"]);
    refused(&output, super::USAGE, &["name a case", "--to FOLDER"]);
    let output = home.run(&["--archive", "b.casepan", "archive", "import", "full"]);
    refused(&output, NO_INPUT, &["full holds no exported archive"]);
    // A flow that was changed on the way.
    good(export("out"));
    let flow = std::fs::read_dir(home.path("out/flows")).unwrap().next();
    let flow = flow.unwrap().unwrap().path();
    let text = std::fs::read_to_string(&flow).unwrap();
    std::fs::write(&flow, text.replacen("limit", "limmit", 1)).unwrap();
    let output = home.run(&["--archive", "c.casepan", "archive", "import", "out"]);
    assert_eq!(output.code, Some(DATA), "{output:?}");
    assert!(
        output.stderr.contains("not the flow that was exported"),
        "{output:?}"
    );
    // The cases are judged by the flow that new cases are opened with here: it is the same.
    assert!(output.stdout.starts_with("4 cases imported"), "{output:?}");
}

#[test]
fn a_journal_goes_on_after_what_others_wrote_meanwhile() {
    let home = laboratory();
    let run = |args: &[&str]| good(home.run(&[&["--archive", "a.casepan"], args].concat()));
    run(&["archive", "export", "--to", "out", "--free-text"]);
    good(home.run(&["--archive", "b.casepan", "archive", "import", "out"]));
    // Each goes on in an archive of its own: one names the day, the other answers.
    run(&["--who", "b1", "due", "A.1", "--due", "2026-12-04"]);
    let other = |args: &[&str]| good(home.run(&[&["--archive", "b.casepan"], args].concat()));
    other(&["--who", "b2", "hand", "A.1", "b3"]);
    other(&["archive", "export", "--to", "back", "--free-text"]);
    let told = run(&["archive", "import", "back/cases/A%2E1.jsonl"]);
    assert_eq!(told, "1 case imported\n");
    let all = run(&["history", "A.1"]);
    assert!(all.contains("b3") && all.contains("4 Dec"), "{all}");
    assert!(run(&["archive", "check"]).contains("no damage"));
    // Once more changes nothing, though entries stand elsewhere now.
    let before = rows(&home.path("a.casepan"));
    run(&["archive", "import", "back/cases/A%2E1.jsonl"]);
    assert_eq!(rows(&home.path("a.casepan")), before);
}
