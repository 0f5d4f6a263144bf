//! The one integration-test binary.

mod acceptance;
mod cli;
mod laws;
mod published;
#[path = "laws/spread_probe.rs"]
mod spread_probe;
