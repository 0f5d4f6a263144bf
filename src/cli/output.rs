//! Writing answers and files.

use crate::failure::Failure;
use counterpoise::document::save::{SaveError, replace_bytes};
use counterpoise::report::ReportError;
use std::fs;
use std::io::{self, Write};
use std::path::Path;

/// Writes an answer to standard output, all of it or none: it is put together first.
pub(crate) fn print(write: impl FnOnce(&mut dyn Write) -> Result<(), ReportError>) -> Result<(), Failure> {
    let mut bytes = Vec::new();
    write(&mut bytes)?;
    let mut out = io::stdout().lock();
    out.write_all(&bytes)?;
    out.flush()?;
    Ok(())
}

/// Writes a line to standard error, for a person.
pub(crate) fn note(text: &str) {
    // A lost note is no reason to lose the answer.
    let _ = writeln!(anstream::stderr().lock(), "{text}");
}

/// Writes a file whole, or not at all; one that exists already only with `force`.
pub(crate) fn save(path: &Path, force: bool, text: &str) -> Result<(), Failure> {
    save_bytes(path, force, text.as_bytes())
}

/// [`save`] for a file that is no text.
pub(crate) fn save_bytes(path: &Path, force: bool, bytes: &[u8]) -> Result<(), Failure> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    if let Some(missing) = folder.filter(|folder| !folder.is_dir()) {
        let help = Some("make it first".to_owned());
        return Err(Failure::usage(format!("there is no folder `{}`", missing.display()), help));
    }
    let before = if force && path.exists() {
        Some(fs::read(path).map_err(|source| SaveError::Io { path: path.to_owned(), source })?)
    } else {
        None
    };
    Ok(replace_bytes(path, before.as_deref(), bytes)?)
}
