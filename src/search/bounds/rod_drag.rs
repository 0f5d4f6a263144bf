//! Drag of rods along the shank by their length, bounded from a few lengths at which it is computed.
//!
//! The drag of a rod of some diameter and length L has three parts:
//! - across: it grows with L, between the powers p = [`LEAST_LENGTH_POWER`] and g = [`GREATEST_LENGTH_POWER`] of it. So from
//!   a shorter length A and a longer one B it is at least F(A) (L/A)^p and F(B) (L/B)^g, and at most F(A) (L/A)^g and
//!   F(B) (L/B)^p;
//! - skin, sqrt(L) G(sqrt(L)) with the curvature factor G growing: at least in proportion to the root of the length;
//! - ends and slant: the coefficient of blunt ends falls with L/d, the force of a slant does not depend on it.
//!
//! A rod along the shank meets the water at the same incidence on both sides of the point, so nothing here depends on the
//! hook.

use crate::physics::body::DragElement;
use crate::physics::drag::short::{GREATEST_LENGTH_POWER, LEAST_LENGTH_POWER};
use crate::search::bounds::range::Hull;
use crate::search::bounds::{Bounds, DragRange, LEASTS, MOSTS};

/// Lengths at which the drag is computed, m.
const KNOTS: [f64; 18] = [
    0.5e-3, 1.5e-3, 3e-3, 4e-3, 5e-3, 6.2e-3, 7.5e-3, 9e-3, 10.5e-3, 12.5e-3, 15e-3, 18e-3, 22e-3, 26e-3, 31e-3, 40e-3,
    60e-3, 100e-3,
];

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
        KNOTS.iter().rposition(|k| *k <= length).map(|i| (KNOTS[i], &self.0[i]))
    }

    fn above(&self, length: f64) -> Option<(f64, &[DragRange; 3])> {
        KNOTS.iter().position(|k| *k >= length).map(|i| (KNOTS[i], &self.0[i]))
    }

    /// Least drags over lengths in metres are no less than lines: N at no length, and N per m.
    pub(in crate::search) fn lines(&self, from: f64, to: f64) -> [(f64, f64); LEASTS] {
        let Some((shorter, [across, skin, _])) = self.below(from) else { return [(0.0, 0.0); LEASTS] };
        let above = self.above(to);
        let grown = [from, to].map(|at| (at / shorter).powf(LEAST_LENGTH_POWER));
        let shrunk = above.map_or(0.0, |(longer, _)| (from / longer).powf(GREATEST_LENGTH_POWER));
        let thicker = (from / shorter).sqrt();
        std::array::from_fn(|i| {
            let ends = above.map_or(0.0, |(_, [_, _, ends])| ends.least[i]);
            let firm = skin.least[i] * thicker + ends;
            // p below 1: over the chord.
            let [at_from, at_to] = grown.map(|grown| across.least[i] * grown);
            let slope = if to > from { (at_to - at_from) / (to - from) } else { 0.0 };
            let chord = (at_from, slope);
            // g above 1: over the tangent at the lower end.
            let tangent = above.map_or((0.0, 0.0), |(_, [across, _, _])| {
                let at = across.least[i] * shrunk;
                (at, GREATEST_LENGTH_POWER * at / from)
            });
            let middle = 0.5 * (to - from);
            let higher = |(at, slope): (f64, f64)| at + slope * middle;
            let (at, slope) = if higher(tangent) > higher(chord) { tangent } else { chord };
            (firm + at - slope * from, slope)
        })
    }

    /// Range over lengths in metres.
    pub(in crate::search) fn range(&self, from: f64, to: f64) -> DragRange {
        self.range_by(&self.lines(from, to), from, to)
    }

    /// The same with [`Self::lines`] known.
    pub(in crate::search) fn range_by(&self, lines: &[(f64, f64); LEASTS], from: f64, to: f64) -> DragRange {
        let none = [f64::INFINITY; MOSTS];
        let below = self.below(to);
        let most = self.above(to).map_or(none, |(longer, [across, skin, _])| {
            let shrunk = (to / longer).powf(LEAST_LENGTH_POWER);
            let grown = below.map(|(shorter, [across, _, _])| (across, (to / shorter).powf(GREATEST_LENGTH_POWER)));
            let thinner = (to / longer).sqrt();
            std::array::from_fn(|i| {
                let by_shorter = grown.map_or(f64::INFINITY, |(across, grown)| across.most[i] * grown);
                (across.most[i] * shrunk).min(by_shorter) + skin.most[i] * thinner
            })
        });
        // A rod too short for the first knot has ends of its own: those of a rod that has any are not known there.
        let no_ends = self.0[0][2] == DragRange::default();
        let ends = if no_ends { [0.0; MOSTS] } else { self.below(from).map_or(none, |(_, [_, _, ends])| ends.most) };
        DragRange {
            least: lines.map(|(offset, slope)| offset + slope * from),
            most: std::array::from_fn(|i| most[i] + ends[i]),
        }
    }
}

