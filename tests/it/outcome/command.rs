//! Outcomes from a script.

use crate::support::{Home, Output};

const USAGE: i32 = 64;
const NO_INPUT: i32 = 66;

/// Two restorations; invented.
const CASE: &str = r#"Case(
    format: 1, number: "T-1", flow: "fixed", version: 3,
    restorations: [
        Bridge("R1", [Abutment("35"), Pontic("36"), Abutment("37")]),
        Crown("R2", [Abutment("26")]),
    ],
    facts: [
        (fact: "order.scope", at: "R1", is: Choice("teeth")),
        (fact: "tooth.height", at: "37", is: Mm(2.9), with: "caliper"),
    ],
)
"#;

#[track_caller]
fn good(output: Output) -> String {
    assert_eq!(output.code, Some(0), "{output:?}");
    output.stdout
}

#[track_caller]
fn refused(output: &Output, code: i32, says: &[&str]) {
    assert_eq!(output.code, Some(code), "{output:?}");
    assert_eq!(output.stdout, "", "{output:?}");
    for part in says {
        assert!(output.stderr.contains(part), "{part:?} {output:?}");
    }
}

fn home() -> Home {
    let home = Home::new();
    home.file("case.ron", CASE);
    home.file("next.ron", CASE.replace("T-1", "T-2"));
    for file in ["case.ron", "next.ron"] {
        good(home.run(&["--archive", "a.casepan", "archive", "import", file]));
    }
    let became = [
        "became",
        "T-1",
        "delivered",
        "--on",
        "2025-03-12",
        "--teeth",
        "35",
    ];
    good(home.run(&[&["--archive", "a.casepan"], &became[..]].concat()));
    home
}

#[test]
fn outcomes_are_written_listed_and_taken_back() {
    let home = home();
    let run =
        |args: &[&str]| home.run(&[&["--archive", "a.casepan", "outcome", "T-1"], args].concat());
    assert_eq!(
        good(run(&[])),
        "Wed 12 Mar 2025: 35 x36 37 delivered\n26 not delivered\nnothing is known yet\n"
    );
    good(run(&["--what", "quiet", "--on", "2025-09-20"]));
    let args = [
        "--what",
        "came-off",
        "--at",
        "37",
        "--on",
        "2026-01-14",
        "--known",
        "bench",
        "--seen",
        "reading-off",
        "--goes-on",
        "T-2",
    ];
    let said = good(run(&args));
    assert!(
        said.starts_with("kept: Wed 14 Jan 2026: 37 came off"),
        "{said}"
    );
    assert_eq!(
        said.lines().last().unwrap(),
        "2  Wed 14 Jan 2026: 37 came off (seen at the bench); could the bench have seen it: \
         yes, but a reading was off; goes on as case T-2"
    );
    let json: serde_json::Value = serde_json::from_str(&good(run(&["--as", "json"]))).unwrap();
    assert_eq!(json["outcomes"][1]["what"], "came-off");
    assert_eq!(json["outcomes"][1]["at"], "37");
    assert_eq!(json["outcomes"][1]["restoration"], "R1");
    assert_eq!(json["outcomes"][1]["goes_on"], "T-2");
    assert_eq!(json["outcomes"][0]["at"], serde_json::Value::Null);
    assert_eq!(json["delivered"][0]["on"], "2025-03-12");
    assert_eq!(json["delivered"][1]["on"], serde_json::Value::Null);
    // The worklist tells it.
    let list = home.run(&["--archive", "a.casepan", "list", "--as", "json"]);
    let list: serde_json::Value = serde_json::from_str(&good(list)).unwrap();
    let all = list["cases"].as_array().unwrap();
    let own = all.iter().find(|own| own["case"] == "T-1").unwrap();
    assert_eq!(own["came_back"]["what"], "came-off");
    let other = all.iter().find(|own| own["case"] == "T-2").unwrap();
    assert_eq!(other["came_back"], serde_json::Value::Null);
    // It leaves with the case and comes in with it.
    let out = good(home.run(&["--archive", "a.casepan", "archive", "export", "T-1"]));
    home.file("again.ron", out.replace("T-1", "T-3"));
    good(home.run(&["--archive", "a.casepan", "archive", "import", "again.ron"]));
    let again = good(home.run(&["--archive", "a.casepan", "outcome", "T-3"]));
    assert_eq!(again, good(run(&[])));
    let said = good(run(&["--take-back", "2"]));
    assert!(
        said.starts_with("taken back: Wed 14 Jan 2026: 37 came off"),
        "{said}"
    );
    assert!(!said.lines().any(|line| line.starts_with("2  ")), "{said}");
    let told = good(home.run(&["--archive", "a.casepan", "history", "T-1"]));
    assert!(told.contains("outcome taken back: 37 came off"), "{told}");
    assert!(good(home.run(&["--archive", "a.casepan", "archive", "check"])).contains("no damage"));
}

