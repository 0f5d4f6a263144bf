//! The sessions in the README and in the topics are what the program says, byte for byte.
//!
//! `UPDATE_README=1 cargo test --test suite readme` writes them anew.

use super::session::{program, text};
use std::fs;
use std::process::Stdio;

/// Text between the fences of a console block: commands after `$ `, and what each answers.
fn sessions(readme: &str) -> Vec<&str> {
    readme.split("```console\n").skip(1).filter_map(|rest| rest.split("```").next()).collect()
}

fn answer(line: &str, folder: &std::path::Path) -> String {
    let words: Vec<&str> = line.split_whitespace().collect();
    let ["counterpoise", args @ ..] = words.as_slice() else { panic!("not our command: {line}") };
    let output = program(args).current_dir(folder).stdin(Stdio::null()).output().unwrap();
    text(&output.stdout) + &text(&output.stderr)
}

/// The README, and the topics that the program shows.
fn pages() -> Vec<std::path::PathBuf> {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut pages = vec![root.join("README.md")];
    pages.extend(fs::read_dir(root.join("src/cli/topics")).unwrap().map(|entry| entry.unwrap().path()));
    pages.sort();
    pages
}

#[test]
fn sessions_are_real() {
    let mut count = 0;
    for path in pages() {
        let page = fs::read_to_string(&path).unwrap();
        let folder = tempfile::tempdir().unwrap();
        copy(concat!(env!("CARGO_MANIFEST_DIR"), "/examples").as_ref(), &folder.path().join("examples"));
        let mut updated = page.clone();
        for session in sessions(&page) {
            let mut real = String::new();
            for line in session.lines().filter_map(|line| line.strip_prefix("$ ")) {
                let real_answer = answer(line, folder.path());
                real.push_str(&format!("$ {line}\n{real_answer}"));
                count += 1;
            }
            updated = updated.replace(session, &real);
        }
        if std::env::var_os("UPDATE_README").is_some() {
            fs::write(path, &updated).unwrap();
            continue;
        }
        for (said, real) in page.lines().zip(updated.lines()) {
            assert_eq!(said, real, "{}", path.display());
        }
        assert!(page == updated, "{} is shorter or longer than what the program says", path.display());
    }
    assert!(count > 0);
}

/// A block that begins with `# examples/...` is that file, without the file's own first remark.
#[test]
fn files_in_the_readme_are_the_examples() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/");
    let all: Vec<String> = pages().iter().map(|page| fs::read_to_string(page).unwrap()).collect();
    let readme = all.join("\n");
    let mut count = 0;
    for block in readme.split("```yaml\n").skip(1).filter_map(|rest| rest.split("```").next()) {
        let Some((name, body)) = block.strip_prefix("# ").and_then(|b| b.split_once('\n')) else { continue };
        if name.starts_with("examples/") {
            let file = fs::read_to_string(format!("{root}{name}")).unwrap();
            let own: String = file.lines().skip_while(|l| l.starts_with('#')).map(|l| format!("{l}\n")).collect();
            assert_eq!(body, own, "{name}");
            count += 1;
        }
    }
    assert!(count > 0);
}

fn copy(from: &std::path::Path, to: &std::path::Path) {
    fs::create_dir_all(to).unwrap();
    for entry in fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let target = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copy(&entry.path(), &target);
        } else {
            fs::copy(entry.path(), target).unwrap();
        }
    }
}
