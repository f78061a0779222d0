//! JSON for other programs: each object is as its manual page says, and has nothing that it does not say.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Value, json};

use super::{CROWN, DATA};
use crate::support::Home;

/// The keys that the manual page documents for a command.
fn documented(command: &str) -> BTreeSet<String> {
    let home = Home::new();
    assert_eq!(home.run(&["manual", "man"]).code, Some(0));
    let page = super::manual::page(&home, "man", "casepan-json.5");
    let (_, table) = page.split_once("\n.SH KEYS\n").unwrap();
    let mut keys = BTreeSet::new();
    let mut own = false;
    let mut lines = table.lines().take_while(|line| !line.starts_with(".SH"));
    while let Some(line) = lines.next() {
        if let Some(head) = line.strip_prefix(".SS ") {
            let mut commands = head.trim_matches('"').split(", ");
            own = commands.any(|part| part == command || part == "every object");
        } else if line == ".TP" {
            let key = lines.next().unwrap();
            let key = key
                .strip_prefix("fB")
                .and_then(|key| key.strip_suffix("fR"));
            let meaning = lines.next().unwrap();
            assert!(!meaning.is_empty(), "{key:?}");
            if own {
                keys.insert(key.unwrap().to_owned());
            }
        }
    }
    keys
}

/// The keys of an object and of the objects in it, as the manual page writes them.
fn keys(value: &Value, before: &str, into: &mut BTreeSet<String>) {
    match value {
        Value::Object(map) => {
            let dot = if before.is_empty() { "" } else { "." };
            for (key, value) in map {
                keys(value, &format!("{before}{dot}{key}"), into);
            }
        }
        Value::Array(list) if list.iter().any(Value::is_object) => {
            for value in list {
                keys(value, &format!("{before}[]"), into);
            }
        }
        _ => {
            into.insert(before.to_owned());
        }
    }
}

/// Runs a command and returns its one object.
#[track_caller]
pub(super) fn object(home: &Home, args: &[&str], code: i32) -> Value {
    let told = home.run(args);
    assert_eq!(told.code, Some(code), "{args:?} {told:?}");
    assert_eq!(told.stderr.is_empty(), code == 0, "{told:?}");
    let object: Value = serde_json::from_str(&told.stdout).unwrap();
    assert_eq!(object["format"], 3, "{args:?}");
    object
}

#[track_caller]
fn as_documented(object: &Value, command: &str) {
    let mut own = BTreeSet::new();
    keys(object, "", &mut own);
    let wanted = documented(command);
    // Null or empty in one case, with keys of its own in another.
    let is_part = |key: &String| {
        let begins = |own: &String| {
            own.strip_prefix(key.as_str())
                .is_some_and(|rest| rest.starts_with(['.', '[']))
        };
        wanted.iter().any(begins)
    };
    own.retain(|key| !is_part(key));
    assert_eq!(own, wanted, "{command}");
}

/// An archive with two cases and two standing instructions, one of them ended.
pub(super) fn home() -> Home {
    let home = Home::new();
    home.file("case.ron", CROWN);
    home.file("bridge.ron", casepan::demo::CASES[0].1);
    home.file("waits.ron", super::arrived::WAITS.replace("T-1", "T-3"));
    for args in [
        &["archive", "import", "case.ron"][..],
        &["archive", "import", "bridge.ron"],
        &["archive", "import", "waits.ron"],
        &[
            "instruction",
            "add",
            "K17",
            "clearance",
            "--words",
            "thin",
            "--until",
            "2099-01-01",
        ],
        &["instruction", "add", "K18", "clearance"],
        &["instruction", "end", "2"],
    ] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
    }
    home
}

/// Something came back of a case.
fn came_back(home: &Home) {
    for args in [
        &["became", "T-1", "delivered"][..],
        &["outcome", "T-1", "--what", "came-off", "--seen", "no"],
    ] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
    }
}

#[test]
fn the_worklist_is_listed_for_scripts() {
    let home = home();
    came_back(&home);
    let list = object(
        &home,
        &["--archive", "a.casepan", "list", "--as", "json"],
        0,
    );
    as_documented(&list, "list");
    let cases = list["cases"].as_array().unwrap();
    assert_eq!(cases.len(), 3);
    let bridge = cases.iter().find(|case| case["case"] == "D-1044").unwrap();
    let unit = |tooth: &str, role: &str| json!({ "tooth": tooth, "role": role });
    let units = [
        unit("44", "abutment"),
        unit("45", "pontic"),
        unit("46", "abutment"),
    ];
    let restoration = json!({ "id": "R1", "kind": "bridge", "units": units });
    assert_eq!(bridge["restorations"], json!([restoration]));
    assert_eq!(
        bridge["verdict"],
        json!({ "level": "call", "could_be": "hold", "drawn": "hold" })
    );
    assert!(bridge["left"].as_u64().unwrap() > 0);
    let text = home.run(&["--archive", "a.casepan", "list"]);
    let rows: Vec<Vec<&str>> = text
        .stdout
        .lines()
        .map(|line| line.split('\t').collect())
        .collect();
    assert_eq!(
        rows[0],
        [
            "number", "units", "state", "verdict", "could be", "left", "last", "dentist", "due",
            "promised", "with", "closed"
        ]
    );
    assert_eq!(rows.len(), 4);
    for (row, case) in rows[1..].iter().zip(cases) {
        let said = |pointer: &str| match case.pointer(pointer).unwrap() {
            Value::String(text) => text.clone(),
            other => other.to_string(),
        };
        let own = &case["restorations"][0]["units"];
        let units = own.as_array().unwrap().iter().map(|unit| {
            let missing = if unit["role"] == "pontic" { "x" } else { "" };
            format!("{missing}{}", unit["tooth"].as_str().unwrap())
        });
        let units = units.collect::<Vec<_>>().join(" ");
        let [number, state, level, could_be, left, last] = [
            "/case",
            "/state",
            "/verdict/level",
            "/verdict/could_be",
            "/left",
            "/last",
        ]
        .map(said);
        assert!(row[2].starts_with(&state), "{row:?}");
        assert_eq!(
            [row[0], row[1], row[3], row[4], row[5], row[6]],
            [number, units, level, could_be, left, last]
        );
    }
    let other = home.run(&["--archive", "a.casepan", "--notation", "palmer", "list"]);
    assert!(other.stdout.contains("4┐ x5┐ 6┐"), "{other:?}");
}

