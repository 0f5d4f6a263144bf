//! Drag of a round rod along its axis: friction on its skin, and pressure on its blunt ends.
//!
//! Friction is that of a laminar flat plate, 1.328 / sqrt(Re_L), raised for transverse curvature by F(xi):
//! xi = (4 / a) sqrt(nu L / U), a = radius, L = length along the flow. On the 0.6 mm wire worked below xi is 2.1 and F 1.44. With G = mean
//! skin stress times a / (mu U) = 2.656 F / xi the force is 2 pi mu U L G, which stays finite down to rest.

use super::table::Table;
use super::{Correlation, Evaluated};
use crate::numeric::MonotoneCurve;
use crate::physics::water::Water;
use std::f64::consts::TAU;
use std::sync::LazyLock;

/// Mean friction coefficient of a laminar plate times sqrt(Re_L) (Blasius 1908, from memory; 1.32824 to more digits).
const BLASIUS: f64 = 1.328;

/// Curvature factor F(xi): mean skin friction of a cylinder over that of a flat plate of the same length.
///
/// Monotone cubic through rows computed from the laminar boundary-layer equation of an axial cylinder: to xi = 8 by one solution
/// (Seban & Bond 1951 variables), from 12 to 100 by an independent one in von Mises variables, which repeats the first rows within 1e-3. Between
/// rows within 2e-3. Beyond 100 the mean stress is continued by its slow-flow law, 1/G rising by ln xi (Glauert & Lighthill 1955,
/// from memory): no longer a boundary layer, only a finite force.
pub const CURVATURE: Correlation = Correlation {
    name: "axial curvature",
    source: "Laminar boundary layer on an axial cylinder, Seban & Bond 1951, Kelly 1954 equation, solved numerically (not read)",
    variable: "xi",
    range: (0.0, 100.0),
    value: curvature_factor,
};

const CURVATURE_CURVE: MonotoneCurve<20> = MonotoneCurve::through([
    (0.0, 1.0),
    (0.25, 1.0630),
    (0.5, 1.1222),
    (0.75, 1.1785),
    (1.0, 1.2324),
    (1.5, 1.3345),
    (2.0, 1.4308),
    (2.5, 1.5225),
    (3.0, 1.6106),
    (4.0, 1.7781),
    (5.0, 1.9366),
    (6.0, 2.0881),
    (8.0, 2.3750),
    (12.0, 2.9049),
    (16.0, 3.3948),
    (24.0, 4.2999),
    (32.0, 5.1399),
    (48.0, 6.6987),
    (64.0, 8.1524),
    (100.0, 11.1907),
]);

fn curvature_factor(xi: f64) -> f64 {
    static TABLE: LazyLock<Table<1>> = LazyLock::new(|| Table::new(1.0 / 64.0, 1024.0, |xi| [curvature_of(xi)]));
    TABLE.at(xi).map_or_else(|| curvature_of(xi), |[value]| value)
}

fn curvature_of(xi: f64) -> f64 {
    let (_, last) = CURVATURE_CURVE.range();
    if xi <= last {
        return CURVATURE_CURVE.at(xi);
    }
    // F = G xi / 2.656 with 1/G growing by ln xi from its last value.
    let resistance = last / (2.0 * BLASIUS * CURVATURE_CURVE.at(last)) + (xi / last).ln();
    xi / (2.0 * BLASIUS * resistance)
}

/// Reynolds numbers on the length for which the skin has a laminar boundary layer; the lower end is a judgement, the upper one the
/// usual plate figure (both from memory).
pub const LAMINAR: (f64, f64) = (100.0, 5e5);

/// Curvature parameter xi = (4 / a) sqrt(nu L / U) = 8 (L/d) / sqrt(Re_L).
pub fn curvature_parameter(reynolds_length: f64, length_over_diameter: f64) -> f64 {
    8.0 * length_over_diameter / reynolds_length.sqrt()
}

