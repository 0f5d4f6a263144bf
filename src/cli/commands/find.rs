//! `find`: the cheapest recipes that meet a target.

use crate::args::{FloorArgs, Format, SupplyArgs, TEMPLATE, TargetArgs, Wanted};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output::{Destination, asked};
use crate::progress::patience;
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::find::{Listing, Order, find, keep_to_bench, usual_step, usual_unsure};
use counterpoise::fly::Fly;
use counterpoise::purchase::Amounts;
use counterpoise::quantity::{Length, Microns, Time};
use counterpoise::report::find::{find_answer, find_table};
use counterpoise::report::page::find_page;
use counterpoise::report::{RecipeReport, ReportError, csv};
use counterpoise::search::rank::{Ranking, Variety};
use counterpoise::search::tariff::{PackTariff, Tariff};
use counterpoise::stock::{counts_dressings, on_bench, with_dressings};
use counterpoise::wanted::Assumption;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise find --size 8 --hang level
  counterpoise find --size 12 --style jig --hang 20deg --tolerance 8deg --pattern slim-nymph
  counterpoise find --size 8 --each-pattern fur-leech,chenille-body
  counterpoise find --size 6 --sink 6..10in/s --depth 2m --water 8C --lead-free
  counterpoise find target.yaml --only bead.material=brass --not foam.cut=eighth --top 3
  counterpoise find --size 8 --rank outlay --flies 12 --stock bench.yaml
  counterpoise find --size 8 --on-bench --stock bench.yaml
  counterpoise find --size 8 -o list.html
  counterpoise find --size 8 --save fly.yaml && counterpoise predict fly.yaml

";

/// Options of `find`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct FindArgs {
    /// Target file, `-` for standard input; flags win over it
    #[arg(value_name = "TARGET.yaml", conflicts_with = "target")]
    file: Option<PathBuf>,
    #[command(flatten)]
    target: TargetArgs,
    /// How many recipes to list
    #[arg(long, help_heading = "List", value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u16).range(1..=1000))]
    top: u16,
    /// How different they are: every recipe, one for each set of parts, one for each bead, one for each idea of balancing a fly.
    /// When not given: idea
    #[arg(long, value_name = "every|parts|bead|idea",
          value_parser = ["every", "parts", "bead", "idea"],
          hide_possible_values = true, help_heading = "List")]
    variety: Option<String>,
    /// What comes first: cheapest material in one fly; cheapest outlay, whole packs to buy for --flies, less --stock; or
    /// the surest, in classes of 5 of 100 flies that come out right, and of a class the cheapest
    #[arg(long, value_name = "material|outlay|chance", default_value = "material",
          value_parser = ["material", "outlay", "chance"], hide_possible_values = true, help_heading = "List")]
    rank: String,
    #[command(flatten)]
    floor: FloorArgs,
    /// Prices within one step of so much count as equal: the surer recipe comes first, then the steadier. 0.01 compares
    /// them to the cent. When not given: 0.05, or 0.01 with --rank chance and --front
    #[arg(hide_short_help = true, long, value_name = "MONEY", value_parser = price_step, help_heading = "List")]
    price_step: Option<i64>,
    /// A recipe of which fewer than 90 of 100 flies come out right counts so much dearer, so that a surer one comes first
    /// unless it costs more by as much; 0 compares what they cost. When not given: 0.10, or 0 over a range of depths
    #[arg(hide_short_help = true, long, value_name = "MONEY", value_parser = unsure, help_heading = "List")]
    unsure: Option<i64>,
    /// How many flies the outlay is for
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=100_000),
          help_heading = "List")]
    flies: u32,
    /// List cost against share instead: the cheapest recipe of which so many come out right, for each class of 5 of 100 from
    /// --min-chance on
    #[arg(hide_short_help = true, long, conflicts_with_all = ["top", "variety", "rank"], help_heading = "List")]
    front: bool,
    /// Centre each recipe on this finer step of foam length and wrap position, like 0.1mm
    #[arg(hide_short_help = true, long, value_name = "LENGTH", help_heading = "List")]
    fine_step: Option<Length>,
    /// Stop after this time, like 10s, with the best so far and a bound on what is left; Ctrl-C does the same
    #[arg(long, value_name = "TIME", help_heading = "List")]
    time_limit: Option<Time>,
    /// Save a recipe to this file, for `predict` and the other commands
    #[arg(long, value_name = "FILE", help_heading = "List")]
    save: Option<PathBuf>,
    /// Which one to save
    #[arg(
        hide_short_help = true,
        long,
        value_name = "RANK",
        default_value_t = 1,
        requires = "save",
        help_heading = "List"
    )]
    save_rank: usize,
    /// Write the answer as a page that opens on a phone and prints: each recipe told and drawn as it hangs
    #[arg(long, short, value_name = "FILE.html", help_heading = "List")]
    output: Option<PathBuf>,
    /// Overwrite files
    #[arg(long, help_heading = "List")]
    force: bool,
    /// Use only what --stock (or the settings) has: nothing is bought for --flies flies; the surest by its margin comes first
    #[arg(long, conflicts_with_all = ["rank", "front"], help_heading = "Stock")]
    on_bench: bool,
    #[command(flatten)]
    supply: SupplyArgs,
}

