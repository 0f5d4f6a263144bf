//! Speed of the search, as ratios measured in one run on one machine: `cargo bench --bench speed`.
//!
//! Figures come out as one line each. `-- quick` leaves out the catalog of a hundred times the size; `-- case=2 times=10`
//! runs one search only and tells what became of its space.

#![allow(clippy::expect_used, clippy::print_stdout, clippy::unwrap_used)]

mod synthetic;

use counterpoise::assess::judge;
use counterpoise::catalog::Catalog;
use counterpoise::physics::statics::{Knot, Moments, hang};
use counterpoise::quantity::Angle;
use counterpoise::search::rank::Variety;
use counterpoise::search::{self, Found, Observer, Progress, Wish, exhaustive, space};
use counterpoise::wanted::{Target, TargetSpec};
use std::hint::black_box;
use std::time::{Duration, Instant};

const WISH: Wish = Wish { top: 10, variety: Variety::Parts };
/// A search that takes longer is stopped, and said to be.
const LIMIT: Duration = Duration::from_secs(60);

struct Limited(Instant);

impl Observer for Limited {
    fn round_done(&self, _: &Progress) {}

    fn stop(&self) -> bool {
        self.0.elapsed() > LIMIT
    }
}

struct Case {
    name: &'static str,
    change: fn(&mut TargetSpec),
}

const CASES: [Case; 5] = [
    Case { name: "size 8, level", change: |_| {} },
    Case {
        name: "size 12 jig, level",
        change: |s| {
            s.size = vec![12];
            s.style = vec!["jig".into()];
        },
    },
    Case { name: "size 8, level, 0.25..0.30 m/s", change: |s| s.sink = Some("0.25..0.30 m/s".parse().unwrap()) },
    Case {
        name: "size 8, level +-1 deg, lead-free, snug knot",
        change: |s| {
            s.tolerance = Some(Angle::from_deg(1.0));
            s.lead_free = Some(true);
            s.knot = Some("snug".into());
        },
    },
    Case {
        name: "any size, level, 0.45..0.46 m/s",
        change: |s| {
            s.size = vec![];
            s.sink = Some("0.45..0.46 m/s".parse().unwrap());
        },
    },
];

fn target(catalog: &Catalog, case: &Case) -> Target {
    let mut spec = TargetSpec { size: vec![8], hang: Some(Angle::from_deg(0.0)), ..TargetSpec::default() };
    (case.change)(&mut spec);
    spec.resolve(catalog).expect("a sound target").0
}

fn timed<'a>(catalog: &'a Catalog, target: &Target) -> (Duration, Found<'a>) {
    let start = Instant::now();
    let found = search::search(catalog, target, WISH, &Limited(start));
    (start.elapsed(), found)
}

/// Peak resident memory so far, MB, where the system tells it.
fn peak_memory() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find(|l| l.starts_with("VmHWM"))?;
    line.split_whitespace().nth(1)?.parse::<f64>().ok().map(|kb| kb / 1024.0)
}

fn plain_statics() {
    const N: usize = 20_000_000;
    let start = Instant::now();
    let mut sum = 0.0;
    for i in 0..N {
        let moments = Moments { weight: 1e-3, x: 1e-6 * i as f64, y: -5e-6 };
        sum += black_box(hang(black_box(moments), Knot::Loop, 0.0)).rest().map_or(0.0, |r| r.angle);
    }
    black_box(sum);
    println!("hang on a loop: {:.0} million a second on one core", N as f64 * 1e-6 / start.elapsed().as_secs_f64());
}

fn start_up() {
    let start = Instant::now();
    let catalog = Catalog::built_in().expect("built in");
    let load = start.elapsed();
    let (find, _) = timed(&catalog, &target(&catalog, &CASES[0]));
    let (load, find) = (load.as_secs_f64() * 1e3, find.as_secs_f64() * 1e3);
    println!("reading and checking the built-in catalog: {load:.1} ms; the search after it: {find:.1} ms");
}

