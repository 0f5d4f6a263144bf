//! Runs of the program with random options and spoilt files: it answers, or says what is wrong; nothing else.

use super::mutate::{Dice, text};
use super::{Tried, attempt, corpus};
use std::io::Write;
use std::process::{Command, Stdio};

/// What is run, with the corpus of its standard input.
const COMMANDS: [(&[&str], &str); 12] = [
    (&["find", "-", "--time-limit", "1s"], "target"),
    (&["predict", "-"], "recipe"),
    (&["catalog", "check", "-"], "catalog"),
    (&["jar", "show", "-"], "log"),
    (&["stock", "show", "--stock", "-"], "stock"),
    (&["sink", "-"], "recipe"),
    (&["stages", "-", "--samples", "10"], "recipe"),
    (&["card", "-"], "recipe"),
    (&["shop", "-", "--flies", "3"], "recipe"),
    (&["correct", "-", "--samples", "10", "--saw", "12deg"], "recipe"),
    (&["catalog", "list", "bead", "--catalog", "-"], "catalog"),
    (&["catalog", "list", "wire", "--calibration", "-"], "calibration"),
];

const OPTIONS: [&str; 16] = [
    "--depth",
    "--hang",
    "--tolerance",
    "--water",
    "--salinity",
    "--state",
    "--knot",
    "--tippet",
    "--sink",
    "--size",
    "--format",
    "--threads",
    "--max-mass",
    "--top",
    "--only",
    "--quiet",
];

const VALUES: [&str; 24] = [
    "2m",
    "-1m",
    "0",
    "1e20m",
    "1e-300m",
    "20deg",
    "-90deg",
    "level",
    "nan",
    "8",
    "12,10",
    "json",
    "csv",
    "yaml",
    "0.2..0.4m/s",
    ">=0.1m/s",
    "30C",
    "35g/kg",
    "snug",
    "fresh",
    "0.18mm",
    "wire=none",
    "99999999999999999999",
    "\u{212a}",
];

/// One run.
pub(crate) fn run(dice: &mut Dice) -> Tried {
    let (command, name) = *dice.of(&COMMANDS);
    let mut args: Vec<&str> = command.to_vec();
    for _ in 0..dice.below(4) {
        args.push(dice.of::<&str>(&OPTIONS));
        args.push(dice.of::<&str>(&VALUES));
    }
    // One in three files is sound, so that there are answers, too.
    let input = if dice.below(3) == 0 { dice.of(corpus::texts(name)).clone() } else { text(corpus::texts(name), dice) };
    attempt(format!("{args:?}\n{input}"), |_| {
        let mut child = Command::new(env!("CARGO_BIN_EXE_counterpoise"))
            .args(&args)
            .current_dir(env!("CARGO_MANIFEST_DIR"))
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // A program that refuses its options reads nothing.
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        let output = child.wait_with_output().unwrap();
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert!(
            output.status.code().is_some_and(|code| code <= 4) && !said.contains("panicked"),
            "{:?}: {said}",
            output.status
        );
        let answered = matches!(output.status.code(), Some(0 | 1));
        assert!(answered || !said.is_empty(), "it fails without a word");
        answered
    })
}
