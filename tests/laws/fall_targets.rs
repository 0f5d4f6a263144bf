//! Requirements on the way down: the fast search still gives what trying everything gives, and what the one evaluation
//! accepts the other accepts.

use super::cases;
use super::random_catalog::{catalog, target, wish};
use counterpoise::assess::{assess, judge, judge_quick};
use counterpoise::physics::fall::Slack;
use counterpoise::search::exhaustive::exhaustive;
use counterpoise::search::{Unwatched, search};
use counterpoise::wanted::{Dive, FallWish, Line, Reach, Target};
use proptest::option;
use proptest::prelude::*;

fn wishes() -> impl Strategy<Value = FallWish> {
    let line = prop_oneof![Just(Line::Tight), Just(Line::Slack)];
    let reach = (0.2..3.0f64, 0.5..20.0f64).prop_map(|(depth, within)| Reach { depth, within });
    let slack = prop_oneof![(0.05..0.6f64).prop_map(Slack::Time), (0.02..0.3f64).prop_map(Slack::Drop)];
    let dive = (-0.5..2.2f64, slack).prop_map(|(least, slack)| Dive { least, slack });
    (line, option::of(0.0..0.9f64), option::weighted(0.4, reach), option::weighted(0.4, dive))
        .prop_map(|(line, shallow, reach, dive)| FallWish { line, shallow, reach, dive })
}

/// A target with such a wish; the shallow end is a share of the depth.
fn falling() -> impl Strategy<Value = Target> {
    (target(), wishes()).prop_map(|(mut target, mut fall)| {
        let depth = target.conditions.depth;
        fall.shallow = fall.shallow.map(|share| share * depth).filter(|shallow| *shallow < depth);
        target.fall = fall;
        target
    })
}

proptest! {
    #![proptest_config(cases(24))]

    #[test]
    fn the_fast_search_is_the_slow_one(catalog in catalog(), target in falling(), wish in wish()) {
        let (best, _) = exhaustive(&catalog, &target, wish);
        let found = search(&catalog, &target, wish, &Unwatched);
        prop_assert_eq!(found.candidates.as_slice(), best.list());
        for candidate in &found.candidates {
            let assessed = assess(&candidate.fly, &target);
            prop_assert!(assessed.feasible(), "{:?}", assessed.checks);
            prop_assert_eq!(assessed.margin, candidate.judgement.margin);
        }
    }

    #[test]
    fn all_that_is_judged_is_assessed_alike(catalog in catalog(), target in falling(), wish in wish()) {
        // Recipes that meet the target without what takes a history: some of them meet it with it.
        let quick = Target { fall: FallWish { shallow: None, ..FallWish::default() }, ..target.clone() };
        for candidate in search(&catalog, &quick, wish, &Unwatched).candidates {
            let (judged, assessed) = (judge(&candidate.fly, &target), assess(&candidate.fly, &target));
            prop_assert_eq!(judged.is_some(), assessed.feasible(), "{:?}", assessed.checks);
            if let Some(judgement) = judged {
                prop_assert_eq!(judgement.margin, assessed.margin);
                prop_assert!(judge_quick(&candidate.fly, &target).unwrap().margin >= judgement.margin);
            }
        }
    }
}
