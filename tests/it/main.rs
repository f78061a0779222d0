#![allow(missing_docs)]
// Clippy's own exemption for tests covers functions marked #[test] only, not the helpers they call.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

mod archive;
mod ask;
mod beam;
mod benches;
mod calibration;
mod call;
mod case_file;
mod command;
mod covered;
mod decision;
mod derive;
mod dislodgement;
mod docs;
mod doubt;
mod drawing;
mod figures;
mod flow;
mod flow_codes;
mod good;
mod invented;
mod judge;
mod kept;
mod learn;
mod life;
mod logic;
mod made;
mod mechanics;
mod moving;
mod options;
mod ordinary;
mod outcome;
mod practice;
mod prep;
mod prints;
mod ronfile;
mod screen;
mod session;
mod settings;
mod single_fault;
mod states;
mod support;
mod table;
#[cfg(unix)]
mod terminal;
mod tidy;
mod tooth;
mod trial;
mod words;
mod worked_out;
mod worklist;
