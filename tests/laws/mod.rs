//! What must hold for every fly and every target, by random examples.
//!
//! Counts are kept low so that the suite stays quick; set `PROPTEST_CASES` to try harder.
#![allow(clippy::unwrap_used, clippy::expect_used)]

pub(crate) mod random_catalog;
mod search_is_exhaustive;

use proptest::test_runner::Config;

/// So many cases, unless the environment says otherwise.
fn cases(few: u32) -> Config {
    let cases = std::env::var("PROPTEST_CASES").ok().and_then(|text| text.parse().ok()).unwrap_or(few);
    Config { cases, failure_persistence: None, ..Config::default() }
}
