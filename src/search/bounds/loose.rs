//! Too few flies that come out right, or held too loosely: what [`Firmness`] rules out, window by window.

use super::contribution::{Contribution, InJar};
use super::drag::STEEPEST;
use super::firmness::{Cutting, Firmness};
use super::once_cut::OnceCut;
use super::range::Range;
use super::sinking::InTime;
use super::{Bounds, MOMENT_SLACK, PerWindow, RELATIVE_SLACK, Turn};
use crate::fly::Fly;
use crate::part::Hook;
use crate::physics::doubt::least_force_share;
use crate::physics::friction;
use crate::physics::statics::Knot;
use crate::spread::share_test::ShareTest;
use crate::spread::sinks::Sinks;
use crate::wanted::{Line, Target};
use std::f64::consts::FRAC_PI_2;

/// Foam that lets a fly sink faster by more than this over what cutting it turns it by, 1/m, is left out of the joint bound.
pub(in crate::search) const MOST_FASTER: f64 = 400.0;

/// The lever at which friction in the eye leaves a fly off by the widest band asked.
pub(super) fn least_lever(target: &Target, hook: &Hook) -> Option<f64> {
    let most = target.max_band.filter(|_| target.conditions.knot == Knot::Loop)?;
    Some(friction::lever(hook.eye_inner_diameter, target.hands.eye_friction) / most.sin())
}

/// Whether the sink rate of no fly is known well enough for so many flies to be within so narrow a window.
pub(super) fn too_narrow(target: &Target) -> bool {
    let known = target.share.zip(target.sink).filter(|_| target.fall.line == Line::Tight);
    let Some((floor, (low, high))) = known.and_then(|(floor, sink)| Some((floor, sink.low.zip(sink.high)?))) else {
        return false;
    };
    // Over the window drag grows by no more than this; see `firmness`.
    let window = ((high / low).powf(STEEPEST) - 1.0) / least_force_share();
    low > 0.0 && Sinks { window, ..Sinks::ANYHOW }.share_by_hang(floor.least, FRAC_PI_2, false).is_none()
}

impl Bounds {
    /// The same where enough flies must come out right; see [`Firmness::new`].
    #[must_use]
    pub(in crate::search) fn firmly(mut self, target: &Target, bare: &Fly, cutting: Cutting) -> Self {
        self.firmness = Firmness::new(target, bare, &self.windows, cutting);
        if self.firmness.is_some() {
            self.levers[2] = cutting.faster.max(1.0);
            let way = self.descent.as_ref().filter(|_| !self.range);
            self.in_time = way.and_then(|way| InTime::new(target, bare, &self.windows, way.speed));
        }
        self
    }

    /// Variance of the moment that hook and dressing bring about, the shape of the hook apart.
    pub(in crate::search) fn scatter_of_hook(&self) -> [f64; 2] {
        self.per_middle(|firmness, middle| firmness.scatter_of_hook(middle))
    }

    /// What differs in the jar, for each window, where flies are trimmed: by the step of the scissors, m, both edges, the middle, and
    /// the turn at which f is M . d.
    pub(in crate::search) fn per_jar(&self, f: impl Fn(f64, [Turn; 4]) -> InJar) -> [InJar; 2] {
        let mut values = [InJar::default(); 2];
        if let Some(firmness) = &self.firmness {
            for (value, edges) in values.iter_mut().zip(self.edges).take(self.windows.len()) {
                let [from, to, down] = edges;
                *value = f(firmness.step, [from, to, Turn { sin: down.cos, cos: -down.sin }, down]);
            }
        }
        values
    }

    /// Something about the middle of each window, where enough flies must come out right; 0 else.
    pub(in crate::search) fn per_middle(&self, f: impl Fn(&Firmness, Turn) -> f64) -> [f64; 2] {
        let mut values = [0.0; 2];
        if let Some(firmness) = &self.firmness {
            for (value, edges) in values.iter_mut().zip(self.edges).take(self.windows.len()) {
                // The third turn lies a quarter turn before the middle.
                *value = f(firmness, Turn { sin: edges[2].cos, cos: -edges[2].sin });
            }
        }
        values
    }

