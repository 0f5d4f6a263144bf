//! `box`: which recipes to tie for some needs, how many of each, and what to buy.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output::{self, Destination};
use clap::Args;
use counterpoise::fly::Fly;
use counterpoise::fly_box::plan;
use counterpoise::fly_box::plan::BoxEffort;
use counterpoise::fly_box::spec::BoxOrder;
use counterpoise::quantity::Time;
use counterpoise::recipe_file::RecipeFile;
use counterpoise::report::box_files::box_files;
use counterpoise::report::depth_chart::depth_picture;
use counterpoise::report::fly_box::{BoxReport, box_report, box_table};
use counterpoise::report::page::box_page;
use counterpoise::report::shopping::shopping_csv;
use counterpoise::report::{ReportError, table};
use counterpoise::stock::StockFile;
use serde::Serialize;
use std::path::{Path, PathBuf};
use std::time::Duration;

const EXAMPLES: &str = "Examples:
  counterpoise box examples/boxes/two-days.yaml
  counterpoise box mybox.yaml --stock bench.yaml --chart depths.svg --save flies -o box.html
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
    /// Write the box as a page that opens on a phone and prints: each recipe told and drawn, depths, what to buy
    #[arg(long, short, value_name = "FILE.html")]
    output: Option<PathBuf>,
    /// Overwrite files
    #[arg(long)]
    force: bool,
    /// Stock file: what is on the bench already; in place of `owned` in the box file [default: that of the settings, where
    /// the box file has no `owned`]
    #[arg(long, value_name = "FILE", env = "COUNTERPOISE_STOCK", hide_env_values = true)]
    stock: Option<PathBuf>,
    /// Stop after this time, like 20s, with the best box so far and a bound on what any costs; Ctrl-C does the same
    #[arg(long, value_name = "TIME")]
    time_limit: Option<Time>,
    /// How far to look for a cheaper box, and for proof that there is none: 4 is four times as far, and takes as much longer
    #[arg(long, value_name = "TIMES", default_value_t = 1.0, value_parser = effort)]
    effort: f64,
}

/// What `box` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct BoxBody {
    #[serde(rename = "box")]
    planned: BoxReport,
}

/// Plans a box.
pub(crate) fn run(args: &BoxArgs, job: &Job) -> Result<Outcome, Failure> {
    let chart = args.chart.as_ref().map(|path| Destination::test(path, args.force, &["svg"])).transpose()?;
    let page = args.output.as_ref().map(|path| Destination::test(path, args.force, &["html"])).transpose()?;
    if let Some(folder) = &args.save {
        output::make_folder(folder)?;
    }
    let catalog = job.catalog()?;
    let mut order = BoxOrder::read_over(&job::open(&args.file)?, &catalog, &job.settings.usual())?;
    let states_owned = order.owned.iter().next().is_some();
    if let Some(path) = args.stock.as_ref().or(job.settings.stock.as_ref().filter(|_| !states_owned)) {
        if states_owned {
            let help = "keep one of them: `owned` in the box file, or the stock file".to_owned();
            return Err(Failure::usage("what is owned is given twice".to_owned(), Some(help)));
        }
        order.owned = StockFile::read(&job::open(path)?, &catalog)?.stock;
    }
    for need in &mut order.needs {
        need.target = job.settings.in_jar(need.target.clone())?;
    }
    let limit = args.time_limit.map(limit_of).transpose()?;
    let line = job.search_line(limit);
    let planned = plan(&order, &catalog, BoxEffort::times(args.effort), &line);
    drop(line);
    let report = box_report(&order, &planned, &catalog);
    let recipes = report.ties.iter().map(|tie| tie.recipe.clone()).collect();
    let answer =
        job.answer("box", BoxBody { planned: report }).with_recipes(recipes).assuming(order.assumptions.clone());
    job.print(
        &answer,
        |out| {
            box_table(out, &answer.body.planned)?;
            table::foot_of_file(out, &answer)
        },
        |out| shopping_csv(out, &answer.body.planned.shopping),
    )?;
    if let Some(file) = chart {
        let report = &answer.body.planned;
        let hangs = report.hangs_at_dots(|_| String::new());
        file.write(depth_picture(&report.chart, &report.name, &hangs).as_bytes())?;
        job.note(&format!("drew the depths into {}", file.path().display()));
    }
    if let Some(file) = page {
        let flies: Vec<&Fly> = planned.ties.iter().map(|tie| &tie.fly).collect();
        file.write(box_page(&answer, &answer.body.planned, &flies, &output::asked()).as_bytes())?;
        job.note(&format!("wrote {}", file.path().display()));
    }
    if let Some(folder) = &args.save {
        save(folder, args.force, &box_files(&order, &planned, &catalog), job)?;
    }
    Ok(match planned.complete() {
        true => Outcome::Met,
        false if planned.proof.stopped && !planned.proven_incomplete() => Outcome::Stopped,
        false => Outcome::NotMet,
    })
}

/// A factor of the usual effort.
fn effort(text: &str) -> Result<f64, String> {
    let factor = text.parse::<f64>().ok().filter(|factor| (0.01..=1e6).contains(factor));
    factor.ok_or_else(|| "give a factor from 0.01 to 1,000,000, like 4".to_owned())
}

/// A time after which to stop.
fn limit_of(time: Time) -> Result<Duration, Failure> {
    Duration::try_from_secs_f64(time.s())
        .map_err(|_| Failure::usage(format!("{time} is no time limit"), Some("give a time, like 20s".to_owned())))
}

/// Saves each recipe, once for each need that it is for.
fn save(folder: &Path, force: bool, files: &[(String, RecipeFile)], job: &Job) -> Result<(), Failure> {
    for (name, recipe) in files {
        let path = folder.join(format!("{name}.yaml"));
        output::save(&path, force, &recipe.text().map_err(ReportError::from)?)?;
    }
    let count = files.len();
    job.note(&format!("saved {count} recipe{} in {}", if count == 1 { "" } else { "s" }, folder.display()));
    Ok(())
}
