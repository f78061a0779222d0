//! Each JSON object is as its schema says. The judge is another implementation of JSON Schema, draft 2020-12
//! (<https://json-schema.org/draft/2020-12>): the crate `jsonschema`, formats looked at too.

use std::collections::{BTreeMap, BTreeSet};

use casepan::case::Case;
use casepan::case::file::write;
use jsonschema::Validator;
use serde_json::Value;

use super::json::{home, object};
use super::{CROWN, DATA};
use crate::good::{finish, pan};
use crate::support::Home;

/// A bridge of which nobody has looked at anything; invented.
const UNTOUCHED: &str = r#"Case(
    format: 1, number: "T-9", flow: "fixed", version: 3,
    restorations: [Bridge("R1", [Abutment("44"), Pontic("45"), Abutment("46")])],
    facts: [],
)
"#;

/// Keys that may be left out, by their paths; everything else has to be there.
const MAY_BE_LEFT_OUT: &[&str] = &[
    "findings[].asks",
    "findings[].bench",
    "findings[].same_cause",
    "findings[].usual",
    "findings[].evidence[].unit",
    "findings[].evidence[].layer",
    "derived[].unit",
    "near_limits[].sd",
    "near_limits[].limit",
    "dislodgement[].toward",
    "dislodgement[].value",
    "dislodgement[].lambda",
    "dislodgement[].gap",
    "dislodgement[].grip",
    "dislodgement[].reserve",
    "dislodgement[].first",
    "dislodgement[].not_computed",
    "geometry[].stumps[].walls[].straight",
];

pub(super) fn schema(home: &Home, args: &[&str]) -> Value {
    let told = home.run(&[&["schema"], args].concat());
    assert_eq!((told.code, told.stderr.as_str()), (Some(0), ""), "{told:?}");
    let schema: Value = serde_json::from_str(&told.stdout).unwrap();
    let draft = "https://json-schema.org/draft/2020-12/schema";
    assert_eq!(schema["$schema"], draft);
    if let Err(error) = jsonschema::meta::validate(&schema) {
        panic!("{args:?} is no schema: {error}");
    }
    schema
}

fn validator(schema: &Value) -> Validator {
    let options = jsonschema::options().should_validate_formats(true);
    options.build(schema).unwrap()
}

/// Every place in an object, one for each path of keys.
fn places(value: &Value, path: &str, pointer: &str, into: &mut BTreeMap<String, String>) {
    into.entry(path.to_owned())
        .or_insert_with(|| pointer.to_owned());
    // What shares a cause is a finding as well.
    let path = path.replace(".same_cause[]", "");
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                let dot = if path.is_empty() { "" } else { "." };
                places(
                    value,
                    &format!("{path}{dot}{key}"),
                    &format!("{pointer}/{key}"),
                    into,
                );
            }
        }
        Value::Array(list) => {
            for (index, value) in list.iter().enumerate() {
                places(
                    value,
                    &format!("{path}[]"),
                    &format!("{pointer}/{index}"),
                    into,
                );
            }
        }
        _ => {}
    }
}

/// Checks that an object holds, and that none of its parts may be missing, of another type or have keys beside them.
fn holds_and_nothing_else(name: &str, object: &Value, validator: &Validator) {
    let faults: Vec<String> = validator
        .iter_errors(object)
        .map(|error| format!("{}: {error}", error.instance_path()))
        .collect();
    assert_eq!(faults, [""; 0], "{name}");
    let mut all = BTreeMap::new();
    places(object, "", "", &mut all);
    assert!(all.len() > 2, "{name}");
    for (path, pointer) in all {
        let fails = |change: &dyn Fn(&mut Value)| {
            let mut changed = object.clone();
            change(changed.pointer_mut(&pointer).unwrap());
            !validator.is_valid(&changed)
        };
        let other = |part: &mut Value| {
            *part = match part {
                Value::Object(_) => Value::from(7),
                _ => serde_json::json!({ "odd": true }),
            };
        };
        assert!(fails(&other), "{name}: {path} may be of another type");
        let Some(Value::Object(map)) = object.pointer(&pointer) else {
            continue;
        };
        let more = |part: &mut Value| part["odd"] = Value::Null;
        assert!(fails(&more), "{name}: {path} may have other keys");
        for key in map.keys() {
            let less = |part: &mut Value| {
                part.as_object_mut().unwrap().remove(key);
            };
            let dot = if path.is_empty() { "" } else { "." };
            let own = format!("{path}{dot}{key}").replace(".same_cause[]", "");
            let may = MAY_BE_LEFT_OUT.contains(&own.as_str());
            assert_eq!(fails(&less), !may, "{name}: without {own}");
        }
    }
}

