//! Drag build-up: the force of still water on each element of a moving body, summed.
//!
//! Sphere: Cd on its frontal area. Rod: across its axis the drag of a rod in cross flow at the normal speed (independence
//! principle; [`short`]) and, for one with ends of its own, the force of a slant; along it the friction of a laminar
//! boundary layer with transverse curvature, at the full speed, and the pressure drag of its ends ([`axial::Ends`]). Elements
//! do not shelter each other.

use crate::physics::body::{DragElement, DragShape, Rod};
use crate::physics::drag::short::{self, CrossFlow};
use crate::physics::drag::{axial, sphere};
use crate::physics::water::Water;
use std::f64::consts::{FRAC_PI_4, PI};

/// A rod without its place: what its drags depend on, worked out once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slender {
    rod: Rod,
    cross: CrossFlow,
    ends: axial::Ends,
    /// Area of the ends that count, m2.
    end_area: f64,
    /// Area of the force of a slant, m2.
    slant_area: f64,
}

impl Slender {
    pub(super) fn new(rod: &Rod) -> Self {
        let face = FRAC_PI_4 * rod.diameter * rod.diameter;
        Self {
            rod: *rod,
            cross: CrossFlow::new(rod.diameter / rod.span),
            ends: axial::Ends::new(rod.length / rod.diameter),
            end_area: rod.blunt_ends * face,
            // A stretch between others has no nose and no tail.
            slant_area: if rod.blunt_ends > 0.0 { short::SLANT * rod.solidity * face } else { 0.0 },
        }
    }

    fn reynolds(&self, speed: f64, water: &Water) -> f64 {
        speed * self.rod.diameter / water.kinematic_viscosity()
    }

    /// Length, m.
    pub(super) fn length(&self) -> f64 {
        self.rod.length
    }

    /// Force across the axis when all of it moves across at `speed`, m/s, 0 or more, N.
    pub(super) fn normal(&self, speed: f64, water: &Water) -> f64 {
        let reynolds = self.reynolds(speed, water);
        if reynolds < NEARLY_AT_REST {
            return 0.0;
        }
        let mut coefficient = self.cross.coefficient(reynolds);
        if self.rod.sharp {
            coefficient *= (short::SHARP_EDGES.value)(reynolds);
        }
        0.5 * water.density * speed * speed * self.rod.breadth * self.rod.length * coefficient * self.rod.solidity
    }

    /// Force across the axis of motion both across and along it, N: speeds in m/s, 0 or more.
    pub(super) fn slant(&self, across: f64, along: f64, water: &Water) -> f64 {
        water.density * self.slant_area * across * along
    }

    /// Friction of the skin along the axis, N, of a motion at `speed`, of which `along` is along the axis, m/s, 0 or more.
    pub(super) fn skin(&self, speed: f64, along: f64, water: &Water) -> f64 {
        if speed == 0.0 {
            return 0.0;
        }
        axial::friction_force(speed, self.rod.breadth, self.rod.length, water).value * along / speed
    }

    /// Pressure drag of the ends along the axis of the same motion, N.
    pub(super) fn ends(&self, speed: f64, along: f64, water: &Water) -> f64 {
        let reynolds = self.reynolds(speed, water);
        if self.end_area == 0.0 || reynolds < NEARLY_AT_REST {
            return 0.0;
        }
        let sine = (1.0 - (along / speed).powi(2)).max(0.0).sqrt();
        0.5 * water.density * self.end_area * speed * along * self.ends.coefficient(reynolds, sine)
    }

    /// Range of the drag of ends and slant against the motion, N, between two angles of axis and flow, rad, 0 to pi/2.
    ///
    /// Ends: coefficient x cos^2 grows to one angle and falls from there. Slant: sin^2 x cos grows up to tan^2 = 2.
    fn ends_range(&self, speed: f64, (low, high): (f64, f64), water: &Water) -> (f64, f64) {
        let over = |drag: &dyn Fn(f64) -> f64, top: f64| {
            let (a, b) = (drag(low), drag(high));
            (a.min(b), if low < top && top < high { drag(top) } else { a.max(b) })
        };
        let ends = |angle: f64| self.ends(speed, speed * angle.cos(), water) * angle.cos();
        let slant = |angle: f64| {
            let (sine, cosine) = angle.sin_cos();
            self.slant(speed * sine, speed * cosine, water) * sine
        };
        let reynolds = self.reynolds(speed, water);
        let steepest = if reynolds > 0.0 { self.ends.steepest(reynolds).sqrt().asin() } else { 0.0 };
        let (ends, slant) = (over(&ends, steepest), over(&slant, f64::sqrt(2.0).atan()));
        (ends.0 + slant.0, ends.1 + slant.1)
    }
}

/// Reynolds number below which there is no drag worth a figure.
const NEARLY_AT_REST: f64 = 1e-12;

/// What a rod in the plane feels across its axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Across {
    /// Speed of its motion across, m/s, 0 or more.
    pub(super) speed: f64,
    /// Force of cross flow, N.
    pub(super) normal: f64,
    /// Force of the slant, N.
    pub(super) slant: f64,
}

