//! `stock`: what is on the bench, booking flies out, booking packs in.

use crate::args::{AllowanceArgs, Format, RecipeArgs, TEMPLATE};
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, Subcommand};
use counterpoise::catalog::Catalog;
use counterpoise::document::save::{PATIENCE, Turn};
use counterpoise::part::{Kind, PackUnit};
use counterpoise::purchase::{Amounts, PartId};
use counterpoise::quantity::Length;
use counterpoise::report::shopping::{ShortageLine, StockLine, stock_csv, stock_lines, stock_table};
use counterpoise::report::table;
use counterpoise::stock::{self, StockFile, with_packs};
use serde::Serialize;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "Examples:
  counterpoise stock add bead tungsten-3.5 --packs 1 --stock bench.yaml
  counterpoise stock add foam eva-cylinder-5mm --length 0.35m --stock bench.yaml
  counterpoise stock show --stock bench.yaml
  counterpoise stock take fly.yaml --flies 12 --stock bench.yaml

";

/// Options of `stock`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct StockArgs {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// List what is left
    #[command(help_template = TEMPLATE)]
    Show {
        #[command(flatten)]
        file: FileArg,
    },
    /// Book out what so many flies take; refuses to go below zero
    #[command(help_template = TEMPLATE)]
    Take {
        #[command(flatten)]
        recipe: RecipeArgs,
        /// How many flies
        #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100_000))]
        flies: u32,
        #[command(flatten)]
        file: FileArg,
        #[command(flatten)]
        allowance: AllowanceArgs,
        /// Say what would be left, and change nothing
        #[arg(long)]
        dry_run: bool,
    },
    /// Book in packs, pieces or a length; makes the file if there is none
    #[command(help_template = TEMPLATE)]
    Add {
        /// hook, bead, pin, wire, foam or dressing
        kind: String,
        /// Id
        id: String,
        #[command(flatten)]
        amount: AmountArg,
        #[command(flatten)]
        file: FileArg,
    },
}

#[derive(Debug, Args)]
struct FileArg {
    /// Stock file [default: that of the settings, if they name one]
    #[arg(long, value_name = "FILE", env = "COUNTERPOISE_STOCK", hide_env_values = true)]
    stock: Option<PathBuf>,
}

impl FileArg {
    fn path<'a>(&'a self, job: &'a Job) -> Result<&'a Path, Failure> {
        self.stock.as_deref().or(job.settings.stock.as_deref()).ok_or_else(|| {
            let help = "--stock names it, or `stock` in the settings; `counterpoise new stock` writes one to fill in";
            Failure::usage("which stock file?", Some(help.to_owned()))
        })
    }
}

#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
struct AmountArg {
    /// Packs, as the catalog sells them
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    packs: Option<u32>,
    /// Pieces (hooks, beads, pins, flies' worth of dressing)
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..=1_000_000))]
    count: Option<u32>,
    /// Length (wire, foam), like 0.35m
    #[arg(long, value_name = "LENGTH")]
    length: Option<Length>,
}

/// What `stock` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct StockBody {
    currency: String,
    /// What is left after the change.
    stock: Vec<StockLine>,
    /// Why nothing was taken, if nothing was.
    shortages: Vec<ShortageLine>,
    /// Whether the file was changed.
    changed: bool,
}

/// Shows or changes a stock.
pub(crate) fn run(args: &StockArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    match &args.action {
        Action::Show { file } => {
            let file = StockFile::read(&job::open(file.path(job)?)?, &catalog)?;
            print(job, &catalog, &file.stock, Vec::new(), false)?;
            Ok(Outcome::Met)
        }
        Action::Take { recipe, flies, file, allowance, dry_run } => {
            let document = recipe.read()?;
            let fly = document.resolve(&catalog)?;
            let needed = Amounts::of([(&fly, *flies)], allowance.allowance()?);
            take(job, &catalog, file.path(job)?, &needed, *dry_run)
        }
        Action::Add { kind, id, amount, file } => add(job, &catalog, kind, id, amount, file.path(job)?),
    }
}

