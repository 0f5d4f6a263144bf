//! Streams that are full or closed, limits of the system, and signals.

use crate::cli::session::{program, text};
use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, Output, Stdio};
use std::time::Duration;

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

fn full() -> File {
    File::options().write(true).open("/dev/full").unwrap()
}

fn into_full(args: &[&str]) -> Output {
    program(args).stdin(Stdio::null()).stdout(full()).output().unwrap()
}

/// The program under `sh`, after a limit was set.
fn limited(limit: &str, args: &[&str]) -> Output {
    let mut command = Command::new("sh");
    command.args(["-c", &format!("{limit}; exec \"$@\""), "sh", env!("CARGO_BIN_EXE_counterpoise")]).args(args);
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").stdin(Stdio::null()).output().unwrap()
}

#[test]
fn an_answer_that_cannot_be_written_is_exit_2() {
    let output = into_full(&["catalog", "list"]);
    assert_eq!((output.status.code(), text(&output.stderr).lines().count()), (Some(2), 1), "{output:?}");
}

/// The entry is in the log although nothing could be shown, so nobody must be led to add it again.
#[test]
fn what_was_written_is_said_where_the_answer_cannot_be_shown() {
    let folder = tempfile::tempdir().unwrap();
    let file = |name: &str| folder.path().join(name).display().to_string();
    let (log, stock) = (file("jar.yaml"), file("bench.yaml"));
    let cases: [(&[&str], &str); 2] = [
        (&["jar", "add", &log, "--recipe", FLY, "--hang", "3deg"], &log),
        (&["stock", "add", "bead", "tungsten-3.5", "--count", "7", "--stock", &stock], &stock),
    ];
    for (args, path) in cases {
        let output = into_full(args);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(4), "{said}");
        assert!(said.contains(&format!("written before that, and kept: {path}; do not repeat the command")), "{said}");
        assert!(Path::new(path).is_file());
    }
    assert_eq!(fs::read_to_string(&log).unwrap().matches("hang: 3 deg").count(), 1);
    assert!(fs::read_to_string(&stock).unwrap().contains("count: 7"));
}

/// A file beyond the limit ends a program by a signal unless that is ignored; the old file stays either way.
#[test]
fn a_file_that_grows_too_large_leaves_the_old_one() {
    let folder = tempfile::tempdir().unwrap();
    let stock = folder.path().join("bench.yaml").display().to_string();
    let add = ["stock", "add", "bead", "tungsten-3.5", "--count", "7", "--stock", stock.as_str()];
    assert!(limited("true", &add).status.success());
    let before = fs::read(&stock).unwrap();
    assert!(!limited("ulimit -f 0", &add).status.success());
    assert_eq!(fs::read(&stock).unwrap(), before);
    let output = limited("trap '' XFSZ; ulimit -f 0", &add);
    assert_eq!(output.status.code(), Some(2), "{output:?}");
    assert!(text(&output.stderr).contains("bench.yaml cannot be written"), "{output:?}");
    assert_eq!(fs::read(&stock).unwrap(), before);
    assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "both runs cleared up");
}

/// Too little memory ends the program; it does not spoil a file.
#[test]
fn too_little_memory_leaves_the_old_file() {
    let folder = tempfile::tempdir().unwrap();
    let stock = folder.path().join("bench.yaml").display().to_string();
    let add = ["stock", "add", "bead", "tungsten-3.5", "--count", "7", "--stock", stock.as_str()];
    assert!(limited("true", &add).status.success());
    let before = fs::read_to_string(&stock).unwrap();
    for kilobytes in [4_000, 8_000, 12_000, 16_000, 24_000, 32_000, 64_000] {
        let output = limited(&format!("ulimit -v {kilobytes}"), &add);
        let after = fs::read_to_string(&stock).unwrap();
        let added = after != before;
        assert_eq!(added, output.status.success(), "{kilobytes} kB: {output:?}");
        fs::write(&stock, &before).unwrap();
    }
}

/// Both signals end a search with the best so far, and say that it was stopped.
#[test]
fn told_to_end_a_search_keeps_what_it_has() {
    for signal in ["-TERM", "-INT"] {
        // A list longer than there are flies, over millions of recipes: no machine is done with it first.
        let asked = ["find", "--size", "4,6,8,10,12,14", "--line", "slack", "--format", "json"];
        let list = ["--variety", "bead", "--top", "200", "--foam-step", "0.05mm", "--wrap-step", "0.05mm"];
        let args: Vec<&str> = asked.into_iter().chain(list).collect();
        let mut command = program(&args);
        let child = command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(Duration::from_millis(1500));
        assert!(Command::new("kill").args([signal, &child.id().to_string()]).status().unwrap().success());
        let output = child.wait_with_output().unwrap();
        assert!(output.status.code().is_some(), "{signal} killed it: {output:?}");
        let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        assert_eq!(answer["search"]["proven"], false, "{signal}");
        assert!(!answer["recipes"].as_array().unwrap().is_empty(), "{signal}");
    }
}

/// A name that is no UTF-8 is a name like any other.
#[test]
fn names_of_files_may_be_any_bytes() {
    use std::os::unix::ffi::OsStrExt;
    let folder = tempfile::tempdir().unwrap();
    let odd = |name: &[u8]| folder.path().join(std::ffi::OsStr::from_bytes(name));
    let (fly, log, stock) = (odd(b"fl\xffy"), odd(b"j\xfear.yaml"), odd(b"b\xfdench.yaml"));
    fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(FLY), &fly).unwrap();
    let run = |args: &[&str], file: &Path, more: &[&std::ffi::OsStr]| {
        let output = program(args).arg(file).args(more).stdin(Stdio::null()).output().unwrap();
        assert!(output.status.success(), "{output:?}");
    };
    run(&["predict"], &fly, &[]);
    run(&["jar", "add"], &log, &["--hang".as_ref(), "2deg".as_ref(), "--recipe".as_ref(), fly.as_ref()]);
    run(&["jar", "show"], &log, &[]);
    run(&["stock", "add", "bead", "tungsten-3.5", "--packs", "1", "--stock"], &stock, &[]);
    run(&["stock", "show", "--stock"], &stock, &[]);
}
