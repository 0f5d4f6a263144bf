//! Drag of short round cylinders across the flow: a coefficient on diameter x length of q = diameter over length and Re on
//! the diameter.
//!
//! Three limits are joined. With V(Re) = 6.8 / Re^0.89 + 1.96 / Re^0.5 and dip(Re) = 0.0004 Re / (1 + 3.64e-7 Re^2), the parts of
//! the curve of Sucker and Brauer, and with W(q) of [`FINITE_LENGTH`],
//!
//! - a short body has C1 = W (1.19 - 0.193 dip) + V (1.460 + 1.132 q^1.364) / (1 + (Re / 164.3)^1.158) (1 - exp(-Re / 2) / 2);
//! - a long one has C0, [`super::cylinder::DEFAULT`]: X = z C0 + (1 - z) C1, z = exp(-q / 0.03);
//! - at Re far below 1 every one has the drag of creeping flow,
//!   S = 8 pi / (Re (ln(1/q) + 0.839 + 0.185 q + 0.233 q^2)): Cd = (X^6 + S^6)^(1/6).
//!
//! W is measured at Re 8.8e4. C1 is fitted to flows computed for this project (Re 10 to 1500, L/d 1 to 10, +-5 %), with its last
//! factor set so that pieces of line settle as a published law of measured ones says (Re 0.7 to 20). How far that is off:
//! the table of `tests/published/short_bodies.rs`. 0.03 and the powers of 6 are judgements: nothing was computed beyond L/d 10.

use super::Correlation;
use super::cylinder::{self, FINITE_LENGTH};
use super::table::Table;
use std::f64::consts::PI;
use std::sync::LazyLock;

/// Where the curve is trusted, Re on the diameter: the slowest piece of line, and the drag crisis.
pub const TRUSTED_REYNOLDS: (f64, f64) = (0.7, 1.5e5);
/// Where the curve is trusted, diameter over length.
pub const TRUSTED_SLENDERNESS: (f64, f64) = (0.0, 1.0);
/// z falls by e in this diameter over length.
const LONG_ABOVE: f64 = 0.03;

/// Drag across grows with the length of a rod no slower than with this power of it.
pub const LEAST_LENGTH_POWER: f64 = 0.45;
/// Nor faster than with this one.
pub const GREATEST_LENGTH_POWER: f64 = 1.25;

/// V of the module above.
pub const VISCOUS: Correlation = Correlation {
    name: "viscous part",
    source: "Sucker & Brauer 1975, Wärme- und Stoffübertragung 8:149, second and third term (read second hand)",
    variable: "Re",
    range: (1e-4, 2e5),
    value: |re| 6.8 / re.powf(0.89) + 1.96 / re.sqrt(),
};

/// dip of the module above.
pub const DIP: Correlation = Correlation {
    name: "dip of the long cylinder",
    source: "Sucker & Brauer 1975, Wärme- und Stoffübertragung 8:149, last term (read second hand)",
    variable: "Re",
    range: (1e-4, 2e5),
    value: |re| 0.0004 * re / (1.0 + 3.64e-7 * re * re),
};

/// What multiplies 1.460 + 1.132 q^1.364 in the module above.
pub const END_FLOW: Correlation = Correlation {
    name: "flow round the ends",
    source: "fitted to flows computed for this project, tests/published/data/short_cylinders.csv, and to pieces of line",
    variable: "Re",
    range: (1e-4, 2e5),
    value: |re| (VISCOUS.value)(re) * (1.0 - 0.5 * (-0.5 * re).exp()) / (1.0 + (re / 164.3).powf(1.158)),
};

/// C0, [`DIP`] and [`END_FLOW`].
fn functions(reynolds: f64) -> [f64; 3] {
    [cylinder::DEFAULT, DIP, END_FLOW].map(|c| (c.value)(reynolds))
}

/// The same, looked up from Re 1/256 to 262 144.
static FUNCTIONS: LazyLock<Table<3>> = LazyLock::new(|| Table::new(1.0 / 256.0, 262_144.0, functions));

