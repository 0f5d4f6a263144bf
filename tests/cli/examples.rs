//! Every file in `examples/` runs.

use super::session::{run, shown, snapshot, transcript};
use std::fs;

fn files(folder: &str) -> Vec<String> {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let mut names: Vec<String> = fs::read_dir(format!("{root}{folder}"))
        .unwrap()
        .map(|entry| format!("{folder}/{}", entry.unwrap().file_name().to_str().unwrap()))
        .collect();
    names.sort();
    names
}

#[test]
fn targets() {
    for file in files("examples/targets") {
        let args = ["find", &file, "--top", "2"];
        let output = run(&args);
        // Of no fly with a pin and no foam do 8 of 10 come out right: nothing of it can be trimmed.
        let none = ["fast-and-weightless", "pin-no-foam"].iter().any(|name| file.contains(name));
        let wanted = i32::from(none);
        assert_eq!(output.status.code(), Some(wanted), "{file}");
        let name = file.rsplit('/').next().unwrap().trim_end_matches(".yaml").replace('-', "_");
        snapshot(&format!("example_{name}"), &transcript(&args, &output));
    }
}

#[test]
fn recipes() {
    let all: Vec<String> = files("examples/recipes").iter().map(|file| shown(&["predict", file])).collect();
    assert!(all.iter().all(|shown| shown.ends_with("--- exit 0\n")));
    snapshot("example_recipes", &all.join("\n"));
}

#[test]
fn catalogs() {
    for file in files("examples/catalogs") {
        assert_eq!(run(&["catalog", "check", &file]).status.code(), Some(0), "{file}");
    }
}

#[test]
fn logs() {
    for file in files("examples/logs") {
        assert_eq!(run(&["fit", &file]).status.code(), Some(0), "{file}");
    }
}

#[test]
fn the_list_of_examples_is_whole() {
    let list = include_str!("../../examples/README.md");
    for folder in ["targets", "recipes", "catalogs", "logs"] {
        for file in files(&format!("examples/{folder}")) {
            assert!(list.contains(file.trim_start_matches("examples/")), "{file} is not in examples/README.md");
        }
    }
}
