//! How far a case is, line by line.
