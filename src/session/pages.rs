//! The pages: of each its state, what its keys do to it, and what is shown of it.

pub(super) mod findings;
pub(super) mod follow_up;
pub(super) mod history;
pub(super) mod moving;
pub(super) mod options;
pub(super) mod outcome;
pub(super) mod pictures;
pub(super) mod rates;
pub(super) mod worklist;
