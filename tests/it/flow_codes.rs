//! Every code of the flow's check is provoked, at the place it names.

use std::collections::BTreeSet;

use casepan::flow::{CODES, load};
use casepan::ronfile::Source;

/// A flow without a problem, in two files.
const HEAD: &str = r#"Flow((id: "t", version: 1, title: "Trial", steps: [
    (id: "one", title: "One", blocks: [Ask("order.scope"), Grid((title: "Stumps", rows: ["tooth.height"], enter: Down))]),
]))"#;
const REST: [(&str, &str); 7] = [
    (
        "sources.ron",
        r#"Sources([(id: "ours", text: "Ours", status: Ours)])"#,
    ),
    (
        "instruments.ron",
        r#"Instruments([(id: "caliper", name: "caliper", step: Mm(0.1), source: "ours")])"#,
    ),
    (
        "questions.ron",
        r#"Questions([
    (fact: "order.scope", asks: "What?", look: "There.", why: "So.", source: "ours"),
    (fact: "tooth.height", asks: "How high?", look: "There.", why: "So.", with: [("caliper", Mm(0.2))], source: "ours"),
])"#,
    ),
    (
        "materials.ron",
        r#"Materials([(id: "glass", name: "glass", modulus_gpa: 95.0, occlusal: Mm(1), axial: Mm(1), margin_depth: Mm(1),
    margins: ["chamfer"], most_units: 1, replaces_molar: false, cantilever: false, source: "ours")])"#,
    ),
    (
        "cements.ron",
        r#"Cements([(id: "resin", name: "resin", stress: Mpa(5), water_based: false, dry_field: true, primer: true, source: "ours")])"#,
    ),
    ("rules.ron", r#"Rules([])"#),
    ("facts.ron", r#"Facts([])"#),
];

fn files(change: &[(&str, &str)]) -> Vec<Source> {
    let mut files: Vec<(&str, &str)> = vec![("flow.ron", HEAD)];
    files.extend(REST);
    for (name, text) in change {
        match files.iter_mut().find(|(known, _)| known == name) {
            Some(file) => file.1 = text,
            None => files.push((name, text)),
        }
    }
    files.sort();
    files
        .iter()
        .map(|(name, text)| Source::new(*name, *text))
        .collect()
}

/// An option, with its place and verb.
fn option(body: &str) -> String {
    format!(
        "Options([\n(id: \"w\", by: Dentist, does: \"do\", answers: [], price: \"none\", days: 0, source: \"ours\", {body}),\n])"
    )
}

/// A way to the seat with these steps, one of them marked.
fn seating(id: &str, must: &str, steps: &[&str]) -> String {
    let steps: Vec<String> = steps
        .iter()
        .map(|step| match step.strip_prefix('«') {
            Some(step) => {
                format!("(treatment: «{step}, by: Chair, does: \"So.\", source: \"ours\")")
            }
            None => format!("(treatment: {step}, by: Chair, does: \"So.\", source: \"ours\")"),
        })
        .collect();
    format!(
        "(id: {id}, name: \"s\", materials: [\"glass\"], cements: [\"resin\"], must: [{must}], never: [(Abrade, \"No.\")], steps: [\n{}\n])",
        steps.join(",\n")
    )
}

fn seatings(rows: &[String]) -> String {
    format!("Seatings([\n{}\n])", rows.join(",\n"))
}

fn rule(body: &str) -> String {
    format!(
        "Rules([\n    (id: \"r\", says: \"{{tooth}} is low\", because: \"So.\", source: \"ours\", {body}),\n])"
    )
}

#[test]
fn the_trial_flow_has_no_problem() {
    let loaded = load(files(&[]));
    assert_eq!(loaded.problems, Vec::new());
    assert_eq!(loaded.flow.expect("a flow").questions.len(), 2);
}

#[test]
fn every_code_is_provoked_at_its_place() {
    let watch = |condition: &str| rule(&format!("at: Abutment, levels: [(Watch, {condition})]"));
    let cases: Vec<(&str, &str, String, &str)> = vec![
        ("flow-bounds", "rules.ron", watch(r#"Below("tooth.height", «Mm(99))"#), ""),
        (
            "flow-bounds",
            "materials.ron",
            REST[3].1.replace("occlusal: Mm(1)", "occlusal: «Mm(0.07)"),
            "Mm(0.2) to Mm(4)",
        ),
        ("flow-choice", "rules.ron", watch(r#"Is("tooth.core", «Choice("pst"))"#), "did you mean \"post\"?"),
        (
            "flow-connectors",
            "materials.ron",
            REST[3].1.replace("most_units", "connectors: «(front: [Mm2(7)], back: [Mm2(9), Mm2(8)], joint_front: Mm2(7), joint_back: Mm2(9), source: \"ours\"), most_units"),
            "connectors: (front",
        ),
        ("flow-fact", "rules.ron", watch(r#"Below(«"tooth.hieght", Mm(3))"#), "did you mean \"tooth.height\"?"),
        (
            "flow-fact-kind",
            "facts.ron",
            r#"Facts([(id: «"wax", at: Case, kind: YesNo, label: "wax", sentence: "Wax.")])"#.to_owned(),
            "",
        ),
        (
            "flow-short",
            "shorts.ron",
            r#"Shorts([Short("order.make", "remake", «"made once more, whole")])"#.to_owned(),
            "at most 16",
        ),
        (
            "flow-short",
            "shorts.ron",
            r#"Shorts([Short("order.make", "remake", "anew"), Short("order.make", "remake", «"again")])"#.to_owned(),
            "remove one",
        ),
        (
            "flow-short",
            "shorts.ron",
            r#"Shorts([Short("order.scope", "denture", "other"), Short("order.scope", "implant", «"other")])"#.to_owned(),
            "tell the two apart",
        ),
        (
            "flow-choice",
            "shorts.ron",
            r#"Shorts([Short("order.make", «"made-anew", "anew")])"#.to_owned(),
            "first",
        ),
        (
            "flow-choice",
            "shorts.ron",
            r#"Shorts([Short(«"order.shade_given", "yes", "y")])"#.to_owned(),
            "choices",
        ),
        ("flow-fact-place", "rules.ron", watch(r#"Below(«"wall.height", Mm(3))"#), "AnyAt(Wall"),
        (
            "flow-id-twice",
            "sources.ron",
            "Sources([(id: \"ours\", text: \"Ours\", status: Ours),\n(id: «\"ours\", text: \"Ours\", status: Ours)])".to_owned(),
            "sources.ron:1",
        ),
        (
            "flow-levels",
            "rules.ron",
            rule(r#"at: Abutment, asks: "A or b?", levels: «[(Watch, Below("tooth.height", Mm(3))), (Call, Below("tooth.height", Mm(2)))]"#),
            "worst",
        ),
        (
            "flow-limit-source",
            "rules.ron",
            "Rules([(id: «\"r\", at: Abutment, levels: [(Watch, Below(\"tooth.height\", Mm(3)))], says: \"x\", because: \"So.\", source: \"ours\")])".to_owned(),
            "limits: [(Call",
        ),
        (
            "flow-no-ask",
            "rules.ron",
            "Rules([(id: «\"r\", at: Abutment, levels: [(Call, Below(\"tooth.height\", Mm(3)))], says: \"x\", because: \"So.\", source: \"ours\")])".to_owned(),
            "asks",
        ),
        ("flow-no-head", "flow.ron", "Facts([])".to_owned(), "Flow("),
        ("flow-not-a-number", "rules.ron", watch(r#"Below(«"tooth.core", Mm(3))"#), "Is or OneOf"),
        (
            "flow-not-asked",
            "flow.ron",
            HEAD.replace(r#"Ask("order.scope"), "#, ""),
            "",
        ),
        ("flow-not-finite", "rules.ron", watch(r#"Below("tooth.height", «Mm(NaN))"#), "plain number"),
        ("flow-place-kind", "rules.ron", watch(r#"AnyAt(«Restoration, Is("order.make", Choice("first")))"#), ""),
        (
            "flow-placeholder",
            "rules.ron",
            "Rules([(id: \"r\", at: Abutment, levels: [(Watch, Below(\"tooth.height\", Mm(3)))], says: «\"{connector.area}\", because: \"So.\", source: \"ours\")])".to_owned(),
            "{tooth}",
        ),
        ("flow-question", "flow.ron", HEAD.replace(r#"Ask("order.scope")"#, r#"Ask("order.scope"), Ask(«"order.matches")"#), ""),
        (
            "flow-foretells",
            "rules.ron",
            rule(r#"at: Abutment, foretells: [CameOff, «Quiet], levels: [(Watch, Is("tooth.core", Choice("post")))]"#),
            "any of CameOff",
        ),
        (
            "flow-foretells",
            "rules.ron",
            rule(r#"at: Abutment, foretells: [Broke, «Broke], levels: [(Watch, Is("tooth.core", Choice("post")))]"#),
            "each once",
        ),
        (
            "flow-choices",
            "rules.ron",
            rule(r#"at: Abutment, tells: «"So it is.", levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "asks",
        ),
        (
            "flow-choices",
            "rules.ron",
            rule(r#"at: Abutment, choices: «["one", "two"], levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "own words",
        ),
        (
            "flow-choices",
            "rules.ron",
            rule(r#"at: Abutment, asks: "One or two?", choices: «["one"], levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "own words",
        ),
        (
            "flow-choices",
            "rules.ron",
            rule(r#"at: Abutment, asks: "One or two?", choices: «["one", "one"], levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "own words",
        ),
        (
            "flow-question-mark",
            "rules.ron",
            rule(r#"at: Abutment, asks: «"Do it.", levels: [(Call, Below("tooth.height", Mm(3)))]"#),
            "question mark",
        ),
        (
            "flow-question-mark",
            "rules.ron",
            rule(r#"at: Abutment, asks_back: «"Once more.", levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "question mark",
        ),
        (
            "flow-placeholder",
            "rules.ron",
            rule(r#"at: Abutment, asks_back: «"{nothing}?", levels: [(Watch, Below("tooth.height", Mm(3)))]"#),
            "tooth",
        ),
        (
            "flow-reference",
            "instruments.ron",
            r#"Instruments([(id: "caliper", name: "caliper", step: Mm(0.1), source: «"our")])"#.to_owned(),
            "did you mean \"ours\"?",
        ),
        // A coat comes after what would take it off, saliva is cleaned away, nothing follows the seat, no row bars itself,
        // and what a bond cannot do without is there.
        ("flow-seating-order", "seating.ron", seatings(&[seating("\"s\"", "", &["Silane", "«TryIn", "Clean", "Seat"])]), "order"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("\"s\"", "", &["Primer", "«Etch", "Seat"])]), "order"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("\"s\"", "", &["TryIn", "«Seat"])]), "order"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("\"s\"", "", &["Seat", "«Dry"])]), "order"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("\"s\"", "", &["«Abrade", "Seat"])]), "order"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("«\"s\"", "Etch", &["Clean", "Seat"])]), "must"),
        ("flow-seating-order", "seating.ron", seatings(&[seating("«\"s\"", "", &["Clean"])]), "must"),
        // A row of seating names steps and groups, and a wrong name is told at its place.
        (
            "flow-reference",
            "seating.ron",
            seatings(&[seating("\"s\"", "", &["Seat"]).replace("(treatment: Seat, by: Chair, does: \"So.\", source: \"ours\")", "«\"seat\"")]),
            "no seating step",
        ),
        (
            "flow-reference",
            "groups.ron",
            "Groups([(id: \"g\", materials: [«\"glas\"])])".to_owned(),
            "did you mean \"glass\"?",
        ),
        (
            "flow-seating-twice",
            "seating.ron",
            seatings(&[seating("\"s\"", "", &["Seat"]), seating("«\"t\"", "", &["Seat"])]),
            "pair",
        ),
        (
            "flow-option",
            "options.ron",
            option("at: Abutment, verb: «Deepen(on: EachWall, step: Mm(0), most: Mm(2))"),
            "changes something",
        ),
        (
            "flow-option",
            "options.ron",
            option("at: Case, verb: Say").replace("id: ", "id: «"),
            "name topics",
        ),
        ("flow-option", "options.ron", option("at: Case, verb: «Groove(Proximal)"), "at: Abutment"),
        ("flow-option", "options.ron", option("at: Abutment, verb: Set([(«\"tooth.base\", Mm(3))])"), "computed from"),
        ("flow-option", "options.ron", option("at: Abutment, verb: «Set([])"), "name facts"),
        ("flow-option", "options.ron", option("at: Abutment, verb: «Each(\"tooth.height\")"), "name a fact"),
        // A term for walls of a prep does not mean the same from one wall.
        (
            "flow-fact-place",
            "terms.ron",
            "Terms([(id: \"t\", at: Wall, when: Above(«\"connector.area\", Mm2(1)))])".to_owned(),
            "",
        ),
        (
            "flow-too-long",
            "instruments.ron",
            format!("Instruments([(id: \"caliper\", name: «\"{}\", step: Mm(0.1), source: \"ours\")])", "c".repeat(45)),
            "shorter",
        ),
        (
            "flow-no-text",
            "instruments.ron",
            "Instruments([(id: \"caliper\", name: «\" \", step: Mm(0.1), source: \"ours\")])".to_owned(),
            "write",
        ),
        (
            "flow-two-heads",
            "second.ron",
            r#"Flow(«(id: "u", version: 1, title: "Second", steps: []))"#.to_owned(),
            "flow.ron",
        ),
        ("flow-type", "rules.ron", watch(r#"Below("tooth.height", «Deg(3))"#), "Mm"),
    ];
    let mut provoked = BTreeSet::new();
    for (code, file, marked, help) in &cases {
        // The place is marked by hand in the text; the code may also name a place in another file, unmarked.
        let place = marked.find('«');
        let text = marked.replace('«', "");
        let loaded = load(files(&[(file, &text)]));
        let here = |problem: &&casepan::ronfile::Diagnostic| {
            place.is_none_or(|place| problem.span.start == place)
        };
        let of_code = || {
            loaded
                .problems
                .iter()
                .filter(|problem| problem.code == *code)
        };
        let problem = of_code()
            .find(here)
            .or_else(|| of_code().next())
            .unwrap_or_else(|| panic!("{code} was not provoked: {:?}", loaded.problems));
        if let Some(place) = place {
            assert_eq!(problem.file, *file, "{code}");
            let before = &text[..place];
            let line = before.matches('\n').count() + 1;
            let column = before.rsplit('\n').next().unwrap_or("").chars().count() + 1;
            assert_eq!(
                (problem.line, problem.column),
                (line, column),
                "{code}: {problem:?}"
            );
        }
        assert!(
            problem.help.iter().any(|text| text.contains(help)),
            "{code}: {:?}",
            problem.help
        );
        assert!(
            !problem.help.is_empty() && !problem.what.is_empty(),
            "{code} says what to do"
        );
        provoked.insert(*code);
    }
    let known: BTreeSet<&str> = CODES.iter().map(|(code, _)| *code).collect();
    assert_eq!(provoked, known);
}

/// A term means what it says wherever it may be used, and is refused where it would mean something else.
#[test]
fn a_term_stands_for_its_condition() {
    let terms = |at: &str, when: &str| format!("Terms([(id: \"low\", at: {at}, when: {when})])");
    let using = |at: &str| {
        rule(&format!(
            "at: {at}, levels: [(Watch, Term(\"low\"))], limits: [(Watch, \"ours\")]"
        ))
    };
    let plain = terms("Abutment", r#"Below("tooth.height", Mm(3))"#);
    let counting = terms("Abutment", r#"AnyAt(Wall, Below("wall.height", Mm(3)))"#);
    let tried =
        |terms: &str, rules: &str| load(files(&[("terms.ron", terms), ("rules.ron", rules)]));
    for (terms, at) in [
        (&plain, "Abutment"),
        (&plain, "Wall"),
        (&counting, "Abutment"),
    ] {
        let loaded = tried(terms, &using(at));
        assert_eq!(loaded.problems, Vec::new(), "{at}");
        let written = tried(
            "Terms([])",
            &rule(&format!(
                "at: {at}, limits: [(Watch, \"ours\")], levels: [(Watch, {})]",
                terms
                    .split_once("when: ")
                    .expect("a term")
                    .1
                    .trim_end_matches(")])")
            )),
        );
        let levels =
            |loaded: casepan::flow::Loaded| loaded.flow.expect("a flow").rules[0].levels.clone();
        // A condition on walls written out at a wall would not be allowed, so only the rule's own place is compared.
        assert_eq!(levels(loaded), levels(written), "{at}");
    }
    for (terms, at, code) in [
        (&counting, "Wall", "flow-fact-place"),
        (&plain, "Restoration", "flow-fact-place"),
        (&"Terms([])".to_owned(), "Abutment", "flow-reference"),
    ] {
        let codes: Vec<&str> = tried(terms, &using(at))
            .problems
            .iter()
            .map(|p| p.code)
            .collect();
        assert_eq!(codes, [code], "{at}");
    }
}

/// A row that names its steps and a group of materials is the row that writes all of it out.
#[test]
fn named_steps_and_groups_stand_for_what_they_name() {
    let written = seatings(&[seating("\"s\"", "Seat", &["TryIn", "Clean", "Seat"])]);
    let step = |id: &str, treatment: &str| {
        format!(
            "(id: \"{id}\", treatment: {treatment}, by: Chair, does: \"So.\", source: \"ours\")"
        )
    };
    let steps = format!(
        "Steps([{}, {}])",
        step("try", "TryIn"),
        step("seat", "Seat")
    );
    let named = "Seatings([(id: \"s\", name: \"s\", materials: [\"all\"], cements: [\"resin\"], must: [Seat], steps: [
        \"try\", (treatment: Clean, by: Chair, does: \"So.\", source: \"ours\"), \"seat\",
    ])])";
    let groups = "Groups([(id: \"all\", materials: [\"glass\"], never: [(Abrade, \"No.\")])])";
    let seatings = |change: &[(&str, &str)]| {
        let loaded = load(files(change));
        assert_eq!(loaded.problems, Vec::new());
        loaded.flow.expect("a flow").seatings
    };
    assert_eq!(
        seatings(&[("seating.ron", &written)]),
        seatings(&[
            ("groups.ron", groups),
            ("steps.ron", &steps),
            ("seating.ron", named),
        ]),
    );
}

/// A kind that does not exist is told where it stands, with the one that was meant.
#[test]
fn a_misspelt_outcome_is_told_where_it_stands() {
    let body =
        r#"at: Abutment, foretells: [CamOff], levels: [(Watch, Is("tooth.core", Choice("post")))]"#;
    let loaded = load(files(&[("rules.ron", &rule(body))]));
    let [problem] = &loaded.problems[..] else {
        panic!("{:?}", loaded.problems);
    };
    let said = format!("{} {}", problem.what, problem.help.join(" "));
    assert!(said.contains("CameOff"), "{said}");
    assert_eq!(problem.line, 2);
    assert!(loaded.flow.is_none());
}

/// A comma before which nothing stands is one wherever it is in a list of rows.
#[test]
fn a_comma_too_many_is_told_as_one() {
    for text in ["Rules([,])", "Rules([, ()])", "Rules([\n    ,\n])"] {
        let loaded = load(files(&[("rules.ron", text)]));
        let codes: Vec<_> = loaded.problems.iter().map(|own| own.code).collect();
        assert_eq!(codes, ["ron-extra-comma"], "{text}: {:?}", loaded.problems);
    }
}

/// What names a rule or a condition that has a fault of its own is not wrong.
#[test]
fn what_follows_from_a_fault_is_not_told() {
    let terms = r#"Terms([(id: "low", at: Abutment, when: Below("tooth.hieght", Mm(3)))])"#;
    let uses = |condition: &str| {
        let body = format!("at: Abutment, topic: \"stump\", levels: [(Watch, {condition})]");
        rule(&body)
    };
    let norms =
        r#"Norms([(beside: ["r", "stump"], at: Abutment, says: "Usual.", source: "ours")])"#;
    let problems = |change: &[(&str, &str)]| -> Vec<(String, &'static str)> {
        let loaded = load(files(change));
        let problems = loaded.problems.into_iter();
        problems.map(|own| (own.file, own.code)).collect()
    };
    let rules = uses("Below(\"tooth.hieght\", Mm(3))");
    let change = [("rules.ron", &rules[..]), ("a-norms.ron", norms)];
    assert_eq!(problems(&change), [("rules.ron".to_owned(), "flow-fact")]);
    let rules = uses("Term(\"low\")");
    let change = [
        ("rules.ron", &rules[..]),
        ("a-norms.ron", norms),
        ("terms.ron", terms),
    ];
    assert_eq!(problems(&change), [("terms.ron".to_owned(), "flow-fact")]);
    // A rule that nobody wrote is wrong beside one that has a fault.
    let other = norms.replace("\"stump\"", "\"core\"");
    let rules = uses("Below(\"tooth.hieght\", Mm(3))");
    let change = [("rules.ron", &rules[..]), ("a-norms.ron", &other[..])];
    let both = [
        ("a-norms.ron", "flow-reference"),
        ("rules.ron", "flow-fact"),
    ];
    assert_eq!(
        problems(&change),
        both.map(|(file, code)| (file.to_owned(), code))
    );
}

/// A fact that is misspelt in a rule of the shipped flow is told alone, whatever options and norms name that rule or its words.
#[test]
fn a_misspelt_fact_in_any_rule_is_told_alone() {
    let shipped: Vec<(&str, &str)> = casepan::flow::EMBEDDED.to_vec();
    for id in [
        "tips-off",
        "stump-short",
        "clearance",
        "connector-cannot-grow",
        "finish-line-lost",
    ] {
        let sources = shipped.iter().map(|(name, text)| {
            let text = match text.split_once(&format!("id: \"{id}\"")) {
                Some((before, rule)) => {
                    let (head, rest) = rule.split_once("levels: [").unwrap();
                    // The first fact that the rule looks at.
                    let rest = rest.replacen("(\"", "(\"x", 1);
                    format!("{before}id: \"{id}\"{head}levels: [{rest}")
                }
                None => (*text).to_owned(),
            };
            Source::new((*name).to_owned(), text)
        });
        let loaded = casepan::flow::load(sources.collect());
        let codes: Vec<&str> = loaded.problems.iter().map(|own| own.code).collect();
        assert_eq!(codes, ["flow-fact"], "{id}: {:?}", loaded.problems);
    }
}

#[test]
fn one_run_tells_the_errors_of_every_file() {
    let loaded = load(files(&[
        (
            "sources.ron",
            r#"Sources([(id: "ours", text: "Ours", status: Ours), (id: 3)])"#,
        ),
        (
            "rules.ron",
            &rule(
                r#"at: Abutment, levels: [(Watch, Below("tooth.hight", Mm(3))), (Watch, Below("tooth.height", Mm(3,5)))]"#,
            ),
        ),
        (
            "instruments.ron",
            r#"Instruments([(id: "caliper", name: "caliper", step: Mm(0.1), source: "nobody")])"#,
        ),
    ]));
    let files: BTreeSet<&str> = loaded
        .problems
        .iter()
        .map(|problem| problem.file.as_str())
        .collect();
    assert_eq!(
        files,
        BTreeSet::from(["instruments.ron", "rules.ron", "sources.ron"]),
        "{:?}",
        loaded.problems
    );
    assert!(loaded.flow.is_none());
}
