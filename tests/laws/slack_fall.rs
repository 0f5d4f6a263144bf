//! A fly on a slack line: limits that can be worked out otherwise, and laws of mechanics that hold for every body.

use super::cases;
use counterpoise::physics::body::{Body, DragElement, DragShape, Label, Load, Rod};
use counterpoise::physics::fall::{
    Course, Factors, Fall, Settled, Slack, drag, from_rest, lowered_countdown, slack_countdown, stroke,
};
use counterpoise::physics::lowered::lowered;
use counterpoise::physics::sinking::Sinking;
use counterpoise::physics::statics::{Knot, hang};
use counterpoise::physics::terminal::sphere_terminal_velocity;
use counterpoise::physics::{GRAVITY, Water};
use proptest::prelude::*;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

fn water() -> Water {
    Water::new(12.0, 0.0).unwrap()
}

fn ball(diameter: f64, density: f64, at: [f64; 2]) -> Body {
    let volume = PI / 6.0 * diameter.powi(3);
    Body {
        loads: vec![Load {
            label: Label::Bead,
            mass: density * volume,
            volume,
            centroid: at,
            gyration_sq: 0.1 * diameter * diameter,
        }],
        elements: vec![DragElement { label: Label::Bead, shape: DragShape::Sphere { diameter }, centre: at }],
    }
}

fn rod(diameter: f64, length: f64, density: f64, axis: [f64; 2], centre: [f64; 2]) -> Body {
    let volume = PI / 4.0 * diameter * diameter * length;
    let shape = DragShape::Slender(Rod { blunt_ends: 1.0, ..Rod::round(diameter, length, axis) });
    Body {
        loads: vec![Load {
            label: Label::Foam,
            mass: density * volume,
            volume,
            centroid: centre,
            gyration_sq: length * length / 12.0,
        }],
        elements: vec![DragElement { label: Label::Foam, shape, centre }],
    }
}

fn both(a: Body, b: Body) -> Body {
    Body { loads: [a.loads, b.loads].concat(), elements: [a.elements, b.elements].concat() }
}

fn stable(body: &Body, water: &Water) -> Vec<Settled> {
    let sinking = Sinking::firm(body.clone());
    let fall = Fall::new(&sinking, water);
    fall.settled(&fall.medium(0.0), 0.0).into_iter().filter(Settled::stable).collect()
}

#[test]
fn a_bare_bead_falls_as_a_sphere() {
    let water = water();
    for (diameter, density) in [(4e-3, 17_500.0), (3e-3, 7_850.0), (5e-3, 40.0)] {
        let sphere = sphere_terminal_velocity(diameter, density, &water).unwrap();
        for at in [[0.0, 0.0], [6e-3, -1e-3]] {
            let sinking = Sinking::firm(ball(diameter, density, at));
            let fall = Fall::new(&sinking, &water);
            let found = from_rest(&fall, &fall.medium(0.0), 0.3).unwrap();
            assert_eq!(found.course, Course::Settles);
            assert!((found.sink_rate / sphere.speed - 1.0).abs() < 1e-6, "{} {}", found.sink_rate, sphere.speed);
            assert!(found.glide.abs() < 1e-6 * sphere.speed.abs());
            assert!((found.attitude - 0.3).abs() < 1e-6, "it has no reason to turn");
        }
    }
}

#[test]
fn a_bead_on_a_slack_line_takes_the_time_of_the_sphere_equation() {
    // v' = ((s - 1) g - drag) / (s + 1/2), by small midpoint steps.
    let water = water();
    let (diameter, density) = (4e-3, 8_500.0);
    let sinking = Sinking::firm(ball(diameter, density, [0.0, 3e-3]));
    let fall = Fall::new(&sinking, &water);
    let depths = [0.02, 0.5, 2.0];
    let slack = slack_countdown(&fall, PI, &depths).unwrap();
    let tight = lowered_countdown(&fall, (Knot::Loop, 0.0), &depths).unwrap();
    let ratio = density / water.density;
    let nu = water.kinematic_viscosity();
    let rate = |v: f64| {
        let drag = counterpoise::physics::drag::sphere::DEFAULT.times_reynolds(v * diameter / nu);
        ((ratio - 1.0) * GRAVITY - 0.75 * drag * nu * v / (diameter * diameter)) / (ratio + 0.5)
    };
    let (mut v, mut z, mut t, h) = (0.0, 0.0, 0.0, 1e-5);
    for (i, depth) in depths.into_iter().enumerate() {
        while z < depth {
            let middle = v + 0.5 * h * rate(v);
            v += h * rate(middle);
            z += h * middle;
            t += h;
        }
        for ours in [slack.passings[i].unwrap(), tight.passings[i].unwrap()] {
            assert!((ours.time / t - 1.0).abs() < 1e-3, "{depth} m: {} {t}", ours.time);
            assert!((ours.speed / v - 1.0).abs() < 2e-3);
        }
    }
}

