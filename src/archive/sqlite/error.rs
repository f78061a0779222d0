//! What SQLite says, in the terms of an engine.

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
