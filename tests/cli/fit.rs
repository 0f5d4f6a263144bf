//! `fit` and `--calibration`.

use super::session::{json, run, run_with_input, shown, snapshot, text, transcript};
use std::fs;
use std::path::Path;

const LOG: &str = "examples/logs/jar.yaml";
const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

/// The calibration of the example log, in a folder.
fn calibration(folder: &Path) -> String {
    let path = folder.join("mine.yaml").display().to_string();
    let output = run(&["fit", LOG, "--write", &path]);
    assert!(output.status.success(), "{}", text(&output.stderr));
    path
}

#[test]
fn the_example_log_is_fitted() {
    let folder = tempfile::tempdir().unwrap();
    let (mine, chart) = (calibration(folder.path()), folder.path().join("jar.svg"));
    snapshot("fit_table", &shown(&["fit", LOG]));
    snapshot("fit_csv", &shown(&["fit", LOG, "--format", "csv"]));
    snapshot("fit_calibration", &fs::read_to_string(&mine).unwrap());
    let output = run(&["fit", LOG, "--chart", chart.to_str().unwrap(), "--quiet"]);
    assert!(output.status.success());
    snapshot("fit_chart", &fs::read_to_string(&chart).unwrap());
    snapshot("jar_show_example", &shown(&["jar", "show", LOG]));
}

/// What `fit` says a calibration predicts is what `jar show` and `predict` then predict with it.
#[test]
fn after_is_what_the_calibration_predicts() {
    let folder = tempfile::tempdir().unwrap();
    let mine = calibration(folder.path());
    let fit = json(&["fit", LOG], 0);
    let shown = json(&["jar", "show", LOG, "--calibration", &mine], 0);
    let off = |entry: usize, reading: usize| shown["entries"][entry]["readings"][reading]["off"].as_f64().unwrap();
    let readings = fit["fit"]["readings"].as_array().unwrap();
    let flat: Vec<f64> = shown["entries"]
        .as_array()
        .unwrap()
        .iter()
        .enumerate()
        .flat_map(|(e, entry)| (0..entry["readings"].as_array().unwrap().len()).map(move |r| (e, r)))
        .map(|(e, r)| off(e, r))
        .collect();
    assert_eq!(readings.len(), flat.len());
    for (reading, off) in readings.iter().zip(flat) {
        let after = reading["off_after"].as_f64().unwrap();
        assert!((after - off).abs() < 1e-2 * (1.0 + off.abs()), "{reading}: {off}");
    }
    let summary = &fit["fit"]["summary"][0];
    let rms = |key: &str| summary[key].as_f64().unwrap();
    assert!(rms("rms_after") < 0.75 * rms("rms_before") && rms("rms_left_out") < 0.9 * rms("rms_before"));
}

#[test]
fn a_fit_is_the_same_at_any_number_of_threads() {
    let at = |threads: &str| run(&["fit", LOG, "--format", "json", "--threads", threads]).stdout;
    assert_eq!(at("1"), at("8"));
}

/// A chart that is there already keeps the calibration from being written as well.
#[test]
fn both_files_are_written_or_none() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).display().to_string();
    fs::write(at("jar.svg"), "mine").unwrap();
    let args = ["fit", LOG, "--write", &at("mine.yaml"), "--chart", &at("jar.svg")];
    assert_eq!(run(&args).status.code(), Some(2));
    assert!(!folder.path().join("mine.yaml").exists());
    assert_eq!(fs::read_to_string(at("jar.svg")).unwrap(), "mine");
}

