//! The command line: parse, validate, call, print.

mod args;
mod commands;
mod failure;
mod job;
mod outcome;
mod output;
mod parse;
mod progress;
mod settings;
mod version;

use std::process::ExitCode;

fn main() -> ExitCode {
    outcome::exit_code(commands::run(&parse::command_line()))
}
