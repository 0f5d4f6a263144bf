//! Many writers at once, and writers that are killed.

use crate::cli::session::{program, text};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::Duration;

const FLY: &str = "examples/recipes/jig-12-foam-tail.yaml";

fn files_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> =
        fs::read_dir(folder).unwrap().map(|f| f.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

fn quiet(args: &[&str]) -> Command {
    let mut command = program(args);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped());
    command
}

/// Pieces of the one bead that the stock file has, 0 where there is no file.
fn pieces(stock: &Path) -> u32 {
    let Ok(text) = fs::read_to_string(stock) else { return 0 };
    let count = text.split("count: ").nth(1).unwrap().split(['}', '\n']).next().unwrap();
    count.trim().parse().unwrap()
}

#[test]
fn writers_at_once_all_get_their_turn() {
    let folder = tempfile::tempdir().unwrap();
    let (stock, log) = (folder.path().join("bench.yaml"), folder.path().join("jar.yaml"));
    let (stock_arg, log_arg) = (stock.display().to_string(), log.display().to_string());
    let add = ["stock", "add", "bead", "tungsten-3.5", "--count", "1", "--stock", &stock_arg];
    let jar = ["jar", "add", &log_arg, "--recipe", FLY, "--hang", "3deg"];
    let writers: Vec<_> = (0..32).map(|i| quiet(if i % 4 == 0 { &jar } else { &add }).spawn().unwrap()).collect();
    for writer in writers {
        let output = writer.wait_with_output().unwrap();
        assert!(output.status.success(), "{}", text(&output.stderr));
    }
    assert_eq!(pieces(&stock), 24);
    assert_eq!(fs::read_to_string(&log).unwrap().matches("hang: 3 deg").count(), 8);
    assert_eq!(files_in(folder.path()), ["bench.yaml", "jar.yaml"]);
}

/// Killed at any moment: the file is sound, what was acknowledged is in it, and the next run clears what was left.
#[test]
fn a_killed_writer_loses_nothing_and_leaves_nothing_for_long() {
    let kills: u64 = std::env::var("KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(30);
    let folder = tempfile::tempdir().unwrap();
    let stock = folder.path().join("bench.yaml");
    let path = stock.display().to_string();
    let add = ["stock", "add", "bead", "tungsten-3.5", "--count", "1", "--stock", &path];
    let started = std::time::Instant::now();
    assert!(quiet(&add).status().unwrap().success());
    let once = started.elapsed().as_micros() as u64;
    let mut littered = 0;
    for i in 0..kills {
        let before = pieces(&stock);
        let mut child = quiet(&add).spawn().unwrap();
        // Spread over a whole run, and beyond, in an order that is not its own.
        std::thread::sleep(Duration::from_micros(once * (i * 7 % kills) * 5 / (4 * kills)));
        let _ = child.kill();
        let acknowledged = child.wait().unwrap().success();
        let after = pieces(&stock);
        assert!(after == before + 1 || (after == before && !acknowledged), "{before} became {after}");
        littered += usize::from(files_in(folder.path()).len() > 1);
    }
    assert!(quiet(&add).status().unwrap().success());
    assert_eq!(files_in(folder.path()), ["bench.yaml"], "left lying about by {littered} of {kills}");
}
