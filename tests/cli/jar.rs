//! `jar`: a log that is begun, added to, filled from a table, shown.

use super::session::{json, run, snapshot, text, transcript};
use std::fs;
use std::path::Path;

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

/// Runs with the log of a folder, and shows it without the folder's name.
fn shown(folder: &Path, args: &[&str]) -> String {
    let log = folder.join("jar.yaml").display().to_string();
    let args: Vec<&str> = args.iter().map(|a| if *a == "jar.yaml" { log.as_str() } else { a }).collect();
    transcript(&args, &run(&args)).replace(&format!("{}/", folder.display()), "")
}

#[test]
fn a_log_is_begun_added_to_and_shown() {
    let folder = tempfile::tempdir().unwrap();
    let at = |args: &[&str]| shown(folder.path(), args);
    let all = [
        at(&[
            "jar",
            "add",
            "jar.yaml",
            "--recipe",
            FLY,
            "--date",
            "2026-03-01",
            "--fly",
            "A",
            "--hang",
            "12deg",
            "--rides",
            "point-up",
        ]),
        at(&[
            "jar",
            "add",
            "jar.yaml",
            "--recipe",
            FLY,
            "--fly",
            "A",
            "--stage",
            "foam",
            "--hang",
            "-4deg",
            "--hang-error",
            "5deg",
        ]),
        at(&[
            "jar",
            "add",
            "jar.yaml",
            "--recipe",
            FLY,
            "--drop",
            "30cm/0.62s",
            "--line",
            "tight",
            "--mass",
            "410mg",
            "--depth",
            "10cm",
        ]),
        at(&[
            "jar",
            "add",
            "jar.yaml",
            "--weighed",
            "bead:tungsten-slotted-3.5",
            "--count",
            "10",
            "--mass",
            "2.61g",
            "--note",
            "kitchen scale",
        ]),
        at(&["jar", "add", "jar.yaml", "--recipe", "examples/recipes/floats.yaml", "--floats", "no"]),
        at(&["jar", "show", "jar.yaml"]),
        at(&["jar", "show", "jar.yaml", "--format", "csv"]),
    ];
    snapshot("jar_session", &all.join("\n"));
    snapshot("jar_log", &fs::read_to_string(folder.path().join("jar.yaml")).unwrap());
}

/// Drops are predicted as `sink` counts them down.
/// A log keeps the units in which it was written, and equal readings are equal in any.
#[test]
fn what_was_typed_stays_as_typed() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("jar.yaml");
    let log = log.to_str().unwrap();
    let add = |typed: &[&str]| {
        let output = run(&[&["jar", "add", log, "--recipe", FLY, "--anyway"], typed].concat());
        assert_eq!(output.status.code(), Some(0), "{output:?}");
    };
    add(&["--drop", "12in/0.4s", "--drop", "30cm/0.7s", "--depth", "12cm", "--water", "64F", "--mass", "1/80 oz"]);
    let kept = fs::read_to_string(log).unwrap();
    for words in ["distance: 12 in\n", "distance: 30 cm\n", "depth: 12 cm\n", "water: 64 F\n", "mass: 0.0125 oz\n"] {
        assert!(kept.contains(words), "{words}: {kept}");
    }
}

#[test]
fn drops_are_those_of_sink() {
    for (line, key) in [("slack", "slack"), ("tight", "tight")] {
        let folder = tempfile::tempdir().unwrap();
        let log = folder.path().join("jar.yaml").display().to_string();
        let drop = ["--drop", "40cm/1s", "--line", line, "--water", "16C", "--depth", "10cm", "--state", "fresh"];
        let added = json(&[&["jar", "add", &log, "--recipe", FLY][..], &drop].concat(), 0);
        let ours = added["entries"][0]["readings"][0]["predicted"].as_f64().unwrap();
        let sink = ["sink", FLY, "--depths", "40cm", "--water", "16C", "--depth", "10cm", "--state", "fresh"];
        let theirs = json(&sink, 0)["descents"][0]["depths"][0][key]["time_s"].as_f64().unwrap();
        assert!((ours / theirs - 1.0).abs() < 1e-6, "{line}: {ours} {theirs}");
    }
}

#[test]
fn a_table_is_taken_over() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(FLY, folder.path().join("fly.yaml")).unwrap();
    let table = folder.path().join("tests.csv");
    fs::write(&table, "date,recipe,hang_deg,rides,part,count,mass_mg\n2026-03-01,fly.yaml,12,point-up,,,\n,,,,hook jig60-12,20,1010\n")
        .unwrap();
    let args = ["jar", "import", "jar.yaml", table.to_str().unwrap()];
    let shown = shown(folder.path(), &args).replace(&format!("{}/", folder.path().display()), "");
    snapshot("jar_import", &shown);
}

/// With its foam at the start length a fly hangs as `stages` says that it does, and not as it hangs when it is finished.
#[test]
fn a_reading_is_of_the_foam_that_was_on() {
    let folder = tempfile::tempdir().unwrap();
    let log = folder.path().join("jar.yaml").display().to_string();
    let stages = json(&["stages", FLY, "--tolerance", "10deg"], 0);
    let start = stages["trim"]["start_mm"].as_f64().unwrap();
    let found = |list: &serde_json::Value, key: &str, word: &str| {
        list.as_array().unwrap().iter().find(|row| row[key] == word).unwrap().clone()
    };
    let stage = found(&stages["stages"], "stage", "foam");
    let told = found(&stage["tests"], "medium", "water")["hang"]["angle_deg"].as_f64().unwrap();
    let foam = format!("{start}mm");
    let seen = format!("{told}deg");
    let add = |more: &[&str]| {
        let args = ["jar", "add", &log, "--recipe", FLY, "--stage", "foam", "--hang", &seen];
        json(&[&args, more].concat(), 0)
    };
    let off = |answer: &serde_json::Value| answer["entries"][0]["readings"][0]["off"].as_f64().unwrap();
    assert!(off(&add(&["--foam", &foam])).abs() < 0.1);
    let unsaid = add(&[]);
    assert!(off(&unsaid).abs() > 20.0);
    assert!(unsaid["assumptions"].as_array().unwrap().iter().any(|a| a["key"] == "foam"), "{unsaid}");
}

