//! Speed and gap of the box planner on invented boxes. `cargo bench --bench box`.
//!
//! The boxes are made like real ones: a way takes one hook, one bead, one dressing, and some take a pin, wire or foam
//! (some of it split in two or four); packs hold 25 pieces or some metres; a way serves the need it was made for and, one
//! time in three, others of the same hook size.

#![allow(clippy::print_stdout)]

use counterpoise::fly_box::exact::{Effort, solve};
use counterpoise::fly_box::problem::{Limits, Need, Problem, Supply, Take, Way};
use counterpoise::fly_box::start::quick_plan;
use counterpoise::part::Kind;
use counterpoise::quantity::Money;
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};
use std::time::Instant;

struct Random(Xoshiro256PlusPlus);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        (self.0.next_u64() % n as u64) as usize
    }

    fn between(&mut self, low: u64, high: u64) -> u64 {
        low + self.0.next_u64() % (high - low + 1)
    }
}

/// 8 needs, 60 ways and 60 supplies, times `times`.
fn invented(times: usize, seed: u64, demand: u64) -> Problem {
    let mut random = Random(Xoshiro256PlusPlus::seed_from_u64(seed));
    let mut supplies = Vec::new();
    let shelf = [
        (Kind::Hook, 8, 25, 420..641),
        (Kind::Bead, 16, 25, 145..921),
        (Kind::Pin, 4, 50, 210..281),
        (Kind::Wire, 14, 5_000_000, 200..656),
        (Kind::Foam, 14, 600_000, 170..341),
        (Kind::Dressing, 4, 25, 350..501),
    ];
    let mut first = Vec::new();
    for (kind, count, pack, cents) in shelf {
        first.push((supplies.len(), count * times));
        for _ in 0..count * times {
            let price = Money::from_micros(10_000 * random.between(cents.start, cents.end - 1) as i64);
            let owned = if random.below(6) == 0 { random.between(0, pack) } else { 0 };
            supplies.push(Supply { kind, owned, pack, price, wish: false });
        }
    }
    let mut needs: Vec<Need> =
        (0..8 * times).map(|_| Need { flies: random.between(2, demand) as u32, ..Need::default() }).collect();
    let hooks = first[0];
    let mut ways = Vec::new();
    for w in 0..60 * times {
        let need = w % needs.len();
        let mut pick = |(from, count): (usize, usize)| from + random.below(count);
        let hook = hooks.0 + need * hooks.1 / needs.len();
        let mut takes = vec![
            Take { supply: hook, block: 1, serves: 1 },
            Take { supply: pick(first[1]), block: 1, serves: 1 },
            Take { supply: first[5].0 + need % first[5].1, block: 1, serves: 1 },
        ];
        let (pin, wire, foam) = (pick(first[2]), pick(first[3]), pick(first[4]));
        if random.below(4) == 0 {
            takes.push(Take { supply: pin, block: 1, serves: 1 });
        }
        if random.below(2) == 0 {
            takes.push(Take { supply: wire, block: random.between(40_000, 150_000), serves: 1 });
        }
        if random.below(4) != 0 {
            let serves = [1, 2, 4][random.below(3)];
            takes.push(Take { supply: foam, block: random.between(6_000, 20_000), serves });
        }
        ways.push(Way { takes });
        needs[need].ways.push(w);
        for (other, wanted) in needs.iter_mut().enumerate() {
            let same_hook = hooks.0 + other * hooks.1 / 8 / times == hook;
            if other != need && (same_hook || random.below(8 * times) == 0) && random.below(3) == 0 {
                wanted.ways.push(w);
            }
        }
    }
    for need in &mut needs {
        need.narrowness = need.ways.iter().map(|_| random.between(0, 999) as u32).collect();
    }
    Problem { needs, ways, supplies, limits: Limits::default(), budget: None, each_recipe: Money::ZERO }
}

fn run(name: &str, problem: &Problem, effort: Effort) {
    let start = Instant::now();
    let first = problem.bill(&quick_plan(problem)).outlay;
    let started = start.elapsed();
    let start = Instant::now();
    let Some(solved) = solve(problem, effort, &|| false) else {
        println!("{name:<44} cannot be met");
        return;
    };
    let bill = problem.bill(&solved.plan);
    let gap = (bill.outlay - solved.bound).micros() as f64 / bill.outlay.micros().max(1) as f64;
    println!(
        "{name:<44} start {first} in {:.2} s; outlay {} {} bound {} gap {:.2} % nodes {} in {:.2} s",
        started.as_secs_f64(),
        bill.outlay,
        if solved.proven(problem) { "proven;" } else { "open;" },
        solved.bound,
        100.0 * gap,
        solved.nodes,
        start.elapsed().as_secs_f64(),
    );
}

fn main() {
    for seed in 1..=5 {
        run(&format!("8 needs, 60 ways, 60 packs, seed {seed}"), &invented(1, seed, 8), Effort::default());
    }
    for seed in 1..=3 {
        run(&format!("the same, up to 40 flies a need, seed {seed}"), &invented(1, seed, 40), Effort::default());
    }
    for seed in 1..=3 {
        let limits = Limits { recipes: Some(5), beads: Some(3), ..Limits::default() };
        let problem = Problem { limits, ..invented(1, seed, 8) };
        run(&format!("at most 5 recipes and 3 beads, seed {seed}"), &problem, Effort::default());
    }
    for seed in 1..=2 {
        let effort = Effort { nodes: 300 };
        run(&format!("80 needs, 600 ways, 600 packs, seed {seed}"), &invented(10, seed, 8), effort);
    }
}
