//! The fast search gives what trying everything gives: the same recipes in the same order, with every one accounted for.

use super::cases;
use super::random_catalog::{catalog, target, wish};
use counterpoise::search::exhaustive::exhaustive;
use counterpoise::search::rank::Candidate;
use counterpoise::search::{Found, Unwatched, search};
use proptest::prelude::*;
use rayon::{ThreadPool, ThreadPoolBuilder};
use std::sync::OnceLock;

fn pool(threads: usize) -> &'static ThreadPool {
    static ONE: OnceLock<ThreadPool> = OnceLock::new();
    static EIGHT: OnceLock<ThreadPool> = OnceLock::new();
    let cell = if threads == 1 { &ONE } else { &EIGHT };
    cell.get_or_init(|| ThreadPoolBuilder::new().num_threads(threads).build().unwrap())
}

/// What a reader needs to see where two lists part.
fn lines(list: &[Candidate]) -> Vec<String> {
    list.iter()
        .map(|c| format!("{} margin {:e}: {}", c.judgement.cost.micros(), c.judgement.margin, c.fly.recipe()))
        .collect()
}

proptest! {
    #![proptest_config(cases(128))]

    #[test]
    fn the_fast_search_is_the_slow_one(catalog in catalog(), target in target(), wish in wish()) {
        let (best, count) = exhaustive(&catalog, &target, wish);
        let alone: Found = pool(1).install(|| search(&catalog, &target, wish, &Unwatched));
        let crowd: Found = pool(8).install(|| search(&catalog, &target, wish, &Unwatched));
        prop_assert_eq!(&alone, &crowd, "the number of threads shows");
        prop_assert_eq!(lines(&alone.candidates), lines(best.list()));
        prop_assert_eq!(alone.candidates.as_slice(), best.list());
        // The space holds what does not fit as well; nothing of it goes unaccounted for.
        prop_assert_eq!(alone.tally.total(), alone.space);
        prop_assert!(alone.space - alone.tally.misfit >= best.list().len() as u64);
        prop_assert!(alone.space >= count && alone.tally.evaluated <= count);
        prop_assert!(alone.proven());
    }
}
