//! Speed of the search, as ratios measured in one run. `cargo bench --bench speed`.

mod synthetic;

use counterpoise::catalog::Catalog;
use counterpoise::quantity::Angle;
use counterpoise::search::rank::Variety;
use counterpoise::search::{self, Found, Unwatched, Wish};
use counterpoise::target::{Target, TargetSpec};
use std::time::{Duration, Instant};

const WISH: Wish = Wish { top: 10, variety: Variety::Parts };

fn target(catalog: &Catalog, change: impl Fn(&mut TargetSpec)) -> Target {
    let mut spec = TargetSpec { size: vec![8], hang: Some(Angle::from_deg(0.0)), ..TargetSpec::default() };
    change(&mut spec);
    spec.resolve(catalog).expect("a sound target").0
}

fn timed<'a>(catalog: &'a Catalog, target: &Target) -> (Duration, Found<'a>) {
    let start = Instant::now();
    let found = search::search(catalog, target, WISH, &Unwatched);
    (start.elapsed(), found)
}

fn main() {
    let small = Catalog::built_in().expect("the built-in catalog");
    let cases: [(&str, fn(&mut TargetSpec)); 5] = [
        ("size 8, level", |_| {}),
        ("size 12 jig, level", |s| {
            s.size = vec![12];
            s.style = vec!["jig".into()];
        }),
        ("size 8, level, 0.25..0.30 m/s", |s| s.sink = Some("0.25..0.30 m/s".parse().expect("a range"))),
        ("size 8, level within 1 deg, lead-free, snug knot", |s| {
            s.tolerance = Some(Angle::from_deg(1.0));
            s.lead_free = Some(true);
            s.knot = Some("snug".into());
        }),
        ("any size, 0.45..0.46 m/s", |s| {
            s.size = vec![];
            s.sink = Some("0.45..0.46 m/s".parse().expect("a range"));
        }),
    ];
    let only: Vec<usize> = std::env::args().filter_map(|a| a.parse().ok()).collect();
    for times in [1, 10, 100] {
        if !only.is_empty() && !only.contains(&times) {
            continue;
        }
        let catalog = synthetic::enlarged(&small, times);
        for (name, change) in cases {
            let target = target(&catalog, change);
            let (time, found) = timed(&catalog, &target);
            println!(
                "{times:>3}x {name:<50} {:>9.1} ms  space {:.2e}  evaluated {} found {} {:?}",
                time.as_secs_f64() * 1e3,
                found.space as f64,
                found.tally.evaluated,
                found.candidates.len(),
                found.tally,
            );
        }
    }
}
