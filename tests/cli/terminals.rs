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
