//! How many flies come out right once they are trimmed, at most: quick tests of one fly, before its share is worked out
//! ([`super::trimming`]).

use super::draws::{Source, Spread};
use super::forms::{Asked, Form, INTEGRATION_SLACK, Side, share_of};
use super::sinks::{BY_THE_REST, FINE_SNIP, NARROW};
use super::snips::{LeastWindows, Starts};
use super::trimming::{ROUGH_HEAP, Trimming, per_metre_of_foam};
use crate::fly::{AsTied, Deviation};
use crate::numeric::{normal_density, normal_share_below};
use crate::wanted::Target;

/// Of flies that are not within one window, which is followed on a grid, no fewer than this do not come out right: tested, not proven.
const NOT_RIGHT: f64 = 0.8;

/// Over a range of depths, no more come out right than are within one window over this, or than by [`NOT_RIGHT`], whichever is more.
const KEPT_IN_HEAPS: f64 = 0.96;

/// The same of those not within an even share of a step.
const NOT_EVENLY: f64 = 0.75;

/// A window of so few steps, on the mean, holds hardly any fly.
const HARDLY_OPEN: f64 = 1e-3;

/// How many come out right, at most, of so many flies of which so many are within a window.
fn right_of(within: f64, flies: f64) -> f64 {
    flies - NOT_RIGHT * (flies - within).max(0.0) + INTEGRATION_SLACK
}

/// The same by the hang on one side of the point.
fn right_on(side: &Side, within: f64, flies: f64) -> f64 {
    let right = right_of(within, flies);
    if side.is_of_one_depth() { right } else { right.max(within / KEPT_IN_HEAPS) }
}

/// Of flies that hang as wanted within it, the share that sinks as wanted is no more than so many times that of all, or by [`right_of`]:
/// tested, not proven.
const ALIKE: f64 = 1.03;

/// For that, what one snip does is no more than [`FINE_SNIP`], and what is left over of the hang has no more to do with it than this, as a correlation.
const UNLIKE: f64 = 0.4;

/// A step moves both edges of the window alike, to this share of their mean: else the quick bound is not used.
const LIKE_STEPS: f64 = 0.5;

/// A window of hangs in scissor steps of foam.
struct InSteps {
    /// Its width, where it is open.
    open: f64,
    /// Standard deviation of where in it a fly hangs, that cutting does not make up for.
    blur: f64,
}

/// Shares of all flies: that come out right after they were cut, and without.
#[derive(Debug, Clone, Copy)]
pub(super) struct CutOrNot {
    pub(super) cut: f64,
    pub(super) uncut: f64,
}

impl CutOrNot {
    pub(super) fn whole(self) -> f64 {
        (self.cut + self.uncut).min(1.0)
    }
}

