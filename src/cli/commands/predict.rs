//! `predict`: how a recipe hangs and sinks, part by part.

use crate::args::{ConditionArgs, TEMPLATE};
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::assess::predict;
use counterpoise::error_budget::{Jig, budget};
use counterpoise::fly;
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::report::budget::{BudgetReport, budget_report};
use counterpoise::report::cautions::cautions;
use counterpoise::report::{Answer, Notice, csv, merged_warnings, recipe_report, table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise predict fly.yaml
  counterpoise predict fly.yaml --depth 4m --knot snug --tippet 0.16mm
  counterpoise predict fly.yaml --explain
  counterpoise predict fly.yaml --format csv > parts.csv

";

/// Options of `predict`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct PredictArgs {
    /// Recipe file, `-` for standard input
    #[arg(value_name = "RECIPE.yaml")]
    file: PathBuf,
    /// Say what each assumption of the model could move, and how far
    #[arg(long)]
    explain: bool,
    #[command(flatten)]
    conditions: ConditionArgs,
}

/// What `predict` says besides the recipe.
#[derive(Debug, Serialize)]
struct PredictBody {
    /// What each assumption could move, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    error_budget: Option<BudgetReport>,
}

/// Predicts a recipe.
pub(crate) fn run(args: &PredictArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let document = RecipeDocument::read(&job::open(&args.file)?)?;
    let fly = document.resolve(&catalog)?;
    let (conditions, limits, assumptions) = args.conditions.over(&document)?;
    let prediction = predict(&fly, &conditions);
    let error_budget = if args.explain { Some(budget_report(&budget(&fly, &conditions, Jig::USUAL)?)) } else { None };
    let mut answer = Answer::with_body("predict", PredictBody { error_budget });
    answer.recipes.push(recipe_report(&fly, &conditions, &prediction, &catalog.currency));
    answer.assumptions = assumptions;
    answer.warnings = merged_warnings(std::iter::once(prediction.warnings.as_slice()));
    if let Some(misfit) = fly::first_misfit(&fly, &limits) {
        answer.warnings.insert(0, Notice::new("misfit", format!("this cannot be tied as written: {misfit}")));
    }
    answer.cautions = cautions(std::iter::once(&fly));
    job.say_calibration(&mut answer);
    let report = &answer.recipes[0];
    job.print(
        &answer,
        |out| {
            table::tying_lines(out, report)?;
            writeln!(out)?;
            table::hang_lines(out, report)?;
            writeln!(out)?;
            table::parts(out, report)?;
            if let Some(budget) = &answer.body.error_budget {
                table::budget(out, budget)?;
            }
            table::foot(out, &answer)
        },
        |out| csv::parts(out, report),
    )?;
    Ok(Outcome::Met)
}
