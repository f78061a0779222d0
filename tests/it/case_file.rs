//! Case files: written and read again, and every problem they can have.

use std::collections::BTreeSet;

use casepan::case::file::{FORMAT, MAX_NUMBER, check_number, read, write};
use casepan::case::{Case, FlowRef, Layer, Reading};
use casepan::fact::{FactId, Place, Spot, Value};
use casepan::ronfile::{Diagnostic, Source};
use casepan::text::clean;
use proptest::prelude::*;

mod faults;

use super::made::{any_facts, case, choice, mm, spot, units};

use faults::faults;

/// The input without its mark, and the line and column where the mark stood.
fn marked(input: &str) -> (String, usize, usize) {
    let (before, after) = input.split_once('◆').expect("the input has a mark");
    let last = before.rsplit('\n').next().unwrap_or_default();
    let line = before.split('\n').count();
    (format!("{before}{after}"), line, last.chars().count() + 1)
}

fn problems(text: &str) -> Vec<Diagnostic> {
    read(&Source::new("case.ron", text)).expect_err("a problem")
}

fn again(case: &Case) -> Case {
    let text = write(case, true).expect("a case is written");
    read(&Source::new("case.ron", &text)).unwrap_or_else(|problems| panic!("{problems:?}\n{text}"))
}

/// A whole case file around a line of facts; the header in its usual form.
fn file(facts: &str) -> String {
    format!(
        "#![enable(implicit_some)]\nCase(\n    format: 1, number: \"24-7\", flow: \"fixed\", version: 1,\n    \
         restorations: [Bridge(\"R1\", [Abutment(\"44\"), Pontic(\"45\"), Abutment(\"46\")])],\n    \
         facts: [\n{facts}\n    ],\n)\n"
    )
}

#[test]
fn every_problem_is_found_at_its_place() {
    for (input, code, said) in faults() {
        let (text, line, column) = marked(&input);
        let found = problems(&text);
        assert_eq!(found.len(), 1, "{input}\n{found:?}");
        let problem = &found[0];
        assert_eq!(problem.code, code, "{input}");
        assert_eq!((problem.line, problem.column), (line, column), "{input}");
        let shown = problem.render(Some(&Source::new("case.ron", &text)), false);
        assert!(shown.contains(said), "{said}\n{shown}");
        assert!(!problem.what.is_empty() && !problem.why.is_empty());
    }
}

#[test]
fn a_case_may_not_be_longer_than_any_real_one() {
    let line = "        (fact: \"x.a\", at: \"case\", is: Yes),\n";
    let found = problems(&file(&line.repeat(20_001)));
    assert_eq!(found.len(), 1);
    assert_eq!(
        (found[0].code, found[0].line, found[0].column),
        ("case-too-long", 3, 24)
    );
}

/// Every code that the reader's text names is provoked above, but for one: a number that is not finite is no number
/// for the reader of files already.
#[test]
fn every_code_is_provoked() {
    let source = include_str!("../../src/case/file.rs");
    let beside = include_str!("../../src/case/file/beside.rs");
    let named: BTreeSet<&str> = source
        .split('"')
        .chain(beside.split('"'))
        .filter(|text| {
            text.strip_prefix("case-")
                .is_some_and(|rest| !rest.contains(' '))
        })
        .collect();
    let mut provoked: BTreeSet<&str> = faults().into_iter().map(|(_, code, _)| code).collect();
    provoked.extend(["case-too-long", "case-number-not-finite"]);
    assert_eq!(provoked, named);
    for number in ["inf", "-inf", "NaN", "1e999"] {
        let line = format!("(fact: \"tooth.height\", at: \"46\", is: Mm({number})),");
        assert_eq!(problems(&file(&line)).len(), 1, "{number}");
    }
}

#[test]
fn all_problems_of_a_file_are_told_at_once() {
    let found = problems(&file(
        "(fact: \"tooth.heigth\", at: \"46\", is: Mm(3.0)),\n\
         (fact: \"tooth.height\", at: \"46\", is: Mm(30.0)),\n\
         (fact: \"tooth.core\", at: \"46\", is: Choice(\"gold\")),\n\
         (fact: \"tooth.core\", at: \"88\", is: Choice(\"none\")),",
    ));
    let codes: Vec<_> = found.iter().map(|p| (p.code, p.line)).collect();
    assert_eq!(
        codes,
        [
            ("case-fact", 6),
            ("case-bounds", 7),
            ("case-choice", 8),
            ("case-place", 9)
        ]
    );
}

