//! What the laboratory's own record says: how much came back, for what, how sure that is.
//!
//! A restoration counts once it was followed long enough, whatever became of it; whoever never hears back knows nothing, and
//! is said to. Nothing here reads the archive, knows what day it is, or puts people in an order.

mod compare;
mod figures;
pub mod follow_up;
mod followed;
mod funnel;
mod lot;
pub mod replay;
pub mod sweep;
pub mod trial;
pub mod tried;

pub use compare::{Against, Times};
pub use figures::{Asked, Figures, Ripe, Row, Unfit, Unfound, figures};
pub use funnel::{Funnel, Limits, Point};
pub use lot::{GROUPS, Group, Lot, Made};
