//! Walks a dental crown or bridge case through inspection, judging and the call to the dentist.

pub mod archive;
pub mod case;
pub mod fact;
pub mod logic;
pub mod ronfile;
pub mod text;
pub mod tooth;