fn judged(home: &Home, file: &str, text: &str) -> Value {
    home.file(file, text);
    object(home, &["judge", file, "--as", "json"], 0)
}

fn written(case: &Case) -> String {
    write(case, true).unwrap()
}

/// A crown at good practice of which everything is known.
fn decided() -> Case {
    let mut case = pan("26", "zirconia-3y", "self-adhesive");
    finish(&mut case, true);
    case
}

#[test]
fn judged_cases_are_as_their_schema_says() {
    let home = Home::new();
    let schema = schema(&home, &["judge"]);
    let validator = validator(&schema);
    let mut cases: Vec<(&str, String)> = casepan::demo::CASES
        .iter()
        .map(|(name, text)| (*name, (*text).to_owned()))
        .collect();
    cases.push(("a few readings", CROWN.to_owned()));
    cases.push(("untouched", UNTOUCHED.to_owned()));
    cases.push(("decided", written(&decided())));
    // What was said to a question on the phone.
    let said = r#"decisions: [(rule: "tips-off", at: "46", outcome: AsItIs, from: "2026-11-23", by: Dentist)],)"#;
    let bridge = casepan::demo::CASES[0].1.trim_end();
    cases.push((
        "answered",
        format!("{}    {said}", bridge.strip_suffix(')').unwrap()),
    ));
    let mut seen = BTreeSet::new();
    for (name, text) in &cases {
        let told = judged(&home, "case.ron", text);
        holds_and_nothing_else(name, &told, &validator);
        let mut all = BTreeMap::new();
        places(&told, "", "", &mut all);
        seen.extend(all.into_keys());
    }
    // What the cases are for did come up.
    for key in [
        "findings[].source.status",
        "open_points[].needs[].why",
        "options[].source.words",
        "options[].verdict.could_be",
        "call[].decided.from",
        "near_limits[].limit",
        "deciding[].flips_at",
        "dislodgement[].lambda",
        "geometry[].stumps[].walls[].taper",
    ] {
        assert!(seen.contains(key), "{key} in {seen:?}");
    }
}

