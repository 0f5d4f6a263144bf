//! One base under each of several dressings, as a person asks for it and reads it.

use super::session::{json, run, run_with_input, shown, snapshot, text, transcript};
use serde_json::Value;
use std::fs;

const TWO: &str = "chenille-body,feather-tail-leech";

#[test]
fn tables_and_csv() {
    let asked = ["find", "--size", "8", "--hang", "level", "--each-pattern", TWO, "--top", "2"];
    snapshot("dressings_told", &shown(&asked));
    let with = |more: &[&'static str]| shown(&[&asked[..], more].concat());
    snapshot("dressings_why", &with(&["--why"]));
    snapshot("dressings_csv", &with(&["--format", "csv"]));
    let one = ["find", "--size", "8", "--each-pattern", "chenille-body", "--top", "1"];
    let plain = ["find", "--size", "8", "--pattern", "chenille-body", "--top", "1"];
    assert_eq!(text(&run(&one).stdout), text(&run(&plain).stdout), "a list of one is what it always was");
}

#[test]
fn each_entry_in_json_has_the_checks_of_its_dressing() {
    let asked = ["find", "--size", "8", "--each-pattern", TWO, "--max-cost", "0.85", "--top", "2"];
    let answer = json(&asked, 0);
    assert_eq!(answer["search"]["proven"], true);
    for recipe in answer["recipes"].as_array().unwrap() {
        let dressings = recipe["dressings"].as_array().unwrap();
        let patterns: Vec<&str> = dressings.iter().map(|d| d["pattern"].as_str().unwrap()).collect();
        assert_eq!(patterns.join(","), TWO);
        for (dressed, pattern) in dressings.iter().zip(patterns) {
            let checks = dressed["checks"].as_array().unwrap();
            let names: Vec<&str> = checks.iter().map(|c| c["requirement"].as_str().unwrap()).collect();
            assert!(
                ["fit", "cost", "hang", "sink rate", "chance"].iter().all(|name| names.contains(name)),
                "{names:?}"
            );
            assert!(checks.iter().all(|check| check["met"] == true), "{checks:?}");
            assert!(dressed["chance"]["trimmed"].as_f64().unwrap() >= 0.8);
            // The base is the same; only the dressing differs.
            let mut base = dressed["recipe"].clone();
            assert_eq!(base["pattern"], pattern);
            base["pattern"] = recipe["recipe"]["pattern"].clone();
            assert_eq!(base, recipe["recipe"]);
            let foam = &dressed["foam"];
            assert!(foam["start_mm"].as_f64().unwrap() >= foam["trimmed_mm"].as_f64().unwrap());
            assert!(foam["hang_as_first_deg"].as_f64().is_some() && dressed["rank"] == recipe["rank"]);
        }
        let first = &dressings[0];
        assert!(["id", "hang", "fall", "checks", "chance", "cost"].iter().all(|key| recipe[key] == first[key]));
    }
}

#[test]
fn lists_that_make_no_sense() {
    let cases: &[&[&str]] = &[
        &["find", "--each-pattern", "fur-leech,slim-nymf"],
        &["find", "--each-pattern", "fur-leech,shrimp,fur-leech"],
        &["find", "--each-pattern", "a,b,c,d,e,f,g,h,i"],
        &["find", "--pattern", "fur-leech,shrimp"],
        &["find", "--pattern", "fur-leech", "--each-pattern", "shrimp"],
        &["compare", "--by", "bead.material", "--size", "8", "--each-pattern", "fur-leech,shrimp"],
        &["predict", "examples/recipes/jig-12-foam-tail.yaml", "--pattern", "slim-nymf"],
    ];
    let said: Vec<String> = cases
        .iter()
        .map(|args| {
            let output = run(args);
            assert_eq!(output.status.code(), Some(2), "{args:?}");
            transcript(args, &output)
        })
        .collect();
    let file = "size: 8\npattern: shrimp\neach_pattern: [fur-leech, shrimp]\n";
    let output = run_with_input(&["find", "-"], file);
    snapshot("dressings_refused", &format!("{}\n{}", said.join("\n"), transcript(&["find", "-"], &output)));
}

/// A flag replaces what the file says of dressings, whichever of the two keys either uses.
#[test]
fn flags_win_over_either_key_of_a_file() {
    let patterns = |file: &str, flags: &[&str]| {
        let args = [&["find", "-", "--top", "1", "--min-chance", "0%", "--format", "json"], flags].concat();
        let answer: Value = serde_json::from_slice(&run_with_input(&args, file).stdout).unwrap();
        let recipe = &answer["recipes"][0];
        let several = recipe.get("dressings").map_or(0, |list| list.as_array().unwrap().len());
        (recipe["recipe"]["pattern"].as_str().unwrap().to_owned(), several)
    };
    let (one, two) = ("size: 12\npattern: shrimp\n", "size: 12\neach_pattern: [light-body, slim-nymph]\n");
    assert_eq!(patterns(two, &[]), ("light-body".to_owned(), 2));
    assert_eq!(patterns(two, &["--pattern", "shrimp"]), ("shrimp".to_owned(), 0));
    assert_eq!(patterns(one, &["--each-pattern", "slim-nymph,light-body"]), ("slim-nymph".to_owned(), 2));
}

/// What is saved is the base in its first dressing; the vice shows it in any other.
#[test]
fn a_saved_base_is_shown_in_each_dressing() {
    let folder = tempfile::tempdir().unwrap();
    let (path, html) = (folder.path().join("base.yaml"), folder.path().join("list.html"));
    let (path, html) = (path.to_str().unwrap(), html.to_str().unwrap());
    let asked = ["find", "--size", "8", "--each-pattern", TWO, "--top", "1", "--save", path, "-o", html];
    let output = run(&[&asked[..], &["--format", "json"]].concat());
    let said = text(&output.stderr);
    assert!(said.contains("dressed in chenille-body") && said.contains("(feather-tail-leech)"), "{said}");
    let page = fs::read_to_string(html).unwrap();
    assert!(TWO.split(',').all(|pattern| page.contains(&format!("{pattern}: "))), "{page}");
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    for dressed in answer["recipes"][0]["dressings"].as_array().unwrap() {
        let pattern = dressed["pattern"].as_str().unwrap();
        let predicted = json(&["predict", path, "--pattern", pattern], 0);
        assert_eq!(predicted["recipes"][0]["hang"], dressed["hang"]);
        assert_eq!(predicted["recipes"][0]["id"], dressed["id"]);
        let card = json(&["card", path, "--pattern", pattern, "--hang", "level"], 0);
        assert_eq!(card["recipes"][0]["recipe"]["pattern"], pattern);
        let stages = json(&["stages", path, "--pattern", pattern, "--hang", "level"], 0);
        assert_eq!(stages["trim"]["start_mm"], dressed["foam"]["start_mm"]);
    }
    let plain = json(&["predict", path], 0);
    assert_eq!(plain["recipes"][0]["recipe"]["pattern"], "chenille-body");
}

/// A need in several dressings: so many flies of each, every base good for both.
#[test]
fn a_need_of_a_box_in_two_dressings() {
    let file = "needs: [{name: edge, flies: 3, target: {size: 8, tolerance: 8 deg, each_pattern: [chenille-body, feather-tail-leech]}}]\n";
    let output = run_with_input(&["box", "-", "--quiet", "--format", "json"], file);
    assert_eq!(output.status.code(), Some(0), "{}", text(&output.stderr));
    let answer: Value = serde_json::from_slice(&output.stdout).unwrap();
    let recipes = answer["recipes"].as_array().unwrap();
    let folder = tempfile::tempdir().unwrap();
    let mut patterns: Vec<String> = Vec::new();
    for (i, recipe) in recipes.iter().enumerate() {
        patterns.push(recipe["recipe"]["pattern"].as_str().unwrap().to_owned());
        // The base hangs within the tolerance in either dressing.
        let path = folder.path().join(format!("{i}.json"));
        fs::write(&path, serde_json::to_string(&recipe["recipe"]).unwrap()).unwrap();
        for pattern in TWO.split(',') {
            let predicted = json(&["predict", path.to_str().unwrap(), "--pattern", pattern], 0);
            let hang = predicted["recipes"][0]["hang"]["angle_deg"].as_f64().unwrap();
            assert!(hang.abs() <= 8.0, "{pattern}: {hang}");
        }
    }
    patterns.sort();
    patterns.dedup();
    assert_eq!(patterns.join(","), TWO);
}

/// Where no base does it, the dressings that cannot be had together are named, and what is proposed works.
#[test]
fn the_dressing_that_shuts_a_base_out_is_named() {
    let asked = [
        "find",
        "--hook",
        "jig60-12",
        "--only",
        "bead.mount=pin",
        "--only",
        "foam=none",
        "--only",
        "wire=none",
        "--min-chance",
        "0%",
        "--tolerance",
        "2deg",
        "--each-pattern",
        "bare,bulky-crawler",
    ];
    snapshot("dressings_shut_out", &shown(&asked));
    let answer = json(&asked, 1);
    let named = answer["explanation"]["conflict"].as_array().unwrap();
    assert!(named.iter().any(|word| word.as_str().unwrap().starts_with("dressing ")), "{named:?}");
    let mut helped = 0;
    for change in answer["explanation"]["relaxations"].as_array().unwrap() {
        let Some((flag, id)) = change["option"].as_str().unwrap().split_once(' ') else { continue };
        if flag == "--pattern" {
            let mut args = asked[..asked.len() - 2].to_vec();
            args.extend([flag, id]);
            assert_eq!(json(&args, 0)["recipes"][0]["recipe"]["pattern"], id);
            helped += 1;
        }
    }
    assert_eq!(helped, 2);
}
