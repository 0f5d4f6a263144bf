//! `stages`: what the half-tied fly should look like in the hand and in the jar, and how to trim it.

use crate::args::{TEMPLATE, ViceArgs};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::fly::{AsTied, Deviation};
use counterpoise::report::stages::{EarlyReport, StageReport, early_report, stage_report, stages_csv};
use counterpoise::report::vice::{SlopeReport, TrimReport, slope_report, trim_report};
use counterpoise::report::{RecipeReport, table};
use counterpoise::spread::slopes::{View, linear, slopes};
use counterpoise::vice::Bench;
use serde::Serialize;

const EXAMPLES: &str = "Examples:
  counterpoise stages fly.yaml
  counterpoise stages fly.yaml --hang 15deg --tolerance 8deg --depth 2m
  counterpoise stages fly.yaml --jar 15C --format json

";

/// Options of `stages`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct StagesArgs {
    #[command(flatten)]
    vice: ViceArgs,
}

/// What `stages` says besides the recipe.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct StagesBody {
    /// In tying order.
    stages: Vec<StageReport>,
    /// Where misfits show.
    early: EarlyReport,
    /// What turns the finished fly; `None`: it floats.
    slopes: Option<SlopeReport>,
    /// How to trim; `None` without foam, or where no length hangs it as wanted.
    trim: Option<TrimReport>,
}

/// Follows a recipe through its stages.
pub(crate) fn run(args: &StagesArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let vice = args.vice.resolve(&catalog, job)?;
    let bench = Bench::new(vice.fly, &vice.target, vice.jar);
    let tied = AsTied::new(vice.fly, &vice.target.conditions);
    let slopes = View::new(&tied).and_then(|view| {
        let line = linear(bench.spreads(), &Deviation::NONE, |d| view.turn(d))?;
        Some(slope_report(&vice.fly, &slopes(&view), &line))
    });
    let trim = bench.trim().map(trim_report);
    let views = bench.stages(&vice.draws);
    let (stages, early) =
        (views.iter().map(stage_report).collect(), early_report(&views, bench.trim(), &bench.shares()));
    let report = RecipeReport::judged(&vice.fly, &vice.target, &catalog.currency);
    let report = report.with_shares(bench.shares(), None);
    let answer = job
        .answer("stages", StagesBody { stages, early, slopes, trim })
        .with_recipes(vec![report])
        .assuming(vice.assumptions)
        .seeded(vice.draws.plan().seed);
    job.print(
        &answer,
        |out| {
            table::tying_lines(out, &answer.recipes[0])?;
            writeln!(out)?;
            table::stages(out, &answer.body.stages, &answer.body.early)?;
            if let Some(slopes) = &answer.body.slopes {
                table::slopes(out, slopes)?;
            }
            if let Some(trim) = &answer.body.trim {
                table::trim(out, trim)?;
            }
            table::foot(out, &answer)
        },
        |out| stages_csv(out, &answer.body.stages),
    )?;
    Ok(Outcome::Met)
}
