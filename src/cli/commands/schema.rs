//! `schema`: the JSON Schema of each file and of each answer, from the types that read and write them.

use super::{card, compare, correct, fit, fly_box, jar, photo, predict, shop, stages, stock};
use crate::failure::Failure;
use crate::outcome::Outcome;
use crate::{output, settings};
use clap::{Args, ValueEnum};
use counterpoise::document::file_schema;
use counterpoise::jar_log::JarLogFile;
use counterpoise::recipe_file::RecipeFile;
use counterpoise::report::Answer;
use counterpoise::report::catalog::{CatalogCheck, CatalogList, RowDetail};
use counterpoise::report::find::FindReport;
use counterpoise::report::sink::SinkReport;
use counterpoise::wanted::TargetSpec;
use counterpoise::{calibrate, catalog};
use schemars::generate::{SchemaGenerator, SchemaSettings};
use schemars::{JsonSchema, Schema, json_schema};

const EXAMPLES: &str = "Examples:
  counterpoise schema target > target.schema.json
  counterpoise schema answer-find         what find --format json writes

An editor that knows JSON Schema completes and checks a YAML file whose first line names it:
  # yaml-language-server: $schema=target.schema.json

";

/// What a schema is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Of {
    /// What a fly must do
    Target,
    /// One fly, part by part
    Recipe,
    /// A guide's needs
    Box,
    /// What is on the bench
    Stock,
    /// Parts of one's own
    Catalog,
    /// A log of what hand and jar showed
    Log,
    /// What the program remembers between runs
    Settings,
    /// What fit --write writes
    Calibration,
    /// What find answers, as JSON or YAML
    AnswerFind,
    /// What predict answers
    AnswerPredict,
    /// What compare answers
    AnswerCompare,
    /// What sink answers
    AnswerSink,
    /// What stages answers
    AnswerStages,
    /// What card answers
    AnswerCard,
    /// What correct answers
    AnswerCorrect,
    /// What read-photo answers
    AnswerReadPhoto,
    /// What box answers
    AnswerBox,
    /// What jar answers
    AnswerJar,
    /// What fit answers
    AnswerFit,
    /// What shop answers
    AnswerShop,
    /// What stock answers
    AnswerStock,
    /// What catalog answers
    AnswerCatalog,
}

/// Options of `schema`.
#[derive(Debug, Args)]
#[command(before_help = EXAMPLES)]
pub(crate) struct SchemaArgs {
    /// A file that people write, or the answer of a command
    of: Of,
}

/// Writes a schema to standard output.
pub(crate) fn run(args: &SchemaArgs) -> Result<Outcome, Failure> {
    let schema = args.of.schema();
    output::print(|out| Ok(writeln!(out, "{}", serde_json::to_string_pretty(&schema)?)?))?;
    Ok(Outcome::Met)
}

impl Of {
    fn schema(self) -> Schema {
        match self {
            Self::Target => file_schema::<TargetSpec>(),
            Self::Recipe => file_schema::<RecipeFile>(),
            Self::Box => counterpoise::fly_box::spec::schema(),
            Self::Stock => counterpoise::stock::schema(),
            Self::Catalog => catalog::schema(),
            Self::Log => file_schema::<JarLogFile>(),
            Self::Settings => file_schema::<settings::Settings>(),
            Self::Calibration => calibrate::calibration_schema(),
            Self::AnswerFind => answers::<FindReport>(),
            Self::AnswerPredict => answers::<predict::PredictBody>(),
            Self::AnswerCompare => any_of(|g| {
                vec![g.subschema_for::<Answer<compare::CompareBody>>(), g.subschema_for::<Answer<compare::SwapBody>>()]
            }),
            Self::AnswerSink => answers::<SinkReport>(),
            Self::AnswerStages => answers::<stages::StagesBody>(),
            Self::AnswerCard => answers::<card::CardBody>(),
            Self::AnswerCorrect => answers::<correct::CorrectBody>(),
            Self::AnswerReadPhoto => answers::<photo::PhotoBody>(),
            Self::AnswerBox => answers::<fly_box::BoxBody>(),
            Self::AnswerJar => answers::<jar::JarBody>(),
            Self::AnswerFit => answers::<fit::FitBody>(),
            Self::AnswerShop => answers::<shop::ShopBody>(),
            Self::AnswerStock => answers::<stock::StockBody>(),
            Self::AnswerCatalog => any_of(|g| {
                vec![
                    g.subschema_for::<Answer<CatalogList>>(),
                    g.subschema_for::<Answer<RowDetail>>(),
                    g.subschema_for::<Answer<CatalogCheck>>(),
                ]
            }),
        }
    }
}

fn generator() -> SchemaGenerator {
    SchemaSettings::draft2020_12().for_serialize().into_generator()
}

fn answers<B: JsonSchema>() -> Schema {
    generator().into_root_schema_for::<Answer<B>>()
}

/// One of several answers.
fn any_of(of: impl FnOnce(&mut SchemaGenerator) -> Vec<Schema>) -> Schema {
    let mut generator = generator();
    let any = of(&mut generator);
    json_schema!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "anyOf": any,
        "$defs": generator.take_definitions(true),
    })
}
