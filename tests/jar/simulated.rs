//! Logs of tyers whose truth is known.

use super::tyer::{Tyer, jar, jig};
use counterpoise::assess::predict;
use counterpoise::calibrate::{
    Calibration, Correction, Figure, Fit, Reading, TOLD_LITTLE, Way, calibration_text, fit_entries, outcomes, outlook,
    summaries,
};
use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::fly::{Conditions, State, resolve};
use counterpoise::jar_log::{Entry, Test};
use counterpoise::part::Kind;
use counterpoise::physics::statics::Rides;
use counterpoise::spread::turn;
use counterpoise::vice::Stage;
use rayon::prelude::*;
use std::f64::consts::PI;

/// A dozen tests as a careful tyer makes them; flies that float are left out.
fn log(tyer: &mut Tyer) -> Vec<Entry> {
    let mut entries = vec![tyer.weigh_beads("tungsten-slotted-3.5", 10)];
    let first = tyer.scatter(&jig(11_000));
    for stage in [Stage::Wire, Stage::Foam, Stage::Finish] {
        entries.extend(tyer.hang(&jig(11_000), stage, Some(("A", &first))));
    }
    for foam_um in [11_000, 9_000, 12_500] {
        entries.extend(tyer.hang(&jig(foam_um), Stage::Finish, None));
        entries.extend(tyer.hang(&jig(foam_um), Stage::Foam, None));
    }
    entries.extend(tyer.drop(&jig(9_000)));
    entries.extend(tyer.drop(&jig(11_000)));
    entries
}

/// Hangs alone: quick to fit.
fn hangs(tyer: &mut Tyer, lengths: &[i32]) -> Vec<Entry> {
    lengths.iter().filter_map(|um| tyer.hang(&jig(*um), Stage::Finish, None)).collect()
}

/// A few flies, each hung in the jar, deep down, and fresh: what tells how foam gives way and how much air there is.
fn deep_and_fresh(tyer: &mut Tyer) -> Vec<Entry> {
    let mut entries = Vec::new();
    for (i, um) in [10_000, 11_000, 12_000].into_iter().enumerate() {
        let (scatter, name) = (tyer.scatter(&jig(um)), format!("fly {i}"));
        let fresh = Conditions { state: State::Fresh, ..jar(0.1) };
        for conditions in [jar(0.1), jar(3.0), fresh] {
            entries.extend(tyer.hang_at(conditions, &jig(um), Stage::Finish, Some((&name, &scatter))));
        }
    }
    entries
}

#[test]
fn deep_and_fresh_tests_tell_of_walls_and_air() {
    let catalog = Catalog::built_in().unwrap();
    let tyers: Vec<_> = (0..tyers(8))
        .into_par_iter()
        .map(|seed| {
            let mut tyer = Tyer::drawn_with_habits(&catalog, 3_000 + seed);
            let entries = deep_and_fresh(&mut tyer);
            let fit = fit_entries(&catalog, &entries).unwrap();
            let told =
                |figure: Figure| fit.learned().iter().find(|l| l.correction.figure == figure).map_or(0.0, |l| l.told());
            (off(&fit, &tyer), told(Figure::WallPressure), told(Figure::Air))
        })
        .collect();
    let all: Vec<f64> = tyers.iter().flat_map(|t| t.0.clone()).collect();
    let within = all.iter().filter(|o| o.abs() < 2.0).count() as f64 / all.len() as f64;
    let mean = |of: fn(&(Vec<f64>, f64, f64)) -> f64| tyers.iter().map(of).sum::<f64>() / tyers.len() as f64;
    let (walls, air) = (mean(|t| t.1), mean(|t| t.2));
    println!(
        "deep and fresh: {within:.2} of {} within two errors; told {walls:.2} of walls, {air:.2} of air",
        all.len()
    );
    assert!((0.88..=1.0).contains(&within), "{within}");
    assert!(walls > 0.02 && air > 0.02, "{walls} {air}");
}

