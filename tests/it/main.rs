#![allow(missing_docs)]
// Clippy's own exemption for tests covers functions marked #[test] only, not the helpers they call.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod archive;
mod beam;
mod command;
mod docs;
mod doubt;
mod flow;
mod flow_cases;
mod flow_codes;
mod mechanics;
mod ronfile;
mod support;
#[cfg(unix)]
mod terminal;
mod tooth;
