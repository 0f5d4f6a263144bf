//! The command line: parse, validate, call, print.

mod args;
mod commands;
mod failure;
mod job;
mod outcome;
mod output;
mod progress;
mod settings;

use args::Cli;
use clap::Parser;
use std::process::ExitCode;

fn main() -> ExitCode {
    let cli = Cli::parse();
    outcome::exit_code(commands::run(&cli))
}