/// Tyers in a test: more with JAR_TYERS.
fn tyers(few: u64) -> u64 {
    std::env::var("JAR_TYERS").ok().and_then(|n| n.parse().ok()).unwrap_or(few)
}

/// How far each best guess is from the truth, in its own stated errors; those that were told something.
fn off(fit: &Fit, tyer: &Tyer) -> Vec<f64> {
    let truth = |of: &Correction| tyer.z.iter().find(|(c, _)| c == of).unwrap().1;
    let told = |error: f64| 1.0 - error * error >= TOLD_LITTLE;
    fit.guesses().iter().filter(|(_, _, e)| told(*e)).map(|(c, z, e)| (z - truth(c)) / e).collect()
}

/// Each tyer differs from the catalog by what it lets them, and has habits. Best guesses of a fit within one and two of their
/// own standard errors of the truth: 68 and 95 % are stated.
#[test]
fn estimates_lie_within_their_stated_errors_at_the_stated_rate() {
    let catalog = Catalog::built_in().unwrap();
    let all: Vec<f64> = (0..tyers(24))
        .into_par_iter()
        .map(|seed| {
            let mut tyer = Tyer::drawn_with_habits(&catalog, seed);
            let entries = log(&mut tyer);
            off(&fit_entries(&catalog, &entries).unwrap(), &tyer)
        })
        .collect::<Vec<_>>()
        .concat();
    let n = all.len() as f64;
    let share = |within: f64| all.iter().filter(|o| o.abs() < within).count() as f64 / n;
    let mean_square = all.iter().map(|o| o * o).sum::<f64>() / n;
    println!("coverage: {} estimates, {:.3} {:.3}, mean square {mean_square:.3}", all.len(), share(1.0), share(2.0));
    // Some 100 estimates of 24 tyers, four each and partly correlated: two standard deviations of the shares are about 0.1
    // and 0.05.
    assert!((0.58..0.80).contains(&share(1.0)), "{}", share(1.0));
    assert!((0.90..=1.0).contains(&share(2.0)), "{}", share(2.0));
    assert!((0.6..1.4).contains(&mean_square), "{mean_square}");
}

/// One hang written down as its mirror image, or far past anything: estimates hardly move, and the reading is named.
#[test]
fn one_gross_misreading_does_no_harm() {
    let catalog = Catalog::built_in().unwrap();
    let (mut moved, mut count, mut named) = (0.0f64, 0.0, 0);
    let tyers = tyers(8);
    for seed in 0..tyers {
        let mut tyer = Tyer::drawn(&catalog, 1_000 + seed);
        let entries = hangs(&mut tyer, &[11_000, 9_000, 10_000, 11_000, 8_000, 9_500]);
        let mut spoilt = entries.clone();
        let Test::Fly(test) = &mut spoilt[1].test else { panic!() };
        let seen = test.hang.as_mut().unwrap();
        seen.value = if seed % 2 == 0 { -seen.value } else { seen.value - 70f64.to_radians() };
        let clean = fit_entries(&catalog, &entries).unwrap();
        let fit = fit_entries(&catalog, &spoilt).unwrap();
        let spoilt_fit = fit.learned();
        for learned in clean.learned() {
            let other = spoilt_fit.iter().find(|l| l.correction == learned.correction);
            moved += (learned.z - other.map_or(0.0, |l| l.z)).powi(2);
            count += 1.0;
        }
        let found = outcomes(&fit).unwrap();
        let misread: Vec<usize> = found.iter().filter(|o| o.looks_misread()).map(|o| o.observation.entry).collect();
        named += u64::from(misread == [1]);
    }
    let moved: f64 = (moved / count).sqrt();
    println!("outlier: estimates move by {moved:.3} prior standard deviations; named in {named} of {tyers}");
    assert!(moved < 0.15, "{moved}");
    assert!(named + 1 >= tyers, "{named}");
}

