//! `catalog`: what is in it, one row in full, and a check of files of one's own.

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use clap::{Args, Subcommand};
use counterpoise::catalog::Catalog;
use counterpoise::document::{Diagnostics, closest};
use counterpoise::part::{Kind, PackUnit, Row};
use counterpoise::quantity::Money;
use counterpoise::report::csv;
use counterpoise::report::table::{Spacing, foot, write_table};
use serde::Serialize;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise catalog list
  counterpoise catalog list bead
  counterpoise catalog show bead tungsten-3.5
  counterpoise catalog check mine.yaml
  counterpoise --catalog mine.yaml catalog list hook

";

/// Options of `catalog`.
#[derive(Debug, Args)]
#[command(help_template = TEMPLATE, before_help = EXAMPLES)]
pub(crate) struct CatalogArgs {
    #[command(subcommand)]
    action: Action,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// List what there is
    #[command(help_template = TEMPLATE)]
    List {
        /// hook, bead, pin, wire, foam, dressing or material; all unless said otherwise
        kind: Option<String>,
    },
    /// Show one row in full, with units and provenance
    #[command(help_template = TEMPLATE)]
    Show {
        /// hook, bead, pin, wire, foam, dressing or material
        kind: String,
        /// Id
        id: String,
    },
    /// Check files on top of the built-in catalog: every problem in one run
    #[command(help_template = TEMPLATE)]
    Check {
        /// Catalog files
        #[arg(required = true, value_name = "FILE")]
        files: Vec<PathBuf>,
    },
}

/// Looks into the catalog.
pub(crate) fn run(args: &CatalogArgs, job: &Job) -> Result<Outcome, Failure> {
    match &args.action {
        Action::List { kind } => list(kind.as_deref(), job),
        Action::Show { kind, id } => show(kind, id, job),
        Action::Check { files } => check(files, job),
    }
}

/// A kind of part, or the materials that parts are made of.
#[derive(Clone, Copy, PartialEq)]
enum Shelf {
    Parts(Kind),
    Materials,
}

impl Shelf {
    fn all() -> impl Iterator<Item = Self> {
        Kind::ALL.into_iter().map(Self::Parts).chain([Self::Materials])
    }

    fn word(self) -> &'static str {
        match self {
            Self::Parts(kind) => kind.word(),
            Self::Materials => "material",
        }
    }

    /// Singular or plural.
    fn named(word: &str) -> Result<Self, Failure> {
        Self::all().find(|s| s.word() == word || format!("{}s", s.word()) == word).ok_or_else(|| {
            let words: Vec<&str> = Self::all().map(Self::word).collect();
            let help = match closest(word, words.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("kinds are {}", words.join(", ")),
            };
            Failure::usage(format!("`{word}` is no kind of part"), Some(help))
        })
    }
}

/// One row in a list.
#[derive(Serialize)]
struct Entry<'a> {
    kind: &'static str,
    id: &'a str,
    name: &'a str,
    /// Of one piece, or one metre of stock.
    price: Option<Money>,
    price_of: Option<&'static str>,
}

#[derive(Serialize)]
struct Listed<'a> {
    currency: &'a str,
    rows: Vec<Entry<'a>>,
}

fn entry(kind: Kind, row: &Row) -> Entry<'_> {
    let (amount, of) = match row.pack.unit {
        PackUnit::Pieces(_) => (1, "piece"),
        PackUnit::Length(_) => (1_000_000, "metre"),
    };
    let price = row.pack.price_of(amount);
    Entry { kind: kind.word(), id: &row.id, name: &row.name, price: Some(price), price_of: Some(of) }
}

fn entries(catalog: &Catalog, shelf: Shelf) -> Vec<Entry<'_>> {
    match shelf {
        Shelf::Parts(kind) => catalog.rows(kind).into_iter().map(|row| entry(kind, row)).collect(),
        Shelf::Materials => catalog
            .materials
            .iter()
            .map(|m| Entry { kind: "material", id: &m.id, name: &m.name, price: None, price_of: None })
            .collect(),
    }
}

fn list(kind: Option<&str>, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let shelves = match kind {
        Some(word) => vec![Shelf::named(word)?],
        None => Shelf::all().collect(),
    };
    let rows: Vec<Entry> = shelves.iter().flat_map(|shelf| entries(&catalog, *shelf)).collect();
    let answer = job.answer("catalog list", Listed { currency: &catalog.currency, rows });
    let lines = || {
        answer.body.rows.iter().map(|e| {
            let price = e.price.map_or_else(String::new, Money::fine);
            [e.kind, e.id, e.name, &price, e.price_of.unwrap_or_default()].map(str::to_owned).to_vec()
        })
    };
    let price = format!("price, {}", catalog.currency);
    job.print(
        &answer,
        |out| {
            write_table(out, &["kind", "id", "name", &price, "of one"], 3, Spacing::Close, lines())?;
            foot(out, &answer)
        },
        |out| csv::lines(out, &["kind", "id", "name", "price", "price_of"], lines()),
    )?;
    Ok(Outcome::Met)
}

