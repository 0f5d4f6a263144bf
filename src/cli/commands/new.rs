//! `new`: files to start from, with comments that say what to measure and what each line does.

use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::{output, settings};
use clap::{Args, ValueEnum};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise new target                 writes target.yaml, to be filled in
  counterpoise new catalog mine.yaml      ... under another name
  counterpoise new dressing -             ... to standard output
  counterpoise new settings               what the program remembers, in its usual place

";

/// What can be started.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Starter {
    /// What a fly must do
    Target,
    /// One fly, part by part
    Recipe,
    /// A guide's needs
    Box,
    /// What is on the bench
    Stock,
    /// Parts of one's own, with a drawing of where to measure
    Catalog,
    /// A dressing of one's own, from three measurements
    Dressing,
    /// A log of what the jar showed
    Log,
    /// What the program remembers between runs
    Settings,
}

impl Starter {
    fn text(self) -> &'static str {
        match self {
            Self::Target => include_str!("../../../examples/starters/target.yaml"),
            Self::Recipe => include_str!("../../../examples/starters/recipe.yaml"),
            Self::Box => include_str!("../../../examples/starters/box.yaml"),
            Self::Stock => include_str!("../../../examples/starters/stock.yaml"),
            Self::Catalog => include_str!("../../../examples/starters/catalog.yaml"),
            Self::Dressing => include_str!("../../../examples/starters/dressing.yaml"),
            Self::Log => include_str!("../../../examples/starters/log.yaml"),
            Self::Settings => include_str!("../../../examples/starters/settings.yaml"),
        }
    }

    /// Where it goes unless another name is given.
    fn usual_file(self) -> Result<PathBuf, Failure> {
        let name = match self {
            Self::Settings => {
                let missing =
                    || Failure::usage("this platform names no place for settings", Some("name a file".to_owned()));
                return settings::usual_place().ok_or_else(missing);
            }
            Self::Target => "target.yaml",
            Self::Recipe => "recipe.yaml",
            Self::Box => "box.yaml",
            Self::Stock => "stock.yaml",
            Self::Catalog => "catalog.yaml",
            Self::Dressing => "dressing.yaml",
            Self::Log => "log.yaml",
        };
        Ok(PathBuf::from(name))
    }
}

/// Options of `new`.
#[derive(Debug, Args)]
#[command(help_template = crate::args::TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct NewArgs {
    /// What to start
    #[arg(value_enum)]
    what: Starter,
    /// Where to write it; `-` is standard output [default: the kind with .yaml; settings go to their usual place]
    #[arg(value_name = "FILE")]
    file: Option<PathBuf>,
    /// Overwrite a file that exists
    #[arg(long)]
    force: bool,
}

/// Writes a starter.
pub(crate) fn run(args: &NewArgs, job: &Job) -> Result<Outcome, Failure> {
    let text = args.what.text();
    if args.file.as_ref().is_some_and(|file| file.as_os_str() == "-") {
        output::print(|out| Ok(out.write_all(text.as_bytes())?))?;
        return Ok(Outcome::Met);
    }
    let file = args.file.clone().map_or_else(|| args.what.usual_file(), Ok)?;
    if args.what == Starter::Settings
        && let Some(folder) = file.parent()
    {
        std::fs::create_dir_all(folder)?;
    }
    output::save(&file, args.force, text)?;
    job.note(&format!("wrote {}: its first lines say how it is used", file.display()));
    Ok(Outcome::Met)
}
