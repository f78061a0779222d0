//! How far the distance between the outermost preps may be off on the model.
//!
//! *Inputs and units*: mm, result in µm. *Model*: from middle to middle of the outermost preps, pontics as read, preps
//! by the usual width of the tooth. An impression shrinks by its material's share, the stone expands; the difference of
//! the two over the distance, and the tray's part as it was measured over 20 mm, are added. A scan is off by as much as
//! repeated scans of such a range differed. *Limits of validity*: an expected size, about one standard deviation, not a
//! bound; nothing about a tray that came loose or a scan that was badly stitched. *Sources*: the figures are the flow's,
//! in `figures.ron`; the table says where those of the shipped flow come from.
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
    DISTANCE_ERROR, IMPRESSION_MATERIAL, Place, RECORDS_KIND, Records, SPAN, TRAY_STIFF,
    TrayStiffness, Unit, Value,
};
use crate::flow::{Impressions, Scans};
use crate::phrase::faults::reasons;
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

/// The most units that half an arch has.
const HALF_ARCH: usize = 7;

fn run(facts: &mut Facts<'_>) {
    let flow = facts.flow();
    for restoration in facts.units().restorations() {
        if restoration.teeth(Role::Abutment).count() < 2 {
            continue;
        }
        let at = Place::Restoration(restoration.id);
        let mut inputs = facts.inputs(at);
        let error = match inputs.look(&RECORDS_KIND).and_then(Value::chosen) {
            Some(Records::Scan) => Ok(scan(&flow.figures.scans, between(restoration).len())),
            Some(Records::Impression | Records::Models) => {
                impression(&flow.figures.impressions, &mut inputs, restoration)
            }
            None => Ok(f64::NAN),
        };
        let gathered = inputs.gathered();
        let error = error.map(|error| Value::Number(error, Unit::Micron));
        facts.give(&DISTANCE_ERROR, at, gathered, error);
    }
}

fn scan(scans: &Scans, units: usize) -> f64 {
    match units {
        0..=3 => scans.three_units,
        4..=HALF_ARCH => scans.half_arch,
        _ => scans.beyond,
    }
}

fn impression(
    figures: &Impressions,
    inputs: &mut Inputs<'_, '_>,
    restoration: &Restoration,
) -> Result<f64, String> {
    let shrinks = match inputs.look(&IMPRESSION_MATERIAL).and_then(Value::choice) {
        Some(material) => figures
            .shrinkage(material)
            .ok_or_else(|| reasons::NO_SHRINKAGE.to_owned()),
        None => Ok(f64::NAN),
    };
    let tray = match inputs.look(&TRAY_STIFF).and_then(Value::chosen) {
        Some(TrayStiffness::Custom) => figures.custom_tray,
        _ => figures.stock_tray,
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
    let grows = figures.stone_grows / 100.0;
    Ok((shrinks? - grows).abs() * length * 1000.0 + tray)
}

/// The units from the first to the last abutment.
fn between(restoration: &Restoration) -> &[crate::case::CaseUnit] {
    let holds = |unit: &crate::case::CaseUnit| unit.role == Role::Abutment;
    let first = restoration.units.iter().position(holds).unwrap_or(0);
    let last = restoration.units.iter().rposition(holds).unwrap_or(0);
    restoration.units.get(first..=last).unwrap_or(&[])
}
