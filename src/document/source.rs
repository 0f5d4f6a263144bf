//! The text of a document and what to call it.

use super::diagnostics::{Diagnostics, Problem};
use std::fs::File;
use std::io::Read;
use std::sync::Arc;

/// Longest document that is read, bytes. A catalog row takes some 400, so this is some ten thousand rows.
pub const MAX_BYTES: u64 = 4 * 1024 * 1024;

/// A document's text under the name that messages use. Cheap to clone.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    name: Arc<str>,
    text: Arc<str>,
    marked: bool,
}

/// Some editors put it before UTF-8 text.
const BYTE_ORDER_MARK: &str = "\u{feff}";

impl Source {
    /// A text that is already in memory. A byte order mark at its start is no part of the text.
    #[must_use]
    pub fn new(name: &str, text: &str) -> Self {
        let bare = text.strip_prefix(BYTE_ORDER_MARK);
        Self { name: name.into(), text: bare.unwrap_or(text).into(), marked: bare.is_some() }
    }

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

    /// The name that messages use.
    #[must_use]
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Another text as the file would hold it: with a byte order mark where this one has it.
    #[must_use]
    pub fn as_in_file(&self, text: &str) -> String {
        format!("{}{text}", if self.marked { BYTE_ORDER_MARK } else { "" })
    }

    pub(super) fn shared_name(&self) -> Arc<str> {
        self.name.clone()
    }

    /// The text.
    #[must_use]
    pub fn text(&self) -> &str {
        &self.text
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
