//! Closed ranges, and what can be widened to hold another of its kind.

/// Something that can be widened to hold another of its kind.
pub(in crate::search) trait Hull: Copy {
    /// The smallest that holds both.
    fn hull(self, other: Self) -> Self;
}

/// A closed range.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Range {
    /// Least.
    pub low: f64,
    /// Greatest.
    pub high: f64,
}

impl Range {
    /// One value.
    #[must_use]
    pub fn point(value: f64) -> Self {
        Self { low: value, high: value }
    }

    /// The range of two ends in any order.
    #[must_use]
    pub fn between(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// Sum of two ranges.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { low: self.low + other.low, high: self.high + other.high }
    }

    /// Product of two ranges.
    #[must_use]
    pub fn times(self, other: Self) -> Self {
        let ends = [self.low * other.low, self.low * other.high, self.high * other.low, self.high * other.high];
        Self {
            low: ends.into_iter().fold(f64::INFINITY, f64::min),
            high: ends.into_iter().fold(f64::NEG_INFINITY, f64::max),
        }
    }

    /// What both hold; `None` for nothing.
    #[must_use]
    pub fn meet(self, other: Self) -> Option<Self> {
        let (low, high) = (self.low.max(other.low), self.high.min(other.high));
        (low <= high).then_some(Self { low, high })
    }

    /// The smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self { low: self.low.min(other.low), high: self.high.max(other.high) }
    }
}

impl Hull for Range {
    fn hull(self, other: Self) -> Self {
        Range::hull(self, other)
    }
}
