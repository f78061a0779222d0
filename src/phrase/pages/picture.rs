//! Pictures of a case: their titles, what their lines mean, the bar of grip.

use crate::fact::Unit;
use crate::flow::Level;
pub use crate::phrase::sheets::picture::{MARGIN, MOTION};
use crate::phrase::{number_words, words};
use crate::tooth::Arch;

/// Stands under the bar of grip wherever it is shown; the whole caution stands on the page of pictures.
pub const ESTIMATE: &str = "a screening estimate";

/// Titles the picture of what a question wants measured.
pub const MEASURED: &str = "what is measured";
/// Explains it.
pub const BETWEEN_TICKS: &str = "between the ticks; not this case";

/// Explains the effective part of a wall.
pub const EFFECTIVE: &str = "double wall: the effective part";
/// Explains a wall without resistance form.
pub const FAILS: &str = "dashed wall: not effective";
/// Explains what the open question is about.
pub const IN_HAND: &str = "line or marks beside: the open question";
/// Explains the clearance.
pub const CLEARANCE: &str = "line between ticks: clearance";
/// Explains the opposing tooth.
pub const OPPOSING: &str = "above it: the opposing tooth";
/// Explains a connector.
pub const CONNECTOR: &str = "box: connector";
/// Explains the least section of a connector.
pub const LEAST: &str = "dashed box: the least round section";
/// Explains a pontic.
pub const PONTIC: &str = "dashed ring: pontic";
/// Explains what was not measured.
pub const USUAL: &str = "faint: usual size, not measured";

/// Says how the teeth of an arch are placed.
pub const ARCH: &str = "Teeth are drawn on a usual arch, with usual widths and the spans measured";

/// Titles the picture of a prep.
pub fn prep(tooth: &str) -> String {
    format!("prep {tooth}")
}

/// Titles a part of the picture of a prep by the side it is seen from.
pub fn from_side(side: &str) -> String {
    format!("from {side}")
}

/// Titles the picture of a bridge.
pub fn bridge(units: &str) -> String {
    format!("{units}, from the side")
}

/// Titles the picture of an arch.
pub fn arch(arch: Arch) -> &'static str {
    match arch {
        Arch::Upper => "upper arch from below",
        Arch::Lower => "lower arch from above",
    }
}

/// Says the number that is being typed, where the picture shows what it would come to.
pub fn sketch(label: &str, value: &str) -> String {
    format!("sketch: {label} {value}")
}

/// Says that grip is still to do.
pub fn grip_to_do() -> String {
    format!("grip: {}", words::NOT_ASKED)
}

/// Says that grip of what is being typed is being worked out.
pub const GRIP_FOLLOWS: &str = "grip: being worked out";

/// Says that grip could not be computed.
pub fn grip_not_computed() -> String {
    format!("grip: {}", words::NOT_COMPUTED)
}

/// Says grip with its spread, and the weakest of several retainers.
pub fn grip(value: f64, spread: Option<f64>, weakest: Option<&str>) -> String {
    let number = |number| number_words(number, Unit::Ratio, Some(2));
    let spread = spread.map_or_else(String::new, |own| format!(" ± {}", number(own)));
    let weakest = weakest.map_or_else(String::new, |tooth| format!(", weakest retainer {tooth}"));
    format!("grip {}{spread}{weakest}", number(value))
}

/// Explains a limit under the bar of grip.
pub fn level_under(level: Level, limit: f64) -> String {
    format!(
        "{} under {}",
        words::level(level),
        number_words(limit, Unit::Ratio, Some(2))
    )
}

/// Explains the mark of the recommended minimum prep under the bar of grip.
pub fn least_advised(grip: f64) -> String {
    format!("{grip} recommended minimum prep")
}

/// Says figures behind the place they are of.
pub fn figures(place: &str, figures: &[String]) -> String {
    format!("{place}: {}", figures.join(", "))
}

/// Says one figure behind its name.
pub fn figure(label: &str, value: &str) -> String {
    format!("{label} {value}")
}

/// Says the figures of a wall, and whether it is too short to be effective.
pub fn wall(figures: &str, fails: bool) -> String {
    if fails {
        format!("{figures}, not effective")
    } else {
        figures.to_owned()
    }
}

/// Says a restoration of an arch, and what it is made of or which kind of work it is.
pub fn restoration(id: u8, units: &str, made: Option<&str>) -> String {
    match made {
        Some(made) => format!("R{id} {units}: {made}"),
        None => format!("R{id} {units}"),
    }
}
