//! What foam does to weight and drag where it is cut to the hang wanted, or left as much longer.

use crate::fly::practice;
use crate::search::bounds::contribution::Moved;
use crate::search::bounds::foam_law::FoamLaw;
use crate::search::bounds::rod_drag::Growth;
use crate::search::bounds::{Bounds, Turn};

/// What foam of a range of lengths does to weight and drag where it must be longer, or is cut.
#[derive(Clone, Copy, Default)]
pub(super) struct Trim {
    pub(super) slower: f64,
    pub(super) rising: f64,
    pub(super) longer: Moved,
    pub(super) shorter: Moved,
}

/// So many snips off, what weight and drag change by at least is known from what foam does there.
const LOOKED_AT: f64 = 8.0;

impl Trim {
    pub(super) fn new(
        bounds: &Bounds,
        law: &FoamLaw,
        growth: impl Fn(f64, f64) -> Growth,
        [from, to, longest]: [f64; 3],
        snip: f64,
    ) -> Self {
        let middles = || bounds.windows.iter().map(|w| Turn::new(0.5 * (w.from + w.to)));
        let least = practice::FOAM_LEAST_LENGTH;
        let moved = |lengths: (f64, f64), reach: (f64, f64)| {
            let drag = growth(lengths.0, lengths.1).least;
            let each = middles().map(|turn| law.moved(turn, drag, lengths, reach));
            each.reduce(Moved::hull).unwrap_or_default()
        };
        let (shortest, longest_yet) =
            (least.max(from - LOOKED_AT * snip).min(from), longest.min(to + LOOKED_AT * snip));
        let ahead = growth(from, longest);
        let most = |drag: f64| middles().map(|turn| law.faster(turn, drag, (from, longest))).fold(0.0, f64::max);
        let (slower, without) = (most(ahead.most), most(0.0));
        Self {
            slower,
            rising: if slower.is_finite() { most(ahead.rise) - without } else { f64::INFINITY },
            longer: moved((from, longest_yet), (to, longest_yet)),
            shorter: moved((shortest, to), (shortest, from)),
        }
    }
}
