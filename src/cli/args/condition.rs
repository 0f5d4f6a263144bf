//! Water, depth, state and knot.

use super::target::refused;
use crate::failure::Failure;
use clap::Args;
use counterpoise::document::Path;
use counterpoise::fly::{Conditions, Limits};
use counterpoise::quantity::shown::DEPTH;
use counterpoise::quantity::{Interval, Length, Pressure, Salinity, Temperature};
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::wanted::{Assumption, Line, TargetError, TargetSpec};

/// Water, depth, state and knot.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Conditions")]
pub(crate) struct ConditionArgs {
    /// Fishing depth, like 2m; foam is squeezed there. In a target also a range, like 0.5..3m
    #[arg(long, value_name = "LENGTH", allow_hyphen_values = true)]
    depth: Option<Interval<Length>>,
    /// Water temperature, like 8C or 46F
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    water: Option<Temperature>,
    /// Salinity, like 35g/kg; fresh water unless said otherwise
    #[arg(long, value_name = "SALINITY", allow_hyphen_values = true)]
    salinity: Option<Salinity>,
    /// Altitude of the water, like 2000m or 6500ft: thin air squeezes foam less at the top and more on the way down
    #[arg(
        hide_short_help = true,
        long,
        value_name = "LENGTH",
        allow_hyphen_values = true,
        conflicts_with = "air_pressure"
    )]
    altitude: Option<Length>,
    /// Pressure of the air instead, like 79.5kPa
    #[arg(hide_short_help = true, long, value_name = "PRESSURE")]
    air_pressure: Option<Pressure>,
    /// Dressing: soaked (bubbles worked off) or fresh (still holds air)
    #[arg(long, value_name = "soaked|fresh", value_parser = ["soaked", "fresh"], hide_possible_values = true)]
    state: Option<String>,
    /// Knot: loop (turns freely) or snug (drawn down on the eye)
    #[arg(long, value_name = "loop|snug", value_parser = ["loop", "snug"], hide_possible_values = true)]
    knot: Option<String>,
    /// Tippet diameter, like 0.18mm, for a snug knot
    #[arg(hide_short_help = true, long, value_name = "LENGTH", allow_hyphen_values = true)]
    tippet: Option<Length>,
}

/// What a recipe is looked at under.
#[derive(Debug, Clone)]
pub(crate) struct Asked {
    /// Water, depth, state and knot.
    pub(crate) conditions: Conditions,
    /// What fits.
    pub(crate) limits: Limits,
    /// The line on which it sinks.
    pub(crate) line: Line,
    /// What was assumed.
    pub(crate) assumptions: Vec<Assumption>,
}

impl ConditionArgs {
    /// As a target that states nothing else.
    pub(crate) fn spec(&self) -> TargetSpec {
        TargetSpec {
            depth: self.depth,
            water: self.water,
            salinity: self.salinity,
            altitude: self.altitude,
            air_pressure: self.air_pressure,
            state: self.state.clone(),
            knot: self.knot.clone(),
            tippet: self.tippet,
            ..TargetSpec::default()
        }
    }

    /// The tippet, if it was given.
    pub(crate) fn tippet(&self) -> Option<Length> {
        self.tippet
    }

    /// Whether the state of the dressing was given.
    pub(crate) fn states_state(&self) -> bool {
        self.state.is_some()
    }

    /// The conditions of a recipe file with these flags over them and the usual ones under them, and what was assumed.
    pub(crate) fn over(&self, file: &RecipeDocument, usual: &TargetSpec) -> Result<Asked, Failure> {
        let all = |spec: &TargetSpec| -> Result<Asked, TargetError> {
            // A recipe that was found for a range of depths is looked at where its foam is squeezed most.
            let one = if self.depth.is_none() { spec.at_the_deep_end() } else { spec.clone() };
            let (conditions, mut assumptions) = one.conditions_or_default()?;
            if one.depth != spec.depth {
                let text = format!("at the deep end of its range of depths, {}", DEPTH.text(conditions.depth, 2));
                assumptions.push(Assumption { key: "depth", text });
            }
            let (limits, line) = (spec.limits_or_default()?, spec.line_or_default()?);
            Ok(Asked { conditions, limits, line, assumptions })
        };
        self.checked_over(file, usual, all)
    }

    /// What the conditions of a recipe file come to with these flags over them and the usual ones under them. A fault of the file
    /// alone is shown in the file; one that a flag brings in is a wrong option.
    pub(crate) fn checked_over<T>(
        &self,
        file: &RecipeDocument,
        usual: &TargetSpec,
        all: impl Fn(&TargetSpec) -> Result<T, TargetError>,
    ) -> Result<T, Failure> {
        let own = usual.clone().overridden_by(file.conditions().clone());
        all(&own.clone().overridden_by(self.spec())).map_err(|error| match all(&own) {
            Err(own) if own == error => {
                let path = Path::root().key("conditions");
                error.problem(file.document(), &path).into()
            }
            _ => refused(&error),
        })
    }
}
