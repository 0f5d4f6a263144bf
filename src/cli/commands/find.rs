//! `find`: the cheapest recipes that meet a target.

use crate::args::{Format, SupplyArgs, TEMPLATE, TargetArgs, Wanted};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output::Destination;
use crate::progress::patience;
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::find::{Listing, Order, find, usual_floor};
use counterpoise::quantity::{Length, Microns, Time};
use counterpoise::report::find::{find_answer, find_table};
use counterpoise::report::{RecipeReport, ReportError, csv};
use counterpoise::search::rank::Variety;
use counterpoise::search::tariff::{PackTariff, Tariff};
use counterpoise::wanted::{Counted, ShareFloor, Target};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise find --size 8 --hang level
  counterpoise find --size 12 --style jig --hang 20deg --tolerance 8deg --pattern slim-nymph
  counterpoise find --size 6 --sink 6..10in/s --depth 2m --water 8C --lead-free
  counterpoise find target.yaml --only bead.material=brass --not foam.cut=eighth --top 3
  counterpoise find --size 8 --rank outlay --flies 12 --stock bench.yaml
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
    #[arg(long, help_heading = "List", value_name = "N", default_value_t = 5, value_parser = clap::value_parser!(u16).range(1..=1000))]
    top: u16,
    /// How different they are: every recipe, one for each set of parts, one for each bead, one for each idea of balancing
    #[arg(long, value_name = "every|parts|bead|idea", default_value = "parts",
          value_parser = ["every", "parts", "bead", "idea"],
          hide_possible_values = true, help_heading = "List")]
    variety: String,
    /// What comes first: cheapest material in one fly; cheapest outlay, whole packs to buy for --flies, less --stock; or
    /// the surest of the cheapest 200 that the variety leaves, 50 with one for each bead or idea
    #[arg(long, value_name = "material|outlay|chance", default_value = "material",
          value_parser = ["material", "outlay", "chance"], hide_possible_values = true, help_heading = "List")]
    rank: String,
    /// Least share of flies that come out right, trimmed in the jar where they can be; 0% asks for none. When not given:
    /// 80%, or none where the target takes a history in time (slack line, time to a depth, dive)
    #[arg(long, value_name = "SHARE", value_parser = share, help_heading = "List")]
    min_chance: Option<f64>,
    /// The share asked for is that of flies tied as written and left alone
    #[arg(long, help_heading = "List")]
    as_tied: bool,
    /// How many flies the outlay is for
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=100_000),
          help_heading = "List")]
    flies: u32,
    /// List the front instead: recipes that no other beats in cost, margin and sink rate at once
    #[arg(long, conflicts_with_all = ["top", "variety", "rank"], help_heading = "List")]
    front: bool,
    /// Centre each recipe on this finer step of foam length and wrap position, like 0.1mm
    #[arg(long, value_name = "LENGTH", help_heading = "List")]
    fine_step: Option<Length>,
    /// Stop after this time, like 10s, with the best so far and a bound on what is left; Ctrl-C does the same
    #[arg(long, value_name = "TIME", help_heading = "List")]
    time_limit: Option<Time>,
    /// Save a recipe to this file, for `predict` and the other commands
    #[arg(long, value_name = "FILE", help_heading = "List")]
    save: Option<PathBuf>,
    /// Which one to save
    #[arg(long, value_name = "RANK", default_value_t = 1, requires = "save", help_heading = "List")]
    save_rank: usize,
    /// Overwrite the file
    #[arg(long, requires = "save", help_heading = "List")]
    force: bool,
    #[command(flatten)]
    supply: SupplyArgs,
}

impl FindArgs {
    /// The share asked for.
    fn floor(&self, target: &Target) -> Option<ShareFloor> {
        let counted = if self.as_tied { Counted::AsTied } else { Counted::Trimmed };
        let usual = usual_floor(target).map_or(0.0, |floor| floor.least);
        let least = self.min_chance.unwrap_or(usual);
        (least > 0.0).then_some(ShareFloor { least, counted })
    }

    fn order(&self, catalog: &Catalog, wanted: &Wanted) -> Result<Order, Failure> {
        let (owned, allowance) = (self.supply.owned(catalog)?, self.supply.allowance()?);
        let fine_step = self.fine_step.map(|step| {
            Microns::from_length(step).ok().filter(|s| s.micrometres() > 0).ok_or_else(|| {
                Failure::usage(format!("--fine-step is {step}"), Some("a length above 0, like 0.1mm".to_owned()))
            })
        });
        Ok(Order {
            target: Target { share: self.floor(&wanted.target), ..wanted.target.clone() },
            tariff: match self.rank.as_str() {
                "outlay" => Tariff::Packs(PackTariff::new(self.flies, owned, allowance)),
                _ => Tariff::Material,
            },
            listing: match (self.front, self.rank.as_str()) {
                (true, _) => Listing::Front,
                (false, "chance") => Listing::Surest,
                _ => Listing::Cheapest,
            },
            top: usize::from(self.top),
            variety: Variety::ALL.into_iter().find(|v| v.word() == self.variety).unwrap_or_default(),
            fine_step: fine_step.transpose()?,
        })
    }
}

/// Finds recipes.
pub(crate) fn run(args: &FindArgs, job: &Job) -> Result<Outcome, Failure> {
    let save = args.save.as_ref().map(|path| Destination::test(path, args.force, &[])).transpose()?;
    if args.save_rank == 0 || (!args.front && args.save_rank > usize::from(args.top)) {
        let text = format!("--save-rank is {}; the list has at most {}", args.save_rank, args.top);
        return Err(Failure::usage(text, Some("--top makes the list longer".to_owned())));
    }
    let catalog = job.catalog()?;
    let wanted = args.target.or_file(args.file.as_ref()).resolve(&catalog)?;
    let order = args.order(&catalog, &wanted)?;
    let line = job.search_line(args.time_limit.map(patience));
    let found = find(&catalog, &order, &line);
    drop(line);
    let answer = job.with_origin(find_answer(&order, &found, &catalog, wanted.assumptions));
    if answer.recipes.is_empty() && job.format != Format::Table {
        job.note("nothing meets this target");
    }
    job.print(&answer, |out| find_table(out, &answer), |out| csv::recipes(out, &answer.recipes))?;
    if let Some(destination) = save {
        save_recipe(args, job, &answer.recipes, &destination)?;
    }
    Ok(match (answer.recipes.is_empty(), found.found.proven()) {
        (false, _) => Outcome::Met,
        (true, true) => Outcome::NotMet,
        (true, false) => Outcome::Stopped,
    })
}

/// Reads "80%" or "0.8".
fn share(text: &str) -> Result<f64, String> {
    let (number, scale) = text.strip_suffix('%').map_or((text, 1.0), |n| (n.trim_end(), 0.01));
    number
        .parse::<f64>()
        .map(|n| n * scale)
        .ok()
        .filter(|n| (0.0..=1.0).contains(n))
        .ok_or_else(|| format!("`{text}` is no share; write 80% or 0.8"))
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
    Ok(())
}
