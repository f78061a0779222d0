//! Text from files and people, made harmless where it enters.

use std::path::Path;

use unicode_normalization::UnicodeNormalization;

/// Takes out what could paint a screen or hide in a print, and composes what is left (NFC).
///
/// Gone are C0 and C1 controls, escape, bidirectional controls, zero-width characters and soft hyphens, tags,
/// variation selectors and private-use characters; line breaks and tabs become blanks.
pub fn clean(text: &str) -> String {
    // Composed last: what is taken out may have stood between a letter and its mark.
    text.chars().filter_map(keep).nfc().collect()
}

/// Returns a path as it can be shown: a name of a file may hold what would paint the screen.
pub fn shown(path: &Path) -> String {
    clean(&path.display().to_string())
}

/// Returns bytes, such as a SHA-256, in hexadecimal letters.
pub fn hex(bytes: impl AsRef<[u8]>) -> String {
    let bytes = bytes.as_ref().iter();
    bytes.map(|byte| format!("{byte:02x}")).collect()
}

fn keep(c: char) -> Option<char> {
    match c {
        '\n' | '\r' | '\t' | '\u{85}' | '\u{2028}' | '\u{2029}' => Some(' '),
        c if c.is_control() => None,
        '\u{ad}'
        | '\u{34f}'
        | '\u{61c}'
        | '\u{115f}'
        | '\u{1160}'
        | '\u{17b4}'
        | '\u{17b5}'
        | '\u{180b}'..='\u{180f}' => None,
        '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{206f}' => None,
        '\u{3164}'
        | '\u{feff}'
        | '\u{ffa0}'
        | '\u{fe00}'..='\u{fe0f}'
        | '\u{fff0}'..='\u{fffb}' => None,
        '\u{1bca0}'..='\u{1bca3}' | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}' => None,
        '\u{e000}'..='\u{f8ff}' | '\u{f0000}'..='\u{10ffff}' => None,
        c => Some(c),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_text_stays() {
        for text in [
            "24-0381",
            "Müller-Lüdenscheid? no: case 7",
            "日本語",
            "½ µm ±",
        ] {
            assert_eq!(clean(text), text);
        }
    }

    #[test]
    fn what_paints_or_hides_goes() {
        assert_eq!(clean("a\u{1b}[31mb\u{9b}c\u{7}"), "a[31mbc");
        assert_eq!(clean("a\u{202e}b\u{2066}c\u{200b}d\u{feff}e"), "abcde");
        assert_eq!(clean("one\r\ntwo\tthree"), "one  two three");
    }

    #[test]
    fn bytes_become_two_letters_each() {
        assert_eq!(hex([0, 10, 0x7f, 255]), "000a7fff");
    }

    #[test]
    fn combining_marks_are_composed() {
        assert_eq!(clean("e\u{301}"), "é");
    }
}
