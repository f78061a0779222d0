//! A reader of the outer form only.

/// A raw piece without the comments and blanks around its value.
pub(super) fn trim(text: &str) -> &str {
    text.trim()
}
