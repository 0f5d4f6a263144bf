//! Drag of rods along the shank by their length, bounded from a few lengths at which it is computed.
//!
//! The drag of a rod of diameter d and length L has three parts:
//! - across, L F(d/L) with the finite-length factor F falling in d/L: over L it never falls as L grows. So it is at least
//!   the value at a shorter length, and at most the value at a longer one, in proportion to the length;
//! - skin, sqrt(L) G(sqrt(L)) with the curvature factor G growing: the same in proportion to the root of the length;
//! - blunt ends, whose coefficient falls with L/d.
//!
//! A rod along the shank meets the water at the same incidence on both sides of the point, so nothing here depends on the
//! hook.

use crate::physics::body::DragElement;
use crate::search::bounds::range::Hull;
use crate::search::bounds::{Bounds, DragRange, LEASTS};

/// Lengths at which the drag is computed, m.
const KNOTS: [f64; 12] = [0.5e-3, 1.5e-3, 3e-3, 5e-3, 7.5e-3, 10e-3, 14e-3, 19e-3, 26e-3, 36e-3, 60e-3, 100e-3];

/// Drag of rods alike but for their length in the three parts, N: least at the lower rate and greatest at the upper one,
/// at each of the knots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct RodDrag([[DragRange; 3]; KNOTS.len()]);

impl RodDrag {
    /// From the element of each length in metres.
    pub(in crate::search) fn new(bounds: &Bounds, element: impl Fn(f64) -> Option<DragElement>) -> Self {
        Self::of_parts(|length| {
            element(length).map_or([DragRange::default(); 3], |element| bounds.drag_parts(&element))
        })
    }

    /// From the three parts at each length in metres.
    pub(in crate::search) fn of_parts(parts: impl Fn(f64) -> [DragRange; 3]) -> Self {
        Self(KNOTS.map(parts))
    }

    /// Of rods without drag.
    pub(in crate::search) fn none() -> Self {
        Self([[DragRange::default(); 3]; KNOTS.len()])
    }

    fn below(&self, length: f64) -> Option<(f64, &[DragRange; 3])> {
        KNOTS.iter().rposition(|k| *k <= length).map(|i| (length / KNOTS[i], &self.0[i]))
    }

    fn above(&self, length: f64) -> Option<(f64, &[DragRange; 3])> {
        KNOTS.iter().position(|k| *k >= length).map(|i| (length / KNOTS[i], &self.0[i]))
    }

    /// Drag at the lower rate over lengths in metres is no less than a line: N at no length, and N per m.
    pub(in crate::search) fn line(&self, from: f64, to: f64) -> (f64, f64) {
        self.lines(from, to)[0]
    }

    fn lines(&self, from: f64, to: f64) -> [(f64, f64); LEASTS] {
        let Some((ratio, [across, skin, _])) = self.below(from) else { return [(0.0, 0.0); LEASTS] };
        let ends = self.above(to).map_or([0.0; LEASTS], |(_, [_, _, ends])| ends.least);
        std::array::from_fn(|i| (skin.least[i] * ratio.sqrt() + ends[i], across.least[i] * ratio / from))
    }

    /// Range over lengths in metres.
    pub(in crate::search) fn range(&self, from: f64, to: f64) -> DragRange {
        let none = [f64::INFINITY; 2];
        let most = self.above(to).map_or(none, |(ratio, [across, skin, _])| {
            std::array::from_fn(|i| across.most[i] * ratio + skin.most[i] * ratio.sqrt())
        });
        // A rod too short for the first knot has ends of its own: those of a rod that has any are not known there.
        let no_ends = self.0[0][2] == DragRange::default();
        let ends = if no_ends { [0.0; 2] } else { self.below(from).map_or(none, |(_, [_, _, ends])| ends.most) };
        DragRange {
            least: self.lines(from, to).map(|(offset, slope)| offset + slope * from),
            most: std::array::from_fn(|i| most[i] + ends[i]),
        }
    }
}

impl Hull for RodDrag {
    fn hull(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| std::array::from_fn(|j| self.0[i][j].hull(other.0[i][j]))))
    }
}
