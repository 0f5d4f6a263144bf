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

/// More than the target asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Least {
    /// Margin, at least this.
    pub margin: f64,
    /// Sink rate on a tight line, m/s, at least this.
    pub sink_rate: Option<f64>,
}

impl Default for Least {
    fn default() -> Self {
        Self { margin: 0.0, sink_rate: None }
    }
}
