//! What `cargo package` takes: all that is built and read, nothing large besides.

use std::path::Path;
use std::process::Command;

/// Largest file of the package, bytes.
const LARGEST: u64 = 100_000;
/// All of it, bytes.
const WHOLE: u64 = 4_500_000;

#[test]
fn the_package_is_whole_and_small() {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let output =
        Command::new(cargo).args(["package", "--list", "--allow-dirty", "--offline"]).current_dir(root).output();
    let output = output.unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let list = String::from_utf8_lossy(&output.stdout).into_owned();
    let files: Vec<&str> = list.lines().collect();
    for needed in [
        "Cargo.toml",
        "LICENSE",
        "LICENSE-THIRD-PARTY",
        "README.md",
        "catalogs/beads.yaml",
        "examples/starters/target.yaml",
        "src/cli/main.rs",
        "src/cli/topics/jar.md",
        "src/report/page/style.css",
    ] {
        assert!(files.contains(&needed), "{needed} is missing");
    }
    let tops = [
        "Cargo",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "src/",
        "tests/",
        "catalogs/",
        "examples/",
        ".c",
        ".g",
        ".r",
    ];
    let other: Vec<&&str> = files.iter().filter(|file| !tops.iter().any(|top| file.starts_with(top))).collect();
    assert!(other.is_empty(), "{other:?}");
    let size = |file: &&str| std::fs::metadata(root.join(file)).map_or(0, |found| found.len());
    let large: Vec<&&str> = files.iter().filter(|file| size(file) > LARGEST).collect();
    assert!(large.is_empty(), "{large:?}");
    let whole: u64 = files.iter().map(size).sum();
    assert!(whole < WHOLE, "{whole} bytes");
}
