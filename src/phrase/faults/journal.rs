//! What is wrong with a journal file.

/// There is nothing in it.
pub const EMPTY: &str = "the file is empty";
/// An entry that is there already.
pub const TWICE: &str = "this entry is in the file twice";

/// The entries are not those that were written.
pub const CHANGED: &str = "the entries are not as they were exported; copy the file again";

/// The line it is in, the first being 1.
pub fn in_line(line: usize, why: &str) -> String {
    format!("line {line}: {why}")
}

/// The first line does not say that this is a journal; `why` as it was found.
pub fn no_head(why: &str) -> String {
    format!("this is no journal file of casepan ({why})")
}

/// A format that this program does not know.
pub fn other_format(found: u32, known: u32) -> String {
    format!("the file has format {found}; this program reads format {known}")
}

/// An entry at the wrong place; both counted from 1.
pub fn out_of_order(own: u64, place: usize) -> String {
    format!(
        "entry {own} stands where entry {place} belongs; the file has lost lines, or they were moved; copy it again"
    )
}

/// An entry of another case.
pub fn other_case(own: &str, case: &str) -> String {
    format!("this entry opens case \"{own}\", not \"{case}\"")
}

/// The file ends too soon, or goes on too long.
pub fn cut_off(found: usize, wanted: usize) -> String {
    format!("{found} of {wanted} entries are there; copy the file again")
}

/// A line that is too long.
pub fn long(most: usize) -> String {
    format!("the line is longer than {} MiB", most >> 20)
}

/// What is wrong within a line, and at which character, the first being 1.
pub fn at_character(why: &str, character: usize) -> String {
    format!("{why} (character {character})")
}
