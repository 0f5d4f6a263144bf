//! The Lagrangian bound on the price: the price of a node is no less than what its parts cost less the multipliers of the
//! constraints times what the parts bring towards them.
//!
//! Every recipe that meets the target with the hang in the window [p, q] has f(p) >= 0, f(q) <= 0 (on a loop) and
//! W - D >= 0, with D the drag at the least sink rate, or 0 where none is wanted. So for any a, b, c of 0 or more its price
//! is no less than
//!
//! price - a f(p) + b f(q) - c (W - D) = price + gx Mx + gy My - c W + c D,
//!
//! (or W the weight at a depth to be reached and D the drag at the mean speed to it, see [`super::descent`]), which is a sum over groups of parts: the sum of the least of each group bounds every recipe of the node (weak
//! Lagrangian duality). Any multipliers give a bound that holds; good ones, found once for hooks of a kind by subgradient
//! ascent on the dual of the whole space, give one that is close: it knows that what is cheap is light, and that lift costs weight.

use crate::search::bounds::contribution::{Contribution, MULTIPLIER_SETS, ReducedPrice};
use crate::search::bounds::range::Range;
use crate::search::bounds::{Bounds, MOMENT_SLACK};

/// Lagrange multipliers as prices of moments and weight, in millionths per N m and per N.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(in crate::search) struct Multipliers {
    /// Price of a moment about x and y.
    g: [f64; 2],
    /// Multiplier of W - D: worth of weight, and price of drag.
    c: f64,
    /// What rounding may make of it, per set.
    slack: f64,
    /// The greater of the multipliers of f at the two edges.
    edge: f64,
}

/// A moment counts as much as weight at this lever at least, 1/m.
const LEVER: f64 = 100.0;

/// The multipliers of a hook.
pub(in crate::search) type MultiplierSets = [[Multipliers; MULTIPLIER_SETS]; 2];

impl Multipliers {
    /// From the multipliers of f(p), of -f(q) and of W - D.
    pub(in crate::search) fn new([a, b, c]: [f64; 3], (p, q): (f64, f64)) -> Self {
        Self {
            g: [b * q.cos() - a * p.cos(), b * q.sin() - a * p.sin()],
            c,
            slack: 2.0 + (a + b) * 8.0 * MOMENT_SLACK,
            edge: a.max(b),
        }
    }

    /// Range of what the multipliers make of a newton of weight that acts in a box.
    pub(in crate::search) fn of_weight(&self, x: Range, y: Range) -> Range {
        let arm = x.times(Range::point(-self.g[0])).plus(y.times(Range::point(-self.g[1])));
        arm.plus(Range::point(self.c))
    }

    /// Reduced price of a weight and moments that cost nothing.
    pub(in crate::search) fn reduced_price(&self, weight: f64, moments: [f64; 2]) -> f64 {
        self.g[0] * moments[0] + self.g[1] * moments[1] - self.c * weight
    }

    /// How much the ranges of a group leave open, as price: what to split first. Where all multipliers are 0, by turning
    /// moment alone.
    pub(in crate::search) fn open(&self, share: &Contribution) -> f64 {
        let widest = share.width();
        if self.c == 0.0 && self.edge == 0.0 {
            return widest;
        }
        (self.edge + LEVER * self.c) * widest + self.c * (share.weight.high - share.weight.low)
    }

    /// Price of drag.
    pub(in crate::search) fn of_drag(&self, drag: f64) -> f64 {
        self.c * drag
    }

    /// Price of a moment about x and y.
    pub(in crate::search) fn of_moments(&self) -> [f64; 2] {
        self.g
    }
}

/// By window and set of multipliers.
pub(in crate::search) fn per_multipliers(
    multiplier_sets: &MultiplierSets,
    f: impl Fn(&Multipliers) -> f64,
) -> ReducedPrice {
    multiplier_sets.map(|set| set.map(|multipliers| f(&multipliers)))
}

/// Greatest product of a value per newton and a weight, each within a range.
pub(in crate::search) fn most_value(multipliers: Range, weight: Range) -> f64 {
    multipliers.times(weight).high
}