/// A rod across the flow, by its diameter over its length from free end to free end.
///
/// ```
/// use counterpoise::physics::drag::short::CrossFlow;
/// let rod = CrossFlow::new(0.2);
/// // L/d 5 at Re 100 and 1000: 1.042 and 0.743 computed (+-5 %), where an endless cylinder has 1.33 and 0.98.
/// assert!((rod.coefficient(100.0) - 1.046).abs() < 1e-3 && (rod.coefficient(1000.0) - 0.716).abs() < 1e-3);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossFlow {
    /// Diameter over length, not above 1.
    q: f64,
    constant: f64,
    /// Factors of C0, [`DIP`] and [`END_FLOW`].
    long: f64,
    dip: f64,
    ends: f64,
    /// S times Re.
    creeping: f64,
}

impl CrossFlow {
    /// Of a rod; shorter than its diameter it is taken as one of L/d 1.
    #[must_use]
    pub fn new(diameter_over_length: f64) -> Self {
        let q = diameter_over_length.min(1.0);
        let long = (-q / LONG_ABOVE).exp();
        let (short, kept) = (1.0 - long, FINITE_LENGTH.at(q).value);
        // An endless rod has no creeping drag: ln(1/q) is without end.
        let creeping = if q > 0.0 { 8.0 * PI / (-q.ln() + 0.839 + q * (0.185 + 0.233 * q)) } else { 0.0 };
        Self {
            q,
            constant: short * kept * 1.19,
            long,
            dip: -short * kept * 0.193,
            ends: short * (1.460 + 1.132 * q.powf(1.364)),
            creeping,
        }
    }

    /// Coefficient on diameter x length at Re above 0 on the diameter.
    #[must_use]
    pub fn coefficient(&self, reynolds: f64) -> f64 {
        self.joined(FUNCTIONS.at(reynolds).unwrap_or_else(|| functions(reynolds)), reynolds)
    }

    /// The coefficient from the three functions of Re.
    fn joined(&self, [long, dip, ends]: [f64; 3], reynolds: f64) -> f64 {
        let x = self.constant + self.long * long + self.dip * dip + self.ends * ends;
        let slow = self.creeping / (reynolds * x);
        let sixth = slow.powi(6);
        // (1 + s)^(1/6): what the series leaves out is below 1e-11.
        let join = if sixth < 1e-3 {
            1.0 + sixth / 6.0 * (1.0 - sixth * (5.0 / 12.0 - sixth * 55.0 / 216.0))
        } else {
            (1.0 + sixth).powf(1.0 / 6.0)
        };
        x * join
    }

    /// Diameter over length.
    #[must_use]
    pub fn slenderness(&self) -> f64 {
        self.q
    }
}

/// How many times the drag of a round rod as wide a piece with sharp edges has, across the flow, Re on its width:
/// 1 + 0.65 Re / (Re + 350).
///
/// Square prisms face on and edge on and quarter rounds from three sides, L over side or radius 4, computed at Re 100 to 1000:
/// on their width their drag is 1.0 to 1.15, whatever the section. This gives them within 7.5 % rms.
pub const SHARP_EDGES: Correlation = Correlation {
    name: "sharp edges",
    source: "fitted to prisms computed for this project, tests/published/data/short_cylinders.csv",
    variable: "Re",
    range: (100.0, 1000.0),
    value: |re| 1.0 + 0.65 * re / (re + 350.0),
};

/// Normal force on a free rod that moves at a slant, besides that of its motion across: this times
/// rho pi/4 d^2 v_across v_along. Slender-body theory gives 1 for a nose and a blunt tail; 1.17 fits L/d 5 at 20 to 70
/// degrees and Re 100 to 1000 within 3 % (computed for this project).
pub const SLANT: f64 = 1.17;

/// Angle between axis and flow, rad, below which the share of [`turning_share`] is held: the least that was computed.
const LEAST_SLANT: f64 = PI / 9.0;

