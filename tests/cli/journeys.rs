//! Three people, each from an empty folder: no file but those that the program writes.

use super::session::{program, text, unbroken};
use std::path::Path;
use std::process::{Output, Stdio};

/// A folder and who works in it.
struct Desk(tempfile::TempDir);

impl Desk {
    fn new() -> Self {
        Self(tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).unwrap())
    }

    fn path(&self, name: &str) -> std::path::PathBuf {
        self.0.path().join(name)
    }

    fn run(&self, line: &str) -> Output {
        let args: Vec<&str> = line.split_whitespace().collect();
        program(&args).current_dir(self.0.path()).stdin(Stdio::null()).output().unwrap()
    }

    /// What is said on standard output by a command that must do it.
    fn does(&self, line: &str) -> String {
        let output = self.run(line);
        assert_eq!(output.status.code(), Some(0), "{line}: {}{}", text(&output.stdout), text(&output.stderr));
        text(&output.stdout)
    }

    /// The same without its line breaks.
    fn says(&self, line: &str) -> String {
        unbroken(&self.does(line))
    }

    fn holds(&self, name: &str, part: &str) {
        let read = std::fs::read_to_string(self.path(name)).unwrap_or_default();
        assert!(read.contains(part), "{name} without {part}: {read}");
    }
}

fn replaced(path: &Path, from: &str, to: &str) {
    let read = std::fs::read_to_string(path).unwrap();
    assert!(read.contains(from), "{from} in {read}");
    std::fs::write(path, read.replacen(from, to, 1)).unwrap();
}

#[test]
fn a_tyer() {
    let desk = Desk::new();
    let found = desk.says("find --size 12 --style jig --pattern slim-nymph --depth 4ft --save fly.yaml -o list.html");
    assert!(found.contains("come out right"), "{found}");
    desk.holds("fly.yaml", "depth: 4 ft");
    desk.holds("list.html", "Cost against flies that come out right");
    let stages = desk.says("stages fly.yaml");
    assert!(stages.contains("go on between"), "{stages}");
    desk.does("card fly.yaml -o fly.html");
    desk.holds("fly.html", "of material for one fly");
    assert!(desk.says("correct fly.yaml --stage finish --seen 20deg").contains("leave it"));
    desk.does("jar add jar.yaml --recipe fly.yaml --hang 5deg --rides point-up");
    let log = desk.says("jar show jar.yaml");
    assert!(log.contains("finish"), "{log}");
    desk.does("fit jar.yaml --write mine.yaml");
    let again =
        desk.says("find --size 12 --style jig --pattern slim-nymph --depth 4ft --calibration mine.yaml --top 1");
    assert!(again.contains("calibration"), "{again}");
}

#[test]
fn a_guide() {
    let desk = Desk::new();
    desk.does("new box");
    let planned = desk.says("box box.yaml --time-limit 8s --save flies -o box.html");
    assert!(planned.contains("to buy"), "{planned}");
    desk.holds("box.html", "What to buy");
    let flies: Vec<_> = std::fs::read_dir(desk.path("flies")).unwrap().map(|f| f.unwrap().file_name()).collect();
    let fly = flies.first().unwrap().to_string_lossy().into_owned();
    desk.does(&format!("shop flies/{fly} --flies 6"));
    // The guide buys for the first fly, and books it out when six are tied.
    let shopping = desk.does(&format!("shop flies/{fly} --flies 6 --format csv"));
    for line in csv::Reader::from_reader(shopping.as_bytes()).records() {
        let line = line.unwrap();
        let (kind, id, packs) = (&line[0], &line[1], &line[6]);
        if packs != "0" {
            desk.does(&format!("stock add {kind} {id} --packs {packs} --stock bench.yaml"));
        }
    }
    desk.does(&format!("stock take flies/{fly} --flies 6 --stock bench.yaml"));
    assert!(desk.says("stock show --stock bench.yaml").contains("worth"));
    let sunk = desk.says(&format!("sink flies/{fly} --depths 1,2,3m"));
    assert!(sunk.contains("tight line"), "{sunk}");
}

#[test]
fn a_comparer() {
    let desk = Desk::new();
    let by = desk.says("compare --size 12 --style jig --pattern slim-nymph --by bead.material -o by.html");
    assert!(by.contains("brass") && by.contains("tungsten-alloy"), "{by}");
    desk.holds("by.html", "By bead.material");
    desk.does("new catalog mine.yaml");
    desk.does("catalog check mine.yaml");
    replaced(&desk.path("mine.yaml"), "price: 5.40}}", "price: 1.00}}");
    let cheap = desk.says("--catalog mine.yaml catalog show bead tungsten-slotted-3.5");
    assert!(cheap.contains("1.00"), "{cheap}");
    desk.does("new recipe fly.yaml");
    let swapped = desk.says("--catalog mine.yaml compare --recipe fly.yaml --swap bead=all -o swap.html");
    assert!(swapped.contains("as it is"), "{swapped}");
    let json = desk.does("predict fly.yaml --format json");
    let answer: serde_json::Value = serde_json::from_str(&json).unwrap();
    assert_eq!((&answer["schema"], &answer["command"]), (&1.into(), &"predict".into()));
}
