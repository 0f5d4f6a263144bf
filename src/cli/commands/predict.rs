//! `predict`: how a recipe hangs and sinks, part by part.

use crate::args::{ConditionArgs, RecipeArgs, TEMPLATE};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::error_budget::{Jig, budget};
use counterpoise::report::budget::{BudgetReport, budget_report};
use counterpoise::report::{RecipeReport, csv, table};
use serde::Serialize;

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
    #[command(flatten)]
    recipe: RecipeArgs,
    /// Say what each assumption of the model could move, and how far
    #[arg(long)]
    explain: bool,
    #[command(flatten)]
    conditions: ConditionArgs,
}

/// What `predict` says besides the recipe.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct PredictBody {
    /// What each assumption could move, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    error_budget: Option<BudgetReport>,
}

/// Predicts a recipe.
pub(crate) fn run(args: &PredictArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let document = args.recipe.read()?;
    let fly = document.resolve(&catalog)?;
    let asked = args.conditions.over(&document, &job.settings.usual())?;
    let mut report = RecipeReport::predicted(&fly, &asked.conditions, &asked.limits, asked.line, &catalog.currency)
        .with_side_view(&fly);
    // What was asked of the recipe goes on with it.
    let wish = document.conditions();
    report.recipe.conditions = report.recipe.conditions.map(|conditions| conditions.asked_in(wish));
    let error_budget =
        if args.explain { Some(budget_report(&budget(&fly, &asked.conditions, Jig::USUAL)?)) } else { None };
    let answer =
        job.answer("predict", PredictBody { error_budget }).with_recipes(vec![report]).assuming(asked.assumptions);
    let report = &answer.recipes[0];
    job.print(
        &answer,
        |out| {
            table::tying_lines(out, report)?;
            writeln!(out)?;
            table::hang_lines(out, report)?;
            table::side_view(out, report)?;
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
