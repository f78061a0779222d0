#![allow(missing_docs)]
// Clippy's own exemption for tests covers functions marked #[test] only, not the helpers they call.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod archive;
mod beam;
mod dislodgement;
mod docs;
mod flow;
mod flow_cases;
mod mechanics;
mod ronfile;
mod tooth;