/// By how much the drag of a rod grows with its length, N per m, in any one attitude.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct Growth {
    /// At the lower rate, at least.
    pub(in crate::search) least: f64,
    /// At the upper rate, at most.
    pub(in crate::search) most: f64,
    /// By how much that grows from the lower to the upper rate, at most.
    pub(in crate::search) rise: f64,
}

/// The same from each length to the next of those at which drag is computed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct RodGrowth([Growth; KNOTS.len() - 1]);

/// Over a part of the way from one such length to the next, and in attitudes in between, drag grows by no more and no less than this
/// either way of the most that it does over the whole: tested, not proven.
const BETWEEN_LENGTHS: f64 = 0.18;
/// The same of the shortest, up to so many metres, where ends count for more.
const BETWEEN_SHORT_ONES: (f64, f64) = (6.2e-3, 0.25);

impl RodGrowth {
    /// From the element of each length in metres.
    pub(in crate::search) fn new(bounds: &Bounds, element: impl Fn(f64) -> Option<DragElement>) -> Self {
        let at = KNOTS.map(|length| {
            element(length).map_or_else(Vec::new, |element| bounds.drags_by_attitude(&element).collect())
        });
        Self(std::array::from_fn(|i| {
            let per_length = 1.0 / (KNOTS[i + 1] - KNOTS[i]);
            let each = at[i].iter().zip(&at[i + 1]).map(|(a, b)| [b[0] - a[0], b[1] - a[1]].map(|d| d * per_length));
            // Least and greatest, and greatest in size.
            let none = [f64::INFINITY, 0.0, 0.0, 0.0, 0.0];
            let [least, slowly, fastest, rise, size] =
                each.fold(none, |[least, slowly, most, rise, size], [slow, fast]| {
                    let by = fast - slow;
                    [least.min(slow), slowly.max(slow.abs()), most.max(fast), rise.max(by), size.max(fast.abs())]
                });
            let slack = if KNOTS[i] < BETWEEN_SHORT_ONES.0 { BETWEEN_SHORT_ONES.1 } else { BETWEEN_LENGTHS };
            Growth {
                least: if least.is_finite() { least - slack * slowly } else { 0.0 },
                most: fastest + 2.0 * slack * size,
                rise: rise + slack * size,
            }
        }))
    }

    /// Over lengths in metres.
    pub(in crate::search) fn over(&self, from: f64, to: f64) -> Growth {
        let first = KNOTS.iter().rposition(|k| *k <= from).unwrap_or(0).min(self.0.len() - 1);
        let last = KNOTS.iter().position(|k| *k >= to).unwrap_or(self.0.len()).clamp(first + 1, self.0.len());
        let spans = &self.0[first..last];
        spans.iter().skip(1).fold(spans[0], |all, one| Growth {
            least: all.least.min(one.least),
            most: all.most.max(one.most),
            rise: all.rise.max(one.rise),
        })
    }
}

