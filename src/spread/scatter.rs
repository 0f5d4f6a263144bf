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
    /// a quarter turn on from it: a convex function, least where both are 0, and if that is not within both ranges on an edge of
    /// them.
    #[must_use]
    pub fn least(&self, beta: f64, a: (f64, f64), b: (f64, f64)) -> f64 {
        let within = |(low, high): (f64, f64)| low <= 0.0 && high >= 0.0;
        if within(a) && within(b) {
            return 0.0;
        }
        let (s, c) = beta.sin_cos();
        let across = c * c * self.xx + 2.0 * s * c * self.xy + s * s * self.yy;
        let both = s * c * (self.xx - self.yy) + (s * s - c * c) * self.xy;
        let along = self.along(beta);
        let nearest = |of: f64, square: f64, (low, high): (f64, f64)| {
            if square > 0.0 { (-of * both / square).clamp(low, high) } else { low }
        };
        let at = |a: f64, b: f64| a * a * across + 2.0 * a * b * both + b * b * along;
        let edges = [
            at(a.0, nearest(a.0, along, b)),
            at(a.1, nearest(a.1, along, b)),
            at(nearest(b.0, across, a), b.0),
            at(nearest(b.1, across, a), b.1),
        ];
        edges.into_iter().fold(f64::INFINITY, f64::min).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_over_ranges_is_below_every_point_and_reached() {
        // All but one moment vector, so that a and b nearly cancel along a ravine.
        let scatter = Scatter::of_step(3.0, 1.0).plus(Scatter::of_step(0.1, -0.05));
        for beta in [-2.0, -0.4, 0.0, 0.7, 1.3] {
            for (a, b) in [((-30.9, 0.002), (0.4, 45.0)), ((0.1, 2.0), (-3.0, -0.5)), ((-1.0, 1.0), (0.2, 0.3))] {
                let least = scatter.least(beta, a, b);
                let mut nearest = f64::INFINITY;
                for i in 0..=400 {
                    for j in 0..=400 {
                        let point = |(low, high): (f64, f64), k: i32| low + (high - low) * f64::from(k) / 400.0;
                        let (a, b) = (point(a, i), point(b, j));
                        nearest = nearest.min(scatter.least(beta, (a, a), (b, b)));
                    }
                }
                assert!(
                    least <= nearest + 1e-12 && nearest < 1.2 * least + 0.01,
                    "{beta} {a:?} {b:?}: {least} {nearest}"
                );
            }
        }
        assert_eq!(scatter.least(0.3, (-1.0, 1.0), (-1.0, 1.0)), 0.0);
    }
}
