//! `catalog`: what is in it, one row in full, and a check of files of one's own.

use crate::args::{Format, TEMPLATE};
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::{Args, Subcommand};
use counterpoise::catalog::{Catalog, Field};
use counterpoise::part::Kind;
use counterpoise::report::{ReportError, json, table, yaml};
use serde::Serialize;
use std::io::Write;
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  counterpoise catalog list
  counterpoise catalog list bead
  counterpoise catalog show bead tungsten-3.5
  counterpoise catalog check mine.yaml
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
    List {
        /// hook, bead, pin, wire, foam, dressing or material; all unless said otherwise
        kind: Option<String>,
    },
    /// Show one row in full, with units and provenance
    Show {
        /// hook, bead, pin, wire, foam, dressing or material
        kind: String,
        /// Id
        id: String,
    },
    /// Check files on top of the built-in catalog: every problem in one run
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
            let help = match counterpoise::document::closest(word, words.iter().copied()) {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("kinds are {}", words.join(", ")),
            };
            Failure::usage(format!("`{word}` is no kind of part"), Some(help))
        })
    }
}

#[derive(Serialize)]
struct Entry<'a> {
    kind: &'static str,
    id: &'a str,
    name: &'a str,
}

fn entries<'a>(catalog: &'a Catalog, shelf: Shelf) -> Vec<Entry<'a>> {
    let kind = shelf.word();
    match shelf {
        Shelf::Parts(part) => {
            catalog.rows(part).into_iter().map(|row| Entry { kind, id: &row.id, name: &row.name }).collect()
        }
        Shelf::Materials => catalog.materials.iter().map(|m| Entry { kind, id: &m.id, name: &m.name }).collect(),
    }
}

fn list(kind: Option<&str>, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.catalog()?;
    let shelves = match kind {
        Some(word) => vec![Shelf::named(word)?],
        None => Shelf::all().collect(),
    };
    let found: Vec<Entry> = shelves.iter().flat_map(|s| entries(&catalog, *s)).collect();
    let rows = || found.iter().map(|e| vec![e.kind.to_owned(), e.id.to_owned(), e.name.to_owned()]);
    print_list(job, &found, &["kind", "id", "name"], rows())?;
    Ok(Outcome::Met)
}

#[derive(Serialize)]
struct Line<'a> {
    name: &'a str,
    value: &'a str,
    unit: &'a str,
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
    let lines: Vec<Line> = fields.iter().map(|Field { name, value, unit }| Line { name, value, unit }).collect();
    let rows = lines.iter().map(|l| vec![l.name.to_owned(), l.value.to_owned(), l.unit.to_owned()]);
    print_list(job, &lines, &["what", "value", "unit"], rows)?;
    Ok(Outcome::Met)
}

/// Writes a list in the format asked for.
fn print_list<T: Serialize>(
    job: &Job,
    items: &[T],
    heads: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<(), Failure> {
    output::print(|out| match job.format {
        Format::Table => write_table(out, heads, rows),
        Format::Json => json::write(out, &items),
        Format::Yaml => yaml::write(out, &items),
        Format::Csv => counterpoise::report::csv::lines(out, heads, rows),
    })
}

fn write_table(
    out: &mut dyn Write,
    heads: &[&str],
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<(), ReportError> {
    for line in table::plain(heads, heads.len(), rows).lines() {
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

fn check(files: &[PathBuf], job: &Job) -> Result<Outcome, Failure> {
    let sources = job::open_all(files)?;
    let catalog = Catalog::with_overlays(&sources)?;
    let names: Vec<&str> = sources.iter().map(|s| s.name()).collect();
    let from_files = |kind: Kind| {
        let rows = catalog.rows(kind);
        rows.iter().filter(|r| catalog.origin(kind, &r.id).is_some_and(|o| names.contains(&o))).count()
    };
    let counts: Vec<(Kind, usize)> = Kind::ALL.into_iter().map(|k| (k, from_files(k))).filter(|c| c.1 > 0).collect();
    let rows = counts.iter().map(|(kind, count)| vec![kind.to_string(), count.to_string()]);
    #[derive(Serialize)]
    struct Count {
        kind: &'static str,
        rows: usize,
    }
    let items: Vec<Count> = counts.iter().map(|(kind, rows)| Count { kind: kind.word(), rows: *rows }).collect();
    print_list(job, &items, &["kind", "sound rows"], rows)?;
    Ok(Outcome::Met)
}
