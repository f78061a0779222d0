//! A journal as a text: a line that says what it is, then one entry a line, each as JSON.
//!
//! A case file tells what is known of a case; a journal file tells how it came to be known: who, when, in which order.
//! It is for moving a case, or all of them, from one archive to another, and comes back as the same entries.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use serde_json::Value as Json;
use sha2::{Digest, Sha256};

use super::{Body, Entry, fold};
use crate::fact::{ORDER_DENTIST, Value};
use crate::phrase::faults::journal as said;
use crate::text::hex;

/// The format of journal files that this program writes.
pub const FORMAT: u32 = 1;

/// The longest line that is read, in bytes; far above any entry.
pub const MOST_BYTES: usize = 4 << 20;

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Head {
    casepan: String,
    format: u32,
    case: String,
    entries: usize,
    free_text: bool,
    /// SHA-256 over the lines that follow, in hexadecimal letters: a slip of a hand or of a disk shows. It proves nothing
    /// against whoever means to change it.
    sha256: String,
}

const JOURNAL: &str = "journal";

/// Writes a journal. Without `free_text`, what people wrote in words of their own is left out: texts of answers but the
/// dentist's code, words and cost of what was decided, and notes. A file of the case is named by the beginning of its
/// digest.
///
/// # Errors
/// An entry that JSON cannot write; no entry that came out of an archive is one.
pub fn write(
    number: &str,
    journal: &[Entry],
    free_text: bool,
) -> Result<String, serde_json::Error> {
    let mut lines = String::new();
    let mut files = BTreeMap::new();
    for entry in journal {
        let line = if free_text {
            serde_json::to_string(entry)?
        } else {
            serde_json::to_string(&without_free_text(entry, &mut files)?)?
        };
        lines.push_str(&line);
        lines.push('\n');
    }
    let head = Head {
        casepan: JOURNAL.to_owned(),
        format: FORMAT,
        case: number.to_owned(),
        entries: journal.len(),
        free_text,
        sha256: digest(&lines),
    };
    Ok(serde_json::to_string(&head)? + "\n" + &lines)
}

fn digest(lines: &str) -> String {
    hex(Sha256::digest(lines.as_bytes()))
}

/// A journal that was read from a file.
#[derive(Clone, PartialEq, Debug)]
pub struct Carried {
    /// The case's number.
    pub number: String,
    /// Its entries.
    pub journal: Vec<Entry>,
    /// Whether what people wrote in words of their own is in them.
    pub free_text: bool,
}

/// Why a text is no journal.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct NoJournal {
    /// The line, the first being 1.
    pub line: usize,
    /// What is wrong with it.
    pub why: String,
}

impl std::fmt::Display for NoJournal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&said::in_line(self.line, &self.why))
    }
}

impl std::error::Error for NoJournal {}

/// Reads a journal file.
///
/// # Errors
/// The first line that is not as it was written, or what is missing at the end.
pub fn read(text: &str) -> Result<Carried, NoJournal> {
    let at = |line: usize, why: String| NoJournal { line, why };
    let mut lines = text.lines().zip(1..);
    let (first, _) = lines.next().ok_or(at(1, said::EMPTY.to_owned()))?;
    let head: Head = parsed(first).map_err(|why| at(1, said::no_head(&why)))?;
    if head.casepan != JOURNAL {
        return Err(at(1, said::no_head(&head.casepan)));
    }
    if head.format != FORMAT {
        return Err(at(1, said::other_format(head.format, FORMAT)));
    }
    crate::case::file::check_number(&head.case).map_err(|why| at(1, why))?;
    let mut journal: Vec<Entry> = Vec::new();
    let mut last = 1;
    for (line, number) in lines {
        last = number;
        let entry: Entry = parsed(line).map_err(|why| at(number, why))?;
        if entry.seen != journal.len() as u64 {
            return Err(at(
                number,
                said::out_of_order(entry.seen + 1, journal.len() + 1),
            ));
        }
        if journal.iter().any(|own| own.id == entry.id) {
            return Err(at(number, said::TWICE.to_owned()));
        }
        match &entry.body {
            Body::Opened { number: own, .. } if *own != head.case => {
                return Err(at(number, said::other_case(own, &head.case)));
            }
            _ => journal.push(entry),
        }
    }
    // A file that was cut off ends at a line's end as well as anywhere else.
    if journal.len() != head.entries || !text.ends_with('\n') {
        return Err(at(last, said::cut_off(journal.len(), head.entries)));
    }
    let rest = text.split_once('\n').map_or("", |(_, rest)| rest);
    if digest(rest) != head.sha256 {
        return Err(at(1, said::CHANGED.to_owned()));
    }
    fold(&journal).map_err(|error| at(last, error.to_string()))?;
    Ok(Carried {
        number: head.case,
        journal,
        free_text: head.free_text,
    })
}

fn parsed<'t, T: Deserialize<'t>>(line: &'t str) -> Result<T, String> {
    if line.len() > MOST_BYTES {
        return Err(said::long(MOST_BYTES));
    }
    serde_json::from_str(line).map_err(|error| {
        // Each line is a text of its own to the reader, so that its line 1 would only mislead.
        let said = error.to_string();
        let plain = said.split(" at line ").next().unwrap_or(&said);
        said::at_character(plain, error.column())
    })
}

