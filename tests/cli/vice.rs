//! `stages`, `correct` and the chance: what hands need to know.

use super::session::{json, run, run_with_input, shown, snapshot, text, transcript, unbroken};

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

#[test]
fn tables() {
    snapshot("stages_jig", &shown(&["stages", FLY, "--tolerance", "10deg"]));
    snapshot("stages_pin", &shown(&["stages", "examples/recipes/straight-8-pin.yaml", "--depth", "2m"]));
    snapshot("stages_floats", &shown(&["stages", "examples/recipes/floats.yaml"]));
    snapshot("correct_foam", &shown(&["correct", FLY, "--stage", "foam", "--seen", "-60deg", "--tolerance", "10deg"]));
    snapshot("correct_wire", &shown(&["correct", FLY, "--stage", "wire", "--seen", "70deg", "--quiet"]));
    let hand =
        ["correct", FLY, "--stage", "wire", "--medium", "air", "--seen", "75deg", "--tolerance", "10deg", "--quiet"];
    snapshot("correct_hand", &shown(&hand));
    let list = ["find", "--size", "10", "--style", "jig", "--hang", "level", "--tolerance", "10deg", "--top", "3"];
    let with = |more: &[&'static str]| list.iter().chain(more).copied().collect::<Vec<_>>();
    snapshot("find_min_chance", &shown(&with(&["--min-chance", "50%"])));
    snapshot("find_rank_chance", &shown(&with(&["--rank", "chance"])));
    snapshot("find_no_such_chance", &shown(&with(&["--min-chance", "0.99"])));
}

#[test]
fn wrong_words_are_said() {
    for (name, args) in [
        ("correct_no_stage", vec!["correct", FLY, "--stage", "wing", "--seen", "3deg"]),
        ("correct_no_unit", vec!["correct", FLY, "--seen", "3"]),
        ("correct_foam_before_it_is_on", vec!["correct", FLY, "--stage", "wire", "--seen", "70deg", "--foam", "9mm"]),
        ("correct_past_vertical", vec!["correct", FLY, "--seen", "100deg"]),
        ("stages_boiling", vec!["stages", FLY, "--jar", "90C"]),
        ("find_chance_of_what", vec!["find", "--size", "8", "--min-chance", "eighty"]),
    ] {
        snapshot(name, &transcript(&args, &run_with_input(&args, "")));
    }
}

/// The same bytes at any number of threads.
#[test]
fn a_share_is_the_same_at_any_number_of_threads() {
    let at = |more: &[&'static str]| {
        let list = ["find", "--size", "12", "--hang", "level", "--top", "3"];
        json(&list.iter().chain(more).copied().collect::<Vec<_>>(), 0)["recipes"].to_string()
    };
    assert_eq!(at(&["--threads", "1"]), at(&["--threads", "8"]));
}

/// A recipe that was found for some hang is trimmed for that at the vice, from its file and from an answer that holds it.
#[test]
fn what_was_asked_of_a_recipe_goes_with_it() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let [fly, answer] = ["fly.yaml", "answer.json"].map(|name| folder.path().join(name).display().to_string());
    for asked in [
        vec!["--hang", "30deg", "--tolerance", "8deg"],
        vec!["--pattern", "slim-nymph", "--rides", "point-down", "--tolerance", "10deg"],
        vec!["--sink", "0.25..0.4m/s"],
        vec!["--depth", "0.5..3m", "--max-mass", "400mg"],
        vec!["--reach", "3m", "--within", "12s"],
        vec!["--each-pattern", "fur-leech,slim-nymph", "--tolerance", "7deg"],
    ] {
        let question = ["find", "--size", "12", "--style", "jig", "--top", "1", "--quiet", "--force", "--save", &fly];
        let found = json(&[&question[..], &asked].concat(), 0);
        std::fs::write(&answer, found.to_string()).unwrap();
        let said = found["recipes"][0]["chance"]["trimmed"].as_f64().unwrap();
        for (command, file) in [("stages", &fly), ("card", &fly), ("stages", &answer), ("card", &answer)] {
            let told = json(&[command, file], 0);
            // Of several dressings the list tells the least sure.
            let right = told["recipes"][0]["chance"]["trimmed"].as_f64().unwrap();
            let several = asked[0] == "--each-pattern";
            assert!(
                if several { right > said - 0.005 } else { (right - said).abs() < 0.005 },
                "{command} {file} {asked:?}: {right} {said}"
            );
        }
        let seen = told_best(&json(&["correct", &fly, "--seen", "level"], 0));
        assert!(seen > 0.3, "{asked:?} {seen}");
    }
}

