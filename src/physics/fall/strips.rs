//! Drag on a body that moves and turns: the build-up of [`crate::physics::build_up`] strip by strip.
//!
//! Where the body turns, each strip of a slender element meets the water at its own normal speed, v_n + omega s with s
//! from the middle. Its drag per length is that of the whole element at that speed over its length. The integral is
//! taken by Gauss's rule of three points on each side of the strip that stands still. Along its axis, and at a slant, an
//! element moves as its middle does. Spheres and rings move as points; their drag against spinning on the spot is left
//! out.

use super::Factors;
use crate::physics::body::DragElement;
use crate::physics::build_up::{Kind, Ready, Slender};
use crate::physics::water::Water;

/// Gauss's rule of three points on [-1, 1]: points and weights.
const GAUSS: [(f64, f64); 3] =
    [(-0.774_596_669_241_483_4, 5.0 / 9.0), (0.0, 8.0 / 9.0), (0.774_596_669_241_483_4, 5.0 / 9.0)];

/// Force (N) along x and y and moment about the tie point (N m, positive from x to y) of the water on one element of a
/// body that moves with (u, w, omega).
#[must_use]
pub fn drag(element: &DragElement, q: [f64; 3], water: &Water, factors: &Factors) -> [f64; 3] {
    ready_drag(&Ready::new(element), q, water, factors)
}

/// The same of an element made ready.
pub(super) fn ready_drag(element: &Ready, q: [f64; 3], water: &Water, factors: &Factors) -> [f64; 3] {
    let [x, y] = element.centre;
    let velocity = [q[0] - y * q[2], q[1] + x * q[2]];
    let scaled = |force: [f64; 2], factor: f64| [factor * force[0], factor * force[1]];
    let (force, about_centre) = match &element.kind {
        Kind::Sphere(_) => (scaled(element.force(velocity, water), factors.sphere), 0.0),
        Kind::Across(_) => (scaled(element.force(velocity, water), factors.across), 0.0),
        Kind::Slender(rod, axis) => {
            let along = velocity[0] * axis[0] + velocity[1] * axis[1];
            let across = velocity[1] * axis[0] - velocity[0] * axis[1];
            let speed = along.hypot(across);
            let (normal, turning) = across_strips(rod, across, q[2], water);
            let slant = factors.slant * rod.slant(across.abs(), along.abs(), water) * across.signum();
            let n = -factors.across * normal - slant;
            let axial = factors.along * rod.skin(speed, along.abs(), water)
                + factors.ends * rod.ends(speed, along.abs(), water);
            let a = if along == 0.0 { 0.0 } else { -axial * along.signum() };
            ([a * axis[0] - n * axis[1], a * axis[1] + n * axis[0]], -factors.across * turning)
        }
    };
    [force[0], force[1], x * force[1] - y * force[0] + about_centre]
}

/// Sum over strips of the drag against the normal speed v + omega s, N, and of its moment about the middle, N m.
fn across_strips(shape: &Slender, v: f64, omega: f64, water: &Water) -> (f64, f64) {
    let at = |speed: f64| if speed == 0.0 { 0.0 } else { shape.normal(speed.abs(), water) * speed.signum() };
    if omega == 0.0 {
        return (at(v), 0.0);
    }
    let half = 0.5 * shape.length();
    let still = (-v / omega).clamp(-half, half);
    let (mut force, mut moment) = (0.0, 0.0);
    for (from, to) in [(-half, still), (still, half)] {
        let (middle, reach) = (0.5 * (from + to), 0.5 * (to - from));
        if reach <= 0.0 {
            continue;
        }
        for (point, weight) in GAUSS {
            let s = middle + reach * point;
            let share = at(v + omega * s) * weight * reach / shape.length();
            force += share;
            moment += share * s;
        }
    }
    (force, moment)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::{DragShape, Label, Rod};
    use crate::physics::build_up::element_force;

    fn rod(length: f64, axis: [f64; 2], centre: [f64; 2]) -> DragElement {
        DragElement {
            label: Label::Foam,
            shape: DragShape::Slender(Rod { solidity: 0.7, blunt_ends: 0.5, ..Rod::round(2e-3, length, axis) }),
            centre,
        }
    }

    fn plain(element: &DragElement, q: [f64; 3], water: &Water) -> [f64; 3] {
        drag(element, q, water, &Factors::NONE)
    }

    #[test]
    fn without_turning_it_is_the_build_up() {
        let water = Water::new(10.0, 0.0).unwrap();
        let element = rod(12e-3, [0.6, 0.8], [3e-3, -2e-3]);
        for v in [[0.2, 0.1], [-0.2, 0.1], [0.0, -0.3], [0.12, 0.16]] {
            let [x, y, moment] = plain(&element, [v[0], v[1], 0.0], &water);
            let [fx, fy] = element_force(&element, v, &water);
            assert!((x - fx).hypot(y - fy) < 1e-14 * fx.hypot(fy));
            assert!((moment - (3e-3 * fy + 2e-3 * fx)).abs() < 1e-18);
        }
    }

    #[test]
    fn three_points_are_enough() {
        // Against 2000 strips of the midpoint rule, turning about the end, about the middle, and in between.
        let water = Water::new(10.0, 0.0).unwrap();
        let shape = Slender::new(&Rod::round(2e-3, 12e-3, [1.0, 0.0]));
        let omega = 40.0;
        for v in [0.0, 0.05, 0.24, 0.5] {
            let (force, moment) = across_strips(&shape, v, omega, &water);
            let (mut f, mut m) = (0.0, 0.0);
            for i in 0..2000 {
                let s = 12e-3 * ((f64::from(i) + 0.5) / 2000.0 - 0.5);
                let speed = v + omega * s;
                let share = shape.normal(speed.abs(), &water) * speed.signum() / 2000.0;
                f += share;
                m += share * s;
            }
            assert!((force - f).abs() < 2e-3 * f.abs().max(1e-6), "{v}: {force} {f}");
            assert!((moment / m - 1.0).abs() < 5e-3, "{v}: {moment} {m}");
        }
    }

    #[test]
    fn drag_takes_energy_from_every_motion() {
        let water = Water::new(10.0, 0.0).unwrap();
        let element = rod(12e-3, [0.28, 0.96], [7e-3, 1e-3]);
        for q in [[0.1, 0.2, 30.0], [-0.1, 0.0, -30.0], [0.0, 0.0, 5.0], [0.3, -0.2, -60.0]] {
            let [x, y, n] = plain(&element, q, &water);
            assert!(x * q[0] + y * q[1] + n * q[2] < 0.0);
        }
    }
}
