//! Titles, labels and lines of the pages.
