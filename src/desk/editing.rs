//! A rule's own text in an editor: what the files say then is checked, and shown before the open case is moved to it.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::Desk;
use super::filling::Flows;
use crate::error::{Error, Trouble};
use crate::flow::difference::difference;
use crate::flow::{from_directory, run_examples};
use crate::phrase::prompts::editing as said;
use crate::ronfile::Severity;

/// A rule that is being edited.
pub(super) struct Editing {
    file: PathBuf,
    line: usize,
    before: Option<String>,
}

impl Desk {
    /// Lets rules be edited where the flow's files are in a directory of one's own.
    pub fn edits_in(&mut self, directory: Option<PathBuf>) {
        self.own_flow = directory;
        self.session.supervisor = true;
    }

    /// Begins to edit a rule.
    ///
    /// # Errors
    /// The flow is the built-in one, or its files do not have the rule.
    pub(super) fn edit_rule(&mut self, rule: &str) -> Result<(), Error> {
        let Some(directory) = &self.own_flow else {
            return Err(Error::new(Trouble::Usage, said::BUILT_IN).hint(said::BUILT_IN_HINT));
        };
        let stands = self.flow.rules.iter().find(|own| own.id == rule);
        let stands = stands.and_then(|own| {
            let (file, line) = own.stands.rsplit_once(':')?;
            Some((directory.join(file), line.parse().ok()?))
        });
        let Some((file, line)) = stands else {
            return Err(Error::new(Trouble::Usage, said::no_rule(rule, directory)));
        };
        self.editing = Some(Editing {
            before: text_of(&file),
            file,
            line,
        });
        Ok(())
    }

    /// Returns which file is to be edited, and at which line, or `None` if none is.
    pub fn editing(&self) -> Option<(PathBuf, usize)> {
        let own = self.editing.as_ref()?;
        Some((own.file.clone(), own.line))
    }

    /// Takes in what was edited, or says why it is not taken. What fails the check changes nothing.
    pub fn edited(&mut self, ended: Result<(), String>) {
        let Some(own) = self.editing.take() else {
            return;
        };
        let taken = ended.and_then(|()| self.take_edited(&own));
        if let Err(why) = taken {
            self.session.notice = Some(why);
        }
    }

    fn take_edited(&mut self, own: &Editing) -> Result<(), String> {
        let text = text_of(&own.file);
        if text.is_some() && text == own.before {
            return Err(said::UNCHANGED.to_owned());
        }
        let Some(directory) = self.own_flow.clone() else {
            return Ok(());
        };
        let loaded = from_directory(&directory).map_err(|why| said::unread(&directory, &why))?;
        let mut problems = loaded.problems.iter();
        if let Some(first) = problems.find(|own| own.severity == Severity::Error) {
            let at = said::at(&first.file, first.line);
            return Err(said::fault(&at, &first.what, first.help.first()));
        }
        let Some(flow) = loaded.flow else {
            return Err(said::fault(&said::path(&directory), said::NO_FLOW, None));
        };
        if let Some(first) = run_examples(&flow).first() {
            let lines = first.lines();
            let what = lines.first().map_or("", String::as_str);
            return Err(said::fault(&first.stands, what, None));
        }
        let must_be_raised = difference(&self.flow, &flow).must_be_raised();
        self.flow = Arc::new(flow);
        self.sources = loaded.sources;
        self.flows = Arc::new(Flows::new(self.flow.clone()));
        self.session.look_at_flow(&self.flow);
        if must_be_raised {
            self.session.notice = Some(said::RAISE.to_owned());
        }
        Ok(())
    }
}

/// Returns what stands in a file, or `None` if it cannot be read or is none: what is no file might never end.
fn text_of(file: &Path) -> Option<String> {
    let is_file = std::fs::metadata(file).ok()?.is_file();
    is_file.then(|| std::fs::read_to_string(file).ok())?
}
