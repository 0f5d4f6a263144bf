//! What flies of a node weigh once they are cut to the hang wanted, and how surely they sink as they must: see [`super::firmness`].

use super::contribution::{Contribution, InJar};
use super::firmness::{Firmness, LINES};
use super::range::Range;
use super::{DragRange, JOINT_SLACK, KNOWN_CUT, MOMENT_SLACK, RELATIVE_SLACK};
use crate::spread::sinks::{FINE_SNIP, Sinks};

/// Flies of a node on the way down to a depth, once they are cut.
pub(super) struct OnceCut {
    /// M . d, N m, at least.
    pub(super) down: f64,
    /// By how much M differs on the way, N m, at most.
    pub(super) shift: f64,
    /// Weight, less what drag changes by, N, at most.
    pub(super) heaviest: f64,
}

impl Firmness {
    /// The share of flies of a node that must hang as wanted in window k, left alone (or cut), for so large a share to come out
    /// right; `None` where no hang is enough.
    #[must_use]
    pub(in crate::search) fn share_by_hang(
        &self,
        least_share: f64,
        (k, cut): (usize, bool),
        (deep, shallow): (&Contribution, Option<&Contribution>),
    ) -> Option<f64> {
        let Some(sinking) = &self.sinking else { return Some(least_share) };
        let at = |total: &Contribution| {
            let DragRange { least, most } = total.drag;
            let [least, most] = [least[0] * (1.0 - RELATIVE_SLACK), most[0] * (1.0 + RELATIVE_SLACK)];
            let [heaviest, lightest, rising] = match (cut, shallow) {
                (false, _) => self.as_written(k, total),
                (true, Some(_)) => self.once_cut(k, total),
                (true, None) => self.once_trimmed(k, total),
            };
            let drags = [0, 2].map(|i| total.drag.least[i] * (1.0 - RELATIVE_SLACK));
            let doubt = if shallow.is_none() {
                self.doubt_once_cut(k, total, self.snips_to_cut(k, total))
            } else {
                self.doubt_once_cut(k, total, self.snips_off(k, total))
            };
            let (low, high) = sinking.sd(k, drags, doubt, 0.0);
            let least_sd = low.unwrap_or(f64::INFINITY).min(high.unwrap_or(f64::INFINITY));
            let nearer =
                cut && shallow.is_none() && total.in_jar[k].greatest_snip * total.faster < FINE_SNIP * least_sd;
            let placed = if nearer { self.placed_once_cut(k, total).min(least_sd.powi(2)) } else { 0.0 };
            let (low, high) = sinking.sd(k, drags, doubt, placed);
            let rise = if self.rise_is_known { total.drag.most[2] + rising } else { f64::INFINITY };
            let faster = low.map(|sd| (heaviest - least) / sd);
            let slower = high.map(|sd| (most - lightest) / sd);
            // The sum of both grows with the weight, up to that at which the fly sinks at the upper rate.
            let weight = heaviest.min(most);
            // In any one attitude it is no more than what the drag grows by, either.
            let above = (weight - least).min(rise).max(0.0);
            let by_rise = |low: f64, high: f64| above * (1.0 / low - 1.0 / high).max(0.0) + rise / high;
            let window = low
                .zip(high)
                .map(|(low, high)| ((weight - least) / low + (most - weight) / high).min(by_rise(low, high)));
            let [faster, slower, window] = [faster, slower, window].map(|of| of.unwrap_or(f64::INFINITY));
            let sinks = Sinks { faster, slower, window };
            if cut {
                sinks.share_by_hang(least_share, self.sin_half.asin(), nearer)
            } else {
                sinks.share_by_hang_alone(least_share)
            }
        };
        let at_depth = at(deep)?;
        shallow.map_or(Some(at_depth), |shallow| Some(at_depth.max(at(shallow)?)))
    }

