//! `card`: all that is needed at the vice on one page.

use crate::args::{TEMPLATE, ViceArgs};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output::Destination;
use clap::Args;
use counterpoise::assess::predict;
use counterpoise::report::card::{CardReport, card_csv, card_report, card_table};
use counterpoise::report::card_picture::card_picture;
use counterpoise::report::page::{self, Page};
use counterpoise::report::recipe::ChanceReport;
use counterpoise::report::stages::{early_report, stage_report};
use counterpoise::report::vice::trim_report;
use counterpoise::report::words::hang_words;
use counterpoise::report::{RecipeReport, table};
use counterpoise::vice::Bench;
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise card fly.yaml
  counterpoise card fly.yaml --hang 15deg --depth 2m --draw card.svg

";

/// Options of `card`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct CardArgs {
    /// Draw the card into this SVG file: a page of A5, the fly at its true size
    #[arg(long, value_name = "FILE.svg")]
    draw: Option<PathBuf>,
    /// Write a page for the bench: .html opens on a phone and prints, .svg is a sheet of A5
    #[arg(long, short, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Overwrite files
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    vice: ViceArgs,
}

/// What `card` says besides the recipe.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct CardBody {
    card: CardReport,
}

/// Writes a bench card.
pub(crate) fn run(args: &CardArgs, job: &Job) -> Result<Outcome, Failure> {
    let draw = args.draw.as_ref().map(|path| Destination::test(path, args.force, &["svg"])).transpose()?;
    let output = args.output.as_ref().map(|path| Destination::test(path, args.force, &["html", "svg"])).transpose()?;
    let catalog = job.catalog()?;
    let mut vice = args.vice.resolve(&catalog, job)?;
    let prediction = predict(&vice.fly, &vice.target.conditions);
    if let Some(rest) = prediction.hang.rest().filter(|_| !vice.states_hang) {
        // A card is for tying what the recipe says.
        vice.target.hang = rest.angle;
        for assumption in vice.assumptions.iter_mut().filter(|a| a.key == "hang") {
            assumption.text = format!("wanted: {}, as the recipe hangs", hang_words(rest.angle.to_degrees()));
        }
    }
    let bench = Bench::new(vice.fly, &vice.target, vice.jar);
    let trim = bench.trim().map(trim_report);
    let views = bench.stages(&vice.draws);
    let stages = (views.iter().map(stage_report).collect(), early_report(&views, bench.trim(), &bench.shares()));
    let card = card_report(&bench, stages, trim, job.corrected());
    let report = RecipeReport::judged(&vice.fly, &vice.target, &catalog.currency).with_shares(bench.shares(), None);
    let answer = job
        .answer("card", CardBody { card })
        .with_recipes(vec![report])
        .assuming(vice.assumptions)
        .seeded(vice.draws.plan().seed);
    job.print(
        &answer,
        |out| {
            card_table(out, &answer.body.card)?;
            table::foot(out, &answer)
        },
        |out| card_csv(out, &answer.body.card),
    )?;
    if let Some(file) = draw {
        file.write(card_picture(&answer.body.card, &vice.fly, &answer.cautions).as_bytes())?;
        job.note(&format!("drew the card into {}", file.path().display()));
    }
    if let Some(file) = output {
        let jar = vice.jar.conditions();
        let assumed: Vec<String> = answer.assumptions.iter().map(|a| a.text.clone()).collect();
        let report = &answer.recipes[0];
        let cost = format!("{} {} of material for one fly", report.cost.per_fly, report.cost.currency);
        let shares = report.chance.as_ref().map(ChanceReport::told).unwrap_or_default();
        let page = Page {
            card: &answer.body.card,
            fly: &vice.fly,
            target: &vice.target,
            jar: &jar,
            cost: &cost,
            shares: &shares,
            cautions: &answer.cautions,
            assumed: &assumed,
        };
        let sheet = file.path().extension().is_some_and(|e| e.eq_ignore_ascii_case("svg"));
        let text = if sheet { card_picture(&answer.body.card, &vice.fly, &answer.cautions) } else { page::page(&page) };
        file.write(text.as_bytes())?;
        job.note(&format!("wrote {}", file.path().display()));
    }
    Ok(Outcome::Met)
}
