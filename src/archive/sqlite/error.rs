//! What SQLite says, in the terms of an engine.

use std::path::Path;

use rusqlite::{ErrorCode, ffi};

use super::super::store::StoreError;

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> StoreError {
        let why = error.to_string();
        let Some(failure) = error.sqlite_error() else {
            // Everything else is a value of a type that no row of this program has.
            return StoreError::Damaged(why);
        };
        match failure.code {
            ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked => StoreError::Busy,
            ErrorCode::DiskFull => StoreError::Full,
            ErrorCode::ReadOnly | ErrorCode::PermissionDenied | ErrorCode::CannotOpen => {
                StoreError::ReadOnly
            }
            ErrorCode::NotADatabase => StoreError::NotOurs,
            ErrorCode::DatabaseCorrupt => StoreError::Damaged(why),
            // A table or a column that is missing.
            ErrorCode::Unknown if failure.extended_code == ffi::SQLITE_ERROR => {
                StoreError::Damaged(why)
            }
            _ => StoreError::Failed(why),
        }
    }
}

/// Returns whether an error of a look at a row says that the archive which was at this path is not there any more, rather
/// than that nobody could look.
pub(super) fn says_gone(error: &rusqlite::Error, path: &Path) -> bool {
    let Some(failure) = error.sqlite_error() else {
        // A value of a type that no row of this program has.
        return true;
    };
    match failure.code {
        ErrorCode::NotADatabase | ErrorCode::DatabaseCorrupt => true,
        ErrorCode::CannotOpen => !path.try_exists().unwrap_or(true),
        // A table that is missing; a file that ends in the middle of what is read.
        _ => matches!(
            failure.extended_code,
            ffi::SQLITE_ERROR | ffi::SQLITE_IOERR_SHORT_READ
        ),
    }
}
