//! One file a command: its options, and what it does.

mod catalog;
mod find;
mod predict;

use crate::args::Cli;
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Subcommand;

/// What can be done.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Find the cheapest recipes that meet a target
    Find(Box<find::FindArgs>),
    /// Say how a recipe hangs and sinks, part by part
    Predict(predict::PredictArgs),
    /// Look into the catalog, or check a file of your own
    Catalog(catalog::CatalogArgs),
}

/// Does what was asked.
pub(crate) fn run(cli: &Cli) -> Result<Outcome, Failure> {
    let job = Job::start(&cli.global)?;
    match &cli.command {
        Command::Find(args) => find::run(args, &job),
        Command::Predict(args) => predict::run(args, &job),
        Command::Catalog(args) => catalog::run(args, &job),
    }
}
