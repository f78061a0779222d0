//! The `casepan` command.
fn main() {}
