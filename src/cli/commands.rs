//! One file a command: its options, and what it does.

mod card;
mod catalog;
mod compare;
mod correct;
mod find;
mod fit;
mod fly_box;
mod jar;
mod licences;
mod manual;
mod new;
mod photo;
mod predict;
mod schema;
mod shop;
mod sink;
mod stages;
mod stock;
mod topic;

use crate::args::Cli;
use crate::failure::Failure;
use crate::job::Job;
use crate::outcome::Outcome;
use clap::Subcommand;

/// What can be done.
#[derive(Debug, Subcommand)]
#[allow(clippy::large_enum_variant)] // one value a run
pub(crate) enum Command {
    /// Find the cheapest recipes that meet a target
    Find(Box<find::FindArgs>),
    /// Say how a recipe hangs and sinks, part by part
    Predict(predict::PredictArgs),
    /// Set materials side by side on one target, or swap parts in one recipe
    Compare(Box<compare::CompareArgs>),
    /// Follow a recipe down: seconds to each depth, slack line, jig stroke
    Sink(sink::SinkArgs),
    /// Say what a half-tied fly should look like in the hand and in the jar, and how to trim it
    Stages(stages::StagesArgs),
    /// Write a card for the bench: steps, angles in hand and jar, countdown, and the fly drawn to scale
    Card(card::CardArgs),
    /// Say what to change, from what hand or jar showed
    Correct(correct::CorrectArgs),
    /// Read the hang off a photograph of a fly in a jar or in the hand
    ReadPhoto(photo::PhotoArgs),
    /// Plan a box of flies for some waters: what to tie, what to buy
    Box(fly_box::BoxArgs),
    /// Keep a log of what hand and jar showed
    Jar(jar::JarArgs),
    /// Learn from a jar log what your own materials are like
    Fit(fit::FitArgs),
    /// Say what to buy for recipes that are chosen already
    Shop(shop::ShopArgs),
    /// Show what is on the bench, book flies out, book packs in
    Stock(stock::StockArgs),
    /// Look into the catalog, or check a file of your own
    Catalog(catalog::CatalogArgs),
    /// Write a file to start from: target, recipe, box, stock, catalog, dressing, log, settings
    New(new::NewArgs),
    /// Write the JSON Schema of a file or of an answer, for an editor or a program
    Schema(schema::SchemaArgs),
    /// Tell about a command or a topic
    Help(topic::HelpArgs),
    /// Show the licences of the program and of the libraries in it
    Licences,
    /// Write completions for a shell to standard output: commands, options, values and the ids of your catalog
    Completions(manual::CompletionArgs),
    /// Write the manual: the first page, or into a folder one for each command, for `man`
    Man(manual::ManArgs),
}

/// Does what was asked.
pub(crate) fn run(cli: &Cli) -> Result<Outcome, Failure> {
    let job = Job::start(&cli.global)?;
    match &cli.command {
        Command::Find(args) => find::run(args, &job),
        Command::Predict(args) => predict::run(args, &job),
        Command::Compare(args) => compare::run(args, &job),
        Command::Sink(args) => sink::run(args, &job),
        Command::Stages(args) => stages::run(args, &job),
        Command::Card(args) => card::run(args, &job),
        Command::Correct(args) => correct::run(args, &job),
        Command::ReadPhoto(args) => photo::run(args, &job),
        Command::Box(args) => fly_box::run(args, &job),
        Command::Jar(args) => jar::run(args, &job),
        Command::Fit(args) => fit::run(args, &job),
        Command::Shop(args) => shop::run(args, &job),
        Command::Stock(args) => stock::run(args, &job),
        Command::Catalog(args) => catalog::run(args, &job),
        Command::Schema(args) => schema::run(args),
        Command::Help(args) => topic::run(args),
        Command::New(args) => new::run(args, &job),
        Command::Licences => licences::run(),
        Command::Completions(args) => manual::completions(args, &job),
        Command::Man(args) => manual::man(args),
    }
}