impl Trimming<'_> {
    /// No share is more than this, by the hang alone and without following a cut; where its window is narrower than the least
    /// for a share, 0 stands for "less than that share".
    ///
    /// Where in a scissor step a fly ends is all but even, so flies that end in a window of L steps, blurred by what cutting
    /// does not make up for, are no more than an even share of one step would be.
    pub(super) fn at_most(&self, windows: Option<&LeastWindows>) -> f64 {
        // Too narrow a window says nothing where the other side of the point may hold some, too.
        let windows = windows.filter(|_| self.asked.sides.iter().filter(|side| self.may_hold_some(side)).count() <= 1);
        let on = |side: &Side| side.windows().map(|edges| self.at_most_in(edges, windows)).fold(1.0, f64::min);
        self.asked.sides.iter().map(on).sum::<f64>().min(1.0)
    }

    /// Whether more than hardly any fly may end within the windows of a side.
    fn may_hold_some(&self, side: &Side) -> bool {
        side.windows().all(|edges| self.window_in_steps(edges).is_none_or(|window| window.open > HARDLY_OPEN))
    }

    fn at_most_in(&self, edges: [&Form; 2], windows: Option<&LeastWindows>) -> f64 {
        let Some(InSteps { open, blur }) = self.window_in_steps(edges) else { return 1.0 };
        let starts = Starts::of(self.start_steps.0, self.start_steps.1);
        let narrow = |least: &LeastWindows| {
            let width = open.max(1e-9);
            open < least.at(starts, self.reading / width, blur / width)
        };
        if windows.is_some_and(narrow) {
            return 0.0;
        }
        let g = |x: f64| x * normal_share_below(x) + normal_density(x);
        let even = 2.0 * blur * (g((0.5 * open + 0.5) / blur) - g((0.5 * open - 0.5) / blur)) - 1.0;
        (1.0 - NOT_EVENLY * (1.0 - even)).max(even / KEPT_IN_HEAPS)
    }

    /// The same by following the cuts of this fly once. Those too short from the start are counted as they are: what they showed
    /// tells less of them than of one that was cut to show it.
    pub(super) fn followed_at_most(&self) -> CutOrNot {
        let stopped = self.followed();
        let within = |side: &Side, edges: [&Form; 2]| {
            let known = self.window_in_steps(edges);
            known.map_or(CutOrNot { cut: 1.0, uncut: 0.0 }, |InSteps { open, blur }| CutOrNot {
                cut: right_on(side, stopped.most_cut_within(open, blur), stopped.cut.iter().sum()),
                uncut: self.share_of_uncut(edges.into_iter(), (stopped, ROUGH_HEAP)) + INTEGRATION_SLACK,
            })
        };
        let all = CutOrNot { cut: 1.0, uncut: 0.0 };
        let fewer = |a: CutOrNot, b: CutOrNot| if b.whole() < a.whole() { b } else { a };
        let on = |side: &Side| side.windows().map(|edges| within(side, edges)).fold(all, fewer);
        let sides = self.asked.sides.iter().map(on);
        sides.reduce(|a, b| CutOrNot { cut: a.cut + b.cut, uncut: a.uncut + b.uncut }).unwrap_or(all)
    }

    /// Of flies that are cut and hang as wanted, within a narrow window, no larger a share sinks as fast as it must and no faster:
    /// that of flies of which each is cut to hang so on the mean. `None` where the window is wide, or what is left over, or where in a
    /// snip a fly ends, decides both hang and sink rate: then those that hang as wanted sink as wanted more often than others.
    pub(super) fn sinking_once_cut(
        &self,
        tied: &AsTied,
        spreads: &[Spread],
        base: &Deviation,
        target: &Target,
    ) -> Option<f64> {
        if target.tolerance >= NARROW || target.fall.shallow.is_some() {
            return None;
        }
        let per_metre = self.per_metre();
        let once_cut = |figure: &Form| {
            let mut left = figure.plus(-per_metre_of_foam(figure) / per_metre, &self.moment);
            left.per[Source::FoamLength.index()] = 0.0;
            left
        };
        let of_side = |(side, figures): (&Side, Vec<Form>)| {
            let coarse = |figure: &Form| per_metre_of_foam(figure) / per_metre * self.step;
            let coarse = figures.iter().any(|figure| coarse(figure).abs() > FINE_SNIP * once_cut(figure).sd());
            let (hang, once_cut): (Vec<Form>, Vec<Form>) =
                (side.edges().iter().map(once_cut).collect(), figures.iter().map(once_cut).collect());
            let alike = |a: &Form, b: &Form| a.covariance(b).abs() > UNLIKE * a.sd() * b.sd();
            if coarse || hang.iter().any(|a| once_cut.iter().any(|b| alike(a, b))) {
                return None;
            }
            // Where the mean fly sinks otherwise, what else differs may bring some of them there.
            let means_sink = once_cut.iter().all(|figure| figure.at > 0.0);
            Some(if means_sink { share_of(&once_cut, |_| 0.0) } else { BY_THE_REST })
        };
        let asked = Asked::of_sinking(tied, spreads, base, target);
        let most =
            self.asked.sides.iter().zip(asked).map(of_side).try_fold(0.0, |most: f64, side| Some(most.max(side?)))?;
        Some((most * ALIKE).max(right_of(most, 1.0)).min(1.0))
    }

    /// The window of hangs in scissor steps; `None` where a step does not move both its edges alike.
    fn window_in_steps(&self, [low, high]: [&Form; 2]) -> Option<InSteps> {
        let per_metre = self.per_metre();
        let compensated = |form: &Form| {
            let length = per_metre_of_foam(form);
            let mut left = form.plus(-length / per_metre, &self.moment);
            left.per[Source::FoamLength.index()] = 0.0;
            (left, length / per_metre * self.step)
        };
        let ((low, per_low), (high, per_high)) = (compensated(low), compensated(high));
        let step = 0.5 * (per_low - per_high).abs();
        // One edge comes nearer as the other goes: else a step says nothing of the window.
        if per_low * per_high >= 0.0 || per_low.abs().min(per_high.abs()) < LIKE_STEPS * step {
            return None;
        }
        // Each edge in its own steps.
        let (low, high) = (low.times(1.0 / per_low.abs()), high.times(1.0 / per_high.abs()));
        let (width, middle) = (low.plus(1.0, &high), low.plus(-1.0, &high));
        let (mean, sd) = (width.at, width.sd());
        let open = if sd > 0.0 {
            mean * normal_share_below(mean / sd) + sd * normal_density(mean / sd)
        } else {
            mean.max(0.0)
        };
        Some(InSteps { open, blur: (0.5 * middle.sd()).max(1e-3) })
    }
}
