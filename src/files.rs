//! Files as the program writes them: whole or not at all, and for their owner alone.

use std::io::Write as _;
use std::path::Path;

use crate::error::{Error, Trouble};
use crate::phrase::prompts::desk as prompts;

/// Writes a file whole or not at all: to a temporary name beside it, synced, renamed.
///
/// # Errors
/// The file cannot be made or written.
pub fn write_whole(path: &Path, text: &str) -> Result<(), Error> {
    let directory = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let failed = |error: &dyn std::fmt::Display| {
        Error::new(
            Trouble::CannotCreate,
            prompts::file_not_written(&path.display(), error),
        )
        .hint(prompts::OTHER_FOLDER)
    };
    let mut file = tempfile::NamedTempFile::new_in(directory).map_err(|error| failed(&error))?;
    file.write_all(text.as_bytes())
        .map_err(|error| failed(&error))?;
    file.as_file().sync_all().map_err(|error| failed(&error))?;
    file.persist(path).map_err(|error| failed(&error.error))?;
    Ok(())
}
