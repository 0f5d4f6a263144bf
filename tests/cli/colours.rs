//! Colours of beads and foam: asked for, told, refused.

use super::session::{json, run, run_with_input, shown, snapshot, text, transcript, unbroken};
use std::fs;

#[test]
fn a_recipe_is_told_in_the_colour_that_was_asked_for() {
    let asked = ["find", "--size", "12", "--style", "jig", "--top", "1", "--only", "bead.colour=copper"];
    snapshot("colours_asked", &shown(&asked));
    let said = |args: &[&str]| {
        let output = run(args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        transcript(args, &output)
    };
    let wrong: &[&[&str]] = &[
        &["find", "--only", "bead.colour=blak"],
        &["find", "--only", "foam.colour=mauve"],
        &["find", "--only", "wire.colour=black"],
    ];
    snapshot("colours_refused", &wrong.iter().map(|args| said(args)).collect::<Vec<_>>().join("\n"));
}

/// A colour narrows the choice and changes nothing else.
#[test]
fn colours_change_no_figure() {
    let plain = ["find", "--size", "12", "--style", "jig", "--top", "1", "--only", "bead.material=brass"];
    let all = json(&plain, 0);
    let gold = json(&[&plain[..], &["--only", "bead.colour=gold"]].concat(), 0);
    for key in ["id", "hang", "fall", "cost", "checks"] {
        assert_eq!(all["recipes"][0][key], gold["recipes"][0][key], "{key}");
    }
    let told = |answer: &serde_json::Value| answer["recipes"][0]["told"].as_str().unwrap().to_owned();
    assert!(told(&gold).contains(" gold ") && !told(&all).contains("gold"), "{}", told(&gold));
    let none = json(&[&plain[..], &["--not", "bead.colour=gold"]].concat(), 1);
    assert!(none["recipes"].as_array().unwrap().is_empty(), "every brass bead of the catalog comes in gold");
}

#[test]
fn catalogs_hold_show_and_refuse_them() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str, colours: &str| {
        let path = folder.path().join(name);
        let row = "{id: tungsten-3.5, measured_mass: 0.31 g}, {id: tungsten-4.0, COLOURS}".replace("COLOURS", colours);
        fs::write(&path, format!("currency: EUR\nbeads: [{row}]\n")).unwrap();
        path.to_str().unwrap().to_owned()
    };
    let sound = file("sound.yaml", "colours: [pink, light-green]");
    let detail = text(&run(&["--catalog", &sound, "catalog", "show", "bead", "tungsten-4.0"]).stdout);
    assert!(unbroken(&detail).contains("colours pink, light-green"), "{detail}");
    let list = text(&run(&["--catalog", &sound, "catalog", "list", "bead"]).stdout);
    assert!(list.contains("pink") && list.contains("light-green"), "{list}");
    for (name, colours, expected) in [
        ("twice.yaml", "colours: [pink, pink]", "colours holds pink twice"),
        ("capital.yaml", "colours: [Pink]", "colours holds `Pink`, which is no colour"),
        ("none.yaml", "colours: [none]", "colours holds `none`, which is no colour"),
    ] {
        let output = run(&["catalog", "check", &file(name, colours)]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        assert!(unbroken(&text(&output.stderr)).contains(expected), "{}", text(&output.stderr));
    }
}

/// Flies of two depths, told apart by their beads.
#[test]
fn a_box_says_which_colour_each_need_takes() {
    let file = "
target: {size: 12, style: jig, pattern: slim-nymph, tolerance: 10 deg}
needs:
  - {name: shallow, flies: 2, depth: 0.5 m, target: {only: [bead.colour=copper]}}
  - {name: deep, flies: 2, depth: 1 m, target: {only: [bead.colour=black]}}
";
    let shown = text(&run_with_input(&["box", "-", "--quiet"], file).stdout);
    let shown = unbroken(&shown);
    for need in ["2 shallow, 0.5 m, copper bead", "2 deep, 1 m, black bead"] {
        assert!(shown.contains(need) || shown.contains(&need.replacen('2', "3", 1)), "{shown}");
    }
}
