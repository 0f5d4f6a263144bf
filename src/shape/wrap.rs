//! Wire wound close around a shank.

use super::Solid;
use std::f64::consts::{FRAC_PI_4, PI};

/// Turns of wire laid side by side on a round core: a helix whose pitch is the wire diameter. m throughout.
///
/// ```
/// use counterpoise::shape::wrap::CloseWound;
/// let wraps = CloseWound { turns: 10.0, wire: 0.381e-3, core: 0.6e-3 };
/// assert!((wraps.length() * 1e3 - 31.053636).abs() < 1e-6);
/// assert!((wraps.wound_length() * 1e3 - 3.81).abs() < 1e-12);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CloseWound {
    /// Number of turns N, 0 or more.
    pub turns: f64,
    /// Diameter of the wire d.
    pub wire: f64,
    /// Diameter of what it is wound on D.
    pub core: f64,
}

impl CloseWound {
    /// Length of wire, m: N sqrt((pi (D + d))^2 + d^2), the arc length of the helix of the wire's centre.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.turns * (PI * (self.core + self.wire)).hypot(self.wire)
    }

    /// Length of shank covered, m: N d.
    #[must_use]
    pub fn wound_length(&self) -> f64 {
        self.turns * self.wire
    }

    /// Outside diameter, m: D + 2 d.
    #[must_use]
    pub fn outside_diameter(&self) -> f64 {
        self.core + 2.0 * self.wire
    }

    /// Volume of the wire, m3: pi d^2/4 times its length.
    #[must_use]
    pub fn volume(&self) -> f64 {
        FRAC_PI_4 * self.wire * self.wire * self.length()
    }

    /// Volume, centroid and second moments; origin in the middle of the wraps, x along the core.
    ///
    /// Each turn is taken as a ring, all of them evenly along N d: with the mean radius R = (D + d)/2 the mean squares are
    /// (N d)^2/12 along and R^2/2 + 3 d^2/32 across. For whole turns the helix itself differs only by an x y term
    /// of zero mean; the wire's thickness along the core, d^2/16 against (N d)^2/12, is within N d already.
    #[must_use]
    pub fn solid(&self) -> Solid {
        let volume = self.volume();
        let radius = 0.5 * (self.core + self.wire);
        let along = self.wound_length().powi(2) / 12.0;
        let across = 0.5 * radius * radius + 3.0 * self.wire * self.wire / 32.0;
        Solid { volume, centroid: [0.0; 2], second: [volume * along, volume * across, 0.0] }
    }

    /// Radius of gyration about the middle for turning in the plane of the hook, m.
    #[must_use]
    pub fn radius_of_gyration(&self) -> f64 {
        self.solid().gyration_sq().sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_turn_is_a_ring_with_a_pitch() {
        let one = CloseWound { turns: 1.0, wire: 0.1, core: 0.9 };
        assert!((one.length() - (PI * PI + 0.01).sqrt()).abs() < 1e-15);
        assert!((one.outside_diameter() - 1.1).abs() < 1e-15);
        let two = CloseWound { turns: 2.0, ..one };
        assert!((two.volume() / one.volume() - 2.0).abs() < 1e-15);
    }

    /// Points along the helix, each standing for its bit of wire.
    #[test]
    fn gyration_equals_a_sum_along_the_helix() {
        let wraps = CloseWound { turns: 12.0, wire: 0.381, core: 0.6 };
        let radius = 0.5 * (wraps.core + wraps.wire);
        let count = 12_000;
        let mean: f64 = (0..count)
            .map(|i| {
                let share = (f64::from(i) + 0.5) / f64::from(count);
                let x = wraps.wound_length() * (share - 0.5);
                let y = radius * (2.0 * PI * wraps.turns * share).cos();
                (x * x + y * y) / f64::from(count)
            })
            .sum();
        let thickness = 3.0 * wraps.wire.powi(2) / 32.0;
        assert!((wraps.radius_of_gyration().powi(2) - mean - thickness).abs() < 1e-6);
    }
}
