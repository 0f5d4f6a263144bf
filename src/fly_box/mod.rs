//! The guide's box: which recipes to tie, how many of each, and what to buy.

pub mod anneal;
pub mod exact;
pub mod problem;
pub mod spec;

#[cfg(test)]
mod brute;
