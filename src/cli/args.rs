//! Options: the global ones here, the groups that commands share beside it.

mod condition;
mod depths;
mod floor;
mod recipe;
mod supply;
mod target;
mod vice;

pub(crate) use condition::{Asked, ConditionArgs};
pub(crate) use depths::Depths;
pub(crate) use floor::FloorArgs;
pub(crate) use recipe::{RecipeArgs, read as read_recipe};
pub(crate) use supply::{AllowanceArgs, SupplyArgs};
pub(crate) use target::{TargetArgs, Wanted, refused};
pub(crate) use vice::ViceArgs;

use crate::commands::Command;
use crate::settings::UnitsWord;
use clap::{Args, Parser, ValueEnum};
use std::path::PathBuf;

/// Help with the examples before the options.
pub(crate) const TEMPLATE: &str =
    "{about-with-newline}\n{before-help}{usage-heading} {usage}\n\n{all-args}{after-help}";

const EXAMPLES: &str = "Examples:
  counterpoise find --size 8 --hang level          recipes for a size 8 that hangs level
  counterpoise find --size 8 --save fly.yaml       ... and keep the best one
  counterpoise predict fly.yaml                    what it does, part by part
  counterpoise catalog list bead                   what there is to tie with

";

/// Recipes for weighted flies that hang level, or as you say, and sink at the rate you say.
#[derive(Debug, Parser)]
#[command(name = "counterpoise", version, long_version = crate::version::long(), help_template = TEMPLATE, before_help = EXAMPLES, max_term_width = 110, disable_help_subcommand = true)]
#[command(
    after_help = "Exit: 0 answered, 1 answered but nothing meets the target, 2 bad input or usage, 3 stopped with nothing found or proven, \
                  4 failed after a file was written.\n\n\
                  -h shows the usual options, --help all of them; `counterpoise help TOPIC` tells at length (words, jar, fall, \
                  compare, box, search, catalog, limits, care). `counterpoise completions SHELL` writes completions that know \
                  your catalog, `counterpoise man FOLDER` a manual page for each command."
)]
pub(crate) struct Cli {
    /// Options of all commands.
    #[command(flatten)]
    pub(crate) global: GlobalArgs,
    /// What to do.
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// How the answer is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, ValueEnum)]
pub(crate) enum Format {
    /// For a person.
    #[default]
    Table,
    /// For programs: versioned, documented units.
    Json,
    /// One line each, units in the heads.
    Csv,
    /// The same tree as JSON.
    Yaml,
}

/// Options of all commands.
#[derive(Debug, Args)]
#[command(next_help_heading = "Options of all commands")]
pub(crate) struct GlobalArgs {
    /// How the answer is written
    #[arg(
        long,
        global = true,
        value_enum,
        default_value_t,
        hide_possible_values = true,
        value_name = "table|json|csv|yaml"
    )]
    pub(crate) format: Format,
    /// Catalog file on top of the built-in catalog: adds rows, or replaces those of the same id (repeatable)
    #[arg(long, global = true, value_name = "FILE", env = "COUNTERPOISE_CATALOG", hide_env_values = true)]
    pub(crate) catalog: Vec<PathBuf>,
    /// Calibration that `fit` wrote: corrects parts of the catalog for your own materials
    #[arg(
        hide_short_help = true,
        long,
        global = true,
        value_name = "FILE",
        env = "COUNTERPOISE_CALIBRATION",
        hide_env_values = true
    )]
    pub(crate) calibration: Option<PathBuf>,
    /// Settings to go by, or `none` [default: the file in the platform's usual place, if it is there]
    #[arg(
        hide_short_help = true,
        long,
        global = true,
        value_name = "FILE",
        env = "COUNTERPOISE_SETTINGS",
        hide_env_values = true
    )]
    pub(crate) settings: Option<PathBuf>,
    /// Threads to use; the answer is the same for any number [default: one for each core]
    #[arg(hide_short_help = true, long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(1..=256))]
    pub(crate) threads: Option<u16>,
    /// Tell all: what was assumed, what was searched, every caution
    #[arg(long, global = true)]
    pub(crate) why: bool,
    /// Units of everything that a person reads: metric (mm, m, mg, mN, m/s, C) or us (in, ft, grain, in/s, F). JSON, YAML and
    /// CSV stay metric, each figure with its unit in the key. Figures that you type carry their unit [default: metric]
    #[arg(
        long,
        global = true,
        value_name = "metric|us",
        env = "COUNTERPOISE_UNITS",
        hide_env_values = true,
        value_enum,
        hide_possible_values = true
    )]
    pub(crate) units: Option<UnitsWord>,
    /// Characters across for tables [default: as wide as the terminal, 100 where there is none]
    #[arg(hide_short_help = true, long, global = true, value_name = "N", value_parser = clap::value_parser!(u16).range(60..=140))]
    columns: Option<u16>,
    /// No progress line and no notes on standard error
    #[arg(long, short, global = true)]
    pub(crate) quiet: bool,
}

impl GlobalArgs {
    /// Characters across for tables.
    pub(crate) fn columns(&self) -> u16 {
        const WITHOUT_TERMINAL: u16 = 100;
        let terminal = || terminal_size::terminal_size().map(|(terminal_size::Width(columns), _)| columns);
        self.columns.or_else(terminal).unwrap_or(WITHOUT_TERMINAL)
    }
}
