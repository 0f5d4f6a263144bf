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
    let said = super::session::unbroken(&super::session::text(&output.stderr));
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    for part in ["nowhere.yaml", "unknown key `diameter_cm`", "unknown key `wire`", "did you mean `wires`?"] {
        assert!(said.contains(part), "{part}: {said}");
    }
}

/// Asks for a part and gives these answers.
fn added(file: &std::path::Path, part: &str, answers: &[&str]) -> std::process::Output {
    let input = answers.iter().flat_map(|answer| [*answer, "\n"]).collect::<String>();
    super::session::run_with_input(&["catalog", "add", part, file.to_str().unwrap()], &input)
}

#[test]
fn parts_of_ones_own_are_asked_for_and_written() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let file = folder.path().join("mine.yaml");
    let bead = ["my-bead", "", "tungsten-alloy", "1/8in", "1.2 mm", "slotted", "1.2 mm", "", "0.25 g", "20", "5.40"];
    let hook = [
        "my-hook", "My hook", "jig-60", "12", "", "0.61 mm", "0.95 mm", "2.1 mm", "", "8.4 mm", "5.5 mm", "4.1 mm",
        "61 mg", "25", "6.10",
    ];
    let foam = ["my-rod", "", "", "1/4\"", "2 lb/ft3", "", "", "", "whole, half", "10 ft", "4"];
    let wire = ["my-wire", "", "lead", "0.02 in", "3 m", "2"];
    let dressing = [
        "my-dressing",
        "",
        "10 mm",
        "",
        "20",
        "5",
        "tail",
        "",
        "",
        "3 mg",
        "1",
        "2.2",
        "3 mm",
        "",
        "",
        "thread",
        "thread",
        "",
        "1 mg",
        "",
        "",
        "",
    ];
    let parts: [(&str, &[&str]); 5] =
        [("bead", &bead), ("hook", &hook), ("foam", &foam), ("wire", &wire), ("dressing", &dressing)];
    for (i, (part, answers)) in parts.into_iter().enumerate() {
        let first = [&["USD"], answers].concat();
        let output = added(&file, part, if i == 0 { &first } else { answers });
        assert_eq!(output.status.code(), Some(0), "{part}: {}", super::session::text(&output.stderr));
    }
    snapshot("catalog_added", &std::fs::read_to_string(&file).unwrap().replace(file.to_str().unwrap(), "mine.yaml"));
    let name = file.to_str().unwrap();
    let rows = json(&["--catalog", name, "catalog", "list", "bead"], 0);
    let mine = rows["rows"].as_array().unwrap().iter().find(|row| row["id"] == "my-bead").unwrap();
    assert_eq!((mine["size_mm"].as_f64(), mine["mass_mg"].as_f64()), (Some(3.175), Some(250.0)));
    assert_eq!(rows["currency"], "USD");
    let found =
        json(&["--catalog", name, "find", "--hook", "my-hook", "--only", "bead=my-bead", "--min-chance", "0%"], 0);
    assert_eq!(found["recipes"][0]["recipe"]["bead"]["id"], "my-bead");
}

#[test]
fn what_cannot_be_a_part_is_not_written() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let file = folder.path().join("mine.yaml");
    std::fs::write(&file, "# mine\ncurrency: USD\n").unwrap();
    for (answers, said) in [
        (&["b", "", "tungsten"] as &[&str], "did you mean `tungsten-alloy`?"),
        (&["b", "", "brass", "3"], "outside diameter: a length needs a unit"),
        (&["b", "", "brass", "3 mm"], "no answer to: bore"),
        (&["b", "", "brass", "3 mm", "9 mm", "drilled", "", "20", "5"], "bore"),
        (&["no id"], "an id has letters"),
        (&["b", "", "brass", "3 mm", "1 mm", "drilld"], "did you mean `drilled`?"),
    ] {
        let output = added(&file, "bead", answers);
        let stderr = super::session::unbroken(&super::session::text(&output.stderr));
        assert_eq!(output.status.code(), Some(2), "{answers:?}: {stderr}");
        assert!(stderr.contains(said), "{said}: {stderr}");
    }
    let heavy = ["b", "", "tungsten-alloy", "3.5 mm", "1.1 mm", "drilled", "0.9 g", "20", "5"];
    let output = added(&file, "bead", &heavy);
    assert_eq!(output.status.code(), Some(2));
    assert!(super::session::text(&output.stderr).contains("46.86 g/cm3"), "{output:?}");
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "# mine\ncurrency: USD\n");
}

/// Of a hook that has a moulded head the density is that of both: its mass and its weight in water say the same.
#[test]
fn a_hook_is_listed_with_its_head() {
    let list = super::session::json(&["catalog", "list", "hook"], 0);
    for row in list["rows"].as_array().unwrap() {
        let of = |key: &str| row[key].as_f64().unwrap();
        let displaced = of("mass_mg") - of("submerged_weight_mN") / 9.80665e-3;
        assert!((of("mass_mg") / displaced - of("density_g_cm3")).abs() < 0.01, "{row}");
    }
}
