//! Closed-cell foam under water: the gas in the cells is squeezed as the fly goes down, and lift goes with it.
//!
//! Pressure and volume strain e = 1 - V/V0 are tied by
//!
//! p_gauge = p_c + p0 e / (1 - e - R)
//!
//! p0 = pressure of the air of the place (the gas in the cells at the surface), R = foam density over the density of its solid,
//! p_c = pressure the cell walls carry before they give. p_c = 0 is Boyle's law for the gas with an incompressible solid, and
//! gives the largest loss of lift; a stiffer foam has p_c above 0, and below p_c no strain is counted.
//!
//! **Temperature.** Foam is measured, and cut, at 20 C. In water of another temperature its gas presses with w p0, w the ratio of
//! the absolute temperatures (the gas law; no source): V/V0 = R + (1 - R) w / (1 + (p_gauge - p_c) / p0), as soon as p_gauge + p0 (1 - w)
//! exceeds p_c, and with + p_c where the gas presses outwards by more than p_c. A piece of a few millimetres takes the
//! temperature of the water in well under a minute.
//!
//! **Altitude.** The gas is taken to have settled to the air of the place, as foam does that has lain there for some weeks. Foam
//! brought up from the sea yesterday still holds its gas: it swells where it can, and keeps more lift at depth than said here.
//!
//! Sources: the gas term is that of Gibson & Ashby 1997, *Cellular Solids*, ch. 5 (from memory) and of a solver manual's closed-cell
//! foam law (read); the isotropic reading with p_c is derived here, no single published source. Uniaxial tests of a polyethylene
//! foam of 33 kg/m3 (data sheet, read) put the gas term at 89 to 95 % of the stress at 25 to 60 % strain.

use super::constants::ATMOSPHERE;
use thiserror::Error;

/// Foam that the law does not describe.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum CompressionError {
    /// Foam not lighter than its own solid, or no solid at all.
    #[error("relative density {relative_density}: foam over solid must be above 0 and below 1")]
    RelativeDensity {
        /// Foam density over solid density.
        relative_density: f64,
    },
    /// A negative collapse pressure.
    #[error("collapse pressure {collapse_pressure} Pa: must be 0 or more")]
    CollapsePressure {
        /// Pressure given, Pa.
        collapse_pressure: f64,
    },
    /// Foam that does not float even uncompressed, so there is no lift to take a share of.
    #[error("foam of {foam_density} kg/m3 has no lift in water of {water_density} kg/m3")]
    NoLift {
        /// Foam density at the surface, kg/m3.
        foam_density: f64,
        /// Water density, kg/m3.
        water_density: f64,
    },
}

/// Temperature at which foam is measured and cut, C.
pub const FOAM_CELSIUS: f64 = 20.0;

/// What decides the room that gas takes, besides depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GasState {
    /// Pressure of the air of the place, Pa.
    pub air_pressure: f64,
    /// Absolute temperature of the gas over that at which its volume was measured.
    pub warmth: f64,
}

impl GasState {
    /// One atmosphere, at the temperature at which foam is measured.
    pub const STANDARD: Self = Self { air_pressure: ATMOSPHERE, warmth: 1.0 };

    /// Gauge pressures, Pa, between which walls that carry `collapse_pressure` hold the gas to the volume measured.
    #[must_use]
    pub fn held(&self, collapse_pressure: f64) -> (f64, f64) {
        let balance = self.air_pressure * (self.warmth - 1.0);
        (balance - collapse_pressure, balance + collapse_pressure)
    }

    /// Volume under `gauge_pressure` over the volume measured: the law of this module. Pressures in Pa, domain as in [`check`]; NaN
    /// in, NaN out.
    #[must_use]
    pub fn volume_ratio(&self, gauge_pressure: f64, collapse_pressure: f64, relative_density: f64) -> f64 {
        let (low, high) = self.held(collapse_pressure);
        let wall = if gauge_pressure > high {
            -collapse_pressure
        } else if gauge_pressure < low {
            collapse_pressure
        } else {
            return if gauge_pressure.is_nan() { f64::NAN } else { 1.0 };
        };
        relative_density + (1.0 - relative_density) * self.warmth / (1.0 + (gauge_pressure + wall) / self.air_pressure)
    }
}

