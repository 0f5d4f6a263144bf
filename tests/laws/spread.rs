//! Chance, slopes, stages, corrections and trimming.

use counterpoise::assess::{first_miss, judge_quick};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{AsTied, Deviation, Fly, resolve};
use counterpoise::part::Cut;
use counterpoise::quantity::{Angle, Microns};
use counterpoise::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};
use counterpoise::spread::chance::{Trial, chance, hang_spread, least_count};
use counterpoise::spread::draws::{Draws, Plan, Source, Spread, spreads};
use counterpoise::spread::slopes::{View, linear, slopes};
use counterpoise::wanted::{Target, TargetSpec};
use proptest::prelude::*;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// The size 12 jig of the main job: slotted tungsten-alloy bead, lead along the shank, light body, foam in the tail.
pub(crate) fn jig(foam_mm: f64) -> Recipe {
    Recipe {
        hook: "jig60-12".into(),
        dressing: "light-body".into(),
        bead: Some(BeadUse { id: "tungsten-slotted-3.5".into(), mount: Mount::Eye }),
        wire: Some(WireUse { id: "lead-0.010in".into(), turns: 20, start: Microns::new(0) }),
        foam: Some(FoamUse {
            id: "pe-rod-1-4in".into(),
            cut: Cut::Quarter,
            length: Microns::from_mm(foam_mm).unwrap(),
            seat: Seat::Tail,
        }),
    }
}

/// A steady fly: a heavy bead ahead of a straight eye.
fn steady() -> Recipe {
    Recipe {
        hook: "streamer-6".into(),
        dressing: "fur-leech".into(),
        bead: Some(BeadUse {
            id: "tungsten-3.5".into(),
            mount: Mount::Pin { pin: "pin-0.6x22".into(), projection: Microns::new(8000) },
        }),
        wire: None,
        foam: None,
    }
}

pub(crate) fn target(catalog: &Catalog, tolerance_deg: f64) -> Target {
    let spec = TargetSpec {
        pattern: Some("light-body".into()),
        tolerance: Some(Angle::from_deg(tolerance_deg)),
        rides: Some("either".into()),
        ..TargetSpec::default()
    };
    spec.resolve(catalog).unwrap().0
}

fn with_hang(target: Target, fly: &Fly) -> Target {
    let tied = AsTied::new(*fly, &target.conditions);
    let hang = View::new(&tied).unwrap().turn(&Deviation::NONE).unwrap();
    Target { hang, ..target }
}

/// With one source that adds a normal moment across the shank, the hang is atan((a + b z) / c) and the share within a window
/// has a closed form. The wraps slid along the shank are that source: Mx moves in proportion, My stays.
#[test]
fn monte_carlo_against_the_closed_form() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = jig(13.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let target = with_hang(target(&catalog, 6.0), &fly);
    let tied = AsTied::new(fly, &target.conditions);
    let only = [Spread { source: Source::WrapsPosition, sd: 2.0e-3 }];
    let moments = |z: f64| tied.moments(&Deviation { wraps_position: 2.0e-3 * z, ..Deviation::NONE });
    let (none, one) = (moments(0.0), moments(1.0));
    assert!((one.y - none.y).abs() < 1e-18);
    let edge = |angle: f64| (-none.y * angle.tan() - none.x) / (one.x - none.x);
    let below = |z: f64| 0.5 * libm_erfc(-z * FRAC_1_SQRT_2);
    let window = target.hang_window();
    let share = below(edge(window.high.unwrap())) - below(edge(window.low.unwrap()));
    assert!(share > 0.2 && share < 0.9, "{share}");
    let samples = 100_000;
    let draws = Draws::new(Plan { samples, seed: 4 });
    let met = draws
        .flies()
        .iter()
        .filter(|z| {
            let deviation = counterpoise::spread::draws::deviation(&only, z);
            first_miss(&tied, &deviation, &target).is_none()
        })
        .count();
    let found = met as f64 / f64::from(samples);
    let error = (share * (1.0 - share) / f64::from(samples)).sqrt();
    assert!((found - share).abs() < 3.0 * error, "{found} for {share} +- {error}");
}