/// Mean skin friction coefficient C_F on the wetted side area pi d L, at Re on the length.
///
/// ```
/// use counterpoise::physics::drag::axial::friction_coefficient;
/// // 0.6 mm wire, 12 mm long, 0.5 m/s, 20 C: 0.0248, where a flat plate has 0.0172.
/// let skin = friction_coefficient(0.5 * 12e-3 / 1.0034e-6, 12.0 / 0.6);
/// assert!((skin.value - 0.02479).abs() < 2e-5 && skin.in_range);
/// assert!((skin.value / 0.01717 - 1.44).abs() < 0.005);
/// ```
pub fn friction_coefficient(reynolds_length: f64, length_over_diameter: f64) -> Evaluated {
    let factor = CURVATURE.at(curvature_parameter(reynolds_length, length_over_diameter));
    let laminar = (LAMINAR.0..=LAMINAR.1).contains(&reynolds_length);
    Evaluated { value: BLASIUS / reynolds_length.sqrt() * factor.value, in_range: factor.in_range && laminar }
}

/// Skin friction on a rod moving along its axis at `speed` m/s (0 or more), N; `diameter` and `length` m. Zero at rest, and smooth to it.
pub fn friction_force(speed: f64, diameter: f64, length: f64, water: &Water) -> Evaluated {
    if speed == 0.0 {
        return Evaluated { value: 0.0, in_range: true };
    }
    let reynolds_length = speed * length / water.kinematic_viscosity();
    let skin = friction_coefficient(reynolds_length, length / diameter);
    let pressure = 0.5 * water.density * speed * speed;
    Evaluated { value: pressure * TAU * 0.5 * diameter * length * skin.value, in_range: skin.in_range }
}

/// Drag coefficient of a blunt rod along its axis on pi d^2 / 4, by its length over diameter L/d.
///
/// Monotone cubic through six rows; held at 1.13 below L/d = 0.357 (a disc has about 1.17, from memory) and at 0.814 above 10.
/// The rows are totals at Re about 1e5, where skin friction is a few hundredths: adding [`friction_force`] counts that little twice. For slower
/// flow, and at a slant, see [`Ends`].
pub const BLUNT_ENDS: Correlation = Correlation {
    name: "blunt rod end on",
    source: "Kritzinger 2004, blunt cylinder along its axis, Re about 1e5 (values read from a public digitisation)",
    variable: "L/d",
    range: (0.357, 10.0),
    value: |length_over_diameter| BLUNT_CURVE.at(length_over_diameter),
};

const BLUNT_CURVE: MonotoneCurve<6> =
    MonotoneCurve::through([(0.357, 1.13), (0.747, 1.02), (1.55, 0.83), (2.09, 0.819), (4.41, 0.814), (10.0, 0.814)]);

/// Share of [`BLUNT_ENDS`] that a rod end on has, besides 32 / Re: Re / (Re + 3000), Re on the diameter.
const FAST_FROM: f64 = 3000.0;
/// Coefficient times Re of the ends in slow flow.
const SLOW_ENDS: f64 = 32.0;
/// Square of the sine of the angle between axis and flow at which half of [`BLUNT_ENDS`] is there whatever the speed: 8 degrees.
const SLANT_SINE_SQ: f64 = 0.0196;

/// Pressure drag of the two ends of a rod: coefficient C(a) on pi d^2 / 4 and on speed times speed along the axis.
///
/// End on, Re 30 to 1000, the flow closes behind the front edge and a rod has a quarter of [`BLUNT_ENDS`]: R = B Re / (Re + 3000) +
/// 32 / Re. At a slant it has all of it: C = B w + R (1 - w), w = sin^2 a / (sin^2 a + 0.0196). With [`friction_force`] taken at the
/// full speed this gives axial forces computed for this project (L/d 3 and 5, 0 to 70 degrees, Re 30 to 1000) within 6 % rms.
/// At Re 1e5 it is [`BLUNT_ENDS`]. Between Re 1000 and 1e5 no rows were found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ends {
    blunt: f64,
}

impl Ends {
    /// Of a rod of some length over diameter.
    #[must_use]
    pub fn new(length_over_diameter: f64) -> Self {
        Self { blunt: BLUNT_ENDS.at(length_over_diameter).value }
    }

    /// R of a rod end on.
    fn end_on(&self, reynolds: f64) -> f64 {
        self.blunt * reynolds / (reynolds + FAST_FROM) + SLOW_ENDS / reynolds
    }

