//! What may go wrong with files, streams, memory and signals: nothing earlier is lost, and what is said is true.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod hostile;
pub(crate) mod readers;
#[cfg(target_os = "linux")]
mod streams;
#[cfg(target_os = "linux")]
mod writes;
