//! The terms of the trade as this program uses them.