/// A drag element made ready: what depends on its shape alone is worked out once.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ready {
    /// Centre, hook frame, m.
    pub(super) centre: [f64; 2],
    pub(super) kind: Kind,
}

/// The kinds of elements.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Kind {
    /// Of a diameter, m.
    Sphere(f64),
    /// Along an axis in the plane of the hook.
    Slender(Slender, [f64; 2]),
    /// Across that plane.
    Across(Slender),
}

impl Ready {
    /// Of an element.
    #[must_use]
    pub fn new(element: &DragElement) -> Self {
        let kind = match element.shape {
            DragShape::Sphere { diameter } => Kind::Sphere(diameter),
            DragShape::Slender(rod) => Kind::Slender(Slender::new(&rod), rod.axis),
            DragShape::Across { diameter, length, span } => {
                Kind::Across(Slender::new(&Rod { span, ..Rod::round(diameter, length, [0.0; 2]) }))
            }
        };
        Self { centre: element.centre, kind }
    }

    /// Force of the water when it moves at `velocity` (m/s, hook frame) without turning, N: opposes it.
    #[must_use]
    pub fn force(&self, velocity: [f64; 2], water: &Water) -> [f64; 2] {
        self.force_and_parts(velocity, water).0
    }

    /// The same, with what a rod in the plane feels across its axis.
    #[inline]
    pub(super) fn force_and_parts(&self, velocity: [f64; 2], water: &Water) -> ([f64; 2], Option<Across>) {
        let speed = velocity[0].hypot(velocity[1]);
        if speed == 0.0 {
            return ([0.0, 0.0], None);
        }
        let against = |drag: f64| ([-drag * velocity[0] / speed, -drag * velocity[1] / speed], None);
        match &self.kind {
            Kind::Sphere(diameter) => against(sphere_drag(*diameter, speed, water)),
            Kind::Across(rod) => against(rod.normal(speed, water)),
            Kind::Slender(rod, axis) => {
                let along = velocity[0] * axis[0] + velocity[1] * axis[1];
                let across = velocity[1] * axis[0] - velocity[0] * axis[1];
                let normal = rod.normal(across.abs(), water);
                let slant = rod.slant(across.abs(), along.abs(), water);
                let axial = rod.skin(speed, along.abs(), water) + rod.ends(speed, along.abs(), water);
                let (n, a) = (-(normal + slant) * across.signum(), -axial * along.signum());
                let force = [a * axis[0] - n * axis[1], a * axis[1] + n * axis[0]];
                (force, Some(Across { speed: across.abs(), normal, slant }))
            }
        }
    }
}

/// Drag of a sphere, N, at `speed` m/s.
pub(super) fn sphere_drag(diameter: f64, speed: f64, water: &Water) -> f64 {
    let reynolds = speed * diameter / water.kinematic_viscosity();
    if reynolds < NEARLY_AT_REST {
        return 0.0;
    }
    0.5 * water.density * speed * speed * FRAC_PI_4 * diameter * diameter * sphere::coefficient(reynolds)
}

/// Force of the water on one element that moves at `velocity` (m/s, hook frame) through still water, N: opposes it.
#[must_use]
pub fn element_force(element: &DragElement, velocity: [f64; 2], water: &Water) -> [f64; 2] {
    Ready::new(element).force(velocity, water)
}

/// Share of the drag of a body that comes from where a correlation is used outside its range.
#[must_use]
pub fn share_outside_range(elements: &[DragElement], velocity: [f64; 2], water: &Water) -> f64 {
    let speed = velocity[0].hypot(velocity[1]);
    let (mut outside, mut all) = (0.0, 0.0);
    for element in elements {
        let ready = Ready::new(element);
        let force = ready.force(velocity, water);
        let power = -(force[0] * velocity[0] + force[1] * velocity[1]);
        all += power;
        outside += match &ready.kind {
            Kind::Sphere(diameter) => {
                let reynolds = speed * diameter / water.kinematic_viscosity();
                if sphere::DEFAULT.holds_at(reynolds) { 0.0 } else { power }
            }
            Kind::Across(rod) => outside_across(rod, speed, water) * power,
            Kind::Slender(rod, axis) => {
                let along = (velocity[0] * axis[0] + velocity[1] * axis[1]).abs();
                let across = (velocity[1] * axis[0] - velocity[0] * axis[1]).abs();
                let skin = axial::friction_force(speed, rod.rod.breadth, rod.rod.length, water);
                let skin_outside = if skin.in_range { 0.0 } else { rod.skin(speed, along, water) * along };
                outside_across(rod, across, water) * rod.normal(across, water) * across + skin_outside
            }
        };
    }
    if all > 0.0 { outside / all } else { 0.0 }
}

