//! What is wrong with an archive, and what to do about it.