impl FindArgs {
    fn variety(&self) -> Variety {
        let said = self.variety.as_deref().and_then(|word| Variety::ALL.into_iter().find(|v| v.word() == word));
        said.unwrap_or_default()
    }

    fn order(&self, owned: Amounts, wanted: &Wanted) -> Result<Order, Failure> {
        let allowance = self.supply.allowance()?;
        let fine_step = self.fine_step.map(|step| {
            Microns::from_length(step).ok().filter(|s| s.micrometres() > 0).ok_or_else(|| {
                Failure::usage(format!("--fine-step is {step}"), Some("a length above 0, like 0.1mm".to_owned()))
            })
        });
        let listing = match (self.front, self.rank.as_str()) {
            (true, _) => Listing::Front,
            (false, "chance") => Listing::Surest,
            _ => Listing::Cheapest,
        };
        // On the bench what is free comes first, to the cent.
        let step = if self.on_bench { 1 } else { self.price_step.unwrap_or(usual_step(listing)) };
        Ok(Order {
            target: self.floor.asked(wanted.target.clone()),
            tariff: match self.rank == "outlay" || self.on_bench {
                true => Tariff::Packs(PackTariff::new(self.flies, owned, allowance)),
                false => Tariff::Material,
            },
            listing,
            ranking: Ranking {
                unsure: self.unsure.unwrap_or_else(|| usual_unsure(&wanted.target)),
                ..Ranking::surer_in_steps(step)
            },
            top: usize::from(self.top),
            variety: self.variety(),
            fine_step: fine_step.transpose()?,
        })
    }
}

/// The catalog to search, and what of it is owned.
fn supplies(args: &FindArgs, job: &Job) -> Result<(Catalog, Amounts), Failure> {
    let catalog = job.catalog()?;
    let owned = args.supply.owned(&catalog, job)?;
    if !args.on_bench {
        return Ok((catalog, owned));
    }
    if owned.iter().next().is_none() {
        let help = "--stock names a stock file; `counterpoise new stock` writes one to fill in".to_owned();
        return Err(Failure::usage("--on-bench needs to know what is on the bench", Some(help)));
    }
    Ok((on_bench(&catalog, &owned), owned))
}

/// What the stock was taken for, where one was named.
fn stock_words(args: &FindArgs, owned: &Amounts) -> Option<Assumption> {
    let text = match args.on_bench {
        true if counts_dressings(owned) => "only parts that are on the bench, and no more of them than there are",
        true => {
            "only parts that are on the bench, and no more of them than there are; the stock names no dressing, so there is \
             taken to be enough"
        }
        false if args.supply.names_stock() && args.rank != "outlay" => {
            "what is on the bench is not looked at: --on-bench keeps to it, --rank outlay counts it against what to buy"
        }
        false => return None,
    };
    Some(Assumption { key: "stock", text: text.to_owned() })
}

