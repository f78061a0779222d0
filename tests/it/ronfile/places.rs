//! Places of values and of errors, through several levels.

use casepan::ronfile::{Diagnostic, Raw, Source, Spanned, finite, nearest, parse, parse_raw};
use serde::Deserialize;

use super::{Condition, Mm, Rule, marked, refused};

#[derive(Debug, Deserialize)]
enum Shape {
    One(Spanned<(Spanned<String>, Spanned<Mm>)>),
    Many(Vec<Spanned<Shape>>),
}

fn cut<'s, T>(source: &'s Source, value: &Spanned<T>) -> &'s str {
    &source.text()[value.span(source)]
}

#[test]
fn a_span_covers_the_value_and_nothing_else() {
    let source = Source::new(
        "a.ron",
        "// ä\r\n/* x */ Many([\r\n  One((/* n */ \"a\\\"b\" /* m */, // l\r\n    Mm( 2.5 ) )),\r\n  // k\r\n  Many([]) ,\r\n]) // z",
    );
    let outer: Spanned<Shape> = parse(&source).expect("valid");
    assert!(cut(&source, &outer).starts_with("Many(["));
    assert!(cut(&source, &outer).ends_with("])"));
    let Shape::Many(list) = &outer.value else {
        panic!("{outer:?}");
    };
    assert_eq!(cut(&source, &list[1]), "Many([])");
    let Shape::One(pair) = &list[0].value else {
        panic!("{list:?}");
    };
    assert_eq!(cut(&source, &pair.value.0), "\"a\\\"b\"");
    assert_eq!(pair.value.0.value, "a\"b");
    assert_eq!(cut(&source, &pair.value.1), "Mm( 2.5 )");
    assert_eq!(pair.value.1.value.0, 2.5);
    assert_eq!(source.line_column(list[1].span(&source).start), (6, 3));
}

#[test]
fn an_error_three_levels_down_keeps_its_place() {
    for (input, code) in [
        ("Many([One((\"ä\", ◆Cm(2.5)))])", "ron-other-name"),
        (
            "Many([\r\n Many([\r\n  /* ö */ One((\"ü\", Mm(◆\"x\")))])])",
            "ron-wrong-type",
        ),
        (
            "Many([Many([Many([One((\"a\\n\\u{e4}\", ◆2.5))])])])",
            "ron-name-expected",
        ),
        (
            "Many([One((\"a\", Mm(2.5))), /* ◆ */ ◆Wall])",
            "ron-unknown-name",
        ),
        (
            "Many([Many([]), Many([◆Ones((\"a\", Mm(1.0)))])])",
            "ron-unknown-name",
        ),
        ("Many([One((\"a\", Mm(◆2,5)))])", "ron-decimal-comma"),
    ] {
        // A mark inside a comment is text of the input: the last one counts.
        let (head, tail) = input.rsplit_once(super::MARK).expect("marked");
        let input = format!("{}{}{tail}", head.replace(super::MARK, "*"), super::MARK);
        let (text, line, column) = marked(&input);
        for spanned in [true, false] {
            let source = Source::new("a.ron", text.clone());
            let problem = if spanned {
                refused(parse::<Spanned<Shape>>(&source), &source)
            } else {
                refused(parse::<Shape>(&source), &source)
            };
            assert_eq!(
                (problem.code, problem.line, problem.column),
                (code, line, column),
                "{text}"
            );
        }
    }
}

#[test]
fn raw_elements_report_all_their_errors() {
    let text = "[\n  Yes, // first\n  Bellow(\"a\", Mm(1.0)),\n  /* c */ Below(\"ä\", 2.5),\n  Below(\"a\", Mm(1.0)),\n  Not(no),\n]";
    let source = Source::new("a.ron", text);
    let raws: Vec<Raw> = parse(&source).expect("valid in form");
    assert_eq!(raws.len(), 5);
    assert_eq!(raws[2].text(), "Below(\"ä\", 2.5)");
    assert_eq!(&source.text()[raws[2].span(&source)], raws[2].text());
    let problems: Vec<_> = raws
        .into_iter()
        .filter_map(|raw| parse_raw::<Condition>(&source, raw).err())
        .map(|problem| (problem.code, problem.line, problem.column))
        .collect();
    let wanted = [
        ("ron-unknown-name", 3, 3),
        ("ron-name-expected", 4, 22),
        ("ron-unknown-name", 6, 7),
    ];
    assert_eq!(problems, wanted);
}

