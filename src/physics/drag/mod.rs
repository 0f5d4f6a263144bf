//! Drag coefficients: one correlation is one pure function and one row that says where it comes from and where it holds.

pub mod axial;
pub mod cylinder;
pub mod short;
pub mod sphere;
mod table;

use super::water::Water;

/// One published correlation.
#[derive(Debug, Clone, Copy)]
pub struct Correlation {
    /// Short name, as used in warnings.
    pub name: &'static str,
    /// Author, year, equation, and how the formula was obtained.
    pub source: &'static str,
    /// What it is a function of: `Re`, `d/L`, `L/d` or `xi`.
    pub variable: &'static str,
    /// Where the source holds, lowest and highest value of the variable.
    pub range: (f64, f64),
    /// The bare function. Finite and positive for every Re from 1e-300 to 1e7, in range or not.
    pub value: fn(f64) -> f64,
}

/// A value and whether the correlation holds there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evaluated {
    /// The value, never clamped to the range.
    pub value: f64,
    /// False outside the range of the source: warn.
    pub in_range: bool,
}

/// Reynolds number below which Cd Re is taken at this number, so that rest is not a division by zero.
const NEARLY_AT_REST: f64 = 1e-12;

impl Correlation {
    /// The value at `x`, and whether `x` is inside the range.
    ///
    /// ```
    /// use counterpoise::physics::drag::sphere;
    /// let fast = sphere::BROWN_LAWLER_2003.at(1e6);
    /// assert!(fast.value > 0.0 && !fast.in_range);
    /// ```
    pub fn at(&self, x: f64) -> Evaluated {
        Evaluated { value: (self.value)(x), in_range: self.holds_at(x) }
    }

    /// Whether `x` is inside the range of the source. NaN is not.
    pub fn holds_at(&self, x: f64) -> bool {
        (self.range.0..=self.range.1).contains(&x)
    }

    /// Cd Re at Reynolds number `reynolds`, finite down to rest: 24 for a sphere, small for a cylinder. Drag is
    /// (mu U / 2) (A / d) Cd Re, so a solver can start from U = 0.
    pub fn times_reynolds(&self, reynolds: f64) -> f64 {
        let reynolds = reynolds.max(NEARLY_AT_REST);
        (self.value)(reynolds) * reynolds
    }

    /// Drag on a body moving at `speed` m/s (0 or more), N, and whether the Reynolds number `speed` x `width` / nu is inside the range
    /// or below it at rest. `width` m is the length in Re, `area` m2 the one the coefficient is on.
    pub fn force(&self, speed: f64, width: f64, area: f64, water: &Water) -> Evaluated {
        let reynolds = speed * width / water.kinematic_viscosity();
        let value = 0.5 * water.viscosity * speed * area / width * self.times_reynolds(reynolds);
        Evaluated { value, in_range: speed == 0.0 || self.holds_at(reynolds) }
    }
}

/// Every correlation of this module, defaults first within each kind.
pub fn all() -> impl Iterator<Item = &'static Correlation> {
    let shape_factors = [&cylinder::FINITE_LENGTH, &axial::CURVATURE, &axial::BLUNT_ENDS];
    let short = [&short::VISCOUS, &short::DIP, &short::END_FLOW, &short::SHARP_EDGES];
    sphere::ALL.iter().chain(cylinder::ALL).chain(shape_factors).chain(short)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_value_is_finite_and_positive_at_any_speed() {
        for row in all() {
            for tenth_decades in -3000..=70 {
                let x = 10f64.powf(0.1 * f64::from(tenth_decades));
                let value = (row.value)(x);
                assert!(value.is_finite() && value > 0.0, "{} at {x}: {value}", row.name);
            }
        }
    }

    #[test]
    fn every_row_says_what_it_is() {
        for row in all() {
            assert!(!row.name.is_empty() && row.source.len() > 20 && row.range.0 < row.range.1, "{}", row.name);
            assert!(["Re", "d/L", "L/d", "xi"].contains(&row.variable));
            assert!(row.at(row.range.0).in_range && row.at(row.range.1).in_range);
            assert!(!row.at(row.range.1 * 1.001).in_range && !row.at(f64::NAN).in_range);
        }
    }

    #[test]
    fn drag_is_finite_at_rest_and_grows_with_speed() {
        let water = Water::new(10.0, 0.0).unwrap();
        for row in sphere::ALL.iter().chain(cylinder::ALL) {
            assert!(row.times_reynolds(0.0).is_finite());
            assert_eq!(row.force(0.0, 1e-3, 1e-6, &water), Evaluated { value: 0.0, in_range: true });
            let mut last = 0.0;
            for tenths in -80..=0 {
                let drag = row.force(10f64.powf(0.1 * f64::from(tenths)), 1e-3, 1e-6, &water).value;
                assert!(drag > last, "{} {drag} {last}", row.name);
                last = drag;
            }
        }
    }

    #[test]
    fn force_is_the_usual_half_rho_cd_area_speed_squared() {
        let water = Water::new(20.0, 0.0).unwrap();
        let (speed, d) = (0.3, 4e-3);
        let area = std::f64::consts::FRAC_PI_4 * d * d;
        let cd = sphere::DEFAULT.at(speed * d / water.kinematic_viscosity()).value;
        let drag = sphere::DEFAULT.force(speed, d, area, &water);
        assert!((drag.value / (0.5 * water.density * cd * area * speed * speed) - 1.0).abs() < 1e-14);
        assert!(drag.in_range);
    }
}