/// Judges a slice of the space one by one and scales up.
fn against_exhaustive(catalog: &Catalog) {
    const SLICE: u64 = 300_000;
    let target = target(catalog, &CASES[0]);
    let (time, found) = timed(catalog, &target);
    let start = Instant::now();
    let mut judged = 0;
    exhaustive::walk(catalog, &target, &mut |fly| {
        judged += 1;
        black_box(judge(fly, &target));
        judged < SLICE
    });
    let slice = start.elapsed().as_secs_f64();
    let threads = rayon::current_num_threads() as f64;
    let whole = slice / judged as f64 * (found.space - found.tally.misfit) as f64 / threads;
    println!(
        "exhaustive: {judged} recipes in {slice:.2} s on one core; {:.2e} recipes on {threads} cores, extrapolated: {whole:.0} s, \
         {:.1e} times the {:.3} s of the search",
        found.space as f64,
        whole / time.as_secs_f64(),
        time.as_secs_f64()
    );
}

/// On a long search: the last case with ten times the parts.
fn threads(small: &Catalog) {
    let catalog = &synthetic::enlarged(small, 10);
    let case = &CASES[4];
    let target = target(catalog, case);
    let on = |n: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(n).build().expect("a pool");
        pool.install(|| timed(catalog, &target))
    };
    let (two, a) = on(2);
    let (one, b) = on(1);
    assert_eq!((a.candidates, a.tally), (b.candidates, b.tally), "one answer for any number of threads");
    println!("two threads: {:.2} times one, on \"{}\", 10 x parts", one.as_secs_f64() / two.as_secs_f64(), case.name);
}

fn growth(small: &Catalog, quick: bool) {
    let mut base = [0.0; CASES.len()];
    for times in [1, 10, 100] {
        if quick && times == 100 {
            continue;
        }
        let catalog = synthetic::enlarged(small, times);
        for (i, case) in CASES.iter().enumerate() {
            let target = target(&catalog, case);
            let (time, found) = timed(&catalog, &target);
            let seconds = time.as_secs_f64();
            if times == 1 {
                base[i] = seconds;
            }
            let proof = if found.proven() { "proven" } else { "stopped" };
            println!(
                "{times:>3} x parts, {:<45} {:>8.1} ms = {:>6.1} x, {proof}, {:.1e} recipes, {} nodes ({:.1} million a second), {} judged",
                case.name,
                seconds * 1e3,
                seconds / base[i],
                found.space as f64,
                found.tally.nodes,
                found.tally.nodes as f64 * 1e-6 / seconds,
                found.tally.evaluated,
            );
        }
        if let Some(peak) = peak_memory() {
            println!("peak memory so far: {peak:.0} MB");
        }
    }
}

fn one(small: &Catalog, case: usize, times: usize) {
    let catalog = synthetic::enlarged(small, times);
    let target = target(&catalog, &CASES[case]);
    let (time, found) = timed(&catalog, &target);
    println!("{}, {times} x parts: {:.1} ms, {:?}", CASES[case].name, time.as_secs_f64() * 1e3, found.tally);
    for c in &found.candidates {
        println!("{} margin {:.3}: {}", c.price.exact(), c.judgement.margin, c.fly.recipe());
    }
    println!("peak memory: {:.0} MB", peak_memory().unwrap_or(f64::NAN));
}

fn main() {
    let quick = std::env::args().any(|a| a == "quick");
    let number = |key: &str| std::env::args().find_map(|a| a.strip_prefix(key)?.parse::<usize>().ok());
    let small = Catalog::built_in().expect("the built-in catalog");
    let sizes = space::spaces(&small, &target(&small, &CASES[0])).len();
    println!("{sizes} hooks of size 8; {} threads", rayon::current_num_threads());
    if let (Some(case), Some(times)) = (number("case="), number("times=")) {
        return one(&small, case, times);
    }
    start_up();
    plain_statics();
    against_exhaustive(&small);
    threads(&small);
    growth(&small, quick);
}