    /// Greatest M . d - c W of a weight in a box, for each window; 0 where no firmness is asked.
    #[must_use]
    pub fn firm(&self, weight: Range, x: Range, y: Range) -> [f64; 2] {
        self.per_firmness(|lever, down| {
            let arm = x.times(Range::point(down.cos)).plus(y.times(Range::point(down.sin)));
            weight.times(arm.plus(Range::point(-lever))).high
        })
    }

    /// The same by lever c and the turn at which f is M . d.
    pub(in crate::search) fn per_firmness(&self, f: impl Fn(f64, Turn) -> f64) -> [f64; 2] {
        let mut most = [0.0; 2];
        if let Some(firmness) = self.firmness {
            for (most, edges) in most.iter_mut().zip(self.edges).take(self.windows.len()) {
                *most = f(firmness.lever, edges[2]);
            }
        }
        most
    }

    /// Whether too few flies come out right in window k. `harder` is the hardest test known for a share of no more than that.
    pub(in crate::search) fn loose<'t>(
        &self,
        k: usize,
        both: (&Contribution, Option<&Contribution>),
        test: Option<&'t ShareTest>,
        harder: impl Fn(f64) -> Option<&'t ShareTest>,
    ) -> bool {
        let Some((firmness, asked)) = self.firmness.as_ref().zip(test) else { return false };
        both.0.firm[k] < -4.0 * MOMENT_SLACK
            || firmness.too_sticky(asked, k, both)
            || [true, false].into_iter().all(|cut| self.missed((k, cut), both, test, &harder))
    }

    /// Whether too few flies that are left alone (or cut) come out right in window k.
    pub(in crate::search) fn missed<'t>(
        &self,
        (k, cut): (usize, bool),
        both: (&Contribution, Option<&Contribution>),
        test: Option<&'t ShareTest>,
        harder: impl Fn(f64) -> Option<&'t ShareTest>,
    ) -> bool {
        let Some((firmness, test)) = self.firmness.as_ref().zip(test) else { return false };
        self.too_few_in_time((firmness, test), (k, cut), both.0)
            || firmness.share_by_hang(test.least(), (k, cut), both).is_none_or(|by_hang| {
                let harder = harder(by_hang).filter(|harder| harder.least() > test.least());
                firmness.too_loose(harder.unwrap_or(test), (k, cut), both)
            })
    }

    /// Whether too few flies of a node that hang as wanted in window k get down to a depth in time, left alone (or cut).
    fn too_few_in_time(
        &self,
        (firmness, test): (&Firmness, &ShareTest),
        (k, cut): (usize, bool),
        total: &Contribution,
    ) -> bool {
        let Some((way, in_time)) = self.descent.as_ref().zip(self.in_time) else { return false };
        let Some(off) = test.deviations_in_time() else { return false };
        let (drag, heaviest) = if cut {
            let OnceCut { down, shift, heaviest } = firmness.on_the_way_once_cut(k, total);
            (way.least_drag_once_cut(total.drag.on_the_way(), (down, shift), self.on_loop()), heaviest)
        } else {
            (self.drag_on_the_way(k, total), total.weight.high)
        };
        let [foam, _] = firmness.doubt_once_cut(k, total, firmness.snips_to_cut(k, total));
        in_time.least_weight(k, off, (drag, total.weight.high), foam) > (heaviest + total.gain) * (1.0 + RELATIVE_SLACK)
    }

    /// In which windows friction in the eye can leave every recipe off its hang by more than is asked.
    pub(in crate::search) fn unsteady(&self, total: &Contribution) -> PerWindow {
        let least = self.least_lever.map_or(0.0, |lever| lever * (1.0 - RELATIVE_SLACK));
        self.each_window(|k| self.least_lever.is_some() && self.greatest_lever(k, total) < least)
    }

    /// |M| over W is no more than this for what hangs in window k, m.
    pub(in crate::search) fn greatest_lever(&self, k: usize, total: &Contribution) -> f64 {
        // At rest on a snug knot the moment of the bent line holds M off the vertical.
        if self.snug.is_some() {
            return f64::INFINITY;
        }
        let [from, to] = [self.windows[k].from, self.windows[k].to];
        let least = (0.5 * (to - from)).cos() * total.weight.low;
        if least > 0.0 { (total.turning[k][2].high + MOMENT_SLACK) / least } else { f64::INFINITY }
    }
}
