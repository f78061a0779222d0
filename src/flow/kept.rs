//! A checked flow as text, so that files which have not changed since need not be read and checked again.
//!
//! It is of one build of the program alone: what a part means, and what is checked, may differ in another. A text that was
//! damaged is none, since what is judged hangs on it.

use sha2::{Digest, Sha256};

use super::{Flow, Loaded};
use crate::ronfile::Source;
use crate::text::hex;

/// Returns a checked flow as text for this build, or `None` if anything was said of it: that is said anew each time.
pub fn to_text(loaded: &Loaded, build: &str) -> Option<String> {
    let flow = loaded
        .flow
        .as_ref()
        .filter(|_| loaded.problems.is_empty())?;
    let body = serde_json::to_string(flow).ok()?;
    Some(format!("{}\n{body}", head(build, &body)))
}

/// Returns the flow of these files from such a text, or `None` if it is of another build, of other files or damaged.
pub fn from_text(text: &str, build: &str, sources: Vec<Source>) -> Option<Loaded> {
    let (found, body) = text.split_once('\n')?;
    if found != head(build, body) {
        return None;
    }
    let flow: Flow = serde_json::from_str(body).ok()?;
    (flow.digest == super::digest(&sources)).then(|| Loaded {
        sources,
        flow: Some(flow),
        problems: Vec::new(),
    })
}

fn head(build: &str, body: &str) -> String {
    format!("{} {}", build.replace('\n', " "), hex(Sha256::digest(body)))
}
