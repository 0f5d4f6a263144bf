//! The one integration-test binary.

mod acceptance;
mod cli;
mod laws;
mod photo;
mod published;