/// Complementary error function by its continued fraction and series (Abramowitz & Stegun 7.1.5, 7.1.14, from memory).
fn libm_erfc(x: f64) -> f64 {
    if x < 0.0 {
        return 2.0 - libm_erfc(-x);
    }
    if x < 2.0 {
        let (mut term, mut sum) = (x, x);
        for n in 1..60 {
            let n = f64::from(n);
            term *= -x * x / n;
            sum += term / (2.0 * n + 1.0);
        }
        return 1.0 - 2.0 / PI.sqrt() * sum;
    }
    let fraction = (1..80).rev().fold(x, |tail, n| x + 0.5 * f64::from(n) / tail);
    (-x * x).exp() / (PI.sqrt() * fraction)
}

/// Where the spread is small against the bend of the curve, both agree.
#[test]
fn monte_carlo_against_first_order() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = steady();
    let fly = resolve(&recipe, &catalog).unwrap();
    let target = with_hang(Target { sink: None, ..target(&catalog, 3.0) }, &fly);
    let tied = AsTied::new(fly, &target.conditions);
    let view = View::new(&tied).unwrap();
    let line = linear(&spreads(&fly), &Deviation::NONE, |d| view.turn(d)).unwrap();
    assert!(line.sd().to_degrees() < 4.0, "{}", line.sd().to_degrees());
    let draws = Draws::new(Plan { samples: 20_000, seed: 2 });
    let counted = chance(&fly, &target, &draws);
    let by_line = line.share_within(&target.hang_window());
    let apart = (counted.probability - by_line).abs();
    assert!(apart < 3.0 * counted.standard_error + 0.01, "{counted:?} {by_line}");
    // One in ten and nine in ten lie 1.28155 standard deviations from the middle (from memory).
    let spread = hang_spread(&spreads(&fly), &draws, |d| view.turn(d)).unwrap();
    assert!(((spread.high - spread.low) / (2.0 * 1.281_55 * line.sd()) - 1.0).abs() < 0.03);
}

#[test]
fn the_standard_error_shrinks_with_the_root_of_the_number() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = jig(15.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let target = target(&catalog, 10.0);
    let scatter = |samples: u32| {
        let found: Vec<f64> = (0..60)
            .map(|seed| chance(&fly, &target, &Draws::new(Plan { samples, seed: 100 + seed })).probability)
            .collect();
        let mean = found.iter().sum::<f64>() / 60.0;
        (found.iter().map(|p| (p - mean).powi(2)).sum::<f64>() / 59.0).sqrt()
    };
    let (few, many) = (scatter(100), scatter(1_600));
    // A standard deviation from 60 values is itself known to 9 %.
    assert!((few / many / 4.0 - 1.0).abs() < 0.3, "{few} {many}");
    for (samples, seen) in [(100, few), (1_600, many)] {
        let said = chance(&fly, &target, &Draws::new(Plan { samples, seed: 1 })).standard_error;
        assert!((seen / said - 1.0).abs() < 0.3, "{samples}: {seen} {said}");
    }
}

#[test]
fn the_same_seed_says_the_same_at_any_number_of_threads() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = jig(15.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let target = target(&catalog, 10.0);
    let at = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| chance(&fly, &target, &Draws::default()))
    };
    let one = at(1);
    assert_eq!(one, at(3));
    assert_eq!(one, at(8));
    let other = chance(&fly, &target, &Draws::new(Plan { seed: 2, ..Plan::default() }));
    assert!(other.probability != one.probability);
    assert!((other.probability - one.probability).abs() < 4.0 * 2f64.sqrt() * one.standard_error);
}

