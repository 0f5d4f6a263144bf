//! Full sinking speed of a sphere: the simplest fly, and the limit case of the body solver.

use super::constants::GRAVITY;
use super::drag::{Correlation, sphere};
use super::water::Water;
use crate::numeric::{RootError, bracketed_root};
use thiserror::Error;

/// Why there is no terminal speed.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum TerminalError {
    /// Diameter not finite and positive.
    #[error("sphere diameter {diameter} m: must be finite and above 0")]
    Diameter {
        /// Diameter given, m.
        diameter: f64,
    },
    /// Density not finite, or negative.
    #[error("sphere density {density} kg/m3: must be finite and 0 or more")]
    Density {
        /// Density given, kg/m3.
        density: f64,
    },
    /// The force balance could not be solved.
    #[error("no terminal speed for a sphere of {diameter} m and {density} kg/m3")]
    Balance {
        /// Diameter, m.
        diameter: f64,
        /// Density, kg/m3.
        density: f64,
        /// What the root finder said.
        #[source]
        cause: RootError,
    },
}

/// A steady speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settling {
    /// Speed, m/s, positive down; negative for a sphere lighter than water.
    pub speed: f64,
    /// Reynolds number on the diameter.
    pub reynolds: f64,
    /// False where the drag correlation does not hold.
    pub in_range: bool,
}

/// Terminal speed of a smooth sphere of `diameter` m and `density` kg/m3, with the default drag correlation.
///
/// # Errors
/// As [`sphere_terminal_velocity_with`].
///
/// ```
/// use counterpoise::physics::{Water, terminal::sphere_terminal_velocity};
/// let lake = Water::new(10.0, 0.0).unwrap();
/// let bead = sphere_terminal_velocity(4e-3, 17_500.0, &lake).unwrap();
/// assert!((bead.speed - 1.488).abs() < 0.001 && bead.in_range);
/// ```
pub fn sphere_terminal_velocity(diameter: f64, density: f64, water: &Water) -> Result<Settling, TerminalError> {
    sphere_terminal_velocity_with(&sphere::DEFAULT, diameter, density, water)
}

/// Terminal speed with a drag correlation of the caller's choice (one that never falls below 24/Re).
///
/// Weight less buoyancy equals drag: Cd Re^2 = (4/3) |s - 1| g d^3 / nu^2, solved for Re by a bracketed root; s = density over the water's. A
/// rising sphere is given the drag of a sinking one, though free light spheres wobble and are slower (Preukschat 1962, from memory).
///
/// # Errors
/// [`TerminalError`]: bad diameter or density, or a balance without a root.
pub fn sphere_terminal_velocity_with(
    drag: &Correlation,
    diameter: f64,
    density: f64,
    water: &Water,
) -> Result<Settling, TerminalError> {
    if !(diameter > 0.0 && diameter.is_finite()) {
        return Err(TerminalError::Diameter { diameter });
    }
    if !(density >= 0.0 && density.is_finite()) {
        return Err(TerminalError::Density { density });
    }
    let excess = density / water.density - 1.0;
    if excess == 0.0 {
        return Ok(Settling { speed: 0.0, reynolds: 0.0, in_range: true });
    }
    let viscosity = water.kinematic_viscosity();
    let drive = 4.0 / 3.0 * excess.abs() * GRAVITY * diameter.powi(3) / (viscosity * viscosity);
    // Cd >= 24/Re bounds Re by its Stokes value; a hair above it keeps the sign change in the slow-flow limit.
    let fastest = drive / 24.0 * (1.0 + 1e-9);
    let reynolds = bracketed_root(|re| re * drag.times_reynolds(re) - drive, 0.0, fastest, 0.0)
        .map_err(|cause| TerminalError::Balance { diameter, density, cause })?;
    let speed = excess.signum() * reynolds * viscosity / diameter;
    Ok(Settling { speed, reynolds, in_range: drag.holds_at(reynolds) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_forces_balance_at_the_speed_found() {
        let water = Water::new(15.0, 0.0).unwrap();
        for (d, density) in [(1e-5, 2500.0), (1e-3, 7850.0), (6e-3, 17_500.0), (5e-3, 30.0)] {
            let found = sphere_terminal_velocity(d, density, &water).unwrap();
            let area = std::f64::consts::FRAC_PI_4 * d * d;
            let drag = sphere::DEFAULT.force(found.speed.abs(), d, area, &water).value;
            let weight = (density - water.density) * area * d / 1.5 * GRAVITY;
            assert!((drag / weight.abs() - 1.0).abs() < 1e-12, "{d} {density}");
            assert_eq!(found.speed > 0.0, weight > 0.0);
        }
    }

    #[test]
    fn a_speck_sinks_as_stokes_says() {
        let water = Water::new(20.0, 0.0).unwrap();
        let d = 1e-7;
        let stokes = (2500.0 - water.density) * GRAVITY * d * d / (18.0 * water.viscosity);
        let found = sphere_terminal_velocity(d, 2500.0, &water).unwrap();
        assert!((found.speed / stokes - 1.0).abs() < 1e-4);
        assert!(!found.in_range);
    }

    #[test]
    fn neutral_stays_and_bad_spheres_are_refused() {
        let water = Water::new(20.0, 0.0).unwrap();
        assert_eq!(sphere_terminal_velocity(1e-3, water.density, &water).unwrap().speed, 0.0);
        assert!(matches!(sphere_terminal_velocity(0.0, 2e3, &water), Err(TerminalError::Diameter { .. })));
        assert!(matches!(sphere_terminal_velocity(1e-3, f64::NAN, &water), Err(TerminalError::Density { .. })));
    }
}
