//! Writing a case as RON.

use std::fmt::Write as _;

use super::{FORMAT, beside, decisions};
use crate::case::{Case, Layer, Reading, Restoration, Role, Units};
use crate::fact::{Spot, Value};

/// Writes a case as RON, one fact a line, in the order of places. Free text is left out unless asked for.
///
/// # Errors
/// A value that RON cannot write; none of the catalogue's values is one.
pub fn write(case: &Case, free_text: bool) -> Result<String, ron::Error> {
    let mut out = String::from("#![enable(implicit_some)]\nCase(\n");
    let quoted = |text: &str| ron::to_string(text);
    let mut header = format!(
        "    format: {FORMAT}, number: {}, flow: {}, version: {}",
        quoted(&case.number)?,
        quoted(&case.flow.id)?,
        case.flow.version
    );
    if !case.flow.digest.is_empty() {
        let _ = write!(header, ", digest: {}", quoted(&case.flow.digest)?);
    }
    let _ = writeln!(out, "{header},\n    restorations: [");
    for restoration in units_text(&case.units) {
        let _ = writeln!(out, "        {restoration},");
    }
    let _ = writeln!(out, "    ],");
    for (title, aside) in [("facts", false), ("set_aside", true)] {
        let mut lines = case
            .layers()
            .filter(|(spot, ..)| case.stands(spot) != aside)
            .filter(|(.., reading)| free_text || !matches!(reading.value, Value::Text(_)))
            .collect::<Vec<_>>();
        lines.sort_by(|(a, ..), (b, ..)| (a.at, &a.fact).cmp(&(b.at, &b.fact)));
        if aside && lines.is_empty() {
            continue;
        }
        let _ = writeln!(out, "    {title}: [");
        for (spot, layer, reading) in lines {
            out.push_str(&fact_line(spot, layer, reading)?);
        }
        let _ = writeln!(out, "    ],");
    }
    decisions::write(&mut out, case, free_text)?;
    beside::write(&mut out, case, free_text)?;
    out.push_str(")\n");
    Ok(out)
}

/// Writes each restoration as its own text.
pub(super) fn units_text(units: &Units) -> Vec<String> {
    let restoration = |restoration: &Restoration| {
        let units: Vec<_> = restoration
            .units
            .iter()
            .map(|unit| match unit.role {
                Role::Abutment => format!("Abutment(\"{}\")", unit.tooth),
                Role::Pontic => format!("Pontic(\"{}\")", unit.tooth),
            })
            .collect();
        let ordered = restoration.ordered.as_str();
        format!("{ordered}(\"R{}\", [{}])", restoration.id, units.join(", "))
    };
    units.restorations().iter().map(restoration).collect()
}

fn fact_line(spot: &Spot, layer: Layer, reading: &Reading) -> Result<String, ron::Error> {
    let mut line = format!(
        "        (fact: {}, at: \"{}\", is: {}",
        ron::to_string(spot.fact.as_str())?,
        spot.at,
        ron::to_string(&reading.value)?
    );
    if let Some(with) = &reading.with {
        let _ = write!(line, ", with: {}", ron::to_string(with)?);
    }
    if layer != Layer::Measured {
        let _ = write!(line, ", layer: {}", ron::to_string(&layer)?);
    }
    if let Some(who) = &reading.who {
        let _ = write!(line, ", who: {}", ron::to_string(who)?);
    }
    if let Some(when) = &reading.when {
        let _ = write!(line, ", when: {}", ron::to_string(when)?);
    }
    line.push_str("),\n");
    Ok(line)
}