#[test]
fn a_long_uniform_cylinder_settles_broadside() {
    let water = water();
    for density in [1_300.0, 2_700.0, 300.0] {
        for axis in [[1.0, 0.0], [0.6, 0.8]] {
            let found = stable(&rod(1e-3, 40e-3, density, axis, [5e-3, 0.0]), &water);
            assert!(!found.is_empty());
            for s in found {
                let down = [s.beta.sin(), -s.beta.cos()];
                let along = down[0] * axis[0] + down[1] * axis[1];
                assert!(along.abs() < 1e-3, "axis level: {along}");
                assert!(s.glide().abs() < 1e-3 * s.sink_rate().abs());
            }
        }
    }
}

#[test]
fn a_nose_weighted_slender_body_settles_nose_down() {
    let water = water();
    let arrow = both(rod(1e-3, 30e-3, 1_100.0, [1.0, 0.0], [15e-3, 0.0]), ball(4e-3, 17_500.0, [0.0, 0.0]));
    let sinking = Sinking::firm(arrow);
    let fall = Fall::new(&sinking, &water);
    for start in [0.0, 1.2, PI, -2.0] {
        let found = from_rest(&fall, &fall.medium(0.0), start).unwrap();
        assert_eq!(found.course, Course::Settles);
        assert!(found.attitude < -80f64.to_radians(), "{}", found.attitude.to_degrees());
    }
    // Lighter than water, with the ball as its only lift, it rises nose up.
    let float = both(rod(1e-3, 30e-3, 1_000.0, [1.0, 0.0], [15e-3, 0.0]), ball(4e-3, 100.0, [0.0, 0.0]));
    let sinking = Sinking::firm(float);
    let fall = Fall::new(&sinking, &water);
    let found = from_rest(&fall, &fall.medium(0.0), 0.4).unwrap();
    assert!(found.sink_rate < 0.0 && found.attitude > 80f64.to_radians(), "{found:?}");
}

#[test]
fn a_compact_body_sinks_alike_on_a_slack_and_a_tight_line() {
    let water = water();
    // A ball hung by a short stalk of no drag: the line is over its middle.
    let body = ball(4e-3, 11_000.0, [1e-3, 3e-3]);
    let moments = body.moments(water.density);
    let tight = lowered(&body, moments.weight, &hang(moments, Knot::Loop, 0.0), &water).0.sink_rate;
    let sinking = Sinking::firm(body);
    let fall = Fall::new(&sinking, &water);
    let hanging = hang(moments, Knot::Loop, 0.0).rest().unwrap().beta();
    let slack = from_rest(&fall, &fall.medium(0.0), hanging).unwrap();
    assert!((slack.sink_rate / tight - 1.0).abs() < 1e-6, "{} {tight}", slack.sink_rate);
}

