//! The guide's box: which recipes to tie, how many of each, and what to buy.

mod budget;
pub mod certainty;
mod columns;
mod common;
pub mod exact;
pub mod plan;
mod pool;
pub mod problem;
mod relaxation;
mod shares;
pub mod spec;
pub mod start;
mod supplies;

#[cfg(test)]
mod all_recipes;
#[cfg(test)]
mod brute;
