//! Documents from files and streams.

use super::diagnostics::{Diagnostics, Problem};
use super::source::Source;
use std::fs::File;
use std::io::Read;

/// Longest document that is read, bytes. A catalog row takes some 400, so this is some ten thousand rows.
pub const MAX_BYTES: u64 = 4 * 1024 * 1024;

impl Source {
    /// Reads a file.
    ///
    /// # Errors
    /// The file cannot be opened or read, is longer than [`MAX_BYTES`], or is not UTF-8.
    pub fn open(path: &std::path::Path) -> Result<Self, Diagnostics> {
        let name = path.display().to_string();
        match File::open(path) {
            Ok(file) => Self::from_reader(&name, file),
            Err(error) => Err(unreadable(&name, &error)),
        }
    }

    /// Reads a stream, for instance standard input.
    ///
    /// # Errors
    /// As [`Source::open`].
    pub fn from_reader(name: &str, reader: impl Read) -> Result<Self, Diagnostics> {
        let mut bytes = Vec::new();
        reader.take(MAX_BYTES + 1).read_to_end(&mut bytes).map_err(|error| unreadable(name, &error))?;
        if bytes.len() as u64 > MAX_BYTES {
            let text = format!("the file is longer than {} MiB", MAX_BYTES / (1024 * 1024));
            return Err(Problem::of_file(name, text).help("split it into several files").into());
        }
        match String::from_utf8(bytes) {
            Ok(text) => Ok(Self::new(name, &text)),
            Err(error) => {
                let at = error.utf8_error().valid_up_to();
                let text = format!("the file is not UTF-8 text (byte {at})");
                Err(Problem::of_file(name, text).help("save it as UTF-8").into())
            }
        }
    }
}

fn unreadable(name: &str, error: &std::io::Error) -> Diagnostics {
    let text = format!("cannot read `{name}`: {}", plain(error));
    Problem::of_file(name, text).help("check the path; it is taken from the current folder").into()
}

/// The operating system's words without its error number.
fn plain(error: &std::io::Error) -> String {
    let text = error.to_string();
    text.split(" (os error").next().unwrap_or_default().to_lowercase()
}
