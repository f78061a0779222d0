//! What is said while readings are tried on a copy of the case.

use crate::phrase::TRYING;

/// Said where the what-if ends without its changes.
pub const DROPPED: &str = "what-if dropped; the case is unchanged";

/// Said where the changes of a what-if were put on the list for the call.
pub const LISTED: &str = "listed for the call";

/// Says what to do at the beginning of a what-if.
pub fn begun(back_key: &str, keep_key: &str) -> String {
    format!(
        "{TRYING}: change any reading; {back_key} drops the changes, {keep_key} lists them for the call"
    )
}

/// Says that a what-if is running, and how to end it.
pub fn running(back_key: &str, keep_key: &str) -> String {
    format!("{TRYING}: {back_key} drops the changes, {keep_key} lists them for the call")
}

/// Says that no what-if is running.
pub fn not_running(try_key: &str) -> String {
    format!("no what-if is running; {try_key} starts one")
}

/// Says that nothing was changed that could be listed.
pub fn nothing_changed(back_key: &str) -> String {
    format!("nothing was changed; {back_key} ends the what-if")
}
