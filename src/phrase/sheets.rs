//! Titles, labels and lines of the sheets that are printed.
