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

/// A file of the library as the path of its module.
type Module = Vec<String>;

fn module_path(path: &Path) -> Module {
    let within = path.strip_prefix("src").unwrap().with_extension("");
    let mut names: Module = within.iter().map(|name| name.to_str().unwrap().to_owned()).collect();
    if names.last().is_some_and(|last| last == "mod" || last == "lib") {
        names.pop();
    }
    names
}

/// Code of a file, its tests and comments left aside.
fn code(text: &str) -> String {
    let code = text.split("#[cfg(test)]\nmod tests").next().unwrap_or_default();
    code.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// The paths that code names from `crate`, `self` or `super` on, groups of imports written out.
fn paths(code: &str) -> Vec<Module> {
    let mut found = Vec::new();
    for root in ["crate::", "self::", "super::"] {
        for (at, _) in code.match_indices(root) {
            let within = |c: char| c.is_alphanumeric() || c == '_' || c == ':';
            if !code[..at].ends_with(within) {
                follow(&code[at..], &Vec::new(), &mut found);
            }
        }
    }
    found
}

/// Follows one path, or each of a group in braces; returns the text behind it.
fn follow<'t>(text: &'t str, before: &Module, found: &mut Vec<Module>) -> &'t str {
    let text = text.trim_start();
    if let Some(mut rest) = text.strip_prefix('{') {
        while let Some(next) = rest.chars().next() {
            if next == '}' {
                return &rest[1..];
            }
            let behind = follow(rest, before, found);
            rest = if behind.len() < rest.len() { behind } else { &rest[next.len_utf8()..] };
        }
        return rest;
    }
    let end = text.find(|c: char| !c.is_alphanumeric() && c != '_').unwrap_or(text.len());
    let (name, rest) = text.split_at(end);
    let path: Module = before.iter().cloned().chain([name.to_owned()]).collect();
    if let Some(rest) = rest.strip_prefix("::") {
        return follow(rest, &path, found);
    }
    found.push(path);
    rest
}

/// The file that a path named in the file of `own` leads to.
fn leads_to(path: &Module, own: &Module, files: &BTreeMap<Module, Vec<Module>>) -> Module {
    let mut at: Module = if path[0] == "crate" { Vec::new() } else { own.clone() };
    for name in path.iter().skip_while(|name| matches!(name.as_str(), "crate" | "self")) {
        if name == "super" {
            at.pop();
            continue;
        }
        let deeper: Module = at.iter().cloned().chain([name.clone()]).collect();
        if !files.contains_key(&deeper) {
            break;
        }
        at = deeper;
    }
    at
}

/// Of files in one folder, too, none uses one that uses it, by whatever way; but for a module and those inside it, which are one.
#[test]
fn no_file_uses_one_that_uses_it() {
    let texts: BTreeMap<Module, Vec<Module>> = source_files(Path::new("src"))
        .iter()
        .map(|path| (module_path(path), paths(&code(&fs::read_to_string(path).unwrap()))))
        .collect();
    let uses: BTreeMap<&Module, Vec<Module>> = texts
        .iter()
        .map(|(own, named)| {
            let used = named.iter().map(|path| leads_to(path, own, &texts));
            (own, used.filter(|used| !used.starts_with(own) && !own.starts_with(used)).collect())
        })
        .collect();
    let reaches = |from: &Module, to: &Module| {
        let (mut seen, mut open) = (std::collections::BTreeSet::new(), vec![from]);
        while let Some(next) = open.pop() {
            if next == to {
                return true;
            }
            if seen.insert(next) {
                open.extend(&uses[next]);
            }
        }
        false
    };
    let circles = uses.iter().flat_map(|(own, used)| used.iter().map(move |used| (*own, used)));
    let circles: Vec<String> = circles
        .filter(|(own, used)| reaches(used, own))
        .map(|(own, used)| format!("{} uses {}, which leads back", own.join("::"), used.join("::")))
        .collect();
    assert!(uses.len() > 200 && circles.is_empty(), "{}", circles.join("\n"));
}

#[test]
fn paths_are_written_out() {
    let found = paths("use crate::fly::{self, place::{body, Part as P}};\nlet x = super::sums::new(crate::a);");
    let found: Vec<String> = found.iter().map(|path| path.join(" ")).collect();
    for path in ["crate fly self", "crate fly place body", "crate fly place Part", "super sums new", "crate a"] {
        assert!(found.iter().any(|p| p == path), "{path}: {found:?}");
    }
}
