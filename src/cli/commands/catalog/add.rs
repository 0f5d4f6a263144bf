//! `catalog add`: asks for a part's figures and writes its row into a catalog file of one's own.

use super::questions::{Answers, Asking, Part};
use crate::failure::Failure;
use crate::job::{self, Job};
use crate::outcome::Outcome;
use crate::output;
use clap::Args;
use counterpoise::catalog::{Catalog, with_row};
use counterpoise::document::save::{PATIENCE, Turn};
use counterpoise::document::{Diagnostics, Source};
use std::path::{Path, PathBuf};

/// Options of `catalog add`.
#[derive(Debug, Args)]
pub(crate) struct AddArgs {
    /// What to add
    #[arg(value_enum)]
    part: Part,
    /// Catalog file of yours to write into; made where there is none
    #[arg(value_name = "FILE", default_value = "catalog.yaml")]
    file: PathBuf,
    /// Show the row, and change nothing
    #[arg(long)]
    dry_run: bool,
}

/// Asks, checks and writes.
pub(crate) fn run(args: &AddArgs, job: &Job) -> Result<Outcome, Failure> {
    let catalog = job.plain_catalog()?;
    let list = args.part.list();
    let asking = Asking::begin(&catalog, args.file.is_file());
    let Answers { currency, id, row } = asking.about(args.part)?;
    let turn = Turn::wait(&args.file, PATIENCE)?;
    let before = if args.file.is_file() { Some(job::open(&args.file)?) } else { None };
    let text = match &before {
        Some(source) => source.text().to_owned(),
        None => format!(
            "# Parts of my own. Use them with: counterpoise --catalog {} find ...\ncurrency: {currency}\n",
            args.file.display()
        ),
    };
    let after = with_row(&text, list, &row);
    let read = checked(&args.file, &after, job)?;
    let kept = before.as_ref().map(|source| source.as_in_file(source.text()));
    if !args.dry_run {
        let bytes = before.as_ref().map_or_else(|| after.clone(), |source| source.as_in_file(&after));
        turn.replace(kept.as_deref().map(str::as_bytes), bytes.as_bytes())?;
        output::wrote(&args.file);
    }
    output::print(|out| Ok(writeln!(out, "{row}")?))?;
    let weighs = read.portions(args.part.kind()).into_iter().find(|portion| portion.id == id);
    let (verb, file) = (if args.dry_run { "would go" } else { "went" }, args.file.display());
    job.note(&format!("it {verb} into {file}, under {list}"));
    if let Some(portion) = weighs {
        let mass = counterpoise::quantity::shown::MASS.text(portion.mass * 1e6, 1);
        let (of, kind) = (portion.amount.word(), args.part.kind());
        job.note(&format!("it has {mass} per {of}; `counterpoise --catalog {file} catalog list {kind}` shows it"));
    }
    Ok(Outcome::Met)
}

/// The catalog with the file as it will be; what is wrong with the new row is refused before anything is written.
fn checked(file: &Path, text: &str, job: &Job) -> Result<Catalog, Failure> {
    let name = file.display().to_string();
    let overlays: Result<Vec<Source>, Diagnostics> = job.overlays();
    let mut sources: Vec<Source> = overlays?.into_iter().filter(|source| source.name() != name).collect();
    sources.push(Source::new(&name, text));
    Ok(Catalog::with_overlays(&sources)?)
}
