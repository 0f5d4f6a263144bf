//! `box`: which recipes to tie for some needs, how many of each, and what to buy.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::fly_box::plan::{BoxEffort, BoxPlan, plan};
use counterpoise::fly_box::spec::BoxOrder;
use counterpoise::recipe_file::{ConditionsEntry, RecipeFile};
use counterpoise::report::cautions::cautions;
use counterpoise::report::depth_chart::depth_picture;
use counterpoise::report::fly_box::{BoxReport, box_report, box_table};
use counterpoise::report::shopping::shopping_csv;
use counterpoise::report::{Answer, ReportError, table};
use counterpoise::stock::StockFile;
use serde::Serialize;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "Examples:
  counterpoise box examples/boxes/two-days.yaml
  counterpoise box mybox.yaml --stock bench.yaml --chart depths.svg --save flies
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
    /// Save each recipe into this folder, as ID.yaml, for `predict`, `stages`, `stock take`
    #[arg(long, value_name = "FOLDER")]
    save: Option<PathBuf>,
    /// Overwrite files
    #[arg(long)]
    force: bool,
    /// Stock file: what is on the bench already; in place of `owned` in the box file
    #[arg(long, value_name = "FILE")]
    stock: Option<PathBuf>,
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
    let mut order = BoxOrder::read(&job::open(&args.file)?, &catalog)?;
    if let Some(path) = &args.stock {
        if order.owned.iter().next().is_some() {
            let help = "keep one of them: `owned` in the box file, or the stock file".to_owned();
            return Err(Failure::usage("what is owned is given twice".to_owned(), Some(help)));
        }
        order.owned = StockFile::read(&job::open(path)?, &catalog)?.stock;
    }
    let line = job.search_line(None);
    let planned = plan(&order, &catalog, BoxEffort::default(), &line);
    drop(line);
    let report = box_report(&order, &planned, &catalog);
    if let Some(path) = &args.chart {
        output::save(path, args.force, &depth_picture(&report.chart, &report.name))?;
        job.note(&format!("drew the depths into {}", path.display()));
    }
    if let Some(folder) = &args.save {
        save(folder, args.force, &planned, &order, job)?;
    }
    let mut answer = Answer::with_body("box", BoxBody { planned: report });
    answer.recipes = answer.body.planned.ties.iter().map(|tie| tie.recipe.clone()).collect();
    answer.assumptions.clone_from(&order.assumptions);
    answer.cautions = cautions(planned.ties.iter().map(|tie| &tie.fly));
    job.say_calibration(&mut answer);
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

/// Saves each recipe with the conditions of the first need that it is for.
fn save(folder: &Path, force: bool, planned: &BoxPlan, order: &BoxOrder, job: &Job) -> Result<(), Failure> {
    for tie in &planned.ties {
        let mut file = RecipeFile::from(&tie.fly.recipe());
        let need = order.needs.iter().zip(&tie.flies).find(|(_, flies)| **flies > 0);
        file.conditions = need.map(|(need, _)| ConditionsEntry::new(&need.target.conditions, &need.target.limits));
        let path = folder.join(format!("{}.yaml", tie.fly.recipe().id()));
        output::save(&path, force, &file.text().map_err(ReportError::from)?)?;
    }
    job.note(&format!("saved {} recipes in {}", planned.ties.len(), folder.display()));
    Ok(())
}
