//! The tokens, checked against the `ron` crate, the reference reader of the format.

use proptest::prelude::*;
use serde::de::IgnoredAny;

use super::super::brackets::fault;
use super::super::source::Source;
use super::{Placed, Token, Tokens, trim};

fn tokens(text: &str) -> Vec<Token> {
    Tokens::new(text).map(|placed| placed.token).collect()
}

#[test]
fn brackets_and_commas_inside_texts_and_comments_are_no_tokens() {
    use Token::{Close, Comma, Open, Text, Word};
    for text in [
        r#""(,\"[""#,
        r##"r#"a",("b"#"##,
        "r\"\\\"",
        "'('",
        "'''",
        r"'\''",
        r"'\\'",
        r"'\u{28}'",
        "b\"(\"",
        r##"br#"(""#"##,
        "/* ( /* , /* */ */ [ */ 'x' // (,\n",
    ] {
        assert_eq!(tokens(text), [Text], "{text}");
        let group = format!("A({text},{text}\n)");
        let wanted = [Word, Open('('), Text, Comma, Text, Close(')')];
        assert_eq!(tokens(&group), wanted, "{group}");
    }
    for text in [
        "a",
        "_b1",
        "r#type",
        "r#a-b.c",
        "wall.height",
        "half-size",
        "größe",
    ] {
        assert_eq!(tokens(text), [Word], "{text}");
    }
    for text in [
        "1", "-3.5e-2", ".5", "5.", "0x1F", "+1_000", "1..=2", "3mm", "1.2.3",
    ] {
        let found = tokens(text);
        assert!(
            found.iter().all(|&token| token != Word),
            "{text}: {found:?}"
        );
        assert_eq!(found.first(), Some(&Token::Number), "{text}");
    }
}

#[test]
fn a_piece_loses_comments_and_blanks_at_both_ends() {
    for (text, wanted) in [
        (" // a\n 5 /* b */ ", "5"),
        ("/*(*/Mm( 2.0 /* x */ )// end\r\n", "Mm( 2.0 /* x */ )"),
        ("\u{200E}\"// no comment\" ", "\"// no comment\""),
        (" ", " "),
    ] {
        assert_eq!(trim(text), wanted);
    }
}

/// Valid RON text of every form, with brackets, marks and comments where they mislead.
fn value() -> impl Strategy<Value = String> {
    let leaf = prop_oneof![
        "[a-z]{1,4}",
        "-?[0-9]{1,3}(\\.[0-9]{1,2})?(e-?[0-9])?",
        "\"([a-zä“(\\[, ]|\\\\\"|\\\\n|//|/\\*){0,6}\"",
        "r#\"[a-z(\"\\\\]{0,4}\"#",
        "'[(a\"/,]'",
        Just(r"'\''".to_owned()),
        Just("'''".to_owned()),
    ];
    leaf.prop_recursive(4, 32, 4, |inner| {
        let blank = prop::sample::select(vec!["", " ", "\r\n", "/* ( */", "// ]\n", "/*/**/*/"]);
        prop_oneof![
            prop::collection::vec((blank.clone(), inner.clone()), 0..4).prop_map(|list| {
                let all: Vec<String> = list.iter().map(|(b, v)| format!("{b}{v}{b}")).collect();
                format!("[{}]", all.join(","))
            }),
            ("[A-Z][a-z]{0,3}", blank, inner).prop_map(|(name, blank, inner)| {
                format!("{name}{blank}(x{blank}:{inner}{blank},)")
            }),
        ]
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_ron_accepts_has_no_fault(
        text in value(),
        letter in prop_oneof![any::<char>(), prop::sample::select(vec!['"', '\'', '\\', '#', 'r', '/', '*'])],
        at in any::<prop::sample::Index>(),
    ) {
        // The reference reader decides what is valid, also after one more character.
        let places: Vec<usize> = text.char_indices().map(|(at, _)| at).collect();
        let mut changed = text.clone();
        changed.insert(places[at.index(places.len())], letter);
        prop_assert!(ron::from_str::<IgnoredAny>(&text).is_ok(), "{}", text);
        for text in [text, changed] {
            if ron::from_str::<IgnoredAny>(&text).is_err() {
                continue;
            }
            let source = Source::new("a.ron", text.as_str());
            let tokens: Vec<Placed> = Tokens::new(source.text()).collect();
            prop_assert_eq!(fault(&source, &tokens), None);
            let padded = format!(" // x\n{text}/* y */\n");
            prop_assert_eq!(trim(&padded), trim(&text));
        }
    }
}
