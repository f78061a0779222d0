//! A look into the log that SQLite keeps beside the archive until its pages are taken over.
//!
//! SQLite reads the log up to the first page whose checksum is wrong and drops what comes after it without a word: right
//! after a power cut, when the last answer was not flushed yet, and wrong where the page was damaged later. An answer is
//! written only once the one before it was flushed. So where pages of two answers lie at and behind the first bad one, the
//! first of the two had been flushed, and was damaged later.

use std::fs::File;
use std::io::Read as _;
use std::ops::Range;
use std::path::Path;

/// The bytes of the log's head and of the head of each page in it (sqlite.org/fileformat2.html, 4.1 and 4.2).
const HEAD: usize = 32;
const PAGE_HEAD: usize = 24;

/// The most that is looked through, in bytes. SQLite takes the pages over at about 4 MB.
const MOST: u64 = 1 << 28;

/// Returns how many pages are lost behind damage in the log of an archive.
pub(super) fn lost(log: &Path) -> usize {
    lost_twice(|| read(log))
}

/// Returns how many pages are lost in a log, where two readings find the same damage. Others may write meanwhile: a log is
/// then read half from before and half from after, and the next reading finds it another, or whole.
pub(super) fn lost_twice(mut read: impl FnMut() -> Option<Vec<u8>>) -> usize {
    let mut before = None;
    for _ in 0..4 {
        let Some(bytes) = read() else { return 0 };
        let (lost, bad) = lost_in(&bytes);
        if lost == 0 {
            return 0;
        }
        let part = |range| bytes.get(range).map(<[u8]>::to_vec);
        let found = (part(0..HEAD), bad.clone(), part(bad));
        if before.as_ref() == Some(&found) {
            return lost;
        }
        before = Some(found);
    }
    0
}

fn read(log: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let file = File::open(log).ok()?;
    file.take(MOST).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

/// Returns how many pages of the log lie behind the first bad one, where they are not of the last answer alone; and where
/// that one lies.
pub(super) fn lost_in(log: &[u8]) -> (usize, Range<usize>) {
    const NONE: (usize, Range<usize>) = (0, 0..0);
    let Some((head, frames)) = log.split_at_checked(HEAD) else {
        return NONE;
    };
    let (magic, size) = (word(head, 0), word(head, 8));
    let size = usize::try_from(size).unwrap_or_default();
    // The last bit of the magic number says in which order the bytes of a checksum's words are taken.
    let big = match magic {
        0x377f_0682 => false,
        0x377f_0683 => true,
        _ => return NONE,
    };
    if !(512..=65536).contains(&size) {
        return NONE;
    }
    let salt = head.get(16..24);
    let mut sum = checksum((0, 0), head.get(..24).unwrap_or_default(), big);
    if sum != (word(head, 24), word(head, 28)) {
        return NONE;
    }
    let mut bad = None;
    // Whether an answer ended at or behind the first bad page, and the pages that lie behind it.
    let (mut ended, mut behind, mut later) = (false, 0, false);
    for (frame, at) in frames.chunks_exact(PAGE_HEAD + size).zip(0..) {
        let (own, page) = frame.split_at(PAGE_HEAD);
        let of_this_log = own.get(8..16) == salt;
        if bad.is_none() {
            sum = checksum(sum, own.get(..8).unwrap_or_default(), big);
            sum = checksum(sum, page, big);
            if !of_this_log || sum != (word(own, 16), word(own, 20)) {
                bad = Some(at);
                ended = of_this_log && word(own, 4) != 0;
            }
        } else if of_this_log {
            behind += 1;
            later |= ended;
            ended |= word(own, 4) != 0;
        }
    }
    match bad {
        Some(at) if later => {
            let begin = HEAD + at * (PAGE_HEAD + size);
            (behind, begin..begin + PAGE_HEAD + size)
        }
        _ => NONE,
    }
}

/// Returns four bytes as a number, the greatest first.
fn word(bytes: &[u8], at: usize) -> u32 {
    let four = bytes.get(at..at + 4).and_then(|four| four.try_into().ok());
    four.map(u32::from_be_bytes).unwrap_or_default()
}

fn checksum(mut sum: (u32, u32), bytes: &[u8], big: bool) -> (u32, u32) {
    for pair in bytes.chunks_exact(8) {
        let read = |at: usize| match big {
            true => word(pair, at),
            false => word(pair, at).swap_bytes(),
        };
        sum.0 = sum.0.wrapping_add(read(0)).wrapping_add(sum.1);
        sum.1 = sum.1.wrapping_add(read(4)).wrapping_add(sum.0);
    }
    sum
}
