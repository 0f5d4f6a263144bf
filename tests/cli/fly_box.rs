//! `box`: plans, with what to buy and which fly is for which depth.

use super::session::{json, run_with_input, shown, snapshot, transcript};

#[test]
fn boxes() {
    snapshot("box_two_days", &shown(&["box", "examples/boxes/two-days.yaml", "--quiet"]));
    snapshot("box_conflicting_waters", &shown(&["box", "examples/boxes/conflicting-waters.yaml", "--quiet"]));
    snapshot("box_cannot_be_met", &shown(&["box", "examples/boxes/cannot-be-met.yaml", "--quiet"]));
    snapshot("box_shopping_csv", &shown(&["box", "examples/boxes/two-days.yaml", "--format", "csv"]));
}

#[test]
fn a_chart_is_drawn_once() {
    let folder = tempfile::tempdir().unwrap();
    let chart = folder.path().join("depths.svg");
    let args = ["box", "examples/boxes/two-days.yaml", "--chart", chart.to_str().unwrap(), "--quiet"];
    assert_eq!(run_with_input(&args, "").status.code(), Some(0));
    let drawn = std::fs::read_to_string(&chart).unwrap();
    assert!(drawn.starts_with("<svg") && drawn.trim_end().ends_with("</svg>") && drawn.contains("circle"));
    // Not drawn over without being told.
    assert_eq!(run_with_input(&args, "").status.code(), Some(2));
}

#[test]
fn a_budget_just_below_the_cheapest_box_is_not_enough() {
    let text = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/boxes/two-days.yaml")).unwrap();
    let whole = json(&["box", "examples/boxes/two-days.yaml", "--quiet"], 0);
    let outlay = whole["box"]["shopping"]["outlay"].as_f64().unwrap();
    let at = |budget: f64| {
        let output = run_with_input(&["box", "-", "--quiet"], &format!("{text}budget: {budget:.2}\n"));
        (output.status.code(), transcript(&["box", "-"], &output))
    };
    assert_eq!(at(outlay).0, Some(0));
    let (code, said) = at(outlay - 0.01);
    assert_eq!(code, Some(1));
    assert!(said.contains("the budget of"), "{said}");
}

#[test]
fn wrong_boxes_are_said() {
    for (name, text) in [
        ("box_empty", "needs: []\n"),
        ("box_unknown_key", "needs:\n  - {name: a, flies: 2, target: {size: [8]}, deepth: 1 m}\n"),
        ("box_no_flies", "needs:\n  - {name: a, flies: 0, target: {size: [8]}}\n"),
    ] {
        snapshot(name, &transcript(&["box", "-"], &run_with_input(&["box", "-"], text)));
    }
}
