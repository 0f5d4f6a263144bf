//! `find`: the main job.

use super::session::{json, run, run_with_input, shown, snapshot, text};
use serde_json::Value;
use std::fs;

#[test]
fn tables() {
    snapshot("find_level_8", &shown(&["find", "--size", "8", "--hang", "level"]));
    let heads =
        ["find", "--style", "ball-jig", "--size", "2", "--pattern", "light-body", "--hang", "20deg", "--top", "2"];
    snapshot("find_ball_jig", &shown(&heads));
    let pins = ["find", "--only", "bead.mount=pin", "--only", "foam=none", "--size", "8", "--variety", "bead"];
    snapshot("find_pins", &shown(&pins));
}

/// A fly that comes out right less often counts dearer, by as much as is said.
#[test]
fn surer_flies_come_first_for_a_price() {
    let first = |unsure: &str| {
        let answer = json(
            &["find", "--size", "10", "--hang", "level", "--style", "wide-gap", "--top", "1", "--unsure", unsure],
            0,
        );
        let recipe = &answer["recipes"][0];
        (recipe["cost"]["per_fly"].as_f64().unwrap(), recipe["chance"]["trimmed"].as_f64().unwrap())
    };
    let [plain, surer] = ["0", "0.10"].map(first);
    assert!(plain.1 < 0.9 && surer.1 >= 0.9, "{plain:?} {surer:?}");
    assert!(surer.0 > plain.0 && surer.0 < plain.0 + 0.15, "{plain:?} {surer:?}");
    assert!(shown(&["find", "--size", "8", "--unsure=-1"]).contains("`-1` is no amount"));
}

#[test]
fn formats() {
    let two = |format| shown(&["find", "--size", "12", "--style", "jig", "--top", "2", "--format", format]);
    snapshot("find_json", &two("json"));
    snapshot("find_csv", &two("csv"));
    snapshot("find_yaml", &two("yaml"));
}

#[test]
fn the_json_holds_the_contract() {
    let answer = json(&["find", "--size", "10", "--style", "jig", "--knot", "snug", "--top", "3"], 0);
    for key in ["schema", "command", "version", "assumptions", "recipes", "search", "cautions", "warnings"] {
        assert!(answer.get(key).is_some(), "{key}");
    }
    assert_eq!((&answer["schema"], &answer["command"]), (&Value::from(1), &Value::from("find")));
    let search = &answer["search"];
    let pruned: u64 = search["pruned"].as_object().unwrap().values().map(|v| v.as_u64().unwrap()).sum();
    assert_eq!(search["space"].as_u64().unwrap(), pruned + search["evaluated"].as_u64().unwrap());
    assert_eq!(search["proven"], true);
    for (i, recipe) in answer["recipes"].as_array().unwrap().iter().enumerate() {
        assert_eq!(recipe["rank"], i + 1);
        numbers(recipe, &["totals", "mass_mg submerged_weight_mN moment_x_mN_mm moment_y_mN_mm"]);
        numbers(recipe, &["hang", "angle_deg steadiness_mN_mm_per_rad depth_m"]);
        numbers(recipe, &["fall", "sink_rate_m_s attitude_deg glide_m_s"]);
        numbers(recipe, &["cost", "per_fly"]);
        sums(recipe);
    }
}

fn numbers(recipe: &Value, [block, keys]: &[&str; 2]) {
    for key in keys.split(' ') {
        assert!(recipe[block][key].is_number(), "{block}.{key}: {recipe}");
    }
}

/// The parts add up to the totals.
fn sums(recipe: &Value) {
    for key in ["mass_mg", "volume_mm3", "submerged_weight_mN", "moment_x_mN_mm", "moment_y_mN_mm"] {
        let parts: f64 = recipe["parts"].as_array().unwrap().iter().map(|p| p[key].as_f64().unwrap()).sum();
        let total = recipe["totals"][key].as_f64().unwrap();
        assert!((parts - total).abs() <= 1e-6 * (1.0 + total.abs()), "{key}: {parts} and {total}");
    }
    for part in recipe["parts"].as_array().unwrap() {
        let product = part["submerged_weight_mN"].as_f64().unwrap() * part["x_mm"].as_f64().unwrap();
        assert!((product - part["moment_x_mN_mm"].as_f64().unwrap()).abs() < 1e-6, "{part}");
    }
}

#[test]
fn any_number_of_threads_gives_the_same_bytes() {
    let with =
        |threads| run(&["find", "--size", "8", "--depth", "3m", "--threads", threads, "--format", "json"]).stdout;
    let one = with("1");
    assert!(!one.is_empty());
    assert_eq!(text(&one), text(&with("7")));
}