#[test]
fn what_cannot_be_is_refused_and_nothing_is_lost() {
    let home = home();
    let run =
        |args: &[&str]| home.run(&[&["--archive", "a.casepan", "outcome", "T-1"], args].concat());
    let off = |more: &[&str]| run(&[&["--what", "came-off", "--on", "2026-01-14"], more].concat());
    good(off(&["--at", "37"]));
    let before = good(run(&[]));
    refused(
        &off(&["--at", "37"]),
        USAGE,
        &["written down already", "--take-back"],
    );
    refused(&off(&["--at", "26"]), USAGE, &["26 was not delivered"]);
    refused(
        &off(&["--at", "46"]),
        USAGE,
        &["--at: 46 is no unit and no connector of case T-1"],
    );
    refused(&off(&["--at", "35-37"]), USAGE, &["--at: 35-37"]);
    refused(&off(&["--at", "toe"]), USAGE, &["--at: "]);
    refused(
        &off(&["--at", "35", "--goes-on", "T-9"]),
        NO_INPUT,
        &["no case \"T-9\""],
    );
    refused(
        &off(&["--at", "35", "--goes-on", "T-1"]),
        USAGE,
        &["go on as itself"],
    );
    let on = |day: &str| run(&["--what", "broke", "--at", "35-36", "--on", day]);
    refused(&on("2025-03-11"), USAGE, &["delivered on Wed 12 Mar 2025"]);
    refused(&on("2126-03-11"), USAGE, &["still to come"]);
    assert_eq!(on("soon").code, Some(USAGE));
    refused(
        &run(&["--take-back", "2"]),
        USAGE,
        &["there is no outcome 2, only 1"],
    );
    refused(
        &run(&["--take-back", "0"]),
        USAGE,
        &["there is no outcome 0"],
    );
    assert_eq!(run(&["--at", "37"]).code, Some(USAGE), "without what");
    assert_eq!(run(&["--what", "fell"]).code, Some(USAGE));
    let none = home.run(&["--archive", "a.casepan", "outcome", "T-8"]);
    refused(&none, NO_INPUT, &["T-8"]);
    assert_eq!(good(run(&[])), before);
    // Of two delivered ones, which has to be said.
    let became = [
        "--archive",
        "a.casepan",
        "became",
        "T-1",
        "delivered",
        "--on",
        "2025-03-12",
    ];
    good(home.run(&became));
    refused(&run(&["--what", "quiet"]), USAGE, &["several restorations"]);
    good(run(&["--what", "quiet", "--at", "R2"]));
    good(run(&[
        "--what",
        "broke",
        "--at",
        "35-36",
        "--on",
        "2025-03-12",
    ]));
}

/// In the notation of the bench.
#[test]
fn units_are_named_in_the_notation_in_force() {
    let home = home();
    let run = |at: &str| {
        let args = [
            "--archive",
            "a.casepan",
            "--notation",
            "universal",
            "outcome",
            "T-1",
        ];
        home.run(
            &[
                &args[..],
                &["--what", "broke", "--at", at, "--on", "2026-01-14"],
            ]
            .concat(),
        )
    };
    let said = good(run("18"));
    assert!(said.contains(": 18 broke"), "{said}");
    let said = good(run("20-19"));
    assert!(said.contains(": 20-19 broke"), "{said}");
    refused(&run("37"), USAGE, &["--at: "]);
}

/// Only what went wrong goes on as another case, and only as one that has its tooth.
#[test]
fn what_cannot_go_on_is_refused_and_nothing_is_kept() {
    let home = home();
    home.file(
        "far.ron",
        CASE.replace("T-1", "T-4")
            .replace("35", "45")
            .replace("36", "46")
            .replace("37", "47")
            .replace("26", "16"),
    );
    good(home.run(&["--archive", "a.casepan", "archive", "import", "far.ron"]));
    let run =
        |args: &[&str]| home.run(&[&["--archive", "a.casepan", "outcome", "T-1"], args].concat());
    let broke = ["--what", "broke", "--at", "37", "--goes-on"];
    refused(
        &run(&[&broke[..], &["T-4"]].concat()),
        USAGE,
        &["case T-4 has no tooth of what came back"],
    );
    // T-2 was delivered long before it broke.
    let became = [
        "became",
        "T-2",
        "delivered",
        "--on",
        "2025-04-01",
        "--teeth",
        "35",
    ];
    good(home.run(&[&["--archive", "a.casepan"], &became[..]].concat()));
    refused(
        &run(&[&broke[..], &["T-2"]].concat()),
        USAGE,
        &["case T-2 was delivered before that day"],
    );
    refused(
        &run(&["--what", "quiet", "--goes-on", "T-2"]),
        USAGE,
        &["only what went wrong goes on"],
    );
    refused(
        &run(&["--what", "quiet", "--seen", "no"]),
        USAGE,
        &["could have been seen"],
    );
    assert!(good(run(&[])).ends_with("nothing is known yet\n"));
}
