//! Strict YAML: every problem of a file at once, each with file, line, column, row id, key and what would be right.
//!
//! Catalogs, recipes, targets, boxes and jar logs are all read here. A document is one mapping of known keys, at most
//! [`MAX_BYTES`] long, with at most [`MAX_VALUES`] values, nested at most [`MAX_DEPTH`] deep. Refused, with a located
//! message: unknown and repeated keys, keys without a value, NaN and infinity, a second document in the file, tags, and
//! aliases that would blow the document up beyond twice its own length.
//!
//! ```
//! use counterpoise::document::{self, Source};
//!
//! #[derive(serde::Deserialize)]
//! #[serde(deny_unknown_fields)]
//! struct Jar { depth_m: f64 }
//!
//! let jar: Jar = document::read(&Source::new("jar.yaml", "depth_m: 0.3"))?;
//! assert_eq!(jar.depth_m, 0.3);
//!
//! let refused = document::read::<Jar>(&Source::new("jar.yaml", "depth_cm: 30")).err().unwrap();
//! let message = refused.to_string();
//! assert!(message.starts_with("error: unknown key `depth_cm`"));
//! assert!(message.contains("--> jar.yaml:1:1"));
//! assert!(message.contains("help: did you mean `depth_m`?"));
//! # Ok::<(), counterpoise::document::Diagnostics>(())
//! ```

mod decode;
mod diagnostics;
mod guard;
mod locate;
mod node;
mod opened;
mod path;
mod reading;
pub mod save;
mod source;
mod suggest;

pub use diagnostics::{Diagnostics, Problem};
pub use guard::{MAX_DEPTH, MAX_VALUES};
pub use locate::{Location, Place};
pub(crate) use node::Node;
pub use opened::{Document, read};
pub use path::{Path, Segment};
pub use reading::MAX_BYTES;
pub use source::Source;
pub use suggest::closest;
/// JSON Schema (draft 2020-12) of a file that is read as a `T`.
#[must_use]
pub fn file_schema<T: schemars::JsonSchema>() -> schemars::Schema {
    schemars::generate::SchemaSettings::draft2020_12().into_generator().into_root_schema_for::<T>()
}
