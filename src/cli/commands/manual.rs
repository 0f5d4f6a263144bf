//! `completions` and `man`: made from the same definitions that read the options.

use crate::args::Cli;
use crate::failure::Failure;
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, CommandFactory};
use clap_complete::Shell;
use std::path::PathBuf;

/// Options of `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionArgs {
    /// Which shell
    shell: Shell,
}

/// Completions for a shell.
pub(crate) fn completions(args: &CompletionArgs) -> Result<Outcome, Failure> {
    output::print(|mut out| {
        clap_complete::generate(args.shell, &mut Cli::command(), "counterpoise", &mut out);
        Ok(())
    })?;
    Ok(Outcome::Met)
}

/// Options of `man`.
#[derive(Debug, Args)]
pub(crate) struct ManArgs {
    /// Folder to write a page for each command to; without it the first page goes to standard output
    #[arg(value_name = "FOLDER")]
    folder: Option<PathBuf>,
}

/// The manual.
pub(crate) fn man(args: &ManArgs) -> Result<Outcome, Failure> {
    match &args.folder {
        None => output::print(|mut out| Ok(clap_mangen::Man::new(Cli::command()).render(&mut out)?))?,
        Some(folder) => {
            std::fs::create_dir_all(folder)?;
            clap_mangen::generate_to(Cli::command(), folder)?;
        }
    }
    Ok(Outcome::Met)
}
