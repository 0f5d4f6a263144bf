//! Mass, and the water that has to be set moving with it, about the tie point.
//!
//! For planar motion with velocity (u, w) of the tie point along the hook frame's x and y and turning rate omega
//! (positive from x to y), kinetic energy is half of q . M q with q = (u, w, omega). M is symmetric, 3 x 3; its last row couples
//! surge and heave to pitch whenever the mass is not centred on the tie point.
//!
//! **Fly.** Each load adds its mass at its centroid, with its own radius of gyration.
//!
//! **Water.** A sphere drags half of its own volume of water along. A slender element drags k2 of its volume across
//! its axis and k1 along it, k1 and k2 those of a prolate spheroid of the same length over diameter (1 and 0 for a long
//! one; below a ratio of 1 the values of a sphere are held). Across, that water is spread evenly along the length (strip
//! theory), so turning about the middle meets k2 rho V L^2 / 12.
//!
//! **Water in the brush.** A fuzzy dressing (solidity below 1) lets water through, so no outer flow is attached to it that
//! could push or turn it; it is taken to hold a share of the water inside its outline equal to its solidity, and that
//! water moves with the fly in every direction. A judgement, no source; it touches neither weight nor settled fall.

use crate::physics::added_mass::{self, CYLINDER_ACROSS, prolate_spheroid};
use crate::physics::body::{DragElement, DragShape, Load, Rod};
use std::f64::consts::{FRAC_PI_4, PI};

/// A symmetric 3 x 3 matrix for (u, w, omega); SI: kg, kg m, kg m2.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Inertia {
    /// Rows.
    pub rows: [[f64; 3]; 3],
}

impl Inertia {
    /// Sum of two.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        let mut sum = *self;
        for (row, more) in sum.rows.iter_mut().zip(&other.rows) {
            for (a, b) in row.iter_mut().zip(more) {
                *a += b;
            }
        }
        sum
    }

    /// Impulse along x and y, and its moment about the tie point, of a motion (u, w, omega).
    #[must_use]
    pub fn times(&self, q: [f64; 3]) -> [f64; 3] {
        self.rows.map(|row| row[0] * q[0] + row[1] * q[1] + row[2] * q[2])
    }

    /// Kinetic energy of a motion, J.
    #[must_use]
    pub fn energy(&self, q: [f64; 3]) -> f64 {
        let p = self.times(q);
        0.5 * (p[0] * q[0] + p[1] * q[1] + p[2] * q[2])
    }

    /// The motion q with M q = p. M is positive definite for anything with mass and size; for a massless body 0 is
    /// returned in the directions that have none.
    #[must_use]
    pub fn solve(&self, p: [f64; 3]) -> [f64; 3] {
        // Cholesky: L L^T = M.
        let m = &self.rows;
        let root = |square: f64| if square > 0.0 { square.sqrt() } else { f64::INFINITY };
        let l00 = root(m[0][0]);
        let l10 = m[1][0] / l00;
        let l20 = m[2][0] / l00;
        let l11 = root(m[1][1] - l10 * l10);
        let l21 = (m[2][1] - l20 * l10) / l11;
        let l22 = root(m[2][2] - l20 * l20 - l21 * l21);
        let y0 = p[0] / l00;
        let y1 = (p[1] - l10 * y0) / l11;
        let y2 = (p[2] - l20 * y0 - l21 * y1) / l22;
        let q2 = y2 / l22;
        let q1 = (y1 - l21 * q2) / l11;
        [(y0 - l10 * q1 - l20 * q2) / l00, q1, q2]
    }

    /// A mass tensor (xx, xy, yy), kg, that moves with a point of the hook frame, with a moment of inertia about it.
    fn at_point(tensor: [f64; 3], about_point: f64, at: [f64; 2]) -> Self {
        let [xx, xy, yy] = tensor;
        // Velocity of the point is (u - y omega, w + x omega).
        let (ax, ay) = (-at[1] * xx + at[0] * xy, -at[1] * xy + at[0] * yy);
        let turning = -at[1] * ax + at[0] * ay + about_point;
        Self { rows: [[xx, xy, ax], [xy, yy, ay], [ax, ay, turning]] }
    }

    /// Of a load.
    #[must_use]
    pub fn of_load(load: &Load) -> Self {
        Self::at_point([load.mass, 0.0, load.mass], load.mass * load.gyration_sq, load.centroid)
    }

    /// Water that a drag element pushes aside: of solid elements only. The Munk moment comes from this part alone.
    #[must_use]
    pub fn added(element: &DragElement, water_density: f64) -> Self {
        match element.shape {
            DragShape::Sphere { diameter } => {
                let m = added_mass::SPHERE * water_density * PI / 6.0 * diameter.powi(3);
                Self::at_point([m, 0.0, m], 0.0, element.centre)
            }
            DragShape::Across { diameter, length, .. } => {
                let m = CYLINDER_ACROSS * water_density * FRAC_PI_4 * diameter * diameter * length;
                Self::at_point([m, 0.0, m], 0.0, element.centre)
            }
            DragShape::Slender(Rod { solidity, .. }) if solidity < 1.0 => Self::default(),
            DragShape::Slender(rod) => {
                let Rod { length, axis, .. } = rod;
                let (along, across) = pushed(&rod, water_density);
                let [ax, ay] = axis;
                let tensor = [
                    along * ax * ax + across * ay * ay,
                    (along - across) * ax * ay,
                    along * ay * ay + across * ax * ax,
                ];
                Self::at_point(tensor, across * length * length / 12.0, element.centre)
            }
        }
    }

    /// Water that a fuzzy element holds inside its outline.
    #[must_use]
    pub fn held(element: &DragElement, water_density: f64) -> Self {
        match element.shape {
            DragShape::Slender(Rod { diameter, length, solidity, .. }) if solidity < 1.0 => {
                let m = solidity * water_density * FRAC_PI_4 * diameter * diameter * length;
                Self::at_point([m, 0.0, m], m * length * length / 12.0, element.centre)
            }
            DragShape::Slender(_) | DragShape::Sphere { .. } | DragShape::Across { .. } => Self::default(),
        }
    }
}

