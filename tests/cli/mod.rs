//! What a person sees: messages, tables, files.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod answers;
mod bad_catalogs;
mod bad_input;
pub(crate) mod card;
mod catalog;
mod colours;
mod compare;
mod dressings;
mod examples;
mod find;
mod fit;
mod fly_box;
mod jar;
mod journeys;
mod licences;
mod package;
mod photo;
mod predict;
mod readme;
mod schemas;
pub(crate) mod session;
mod sink;
mod starters;
mod stock;
mod terminals;
mod units;
mod vice;
