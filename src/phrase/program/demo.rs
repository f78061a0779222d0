//! Words of the invented laboratory.

use std::fmt::Display;

/// The dentist cuts the prep anew.
pub const CUT_ANEW: &str = "will cut it anew, a new impression comes";

/// The dentist sends what shows the shade.
pub const SHADE_COMES: &str = "a photograph with the shade tab";

/// Says what is shown.
pub fn shown(cases: usize) -> String {
    format!("{} of an invented laboratory; nothing is saved", of(cases))
}

/// Says what was written.
pub fn written(cases: usize, seed: u64, to: impl Display) -> String {
    format!(
        "{} of invented laboratory {seed} written to {to}; `casepan --archive {to}` shows them",
        of(cases)
    )
}

/// Said if there is such a file.
pub fn exists(to: impl Display) -> String {
    format!("--to: {to} is there already, and is not written over")
}

/// What to do then.
pub const EXISTS_HINT: &str = "name a file that does not exist";

fn of(cases: usize) -> String {
    match cases {
        1 => "1 case".to_owned(),
        n => format!("{n} cases"),
    }
}
