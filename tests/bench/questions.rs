//! Speed of whole questions as `find` answers them, the hardest ordinary ones first: `cargo bench --bench questions`.
//!
//! Each is asked with the share of flies that come out right required as by default, and without; times are ratios to the plain
//! question (size 8, level, no share) of the same run, on the same machine. `-- 3` asks the first three only. A question that
//! takes longer than half a minute is stopped, and said to be.

#![allow(clippy::expect_used, clippy::print_stdout, clippy::unwrap_used)]

use counterpoise::search::{Observer, Progress};
use counterpoise::wanted::{Target, TargetSpec};
use counterpoise::{Catalog, Order, find};
use std::time::{Duration, Instant};

const LIMIT: Duration = Duration::from_secs(30);

struct Limited(Instant);

impl Observer for Limited {
    fn round_done(&self, _: &Progress) {}

    fn stop(&self) -> bool {
        self.0.elapsed() > LIMIT
    }
}

type Change = fn(&mut TargetSpec);

const QUESTIONS: [(&str, Change); 17] = [
    ("size 4 streamer", |s| of(s, 4, Some("streamer"))),
    ("size 4", |s| of(s, 4, None)),
    ("any size, 0.45..0.46 m/s", |s| {
        s.size = vec![];
        s.sink = Some("0.45..0.46 m/s".parse().unwrap());
    }),
    ("size 8, 3 m in 6 s", |s| reach(s, "6s")),
    ("size 8, dive of 120 degrees", |s| s.dive = Some("120deg".parse().unwrap())),
    ("size 8, 0.5 to 8 m", |s| s.depth = Some("0.5..8m".parse().unwrap())),
    ("size 6 streamer", |s| of(s, 6, Some("streamer"))),
    ("size 8, 1 to 3 m", |s| s.depth = Some("1..3m".parse().unwrap())),
    ("size 8, slack line, 0.30..0.35 m/s", |s| {
        s.line = Some("slack".into());
        s.sink = Some("0.30..0.35 m/s".parse().unwrap());
    }),
    ("size 8, 0.45..0.46 m/s", |s| s.sink = Some("0.45..0.46 m/s".parse().unwrap())),
    ("size 8, 0.25..0.30 m/s", |s| s.sink = Some("0.25..0.30 m/s".parse().unwrap())),
    ("size 12 jig", |s| of(s, 12, Some("jig"))),
    ("size 6", |s| of(s, 6, None)),
    ("size 10", |s| of(s, 10, None)),
    ("size 8, 3 m in 15 s", |s| reach(s, "15s")),
    ("size 14", |s| of(s, 14, None)),
    ("size 8", |_| {}),
];

fn of(spec: &mut TargetSpec, size: u8, style: Option<&str>) {
    spec.size = vec![size];
    spec.style = style.map(str::to_owned).into_iter().collect();
}

fn reach(spec: &mut TargetSpec, within: &str) {
    spec.reach = Some("3m".parse().unwrap());
    spec.within = Some(within.parse().unwrap());
}

fn target(catalog: &Catalog, change: Change) -> Target {
    let mut spec = TargetSpec { size: vec![8], hang: Some("level".parse().unwrap()), ..TargetSpec::default() };
    change(&mut spec);
    spec.resolve(catalog).unwrap().0
}

/// Seconds, recipes judged one by one, and how it ended.
fn asked(catalog: &Catalog, order: &Order) -> (f64, u64, &'static str) {
    let begun = Instant::now();
    let answer = find(catalog, order, &Limited(begun));
    let found = &answer.found;
    let end = match (found.proven(), found.candidates.is_empty()) {
        (true, false) => "proven",
        (true, true) => "none, proven",
        (false, false) => "stopped",
        (false, true) => "stopped, none found",
    };
    (begun.elapsed().as_secs_f64(), found.tally.evaluated, end)
}

fn main() {
    let catalog = Catalog::built_in().unwrap();
    let first = std::env::args().find_map(|a| a.parse::<usize>().ok()).unwrap_or(QUESTIONS.len());
    let without = |target: Target| {
        let order = Order::new(target);
        Order { target: Target { share: None, ..order.target.clone() }, ..order }
    };
    let plain = (0..5).map(|_| asked(&catalog, &without(target(&catalog, |_| {}))).0).fold(f64::INFINITY, f64::min);
    println!("plain question, size 8 level without a share: {:.0} ms, the ratios are to that", plain * 1e3);
    println!("| question | with the share | judged | | without | |\n|---|---|---|---|---|---|");
    for (name, change) in QUESTIONS.iter().take(first) {
        let asked_for = target(&catalog, *change);
        let (with, judged, end) = asked(&catalog, &Order::new(asked_for.clone()));
        let (bare, _, bare_end) = asked(&catalog, &without(asked_for));
        println!("| {name} | {:.1} | {judged} | {end} | {:.1} | {bare_end} |", with / plain, bare / plain);
    }
}
