//! What `judge` prints: kept prints, JSON, and outputs that fail.

use std::path::Path;

use serde_json::Value;

use super::CROWN;
#[cfg(unix)]
use super::IO;
use crate::support::Home;

/// The cases of the directory `demo`.
const DEMOS: [&str; 4] = [
    "bridge-44-46",
    "cantilever-12-13",
    "crown-26",
    "remake-35-37",
];

fn demo(name: &str) -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("demo")
        .join(name);
    path.display().to_string()
}

#[track_caller]
fn judged(home: &Home, args: &[&str]) -> String {
    let output = home.run(args);
    assert_eq!(output.code, Some(0), "{args:?} {output:?}");
    assert_eq!(output.stderr, "", "{args:?}");
    output.stdout
}

/// A print as of one morning, whenever it was made.
fn at_nine(print: &str) -> String {
    let (_, after) = print.split_once("Printed ").expect("a time of printing");
    let (time, _) = after.split_once('.').expect("a sentence");
    let (day, minute) = time.split_once(", ").expect("a day and a minute");
    let digits = |part: &str| part.len() == 2 && part.chars().all(|c| c.is_ascii_digit());
    assert!(minute.split(':').all(digits), "{time}");
    let mut text = print.replace(time, "Fri 27 Nov 2026, 09:00");
    for (before, behind) in [("\n", "\n"), ("<p>", "</p>")] {
        let letters = format!("{before}{day}{behind}");
        text = text.replace(&letters, &format!("{before}Fri 27 Nov 2026{behind}"));
    }
    text
}

/// The prints of `demo/prints` are what the program prints. `UPDATE_PRINTS=1 cargo test` writes them anew; look at
/// the difference before it is kept.
#[test]
fn the_prints_of_the_demo_cases_are_kept() {
    let home = Home::new();
    let mut differ = Vec::new();
    for name in DEMOS {
        for (format, sheets, ending) in [
            ("text", &[][..], ".txt"),
            ("markdown", &[], ".md"),
            ("text", &["letter", "ticket", "seating"], "-made.txt"),
            (
                "html",
                &["summary", "call", "letter", "ticket", "seating"],
                ".html",
            ),
        ] {
            // One page for the browser is enough to look at.
            if format == "html" && name != "bridge-44-46" {
                continue;
            }
            let file = demo(&format!("{name}.ron"));
            let mut args = vec!["judge", &file, "--as", format];
            args.extend(sheets.iter().flat_map(|sheet| ["--sheet", *sheet]));
            let now = at_nine(&judged(&home, &args));
            let kept = demo(&format!("prints/{name}{ending}"));
            if std::env::var_os("UPDATE_PRINTS").is_some_and(|value| value == "1") {
                std::fs::create_dir_all(demo("prints")).unwrap();
                std::fs::write(&kept, &now).unwrap();
            } else if std::fs::read_to_string(&kept).unwrap_or_default() != now {
                differ.push(kept);
            }
        }
    }
    assert!(
        differ.is_empty(),
        "not as printed now (UPDATE_PRINTS=1 cargo test writes them): {differ:?}"
    );
}

/// A print is read on paper and in plain mail: 78 columns, no control characters.
#[test]
fn text_prints_are_plain_and_narrow() {
    let home = Home::new();
    for name in DEMOS {
        let file = demo(&format!("{name}.ron"));
        let mut args = vec!["judge", &file];
        args.extend(
            ["summary", "call", "letter", "ticket", "seating"]
                .iter()
                .flat_map(|sheet| ["--sheet", *sheet]),
        );
        let text = judged(&home, &args);
        for line in text.lines() {
            assert!(line.chars().count() <= 78, "{line}");
            assert!(!line.contains(char::is_control), "{line:?}");
        }
        assert!(text.ends_with('\n'));
    }
}

/// Sheets come in the order in which they are named, each once.
#[test]
fn sheets_come_as_they_are_named() {
    let home = Home::new();
    let file = demo("crown-26.ron");
    let text = judged(
        &home,
        &[
            "judge", &file, "--sheet", "seating", "--sheet", "ticket", "--sheet", "seating",
        ],
    );
    let titles: Vec<&str> = text
        .lines()
        .zip(text.lines().skip(1))
        .filter(|(_, under)| under.starts_with("==="))
        .map(|(title, _)| title)
        .collect();
    assert_eq!(
        titles,
        [
            "Seating notes, case D-0926: CLEARED TO MAKE",
            "Work ticket, case D-0926: CLEARED TO MAKE"
        ]
    );
    let output = home.run(&["judge", &file, "--sheet", "bench"]);
    assert_eq!(output.code, Some(super::USAGE), "{output:?}");
    assert!(output.stderr.contains("ticket"), "{output:?}");
}

#[test]
fn prints_do_not_hang_on_the_environment() {
    let plain = Home::new();
    let file = demo("bridge-44-46.ron");
    // The minute of printing may pass between two runs.
    let judged = |home: &Home, args: &[&str]| {
        let text = judged(home, args);
        let lines = text.lines().filter(|line| !line.starts_with("Printed "));
        lines.map(str::to_owned).collect::<Vec<_>>()
    };
    let wanted = judged(&plain, &["judge", &file]);
    for home in [
        Home::new().with("COLUMNS", "20"),
        Home::new()
            .with("LANG", "de_DE.UTF-8")
            .with("LC_ALL", "tr_TR.UTF-8"),
        Home::new().with("TZ", "Pacific/Kiritimati"),
        Home::new().with("CLICOLOR_FORCE", "1"),
    ] {
        assert_eq!(judged(&home, &["judge", &file]), wanted);
    }
    assert_eq!(
        judged(&plain, &["--color", "always", "judge", &file]),
        wanted
    );
}

