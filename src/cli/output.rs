//! Writing answers and files.

use crate::failure::Failure;
use counterpoise::report::ReportError;
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

/// Writes a file whole: a temporary file in the same folder takes the name when it is complete.
pub(crate) fn save(path: &Path, force: bool, text: &str) -> Result<(), Failure> {
    if path.exists() && !force {
        return Err(Failure::Exists(path.to_owned()));
    }
    let fail = |source: io::Error| Failure::Write { path: path.to_owned(), source };
    if path.is_dir() {
        return Err(fail(io::Error::new(io::ErrorKind::IsADirectory, "it is a folder")));
    }
    let folder = match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let mut file = tempfile::Builder::new().prefix(".counterpoise-").tempfile_in(folder).map_err(fail)?;
    file.write_all(text.as_bytes()).map_err(fail)?;
    make_readable(file.as_file()).map_err(fail)?;
    let written = if force { file.persist(path) } else { file.persist_noclobber(path) };
    written.map(drop).map_err(|error| match error.error.kind() {
        io::ErrorKind::AlreadyExists => Failure::Exists(path.to_owned()),
        _ => fail(error.error),
    })
}

/// Temporary files are private; what a person saves should be as readable as any other file.
#[cfg(unix)]
fn make_readable(file: &std::fs::File) -> io::Result<()> {
    use std::os::unix::fs::PermissionsExt;
    file.set_permissions(std::fs::Permissions::from_mode(0o644))
}

#[cfg(not(unix))]
fn make_readable(_: &std::fs::File) -> io::Result<()> {
    Ok(())
}
