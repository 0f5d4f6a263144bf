//! Drag of sets of parts, and the sink rates that it rules out.

use super::descent::CLASSES;
use super::range::{Hull, Range};
use super::{Bounds, RELATIVE_SLACK};
use crate::physics::body::{DragElement, DragShape, Label, Rod};
use crate::physics::build_up::drag_parts;
use crate::spread::sinks::NARROW;
use crate::wanted::{Line, Target, Window};

/// The drag of a whole element grows with speed no faster than with this power. The ends of a rod end on by themselves grow a little
/// faster (2.6 at a Reynolds number of some 1300); its skin holds them back.
pub const STEEPEST: f64 = 2.5;

/// Attitudes of a window in which a rise of the drag is looked at.
const STATIONS: u32 = 5;

/// Between them it is no more than so many times what it is there: drag is smooth over a narrow window.
const BETWEEN_STATIONS: f64 = 1.005;

/// Whether it is known by how much drag grows from the lower to the upper rate in any one attitude, where a target asks for
/// both on a tight line, and for a share.
pub(super) fn rise_is_known(target: &Target) -> bool {
    let between =
        target.sink.is_some_and(|sink| sink.low.zip(sink.high).is_some_and(|(low, high)| low > 0.0 && high > 0.0));
    between && target.share.is_some() && target.fall.line == Line::Tight && target.tolerance < NARROW
}

/// How many least drags are known.
pub const LEASTS: usize = 3 + CLASSES;

/// How many greatest drags.
pub const MOSTS: usize = 3;

/// Ranges of drag at the sink rates that decide, N.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct DragRange {
    /// Least at the lower rate, at the rate of the widest margin, at the upper rate, and at the mean speed to a depth in each class of
    /// attitudes ([`super::descent`]).
    pub least: [f64; LEASTS],
    /// Greatest at the upper rate, and at the rate of the widest margin; and by how much it grows at most from the lower to the
    /// upper rate in any one attitude, where both are asked in a narrow window of hangs; 0 else.
    pub most: [f64; MOSTS],
}

impl DragRange {
    /// Sum of two.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self {
            least: std::array::from_fn(|i| self.least[i] + other.least[i]),
            most: std::array::from_fn(|i| self.most[i] + other.most[i]),
        }
    }

    /// Least at the mean speed to a depth in each class of attitudes.
    pub(super) fn on_the_way(&self) -> [f64; CLASSES] {
        let [_, _, _, classes @ ..] = self.least;
        classes
    }

    /// Smallest range that holds both.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            least: std::array::from_fn(|i| self.least[i].min(other.least[i])),
            most: std::array::from_fn(|i| self.most[i].max(other.most[i])),
        }
    }
}

impl Hull for DragRange {
    fn hull(self, other: Self) -> Self {
        DragRange::hull(self, other)
    }
}

/// The sink rates of a window by their margin m: within `half` (1 - m) of the middle, on the sides that have an edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rates {
    pub(super) middle: f64,
    pub(super) half: f64,
    pub(super) edges: [bool; 2],
}

impl Rates {
    /// See [`Window::margin`].
    pub(super) fn new(window: Window) -> Option<Self> {
        let (middle, half) = match (window.low, window.high) {
            (Some(low), Some(high)) => (0.5 * (low + high), 0.5 * (high - low)),
            (Some(low), None) => (1.25 * low, 0.25 * low),
            (None, Some(high)) => (0.75 * high, 0.25 * high),
            (None, None) => return None,
        };
        let edges = [window.low.is_some(), window.high.is_some()];
        (middle > 0.0 && half >= 0.0).then_some(Self { middle, half, edges })
    }
}

impl Bounds {
    /// Whether no sink rate in the window is possible for weights and drags within these ranges.
    ///
    /// `drag` holds the least drag at the lower rate and the greatest at the upper rate.
    #[must_use]
    pub fn sink_impossible(&self, weight: Range, drag: DragRange) -> bool {
        let slack = RELATIVE_SLACK;
        (self.sink.low.is_some() && drag.least[0] > weight.high * (1.0 + slack))
            || (self.sink.high.is_some() && drag.most[0] < weight.low * (1.0 - slack))
    }

