//! How surely flies of a set sink as they must: what is not known of weight less drag, at least.

use super::BetaWindow;
use crate::fly::{Fly, body};
use crate::physics::doubt::{force_sd, least_force_share, sd};
use crate::physics::lowered::vertical_drag;
use crate::wanted::{Line, Target};

/// Wraps cover some of the wire of the hook: what hook and dressing leave unknown by themselves, to this share.
const COVERED: f64 = 0.97;

/// Of hook and dressing by themselves, in each window, at a rate: variances, N2, junctions apart.
fn of_hook_and_dressing(target: &Target, bare: &Fly, windows: &[BetaWindow], rate: f64) -> [f64; 2] {
    let (body, water) = (body(bare, &target.conditions), &target.conditions.water);
    let at = |beta: f64| {
        let down = [beta.sin(), -beta.cos()];
        let junctions = sd::JUNCTIONS * vertical_drag(&body, down, rate, water);
        COVERED * (force_sd(&body, down.map(|d| rate * d), water).powi(2) - junctions.powi(2))
    };
    std::array::from_fn(|k| {
        let stations = windows.get(k).into_iter();
        let stations = stations.flat_map(|w| (0..=8).map(|i| w.from + f64::from(i) / 8.0 * (w.to - w.from)));
        stations.map(at).fold(f64::INFINITY, f64::min)
    })
}

/// How well it is known whether flies get down in time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct InTime {
    /// Of hook and dressing by themselves, in each window, at the mean speed on the way: variances, N2, junctions apart.
    bare: [f64; 2],
    /// Whether the lift of foam alone is what is not known of foam.
    lift_alone: bool,
}

/// What is not known of weight less drag at the fishing depth is, as a share of them, no less than this times what it is at the mean
/// speed on the way of what gets down just in time: both grow with about the same power of the speed. Tested, not proven.
const LIKE_ON_THE_WAY: f64 = 0.9;

impl InTime {
    /// Of a way at so many m/s in the mean; `None` on a slack line.
    pub(super) fn new(target: &Target, bare: &Fly, windows: &[BetaWindow], speed: f64) -> Option<Self> {
        (target.fall.line == Line::Tight).then(|| Self {
            bare: of_hook_and_dressing(target, bare, windows, speed),
            lift_alone: target.sink.is_none(),
        })
    }

    /// The weight of the mean fly on the way, N, at least, where it must be faster by `off` standard deviations of how well that is
    /// known, has so much `drag` at the mean speed at least, weighs no more than `weight` at the fishing depth, and `foam` is the
    /// variance of what is not known of that, N2.
    pub(super) fn least_weight(&self, k: usize, off: f64, (drag, weight): (f64, f64), foam: f64) -> f64 {
        let foam = if self.lift_alone { foam } else { 0.0 };
        let known = (self.bare[k] + (sd::JUNCTIONS * drag).powi(2) + foam).sqrt();
        drag * (1.0 + LIKE_ON_THE_WAY * off * (known / weight.max(drag)).max(least_force_share()))
    }
}

/// What is not known of weight less drag, at least.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sinking {
    /// Of hook and dressing by themselves, in each window, at the lower and the upper rate wanted: variances, N2, junctions apart.
    low: Option<[f64; 2]>,
    high: Option<[f64; 2]>,
    /// Least share of the drag that it can be.
    share: f64,
}

impl Sinking {
    pub(super) fn new(target: &Target, bare: &Fly, windows: &[BetaWindow]) -> Option<Self> {
        let sink = target.sink.filter(|_| target.fall.line == Line::Tight)?;
        let least = |rate: f64| of_hook_and_dressing(target, bare, windows, rate);
        let [low, high] = [sink.low, sink.high].map(|rate| rate.filter(|rate| *rate > 0.0).map(least));
        (low.is_some() || high.is_some()).then(|| Self { low, high, share: least_force_share() })
    }

    /// Standard deviations at the rates that are wanted, N, of flies that have so much drag there at least, and foam of which `foam` is
    /// not known, and weight of which `placed` differs for other reasons, N2.
    pub(super) fn sd(&self, k: usize, drag: [f64; 2], foam: [f64; 2], placed: f64) -> (Option<f64>, Option<f64>) {
        let at = |i: usize| {
            let junctions = (sd::JUNCTIONS * drag[i]).powi(2);
            move |bare: [f64; 2]| ((bare[k] + junctions + foam[i]).max((self.share * drag[i]).powi(2)) + placed).sqrt()
        };
        (self.low.map(at(0)), self.high.map(at(1)))
    }
}
