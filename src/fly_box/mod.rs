//! The guide's box: which recipes to tie, how many of each, and what to buy.

mod budget;
pub mod certainty;
mod columns;
mod common;
pub mod exact;
mod finish;
mod first;
mod known_shares;
mod made;
mod model;
mod narrowed;
mod obstacles;
pub mod plan;
mod planner;
mod pool;
pub mod problem;
mod raw;
mod relaxation;
pub mod rightness;
mod shares;
pub mod spec;
pub mod start;
mod supplies;
mod tree;
pub mod tying;

pub use planner::plan;