#[test]
fn a_stroke_by_drop_and_one_by_time_are_the_same_stroke() {
    let water = water();
    let body = both(rod(1e-3, 25e-3, 1_200.0, [1.0, 0.0], [14e-3, 0.0]), ball(3e-3, 17_500.0, [5e-3, 1e-3]));
    let sinking = Sinking::firm(body);
    let fall = Fall::new(&sinking, &water);
    let medium = fall.medium(0.0);
    let rest = *hang(medium.moments, Knot::Loop, 0.0).rest().unwrap();
    let knot = (Knot::Loop, 0.0);
    let by_time = stroke(&fall, &medium, rest.beta(), knot, Slack::Time(0.3), 0.09).unwrap();
    let by_drop = stroke(&fall, &medium, rest.beta(), knot, Slack::Drop(by_time.drop), 0.09).unwrap();
    assert!((by_drop.slack_time / 0.3 - 1.0).abs() < 1e-5, "{by_drop:?}");
    assert!((by_drop.dive - by_time.dive).abs() < 1e-4);
    assert!((by_drop.recovery.unwrap() / by_time.recovery.unwrap() - 1.0).abs() < 1e-3);
    assert!(by_time.dive > 0.0, "weight ahead of the middle: the nose drops");
    // A fly that hangs where it falls does not dive.
    let level = ball(4e-3, 17_500.0, [0.0, 2e-3]);
    let sinking = Sinking::firm(level);
    let fall = Fall::new(&sinking, &water);
    let still = stroke(&fall, &fall.medium(0.0), PI, knot, Slack::Time(0.3), 0.09).unwrap();
    assert!(still.dive.abs() < 1e-6 && still.recovery == Some(0.0));
}

/// Steps of the classical Runge-Kutta rule: a second route through the same equations.
fn plain_history(fall: &Fall, beta: f64, duration: f64) -> [f64; 6] {
    let medium = fall.medium(0.0);
    let rate = |y: &[f64; 6]| {
        let a = fall.accelerations(&medium, [y[0], y[1], y[2]], y[3]);
        let (sin, cos) = y[3].sin_cos();
        [a[0], a[1], a[2], -y[2], y[0] * sin - y[1] * cos, y[0] * cos + y[1] * sin]
    };
    let (mut y, h) = ([0.0, 0.0, 0.0, beta, 0.0, 0.0], 2e-4);
    for _ in 0..(duration / h).round() as usize {
        let shift = |k: &[f64; 6], f: f64| -> [f64; 6] { std::array::from_fn(|i| y[i] + f * k[i]) };
        let k1 = rate(&y);
        let k2 = rate(&shift(&k1, 0.5 * h));
        let k3 = rate(&shift(&k2, 0.5 * h));
        let k4 = rate(&shift(&k3, h));
        y = std::array::from_fn(|i| y[i] + h / 6.0 * (k1[i] + 2.0 * k2[i] + 2.0 * k3[i] + k4[i]));
    }
    y
}

#[test]
fn the_library_integrator_and_a_plain_one_agree() {
    let water = water();
    let body = both(rod(2e-3, 20e-3, 1_150.0, [1.0, 0.0], [14e-3, -1e-3]), ball(3e-3, 15_000.0, [4e-3, 1e-3]));
    let sinking = Sinking::firm(body);
    let fall = Fall::new(&sinking, &water);
    let medium = fall.medium(0.0);
    let end = plain_history(&fall, 0.9, 0.25);
    let ours = stroke(&fall, &medium, 0.9, (Knot::Loop, 0.0), Slack::Time(0.25), 0.05).unwrap();
    assert!((ours.drop / end[4] - 1.0).abs() < 1e-4, "{} {}", ours.drop, end[4]);
    // Long after, both have come to the settled fall that was found as a root.
    let end = plain_history(&fall, 0.9, 6.0);
    let settled = from_rest(&fall, &medium, 0.9).unwrap().reached.unwrap();
    assert!((end[0] - settled.velocity[0]).hypot(end[1] - settled.velocity[1]) < 1e-4);
    assert!(((end[3] - settled.beta + PI).rem_euclid(TAU) - PI).abs() < 1e-3);
}

