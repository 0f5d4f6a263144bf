//! `sink`: how a recipe goes down: countdown, slack line, jig stroke.

use crate::args::{Asked, ConditionArgs, Depths, RecipeArgs, TEMPLATE, refused};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::error_budget::{Jig, budget, other_waters};
use counterpoise::fly::{Conditions, Fly, State};
use counterpoise::physics::leader::Leader;
use counterpoise::physics::warning::{Warning, note_worst};
use counterpoise::quantity::{Angle, Length};
use counterpoise::report::budget::budget_report;
use counterpoise::report::descent::{LeaderReport, descent_report, other_water_reports};
use counterpoise::report::sink::{SinkReport, sink_csv, sink_table};
use counterpoise::report::{Answer, RecipeReport};
use counterpoise::sink::{Question, descend, states};
use counterpoise::wanted::{Assumption, Line, TargetSpec, defaults};

const EXAMPLES: &str = "Examples:
  counterpoise sink fly.yaml --depths 0.5,1,2,3,5m
  counterpoise sink fly.yaml --line slack --leader 2m --tippet 0.16mm
  counterpoise sink fly.yaml --slack 30cm --tolerance 10deg --explain
  counterpoise sink fly.yaml --format csv > countdown.csv

";

/// Options of `sink`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct SinkArgs {
    #[command(flatten)]
    recipe: RecipeArgs,
    /// Depths to count down to from the surface
    #[arg(long, value_name = "LIST", default_value = "0.5,1,2,3,5m", allow_hyphen_values = true)]
    depths: Depths,
    /// Line: tight (lowered), slack (free), or both
    #[arg(long, value_name = "tight|slack|both", default_value = "both", value_parser = ["tight", "slack", "both"],
          hide_possible_values = true)]
    line: String,
    /// Length of tippet that the fly draws down after it, like 2m; left out unless given
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    leader: Option<Length>,
    /// How long the line goes slack in the jig stroke: a time or a drop, like 0.5s or 20cm
    #[arg(long, value_name = "TIME|LENGTH", allow_hyphen_values = true)]
    slack: Option<String>,
    /// How near its hang the fly has to be to be back in it
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    tolerance: Option<Angle>,
    /// Say what each assumption of the model could move, and how far
    #[arg(long)]
    explain: bool,
    #[command(flatten)]
    conditions: ConditionArgs,
}

/// Follows a recipe down.
pub(crate) fn run(args: &SinkArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let document = args.recipe.read()?;
    let fly = document.resolve(&catalog)?;
    let mut asked = args.conditions.over(&document, &job.settings.usual())?;
    if args.leader.is_some() && args.conditions.tippet().is_some() {
        // It counts for the leader, whatever the knot.
        asked.assumptions.retain(|said| said.key != "tippet");
    }
    let question = question(args, &mut asked.assumptions)?;
    if question.lines == [Line::Slack] {
        asked.line = Line::Slack;
    }
    let answer = job.with_origin(answer(args, &catalog, &fly, asked, &question)?);
    job.print(&answer, |out| sink_table(out, &answer, &question), |out| sink_csv(out, &answer.body))?;
    Ok(Outcome::Met)
}

fn question(args: &SinkArgs, assumptions: &mut Vec<Assumption>) -> Result<Question, Failure> {
    let spec = TargetSpec {
        slack: args.slack.clone(),
        tolerance: args.tolerance,
        tippet: args.conditions.tippet(),
        ..TargetSpec::default()
    };
    let (slack, said) = spec.slack_or_default().map_err(|error| refused(&error))?;
    assumptions.extend(said);
    let (tolerance, said) = spec.tolerance_or_default().map_err(|error| refused(&error))?;
    assumptions.extend(said);
    let depths: Vec<f64> = args.depths.0.iter().map(|d| d.m()).collect();
    if let Some(wrong) = depths.iter().find(|d| !(0.0..=50.0).contains(*d)) {
        return Err(Failure::usage(format!("`--depths` holds {wrong} m; 0 to 50 m makes sense"), None));
    }
    Ok(Question {
        depths,
        lines: match args.line.as_str() {
            "tight" => vec![Line::Tight],
            "slack" => vec![Line::Slack],
            _ => vec![Line::Tight, Line::Slack],
        },
        leader: leader(args, &spec, assumptions)?,
        slack,
        tolerance: tolerance.rad(),
    })
}

fn leader(args: &SinkArgs, spec: &TargetSpec, assumptions: &mut Vec<Assumption>) -> Result<Option<Leader>, Failure> {
    let Some(length) = args.leader else { return Ok(None) };
    if !(0.0..=30.0).contains(&length.m()) {
        return Err(Failure::usage(format!("`--leader` is {} m; 0 to 30 m makes sense", length.m()), None));
    }
    let (diameter, said) = spec.tippet_or_default().map_err(|error| refused(&error))?;
    assumptions.extend(said);
    Ok(Some(Leader { length: length.m(), diameter: diameter.m(), density: defaults::NYLON_KG_M3 }))
}

fn answer(
    args: &SinkArgs,
    catalog: &Catalog,
    fly: &Fly,
    asked: Asked,
    question: &Question,
) -> Result<Answer<SinkReport>, Failure> {
    let conditions = &asked.conditions;
    let wanted: Vec<State> = if args.conditions.states_state() { vec![conditions.state] } else { states(fly) };
    let jig = Jig { slack: question.slack, tolerance: question.tolerance };
    let mut warnings: Vec<Warning> = Vec::new();
    let mut descents = Vec::new();
    for state in wanted {
        let found = descend(fly, &Conditions { state, ..*conditions }, question)?;
        found.warnings.iter().for_each(|w| note_worst(&mut warnings, w.clone()));
        descents.push(descent_report(&found));
    }
    let (base, others) = other_waters(fly, conditions, jig)?;
    let error_budget = if args.explain { Some(budget_report(&budget(fly, conditions, jig)?)) } else { None };
    let body = SinkReport {
        descents,
        leader: question.leader.as_ref().map(LeaderReport::from),
        other_water: other_water_reports(&base, &others),
        error_budget,
    };
    let report = RecipeReport::predicted(fly, conditions, &asked.limits, asked.line, &catalog.currency);
    Ok(Answer::with_body("sink", body)
        .with_recipes(vec![report.noting(&warnings)])
        .assuming(asked.assumptions.into_iter().filter(|a| a.key != "state")))
}
