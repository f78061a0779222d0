//! Random texts and random changes of a valid file.

use casepan::ronfile::{Raw, Source, Spanned, parse, parse_raw};
use proptest::prelude::*;

use super::{Condition, Rule};

const VALID: &str = "// Wände\r\n#![enable(implicit_some)]\nRule(\n  id: \"a\\\"b (“ä”)\", size: -3.5e1, count: 7, solid: true,\n  letter: '(', /* [ /* ) */ */ when: All([Below(\"x\", Mm(2.9)), Not(Yes)]),\n  placed: All([Not(Wall(height: 3)), Yes,]), pair: (1, 2.5),\n  list: [1, 2, 3], inner: (depth: (1.0), width: Mm(2.0)),\n)\n";

/// Reads a text in every way; a problem must lie inside the file and be renderable.
fn read_and_check(text: &str) -> Result<(), TestCaseError> {
    let source = Source::new("random.ron", text);
    let problems = [
        parse::<Rule>(&source).err(),
        parse::<Spanned<Condition>>(&source).err(),
        parse::<Vec<Raw>>(&source).err(),
        parse::<f64>(&source).err(),
    ];
    let raws: Vec<Raw> = parse(&source).unwrap_or_default();
    let inner = raws
        .into_iter()
        .filter_map(|raw| parse_raw::<Spanned<Condition>>(&source, raw).err());
    for problem in problems.into_iter().flatten().chain(inner) {
        prop_assert!(
            source.text().get(problem.span.clone()).is_some(),
            "{:?}",
            problem
        );
        prop_assert_eq!(
            source.line_column(problem.span.start),
            (problem.line, problem.column)
        );
        prop_assert!(problem.render(Some(&source), true).contains(problem.code));
    }
    // What ron accepts has no fault for us: the reference reader decides, with the same extension.
    let options =
        ron::Options::default().with_default_extension(ron::extensions::Extensions::IMPLICIT_SOME);
    let bare = text.trim_start_matches('\u{FEFF}');
    let only_known = !["unwrap", "explicit"]
        .iter()
        .any(|word| bare.contains(word));
    if only_known && bare.len() == source.text().len() {
        let reference = options.from_str::<Rule>(bare).is_ok();
        prop_assert_eq!(reference, parse::<Rule>(&source).is_ok());
    }
    Ok(())
}

#[derive(Clone, Debug)]
enum Change {
    Drop(prop::sample::Index),
    Double(prop::sample::Index),
    Insert(prop::sample::Index, char),
    Cut(prop::sample::Index),
}

fn change() -> impl Strategy<Value = Change> {
    let letters: Vec<char> = "()[]{},:;\"'“”‘’«»/*\\#!r\r\n .-+x0_ä\u{FEFF}\u{0}\u{301}"
        .chars()
        .collect();
    let at = any::<prop::sample::Index>;
    prop_oneof![
        at().prop_map(Change::Drop),
        at().prop_map(Change::Double),
        (at(), prop::sample::select(letters)).prop_map(|(at, letter)| Change::Insert(at, letter)),
        at().prop_map(Change::Cut),
    ]
}

fn apply(letters: &mut Vec<char>, change: &Change) {
    if letters.is_empty() {
        return;
    }
    match change {
        Change::Drop(at) => drop(letters.remove(at.index(letters.len()))),
        Change::Double(at) => {
            let at = at.index(letters.len());
            letters.insert(at, letters[at]);
        }
        Change::Insert(at, letter) => letters.insert(at.index(letters.len()), *letter),
        Change::Cut(at) => letters.truncate(at.index(letters.len()).max(letters.len() / 2)),
    }
}

#[test]
fn the_file_that_is_changed_is_valid() {
    let source = Source::new("valid.ron", VALID);
    let outcome = parse::<Rule>(&source);
    assert!(outcome.is_ok(), "{outcome:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, cases: 1500, ..ProptestConfig::default() })]

    #[test]
    fn any_text_gives_a_place_inside_it(text in any::<String>()) {
        read_and_check(&text)?;
    }

    #[test]
    fn any_string_of_marks_gives_a_place_inside_it(text in "[()\\[\\]{},:\"'“’/*\\\\#r\\n 0-2.a-cä-]{0,40}") {
        read_and_check(&text)?;
    }

    #[test]
    fn a_changed_file_gives_a_place_inside_it(changes in prop::collection::vec(change(), 1..5)) {
        let mut letters: Vec<char> = VALID.chars().collect();
        for change in &changes {
            apply(&mut letters, change);
        }
        read_and_check(&letters.into_iter().collect::<String>())?;
    }
}
