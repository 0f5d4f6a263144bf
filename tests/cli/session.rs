//! Runs the program itself and shows what it says.

use serde_json::Value;
use std::io::Write;
use std::process::{Command, Output, Stdio};

/// The program, in the folder of the project, without colour.
pub(crate) fn program(args: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_counterpoise"));
    command.args(args).current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").env_remove("CLICOLOR_FORCE");
    // Nothing of the person who runs the tests may move their figures.
    command
        .env("COUNTERPOISE_SETTINGS", "none")
        .env_remove("COUNTERPOISE_CATALOG")
        .env_remove("COUNTERPOISE_CALIBRATION")
        .env_remove("COUNTERPOISE_UNITS")
        .env_remove("COUNTERPOISE_STOCK");
    command
}

pub(crate) fn run(args: &[&str]) -> Output {
    program(args).stdin(Stdio::null()).output().expect("runs")
}

pub(crate) fn run_with_input(args: &[&str], input: &str) -> Output {
    let mut command = program(args);
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("starts");
    // A command that refuses its options does not read.
    let _ = child.stdin.take().expect("piped").write_all(input.as_bytes());
    child.wait_with_output().expect("runs")
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

/// The words without their line breaks, which move with the length of the path of a folder.
pub(crate) fn unbroken(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a person sees, with the exit code.
pub(crate) fn transcript(args: &[&str], output: &Output) -> String {
    assert!(output.status.code().is_some_and(|code| code <= 3), "{args:?}: {output:?}");
    let mut shown = format!("$ counterpoise {}\n{}", quoted(args), text(&output.stdout));
    if !output.stderr.is_empty() {
        shown.push_str(&format!("--- standard error\n{}", text(&output.stderr)));
    }
    shown + &format!("--- exit {}\n", output.status.code().unwrap_or(-1))
}

fn quoted(args: &[&str]) -> String {
    let quote = |arg: &&str| {
        if arg.contains(' ') || arg.contains('>') { format!("'{arg}'") } else { (*arg).to_owned() }
    };
    args.iter().map(quote).collect::<Vec<_>>().join(" ")
}

/// Runs and shows.
pub(crate) fn shown(args: &[&str]) -> String {
    transcript(args, &run(args))
}

/// The JSON answer; the exit code must be this.
pub(crate) fn json(args: &[&str], code: i32) -> Value {
    let args: Vec<&str> = args.iter().copied().chain(["--format", "json"]).collect();
    let output = run(&args);
    assert_eq!(output.status.code(), Some(code), "{}", transcript(&args, &output));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

pub(crate) fn snapshot(name: &str, shown: &str) {
    let mut settings = insta::Settings::clone_current();
    settings.set_snapshot_path("../snapshots");
    settings.set_prepend_module_to_snapshot(false);
    settings.set_omit_expression(true);
    settings.bind(|| insta::assert_snapshot!(name, shown));
}
