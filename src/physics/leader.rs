//! A length of tippet that a sinking fly draws down after it: its weight in water, and the friction of the water along
//! it.
//!
//! It follows straight behind the tie point, so the water moves along it: F = skin friction of a rod of its length at
//! the speed of the fly. Only what is under water counts, so the length is cut to the depth. Its inertia, its bends and
//! the current on it are left out.

use crate::physics::constants::GRAVITY;
use crate::physics::drag::axial;
use crate::physics::water::Water;
use std::f64::consts::FRAC_PI_4;

/// A stated length of tippet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leader {
    /// Length, m.
    pub length: f64,
    /// Diameter, m.
    pub diameter: f64,
    /// Density, kg/m3.
    pub density: f64,
}

impl Leader {
    /// The part of it that is under water when the fly is at `depth` m.
    #[must_use]
    pub fn under_water(&self, depth: f64) -> Self {
        Self { length: self.length.min(depth.max(0.0)), ..*self }
    }

    /// Weight in water, N; negative for a line that floats.
    #[must_use]
    pub fn weight(&self, water_density: f64) -> f64 {
        FRAC_PI_4 * self.diameter * self.diameter * self.length * (self.density - water_density) * GRAVITY
    }

    /// Friction at `speed` m/s, 0 or more, N.
    #[must_use]
    pub fn friction(&self, speed: f64, water: &Water) -> f64 {
        if self.length <= 0.0 || speed == 0.0 {
            return 0.0;
        }
        axial::friction_force(speed, self.diameter, self.length, water).value
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TWO_METRES: Leader = Leader { length: 2.0, diameter: 0.18e-3, density: 1140.0 };

    #[test]
    fn a_tippet_weighs_little_and_drags_more() {
        let water = Water::new(12.0, 0.0).unwrap();
        let weight = TWO_METRES.weight(water.density);
        assert!((weight * 1e3 - 0.070).abs() < 0.001, "{weight}");
        let drag = TWO_METRES.friction(0.2, &water);
        assert!((drag * 1e3 - 0.814).abs() < 0.01, "{drag}");
    }

    #[test]
    fn only_the_wet_part_counts() {
        let water = Water::new(12.0, 0.0).unwrap();
        assert_eq!(TWO_METRES.under_water(0.0).friction(0.2, &water), 0.0);
        assert_eq!(TWO_METRES.under_water(0.5).length, 0.5);
        assert_eq!(TWO_METRES.under_water(5.0), TWO_METRES);
        assert_eq!(TWO_METRES.friction(0.0, &water), 0.0);
    }
}
