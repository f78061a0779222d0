//! Columns, as they are found.

use rusqlite::Row;
use rusqlite::types::FromSql;

/// Reads a column, or nothing where it is of another type.
pub(super) fn column<T: FromSql>(row: &Row<'_>, index: usize) -> Option<T> {
    row.get(index).ok()
}

/// Reads a number of rows.
pub(super) fn count(row: &Row<'_>, index: usize) -> rusqlite::Result<u64> {
    let count: i64 = row.get(index)?;
    u64::try_from(count).map_err(|_| rusqlite::Error::IntegralValueOutOfRange(index, count))
}

/// Returns a number of rows as a column has it.
pub(super) fn stored(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// Reads a text that may not be UTF-8 any more.
pub(super) fn lossy(row: &Row<'_>, index: usize) -> rusqlite::Result<String> {
    let value = row.get_ref(index)?;
    Ok(String::from_utf8_lossy(value.as_bytes().unwrap_or_default()).into_owned())
}
