//! Bounds on shares over sets of recipes.
//!
//! On a free loop a fly comes out right, as far as the hang goes, when |q| <= v sin h: h is half the width of the window, v
//! the moment along its middle direction, q = u cos h + tau the moment u across it and that of friction, tau. Both are
//! normal. Given v, the share is greatest with q centred (Anderson 1955, from memory) and then 2 Phi(v sin h / s) - 1 with s
//! the standard deviation of q that v does not explain; as a function of v that is concave from 0 on, so its mean is at
//! most its value at the mean of v, counted from 0 (Jensen). So
//!
//! share <= 2 Phi(E max(v, 0) sin h / s) - 1,
//!
//! which grows with the mean and with the spread of v and falls with s. s^2 is 1 over the element of the inverse covariance,
//! so each further independent source can only add to it: sources that are certain to be there give a lower bound of s.
//! Every other requirement can only make the share less.
//!
//! **Trimmed**, what a cut makes up for is out of q, but not friction at depth: s >= W lever / sqrt 3. So the share is at most
//! 2 Phi(sqrt 3 sin h E max(v, 0) / (W lever)) - 1: it takes a lever of the fly, |M| / W, some times that of friction.

use super::draws::{SOURCES, Source, spreads_for};
use super::forms::Pull;
use crate::fly::{AsTied, Deviation, Fly};
use crate::numeric::{normal_density, normal_share_below};
use crate::physics::friction;
use crate::physics::statics::Knot;
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

    /// Variance across that direction which the moment along it does not explain.
    #[must_use]
    pub fn across_given_along(&self, beta: f64) -> f64 {
        let (s, c) = beta.sin_cos();
        let across = c * c * self.xx + 2.0 * s * c * self.xy + s * s * self.yy;
        let both = s * c * (self.xx - self.yy) + (s * s - c * c) * self.xy;
        let along = self.along(beta);
        if along > 0.0 { (across - both * both / along).max(0.0) } else { across }
    }
}

/// Variance of the moment of friction, (N m)^2, for a submerged weight, N; 0 on a snug knot.
#[must_use]
pub fn friction_variance(target: &Target, eye_inner_diameter: f64, weight: f64) -> f64 {
    if target.conditions.knot != Knot::Loop {
        return 0.0;
    }
    let moment = weight.max(0.0) * friction::lever(eye_inner_diameter, target.hands.eye_friction);
    moment * moment / 3.0
}

/// Most that a share can be: mean and standard deviation, at their greatest, of the moment along the middle of the window;
/// standard deviation, at its least, of q; half the width of the window, rad, up to a quarter turn.
///
/// ```
/// use counterpoise::spread::bound::share_at_most;
/// // A lever of 1 mm against a spread of 0.1 mm across, a window of 5 degrees either way: 0.87 standard deviations.
/// let most = share_at_most((1.0, 0.0), 0.1, 5f64.to_radians());
/// assert!((most - 0.6166).abs() < 1e-3);
/// ```
#[must_use]
pub fn share_at_most((along, along_sd): (f64, f64), across_sd: f64, half_width: f64) -> f64 {
    let positive = if along_sd > 0.0 {
        let z = along / along_sd;
        along * normal_share_below(z) + along_sd * normal_density(z)
    } else {
        along.max(0.0)
    };
    if across_sd <= 0.0 {
        return 1.0;
    }
    (2.0 * normal_share_below(positive * half_width.sin() / across_sd) - 1.0).clamp(0.0, 1.0)
}
