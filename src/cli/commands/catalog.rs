//! `catalog`: what is in it, one row in full, and a check of files of one's own.

mod add;
mod questions;

use crate::args::TEMPLATE;
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use clap::{Args, Subcommand};
use counterpoise::catalog::Catalog;
use counterpoise::document::{Diagnostics, closest};
use counterpoise::part::Kind;
use counterpoise::report::catalog::{
    CatalogCheck, CatalogList, Field, RowDetail, check_csv, check_table, detail_csv, detail_table, list_csv, list_table,
};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise catalog list
  counterpoise catalog list bead
  counterpoise catalog show bead tungsten-3.5
  counterpoise catalog add bead mine.yaml
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
    /// Add a part of your own to a file: it asks for each figure, in any unit, and writes the row. Answers can be piped in, one
    /// a line
    #[command(help_template = TEMPLATE)]
    Add(add::AddArgs),
}

/// Looks into the catalog.
pub(crate) fn run(args: &CatalogArgs, job: &Job) -> Result<Outcome, Failure> {
    match &args.action {
        Action::List { kind } => list(kind.as_deref(), job),
        Action::Show { kind, id } => show(kind, id, job),
        Action::Check { files } => check(files, job),
        Action::Add(args) => add::run(args, job),
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

fn list(kind: Option<&str>, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let shelves = match kind {
        Some(word) => vec![Shelf::named(word)?],
        None => Shelf::all().collect(),
    };
    let mut list = CatalogList { currency: catalog.currency.clone(), rows: Vec::new() };
    for shelf in shelves {
        match shelf {
            Shelf::Parts(kind) => list.add_parts(&catalog, kind),
            Shelf::Materials => list.add_materials(&catalog),
        }
    }
    let answer = job.answer("catalog list", list);
    job.print(&answer, |out| list_table(out, &answer), |out| list_csv(out, &answer.body))?;
    Ok(Outcome::Met)
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
    let fields = fields.into_iter().map(|f| Field { name: f.name, value: f.value, unit: f.unit }).collect();
    let answer = job.answer("catalog show", RowDetail { kind: shelf.word(), id: id.to_owned(), fields });
    job.print(&answer, |out| detail_table(out, &answer), |out| detail_csv(out, &answer.body))?;
    Ok(Outcome::Met)
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
    let answer = job.answer("catalog check", CatalogCheck::of(&catalog, names));
    job.print(&answer, |out| check_table(out, &answer.body), |out| check_csv(out, &answer.body))?;
    Ok(Outcome::Met)
}