#[test]
fn one_fact_a_line_in_the_order_of_places() {
    let case = case(
        "44 x45 46",
        &[
            ("tooth.height", "46", mm(3.0)),
            ("order.shade_given", "case", Value::Yes),
            ("connector.height", "44-45", mm(4.0)),
            ("tooth.height", "44", mm(4.5)),
        ],
    );
    let text = write(&case, true).unwrap();
    let lines: Vec<_> = text.lines().filter(|line| line.contains("fact:")).collect();
    assert_eq!(
        lines,
        [
            "        (fact: \"order.shade_given\", at: \"case\", is: Yes),",
            "        (fact: \"tooth.height\", at: \"44\", is: Mm(4.5)),",
            "        (fact: \"tooth.height\", at: \"46\", is: Mm(3.0)),",
            "        (fact: \"connector.height\", at: \"44-45\", is: Mm(4.0)),",
        ]
    );
    assert!(text.contains(&format!("format: {FORMAT}")));
    assert!(text.contains("Bridge(\"R1\", [Abutment(\"44\"), Pontic(\"45\"), Abutment(\"46\")]),"));
}

#[test]
fn what_lost_its_place_is_set_aside_and_comes_back() {
    let mut case = case(
        "44 x45 46",
        &[
            ("pontic.span", "45", mm(7.0)),
            ("wall.height", "46/distal", mm(3.0)),
            ("connector.space_height", "45-46", mm(5.0)),
            ("tooth.height", "44", mm(4.0)),
        ],
    );
    let whole = case.clone();
    let aside = |case: &Case| -> Vec<String> {
        case.set_aside()
            .map(|(spot, ..)| format!("{}@{}", spot.fact, spot.at))
            .collect()
    };
    assert!(aside(&case).is_empty());
    case.units = units("44");
    assert_eq!(
        aside(&case),
        [
            "wall.height@46/distal",
            "pontic.span@45",
            "connector.space_height@45-46"
        ]
    );
    let mut read_again = again(&case);
    assert_eq!(read_again, case);
    read_again.units = units("44 x45 46");
    assert_eq!(read_again, whole);
    // The tooth is still there, but it is no pontic any more.
    case.units = units("44 45 46");
    assert_eq!(aside(&case), ["pontic.span@45"]);
    let mut read_again = again(&case);
    assert_eq!(read_again, case);
    read_again.units = units("44 x45 46");
    assert_eq!(read_again, whole);
}

#[test]
fn layers_stand_over_one_another() {
    let mut case = case("26", &[("tooth.height", "26", mm(3.0))]);
    let height = spot("tooth.height", "26");
    let decided = Reading {
        value: mm(4.0),
        with: Some("report".to_owned()),
        who: Some("mk".to_owned()),
        when: Some("2026-11-20T10:00:00Z".parse().unwrap()),
    };
    case.put(height.clone(), Layer::Decided, decided.clone());
    let read_again = again(&case);
    assert_eq!(read_again, case);
    assert_eq!(read_again.merged(&height), Some((Layer::Decided, &decided)));
    assert_eq!(
        read_again
            .reading(&height, Layer::Measured)
            .map(|r| &r.value),
        Some(&mm(3.0))
    );
    case.clear(&height, Layer::Decided);
    assert_eq!(case.value(&height.fact, height.at), Some(&mm(3.0)));
}

#[test]
fn free_text_is_left_out_unless_asked_for() {
    let text = Value::Text("post \"and\" core".to_owned());
    let case = case(
        "26",
        &[
            ("order.fee_lines", "case", text.clone()),
            ("x.note", "case", text),
            ("order.shade_given", "case", Value::No),
        ],
    );
    assert_eq!(again(&case), case);
    let without = write(&case, false).unwrap();
    assert!(!without.contains("post") && without.contains("shade_given"));
}

