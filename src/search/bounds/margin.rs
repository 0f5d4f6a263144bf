//! What a margin leaves of the windows of a target.

use super::drag::{DragRange, STEEPEST};
use super::range::Range;
use super::{Bounds, RELATIVE_SLACK, Turn, Turning};

/// What a margin leaves of the windows of a target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowed {
    hang: [Option<NarrowedHang>; 2],
    /// Least and greatest share of the drag at the middle rate that a weight may have.
    drag: [f64; 2],
}

/// What is left of a window of hangs, and how f at its edges follows from f at those of the whole.
#[derive(Debug, Clone, Copy, PartialEq)]
struct NarrowedHang {
    from: f64,
    to: f64,
    edges: Option<[[f64; 2]; 2]>,
    turns: [Turn; 2],
}

impl Narrowed {
    /// The windows that are left where f at their edges is known: the turns of both edges, and the ranges of f there of a
    /// part with this turning moment. `None` where it is not known.
    pub(in crate::search) fn edges<'t>(
        &self,
        turning: &'t Turning,
    ) -> impl Iterator<Item = Option<[(Turn, Range); 2]>> + use<'t> {
        self.hang.into_iter().zip(turning).filter_map(|(hang, t)| {
            let hang = hang?;
            let at = |i: usize| -> Option<(Turn, Range)> {
                let [p, q] = hang.edges?[i];
                Some((hang.turns[i], Range { low: t[0].low * p + t[1].low * q, high: t[0].high * p + t[1].high * q }))
            };
            Some(at(0).zip(at(1)).map(|(p, q)| [p, q]))
        })
    }
}

/// Slack for the root that gives the sink rate, and for rounding.
const RATE_SLACK: f64 = 1e-6;

/// Widest window, rad, in which f between the edges is taken from the edges.
const WIDEST: f64 = 3.0;

impl Bounds {
    /// What a margin leaves of the windows.
    ///
    /// A margin m leaves the window of hangs shrunk to 1 - m of its width about the angle wanted, and the sink rates near
    /// the middle of theirs.
    #[must_use]
    pub fn narrowed(&self, margin: f64) -> Narrowed {
        let half = self.tolerance * (1.0 - margin) * (1.0 + RELATIVE_SLACK) + 1e-12;
        let mut narrowed = Narrowed { hang: [None; 2], drag: [0.0, f64::INFINITY] };
        for (hang, window) in narrowed.hang.iter_mut().zip(&self.windows) {
            let (from, to) = (window.from.max(window.middle - half), window.to.min(window.middle + half));
            let width = (window.to - window.from).sin();
            let parts = |beta: f64| {
                let p = ((window.to - beta).sin() / width).max(0.0);
                let q = ((beta - window.from).sin() / width).max(0.0);
                [p, q]
            };
            // At half a turn the two edges are the same line, and say nothing of what lies between.
            let edges_tell = window.to - window.from < WIDEST;
            *hang = Some(NarrowedHang {
                from,
                to,
                edges: edges_tell.then(|| [parts(from), parts(to)]),
                turns: [Turn::new(from), Turn::new(to)],
            });
        }
        if let Some(rates) = self.rates {
            let off = (1.0 - margin).max(0.0) * rates.half / rates.middle * (1.0 + RELATIVE_SLACK);
            if rates.edges[0] {
                narrowed.drag[0] = (1.0 - off).max(0.0).powf(STEEPEST) * (1.0 - RATE_SLACK);
            }
            if rates.edges[1] {
                narrowed.drag[1] = (1.0 + off).powf(STEEPEST) * (1.0 + RATE_SLACK);
            }
        }
        narrowed
    }

    /// Whether no hang within narrowed windows is possible.
    ///
    /// f at a turn between the edges p and q is f(p) sin(q - beta)/sin(q - p) + f(q) sin(beta - p)/sin(q - p), so its range
    /// follows from theirs.
    #[must_use]
    pub fn hang_narrowed_out(&self, turning: &Turning, weight: Range, narrowed: &Narrowed) -> bool {
        narrowed.hang.iter().zip(turning).filter_map(|(hang, t)| hang.map(|hang| (hang, t))).all(|(hang, t)| {
            let at = |[p, q]: [f64; 2]| Range { low: t[0].low * p + t[1].low * q, high: t[0].high * p + t[1].high * q };
            let NarrowedHang { from, to, edges, .. } = hang;
            from > to || edges.is_some_and(|[p, q]| self.outside((from, to), [at(p), at(q), t[2]], weight))
        })
    }

    /// Whether no sink rate within narrowed windows is possible.
    ///
    /// Since drag over the steepest power of the speed falls, drag at a rate v below the middle vm is at least
    /// D(vm) (v / vm)^n, and above it at most that.
    #[must_use]
    pub fn sink_narrowed_out(&self, weight: Range, drag: DragRange, narrowed: &Narrowed) -> bool {
        self.rates.is_some()
            && (drag.least[1] * narrowed.drag[0] > weight.high || drag.most[1] * narrowed.drag[1] < weight.low)
    }

    /// Weights that a recipe with a drag within a range may have and sink at a rate within narrowed windows.
    pub(in crate::search) fn weights(&self, drag: DragRange, narrowed: &Narrowed) -> Range {
        let mut weights = Range { low: 0.0, high: f64::INFINITY };
        if self.sink.low.is_some() {
            weights.low = drag.least[0] * (1.0 - RELATIVE_SLACK);
        }
        if self.sink.high.is_some() {
            weights.high = drag.most[0] * (1.0 + RELATIVE_SLACK);
        }
        if self.rates.is_some() {
            weights.low = weights.low.max(drag.least[1] * narrowed.drag[0]);
            weights.high = weights.high.min(drag.most[1] * narrowed.drag[1]);
        }
        weights
    }
}
