//! How surely a fly sinks as it must, at most: a quick test of single flies and of sets.

use super::forms::{INTEGRATION_SLACK, windows};
use crate::fly::{AsTied, Deviation};
use crate::numeric::normal_share_below_quick;
use crate::physics::doubt::KnownDrag;
use crate::physics::statics::{Rest, hang};
use crate::wanted::{Line, Target};
use std::f64::consts::{PI, TAU};

/// How surely flies sink as fast as they must and no faster, at most, by what is not known of drag and weight: in standard deviations
/// of that.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sinks {
    /// By which the weight of the mean fly exceeds its drag at the lower rate.
    pub faster: f64,
    /// By which it falls short of that at the upper rate.
    pub slower: f64,
    /// No less than the sum of both for any fly.
    pub window: f64,
}

/// Half of a window of hangs, rad, beyond which how a fly hangs tells much of how fast it sinks.
pub(crate) const NARROW: f64 = 0.18;

/// Over flies that hang as wanted, within so narrow a window, the mean of what speeds a fly up differs from that over all flies by no
/// more than this leaves of how well it is known: tested, not proven.
const ALIKE: f64 = 0.85;

/// How much nearer the middle of a window of rates, in standard deviations, flies that are cut to hang as wanted are than flies by
/// themselves: cutting makes up for most of what turns and speeds up a fly alike. Tested, not proven.
const BESIDE: f64 = 0.08;

/// What one snip does to weight less drag at a rate, over all that is not known or left over of that: beyond, where in a snip a fly
/// ends decides both hang and sink rate.
pub(crate) const FINE_SNIP: f64 = 0.45;

/// The same for what else is taken as straight lines.
const STRAIGHT: f64 = 0.97;

/// Where fewer than so many need come out right, or flies are left alone, those that do not sink as they must are no fewer than so
/// many times what is said here, by one edge: the mean fly may lie far off a window that others reach. Tested, not proven.
const MANY: f64 = 0.75;
const OF_FEW: f64 = 0.85;

/// What a share that is looked up may be too low by ([`normal_share_below_quick`]).
const LOOKED_UP: f64 = 5e-7;

/// Share of a standard normal that lies below, at most, or a little more.
fn below(x: f64) -> f64 {
    normal_share_below_quick(x) + LOOKED_UP
}

/// The share of flies that sink as they must where the mean fly does not, at most.
pub(super) const BY_THE_REST: f64 = 0.55;

impl Sinks {
    /// Of flies of which nothing is asked.
    pub const ANYHOW: Self = Self { faster: f64::INFINITY, slower: f64::INFINITY, window: f64::INFINITY };

    /// Share of flies, at most, with so much more that speaks for them. Where the mean fly does not sink so, what else differs may
    /// bring [`BY_THE_REST`] of them there. Of any one fly, it is no more than in the middle of the window, nor, of flies that are cut, than as near
    /// to it as both sides let them be.
    fn share(self, allowed: f64, nearer_both: bool) -> f64 {
        let (nearer, half) = (self.faster.min(self.slower) / allowed, 0.5 * self.window.max(0.0) / STRAIGHT);
        let one = self.one(allowed);
        let off = if nearer_both && nearer > 0.0 { (half - nearer - BESIDE).max(0.0) } else { 0.0 };
        let both = if half.is_finite() { below(half - off) + below(half + off) - 1.0 } else { 1.0 };
        one.min(both)
    }

    /// The same by the nearer edge alone.
    fn one(self, allowed: f64) -> f64 {
        below(self.faster.min(self.slower) / allowed).clamp(BY_THE_REST, 1.0)
    }

    /// The share of flies that must hang as wanted, within half a window of so many radians, once they are trimmed, for so large a share
    /// to come out right; `None` where no hang is enough. `nearer`: as near the middle of both rates as both
    /// sides let them be.
    #[must_use]
    pub fn share_by_hang(self, least: f64, half: f64, nearer: bool) -> Option<f64> {
        let nearer = nearer && half < NARROW;
        let share = |allowed: f64| match least < MANY {
            true => few(if nearer { self.share(allowed, true) } else { self.one(allowed) }),
            false => self.share(allowed, nearer),
        };
        if share(STRAIGHT) < least {
            return None;
        }
        let by_hang = if half < NARROW { (least - INTEGRATION_SLACK) / share(ALIKE) } else { least };
        (by_hang <= 1.0).then_some(by_hang.max(least))
    }

