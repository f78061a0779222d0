//! Sentences of errors and faults. Every room may use them, so that this part of `phrase` knows facts and teeth alone.

pub mod archive;
pub mod case;
pub mod flow;
pub mod reasons;
