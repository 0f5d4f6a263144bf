//! Tyers whose truth is not the model: what a fit does for their other flies.
//!
//! The table in DEVELOPERS.md: `JAR_TYERS=200 cargo test --test suite jar::crooked -- --nocapture`.

use super::tyer::{Tyer, Ways, jar, jig};
use counterpoise::assess::predict;
use counterpoise::calibrate::{Calibration, Correction, Figure, calibration_text, fit_entries, foreseen};
use counterpoise::catalog::Catalog;
use counterpoise::document::Source;
use counterpoise::fly::{Deviation, resolve};
use counterpoise::jar_log::{Entry, JarLog};
use counterpoise::part::Kind;
use counterpoise::physics::statics::Rides;
use counterpoise::recipe::Recipe;
use counterpoise::spread::turn;
use counterpoise::vice::Stage;
use rayon::prelude::*;
use std::f64::consts::{PI, TAU};

/// Ways in which tyers differ from the model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Crook {
    None,
    Foam,
    Wraps,
    Shank,
    Bias(f64),
    Friction,
    LongTails,
    Bubbles,
    TenthTurned,
    AllTurned,
    TwoRods,
}

const ROWS: [(Crook, &str); 12] = [
    (Crook::None, "as the model has it"),
    (Crook::Foam, "foam cut 0.5 mm long"),
    (Crook::Wraps, "wraps 1 mm aft"),
    (Crook::Shank, "shanks 3 % long"),
    (Crook::Bias(2.0), "angles read 2 degrees high"),
    (Crook::Bias(5.0), "angles read 5 degrees high"),
    (Crook::Friction, "loop held by friction"),
    (Crook::LongTails, "long-tailed reading errors"),
    (Crook::Bubbles, "a quarter of the bubbles left"),
    (Crook::TenthTurned, "a tenth of the signs wrong"),
    (Crook::AllTurned, "all signs wrong"),
    (Crook::TwoRods, "two rods in one log"),
];

/// Logs, by how much is tested.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Tested {
    OneFly,
    ThreeFlies,
    ThreeStages,
    Ten,
}

const COLUMNS: [(Tested, &str); 4] = [
    (Tested::OneFly, "1 fly"),
    (Tested::ThreeFlies, "3 flies"),
    (Tested::ThreeStages, "3 stages"),
    (Tested::Ten, "10 tests"),
];

pub(crate) fn tyer(catalog: &Catalog, crook: Crook, seed: u64) -> Tyer {
    let mut tyer = Tyer::drawn(catalog, 9_000 + seed);
    let ways = Ways::default();
    tyer.ways = match crook {
        Crook::Foam => Ways { deviation: Deviation { foam_length: 0.5e-3, ..Deviation::NONE }, ..ways },
        Crook::Wraps => Ways { deviation: Deviation { wraps_position: 1e-3, ..Deviation::NONE }, ..ways },
        Crook::Bias(degrees) => Ways { bias: degrees.to_radians(), ..ways },
        Crook::Friction => Ways { friction: 0.3, ..ways },
        Crook::LongTails => Ways { long_tails: true, ..ways },
        Crook::Bubbles => Ways { bubbles: 0.25, ..ways },
        Crook::TenthTurned => Ways { turned: 0.1, ..ways },
        Crook::AllTurned => Ways { turned: 1.0, ..ways },
        Crook::None | Crook::Shank | Crook::TwoRods => ways,
    };
    if crook == Crook::Shank {
        tyer.longer_shanks(0.03);
    }
    tyer
}

