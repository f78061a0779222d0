//! Walks a dental crown or bridge case through inspection, judging and the call to the dentist.

pub mod mechanics;
pub mod quantity;
pub mod tooth;
