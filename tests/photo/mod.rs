//! Reading rendered pictures whose hang is known: how far off, and whether the stated error tells it.

#![allow(clippy::unwrap_used, clippy::expect_used)]

mod render;

use counterpoise::photo::{Hints, RoundJar, Setup, read};
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Length;
use render::Scene;

fn setup(scene: &Scene, with_edges: bool) -> Setup {
    let mm = Length::from_mm;
    let jar = scene.jar.map(|(d, c)| RoundJar::new(mm(d), mm(c), mm(scene.offset)).unwrap());
    Setup { jar, edges: (with_edges && scene.jar.is_some()).then(|| scene.edges()) }
}

const ANGLES: [f64; 9] = [-70.0, -45.0, -20.0, -5.0, 0.0, 10.0, 30.0, 50.0, 75.0];

/// Root mean square and largest error, degrees, share within twice the stated error, share with the right side.
#[derive(Debug)]
struct Tally {
    rms: f64,
    worst: f64,
    within: f64,
    side: f64,
}

fn tally(name: &str, scene: impl Fn(f64, usize) -> Scene, with_edges: bool) -> Tally {
    let (mut squares, mut worst, mut within, mut side) = (0.0, 0.0f64, 0, 0);
    for (i, hang) in ANGLES.into_iter().enumerate() {
        let scene = Scene { hang, ..scene(hang, i) };
        let reading = read(&scene.picture(), &Hints::default(), &setup(&scene, with_edges))
            .unwrap_or_else(|e| panic!("{name}, {hang} degrees: {e}"));
        let off = reading.hang.to_degrees() - hang;
        let stated = reading.error.to_degrees();
        println!("{name:>22} {hang:>6} off {off:>6.2} stated {stated:.2} roll {:?}", reading.roll.map(f64::to_degrees));
        squares += off * off;
        worst = worst.max(off.abs());
        within += usize::from(off.abs() <= 2.0 * stated);
        let up = if scene.point_up { Rides::PointUp } else { Rides::PointDown };
        side += usize::from(reading.rides == Some(up));
    }
    let n = ANGLES.len() as f64;
    Tally { rms: (squares / n).sqrt(), worst, within: within as f64 / n, side: side as f64 / n }
}

fn alternating(i: usize) -> Scene {
    Scene { faces_left: i % 2 == 0, point_up: i % 3 != 0, seed: i as u64 + 1, ..Scene::default() }
}

#[test]
fn readings_table() {
    type Maker = fn(f64, usize) -> Scene;
    let cases: [(&str, Maker, bool); 9] = [
        ("flat tank", |_, i| Scene { jar: None, ..alternating(i) }, false),
        ("80 mm jar", |_, i| alternating(i), true),
        ("80 mm jar, no edges", |_, i| alternating(i), false),
        ("60 mm jar", |_, i| Scene { jar: Some((60.0, 250.0)), ..alternating(i) }, true),
        ("120 mm jar, off centre", |_, i| {
            Scene { jar: Some((120.0, 400.0)), offset: 15.0, aside: -8.0, ..alternating(i) }
        }, true),
        ("roll 6 degrees", |_, i| Scene { roll: if i % 2 == 0 { 6.0 } else { -6.0 }, ..alternating(i) }, true),
        ("noise 5 %", |_, i| Scene { noise: 0.05, ..alternating(i) }, true),
        ("glare", |_, i| Scene { glare: true, ..alternating(i) }, true),
        ("bare hook and bead", |_, i| Scene { bare: true, ..alternating(i) }, true),
    ];
    for (name, scene, edges) in cases {
        let t = tally(name, scene, edges);
        println!("| {name} | {:.1} | {:.1} | {:.0} % | {:.0} % |", t.rms, t.worst, 100.0 * t.within, 100.0 * t.side);
    }
}