/// 1 where the drag across is used outside its range, else 0.
fn outside_across(rod: &Slender, speed: f64, water: &Water) -> f64 {
    let within = |range: (f64, f64), x: f64| (range.0..=range.1).contains(&x);
    let q = rod.rod.diameter / rod.rod.span;
    let holds = within(short::TRUSTED_REYNOLDS, rod.reynolds(speed, water)) && within(short::TRUSTED_SLENDERNESS, q);
    if holds { 0.0 } else { 1.0 }
}

/// Least and greatest drag of one element against the way it moves, N, at `speed` m/s in any direction
/// (sin beta, -cos beta) of the hook frame with beta between two angles, rad.
#[must_use]
pub fn drag_bounds(element: &DragElement, speed: f64, beta: (f64, f64), water: &Water) -> (f64, f64) {
    let parts = drag_parts(element, speed, beta, water);
    (parts.iter().map(|p| p.0).sum(), parts.iter().map(|p| p.1).sum())
}

/// [`drag_bounds`] in parts: across the axis, friction of the skin, ends with slant. Spheres and rods across the plane have
/// the first only.
///
/// With a the angle between axis and flow the drag of a rod is N(v sin a) sin a + S(v) cos^2 a + E(a) cos^2 a + K sin^2 a cos a.
/// N grows with speed, so the first term grows with a; the second falls; the other two have one greatest value at a
/// known angle. The range of each over an interval of a follows, and their sum bounds the sum, which itself need not be
/// monotone.
#[must_use]
pub fn drag_parts(element: &DragElement, speed: f64, beta: (f64, f64), water: &Water) -> [(f64, f64); 3] {
    match element.shape {
        DragShape::Sphere { .. } | DragShape::Across { .. } => {
            let force = element_force(element, [speed, 0.0], water);
            [(-force[0], -force[0]), (0.0, 0.0), (0.0, 0.0)]
        }
        DragShape::Slender(rod) => {
            let shape = Slender::new(&rod);
            let angles = incidence_range(rod.axis, beta);
            let normal = |a: f64| shape.normal(speed * a.sin(), water) * a.sin();
            let skin = |a: f64| shape.skin(speed, speed * a.cos(), water) * a.cos();
            [
                (normal(angles.0), normal(angles.1)),
                (skin(angles.1), skin(angles.0)),
                shape.ends_range(speed, angles, water),
            ]
        }
    }
}

/// Range of the angle between an axis and the direction (sin beta, -cos beta), 0 to pi/2.
fn incidence_range(axis: [f64; 2], beta: (f64, f64)) -> (f64, f64) {
    let fold = |b: f64| {
        let cosine = axis[0] * b.sin() - axis[1] * b.cos();
        cosine.abs().min(1.0).acos()
    };
    let (a, b) = (fold(beta.0), fold(beta.1));
    let (mut low, mut high) = (a.min(b), a.max(b));
    // Directions along the axis and square to it inside the range.
    let along = axis[0].atan2(-axis[1]);
    for k in -4..=4 {
        let at = along + f64::from(k) * 0.5 * PI;
        if beta.0 < at && at < beta.1 {
            if k % 2 == 0 {
                low = 0.0;
            } else {
                high = 0.5 * PI;
            }
        }
    }
    (low, high)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::Label;

    fn rod(axis: [f64; 2]) -> DragElement {
        let rod = Rod { solidity: 0.8, blunt_ends: 0.5, ..Rod::round(2e-3, 12e-3, axis) };
        DragElement { label: Label::Foam, shape: DragShape::Slender(rod), centre: [0.0, 0.0] }
    }

    #[test]
    fn drag_opposes_the_motion_both_ways() {
        let water = Water::new(10.0, 0.0).unwrap();
        for velocity in [[0.2, 0.1], [-0.2, 0.1], [0.0, -0.3], [0.3, 0.0]] {
            let force = element_force(&rod([0.8, 0.6]), velocity, &water);
            assert!(force[0] * velocity[0] + force[1] * velocity[1] < 0.0);
        }
    }

    #[test]
    fn a_slant_pushes_across_and_a_stretch_without_ends_feels_none() {
        let water = Water::new(10.0, 0.0).unwrap();
        let at = |blunt_ends| {
            let rod = Rod { blunt_ends, ..Rod::round(2e-3, 10e-3, [1.0, 0.0]) };
            let element = DragElement { label: Label::Foam, shape: DragShape::Slender(rod), centre: [0.0, 0.0] };
            element_force(&element, [0.1, 0.1], &water)[1]
        };
        let slant = 1.17 * water.density * FRAC_PI_4 * 4e-6 * 0.01;
        assert!((at(0.0) - at(1.0) - slant).abs() < 1e-15);
    }

    #[test]
    fn only_what_is_outside_its_range_counts_as_that() {
        let water = Water::new(10.0, 0.0).unwrap();
        let share = |v| share_outside_range(&[rod([1.0, 0.0])], v, &water);
        assert_eq!(share([0.0, 0.2]), 0.0);
        assert!(share([0.0, 1e-5]) > 0.99, "creeping");
        assert_eq!(share_outside_range(&[], [0.0, 0.2], &water), 0.0);
    }
}
