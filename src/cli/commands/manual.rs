//! `completions` and `man`: made from the same definitions that read the options.

use crate::args::Cli;
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output;
use clap::builder::PossibleValuesParser;
use clap::{Args, Command, CommandFactory};
use clap_complete::Shell;
use counterpoise::catalog::Catalog;
use counterpoise::part::Kind;
use std::path::PathBuf;

/// Options of `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionArgs {
    /// Which shell
    shell: Shell,
}

/// Completions for a shell, with the ids of the catalog as it is now: rows of one's own included.
pub(crate) fn completions(args: &CompletionArgs, job: &Job) -> Result<Outcome, Failure> {
    let known = Known::of(&job.plain_catalog()?);
    let mut cli = known.told(Cli::command());
    output::print(|mut out| {
        clap_complete::generate(args.shell, &mut cli, "counterpoise", &mut out);
        Ok(())
    })?;
    Ok(Outcome::Met)
}

/// Words that options take though the parser leaves them to the catalog, which says more of what is wrong with one.
struct Known(Vec<(&'static str, Vec<String>)>);

impl Known {
    fn of(catalog: &Catalog) -> Self {
        let words = |list: &[&str]| list.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        let ids = |kind: Kind| catalog.rows(kind).into_iter().map(|row| row.id.clone()).collect::<Vec<_>>();
        let filters = |attributes: &[&str]| {
            let of_kind = |kind: &Kind| {
                let kind = kind.word();
                attributes.iter().map(move |attribute| format!("{kind}{attribute}")).collect::<Vec<_>>()
            };
            Kind::ALL.iter().flat_map(of_kind).collect::<Vec<_>>()
        };
        let mut parts = filters(&["=", ".material=", ".size="]);
        parts.extend(words(&["bead.colour=", "foam.colour="]));
        let mut kinds = words(&Kind::ALL.map(Kind::word));
        kinds.push("material".to_owned());
        Self(vec![
            ("pattern", ids(Kind::Dressing)),
            ("each_pattern", ids(Kind::Dressing)),
            ("hook", ids(Kind::Hook)),
            ("style", words(&["straight", "streamer", "wide-gap", "jig", "jig-60", "jig-90", "ball-jig"])),
            ("rides", words(&["point-up", "point-down", "either"])),
            ("only", parts.clone()),
            ("not", parts),
            ("by", filters(&["", ".material", ".size"])),
            ("kind", kinds),
            ("id", Kind::ALL.into_iter().flat_map(ids).collect()),
        ])
    }

    /// The commands with these words at every option and argument that takes them.
    fn told(&self, command: Command) -> Command {
        let command = command.mut_args(|arg| match self.0.iter().find(|(id, _)| arg.get_id() == *id) {
            Some((_, words)) if arg.get_possible_values().is_empty() => {
                arg.value_parser(PossibleValuesParser::new(words.clone()))
            }
            _ => arg,
        });
        command.mut_subcommands(|inner| self.told(inner))
    }
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