#[test]
fn counting_with_an_end_in_sight_counts_the_same() {
    let catalog = Catalog::built_in().unwrap();
    let draws = Draws::new(Plan { samples: 500, seed: 3 });
    for mm in [12.0, 14.0, 15.0, 16.0] {
        let recipe = jig(mm);
        let fly = resolve(&recipe, &catalog).unwrap();
        let target = target(&catalog, 15.0);
        let share = chance(&fly, &target, &draws).probability;
        let met = (share * 500.0).round() as usize;
        let trial = Trial::new(&fly, &target);
        assert_eq!(trial.count_if(&draws, met), Some(met));
        assert_eq!(trial.count_if(&draws, met + 1), None);
        assert_eq!(least_count(share, 500), met);
    }
}

#[test]
fn the_missed_and_the_met_are_all() {
    let catalog = Catalog::built_in().unwrap();
    let recipe = jig(15.0);
    let fly = resolve(&recipe, &catalog).unwrap();
    let found = chance(&fly, &target(&catalog, 5.0), &Draws::default());
    let all = found.probability + found.missed.values().sum::<f64>();
    assert!((all - 1.0).abs() < 1e-12);
}

/// Slopes by hand from whole steps of the recipe.
#[test]
fn slopes_are_those_of_the_recipes_beside() {
    let catalog = Catalog::built_in().unwrap();
    let conditions = target(&catalog, 5.0).conditions;
    let turn = |recipe: &Recipe| {
        let tied = AsTied::new(resolve(recipe, &catalog).unwrap(), &conditions);
        View::new(&tied).unwrap().turn(&Deviation::NONE).unwrap().to_degrees()
    };
    let recipe = jig(13.0);
    let tied = AsTied::new(resolve(&recipe, &catalog).unwrap(), &conditions);
    let found = slopes(&View::new(&tied).unwrap());
    let mut longer = recipe.clone();
    longer.foam.as_mut().unwrap().length = Microns::new(13_500);
    let mut shorter = recipe.clone();
    shorter.foam.as_mut().unwrap().length = Microns::new(12_500);
    assert!((found.per_mm_foam.unwrap() - (turn(&longer) - turn(&shorter))).abs() < 1e-6);
    assert!(found.per_mm_foam.unwrap() < -5.0, "{found:?}");
    let mut more = recipe.clone();
    more.wire.as_mut().unwrap().turns = 21;
    let one_wrap = turn(&more) - turn(&recipe);
    assert!((found.per_wrap.unwrap() / one_wrap - 1.0).abs() < 0.1, "{found:?} {one_wrap}");
    assert!(found.per_mm_wraps.unwrap() > 0.0 && found.per_mm_seat.unwrap() < 0.0);
    assert!(found.per_percent_bead.is_some() && found.per_mm_pin.is_none());
}

proptest! {
    #![proptest_config(super::cases(64))]

    /// The quick look at a fly as tied says of the recipe itself what the one evaluation says.
    #[test]
    fn as_written_it_is_judged_like_the_recipe(
        mm in 5.0..20.0f64, turns in 4..24u32, tolerance in 2.0..40.0f64, low in 0.02..0.3f64, wide in 0.01..0.3f64,
        shallow in 0.0..1.9f64, range in any::<bool>(), mass in 3e-4..9e-4f64,
    ) {
        let catalog = Catalog::built_in().unwrap();
        let mut recipe = jig(mm);
        recipe.wire.as_mut().unwrap().turns = turns;
        let fly = resolve(&recipe, &catalog).unwrap();
        let mut target = target(&catalog, tolerance);
        target.limits.visible_foam = true;
        target.limits.clear_gap = 0.0;
        target.max_mass = Some(mass);
        target.conditions.depth = 2.0;
        target.fall.shallow = range.then_some(shallow);
        target.sink = Some(counterpoise::wanted::Window { low: Some(low), high: Some(low + wide) });
        prop_assume!(counterpoise::fly::first_misfit(&fly, &target.limits).is_none());
        let tied = AsTied::new(fly, &target.conditions);
        let quick = first_miss(&tied, &Deviation::NONE, &target);
        prop_assert_eq!(quick.is_none(), judge_quick(&fly, &target).is_some(), "{:?}", quick);
    }
}