/// No recipe of a node with this sum that meets the target costs less than this, millionths.
pub(in crate::search) fn least_price(
    deep: &Contribution,
    shallow: Option<&Contribution>,
    multiplier_sets: &MultiplierSets,
    bounds: &Bounds,
) -> f64 {
    let of_window = |k: usize| {
        let at = |total: &Contribution| least_in(k, total, multiplier_sets, bounds);
        shallow.map_or(at(deep), |shallow| at(deep).max(at(shallow)))
    };
    (0..bounds.windows.len()).map(of_window).fold(f64::INFINITY, f64::min)
}

/// The same in one window and at one depth.
fn least_in(k: usize, total: &Contribution, multiplier_sets: &MultiplierSets, bounds: &Bounds) -> f64 {
    // Which attitudes the drag on the way to a depth is looked at depends on the node, so it is added to the sum.
    let on_the_way = if bounds.sink.low.is_none() { bounds.drag_on_the_way(k, total) - total.gain } else { 0.0 };
    let scale = total.weight.high.abs().max(total.weight.low.abs()) + total.drag.least[0] + on_the_way.abs();
    (0..MULTIPLIER_SETS)
        .map(|j| {
            let multipliers = &multiplier_sets[k][j];
            total.reduced_price[k][j] + multipliers.c * on_the_way - multipliers.c * scale * 1e-8 - multipliers.slack
        })
        .fold(f64::NEG_INFINITY, f64::max)
}

/// What one choice of a group adds: price, f(p), f(q), W, D, per window; the best that its ranges allow.
#[derive(Debug, Clone, Copy)]
pub(in crate::search) struct Choice {
    price: f64,
    gains: [[f64; 3]; 2],
}

impl Choice {
    pub(in crate::search) fn new(share: &Contribution, bounds: &Bounds) -> Self {
        let drag = if bounds.sink.low.is_none() { share.drag.on_the_way()[0] } else { share.drag.least[0] };
        Self {
            price: share.price as f64,
            gains: std::array::from_fn(|k| {
                let [p, q, _] = share.turning[k];
                [p.high, -q.low, share.weight.high - drag]
            }),
        }
    }
}

/// Steps of the ascent.
const STEPS: i32 = 160;
/// Each step is so much of the one before.
const SHORTER: f64 = 0.96;

/// Multipliers under which the bound of a whole space, a choice from each group, is about as high as it gets: an ascent along
/// the direction of steepest ascent by ever shorter steps.
pub(in crate::search) fn subgradient_ascent(
    base: &Choice,
    groups: &[Vec<Choice>],
    window: usize,
    hang: bool,
) -> [f64; 3] {
    let scales = scales(groups, window);
    let mut at = [0.0; 3];
    let (mut best, mut found) = (f64::NEG_INFINITY, at);
    for step in 0..STEPS {
        let multipliers: [f64; 3] = std::array::from_fn(|i| at[i] * scales[i]);
        let cost = |c: &Choice| c.price - (0..3).map(|i| multipliers[i] * c.gains[window][i]).sum::<f64>();
        let chosen: Vec<&Choice> =
            groups.iter().filter_map(|g| g.iter().min_by(|a, b| cost(a).total_cmp(&cost(b)))).collect();
        let value: f64 = cost(base) + chosen.iter().map(|c| cost(c)).sum::<f64>();
        if value > best {
            (best, found) = (value, multipliers);
        }
        // A subgradient of the dual: how far each constraint is from being met.
        let missing: [f64; 3] = std::array::from_fn(|i| {
            let sum = base.gains[window][i] + chosen.iter().map(|c| c.gains[window][i]).sum::<f64>();
            if i < 2 && !hang { 0.0 } else { -sum * scales[i] }
        });
        let length = missing.iter().map(|m| m * m).sum::<f64>().sqrt();
        if length <= 0.0 {
            break;
        }
        let stride = SHORTER.powi(step);
        for i in 0..3 {
            at[i] = (at[i] + stride * missing[i] / length).max(0.0);
        }
    }
    found
}

/// Multipliers that make the widest differences of gain about as large as the widest difference of price.
fn scales(groups: &[Vec<Choice>], window: usize) -> [f64; 3] {
    let width = |values: &dyn Fn(&Choice) -> f64| {
        groups
            .iter()
            .map(|g| {
                let (low, high) =
                    g.iter().map(values).fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| (l.min(v), h.max(v)));
                (high - low).max(0.0)
            })
            .fold(0.0, f64::max)
    };
    let price = width(&|c| c.price);
    std::array::from_fn(|i| {
        let gain = width(&|c| c.gains[window][i]);
        if gain > 0.0 { price / gain } else { 0.0 }
    })
}
