//! Drag build-up: the force of still water on each element of a moving body, summed.
//!
//! Sphere: Cd on its frontal area. Slender element: cross-flow (independence) principle; normal drag from a cylinder
//! correlation at the normal speed, with a factor for finite length; skin friction of a laminar boundary layer with
//! transverse curvature along the axis; pressure drag of blunt ends. Elements do not shadow each other.

use crate::physics::body::{DragElement, DragShape};
use crate::physics::drag::{Correlation, axial, cylinder, sphere};
use crate::physics::warning::Warning;
use crate::physics::water::Water;
use std::f64::consts::{FRAC_PI_4, PI};

/// A quantity of a correlation, the range in which it is trusted, and where it was used.
struct Used {
    correlation: &'static str,
    quantity: &'static str,
    range: (f64, f64),
    value: f64,
}

impl Used {
    fn of(row: &Correlation, value: f64) -> Self {
        Self { correlation: row.name, quantity: row.quantity(), range: row.range, value }
    }

    fn reynolds(row: &Correlation, range: (f64, f64), value: f64) -> Self {
        Self { quantity: "Reynolds number", range, ..Self::of(row, value) }
    }
}

/// Notes each quantity that left its own range.
fn warn<const N: usize>(note: &mut dyn FnMut(Warning), used: [Used; N]) {
    for Used { correlation, quantity, range, value } in used {
        if !(range.0..=range.1).contains(&value) {
            note(Warning::OutsideRange { correlation, quantity, value, range });
        }
    }
}

/// A slender element without its place: what its two drags depend on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Slender {
    pub(super) diameter: f64,
    pub(super) breadth: f64,
    pub(super) length: f64,
    pub(super) solidity: f64,
    pub(super) blunt_ends: f64,
}

impl Slender {
    /// Force across the axis when all of it moves across at `speed`, m/s, 0 or more, N.
    pub(super) fn normal(&self, speed: f64, water: &Water, note: &mut dyn FnMut(Warning)) -> f64 {
        let Self { diameter, breadth, length, solidity, .. } = *self;
        let cross = cylinder::DEFAULT.force(speed, diameter, breadth * length, water);
        let reynolds = speed * diameter / water.kinematic_viscosity();
        let finite = cylinder::finite_length(diameter / length, reynolds);
        if speed > 0.0 {
            let finite = &cylinder::FINITE_LENGTH;
            let used = [
                Used::of(&cylinder::DEFAULT, reynolds),
                Used::of(finite, diameter / length),
                Used::reynolds(finite, cylinder::FINITE_LENGTH_REYNOLDS, reynolds),
            ];
            warn(note, used);
        }
        cross.value * finite.value * solidity
    }

    /// Friction of the skin when it moves along its axis at `speed`, m/s, 0 or more, N.
    pub(super) fn skin(&self, speed: f64, water: &Water, note: &mut dyn FnMut(Warning)) -> f64 {
        let skin = axial::friction_force(speed, self.breadth, self.length, water);
        if speed > 0.0 {
            let along = speed * self.length / water.kinematic_viscosity();
            let xi = axial::curvature_parameter(along, self.length / self.breadth);
            let used = [Used::of(&axial::CURVATURE, xi), Used::reynolds(&axial::CURVATURE, axial::LAMINAR, along)];
            warn(note, used);
        }
        skin.value
    }

    /// Pressure drag of blunt ends at the same motion, N.
    pub(super) fn ends(&self, speed: f64, water: &Water, note: &mut dyn FnMut(Warning)) -> f64 {
        if self.blunt_ends == 0.0 {
            return 0.0;
        }
        if speed > 0.0 {
            let reynolds = speed * self.diameter / water.kinematic_viscosity();
            let used = [
                Used::of(&axial::BLUNT_ENDS, self.length / self.diameter),
                Used::reynolds(&axial::BLUNT_ENDS, axial::BLUNT_ENDS_REYNOLDS, reynolds),
            ];
            warn(note, used);
        }
        let pressure = 0.5 * water.density * speed * speed;
        let area = FRAC_PI_4 * self.diameter * self.diameter;
        self.blunt_ends * pressure * area * axial::BLUNT_ENDS.at(self.length / self.diameter).value
    }
}

