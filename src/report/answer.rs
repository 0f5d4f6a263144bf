//! The document around the recipes of an answer.

use super::SCHEMA;
use super::cautions::cautions;
use super::notice::{Notice, merged_warnings};
use super::recipe::{MISFIT, RecipeReport};
use crate::quantity::Money;
use crate::search::Found;
use crate::wanted::Assumption;
use serde::Serialize;
use std::collections::BTreeMap;

/// An answer of any command. `body` holds what only that command says; its keys stand at the top level.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Answer<B = NoBody> {
    /// Version of this contract.
    pub schema: u32,
    /// The command that answered.
    pub command: &'static str,
    /// Version of the program.
    pub version: &'static str,
    /// What it was worked out from.
    pub origin: Origin,
    /// What was assumed because nothing was said.
    pub assumptions: Vec<Assumption>,
    /// Recipes, best first.
    pub recipes: Vec<RecipeReport>,
    /// What was searched; `None` where nothing was.
    pub search: Option<SearchReport>,
    /// What only this command says.
    #[serde(flatten)]
    pub body: B,
    /// What to take care of.
    pub cautions: Vec<Notice>,
    /// Limits of the model that were reached.
    pub warnings: Vec<Notice>,
}

/// What an answer was worked out from, besides the command line and the files that it names: with these and the version of the
/// program it can be had again.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, schemars::JsonSchema)]
pub struct Origin {
    /// Digest of the catalog, overlays counted, before any calibration; `None`: none was looked into.
    pub catalog: Option<String>,
    /// Digest of the calibration that was laid over it; `None`: none was.
    pub calibration: Option<String>,
    /// Seed of random numbers; `None`: none were drawn.
    pub seed: Option<u64>,
}

/// No more to say than every answer does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, schemars::JsonSchema)]
pub struct NoBody {}

impl Answer {
    /// An empty answer of a command.
    #[must_use]
    pub fn new(command: &'static str) -> Self {
        Self::with_body(command, NoBody {})
    }
}

impl<B> Answer<B> {
    /// An answer that has only its body so far.
    #[must_use]
    pub fn with_body(command: &'static str, body: B) -> Self {
        Self {
            schema: SCHEMA,
            command,
            version: env!("CARGO_PKG_VERSION"),
            origin: Origin::default(),
            assumptions: Vec::new(),
            recipes: Vec::new(),
            search: None,
            body,
            cautions: Vec::new(),
            warnings: Vec::new(),
        }
    }

    /// With recipes, and all that follows from them: the limits of the model that they reach, and what to take care of.
    #[must_use]
    pub fn with_recipes(mut self, recipes: Vec<RecipeReport>) -> Self {
        for misfit in recipes.iter().flat_map(|r| r.warnings.iter().filter(|n| n.code == MISFIT)) {
            if !self.warnings.contains(misfit) {
                self.warnings.push(misfit.clone());
            }
        }
        self.warnings.extend(merged_warnings(recipes.iter().map(|r| r.limits.as_slice())));
        self.cautions = cautions(&recipes);
        self.recipes = recipes;
        self
    }

    /// With the digests of the catalog and of the calibration that it was worked out from.
    #[must_use]
    pub fn from_parts(mut self, catalog: Option<String>, calibration: Option<String>) -> Self {
        (self.origin.catalog, self.origin.calibration) = (catalog, calibration);
        self
    }

    /// With the seed of the numbers that were drawn for it.
    #[must_use]
    pub fn seeded(mut self, seed: u64) -> Self {
        self.origin.seed = Some(seed);
        self
    }

    /// With what was assumed.
    #[must_use]
    pub fn assuming(mut self, assumptions: impl IntoIterator<Item = Assumption>) -> Self {
        self.assumptions.extend(assumptions);
        self
    }

    /// With the certificate of a search.
    #[must_use]
    pub fn searched(self, search: SearchReport) -> Self {
        Self { search: Some(search), ..self }
    }
}

/// The size of a search and its certificate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct SearchReport {
    /// Number of recipes in the space.
    pub space: u64,
    /// How many of them were judged one by one.
    pub evaluated: u64,
    /// How many were dropped, by the bound that shows they cannot be in the answer.
    pub pruned: BTreeMap<&'static str, u64>,
    /// Whether the answer is proven to be the best there is: every recipe of the space was judged or ruled out.
    pub proven: bool,
    /// Set when it was stopped early: no recipe that was not looked at costs less than this.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub cost_bound: Option<Money>,
}

impl From<&Found<'_>> for SearchReport {
    fn from(found: &Found<'_>) -> Self {
        let tally = &found.tally;
        let pruned = BTreeMap::from([
            ("cost", tally.cost),
            ("hang", tally.hang),
            ("weight", tally.weight),
            ("sink_rate", tally.sink_rate),
            ("mass", tally.mass),
            ("margin", tally.margin),
            ("share", tally.share),
            ("misfit", tally.misfit),
            ("unexplored", tally.unexplored),
        ]);
        Self { space: found.space, evaluated: tally.evaluated, pruned, proven: found.proven(), cost_bound: found.bound }
    }
}
