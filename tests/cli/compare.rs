//! `compare`: materials side by side, and parts swapped.

use super::session::{json, run, shown, snapshot, transcript};

const NYMPH: [&str; 7] = ["compare", "--size", "12", "--style", "jig", "--pattern", "slim-nymph"];

fn with<'a>(more: &[&'a str]) -> Vec<&'a str> {
    NYMPH.iter().copied().chain(more.iter().copied()).collect()
}

#[test]
fn side_by_side() {
    snapshot("compare_bead_material", &shown(&with(&["--by", "bead.material"])));
    snapshot(
        "compare_lead_free_wire",
        &shown(&with(&["--by", "wire.material", "--lead-free", "--only", "foam.cut=whole"])),
    );
    snapshot("compare_grid", &shown(&with(&["--by", "foam.cut", "--by", "bead.mount", "--quiet"])));
    let on_paper = ["--by", "foam.cut", "--by", "bead.mount", "--min-chance", "0%", "--format", "csv"];
    snapshot("compare_csv", &shown(&with(&on_paper)));
    let outlay = ["--by", "hook.style", "--rank", "outlay", "--flies", "6", "--stock", "examples/stock/bench.yaml"];
    snapshot("compare_outlay", &shown(&with(&outlay)));
}

/// Each option's recipe is what `find` gives when it is held to that option, and comes out right as often as is asked.
#[test]
fn an_option_is_what_find_finds() {
    for (question, by, share) in [(&NYMPH[1..], "bead.material", Some("0%")), (&["--size", "8"], "wire.material", None)]
    {
        let question = [question, &share.map_or(vec![], |least| vec!["--min-chance", least])[..]].concat();
        let compared = json(&[&["compare", "--by", by][..], &question].concat(), 0);
        let options = compared["compared"]["options"].as_array().unwrap();
        assert!(options.len() > 3);
        for option in options {
            let Some(rank) = option["rank"].as_u64() else { continue };
            let recipe = compared["recipes"].as_array().unwrap().iter().find(|r| r["rank"] == rank).unwrap();
            assert!(share.is_some() || recipe["chance"]["trimmed"].as_f64().unwrap() >= 0.8, "{recipe}");
            let only = format!("{by}={}", option["values"][0].as_str().unwrap());
            let held = ["--only", &only, "--top", "1", "--variety", "every", "--unsure", "0"];
            let found = json(&[&["find"][..], &question, &held].concat(), 0);
            assert_eq!(found["recipes"][0]["id"], recipe["id"], "{only}");
        }
    }
}

/// A swap that comes out right too seldom misses that.
#[test]
fn an_unsure_swap_misses_the_share() {
    let args = [
        "compare",
        "--recipe",
        "examples/recipes/jig-12-foam-tail.yaml",
        "--swap",
        "foam=none",
        "--tolerance",
        "40deg",
    ];
    let missed = |more: &[&str]| {
        let swapped = json(&[&args[..], more].concat(), 0);
        let rows = swapped["swapped"]["rows"].as_array().unwrap().clone();
        rows.iter().any(|row| row["missed"].as_array().unwrap().iter().any(|word| word == "chance"))
    };
    assert!(missed(&[]) && !missed(&["--min-chance", "0%"]));
}

#[test]
fn parts_swapped() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    let args = ["compare", "--recipe", fly, "--swap", "bead=all", "--swap", "wire=none", "--hang", "20deg"];
    snapshot("compare_swap", &shown(&args));
    let args = ["compare", "--recipe", fly, "--swap", "bead=brass-slotted-3.8", "--swap", "foam=eva-strip-2x3mm"];
    snapshot("compare_swap_csv", &shown(&[&args[..], &["--format", "csv"]].concat()));
    // A swap is what `predict` says of the recipe with that part.
    let swapped = json(&args, 0);
    let before = &swapped["recipes"][0]["hang"]["angle_deg"];
    let predicted = json(&["predict", fly], 0);
    assert_eq!(*before, predicted["recipes"][0]["hang"]["angle_deg"]);
    // None that can be tied: nothing met.
    let output = run(&["compare", "--recipe", fly, "--swap", "bead=tungsten-6.4"]);
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn wrong_comparisons_are_said() {
    let fly = "examples/recipes/jig-12-foam-tail.yaml";
    for (name, args) in [
        ("compare_unknown_attribute", with(&["--by", "bead.lustre"])),
        ("compare_twice", with(&["--by", "bead", "--by", "bead"])),
        ("compare_three", with(&["--by", "bead", "--by", "wire", "--by", "foam"])),
        ("compare_too_many", with(&["--by", "bead", "--by", "wire"])),
        ("compare_nothing", NYMPH.to_vec()),
        ("compare_swap_form", vec!["compare", "--recipe", fly, "--swap", "brass-slotted-3.8"]),
        ("compare_swap_unknown", vec!["compare", "--recipe", fly, "--swap", "bead=bras-slotted-3.8"]),
        ("compare_swap_no_place", vec!["compare", "--recipe", fly, "--swap", "pin=pin-0.6x26"]),
    ] {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{name}");
        snapshot(name, &transcript(&args, &output));
    }
}