#[test]
fn json_has_its_keys_and_agrees_with_the_text() {
    let home = Home::new();
    for name in DEMOS {
        let file = demo(&format!("{name}.ron"));
        let object: Value =
            serde_json::from_str(&judged(&home, &["judge", &file, "--as", "json"])).unwrap();
        for key in [
            "format",
            "case",
            "flow",
            "engine",
            "verdict",
            "findings",
            "open_points",
            "derived",
            "options",
            "call",
        ] {
            assert!(object.get(key).is_some(), "{key} of {name}");
        }
        assert_eq!(object["format"], 3);
        assert_eq!(object["engine"], env!("CARGO_PKG_VERSION"));
        assert_eq!(object["flow"]["id"], "fixed");
        let text = judged(&home, &["judge", &file]);
        assert!(text.contains(object["case"].as_str().unwrap()), "{text}");
        for finding in object["findings"].as_array().unwrap() {
            assert!(
                finding["source"]["words"]
                    .as_str()
                    .is_some_and(|s| !s.is_empty()),
                "{finding}"
            );
            // The worst level of the findings is the verdict's.
            assert!(finding["level"].is_string(), "{finding}");
        }
        for way in object["options"].as_array().unwrap() {
            let ranked = way["rank"].is_number();
            let laboratory = way["by"] == "laboratory" && way["barred"].is_null();
            assert_eq!(
                ranked, laboratory,
                "only what the laboratory can do is ranked: {way}"
            );
            for key in [
                "id",
                "at",
                "verdict",
                "changes",
                "tooth_cut_mm3",
                "price",
                "source",
            ] {
                assert!(way.get(key).is_some(), "{key} in {way}");
            }
        }
        let order = ["fine", "watch", "call", "hold"];
        assert_ne!(
            object["verdict"]["level"], "open",
            "something is found in {name}"
        );
        let rank = |level: &Value| order.iter().position(|l| level == l).unwrap();
        let worst = object["findings"]
            .as_array()
            .unwrap()
            .iter()
            .map(|f| rank(&f["level"]))
            .max();
        assert_eq!(
            worst.unwrap_or(0),
            rank(&object["verdict"]["level"]),
            "{name}"
        );
    }
}

#[test]
fn notations_change_the_words_and_not_the_json() {
    let home = Home::new();
    let file = demo("crown-26.ron");
    let json = judged(&home, &["judge", &file, "--as", "json"]);
    let universal = ["--notation", "universal", "judge", &file];
    // ISO 3950 26 is 14 in the Universal system (ADA): upper left first molar.
    let text = judged(&home, &universal);
    assert!(text.contains("14"), "{text}");
    assert_ne!(text, judged(&home, &["judge", &file]));
    let places = |text: &str| {
        let object: Value = serde_json::from_str(text).unwrap();
        object["derived"]
            .as_array()
            .unwrap()
            .iter()
            .map(|f| f["at"].clone())
            .collect::<Vec<_>>()
    };
    let there = judged(&home, &[&universal[..], &["--as", "json"]].concat());
    assert_eq!(places(&there), places(&json));
}

#[test]
fn help_and_version_go_to_the_output() {
    let home = Home::new();
    let help = judged(&home, &["--help"]);
    assert!(help.contains("64 usage: invalid arguments"), "{help}");
    for command in ["demo", "open", "judge", "print", "flow", "archive"] {
        assert!(help.contains(command), "{command}");
        judged(&home, &[command, "--help"]);
    }
    let version = judged(&home, &["--version"]);
    assert_eq!(version, format!("casepan {}\n", env!("CARGO_PKG_VERSION")));
}

/// A device that is always full.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let home = Home::new();
    home.file("case.ron", CROWN);
    for command in [
        "judge case.ron",
        "judge case.ron --as json",
        "flow facts",
        "flow check",
        "flow check --as json",
    ] {
        let output = home.shell(&format!("\"$casepan\" {command} > /dev/full"));
        assert_eq!(output.code, Some(IO), "{command} {output:?}");
        let lines = output.stderr.lines().count();
        assert!((1..=2).contains(&lines), "{command} {output:?}");
        assert!(output.stderr.contains("space"), "{command} {output:?}");
    }
    let output = home.shell("\"$casepan\" --help > /dev/full");
    assert_eq!(output.code, Some(IO), "{output:?}");
}

/// Whoever wanted no more is not told that there is more.
#[cfg(unix)]
#[test]
fn a_closed_pipe_ends_quietly() {
    let home = Home::new();
    let file = demo("bridge-44-46.ron");
    for command in [&format!("judge '{file}' --as json"), "flow facts"] {
        // The reader is gone before the program writes.
        let line = format!(
            "{{ sleep 1; \"$casepan\" {command}; echo $? > code; }} | true; while ! [ -s code ]; do sleep 0.1; done"
        );
        let output = home.shell(&line);
        assert_eq!(output.stderr, "", "{command}");
        let code = std::fs::read_to_string(home.path("code")).unwrap();
        assert_eq!(code.trim(), IO.to_string(), "{command}");
        std::fs::remove_file(home.path("code")).unwrap();
    }
    let line = "\"$casepan\" flow facts | head -c 1";
    let output = home.shell(line);
    assert_eq!((output.stdout.len(), output.stderr.as_str()), (1, ""));
}