    /// Variance of the weight of flies that are cut to the hang wanted, for where their parts lie, N2, at least: what is off is made
    /// up for in foam.
    fn placed_once_cut(&self, k: usize, total: &Contribution) -> f64 {
        let InJar { gas, .. } = total.in_jar[k];
        let known = self.foam_alone && gas.high > 0.0 && self.snips_off(k, total) <= KNOWN_CUT;
        if !known {
            return 0.0;
        }
        (LINES * total.lighter / gas.high.max(1.0) * self.middles[k].cos()).powi(2) * total.placed
    }

    /// Variances of what is not known of foam, N2, once so many snips are cut off: as lengths are that are left of it.
    pub(super) fn doubt_once_cut(&self, k: usize, total: &Contribution, snips: f64) -> [f64; 2] {
        let InJar { length, .. } = total.in_jar[k];
        if length <= 0.0 || !total.snip[k].is_finite() {
            return total.doubt;
        }
        // The lift of what is left is as its length.
        let like = total.in_jar[k].like(snips);
        total.doubt.map(|doubt| like * doubt)
    }

    /// f at the middle of window k, N m: more than nothing where foam must be longer for a fly to hang there.
    fn short_of_foam(&self, k: usize, total: &Contribution) -> Range {
        self.at_the_middle(k, total).times(Range::point(if self.upright[k] { 1.0 } else { -1.0 }))
    }

    /// What may be cut off a fly of a node for it to hang at the middle of window k, in snips, at most.
    pub(super) fn snips_to_cut(&self, k: usize, total: &Contribution) -> f64 {
        // Where longer foam may turn it the other way, too, either side may call for a cut.
        if !total.faster.is_finite() {
            return self.snips_off(k, total);
        }
        (-self.short_of_foam(k, total).low).max(0.0) / total.snip[k].max(1e-30)
    }

    /// Greatest weight of flies of a node that hang as wanted, left alone or cut, less what drag at the lower rate changes by, N; without
    /// end where what foam does is not known.
    fn jointly_heaviest(&self, k: usize, total: &Contribution) -> f64 {
        if total.faster <= self.faster { total.joint[k][2] + JOINT_SLACK } else { f64::INFINITY }
    }

    /// Greatest and least weight of flies of a node that are left alone, and by how much more drag grows from rate to rate: not at all. N.
    fn as_written(&self, k: usize, total: &Contribution) -> [f64; 3] {
        [self.jointly_heaviest(k, total).min(total.weight.high + JOINT_SLACK), total.weight.low - JOINT_SLACK, 0.0]
    }

    /// Greatest and least weight, less what drag changes by at the lower and at the upper rate, of flies of a node that are cut to the hang
    /// wanted, and by how much more drag grows from rate to rate, at most. N.
    fn once_cut(&self, k: usize, total: &Contribution) -> [f64; 3] {
        let short = self.short_of_foam(k, total);
        let off = |off: f64| off.max(0.0) + MOMENT_SLACK;
        [
            self.jointly_heaviest(k, total).min(total.weight.high + total.faster * off(-short.low) + JOINT_SLACK),
            total.weight.low - total.slower * off(short.high),
            total.rising * off(short.high),
        ]
    }

    /// The same at one depth, of flies that are cut, or left as much longer as they must be: what surely turns them also makes them
    /// lighter or heavier.
    fn once_trimmed(&self, k: usize, total: &Contribution) -> [f64; 3] {
        let (short, [heaviest, lightest, rising]) = (self.short_of_foam(k, total), self.once_cut(k, total));
        let written = total.weight.high + total.faster * (-short.low).max(0.0) + JOINT_SLACK;
        [heaviest.min(written - total.longer.surely(short.low)), lightest + total.shorter.surely(-short.high), rising]
    }

    /// What decides whether flies that are cut get down in time.
    pub(super) fn on_the_way_once_cut(&self, k: usize, total: &Contribution) -> OnceCut {
        let [heaviest, ..] = self.once_cut(k, total);
        // What changes on the way is as the length of foam that is left.
        let longer = total.in_jar[k].like(self.snips_off(k, total)).sqrt().max(1e-3);
        let down = total.turning[k][2].low / self.trimmed_to_the_middle(k, total);
        OnceCut { down, shift: total.shift / longer, heaviest }
    }
}