    /// The coefficient at Re above 0 on the diameter and the full speed.
    #[must_use]
    pub fn coefficient(&self, reynolds: f64, sine: f64) -> f64 {
        let slanted = sine * sine / (sine * sine + SLANT_SINE_SQ);
        self.blunt * slanted + self.end_on(reynolds) * (1.0 - slanted)
    }

    /// Square of the sine at which coefficient x cosine^2 is greatest; it grows up to there and falls from there. With
    /// x = sin^2 a, x0 = 0.0196 and r = R / B it is (1 - x) (x + r x0) / (x + x0) up to a factor, and x + x0 =
    /// sqrt(x0 (1 + x0) (1 - r)) where its derivative is 0.
    #[must_use]
    pub fn steepest(&self, reynolds: f64) -> f64 {
        let kept = 1.0 - self.end_on(reynolds) / self.blunt;
        ((SLANT_SINE_SQ * (1.0 + SLANT_SINE_SQ) * kept.max(0.0)).sqrt() - SLANT_SINE_SQ).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_thick_or_fast_rod_is_a_flat_plate() {
        let plate = friction_coefficient(1e5, 1e-4);
        assert!((plate.value * 1e5f64.sqrt() / BLASIUS - 1.0).abs() < 1e-3);
    }

    #[test]
    fn curvature_rises_and_joins_its_continuation() {
        let mut last = 1.0;
        for i in 0..4000 {
            let factor = CURVATURE.at(0.05 * f64::from(i)).value;
            assert!(factor >= last);
            last = factor;
        }
        let (below, above) = (CURVATURE.at(100.0 - 1e-7), CURVATURE.at(100.0 + 1e-7));
        assert!((above.value / below.value - 1.0).abs() < 1e-8);
        assert!(below.in_range && !above.in_range);
    }

    #[test]
    fn friction_falls_smoothly_to_nothing_at_rest() {
        let water = Water::new(10.0, 0.0).unwrap();
        let drag = |speed| friction_force(speed, 1e-3, 15e-3, &water).value;
        assert_eq!(drag(0.0), 0.0);
        let mut last = 0.0;
        for tenths in -120..=0 {
            let now = drag(10f64.powf(0.1 * f64::from(tenths)));
            assert!(now > last);
            last = now;
        }
        // Slow flow: nearly proportional to speed, so drag over speed changes only by its logarithm.
        let creep = drag(1e-9) / drag(1e-10);
        assert!(creep > 10.0 && creep < 11.5, "{creep}");
    }

    #[test]
    fn ends_grow_to_one_slant_and_fall_from_it() {
        for length in [0.5, 2.0, 8.0] {
            let ends = Ends::new(length);
            for re in [0.1, 10.0, 45.0, 100.0, 1000.0, 1e5] {
                let at = |i: u32| {
                    let x = f64::from(i) / 2000.0;
                    (x, ends.coefficient(re, x.sqrt()) * (1.0 - x))
                };
                let top = ends.steepest(re);
                for (a, b) in (0..2000).map(|i| (at(i), at(i + 1))) {
                    assert!(b.0 > top || b.1 >= a.1 * (1.0 - 1e-12), "{length} {re} {}", a.0);
                    assert!(a.0 < top || b.1 <= a.1 * (1.0 + 1e-12), "{length} {re} {}", a.0);
                }
            }
            // Fast flow along the axis is what was measured.
            assert!((ends.coefficient(1e7, 0.0) / BLUNT_ENDS.at(length).value - 1.0).abs() < 1e-3);
        }
    }

    #[test]
    fn blunt_ends_fall_from_disc_to_rod() {
        let mut last = 1.2;
        for i in 1..200 {
            let cd = BLUNT_ENDS.at(0.1 * f64::from(i)).value;
            assert!(cd <= last && cd >= 0.814 - 1e-12);
            last = cd;
        }
        // What is counted twice when skin friction is added: a few hundredths at the Reynolds number of the rows.
        let skin = friction_coefficient(2e5, 2.0).value * 4.0 * 2.0;
        assert!((0.02..0.03).contains(&skin), "{skin}");
        assert!(!BLUNT_ENDS.at(0.1).in_range && BLUNT_ENDS.at(3.0).in_range && !BLUNT_ENDS.at(30.0).in_range);
    }
}
