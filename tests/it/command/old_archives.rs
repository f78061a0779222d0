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