/// Every command that looks parts up takes a calibration and says so.
#[test]
fn every_command_says_that_parts_are_corrected() {
    let folder = tempfile::tempdir().unwrap();
    let mine = calibration(folder.path());
    let stock = folder.path().join("bench.yaml");
    fs::write(&stock, "stock:\n  - {kind: bead, id: tungsten-slotted-3.5, count: 12}\n").unwrap();
    for args in [
        vec!["find", "--size", "12", "--style", "jig", "--top", "1", "--pattern", "light-body"],
        vec!["predict", FLY],
        vec!["sink", FLY, "--line", "tight", "--depths", "1m"],
        vec!["stages", FLY, "--samples", "50"],
        vec!["correct", FLY, "--seen", "20deg"],
        vec!["shop", FLY, "--flies", "6"],
        vec!["stock", "show", "--stock", stock.to_str().unwrap()],
        vec!["catalog", "show", "bead", "tungsten-slotted-3.5"],
        vec!["catalog", "list", "bead"],
        vec!["jar", "show", LOG],
        vec!["card", FLY, "--samples", "50"],
        vec!["compare", "--recipe", FLY, "--swap", "wire=none"],
    ] {
        let with: Vec<&str> = args.iter().copied().chain(["--calibration", &mine]).collect();
        let answer = json(&with, 0);
        let said = answer["assumptions"].as_array().unwrap().iter().find(|a| a["key"] == "calibration");
        let words = said.unwrap_or_else(|| panic!("{args:?} does not say it"))["text"].as_str().unwrap();
        assert!(words.contains(" corrections fitted to examples/logs/jar.yaml (10 entries"), "{words}");
        let table = text(&run(&with).stdout).replace("\n    ", " ");
        assert!(table.contains("corrections fitted to"), "{args:?}\n{table}");
    }
    let show = shown(&["catalog", "show", "bead", "tungsten-slotted-3.5", "--calibration", &mine]);
    snapshot("calibrated_bead", &show.replace(&format!("{}/", folder.path().display()), ""));
}

/// Figures move to where the tests say, and flies of one tyer differ less than those of any.
#[test]
fn hang_and_chance_follow_the_tests() {
    let folder = tempfile::tempdir().unwrap();
    let mine = calibration(folder.path());
    let stages = |more: &[&str]| {
        let args = ["stages", FLY, "--hang", "35deg", "--tolerance", "15deg"];
        let answer = json(&args.iter().chain(more).copied().collect::<Vec<_>>(), 0);
        let recipe = answer["recipes"][0].clone();
        (recipe["hang"]["angle_deg"].as_f64().unwrap(), answer["slopes"]["sd_deg"].as_f64().unwrap())
    };
    let (plain, calibrated) = (stages(&[]), stages(&["--calibration", &mine]));
    assert!(calibrated.0 > plain.0 + 1.0, "less lift: {} {}", plain.0, calibrated.0);
    assert!(calibrated.1 < plain.1, "known better: {} {}", plain.1, calibrated.1);
}

/// Many hangs of one fly tell how its like hang, and little of where that comes from.
#[test]
fn many_hangs_of_one_fly_tell_its_hang_and_not_why() {
    let entries: String = (1..=12)
        .map(|day| format!("  - {{date: 2026-03-{day:02}, recipe: nymph, hang: 47 deg, rides: point-up}}\n"))
        .collect();
    let log = format!(
        "jar_log: 1\nrecipes:\n  nymph: {{hook: jig60-12, pattern: light-body, bead: {{id: tungsten-slotted-3.5}}, \
         foam: {{id: pe-rod-1-4in, cut: quarter, length_mm: 9, seat: tail}}}}\nentries:\n{entries}"
    );
    let output = run_with_input(&["fit", "-", "--format", "json"], &log);
    let fit: serde_json::Value = serde_json::from_str(&text(&output.stdout)).unwrap();
    let at = |key: &str| fit["fit"][key]["hang_deg"].as_f64().unwrap();
    assert!(at("unknown_now") < 0.8 * at("unknown_before"), "{} {}", at("unknown_now"), at("unknown_before"));
    for correction in fit["fit"]["corrections"].as_array().unwrap() {
        assert!(correction["told"].as_f64().unwrap() < 0.7, "{correction}");
    }
    assert!(!fit["fit"]["habits"].as_array().unwrap().is_empty());
}

