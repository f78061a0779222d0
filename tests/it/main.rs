#![allow(missing_docs)]
// Clippy's own exemption for tests covers functions marked #[test] only, not the helpers they call.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod archive;
mod beam;
mod case_file;
mod derive;
mod flow;
mod flow_cases;
mod judge;
mod logic;
mod made;
mod mechanics;
mod ronfile;
mod screen;
mod tidy;
mod tooth;
mod walk;