/// The best that can be made of a fly.
fn told_best(advice: &serde_json::Value) -> f64 {
    let corrections = advice["advice"]["corrections"].as_array().unwrap();
    corrections.iter().map(|c| c["chance"].as_f64().unwrap()).fold(0.0, f64::max)
}

/// Where the fly shows what its card expects, cutting by the chart of the card comes out as the card says.
#[test]
fn a_fly_as_expected_is_cut_by_its_chart() {
    let trim = &json(&["stages", FLY, "--tolerance", "10deg"], 0)["trim"];
    let advice = json(&["correct", FLY, "--seen=-60deg", "--tolerance", "10deg"], 0);
    let corrections = advice["advice"]["corrections"].as_array().unwrap();
    let by_chart = corrections.iter().find(|c| c["change"].as_str().unwrap().contains("by its chart")).unwrap();
    let (said, told) = (by_chart["chance"].as_f64().unwrap(), trim["trimmed"].as_f64().unwrap());
    assert!((said - told).abs() < 0.005, "{said} {told}");
    assert!(corrections.iter().all(|c| c["chance"].as_f64().unwrap() < said + 0.005));
}

/// What `find` says of a range of depths is what comes of the instructions that `stages` prints for it.
#[test]
fn a_range_of_depths_is_trimmed_for_what_find_says() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let fly = folder.path().join("fly.yaml");
    let fly = fly.to_str().unwrap();
    let depths = ["--depth", "0.5..3m", "--tolerance", "8deg"];
    let question = ["find", "--size", "10", "--style", "jig", "--top", "1", "--quiet", "--save", fly];
    let found = json(&[&question[..], &depths].concat(), 0);
    let stages = json(&[&["stages", fly][..], &depths].concat(), 0);
    let [said, told] = [&found["recipes"][0]["chance"]["trimmed"], &stages["trim"]["trimmed"]];
    assert!((said.as_f64().unwrap() - told.as_f64().unwrap()).abs() < 0.005, "{said} {told}");
    let shown = run(&[&["stages", fly][..], &depths].concat());
    assert!(unbroken(&text(&shown.stdout)).contains("as far either way"), "{}", text(&shown.stdout));
    // A fly that shows what it should is trimmed to be right at both ends, and by the card comes out as often as the list says.
    let row = stages["stages"].as_array().unwrap().iter().find(|row| row["stage"] == "foam").unwrap();
    let seen = &row["tests"].as_array().unwrap().iter().find(|test| test["medium"] == "water").unwrap()["hang"];
    let seen = format!("--seen={}deg", seen["angle_deg"]);
    let advice = json(&["correct", fly, "--stage", "foam", &seen], 0);
    let best = told_best(&advice);
    assert!((best - said.as_f64().unwrap()).abs() < 0.05, "{best} {said}");
    let range = |a: &serde_json::Value| a["key"] == "depth" && a["text"].as_str().unwrap().contains("midway");
    assert!(advice["assumptions"].as_array().unwrap().iter().any(range), "{advice}");
}

/// Wire that is not on yet is wound in another number of turns; what is on is taken off.
#[test]
fn wire_is_taken_off_only_where_it_is_on() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let fly = folder.path().join("fly.yaml");
    let recipe = "recipe: 1\nhook: jig60-12\npattern: light-body\nbead: {id: tungsten-slotted-3.5}\n\
                  wire: {id: lead-0.010in, turns: 9}\n";
    std::fs::write(&fly, recipe).unwrap();
    let fly = fly.to_str().unwrap();
    let told = |stage: &str, seen: &str| {
        let asked = ["correct", fly, "--hang", "55deg", "--tolerance", "10deg", "--stage", stage, "--seen", seen];
        json(&asked, 0)["advice"]["corrections"].to_string()
    };
    let (before, after) = (told("bead", "70deg"), told("wire", "70deg"));
    assert!(before.contains("wind 6 turns instead of 9") && !before.contains("off the rear"), "{before}");
    assert!(after.contains("off the rear") && !after.contains("instead of"), "{after}");
}