/// Every sign turned: said, nothing written, exit 1; --turn-signs takes the log the right way.
#[test]
fn a_mirrored_log_writes_no_calibration() {
    let folder = tempfile::tempdir().unwrap();
    let (log, mine) = (folder.path().join("jar.yaml"), folder.path().join("mine.yaml"));
    let turned = "jar_log: 1\nrecipes:\n  nymph: {hook: jig60-12, pattern: light-body, bead: {id: tungsten-slotted-3.5}, \
                  foam: {id: pe-rod-1-4in, cut: quarter, length_mm: 9, seat: tail}}\nentries:\n\
                  \x20 - {recipe: nymph, hang: -40 deg, rides: point-up}\n\
                  \x20 - {recipe: nymph, hang: -44 deg, rides: point-up}\n\
                  \x20 - {recipe: nymph, hang: -36 deg, rides: point-up}\n";
    fs::write(&log, turned).unwrap();
    let (log, mine) = (log.display().to_string(), mine.display().to_string());
    let answer = json(&["fit", &log, "--write", &mine], 1);
    let codes: Vec<&str> = answer["warnings"].as_array().unwrap().iter().filter_map(|w| w["code"].as_str()).collect();
    assert!(codes.contains(&"signs-turned") && codes.contains(&"sign"), "{codes:?}");
    assert!(!Path::new(&mine).exists() && answer["fit"]["sound"] == false);
    assert!(json(&["fit", &log, "--write", &mine, "--turn-signs"], 0)["fit"]["sound"] == true);
    assert!(Path::new(&mine).exists());
}

/// A log of one weighing, and one of a fly that floats though it should not: small, and fitted all the same.
#[test]
fn the_smallest_logs_are_fitted() {
    let weighed = "jar_log: 1\nentries:\n  - {weighed: {kind: hook, id: jig60-12, count: 20, mass: 1010 mg}}\n";
    let floats = "jar_log: 1\nrecipes:\n  cork: {hook: streamer-8, pattern: bare, \
                  foam: {id: pe-rod-1-4in, cut: quarter, length_mm: 9, seat: back}}\nentries:\n  - {recipe: cork, floats: true}\n";
    let shown: Vec<String> =
        [weighed, floats].iter().map(|log| transcript(&["fit", "-"], &run_with_input(&["fit", "-"], log))).collect();
    snapshot("fit_smallest", &shown.join("\n"));
}

#[test]
fn what_cannot_be_fitted_or_used_is_said() {
    let folder = tempfile::tempdir().unwrap();
    let mine = calibration(folder.path());
    let at = |name: &str, text: &str| {
        let path = folder.path().join(name);
        fs::write(&path, text).unwrap();
        path.display().to_string()
    };
    let sound = fs::read_to_string(&mine).unwrap();
    let bare = at("bare.yaml", "jar_log: 1\n");
    let unknown = at("unknown.yaml", &sound.replace("id: tungsten-slotted-3.5", "id: tungsten-sloted-3.5"));
    let other = at("other.yaml", &sound.replace("catalog: 285.4", "catalog: 260.4"));
    let words = at(
        "words.yaml",
        &sound
            .replace("figure: section", "figure: sektion")
            .replace(
                "figure: mass\n  catalog: 285.419874\n  factor: ",
                "figure: mass\n  catalog: 285.419874\n  factor: -",
            )
            .replace("kind: hook", "kind: huk")
            .replace("- - 1.0\n", "- - 1.5\n"),
    );
    let heavy = at(
        "heavy.yaml",
        "currency: EUR\nhooks: []\ndressings: []\nfoams:\n  - {id: pe-rod-1-4in, name: mine, diameter_mm: 6.35, \
         density_kg_m3: 30, density_sd_kg_m3: 4, solid: polyethylene-ld, cell_mm: 0.7, surface: skin, \
         collapse_pressure_kpa: 0, cuts: [whole, half, quarter], section_spread: 0.08, pack: {length_m: 3, price: 2.1}, \
         provenance: {source: mine, how: measured}}\n",
    );
    let all: Vec<String> = [
        vec!["fit", &bare],
        vec!["fit", LOG, "--write", &mine],
        vec!["fit", LOG, "--calibration", &mine],
        vec!["predict", FLY, "--calibration", &unknown],
        vec!["predict", FLY, "--calibration", &other],
        vec!["predict", FLY, "--calibration", &words],
        vec!["predict", FLY, "--calibration", LOG],
        vec!["predict", FLY, "--calibration", &mine, "--catalog", &heavy],
    ]
    .iter()
    .map(|args| transcript(args, &run(args)).replace(&format!("{}/", folder.path().display()), ""))
    .collect();
    assert!(all.iter().all(|shown| shown.ends_with("--- exit 2\n")));
    snapshot("fit_refused", &all.join("\n"));
}
