//! A flow tried on the record.
