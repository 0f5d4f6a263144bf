//! What is said about input that makes no sense: one clear message, exit 2, never a panic.

use super::session::{program, run, run_with_input, shown, snapshot, transcript};
use std::process::Stdio;

#[test]
fn options() {
    let cases: &[&[&str]] = &[
        &["fnd"],
        &["find", "--szie", "8"],
        &["find", "--size", "99999"],
        &["find", "--size", "8", "--hook", "strait-8"],
        &["find", "--pattern", "fur-lech"],
        &["find", "--style", "jigg"],
        &["find", "--depth", "3"],
        &["find", "--depth", "2 g"],
        &["find", "--depth", "-1m"],
        &["find", "--depth", "1e999m"],
        &["find", "--depth", "3,5m"],
        &["find", "--hang", "nan"],
        &["find", "--hang", "120deg"],
        &["find", "--tolerance", "0deg"],
        &["find", "--clear-gap", "nan"],
        &["find", "--sink", "1..0m/s"],
        &["find", "--sink", "900m/s"],
        &["find", "--max-mass", "-1g"],
        &["find", "--max-mass", "0g"],
        &["find", "--max-cost", "-3"],
        &["find", "--max-cost", "1e9"],
        &["find", "--water", "90C"],
        &["find", "--salinity", "50g/kg"],
        &["find", "--knot", "tight"],
        &["find", "--knot", "snug", "--tippet", "9mm"],
        &["find", "--foam-step", "0mm"],
        &["find", "--wrap-step", "99999999999mm"],
        &["find", "--top", "0"],
        &["find", "--threads", "0"],
        &["find", "--format", "xml"],
        &["find", "--only", "bead"],
        &["find", "--only", "bead=tungten-3.5"],
        &["find", "--not", "bead.material=bras"],
        &["find", "--only", "wire.material=unobtainium"],
        &["find", "--only", "bead.size=3.5"],
        &["find", "--save-rank", "2"],
        &["find", "--size", "8", "--top", "2", "--save-rank", "3", "--save", "fly.yaml"],
        &["find", "--size", "8", "--save", "no/such/folder/fly.yaml"],
        &["catalog", "list", "beeds"],
        &["catalog", "show", "bead", "tungten-3.5"],
        &["catalog", "show", "bead", "nothing-like-it"],
        &["catalog", "check"],
        &["predict"],
        &["find", "--size", "8,x", "--depth", "3", "--hang=nan", "--water=9", "--max-mass", "-1g"],
        &["find", "--depth", "90m", "--hang", "100deg", "--hook", "strait-8", "--only", "bead=tungten-3.5"],
        &["find", "examples/targets/estuary.yaml", "--depth", "90m", "--tolerance", "0deg"],
    ];
    let all: Vec<String> = cases.iter().map(|args| refused(args)).collect();
    snapshot("bad_options", &all.join("\n"));
}

fn refused(args: &[&str]) -> String {
    let output = run(args);
    assert_eq!(output.status.code(), Some(2), "{args:?}");
    assert!(output.stdout.is_empty(), "{args:?}");
    transcript(args, &output)
}

#[test]
fn files() {
    let paths: &[&[&str]] = &[
        &["find", "nowhere.yaml"],
        &["find", "src"],
        &["find", "--catalog", "nowhere.yaml", "--catalog", "src"],
        &["predict", "nowhere.yaml"],
        &["predict", "examples/targets/estuary.yaml"],
    ];
    let mut all: Vec<String> = paths.iter().map(|args| refused(args)).collect();
    let targets = [
        "",
        "# nothing\n",
        "size: 8\nhang: 20\n",
        "size: 8\nhangs: level\n",
        "size: 8\npattern: fur-lech\n",
        "size: 8\nwater: 90 C\n",
        "size: 8\nlead-free: true\n",
        "size: 8\nclear_gap: .nan\n",
        "size: 8\nsize: 10\n",
        "size: 8\nonly: bead=tungten-3.5\n",
        "- size\n",
        "size: [8\n",
        "size: 8\ndepth: 90 m\nhang: 100 deg\nhook: strait-8\nonly: [bead=tungten-3.5, wire]\n",
        "\tsize: 8\n",
    ];
    all.extend(targets.iter().map(|text| with_input("find", text)));
    let recipes = [
        "",
        "recipe: 1\n",
        "recipe: 1\nhook: jig60-12\npattern: light-body\nbead: {id: tungten-3.5}\nwire: {id: lead-0.01in, turns: 3}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nwire: {id: lead-0.010in, turns: 99999999999}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nwire: {id: lead-0.010in, turns: -3}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nwire: {id: lead-0.010in, turns: 4294967295, start_mm: 2147483}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nfoam: {id: pe-rod-1-4in, cut: third, length_mm: 9 mm, seat: tale}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nconditions: {depth: 2, knot: tight}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nconditions: {knot: tight}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nbead: {id: tungsten-3.5, mount: pin}\n",
    ];
    all.extend(recipes.iter().map(|text| with_input("predict", text)));
    snapshot("bad_files", &all.join("\n"));
}

fn with_input(command: &str, input: &str) -> String {
    let output = run_with_input(&[command, "-"], input);
    assert_eq!(output.status.code(), Some(2), "{input}");
    assert!(output.stdout.is_empty(), "{input}");
    format!("{}\n{}", input.escape_debug(), transcript(&[command, "-"], &output))
}

/// Figures far beyond any fly: whatever is said, it is said without a panic.
#[test]
fn huge_figures_do_not_panic() {
    let recipes = [
        "recipe: 1\nhook: jig60-12\npattern: bare\nwire: {id: lead-0.035in, turns: 1000, start_mm: 1000}\n",
        "recipe: 1\nhook: jig60-12\npattern: bare\nfoam: {id: pe-rod-1-2in, cut: whole, length_mm: 1000, seat: tail}\n",
        "recipe: 1\nhook: straight-8\npattern: bare\nbead: {id: brass-4.0, mount: pin, pin: pin-0.6x22, projection_mm: 1000}\n",
    ];
    for text in recipes {
        for format in ["table", "json"] {
            let output = run_with_input(&["predict", "-", "--format", format], text);
            assert!(output.status.code().is_some_and(|code| code <= 2), "{text}: {output:?}");
        }
    }
}

/// `counterpoise ... | head` ends quietly.
#[test]
fn a_reader_that_leaves_is_no_error() {
    let mut command = program(&["catalog", "list"]);
    let mut child = command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    assert!(output.stderr.is_empty(), "{output:?}");
}

/// `-V` is one line; `--version` says what it was built with.
#[test]
fn versions() {
    assert_eq!(shown(&["-V"]), format!("$ counterpoise -V\ncounterpoise {}\n--- exit 0\n", env!("CARGO_PKG_VERSION")));
    let long = shown(&["--version"]);
    let digest = counterpoise::catalog::Catalog::built_in().unwrap().digest();
    assert!(long.contains(&format!("built-in catalog: {digest}\n")), "{long}");
    assert!(
        long.contains(std::env::consts::OS) && long.contains("argmin 0.11.") && long.contains("serde_yaml 0.9.34"),
        "{long}"
    );
}

#[test]
fn helps() {
    let cases: &[&[&str]] = &[&["--help"], &["find", "--help"], &["predict", "--help"], &["catalog", "--help"]];
    let all: Vec<String> = cases.iter().map(|args| shown(args)).collect();
    snapshot("help", &all.join("\n"));
    assert_eq!(run(&[]).status.code(), Some(2));
    assert_eq!(run(&["completions", "bash"]).status.code(), Some(0));
    assert_eq!(run(&["man"]).status.code(), Some(0));
}
