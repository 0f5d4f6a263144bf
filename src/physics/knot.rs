//! A line tied with a snug knot: the line leaves the fly in a direction fixed by the knot and bends over to the vertical. It is
//! the elastica of a long line under tension.
//!
//! EI theta'' = T sin(theta), theta = 0 far up the line. Multiplying by theta' and integrating: EI theta'^2 / 2 = T (1 - cos theta), so
//! theta' = -(2 / lambda) sin(theta / 2) with lambda = sqrt(EI / T). Everything below follows from that by one more integral.
//!
//! Symbols: E Young's modulus, Pa; I = pi d^4 / 64; EI `stiffness`, N m2; T `tension`, N; phi `angle` between the far line and the
//! line at the knot, rad, |phi| <= pi. Domain: EI >= 0, T > 0, line much longer than lambda (14 lambda is within 4e-6). Odd functions of
//! phi where a sign makes sense. NaN in, NaN out.
//!
//! Source: derived here; the first integral is also in Love, *Mathematical Theory of Elasticity*, sec. 262, and Landau & Lifshitz,
//! *Theory of Elasticity*, sec. 19 (both from memory). Nylon creeps: the modulus, and so the moment, can halve while a fly hangs (estimate,
//! no source).

use std::f64::consts::PI;

/// Bending stiffness of a round line, E pi d^4 / 64, N m2, from `diameter` m and Young's `modulus` Pa.
pub fn bending_stiffness(diameter: f64, modulus: f64) -> f64 {
    modulus * PI * diameter.powi(4) / 64.0
}

/// Distance over which the bend dies out by a factor e, sqrt(EI / T), m.
pub fn decay_length(stiffness: f64, tension: f64) -> f64 {
    (stiffness / tension).sqrt()
}

/// Moment the line puts on the knot, 2 sqrt(EI T) sin(phi / 2), N m; it acts to turn the knot towards the line.
///
/// ```
/// use counterpoise::physics::knot::{bending_stiffness, end_moment};
/// let stiffness = bending_stiffness(0.20e-3, 1.5e9); // 0.20 mm wet nylon
/// let moment = end_moment(stiffness, 3.0e-3, 60f64.to_radians());
/// assert!((moment - 18.80e-6).abs() < 0.01e-6); // a lever of 6.3 mm on a fly that weighs 3 mN in water
/// ```
pub fn end_moment(stiffness: f64, tension: f64, angle: f64) -> f64 {
    2.0 * (stiffness * tension).sqrt() * (0.5 * angle).sin()
}

/// Slope of [`end_moment`] in the angle, sqrt(EI T) cos(phi / 2), N m per radian.
pub fn moment_slope(stiffness: f64, tension: f64, angle: f64) -> f64 {
    (stiffness * tension).sqrt() * (0.5 * angle).cos()
}

/// Energy of the bend and of the load it lifts, 4 sqrt(EI T) (1 - cos(phi / 2)), J. Its slope in phi is [`end_moment`].
pub fn energy(stiffness: f64, tension: f64, angle: f64) -> f64 {
    // 1 - cos x = 2 sin^2(x / 2) keeps its digits for a small angle.
    8.0 * (stiffness * tension).sqrt() * (0.25 * angle).sin().powi(2)
}

/// How far the knot stands off the line of the tension, 2 lambda sin(phi / 2), m. Equal to moment over tension.
pub fn lateral_offset(stiffness: f64, tension: f64, angle: f64) -> f64 {
    2.0 * decay_length(stiffness, tension) * (0.5 * angle).sin()
}

/// How much the bend shortens the line along the tension, 2 lambda (1 - cos(phi / 2)), m.
pub fn axial_shortening(stiffness: f64, tension: f64, angle: f64) -> f64 {
    4.0 * decay_length(stiffness, tension) * (0.25 * angle).sin().powi(2)
}

/// Angle of the line from the direction of the tension, `distance` m along it from the knot, rad:
/// tan(theta / 4) = tan(phi / 4) exp(-s / lambda).
pub fn line_angle(stiffness: f64, tension: f64, angle: f64, distance: f64) -> f64 {
    let fade = (-distance / decay_length(stiffness, tension)).exp();
    4.0 * ((0.25 * angle).tan() * fade).atan()
}

#[cfg(test)]
mod tests {
    use super::*;

    const EI: f64 = 21.03e-9;
    const T: f64 = 2.0e-3;

    #[test]
    fn moment_is_the_slope_of_the_energy_and_slopes_agree() {
        for angle in [-2.5, -0.4, 1e-3, 0.7, 3.0] {
            let h = 1e-4;
            let slope = (energy(EI, T, angle + h) - energy(EI, T, angle - h)) / (2.0 * h);
            assert!((slope / end_moment(EI, T, angle) - 1.0).abs() < 1e-7, "{angle}");
            let curve = (end_moment(EI, T, angle + h) - end_moment(EI, T, angle - h)) / (2.0 * h);
            assert!((curve / moment_slope(EI, T, angle) - 1.0).abs() < 1e-7, "{angle}");
        }
    }

    #[test]
    fn the_shape_satisfies_the_elastica_and_adds_up_to_offset_and_shortening() {
        let (angle, lambda, steps) = (2.2, decay_length(EI, T), 20_000);
        let h = 20.0 * lambda / f64::from(steps);
        let theta = |i: f64| line_angle(EI, T, angle, i * h);
        let (mut across, mut shorter) = (0.0, 0.0);
        for i in 0..steps {
            let i = f64::from(i);
            across += h * theta(i + 0.5).sin();
            shorter += h * (1.0 - theta(i + 0.5).cos());
            if i > 0.0 && i < 5000.0 {
                let bend = EI * (theta(i + 1.0) - 2.0 * theta(i) + theta(i - 1.0)) / (h * h);
                assert!((bend - T * theta(i).sin()).abs() < 1e-6 * T, "step {i}");
            }
        }
        assert!((across / lateral_offset(EI, T, angle) - 1.0).abs() < 1e-6);
        assert!((shorter / axial_shortening(EI, T, angle) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn offset_is_the_lever_of_the_tension_and_signs_are_odd() {
        assert!((lateral_offset(EI, T, 1.1) * T / end_moment(EI, T, 1.1) - 1.0).abs() < 1e-15);
        assert_eq!(end_moment(EI, T, -1.1), -end_moment(EI, T, 1.1));
        assert_eq!(energy(EI, T, -1.1), energy(EI, T, 1.1));
        assert_eq!(end_moment(EI, T, 0.0), 0.0);
    }
}
