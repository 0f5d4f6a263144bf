//! Through a waisted vase and a wide lens: with no correction, with the radii of the wall, with the card of squares.

use super::count;
use super::tracer::guess::side_view;
use super::tracer::sets::shot;
use super::tracer::vessel::Wall;
use super::tracer::{Shot, camera_close_to};
use counterpoise::photo::{CardMap, Hints, RoundJar, Setup, read};
use counterpoise::quantity::Length;
use rayon::prelude::*;

/// What bends the picture.
#[derive(Debug, Clone, Copy)]
struct Bends {
    name: &'static str,
    /// Radius of the upright curve of a wall of 40 mm radius.
    waist: Option<f64>,
    wide: bool,
}

const ALL: [Bends; 4] = [
    Bends { name: "waist of 60 mm", waist: Some(60.0), wide: false },
    Bends { name: "waist of 30 mm", waist: Some(30.0), wide: false },
    Bends { name: "wide lens, flat tank", waist: None, wide: true },
    Bends { name: "wide lens, waist of 60 mm", waist: Some(60.0), wide: true },
];

/// The fly, and the card in its place.
fn shots(bends: Bends, seed: u64) -> [Shot; 2] {
    let mut fly = shot("fair", seed, None);
    fly.hang = fly.hang.clamp(-75.0, 75.0);
    fly.place = [0.5 * fly.place[0], 0.0, 0.3 * fly.place[2]];
    match bends.waist {
        Some(profile) => {
            fly.vessel.wall = Wall::Round { radius: 40.0, profile };
            (fly.vessel.rim, fly.vessel.surface, fly.vessel.floor) = (28.0, 26.0, -28.0);
            fly.camera = camera_close_to(&fly.camera, 300.0, 84.0);
        }
        None => fly.vessel.wall = Wall::Flat { half_depth: 50.0, half_width: 90.0 },
    }
    if bends.wide {
        fly.camera = camera_close_to(&fly.camera, 130.0, 100.0);
        fly.camera.barrel = 0.25;
    }
    let card = Shot { card: Some((9, 7, 6.0)), yaw: 0.0, seed: seed + 1, ..fly.clone() };
    [fly, card]
}

/// Told, squares of errors, largest error, and those off by more than three stated errors or 10 degrees.
type Way = (usize, f64, f64, usize);

fn looked_at(bends: Bends, seed: u64) -> [Way; 3] {
    let [fly, card] = shots(bends, seed);
    let mm = Length::from_mm;
    let radii = bends.waist.map(|waist| {
        let jar = RoundJar::new(mm(80.0), mm(fly.camera.distance), mm(0.0)).unwrap().with_waist(mm(waist)).unwrap();
        let half = fly.camera.focal * (40.0 / fly.camera.distance).asin().tan();
        let middle = 0.5 * (fly.camera.width as f64 - 1.0);
        Setup { jar: Some(jar), edges: Some([middle - half, middle + half]), card: None }
    });
    let mapped = Setup { card: CardMap::read(&card.picture()).ok(), ..Setup::default() };
    let with_card = mapped.card.is_some().then_some(mapped);
    let (image, known) = (fly.picture(), side_view(&fly.fly));
    [Some(Setup::default()), radii, with_card].map(|setup| {
        let reading = setup.and_then(|s| read(&image, &Hints::default(), &s, Some(&known)).outcome.ok());
        let Some(reading) = reading.filter(|r| r.or.is_none()) else { return Way::default() };
        let off = (reading.angle.hang.to_degrees() - fly.hang).abs();
        (1, off * off, off, usize::from(off > 10.0 || off > 3.0 * reading.angle.error.to_degrees()))
    })
}

#[test]
fn radii_and_card_take_out_what_vessel_and_lens_do() {
    let mut lines = Vec::new();
    let mut all = [Way::default(); 3];
    let plus = |a: Way, b: Way| (a.0 + b.0, a.1 + b.1, a.2.max(b.2), a.3 + b.3);
    // A wide lens before a waist is a hard case: one picture says nothing.
    for bends in ALL.into_iter().filter(|b| count() > 1 || !b.wide || b.waist.is_none()) {
        let each: Vec<[Way; 3]> = (0..count()).into_par_iter().map(|k| looked_at(bends, 70_000 + k)).collect();
        let sum = each.iter().fold([Way::default(); 3], |s, w| [0, 1, 2].map(|i| plus(s[i], w[i])));
        for (i, way) in ["no correction", "radii", "card"].into_iter().enumerate() {
            let (told, squares, worst, _) = sum[i];
            if told > 0 {
                let rms = (squares / told as f64).sqrt();
                lines.push(format!("| {}, {way} | {told} of {} | {rms:.1} | {worst:.1} |", bends.name, count()));
            }
        }
        // Radii know nothing of the lens.
        all = [0, 1, 2].map(|i| if i == 1 && bends.wide { all[i] } else { plus(all[i], sum[i]) });
    }
    println!("{}", lines.join("\n"));
    let rms = |i: usize| (all[i].1 / (all[i].0 as f64).max(1.0)).sqrt();
    for (i, way) in [(1, "radii"), (2, "card")] {
        assert!(all[i].0 > 0, "{way}: nothing told");
        assert!(rms(i) < 2.5 && 3.0 * rms(i) < rms(0).max(3.0), "{way}: {} against {}", rms(i), rms(0));
    }
    assert_eq!(all[2].3, 0, "card: off by more than three stated errors or 10 degrees");
    super::in_the_table(&lines);
}
