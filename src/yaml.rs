//! The one door to the YAML crate. Nothing else names it, so another crate of the same API takes a line here and one in
//! `Cargo.toml`.

pub use serde_yaml::{Deserializer, Error, Location, from_str, to_string, to_value, to_writer};
