//! What every answer has in common: checks, the fall that was asked for, warnings, and that it can be read back.

use super::session::{json, run, run_with_input, text};
use serde_json::Value;
use std::fs;

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";
const SLACK: [&str; 8] = ["find", "--size", "12", "--style", "jig", "--line", "slack", "--sink"];

fn recipes(answer: &Value) -> &Vec<Value> {
    answer["recipes"].as_array().unwrap()
}

fn check<'v>(recipe: &'v Value, requirement: &str) -> &'v Value {
    let list = recipe["checks"].as_array().unwrap();
    list.iter().find(|c| c["requirement"] == requirement).unwrap_or_else(|| panic!("{requirement}: {recipe}"))
}

/// A listed recipe meets every check, and a check is met exactly when its value lies in its window.
fn sound(recipe: &Value) {
    for check in recipe["checks"].as_array().unwrap() {
        let value = check["value"].as_f64().unwrap();
        let above = check["low"].as_f64().is_none_or(|low| value >= low);
        let below = check["high"].as_f64().is_none_or(|high| value <= high);
        assert_eq!(check["met"], above && below, "{check}");
        assert!(check["unit"].is_string());
    }
}

/// The fall that is shown is that of the line that was asked for: its rate is the one that was judged.
#[test]
fn a_slack_line_shows_its_own_fall() {
    let args: Vec<&str> = SLACK.into_iter().chain(["0.2..0.4m/s", "--top", "3"]).collect();
    let answer = json(&args, 0);
    assert!(!recipes(&answer).is_empty());
    let mut glides = 0;
    for recipe in recipes(&answer) {
        sound(recipe);
        let (fall, asked) = (&recipe["fall"], check(recipe, "sink rate"));
        assert_eq!((&fall["line"], &fall["settled"]), (&Value::from("slack"), &Value::from(true)));
        assert_eq!(fall["sink_rate_m_s"], asked["value"]);
        assert!((0.2..=0.4).contains(&fall["sink_rate_m_s"].as_f64().unwrap()));
        assert_eq!(check(recipe, "settles on a slack line")["met"], true);
        glides += usize::from(fall["glide_m_s"].as_f64().unwrap().abs() > 1e-3);
        assert_ne!(fall["attitude_deg"], recipe["hang"]["angle_deg"]);
    }
    assert!(glides > 0, "a free fly glides");
    let table: Vec<&str> = args.iter().copied().chain(["--quiet"]).collect();
    let shown = text(&run(&table).stdout);
    assert!(shown.contains("slack line"), "{shown}");
}

/// The time and the drop that decided are shown, in every format.
#[test]
fn what_decided_is_shown() {
    let args = ["find", "--size", "12", "--style", "jig", "--reach", "2m", "--within", "12s", "--dive", "5deg"];
    let args: Vec<&str> = args.into_iter().chain(["--top", "2"]).collect();
    let answer = json(&args, 0);
    for recipe in recipes(&answer) {
        sound(recipe);
        let (time, drop) = (check(recipe, "time to depth"), check(recipe, "dive"));
        assert_eq!((time["high"].as_f64(), &time["unit"]), (Some(12.0), &Value::from("s")));
        assert!(drop["value"].as_f64().unwrap() >= 5.0 && drop["unit"] == "deg");
    }
    let shown = text(&run(&args).stdout);
    assert!(shown.contains("time to depth") && shown.contains("dive "), "{shown}");
    let csv: Vec<&str> = args.iter().copied().chain(["--format", "csv"]).collect();
    let csv = text(&run(&csv).stdout);
    for word in ["checks", "chance_as_tied", "chance_trimmed", "time to depth", "dive "] {
        assert!(csv.contains(word), "{word}: {csv}");
    }
}

