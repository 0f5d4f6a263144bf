//! The JSON Schemas that the program writes, held to files and answers by a validator that is not ours.

use super::session::{json, run, text};
use jsonschema::Validator;
use serde_json::Value;
use std::path::{Path, PathBuf};

fn schema(of: &str) -> Validator {
    let written = run(&["schema", of]);
    assert_eq!(written.status.code(), Some(0), "{}", text(&written.stderr));
    let schema: Value = serde_json::from_slice(&written.stdout).unwrap();
    jsonschema::draft202012::meta::validate(&schema).unwrap_or_else(|e| panic!("{of}: {e}"));
    jsonschema::validator_for(&schema).unwrap_or_else(|e| panic!("{of}: {e}"))
}

fn meets(schema: &Validator, value: &Value, name: &str) {
    let faults: Vec<String> =
        schema.iter_errors(value).map(|e| format!("{}: {e}", e.instance_path())).take(5).collect();
    assert!(faults.is_empty(), "{name}: {faults:#?}");
}

/// An answer meets the schema of this name.
pub(super) fn holds(of: &str, answer: &Value) {
    meets(&schema(of), answer, of);
}

fn yaml(path: &Path) -> Value {
    let written = std::fs::read_to_string(path).unwrap();
    counterpoise::yaml::from_str(&written).unwrap_or_else(|e| panic!("{}: {e}", path.display()))
}

/// Files of a folder of the project, or the file itself.
fn files(path: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(path);
    if path.is_file() {
        return vec![path];
    }
    let list = std::fs::read_dir(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    let mut list: Vec<PathBuf> = list.map(|file| file.unwrap().path()).collect();
    list.retain(|file| file.extension().is_some_and(|end| end == "yaml"));
    list
}

#[test]
fn every_file_of_the_project_meets_its_schema() {
    for (of, places) in [
        ("target", ["examples/targets", "examples/starters/target.yaml"].as_slice()),
        ("recipe", &["examples/recipes", "examples/starters/recipe.yaml"]),
        ("box", &["examples/boxes", "examples/starters/box.yaml"]),
        ("stock", &["examples/stock", "examples/starters/stock.yaml"]),
        (
            "catalog",
            &["catalogs", "examples/catalogs", "examples/starters/catalog.yaml", "examples/starters/dressing.yaml"],
        ),
        ("log", &["examples/logs", "examples/starters/log.yaml"]),
    ] {
        let schema = schema(of);
        for file in places.iter().flat_map(|place| files(place)) {
            meets(&schema, &yaml(&file), &file.display().to_string());
        }
    }
}

#[test]
fn what_the_program_refuses_for_its_form_the_schema_refuses() {
    for (of, good, bad) in [
        ("target", r#"{"size": 8, "hang": "level", "depth": "1..3 m"}"#, r#"{"sizes": 8}"#),
        ("target", r#"{"size": [8, 10]}"#, r#"{"size": "big"}"#),
        ("target", r#"{"each_pattern": ["a", "b"]}"#, r#"{"each_pattern": [1]}"#),
        ("recipe", r#"{"recipe": 1, "hook": "a", "pattern": "b"}"#, r#"{"recipe": 1, "hook": "a"}"#),
        ("stock", r#"{"stock": [{"kind": "bead", "id": "x", "count": 3}]}"#, r#"{"stock": [{"kind": "bead"}]}"#),
        (
            "catalog",
            r#"{"beads": [{"id": "x", "diameter": "1/8 in", "pack": {"price": 3}}]}"#,
            r#"{"beads": [{"name": "x"}]}"#,
        ),
        (
            "catalog",
            r#"{"beads": [{"id": "x", "colours": ["red"]}]}"#,
            r#"{"pins": [{"id": "x", "colours": ["red"]}]}"#,
        ),
        (
            "catalog",
            r#"{"foams": [{"id": "x", "cuts": ["sixteenth"]}]}"#,
            r#"{"foams": [{"id": "x", "cuts": ["third"]}]}"#,
        ),
        ("settings", r#"{"units": "us", "water": "46 F"}"#, r#"{"units": "imperial"}"#),
        (
            "box",
            r#"{"name": "x", "needs": [{"name": "a", "flies": 3}]}"#,
            r#"{"name": "x", "needs": [{"name": "a", "flies": "3"}]}"#,
        ),
    ] {
        let (schema, good, bad): (_, Value, Value) =
            (schema(of), serde_json::from_str(good).unwrap(), serde_json::from_str(bad).unwrap());
        meets(&schema, &good, of);
        assert!(!schema.is_valid(&bad), "{of}: {bad}");
    }
}

/// An editor offers these words: each is taken.
#[test]
fn words_of_the_target_schema_are_taken() {
    let schema: Value = serde_json::from_slice(&run(&["schema", "target"]).stdout).unwrap();
    let mut words = 0;
    for (key, part) in schema["properties"].as_object().unwrap() {
        for word in part["enum"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            let option = format!("--{key}={word}");
            let more = if word == "snug" { ["--tippet", "0.15mm"].as_slice() } else { &[] };
            let asked = ["find", "--size", "8", "--min-chance", "0%", "--top", "1", "--quiet", &option];
            let said = run(&[&asked, more].concat());
            assert!(said.status.code().is_some_and(|code| code < 2), "{option}: {}", text(&said.stderr));
            words += 1;
        }
    }
    assert!(words >= 9, "{words}");
}

#[test]
fn every_answer_meets_its_schema() {
    const JIG: &str = "examples/recipes/jig-12-foam-tail.yaml";
    for (of, args) in [
        ("answer-find", ["find", "--size", "8", "--top", "2", "--quiet"].as_slice()),
        ("answer-find", &["find", "--size", "12", "--each-pattern", "light-body,slim-nymph", "--top", "1", "--quiet"]),
        ("answer-predict", &["predict", JIG, "--explain"]),
        ("answer-compare", &["compare", "--size", "12", "--style", "jig", "--by", "bead.material", "--quiet"]),
        ("answer-compare", &["compare", "--recipe", JIG, "--swap", "bead=brass-slotted-3.3"]),
        ("answer-sink", &["sink", JIG, "--depths", "1,2m"]),
        ("answer-stages", &["stages", JIG]),
        ("answer-card", &["card", JIG]),
        ("answer-correct", &["correct", JIG, "--stage", "foam", "--seen", "20deg"]),
        ("answer-jar", &["jar", "show", "examples/logs/jar.yaml"]),
        ("answer-fit", &["fit", "examples/logs/jar.yaml"]),
        ("answer-shop", &["shop", JIG, "--flies", "6"]),
        ("answer-stock", &["stock", "show", "--stock", "examples/stock/bench.yaml"]),
        ("answer-catalog", &["catalog", "list", "bead"]),
        ("answer-catalog", &["catalog", "show", "hook", "straight-8"]),
        ("answer-catalog", &["catalog", "check", "examples/catalogs/mine.yaml"]),
    ] {
        let schema = schema(of);
        let answer = json(args, 0);
        meets(&schema, &answer, of);
        let mut spoilt = answer;
        spoilt["schema"] = "one".into();
        assert!(!schema.is_valid(&spoilt), "{of}");
    }
    // One need that nothing meets beside an easy one.
    let boxed = ["box", "examples/boxes/cannot-be-met.yaml", "--quiet", "--time-limit", "3s", "--format", "json"];
    holds("answer-box", &serde_json::from_slice(&run(&boxed).stdout).unwrap());
    let none = json(&["find", "--size", "8", "--sink", ">=4m/s", "--quiet"], 1);
    holds("answer-find", &none);
}