impl Hull for RodDrag {
    fn hull(self, other: Self) -> Self {
        Self(std::array::from_fn(|i| std::array::from_fn(|j| self.0[i][j].hull(other.0[i][j]))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::{DragShape, Label, Rod};
    use crate::physics::build_up::element_force;
    use crate::quantity::Angle;
    use crate::wanted::{Counted, ShareFloor, Target, TargetSpec};

    fn element(diameter: f64, length: f64, free: bool) -> DragElement {
        let blunt_ends = if free { 0.5 } else { 0.0 };
        let rod = Rod { blunt_ends, sharp: free, ..Rod::round(diameter, length, [1.0, 0.0]) };
        DragElement { label: Label::Foam, shape: DragShape::Slender(rod), centre: [0.0; 2] }
    }

    #[test]
    fn no_rod_grows_in_drag_by_less_or_more_than_is_said() {
        let catalog = crate::catalog::Catalog::built_in().unwrap();
        let hook = catalog.hook("jig60-12").unwrap();
        for (hang, sink) in [(0.0, "0.05..0.4m/s"), (60.0, "0.2..0.3m/s"), (-85.0, "0.1..0.2m/s")] {
            let mut spec = TargetSpec { hang: Some(Angle::from_deg(hang)), ..TargetSpec::default() };
            spec.sink = sink.parse().ok();
            let share = Some(ShareFloor { least: 0.8, counted: Counted::Trimmed });
            let target = Target { share, ..spec.resolve(&catalog).unwrap().0 };
            let bounds = Bounds::new(&target, hook);
            let window = &bounds.windows[0];
            for diameter in [0.6e-3, 2e-3, 3e-3, 9e-3] {
                let growth = RodGrowth::new(&bounds, |length| Some(element(diameter, length, true)));
                for (i, j) in (0..=40).flat_map(|i| (0..=9).map(move |j| (i, j))) {
                    let (from, beta) =
                        (4e-3 + 1e-3 * f64::from(i), window.from + (window.to - window.from) * f64::from(j) / 9.0);
                    let down = [beta.sin(), -beta.cos()];
                    for to in [from + 0.25e-3, from + 1.3e-3, from + 6e-3] {
                        let grown = [bounds.sink.low, bounds.sink.high].map(|rate| {
                            let drag = |length: f64| {
                                let velocity = down.map(|d| rate.unwrap() * d);
                                let force =
                                    element_force(&element(diameter, length, true), velocity, &target.conditions.water);
                                -(force[0] * down[0] + force[1] * down[1])
                            };
                            (drag(to) - drag(from)) / (to - from)
                        });
                        let said = growth.over(from, to);
                        let case = format!("{hang} {diameter} {from} {to} {beta}: {grown:?} {said:?}");
                        assert!(grown[0] >= said.least && grown[1] <= said.most, "{case}");
                        assert!(grown[1] - grown[0] <= said.rise, "{case}");
                        // Nor is it much less: half of it where the rod lies across.
                        assert!(hang != 0.0 || from < 6e-3 || said.least > 0.5 * grown[0], "{case}");
                    }
                }
            }
        }
    }

    #[test]
    fn bounds_by_length_hold_the_drag_of_every_length() {
        let catalog = crate::catalog::Catalog::built_in().unwrap();
        let hook = catalog.hook("jig60-12").unwrap();
        for (hang, sink) in [(0.0, "0.01..0.4m/s"), (60.0, "0.2..0.3m/s")] {
            let mut spec = TargetSpec { hang: Some(Angle::from_deg(hang)), ..TargetSpec::default() };
            spec.sink = sink.parse().ok();
            let share = Some(ShareFloor { least: 0.8, counted: Counted::Trimmed });
            let target = Target { share, ..spec.resolve(&catalog).unwrap().0 };
            let bounds = Bounds::new(&target, hook);
            for (diameter, free) in [(0.6e-3, false), (3e-3, true), (9e-3, true), (2e-3, false)] {
                let rods = RodDrag::new(&bounds, |length| Some(element(diameter, length, free)));
                for (from, to) in [(2e-3, 2e-3), (4.4e-3, 4.4e-3), (3e-3, 9e-3), (8.1e-3, 8.9e-3), (11e-3, 28e-3)] {
                    let (range, line) = (rods.range(from, to), rods.lines(from, to)[0]);
                    for i in 0..=20 {
                        let length = from + (to - from) * f64::from(i) / 20.0;
                        let one = bounds.drag(&[element(diameter, length, free)]);
                        for k in 0..MOSTS {
                            assert!(range.least[k] <= one.least[k] * (1.0 + 1e-12), "{diameter} {length}");
                            assert!(range.most[k] >= one.most[k] * (1.0 - 1e-12), "{diameter} {length}");
                        }
                        // In no attitude does the drag of one grow by more from rate to rate, and hardly less in some.
                        let window = &bounds.windows[0];
                        let rise = (0..=12).fold(0.0_f64, |most, j| {
                            let beta = window.from + f64::from(j) / 12.0 * (window.to - window.from);
                            let down = [beta.sin(), -beta.cos()];
                            let drag = |rate: Option<f64>| {
                                let velocity = down.map(|d| rate.unwrap() * d);
                                let force =
                                    element_force(&element(diameter, length, free), velocity, &target.conditions.water);
                                -(force[0] * down[0] + force[1] * down[1])
                            };
                            most.max(drag(bounds.sink.high) - drag(bounds.sink.low))
                        });
                        assert!(one.most[2] >= rise && one.most[2] < 1.15 * rise, "{diameter} {length}: {rise}");
                        assert!(line.0 + line.1 * length <= one.least[0] * (1.0 + 1e-12), "{diameter} {length}");
                        if from == to {
                            assert!(range.least[0] > 0.85 * one.least[0], "{diameter} {length}: loose");
                            assert!(range.most[0] < 1.15 * one.most[0], "{diameter} {length}: loose");
                        }
                    }
                }
            }
        }
    }
}