#[derive(Serialize)]
struct Line {
    name: String,
    value: String,
    unit: &'static str,
}

#[derive(Serialize)]
struct Shown {
    kind: &'static str,
    fields: Vec<Line>,
}

fn show(kind: &str, id: &str, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let shelf = Shelf::named(kind)?;
    let (fields, near) = match shelf {
        Shelf::Parts(kind) => (catalog.detail(kind, id), catalog.suggest(kind, id)),
        Shelf::Materials => (catalog.material_detail(id), catalog.suggest_material(id)),
    };
    let Some(fields) = fields else {
        let word = shelf.word();
        let help = match near {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("`counterpoise catalog list {word}` shows what there is"),
        };
        return Err(Failure::usage(format!("the catalog has no {word} `{id}`"), Some(help)));
    };
    let fields: Vec<Line> = fields.into_iter().map(|f| Line { name: f.name, value: f.value, unit: f.unit }).collect();
    let answer = job.answer("catalog show", Shown { kind: shelf.word(), fields });
    let lines = |join: bool| {
        answer.body.fields.iter().map(move |l| match join {
            true => vec![l.name.clone(), format!("{} {}", l.value, l.unit)],
            false => vec![l.name.clone(), l.value.clone(), l.unit.to_owned()],
        })
    };
    job.print(
        &answer,
        |out| {
            write_table(out, &[shelf.word(), id], 2, Spacing::Close, lines(true))?;
            foot(out, &answer)
        },
        |out| csv::lines(out, &["name", "value", "unit"], lines(false)),
    )?;
    Ok(Outcome::Met)
}

#[derive(Serialize)]
struct Count {
    kind: &'static str,
    rows: usize,
}

#[derive(Serialize)]
struct Checked {
    files: Vec<String>,
    sound: Vec<Count>,
    filled: Vec<String>,
}

fn check(files: &[PathBuf], job: &Job) -> Result<Outcome, Failure> {
    let (mut sources, mut problems) = (job.overlays()?, Diagnostics::new());
    let mut names: Vec<String> = Vec::new();
    for file in files {
        match job::open(file) {
            Ok(source) => {
                names.push(source.name().to_owned());
                sources.push(source);
            }
            Err(found) => problems.extend(found),
        }
    }
    let catalog = match Catalog::with_overlays(&sources) {
        Ok(catalog) => problems.or(catalog)?,
        Err(found) => {
            problems.extend(found);
            return Err(problems.into());
        }
    };
    let answer = job.answer(
        "catalog check",
        Checked { sound: counts(&catalog, &names), filled: filled(&catalog, &names), files: names },
    );
    let lines = || answer.body.sound.iter().map(|c| vec![c.kind.to_owned(), c.rows.to_string()]);
    job.print(
        &answer,
        |out| {
            writeln!(out, "sound: {}\n", answer.body.files.join(", "))?;
            write_table(out, &["kind", "rows that count"], 1, Spacing::Close, lines())?;
            if !answer.body.filled.is_empty() {
                writeln!(out, "\nnot given, so the usual is taken (give the key to say otherwise)")?;
            }
            answer.body.filled.iter().try_for_each(|line| writeln!(out, "  - {line}"))?;
            Ok(())
        },
        |out| csv::lines(out, &["kind", "rows"], lines()),
    )?;
    Ok(Outcome::Met)
}

/// What rows of these files leave out, and what they are given.
fn filled(catalog: &Catalog, names: &[String]) -> Vec<String> {
    let of_files = catalog.filled.iter().filter(|f| names.contains(&f.file));
    of_files
        .map(|f| match f.id.as_str() {
            "" => format!("{} in {}: {} {}", f.list, f.file, f.key, f.value),
            id => format!("{id} in {} of {}: {} {}", f.list, f.file, f.key, f.value),
        })
        .collect()
}

/// Rows of each kind that come from these files.
fn counts(catalog: &Catalog, names: &[String]) -> Vec<Count> {
    let from_files = |kind: Kind| {
        let origins = catalog.rows(kind).into_iter().filter_map(|row| catalog.origin(kind, &row.id));
        origins.filter(|origin| names.iter().any(|name| name == origin)).count()
    };
    Kind::ALL
        .into_iter()
        .map(|kind| Count { kind: kind.word(), rows: from_files(kind) })
        .filter(|count| count.rows > 0)
        .collect()
}