fn log(tyer: &mut Tyer, crook: Crook, tested: Tested, catalog: &Catalog) -> Vec<Entry> {
    let finished = |tyer: &mut Tyer, um: &[i32]| -> Vec<Entry> {
        um.iter().filter_map(|um| tyer.hang(&jig(*um), Stage::Finish, None)).collect()
    };
    match tested {
        Tested::OneFly => finished(tyer, &[10_000]),
        Tested::ThreeFlies if crook == Crook::TwoRods => {
            let mut entries = finished(tyer, &[10_000, 9_000]);
            other_rod(tyer, catalog);
            entries.extend(finished(tyer, &[11_000]));
            entries
        }
        Tested::ThreeFlies => finished(tyer, &[10_000, 9_000, 11_000]),
        Tested::ThreeStages => {
            let scatter = tyer.scatter(&jig(10_000));
            [Stage::Wire, Stage::Foam, Stage::Finish]
                .iter()
                .filter_map(|stage| tyer.hang(&jig(10_000), *stage, Some(("A", &scatter))))
                .collect()
        }
        Tested::Ten => {
            let mut entries = Vec::new();
            let longer = if crook == Crook::TwoRods { 1_000 } else { 0 };
            for (i, um) in [10_000, 9_000, 11_000, 8_500, 10_000, 10_500, 9_500, 11_500].into_iter().enumerate() {
                let um = um + longer;
                if crook == Crook::TwoRods && i >= 4 {
                    let mine = tyer.truth.clone();
                    other_rod(tyer, catalog);
                    entries.extend(finished(tyer, &[um]));
                    tyer.truth = mine;
                } else {
                    entries.extend(finished(tyer, &[um]));
                }
            }
            entries.extend(tyer.hang(&jig(10_000), Stage::Wire, None));
            entries.extend(tyer.hang(&jig(10_000), Stage::Foam, None));
            entries
        }
    }
}

/// A rod with half the lift of this tyer's own: another size under the same name.
fn other_rod(tyer: &mut Tyer, catalog: &Catalog) {
    let section = Correction { part: Some((Kind::Foam, "pe-rod-1-4in".into())), figure: Figure::Section };
    let by = (0.5f64).ln() / section.spread(catalog).unwrap();
    section.apply(&mut tyer.truth, by, 1.0);
}

/// Other flies of the same tyer: other foam, other turns.
pub(crate) fn others() -> Vec<Recipe> {
    [(8_000, 12), (9_000, 9), (10_500, 14), (11_500, 12)]
        .into_iter()
        .map(|(um, turns)| {
            let mut recipe = jig(um);
            recipe.wire.as_mut().unwrap().turns = turns;
            recipe
        })
        .collect()
}

/// What became of one tyer.
pub(crate) struct Fate {
    /// Errors on other flies, rad: by the catalog, with the calibration, and twice the stated error.
    pub(crate) errors: Vec<[f64; 3]>,
    /// Whether the log was called sound, mixed, mirrored.
    sound: bool,
    mixed: bool,
    mirrored: bool,
}

impl Fate {
    fn rms(&self, which: usize) -> f64 {
        (self.errors.iter().map(|e| e[which].powi(2)).sum::<f64>() / self.errors.len() as f64).sqrt()
    }

    pub(crate) fn worse_off(&self) -> bool {
        self.rms(1) > self.rms(0) + 0.5f64.to_radians()
    }
}

fn hang_by(catalog: &Catalog, recipe: &Recipe) -> f64 {
    let fly = resolve(recipe, catalog).unwrap();
    turn(&predict(&fly, &jar(0.1)).hang, Rides::PointUp).unwrap_or(-PI)
}

fn apart(a: f64, b: f64) -> f64 {
    let turn = (a - b).rem_euclid(TAU);
    turn.min(TAU - turn)
}

fn fate(catalog: &Catalog, crook: Crook, tested: Tested, seed: u64) -> Option<Fate> {
    let mut tyer = tyer(catalog, crook, seed);
    let truths: Vec<Option<f64>> = others().iter().map(|recipe| tyer.truly(recipe, &jar(0.1))).collect();
    let entries = log(&mut tyer, crook, tested, catalog);
    fate_by(catalog, &entries, &truths)
}

