//! Answers as YAML: the same tree as the JSON.

use super::ReportError;
use serde::Serialize;
use std::io::Write;

/// Writes an answer.
///
/// # Errors
/// A figure is no finite number, or the stream refuses.
pub fn write<T: Serialize>(out: &mut dyn Write, answer: &T) -> Result<(), ReportError> {
    crate::yaml::to_writer(out, answer)?;
    Ok(())
}
