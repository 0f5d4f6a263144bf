//! `catalog`: what there is.

use super::session::{json, shown, snapshot};

#[test]
fn lists_and_rows() {
    snapshot("catalog_list", &shown(&["catalog", "list"]));
    let rows = [
        ["hook", "ball-jig-2-1-8oz-lead"],
        ["bead", "tungsten-slotted-3.5"],
        ["pin", "pin-0.6x22"],
        ["wire", "lead-0.010in"],
        ["foam", "pe-rod-1-4in"],
        ["dressing", "fur-leech"],
        ["material", "tungsten-alloy"],
    ];
    let all: Vec<String> = rows.iter().map(|[kind, id]| shown(&["catalog", "show", kind, id])).collect();
    snapshot("catalog_show", &all.join("\n"));
    snapshot("catalog_csv", &shown(&["catalog", "list", "pins", "--format", "csv"]));
    snapshot("catalog_yaml", &shown(&["catalog", "show", "wire", "copper-0.010in", "--format", "yaml"]));
}

#[test]
fn own_rows_lie_on_top() {
    let mine = ["--catalog", "examples/catalogs/mine.yaml", "catalog"];
    let with = |more: &[&'static str]| mine.iter().chain(more).copied().collect::<Vec<_>>();
    snapshot("catalog_check", &shown(&["catalog", "check", "examples/catalogs/mine.yaml"]));
    snapshot("catalog_own_hook", &shown(&with(&["show", "hook", "jig60-12"])));
    let count = |args: &[&str]| json(args, 0)["rows"].as_array().unwrap().len();
    assert_eq!(count(&with(&["list", "bead"])), count(&["catalog", "list", "bead"]) + 1);
    assert_eq!(count(&with(&["list", "hook"])), count(&["catalog", "list", "hook"]));
}

#[test]
fn a_check_reports_every_file_in_one_run() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let bad = folder.path().join("bad.yaml");
    std::fs::write(&bad, "currency: EUR\nbeads:\n  - {id: x, diameter_cm: 1}\nwire: []\n").unwrap();
    let output = super::session::run(&["catalog", "check", "nowhere.yaml", bad.to_str().unwrap()]);
    let said = super::session::text(&output.stderr);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    for part in ["nowhere.yaml", "unknown key `diameter_cm`", "unknown key `wire`", "did you mean `wires`?"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}
