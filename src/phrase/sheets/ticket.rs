//! The work ticket.

use crate::phrase::join;

/// The name of the sheet in its title.
pub const TITLE: &str = "Work ticket";
/// What must not be done while the case is not cleared.
pub const MUST_NOT: &str = "do not start";
/// The heading of what was agreed.
pub const AGREED: &str = "Agreed with the dentist";
/// The heading in place of sizes if the case is closed.
pub const CLOSED: &str = "Nothing to build";
/// Said in place of sizes if the case is closed.
pub const CLOSED_WHY: &str = "Nothing is made under this number any more: see the first lines.";
/// The heading in place of sizes while the case is not cleared.
pub const NOT_YET: &str = "Nothing to build yet";
/// Said in place of sizes while the case is not cleared.
pub const NOT_YET_WHY: &str =
    "Sizes and materials are printed here once the case is cleared: see the first lines.";
/// Said under what was accepted.
pub const ASK_HOW: &str = "If the order does not say how, ask before making it.";
/// The heading of what is still found, and made in the way that was agreed.
pub const IN_THIS_WAY: &str = "Made as agreed on the call";
/// The heading of what is made although it was found.
pub const ACCEPTED: &str = "Accepted as it is";
/// The heading of what was found and is made with care.
pub const WITH_CARE: &str = "Make it with care";
/// The heading of material, shade and die spacer.
pub const MATERIAL: &str = "Material, shade and spacer";
/// The label of the shade.
pub const SHADE: &str = "shade:";
/// Said of the shade of what is metal all over.
pub const NO_SHADE: &str = "none, all metal";
/// Said of a shade that the order names.
pub const SHADE_ORDERED: &str = "as given by the dentist";
/// Said of a shade that was told on the phone.
pub const SHADE_TOLD: &str = "as told on the phone, see what was agreed";
/// The label of the die spacer.
pub const DIE_SPACER: &str = "die spacer:";
/// Said before the figures of the ticket.
pub const MAKERS: &str = "The makers' instructions for material and cement take precedence.";
/// The label of a metal sensitivity.
pub const METAL: &str = "metal:";
/// Said of a metal sensitivity.
pub const METAL_NOTED: &str = "a sensitivity is noted on the order";
/// The heading of the units.
pub const UNITS: &str = "Units";
/// The columns of the units.
pub const UNIT_COLUMNS: [&str; 4] = ["unit", "role", "clearance", "to block out"];
/// Returns the role of a unit on a prep, in a restoration of so many units and pontics.
pub fn abutment(units: usize, pontics: usize) -> &'static str {
    match (units, pontics) {
        (0 | 1, _) => "crown",
        (_, 0) => "splinted crown",
        _ => "retainer",
    }
}
/// The role of a unit over a gap.
pub const PONTIC: &str = "pontic";
/// Said of a margin that was not asked about wall by wall.
pub const SEE_DIE: &str = "see the die";
/// The heading of the margins.
pub const MARGINS: &str = "Margins";
/// The columns of the margins.
pub const MARGIN_COLUMNS: [&str; 5] = ["prep", "wall", "form", "width", "level"];
/// The heading of the connectors.
pub const CONNECTORS: &str = "Connectors, height × width";
/// The columns of the connectors.
pub const CONNECTOR_COLUMNS: [&str; 5] = [
    "between",
    "minimum area",
    "minimum h²·w",
    "space",
    "designed",
];
/// Said of a connector that the material does not allow.
pub const NOT_IN_MATERIAL: &str = "not in this material";
/// Said of space that was seen to be ample and not measured.
pub const AMPLE: &str = "ample";
/// Said of a connector that is not designed yet.
pub const NOT_DESIGNED: &str = "not yet";
/// The heading of what the laboratory does itself.
pub const BENCH: &str = "At the bench";
/// The heading of the last checks.
pub const CHECKS: &str = "Before it leaves";
/// The check of the seat on the dies.
pub const CHECK_SEAT: &str = "seats fully on the dies, no rocking";
/// The check of the thickness, with room to write.
pub const CHECK_THICKNESS: &str = "thickness at the thinnest point: ____ mm";
/// The last check.
pub const CHECK_PACKED: &str = "cleaned, disinfected, packed with the seating notes";

/// The risk that was accepted.
pub fn risk(tells: &str) -> String {
    format!("Accepted risk: {tells}")
}

/// The minimum sizes of a material; `margin` is the minimum margin width, or `None` for a feather edge.
pub fn material(name: &str, occlusal: &str, axial: &str, margin: Option<&str>) -> String {
    let margin = match margin {
        Some(width) => format!("margin at least {width} wide"),
        None => "feather-edge margin".to_owned(),
    };
    format!("{name}: at least {occlusal} occlusally and {axial} on the walls, {margin}")
}

/// A material that the flow does not know.
pub fn other_material(said: &str) -> String {
    format!("material {said}")
}

/// The cement that the dentist plans to use.
pub fn cement(cement: &str) -> String {
    format!("planned cement: {cement}")
}

/// The space, the ridge and the form of a pontic.
pub fn pontic(span: &str, ridge: &str, form: &str) -> String {
    format!("pontic width {span}, ridge {ridge}, form {form}")
}

/// An undercut of a wall along the common path of the abutments.
pub fn undercut(side: &str, depth: &str) -> String {
    format!("{side} {depth} on the common path")
}

/// The check of the contacts; towards `later` once that is settled.
pub fn check_contacts(later: &[String]) -> String {
    let contacts = "proximal contacts correct (shim or floss)";
    match later {
        [] => contacts.to_owned(),
        later => format!("{contacts}; towards {} once that is settled", join(later)),
    }
}

/// The check of the margin; `but` if something about it was accepted.
pub fn check_margin(but: bool) -> String {
    format!("margin closed all round under the loupe{}", except(but))
}

/// The check of the occlusion; `but` if something about it was accepted.
pub fn check_occlusion(but: bool) -> String {
    format!(
        "occlusion as on the models, closed and in excursions{}",
        except(but)
    )
}

fn except(but: bool) -> &'static str {
    if but {
        ", except what was accepted as it is"
    } else {
        ""
    }
}

/// The check of the connectors, with room to write; each by its place.
pub fn check_connectors(places: &[String]) -> String {
    let said: Vec<String> = places
        .iter()
        .map(|place| format!("{place} ____ × ____"))
        .collect();
    format!("connectors measured: {}", said.join(", "))
}

/// The fitting surface of a restoration, as the order has it.
pub fn fitting_ordered(name: &str, said: &str) -> String {
    format!("{name} fitting surface as ordered: {said}")
}

/// The fitting surface of a restoration, if its treatment is not known yet.
pub fn fitting_open(name: &str) -> String {
    format!(
        "{name} fitting surface: {}",
        crate::phrase::words::STILL_TO_FIND_OUT
    )
}

/// The steps of the laboratory on the fitting surface of a restoration; none if it is treated chairside.
pub fn fitting(name: &str, steps: &[&str]) -> String {
    if steps.is_empty() {
        format!("{name} fitting surface: no laboratory treatment; treated chairside")
    } else {
        format!("{name} fitting surface treated: {}", steps.join(" "))
    }
}
