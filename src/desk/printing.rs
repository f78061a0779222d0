//! Prints of the case under inspection, into files.

use jiff::tz::TimeZone;

use super::Desk;
use crate::derive::Facts;
use crate::error::{Error, Trouble};
use crate::files::write_whole;
use crate::judge::doubt::doubt;
use crate::phrase::Phrase;
use crate::phrase::prompts::desk as prompts;
use crate::print::{Beside, Format, Imprint, Record, Sheet, Told, print};
use crate::session::{Command, Moment};

impl Desk {
    pub(super) fn print(&mut self, moment: &Moment) -> Result<(), Error> {
        // A sheet is worked from when the screen is long gone: it says what is in the archive now.
        let _ = self.flush();
        self.say_unsaved();
        let mut root = String::new();
        let record = match self.hear_others(moment) {
            Ok(Some(news)) if self.ticks => {
                let key = self.session.keymap.key(Command::Print);
                self.session.notice = Some(prompts::print_again(&news, key));
                return Ok(());
            }
            Ok(_) if self.gone.is_some() => Record::NotChecked,
            Ok(_) if self.has_unsaved() => Record::NotSaved(self.unsaved.len()),
            Ok(_) => match self.record() {
                Some((entry, hash)) => {
                    root.push_str(&hash);
                    Record::From { entry, root: &root }
                }
                None => Record::NotChecked,
            },
            Err(_) => Record::NotChecked,
        };
        let Some(inspection) = &self.session.inspection else {
            return Ok(());
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
                ways: inspection.ways.as_ref().map(|ways| ways.singles.as_slice()),
                today: self.session.today,
                imprint: Imprint {
                    laboratory: Some(&self.laboratory),
                    who: self.who.as_deref(),
                    printed: Some(moment.now.to_zoned_datetime(TimeZone::system()).datetime()),
                    record: Some(record),
                },
            },
        };
        let number: String = inspection
            .case()
            .number
            .chars()
            .map(|c| if c.is_alphanumeric() { c } else { '-' })
            .collect();
        if !self.prints.as_os_str().is_empty() {
            std::fs::create_dir_all(&self.prints).map_err(|error| {
                let what = prompts::folder_not_made(&self.prints.display(), &error);
                Error::new(Trouble::CannotCreate, what).hint(prompts::OTHER_PRINT_FOLDER)
            })?;
        }
        let write = |sheets: &[Sheet], format, name: &str| {
            let text = print(told, sheets, format)
                .map_err(|error| Error::new(Trouble::Bug, error.to_string()))?;
            write_whole(&self.prints.join(format!("casepan-{number}{name}")), &text)
        };
        for sheet in Sheet::ALL {
            write(&[sheet], Format::Text, &format!("-{}.txt", sheet.name()))?;
        }
        write(&Sheet::ALL, Format::Html, ".html")?;
        let shown = self.prints.join(format!("casepan-{number}"));
        self.session.notice = Some(prompts::printed(&shown.display()));
        Ok(())
    }
}
