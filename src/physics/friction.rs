//! Friction of a loop of line in the eye: how far from its hang a fly may come to rest.
//!
//! The loop slides round inside the ring of the eye and bears on it at the radius r of its opening. Line pull T and pressure
//! of the ring lie on one line within the angle of friction, atan mu, of the radius there: the pull passes within
//! r sin(atan mu) of the centre of the ring (the friction circle of a journal; mechanics of machines, from memory). Its
//! moment about the tie point is at most T r mu / sqrt(1 + mu^2), and it holds the fly until the fly's own moment
//! |M| sin(off) exceeds that.
//!
//! A stiff line at these tensions (a few mN) touches the ring at one place and does not wrap it, so the pull is not
//! multiplied as on a capstan.

use crate::physics::statics::{Moments, Rest};
use std::f64::consts::{FRAC_PI_2, PI};

/// Coefficient of friction of wet nylon or fluorocarbon line on the steel of an eye: an estimate. Dry cast nylon 6 slides at 0.32
/// (CRC Materials Science and Engineering Handbook 2001, table 399, read second hand); water lubricates. No source for wet
/// line at a few mN was found.
pub const COEFFICIENT: f64 = 0.2;

/// Coefficient of friction of dry nylon line on the steel of an eye, as a fly hangs in the hand (the same table, read second
/// hand).
pub const DRY_COEFFICIENT: f64 = 0.32;

/// Whatever friction could do, a fly that is read was worked towards its hang, rad: 30 degrees. An estimate, no source.
pub const MOST_HELD: f64 = std::f64::consts::FRAC_PI_6;

/// Greatest lever of the line's pull about the tie point, m: eye opening, m, and coefficient of friction, 0 or more.
///
/// ```
/// let lever = counterpoise::physics::friction::lever(1.0e-3, 0.2);
/// assert!((lever * 1e3 - 0.098_058).abs() < 1e-6);
/// ```
#[must_use]
pub fn lever(eye_inner_diameter: f64, coefficient: f64) -> f64 {
    0.5 * eye_inner_diameter * coefficient / (1.0 + coefficient * coefficient).sqrt()
}

/// How far either way from its hang friction can leave a sinking fly on a loop, rad: asin(W lever / |M|); pi for a fly that
/// friction can hold at any angle.
#[must_use]
pub fn band(moments: Moments, lever: f64) -> f64 {
    let held = moments.weight.max(0.0) * lever;
    let restoring = moments.magnitude();
    if held >= restoring && held > 0.0 { PI } else { (held / restoring.max(f64::MIN_POSITIVE)).min(1.0).asin() }
}

/// The rest of a fly that friction holds with a lever of this much, m: positive turns it on as the shank goes tail down on
/// a fly that rides point-up. One that friction can hold anywhere stands a quarter turn off.
#[must_use]
pub fn held(rest: &Rest, moments: Moments, lever: f64) -> Rest {
    if lever == 0.0 {
        return *rest;
    }
    let share = moments.weight.max(0.0) * lever / moments.magnitude().max(f64::MIN_POSITIVE);
    let off = if share.abs() >= 1.0 { FRAC_PI_2.copysign(share) } else { share.asin() };
    Rest::at(rest.beta() + off, rest.steadiness)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::statics::{Knot, hang};

    #[test]
    fn the_band_ends_where_the_moments_balance() {
        let moments = Moments { weight: 3e-3, x: 1e-6, y: -3e-6 };
        let lever = lever(0.9e-3, 0.25);
        let rest = *hang(moments, Knot::Loop, 0.0).rest().unwrap();
        let edge = held(&rest, moments, lever);
        let restoring = -(moments.x * edge.beta().cos() + moments.y * edge.beta().sin());
        assert!((restoring / (moments.weight * lever) - 1.0).abs() < 1e-12);
        assert!((edge.beta() - rest.beta() - band(moments, lever)).abs() < 1e-12);
        assert!(edge.angle > rest.angle, "point-up, it goes tail down");
        assert_eq!(band(Moments { weight: 1.0, x: 0.0, y: -0.5 * lever }, lever), PI);
        assert_eq!(band(moments, 0.0), 0.0);
    }
}