/// Checks the two foam constants once, so that the functions below can be called without checks in a loop.
///
/// # Errors
/// [`CompressionError`] unless 0 < `relative_density` < 1 and `collapse_pressure` >= 0 and finite.
pub fn check(collapse_pressure: f64, relative_density: f64) -> Result<(), CompressionError> {
    if !(relative_density > 0.0 && relative_density < 1.0) {
        return Err(CompressionError::RelativeDensity { relative_density });
    }
    if !(collapse_pressure >= 0.0 && collapse_pressure.is_finite()) {
        return Err(CompressionError::CollapsePressure { collapse_pressure });
    }
    Ok(())
}

/// Stress carried by the cell gas at `strain` e, Pa: p0 e / (1 - e - R). The same in a uniaxial test (no sideways bulge) and
/// under water. Domain: 0 <= e < 1 - R.
///
/// ```
/// // 33 kg/m3 polyethylene foam at half its height: 109.2 kPa from the gas alone (115 kPa measured, data sheet).
/// let gas = counterpoise::physics::compression::gas_stress(0.5, 33.0 / 920.0);
/// assert!((gas - 109.2e3).abs() < 50.0);
/// ```
pub fn gas_stress(strain: f64, relative_density: f64) -> f64 {
    ATMOSPHERE * strain / (1.0 - strain - relative_density)
}

/// Volume under `gauge_pressure` over volume at the surface, V/V0, in (R, 1], at one atmosphere and the temperature at which the foam
/// was measured.
///
/// With q = (p_gauge - p_c) / p0, V/V0 = 1 - (1 - R) q / (1 + q), and 1 while p_gauge is below `collapse_pressure`. Pressures in Pa. Domain
/// as in [`check`]; NaN in, NaN out.
///
/// ```
/// use counterpoise::physics::{ATMOSPHERE, compression::volume_ratio};
/// // One more atmosphere halves the gas, not the solid.
/// assert!((volume_ratio(ATMOSPHERE, 0.0, 0.04) - (0.5 * 0.96 + 0.04)).abs() < 1e-15);
/// assert_eq!(volume_ratio(4.0e3, 5.0e3, 0.04), 1.0);
/// ```
pub fn volume_ratio(gauge_pressure: f64, collapse_pressure: f64, relative_density: f64) -> f64 {
    GasState::STANDARD.volume_ratio(gauge_pressure.max(0.0), collapse_pressure, relative_density)
}