/// Share of the moment of ideal flow (Munk's) that turns a rod at a slant, by Re on its diameter and the sine of the angle
/// between axis and flow: 0.555 (Re/300)^-0.344 sin^0.708, not above 1.
///
/// Fitted to L/d 5 at 20 to 70 degrees, Re 30 to 1000, computed for this project: within 11 %, kept-back values 14 %. Below 20
/// degrees the share there is held.
#[must_use]
pub fn turning_share(reynolds: f64, sine: f64) -> f64 {
    let sine = sine.max(LEAST_SLANT.sin());
    (0.555 * (reynolds.max(1.0) / 300.0).powf(-0.344) * sine.powf(0.708)).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn logarithmic(from: f64, to: f64, steps: u32) -> impl Iterator<Item = f64> {
        (0..=steps).map(move |i| from * (to / from).powf(f64::from(i) / f64::from(steps)))
    }

    #[test]
    fn the_table_is_the_formula() {
        for q in [1e-3, 0.02, 0.1, 0.5, 1.0] {
            let rod = CrossFlow::new(q);
            for re in logarithmic(1e-3, 3e5, 5000) {
                let off = rod.coefficient(re) / rod.joined(functions(re), re) - 1.0;
                assert!(off.abs() < 2e-6, "q {q} Re {re}: {off}");
            }
        }
    }

    #[test]
    fn limits_are_the_long_cylinder_and_creeping_flow() {
        for re in logarithmic(0.5, 2e5, 30) {
            assert!((CrossFlow::new(1e-6).coefficient(re) / cylinder::DEFAULT.at(re).value - 1.0).abs() < 2e-3, "{re}");
        }
        for q in [0.05, 0.3, 1.0] {
            let creeping = 8.0 * PI / (1e-4 * (-f64::ln(q) + 0.839 + 0.185 * q + 0.233 * q * q));
            assert!((CrossFlow::new(q).coefficient(1e-4) / creeping - 1.0).abs() < 0.02, "{q}");
        }
        assert_eq!(CrossFlow::new(3.0), CrossFlow::new(1.0));
    }

    /// Which way, and how fast, the drag grows with speed, length and diameter: the bounds of a search rest on it.
    #[test]
    fn drag_grows_with_speed_length_and_diameter() {
        const STEP: f64 = 1.001;
        let power = |now: f64, then: f64| (then / now).ln() / STEP.ln();
        for q in logarithmic(1e-3, 1.0 / STEP, 60) {
            let (here, thicker) = (CrossFlow::new(q), CrossFlow::new(q * STEP));
            for re in logarithmic(1e-4, 2e5, 150) {
                let with_speed = 2.0 + power(here.coefficient(re), here.coefficient(re * STEP));
                assert!((1.0..2.25).contains(&with_speed), "q {q} Re {re}: {with_speed}");
                let with_length = 1.0 - power(here.coefficient(re), thicker.coefficient(re));
                assert!(
                    (LEAST_LENGTH_POWER..GREATEST_LENGTH_POWER).contains(&with_length),
                    "q {q} Re {re}: {with_length}"
                );
                let with_diameter = 1.0 + power(here.coefficient(re), thicker.coefficient(re * STEP));
                assert!(with_diameter > 0.0, "q {q} Re {re}: {with_diameter}");
            }
        }
    }

    #[test]
    fn the_series_meets_the_power() {
        let rod = CrossFlow::new(0.3);
        let mut last = f64::INFINITY;
        for re in logarithmic(0.01, 1e3, 4000) {
            let now = rod.coefficient(re);
            assert!(now < last, "{re}");
            last = now;
        }
    }

    #[test]
    fn turning_is_never_more_than_ideal() {
        assert_eq!(turning_share(0.0, 1.0), 1.0);
        assert!((turning_share(300.0, 1.0) - 0.555).abs() < 1e-12);
        assert_eq!(turning_share(300.0, 0.0), turning_share(300.0, 0.3));
        assert!(turning_share(1000.0, 0.5) < turning_share(100.0, 0.5));
    }
}
