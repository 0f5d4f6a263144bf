//! Worked problems of hinged and floating bodies, through our loads and moments.
//!
//! A fly is always wholly under water. Where a body of the book stands out of it, the water that its wet part displaces is a
//! load of its own, and how much of it is wet is found here with our bracketed root.

use super::{Row, rows};
use counterpoise::numeric::bracketed_root;
use counterpoise::physics::GRAVITY;
use counterpoise::physics::body::{Body, Label, Load};
use counterpoise::physics::statics::{Hang, Knot, Moments, hang};

const TABLE: &str = include_str!("data/statics.csv");

#[test]
fn worked_problems_come_out_as_printed() {
    for row in rows(TABLE) {
        match row.text("id") {
            "white_2_120" => row.assert_printed(hinged_beam_deg(), 0.05),
            "white_2_114" => weighted_rod(&row),
            "white_2_113" => row.assert_printed(spar_buoy_lbf(), 0.05),
            "plank_45" => row.assert_value(plank_deg(), 1e-9),
            "log_stability" => row.assert_printed(log_that_rolls_over(), 0.51e-6),
            "mit_206_r2_p1" => spar_from_the_bottom(&row),
            other => panic!("no check for {other}"),
        }
    }
}

/// Water of the book, 9790 N/m3, as a density under our gravity.
const WATER: f64 = 9790.0 / GRAVITY;

fn load(mass: f64, volume: f64, x: f64) -> Load {
    Load { label: Label::Hook, mass, volume, centroid: [x, 0.0], gyration_sq: 0.0 }
}

fn moments(loads: Vec<Load>, water: f64) -> Moments {
    Body { loads, elements: Vec::new() }.moments(water)
}

/// White 2.120: a beam of 3 m and specific gravity 0.65 hinged 1 m above the water; its angle to the horizontal.
fn hinged_beam_deg() -> f64 {
    let (length, area, height) = (3.0, 0.01, 1.0);
    let beam = load(0.65 * WATER * area * length, 0.0, 0.5 * length);
    let turning = |wet: f64| moments(vec![beam, load(0.0, area * wet, length - 0.5 * wet)], WATER).x;
    let wet = bracketed_root(turning, 0.1, length - height, 1e-12).unwrap();
    assert!((wet - 1.225).abs() < 0.0005, "{wet} m wet, 1.225 m in the book");
    (height / (length - wet)).asin().to_degrees()
}

/// White 2.114: a rod with lead at its end, under water, hinged at the other end, rests at 30 degrees. Nothing turns it, so it
/// would rest at any angle: the moment vector is nil.
fn weighted_rod(row: &Row) {
    let (length, area) = (8.0, std::f64::consts::FRAC_PI_4 * 0.04 * 0.04);
    let hung = |gravity: f64| {
        let volume = area * length;
        moments(
            vec![load(gravity * WATER * volume, volume, 0.5 * length), load(2.0, 2.0 / (11.4 * WATER), length)],
            WATER,
        )
    };
    let gravity = bracketed_root(|sg| hung(sg).x, 0.1, 1.0, 0.0).unwrap();
    row.assert_printed(gravity, 0.00051);
    let balanced = hung(gravity);
    assert!(balanced.magnitude() < 1e-12 * balanced.weight.abs() * length);
    // The rod lifts more than the lead weighs: cut loose it would rise, so on a line it floats.
    assert!(balanced.weight < 0.0 && hang(balanced, Knot::Loop, 0.0) == Hang::Floats);
    // A little heavier or lighter, and it points all the way down or up.
    assert!(hung(gravity + 0.01).x > 0.0 && hung(gravity - 0.01).x < 0.0);
}

