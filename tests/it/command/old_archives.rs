//! Archives that earlier versions wrote: their cases are judged by the flows that they were opened with, for ever.
//!
//! `tests/data/archive-of-schema-2.casepan` was written by the version of 27 November 2026 from the demo cases of its
//! time, with its own flow; beside it stands what that version found. Neither is ever made anew.

use serde_json::Value as Json;

use crate::support::Home;

const ARCHIVE: &[u8] = include_bytes!("../../data/archive-of-schema-2.casepan");
const FOUND: &str = include_str!("../../data/archive-of-schema-2.json");

#[test]
fn a_case_of_an_old_archive_is_judged_as_it_was() {
    let home = Home::new();
    std::fs::write(home.path("a.casepan"), ARCHIVE).unwrap();
    let found: Json = serde_json::from_str(FOUND).unwrap();
    let found = found.as_object().unwrap();
    assert_eq!(found.len(), 4);
    let run = |args: &[&str]| {
        let output = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(output.code, Some(0), "{output:?}");
        output.stdout
    };
    for (number, wanted) in found {
        let judged: Json = serde_json::from_str(&run(&["print", number, "--as", "json"])).unwrap();
        assert_eq!(judged["verdict"], wanted["verdict"], "{number}");
        let finding =
            |own: &Json| Json::Array(["rule", "at", "level"].map(|key| own[key].clone()).to_vec());
        let findings: Vec<Json> = judged["findings"]
            .as_array()
            .unwrap()
            .iter()
            .map(finding)
            .collect();
        assert_eq!(Json::Array(findings), wanted["findings"], "{number}");
    }
    // The archive was brought to the present schema on the way, and a copy of what it was lies beside it.
    assert!(run(&["archive", "check"]).contains("no damage"));
    assert!(home.path("a.casepan.schema-2").exists());
    assert!(run(&["instruction", "list"]).contains("K17"));
    // The journals come out of it as they are.
    run(&["archive", "export", "--to", "out", "--free-text"]);
    let told = home.run(&["--archive", "b.casepan", "archive", "import", "out"]);
    assert_eq!(
        (told.code, told.stdout.as_str()),
        (Some(0), "4 cases imported\n")
    );
}

/// It is moved aside as it is, for the version that wrote it, and is told by its cases all the same.
#[test]
fn an_old_archive_that_makes_room_for_a_backup_stays_as_it_was() {
    let home = Home::new();
    std::fs::write(home.path("a.casepan"), ARCHIVE).unwrap();
    std::fs::write(home.path("b.casepan"), ARCHIVE).unwrap();
    let restore = ["--archive", "a.casepan", "archive", "restore", "b.casepan"];
    let output = home.run(&restore);
    assert_eq!(output.code, Some(0), "{output:?}");
    assert!(output.stdout.contains("\nit has 4 cases; "), "{output:?}");
    let files = std::fs::read_dir(home.path("")).unwrap();
    let names = files.map(|file| file.unwrap().file_name().into_string().unwrap());
    let mut beside: Vec<String> = names
        .filter(|name| name.starts_with("a.casepan.") || name.starts_with("b.casepan."))
        // A log with nothing in it may come along.
        .filter(|name| std::fs::metadata(home.path(name)).is_ok_and(|file| file.len() > 0))
        .collect();
    beside.sort();
    let [aside] = beside.as_slice() else {
        panic!("{beside:?}");
    };
    assert!(std::fs::read(home.path(aside)).unwrap() == ARCHIVE);
}

#[test]
fn a_flow_of_a_format_to_come_is_said_and_its_case_left_alone() {
    let home = Home::new();
    std::fs::write(home.path("a.casepan"), ARCHIVE).unwrap();
    let export = ["--archive", "a.casepan", "archive", "export", "--to", "out"];
    assert_eq!(home.run(&export).code, Some(0));
    let flow = std::fs::read_dir(home.path("out/flows")).unwrap().next();
    let flow = flow.unwrap().unwrap().path();
    let text = std::fs::read_to_string(&flow).unwrap();
    std::fs::remove_file(&flow).unwrap();
    let without = home.run(&["--archive", "c.casepan", "archive", "import", "out"]);
    assert_eq!(without.code, Some(super::DATA), "{without:?}");
    assert!(
        without.stdout.starts_with("0 cases imported"),
        "{without:?}"
    );
    assert!(
        without.stderr.contains("neither here nor in the folder"),
        "{without:?}"
    );
    assert!(text.contains("\"format\":1"), "{}", &text[..200]);
    std::fs::write(&flow, text.replacen("\"format\":1", "\"format\":9", 1)).unwrap();
    let import = ["--archive", "b.casepan", "archive", "import", "out"];
    assert_eq!(home.run(&import).code, Some(0));
    let output = home.run(&["--archive", "b.casepan", "print", "D-0926"]);
    super::refused(
        &output,
        super::DATA,
        &[
            "in format 9; this program reads flows up to format 1",
            "newer version",
        ],
    );
    let listed = home.run(&["--archive", "b.casepan", "list"]);
    assert_eq!(listed.code, Some(0), "{listed:?}");
    assert!(listed.stdout.contains("D-0926"), "{listed:?}");
    let checked = home.run(&["--archive", "b.casepan", "archive", "check"]);
    assert_eq!(checked.code, Some(0), "{checked:?}");
}
