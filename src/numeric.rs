//! Numerical tools that know nothing of flies: a bracketed root and a monotone curve through a table.
//!
//! These are for the inner loop, where a solver's start-up would cost more than the answer. Slow outer work (polishing a
//! design, fitting jar tests) goes through argmin, not through this module.

mod monotone;
mod root;

pub use monotone::MonotoneCurve;
pub use root::{RootError, bracketed_root};
