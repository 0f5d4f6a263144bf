//! What a person sees: messages, tables, files.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod bad_catalogs;
