//! The one integration-test binary.

mod acceptance;
mod cli;
mod faults;
mod jar;
mod laws;
mod layers;
mod page;
mod photo;
mod published;
