//! Answers as JSON: the contract for programs.

use super::ReportError;
use serde::Serialize;
use std::io::Write;

/// Writes an answer, indented, with a newline at its end.
///
/// # Errors
/// A figure is no finite number, or the stream refuses.
pub fn write<T: Serialize>(out: &mut dyn Write, answer: &T) -> Result<(), ReportError> {
    serde_json::to_writer_pretty(&mut *out, answer)?;
    out.write_all(b"\n")?;
    Ok(())
}
