//! One base under each of several dressings: the search gives what trying every base under every dressing by itself gives.

use super::random_catalog::{catalog, dressing, target, wish};
use super::share_search::some_parts;
use super::{cases, some};
use counterpoise::assess::{Judgement, judge};
use counterpoise::catalog::Catalog;
use counterpoise::fly::Fly;
use counterpoise::quantity::{Angle, Interval, Length};
use counterpoise::search::exhaustive::walk;
use counterpoise::search::rank::{Candidate, Incumbents, Ranking, Variety};
use counterpoise::search::tariff::Tariff;
use counterpoise::search::{Found, Unwatched, Wish, search_ranked};
use counterpoise::spread::shares::share_counted;
use counterpoise::wanted::{Counted, ShareFloor, Target, TargetSpec};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use rayon::ThreadPoolBuilder;
use std::sync::Arc;

/// A catalog of two or three dressings, and a target that asks a base for all of them.
fn asked() -> impl Strategy<Value = (Catalog, Target)> {
    (catalog(), target(), vec(dressing(), 1..=2)).prop_map(|(mut catalog, mut target, more)| {
        for (i, mut dressing) in more.into_iter().enumerate() {
            dressing.row.id = format!("dressing-{}", i + 1);
            catalog.dressings.push(dressing);
        }
        target.choice.each = catalog.dressings.iter().cloned().map(Arc::new).collect();
        (catalog, target)
    })
}

/// What one dressing says of a base, looked at as if there were no other.
fn alone(fly: &Fly, target: &Target) -> Option<(Judgement, Option<f64>)> {
    let judgement = judge(fly, target)?;
    let Some(floor) = target.share else { return Some((judgement, None)) };
    let share = share_counted(fly, target, &floor);
    (share >= floor.least).then_some((judgement, Some(share)))
}

/// Every base of the space, under one dressing after the other.
fn by_trying<'a>(catalog: &'a Catalog, target: &Target, ranking: Ranking, wish: Wish) -> Incumbents<'a> {
    let of_one: Vec<(&str, Target)> = target.choice.dressings().into_iter().map(|id| (id, target.under(id))).collect();
    let mut best = Incumbents::new(wish.top, wish.variety).ranked(ranking);
    walk(catalog, &of_one[0].1, &mut |fly| {
        let under = |(id, target): &(&str, Target)| {
            let fly = Fly { dressing: catalog.dressing(id).unwrap(), ..*fly };
            alone(&fly, target)
        };
        if let Some(all) = of_one.iter().map(under).collect::<Option<Vec<_>>>() {
            let least = |of: fn(&Judgement) -> f64| all.iter().map(|(j, _)| of(j)).fold(f64::INFINITY, f64::min);
            let judgement = Judgement { cost: all[0].0.cost, margin: least(|j| j.margin), lever: least(|j| j.lever) };
            let share = all.iter().filter_map(|(_, share)| *share).reduce(f64::min);
            best.offer(Candidate { fly: *fly, judgement, price: judgement.cost, share });
        }
        true
    });
    best
}

fn searched<'a>(catalog: &'a Catalog, target: &Target, ranking: Ranking, wish: Wish) -> Found<'a> {
    search_ranked(catalog, target, (&Tariff::Material, ranking), wish, &|_| true, &Unwatched)
}

proptest! {
    #![proptest_config(cases(64))]

    #[test]
    fn a_base_for_several_dressings_is_that_of_trying_everything((catalog, target) in asked(), wish in wish()) {
        let best = by_trying(&catalog, &target, Ranking::default(), wish);
        let found = searched(&catalog, &target, Ranking::default(), wish);
        prop_assert_eq!(found.candidates.as_slice(), best.list());
        prop_assert!(found.proven() && found.tally.total() == found.space);
    }
}

