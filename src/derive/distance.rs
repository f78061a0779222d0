//! How far the distance between the outermost preps may be off on the model.
//!
//! *Inputs and units*: mm, result in µm. *Model*: from middle to middle of the outermost preps, pontics as read, preps
//! by the usual width of the tooth. An impression shrinks by its material's share, the stone grows by
//! [`STONE_GROWS`]; what is left of the two over the distance, and the tray's part as it was measured over 20 mm, are
//! added. A scan is off by what repeated scans of such a range differed. *Limits of validity*: an expected size, one
//! standard deviation or so, not a bound; nothing about a tray that came loose or a scan that was badly stitched.
//!
//! | part | figure | source, status |
//! |---|---|---|
//! | vinyl polysiloxane | 0.05 to 0.2 %, 0.125 taken | textbooks, from memory |
//! | polyether | 0.2 to 0.3 %, 0.25 taken | textbooks, from memory |
//! | vinyl polyether silicone | 0.200 to 0.325 %, 0.26 taken | Nassar 2017, J Adv Prosthodont, checked |
//! | polysulfide | 0.4 to 0.5 %, 0.45 taken | textbooks, from memory |
//! | condensation silicone | 0.4 to 0.6 %, 0.5 taken | textbooks, from memory |
//! | alginate | no figure for 24 h: none is given | – |
//! | stone, type IV | at most 0.15 %, 0.10 taken | ISO 6873, from memory; the 0.10 is this project's choice |
//! | stock tray | 23 µm over 20 mm | Burns 2003, J Prosthet Dent, checked |
//! | custom tray | 12 µm over 20 mm | as above |
//! | tray that flexes | no figure; the stock tray's is taken | this project's choice |
//! | scan | 16 µm to three units, 42 to half an arch, 88 beyond | Su, Sun 2015, J Prosthodont Res, checked |

use super::{Derivation, Facts, Inputs};
use crate::case::{Restoration, Role};
use crate::fact::{
    DISTANCE_ERROR, IMPRESSION_MATERIAL, Place, RECORDS_KIND, SPAN, TRAY_STIFF, Unit, Value,
};
use crate::tooth::size;

pub(super) static DERIVATION: Derivation = Derivation {
    id: "distance",
    gives: &[DISTANCE_ERROR],
    needs: &[RECORDS_KIND, IMPRESSION_MATERIAL, TRAY_STIFF, SPAN],
    sources: &[
        "shrinkage",
        "nassar-2017",
        "burns-2003",
        "su-2015",
        "ash-tooth-dimensions",
    ],
    run,
};

/// The setting expansion of the stone, as a share of the length.
const STONE_GROWS: f64 = 0.0010;
/// The part of a stock and of a custom made tray, in µm.
const STOCK_TRAY: f64 = 23.0;
const CUSTOM_TRAY: f64 = 12.0;
/// How far repeated scans differed over three units, half an arch and more, in µm.
const SCAN: [f64; 3] = [16.33, 41.56, 88.44];
/// The most units that half an arch has.
const HALF_ARCH: usize = 7;

fn run(facts: &mut Facts<'_>) {
    for restoration in facts.units().restorations() {
        if restoration.teeth(Role::Abutment).count() < 2 {
            continue;
        }
        let at = Place::Restoration(restoration.id);
        let mut inputs = facts.inputs(at);
        let error = match inputs.look(&RECORDS_KIND).and_then(Value::choice) {
            Some("scan") => Ok(scan(between(restoration).len())),
            Some(_) => impression(&mut inputs, restoration),
            None => Ok(f64::NAN),
        };
        let gathered = inputs.gathered();
        let error = error.map(|error| Value::Number(error, Unit::Micron));
        facts.give(&DISTANCE_ERROR, at, gathered, error);
    }
}

fn scan(units: usize) -> f64 {
    let [few, half, full] = SCAN;
    match units {
        0..=3 => few,
        4..=HALF_ARCH => half,
        _ => full,
    }
}

fn impression(inputs: &mut Inputs<'_, '_>, restoration: &Restoration) -> Result<f64, String> {
    let shrinks = match inputs.look(&IMPRESSION_MATERIAL).and_then(Value::choice) {
        Some("vinyl-polysiloxane") => Ok(0.001_25),
        Some("polyether") => Ok(0.0025),
        Some("vinyl-polyether") => Ok(0.0026),
        Some("polysulfide") => Ok(0.0045),
        Some("condensation") => Ok(0.005),
        Some(_) => Err("no published shrinkage for this impression material".to_owned()),
        None => Ok(f64::NAN),
    };
    let tray = match inputs.look(&TRAY_STIFF).and_then(Value::choice) {
        Some("custom") => CUSTOM_TRAY,
        _ => STOCK_TRAY,
    };
    let units = between(restoration);
    let last = units.len().saturating_sub(1);
    let length: f64 = units
        .iter()
        .enumerate()
        .map(|(index, unit)| match unit.role {
            Role::Pontic => inputs.number_at(&SPAN, Place::Unit(unit.tooth)),
            Role::Abutment if index == 0 || index == last => {
                size(unit.tooth).mesiodistal_crown / 2.0
            }
            Role::Abutment => size(unit.tooth).mesiodistal_crown,
        })
        .sum();
    Ok((shrinks? - STONE_GROWS).abs() * length * 1000.0 + tray)
}

/// The units from the first to the last abutment.
fn between(restoration: &Restoration) -> &[crate::case::Unit] {
    let holds = |unit: &crate::case::Unit| unit.role == Role::Abutment;
    let first = restoration.units.iter().position(holds).unwrap_or(0);
    let last = restoration.units.iter().rposition(holds).unwrap_or(0);
    restoration.units.get(first..=last).unwrap_or(&[])
}
