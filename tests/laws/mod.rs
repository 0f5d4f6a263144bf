//! What must hold for every fly and every target, by random examples.
//!
//! Counts are low and the seed is fixed, so that the suite is quick and says the same every time; set `PROPTEST_CASES` and
//! `PROPTEST_RNG_SEED` to try harder.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod alike_parts;
mod bent_line;
mod bounds;
mod bounds_bite;
mod box_plans;
mod boxes;
mod buoyancy;
mod degenerate;
mod drag_elements;
mod fall_targets;
mod hand;
mod hang;
mod milp;
pub(crate) mod random_catalog;
mod random_fly;
mod rigid_body_engine;
mod search_is_exhaustive;
mod several_dressings;
mod share_search;
mod shares;
mod slack_fall;
mod snug;
pub(crate) mod spread;
mod units;
mod vice;
mod vice_rule;
mod way_down;

use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, RngSeed, TestRng, TestRunner};

/// So many cases, unless the environment says otherwise.
fn cases(few: u32) -> Config {
    let number = |name| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    Config {
        cases: number("PROPTEST_CASES").and_then(|n| u32::try_from(n).ok()).unwrap_or(few),
        rng_seed: RngSeed::Fixed(number("PROPTEST_RNG_SEED").unwrap_or(1)),
        failure_persistence: None,
        ..Config::default()
    }
}

/// So many random values, always the same.
fn some<S: Strategy>(strategy: S, count: usize) -> Vec<S::Value> {
    let mut runner = TestRunner::new_with_rng(Config::default(), TestRng::deterministic_rng(RngAlgorithm::ChaCha));
    (0..count).map(|_| strategy.new_tree(&mut runner).expect("no filter refuses").current()).collect()
}