#[test]
fn an_element_read_again_still_takes_a_value_without_some() {
    let source = Source::new("a.ron", "#![enable(implicit_some)]\n[(when: Not(Yes))]");
    let raws: Vec<Raw> = parse(&source).expect("valid");
    let rule: Rule = parse_raw(&source, raws[0]).expect("implicit some");
    assert!(matches!(rule.when, Some(Condition::Not(_))), "{rule:?}");
}

#[test]
fn a_value_of_another_source_gives_a_span_inside_the_file() {
    let long = Source::new("a.ron", format!("{}5.0", " ".repeat(5000)));
    let value: Spanned<f64> = parse(&long).expect("a number");
    let short = Source::new("b.ron", "ä");
    let span = value.span(&short);
    assert!(short.text().get(span.clone()).is_some(), "{span:?}");
}

#[test]
fn numbers_that_cannot_be_measured_are_found() {
    for (text, wanted) in [
        ("NaN", false),
        ("inf", false),
        ("1e999", false),
        ("-inf", false),
        ("2.5", true),
    ] {
        let source = Source::new("a.ron", text);
        let number: f64 = parse(&source).expect("ron reads these");
        assert_eq!(finite(number), wanted, "{text}");
    }
}

#[test]
fn the_nearest_name_is_found_and_a_far_one_is_not() {
    // The distance is that of Damerau and Levenshtein; each case counted by hand.
    let names = ["wall.height", "margin.width", "occlusal.gap", "Yes"];
    for (word, wanted) in [
        ("wall.hieght", Some("wall.height")),
        ("Wall.Height", Some("wall.height")),
        ("margin.widht", Some("margin.width")),
        ("yes", Some("Yes")),
        ("yet", Some("Yes")),
        // Three insertions for eleven letters are just near; four differences are not.
        ("wall.hei", Some("wall.height")),
        ("wall.depth", None),
        ("no", None),
        ("", None),
        ("colour", None),
    ] {
        assert_eq!(nearest(word, names), wanted, "{word}");
    }
}

#[test]
fn a_rendered_problem_shows_line_caret_and_help() {
    let source = Source::new(
        "flows/wälle.ron",
        "Rule(\n    id: \"kürzer\", size: 3,5,\n)\n",
    );
    let problem = refused(parse::<Rule>(&source), &source);
    insta::assert_snapshot!(problem.render(Some(&source), false), @r#"
    error[ron-decimal-comma]: `3,5` is written with a decimal comma
     --> flows/wälle.ron:2:25
      |
    2 |     id: "kürzer", size: 3,5,
      |                         ^^^ a decimal comma
      |
      = help: Write `3.5`, with a decimal point.
      = help: If these are two values, write a blank behind the comma.
    "#);
    insta::assert_snapshot!(problem.render(None, false), @"
    error[ron-decimal-comma]: `3,5` is written with a decimal comma
    --> flows/wälle.ron:2:25
     = note: a decimal comma
     = help: Write `3.5`, with a decimal point.
     = help: If these are two values, write a blank behind the comma.
    ");
    let coloured = problem.render(Some(&source), true);
    assert!(coloured.contains("\u{1b}["), "{coloured}");
}

#[test]
fn a_problem_as_data_has_all_but_the_bytes() {
    let source = Source::new("a.ron", "x");
    let problem = Diagnostic::warning("a-code", &source, 0..1, "What", "why").help("Help.");
    assert_eq!(
        serde_json::to_value(&problem).expect("plain data"),
        serde_json::json!({
            "code": "a-code", "severity": "warning", "file": "a.ron", "line": 1, "column": 1,
            "what": "What", "why": "why", "help": ["Help."],
        })
    );
}

#[test]
fn nothing_from_a_file_steers_the_terminal() {
    let source = Source::new(
        "a\u{1b}[2J.ron",
        "Rule(\u{1b}[2J\u{202e}id: \"\u{1b}[31m\")\nx\u{7}",
    );
    let problem = refused(parse::<Rule>(&source), &source).help("\u{1b}[2J");
    for shown in [
        problem.render(Some(&source), false),
        problem.render(None, false),
    ] {
        let bad = shown
            .chars()
            .find(|&c| c != '\n' && (c.is_control() || c == '\u{202e}'));
        assert_eq!(bad, None, "{shown:?}");
    }
}
