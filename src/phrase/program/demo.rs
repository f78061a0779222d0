//! Words of the invented laboratory.

/// The dentist cuts the prep anew.
pub const CUT_ANEW: &str = "will cut it anew, a new impression comes";
