//! A look into the log that SQLite keeps beside the archive until its pages are taken over.
//!
//! SQLite reads the log up to the first page whose checksum is wrong and drops what comes after it without a word: right
//! after a power cut, when the last answer was not flushed yet, and wrong where the page was damaged later. An answer is
//! written only once the one before it was flushed. So where pages of two answers lie at and behind the first bad one, the
//! first of the two had been flushed, and was damaged later.

use std::fs::File;
use std::io::Read as _;
use std::path::Path;

/// The bytes of the log's head and of the head of each page in it (sqlite.org/fileformat2.html, 4.1 and 4.2).
const HEAD: usize = 32;
const PAGE_HEAD: usize = 24;

/// The most that is looked through, in bytes. SQLite takes the pages over at about 4 MB.
const MOST: u64 = 1 << 28;

/// Returns how many pages are lost behind damage in the log of an archive.
pub(super) fn lost(log: &Path) -> usize {
    for _ in 0..3 {
        let Some(bytes) = read(log) else { return 0 };
        let lost = lost_in(&bytes);
        // A log that was begun anew meanwhile was read half from before and half from after.
        if lost == 0 || read(log).is_some_and(|again| again.get(..HEAD) == bytes.get(..HEAD)) {
            return lost;
        }
    }
    0
}

fn read(log: &Path) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let file = File::open(log).ok()?;
    file.take(MOST).read_to_end(&mut bytes).ok()?;
    Some(bytes)
}

/// Returns how many pages of the log lie behind the first bad one, where they are not of the last answer alone.
pub(super) fn lost_in(log: &[u8]) -> usize {
    let Some((head, frames)) = log.split_at_checked(HEAD) else {
        return 0;
    };
    let (magic, size) = (word(head, 0), word(head, 8));
    let size = usize::try_from(size).unwrap_or_default();
    // The last bit of the magic number says in which order the bytes of a checksum's words are taken.
    let big = match magic {
        0x377f_0682 => false,
        0x377f_0683 => true,
        _ => return 0,
    };
    if !(512..=65536).contains(&size) {
        return 0;
    }
    let salt = head.get(16..24);
    let mut sum = checksum((0, 0), head.get(..24).unwrap_or_default(), big);
    if sum != (word(head, 24), word(head, 28)) {
        return 0;
    }
    let mut bad = false;
    // Whether an answer ended at or behind the first bad page, and the pages that lie behind it.
    let (mut ended, mut behind, mut later) = (false, 0, false);
    for frame in frames.chunks_exact(PAGE_HEAD + size) {
        let (own, page) = frame.split_at(PAGE_HEAD);
        let of_this_log = own.get(8..16) == salt;
        if !bad {
            sum = checksum(sum, own.get(..8).unwrap_or_default(), big);
            sum = checksum(sum, page, big);
            bad = !of_this_log || sum != (word(own, 16), word(own, 20));
            ended = bad && of_this_log && word(own, 4) != 0;
        } else if of_this_log {
            behind += 1;
            later |= ended;
            ended |= word(own, 4) != 0;
        }
    }
    if later { behind } else { 0 }
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
