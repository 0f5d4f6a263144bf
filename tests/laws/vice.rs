//! Stages, corrections, and the simulated tyer.

use super::spread::{jig, target};
use counterpoise::catalog::Catalog;
use counterpoise::fly::{Deviation, Fly, FoamPiece, resolve};
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Microns;
use counterpoise::recipe::{Recipe, WireUse};
use counterpoise::spread::draws::{Draws, Plan, SOURCES, deviation};
use counterpoise::spread::seen::likely;
use counterpoise::vice::Stage;
use counterpoise::vice::correct::{Change, NoAdvice, Seen};
use counterpoise::vice::{Bench, HangTest, Jar};
use counterpoise::wanted::Target;

fn bench<'a>(recipe: &Recipe, catalog: &'a Catalog, target: &Target) -> Bench<'a> {
    Bench::new(resolve(recipe, catalog).unwrap(), target, Jar::at(20.0, 101_325.0).unwrap())
}

/// Trimming makes far more flies right than leaving them alone, and says when to stop.
#[test]
fn trimming_gains_and_ends() {
    let catalog = Catalog::built_in().unwrap();
    for tolerance in [5.0, 10.0, 15.0] {
        let target = target(&catalog, tolerance);
        let bench = bench(&jig(15.0), &catalog, &target);
        let trim = bench.trim().unwrap();
        assert!(trim.shares.trimmed.unwrap() > trim.shares.as_tied + 0.1, "{tolerance}: {trim:?}");
        assert!(trim.start.mm() > 15.0 && bench.foam_fits(trim.start));
        // From the stop reading on to more head-down, one scissor step more at each row.
        assert!(trim.chart[0].near <= trim.stop_at + 1e-9 && trim.chart[0].cut == trim.scissors, "{trim:?}");
        for (row, next) in trim.chart.iter().zip(&trim.chart[1..]) {
            assert!(next.near < row.near && row.far == Some(next.near), "{trim:?}");
            assert_eq!(next.cut.micrometres() - row.cut.micrometres(), trim.scissors.micrometres());
        }
        // Too far is past the stop reading; lift is lost at depth, so the jar must show the head lower than wanted there.
        assert!(trim.too_far.unwrap() > trim.stop_at);
        assert!(trim.jar_shows < target.hang - 5f64.to_radians());
        // What a reading is printed as can occur.
        assert!(trim.chart.iter().all(|row| row.near.abs() < 0.75 * std::f64::consts::PI), "{trim:?}");
    }
    let target = target(&catalog, 5.0);
    let deep =
        Target { conditions: counterpoise::fly::Conditions { depth: 3.0, ..target.conditions }, ..target.clone() };
    let deeper = self::bench(&jig(17.0), &catalog, &deep).trim().unwrap().jar_shows;
    assert!(deeper < bench(&jig(15.0), &catalog, &target).trim().unwrap().jar_shows);
}

/// What is inferred from a reading hangs as was seen, and no other fly that does is nearer to the recipe.
#[test]
fn the_likeliest_fly_is_the_nearest_that_hangs_so() {
    let catalog = Catalog::built_in().unwrap();
    let target = target(&catalog, 5.0);
    let bench = bench(&jig(15.0), &catalog, &target);
    let rides = bench.side_at(HangTest::in_jar(Stage::Foam));
    let view = |d: &Deviation| bench.turn_at(HangTest::in_jar(Stage::Foam), d, rides);
    let seen = view(&Deviation::NONE).unwrap() + 0.25;
    let found = likely(bench.spreads(), seen, 1e-4, view).unwrap();
    assert!((found.turn - seen).abs() < 1e-3, "{seen} {found:?}");
    let norm = |z: &[f64; SOURCES]| z.iter().map(|v| v * v).sum::<f64>();
    let draws = Draws::new(Plan { samples: 4_000, seed: 8 });
    let mut tried = 0;
    for z in draws.flies() {
        if view(&deviation(bench.spreads(), z)).is_some_and(|t| (t - seen).abs() < 0.02) {
            tried += 1;
            let used: f64 = bench.spreads().iter().map(|s| z[s.source.index()].powi(2)).sum();
            assert!(used > 0.9 * norm(&found.standard));
        }
    }
    assert!(tried > 5, "{tried}");
}

