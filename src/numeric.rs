//! Numerical tools that know nothing of flies: a bracketed root, a monotone curve through a table, shares of a normal
//! distribution, least squares.
//!
//! The first two are for the inner loop, where a solver's start-up would cost more than the answer. Slow outer work
//! (fitting jar tests) goes through argmin.

pub mod least_squares;
mod monotone;
mod normal;
mod root;

pub use monotone::MonotoneCurve;
pub use normal::{normal_share_below, normal_share_within};
pub use root::{RootError, bracketed_root};
