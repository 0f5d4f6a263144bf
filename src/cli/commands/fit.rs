//! `fit`: what a jar log teaches about a tyer's own materials.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output::Destination;
use clap::Args;
use counterpoise::calibrate::{FitError, Model, calibration_text, fit, oddities, outcomes, outlook, summaries};
use counterpoise::jar_log::{JarLog, folder_of};
use counterpoise::report::calibration::oddity_notice;
use counterpoise::report::fit::{FitReport, fit_report};
use counterpoise::report::fit_chart::fit_chart;
use counterpoise::report::fit_notices::fit_notices;
use counterpoise::report::{Notice, ReportError, table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise fit jar.yaml
  counterpoise fit jar.yaml --write mine.yaml --chart jar.svg
  counterpoise find --size 12 --style jig --calibration mine.yaml
  counterpoise fit jar.yaml --format csv > before-after.csv
  counterpoise fit jar.yaml --turn-signs         # written down head-down positive

Exits with 1 and writes no calibration where the log bears none out: signs that look turned, entries of two
rods or readers mixed, a third of the readings misread. --force writes it all the same.

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
    /// Take every hang with its sign turned: a log kept with head down positive
    #[arg(long)]
    turn_signs: bool,
    /// Overwrite files that exist, and write a calibration that the log does not bear out
    #[arg(long)]
    force: bool,
}

/// What `fit` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct FitBody {
    fit: FitReport,
}

/// Fits a log.
pub(crate) fn run(args: &FitArgs, job: &Job) -> Result<Outcome, Failure> {
    job.refuse_calibration("a jar log is fitted to the catalog itself")?;
    // Both files or none: the second must not fail after the first was written.
    let write = args.write.as_ref().map(|path| Destination::test(path, args.force, &[])).transpose()?;
    let chart = args.chart.as_ref().map(|path| Destination::test(path, args.force, &["svg"])).transpose()?;
    let catalog = job.catalog()?;
    let log = JarLog::read(&job::open(&args.log)?, folder_of(&args.log))?;
    log.check_parts(&catalog)?;
    let log = if args.turn_signs { log.with_signs_turned() } else { log };
    let model = Model::new(&catalog, log.entries()).map_err(FitError::from)?;
    let odd = oddities(&model, log.entries(), 0, job::today());
    let fit = fit(&model)?;
    let outcomes = outcomes(&fit)?;
    let outlook = outlook(&fit, log.entries())?;
    let report = fit_report(&fit, &log, &catalog, &outcomes, &summaries(&outcomes), &outlook);
    let mut answer = job.answer("fit", FitBody { fit: report });
    answer.warnings.extend(fit_notices(&answer.body.fit));
    answer.warnings.extend(odd.iter().map(|odd| oddity_notice(odd, log.entries())));
    if !fit.settled() {
        let text = "the fit did not come to rest, since a fly of this log hangs anyhow (about to float, or held in two rests \
                    by a snug knot): errors may be larger than stated";
        answer.warnings.push(Notice::new("not-settled", text));
    }
    let report = &answer.body.fit;
    job.print(
        &answer,
        |out| {
            table::fit_table(out, report)?;
            table::foot(out, &answer)
        },
        |out| table::fit_csv(out, report),
    )?;
    let refused = !fit.sound() && !args.force;
    if refused && write.is_some() {
        job.note("no calibration was written: the log does not bear it out (see the warnings); --force writes it");
    }
    let files = [
        ("calibration", write.filter(|_| !refused), calibration_text(&fit, &log).map_err(ReportError::from)?),
        ("chart", chart, fit_chart(report)),
    ];
    for (what, file, text) in files {
        if let Some(file) = file {
            file.write(text.as_bytes())?;
            job.note(&format!("wrote the {what} to {}", file.path().display()));
        }
    }
    Ok(if fit.sound() { Outcome::Met } else { Outcome::NotMet })
}
