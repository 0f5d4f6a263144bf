//! `compare`: materials side by side on one target, or one recipe with parts swapped.

use crate::args::{FloorArgs, SupplyArgs, TEMPLATE, TargetArgs, read_recipe};
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use crate::output::{Destination, asked};
use crate::progress::patience;
use clap::Args;
use counterpoise::compare::swap::{Swap, SwapError};
use counterpoise::compare::{SideResult, combinations, compare, ranking};
use counterpoise::document::closest;
use counterpoise::fly::{Fly, UnknownPart, first_misfit};
use counterpoise::part::Kind;
use counterpoise::quantity::Time;
use counterpoise::report::compare::{
    CompareReport, SwapRefusal, SwapReport, compare_csv, compare_report, compare_table, swap_csv, swap_report,
    swap_table,
};
use counterpoise::report::find::step_words;
use counterpoise::report::page::{compare_page, swap_page};
use counterpoise::report::table;
use counterpoise::search::tariff::{PackTariff, Tariff};
use counterpoise::wanted::{Assumption, Facet, FilterError, Target};
use serde::Serialize;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "Examples:
  counterpoise compare --size 12 --style jig --pattern slim-nymph --by bead.material
  counterpoise compare target.yaml --by foam.cut --by bead.mount
  counterpoise compare --size 8 --by bead --only bead.material=brass --rank outlay --flies 12
  counterpoise compare --recipe fly.yaml --swap bead=all -o swaps.html
  counterpoise compare --recipe fly.yaml --swap wire=none --swap foam=eva-strip-2x3mm

";

/// Options of `compare`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct CompareArgs {
    /// Target file, `-` for standard input; flags win over it
    #[arg(value_name = "TARGET.yaml", conflicts_with = "target")]
    file: Option<PathBuf>,
    /// What to compare, as in --only: bead.material, foam, wire.size, hook.style, bead.mount; twice for a grid
    #[arg(
        long,
        value_name = "KIND.ATTRIBUTE",
        required_unless_present = "recipe",
        conflicts_with = "recipe",
        help_heading = "Compare"
    )]
    by: Vec<String>,
    /// Compare swaps in this recipe instead; conditions and target may be given too
    #[arg(long, value_name = "RECIPE.yaml", requires = "swap", conflicts_with = "file", help_heading = "Compare")]
    recipe: Option<PathBuf>,
    /// Swap one part and leave all else: bead=ID, wire=none, foam=all (repeatable, one row each)
    #[arg(long, value_name = "KIND=ID", requires = "recipe", help_heading = "Compare")]
    swap: Vec<String>,
    /// What is cheap: material in one fly [default], or outlay: whole packs to buy for --flies, less --stock. With
    /// --recipe: which recipe of an answer
    #[arg(long, value_name = "material|outlay|N", help_heading = "Compare")]
    rank: Option<String>,
    /// How many flies the outlay is for
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u32).range(1..=100_000),
          help_heading = "Compare")]
    flies: u32,
    /// Stop after this time, like 30s, with what is known by then; Ctrl-C does the same
    #[arg(long, value_name = "TIME", help_heading = "Compare")]
    time_limit: Option<Time>,
    /// Write the answer as a page that opens on a phone and prints: each recipe told and drawn as it hangs
    #[arg(long, short, value_name = "FILE.html", help_heading = "Compare")]
    output: Option<PathBuf>,
    /// Overwrite files
    #[arg(long, help_heading = "Compare")]
    force: bool,
    #[command(flatten)]
    target: TargetArgs,
    #[command(flatten)]
    floor: FloorArgs,
    #[command(flatten)]
    supply: SupplyArgs,
}

/// Most options that are compared at once.
const MOST_OPTIONS: usize = 200;

/// What `compare --by` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct CompareBody {
    compared: CompareReport,
}

/// What `compare --swap` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct SwapBody {
    swapped: SwapReport,
}

/// Compares.
pub(crate) fn run(args: &CompareArgs, job: &Job) -> Result<Outcome, Failure> {
    output(args)?;
    match &args.recipe {
        Some(path) => swap(args, path, job),
        None => by(args, job),
    }
}

fn by(args: &CompareArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let wanted = args.target.or_file(args.file.as_ref()).resolve(&catalog, job)?.in_one_dressing()?;
    let facets = facets(&args.by)?;
    let tariff = match args.rank.as_deref() {
        Some("outlay") => {
            Tariff::Packs(PackTariff::new(args.flies, args.supply.owned(&catalog, job)?, args.supply.allowance()?))
        }
        None | Some("material") => Tariff::Material,
        Some(word) => {
            return Err(Failure::usage(format!("--rank is `{word}`"), Some("material or outlay".to_owned())));
        }
    };
    let wrong = |error: FilterError| Failure::usage(error.to_string(), error.remedy());
    let options = combinations(&catalog, &wanted.target, &facets).map_err(wrong)?.len();
    if options > MOST_OPTIONS {
        let text = format!("that is {options} options; at most {MOST_OPTIONS} are compared at once");
        return Err(Failure::usage(
            text,
            Some("compare one attribute, or a coarser one, like bead.material".to_owned()),
        ));
    }
    let target = args.floor.asked(wanted.target);
    let line = job.search_line(args.time_limit.map(patience));
    let sides = compare(&catalog, &target, &facets, &tariff, &line).map_err(wrong)?;
    drop(line);
    let (report, recipes) = compare_report(&sides, &facets, &catalog, &tariff);
    let counted = counted(&target).into_iter().chain(ranked(&target));
    let unknown = sides.iter().any(|side| matches!(side.result, SideResult::Stopped));
    let answer = job
        .answer("compare", CompareBody { compared: report })
        .with_recipes(recipes)
        .assuming(wanted.assumptions)
        .assuming(counted);
    let body = &answer.body.compared;
    let flies = sides.iter().filter_map(|side| match &side.result {
        SideResult::Best { candidate, .. } => Some(&candidate.fly),
        _ => None,
    });
    let flies: Vec<&Fly> = flies.collect();
    let page = output(args)?.map(|file| (file, compare_page(&answer, body, &flies, &asked())));
    job.print(
        &answer,
        |out| {
            compare_table(out, body, &answer.recipes)?;
            table::foot(out, &answer)
        },
        |out| compare_csv(out, body, &answer.recipes),
    )?;
    write_page(page, job)?;
    Ok(match (answer.recipes.is_empty(), unknown) {
        (false, _) => Outcome::Met,
        (true, false) => Outcome::NotMet,
        (true, true) => Outcome::Stopped,
    })
}

