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
    snapshot("compare_csv", &shown(&with(&["--by", "foam.cut", "--by", "bead.mount", "--format", "csv"])));
    let outlay = ["--by", "hook.style", "--rank", "outlay", "--flies", "6", "--stock", "examples/stock/bench.yaml"];
    snapshot("compare_outlay", &shown(&with(&outlay)));
}

/// Each option's recipe is what `find` gives when it is held to that option.
#[test]
fn an_option_is_what_find_finds() {
    let compared = json(&with(&["--by", "bead.material"]), 0);
    let options = compared["compared"]["options"].as_array().unwrap();
    assert!(options.len() > 4);
    for option in options {
        let Some(rank) = option["rank"].as_u64() else { continue };
        let recipe = compared["recipes"].as_array().unwrap().iter().find(|r| r["rank"] == rank).unwrap();
        let only = format!("bead.material={}", option["values"][0].as_str().unwrap());
        let mut args = with(&["--only", &only, "--top", "1", "--variety", "every", "--min-chance", "0%"]);
        args[0] = "find";
        let found = json(&args, 0);
        assert_eq!(found["recipes"][0]["id"], recipe["id"], "{only}");
    }
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