#[test]
fn lists_and_checks_are_as_their_schemas_say() {
    let home = home();
    home.file("untouched.ron", UNTOUCHED);
    let archive = |args: &[&'static str]| [&["--archive", "a.casepan"], args].concat();
    let import = home.run(&archive(&["archive", "import", "untouched.ron"]));
    assert_eq!(import.code, Some(0), "{import:?}");
    for args in [
        &["attach", "T-1", "untouched.ron"][..],
        &["hand", "T-1", "b2", "look at the margin"],
        &["due", "T-1", "--due", "2026-12-04"],
        &["became", "T-1", "closed"],
    ] {
        let told = home.run(&[&["--archive", "a.casepan"], args].concat());
        assert_eq!(told.code, Some(0), "{told:?}");
    }
    super::demo::invent(&home);
    home.file("own/keys.ron", "Keys([Key(\"undo\", [\"z\"])])");
    home.file(
        "own/look.ron",
        "Look(roles: [Role(role: \"key\", dim: true)])",
    );
    let there = home.run(&["flow", "new", "changed"]);
    assert_eq!(there.code, Some(0), "{there:?}");
    let prices = std::fs::read_to_string(home.path("changed/prices.ron")).unwrap();
    home.file("changed/flow.ron", {
        let flow = std::fs::read_to_string(home.path("changed/flow.ron")).unwrap();
        flow.replacen("title: \"", "title: \"Our ", 1)
    });
    home.file("changed/prices.ron", prices);
    home.file("cases/1.ron", UNTOUCHED);
    home.file("bad/flow.ron", "Flow(\n  Head(id: \"own\"");
    let any = validator(&schema(&home, &[]));
    let mut schemas = Vec::new();
    let mut objects = Vec::new();
    for (name, args, code) in [
        ("print", archive(&["print", "T-1", "--as", "json"]), 0),
        ("list", archive(&["list", "--as", "json"]), 0),
        ("history", archive(&["history", "T-1", "--as", "json"]), 0),
        ("outcome", archive(&["outcome", "T-1", "--as", "json"]), 0),
        ("files", archive(&["files", "T-1", "--as", "json"]), 0),
        (
            "rates",
            vec![
                "--archive",
                "invented.casepan",
                "rates",
                "--by",
                "tray,answer",
                "--as",
                "json",
            ],
            0,
        ),
        ("flow-check", vec!["flow", "check", "--as", "json"], 0),
        (
            "flow-check",
            vec!["flow", "check", "bad", "--as", "json"],
            DATA,
        ),
        ("flow-facts", vec!["flow", "facts", "--as", "json"], 0),
        ("rules", archive(&["rules", "--as", "json"]), 0),
        (
            "flow-diff",
            vec!["flow", "diff", "changed", "--as", "json"],
            0,
        ),
        (
            "flow-test",
            vec!["flow", "test", "cases", "--as", "json"],
            DATA,
        ),
        (
            "flow-replay",
            archive(&["flow", "replay", "--as", "json"]),
            0,
        ),
        (
            "agreement-list",
            archive(&["instruction", "list", "--as", "json"]),
            0,
        ),
        (
            "archive-check",
            archive(&["archive", "check", "--as", "json"]),
            0,
        ),
        (
            "settings",
            vec!["--settings", "own", "settings", "--as", "json"],
            0,
        ),
    ] {
        let told = object(&home, &args, code);
        let own = validator(&schema(&home, &[name]));
        holds_and_nothing_else(name, &told, &own);
        assert!(any.is_valid(&told), "{name}");
        schemas.push((name, own));
        objects.push((name, told));
    }
    // A case that cannot be read is in the list, and the archive says why.
    damage(&home.path("a.casepan"));
    for (name, args, code) in [
        ("list", archive(&["list", "--as", "json"]), 0),
        (
            "archive-check",
            archive(&["archive", "check", "--as", "json"]),
            DATA,
        ),
    ] {
        let told = object(&home, &args, code);
        let own = validator(&schema(&home, &[name]));
        holds_and_nothing_else(name, &told, &own);
        objects.push((name, told));
    }
    let list = &objects[objects.len() - 2].1["cases"];
    let lost = list
        .as_array()
        .unwrap()
        .iter()
        .any(|case| case["verdict"].is_null());
    assert!(lost, "{list}");
    assert_ne!(objects.last().unwrap().1["damages"], serde_json::json!([]));
    // None of them passes for another.
    for (name, schema) in &schemas {
        for (other, object) in &objects {
            assert_eq!(schema.is_valid(object), name == other, "{name} {other}");
        }
    }
}

/// Turns a byte over in every answer that names the material.
fn damage(path: &std::path::Path) {
    let mut bytes = std::fs::read(path).unwrap();
    let word = b"order.mat";
    for at in 0..bytes.len() {
        if bytes[at..].starts_with(word) {
            bytes[at] ^= 1;
        }
    }
    std::fs::write(path, bytes).unwrap();
    // What is listed of a case is read anew.
    let archive = rusqlite::Connection::open(path).unwrap();
    archive.execute("UPDATE work SET engine = ''", []).unwrap();
}

/// What nobody looked at is *open* in every object and list, and no script reads it as *fine*; what is decided is *fine*.
#[test]
fn an_untouched_case_is_open_and_a_decided_one_fine_wherever_it_is_told() {
    let home = Home::new();
    home.file("untouched.ron", UNTOUCHED);
    home.file("decided.ron", written(&decided()));
    for (file, number, level) in [
        ("untouched.ron", "T-9", "open"),
        ("decided.ron", "invented", "fine"),
    ] {
        let archive = |args: &[&'static str]| [&["--archive", "a.casepan"], args].concat();
        let told = home.run(&archive(&["archive", "import", file]));
        assert_eq!(told.code, Some(0), "{told:?}");
        let judged = object(&home, &["judge", file, "--as", "json"], 0);
        let printed = object(&home, &archive(&["print", number, "--as", "json"]), 0);
        let list = object(&home, &archive(&["list", "--as", "json"]), 0);
        let listed = list["cases"]
            .as_array()
            .unwrap()
            .iter()
            .find(|case| case["case"] == number)
            .unwrap();
        for told in [&judged, &printed, listed] {
            assert_eq!(told["verdict"]["level"], level, "{told}");
            assert_eq!(told["verdict"], judged["verdict"]);
            assert_eq!(told["case"], number);
            let own = &told["restorations"][0];
            for key in ["id", "kind", "units"] {
                assert_eq!(own[key], judged["restorations"][0][key]);
            }
        }
        assert_eq!(judged["restorations"][0]["verdict"]["level"], level);
        let could_be = &judged["verdict"]["could_be"];
        assert_eq!(could_be == "fine", level == "fine", "{could_be}");
        let text = home.run(&archive(&["list"])).stdout;
        let row = text.lines().find(|row| row.starts_with(number)).unwrap();
        assert_eq!(row.split('\t').nth(3), Some(level), "{text}");
    }
}

/// State, what is waited for and what is expected, as a case that waits has them.
#[test]
fn what_is_waited_for_has_its_shape() {
    let home = Home::new();
    let validator = validator(&schema(&home, &["judge"]));
    let mut told = judged(&home, "case.ron", UNTOUCHED);
    let waiting = serde_json::json!([
        { "what": "bite", "teeth": ["44", "46"], "due": "2026-12-04" },
        { "what": "shade", "teeth": [], "due": null },
    ]);
    for pointer in ["", "/restorations/0"] {
        let part = told.pointer_mut(pointer).unwrap();
        part["state"] = "waiting".into();
        part["waiting_for"] = waiting.clone();
        part["expected"] = serde_json::json!({ "level": "not-covered", "could_be": "not-covered", "drawn": "not-covered" });
    }
    assert!(validator.is_valid(&told));
    told["expected"] = Value::Null;
    assert!(validator.is_valid(&told));
    for (pointer, odd) in [
        ("/state", serde_json::json!(1)),
        ("/waiting_for/0/due", "soon".into()),
        ("/waiting_for/0/due", "2026-13-04".into()),
        ("/waiting_for/0/teeth", serde_json::json!(["19"])),
        ("/restorations/0/expected/level", "good".into()),
        ("/restorations/0/expected", "fine".into()),
        ("/restorations/0/expected/could_be", "open".into()),
    ] {
        let mut changed = told.clone();
        *changed.pointer_mut(pointer).unwrap() = odd;
        assert!(!validator.is_valid(&changed), "{pointer}");
    }
}

/// Figures have the digits of the prints, moments are whole seconds.
#[test]
fn figures_and_moments_are_as_they_are_shown() {
    let home = home();
    for (name, _) in casepan::demo::CASES {
        let file = format!("{}/demo/{name}.ron", env!("CARGO_MANIFEST_DIR"));
        let told = object(&home, &["judge", &file, "--as", "json"], 0);
        let decimals = |number: &Value| {
            let text = number.to_string();
            let tail = text.split_once('.').map_or("", |(_, tail)| tail);
            tail.trim_end_matches('0').len()
        };
        for figure in told["derived"].as_array().unwrap() {
            // `phrase` shows millimetres with one decimal, ratios with two, everything else whole.
            let most = match figure["unit"].as_str() {
                Some("mm" | "mm²" | "mm³") => 1,
                None => 2,
                Some(_) => 0,
            };
            if figure["value"].is_number() {
                assert!(decimals(&figure["value"]) <= most, "{figure}");
            }
        }
        for load in told["dislodgement"].as_array().unwrap() {
            let Some(lambda) = load["lambda"].as_f64() else {
                continue;
            };
            // As the demand is defined; both are rounded to a tenth of the gap.
            let (force, demand) = (load["force"].as_f64().unwrap(), load["value"].as_f64());
            let gap = load["gap"].as_f64().unwrap();
            let off = (force / lambda / demand.unwrap() - 1.0).abs();
            assert!(off < gap.max(1e-9), "{load}");
            assert!(gap <= 1e-3 && decimals(&load["lambda"]) <= 10, "{load}");
        }
    }
    let list = object(
        &home,
        &["--archive", "a.casepan", "list", "--as", "json"],
        0,
    );
    for case in list["cases"].as_array().unwrap() {
        // RFC 3339, section 5.6, without a fraction.
        let last = case["last"].as_str().unwrap();
        assert_eq!(last.len(), "2026-11-28T09:30:59Z".len(), "{last}");
        last.parse::<jiff::Timestamp>().unwrap();
    }
}
