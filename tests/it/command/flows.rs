//! Flows of the laboratory's own: made, checked, used, refused.

use super::{CANNOT_CREATE, CROWN, DATA, NO_INPUT, problems, refused};
use crate::support::Home;

/// Returns a home with a case and a flow directory of its own.
fn with_flow() -> Home {
    let home = Home::new();
    home.file("case.ron", CROWN);
    let output = home.run(&["flow", "new", "own"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    home
}

#[test]
fn a_new_flow_is_clean_and_judges_as_the_built_in_one() {
    let home = with_flow();
    let built_in = home.run(&["flow", "check"]);
    assert_eq!(built_in.code, Some(0), "{built_in:?}");
    assert!(built_in.stdout.contains("no problem"), "{built_in:?}");
    let output = home.run(&["flow", "check", "own"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    assert_eq!(output.stdout, built_in.stdout);
    assert_eq!(output.stderr, "");
    let own = home.run(&["--flow", "own", "judge", "case.ron", "--as", "json"]);
    let plain = home.run(&["judge", "case.ron", "--as", "json"]);
    assert_eq!(own.code, Some(0), "{own:?}");
    // The digest too: the files are the same.
    assert_eq!(own.stdout, plain.stdout);
    assert_eq!(home.run(&["flow", "facts"]).code, Some(0));
}

/// What the written files say of a fact of one's own can be taken out of them as it stands.
#[test]
fn a_new_flow_says_how_a_fact_of_ones_own_is_added() {
    let home = with_flow();
    let head = std::fs::read_to_string(home.path("own/flow.ron")).unwrap();
    let shown: Vec<&str> = head
        .lines()
        .filter_map(|line| line.strip_prefix("//     "))
        .collect();
    let end = shown.iter().position(|line| *line == "])").unwrap() + 1;
    let (facts, questions) = shown.split_at(end);
    assert!(
        facts[0].starts_with("Facts(") && questions[0].starts_with("Questions("),
        "{shown:?}"
    );
    home.file("own/own.ron", facts.join("\n"));
    home.file("own/own-question.ron", questions.join("\n"));
    let asked = head.replacen(
        "Ask(\"order.matches\")",
        "Ask(\"x.wax\"), Ask(\"order.matches\")",
        1,
    );
    assert_ne!(asked, head);
    home.file("own/flow.ron", &asked);
    home.file(
        "own/rules/own.ron",
        r#"Rules([(
            id: "wax-seen", at: Case, levels: [(Watch, Is("x.wax", Yes))], says: "a wax-up lies in the box",
            because: "It shows the shape.", source: "common-practice",
            examples: [Fires(Watch, [("x.wax", Yes)]), Silent([("x.wax", No)]), Open([("x.wax", NotSeen)])],
        )])"#,
    );
    let output = home.run(&["flow", "check", "own"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let facts = home.run(&["--flow", "own", "flow", "facts"]);
    assert!(facts.stdout.contains("x.wax"), "{facts:?}");
}

#[test]
fn a_new_flow_does_not_write_over_what_is_there() {
    let home = with_flow();
    let before = std::fs::read(home.path("own/flow.ron")).unwrap();
    let output = home.run(&["flow", "new", "own"]);
    refused(
        &output,
        CANNOT_CREATE,
        &["own already exists", "does not exist yet"],
    );
    assert_eq!(std::fs::read(home.path("own/flow.ron")).unwrap(), before);
    let output = home.run(&["flow", "new", "case.ron/below"]);
    refused(
        &output,
        CANNOT_CREATE,
        &["case.ron/below", "does not exist yet"],
    );
}

#[test]
fn directories_that_hold_no_flow() {
    let home = with_flow();
    std::fs::create_dir(home.path("empty")).unwrap();
    home.file("other/readme.txt", "Not a flow.");
    for (directory, what) in [
        ("nowhere", "nowhere cannot be read"),
        ("case.ron", "case.ron cannot be read"),
        ("empty", "empty holds no .ron file"),
        ("other", "other holds no .ron file"),
    ] {
        for args in [
            &["--flow", directory, "judge", "case.ron"][..],
            &["flow", "check", directory],
            &["--flow", directory, "flow", "check"],
            &["--flow", directory, "flow", "facts"],
        ] {
            let output = home.run(args);
            refused(&output, NO_INPUT, &[what, "casepan flow new DIR"]);
        }
    }
}

#[test]
fn a_broken_file_of_a_flow_is_told_with_its_place() {
    let home = with_flow();
    let path = "own/cements.ron";
    let text = std::fs::read_to_string(home.path(path)).unwrap();
    // The last closing bracket is gone.
    let end = text.rfind(']').unwrap();
    home.file(path, &text[..end]);
    let told = |output: &crate::support::Output| {
        refused(
            output,
            DATA,
            &["error[ron-", "cements.ron:", "^", "= help:"],
        );
        assert_eq!(problems(output), 1, "{output:?}");
    };
    told(&home.run(&["flow", "check", "own"]));
    told(&home.run(&["--flow", "own", "flow", "check"]));
    let output = home.run(&["--flow", "own", "judge", "case.ron"]);
    told(&output);
    assert!(
        output.stderr.contains("the flow in own cannot be used"),
        "{output:?}"
    );
    let output = home.run(&[
        "--flow",
        "own",
        "--archive",
        "a.casepan",
        "archive",
        "import",
        "case.ron",
    ]);
    told(&output);
    assert!(!home.path("a.casepan").exists());
}

/// What refers to the names of a broken file is not wrong itself.
#[test]
fn one_broken_file_or_row_is_one_problem() {
    for (name, _) in casepan::flow::EMBEDDED {
        let home = with_flow();
        home.file(&format!("own/{name}"), "Odd(");
        let output = home.run(&["flow", "check", "own"]);
        refused(&output, DATA, &[&format!("{name}:1:4"), "1 error, "]);
        assert_eq!(problems(&output), 1, "{output:?}");
    }
    let home = with_flow();
    home.file("own/sources.ron", b"\xff");
    let output = home.run(&["flow", "check", "own"]);
    refused(&output, DATA, &["sources.ron:1:1", "1 error, "]);
    assert_eq!(problems(&output), 1, "{output:?}");
    for (name, word) in [
        ("sources.ron", "status: "),
        ("instruments.ron", "step: "),
        ("materials.ron", "occlusal: "),
        ("cements.ron", "stress: "),
        ("questions/1-order.ron", "asks: "),
        ("rules/1-order.ron", "because: "),
    ] {
        let home = with_flow();
        let path = format!("own/{name}");
        let text = std::fs::read_to_string(home.path(&path)).unwrap();
        let odd = text.replacen(word, "odd: ", 1);
        assert!(odd != text, "{word} is not in {name}");
        home.file(&path, odd);
        let output = home.run(&["flow", "check", "own"]);
        refused(&output, DATA, &[&format!("{name}:"), "odd", "1 error, "]);
        assert_eq!(problems(&output), 1, "{output:?}");
    }
}

#[test]
fn a_wrong_name_in_a_flow_is_told_with_its_place() {
    let home = with_flow();
    let path = "own/rules/4-preps.ron";
    let text = std::fs::read_to_string(home.path(path)).unwrap();
    let line = text
        .lines()
        .position(|line| line.contains("\"tooth.undercut\""))
        .unwrap()
        + 1;
    home.file(
        path,
        text.replacen("\"tooth.undercut\"", "\"tooth.undercutt\"", 1),
    );
    let output = home.run(&["flow", "check", "own"]);
    let place = format!("rules/4-preps.ron:{line}:");
    refused(
        &output,
        DATA,
        &[&place, "did you mean", "tooth.undercut", "^^^"],
    );
}

#[test]
fn problems_as_json_parse_and_carry_the_place() {
    let home = with_flow();
    let output = home.run(&["flow", "check", "own", "--as", "json"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let told: serde_json::Value = serde_json::from_str(&output.stdout).unwrap();
    for list in [
        "problems",
        "missed_examples",
        "missing_examples",
        "remedy_faults",
    ] {
        assert_eq!(told[list], serde_json::json!([]), "{list}");
    }
    home.file("own/flow.ron", "Flow(\n  Head(id: \"own\"");
    let output = home.run(&["flow", "check", "own", "--as", "json"]);
    assert_eq!(output.code, Some(DATA), "{output:?}");
    let told: serde_json::Value = serde_json::from_str(&output.stdout).unwrap();
    let list = told["problems"].as_array().unwrap();
    assert!(!list.is_empty());
    for problem in list {
        for key in ["code", "severity", "file", "what", "why"] {
            assert!(problem[key].is_string(), "{key} of {problem}");
        }
        for key in ["line", "column"] {
            assert!(
                problem[key].as_u64().is_some_and(|n| n > 0),
                "{key} of {problem}"
            );
        }
        assert!(problem["help"].is_array(), "{problem}");
    }
    assert_eq!(list[0]["file"], "flow.ron");
    assert!(output.stderr.starts_with("casepan: "), "{output:?}");
    assert_eq!(output.stderr.lines().count(), 1, "{output:?}");
}

/// A rule that nothing shows is a warning: the flow can be worked with, and the exit code says so.
#[test]
fn a_rule_without_its_examples_is_warned_of() {
    let home = with_flow();
    let path = "own/rules/4-preps.ron";
    let text = std::fs::read_to_string(home.path(path)).unwrap();
    let open = "            Open([(\"tooth.class\", Choice(\"molar\"))]),\n";
    let rule = text.find("id: \"stump-short\"").unwrap();
    let at = rule + text[rule..].find(open).unwrap();
    let mut fewer = text.clone();
    fewer.replace_range(at..at + open.len(), "");
    home.file(path, &fewer);
    home.file(
        "own/rules/own.ron",
        r#"Rules([(
            id: "bare", at: Case, levels: [(Watch, Is("order.shade_given", No))], says: "no shade",
            because: "It is needed.", source: "common-practice",
        )])"#,
    );
    let line = fewer[..rule].lines().count();
    let wanted = [
        format!("rules/4-preps.ron:{line}: rule \"stump-short\" has no example that gives Open"),
        "rules/own.ron:2: rule \"bare\" has no example: nothing shows that it tells what it is meant to".to_owned(),
    ];
    let output = home.run(&["flow", "check", "own"]);
    assert_eq!(
        (output.code, output.stderr.as_str()),
        (Some(0), ""),
        "{output:?}"
    );
    let warnings: Vec<&str> = output
        .stdout
        .lines()
        .filter_map(|line| line.strip_prefix("warning: "))
        .collect();
    assert_eq!(warnings, wanted, "{output:?}");
    let output = home.run(&["flow", "check", "own", "--as", "json"]);
    assert_eq!(output.code, Some(0), "{output:?}");
    let told: serde_json::Value = serde_json::from_str(&output.stdout).unwrap();
    assert_eq!(told["missing_examples"], serde_json::json!(wanted));
    // Who looks at the rules sees it too.
    let output = home.run(&["--flow", "own", "rules"]);
    assert!(
        output.stdout.contains("2 rules lack examples"),
        "{output:?}"
    );
    // Nothing is said of the flow that comes with the program.
    let output = home.run(&["flow", "check"]);
    assert_eq!(output.stdout.lines().count(), 1, "{output:?}");
}

#[test]
fn an_example_that_misses_is_told() {
    let home = with_flow();
    let path = "own/rules/4-preps.ron";
    let text = std::fs::read_to_string(home.path(path)).unwrap();
    let turned = text.replacen(
        "Silent([(\"tooth.margin_seen\", Choice(\"all\"))])",
        "Fires(Hold, [(\"tooth.margin_seen\", Choice(\"all\"))])",
        1,
    );
    assert!(turned != text);
    home.file(path, turned);
    let output = home.run(&["flow", "check", "own"]);
    refused(
        &output,
        DATA,
        &[
            "1 failed example",
            "rule \"finish-line-lost\", example ",
            "expected Fires(Hold), got Silent",
            "Hold:",
            "Is(\"tooth.margin_seen\", Choice(\"over-2\")): no",
        ],
    );
    let turned = std::fs::read_to_string(home.path(path)).unwrap();
    let line = turned
        .lines()
        .position(|line| line.contains("Fires(Hold, [(\"tooth.margin_seen\", Choice(\"all\"))"))
        .unwrap()
        + 1;
    let place = format!("rules/4-preps.ron:{line}: rule");
    assert!(output.stderr.contains(&place), "{place}: {output:?}");
}

/// Two flows, told by what they mean; counted by hand.
#[test]
fn flows_are_compared_by_their_meaning() {
    let home = with_flow();
    let same = home.run(&["flow", "diff", "own"]);
    assert_eq!(same.code, Some(0), "{same:?}");
    assert!(same.stdout.ends_with("Nothing differs.\n"), "{same:?}");
    let edit = |path: &str, from: &str, to: &str| {
        let text = std::fs::read_to_string(home.path(path)).unwrap();
        let changed = text.replacen(from, to, 1);
        assert_ne!(changed, text, "{from}");
        home.file(path, changed);
    };
    // Other words alone.
    edit(
        "own/rules/4-preps.ron",
        "Resistance rises almost linearly",
        "Resistance grows almost linearly",
    );
    let words = home.run(&["flow", "diff", "own"]);
    assert!(
        words.stdout.contains("Rules stump-short: because"),
        "{words:?}"
    );
    assert!(words.stdout.contains("the version may stay"), "{words:?}");
    // A limit, a choice, a rule that is gone, a material.
    let molar = "All([Below(\"tooth.height_used\", Mm(2.5))";
    edit(
        "own/rules/4-preps.ron",
        molar,
        "All([Below(\"tooth.height_used\", Mm(2.8))",
    );
    edit(
        "own/rules/4-preps.ron",
        "\"mark the margin on the photo\"",
        "\"mark the margin on a photo\"",
    );
    edit(
        "own/materials.ron",
        "occlusal: Mm(0.7)",
        "occlusal: Mm(0.9)",
    );
    let told = home.run(&["flow", "diff", "own"]);
    assert_eq!(told.code, Some(0), "{told:?}");
    for says in [
        "fixed 3 → fixed 3",
        "levels Call: Below(\"tooth.height_used\", Mm(2.5)) → Mm(2.8)",
        "choices: mark the margin on the photo → mark the margin on a photo",
        "Materials",
        "occlusal: 0.7 → 0.9",
        "the version is 3 after 3: raise `version`",
    ] {
        assert!(told.stdout.contains(says), "{says}: {}", told.stdout);
    }
    assert!(!told.stdout.contains("Questions"), "{}", told.stdout);
    edit("own/flow.ron", "version: 3", "version: 4");
    let told = home.run(&["flow", "diff", "own", "--as", "json"]);
    let object: serde_json::Value = serde_json::from_str(&told.stdout).unwrap();
    assert_eq!(object["has_meaning"], true);
    assert_eq!(object["must_be_raised"], false);
    let rows = object["rows"].as_array().unwrap();
    let tables: Vec<_> = rows
        .iter()
        .map(|row| row["table"].as_str().unwrap())
        .collect();
    // The rule on short preps, and the one on margins.
    assert_eq!(tables, ["Rules", "Rules", "Materials"]);
    // What is new and what is gone, each way about.
    home.file(
        "own/ours.ron",
        "Terms([(id: \"ours\", at: Case, when: Is(\"order.shade_given\", No))])",
    );
    home.file(
        "own/rules/ours.ron",
        r#"Rules([(id: "ours", at: Case, levels: [(Watch, Term("ours"))], says: "No shade", because: "So.", source: "common-practice")])"#,
    );
    let there = home.run(&["flow", "new", "plain"]);
    assert_eq!(there.code, Some(0));
    let added = home.run(&["flow", "diff", "plain", "own"]);
    assert!(added.stdout.contains("\n  + ours\n"), "{added:?}");
    let gone = home.run(&["flow", "diff", "own", "plain"]);
    assert!(gone.stdout.contains("\n  - ours\n"), "{gone:?}");
    assert!(
        gone.stdout.contains("the version is 3 after 4: raise"),
        "{gone:?}"
    );
    refused(
        &home.run(&["flow", "diff", "own", "nowhere"]),
        NO_INPUT,
        &["nowhere cannot be read"],
    );
}

/// Whole cases with what is expected of them.
#[test]
fn whole_cases_are_held_against_what_is_expected() {
    let home = Home::new();
    let low = casepan::demo::CASES
        .iter()
        .find(|(name, _)| *name == "crown-26")
        .map(|(_, text)| text.replace("is: Mm(4.6)", "is: Mm(2.2)"))
        .unwrap();
    home.file("cases/low.ron", &low);
    home.file(
        "cases/low.expected",
        "// A short molar.\nExpected(\n    results: [(\"R1\", Call)],\n    fires: [(\"stump-short\", \"26\", Call)],\n    silent: [\"finish-line-lost\"],\n)\n",
    );
    let run = || home.run(&["flow", "test", "cases"]);
    let output = run();
    assert_eq!(
        (output.code, &output.stdout[..]),
        (Some(0), "1 case, all as expected\n"),
        "{output:?}"
    );
    // Each thing that is not so is told at its place.
    home.file(
        "cases/low.expected",
        "Expected(\n    results: [(\"R1\", Fine), (\"R2\", Call)],\n    fires: [(\"stump-short\", \"26\", Hold), (\"grip\", \"27\", Call)],\n    silent: [\"stump-short\", \"stump-shor\"],\n    open: [\"finish-line-lost\"],\n)\n",
    );
    let output = run();
    refused(
        &output,
        DATA,
        &[
            "low.expected:2:22",
            "R1 is call, expected nothing found",
            "the case has no restoration \"R2\"",
            "low.expected:3:35",
            "rule \"stump-short\" gives Call at 26, expected: Hold at 26",
            "the case has no place \"27\"",
            "expected: silent everywhere",
            "did you mean \"stump-short\"?",
            "rule \"finish-line-lost\" is silent everywhere, expected: open",
            "1 of 1 case not as expected",
        ],
    );
    assert_eq!(problems(&output), 7, "{output:?}");
    let object: serde_json::Value = {
        let output = home.run(&["flow", "test", "cases", "--as", "json"]);
        assert_eq!(output.code, Some(DATA));
        serde_json::from_str(&output.stdout).unwrap()
    };
    assert_eq!(object["cases"][0]["as_expected"], false);
    assert_eq!(object["cases"][0]["problems"].as_array().unwrap().len(), 7);
    // Files that cannot be read, that expect nothing, or that stand alone.
    for (name, text, says) in [
        ("cases/low.expected", "Expected()", "nothing is expected of"),
        (
            "cases/low.expected",
            "Expected(results: [(\"R1\", Cal)])",
            "`Call`",
        ),
        ("cases/low.expected", "Expected(odd: [])", "odd"),
        (
            "cases/alone.expected",
            "Expected()",
            "alone.ron does not exist",
        ),
        (
            "cases/bare.ron",
            &low[..],
            "bare.expected is missing or says nothing",
        ),
        ("cases/odd.ron", "Odd(", "odd.expected"),
    ] {
        home.file(name, text);
        refused(&run(), DATA, &[says]);
    }
    home.file("cases/odd.expected", "Expected(silent: [\"grip\"])");
    refused(&run(), DATA, &["odd.ron:1:4"]);
    refused(
        &home.run(&["flow", "test", "gone"]),
        NO_INPUT,
        &["gone cannot be read"],
    );
    std::fs::create_dir(home.path("empty")).unwrap();
    refused(
        &home.run(&["flow", "test", "empty"]),
        NO_INPUT,
        &["holds no case file"],
    );
}

/// A case file that was written for another version of the flow is judged by the present one, and that is said.
#[test]
fn another_version_of_the_flow_is_told() {
    let home = Home::new();
    home.file("old.ron", CROWN.replace("version: 3", "version: 2"));
    for args in [
        &["judge", "old.ron"][..],
        &["--archive", "a.casepan", "archive", "import", "old.ron"],
    ] {
        let output = home.run(args);
        assert_eq!(output.code, Some(0), "{output:?}");
        let note = "note: old.ron was written for version 2 of the flow \"fixed\"; it is judged by version 3\n";
        assert_eq!(output.stderr, note);
    }
    home.file("now.ron", CROWN);
    assert_eq!(home.run(&["judge", "now.ron"]).stderr, "");
}

/// What is no file might never end: a device among the files of a flow is refused at once, by every command that reads one.
#[cfg(unix)]
#[test]
fn a_device_among_the_files_of_a_flow_is_refused() {
    let home = with_flow();
    std::os::unix::fs::symlink("/dev/zero", home.path("own/zz.ron")).unwrap();
    for args in [
        &["flow", "check", "own"][..],
        &["flow", "diff", "own"],
        &["--flow", "own", "flow", "facts"],
    ] {
        let output = home.run(args);
        assert_eq!(output.code, Some(NO_INPUT), "{args:?} {output:?}");
        assert!(
            output.stderr.contains("zz.ron is not a regular file"),
            "{output:?}"
        );
    }
}
