//! `shop` and `stock`: what to buy, what is left, and a file that keeps all that a person wrote in it.

use super::session::{run_with_input, shown, snapshot, transcript};
use std::fs;
use std::path::{Path, PathBuf};
use tempfile::TempDir;

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";
const BENCH: &str = "examples/stock/bench.yaml";

fn bench() -> (TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bench.yaml");
    fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/stock/bench.yaml"), &path).unwrap();
    (folder, path)
}

/// Runs a command on a stock file of its own, and shows it without that file's folder.
fn on(path: &Path, args: &[&str]) -> (Option<i32>, String) {
    let file = path.to_str().unwrap();
    let args: Vec<&str> = args.iter().copied().chain(["--stock", file]).collect();
    let output = run_with_input(&args, "");
    (output.status.code(), transcript(&args, &output).replace(file, "bench.yaml"))
}

#[test]
fn shopping() {
    snapshot("shop_twelve", &shown(&["shop", FLY, "--flies", "12", "--stock", BENCH]));
    snapshot("shop_two_recipes", &shown(&["shop", FLY, "examples/recipes/straight-8-pin.yaml", "--flies", "12,6"]));
    snapshot("shop_csv", &shown(&["shop", FLY, "--flies", "12", "--format", "csv"]));
    snapshot("shop_counts", &shown(&["shop", FLY, FLY, FLY, "--flies", "12,6"]));
    snapshot(
        "find_outlay_stock",
        &shown(&[
            "find",
            "--hook",
            "jig60-12",
            "--pattern",
            "light-body",
            "--rank",
            "outlay",
            "--flies",
            "4",
            "--stock",
            BENCH,
            "--top",
            "2",
        ]),
    );
}

#[test]
fn a_stock_is_booked_out_and_in_and_keeps_its_comments() {
    let (_folder, path) = bench();
    let before = fs::read_to_string(&path).unwrap();
    let (code, dry) = on(&path, &["stock", "take", FLY, "--flies", "4", "--dry-run"]);
    assert_eq!((code, fs::read_to_string(&path).unwrap()), (Some(0), before.clone()), "{dry}");
    let (code, taken) = on(&path, &["stock", "take", FLY, "--flies", "4"]);
    assert_eq!(code, Some(0));
    snapshot("stock_take", &taken);
    let after = fs::read_to_string(&path).unwrap();
    assert!(after.contains("tungsten-slotted-3.5, count: 0}  # the dull ones") && after.contains("jig60-12, count: 5"));
    assert_eq!(after.lines().count(), before.lines().count());

    // Not below zero: nothing is taken, not even of what there is.
    let (code, short) = on(&path, &["stock", "take", FLY, "--flies", "4"]);
    assert_eq!((code, fs::read_to_string(&path).unwrap()), (Some(1), after));
    snapshot("stock_short", &short);

    for args in [
        &["stock", "add", "bead", "tungsten-slotted-3.5", "--packs", "1"][..],
        &["stock", "add", "wire", "lead-0.010in", "--length", "30cm"],
    ] {
        assert_eq!(on(&path, args).0, Some(0));
    }
    snapshot("stock_show", &on(&path, &["stock", "show"]).1);
    assert!(fs::read_to_string(&path).unwrap().contains("# the dull ones"));
}

#[test]
fn wrong_stocks_are_said() {
    let (_folder, path) = bench();
    let before = fs::read_to_string(&path).unwrap();
    for (name, args) in [
        ("stock_unit", &["stock", "add", "wire", "lead-0.010in", "--count", "4"][..]),
        ("stock_unknown", &["stock", "add", "bead", "tungsten-sloted-3.5", "--packs", "1"]),
        ("stock_twice", &["box", "examples/boxes/two-days.yaml"]),
    ] {
        let (code, said) = on(&path, args);
        assert_eq!(code, Some(2), "{said}");
        snapshot(name, &said);
    }
    assert_eq!(fs::read_to_string(&path).unwrap(), before);
    fs::write(&path, "").unwrap();
    let (code, said) = on(&path, &["stock", "take", FLY, "--flies", "4"]);
    assert!(code == Some(2) && said.contains("the file is empty"), "{said}");
}