    /// The same of flies that are left alone, of which those that hang as wanted may all sink as they must, where few do on the mean.
    #[must_use]
    pub fn share_by_hang_alone(self, least: f64) -> Option<f64> {
        (few(self.one(STRAIGHT)) >= least).then_some(least)
    }
}

/// See [`OF_FEW`].
fn few(share: f64) -> f64 {
    1.0 - OF_FEW * (1.0 - share)
}

/// How surely flies near `base` sink as fast as they must and no faster on a tight line, at most, in the attitudes wanted.
pub(super) fn sinks_at_most(tied: &AsTied, base: &Deviation, target: &Target) -> Sinks {
    let Some(window) = target.sink.filter(|_| target.fall.line == Line::Tight) else { return Sinks::ANYHOW };
    let (water, body) = (&tied.conditions.water, tied.body(base));
    let (moments, known) = (body.moments(water.density), KnownDrag::of(&body, water));
    let excess = |rate: Option<f64>, [x, y]: [f64; 2]| {
        let rate = rate.filter(|rate| *rate > 0.0)?;
        let (drag, sd) = known.drag_and_sd([rate * x, rate * y]);
        Some((moments.weight - drag) / sd)
    };
    // Drag bends over a wide window, and sharply where a body lies along the stream or across it: where the fly rests is looked at, too.
    let stations = if target.tolerance < NARROW { 2 } else { 8 };
    let (knot, neck) = (tied.conditions.knot, tied.fly.hook.neck_angle);
    let rest = hang(moments, knot, neck).rest().map(Rest::beta);
    let turns = windows(target, tied.fly.hook).into_iter().flat_map(|(low, high)| {
        let middle = 0.5 * (low + high);
        let near = rest.map(|beta| (middle + (beta - middle + PI).rem_euclid(TAU) - PI).clamp(low, high));
        (0..=stations).map(move |i| low + f64::from(i) / f64::from(stations) * (high - low)).chain(near)
    });
    let none = Sinks { faster: f64::MIN, slower: f64::MIN, window: f64::MIN };
    turns.fold(none, |most, beta| {
        let down = [beta.sin(), -beta.cos()];
        let faster = excess(window.low, down).unwrap_or(f64::INFINITY);
        let slower = excess(window.high, down).map_or(f64::INFINITY, |excess| -excess);
        Sinks {
            faster: most.faster.max(faster),
            slower: most.slower.max(slower),
            window: most.window.max(faster + slower),
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::numeric::normal_share_below;

    #[test]
    fn flies_that_are_cut_are_as_near_the_middle_of_both_rates_as_both_sides_let_them_be() {
        let share =
            |faster: f64, slower: f64, window: f64, cut: bool| Sinks { faster, slower, window }.share(STRAIGHT, cut);
        let below = |x: f64| normal_share_below(x / STRAIGHT);
        let close = |a: f64, b: f64| (a - b).abs() < 4.0 * LOOKED_UP;
        let none = f64::INFINITY;
        for cut in [false, true] {
            // One edge alone; the middle; what does not sink so on the mean may by what else differs.
            assert!(close(share(1.0, none, none, cut), below(1.0)));
            assert!(close(share(none, 1.0, none, cut), below(1.0)));
            assert!(close(share(9.0, 9.0, 2.0, cut), 2.0 * below(1.0) - 1.0));
            assert_eq!(share(none, none, none, cut), 1.0);
            assert_eq!(share(-0.1, 9.0, 9.0, cut), BY_THE_REST);
            assert!(close(share(-0.1, 9.0, 0.5, cut), 2.0 * below(0.25) - 1.0));
        }
        // At one side of the window, with what is left of it on the other.
        let one_side = below(0.5) + below(1.5) - 1.0;
        let (alone, cut) = (share(0.5, 9.0, 2.0, false), share(0.5, 9.0, 2.0, true));
        assert!((share(9.0, 0.5, 2.0, true) - cut).abs() < 1e-12);
        assert!(one_side < cut && cut < one_side + 0.03 && cut < alone - 0.03, "{one_side} {cut} {alone}");
    }
}