/// Share of the other speed below which a component carries about a hundredth of the drag or less.
const SLIGHT: f64 = 0.1;

/// Forces on a slender element along its normal and its axis, N, at the given speeds, m/s, both 0 or more.
fn slender_forces(
    shape: &Slender,
    normal_speed: f64,
    axial_speed: f64,
    water: &Water,
    note: &mut dyn FnMut(Warning),
) -> (f64, f64) {
    // A correlation is worth a warning where it decides: not for the friction of a level rod that sinks broadside.
    let silent: &mut dyn FnMut(Warning) = &mut |_| {};
    if normal_speed < SLIGHT * axial_speed {
        (
            shape.normal(normal_speed, water, silent),
            shape.skin(axial_speed, water, note) + shape.ends(axial_speed, water, note),
        )
    } else if axial_speed < SLIGHT * normal_speed {
        (
            shape.normal(normal_speed, water, note),
            shape.skin(axial_speed, water, silent) + shape.ends(axial_speed, water, silent),
        )
    } else {
        (
            shape.normal(normal_speed, water, note),
            shape.skin(axial_speed, water, note) + shape.ends(axial_speed, water, note),
        )
    }
}

/// Force of the water on one element that moves at `velocity` (m/s, hook frame) through still water, N: opposes it.
/// Correlations used outside their range are noted.
#[must_use]
pub fn element_force(
    element: &DragElement,
    velocity: [f64; 2],
    water: &Water,
    note: &mut dyn FnMut(Warning),
) -> [f64; 2] {
    let speed = velocity[0].hypot(velocity[1]);
    if speed == 0.0 {
        return [0.0, 0.0];
    }
    match element.shape {
        DragShape::Sphere { diameter } => {
            let area = FRAC_PI_4 * diameter * diameter;
            let drag = sphere::DEFAULT.force(speed, diameter, area, water);
            let reynolds = speed * diameter / water.kinematic_viscosity();
            warn(note, [Used::of(&sphere::DEFAULT, reynolds)]);
            [-drag.value * velocity[0] / speed, -drag.value * velocity[1] / speed]
        }
        DragShape::Across { diameter, length } => {
            let shape = Slender { diameter, breadth: diameter, length, solidity: 1.0, blunt_ends: 0.0 };
            let (drag, _) = slender_forces(&shape, speed, 0.0, water, note);
            [-drag * velocity[0] / speed, -drag * velocity[1] / speed]
        }
        DragShape::Slender { diameter, breadth, length, axis, solidity, blunt_ends } => {
            let shape = Slender { diameter, breadth, length, solidity, blunt_ends };
            let along = velocity[0] * axis[0] + velocity[1] * axis[1];
            let across = velocity[1] * axis[0] - velocity[0] * axis[1];
            let (normal, axial) = slender_forces(&shape, across.abs(), along.abs(), water, note);
            let (n, a) = (-normal * across.signum(), -axial * along.signum());
            [a * axis[0] - n * axis[1], a * axis[1] + n * axis[0]]
        }
    }
}

/// Least and greatest drag of one element against the way it moves, N, at `speed` m/s in any direction
/// (sin beta, -cos beta) of the hook frame with beta between two angles, rad.
///
/// Normal and axial drag each grow with their own speed, so normal drag times the sine of incidence grows with incidence
/// and axial drag times its cosine falls: taking each at its own end of the range bounds the sum.
#[must_use]
pub fn drag_bounds(element: &DragElement, speed: f64, beta: (f64, f64), water: &Water) -> (f64, f64) {
    let parts = drag_parts(element, speed, beta, water);
    (parts.iter().map(|p| p.0).sum(), parts.iter().map(|p| p.1).sum())
}

