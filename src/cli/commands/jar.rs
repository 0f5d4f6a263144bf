//! `jar`: what the jar showed: adding to the log, reading it.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, Subcommand};
use counterpoise::calibrate::{Model, entry_views, oddities};
use counterpoise::catalog::Catalog;
use counterpoise::document::{Diagnostics, Source};
use counterpoise::jar_log::{
    COLUMNS, Date, DropEntry, Entry, EntryFile, JarLog, Manner, RecipeRef, Test, WeighedEntry, append_in,
    entries_from_csv, folder_of,
};
use counterpoise::part::Cut;
use counterpoise::quantity::shown::SIZE;
use counterpoise::quantity::{Angle, Length, Mass, Microns, Salinity, Temperature, Time};
use counterpoise::recipe_file::{RecipeDocument, RecipeFile};
use counterpoise::report::calibration::{EntryReport, entries_csv, entries_table, entry_reports, oddity_notice};
use counterpoise::report::{Notice, table};
use counterpoise::vice::Stage;
use counterpoise::wanted::Assumption;
use serde::Serialize;
use std::path::{Path, PathBuf};

const EXAMPLES: &str = "Examples:
  counterpoise jar add jar.yaml --recipe fly.yaml --hang 12deg --rides point-up
  counterpoise jar add jar.yaml --recipe fly.yaml --stage foam --fly A --hang -20deg
  counterpoise jar add jar.yaml --recipe fly.yaml --stage wire --medium air --hang 58deg
  counterpoise jar add jar.yaml --recipe fly.yaml --drop 30cm/1.42s --drop 30cm/1.38s --line slack
  counterpoise jar add jar.yaml --weighed bead:tungsten-3.5 --count 10 --mass 2.61g
  counterpoise jar add jar.yaml --weighed fly:fly.yaml --fly A --stage thread --mass 352mg   # bare
  counterpoise jar add jar.yaml --weighed fly:fly.yaml --fly A --mass 381mg                  # and dressed
  counterpoise jar import jar.yaml tests.csv
  counterpoise jar show jar.yaml

";

/// Options of `jar`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct JarArgs {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
#[allow(clippy::large_enum_variant)] // one value a run
enum Action {
    /// Add an entry to a log; makes the log if there is none
    #[command(help_template = TEMPLATE)]
    Add(AddArgs),
    /// Add the rows of a CSV table to a log
    #[command(help_template = TEMPLATE, after_help = columns_help())]
    Import {
        /// Jar log
        #[arg(value_name = "LOG.yaml")]
        log: PathBuf,
        /// CSV table with a head line, `-` for standard input
        #[arg(value_name = "TABLE.csv")]
        table: PathBuf,
        /// Add rows that the log has already, and rows that can hardly be true
        #[arg(long)]
        anyway: bool,
    },
    /// List a log: what was seen, what is predicted, and how far that is off
    #[command(help_template = TEMPLATE)]
    Show {
        /// Jar log, `-` for standard input
        #[arg(value_name = "LOG.yaml")]
        log: PathBuf,
    },
}

fn columns_help() -> String {
    format!("Columns (all may be left out): {}", COLUMNS.join(", "))
}