/// Finds recipes.
pub(crate) fn run(args: &FindArgs, job: &Job) -> Result<Outcome, Failure> {
    let save = args.save.as_ref().map(|path| Destination::test(path, args.force, &[])).transpose()?;
    let output = args.output.as_ref().map(|path| Destination::test(path, args.force, &["html"])).transpose()?;
    if args.save_rank == 0 || (!args.front && args.save_rank > usize::from(args.top)) {
        let text = format!("--save-rank is {}; the list has at most {}", args.save_rank, args.top);
        return Err(Failure::usage(text, Some("--top makes the list longer".to_owned())));
    }
    let (catalog, owned) = supplies(args, job)?;
    let wanted = args.target.or_file(args.file.as_ref()).resolve(&catalog, job)?;
    let counted = if args.on_bench { with_dressings(&owned, &catalog) } else { owned.clone() };
    let order = args.order(counted, &wanted)?;
    let line = job.search_line(args.time_limit.map(patience));
    let mut found = find(&catalog, &order, &line);
    drop(line);
    let short = match args.on_bench {
        true => keep_to_bench(&mut found, args.flies, args.supply.allowance()?, &owned),
        false => None,
    };
    let mut answer =
        job.with_origin(find_answer(&order, &found, &catalog, wanted.assumptions)).assuming(stock_words(args, &owned));
    if let Some(short) = short.filter(|_| answer.recipes.is_empty() && found.found.proven()) {
        answer.body.empty = Some(format!("For {} flies, {short}.", args.flies));
    }
    if answer.recipes.is_empty() && job.format != Format::Table {
        job.note("nothing meets this target");
    }
    job.print(&answer, |out| find_table(out, &answer), |out| csv::recipes(out, &answer.recipes))?;
    if let Some(file) = output {
        let flies: Vec<&Fly> = found.found.candidates.iter().map(|candidate| &candidate.fly).collect();
        file.write(find_page(&answer, &flies, &asked()).as_bytes())?;
        job.note(&format!("wrote {}", file.path().display()));
    }
    if let Some(destination) = save {
        save_recipe(args, job, &answer.recipes, &destination)?;
    }
    Ok(match (answer.recipes.is_empty(), found.found.proven()) {
        (false, _) => Outcome::Met,
        (true, true) => Outcome::NotMet,
        (true, false) => Outcome::Stopped,
    })
}

/// Reads a step of prices, like "0.05", in hundredths.
fn price_step(text: &str) -> Result<i64, String> {
    hundredths(text, 0.999)
        .ok_or_else(|| format!("`{text}` is no step of prices; write an amount from 0.01 on, like 0.05"))
}

/// Reads what an unsure recipe counts dearer, like "0.10", in hundredths.
fn unsure(text: &str) -> Result<i64, String> {
    hundredths(text, 0.0).ok_or_else(|| format!("`{text}` is no amount; write one from 0 on, like 0.10"))
}

/// Reads an amount of so many hundredths at least.
fn hundredths(text: &str, least: f64) -> Option<i64> {
    let cents = text.trim().parse::<f64>().map(|amount| amount * 100.0).ok();
    cents.filter(|cents| (least..=1e6).contains(cents)).map(|cents| cents.round() as i64)
}

fn save_recipe(args: &FindArgs, job: &Job, recipes: &[RecipeReport], to: &Destination) -> Result<(), Failure> {
    if recipes.is_empty() {
        job.note("nothing to save");
        return Ok(());
    }
    let Some(report) = args.save_rank.checked_sub(1).and_then(|at| recipes.get(at)) else {
        let text = format!("--save-rank is {}; the list has {}", args.save_rank, recipes.len());
        return Err(Failure::usage(text, Some("--top makes the list longer".to_owned())));
    };
    to.write(report.recipe.text().map_err(ReportError::from)?.as_bytes())?;
    job.note(&format!("saved recipe {} to {}", report.id, to.path().display()));
    let others: Vec<&str> =
        report.dressings.iter().map(|d| d.pattern.as_str()).filter(|id| *id != report.recipe.pattern).collect();
    if !others.is_empty() {
        let (own, others) = (&report.recipe.pattern, others.join(", "));
        job.note(&format!(
            "it is dressed in {own}; `--pattern` shows it in another ({others}), as in `card FILE --pattern ID`"
        ));
    }
    Ok(())
}