/// A correction, done to the fly that it was worked out for, gives the hang that it says.
#[test]
fn corrections_do_what_they_say() {
    let catalog = Catalog::built_in().unwrap();
    let target = target(&catalog, 5.0);
    let mut kinds = [0; 3];
    // Wraps along the whole shank cannot move; a short coil can.
    let mut short = jig(14.0);
    short.wire = short.wire.map(|wire| WireUse { turns: 12, start: Microns::new(2_000), ..wire });
    for recipe in [jig(16.0), short] {
        let bench = bench(&recipe, &catalog, &target);
        for degrees in [-80.0_f64, -60.0, -45.0, -10.0, 20.0, 40.0] {
            let seen = Seen { test: HangTest::in_jar(Stage::Foam), angle: degrees.to_radians(), rides: None };
            let advice = bench.correct(&seen, &[]).unwrap();
            assert_eq!(advice.corrections[0].change, Change::Nothing);
            let view = |d: &Deviation| bench.turn_at(HangTest::in_jar(Stage::Foam), d, advice.rides);
            let error = bench.reading_error(advice.test);
            let fly = likely(bench.spreads(), advice.seen, error, view).unwrap().deviation;
            for correction in &advice.corrections[1..] {
                let done = match correction.change {
                    Change::Trim { cut } => Deviation { foam_length: fly.foam_length - cut.m(), ..fly },
                    Change::Wraps { more } => Deviation { turns: fly.turns + f64::from(more), ..fly },
                    Change::Move { aft } => Deviation { wraps_position: fly.wraps_position + aft.m(), ..fly },
                    _ => continue,
                };
                kinds[match correction.change {
                    Change::Trim { .. } => 0,
                    Change::Wraps { .. } => 1,
                    _ => 2,
                }] += 1;
                // What is to be trimmed is on at its start length.
                let whole = Deviation { foam_length: done.foam_length + bench.surplus(Stage::Foam), ..done };
                let depth = bench.turn_at_depth(&whole).unwrap();
                // What is trimmed afterwards ends at the hang wanted.
                let said = correction.depth.unwrap();
                assert!(correction.start.is_some() || (depth - said).abs() < 1e-9);
                let jar = bench.turn_at(HangTest::in_jar(Stage::Foam), &done, advice.rides).unwrap();
                assert!((jar - correction.shows.unwrap().turn).abs() < 1e-9);
                let before = advice.corrections[0].depth.unwrap();
                assert!((depth - target.hang).abs() < (before - target.hang).abs(), "{degrees} {correction:?}");
            }
            if degrees <= -60.0 && recipe.wire == jig(16.0).wire {
                let trim = advice.corrections.iter().find(|c| matches!(c.change, Change::Trim { .. })).unwrap();
                assert!(trim.chance > advice.corrections[0].chance + 0.1, "{advice:?}");
            }
        }
    }
    assert!(kinds[0] > 0 && kinds[1] > 0 && kinds[2] > 0, "{kinds:?}");
}

/// Foam can only be cut shorter: where flies are said to come out right by trimming, the foam that is on then is too long, or long
/// enough, and never clearly too short for this fly.
#[test]
fn nothing_is_trimmed_that_is_too_short_already() {
    let catalog = Catalog::built_in().unwrap();
    let target = target(&catalog, 5.0);
    let bench = bench(&jig(16.0), &catalog, &target);
    let trim = bench.trim().expect("its foam is trimmed");
    let more_foam = (trim.stop_at - trim.jar_shows).signum();
    let mut by_trimming = 0;
    for degrees in (-85..=85).step_by(5) {
        let test = HangTest::in_jar(Stage::Finish);
        let seen = Seen { test, angle: f64::from(degrees).to_radians(), rides: None };
        let advice = bench.correct(&seen, &[]).unwrap();
        for correction in &advice.corrections {
            if !matches!(correction.change, Change::FoamToTrim { .. } | Change::ByChart { .. })
                || correction.chance < 0.5
            {
                continue;
            }
            by_trimming += 1;
            assert_eq!((correction.depth, correction.sd), (Some(target.hang), None));
            let past = (trim.stop_at - correction.shows.unwrap().turn) * more_foam;
            assert!(past < target.tolerance, "{degrees}: {:.1} past the stop, {correction:?}", past.to_degrees());
        }
    }
    assert!(by_trimming > 10, "{by_trimming}");
}

#[test]
fn what_cannot_have_been_seen_is_refused() {
    let catalog = Catalog::built_in().unwrap();
    let target = target(&catalog, 5.0);
    let bench = bench(&jig(15.0), &catalog, &target);
    let wing = Seen { test: HangTest::in_jar(Stage::Wing), angle: 0.1, rides: None };
    assert!(matches!(bench.correct(&wing, &[]), Err(NoAdvice::NoStage { stage: Stage::Wing, .. })));
    let past = Seen { test: HangTest::in_jar(Stage::Foam), angle: 2.0, rides: Some(Rides::PointUp) };
    assert!(matches!(bench.correct(&past, &[]), Err(NoAdvice::PastVertical { .. })));
    // Rolled over is a reading too.
    let over = Seen { test: HangTest::in_jar(Stage::Foam), angle: -1.4, rides: Some(Rides::PointDown) };
    assert!(bench.correct(&over, &[]).unwrap().seen < -1.5);
}

/// The last stage is the whole fly, and what the stages say of it agrees with the fly itself.
#[test]
fn the_last_stage_is_the_fly() {
    let catalog = Catalog::built_in().unwrap();
    let target = target(&catalog, 20.0);
    let bench = bench(&jig(14.0), &catalog, &target);
    let stages = bench.stages(&Draws::default());
    let order: Vec<Stage> = stages.iter().map(|s| s.stage).collect();
    assert_eq!(order, [Stage::Bead, Stage::Wire, Stage::Thread, Stage::Foam, Stage::Tail, Stage::Body, Stage::Finish]);
    let last = stages.last().unwrap();
    // What is trimmed is on at its start length.
    let start = bench.trim().unwrap().start;
    let long = Fly { foam: bench.fly.foam.map(|piece| FoamPiece { length: start, ..piece }), ..bench.fly };
    let whole = counterpoise::assess::predict(&long, &bench.jar.conditions());
    assert!((last.jar.turn.unwrap() - whole.hang.rest().unwrap().angle).abs() < 1e-9);
    assert!((last.foam.unwrap() - start.m()).abs() < 1e-12 && stages[1].foam.is_none());
    // The nearer to the end, the more a reading says of the finished fly.
    let told: Vec<f64> = stages.iter().map(|s| s.jar.forecast.unwrap().told).collect();
    assert!(told[6] > 0.7 && told[3] > 0.7 && told[1] < 0.1, "{told:?}");
    let (low, high) = last.jar.forecast.unwrap().go_on;
    assert!(low < last.jar.turn.unwrap() && last.jar.turn.unwrap() < high);
}
