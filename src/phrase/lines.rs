//! How sentences are broken into lines, on screen and in print alike.

use textwrap::{Options, WordSeparator, WordSplitter, core::Word};

/// What stands behind a number and belongs to it.
const UNITS: [&str; 12] = [
    "%", "mm", "mm²", "mm³", "µm", "MPa", "N", "°", "day", "days", "times", "years",
];

/// Returns how lines of so many columns are broken: between words, but neither within "air-dry" or "44-45" nor between a
/// number and its unit.
pub fn to_width(width: usize) -> Options<'static> {
    Options::new(width)
        .word_separator(WordSeparator::Custom(words))
        .word_splitter(WordSplitter::NoHyphenation)
}

/// Splits a line into words; a number and its unit are one.
fn words(line: &str) -> Box<dyn Iterator<Item = Word<'_>> + '_> {
    let mut from = 0;
    let mut rest = WordSeparator::AsciiSpace.find_words(line).peekable();
    Box::new(std::iter::from_fn(move || {
        let mut word = rest.next()?;
        let mut to = from + word.word.len() + word.whitespace.len();
        while word.word.ends_with(|c: char| c.is_ascii_digit())
            && word.whitespace == " "
            && rest.peek().is_some_and(|next| is_unit(next.word))
        {
            let unit = rest.next()?;
            to += unit.word.len() + unit.whitespace.len();
            word = Word::from(line.get(from..to)?);
        }
        from = to;
        Some(word)
    }))
}

/// Whether a word is a unit, with or without what closes a clause behind it.
fn is_unit(word: &str) -> bool {
    UNITS.contains(&word.trim_end_matches([')', '.', ',', ';', ':', ']']))
}

#[cfg(test)]
mod tests {
    use super::to_width;

    #[test]
    fn a_number_keeps_its_unit() {
        let wrapped = textwrap::wrap("one wall (needs 40 %), 2.8 mm high, 3 walls", to_width(20));
        assert_eq!(
            wrapped,
            ["one wall (needs", "40 %), 2.8 mm high,", "3 walls"]
        );
        assert_eq!(
            textwrap::wrap("air-dry 44-45", to_width(10)),
            ["air-dry", "44-45"]
        );
        // Every letter is there, spaces at the ends and in rows too.
        for text in [
            "  40 % ",
            "1  mm",
            "40 %",
            "4 mm mm",
            "",
            "°",
            "9 \u{a0}% 1 N",
        ] {
            assert_eq!(
                textwrap::wrap(text, to_width(80)).join("").trim_end(),
                text.trim_end()
            );
        }
    }
}
