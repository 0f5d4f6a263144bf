//! The layer table in DEVELOPERS.md is what the imports say.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

fn source_files(folder: &Path) -> Vec<PathBuf> {
    let mut files = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files.extend(source_files(&path));
        } else if path.extension().is_some_and(|e| e == "rs") {
            files.push(path);
        }
    }
    files
}

/// The module at the top of the library to which a file belongs.
fn module(path: &Path, src: &Path) -> String {
    let first = path.strip_prefix(src).unwrap().components().next().unwrap();
    first.as_os_str().to_str().unwrap().trim_end_matches(".rs").to_owned()
}

/// Modules that the code of a file names with `crate::`, its tests and comments left aside.
fn named(text: &str) -> Vec<String> {
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    let mut modules = Vec::new();
    for line in code.lines().filter(|line| !line.trim_start().starts_with("//")) {
        for rest in line.split("crate::").skip(1) {
            let name: String = rest.chars().take_while(|c| c.is_ascii_lowercase() || *c == '_').collect();
            modules.push(name);
        }
    }
    modules.retain(|name| !name.is_empty());
    modules
}

/// The modules of the table, each with its line.
fn layers() -> BTreeMap<String, usize> {
    let text = fs::read_to_string("DEVELOPERS.md").unwrap();
    let table =
        text.lines().skip_while(|line| !line.starts_with("| module |")).take_while(|line| line.starts_with('|'));
    let mut layers = BTreeMap::new();
    for (at, line) in table.enumerate() {
        let names = line.split('|').nth(1).unwrap_or_default();
        for name in names.split('`').skip(1).step_by(2) {
            assert!(layers.insert(name.to_owned(), at).is_none(), "{name} stands twice in the table");
        }
    }
    layers
}

#[test]
fn a_module_uses_only_those_above_it() {
    let (layers, src) = (layers(), Path::new("src"));
    let mut wrong = Vec::new();
    for path in source_files(src) {
        let own = module(&path, src);
        if own == "cli" || own == "lib" {
            continue;
        }
        let at = *layers.get(&own).unwrap_or_else(|| panic!("`{own}` is missing from the table in DEVELOPERS.md"));
        for used in named(&fs::read_to_string(&path).unwrap()) {
            let Some(above) = layers.get(&used) else {
                wrong.push(format!("{}: `{used}` is no module of the table", path.display()));
                continue;
            };
            if used != own && *above >= at {
                wrong.push(format!("{}: {own} uses {used}, which does not stand above it", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn names_are_found_in_code_and_nowhere_else() {
    let text = "use crate::fly::{self, Fly};\n// crate::report\nlet x = crate::physics::fall::f(crate::search::g());\n\
                #[cfg(test)]\nmod tests { use crate::find; }";
    assert_eq!(named(text), ["fly", "physics", "search"]);
}

/// The example in the README is the one that the documentation of the library runs.
#[test]
fn the_readme_shows_the_worked_target() {
    let readme = fs::read_to_string("README.md").unwrap();
    let example = readme.split("```rust\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let documented: Vec<String> = fs::read_to_string("src/lib.rs")
        .unwrap()
        .lines()
        .filter_map(|line| line.strip_prefix("//!").map(|line| line.trim().to_owned()))
        .collect();
    for line in example.lines().filter(|line| !line.is_empty()) {
        assert!(documented.iter().any(|known| known == line), "{line}");
    }
}