/// [`drag_bounds`] in parts: across the axis, friction of the skin, blunt ends. Spheres and rods across the plane have the
/// first only.
#[must_use]
pub fn drag_parts(element: &DragElement, speed: f64, beta: (f64, f64), water: &Water) -> [(f64, f64); 3] {
    match element.shape {
        DragShape::Sphere { .. } | DragShape::Across { .. } => {
            let force = element_force(element, [speed, 0.0], water, &mut |_| {});
            [(-force[0], -force[0]), (0.0, 0.0), (0.0, 0.0)]
        }
        DragShape::Slender { diameter, breadth, length, axis, solidity, blunt_ends } => {
            let shape = Slender { diameter, breadth, length, solidity, blunt_ends };
            let (low, high) = incidence_range(axis, beta);
            let (across, along) = ((low.sin(), high.sin()), (high.cos(), low.cos()));
            let silent: &mut dyn FnMut(Warning) = &mut |_| {};
            [
                (
                    shape.normal(speed * across.0, water, silent) * across.0,
                    shape.normal(speed * across.1, water, silent) * across.1,
                ),
                (
                    shape.skin(speed * along.0, water, silent) * along.0,
                    shape.skin(speed * along.1, water, silent) * along.1,
                ),
                (
                    shape.ends(speed * along.0, water, silent) * along.0,
                    shape.ends(speed * along.1, water, silent) * along.1,
                ),
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
    use crate::physics::warning::note_worst;

    fn rod(axis: [f64; 2]) -> DragElement {
        DragElement {
            label: Label::Foam,
            shape: DragShape::Slender {
                diameter: 2e-3,
                breadth: 2e-3,
                length: 12e-3,
                axis,
                solidity: 0.8,
                blunt_ends: 0.5,
            },
            centre: [0.0, 0.0],
        }
    }

    #[test]
    fn a_warning_names_the_quantity_that_left_its_range() {
        let water = Water::new(10.0, 0.0).unwrap();
        let said = |shape: DragShape, velocity: [f64; 2]| {
            let mut noted = Vec::new();
            let element = DragElement { shape, ..rod([1.0, 0.0]) };
            let _ = element_force(&element, velocity, &water, &mut |new| note_worst(&mut noted, new));
            let names = noted.into_iter().filter_map(|w| match w {
                Warning::OutsideRange { correlation, quantity, value, range } => {
                    assert!(!(range.0..=range.1).contains(&value), "{correlation} {quantity} {value}");
                    Some((correlation, quantity))
                }
                _ => None,
            });
            names.collect::<Vec<_>>()
        };
        let slender = |diameter: f64, length: f64| DragShape::Slender {
            diameter,
            breadth: diameter,
            length,
            axis: [1.0, 0.0],
            solidity: 1.0,
            blunt_ends: 1.0,
        };
        let finite = cylinder::FINITE_LENGTH.name;
        // Across the flow at Re 1500: stubby, but not slow. And long at Re 8: slow, but not stubby.
        assert_eq!(said(slender(4e-3, 2e-3), [0.0, 0.5]), [(finite, "diameter over length")]);
        assert_eq!(said(slender(0.1e-3, 20e-3), [0.0, 0.1]), [(finite, "Reynolds number")]);
        let ends = axial::BLUNT_ENDS.name;
        let end_on = said(slender(1e-3, 30e-3), [0.3, 0.0]);
        assert!(end_on.contains(&(ends, "length over diameter")) && end_on.contains(&(ends, "Reynolds number")));
    }

    #[test]
    fn drag_opposes_the_motion_both_ways() {
        let water = Water::new(10.0, 0.0).unwrap();
        for velocity in [[0.2, 0.1], [-0.2, 0.1], [0.0, -0.3], [0.3, 0.0]] {
            let force = element_force(&rod([0.8, 0.6]), velocity, &water, &mut |_| {});
            assert!(force[0] * velocity[0] + force[1] * velocity[1] < 0.0);
        }
    }

    #[test]
    fn bounds_hold_at_every_attitude_between() {
        let water = Water::new(10.0, 0.0).unwrap();
        for axis in [[1.0, 0.0], [0.6, -0.8], [0.0, 1.0], [-0.28, 0.96]] {
            for start in [-1.6, -0.4, 0.1, 0.9] {
                let range = (start, start + 0.7);
                let (low, high) = drag_bounds(&rod(axis), 0.2, range, &water);
                for i in 0..=50 {
                    let beta = start + 0.7 * f64::from(i) / 50.0;
                    let down = [beta.sin(), -beta.cos()];
                    let force = element_force(&rod(axis), [0.2 * down[0], 0.2 * down[1]], &water, &mut |_| {});
                    let drag = -(force[0] * down[0] + force[1] * down[1]);
                    assert!(low <= drag * (1.0 + 1e-12) && drag <= high * (1.0 + 1e-12));
                }
            }
        }
    }
}
