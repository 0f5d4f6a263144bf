//! The jar log and what is learned from it.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod anything;
mod append;
mod crooked;
mod hand;
mod simulated;
mod slips;
mod tyer;
mod wrapping;
