//! The one integration-test binary.

mod cli;
mod laws;
mod published;
