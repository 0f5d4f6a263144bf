//! Licences of what the program is built from: all known, all told, and nothing twice that need not be.

use super::session::{run, text};
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

/// Licences under which a library may be taken.
const ACCEPTED: [&str; 4] = ["MIT", "Apache-2.0", "Zlib", "(MIT OR Apache-2.0) AND Unicode-3.0"];

/// Libraries of which two versions are built in, since what we use has not agreed on one yet.
const TWICE: [&str; 7] = ["getrandom", "miniz_oxide", "r-efi", "safe_arch", "simba", "syn", "wide"];

/// What `cargo tree` says of the libraries of the program, one line each: name, version and licence.
fn tree(more: &[&str]) -> Result<String, String> {
    let cargo = std::env::var("CARGO").unwrap_or_else(|_| "cargo".to_owned());
    let mut command = Command::new(cargo);
    command.args(["tree", "--locked", "-e", "normal", "--prefix", "none", "--format", "{p}|{l}"]).args(more);
    let output = command.current_dir(env!("CARGO_MANIFEST_DIR")).output().unwrap();
    if output.status.success() { Ok(text(&output.stdout)) } else { Err(text(&output.stderr)) }
}

/// Name, version and licence of everything in the program: on any system where the libraries of the others are here
/// or can be had (a build fetches those of its own system alone), else on this one.
fn built_in() -> Vec<(String, String, String)> {
    let everywhere = tree(&["--offline", "--target", "all"]).or_else(|_| tree(&["--target", "all"]));
    let said = everywhere.or_else(|_| tree(&["--offline"]));
    let said = said.unwrap_or_else(|why| panic!("{why}"));
    let lines: BTreeSet<String> = said.lines().map(|l| l.trim_end_matches(" (*)").to_owned()).collect();
    let row = |line: &String| {
        let (package, licence) = line.split_once('|')?;
        let mut words = package.split(' ');
        Some((words.next()?.to_owned(), words.next()?.to_owned(), licence.to_owned()))
    };
    lines.iter().filter(|line| !line.is_empty()).map(|line| row(line).unwrap()).collect()
}

#[test]
fn every_library_is_told_with_a_licence_that_we_may_take() {
    let said = text(&run(&["licences"]).stdout);
    let libraries = built_in();
    assert!(libraries.len() > 50);
    for (name, version, licence) in libraries.iter().filter(|(name, ..)| name != "counterpoise") {
        assert!(said.contains(&format!("\n{name} (")), "LICENSE-THIRD-PARTY leaves {name} {version} ({licence}) out");
        let mut offers = licence.split(" OR ").flat_map(|offer| offer.split('/'));
        assert!(
            ACCEPTED.contains(&licence.as_str()) || offers.any(|offer| ACCEPTED.contains(&offer.trim())),
            "{name} {version} is under {licence}"
        );
    }
    for needed in
        ["MIT License", "Apache License", "END OF TERMS AND CONDITIONS", "UNICODE LICENSE V3", "nalgebra (Apache-2.0)"]
    {
        assert!(said.contains(needed), "{needed}");
    }
}

#[test]
fn no_other_library_is_built_in_twice() {
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, version, _) in built_in() {
        versions.entry(name).or_default().insert(version);
    }
    let twice: Vec<&str> = versions.iter().filter(|(_, all)| all.len() > 1).map(|(name, _)| name.as_str()).collect();
    let new: Vec<&&str> = twice.iter().filter(|name| !TWICE.contains(name)).collect();
    assert!(new.is_empty(), "{new:?} are there twice now: settle on one version, or say why not");
}

#[test]
fn every_direct_dependency_earns_its_line() {
    let manifest = include_str!("../../Cargo.toml");
    let developers = include_str!("../../DEVELOPERS.md");
    let sections =
        manifest.split("\n[").filter(|part| part.starts_with("dependencies]") || part.starts_with("dev-dependencies]"));
    let names: Vec<&str> = sections
        .flat_map(|part| part.lines().skip(1))
        .filter_map(|line| line.split_once(" = ").map(|(name, _)| name))
        .filter(|name| !name.starts_with('#'))
        .collect();
    assert!(names.len() > 20, "{names:?}");
    for name in names {
        assert!(developers.contains(&format!("| `{name}`")), "DEVELOPERS.md does not say what `{name}` is for");
    }
}
