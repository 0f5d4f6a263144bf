//! How surely a fly sinks as it must, at most: a quick test of single flies and of sets.

use super::forms::{INTEGRATION_SLACK, windows};
use crate::fly::{AsTied, Deviation};
use crate::numeric::normal_share_below;
use crate::physics::doubt::drag_and_sd;
use crate::wanted::{Line, Target};

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
const NARROW: f64 = 0.18;

/// Over flies that hang as wanted, within so narrow a window, the mean of what speeds a fly up differs from that over all flies by no
/// more than this leaves of how well it is known: tested, not proven.
const ALIKE: f64 = 0.85;

/// The same for what else is taken as straight lines.
const STRAIGHT: f64 = 0.97;

impl Sinks {
    /// Of flies of which nothing is asked.
    pub const ANYHOW: Self = Self { faster: f64::INFINITY, slower: f64::INFINITY, window: f64::INFINITY };

    /// Share of flies, at most, with so much more that speaks for them. Where the mean fly does not sink so, what else differs may
    /// bring half of them there. Of any one fly, it is no more than in the middle of the window.
    fn share(self, allowed: f64) -> f64 {
        let one = |deviations: f64| if deviations > 0.0 { normal_share_below(deviations / allowed) } else { 0.5 };
        let within = 2.0 * normal_share_below(0.5 * self.window.max(0.0) / STRAIGHT) - 1.0;
        one(self.faster).min(one(self.slower)).min(within)
    }

    /// The share of flies that must hang as wanted, within half a window of so many radians, for so large a share to come out right;
    /// `None` where no hang is enough.
    #[must_use]
    pub fn share_by_hang(self, least: f64, half: f64) -> Option<f64> {
        if self.share(STRAIGHT) < least {
            return None;
        }
        let by_hang = if half < NARROW { (least - INTEGRATION_SLACK) / self.share(ALIKE) } else { least };
        (by_hang <= 1.0).then_some(by_hang.max(least))
    }
}

/// How surely flies near `base` sink as fast as they must and no faster on a tight line, at most, in the attitudes wanted.
pub(super) fn sinks_at_most(tied: &AsTied, base: &Deviation, target: &Target) -> Sinks {
    let Some(window) = target.sink.filter(|_| target.fall.line == Line::Tight) else { return Sinks::ANYHOW };
    let (water, body, weight) = (&tied.conditions.water, tied.body(base), tied.moments(base).weight);
    let excess = |rate: Option<f64>, beta: f64| {
        let rate = rate.filter(|rate| *rate > 0.0)?;
        let down = [beta.sin(), -beta.cos()];
        let (drag, sd) = drag_and_sd(&body, down.map(|d| rate * d), water);
        Some((weight - drag) / sd)
    };
    // Drag bends over a wide window.
    let stations = if target.tolerance < NARROW { 2 } else { 8 };
    let turns = windows(target, tied.fly.hook)
        .into_iter()
        .flat_map(|(low, high)| (0..=stations).map(move |i| low + f64::from(i) / f64::from(stations) * (high - low)));
    let none = Sinks { faster: f64::MIN, slower: f64::MIN, window: f64::MIN };
    turns.fold(none, |most, beta| {
        let faster = excess(window.low, beta).unwrap_or(f64::INFINITY);
        let slower = excess(window.high, beta).map_or(f64::INFINITY, |excess| -excess);
        Sinks {
            faster: most.faster.max(faster),
            slower: most.slower.max(slower),
            window: most.window.max(faster + slower),
        }
    })
}
