//! `fit`: what a jar log teaches about a tyer's own materials.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::calibrate::{calibration_text, fit_entries, outcomes, outlook, summaries};
use counterpoise::document::save::SaveError;
use counterpoise::jar_log::{JarLog, folder_of};
use counterpoise::report::fit::{FitReport, fit_report};
use counterpoise::report::fit_chart::fit_chart;
use counterpoise::report::{Answer, Notice, ReportError, table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise fit jar.yaml
  counterpoise fit jar.yaml --write mine.yaml --chart jar.svg
  counterpoise find --size 12 --style jig --calibration mine.yaml
  counterpoise fit jar.yaml --format csv > before-after.csv

";

/// Options of `fit`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct FitArgs {
    /// Jar log, `-` for standard input
    #[arg(value_name = "LOG.yaml")]
    log: PathBuf,
    /// Write the calibration, for --calibration of all commands
    #[arg(long, value_name = "FILE")]
    write: Option<PathBuf>,
    /// Draw predicted against seen, before and after (SVG)
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
    /// Overwrite files that exist
    #[arg(long)]
    force: bool,
}

/// What `fit` says.
#[derive(Debug, Serialize)]
struct FitBody {
    fit: FitReport,
}

/// Fits a log.
pub(crate) fn run(args: &FitArgs, job: &Job) -> Result<Outcome, Failure> {
    job.refuse_calibration("a jar log is fitted to the catalog itself")?;
    let catalog = job.catalog()?;
    let log = JarLog::read(&job::open(&args.log)?, folder_of(&args.log))?;
    log.check_parts(&catalog)?;
    let fit = fit_entries(&catalog, log.entries())?;
    let outcomes = outcomes(&fit)?;
    let outlook = outlook(&fit, log.entries())?;
    let report = fit_report(&fit, &log, &catalog, &outcomes, &summaries(&outcomes), &outlook);
    let mut answer = Answer::with_body("fit", FitBody { fit: report });
    if !fit.settled() {
        let text = "the fit did not come to rest, since a fly of this log hangs anyhow (about to float, or held in two rests \
                    by a snug knot): errors may be larger than stated";
        answer.warnings.push(Notice::new("not-settled", text));
    }
    let report = &answer.body.fit;
    // Both files or none: the second must not fail after the first was written.
    if let Some(path) = [&args.write, &args.chart].into_iter().flatten().find(|path| path.exists() && !args.force) {
        return Err(SaveError::Exists { path: path.clone() }.into());
    }
    if let Some(path) = &args.write {
        output::save(path, args.force, &calibration_text(&fit, &log).map_err(ReportError::from)?)?;
    }
    if let Some(path) = &args.chart {
        output::save(path, args.force, &fit_chart(report))?;
    }
    job.print(
        &answer,
        |out| {
            table::fit_table(out, report)?;
            table::foot(out, &answer)
        },
        |out| table::fit_csv(out, report),
    )?;
    for (what, path) in [("calibration", &args.write), ("chart", &args.chart)] {
        if let Some(path) = path {
            job.note(&format!("wrote the {what} to {}", path.display()));
        }
    }
    Ok(Outcome::Met)
}