/// After three hangs, other flies of the same tyer (other lengths of foam, as written) are predicted nearer the truth.
#[test]
fn three_tests_beat_the_catalog() {
    let catalog = Catalog::built_in().unwrap();
    let (mut before, mut after, mut better, mut tyers) = (0.0, 0.0, 0, 0);
    for seed in 0..self::tyers(16) {
        let mut tyer = Tyer::drawn(&catalog, 2_000 + seed);
        let entries = hangs(&mut tyer, &[11_000, 9_000, 11_000]);
        let fit = fit_entries(&catalog, &entries).unwrap();
        let text = calibration_text_of(&fit, &entries);
        let mine = Calibration::read(&Source::new("mine.yaml", &text)).unwrap().apply(&catalog).unwrap();
        let hang = |catalog: &Catalog, um: i32| {
            let recipe = jig(um);
            let fly = resolve(&recipe, catalog).unwrap();
            turn(&predict(&fly, &jar(1.0)).hang, Rides::PointUp).unwrap_or(-PI)
        };
        let mut errors = [0.0, 0.0];
        for um in [8_000, 10_000, 12_000] {
            let truth = hang(&tyer.truth, um);
            errors[0] += (hang(&catalog, um) - truth).powi(2);
            errors[1] += (hang(&mine, um) - truth).powi(2);
        }
        before += errors[0];
        after += errors[1];
        better += u32::from(errors[1] < errors[0]);
        tyers += 1;
    }
    let rms = |sum: f64| (sum / f64::from(3 * tyers)).sqrt().to_degrees();
    println!("three tests: {:.2} deg before, {:.2} after; better for {better} of {tyers}", rms(before), rms(after));
    assert!(rms(after) < 0.8 * rms(before), "{} {}", rms(before), rms(after));
}

/// The text of a calibration; the log that it names is made up.
fn calibration_text_of(fit: &Fit, entries: &[Entry]) -> String {
    let text = "jar_log: 1\n";
    let log = counterpoise::jar_log::JarLog::read(&Source::new("jar.yaml", text), ".".as_ref()).unwrap();
    assert!(!entries.is_empty());
    calibration_text(fit, &log).unwrap()
}

/// Foam six prior spreads off, as no catalog foresees: six hangs find it, and none of them is called misread.
#[test]
fn a_tyer_far_from_the_catalog_is_believed() {
    let catalog = Catalog::built_in().unwrap();
    let section = Correction { part: Some((Kind::Foam, "pe-rod-1-4in".into())), figure: Figure::Section };
    let flooded = Correction { part: None, figure: Figure::FloodedLayer };
    let (mut before, mut after) = (0.0, 0.0);
    for seed in 0..4 {
        let mut tyer = Tyer::drawn(&catalog, 4_000 + seed);
        tyer.truth = catalog.clone();
        section.apply(&mut tyer.truth, -6.0, 1.0);
        flooded.apply(&mut tyer.truth, 2.0, 1.0);
        let entries = hangs(&mut tyer, &[11_000, 9_000, 10_000, 11_000, 9_000, 10_000]);
        let found = outcomes(&fit_entries(&catalog, &entries).unwrap()).unwrap();
        assert!(found.iter().all(|o| !o.looks_misread()), "seed {seed}");
        let hang = summaries(&found)[0];
        before += hang.rms[0].powi(2);
        after += hang.rms[1].powi(2);
    }
    assert!(after < 0.3 * before, "{} {}", before.sqrt().to_degrees(), after.sqrt().to_degrees());
}

/// A fly whose tail sinks lower than predicted has less lift than the catalog says: less section, or more of it flooded.
#[test]
fn a_tail_that_hangs_low_means_less_lift() {
    let catalog = Catalog::built_in().unwrap();
    let mut tyer = Tyer::drawn(&catalog, 5);
    for (lower, sign) in [(12f64, 1.0), (-12.0, -1.0)] {
        let mut entries = hangs(&mut tyer, &[10_000, 9_000]);
        for entry in &mut entries {
            let Test::Fly(test) = &mut entry.test else { panic!() };
            let fly = resolve(&test.recipe, &catalog).unwrap();
            let predicted = turn(&predict(&fly, &test.conditions).hang, Rides::PointUp).unwrap();
            test.rides = Some(Rides::PointUp);
            test.hang.as_mut().unwrap().value = predicted + lower.to_radians();
        }
        let fit = fit_entries(&catalog, &entries).unwrap();
        let z = |word: &str| fit.learned().iter().find(|l| l.correction.words().contains(word)).map_or(0.0, |l| l.z);
        assert!(sign * z("flooded layer") > 0.1, "{lower}: {}", z("flooded layer"));
        assert!(sign * z("section") < -0.05, "{lower}: {}", z("section"));
    }
}

