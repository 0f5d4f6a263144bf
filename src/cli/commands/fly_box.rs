//! `box`: which recipes to tie for some needs, how many of each, and what to buy.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::fly_box::plan::{BoxEffort, plan};
use counterpoise::fly_box::spec::BoxOrder;
use counterpoise::report::cautions::cautions;
use counterpoise::report::depth_chart::depth_picture;
use counterpoise::report::fly_box::{BoxReport, box_report, box_table};
use counterpoise::report::shopping::shopping_csv;
use counterpoise::report::{Answer, table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise box examples/boxes/two-days.yaml
  counterpoise box mybox.yaml --chart depths.svg
  counterpoise box mybox.yaml --format csv > shopping.csv

";

/// Options of `box`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct BoxArgs {
    /// Box file, `-` for standard input
    #[arg(value_name = "BOX.yaml")]
    file: PathBuf,
    /// Draw which fly is for which depth into this SVG file
    #[arg(long, value_name = "FILE.svg")]
    chart: Option<PathBuf>,
    /// Overwrite the file
    #[arg(long, requires = "chart")]
    force: bool,
}

/// What `box` says.
#[derive(Debug, Serialize)]
struct BoxBody {
    #[serde(rename = "box")]
    planned: BoxReport,
}

/// Plans a box.
pub(crate) fn run(args: &BoxArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let order = BoxOrder::read(&job::open(&args.file)?, &catalog)?;
    let line = job.search_line(None);
    let planned = plan(&order, &catalog, BoxEffort::default(), &line);
    drop(line);
    let report = box_report(&order, &planned, &catalog);
    if let Some(path) = &args.chart {
        output::save(path, args.force, &depth_picture(&report.chart, &report.name))?;
        job.note(&format!("drew the depths into {}", path.display()));
    }
    let mut answer = Answer::with_body("box", BoxBody { planned: report });
    answer.recipes = answer.body.planned.ties.iter().map(|tie| tie.recipe.clone()).collect();
    answer.assumptions.clone_from(&order.assumptions);
    answer.cautions = cautions(planned.ties.iter().map(|tie| &tie.fly));
    job.print(
        &answer,
        |out| {
            box_table(out, &answer.body.planned)?;
            table::foot_of_file(out, &answer)
        },
        |out| shopping_csv(out, &answer.body.planned.shopping),
    )?;
    Ok(if planned.complete() { Outcome::Met } else { Outcome::NotMet })
}
