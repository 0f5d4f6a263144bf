//! `new`: every starter is taken by the command that it is for; settings are remembered.

use super::session::{program, text, unbroken};
use std::path::Path;
use std::process::Output;

fn run(folder: &Path, args: &[&str]) -> Output {
    program(args).current_dir(folder).output().unwrap()
}

fn met(folder: &Path, args: &[&str]) -> String {
    let output = run(folder, args);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {}", text(&output.stderr));
    text(&output.stdout)
}

#[test]
fn each_starter_is_taken_by_its_command() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let here = folder.path();
    for what in ["target", "recipe", "box", "stock", "catalog", "dressing", "log"] {
        met(here, &["new", what]);
        assert!(here.join(format!("{what}.yaml")).is_file(), "{what}");
    }
    met(here, &["find", "target.yaml", "--quiet"]);
    met(here, &["predict", "recipe.yaml"]);
    met(here, &["stock", "show", "--stock", "stock.yaml"]);
    met(here, &["catalog", "check", "catalog.yaml", "dressing.yaml"]);
    met(
        here,
        &["--catalog", "dressing.yaml", "find", "--size", "10", "--pattern", "my-dressing", "--tolerance", "20deg"],
    );
    met(here, &["jar", "show", "log.yaml"]);
    let again = run(here, &["new", "target"]);
    assert_eq!(again.status.code(), Some(2), "an existing file is kept");
    assert!(met(here, &["new", "target", "-"]).starts_with("# What the fly must do"));
}

#[test]
fn settings_are_read_and_can_be_left_out() {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap();
    let here = folder.path();
    met(here, &["new", "settings", "settings.yaml"]);
    met(here, &["--settings", "settings.yaml", "catalog", "list", "bead"]);
    std::fs::write(here.join("mine.yaml"), "beads: [{id: tungsten-3.5, pack: {price: 77}}]\n").unwrap();
    std::fs::write(here.join("settings.yaml"), "catalogs: [mine.yaml]\ncurrency: USD\n").unwrap();
    let shown = met(here, &["--settings", "settings.yaml", "catalog", "show", "bead", "tungsten-3.5"]);
    assert!(shown.contains("77.00 USD"), "{shown}");
    let plain = met(here, &["catalog", "show", "bead", "tungsten-3.5"]);
    assert!(plain.contains("5.15 EUR"), "{plain}");
    std::fs::write(here.join("settings.yaml"), "catalog: [mine.yaml]\n").unwrap();
    let refused = run(here, &["--settings", "settings.yaml", "catalog", "list"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(unbroken(&text(&refused.stderr)).contains("did you mean `catalogs`?"), "{}", text(&refused.stderr));
}
