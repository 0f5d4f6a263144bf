//! `sink`: the way down, and requirements of it.

use super::session::{json, run_with_input, shown, snapshot, transcript};

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

#[test]
fn tables() {
    snapshot("sink_jig", &shown(&["sink", FLY]));
    snapshot("sink_explained", &shown(&["sink", FLY, "--depths", "1,3m", "--explain"]));
    snapshot("sink_floats", &shown(&["sink", "examples/recipes/floats.yaml", "--depths", "1m"]));
    snapshot("sink_csv", &shown(&["sink", FLY, "--depths", "0.5,2m", "--format", "csv"]));
    snapshot(
        "sink_slack_with_leader",
        &shown(&["sink", FLY, "--line", "slack", "--leader", "2m", "--tippet", "0.16mm"]),
    );
    snapshot("predict_explained", &shown(&["predict", FLY, "--explain"]));
}

#[test]
fn wrong_words_are_said() {
    for (name, args) in [
        ("sink_depth_without_unit", ["sink", FLY, "--depths", "1,2"]),
        ("sink_negative_depth", ["sink", FLY, "--depths", "-1m"]),
        ("sink_unknown_line", ["sink", FLY, "--line", "loose"]),
        ("sink_slack_in_grams", ["sink", FLY, "--slack", "3g"]),
    ] {
        snapshot(name, &transcript(&args, &run_with_input(&args, "")));
    }
}

/// A deeper depth takes longer, and a fly that is let go overtakes one that is lowered only if it falls faster.
#[test]
fn json_holds_the_countdown() {
    let answer = json(&["sink", FLY, "--depths", "0.5,1,3m"], 0);
    assert_eq!(answer["schema"], 1);
    assert_eq!(answer["command"], "sink");
    assert!(answer["recipes"][0]["id"].is_string());
}

#[test]
fn targets_on_the_way_down() {
    let jig = [
        "find",
        "--size",
        "10",
        "--style",
        "jig",
        "--hang",
        "level",
        "--top",
        "2",
        "--not",
        "bead=none",
        "--min-chance",
        "0%",
    ];
    let with = |more: &[&'static str]| {
        let args: Vec<&str> = jig.iter().chain(more).copied().collect();
        shown(&args)
    };
    snapshot("find_depth_range", &with(&["--depth", "0.5..3m", "--tolerance", "8deg", "--variety", "parts"]));
    snapshot("find_reach", &with(&["--reach", "3m", "--within", "15s"]));
    snapshot("find_dive", &with(&["--dive", "60deg"]));
    snapshot("find_slack_line", &with(&["--line", "slack", "--sink", "0.3..0.4m/s"]));
}
