//! What is asked of a search beyond the target.

use super::rank::Variety;

/// How many recipes are wanted, and how different.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// How many, at least 1.
    pub top: usize,
    /// What counts as too much alike.
    pub variety: Variety,
}
