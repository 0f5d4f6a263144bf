//! Bounds on the price that know what the parts have to do: the price of a node is no less than what its parts cost less
//! what they would be worth, at any worth.
//!
//! Every recipe that meets the target with the hang in the window [p, q] has f(p) >= 0, f(q) <= 0 (on a loop) and
//! W - D >= 0, with D the drag at the least sink rate, or 0 where none is wanted. So for any a, b, c of 0 or more its price
//! is no less than
//!
//! price - a f(p) + b f(q) - c (W - D) = price + gx Mx + gy My - c W + c D,
//!
//! which is a sum over groups of parts: the sum of the least of each group bounds every recipe of the node (weak
//! Lagrangian duality). Any worth gives a bound that holds; a good one, found once for hooks of a kind by climbing the
//! bound of the whole space, gives one that is close: it knows that what is cheap is light, and that lift costs weight.

use super::bound::{Bounds, MOMENT_SLACK, Range};
use super::hook_tables::Share;

/// Sets of worths for each window: one for each way to fill the front.
pub(super) const WORTHS: usize = 3;

/// For each window and each set of worths: price less worth, millionths.
pub(super) type Dual = [[f64; WORTHS]; 2];

/// Nothing.
pub(super) const NO_DUAL: Dual = [[0.0; WORTHS]; 2];

/// What moments and weight are worth, in millionths per N m and per N.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Worth {
    /// Price of a moment about x and y.
    g: [f64; 2],
    /// Worth of weight, and price of drag.
    c: f64,
    /// What rounding may make of it, per set.
    slack: f64,
    /// The greater of the worths of f at the two edges.
    edge: f64,
}

/// A moment is worth as much as weight at this lever at least, 1/m.
const LEVER: f64 = 100.0;

/// The worths of a hook.
pub(super) type Worths = [[Worth; WORTHS]; 2];

impl Worth {
    /// From the worths of f(p), of -f(q) and of W - D.
    pub(super) fn new([a, b, c]: [f64; 3], (p, q): (f64, f64)) -> Self {
        Self {
            g: [b * q.cos() - a * p.cos(), b * q.sin() - a * p.sin()],
            c,
            slack: 2.0 + (a + b) * 8.0 * MOMENT_SLACK,
            edge: a.max(b),
        }
    }

    /// Range of the worth of a newton of weight that acts in a box.
    pub(super) fn of_weight(&self, x: Range, y: Range) -> Range {
        let arm = x.times(Range::point(-self.g[0])).plus(y.times(Range::point(-self.g[1])));
        arm.plus(Range::point(self.c))
    }

    /// Price of weight and moments, less the worth of the weight.
    pub(super) fn less_worth(&self, weight: f64, moments: [f64; 2]) -> f64 {
        self.g[0] * moments[0] + self.g[1] * moments[1] - self.c * weight
    }

    /// How much the ranges of a group leave open, as worth: what to split first. Where nothing is worth anything, by turning
    /// moment alone.
    pub(super) fn open(&self, share: &Share) -> f64 {
        let widest = share.width();
        if self.c == 0.0 && self.edge == 0.0 {
            return widest;
        }
        (self.edge + LEVER * self.c) * widest + self.c * (share.weight.high - share.weight.low)
    }

    /// Price of drag.
    pub(super) fn of_drag(&self, drag: f64) -> f64 {
        self.c * drag
    }

    /// Price of a moment about x and y.
    pub(super) fn of_moments(&self) -> [f64; 2] {
        self.g
    }
}

/// By window and worth.
pub(super) fn per_worth(worths: &Worths, f: impl Fn(&Worth) -> f64) -> Dual {
    worths.map(|set| set.map(|worth| f(&worth)))
}

/// Greatest product of a worth and a weight, each within a range.
pub(super) fn most_worth(worth: Range, weight: Range) -> f64 {
    worth.times(weight).high
}

/// No recipe of a node with this sum that meets the target costs less than this, millionths.
pub(super) fn least_price(total: &Share, worths: &Worths, bounds: &Bounds) -> f64 {
    let scale = total.weight.high.abs().max(total.weight.low.abs()) + total.drag.least[0];
    (0..bounds.windows.len())
        .map(|k| {
            (0..WORTHS)
                .map(|j| {
                    let worth = &worths[k][j];
                    total.dual[k][j] - worth.c * scale * 1e-8 - worth.slack
                })
                .fold(f64::NEG_INFINITY, f64::max)
        })
        .fold(f64::INFINITY, f64::min)
}

/// What one choice of a group adds: price, f(p), f(q), W, D, per window; the best that its ranges allow.
#[derive(Debug, Clone, Copy)]
pub(super) struct Choice {
    price: f64,
    gains: [[f64; 3]; 2],
}

impl Choice {
    pub(super) fn new(share: &Share) -> Self {
        Self {
            price: share.price as f64,
            gains: std::array::from_fn(|k| {
                let [p, q, _] = share.turning[k];
                [p.high, -q.low, share.weight.high - share.drag.least[0]]
            }),
        }
    }
}

/// Steps of the climb.
const STEPS: i32 = 160;
/// Each step is so much of the one before.
const SHORTER: f64 = 0.96;

/// Worths under which the bound of a whole space, a choice from each group, is about as high as it gets: a climb along
/// the direction of steepest ascent by ever shorter steps.
pub(super) fn climb(base: &Choice, groups: &[Vec<Choice>], window: usize, hang: bool) -> [f64; 3] {
    let scales = scales(groups, window);
    let mut at = [0.0; 3];
    let (mut best, mut found) = (f64::NEG_INFINITY, at);
    for step in 0..STEPS {
        let worth: [f64; 3] = std::array::from_fn(|i| at[i] * scales[i]);
        let cost = |c: &Choice| c.price - (0..3).map(|i| worth[i] * c.gains[window][i]).sum::<f64>();
        let chosen: Vec<&Choice> =
            groups.iter().filter_map(|g| g.iter().min_by(|a, b| cost(a).total_cmp(&cost(b)))).collect();
        let value: f64 = cost(base) + chosen.iter().map(|c| cost(c)).sum::<f64>();
        if value > best {
            (best, found) = (value, worth);
        }
        // The bound grows with the worth of what is still missing.
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

/// A worth that makes the widest differences of gain about as large as the widest difference of price.
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