/// Returns an entry without what people wrote in words of their own. It stays an entry at its place: the numbers of those
/// after it count it. `files` are those that the entries up to it name, each with what it is called instead.
fn without_free_text(
    entry: &Entry,
    files: &mut BTreeMap<String, String>,
) -> Result<Entry, serde_json::Error> {
    note_files(&serde_json::to_value(entry)?, files);
    let mut entry = entry.clone();
    entry.body = bare(entry.body, files);
    let mut json = serde_json::to_value(&entry)?;
    let is_code = matches!(&entry.body, Body::Answer { spot, .. } if spot.fact == ORDER_DENTIST);
    blank(&mut json, is_code);
    serde_json::from_value(json)
}

/// Notes the files that an entry names, wherever they stand in it: where one is attached, and in what is put back.
fn note_files(json: &Json, files: &mut BTreeMap<String, String>) {
    match json {
        Json::Object(fields) => {
            let text = |name| fields.get(name).and_then(Json::as_str);
            if let (Some(path), Some(digest)) = (text("path"), text("sha256")) {
                files.insert(path.to_owned(), in_short(digest));
            }
            fields.values().for_each(|own| note_files(own, files));
        }
        Json::Array(list) => list.iter().for_each(|own| note_files(own, files)),
        _ => {}
    }
}

fn in_short(digest: &str) -> String {
    digest.chars().take(8).collect()
}

/// A text of its own, as an answer, becomes no answer.
fn bare(body: Body, files: &BTreeMap<String, String>) -> Body {
    match body {
        Body::Detached { path } => Body::Detached {
            path: files.get(&path).cloned().unwrap_or_default(),
        },
        Body::Answer {
            spot,
            value: Value::Text(_),
            layer,
            undoes,
            ..
        } if spot.fact != ORDER_DENTIST => Body::Clear {
            spot,
            layer,
            undoes,
        },
        Body::Differs {
            body,
            against,
            over,
        } => Body::Differs {
            body: Box::new(bare(*body, files)),
            against,
            over,
        },
        other => other,
    }
}

/// Fields that hold words of people's own, wherever they stand.
const OWN_WORDS: [&str; 3] = ["words", "cost", "note"];

/// Empties own words in everything else: they stand deep in decisions, in what was put back and in what was judged.
///
/// `is_code` below the spot of the dentist's code: that is no text of somebody's own.
fn blank(json: &mut Json, is_code: bool) {
    match json {
        Json::Object(fields) => {
            let digest = fields.get("sha256").and_then(Json::as_str).map(in_short);
            if let (Some(digest), Some(path)) = (digest, fields.get_mut("path")) {
                *path = Json::String(digest);
            }
            for (name, value) in fields.iter_mut() {
                match value {
                    Json::String(text) if OWN_WORDS.contains(&name.as_str()) => text.clear(),
                    Json::String(text) if name == "Text" && !is_code => text.clear(),
                    other => blank(other, is_code),
                }
            }
        }
        Json::Array(list) => {
            let code =
                |own: &Json| own.get("fact").and_then(Json::as_str) == Some(ORDER_DENTIST.as_str());
            let is_code = is_code || list.iter().any(code);
            for value in list.iter_mut() {
                blank(value, is_code);
            }
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use jiff::Timestamp;
    use uuid::Uuid;

    use super::*;
    use crate::case::beside::CaseFile;
    use crate::case::journal::Before;

    fn photo(digest: char) -> CaseFile {
        CaseFile {
            path: "/photos/upper left.jpg".to_owned(),
            sha256: digest.to_string().repeat(64),
            bytes: 7,
        }
    }

    fn paths(bodies: Vec<Body>) -> Vec<String> {
        let entry = |body| Entry {
            id: Uuid::new_v4(),
            seen: 0,
            session: Uuid::new_v4(),
            when: Timestamp::UNIX_EPOCH,
            who: None,
            body,
        };
        let journal: Vec<Entry> = bodies.into_iter().map(entry).collect();
        let text = write("1", &journal, false).unwrap();
        assert!(!text.contains("upper left"), "{text}");
        let lines = text.lines().skip(1);
        let entries = lines.map(|line| serde_json::from_str::<Entry>(line).unwrap());
        let own = entries.filter_map(|entry| match entry.body {
            Body::Attached { file } => Some(file.path),
            Body::Detached { path } => Some(path),
            _ => None,
        });
        own.collect()
    }

    #[test]
    fn a_file_is_detached_by_the_name_that_stands_for_it() {
        let attached = |digest| Body::Attached {
            file: photo(digest),
        };
        let detached = || Body::Detached {
            path: photo('a').path,
        };
        let put_back = Body::PutBack {
            before: Box::new(Before {
                files: Some(vec![photo('b')]),
                ..Before::default()
            }),
            undoes: Uuid::new_v4(),
        };
        // One that came with what was put back has been attached nowhere else.
        assert_eq!(paths(vec![put_back, detached()]), ["bbbbbbbb"]);
        // Another content under the same name.
        assert_eq!(
            paths(vec![attached('a'), detached(), attached('b'), detached()]),
            ["aaaaaaaa", "aaaaaaaa", "bbbbbbbb", "bbbbbbbb"]
        );
    }
}
