//! `predict`: one recipe, part by part.

use super::session::{json, run_with_input, shown, snapshot, transcript};

#[test]
fn tables() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    snapshot("predict_jig", &shown(&["predict", fly]));
    snapshot("predict_csv", &shown(&["predict", fly, "--format", "csv"]));
    snapshot("predict_snug", &shown(&["predict", "examples/recipes/straight-8-pin.yaml", "--knot", "snug"]));
}

#[test]
fn what_does_not_fit_is_said_and_predicted_all_the_same() {
    let text = "recipe: 1\nhook: jig60-12\npattern: bare\nbead: {id: tungsten-3.5}\n";
    let output = run_with_input(&["predict", "-"], text);
    snapshot("predict_misfit", &transcript(&["predict", "-"], &output));
}

/// Deeper water squeezes foam, so the tail that it lifts hangs lower.
#[test]
fn flags_win_over_the_conditions_of_the_file() {
    let angle = |more: &[&str]| {
        let mut args = vec!["predict", "examples/recipes/jig-12-foam-tail.yaml"];
        args.extend(more);
        let answer = json(&args, 0);
        (answer["recipes"][0]["hang"]["angle_deg"].as_f64().unwrap(), answer["recipes"][0]["id"].clone())
    };
    let (at_one, id) = angle(&[]);
    let (at_five, same) = angle(&["--depth", "5m"]);
    assert!(at_five > at_one + 1.0, "{at_one} {at_five}");
    assert_eq!(id, same);
}
