//! Prints of the case under inspection, into files.

use std::path::{Path, PathBuf};

use jiff::tz::TimeZone;

use super::Desk;
use crate::derive::Facts;
use crate::error::{Error, Trouble};
use crate::files::{free_stem, make_folder, name_of, path_of, write_new};
use crate::judge::doubt::doubt;
use crate::options::{CaseOption, case_options};
use crate::phrase::Phrase;
use crate::phrase::prompts::desk as prompts;
use crate::print::{Beside, Document, Format, Imprint, Record, Sheet, Told, print};
use crate::session::{Command, Inspection, Moment};
use crate::text::clean;
use crate::text::shown as named;

/// What the files of what came back are named.
pub(super) const RETURNS: &str = "returns";
/// What the files of rules on trial are named.
pub(super) const RULES: &str = "rules";
/// What the files of what a dentist is asked after are named.
pub(super) const FOLLOW_UP: &str = "follow-up";

impl Desk {
    pub(super) fn print(&mut self, moment: &Moment) -> Result<(), Error> {
        // A sheet is worked from when the screen is long gone: it says what is in the archive now.
        let _ = self.flush();
        self.say_unsaved();
        let unchecked = match self.hear_others(moment) {
            Ok(Some(news)) if self.ticks => {
                let key = self.session.keymap.key(Command::Print);
                self.session.notice = Some(prompts::print_again(&news, key));
                return Ok(());
            }
            other => other.is_err() || self.gone.is_some(),
        };
        let Some(inspection) = &self.session.inspection else {
            return Ok(());
        };
        let ways = inspection.ways.as_ref().map(|ways| ways.singles.as_slice());
        let shown = self.print_one(inspection, ways, (moment, unchecked))?;
        self.session.notice = Some(prompts::printed(&named(&shown)));
        Ok(())
    }

    /// Prints each of these cases as the one under inspection is printed.
    pub(super) fn print_cases(&mut self, numbers: &[String], moment: &Moment) -> Result<(), Error> {
        let mut shown = None;
        let unchecked = self.gone.is_some() || self.is_there().is_err();
        for number in numbers {
            let printed = self.inspection_of(number).and_then(|inspection| {
                let facts = inspection.facts();
                let ways = case_options(inspection.flow(), &facts, inspection.judgement());
                self.print_one(&inspection, Some(&ways), (moment, unchecked))
            });
            // Those that were written stay picked no longer, so that the rest can be tried again.
            match printed {
                Ok(path) => shown = Some(path),
                Err(mut error) => {
                    error.sentence = prompts::not_printed(&clean(number), &error.sentence);
                    return Err(error);
                }
            }
            self.session.listing.picked.remove(number);
        }
        self.session.notice = shown.map(|path| match numbers.len() {
            1 => prompts::printed(&named(&path)),
            count => prompts::printed_cases(count, &named(&self.prints)),
        });
        Ok(())
    }

    /// Prints what is no sheet of a case, as text and as HTML.
    pub(super) fn print_document(&mut self, name: &str, document: &Document) -> Result<(), Error> {
        let html = document.to_html();
        let html = html.map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
        let texts = [
            (".txt".to_owned(), document.to_text()),
            (".html".to_owned(), html),
        ];
        let shown = write_set(&self.prints, name, &texts)?;
        self.session.notice = Some(prompts::printed_returns(&named(&shown)));
        Ok(())
    }

    /// Prints a case; returns the path of its files without an ending. `unchecked` if the archive could not be asked.
    fn print_one(
        &self,
        inspection: &Inspection,
        ways: Option<&[CaseOption]>,
        (moment, unchecked): (&Moment, bool),
    ) -> Result<PathBuf, Error> {
        let found = match unchecked {
            true => None,
            false => self.record_of(inspection),
        };
        let waiting = self.waiting(&inspection.case().number);
        let record = match &found {
            _ if waiting > 0 => Record::NotSaved(usize::try_from(waiting).unwrap_or(usize::MAX)),
            Some((entry, root)) => Record::From {
                entry: *entry,
                root,
            },
            None => Record::NotChecked,
        };
        let facts = Facts::of(inspection.flow(), inspection.case());
        let phrase = Phrase {
            flow: inspection.flow(),
            notation: self.session.notation,
        };
        let instructions = self.session.standing();
        // A print waits for it; the screen does not.
        let doubt = doubt(
            inspection.flow(),
            inspection.case(),
            &facts,
            inspection.judgement(),
        );
        let told = Told {
            facts: &facts,
            judgement: inspection.judgement(),
            doubt: Some(&doubt),
            phrase,
            beside: Beside {
                instructions: &instructions,
                ways,
                earlier: &inspection.earlier,
                today: self.session.today,
                imprint: Imprint {
                    laboratory: Some(&self.laboratory),
                    who: self.who.as_deref(),
                    printed: Some(moment.now.to_zoned_datetime(TimeZone::system()).datetime()),
                    record: Some(record),
                },
            },
        };
        let mut texts = Vec::new();
        for sheet in Sheet::ALL {
            let ending = format!("-{}.txt", sheet.name());
            texts.push((ending, in_format(told, &[sheet], Format::Text)?));
        }
        texts.push((
            ".html".to_owned(),
            in_format(told, &Sheet::ALL, Format::Html)?,
        ));
        write_set(&self.prints, &inspection.case().number, &texts)
    }
}

fn in_format(told: Told<'_>, sheets: &[Sheet], format: Format) -> Result<String, Error> {
    print(told, sheets, format).map_err(|error| Error::new(Trouble::Bug, error.to_string()))
}

/// Writes the prints of a case, each an ending with its text, under a name that no print has yet; returns that name with
/// its whole path, without an ending.
///
/// An older print stays as it is, with the hour in its foot: it may lie in a pan, and whoever compares needs both.
fn write_set(folder: &Path, number: &str, texts: &[(String, String)]) -> Result<PathBuf, Error> {
    if !folder.as_os_str().is_empty() {
        make_folder(folder).map_err(|mut error| {
            error.hints = vec![prompts::OTHER_PRINT_FOLDER.to_owned()];
            error
        })?;
    }
    let stem = format!("casepan-{}", name_of(number));
    let endings: Vec<String> = texts.iter().map(|(ending, _)| ending.clone()).collect();
    // Another bench may take the name between the look and the write: then the next one is free.
    'name: loop {
        let free = free_stem(folder, &stem, &endings);
        for (ending, text) in texts {
            if !write_new(&path_of(folder, &free, ending), text)? {
                continue 'name;
            }
        }
        let shown = folder.join(free);
        return Ok(std::path::absolute(&shown).unwrap_or(shown));
    }
}
