//! What a person sees on a narrow, an ordinary and a wide terminal: tables and texts stay within it.

use super::session::{run, snapshot, text, transcript};

const RECIPE: &str = "examples/recipes/jig-12-foam-tail.yaml";

#[test]
fn answers_fit_the_terminal() {
    let commands: [&[&str]; 7] = [
        &["find", "--size", "8", "--top", "2"],
        &["find", "--size", "8", "--top", "2", "--why"],
        &["predict", RECIPE],
        &["stages", RECIPE],
        &["card", RECIPE],
        &["catalog", "list", "bead"],
        &["compare", "--recipe", RECIPE, "--swap", "bead=brass-slotted-3.3"],
    ];
    let mut too_long = Vec::new();
    for columns in ["60", "80", "140"] {
        let mut all = String::new();
        for command in commands {
            let args = [command, &["--columns", columns, "--quiet"]].concat();
            let output = run(&args);
            all.push_str(&transcript(&args, &output));
            let width: usize = columns.parse().unwrap();
            let long: Vec<String> =
                text(&output.stdout).lines().filter(|l| l.chars().count() > width).map(str::to_owned).collect();
            too_long.extend(long.into_iter().map(|line| format!("{columns}, {}: {line}", command.join(" "))));
        }
        snapshot(&format!("terminal_{columns}"), &all);
    }
    assert!(too_long.is_empty(), "{too_long:#?}");
}

/// Every command that writes a table, with answers as wide as they get.
#[test]
fn no_table_is_wider_than_asked() {
    let pin = "examples/recipes/straight-8-pin.yaml";
    // A share of any size is searched for quickly, and the tables are as wide.
    let searched = |command: &'static str, more: &[&'static str]| [&[command], more, &["--min-chance", "0%"]].concat();
    let by = |more: &[&'static str]| {
        let nymph = ["--size", "12", "--style", "jig", "--pattern", "slim-nymph"];
        searched("compare", &[&nymph[..], more].concat())
    };
    let commands: Vec<Vec<&str>> = vec![
        by(&["--by", "wire.material"]),
        by(&["--by", "bead.material"]),
        by(&["--by", "bead"]),
        by(&["--by", "foam.cut", "--by", "bead.mount"]),
        by(&["--by", "hook.style", "--rank", "outlay", "--flies", "6"]),
        vec!["compare", "--recipe", RECIPE, "--swap", "bead=all", "--swap", "wire=none"],
        vec!["predict", RECIPE, "--explain"],
        vec!["predict", pin, "--why"],
        vec!["sink", RECIPE, "--explain"],
        vec!["sink", pin, "--line", "slack"],
        vec!["stages", RECIPE],
        vec!["stages", pin],
        vec!["card", RECIPE],
        vec!["card", pin],
        vec!["correct", RECIPE, "--stage", "finish", "--seen", "20deg"],
        vec!["correct", RECIPE, "--stage", "wire", "--seen", "80deg"],
        vec!["fit", "examples/logs/jar.yaml"],
        vec!["jar", "show", "examples/logs/jar.yaml"],
        vec!["shop", RECIPE, pin, "--flies", "12"],
        vec!["stock", "show", "--stock", "examples/stock/bench.yaml"],
        vec!["catalog", "list"],
        vec!["catalog", "show", "bead", "tungsten-slotted-3.5"],
        vec!["catalog", "check", "examples/catalogs/mine.yaml"],
        searched("find", &["--size", "8", "--top", "2"]),
        searched("find", &["--size", "8", "--depth", "1..2m", "--only", "foam.cut=whole"]),
        searched("find", &["examples/targets/fast-and-weightless.yaml"]),
        searched("find", &["--size", "8", "--each-pattern", "fur-leech,slim-nymph", "--top", "1"]),
        vec!["box", "tests/page/one-fly-two-depths.yaml"],
        vec!["box", "tests/page/one-need-not-met.yaml"],
    ];
    let mut too_long = Vec::new();
    for command in &commands {
        for columns in ["60", "80", "100", "140"] {
            let output = run(&[&command[..], &["--columns", columns, "--quiet"]].concat());
            let said = text(&output.stdout);
            assert!(output.status.code().is_some_and(|code| code < 2), "{command:?}: {}", text(&output.stderr));
            let width: usize = columns.parse().unwrap();
            let long = said.lines().filter(|line| line.chars().count() > width);
            too_long.extend(long.map(|line| format!("{columns}, {}: {line}", command.join(" "))));
        }
    }
    assert!(too_long.is_empty(), "{too_long:#?}");
}
