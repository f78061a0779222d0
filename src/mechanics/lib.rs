//! The numbers behind the findings: pure functions of lengths, angles and forces.
//!
//! Nothing here knows of cases, questions or screens, reads or writes anything, or keeps state. Formulas stand beside
//! their sources.

pub mod beam;
pub mod dislodgement;
pub mod frame;
pub mod path;
pub mod prep;
pub mod resistance;
pub mod vector;
