//! Every code is provoked by an input, and every input gives the code at the marked place.

use std::collections::BTreeSet;

use casepan::ronfile::{CODES, MAX_BYTES, Source, parse};

use super::{Rule, marked, refused};

/// (input with a mark before the place, code, a part of the whole rendered text).
const FAULTS: &[(&str, &str, &str)] = &[
    // The file as a whole.
    ("◆", "ron-empty", "empty"),
    ("◆// only a comment\n", "ron-empty", "empty"),
    ("◆#![enable(implicit_some)]\n", "ron-empty", "empty"),
    (
        "#![enable(◆unwrap_newtypes)]\nRule()",
        "ron-attribute",
        "unwrap_newtypes",
    ),
    (
        "#![enable(◆everything)]\nRule()",
        "ron-attribute",
        "everything",
    ),
    (
        "#◆ a note\nRule()",
        "ron-attribute",
        "comment begins with `//`",
    ),
    ("Rule()◆Rule()", "ron-trailing", "the name `Rule`"),
    ("Rule()\n◆5", "ron-trailing", "the number `5`"),
    // Quotation marks and texts.
    ("Rule(id: ◆“a”)", "ron-typographic-quote", "“"),
    ("Rule(id: ◆„a“)", "ron-typographic-quote", "„"),
    ("Rule(id: ◆‘a’)", "ron-typographic-quote", "‘"),
    ("Rule(id: ◆«a»)", "ron-typographic-quote", "«"),
    ("Rule(id: ◆'abc')", "ron-single-quotes", "double"),
    (
        "Rule(\n id: ◆\"abc,\n)\n",
        "ron-unclosed-text",
        "begins at 2:6",
    ),
    (
        "Rule(\n id: ◆\"abc”,\n)\n",
        "ron-unclosed-text",
        "`”` does not close",
    ),
    // The second text's opening mark closes the first: the first is named all the same.
    (
        "Rule(\n id: ◆\"abc,\n id: \"def\",\n)\n",
        "ron-unclosed-text",
        "begins at 2:6",
    ),
    (
        "Rule(id: ◆r#\"abc\")",
        "ron-unclosed-text",
        "begins at 1:10",
    ),
    ("Rule(id: \"the 5◆\"wall\")", "ron-quote-in-text", "\\\""),
    ("Rule(id: \"a◆\\d\")", "ron-escape", "`\\d`"),
    ("Rule(id: \"a◆\\xzz\")", "ron-escape", "`\\\\`"),
    ("Rule(id: ◆abc)", "ron-text-without-quotes", "`\"abc\"`"),
    (
        "Rule(id: ◆the low wall,\n)",
        "ron-text-without-quotes",
        "`\"the low wall\"`",
    ),
    (
        "Rule(id: ◆wall.height)",
        "ron-text-without-quotes",
        "`\"wall.height\"`",
    ),
    // Brackets and comments.
    (
        "Rule(\n ◆/* a /* b */ \n)\n",
        "ron-unclosed-comment",
        "begins at 2:2",
    ),
    (
        "Rule(id: \"a\", ◆/*",
        "ron-unclosed-comment",
        "never closed",
    ),
    (
        "Rule◆(\n id: \"(\",\n // )\n",
        "ron-unclosed-bracket",
        "opened at 1:5",
    ),
    (
        "Rule(\n list: ◆[1, 2,\n",
        "ron-unclosed-bracket",
        "opened at 2:8",
    ),
    (
        "Rule◆(\n  inner: (\n    depth: (1.0),\n    width: (1.0),\n)\n",
        "ron-unclosed-bracket",
        "2:10 is the likelier",
    ),
    (
        "Rule(\n list: [1, 2◆)\n",
        "ron-wrong-bracket",
        "which opened at 2:8",
    ),
    (
        "Rule(list: (1, 2◆]",
        "ron-wrong-bracket",
        "which opened at 1:12",
    ),
    ("Rule(size: 3.0)◆)", "ron-stray-bracket", "never opened"),
    (
        "Rule(id: \"a\\\"(\", letter: '(', size: 3.0)◆]",
        "ron-stray-bracket",
        "never opened",
    ),
    // Commas, colons, characters.
    ("Rule(size: ◆3,5)", "ron-decimal-comma", "`3.5`"),
    ("Rule(size: ◆-3,5, count: 1)", "ron-decimal-comma", "`-3.5`"),
    ("Rule(size: ◆1.234,5)", "ron-decimal-comma", "`1234.5`"),
    (
        "Rule(when: Below(\"a\", Mm(◆2,9)))",
        "ron-decimal-comma",
        "`2.9`",
    ),
    (
        "Rule(when: Below(\"a\", ◆2,9))",
        "ron-name-expected",
        "`Mm(2.9)` if the comma",
    ),
    (
        "Rule(placed: Below(\"a\", Mm(◆2,9)))",
        "ron-decimal-comma",
        "`2.9`",
    ),
    ("Rule(spot: ◆3,5)", "ron-decimal-comma", "`3.5`"),
    ("Rule(pair: (1, ◆3,5))", "ron-decimal-comma", "`3.5`"),
    (
        "Rule(\n id: \"a\"◆\n size: 3.0,\n)",
        "ron-missing-comma",
        "before the name `size`",
    ),
    ("Rule(list: [1◆ 2])", "ron-missing-comma", "the number `2`"),
    ("Rule(list: [1◆; 2])", "ron-missing-comma", "not `;`"),
    ("Rule(size: 3◆ mm)", "ron-missing-comma", "unit"),
    (
        "Rule(when: Below(\"a\"◆ Mm(2.0)))",
        "ron-missing-comma",
        "`Mm`",
    ),
    ("Rule(id: \"a\", ◆, size: 3)", "ron-extra-comma", "Remove"),
    ("Rule(◆, id: \"a\")", "ron-extra-comma", "Remove"),
    ("Rule(list: [◆, 1])", "ron-extra-comma", "Remove"),
    ("Rule(list: [1, ◆, 2])", "ron-extra-comma", "Remove"),
    ("Rule(list: [1, ◆,])", "ron-extra-comma", "Remove"),
    ("Rule(id ◆= \"a\")", "ron-missing-colon", "not `=`"),
    ("Rule(id ◆\"a\")", "ron-missing-colon", "`id`"),
    ("Rule(id: ◆/ )", "ron-unexpected-character", "`//`"),
    (
        "Rule(id: \"a\",\n ◆/ a note\n)",
        "ron-unexpected-character",
        "`//`",
    ),
    (
        "Rule(size:◆\u{a0}3.0)",
        "ron-unexpected-character",
        "U+00A0",
    ),
    (
        "Rule(id: \"a\",◆\u{feff} size: 3.0)",
        "ron-unexpected-character",
        "U+FEFF",
    ),
    // Names and fields.
    (
        "Rule(\n ◆sizes: 3.0,\n)",
        "ron-unknown-field",
        "Did you mean `size`?",
    ),
    ("Rule(\n ◆sizes: 3.0,\n)", "ron-unknown-field", "`letter`"),
    (
        "Rule(inner: ◆(depth: Mm(1.0)))",
        "ron-missing-field",
        "`width`",
    ),
    ("Rule(when: ◆Wall())", "ron-missing-field", "`height`"),
    (
        "Rule(id: \"a\", ◆id: \"b\")",
        "ron-duplicate-field",
        "twice",
    ),
    (
        "Rule(when: ◆Bellow(\"a\", Mm(2.0)))",
        "ron-unknown-name",
        "Did you mean `Below`?",
    ),
    (
        "Rule(placed: Not(◆yes))",
        "ron-unknown-name",
        "Did you mean `Yes`?",
    ),
    ("◆Regel(id: \"a\")", "ron-other-name", "`Rule(…)`"),
    (
        "Rule(when: Below(\"a\", ◆Cm(2.0)))",
        "ron-other-name",
        "`Mm(…)`",
    ),
    (
        "Rule(when: Below(\"a\", ◆2.9))",
        "ron-name-expected",
        "`Mm(2.9)`",
    ),
    ("◆[]", "ron-name-expected", "`Rule(…)`"),
    ("Rule(◆\"id\": \"a\")", "ron-quoted-name", "`id`"),
    ("Rule(when: ◆\"Yes\")", "ron-quoted-name", "`Yes`"),
    ("Rule(◆half-size: 3.0)", "ron-bad-name", "`half-size`"),
    // Values.
    ("Rule(id: ◆5)", "ron-wrong-type", "`\"5\"`"),
    ("Rule(id: ◆true)", "ron-wrong-type", "A text"),
    ("Rule(id: ◆Some(\"a\"))", "ron-wrong-type", "A text"),
    ("Rule(size: ◆\"3,5\")", "ron-wrong-type", "`3.5`, without"),
    ("Rule(size: ◆abc)", "ron-wrong-type", "A number"),
    ("Rule(spot: ◆\"x\")", "ron-wrong-type", "A number"),
    ("Rule(size: ◆,)", "ron-wrong-type", "a comma"),
    ("Rule(count: ◆2.5)", "ron-wrong-type", "whole number"),
    ("Rule(count: ◆3e2)", "ron-wrong-type", "whole number"),
    ("Rule(count: ◆abc)", "ron-wrong-type", "whole number"),
    ("Rule(solid: ◆ja)", "ron-wrong-type", "`true` or `false`"),
    ("Rule(letter: ◆\"a\")", "ron-wrong-type", "single character"),
    ("Rule(list: ◆(1, 2))", "ron-wrong-type", "square brackets"),
    ("Rule(pair: ◆[1, 2])", "ron-wrong-type", "round brackets"),
    ("Rule(when: ◆3)", "ron-wrong-type", "A name"),
    ("Rule(◆3: 4)", "ron-wrong-type", "A name"),
    ("Rule(size: ◆1.2.3)", "ron-not-a-number", "`1.2.3`"),
    ("Rule(size: ◆3mm)", "ron-not-a-number", "unit"),
    ("Rule(size: ◆½)", "ron-not-a-number", "`½`"),
    ("Rule(size: ◆_1)", "ron-not-a-number", "`_1`"),
    ("Rule(size: ◆−3)", "ron-not-a-number", "hyphen"),
    ("Rule(count: ◆300)", "ron-number-range", "too large"),
    ("Rule(count: ◆-1)", "ron-number-range", "below zero"),
    ("Rule(nonzero: ◆0)", "ron-refused", "nonzero"),
    // Values in brackets.
    ("Rule(when: ◆Below)", "ron-brackets-expected", "`Below(…)`"),
    (
        "Rule(placed: Not(◆Below))",
        "ron-brackets-expected",
        "`Below(…)`",
    ),
    (
        "Rule(when: Below(\"a\", ◆Mm 2.9))",
        "ron-brackets-expected",
        "`Mm(…)`",
    ),
    ("Rule(when: Yes◆(3))", "ron-no-values-expected", "`Yes`"),
    ("Rule(placed: Yes◆(3))", "ron-no-values-expected", "`Yes`"),
    (
        "Rule(placed: Not(Yes, ◆Yes))",
        "ron-too-many-values",
        "`Not`",
    ),
    (
        "Rule(pair: (1, 2.0, ◆3))",
        "ron-too-many-values",
        "`)` belongs",
    ),
    (
        "Rule(when: ◆Below(\"a\"))",
        "ron-too-few-values",
        "2 are needed, 1 given",
    ),
    (
        "Rule(pair: ◆(1))",
        "ron-too-few-values",
        "2 are needed, 1 given",
    ),
];