fn take(job: &Job, catalog: &Catalog, path: &Path, needed: &Amounts, dry_run: bool) -> Result<Outcome, Failure> {
    let turn = Turn::wait(path, PATIENCE)?;
    let file = StockFile::read(&job::open(path)?, catalog)?;
    match stock::take(&file.stock, needed) {
        Ok(rest) => {
            if !dry_run {
                file.save(&turn, &rest, catalog)?;
                output::wrote(path);
            }
            print(job, catalog, &rest, Vec::new(), !dry_run)?;
            Ok(Outcome::Met)
        }
        Err(short) => {
            let shortages = short.shortages.iter().map(ShortageLine::from).collect();
            print(job, catalog, &file.stock, shortages, false)?;
            Ok(Outcome::NotMet)
        }
    }
}

fn add(
    job: &Job,
    catalog: &Catalog,
    kind: &str,
    id: &str,
    amount: &AmountArg,
    path: &Path,
) -> Result<Outcome, Failure> {
    let part = part(catalog, kind, id)?;
    let turn = Turn::wait(path, PATIENCE)?;
    let source = if path.exists() { Some(StockFile::read(&job::open(path)?, catalog)?) } else { None };
    let before = source.as_ref().map(|file| file.stock.clone()).unwrap_or_default();
    let more = added(catalog, &before, &part, amount)?;
    match source {
        Some(file) => file.save(&turn, &more, catalog)?,
        None => turn.replace(None, StockFile::fresh(&more).as_bytes())?,
    }
    drop(turn);
    output::wrote(path);
    print(job, catalog, &more, Vec::new(), true)?;
    Ok(Outcome::Met)
}

fn part(catalog: &Catalog, kind: &str, id: &str) -> Result<PartId, Failure> {
    let kind = Kind::ALL.into_iter().find(|k| k.word() == kind).ok_or_else(|| {
        let help = "hook, bead, pin, wire, foam or dressing".to_owned();
        Failure::usage(format!("`{kind}` is no kind of part"), Some(help))
    })?;
    if catalog.row(kind, id).is_none() {
        let help = match catalog.suggest(kind, id) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("`counterpoise catalog list {kind}` shows what there is"),
        };
        return Err(Failure::usage(format!("the catalog has no {kind} `{id}`"), Some(help)));
    }
    Ok(PartId::new(kind, id))
}

fn added(catalog: &Catalog, before: &Amounts, part: &PartId, amount: &AmountArg) -> Result<Amounts, Failure> {
    let counted = catalog.row(part.kind, &part.id).map(|row| matches!(row.pack.unit, PackUnit::Pieces(_)));
    let mut more = before.clone();
    match (amount, counted) {
        (AmountArg { packs: Some(packs), .. }, _) => {
            return Ok(with_packs(before, part, u64::from(*packs), catalog).unwrap_or(more));
        }
        (AmountArg { count: Some(count), .. }, Some(true)) => more.add(part.clone(), u64::from(*count)),
        (AmountArg { length: Some(length), .. }, Some(false)) if (0.0..=1e6).contains(&length.m()) => {
            more.add(part.clone(), (length.m() * 1e6).round() as u64);
        }
        (AmountArg { length: Some(length), .. }, Some(false)) => {
            return Err(Failure::usage(format!("--length is {length}; 0 to 1000 km makes sense"), None));
        }
        (_, Some(true)) => {
            return Err(Failure::usage(format!("{part} is counted"), Some("--count 12, or --packs 1".to_owned())));
        }
        _ => {
            return Err(Failure::usage(
                format!("{part} has a length"),
                Some("--length 0.35m, or --packs 1".to_owned()),
            ));
        }
    }
    Ok(more)
}

fn print(
    job: &Job,
    catalog: &Catalog,
    stock: &Amounts,
    shortages: Vec<ShortageLine>,
    changed: bool,
) -> Result<(), Failure> {
    let body = StockBody { currency: catalog.currency.clone(), stock: stock_lines(stock, catalog), shortages, changed };
    if !body.shortages.is_empty() && job.format == Format::Csv {
        job.note("the stock falls short; nothing was taken");
    }
    let answer = job.answer("stock", body);
    let body = &answer.body;
    job.print(
        &answer,
        |out| {
            if !body.shortages.is_empty() {
                writeln!(out, "the stock falls short; nothing was taken")?;
                for short in &body.shortages {
                    writeln!(out, "  - {}", short.words())?;
                }
                writeln!(out)?;
            }
            stock_table(out, &body.stock, &body.currency)?;
            table::foot(out, &answer)
        },
        |out| stock_csv(out, &body.stock, &body.currency),
    )
}