/// What a log does for the other flies of its tyer, whose true hangs are these.
pub(crate) fn fate_by(catalog: &Catalog, entries: &[Entry], truths: &[Option<f64>]) -> Option<Fate> {
    if entries.is_empty() {
        return None;
    }
    let fit = fit_entries(catalog, entries).unwrap();
    let log = JarLog::read(&Source::new("jar.yaml", "jar_log: 1\n"), ".".as_ref()).unwrap();
    let text = calibration_text(&fit, &log).unwrap();
    let mine = Calibration::read(&Source::new("mine.yaml", &text)).unwrap().apply(catalog).unwrap();
    let stated = foreseen(&fit, &others(), &jar(0.1)).unwrap();
    let errors = others()
        .iter()
        .zip(truths)
        .zip(stated)
        .filter_map(|((recipe, truth), stated)| {
            let truth = (*truth)?;
            let before = apart(hang_by(catalog, recipe), truth);
            // Nobody uses a calibration that is refused.
            let (after, stated) =
                if fit.sound() { (apart(hang_by(&mine, recipe), truth), stated[1]) } else { (before, stated[0]) };
            Some([before, after, 2.0 * stated])
        })
        .collect();
    Some(Fate { errors, sound: fit.sound(), mixed: fit.split().is_some(), mirrored: fit.mirrored() > 0.5 })
}

/// One cell of the table.
struct Cell {
    before: f64,
    after: f64,
    worse: f64,
    covered: f64,
    refused: f64,
    mixed: f64,
    mirrored: f64,
}

fn cell(catalog: &Catalog, crook: Crook, tested: Tested, tyers: u64) -> Cell {
    let fates: Vec<Fate> = (0..tyers).into_par_iter().filter_map(|seed| fate(catalog, crook, tested, seed)).collect();
    let all: Vec<[f64; 3]> = fates.iter().flat_map(|f| f.errors.clone()).collect();
    let rms = |k: usize| (all.iter().map(|e| e[k].powi(2)).sum::<f64>() / all.len() as f64).sqrt().to_degrees();
    let share = |of: &dyn Fn(&Fate) -> bool| fates.iter().filter(|f| of(f)).count() as f64 / fates.len() as f64;
    Cell {
        before: rms(0),
        after: rms(1),
        worse: share(&Fate::worse_off),
        covered: all.iter().filter(|e| e[1] <= e[2]).count() as f64 / all.len() as f64,
        refused: share(&|f| !f.sound),
        mixed: share(&|f| f.mixed),
        mirrored: share(&|f| f.mirrored),
    }
}

#[test]
fn other_flies_of_tyers_whose_truth_is_not_the_model() {
    let catalog = Catalog::built_in().unwrap();
    let tyers = std::env::var("JAR_TYERS").ok().and_then(|n| n.parse().ok()).unwrap_or(6);
    for (tested, column) in COLUMNS {
        println!("{column}, {tyers} tyers: rms before -> after, worse off, within 2 errors, refused (mixed, mirrored)");
        for (crook, row) in ROWS {
            let c = cell(&catalog, crook, tested, tyers);
            // With few tyers a share is coarse: at most one worse off.
            let worst = if tyers < 30 { 1.0 / tyers as f64 + 1e-9 } else { 0.1 };
            let three = matches!(tested, Tested::ThreeFlies | Tested::ThreeStages);
            assert!(c.worse <= worst || !three, "{column}, {row}: {} worse off", c.worse);
            if crook != Crook::TwoRods {
                assert!(c.covered >= 0.9 - if tyers < 30 { 0.1 } else { 0.0 }, "{column}, {row}: {}", c.covered);
                assert!(c.mixed <= 0.05 + if tyers < 30 { 0.2 } else { 0.0 }, "{column}, {row}: {} mixed", c.mixed);
            } else if tested == Tested::Ten && tyers >= 30 {
                assert!(c.mixed >= 0.3, "{} named as mixed", c.mixed);
            }
            println!(
                "  {row:<32} {:5.1} -> {:4.1}  {:3.0} %  {:3.0} %  {:3.0} % ({:.0}, {:.0})",
                c.before,
                c.after,
                100.0 * c.worse,
                100.0 * c.covered,
                100.0 * c.refused,
                100.0 * c.mixed,
                100.0 * c.mirrored
            );
        }
    }
}
