//! `correct`: from what hand or jar showed to what to change.

use crate::args::{TEMPLATE, ViceArgs, refused};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::physics::statics::Rides;
use counterpoise::quantity::shown::{DEPTH, SIZE};
use counterpoise::quantity::{Angle, Length, Microns};
use counterpoise::report::vice::{AdviceReport, advice_csv, advice_report};
use counterpoise::report::{RecipeReport, table};
use counterpoise::vice::Stage;
use counterpoise::vice::correct::Seen;
use counterpoise::vice::range::midway;
use counterpoise::vice::{Bench, HangTest, Medium};
use counterpoise::wanted::{Assumption, Target, TargetError};
use serde::Serialize;

const EXAMPLES: &str = "Examples:
  counterpoise correct fly.yaml --stage foam --seen 35deg
  counterpoise correct fly.yaml --stage finish --seen -20deg --depth 2m
  counterpoise correct fly.yaml --stage wire --seen 80deg --rides point-down
  counterpoise correct fly.yaml --stage wire --medium air --seen 64deg

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
    /// Where it hung: water (the jar), or air (in the hand, dry)
    #[arg(long, value_name = "water|air", default_value = "water", value_parser = ["water", "air"],
          hide_possible_values = true)]
    medium: String,
    /// What was seen: level, 35deg (tail down), -20deg (head down)
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    seen: Angle,
    /// Length of the foam that is on, if it is neither the recipe's nor, where it is to be trimmed, its start length
    #[arg(long, value_name = "LENGTH")]
    foam: Option<Length>,
    /// Which side the point was on, if not the one it should be on
    #[arg(long, value_name = "SIDE", value_parser = ["point-up", "point-down"], hide_possible_values = true)]
    rides: Option<String>,
}

/// What `correct` says besides the recipe.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct CorrectBody {
    /// What the reading means and what to do.
    advice: AdviceReport,
}

/// Says what to change.
pub(crate) fn run(args: &CorrectArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let vice = args.vice.resolve(&catalog, job)?;
    // What is offered is worked out for one depth.
    let target = midway(&vice.fly, &vice.target);
    if target.fall.shallow.is_some() {
        return Err(refused(&TargetError::OneDepth));
    }
    let stage = Stage::from_word(&args.stage).unwrap_or(Stage::Finish);
    let mut bench = Bench::new(vice.fly, &target, vice.jar);
    if let Some(length) = args.foam {
        if stage < Stage::Foam {
            let help = "leave it out: the start length that follows from the reading is said".to_owned();
            return Err(Failure::usage(format!("--foam: after {} no foam is on yet", stage.word()), Some(help)));
        }
        let length = Microns::from_length(length).map_err(|error| Failure::usage(error.to_string(), None))?;
        bench = bench.with_foam_on(length);
    }
    let rides =
        args.rides.as_deref().map(|word| if word == Rides::PointUp.word() { Rides::PointUp } else { Rides::PointDown });
    let medium = Medium::from_word(&args.medium).unwrap_or(Medium::Water);
    let seen = Seen { test: HangTest { stage, medium }, angle: args.seen.rad(), rides };
    let advice = bench.correct(&seen, &catalog.beads).map_err(|error| Failure::usage(error.to_string(), None))?;
    let advice = advice_report(&vice.fly, &advice, &catalog.beads);
    let report = RecipeReport::judged(&vice.fly, &vice.target, &catalog.currency);
    let answer = job
        .answer("correct", CorrectBody { advice })
        .with_recipes(vec![report])
        .assuming(vice.assumptions.into_iter().filter(|a| a.key != "samples"))
        .assuming(foam_said(args, &bench, stage))
        .assuming(range_said(&vice.target, &target))
        .assuming((medium == Medium::Air).then(|| Assumption {
            key: "medium",
            text: "hung in air, dry: nobody knows how much water hangs in a wet fly".to_owned(),
        }));
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

/// The depth that stands for a range, and what is left of the tolerance there.
fn range_said(asked: &Target, one: &Target) -> Option<Assumption> {
    let shallow = asked.fall.shallow?;
    let [shallow, deep, depth] = [shallow, asked.conditions.depth, one.conditions.depth].map(|m| DEPTH.text(m, 2));
    let tolerance = one.tolerance.to_degrees();
    let text = format!(
        "between {shallow} and {deep} at {depth}, where it hangs midway: within {tolerance:.1}° there it is right at both"
    );
    Some(Assumption { key: "depth", text })
}

/// Which length of foam the reading was taken with, where that is not the recipe's.
fn foam_said(args: &CorrectArgs, bench: &Bench, stage: Stage) -> Option<Assumption> {
    let trim = bench.trim().filter(|_| args.foam.is_none() && stage >= Stage::Foam)?;
    let text = format!("foam at its start length of {}, still to be trimmed (--foam)", SIZE.text(trim.start.mm(), 2));
    Some(Assumption { key: "foam", text })
}