#[test]
fn lists_and_checks_are_as_documented() {
    let home = home();
    let facts = object(&home, &["flow", "facts", "--as", "json"], 0);
    as_documented(&facts, "flow facts");
    let list = facts["facts"].as_array().unwrap();
    let height = list
        .iter()
        .find(|fact| fact["id"] == "tooth.height")
        .unwrap();
    assert_eq!(
        (&height["unit"], &height["origin"]),
        (&"mm".into(), &"asked".into())
    );
    let text = home.run(&["flow", "facts"]).stdout;
    let heads = text.lines().filter(|line| !line.starts_with(' ')).count();
    assert_eq!(heads, list.len());
    let args = [
        "--archive",
        "a.casepan",
        "instruction",
        "list",
        "--as",
        "json",
    ];
    let instructions = object(&home, &args, 0);
    as_documented(&instructions, "instruction list");
    assert_eq!(instructions["agreements"][0]["until"], "2099-01-01");
    assert_eq!(instructions["agreements"][0]["ended"], Value::Null);
    assert!(instructions["agreements"][1]["ended"].is_string());
    home.file("46.jpg", "a photograph");
    for args in [
        &["attach", "T-1", "46.jpg"][..],
        &["due", "T-1", "--due", "2026-12-04"],
        &["due", "T-1", "--due", "2026-12-05"],
    ] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
    }
    came_back(&home);
    let commands = [
        ("history", &["order.due_day"][..]),
        ("files", &[]),
        ("outcome", &[]),
    ];
    for (command, more) in commands {
        let args = ["--archive", "a.casepan", command, "T-1", "--as", "json"];
        as_documented(&object(&home, &[&args, more].concat(), 0), command);
    }
    super::demo::invent(&home);
    let args = [
        "--archive",
        "invented.casepan",
        "rates",
        "--by",
        "tray",
        "--as",
        "json",
    ];
    as_documented(&object(&home, &args, 0), "rates");
    let settings = home.file("settings/keys.ron", "Keys([Key(\"undo\", [\"z\"])])");
    let settings = Path::new(&settings).parent().unwrap().display().to_string();
    let told = object(
        &home,
        &["--settings", &settings, "settings", "--as", "json"],
        0,
    );
    as_documented(&told, "settings");
    let file = home.file("judged.ron", CROWN);
    for (command, args) in [
        ("judge", &["judge", &file, "--as", "json"][..]),
        (
            "print",
            &["--archive", "a.casepan", "print", "T-1", "--as", "json"],
        ),
    ] {
        let told = object(&home, args, 0);
        let own: BTreeSet<String> = told.as_object().unwrap().keys().cloned().collect();
        assert_eq!(own, documented(command));
    }
}

#[test]
fn what_is_wrong_is_an_object_too() {
    let home = home();
    let good = object(&home, &["flow", "check", "--as", "json"], 0);
    assert_eq!(good["problems"], Value::Array(Vec::new()));
    assert_eq!(home.run(&["flow", "new", "own"]).code, Some(0));
    home.file("own/flow.ron", "Flow(\n  Head(id: \"own\"");
    let told = object(&home, &["flow", "check", "own", "--as", "json"], DATA);
    as_documented(&told, "flow check");
    let good = object(
        &home,
        &["--archive", "a.casepan", "archive", "check", "--as", "json"],
        0,
    );
    assert_eq!(good["damages"], Value::Array(Vec::new()));
    // A byte of every answer is turned over, and of the kept files of the flow.
    let path = home.path("a.casepan");
    let mut bytes = std::fs::read(&path).unwrap();
    let word = b"order.mat";
    let places: Vec<usize> = (0..bytes.len())
        .filter(|at| bytes[*at..].starts_with(word))
        .collect();
    assert!(places.len() > 1);
    for at in places {
        bytes[at] ^= 1;
    }
    std::fs::write(&path, bytes).unwrap();
    let told = object(
        &home,
        &["--archive", "a.casepan", "archive", "check", "--as", "json"],
        DATA,
    );
    as_documented(&told, "archive check");
    let text = home.run(&["--archive", "a.casepan", "archive", "check"]);
    for damage in told["damages"].as_array().unwrap() {
        let sentence = damage["sentence"].as_str().unwrap();
        assert!(text.stderr.contains(sentence), "{sentence}");
    }
}