#[test]
fn what_find_prints_comes_back_from_predict() {
    let folder = tempfile::tempdir().unwrap();
    let cases: [&[&str]; 4] = [
        &["--size", "8", "--hang", "level"],
        &[
            "--size", "12", "--style", "jig", "--knot", "snug", "--tippet", "0.14mm", "--depth", "3.7m", "--state",
            "fresh",
        ],
        &["--size", "6", "--visible-foam", "--clear-gap", "0.3", "--salinity", "31.3g/kg", "--water", "51F"],
        &["--size", "8", "--only", "bead.mount=pin", "--hang", "-12.5deg"],
    ];
    for (i, case) in cases.iter().enumerate() {
        for rank in ["1", "3"] {
            let path = folder.path().join(format!("{i}-{rank}.yaml"));
            let path = path.to_str().unwrap();
            let mut args = vec!["find"];
            args.extend(*case);
            // No share is asked: what it costs to ask for one is another test.
            args.extend(["--save", path, "--save-rank", rank, "--min-chance", "0%"]);
            let found = json(&args, 0);
            let mut wanted = found["recipes"][rank.parse::<usize>().unwrap() - 1].clone();
            let predicted = json(&["predict", path], 0);
            wanted["rank"] = Value::from(1);
            wanted["margin"] = Value::Null;
            wanted["chance"] = Value::Null;
            wanted["checks"] = predicted["recipes"][0]["checks"].clone();
            assert_eq!(predicted["recipes"][0], wanted, "{args:?}");
            assert_eq!(predicted["warnings"].as_array().unwrap().iter().find(|w| w["code"] == "misfit"), None);
        }
    }
}

#[test]
fn saving_overwrites_only_when_told() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("fly.yaml");
    let name = path.to_str().unwrap();
    let find = |more: &[&str]| {
        let args: Vec<&str> = ["find", "--size", "8", "--save", name].into_iter().chain(more.iter().copied()).collect();
        run(&args).status.code()
    };
    assert_eq!(find(&[]), Some(0));
    let first = fs::read_to_string(&path).unwrap();
    assert_eq!(find(&["--save-rank", "2"]), Some(2));
    assert_eq!(fs::read_to_string(&path).unwrap(), first);
    assert_eq!(find(&["--save-rank", "2", "--force"]), Some(0));
    assert_ne!(fs::read_to_string(&path).unwrap(), first);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing is left lying about");
}

#[test]
fn flags_win_over_the_file_and_standard_input_is_a_file() {
    let file = "size: 8\nhang: 30 deg\nonly: foam=none\n";
    let answer = run_with_input(&["find", "-", "--hang", "level", "--only", "bead=none", "--format", "json"], file);
    let answer: Value = serde_json::from_slice(&answer.stdout).unwrap();
    let best = &answer["recipes"][0];
    assert!(best["hang"]["angle_deg"].as_f64().unwrap().abs() < 5.0);
    assert!(best["recipe"].get("foam").is_some() && best["recipe"].get("bead").is_none());
}

/// Every change that is proposed opens the space when it is typed.
#[test]
fn what_would_help_does_help() {
    let asked = ["find", "--hook", "straight-8", "--max-cost", "0.76", "--sink", "0.2..0.3m/s", "--only", "bead=none"];
    let answer = json(&asked, 1);
    assert_eq!(answer["recipes"].as_array().unwrap().len(), 0);
    let changes = answer["explanation"]["relaxations"].as_array().unwrap();
    assert!(!changes.is_empty());
    for change in changes {
        let option = change["option"].as_str().unwrap();
        let Some((flag, value)) = option.split_once(' ').filter(|(flag, _)| flag.starts_with("--")) else { continue };
        let mut args: Vec<&str> = asked.to_vec();
        match args.iter().position(|a| *a == flag) {
            Some(at) => args[at + 1] = value,
            None => args.extend([flag, value]),
        }
        // Where questions were given up, a change may fall short of the share that is asked, too, and the answer says so.
        if answer["explanation"]["cut_short"] == false {
            let opened = json(&args, 0);
            assert_eq!(opened["recipes"][0]["id"], change["recipe"]["id"], "{option}");
        }
    }
}

/// A window far narrower than sink rates are known is refused before anything is looked at, with the reason; what would help is said.
#[test]
fn a_window_narrower_than_a_sink_rate_is_known() {
    let answer = json(&["find", "--size", "16", "--sink", "0.45..0.46m/s", "--quiet"], 1);
    assert_eq!(answer["search"]["proven"], true);
    assert_eq!(answer["search"]["evaluated"], 0);
    let explanation = &answer["explanation"];
    assert!(explanation["narrow"].as_str().unwrap().contains("this window is +-1 %"), "{explanation}");
    let options = explanation["relaxations"].as_array().unwrap().iter().map(|r| r["option"].as_str().unwrap());
    assert!(options.clone().any(|o| o.starts_with("--min-chance")) && options.clone().any(|o| o.starts_with("--sink")));
}

/// Stopped before the first round: nothing found, but a bound that is proven.
#[test]
fn stopped_at_once() {
    let args = ["find", "--size", "8", "--time-limit", "0s", "--quiet"];
    snapshot("find_stopped", &shown(&args));
    let stopped = json(&args, 3);
    assert_eq!(stopped["search"]["proven"], false);
    assert_eq!(stopped["search"]["pruned"]["unexplored"], stopped["search"]["space"]);
    let best = json(&["find", "--size", "8", "--top", "1", "--quiet"], 0);
    let bound = stopped["search"]["cost_bound"].as_f64().unwrap();
    assert!(bound > 0.0 && bound <= best["recipes"][0]["cost"]["per_fly"].as_f64().unwrap() + 0.005);
    assert!(best["search"].get("cost_bound").is_none());
}
