//! What a log of hangs in the hand, in the jar, and of both does for the other flies of a tyer whose truth is not the model.
//!
//! The table in DEVELOPERS.md: `JAR_TYERS=100 cargo test --test suite jar::hand -- --nocapture`.

use super::crooked::{Crook, Fate, fate_by, others, tyer};
use super::tyer::{Tyer, jar, jig};
use counterpoise::calibrate::{Way, fit_entries, outlook};
use counterpoise::catalog::Catalog;
use counterpoise::fly::Conditions;
use counterpoise::jar_log::Entry;
use counterpoise::physics::water::Water;
use counterpoise::vice::Stage;
use rayon::prelude::*;

const ROWS: [(Crook, &str); 6] = [
    (Crook::None, "as the model has it"),
    (Crook::Foam, "foam cut 0.5 mm long"),
    (Crook::Wraps, "wraps 1 mm aft"),
    (Crook::Shank, "shanks 3 % long"),
    (Crook::Bias(5.0), "angles read 5 degrees high"),
    (Crook::LongTails, "long-tailed reading errors"),
];

/// Where flies are hung: finished in the jar, in the hand with the metal on, or both.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Hung {
    Jar,
    Hand,
    Both,
}

fn log(tyer: &mut Tyer, hung: Hung, flies: usize) -> Vec<Entry> {
    let air = Conditions { water: Water::air(20.0).unwrap(), depth: 0.0, ..jar(0.0) };
    let mut entries = Vec::new();
    for (um, name) in [(10_000, "A"), (9_000, "B"), (11_000, "C")].into_iter().take(flies) {
        let scatter = tyer.scatter(&jig(um));
        let fly = Some((name, &scatter));
        if hung != Hung::Jar {
            entries.extend(tyer.hang_at(air, &jig(um), Stage::Wire, fly));
        }
        if hung != Hung::Hand {
            entries.extend(tyer.hang(&jig(um), Stage::Finish, fly));
        }
    }
    entries
}

fn fates(catalog: &Catalog, crook: Crook, hung: Hung, flies: usize, tyers: u64) -> Vec<Fate> {
    let of = |seed: u64| {
        let mut tyer = tyer(catalog, crook, 500 + seed);
        let truths: Vec<Option<f64>> = others().iter().map(|recipe| tyer.truly(recipe, &jar(0.1))).collect();
        let entries = log(&mut tyer, hung, flies);
        fate_by(catalog, &entries, &truths)
    };
    (0..tyers).into_par_iter().filter_map(of).collect()
}

#[test]
fn other_flies_after_the_hand_the_jar_and_both() {
    let catalog = Catalog::built_in().unwrap();
    let tyers = std::env::var("JAR_TYERS").ok().and_then(|n| n.parse().ok()).unwrap_or(8);
    let columns: Vec<(usize, Hung)> =
        [1, 3].into_iter().flat_map(|n| [Hung::Jar, Hung::Hand, Hung::Both].map(|hung| (n, hung))).collect();
    println!(
        "| tyers | catalog | {} |",
        columns.iter().map(|(n, h)| format!("{n}: {h:?}")).collect::<Vec<_>>().join(" | ")
    );
    let mut sums = vec![0.0; columns.len()];
    for (crook, name) in ROWS {
        let mut row = Vec::new();
        let mut before = 0.0;
        for (k, (flies, hung)) in columns.iter().enumerate() {
            let fates = fates(&catalog, crook, *hung, *flies, tyers);
            let all: Vec<[f64; 3]> = fates.iter().flat_map(|f| f.errors.clone()).collect();
            let mean = |k: usize| all.iter().map(|e| e[k].powi(2)).sum::<f64>() / all.len() as f64;
            let worse = fates.iter().filter(|f| f.worse_off()).count() as f64 / fates.len() as f64;
            let covered = all.iter().filter(|e| e[1] <= e[2]).count() as f64 / all.len() as f64;
            before = mean(0).sqrt().to_degrees();
            sums[k] += mean(1);
            row.push(format!("{:.1}; {:.0} %, {:.0} %", mean(1).sqrt().to_degrees(), 100.0 * worse, 100.0 * covered));
            // With few tyers a share is coarse.
            let least = if tyers < 50 { 0.75 } else { 0.9 };
            assert!(covered >= least, "{name}, {flies} {hung:?}: {covered}");
        }
        println!("| {name} | {before:.1} | {} |", row.join(" | "));
    }
    // Both teach no less than the hand, and no less than the jar give or take, over all tyers.
    for n in [0, 3] {
        assert!(sums[n + 2] <= sums[n + 1] && sums[n + 2] <= 1.25 * sums[n], "{sums:?}");
    }
}

/// In air masses alone tell, in water volumes, too: what each would tell next is told apart, and the hand is proposed where
/// a mass is what is unknown.
#[test]
fn the_hand_tells_masses_and_the_jar_volumes() {
    let catalog = Catalog::built_in().unwrap();
    let mut tyer = tyer(&catalog, Crook::None, 3);
    let entries = log(&mut tyer, Hung::Both, 2);
    let fit = fit_entries(&catalog, &entries).unwrap();
    let found = outlook(&fit, &entries).unwrap();
    let of = |words: &str| found.separates.iter().find(|s| s.correction.words().contains(words)).unwrap();
    let (foam, bead) = (of("section as cut"), of("tungsten-slotted-3.5: mass"));
    assert!(foam.air < 0.005 && foam.water > 10.0 * foam.air, "{foam:?}");
    assert!(bead.air > 0.0 && bead.air > foam.air, "{bead:?}");
    // The hand takes a minute: it may be proposed before a jar that teaches more.
    let hand = found.tests.iter().find(|t| t.way() == Way::Hand);
    assert!(hand.is_none_or(|t| t.minutes < 2.0));
    let per = |way: Way| found.tests.iter().filter(|t| t.way() == way).map(|t| t.worth / t.minutes).fold(0.0, f64::max);
    let first = &found.tests[0];
    assert!(
        [Way::Weigh, Way::Hand, Way::Jar, Way::Drop].iter().all(|w| per(*w) <= first.worth / first.minutes + 1e-12)
    );
}