/// The same fly in the same water: the same warnings and cautions from every command that says how it hangs.
#[test]
fn every_command_warns_alike() {
    let said = |args: &[&str]| {
        // Cold water, in which the gas of foam has less room: worth a warning.
        let args: Vec<&str> = args.iter().copied().chain(["--water", "5C"]).collect();
        let answer = json(&args, 0);
        let warnings: Vec<String> = answer["warnings"]
            .as_array()
            .unwrap()
            .iter()
            .map(|w| w["text"].as_str().unwrap().split(" (in ").next().unwrap().to_owned())
            .collect();
        (warnings, answer["cautions"].clone())
    };
    let (predicted, cautions) = said(&["predict", FLY]);
    assert!(!predicted.is_empty());
    for args in [
        &["stages", FLY][..],
        &["card", FLY],
        &["correct", FLY, "--stage", "foam", "--seen", "10deg"],
        &["compare", "--recipe", FLY, "--swap", "bead=tungsten-slotted-3.5"],
    ] {
        let (warnings, same) = said(args);
        assert_eq!(same, cautions, "{args:?}");
        for warning in &predicted {
            // A second fly beside it may widen the span of a figure.
            let kind = warning.split(" is used at ").next().unwrap();
            assert!(warnings.iter().any(|w| w.starts_with(kind)), "{args:?}: {warning} {warnings:?}");
        }
    }
}

/// An answer is read wherever a recipe file is, in JSON and in YAML, and says the same as the recipe itself.
#[test]
fn an_answer_is_a_recipe_file() {
    let folder = tempfile::tempdir().unwrap();
    let find = ["find", "--size", "12", "--style", "jig", "--depth", "2m", "--top", "3"];
    let found = json(&find, 0);
    for format in ["json", "yaml"] {
        let args: Vec<&str> = find.into_iter().chain(["--format", format]).collect();
        let path = folder.path().join(format!("answer.{format}"));
        fs::write(&path, run(&args).stdout).unwrap();
        let path = path.to_str().unwrap();
        for (command, at) in [("predict", 0), ("stages", 1), ("card", 2), ("sink", 1)] {
            let rank = (at + 1).to_string();
            let answer = json(&[command, path, "--rank", &rank], 0);
            let (ours, theirs) = (&answer["recipes"][0], &found["recipes"][at]);
            assert_eq!((&ours["id"], &ours["hang"]), (&theirs["id"], &theirs["hang"]), "{command} {format}");
        }
        let correct = json(&["correct", path, "--seen", "level"], 0);
        assert_eq!(correct["recipes"][0]["id"], found["recipes"][0]["id"]);
        let compare = json(&["compare", "--recipe", path, "--rank", "2", "--swap", "foam=none"], 0);
        assert_eq!(compare["recipes"][0]["id"], found["recipes"][1]["id"]);
        let shop = json(&["shop", path, "--rank", "3", "--flies", "2"], 0);
        assert_eq!(shop["recipes"][0]["id"], found["recipes"][2]["id"]);
        let missing = run(&["predict", path, "--rank", "9"]);
        assert_eq!(missing.status.code(), Some(2));
        assert!(text(&missing.stderr).contains("no recipe of rank 9"), "{}", text(&missing.stderr));
    }
    let empty = json(&["find", "--size", "8", "--max-cost", "0.01"], 1).to_string();
    let refused = run_with_input(&["predict", "-"], &empty);
    assert!(text(&refused.stderr).contains("holds no recipe"), "{}", text(&refused.stderr));
}

/// Names of files are tested before anything is computed, and an answer is never lost to one.
#[test]
fn files_are_tested_first() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name).to_str().unwrap().to_owned();
    let card = run(&["card", FLY, "--draw", &at("card.png")]);
    assert_eq!(card.status.code(), Some(2));
    assert!(card.stdout.is_empty() && text(&card.stderr).contains(".svg"), "{}", text(&card.stderr));
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 0);

    // Nothing meets the target: the answer stands, and nothing is saved.
    let none = run(&["find", "--size", "8", "--max-cost", "0.01", "--save", &at("none.yaml")]);
    assert_eq!(none.status.code(), Some(1), "{}", text(&none.stderr));
    assert!(!none.stdout.is_empty() && !folder.path().join("none.yaml").exists());

    // A missing folder is made for a box; a file in its place is refused at once.
    fs::write(at("taken"), "here").unwrap();
    let refused = run(&["box", "examples/boxes/two-days.yaml", "--save", &at("taken")]);
    assert_eq!((refused.status.code(), refused.stdout.len()), (Some(2), 0));
    let missing = run(&["find", "--size", "8", "--save", &at("no/such/fly.yaml")]);
    assert!(text(&missing.stderr).contains("no folder"), "{}", text(&missing.stderr));
}

