//! Recipes of plain targets at the hands of a tyer who follows what is printed, to the letter.
//!
//! Flies are drawn, placed and judged one by one; readings err, scissors err, friction leaves a fly anywhere in its band. Of
//! the printed shares' own formulas nothing is used but the instructions, as they are printed.

use super::catalog;
use counterpoise::assess::first_miss;
use counterpoise::fly::{AsTied, Deviation, Fly};
use counterpoise::physics::friction;
use counterpoise::physics::statics::{Knot, hang};
use counterpoise::quantity::{Interval, Length};
use counterpoise::search::rank::Variety;
use counterpoise::search::{Unwatched, Wish, search};
use counterpoise::spread::draws::{Draws, Plan, deviation, spreads_for, stream};
use counterpoise::spread::trimming::SNIP_SD;
use counterpoise::spread::{shares, turn_of_rest};
use counterpoise::vice::{Bench, Jar};
use counterpoise::wanted::{Target, TargetSpec};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};

/// Printed to a tenth of a degree.
fn printed(turn: f64) -> f64 {
    (turn.to_degrees() * 10.0).round().to_radians() / 10.0
}

/// Share of right flies, trimmed by the instructions where there are any.
fn by_hand(fly: &Fly, target: &Target, plan: Plan) -> f64 {
    let jar = Jar::at(20.0, 101_325.0).unwrap();
    let bench = Bench::new(*fly, target, jar);
    let trim = bench.trim();
    let (in_jar, at_depth) = (AsTied::new(*fly, &jar.conditions()), AsTied::new(*fly, &target.conditions));
    let spreads = spreads_for(fly, target);
    let lever = friction::lever(fly.hook.eye_inner_diameter, target.hands.eye_friction);
    let draws = Draws::new(plan);
    let numbered: Vec<_> = (0..).zip(draws.flies()).collect();
    let right = numbered.par_iter().filter(|(number, z)| {
        let mut luck = stream(plan.seed, 78, *number);
        let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
        let mut tied = deviation(&spreads, z);
        if let (Some(trim), Some(piece)) = (&trim, &fly.foam) {
            tied.foam_length += trim.start.m() - piece.length.m();
            let look = |tied: &Deviation, luck: [f64; 2]| {
                let moments = in_jar.moments(tied);
                let hung = hang(moments, Knot::Loop, 0.0);
                let rest = friction::held(hung.rest()?, moments, lever / 3f64.sqrt() * luck[0]);
                let seen = turn_of_rest(&rest, trim.rides) + jar.reading_sd * luck[1];
                // Past the vertical it is counted on the way round that is nearer to the stop reading.
                Some(trim.stop_at + (seen - trim.stop_at + PI).rem_euclid(TAU) - PI)
            };
            for _ in 0..60 {
                let mut three = [(); 3].map(|()| look(&tied, [normal(), normal()]));
                three.sort_by(|a, b| a.unwrap_or(-9.0).total_cmp(&b.unwrap_or(-9.0)));
                // A fly that floats shows no angle: the farthest row.
                let seen = three[1].unwrap_or(f64::NEG_INFINITY);
                let Some(row) = trim.chart.iter().rev().find(|row| seen < printed(row.near)) else { break };
                tied.foam_length -= row.cut.m() + SNIP_SD * normal();
            }
        }
        first_miss(&at_depth, &tied, target).is_none()
    });
    right.count() as f64 / draws.flies().len() as f64
}

/// Size, style, depth in metres.
const TARGETS: [(u8, Option<&str>, f64); 20] = [
    (8, None, 1.0),
    (12, Some("jig"), 1.0),
    (10, Some("jig"), 0.5),
    (6, Some("streamer"), 2.0),
    (8, Some("streamer"), 1.0),
    (4, Some("ball-jig"), 4.0),
    (14, None, 0.5),
    (10, None, 2.0),
    (12, Some("straight"), 1.0),
    (8, Some("wide-gap"), 1.5),
    (4, None, 1.0),
    (6, None, 3.0),
    (12, None, 1.0),
    (14, Some("jig"), 1.0),
    (8, Some("jig"), 2.0),
    (10, Some("streamer"), 1.0),
    (6, Some("wide-gap"), 0.5),
    (4, Some("streamer"), 2.0),
    (10, Some("straight"), 3.0),
    (6, Some("jig"), 4.0),
];

#[test]
fn printed_shares_are_those_of_a_tyer() {
    let of = std::env::var("TYER_TARGETS").ok().and_then(|n| n.parse().ok()).unwrap_or(4);
    let samples = if of > 4 { 8_000 } else { 3_000 };
    let mut largest = 0.0_f64;
    for (size, style, depth) in TARGETS.into_iter().take(of) {
        let spec = TargetSpec {
            size: vec![size],
            style: style.map(str::to_owned).into_iter().collect(),
            depth: Some(Interval::Exactly(Length::from_m(depth))),
            ..TargetSpec::default()
        };
        let target = spec.resolve(catalog()).unwrap().0;
        let wish = Wish { top: 40, variety: Variety::Bead };
        let found = search(catalog(), &target, wish, &Unwatched);
        // The cheapest, and the cheapest that comes out right.
        let sure = found.candidates.iter().find(|c| shares(&c.fly, &target).counted() >= 0.8);
        for candidate in found.candidates.first().into_iter().chain(sure) {
            let fly = &candidate.fly;
            let said = shares(fly, &target);
            let hand = by_hand(fly, &target, Plan { samples, seed: u64::from(size) });
            println!(
                "size {size} {style:?} {depth} m: as tied {:.3}, counted {:.3}, by hand {hand:.3}, cost {}  {}",
                said.as_tied,
                said.counted(),
                candidate.judgement.cost,
                fly.recipe()
            );
            largest = largest.max((said.counted() - hand).abs());
        }
    }
    println!("largest difference {largest:.4}");
    assert!(largest < 0.05, "{largest}");
}
