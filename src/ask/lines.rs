//! Lines as they come in: cleaned, and never longer than anybody types.

use std::io::{self, BufRead, Read as _};

use crate::phrase::pages::ask as said;
use crate::text::clean;

/// The most bytes of a line; the longest text that a case saves is far shorter.
pub(super) const MOST: u64 = 4096;

/// A line that came in.
#[derive(PartialEq, Debug)]
pub enum Line {
    /// Its text, without what stands around it.
    Text(String),
    /// One that cannot be read, and why.
    Odd(String),
}

/// Reads the next line, or returns `None` at the end of the input. A line that is too long is dropped whole.
pub fn next(input: &mut dyn BufRead) -> io::Result<Option<Line>> {
    let mut bytes = Vec::new();
    input.take(MOST).read_until(b'\n', &mut bytes)?;
    if bytes.is_empty() {
        return Ok(None);
    }
    if bytes.len() as u64 == MOST && bytes.last() != Some(&b'\n') {
        skip(input)?;
        return Ok(Some(Line::Odd(said::long_line(MOST))));
    }
    Ok(Some(match std::str::from_utf8(&bytes) {
        Ok(text) => Line::Text(clean(text).trim().to_owned()),
        Err(_) => Line::Odd(said::NOT_UTF8.to_owned()),
    }))
}

/// Passes over the rest of a line without keeping it.
fn skip(input: &mut dyn BufRead) -> io::Result<()> {
    loop {
        let here = input.fill_buf()?;
        if here.is_empty() {
            return Ok(());
        }
        match here.iter().position(|byte| *byte == b'\n') {
            Some(at) => {
                input.consume(at + 1);
                return Ok(());
            }
            None => {
                let all = here.len();
                input.consume(all);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(bytes: &[u8]) -> Vec<Line> {
        let mut input = bytes;
        std::iter::from_fn(|| next(&mut input).unwrap_or_default()).collect()
    }

    fn text(text: &str) -> Line {
        Line::Text(text.to_owned())
    }

    #[test]
    fn lines_end_as_any_system_ends_them() {
        let wanted = [text("1"), text(""), text("4,4"), text("last")];
        assert_eq!(all(b"\xef\xbb\xbf1\n\r\n 4,4 \r\nlast"), wanted);
    }

    #[test]
    fn what_cannot_be_read_is_passed_over_whole() {
        let mut input = vec![b'1'; 3 * MOST as usize];
        input.extend(b"\n2\n\xff\xfe\n3\n");
        let read = all(&input);
        assert!(matches!(&read[0], Line::Odd(why) if why.contains("longer")));
        assert_eq!(read[1], text("2"));
        assert!(matches!(&read[2], Line::Odd(why) if why.contains("UTF-8")));
        assert_eq!(read[3..], [text("3")]);
    }
}
