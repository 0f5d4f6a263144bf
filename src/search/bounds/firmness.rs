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
//! **Left alone**, a fly has more that errs: where its parts are bound, length and section of its foam. With v the variance of
//! the moment about the middle that such sources, each independent of all else, bring about at least, the argument is the same
//! with sqrt(v + (W s)^2) in place of W s.
//!
//! **Trimmed**, foam is cut in whole steps of the scissors, each with its error, until a reading tells to stop: where in a step a
//! fly ends is all but even, so that no more flies end in a window than [`crate::spread::LeastWindows`] says, whatever they start from; it is
//! worked out by following the cuts as the share itself does, with errors of reading and friction no greater than they must be:
//!
//! 2 sin(h) M . d >= w(W s / (2 sin(h) M . d)) |df/dl| step.
//!
//! A fly counts by the better of both, so a set is out when it has neither.
//!
//! What is allowed for:
//! - S varies. Its share is a concave function A of S from A(0) = 0 on, and 0 below; S is normal, so pairs of flies as far
//!   either side of the mean show that their share is no more than A at the mean, or 1/2 (for a share of more than a half, that
//!   is all). For less, Jensen's bound takes the mean of the positive part, 1.084 of the mean where its standard deviation is
//!   the mean (`VARIES_MUCH`);
//! - where either side of the point will do, a fly may rest in the other window, when S is below 0. `OTHER_SIDE` allows for
//!   that as long as S varies by less than half its mean. That is left out of the account where the windows lie more than a
//!   quarter turn and h apart; else the bound is not used;
//! - a fly that is trimmed has another length than is written: that at which f is 0 at d. M . d differs there by no more than
//!   tan(h) times that of foam per length over its f per length ([`Firmness::new`] is given the greatest ratio);
//! - the share is summed over heaps, and starts are tried on a grid (`FOLLOWED`); spreads are taken as straight lines (`LINES`).

use super::BetaWindow;
use crate::part::Hook;
use crate::physics::friction;
use crate::physics::statics::Knot;
use crate::spread::shares::{ShareTest, deviations_within};
use crate::wanted::Target;
use std::f64::consts::{FRAC_PI_2, PI};

/// See the module.
const VARIES_MUCH: f64 = 1.17;
/// See the module.
const OTHER_SIDE: f64 = 1.03;
/// See the module.
const FOLLOWED: f64 = 0.98;
/// See the module.
const LINES: f64 = 0.93;
/// Greatest half width of a window for which the bound is used, rad: beyond, friction decides little.
const WIDEST: f64 = 0.6;
/// Greatest allowance for trimming that is made, as a share: beyond, the bound is not used.
const MOST_TRIMMED: f64 = 0.6;

/// How firmly a fly must hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Firmness {
    /// M . d is at least this times W, m.
    pub lever: f64,
    /// Standard deviation of friction as a lever, m.
    friction: f64,
    /// Sine of half the width of the window.
    sin_half: f64,
    /// How much more M . d may be once a fly is trimmed.
    trimmed: f64,
    /// Whether either side of the point will do.
    either_side: bool,
    /// Step of the scissors, m.
    pub(in crate::search) step: f64,
}

impl Firmness {
    /// `sideways`: M . d that foam gains per length over its f per length, at most, of any foam on this hook.
    #[must_use]
    pub fn new(target: &Target, hook: &Hook, windows: &[BetaWindow], sideways: f64) -> Option<Self> {
        let test = target.share.filter(|floor| floor.least > 0.0)?;
        if !matches!(target.conditions.knot, Knot::Loop) {
            return None;
        }
        let half = windows.iter().map(|w| 0.5 * (w.to - w.from)).fold(0.0, f64::max);
        let trimmed = sideways * half.tan();
        let apart = windows.len() < 2 || PI - 2.0 * target.hang.abs() > FRAC_PI_2 + half;
        if half > WIDEST || !(0.0..=MOST_TRIMMED).contains(&trimmed) || !apart {
            return None;
        }
        let friction = friction::lever(hook.eye_inner_diameter, target.hands.eye_friction) / 3f64.sqrt();
        let mut firmness = Self {
            lever: 0.0,
            friction,
            sin_half: half.sin(),
            trimmed: 1.0 + trimmed,
            either_side: windows.len() > 1,
            step: target.hands.scissors.m(),
        };
        firmness.lever = friction * deviations_within(test.least) / half.sin() / firmness.allowed(test.least);
        Some(firmness)
    }

    /// By which M . d may be greater than it seems.
    fn allowed(&self, share: f64) -> f64 {
        let varies = match (share > 0.5, self.either_side) {
            (true, false) => 1.01,
            (true, true) => OTHER_SIDE,
            (false, _) => VARIES_MUCH,
        };
        varies * self.trimmed
    }

    /// Whether no fly passes a test that has at most this moment M . d, N m, at least this weight, N, this moment of one snip,
    /// N m, and this variance when left alone, (N m)^2.
    #[must_use]
    pub fn too_loose(&self, test: &ShareTest, [along, weight, snip, scatter]: [f64; 4]) -> bool {
        let friction = self.friction * weight.max(0.0);
        let along = (self.allowed(test.least()) * along).max(0.0);
        let deviations = test.deviations();
        if along * self.sin_half < deviations * friction {
            return true;
        }
        let misses_alone = along / LINES * self.sin_half < deviations * (scatter + friction * friction).sqrt();
        let misses_trimmed = test.windows().is_none_or(|windows| {
            let width = 2.0 * self.sin_half * along / FOLLOWED;
            width < windows.at(friction / width.max(1e-30)) * snip
        });
        misses_alone && misses_trimmed
    }
}
