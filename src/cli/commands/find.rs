//! `find`: the cheapest recipes that meet a target.

use crate::args::{Format, SupplyArgs, TEMPLATE, TargetArgs, Wanted};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output;
use crate::progress::SearchLine;
use clap::Args;
use counterpoise::assess::predict;
use counterpoise::catalog::Catalog;
use counterpoise::physics::warning::Warning;
use counterpoise::quantity::{Length, Microns, Time};
use counterpoise::recipe_file::{ConditionsEntry, RecipeFile};
use counterpoise::report::cautions::cautions;
use counterpoise::report::{
    Answer, ExplanationReport, Figure, ReportError, SearchReport, csv, explanation_report, merged_warnings,
    recipe_report, table,
};
use counterpoise::search::explain::explain;
use counterpoise::search::pareto::front;
use counterpoise::search::rank::{Candidate, Variety};
use counterpoise::search::refine::centred;
use counterpoise::search::tariff::{PackTariff, Tariff};
use counterpoise::search::{Found, Wish, search, search_by};
use counterpoise::spread::chance::{Chance, chance};
use counterpoise::spread::draws::{Draws, Plan};
use counterpoise::wanted::{Assumption, Target};
use serde::Serialize;
use std::path::PathBuf;
use std::time::Duration;

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
    /// How different they are: every recipe, one for each set of parts, one for each bead
    #[arg(long, value_name = "every|parts|bead", default_value = "parts", value_parser = ["every", "parts", "bead"],
          hide_possible_values = true, help_heading = "List")]
    variety: String,
    /// What comes first: cheapest material in one fly; cheapest outlay, whole packs to buy for --flies, less --stock; or
    /// the best chance among the cheapest 200 that the variety leaves, 50 with one for each bead
    #[arg(long, value_name = "material|outlay|chance", default_value = "material",
          value_parser = ["material", "outlay", "chance"], hide_possible_values = true, help_heading = "List")]
    rank: String,
    /// Leave out recipes of which fewer flies, tied within the spreads, meet the whole target, like 80%; asked of the
    /// cheapest 200 that the variety leaves, 50 with one for each bead
    #[arg(long, value_name = "SHARE", value_parser = share, help_heading = "List")]
    min_chance: Option<f64>,
    /// Seed of the flies that are drawn for the chance
    #[arg(long, value_name = "N", default_value_t = Plan::default().seed, help_heading = "List")]
    seed: u64,
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
    /// How many of the cheapest are asked for their chance when the chance decides. Different beads are few: to list many
    /// of them, the search has to look far.
    fn pool(&self) -> usize {
        if self.variety == Variety::Bead.word() { 50 } else { 200 }
    }

    fn asks_for_chance(&self) -> bool {
        self.min_chance.is_some() || self.rank == "chance"
    }

    fn tariff(&self, catalog: &Catalog) -> Result<Tariff, Failure> {
        let (owned, allowance) = (self.supply.owned(catalog)?, self.supply.allowance()?);
        Ok(match self.rank.as_str() {
            "outlay" => Tariff::Packs(PackTariff::new(self.flies, owned, allowance)),
            _ => Tariff::Material,
        })
    }
}

/// Finds recipes.
pub(crate) fn run(args: &FindArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let wanted = args.target.or_file(args.file.as_ref()).resolve(&catalog)?;
    let tariff = args.tariff(&catalog)?;
    let line = job.search_line(args.time_limit.map(|t| Duration::from_secs_f64(t.s())));
    let mut found = if args.front {
        front_of(&catalog, &wanted.target, &line)
    } else {
        best(args, &catalog, &wanted, &tariff, &line)
    };
    centre(args, &wanted.target, &tariff, &mut found)?;
    drop(line);
    let some = !found.candidates.is_empty();
    let (chances, best_chance) = by_chance(args, &wanted.target, &mut found);
    save(args, job, &wanted, &found)?;
    let mut answer =
        answer(&catalog, &wanted, &tariff, &found, &chances, (some, args.asks_for_chance().then(|| args.pool())), job);
    job.say_calibration(&mut answer);
    if found.candidates.is_empty() && job.format != Format::Table {
        job.note("nothing meets this target");
    }
    job.print(
        &answer,
        |out| {
            if let Some(explanation) = &answer.body.explanation {
                table::explanation(out, explanation)?;
            } else if some && answer.recipes.is_empty() {
                let (best, pool) = (best_chance.unwrap_or_default() * 100.0, args.pool());
                writeln!(
                    out,
                    "Recipes meet the target, but none of the cheapest {pool} has the chance asked for: the best has {best:.0} %.\n\
                     A wider --tolerance helps; so does trimming in the jar, which `stages` counts."
                )?;
            } else if answer.recipes.is_empty() {
                writeln!(out, "Nothing was found before the search was stopped.")?;
            }
            table::recipes(out, &answer.recipes)?;
            table::foot(out, &answer)
        },
        |out| csv::recipes(out, &answer.recipes),
    )?;
    Ok(if found.candidates.is_empty() { Outcome::NotMet } else { Outcome::Met })
}

fn best<'a>(args: &FindArgs, catalog: &'a Catalog, wanted: &Wanted, tariff: &Tariff, line: &SearchLine) -> Found<'a> {
    let variety = Variety::ALL.into_iter().find(|v| v.word() == args.variety).unwrap_or_default();
    let top = usize::from(args.top);
    let top = if args.asks_for_chance() { top.max(args.pool()) } else { top };
    search_by(catalog, &wanted.target, tariff, Wish { top, variety }, line)
}

