//! The guide's box: which recipes to tie, how many of each, and what to buy.

pub mod anneal;
mod bound;
pub mod exact;
pub mod plan;
mod pool;
pub mod problem;
pub mod spec;

#[cfg(test)]
mod brute;
