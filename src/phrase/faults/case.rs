//! What is wrong with a case file.
