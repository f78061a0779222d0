//! What differs between two flows.

/// Names what is read anew once something has come in.
pub const ANEW: &str = "anew";
/// Names a table as a whole.
pub const ALL: &str = "all";
/// Names the order of rows.
pub const ORDER: &str = "order";
/// Stands where there was, or is, nothing.
pub const NOTHING: &str = "–";
