//! `shop`: what to buy for recipes that are chosen already.

use crate::args::{SupplyArgs, TEMPLATE, refused};
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use clap::Args;
use counterpoise::purchase::{Amounts, ShoppingList};
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::report::recipe::MISFIT;
use counterpoise::report::shopping::{ShoppingReport, shopping_csv, shopping_table};
use counterpoise::report::{RecipeReport, table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise shop fly.yaml --flies 12
  counterpoise shop fly.yaml other.yaml --flies 12,6 --stock bench.yaml
  counterpoise shop fly.yaml --flies 12 --format csv > list.csv

";

/// Options of `shop`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct ShopArgs {
    /// Recipe files, or answers in JSON or YAML that hold recipes
    #[arg(required = true, value_name = "RECIPE.yaml")]
    files: Vec<PathBuf>,
    /// How many of each: one number for all, or one for each file, like 12,6
    #[arg(long, value_name = "N", value_delimiter = ',', required = true,
          value_parser = clap::value_parser!(u32).range(1..=100_000))]
    flies: Vec<u32>,
    /// Which recipe of an answer [default: its first]
    #[arg(long, value_name = "RANK")]
    rank: Option<usize>,
    #[command(flatten)]
    supply: SupplyArgs,
}

/// What `shop` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct ShopBody {
    shopping: ShoppingReport,
}

/// Writes the shopping list.
pub(crate) fn run(args: &ShopArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let allowance = args.supply.allowance()?;
    let owned = args.supply.owned(&catalog, job)?;
    if args.flies.len() != 1 && args.flies.len() != args.files.len() {
        let text = format!("--flies has {} numbers for {} recipes", args.flies.len(), args.files.len());
        return Err(Failure::usage(text, Some("give one number for all, or one for each recipe".to_owned())));
    }
    let documents: Vec<RecipeDocument> = job::open_all(&args.files)?
        .iter()
        .map(|source| RecipeDocument::ranked(source, args.rank))
        .collect::<Result<_, _>>()?;
    let flies = documents.iter().map(|d| d.resolve(&catalog)).collect::<Result<Vec<_>, _>>()?;
    let count = |i: usize| args.flies.get(i).or(args.flies.first()).copied().unwrap_or(1);
    let needed = Amounts::of(flies.iter().enumerate().map(|(i, fly)| (fly, count(i))), allowance);
    let shopping = ShoppingReport::from(&ShoppingList::new(&needed, &owned, &catalog));
    let recipes = documents.iter().zip(&flies).enumerate().map(|(i, (document, fly))| {
        let stated = document.conditions().at_the_deep_end();
        let (conditions, _) = stated.conditions_or_default().map_err(|e| refused(&e))?;
        let limits = stated.limits_or_default().map_err(|e| refused(&e))?;
        let line = stated.line_or_default().map_err(|e| refused(&e))?;
        Ok(RecipeReport::predicted(fly, &conditions, &limits, line, &catalog.currency).ranked(i + 1))
    });
    let recipes = recipes.collect::<Result<Vec<_>, Failure>>()?;
    let mut answer = job.answer("shop", ShopBody { shopping }).with_recipes(recipes);
    // What the recipes do is not asked here.
    answer.warnings.retain(|notice| notice.code == MISFIT);
    let shopping = &answer.body.shopping;
    job.print(
        &answer,
        |out| {
            shopping_table(out, shopping)?;
            table::foot(out, &answer)
        },
        |out| shopping_csv(out, shopping),
    )?;
    Ok(Outcome::Met)
}
