//! Usual dimensions and root areas of permanent teeth, with their sources.

use super::{Arch, Tooth};

/// The id of the source of [`size`].
pub const SIZE_SOURCE: &str = "ash-tooth-dimensions";

/// The id of the source of [`root_area`].
pub const ROOT_AREA_SOURCE: &str = "jepsen-1963";

/// The usual dimensions of a tooth, in mm.
///
/// From the table of tooth measurements in Ash, Wheeler's Dental Anatomy, Physiology and Occlusion (table 1-1), made for
/// carving teeth of average size; a given tooth can differ by a fifth and more.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct ToothSize {
    /// Mesiodistal diameter of the crown, in mm.
    pub mesiodistal_crown: f64,
    /// Mesiodistal diameter of the crown at the cervix, in mm.
    pub mesiodistal_cervix: f64,
    /// Faciolingual diameter of the crown, in mm.
    pub faciolingual_crown: f64,
    /// Faciolingual diameter of the crown at the cervix, in mm. From memory for every tooth.
    pub faciolingual_cervix: f64,
    /// Length of the crown, in mm.
    pub crown_length: f64,
    /// Whether the whole row was put down from memory. Otherwise all but the faciolingual diameter at the cervix was
    /// read in published extracts of the table.
    pub from_memory: bool,
}

/// Returns the usual dimensions of a tooth.
///
/// Source: [`SIZE_SOURCE`]; see [`ToothSize`] for what is from memory.
pub fn size(tooth: Tooth) -> ToothSize {
    let from_memory = !(tooth.arch() == Arch::Upper && matches!(tooth.position, 1 | 2 | 5 | 6));
    // Crown length; mesiodistal at the crown, at the cervix; faciolingual at the crown, at the cervix.
    let (length, md, md_cervix, fl, fl_cervix) = match (tooth.arch(), tooth.position) {
        (Arch::Upper, 1) => (10.5, 8.5, 7.0, 7.0, 6.0),
        (Arch::Upper, 2) => (9.0, 6.5, 5.0, 6.0, 5.0),
        (Arch::Upper, 3) => (10.0, 7.5, 5.5, 8.0, 7.0),
        (Arch::Upper, 4) => (8.5, 7.0, 5.0, 9.0, 8.0),
        (Arch::Upper, 5) => (8.5, 7.0, 5.0, 9.0, 8.0),
        (Arch::Upper, 6) => (7.5, 10.0, 8.0, 11.0, 10.0),
        (Arch::Upper, 7) => (7.0, 9.0, 7.0, 11.0, 10.0),
        (Arch::Upper, _) => (6.5, 8.5, 6.5, 10.0, 9.5),
        (Arch::Lower, 1) => (9.0, 5.0, 3.5, 6.0, 5.3),
        (Arch::Lower, 2) => (9.5, 5.5, 4.0, 6.5, 5.8),
        (Arch::Lower, 3) => (11.0, 7.0, 5.5, 7.5, 7.0),
        (Arch::Lower, 4) => (8.5, 7.0, 5.0, 7.5, 6.5),
        (Arch::Lower, 5) => (8.0, 7.0, 5.0, 8.0, 7.0),
        (Arch::Lower, 6) => (7.5, 11.0, 9.0, 10.5, 9.0),
        (Arch::Lower, 7) => (7.0, 10.5, 8.0, 10.0, 9.0),
        (Arch::Lower, _) => (7.0, 10.0, 7.5, 9.5, 9.0),
    };
    ToothSize {
        mesiodistal_crown: md,
        mesiodistal_cervix: md_cervix,
        faciolingual_crown: fl,
        faciolingual_cervix: fl_cervix,
        crown_length: length,
        from_memory,
    }
}

/// Returns the mean root surface area of a tooth in mm², none for third molars, which the table leaves out.
///
/// Source: [`ROOT_AREA_SOURCE`], Jepsen 1963, Acta Odontologica Scandinavica 21:35-46, as widely reprinted; put down from
/// memory. Mowry et al. 2002, Journal of Periodontology 73:1095-1100, measured 275.88, 251.45 and 271.81 mm² for lower
/// canine, first and second premolar, so take premolars to be uncertain by 30 to 40 %.
pub fn root_area(tooth: Tooth) -> Option<f64> {
    let area = match (tooth.arch(), tooth.position) {
        (Arch::Upper, 1) => 204.0,
        (Arch::Upper, 2) => 179.0,
        (Arch::Upper, 3) => 273.0,
        (Arch::Upper, 4) => 234.0,
        (Arch::Upper, 5) => 220.0,
        (Arch::Upper, 6) => 433.0,
        (Arch::Upper, 7) => 431.0,
        (Arch::Lower, 1) => 154.0,
        (Arch::Lower, 2) => 168.0,
        (Arch::Lower, 3) => 268.0,
        (Arch::Lower, 4) => 180.0,
        (Arch::Lower, 5) => 207.0,
        (Arch::Lower, 6) => 431.0,
        (Arch::Lower, 7) => 426.0,
        _ => return None,
    };
    Some(area)
}
