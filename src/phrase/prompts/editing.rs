//! What is said when a rule's own text is edited.

use std::fmt::Display;
use std::path::Path;

/// Said where the flow is the built-in one.
pub const BUILT_IN: &str = "this flow is the built-in one, which has no files to edit";
/// What to do then.
pub const BUILT_IN_HINT: &str =
    "`casepan flow new our-flow` writes them; then start with --flow our-flow";
/// Said to whoever may not edit.
pub const SUPERVISORS: &str =
    "rules are edited by a supervisor: start the program with --supervisor";
/// Said where help is about no finding.
pub const NO_FINDING: &str = "mark a finding first; help then shows its rule";
/// Said where no editor is set.
pub const NO_EDITOR: &str =
    "no editor is set: name one in VISUAL or EDITOR, then start the program again";
/// Said if the file is as it was.
pub const UNCHANGED: &str = "the rule was not changed";
/// Said if the files hold no flow any more.
pub const NO_FLOW: &str = "no flow is left in its files";
/// Said if the meaning changed and the version did not.
pub const RAISE: &str = "the check passed; the meaning is another, so raise `version` in flow.ron before others work with it";

/// Said if the files of the flow do not have a rule.
pub fn no_rule(rule: &str, directory: &Path) -> String {
    format!(
        "the files in {} have no rule \"{rule}\": the case is checked by an older version",
        directory.display()
    )
}

/// Says that the editor could not be started, or failed.
pub fn failed(editor: &str, why: &dyn Display) -> String {
    format!("the editor {editor} failed, and nothing was taken over: {why}")
}

/// Says that the flow cannot be read any more.
pub fn unread(directory: &Path, why: &dyn Display) -> String {
    format!(
        "{} cannot be read, so the flow stays as it was: {why}",
        directory.display()
    )
}

/// Says where something stands.
pub fn at(file: &str, line: usize) -> String {
    format!("{file}:{line}")
}

/// Says a path.
pub fn path(own: &Path) -> String {
    own.display().to_string()
}

/// Says the first fault of a changed flow, where it stands, and what to do.
pub fn fault(at: &str, what: &str, help: Option<&String>) -> String {
    let help = help.map_or_else(String::new, |help| format!(". {help}"));
    format!(
        "the flow stays as it was. {at}: {what}{help} The file has it now: correct it before the program starts again"
    )
}

/// Says in help how the rule is opened. The key is filled in.
pub const OPENS: &str = "{edit-rule} opens it in the editor.";