/// The fly of one recipe in one jar shows one angle, whichever command is asked.
#[test]
fn one_jar_one_angle() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("jar.yaml");
    let log = log.to_str().unwrap();
    // A fly that is trimmed has its foam on at its start length in `stages`; this one has none.
    let fly = "examples/recipes/straight-8-pin.yaml";
    let stages = json(&["stages", fly], 0);
    for (stage, medium, more) in [("finish", "water", vec!["--water", "20C"]), ("wire", "air", vec!["--medium", "air"])]
    {
        let shown = stages["stages"].as_array().unwrap().iter().find(|s| s["stage"] == stage).unwrap();
        let test = shown["tests"].as_array().unwrap().iter().find(|t| t["medium"] == medium).unwrap();
        let angle = test["hang"]["angle_deg"].as_f64().unwrap();
        let seen = format!("{angle:.0}deg");
        let add = ["jar", "add", log, "--recipe", fly, "--hang", &seen, "--stage", stage, "--anyway"];
        let added = json(&[&add[..], &more[..]].concat(), 0);
        let entry = added["entries"].as_array().unwrap().last().unwrap();
        let predicted = find_number(entry, "predicted").unwrap_or_else(|| panic!("{entry}"));
        assert!((predicted - angle).abs() < 0.05, "{angle} {entry}");
    }
}

/// Every answer names what it was worked out from: catalog, calibration, seed.
#[test]
fn every_answer_says_what_it_comes_from() {
    let folder = tempfile::tempdir().unwrap();
    let mine = folder.path().join("mine.yaml");
    let mine = mine.to_str().unwrap();
    assert_eq!(run(&["fit", "examples/logs/jar.yaml", "--write", mine, "--quiet"]).status.code(), Some(0));
    let digest = |value: &Value| value.as_str().is_some_and(|d| d.len() == 16 && u64::from_str_radix(d, 16).is_ok());
    let plain = json(&["predict", FLY], 0)["origin"].clone();
    assert!(digest(&plain["catalog"]) && plain["calibration"].is_null() && plain["seed"].is_null(), "{plain}");
    for args in [
        vec!["stages", FLY, "--seed", "7"],
        vec!["card", FLY, "--seed", "7"],
        vec!["correct", FLY, "--seen", "level"],
        vec!["find", "--size", "8", "--top", "1"],
        vec!["sink", FLY],
        vec!["catalog", "list"],
    ] {
        let with = [&args[..], &["--calibration", mine]].concat();
        let answer = json(&with, 0);
        let origin = &answer["origin"];
        assert_eq!(origin["catalog"], plain["catalog"], "{args:?}");
        assert!(digest(&origin["calibration"]), "{args:?}: {origin}");
        let seeded = ["stages", "card"].contains(&args[0]);
        assert_eq!(origin["seed"], if seeded { Value::from(7) } else { Value::Null }, "{args:?}");
        assert_eq!(answer["version"], env!("CARGO_PKG_VERSION"), "{args:?}");
    }
}

/// The first number below a key of this name, wherever it stands.
fn find_number(value: &Value, key: &str) -> Option<f64> {
    match value {
        Value::Object(map) => map.iter().find_map(|(k, v)| {
            if k.starts_with(key) { v.as_f64().or_else(|| find_number(v, "")) } else { find_number(v, key) }
        }),
        Value::Array(list) => list.iter().find_map(|v| find_number(v, key)),
        _ => None,
    }
}

/// Each command's CSV is its own data.
#[test]
fn csv_is_the_commands_own() {
    let head = |args: &[&str]| {
        let args: Vec<&str> = args.iter().copied().chain(["--format", "csv"]).collect();
        text(&run(&args).stdout).lines().next().unwrap_or_default().to_owned()
    };
    assert!(head(&["stages", FLY]).starts_with("stage,medium,foam_mm,hang_deg"));
    assert!(head(&["card", FLY]).starts_with("section,item"));
    assert!(head(&["correct", FLY, "--seen", "level"]).starts_with("do,shows_stage,shows_medium"));
}
