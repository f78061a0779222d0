//! Walks a dental crown or bridge case through inspection, judging and the call to the dentist.

pub mod archive;
pub mod ask;
pub mod call;
pub mod case;
pub mod cli;
pub mod demo;
pub mod derive;
pub mod desk;
pub mod drawing;
pub mod error;
pub mod fact;
pub mod files;
pub mod flow;
pub mod judge;
pub mod learn;
pub mod logic;
pub mod options;
pub mod phrase;
pub mod practice;
pub mod prep;
pub mod print;
pub mod program;
pub mod screen;
pub mod session;
pub mod settings;
pub mod state;
pub mod text;
pub mod tooth;
pub mod worklist;

pub use casepan_mechanics as mechanics;
pub use casepan_ronfile as ronfile;
pub use casepan_statistics as statistics;
