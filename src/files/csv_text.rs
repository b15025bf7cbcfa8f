//! How is a table of rows written as CSV (RFC 4180: commas, CR LF)?

use crate::diagnostic::{Failure, Problem};
use serde::Serialize;

/// The names of the fields, then a line for each row.
///
/// # Errors
/// Exit code 3 when a row cannot be said in CSV.
pub fn to_csv<T: Serialize>(rows: &[T]) -> Result<String, Failure> {
    let fail = |e: String| {
        Failure::disk(Problem::new(format!(
            "the table could not be written ({e})"
        )))
    };
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    for row in rows {
        writer.serialize(row).map_err(|e| fail(e.to_string()))?;
    }
    let bytes = writer.into_inner().map_err(|e| fail(e.to_string()))?;
    String::from_utf8(bytes).map_err(|e| fail(e.to_string()))
}
