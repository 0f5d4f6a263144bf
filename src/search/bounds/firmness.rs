//! The share of flies that come out right, as a bound on how firmly they hang.
//!
//! On a loop, friction in the eye leaves a fly anywhere in a band, as a moment W s z with s its lever of one standard deviation
//! and z standard normal, independent of all else that differs from fly to fly ([`crate::spread`]). A fly comes out right only
//! if the moment about the lower edge p of its window is at least 0 and that about the upper edge q at most 0, friction
//! included. Given all but z, that leaves z an interval of width S / (W s) with S = f(p) - f(q) = 2 sin(h) M . d, h half the
//! width of the window and d its middle, so the share is at most the mean of 2 Phi(S / (2 W s)) - 1, a concave function of S
//! where S >= 0. So it is at most its value at the mean of S where S >= 0 (Jensen), and a share of at least P needs
//!
//! M . d >= c W, with c = s Phi^-1((1 + P) / 2) / sin(h).
//!
//! **Foam** adds to that, since a length is never as meant. Tied as written and left alone, its length errs by s_l, normal and
//! independent of all else, and the argument is the same with s_l |df/dl| in place of W s. Trimmed, it is cut in whole steps of
//! the scissors, each with its error, until a reading tells to stop: where in a step a fly ends is all but even, so that of the
//! flies that are cut no more end in a window than [`crate::spread::least_window`] says, whatever they start from; it is worked out by following
//! the cuts as the share itself does, with the reading's own error alone. A fly counts by the better of both, so it takes the
//! lesser:
//!
//! M . d >= |df/dl| min(w step / 2, s_l Phi^-1((1 + P) / 2)) / sin(h), w the least window in steps.
//!
//! Starts are tried on a grid, and the share itself is summed over heaps: `FOLLOWED` allows for that.
//!
//! Three things are allowed for:
//! - S varies, so the mean of its positive part is more than its mean: by 1.084 where its standard deviation is its mean,
//!   less where it is smaller (`VARIES`);
//! - a fly that is trimmed has another length than is written: that at which f is 0 at d. M . d differs there by no more than
//!   tan(h) times that of foam per length over its f per length ([`Firmness::new`] is given the greatest ratio);
//! - where either side of the point will do, a fly may rest in the other window. That is left out of the account where the
//!   windows lie more than a quarter turn and h apart; else the bound is not used.

use super::BetaWindow;
use crate::fly::practice;
use crate::numeric::normal_below_which;
use crate::part::Hook;
use crate::physics::friction;
use crate::physics::statics::Knot;
use crate::wanted::{Counted, Target};
use std::f64::consts::{FRAC_PI_2, PI};

/// See the module; with a little for the other side of the point.
const VARIES: f64 = 1.17;
/// See the module.
const FOLLOWED: f64 = 0.93;
/// Greatest half width of a window for which the bound is used, rad: beyond, friction decides little.
const WIDEST: f64 = 0.6;
/// Greatest allowance for trimming that is made, as a share: beyond, the bound is not used.
const MOST_TRIMMED: f64 = 0.6;

/// How firmly a fly must hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Firmness {
    /// M . d is at least this times W, m.
    pub lever: f64,
    /// M . d is at least this times the change of f per length of foam in the tail, m.
    pub tail_cut: f64,
    /// The same of foam along the shank, which is not trimmed.
    pub body_cut: f64,
}


impl Firmness {
    /// `sideways`: M . d that foam gains per length over its f per length, at most, of any foam on this hook; and
    /// the least window in steps of the scissors.
    #[must_use]
    pub fn new(target: &Target, hook: &Hook, windows: &[BetaWindow], (sideways, in_snips): (f64, f64)) -> Option<Self> {
        let floor = target.share?;
        if !matches!(target.conditions.knot, Knot::Loop) || floor.least <= 0.0 {
            return None;
        }
        let half = windows.iter().map(|w| 0.5 * (w.to - w.from)).fold(0.0, f64::max);
        let trimmed = sideways * half.tan();
        let apart = windows.len() < 2 || PI - 2.0 * target.hang.abs() > FRAC_PI_2 + half;
        if half > WIDEST || !(0.0..=MOST_TRIMMED).contains(&trimmed) || !apart {
            return None;
        }
        let deviation = friction::lever(hook.eye_inner_diameter, target.hands.eye_friction) / 3f64.sqrt();
        let deviations = normal_below_which(0.5 * (1.0 + floor.least.min(1.0 - 1e-9))) / half.sin();
        let allowed = VARIES * (1.0 + trimmed);
        let body_cut = practice::FOAM_LENGTH_SD * deviations / allowed;
        let tail_cut = match floor.counted {
            Counted::AsTied => body_cut,
            Counted::Trimmed => {
                body_cut.min(FOLLOWED * 0.5 * in_snips * target.hands.scissors.m() / half.sin() / allowed)
            }
        };
        Some(Self { lever: deviation * deviations / allowed, tail_cut, body_cut })
    }
}