    /// Drag range of some elements.
    #[must_use]
    pub fn drag(&self, elements: &[DragElement]) -> DragRange {
        elements
            .iter()
            .flat_map(|element| self.drag_parts(element))
            .fold(DragRange::default(), |sum, part| sum.plus(part))
    }

    /// Drag range of one element in parts: across, skin, ends with slant.
    pub(in crate::search) fn drag_parts(&self, element: &DragElement) -> [DragRange; 3] {
        let water = &self.conditions.water;
        let over = |speed: Option<f64>| -> [Range; 3] {
            let nothing = [Range::point(0.0); 3];
            let Some(speed) = speed else { return nothing };
            let each = self
                .attitudes
                .iter()
                .map(|range| drag_parts(element, speed, *range, water).map(|(low, high)| Range { low, high }));
            each.reduce(|a, b| std::array::from_fn(|i| a[i].hull(b[i]))).unwrap_or(nothing)
        };
        let (low, high, middle) = (over(self.sink.low), over(self.sink.high), over(self.rates.map(|r| r.middle)));
        let rise = self.rise_of_parts(element);
        let on_the_way = self.descent.as_ref().map_or([[0.0; CLASSES]; 3], |d| d.least_parts(element, water));
        std::array::from_fn(|i| {
            let mut least = [low[i].low; LEASTS];
            least[1] = middle[i].low;
            least[2] = high[i].low;
            least[3..].copy_from_slice(&on_the_way[i]);
            DragRange { least, most: [high[i].high, middle[i].high, rise[i]] }
        })
    }

    /// Drag of an element in one attitude at the lower and at the upper rate, N; 0 where that is not asked; attitude by
    /// attitude over the windows of hangs.
    pub(in crate::search) fn drags_by_attitude(&self, element: &DragElement) -> impl Iterator<Item = [f64; 2]> {
        self.stations().map(|beta| {
            [self.sink.low, self.sink.high].map(|rate| {
                let at = |speed| drag_parts(element, speed, (beta, beta), &self.conditions.water);
                rate.map_or(0.0, |speed| at(speed).iter().map(|part| part.0).sum())
            })
        })
    }

    /// Attitudes of all windows in which drag is looked at.
    fn stations(&self) -> impl Iterator<Item = f64> {
        self.attitudes.iter().flat_map(|(from, to)| {
            (0..STATIONS).map(move |i| from + f64::from(i) / f64::from(STATIONS - 1) * (to - from))
        })
    }

    /// By how much the drag of each part of an element grows at most between the two rates, in one attitude of a narrow window.
    fn rise_of_parts(&self, element: &DragElement) -> [f64; 3] {
        let Some((low, high)) = self.sink.low.zip(self.sink.high).filter(|_| self.rise_is_known) else {
            return [0.0; 3];
        };
        let at = |speed: f64, beta: f64| drag_parts(element, speed, (beta, beta), &self.conditions.water);
        self.stations().fold([0.0; 3], |most, beta| {
            let (slow, fast) = (at(low, beta), at(high, beta));
            std::array::from_fn(|i| most[i].max((fast[i].1 - slow[i].0) * BETWEEN_STATIONS))
        })
    }

    /// Drag range of a round rod along the shank that is wound on, or bound beside, a core that takes `hidden` of its
    /// width: any diameter and length within ranges. Across and along its drag grows with both, and it has no ends.
    #[must_use]
    pub fn rod_drag(&self, diameter: Range, hidden: f64, length: Range) -> DragRange {
        let rod = |diameter: f64, length: f64| {
            let rod = Rod { breadth: diameter - hidden, ..Rod::round(diameter, length, [1.0, 0.0]) };
            self.drag(&[DragElement { label: Label::Wraps, shape: DragShape::Slender(rod), centre: [0.0; 2] }])
        };
        let mut range = DragRange::default();
        if length.low > 0.0 && diameter.low > hidden {
            range.least = rod(diameter.low, length.low).least;
        }
        if length.high > 0.0 && diameter.high > hidden {
            range.most = rod(diameter.high, length.high).most;
        }
        range
    }
}
