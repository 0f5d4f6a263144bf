//! The text of a document and what to call it.

use std::sync::Arc;

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
