//! Speed of the slack fall, and what its requirements add to a search: `cargo bench --bench fall`.

#![allow(clippy::expect_used, clippy::print_stdout)]

use counterpoise::catalog::Catalog;
use counterpoise::fly::{self, Fly};
use counterpoise::physics::fall::{Fall, from_rest};
use counterpoise::quantity::{Angle, Length, Time};
use counterpoise::search::rank::Variety;
use counterpoise::search::{Unwatched, Wish, search};
use counterpoise::wanted::{Target, TargetSpec};
use std::hint::black_box;
use std::time::Instant;

const WISH: Wish = Wish { top: 10, variety: Variety::Parts };

fn target(catalog: &Catalog, change: impl Fn(&mut TargetSpec)) -> Target {
    let mut spec = TargetSpec {
        size: vec![10],
        style: vec!["jig".into()],
        hang: Some(Angle::from_deg(0.0)),
        not: vec!["bead=none".into()],
        ..TargetSpec::default()
    };
    change(&mut spec);
    spec.resolve(catalog).expect("a sound target").0
}

fn settled_falls(flies: &[Fly], target: &Target) {
    const ROUNDS: usize = 20;
    let start = Instant::now();
    let mut count = 0;
    for _ in 0..ROUNDS {
        for fly in flies {
            let sinking = fly::sinking(fly, &target.conditions);
            let fall = Fall::new(&sinking, &target.conditions.water);
            let medium = fall.medium(target.conditions.depth);
            black_box(from_rest(&fall, &medium, 0.0).ok());
            count += 1;
        }
    }
    let a_second = f64::from(count) / start.elapsed().as_secs_f64();
    println!("falls from the hang to a settled state: {a_second:.0} a second on one core");
}

/// A change of a target.
type Change = fn(&mut TargetSpec);

fn main() {
    let catalog = Catalog::built_in().expect("built in");
    let plain = target(&catalog, |_| {});
    let flies: Vec<Fly> = search(&catalog, &plain, WISH, &Unwatched).candidates.iter().map(|c| c.fly).collect();
    settled_falls(&flies, &plain);
    let timed = |name: &str, target: &Target| {
        let start = Instant::now();
        let found = search(&catalog, target, WISH, &Unwatched);
        let seconds = start.elapsed().as_secs_f64();
        println!("{name}: {:.1} ms, {} judged, {} found", seconds * 1e3, found.tally.evaluated, found.candidates.len());
        seconds
    };
    let base = timed("size 10 jig, level", &plain);
    let more: [(&str, Change); 4] = [
        ("level from 0.5 to 3 m", |s| s.depth = "0.5..3m".parse().ok()),
        ("3 m within 15 s", |s| (s.reach, s.within) = (Some(Length::from_m(3.0)), Some(Time::from_s(15.0)))),
        ("dives 60 deg", |s| s.dive = Some(Angle::from_deg(60.0))),
        ("0.25..0.35 m/s on a slack line", |s| {
            s.line = Some("slack".into());
            s.sink = "0.25..0.35 m/s".parse().ok();
        }),
    ];
    for (name, change) in more {
        let seconds = timed(name, &target(&catalog, change));
        println!("  {:.1} times the plain search", seconds / base);
    }
}