fn facets(words: &[String]) -> Result<Vec<Facet>, Failure> {
    if words.len() > 2 {
        let help = "two make a grid; hold a third with --only".to_owned();
        return Err(Failure::usage(format!("--by is given {} times", words.len()), Some(help)));
    }
    let facets = words.iter().map(|word| Facet::parse(word)).collect::<Result<Vec<_>, _>>();
    let facets = facets.map_err(|error| Failure::usage(error.to_string(), error.remedy()))?;
    if let [a, b] = facets.as_slice()
        && a == b
    {
        return Err(Failure::usage(format!("--by {} is given twice", a.text), None));
    }
    Ok(facets)
}

/// The page to write, if one is wanted.
fn output(args: &CompareArgs) -> Result<Option<Destination>, Failure> {
    args.output.as_ref().map(|path| Destination::test(path, args.force, &["html"])).transpose()
}

fn write_page(page: Option<(Destination, String)>, job: &Job) -> Result<(), Failure> {
    let Some((file, text)) = page else { return Ok(()) };
    file.write(text.as_bytes())?;
    job.note(&format!("wrote {}", file.path().display()));
    Ok(())
}

/// What the share beside each recipe counts, and how much of it is asked.
fn counted(target: &Target) -> Vec<Assumption> {
    let text = "chance: share of flies that come out right, trimmed in the jar where they can be".to_owned();
    let asked = target.share.map(|floor| Assumption { key: "min-chance", text: floor.to_string() });
    std::iter::once(Assumption { key: table::WORKED_OUT, text }).chain(asked).collect()
}

/// How the recipes of one option are put in order.
fn ranked(target: &Target) -> Option<Assumption> {
    step_words(ranking(target)).map(|text| Assumption { key: "price-step", text })
}

fn swap(args: &CompareArgs, path: &Path, job: &Job) -> Result<Outcome, Failure> {
    let rank = match args.rank.as_deref().map(|word| (word, word.parse::<usize>())) {
        None => None,
        Some((_, Ok(rank))) => Some(rank),
        Some((word, Err(_))) => {
            let help = "with --recipe it is the place of a recipe in an answer, like 2".to_owned();
            return Err(Failure::usage(format!("--rank is `{word}`"), Some(help)));
        }
    };
    let catalog = job.catalog()?;
    let document = read_recipe(path, rank)?;
    let fly = document.resolve(&catalog)?;
    let recipe = document.recipe();
    let wanted = args.target.for_recipe(&document, &catalog, job)?.in_one_dressing()?;
    let mut flies = vec![(String::new(), fly)];
    let mut cannot = Vec::new();
    for text in &args.swap {
        let swaps = Swap::parse(text, recipe, &catalog).map_err(|error| refused(&error))?;
        let one = swaps.len() == 1;
        for swap in swaps {
            let name = format!("{}={}", swap.kind, swap.id.as_deref().unwrap_or("none"));
            match swap.apply(recipe, &catalog) {
                // A misspelled id is a wrong option; of `all` every id is known.
                Err(error) if one => return Err(refused(&error)),
                Err(error) => cannot.push(SwapRefusal { swap: name, why: error.to_string() }),
                Ok(fly) => match first_misfit(&fly, &wanted.target.limits) {
                    Some(misfit) => cannot.push(SwapRefusal { swap: name, why: misfit.to_string() }),
                    None => flies.push((name, fly)),
                },
            }
        }
    }
    let target = args.floor.asked(wanted.target);
    let (report, recipes) = swap_report(&flies, cannot, &target, &catalog.currency);
    let some = report.rows.len() > 1;
    let answer = job
        .answer("compare", SwapBody { swapped: report })
        .with_recipes(recipes)
        .assuming(wanted.assumptions)
        .assuming(counted(&target));
    let body = &answer.body.swapped;
    let flies: Vec<&Fly> = flies.iter().map(|(_, fly)| fly).collect();
    let page = output(args)?.map(|file| (file, swap_page(&answer, body, &flies, &asked())));
    job.print(
        &answer,
        |out| {
            table::tying_lines(out, &answer.recipes[0])?;
            writeln!(out)?;
            swap_table(out, body, &answer.recipes)?;
            table::foot(out, &answer)
        },
        |out| swap_csv(out, body, &answer.recipes),
    )?;
    write_page(page, job)?;
    Ok(if some { Outcome::Met } else { Outcome::NotMet })
}

fn refused(error: &SwapError) -> Failure {
    let help = match error {
        SwapError::Unknown(UnknownPart { suggestion: Some(near), .. }) => Some(format!("did you mean `{near}`?")),
        SwapError::Unknown(UnknownPart { kind, .. }) => {
            Some(format!("`counterpoise catalog list {kind}` shows what there is"))
        }
        SwapError::Kind(word) => closest(word, Kind::ALL.map(Kind::word)).map(|near| format!("did you mean `{near}`?")),
        _ => None,
    };
    Failure::usage(error.to_string(), help)
}
