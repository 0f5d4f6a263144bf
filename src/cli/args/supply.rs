//! What is on the bench, and what is lost there.

use crate::failure::Failure;
use crate::job::{self, Job};
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::purchase::{Allowance, Amounts};
use counterpoise::quantity::{Length, Microns};
use counterpoise::stock::StockFile;
use std::path::PathBuf;

/// Lengths lost at the bench.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Stock")]
pub(crate) struct AllowanceArgs {
    /// Foam lost with each block that is cut off [default: 0.5mm]
    #[arg(hide_short_help = true, long, value_name = "LENGTH", allow_hyphen_values = true)]
    kerf: Option<Length>,
    /// Wire held in the fingers and cut off, per fly [default: 20mm]
    #[arg(hide_short_help = true, long, value_name = "LENGTH", allow_hyphen_values = true)]
    wire_ends: Option<Length>,
}

/// Longest allowance, mm.
const MOST_MM: f64 = 500.0;

impl AllowanceArgs {
    /// What is lost, with defaults filled in.
    pub(crate) fn allowance(&self) -> Result<Allowance, Failure> {
        let usual = Allowance::default();
        Ok(Allowance {
            kerf: length("--kerf", self.kerf, usual.kerf)?,
            wire_ends: length("--wire-ends", self.wire_ends, usual.wire_ends)?,
        })
    }
}

fn length(option: &str, given: Option<Length>, usual: Microns) -> Result<Microns, Failure> {
    let Some(length) = given else { return Ok(usual) };
    if !(0.0..=MOST_MM).contains(&length.mm()) {
        return Err(Failure::usage(format!("{option} is {length}; 0 to {MOST_MM} mm makes sense"), None));
    }
    Microns::from_length(length).map_err(|error| Failure::usage(error.to_string(), None))
}

/// Stock file and allowances.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Stock")]
pub(crate) struct SupplyArgs {
    /// Stock file: what is on the bench already [default: that of the settings, if they name one]
    #[arg(long, value_name = "FILE", env = "COUNTERPOISE_STOCK", hide_env_values = true)]
    stock: Option<PathBuf>,
    #[command(flatten)]
    allowance: AllowanceArgs,
}

impl SupplyArgs {
    /// Whether a stock file was named, here or in the environment.
    pub(crate) fn names_stock(&self) -> bool {
        self.stock.is_some()
    }

    /// What is owned; nothing without a stock file.
    pub(crate) fn owned(&self, catalog: &Catalog, job: &Job) -> Result<Amounts, Failure> {
        match self.stock.as_ref().or(job.settings.stock.as_ref()) {
            Some(path) => Ok(StockFile::read(&job::open(path)?, catalog)?.stock),
            None => Ok(Amounts::new()),
        }
    }

    /// What is lost at the bench.
    pub(crate) fn allowance(&self) -> Result<Allowance, Failure> {
        self.allowance.allowance()
    }
}
