//! Numerical tools that know nothing of flies: a bracketed root, a monotone curve through a table, shares of a normal
//! distribution, least squares.
//!
//! The first two are for the inner loop, where a solver's start-up would cost more than the answer. Slow outer work
//! (fitting jar tests) goes through argmin.

pub mod least_squares;
mod monotone;
mod normal;
mod orthant;
mod root;

pub use monotone::MonotoneCurve;
pub use normal::{normal_share_below, normal_share_below_quick, normal_share_within};
pub use orthant::{
    MOST_FIGURES, binormal_share_below, normal_below_which, normal_density, normal_share_of_orthant, owens_t,
};
pub use root::{RootError, bracketed_root};