#[derive(Debug, Args)]
struct AddArgs {
    /// Jar log
    #[arg(value_name = "LOG.yaml")]
    log: PathBuf,
    /// Recipe of the fly: a file, or a name or id that the log knows already
    #[arg(long, value_name = "RECIPE", required_unless_present = "weighed")]
    recipe: Option<PathBuf>,
    /// A name for this very fly, where it is tested more than once
    #[arg(long, value_name = "NAME")]
    fly: Option<String>,
    /// How far it is tied: bead, wire, thread, foam, tail, body, wing, finish [default: finish]
    #[arg(long, value_name = "STAGE")]
    stage: Option<String>,
    /// Length of the foam that was on, if it is not the recipe's: its start length, or as it was cut so far, like 9.5mm
    #[arg(long, value_name = "LENGTH")]
    foam: Option<Length>,
    /// Day, like 2026-03-01
    #[arg(long, value_name = "DAY")]
    date: Option<Date>,
    /// Free words
    #[arg(long, value_name = "TEXT")]
    note: Option<String>,
    /// Add it even if it can hardly be true
    #[arg(long)]
    anyway: bool,
    #[command(flatten)]
    seen: SeenArgs,
    #[command(flatten)]
    jar: JarWaterArgs,
    #[command(flatten)]
    weighed: WeighedArgs,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Seen")]
struct SeenArgs {
    /// Hang: level, 12deg (tail down), -20deg (head down)
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    hang: Option<Angle>,
    /// Error of that reading, one standard deviation [default: 3deg]
    #[arg(long, value_name = "ANGLE", requires = "hang")]
    hang_error: Option<Angle>,
    /// Which side the point was on: point-up or point-down
    #[arg(long, value_name = "SIDE", requires = "hang")]
    rides: Option<String>,
    /// Whether it floats: yes or no
    #[arg(long, value_name = "yes|no", value_parser = ["yes", "no"], hide_possible_values = true)]
    floats: Option<String>,
    /// Timed drop, like 30cm/1.4s (repeatable)
    #[arg(long, value_name = "LENGTH/TIME", value_parser = timed)]
    drop: Vec<(Length, Time)>,
    /// Error of the times [default: 0.15s]
    #[arg(long, value_name = "TIME", requires = "drop")]
    drop_error: Option<Time>,
    /// Line of the drops: slack (let go) or tight (lowered) [default: slack]
    #[arg(long, value_name = "tight|slack", requires = "drop")]
    line: Option<String>,
    /// Mass, dry: of the fly, or of all that was weighed together
    #[arg(long, value_name = "MASS")]
    mass: Option<Mass>,
    /// Error of the scale [default: 1mg]
    #[arg(long, value_name = "MASS", requires = "mass")]
    mass_error: Option<Mass>,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Jar")]
struct JarWaterArgs {
    /// Where it hung: water, or air (in the hand, dry) [default: water]
    #[arg(long, value_name = "water|air")]
    medium: Option<String>,
    /// Water temperature, like 18C
    #[arg(long, value_name = "TEMPERATURE")]
    water: Option<Temperature>,
    /// Salinity, like 35g/kg
    #[arg(long, value_name = "SALINITY")]
    salinity: Option<Salinity>,
    /// Depth of the fly, like 12cm
    #[arg(long, value_name = "LENGTH")]
    depth: Option<Length>,
    /// Dressing: soaked or fresh [default: soaked]
    #[arg(long, value_name = "soaked|fresh")]
    state: Option<String>,
    /// Knot: loop or snug [default: loop]
    #[arg(long, value_name = "loop|snug")]
    knot: Option<String>,
    /// Tippet diameter, for a snug knot
    #[arg(long, value_name = "LENGTH")]
    tippet: Option<Length>,
}

#[derive(Debug, Args)]
#[command(next_help_heading = "Loose parts on a scale")]
struct WeighedArgs {
    /// Kind and id, like bead:tungsten-3.5, or a fly, like fly:RECIPE; takes --mass
    #[arg(long, value_name = "KIND:ID", requires = "mass", conflicts_with_all = ["recipe", "hang", "drop", "floats"])]
    weighed: Option<String>,
    /// Pieces weighed together
    #[arg(long, value_name = "N", requires = "weighed", value_parser = clap::value_parser!(u32).range(1..=100_000))]
    count: Option<u32>,
    /// Length of each piece of wire or foam
    #[arg(long, value_name = "LENGTH", requires = "weighed")]
    length: Option<Length>,
    /// Lengthwise cut of the foam: whole, half, quarter, eighth, sixteenth [default: whole]
    #[arg(long, value_name = "CUT", requires = "weighed")]
    cut: Option<String>,
}

fn timed(text: &str) -> Result<(Length, Time), String> {
    let (distance, time) = text.split_once('/').ok_or("write a distance and a time, like 30cm/1.4s")?;
    let distance = distance.trim().parse::<Length>().map_err(|e| e.to_string())?;
    Ok((distance, time.trim().parse::<Time>().map_err(|e| e.to_string())?))
}

/// What `jar` says.
#[derive(Debug, Serialize, schemars::JsonSchema)]
pub(super) struct JarBody {
    /// Entries, as they stand in the log.
    entries: Vec<EntryReport>,
    /// Entries that were added.
    added: usize,
    /// Rows of a table that were in the log already.
    left_out: usize,
}

/// Adds to a log, or shows it.
pub(crate) fn run(args: &JarArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    // What can hardly be true is refused before it is written; what is only odd is said.
    let likely = |log: &JarLog, added: usize| unlikely(log, added, &catalog);
    let anything = |_: &JarLog, _: usize| Ok(());
    let manner = |anyway: bool, again: bool| Manner { again, accept: if anyway { &anything } else { &likely } };
    let (log, shown, left_out) = match &args.action {
        Action::Show { log } => {
            let source = job::open(log)?;
            let log = JarLog::read(&source, folder_of(log))?;
            log.check_parts(&catalog)?;
            (log, None, 0)
        }
        Action::Add(add) => {
            let done = append_in(&add.log, &catalog, &[add.entry()?], manner(add.anyway, true))?;
            (done.log, Some(done.added), 0)
        }
        Action::Import { log, table, anyway } => {
            let table = job::open(table)?;
            let entries = entries_from_csv(table.text()).map_err(|faults| faults.problems(table.name()))?;
            let done = append_in(log, &catalog, &entries, manner(*anyway, *anyway))?;
            (done.log, Some(done.added), done.left_out)
        }
    };
    let added = shown.unwrap_or_default();
    if let (Action::Add(AddArgs { log: path, .. }) | Action::Import { log: path, .. }, 1..) = (&args.action, added) {
        output::wrote(path);
    }
    // After adding, only what is new is shown.
    let first = shown.map_or(0, |added| log.entries().len() - added);
    let model = Model::new(&catalog, log.entries())?;
    let views = entry_views(&model);
    let entries = entry_reports(&log.entries()[first..], &views[first..]);
    let mut answer = job.answer("jar", JarBody { entries, added, left_out });
    answer = answer.assuming(log.entries()[first..].last().filter(|_| added > 0).and_then(foam_taken));
    let odd = oddities(&model, log.entries(), first, job::today());
    answer.warnings.extend(odd.iter().map(|odd| oddity_notice(odd, log.entries())));
    if left_out > 0 {
        let text = format!(
            "{left_out} of these rows are in the log already, key by key, and were left out; --anyway adds them once more"
        );
        answer.warnings.push(Notice::new("imported-before", text));
    }
    job.print(
        &answer,
        |out| {
            entries_table(out, &answer.body.entries)?;
            table::foot(out, &answer)
        },
        |out| entries_csv(out, &answer.body.entries),
    )?;
    if added > 0 {
        job.note(&format!("added {added} to {}, which now holds {}", log.name(), log.entries().len()));
    }
    Ok(Outcome::Met)
}

/// Which length of foam a reading is taken to be of, where the entry does not say it.
fn foam_taken(entry: &Entry) -> Option<Assumption> {
    let Test::Fly(test) = &entry.test else { return None };
    let seen = test.stage >= Stage::Foam && test.foam.is_none() && (test.hang.is_some() || !test.drops.is_empty());
    let foam = test.recipe.foam.as_ref().filter(|_| seen)?;
    let text = format!("foam {} long, as in the recipe; --foam says another length", SIZE.text(foam.length.mm(), 3));
    Some(Assumption { key: "foam", text })
}

/// Why new entries of a log can hardly be true, if they cannot.
fn unlikely(log: &JarLog, added: usize, catalog: &Catalog) -> Result<(), String> {
    // Parts were looked up before.
    let Ok(model) = Model::new(catalog, log.entries()) else { return Ok(()) };
    let odd = oddities(&model, log.entries(), log.entries().len() - added, job::today());
    let said: Vec<String> =
        odd.iter().filter(|odd| odd.slip.is_unlikely()).map(|odd| oddity_notice(odd, log.entries()).text).collect();
    if said.is_empty() { Ok(()) } else { Err(said.join("; ")) }
}

impl AddArgs {
    fn entry(&self) -> Result<EntryFile, Failure> {
        let (seen, jar) = (&self.seen, &self.jar);
        let weighed = self.weighed.entry(seen)?;
        let of_fly = weighed.is_none();
        let named = self.recipe.as_deref().or(self.weighed.fly().map(Path::new));
        Ok(EntryFile {
            date: self.date,
            recipe: named.map(|named| recipe(&self.log, named)).transpose()?,
            fly: self.fly.clone(),
            stage: self.stage.clone(),
            foam: self.foam,
            medium: jar.medium.clone(),
            water: jar.water,
            salinity: jar.salinity,
            depth: jar.depth,
            state: jar.state.clone(),
            knot: jar.knot.clone(),
            tippet: jar.tippet,
            hang: seen.hang,
            hang_error: seen.hang_error,
            rides: seen.rides.clone(),
            floats: seen.floats.as_deref().map(|word| word == "yes"),
            drops: seen
                .drop
                .iter()
                .map(|(distance, time)| DropEntry {
                    distance: *distance,
                    time: *time,
                    error: seen.drop_error,
                    line: seen.line.clone(),
                })
                .collect(),
            mass: seen.mass.filter(|_| of_fly),
            mass_error: seen.mass_error.filter(|_| of_fly),
            weighed,
            note: self.note.as_deref().map(|note| note.trim_end().to_owned()),
        })
    }
}

/// The recipe as the entry names it. A file is taken over as it is now, since files change: in full the first time, by its id
/// from then on.
fn recipe(log: &Path, path: &Path) -> Result<RecipeRef, Failure> {
    let names = known_names(log)?;
    let named = &*path.to_string_lossy();
    if names.iter().any(|known| known == named) && !named.ends_with(".yaml") {
        return Ok(RecipeRef::Named(named.to_owned()));
    }
    if !path.is_file() {
        let help = match counterpoise::document::closest(named, names.iter().map(String::as_str)) {
            Some(near) => format!("did you mean `{near}`?"),
            None => "give a recipe file, or a name or id that the log has already".to_owned(),
        };
        return Err(Failure::usage(format!("no recipe is called `{named}`"), Some(help)));
    }
    let document = RecipeDocument::read(&job::open(path)?)?;
    let id = document.recipe().id();
    Ok(match names.contains(&id) {
        true => RecipeRef::Named(id),
        false => RecipeRef::Inline(Box::new(RecipeFile::from(document.recipe()))),
    })
}

fn known_names(log: &Path) -> Result<Vec<String>, Diagnostics> {
    if !log.exists() {
        return Ok(Vec::new());
    }
    Ok(JarLog::read(&Source::open(log)?, folder_of(log))?.recipe_names().to_vec())
}

impl WeighedArgs {
    /// The recipe of a fly on the scale.
    fn fly(&self) -> Option<&str> {
        self.weighed.as_deref()?.strip_prefix("fly:").map(str::trim)
    }

    fn entry(&self, seen: &SeenArgs) -> Result<Option<WeighedEntry>, Failure> {
        let (Some(part), Some(mass), None) = (&self.weighed, seen.mass, self.fly()) else { return Ok(None) };
        let help = || Some("write a kind and an id, like bead:tungsten-3.5, or fly: and a recipe".to_owned());
        let (kind, id) =
            part.split_once(':').ok_or_else(|| Failure::usage(format!("--weighed is `{part}`"), help()))?;
        let length_mm = self.length.map(Microns::from_length).transpose();
        let cut = match self.cut.as_deref().map(|word| (word, Cut::from_word(word))) {
            None => None,
            Some((_, Some(cut))) => Some(cut),
            Some((word, None)) => {
                let help = Some("whole, half, quarter, eighth or sixteenth".to_owned());
                return Err(Failure::usage(format!("--cut is `{word}`"), help));
            }
        };
        Ok(Some(WeighedEntry {
            kind: kind.trim().to_owned(),
            id: id.trim().to_owned(),
            count: self.count,
            length_mm: length_mm.map_err(|e| Failure::usage(e.to_string(), None))?,
            cut,
            mass,
            error: seen.mass_error,
        }))
    }
}