#[test]
fn each_fault_gives_its_code_at_the_marked_place() {
    let mut wrong = Vec::new();
    for &(input, code, part) in FAULTS {
        let (text, line, column) = marked(input);
        let source = Source::new("rules.ron", text);
        let problem = refused(parse::<Rule>(&source), &source);
        let shown = problem.render(Some(&source), false);
        let found = (problem.code, problem.line, problem.column);
        if found != (code, line, column) || !shown.contains(part) {
            wrong.push(format!(
                "{input}\nwanted {code} {line}:{column} {part}\n{shown}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n\n"));
}

#[test]
fn every_code_is_provoked_and_none_is_unlisted() {
    let mut provoked: BTreeSet<&str> = FAULTS.iter().map(|&(_, code, _)| code).collect();
    provoked.extend(["ron-too-large", "ron-not-utf8", "ron-too-deep"]);
    let listed: BTreeSet<&str> = CODES.iter().map(|&(code, _)| code).collect();
    assert_eq!(provoked, listed);
    assert_eq!(listed.len(), CODES.len(), "a code is listed twice");
    for (code, meaning) in CODES {
        assert!(
            code.starts_with("ron-") && meaning.ends_with('.'),
            "{code}: {meaning}"
        );
    }
}

#[test]
fn a_file_that_is_not_utf8_is_named_with_the_first_bad_byte() {
    // 0xE4 is `ä` in ISO 8859-1, and no beginning of a character in UTF-8 when a quotation mark follows (RFC 3629).
    let bytes = b"Rule(\n id: \"\xC3\xA4\xE4\")".to_vec();
    let problem = Source::from_bytes("a.ron", bytes).expect_err("not UTF-8");
    assert_eq!(
        (problem.code, problem.line, problem.column),
        ("ron-not-utf8", 2, 8)
    );
    let wide = Source::from_bytes("a.ron", vec![0xFF, 0xFE, b'R', 0]).expect_err("UTF-16");
    assert_eq!(wide.code, "ron-not-utf8");
    assert!(wide.what.contains("UTF-16"), "{}", wide.what);
}

#[test]
fn a_file_over_the_limit_is_refused_and_one_at_the_limit_is_not() {
    assert!(Source::from_bytes("a.ron", vec![b' '; MAX_BYTES]).is_ok());
    let problem = Source::from_bytes("a.ron", vec![b' '; MAX_BYTES + 1]).expect_err("too large");
    assert_eq!(problem.code, "ron-too-large");
    let source = Source::new("a.ron", " ".repeat(MAX_BYTES + 1));
    assert_eq!(
        refused(parse::<Rule>(&source), &source).code,
        "ron-too-large"
    );
}

#[test]
fn deep_brackets_are_refused_without_a_stack_overflow() {
    for text in [
        format!("Rule(placed: {}", "Not(".repeat(100_000)),
        format!(
            "Rule(placed: {}Yes{})",
            "Not(".repeat(100_000),
            ")".repeat(100_000)
        ),
        format!(
            "Rule(when: {}Yes{})",
            "Not(".repeat(1_000),
            ")".repeat(1_000)
        ),
    ] {
        let source = Source::new("deep.ron", text);
        assert_eq!(
            refused(parse::<Rule>(&source), &source).code,
            "ron-too-deep"
        );
    }
    let shallow = format!("Rule(placed: {}Yes{})", "Not(".repeat(50), ")".repeat(50));
    let source = Source::new("shallow.ron", shallow);
    assert!(parse::<Rule>(&source).is_ok(), "fifty levels are allowed");
}

#[test]
fn a_byte_order_mark_an_attribute_and_comments_are_accepted() {
    for text in [
        "\u{FEFF}Rule(id: \"a\")",
        "#![enable(implicit_some)]\nRule(when: Yes)",
        "// a note\nRule(when: Yes, placed: Not(Yes)) // the end",
        "Rule(when: Some(Yes), placed: None) /* the /* end */ */",
    ] {
        let bytes = Source::from_bytes("a.ron", text.as_bytes().to_vec()).expect("UTF-8");
        let outcome = parse::<Rule>(&bytes);
        assert!(outcome.is_ok(), "{text}: {outcome:?}");
    }
}
