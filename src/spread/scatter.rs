//! How the moments of flies tied alike scatter.

use super::draws::{SOURCES, Source, spreads_for};
use super::forms::Pull;
use crate::fly::{AsTied, Deviation, Fly};
use crate::wanted::Target;

/// Covariance of the moments (x, y) about the tie point that some sources bring about, (N m)^2.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Scatter {
    /// Variance of Mx.
    pub xx: f64,
    /// Covariance.
    pub xy: f64,
    /// Variance of My.
    pub yy: f64,
}

impl Scatter {
    /// What the sources of a fly for which `counts` holds bring about under the conditions of a target, friction apart.
    #[must_use]
    pub fn of(fly: &Fly, target: &Target, counts: impl Fn(Source) -> bool) -> Self {
        let mut list = spreads_for(fly, target);
        list.retain(|spread| spread.source != Source::Friction && counts(spread.source));
        let tied = AsTied::new(*fly, &target.conditions);
        let pull = Pull::of(&tied, &list, &Deviation::NONE);
        (0..SOURCES).fold(Self::default(), |sum, i| sum.plus(Self::of_step(pull.per[i].x, pull.per[i].y)))
    }

    /// Of one source that moves the moments by so much.
    #[must_use]
    pub fn of_step(x: f64, y: f64) -> Self {
        Self { xx: x * x, xy: x * y, yy: y * y }
    }

    /// Of independent sources together.
    #[must_use]
    pub fn plus(self, other: Self) -> Self {
        Self { xx: self.xx + other.xx, xy: self.xy + other.xy, yy: self.yy + other.yy }
    }

    /// Variance along the direction (sin beta, -cos beta).
    #[must_use]
    pub fn along(&self, beta: f64) -> f64 {
        let (s, c) = beta.sin_cos();
        s * s * self.xx - 2.0 * s * c * self.xy + c * c * self.yy
    }

    /// Least variance of a m . e + b m . d over ranges of a and b, by the moment m that differs, d the direction at a turn and e
    /// a quarter turn on from it: a convex function, brought down along each in turn.
    #[must_use]
    pub fn least(&self, beta: f64, a: (f64, f64), b: (f64, f64)) -> f64 {
        const ROUNDS: usize = 4;
        let (s, c) = beta.sin_cos();
        let across = c * c * self.xx + 2.0 * s * c * self.xy + s * s * self.yy;
        let both = s * c * (self.xx - self.yy) + (s * s - c * c) * self.xy;
        let along = self.along(beta);
        let nearest = |of: f64, square: f64, (low, high): (f64, f64)| {
            if square > 0.0 { (-of * both / square).clamp(low.min(high), low.max(high)) } else { low }
        };
        let (mut at_a, mut at_b) = (0.5 * (a.0 + a.1), 0.5 * (b.0 + b.1));
        for _ in 0..ROUNDS {
            at_a = nearest(at_b, across, a);
            at_b = nearest(at_a, along, b);
        }
        at_a * at_a * across + 2.0 * at_a * at_b * both + at_b * at_b * along
    }
}
