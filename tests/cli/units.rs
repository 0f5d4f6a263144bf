//! Units of the reader, what the settings hold, and what is on the bench.

use super::session::{json, program, run, shown, snapshot, text, unbroken};

const RECIPE: &str = "examples/recipes/jig-12-foam-tail.yaml";

#[test]
fn us_units_everywhere_but_in_figures_for_programs() {
    let us = |args: &[&'static str]| shown(&[args, &["--units", "us"]].concat());
    let told = [
        us(&["find", "--size", "8", "--top", "1", "--quiet"]),
        us(&["find", "--size", "8", "--top", "1", "--quiet", "--why"]),
        us(&["find", "--size", "8", "--sink", ">=20in/s", "--pattern", "fur-leech", "--max-mass", "3grain", "--quiet"]),
        us(&["predict", RECIPE]),
        us(&["sink", RECIPE]),
        us(&["stages", RECIPE]),
        us(&["card", RECIPE]),
        us(&["correct", RECIPE, "--stage", "foam", "--seen", "20deg"]),
        us(&["compare", "--recipe", RECIPE, "--swap", "bead=brass-slotted-3.3"]),
    ];
    snapshot("us_units", &told.join("\n"));
    for (answer, text) in ["find", "predict", "sink", "stages", "card"].iter().zip(&told) {
        let metric = text
            .split_whitespace()
            .find(|w| ["mm", "mg", "mN", "m/s", "C"].contains(&w.trim_matches(['(', ')', ',', ';'])));
        assert_eq!(metric, None, "{answer}: {text}");
    }
    let figures = |more: &[&'static str]| json(&[&["predict", RECIPE], more].concat(), 0);
    assert_eq!(figures(&["--units", "us"]), figures(&[]));
}

/// Jar logs, fits, error budgets and lists of stock are as much for the reader.
#[test]
fn us_units_where_there_is_more_to_read() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let log = folder.path().join("jar.yaml");
    let log = log.to_str().unwrap();
    let seen = ["--drop", "12in/0.6s", "--mass", "5.6grain", "--water", "64F", "--depth", "4in", "--hang", "27deg"];
    assert_eq!(run(&[&["jar", "add", log, "--recipe", RECIPE], &seen[..]].concat()).status.code(), Some(0));
    for args in [
        &["jar", "show", log] as &[&str],
        &["fit", log],
        &["predict", RECIPE, "--explain"],
        &["sink", RECIPE, "--explain"],
        &["catalog", "list", "foam"],
        &["catalog", "list", "wire"],
        &["catalog", "show", "wire", "lead-0.010in"],
    ] {
        let told = shown(&[args, &["--units", "us"]].concat());
        let metric = ["mm", "m", "mg", "mN", "m/s", "C", "g/m", "mg/m", "metre"];
        let found = told.split_whitespace().find(|w| metric.contains(&w.trim_matches(['(', ')', ',', ';'])));
        assert_eq!(found, None, "{args:?}: {told}");
    }
    let price = |units: &str| {
        let list = shown(&["catalog", "list", "wire", "--units", units]);
        let line = list.lines().find(|line| line.starts_with("lead-0.010in")).unwrap_or_default().to_owned();
        line.split_whitespace().last().unwrap_or_default().parse::<f64>().unwrap_or_else(|e| panic!("{e}: {line}"))
    };
    assert!((price("us") - 0.3048 * price("metric")).abs() < 1e-4);
    let question = ["find", "--size", "8", "--style", "jig", "--max-mass", "1grain", "--quiet", "--units", "us"];
    let help = unbroken(&text(&run(&question).stdout));
    assert!(help.contains("grain (--max-mass ") && !help.contains("mg)"), "{help}");
}

#[test]
fn what_was_typed_comes_back_as_typed() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let fly = folder.path().join("fly.yaml");
    let fly = fly.to_str().unwrap();
    let found = ["find", "--size", "8", "--depth", "4ft", "--water", "54F", "--top", "1", "--quiet", "--save", fly];
    assert_eq!(run(&found).status.code(), Some(0));
    let kept = std::fs::read_to_string(fly).unwrap();
    assert!(kept.contains("depth: 4 ft\n") && kept.contains("water: 54 F\n"), "{kept}");
    let said = text(&run(&["predict", fly]).stdout);
    assert!(unbroken(&said).contains("at 4 ft,"), "{said}");
}

