//! Names and sentences of the commands of a page.
