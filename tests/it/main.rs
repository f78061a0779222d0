#![allow(missing_docs)]
mod ronfile;