#[test]
fn steady_parts_of_a_countdown_agree_with_integration_all_the_way() {
    use counterpoise::physics::sinking::{Gas, Squeeze};
    let water = water();
    let mut sinking = Sinking::firm(both(
        rod(1.5e-3, 25e-3, 1_150.0, [1.0, 0.0], [14e-3, -1e-3]),
        ball(3e-3, 15_000.0, [4e-3, 1e-3]),
    ));
    let load = Load { label: Label::Foam, mass: 0.0, volume: 4e-8, centroid: [20e-3, -2e-3], gyration_sq: 0.0 };
    sinking.gas.push(Gas { load, squeeze: Squeeze { collapse_pressure: 0.0, relative_density: 0.03 } });
    let fall = Fall::new(&sinking, &water);
    let beta = hang(fall.medium(0.0).moments, Knot::Loop, 0.0).rest().unwrap().beta();
    let count = slack_countdown(&fall, beta, &[2.0, 4.0]).unwrap();
    assert!(count.settles);
    // Integration all the way, by small fixed steps with the medium of each depth.
    let rate = |y: &[f64; 6]| {
        let a = fall.accelerations(&fall.medium(y[4]), [y[0], y[1], y[2]], y[3]);
        let (sin, cos) = y[3].sin_cos();
        [a[0], a[1], a[2], -y[2], y[0] * sin - y[1] * cos, y[0] * cos + y[1] * sin]
    };
    let (mut y, mut t, h) = ([0.0, 0.0, 0.0, beta, 0.0, 0.0], 0.0, 5e-4);
    for passing in count.passings.iter().flatten() {
        while y[4] < passing.depth {
            let k1 = rate(&y);
            let k2 = rate(&std::array::from_fn(|i| y[i] + 0.5 * h * k1[i]));
            y = std::array::from_fn(|i| y[i] + h * k2[i]);
            t += h;
        }
        assert!((passing.time / t - 1.0).abs() < 5e-3, "{} m: {} {t}", passing.depth, passing.time);
    }
}

/// Bodies of a few balls and rods with a weight.
fn bodies() -> impl Strategy<Value = Body> {
    let place = || (-5e-3..25e-3, -6e-3..6e-3);
    let ball = (1e-3..5e-3, 200.0..18_000.0, place()).prop_map(|(d, rho, (x, y))| ball(d, rho, [x, y]));
    let rod = (0.5e-3..4e-3, 3e-3..30e-3, 100.0..9_000.0, -PI..PI, place()).prop_map(|(d, l, rho, a, (x, y))| {
        let a: f64 = a;
        rod(d, l, rho, [a.cos(), a.sin()], [x, y])
    });
    (ball, prop::collection::vec(rod, 1..4)).prop_map(|(first, rest)| rest.into_iter().fold(first, both))
}

fn mirrored(body: &Body) -> Body {
    let flip = |v: [f64; 2]| [v[0], -v[1]];
    Body {
        loads: body.loads.iter().map(|l| Load { centroid: flip(l.centroid), ..*l }).collect(),
        elements: body
            .elements
            .iter()
            .map(|e| {
                let shape = match e.shape {
                    DragShape::Slender(rod) => DragShape::Slender(Rod { axis: flip(rod.axis), ..rod }),
                    other => other,
                };
                DragElement { shape, centre: flip(e.centre), ..*e }
            })
            .collect(),
    }
}

fn moved(body: &Body, by: [f64; 2]) -> Body {
    let shift = |v: [f64; 2]| [v[0] + by[0], v[1] + by[1]];
    Body {
        loads: body.loads.iter().map(|l| Load { centroid: shift(l.centroid), ..*l }).collect(),
        elements: body.elements.iter().map(|e| DragElement { centre: shift(e.centre), ..*e }).collect(),
    }
}

/// Lengths times `scale`, submerged weight as before: speeds at the same Reynolds numbers are 1/scale of before, and so
/// are all forces the same.
fn grown(body: &Body, scale: f64, water: &Water) -> Body {
    let stretch = |v: [f64; 2]| [v[0] * scale, v[1] * scale];
    Body {
        loads: body
            .loads
            .iter()
            .map(|l| {
                let volume = l.volume * scale.powi(3);
                let mass = l.submerged_weight(water.density) / GRAVITY + water.density * volume;
                Load { mass, volume, centroid: stretch(l.centroid), ..*l }
            })
            .collect(),
        elements: body
            .elements
            .iter()
            .map(|e| {
                let shape = match e.shape {
                    DragShape::Sphere { diameter } => DragShape::Sphere { diameter: diameter * scale },
                    DragShape::Across { diameter, length, span } => {
                        DragShape::Across { diameter: diameter * scale, length: length * scale, span: span * scale }
                    }
                    DragShape::Slender(rod) => DragShape::Slender(Rod {
                        diameter: rod.diameter * scale,
                        breadth: rod.breadth * scale,
                        length: rod.length * scale,
                        span: rod.span * scale,
                        ..rod
                    }),
                };
                DragElement { shape, centre: stretch(e.centre), ..*e }
            })
            .collect(),
    }
}

