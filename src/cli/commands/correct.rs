//! `correct`: from what the jar showed to what to change.

use crate::args::{TEMPLATE, ViceArgs};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::Angle;
use counterpoise::report::vice::{AdviceReport, advice_csv, advice_report};
use counterpoise::report::{RecipeReport, table};
use counterpoise::vice::Bench;
use counterpoise::vice::correct::Seen;
use counterpoise::vice::stages::Stage;
use serde::Serialize;

const EXAMPLES: &str = "Examples:
  counterpoise correct fly.yaml --stage foam --seen 35deg
  counterpoise correct fly.yaml --stage finish --seen -20deg --depth 2m
  counterpoise correct fly.yaml --stage wire --seen 80deg --rides point-down

";

/// Options of `correct`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct CorrectArgs {
    #[command(flatten)]
    vice: ViceArgs,
    /// Stage at which it was hung: bead, wire, thread, foam, tail, body, wing, finish
    #[arg(long, value_name = "STAGE", default_value = "finish",
          value_parser = ["bead", "wire", "thread", "foam", "tail", "body", "wing", "finish"], hide_possible_values = true)]
    stage: String,
    /// What the jar showed: level, 35deg (tail down), -20deg (head down)
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    seen: Angle,
    /// Which side the point was on, if not the one it should be on
    #[arg(long, value_name = "SIDE", value_parser = ["point-up", "point-down"], hide_possible_values = true)]
    rides: Option<String>,
}

/// What `correct` says besides the recipe.
#[derive(Debug, Serialize)]
struct CorrectBody {
    /// What the reading means and what to do.
    advice: AdviceReport,
}

/// Says what to change.
pub(crate) fn run(args: &CorrectArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let vice = args.vice.resolve(&catalog, job)?;
    let bench = Bench::new(vice.fly, &vice.target, vice.jar);
    let rides =
        args.rides.as_deref().map(|word| if word == Rides::PointUp.word() { Rides::PointUp } else { Rides::PointDown });
    let stage = Stage::from_word(&args.stage).unwrap_or(Stage::Finish);
    let seen = Seen { stage, angle: args.seen.rad(), rides };
    let advice = bench.correct(&seen).map_err(|error| Failure::usage(error.to_string(), None))?;
    let advice = advice_report(&vice.fly, &advice, |stage| bench.side_at(stage));
    let report = RecipeReport::judged(&vice.fly, &vice.target, &catalog.currency);
    let answer = job
        .answer("correct", CorrectBody { advice })
        .with_recipes(vec![report])
        .assuming(vice.assumptions.into_iter().filter(|a| a.key != "samples"));
    job.print(
        &answer,
        |out| {
            table::tying_lines(out, &answer.recipes[0])?;
            writeln!(out)?;
            table::advice(out, &answer.body.advice)?;
            table::foot(out, &answer)
        },
        |out| advice_csv(out, &answer.body.advice),
    )?;
    Ok(Outcome::Met)
}
