//! `completions` and `man`: made from the same definitions that read the options.

use crate::args::Cli;
use crate::failure::Failure;
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, CommandFactory};
use clap_complete::Shell;

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

/// The man page.
pub(crate) fn man() -> Result<Outcome, Failure> {
    output::print(|mut out| Ok(clap_mangen::Man::new(Cli::command()).render(&mut out)?))?;
    Ok(Outcome::Met)
}