fn all_settled(body: &Body, water: &Water) -> Vec<Settled> {
    let sinking = Sinking::firm(body.clone());
    let fall = Fall::new(&sinking, water);
    fall.settled(&fall.medium(0.0), 0.0)
}

fn matched(ours: &[Settled], theirs: &[Settled], velocity: impl Fn([f64; 2]) -> [f64; 2], beta: impl Fn(f64) -> f64) {
    assert_eq!(ours.len(), theirs.len());
    for s in ours {
        let v = velocity(s.velocity);
        let size = v[0].hypot(v[1]);
        let found = theirs.iter().any(|t| {
            (v[0] - t.velocity[0]).hypot(v[1] - t.velocity[1]) < 2e-5 * size
                && ((beta(s.beta) - t.beta + PI).rem_euclid(TAU) - PI).abs() < 2e-5
        });
        assert!(found, "{s:?} not in {theirs:?}");
    }
}

proptest! {
    #![proptest_config(cases(48))]

    #[test]
    fn energy_changes_only_by_drag(
        body in bodies(), u in -0.5..0.5, w in -0.5..0.5, omega in -60.0..60.0, beta in -PI..PI,
    ) {
        let water = water();
        let sinking = Sinking::firm(body);
        let fall = Fall::new(&sinking, &water);
        let medium = fall.medium(0.0);
        let q = [u, w, omega];
        let a = fall.accelerations(&medium, q, beta);
        let gained: f64 = medium.inertia.times(q).iter().zip(a).map(|(p, a)| p * a).sum();
        let taken: f64 = fall.drag(&medium, q).iter().zip(q).map(|(f, q)| f * q).sum();
        let (sin, cos) = beta.sin_cos();
        // Power of the weight at the tie point, and of its moment.
        let weight = medium.weight * (u * sin - w * cos)
            - omega * (medium.moments.x * cos + medium.moments.y * sin);
        // The wake takes from the turning of ideal flow.
        let shed = fall.shed(&medium, q) * omega;
        let size = gained.abs() + taken.abs() + weight.abs() + shed.abs();
        prop_assert!((gained - taken - shed - weight).abs() < 1e-9 * size, "{gained} {taken} {shed} {weight}");
        prop_assert!(taken <= 0.0);
    }

    #[test]
    fn a_mirrored_body_mirrors(body in bodies()) {
        let water = water();
        let (here, there) = (all_settled(&body, &water), all_settled(&mirrored(&body), &water));
        matched(&here, &there, |v| [v[0], -v[1]], |b| PI - b);
    }

    #[test]
    fn where_the_line_is_tied_on_does_not_matter_when_it_is_slack(body in bodies(), dx in -9e-3..9e-3, dy in -9e-3..9e-3) {
        let water = water();
        let (here, there) = (all_settled(&body, &water), all_settled(&moved(&body, [dx, dy]), &water));
        matched(&here, &there, |v| v, |b| b);
        for (a, b) in here.iter().zip(&there) {
            prop_assert!((a.growth - b.growth).abs() < 1e-3 * a.growth.abs().max(0.1), "{} {}", a.growth, b.growth);
        }
    }

    #[test]
    fn a_larger_body_of_the_same_weight_in_water_falls_slower_in_proportion(body in bodies(), scale in 0.4..2.5) {
        let water = water();
        let (here, there) = (all_settled(&body, &water), all_settled(&grown(&body, scale, &water), &water));
        matched(&here, &there, |v| [v[0] / scale, v[1] / scale], |b| b);
    }

    #[test]
    fn everything_denser_in_a_denser_water_falls_the_same(body in bodies(), more in 0.5..2.0) {
        let water = water();
        let thick = Water { density: water.density * more, viscosity: water.viscosity * more, ..water };
        let heavy = Body {
            loads: body.loads.iter().map(|l| Load { mass: l.mass * more, ..*l }).collect(),
            ..body.clone()
        };
        let (here, there) = (all_settled(&body, &water), all_settled(&heavy, &thick));
        matched(&here, &there, |v| v, |b| b);
        for (a, b) in here.iter().zip(&there) {
            prop_assert!((a.growth - b.growth).abs() < 1e-4 * a.growth.abs().max(0.1));
        }
    }

    #[test]
    fn the_order_of_parts_does_not_matter(body in bodies()) {
        let water = water();
        let turned = Body {
            loads: body.loads.iter().rev().copied().collect(),
            elements: body.elements.iter().rev().copied().collect(),
        };
        matched(&all_settled(&body, &water), &all_settled(&turned, &water), |v| v, |b| b);
    }

    #[test]
    fn a_settled_fall_balances_force_and_moment(body in bodies()) {
        let water = water();
        let sinking = Sinking::firm(body);
        let fall = Fall::new(&sinking, &water);
        let medium = fall.medium(0.0);
        let own = |s: &Settled| fall.accelerations(&medium, [s.velocity[0], s.velocity[1], 0.0], s.beta);
        for s in fall.settled(&medium, 0.0) {
            let a = own(&s);
            let fast = GRAVITY * medium.weight.abs() / (medium.inertia.rows[0][0] * GRAVITY);
            prop_assert!(a[0].hypot(a[1]) < 1e-5 * fast.max(1e-3), "{a:?}");
            prop_assert!(a[2].abs() * medium.reach() < 1e-5 * fast.max(1e-3), "{a:?}");
            prop_assert!(s.sink_rate() * medium.weight > 0.0, "heavy flies sink, light ones rise");
        }
    }

    #[test]
    fn a_followed_fall_ends_where_energy_says(body in bodies(), beta in -PI..PI) {
        // Drag can take no more than the weight gives: mean sink rate times weight is never negative.
        let water = water();
        let sinking = Sinking::firm(body);
        let fall = Fall::new(&sinking, &water);
        let medium = fall.medium(0.0);
        let found = from_rest(&fall, &medium, beta).unwrap();
        prop_assert!(found.sink_rate * medium.weight >= 0.0);
        prop_assert_eq!(found.course == Course::Settles, found.reached.is_some());
        if let Some(settled) = found.reached {
            prop_assert!(settled.stable());
        }
    }

    #[test]
    fn strips_add_up_to_the_element(v in -0.5..0.5f64, angle in -PI..PI, x in -5e-3..20e-3, y in -5e-3..5e-3) {
        // A motion without turning: the drag of one element is that of its two halves but for their ends.
        let water = water();
        let axis = [angle.cos(), angle.sin()];
        let element = |length: f64, s: f64| DragElement {
            label: Label::Foam,
            shape: DragShape::Slender(Rod { span: 0.1, ..Rod::round(1e-4, length, axis) }),
            centre: [x + s * axis[0], y + s * axis[1]],
        };
        let q = [0.0, v, 0.0];
        let at = |e: &DragElement| drag(e, q, &water, &Factors::NONE);
        let (whole, a, b) = (at(&element(0.1, 0.0)), at(&element(0.05, -0.025)), at(&element(0.05, 0.025)));
        let across = (axis[0] * v).abs() > 0.9 * v.abs();
        if across && v.abs() > 1e-3 {
            prop_assert!((whole[1] / (a[1] + b[1]) - 1.0).abs() < 0.02);
        }
    }
}

#[test]
fn attitude_is_counted_from_the_horizontal_whichever_side_is_up() {
    let s = Settled { velocity: [0.1, 0.0], beta: FRAC_PI_2 + 0.2, growth: -1.0 };
    assert!((s.attitude() - (FRAC_PI_2 - 0.2)).abs() < 1e-12);
    let t = Settled { beta: -0.3, ..s };
    assert!((t.attitude() + 0.3).abs() < 1e-12);
    assert!(t.glide() < 0.0, "aft along the shank is tail first");
}