/// Leaving a fly out is fitting the log without its entries.
#[test]
fn left_out_is_really_left_out() {
    let catalog = Catalog::built_in().unwrap();
    let mut tyer = Tyer::drawn(&catalog, 7);
    let scatter = tyer.scatter(&jig(11_000));
    let mut entries: Vec<Entry> = [Stage::Foam, Stage::Finish]
        .iter()
        .filter_map(|stage| tyer.hang(&jig(11_000), *stage, Some(("A", &scatter))))
        .collect();
    entries.extend(hangs(&mut tyer, &[9_000, 11_000, 10_000]));
    let found = outcomes(&fit_entries(&catalog, &entries).unwrap()).unwrap();
    let rest = fit_entries(&catalog, &entries[2..]).unwrap();
    let text = calibration_text_of(&rest, &entries);
    let mine = Calibration::read(&Source::new("mine.yaml", &text)).unwrap().apply(&catalog).unwrap();
    let Test::Fly(test) = &entries[1].test else { panic!() };
    let fly = resolve(&test.recipe, &mine).unwrap();
    let predicted = turn(&predict(&fly, &test.conditions).hang, Rides::PointUp).unwrap();
    let outcome = found.iter().find(|o| o.observation.entry == 1).unwrap();
    let Reading::Hang { angle, .. } = outcome.observation.reading else { panic!() };
    let ours = angle + outcome.misses()[2];
    assert!((predicted - ours).to_degrees().abs() < 0.5, "{} {}", predicted.to_degrees(), ours.to_degrees());
}

/// What the best next test is said to leave unknown is what a fit with that test in the log leaves.
#[test]
fn the_next_test_teaches_what_it_is_said_to() {
    let catalog = Catalog::built_in().unwrap();
    let mut tyer = Tyer::drawn(&catalog, 11);
    let entries = hangs(&mut tyer, &[11_000, 9_000]);
    let fit = fit_entries(&catalog, &entries).unwrap();
    let next = outlook(&fit, &entries).unwrap();
    let [before, now] = next.unknown.unwrap();
    assert!(now.hang < before.hang && now.time <= before.time);
    assert!(next.tests.windows(2).all(|pair| pair[0].worth / pair[0].minutes >= pair[1].worth / pair[1].minutes));
    let best = next.tests.iter().find(|t| t.way() == Way::Jar).unwrap();
    // The reading that the fit expects, so that only its being there counts.
    let Test::Fly(mut test) = best.test.clone() else { panic!() };
    let text = calibration_text_of(&fit, &entries);
    let mine = Calibration::read(&Source::new("mine.yaml", &text)).unwrap().apply(&catalog).unwrap();
    let fly = resolve(&test.recipe, &mine).unwrap();
    let tied = counterpoise::fly::AsTied::new(fly, &test.conditions);
    let moments = tied.moments_of(&counterpoise::fly::Deviation::NONE, |label| Stage::of(label, &fly) <= test.stage);
    let rest =
        *counterpoise::physics::statics::hang(moments, test.conditions.knot, fly.hook.neck_angle).rest().unwrap();
    test.hang.as_mut().unwrap().value = rest.angle;
    test.rides = Some(rest.rides);
    let mut more = entries.clone();
    more.push(Entry { number: 3, date: None, test: Test::Fly(test) });
    let then = outlook(&fit_entries(&catalog, &more).unwrap(), &more).unwrap();
    let (said, found) = (best.then.hang, then.unknown.unwrap()[1].hang);
    assert!(found < now.hang, "{found} {}", now.hang);
    assert!((found / said - 1.0).abs() < 0.15, "said {said}, found {found}");
}
