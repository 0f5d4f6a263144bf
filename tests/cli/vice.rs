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
    let refused = run(&[&["correct", fly, "--stage", "foam", "--seen", "20deg"][..], &depths].concat());
    assert_eq!(refused.status.code(), Some(2));
}
