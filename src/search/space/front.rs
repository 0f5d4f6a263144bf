//! Sets of fronts: what sits at the eye or on a pin.

use crate::search::bounds::contribution::Contribution;
use crate::search::bounds::range::Range;

/// What sits at the front: nothing, some beads against the eye, or some beads on some pins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) enum FrontSet {
    None,
    Eye(u32),
    Pin(u32, u32),
}

impl FrontSet {
    /// Which of the sets of multipliers is meant for it.
    pub(in crate::search) fn class(self) -> usize {
        match self {
            Self::None => 0,
            Self::Eye(_) => 1,
            Self::Pin(..) => 2,
        }
    }
}

/// A front as ranges: what it adds, and what it leaves of the shank.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct FrontContribution {
    pub(in crate::search) share: Contribution,
    /// x where the free shank begins, m.
    pub(in crate::search) begins: Range,
    /// Diameter that wraps are wound on, m.
    pub(in crate::search) core: Range,
}

/// Slack on lengths, m: the fit rules allow a nanometre.
pub(in crate::search) const SLACK: f64 = 2e-9;