/// White 2.113: steel that keeps a spar of maple upright with 18 in of it out of the sea, lbf.
fn spar_buoy_lbf() -> f64 {
    const POUND: f64 = 0.453_592_37;
    const FOOT: f64 = 0.3048;
    let fresh = 62.4 * POUND / FOOT.powi(3);
    let sea = 1.025 * fresh;
    let section = (FOOT / 6.0).powi(2);
    let wood = load(0.6 * fresh * section * 10.0 * FOOT, section * 8.5 * FOOT, 0.0);
    let steel = |mass: f64| load(mass, mass / (7.85 * fresh), 0.0);
    let mass = bracketed_root(|m| moments(vec![wood, steel(m)], sea).weight, 0.0, 100.0, 0.0).unwrap();
    mass / POUND
}

/// A plank of 1 m, half as dense as water, hinged at the bottom of a tank filled to 0.5 m: its angle to the vertical.
fn plank_deg() -> f64 {
    let (depth, length) = (0.5_f64, 1.0);
    let plank = load(0.5 * WATER * length, 0.0, 0.5 * length);
    let turning = |wet: f64| moments(vec![plank, load(0.0, wet, 0.5 * wet)], WATER).x;
    let wet = bracketed_root(turning, 0.1, length, 0.0).unwrap();
    (depth / wet).acos().to_degrees()
}

/// A spar hinged at a depth h with a weight on its dry end: sin^2 of its angle to the horizontal against
/// rho g A h^2 / (rho0 g A l^2 + 2 W l), for several spars.
fn spar_from_the_bottom(row: &Row) {
    for (density, length, area, depth, weight) in
        [(500.0, 2.0, 0.01, 0.9, 10.0), (700.0, 1.5, 0.004, 0.6, 2.0), (200.0, 3.0, 0.02, 1.1, 150.0)]
    {
        let spar = load(density * area * length, 0.0, 0.5 * length);
        let turning = |wet: f64| {
            moments(vec![spar, load(weight / GRAVITY, 0.0, length), load(0.0, area * wet, 0.5 * wet)], WATER).x
        };
        let wet = bracketed_root(turning, 1e-6, 10.0 * length, 0.0).unwrap();
        let formula = WATER * GRAVITY * area * depth * depth
            / (density * GRAVITY * area * length * length + 2.0 * weight * length);
        assert!(wet < length && formula < 1.0, "a case in which the spar stands out of the water, aslant");
        row.assert_value((depth / wet).powi(2) / formula, 1e-12);
    }
}

/// Density ratio above which a square log no longer floats with its sides upright: where the moment that rights a small
/// tilt vanishes.
fn log_that_rolls_over() -> f64 {
    let righting = |ratio: f64| {
        const TILT: f64 = 1e-3;
        let area_below = |level: f64| wet_square(TILT, level).0;
        let level = bracketed_root(|y| area_below(y) - ratio, -1.0, 1.0, 0.0).unwrap();
        let (area, x) = wet_square(TILT, level);
        // Weight at the middle, displaced water at its own place: what is left turns the log back where it is negative.
        moments(vec![load(ratio * WATER, 0.0, 0.0), load(0.0, area, x)], WATER).x
    };
    bracketed_root(righting, 0.1, 0.4, 0.0).unwrap()
}

/// Area of a unit square, tilted about its middle, below a level, and the x of that area's centroid.
fn wet_square(tilt: f64, level: f64) -> (f64, f64) {
    let (sin, cos) = tilt.sin_cos();
    let corners =
        [[-0.5, -0.5], [0.5, -0.5], [0.5, 0.5], [-0.5, 0.5]].map(|[x, y]| [x * cos - y * sin, x * sin + y * cos]);
    let mut wet = Vec::new();
    for (i, a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % 4];
        if a[1] <= level {
            wet.push(*a);
        }
        if (a[1] <= level) != (b[1] <= level) {
            let t = (level - a[1]) / (b[1] - a[1]);
            wet.push([a[0] + t * (b[0] - a[0]), level]);
        }
    }
    let (mut area, mut moment) = (0.0, 0.0);
    for (i, a) in wet.iter().enumerate() {
        let b = wet[(i + 1) % wet.len()];
        let cross = a[0] * b[1] - b[0] * a[1];
        area += 0.5 * cross;
        moment += cross * (a[0] + b[0]) / 6.0;
    }
    (area, if area > 0.0 { moment / area } else { 0.0 })
}
