//! What the search says of a set of flies on their way down must hold for each of the set; and it must say enough.

use super::cases;
use super::random_catalog::{catalog, target};
use super::shares::drawn_recipe;
use counterpoise::assess::{clearly_late, history_checks, judge, judge_quick};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{self, AsTied, Deviation, Fly, State, resolve};
use counterpoise::physics::statics::Knot;
use counterpoise::quantity::Angle;
use counterpoise::recipe::Seat;
use counterpoise::search::bounds::Bounds;
use counterpoise::search::bounds::descent::CLASSES;
use counterpoise::search::bounds::range::Range;
use counterpoise::search::exhaustive::walk;
use counterpoise::search::rank::Variety;
use counterpoise::search::{Found, Tally, Unwatched, Wish, search};
use counterpoise::spread::draws::stream;
use counterpoise::wanted::{FallWish, Line, Reach, Target, TargetSpec};
use proptest::prelude::*;
use rand_xoshiro::rand_core::RngCore;

/// Mean weight over the way, least drag in each class of attitudes, M . d in the middle of a window, and the
/// most by which M differs on the way, of one fly, from many depths.
fn way_of(fly: &Fly, target: &Target, bounds: &Bounds, reach: Reach) -> (Range, [f64; CLASSES], (f64, f64)) {
    let water = &target.conditions.water;
    let sinking = fly::sinking(fly, &target.conditions);
    let there = |depth: f64| sinking.moments(depth, water);
    let here = there(target.conditions.depth);
    let stations = (0..=40).map(|i| reach.depth * f64::from(i) / 40.0);
    let way = bounds.descent().unwrap();
    let shift = |z: f64| (there(z).x - here.x).hypot(there(z).y - here.y) / way.shifted_at(z).max(1e-9);
    let shift = stations.clone().map(shift).fold(0.0, f64::max);
    // At the ends of a stretch half of it.
    let ends = 0.5 * (there(0.0).weight + there(reach.depth).weight);
    let mean = (stations.clone().map(|z| there(z).weight).sum::<f64>() - ends) / 40.0;
    let drags = stations.map(|z| {
        let [_, _, _, classes @ ..] = bounds.drag(&sinking.at(z, water).elements).least;
        classes
    });
    let drag = drags.reduce(|a, b| std::array::from_fn(|i| a[i].min(b[i]))).unwrap();
    let down = bounds
        .windows
        .iter()
        .map(|w| 0.5 * (w.from + w.to))
        .map(|middle| here.x * middle.sin() - here.y * middle.cos())
        .fold(f64::NEG_INFINITY, f64::max);
    (Range::point(mean), drag, (down, shift))
}

proptest! {
    #![proptest_config(cases(32))]

    #[test]
    fn no_fly_that_gets_down_in_time_is_ruled_out(
        catalog in catalog(), target in target(), depth in 0.3..4.0f64, mean in 0.03..0.6f64, slack in any::<bool>()
    ) {
        let line = if slack { Line::Slack } else { Line::Tight };
        let reach = Reach { depth, within: depth / mean };
        let target = Target { fall: FallWish { line, reach: Some(reach), ..FallWish::default() }, ..target };
        let mut seen = 0;
        let mut wrong = None;
        walk(&catalog, &target, &mut |fly| {
            if judge_quick(fly, &target).is_none() {
                return true;
            }
            seen += 1;
            let bounds = Bounds::new(&target, fly.hook);
            let (weight, drag, turning) = way_of(fly, &target, &bounds, reach);
            let on_loop = target.conditions.knot == Knot::Loop;
            let out = bounds.descent().unwrap().impossible(weight, drag, turning, on_loop);
            if (out || bounds.refused()) && judge(fly, &target).is_some() {
                wrong = Some(fly.recipe().to_string());
            }
            wrong.is_none() && seen < 8
        });
        prop_assert_eq!(wrong, None);
    }
}

/// No fly gets down sooner than at its steady rate all the way, which the quick test goes by: real parts, 0.3 to 8 m.
#[test]
fn no_fly_that_gets_down_just_in_time_is_clearly_late() {
    let catalog = Catalog::built_in().unwrap();
    let (mut seen, mut late, mut soonest) = (0, 0, f64::INFINITY);
    for case in 0..cases(400).cases {
        let mut luck = stream(31, 1, u64::from(case));
        let fly = resolve(&drawn_recipe(&catalog, &mut luck, &Seat::ALL), &catalog).unwrap();
        let knot = ["loop", "snug"][case as usize % 2].to_owned();
        let mut target = TargetSpec { knot: Some(knot), ..TargetSpec::default() }.resolve(&catalog).unwrap().0;
        if case % 3 == 0 {
            target.conditions.state = State::Fresh;
        }
        let even = |luck: &mut _| RngCore::next_u64(luck) as f64 / u64::MAX as f64;
        let depth = 0.3 * 27f64.powf(even(&mut luck));
        target.conditions.depth = 8.0 * even(&mut luck);
        let down_in = |within: f64| Target {
            fall: FallWish { reach: Some(Reach { depth, within }), ..FallWish::default() },
            ..target.clone()
        };
        let tied = AsTied::new(fly, &target.conditions);
        let takes = history_checks(&tied, &Deviation::NONE, &down_in(1.0))[0].value;
        if takes > 3_000.0 {
            continue;
        }
        seen += 1;
        let out = |share: f64| clearly_late(&tied, &Deviation::NONE, &down_in(takes), share);
        assert!(!out(1.0), "{} m, {takes} s: {}", depth, fly.recipe());
        // By how little it is not, and that the test does its work.
        soonest =
            (1..=60).map(|i| 1.0 + f64::from(i) * 1e-3).find(|share| out(*share)).map_or(soonest, |s| soonest.min(s));
        late += u32::from(out(1.1));
    }
    println!("{seen} flies, {late} late by a tenth; late from {soonest} on at the soonest");
    assert!(2 * late > seen && seen > 100, "{late} of {seen}");
}

fn asked(change: impl Fn(&mut TargetSpec)) -> Tally {
    let catalog = Catalog::built_in().unwrap();
    let mut spec = TargetSpec {
        hook: Some("streamer-8".into()),
        hang: Some(Angle::from_deg(0.0)),
        only: vec!["bead.material=brass".into()],
        ..TargetSpec::default()
    };
    change(&mut spec);
    let (target, _) = spec.resolve(&catalog).unwrap();
    let found: Found = search(&catalog, &target, Wish { top: 3, variety: Variety::Parts }, &Unwatched);
    assert!(found.proven());
    found.tally
}

#[test]
fn what_no_fly_does_is_refused_at_once() {
    for sink in ["-5..-1m/s", "0m/s", "<=0 m/s"] {
        let tally = asked(|s| s.sink = Some(sink.parse().unwrap()));
        assert_eq!((tally.evaluated, tally.nodes, tally.sink_rate), (0, 0, tally.total()), "{sink}");
    }
    // A stone takes 0.78 s to fall 3 m in air.
    let tally = asked(|s| {
        s.reach = Some("3 m".parse().unwrap());
        s.within = Some("0.7 s".parse().unwrap());
    });
    assert_eq!(tally.nodes, 0);
    // From level, within 12 degrees, no nose drops by more than 102.
    let dives = |least: &str| {
        asked(|s| {
            s.tolerance = Some("12 deg".parse().unwrap());
            s.dive = Some(least.parse().unwrap());
        })
    };
    let refused = dives("103 deg");
    assert_eq!((refused.nodes, refused.hang), (0, refused.total()));
    assert!(dives("101 deg").nodes > 0);
}
