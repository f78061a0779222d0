//! Files as the program writes them: whole or not at all, for their owner alone, and never over another one unasked.
//!
//! What is written tells of patients' teeth, whatever the umask is.

use std::io::{ErrorKind, Write as _};
use std::path::{Path, PathBuf};

use crate::error::{Error, Trouble};
use crate::phrase::prompts::desk as prompts;
use crate::text::shown;

/// Writes a file whole or not at all, over one of that name: to a temporary name beside it, synced, renamed.
///
/// # Errors
/// The file cannot be made or written.
pub fn write_whole(path: &Path, text: &str) -> Result<(), Error> {
    let file = beside(path, text)?;
    file.persist(path).map_err(|e| failed(path, &e.error))?;
    Ok(())
}

/// Writes a file whole or not at all where there is none of that name; returns false, and writes nothing, where there
/// is one.
///
/// # Errors
/// The file cannot be made or written.
pub fn write_new(path: &Path, text: &str) -> Result<bool, Error> {
    let file = beside(path, text)?;
    match file.persist_noclobber(path) {
        Ok(_) => Ok(true),
        Err(error) if error.error.kind() == ErrorKind::AlreadyExists => Ok(false),
        Err(error) => Err(failed(path, &error.error)),
    }
}

/// Makes a folder for one's own files, and those above it, unless it is there. Folders that are made are closed to
/// others; those that are there stay as they are.
///
/// # Errors
/// It cannot be made.
pub fn make_folder(path: &Path) -> Result<(), Error> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt as _;
        builder.mode(0o700);
    }
    builder.create(path).map_err(|error| {
        let what = prompts::folder_not_made(&shown(path), &error);
        Error::new(Trouble::CannotCreate, what).hint(prompts::OTHER_FOLDER)
    })
}

/// Returns a part of a file name that stands for a text, a different one for each text: what file systems or shells read
/// in ways of their own becomes `%` and its bytes in hexadecimal digits.
pub fn name_of(text: &str) -> String {
    let mut name = String::new();
    for c in text.chars() {
        if c.is_alphanumeric() || matches!(c, '-' | '_') {
            name.push(c);
        } else {
            let mut bytes = [0; 4];
            for byte in c.encode_utf8(&mut bytes).bytes() {
                name.push_str(&format!("%{byte:02X}"));
            }
        }
    }
    name
}

/// Returns the first of `stem`, `stem.2`, `stem.3` … under which no file of a set is there yet.
pub fn free_stem(folder: &Path, stem: &str, endings: &[String]) -> String {
    let taken = |stem: &str| {
        let mut files = endings.iter().map(|ending| path_of(folder, stem, ending));
        files.any(|file| std::fs::symlink_metadata(file).is_ok())
    };
    let mut free = stem.to_owned();
    let mut count = 1_u32;
    while taken(&free) && count < u32::MAX {
        count += 1;
        free = format!("{stem}.{count}");
    }
    free
}

/// Returns the path of a file of a set.
pub fn path_of(folder: &Path, stem: &str, ending: &str) -> PathBuf {
    folder.join(format!("{stem}{ending}"))
}

/// Writes a temporary file beside a path, synced. Its mode is 0600: a temporary file's is.
fn beside(path: &Path, text: &str) -> Result<tempfile::NamedTempFile, Error> {
    let directory = path
        .parent()
        .filter(|parent| !parent.as_os_str().is_empty())
        .unwrap_or(Path::new("."));
    let mut file =
        tempfile::NamedTempFile::new_in(directory).map_err(|error| failed(path, &error))?;
    file.write_all(text.as_bytes())
        .and_then(|()| file.as_file().sync_all())
        .map_err(|error| failed(path, &error))?;
    Ok(file)
}

fn failed(path: &Path, error: &std::io::Error) -> Error {
    Error::new(
        Trouble::CannotCreate,
        prompts::file_not_written(&shown(path), error),
    )
    .hint(prompts::OTHER_FOLDER)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_different_numbers_differ_and_hold_no_path() {
        let numbers = [
            "A.1", "A/1", "A 1", "A-1", "A%2E1", "A_1", "..", "Ä1", "a:1",
        ];
        let names: Vec<String> = numbers.iter().map(|number| name_of(number)).collect();
        for (at, name) in names.iter().enumerate() {
            assert!(!names[..at].contains(name), "{name}");
            assert!(!name.contains(['/', '\\', '.', ' ', ':']), "{name}");
        }
        assert_eq!(name_of("24-0381"), "24-0381");
        // RFC 3986, 2.1: a percent sign and the two hexadecimal digits of each octet.
        assert_eq!(name_of("A/1 ü?"), "A%2F1%20ü%3F");
    }

    #[test]
    fn nothing_is_written_over_another_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.txt");
        assert!(write_new(&path, "first").unwrap());
        assert!(!write_new(&path, "second").unwrap());
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "first");
        let endings = [".txt".to_owned()];
        assert_eq!(free_stem(folder.path(), "a", &endings), "a.2");
        assert_eq!(free_stem(folder.path(), "b", &endings), "b");
        write_whole(&path, "third").unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "third");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn what_is_made_is_for_its_owner_alone() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let deep = folder.path().join("one/two");
        make_folder(&deep).unwrap();
        let path = deep.join("a.txt");
        write_whole(&path, "text").unwrap();
        let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
        assert_eq!(mode(&path), 0o600);
        assert_eq!(mode(&deep), 0o700);
        assert_eq!(mode(&folder.path().join("one")), 0o700);
    }
}