#[test]
fn nothing_that_paints_or_hides_comes_in() {
    let text = file(
        "(fact: \"order.fee_lines\", at: \"case\", is: Text(\"a\\u{1b}[31mb\\u{202e}c\\nd\"), who: \"m\\u{7}k\"),\n\
         (fact: \"order.material\", at: \"R1\", is: Choice(\"zir\\u{1b}conia\"), with: \"loupe\\u{9b}\"),\n\
         (fact: \"x.a\\u{200b}b\", at: \"case\", is: Choice(\"\\u{feff}c\")),",
    )
    .replace("flow: \"fixed\"", "flow: \"fi\\u{1b}xed\"");
    let case = read(&Source::new("case.ron", text)).expect("a case");
    assert_eq!(case.flow.id, "fixed");
    let fee = case.merged(&spot("order.fee_lines", "case")).unwrap().1;
    assert_eq!(fee.value, Value::Text("a[31mbc d".to_owned()));
    assert_eq!(fee.who.as_deref(), Some("mk"));
    let material = case.merged(&spot("order.material", "R1")).unwrap().1;
    assert_eq!(material.value, choice("zirconia"));
    assert_eq!(material.with.as_deref(), Some("loupe"));
    assert_eq!(
        case.value(&FactId::named("x.ab"), Place::Case),
        Some(&choice("c"))
    );
}

#[test]
fn case_numbers() {
    for good in [
        "24-0381",
        "a",
        "Müller 7",
        "日本/2.1_b",
        &"9".repeat(MAX_NUMBER),
    ] {
        assert_eq!(check_number(good), Ok(()), "{good}");
    }
    for bad in [
        "",
        "  ",
        "a\tb",
        "a\"b",
        "a;b",
        "a\u{202e}b",
        "e\u{301}",
        &"9".repeat(MAX_NUMBER + 1),
    ] {
        assert!(check_number(bad).is_err(), "{bad:?}");
    }
}

fn reading(value: Value) -> impl Strategy<Value = Reading> {
    let with = prop::option::of(prop::sample::select(vec!["caliper", "scan", "a \"b\" \\c"]));
    let who = prop::option::of(prop::sample::select(vec!["mk", "ä"]));
    let when = prop::option::of(0i64..4_000_000_000_000_000);
    (with, who, when).prop_map(move |(with, who, when)| Reading {
        value: value.clone(),
        with: with.map(str::to_owned),
        who: who.map(str::to_owned),
        when: when.map(|micros| jiff::Timestamp::from_microsecond(micros).unwrap()),
    })
}

fn layer() -> impl Strategy<Value = Layer> {
    prop_oneof![
        4 => Just(Layer::Measured),
        1 => Just(Layer::Decided),
        1 => Just(Layer::Proposed),
    ]
}

fn any_case() -> impl Strategy<Value = Case> {
    let lines = [
        "44 x45 46; 26",
        "x12 13",
        "11 21",
        "26",
        "34 x35 x36 37; 11",
    ];
    let facts = prop_oneof![
        any_facts("44 x45 46; 26"),
        any_facts("x12 13; 34 x35 x36 37")
    ];
    let entries = facts.prop_flat_map(|facts: Vec<(Spot, Value)>| {
        facts
            .into_iter()
            .map(|(spot, value)| (Just(spot), layer(), reading(value)))
            .collect::<Vec<_>>()
    });
    // Units of their own: some places are gone, some teeth have another role.
    (
        prop::sample::select(lines.to_vec()),
        entries,
        "[a-zA-Z0-9/._-]{1,40}",
    )
        .prop_map(|(line, entries, number)| {
            let flow = FlowRef {
                id: "fixed".to_owned(),
                version: 3,
                digest: "ab".repeat(8),
            };
            let mut case = Case::new(number, flow, units(line));
            for (spot, layer, reading) in entries {
                case.put(spot, layer, reading);
            }
            case
        })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(50))]

    #[test]
    fn what_is_written_reads_back_the_same(case in any_case()) {
        let text = write(&case, true).unwrap();
        let source = Source::new("case.ron", &text);
        match read(&source) {
            Ok(read_again) => prop_assert_eq!(read_again, case),
            Err(problems) => prop_assert!(false, "{}", problems[0].render(Some(&source), false)),
        }
    }

    #[test]
    fn cleaned_text_stays_as_it_is(text in "(\\PC|\\p{M}|\\p{C}|e\u{200d}?\u{301}){0,20}") {
        let once = clean(&text);
        prop_assert_eq!(clean(&once), once.clone());
        prop_assert!(!once.chars().any(char::is_control));
    }
}
