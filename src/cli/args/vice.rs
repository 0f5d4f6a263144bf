//! A recipe at the vice: what the finished fly must do, and the jar that half-tied flies hang in.

use super::{ConditionArgs, RecipeArgs, refused};
use crate::failure::Failure;
use crate::job::Job;
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::fly::Fly;
use counterpoise::quantity::shown::TEMPERATURE;
use counterpoise::quantity::{Angle, Temperature};
use counterpoise::spread::draws::{Draws, Plan};
use counterpoise::vice::{JAR_CELSIUS, Jar};
use counterpoise::wanted::{Assumption, Target, TargetSpec};

/// Recipe, wanted hang, jar and draws.
#[derive(Debug, Args)]
pub(crate) struct ViceArgs {
    #[command(flatten)]
    recipe: RecipeArgs,
    /// Hang wanted of the finished fly at its depth: level, 20deg (tail down), -10deg (head down); unless said, that for which the
    /// recipe was found
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    hang: Option<Angle>,
    /// How far off it may be
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    tolerance: Option<Angle>,
    /// Temperature of the tap water in the jar
    #[arg(long, value_name = "TEMPERATURE")]
    jar: Option<Temperature>,
    /// Flies drawn from the spreads
    #[arg(hide_short_help = true, long, value_name = "N", default_value_t = Plan::default().samples, value_parser = clap::value_parser!(u32).range(10..=1_000_000))]
    samples: u32,
    /// Seed of the draws: the same seed gives the same flies
    #[arg(hide_short_help = true, long, value_name = "N", default_value_t = Plan::default().seed)]
    seed: u64,
    #[command(flatten)]
    conditions: ConditionArgs,
}

/// What the commands at the vice start from.
pub(crate) struct AtTheVice<'a> {
    pub(crate) fly: Fly<'a>,
    pub(crate) target: Target,
    /// Whether anything says how it is to hang: an option, or the file of a recipe that was found for it.
    pub(crate) states_hang: bool,
    pub(crate) jar: Jar,
    pub(crate) draws: Draws,
    pub(crate) assumptions: Vec<Assumption>,
}

impl ViceArgs {
    /// Reads the recipe and settles what is wanted of it.
    pub(crate) fn resolve<'a>(&self, catalog: &'a Catalog, job: &Job) -> Result<AtTheVice<'a>, Failure> {
        let usual = job.settings.usual();
        let document = self.recipe.read()?;
        let fly = document.resolve(catalog)?;
        // A fault of the file's own conditions is shown in the file.
        self.conditions.checked_over(&document, &usual, TargetSpec::check_conditions)?;
        let own = usual.overridden_by(document.conditions().clone()).overridden_by(self.conditions.spec());
        let spec = TargetSpec {
            hang: self.hang.or(own.hang),
            tolerance: self.tolerance.or(own.tolerance),
            pattern: Some(fly.dressing.row.id.clone()),
            ..own
        };
        let stated = spec.clone();
        let states_hang = spec.hang.is_some();
        let (target, mut assumptions) = spec.resolve(catalog).map_err(|error| refused(&error))?;
        let target = target.as_stated(&stated);
        assumptions.retain(|a| {
            ["hang", "tolerance", "depth", "water", "salinity", "altitude", "state", "knot", "tippet"].contains(&a.key)
        });
        let given = self.jar.or(job.settings.jar);
        let celsius = given.map_or(JAR_CELSIUS, Temperature::celsius);
        let air = target.conditions.water.air_pressure;
        let jar = Jar::at(celsius, air).map_err(|error| Failure::usage(error.to_string(), None))?;
        if given.is_none() {
            let text = format!("jar of fresh tap water at {}, read to 3 deg", TEMPERATURE.text(celsius, 1));
            assumptions.push(Assumption { key: "jar", text });
        }
        let plan = Plan { samples: self.samples, seed: self.seed };
        assumptions.push(Assumption {
            key: "samples",
            text: format!("{} flies drawn from the spreads of catalog and tying, seed {}", plan.samples, plan.seed),
        });
        Ok(AtTheVice { fly, target, states_hang, jar, draws: Draws::new(plan), assumptions })
    }
}
