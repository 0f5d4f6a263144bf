//! The one integration-test binary.

mod cli;
mod published;
