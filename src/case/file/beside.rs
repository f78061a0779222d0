//! Who has a case, its photographs and files, and what became of it, in a case file.

use std::fmt::Write as _;

use super::{CaseShape, Reader};
use crate::case::beside::{CaseFile, Handed, MAX_NOTE, MAX_PATH, MOST_FILES};
use crate::case::code::{Whose, check_code};
use crate::case::outcome::Outcome;
use crate::case::{Case, Units};
use crate::phrase::faults as said;
use crate::phrase::faults::case as faults;
use crate::ronfile::Raw;

/// The letters of a digest.
const DIGEST: usize = 64;

impl<'s> Reader<'s> {
    pub(super) fn handed(&mut self, raw: Raw<'s>) -> Option<Handed> {
        let handed = self.parsed::<Handed>(raw)?.cleaned();
        let span = raw.span(self.source);
        if let Err(why) = check_code(&handed.to, Whose::Bench) {
            self.problem("case-handed", span, faults::code(why));
            return None;
        }
        if handed.note.chars().count() > MAX_NOTE {
            self.problem("case-text", span, said::long_text(MAX_NOTE));
            return None;
        }
        Some(handed)
    }

    /// What became of restorations: each of one that the case has, at a unit or connector of it.
    pub(super) fn outcomes(
        &mut self,
        shape: &CaseShape<'s>,
        units: Option<&Units>,
    ) -> Vec<Outcome> {
        let mut outcomes = Vec::new();
        for raw in &shape.outcomes {
            let Some(outcome) = self.parsed::<Outcome>(*raw) else {
                continue;
            };
            let id = outcome.restoration;
            let there = |own: &Units| {
                own.restoration(id).is_some() && outcome.at.is_none_or(|at| own.is_part(id, at))
            };
            if units.is_some_and(|own| !there(own)) {
                let span = raw.span(self.source);
                let fault = match outcome.at {
                    Some(at) => faults::outcome_at(at, id),
                    None => faults::no_restoration(id),
                };
                self.problem("case-life", span, fault);
                continue;
            }
            outcomes.push(outcome);
        }
        outcomes
    }

    pub(super) fn files(&mut self, shape: &CaseShape<'s>) -> Vec<CaseFile> {
        let mut files = Vec::new();
        if shape.files.len() > MOST_FILES {
            let span = shape.number.span(self.source);
            let fault = faults::too_many_files(shape.files.len(), MOST_FILES);
            self.problem("case-too-long", span, fault);
            return files;
        }
        for raw in &shape.files {
            let Some(file) = self.parsed::<CaseFile>(*raw) else {
                continue;
            };
            let digest = file.sha256.chars().count() == DIGEST
                && file.sha256.chars().all(|c| c.is_ascii_hexdigit());
            let path = !file.path.is_empty() && file.path.chars().count() <= MAX_PATH;
            if digest && path {
                files.push(file);
            } else {
                let span = raw.span(self.source);
                self.problem("case-file", span, faults::case_file(&file.shown()));
            }
        }
        files
    }
}

/// Writes who has the case, and its files, one a line. The note, and the files, whose paths may name anybody, are left
/// out unless free text is asked for.
pub(super) fn write(out: &mut String, case: &Case, free_text: bool) -> Result<(), ron::Error> {
    if let Some(handed) = &case.handed {
        let _ = write!(out, "    handed: (to: {}", ron::to_string(&handed.to)?);
        if free_text && !handed.note.is_empty() {
            let _ = write!(out, ", note: {}", ron::to_string(&handed.note)?);
        }
        if let Some(on) = &handed.on {
            let _ = write!(out, ", on: {}", ron::to_string(on)?);
        }
        if let Some(who) = &handed.who {
            let _ = write!(out, ", who: {}", ron::to_string(who)?);
        }
        if let Some(when) = &handed.when {
            let _ = write!(out, ", when: {}", ron::to_string(when)?);
        }
        out.push_str("),\n");
    }
    if free_text && !case.files.is_empty() {
        out.push_str("    files: [\n");
        for file in &case.files {
            let _ = writeln!(
                out,
                "        (path: {}, sha256: {}, bytes: {}),",
                ron::to_string(&file.path)?,
                ron::to_string(&file.sha256)?,
                file.bytes
            );
        }
        out.push_str("    ],\n");
    }
    Ok(())
}