/// Lift under `gauge_pressure` over lift at the surface, for one piece of foam: (V/V0 - r) / (1 - r), r = foam density over
/// water density. Densities kg/m3, pressures Pa. Never below 0 for a solid lighter than water.
///
/// # Errors
/// [`CompressionError`]: foam constants out of range, or foam that does not float at the surface.
///
/// ```
/// use counterpoise::physics::{Water, compression::lift_ratio};
/// let water = Water::new(20.0, 0.0).unwrap();
/// let at = |depth| lift_ratio(33.0, 920.0, water.density, water.pressure_at_depth(depth), 0.0).unwrap();
/// for (depth, share) in [(1.0, 0.91), (2.0, 0.84), (5.0, 0.68)] {
///     assert!((at(depth) - share).abs() < 0.005, "{depth} m: {}", at(depth));
/// }
/// ```
pub fn lift_ratio(
    foam_density: f64,
    solid_density: f64,
    water_density: f64,
    gauge_pressure: f64,
    collapse_pressure: f64,
) -> Result<f64, CompressionError> {
    let relative_density = foam_density / solid_density;
    check(collapse_pressure, relative_density)?;
    let in_water = foam_density / water_density;
    if !(0.0..1.0).contains(&in_water) {
        return Err(CompressionError::NoLift { foam_density, water_density });
    }
    let volume = volume_ratio(gauge_pressure, collapse_pressure, relative_density);
    Ok((volume - in_water) / (1.0 - in_water))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_solved_form_puts_the_pressure_back() {
        for relative_density in [0.02, 0.036, 0.2, 0.6] {
            for gauge_pressure in [6.0e3, 1.0e4, 1.0e5, 3.0e6] {
                let strain = 1.0 - volume_ratio(gauge_pressure, 5.0e3, relative_density);
                let back = 5.0e3 + gas_stress(strain, relative_density);
                assert!((back / gauge_pressure - 1.0).abs() < 1e-11, "{back} {gauge_pressure}");
            }
        }
    }

    #[test]
    fn shrinks_steadily_towards_the_solid() {
        let mut last = 1.0;
        for i in 1..60 {
            let ratio = volume_ratio(10f64.powf(0.2 * f64::from(i)), 0.0, 0.05);
            assert!(ratio < last && ratio > 0.05);
            last = ratio;
        }
        assert!(last < 0.0501);
    }

    #[test]
    fn suction_and_the_surface_change_nothing() {
        assert_eq!(volume_ratio(0.0, 0.0, 0.03), 1.0);
        assert_eq!(volume_ratio(-50.0, 0.0, 0.03), 1.0);
        assert!(GasState::STANDARD.volume_ratio(f64::NAN, 0.0, 0.03).is_nan());
    }

    /// Values derived from the gas law: 20 C to 5 C keeps 0.949 of pressure times volume; 2000 m up and 3 m down 0.74 for 0.78.
    #[test]
    fn cold_and_thin_air_take_lift() {
        let cold = GasState { warmth: 278.15 / 293.15, ..GasState::STANDARD };
        assert!((cold.volume_ratio(0.0, 0.0, 0.0) - 0.949).abs() < 5e-4);
        let high = GasState { air_pressure: 79.5e3, warmth: 1.0 };
        let down = 3.0 * 9790.0;
        let relative = 33.0 / 920.0;
        assert!((GasState::STANDARD.volume_ratio(down, 0.0, relative) - 0.78).abs() < 5e-3);
        assert!((high.volume_ratio(down, 0.0, relative) - 0.74).abs() < 5e-3);
    }

    #[test]
    fn walls_hold_gas_in_and_out_without_a_step() {
        for warmth in [0.9, 1.0, 1.1] {
            let gas = GasState { air_pressure: 90e3, warmth };
            let (low, high) = gas.held(4e3);
            for edge in [low, high] {
                let (below, above) =
                    (gas.volume_ratio(edge - 1e-3, 4e3, 0.05), gas.volume_ratio(edge + 1e-3, 4e3, 0.05));
                assert!((below - above).abs() < 1e-6 && below >= above, "{warmth} {edge}");
            }
            assert_eq!(gas.volume_ratio(0.5 * (low + high), 4e3, 0.05), 1.0);
            assert!(gas.volume_ratio(low - 1e3, 4e3, 0.05) > 1.0, "it swells");
        }
    }

    #[test]
    fn refuses_foam_that_is_not_foam() {
        assert!(matches!(lift_ratio(920.0, 920.0, 998.0, 0.0, 0.0), Err(CompressionError::RelativeDensity { .. })));
        assert!(matches!(lift_ratio(33.0, f64::NAN, 998.0, 0.0, 0.0), Err(CompressionError::RelativeDensity { .. })));
        assert!(matches!(lift_ratio(33.0, 920.0, 998.0, 0.0, -1.0), Err(CompressionError::CollapsePressure { .. })));
        assert!(matches!(lift_ratio(1100.0, 1200.0, 998.0, 0.0, 0.0), Err(CompressionError::NoLift { .. })));
    }
}