/// The chance of each recipe; where the chance decides, those that have enough of it, the best first if so ranked. And the
/// best chance of all that were asked.
fn by_chance(args: &FindArgs, target: &Target, found: &mut Found) -> (Vec<Chance>, Option<f64>) {
    let draws = Draws::new(Plan { seed: args.seed, ..Plan::default() });
    let mut list: Vec<(Candidate, Chance)> =
        found.candidates.iter().map(|c| (*c, chance(&c.fly, target, &draws))).collect();
    let best = list.iter().map(|(_, chance)| chance.probability).reduce(f64::max);
    if let Some(least) = args.min_chance {
        list.retain(|(_, chance)| chance.probability >= least);
    }
    if args.rank == "chance" {
        // A stable sort: at equal chance the cheaper one stays first.
        list.sort_by(|a, b| b.1.probability.total_cmp(&a.1.probability));
    }
    if args.asks_for_chance() {
        list.truncate(usize::from(args.top));
    }
    let (candidates, chances) = list.into_iter().unzip();
    found.candidates = candidates;
    (chances, best)
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

/// The front, with the certificate of the search for its cheapest recipe.
fn front_of<'a>(catalog: &'a Catalog, target: &Target, line: &SearchLine) -> Found<'a> {
    let mut found = search(catalog, target, Wish { top: 1, variety: Variety::Every }, line);
    let (points, whole) = front(catalog, target, line);
    found.candidates = points.iter().map(|p| p.candidate).collect();
    if !whole {
        found.tally.unexplored = found.tally.unexplored.max(1);
    }
    found
}

fn centre(args: &FindArgs, target: &Target, tariff: &Tariff, found: &mut Found) -> Result<(), Failure> {
    let Some(step) = args.fine_step else { return Ok(()) };
    let step = Microns::from_length(step).ok().filter(|s| s.micrometres() > 0).ok_or_else(|| {
        Failure::usage(format!("--fine-step is {step}"), Some("a length above 0, like 0.1mm".to_owned()))
    })?;
    for candidate in &mut found.candidates {
        *candidate = centred(candidate, target, tariff, step);
    }
    Ok(())
}

/// What `find` says besides its recipes.
#[derive(Debug, Serialize)]
struct FindBody {
    /// Why there are none, if there are none.
    explanation: Option<ExplanationReport>,
}

fn answer(
    catalog: &Catalog,
    wanted: &Wanted,
    tariff: &Tariff,
    found: &Found,
    chances: &[Chance],
    (some, asked): (bool, Option<usize>),
    job: &Job,
) -> Answer<FindBody> {
    let conditions = &wanted.target.conditions;
    let explanation = (!some && found.proven()).then(|| {
        let explanation = explain(catalog, &wanted.target, &job.search_line(None));
        explanation_report(&explanation, &wanted.target, catalog)
    });
    let mut answer = Answer::with_body("find", FindBody { explanation });
    let mut warnings: Vec<Vec<Warning>> = Vec::new();
    for (i, (candidate, chance)) in found.candidates.iter().zip(chances).enumerate() {
        let prediction = predict(&candidate.fly, conditions);
        let mut report = recipe_report(&candidate.fly, conditions, &prediction, &catalog.currency);
        report.rank = i + 1;
        report.cost.outlay = (!tariff.is_material()).then_some(candidate.price);
        report.chance = Some(chance.into());
        report.margin = Some(Figure(candidate.judgement.margin));
        answer.recipes.push(report);
        warnings.push(prediction.warnings);
    }
    answer.assumptions.clone_from(&wanted.assumptions);
    if let Some(Chance { plan, .. }) = chances.first() {
        let text =
            format!("chance by {} flies drawn from the spreads of catalog and tying, seed {}", plan.samples, plan.seed);
        answer.assumptions.push(Assumption { key: "seed", text });
    }
    if let Some(pool) = asked {
        let text =
            format!("the chance is asked of the cheapest {pool} that the variety leaves; a dearer one may have more");
        answer.assumptions.push(Assumption { key: "variety", text });
    }
    answer.search = Some(SearchReport::from(found));
    answer.warnings = merged_warnings(warnings.iter().map(Vec::as_slice));
    answer.cautions = cautions(found.candidates.iter().map(|c| &c.fly));
    answer
}

fn save(args: &FindArgs, job: &Job, wanted: &Wanted, found: &Found) -> Result<(), Failure> {
    let Some(path) = &args.save else { return Ok(()) };
    if found.candidates.is_empty() && job.format != Format::Table {
        job.note("nothing to save");
        return Ok(());
    }
    let Some(candidate) = args.save_rank.checked_sub(1).and_then(|at| found.candidates.get(at)) else {
        let text = format!("--save-rank is {}; the list has {}", args.save_rank, found.candidates.len());
        return Err(Failure::usage(text, Some("--top makes the list longer".to_owned())));
    };
    let target = &wanted.target;
    let mut file = RecipeFile::from(&candidate.fly.recipe());
    file.conditions = Some(ConditionsEntry::new(&target.conditions, &target.limits));
    let text = file.text().map_err(ReportError::from)?;
    output::save(path, args.force, &text)?;
    job.note(&format!("saved recipe {} to {}", candidate.fly.recipe().id(), path.display()));
    Ok(())
}