#[test]
fn a_bench_is_all_there_is() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let stock = folder.path().join("bench.yaml");
    let rows = "stock:\n  - {kind: hook, id: straight-8, count: 3}\n  - {kind: wire, id: lead-0.030in, length: 30 in}\n  \
                - {kind: foam, id: pe-rod-3-8in, length: 6 in}\n";
    std::fs::write(&stock, rows).unwrap();
    let bench = |more: &[&str], code| {
        let stock = stock.to_str().unwrap();
        json(&[&["find", "--size", "8", "--on-bench", "--stock", stock, "--quiet"], more].concat(), code)
    };
    let found = bench(&["--flies", "3"], 0);
    let best = &found["recipes"][0];
    assert_eq!(best["recipe"]["wire"]["id"], "lead-0.030in");
    assert_eq!(best["cost"]["outlay"], 0.0);
    // There are three hooks.
    assert_eq!(bench(&["--flies", "4"], 1)["recipes"].as_array().map(Vec::len), Some(0));
    let short = ["find", "--size", "8", "--on-bench", "--stock", stock.to_str().unwrap(), "--flies", "4", "--quiet"];
    let said = unbroken(&text(&run(&short).stdout));
    assert!(said.contains("hook `straight-8` needs 4, 3 left") && !said.contains("would help"), "{said}");
    // Dressings are counted where the stock names some.
    std::fs::write(&stock, format!("{rows}  - {{kind: dressing, id: shrimp, count: 2}}\n")).unwrap();
    assert_eq!(bench(&["--flies", "3"], 1)["recipes"].as_array().map(Vec::len), Some(0));
    std::fs::write(&stock, rows).unwrap();
    let refused = run(&["find", "--size", "8", "--on-bench"]);
    assert!(unbroken(&text(&refused.stderr)).contains("--stock names a stock file"), "{}", text(&refused.stderr));
    let unused = run(&["find", "--size", "8", "--stock", stock.to_str().unwrap(), "--quiet"]);
    let unused = unbroken(&text(&unused.stdout));
    assert!(unused.contains("what is on the bench is not looked at"), "{unused}");
}

#[test]
fn settings_hold_units_water_jar_and_stock() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let here = |name: &str| folder.path().join(name);
    let settings = "units: us\nwater: 46 F\nsalinity: 5 g/kg\njar: 60 F\nstock: bench.yaml\n";
    std::fs::write(here("settings.yaml"), settings).unwrap();
    std::fs::write(here("bench.yaml"), "stock: [{kind: hook, id: straight-8, count: 3}]\n").unwrap();
    std::fs::write(here("fly.yaml"), "recipe: 1\nhook: straight-8\npattern: fur-leech\n").unwrap();
    let said = |args: &[&str]| {
        let output =
            program(args).current_dir(folder.path()).env("COUNTERPOISE_SETTINGS", here("settings.yaml")).output();
        let output = output.unwrap();
        assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
        text(&output.stdout)
    };
    let predicted = unbroken(&said(&["predict", "fly.yaml"]));
    for part in [" in/s", "stock bench.yaml", "water at 46 F", "salinity 5 g/kg", "jar at 60 F"] {
        assert!(predicted.contains(part), "{part}: {predicted}");
    }
    assert!(!unbroken(&said(&["stages", "fly.yaml"])).contains("jar of fresh tap water"));
    assert!(said(&["stock", "show"]).contains("straight-8"));
    let water = |args: &[&str]| {
        let answer = said(&[args, &["--format", "json"]].concat());
        let answer: serde_json::Value = serde_json::from_str(&answer).unwrap();
        answer["recipes"][0]["recipe"]["conditions"]["water"].as_str().unwrap().to_owned()
    };
    assert_eq!(water(&["predict", "fly.yaml"]), "46 F");
    assert_eq!(water(&["predict", "fly.yaml", "--water", "8C"]), "8 C");
}