proptest! {
    #![proptest_config(cases(16))]

    #[test]
    fn with_a_share_asked_of_each_dressing_too(
        (catalog, target) in asked(), least in select(vec![0.2, 0.5, 0.8]), trimmed in any::<bool>(), wish in wish(),
        ranking in select(vec![(1, false, 0), (5, true, 10), (20, true, 0)]), shallow in option::weighted(0.3, 0.0..1.0f64)
    ) {
        let ranking = Ranking { step: ranking.0, surer: ranking.1, unsure: ranking.2 };
        let counted = if trimmed { Counted::Trimmed } else { Counted::AsTied };
        let mut target = Target { share: Some(ShareFloor { least, counted }), ..target };
        target.fall.shallow = shallow.map(|part: f64| part * target.conditions.depth);
        let best = by_trying(&catalog, &target, ranking, wish);
        let on = |threads: usize| {
            let pool = ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| searched(&catalog, &target, ranking, wish))
        };
        let found = on(1);
        prop_assert_eq!(&found, &on(8));
        prop_assert_eq!(found.candidates.as_slice(), best.list());
        prop_assert!(found.proven());
    }
}

proptest! {
    #![proptest_config(cases(8))]

    /// The same with parts and dressings as they are sold.
    #[test]
    fn with_real_parts_no_base_that_comes_out_right_is_missed(
        (hook, parts) in (any::<usize>(), any::<[usize; 4]>()), dressings in subsequence((1..12).collect::<Vec<usize>>(), 2),
        (hang, tolerance, depth) in (-30.0..30.0f64, 4.0..14.0f64, 0.3..4.0f64),
        least in select(vec![0.4, 0.6, 0.8]), surer in any::<bool>(),
    ) {
        let catalog = some_parts(hook, parts);
        let spec = TargetSpec {
            hang: Some(Angle::from_deg(hang)),
            tolerance: Some(Angle::from_deg(tolerance)),
            each_pattern: dressings.iter().map(|i| catalog.dressings[*i].row.id.clone()).collect(),
            depth: Some(Interval::Exactly(Length::from_m(depth))),
            wrap_step: Some(Length::from_mm(4.0)),
            foam_step: Some(Length::from_mm(1.5)),
            only: vec!["foam.seat=tail".into()],
            visible_foam: Some(true),
            ..TargetSpec::default()
        };
        let mut target = spec.resolve(&catalog).unwrap().0;
        target.share = Some(ShareFloor { least, counted: Counted::Trimmed });
        let (ranking, wish) = (Ranking { step: 5, surer, unsure: if surer { 10 } else { 0 } }, Wish { top: 5, variety: Variety::Parts });
        let best = by_trying(&catalog, &target, ranking, wish);
        let found = searched(&catalog, &target, ranking, wish);
        prop_assert_eq!(found.candidates.as_slice(), best.list());
    }
}

/// The laws above would hold of empty lists: bases are found, other dressings shut out what the first lets in, and each of the
/// list meets the target whichever dressing comes first.
#[test]
fn other_dressings_bite() {
    let (mut found_any, mut bitten) = (0, 0);
    for ((catalog, target), wish) in some((asked(), wish()), 60) {
        let wish = Wish { top: 40, ..wish };
        let each = searched(&catalog, &target, Ranking::default(), wish).candidates;
        let first = searched(&catalog, &target.under("dressing-0"), Ranking::default(), wish).candidates;
        let flies = |list: &[Candidate]| list.iter().map(|c| c.fly.recipe()).collect::<Vec<_>>();
        found_any += usize::from(!each.is_empty());
        bitten += usize::from(flies(&each) != flies(&first));
        let mut turned = target.clone();
        turned.choice.each.reverse();
        turned.choice.dressing.clone_from(&turned.choice.each[0].row.id);
        for candidate in &each {
            let fly = Fly { dressing: catalog.dressing(&turned.choice.dressing).unwrap(), ..candidate.fly };
            let (there, here) = (judge(&fly, &turned).unwrap(), candidate.judgement);
            assert_eq!((there.margin, there.lever), (here.margin, here.lever));
        }
    }
    assert!(found_any >= 10 && bitten >= 5, "{found_any} {bitten}");
}