#[test]
fn what_is_no_entry_is_not_added() {
    let folder = tempfile::tempdir().unwrap();
    let at = |args: &[&str]| shown(folder.path(), args);
    let all = [
        at(&["jar", "add", "jar.yaml", "--recipe", FLY]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--hang", "12"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--hang", "100deg"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--stage", "hackle", "--hang", "3deg"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--stage", "foam", "--drop", "30cm/1s"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--drop", "30cm"]),
        at(&["jar", "add", "jar.yaml", "--recipe", "leech", "--hang", "3deg"]),
        at(&["jar", "add", "jar.yaml", "--weighed", "tungsten-3.5", "--mass", "3mg"]),
        at(&["jar", "add", "jar.yaml", "--weighed", "bead:tungstn-3.5", "--mass", "3mg"]),
        at(&["jar", "add", "jar.yaml", "--weighed", "wire:lead-0.010in", "--mass", "3mg"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--stage", "wire", "--foam", "15mm", "--hang", "50deg"]),
        at(&["jar", "add", "jar.yaml", "--recipe", FLY, "--foam", "200mm", "--hang", "5deg"]),
        at(&["jar", "show", "jar.yaml"]),
    ];
    assert!(!folder.path().join("jar.yaml").exists(), "{}", text(&run(&["--version"]).stdout));
    snapshot("jar_refused", &all.join("\n"));
}

#[test]
fn a_log_with_faults_is_shown_where_they_are() {
    let folder = tempfile::tempdir().unwrap();
    let faulty = "\
jar_log: 1
jar: {water: 18, depth: 12 cm}
recipes:
  leech: {hook: jig60-12, pattern: light-body, bead: {id: tungsten-sloted-3.5}}
entries:
  - {recipe: leech, hang: 31}
  - {recipe: leach, hang: 12 deg}
  - {recipe: leech}
  - {recipe: leech, hang: 12 deg, hang_eror: 2 deg}
  - {recipe: leech, hang: 12 deg, floats: true}
  - {recipe: leech, hang: 12 deg, state: wet}
  - {recipe: nowhere.yaml, hang: 12 deg}
  - {weighed: {kind: bead, id: tungsten-3.5, mass: 2.6 g, length_mm: 3}}
  - {weighed: {kind: bead, id: tungsten-3.5, mass: 2.6 cm}}
  - {note: nothing}
";
    fs::write(folder.path().join("jar.yaml"), faulty).unwrap();
    let show = shown(folder.path(), &["jar", "show", "jar.yaml"]);
    let parts = faulty.replace("31}", "31 deg}").lines().take(6).collect::<Vec<_>>().join("\n").replace("18,", "18 C,");
    fs::write(folder.path().join("jar.yaml"), parts).unwrap();
    let unknown = shown(folder.path(), &["jar", "show", "jar.yaml"]);
    fs::write(folder.path().join("jar.yaml"), "").unwrap();
    let empty = shown(folder.path(), &["jar", "add", "jar.yaml", "--recipe", FLY, "--hang", "3deg"]);
    fs::write(folder.path().join("jar.yaml"), "jar_log: 1\n").unwrap();
    let bare = shown(folder.path(), &["jar", "show", "jar.yaml"]);
    snapshot("jar_faults", &[show, unknown, empty, bare].join("\n"));
}

/// What can hardly be true is refused, what is odd is asked about, and what is there already is not imported again.
#[test]
fn slips_are_told_while_the_fly_hangs() {
    let folder = tempfile::tempdir().unwrap();
    fs::copy(FLY, folder.path().join("fly.yaml")).unwrap();
    let table = folder.path().join("tests.csv");
    fs::write(&table, "date,recipe,medium,stage,hang_deg\n2026-03-01,fly.yaml,,,12\n2026-03-02,fly.yaml,air,wire,58\n")
        .unwrap();
    let table = table.display().to_string();
    let at = |args: &[&str]| shown(folder.path(), args).replace(&format!("{}/", folder.path().display()), "");
    let says = |args: &[&str], words: &str, exit: u8| {
        let said = at(args);
        let flat = said.replace("\n    ", " ").replace("\n  ", " ");
        assert!(flat.contains(words) && said.ends_with(&format!("--- exit {exit}\n")), "{words}\n{said}");
    };
    let add = |more: &[&'static str]| [&["jar", "add", "jar.yaml"][..], more].concat();
    let fly = "fly:examples/recipes/jig-12-foam-tail.yaml";
    says(&add(&["--recipe", FLY, "--stage", "wire", "--hang", "-58deg"]), "did you mean tail down?", 0);
    says(&add(&["--weighed", fly, "--mass", "2900mg"]), "nothing was added: entry #2: 2900 mg on the scale", 2);
    says(&add(&["--recipe", FLY, "--date", "2099-01-01", "--hang", "30deg"]), "2099-01-01 has not come yet", 2);
    says(&add(&["--weighed", fly, "--fly", "A", "--mass", "381mg"]), "added 1 to", 0);
    says(&add(&["--recipe", FLY, "--medium", "air", "--state", "soaked", "--hang", "30deg"]), "hung dry", 2);
    says(&["jar", "import", "jar.yaml", &table], "added 2 to", 0);
    says(&["jar", "import", "jar.yaml", &table], "2 of these rows are in the log already", 0);
}
