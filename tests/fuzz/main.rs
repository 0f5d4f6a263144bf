//! Random, spoilt and hostile input for every reader, for prediction and search on spoilt catalogs, and for the program.
//!
//! `cargo bench --bench fuzz -- seconds=60 seed=1 only=catalog` runs for so long over one target, or over all of them in
//! turn (without `only`), and ends with counts. Whatever panics, or takes longer than ten seconds, is shown, and the
//! exit code is 1. The same seed gives the same inputs.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::print_stdout)]

mod corpus;
mod mutate;
mod program;
#[path = "../faults/readers.rs"]
mod readers;
mod tried;

use counterpoise::catalog::Catalog;
use counterpoise::photo::file::decode;
use mutate::Dice;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

/// Longest time that one input may take.
const PATIENCE: Duration = Duration::from_secs(10);

/// What is tried, and what counts as accepted.
type Target = Box<dyn FnMut(&mut Dice) -> Tried>;

/// One input.
pub(crate) struct Tried {
    /// Shown if it fails.
    input: String,
    /// Whether it was read, or answered.
    result: Result<bool, String>,
}

/// Runs something on an input, and catches what it panics with.
pub(crate) fn attempt(input: String, run: impl FnOnce(&str) -> bool) -> Tried {
    let started = Instant::now();
    let result = catch_unwind(AssertUnwindSafe(|| run(&input))).map_err(|_| "panics".to_owned());
    let result = match started.elapsed() {
        slow if slow > PATIENCE => Err(format!("takes {slow:?}")),
        _ => result,
    };
    Tried { input, result }
}

fn picture(dice: &mut Dice) -> Tried {
    let bytes = mutate::bytes(corpus::pictures(), dice);
    attempt(format!("{} bytes: {:02x?}", bytes.len(), &bytes[..bytes.len().min(400)]), |_| {
        decode(bytes.clone()).is_ok()
    })
}

fn targets() -> Vec<(&'static str, Target)> {
    let mut all: Vec<(&'static str, Target)> = Vec::new();
    for (name, read) in readers::READERS {
        let built_in = Catalog::built_in().unwrap();
        let target = move |dice: &mut Dice| {
            let text = mutate::text(corpus::texts(name), dice);
            attempt(text, |text| read(text, &built_in))
        };
        all.push((name, Box::new(target)));
    }
    all.push(("small catalog", Box::new(tried::small_catalog)));
    all.push(("search", Box::new(tried::search_on_it)));
    all.push(("picture", Box::new(picture)));
    all.push(("program", Box::new(program::run)));
    all
}

fn main() {
    let option =
        |name: &str| std::env::args().find_map(|arg| arg.strip_prefix(name)?.strip_prefix('=').map(str::to_owned));
    let seconds: f64 = option("seconds").map_or(20.0, |text| text.parse().unwrap());
    let seed: u64 = option("seed").map_or(1, |text| text.parse().unwrap());
    let only = option("only");
    let mut targets = targets();
    targets.retain(|(name, _)| only.as_ref().is_none_or(|only| only == name));
    let share = Duration::from_secs_f64(seconds / targets.len().max(1) as f64);
    std::panic::set_hook(Box::new(|info| println!("{info}")));
    let mut failures = 0_u32;
    for (number, (name, target)) in targets.iter_mut().enumerate() {
        let mut dice = Dice::new(seed, number as u64);
        let (started, mut inputs, mut accepted, mut failed) = (Instant::now(), 0_u64, 0_u64, 0_u32);
        while started.elapsed() < share && failed < 10 {
            let tried = target(&mut dice);
            inputs += 1;
            match tried.result {
                Ok(read) => accepted += u64::from(read),
                Err(what) => {
                    failed += 1;
                    println!("{name}, input {inputs} of seed {seed} {what}:\n{}\n", tried.input.escape_debug());
                }
            }
        }
        failures += failed;
        println!(
            "{name:14} {inputs:9} inputs, {accepted:8} accepted, {failed} failed, {:.0} s",
            started.elapsed().as_secs_f64()
        );
    }
    std::process::exit(i32::from(failures > 0));
}
