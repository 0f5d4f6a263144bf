//! Laws of the hang on a snug knot, against an energy written out here and scanned by brute force.

use super::cases;
use super::hang::{rest, sinking};
use counterpoise::physics::statics::{Hang, Knot, Moments, Tippet, hang};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

const MODULUS: f64 = 1.5e9;

fn snug(diameter: f64) -> Knot {
    Knot::Snug(Tippet { diameter, modulus: MODULUS })
}

/// Height of the weights, and the elastica's 4 sqrt(E I T) (1 - cos(phi/2)), with phi the turn from where the line
/// leaves the eye straight on: up = away from the neck.
fn energy(m: Moments, diameter: f64, neck: f64, beta: f64) -> f64 {
    let stiffness = MODULUS * PI * diameter.powi(4) / 64.0;
    let up = [-beta.sin(), beta.cos()];
    let out = [-neck.cos(), neck.sin()];
    let phi = (up[0] * out[0] + up[1] * out[1]).clamp(-1.0, 1.0).acos();
    m.x * up[0] + m.y * up[1] + 4.0 * (stiffness * m.weight).sqrt() * (1.0 - (0.5 * phi).cos())
}

const STEPS: i32 = 7200;

fn step(i: i32) -> f64 {
    TAU * f64::from(i) / f64::from(STEPS)
}

/// Steps at which a scan sees a well, with its energy and how far it lies below the ridge on the easier way out.
fn wells(m: Moments, diameter: f64, neck: f64) -> Vec<(f64, f64, f64)> {
    let all: Vec<f64> = (0..STEPS).map(|i| energy(m, diameter, neck, step(i))).collect();
    let at = |i: i32| all[i.rem_euclid(STEPS) as usize];
    let bottoms: Vec<i32> = (0..STEPS).filter(|&i| at(i) < at(i - 1) && at(i) <= at(i + 1)).collect();
    let out = |from: i32, way: i32| {
        let mut top = at(from);
        for i in 1..STEPS {
            let next = at(from + way * i);
            if next < at(from) {
                return top - at(from);
            }
            top = top.max(next);
        }
        f64::INFINITY
    };
    bottoms.into_iter().map(|i| (step(i), at(i), out(i, 1).min(out(i, -1)))).collect()
}

fn turn_of(down: [f64; 2]) -> f64 {
    down[0].atan2(-down[1])
}

proptest! {
    #![proptest_config(cases(128))]

    #[test]
    fn the_rest_beats_a_scan_of_all_turns(m in sinking(), d in 0.08e-3..0.35e-3f64, neck in 0.0..1.6f64) {
        let Hang::Taut { rest, other } = hang(m, snug(d), neck) else { return Err(TestCaseError::fail("floats")) };
        let found = energy(m, d, neck, turn_of(rest.down));
        let wells = wells(m, d, neck);
        let least = wells.iter().map(|w| w.1).fold(f64::INFINITY, f64::min);
        let depth = m.magnitude();
        prop_assert!(found <= least + 1e-9 * depth, "{found} {least}");
        // The scan stops within half a step of the bottom.
        prop_assert!(found >= least - 1e-6 * (depth + rest.steadiness), "{found} {least}");
        let held = |share: f64| wells.iter().filter(|w| w.2 > share * depth).count();
        let reported = 1 + usize::from(other.is_some());
        prop_assert!(held(0.013) <= reported && reported <= held(0.007), "{wells:?}");
        if let Some(other) = other {
            let at = turn_of(other.down);
            let near = |w: &(f64, f64, f64)| ((w.0 - at + PI).rem_euclid(TAU) - PI).abs() < 2e-3;
            prop_assert!(wells.iter().any(near), "no well at the second rest");
            prop_assert!(energy(m, d, neck, at) >= found - 1e-12 * depth);
        }
    }

    #[test]
    fn a_thinner_line_is_more_and_more_a_loop(m in sinking(), neck in 0.0..1.6f64) {
        prop_assume!(m.magnitude() > 1e-3 * m.weight);
        let free = rest(m, Knot::Loop, neck);
        let off = |d: f64| {
            let held = rest(m, snug(d), neck);
            (held.down[0] - free.down[0]).hypot(held.down[1] - free.down[1])
        };
        let offs = [0.05e-3, 0.02e-3, 0.01e-3, 0.002e-3].map(off);
        prop_assert!(offs.windows(2).all(|pair| pair[1] <= pair[0] + 1e-9), "{offs:?}");
        prop_assert!(offs[3] < 0.02, "{offs:?}");
    }

    #[test]
    fn a_line_like_a_rod_lines_the_neck_up_with_it(m in sinking(), neck in 0.0..1.5f64) {
        let held = rest(m, snug(5e-3), neck);
        prop_assert!((held.angle - (FRAC_PI_2 - neck)).abs() < 0.05, "{}", held.angle.to_degrees());
    }

    #[test]
    fn the_mirror_image_mirrors_the_neck_too(m in sinking(), d in 0.08e-3..0.35e-3f64, neck in 0.0..1.6f64) {
        let image = Moments { y: -m.y, ..m };
        let (a, b) = (rest(m, snug(d), neck), rest(image, snug(d), -neck));
        prop_assume!(m.y.abs() > 1e-10 && a.down[1].abs() > 1e-6);
        prop_assert!((a.angle - b.angle).abs() < 1e-6, "{} {}", a.angle, b.angle);
        prop_assert_ne!(a.rides, b.rides);
        prop_assert!((a.steadiness / b.steadiness - 1.0).abs() < 1e-4);
    }

    /// The knot adds to what holds the fly or takes from it, and steadiness is the bend of the energy at rest.
    #[test]
    fn steadiness_is_the_curvature_of_the_energy(m in sinking(), d in 0.08e-3..0.35e-3f64, neck in 0.0..1.6f64) {
        let held = rest(m, snug(d), neck);
        let (beta, h) = (turn_of(held.down), 1e-3);
        let e = |b: f64| energy(m, d, neck, b);
        let bend = (e(beta + h) - 2.0 * e(beta) + e(beta - h)) / (h * h);
        prop_assert!((bend - held.steadiness).abs() < 1e-3 * (m.magnitude() + held.steadiness) , "{bend} {}", held.steadiness);
    }
}