/// Water that a solid rod pushes aside along its axis and across it, kg.
fn pushed(rod: &Rod, water_density: f64) -> (f64, f64) {
    let Rod { diameter, breadth, length, .. } = *rod;
    // Where the middle belongs to another element only the ring around it counts: pi/4 (D^2 - (D - b)^2).
    let volume = FRAC_PI_4 * breadth * (2.0 * diameter - breadth) * length;
    let (k1, k2) = slender_coefficients(length / diameter);
    (k1 * water_density * volume, k2 * water_density * volume)
}

/// What Munk's moment of a rod is in proportion to, kg: water pushed aside across less along. 0 for a brush.
pub(super) fn munk_mass(rod: &Rod, water_density: f64) -> f64 {
    if rod.solidity < 1.0 {
        return 0.0;
    }
    let (along, across) = pushed(rod, water_density);
    across - along
}

/// k1 along and k2 across, of the displaced mass.
fn slender_coefficients(length_over_diameter: f64) -> (f64, f64) {
    prolate_spheroid(length_over_diameter.max(1.0))
        .map_or((0.0, CYLINDER_ACROSS), |spheroid| (spheroid.axial, spheroid.lateral))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::Label;

    fn rod(length: f64, axis: [f64; 2], centre: [f64; 2]) -> DragElement {
        DragElement { label: Label::Foam, shape: DragShape::Slender(Rod::round(2e-3, length, axis)), centre }
    }

    #[test]
    fn one_long_rod_is_its_two_halves() {
        // Slender enough that the ends do not tell.
        let axis = [0.8, 0.6];
        let whole = Inertia::added(&rod(2.0, axis, [0.0, 0.0]), 1000.0);
        let halves = Inertia::added(&rod(1.0, axis, [0.4, 0.3]), 1000.0)
            .plus(&Inertia::added(&rod(1.0, axis, [-0.4, -0.3]), 1000.0));
        for (a, b) in whole.rows.iter().flatten().zip(halves.rows.iter().flatten()) {
            assert!((a - b).abs() < 1e-4 * whole.rows[2][2].max(1e-3), "{a} {b}");
        }
    }

    #[test]
    fn energy_does_not_depend_on_where_the_tie_point_is() {
        // The same motion described about a point 5 mm aft: q' = (u, w + 5 mm omega, omega).
        let here = Inertia::added(&rod(12e-3, [0.6, 0.8], [4e-3, -1e-3]), 1000.0);
        let there = Inertia::added(&rod(12e-3, [0.6, 0.8], [-1e-3, -1e-3]), 1000.0);
        let (u, w, omega) = (0.1, -0.3, 20.0);
        let (a, b) = (here.energy([u, w, omega]), there.energy([u, w + 5e-3 * omega, omega]));
        assert!((a / b - 1.0).abs() < 1e-12);
    }

    #[test]
    fn solve_undoes_times() {
        let load = Load { label: Label::Bead, mass: 5e-4, volume: 0.0, centroid: [8e-3, -2e-3], gyration_sq: 1e-6 };
        let m = Inertia::of_load(&load).plus(&Inertia::added(&rod(12e-3, [0.6, 0.8], [4e-3, -1e-3]), 1000.0));
        let q = [0.3, -0.2, 11.0];
        for (a, b) in m.solve(m.times(q)).iter().zip(&q) {
            assert!((a / b - 1.0).abs() < 1e-10);
        }
        assert_eq!(Inertia::default().solve([1.0, 1.0, 1.0]), [0.0; 3], "nothing has no motion");
    }

    #[test]
    fn a_brush_holds_its_solid_share_and_pushes_nothing() {
        let mut brush = rod(20e-3, [1.0, 0.0], [0.0, 0.0]);
        assert_eq!(Inertia::held(&brush, 1000.0), Inertia::default());
        let DragShape::Slender(rod) = &mut brush.shape else { unreachable!() };
        rod.solidity = 0.4;
        let volume = FRAC_PI_4 * 4e-6 * 20e-3;
        assert!((Inertia::held(&brush, 1000.0).rows[0][0] / (400.0 * volume) - 1.0).abs() < 1e-12);
        assert_eq!(Inertia::added(&brush, 1000.0), Inertia::default());
    }
}
