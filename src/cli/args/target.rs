//! What is wanted: a target file, flags, or both.

use super::ConditionArgs;
use crate::failure::Failure;
use crate::job::{self, Job};
use clap::Args;
use counterpoise::catalog::Catalog;
use counterpoise::document::{Diagnostics, Document, Path};
use counterpoise::quantity::{Angle, Interval, Length, Mass, Money, Speed, Time};
use counterpoise::recipe_file::RecipeDocument;
use counterpoise::wanted::{Assumption, Target, TargetError, TargetSpec};
use std::path::PathBuf;

/// What is wanted. Flags win over the file.
#[derive(Debug, Clone, Args)]
#[command(next_help_heading = "Target")]
pub(crate) struct TargetArgs {
    /// Target file; its keys are the names of these options with _ for -
    #[arg(long, value_name = "FILE")]
    target: Option<PathBuf>,
    /// Hook size, like 8 or 8,10
    #[arg(long, value_name = "N", value_delimiter = ',')]
    size: Vec<u8>,
    /// Hook style: straight, streamer, wide-gap, jig, jig-60, jig-90, ball-jig
    #[arg(long, value_name = "STYLE", value_delimiter = ',')]
    style: Vec<String>,
    /// Hook id
    #[arg(long, value_name = "ID")]
    hook: Option<String>,
    /// Dressing pattern id (`catalog list dressing` shows them)
    #[arg(long, value_name = "ID")]
    pattern: Option<String>,
    /// Dressing pattern ids, like fur-leech,slim-nymph: one base (hook, bead, wire and foam) that does it under each of them
    #[arg(long, value_name = "ID,ID", value_delimiter = ',', conflicts_with = "pattern")]
    each_pattern: Vec<String>,
    /// Hang angle of the shank: level, 20deg (tail down), -10deg (head down)
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    hang: Option<Angle>,
    /// How far off the hang may be, like 8deg
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    tolerance: Option<Angle>,
    /// Which side the point is on: point-up, point-down, either
    #[arg(long, value_name = "SIDE")]
    rides: Option<String>,
    /// Sink rate: 0.15..0.25m/s, "6..10 in/s", ">=0.2 m/s"
    #[arg(long, value_name = "RATE", allow_hyphen_values = true)]
    sink: Option<Interval<Speed>>,
    /// Line on which it sinks: tight (lowered) or slack (free)
    #[arg(long, value_name = "tight|slack", value_parser = ["tight", "slack"], hide_possible_values = true)]
    line: Option<String>,
    /// A depth to reach from the surface, with --within, like 3m
    #[arg(hide_short_help = true, long, value_name = "LENGTH", allow_hyphen_values = true)]
    reach: Option<Length>,
    /// Time in which --reach is reached, like 15s
    #[arg(hide_short_help = true, long, value_name = "TIME", allow_hyphen_values = true)]
    within: Option<Time>,
    /// Least drop of the nose from the hang when the line goes slack, like 30deg
    #[arg(hide_short_help = true, long, value_name = "ANGLE", allow_hyphen_values = true)]
    dive: Option<Angle>,
    /// How long it goes slack, with --dive: a time or a drop, like 0.5s or 20cm
    #[arg(hide_short_help = true, long, value_name = "TIME|LENGTH", allow_hyphen_values = true)]
    slack: Option<String>,
    #[command(flatten)]
    conditions: ConditionArgs,
    /// No part may contain lead
    #[arg(long, help_heading = "Limits")]
    lead_free: bool,
    /// Firmest hang: friction of the loop in the eye may leave it off by no more than this, like 2deg
    #[arg(hide_short_help = true, long, value_name = "ANGLE", help_heading = "Limits", allow_hyphen_values = true)]
    max_friction_band: Option<Angle>,
    /// Greatest mass of the fly, like 0.4g
    #[arg(long, value_name = "MASS", help_heading = "Limits", allow_hyphen_values = true)]
    max_mass: Option<Mass>,
    /// Greatest cost of material for one fly, like 0.80
    #[arg(long, value_name = "MONEY", help_heading = "Limits", allow_hyphen_values = true)]
    max_cost: Option<Money>,
    /// Coefficient of friction of the loop in the eye [default: 0.2, an estimate]
    #[arg(
        hide_short_help = true,
        long,
        value_name = "COEFFICIENT",
        help_heading = "Limits",
        allow_hyphen_values = true
    )]
    friction: Option<f64>,
    /// Share of the hook gap that stays clear, 0 to 0.95
    #[arg(hide_short_help = true, long, value_name = "SHARE", help_heading = "Limits", allow_hyphen_values = true)]
    clear_gap: Option<f64>,
    /// Let foam stand out behind the tail that hides it
    #[arg(hide_short_help = true, long, help_heading = "Limits")]
    visible_foam: bool,
    /// Keep only parts like these: bead.material=brass,tin-alloy (one or the other), foam=none, bead.size=2.5mm..3.5mm. Given
    /// again, both must hold: --only bead.material=brass --only bead.size=3mm
    #[arg(long, value_name = "FILTER", help_heading = "Limits")]
    only: Vec<String>,
    /// Leave out parts like these: foam.cut=quarter,eighth, bead.mount=pin. Given again, all of them are left out
    #[arg(long, value_name = "FILTER", help_heading = "Limits")]
    not: Vec<String>,
    /// Step to which foam is cut, like 0.5mm
    #[arg(hide_short_help = true, long, value_name = "LENGTH", help_heading = "Limits", allow_hyphen_values = true)]
    foam_step: Option<Length>,
    /// Step to which wraps are placed, like 1mm
    #[arg(hide_short_help = true, long, value_name = "LENGTH", help_heading = "Limits", allow_hyphen_values = true)]
    wrap_step: Option<Length>,
}

/// A target that makes sense, and what was assumed to get there.
#[derive(Debug, Clone)]
pub(crate) struct Wanted {
    /// The target.
    pub(crate) target: Target,
    /// What was assumed.
    pub(crate) assumptions: Vec<Assumption>,
}

impl Wanted {
    /// The same, refused where it asks for several dressings.
    pub(crate) fn in_one_dressing(self) -> Result<Self, Failure> {
        if self.target.choice.each.is_empty() { Ok(self) } else { Err(refused(&TargetError::OneDressing)) }
    }
}

impl TargetArgs {
    /// With another target file, unless one was given.
    pub(crate) fn or_file(&self, file: Option<&PathBuf>) -> Self {
        Self { target: self.target.clone().or_else(|| file.cloned()), ..self.clone() }
    }

    /// What the flags alone say.
    pub(crate) fn flags(&self) -> TargetSpec {
        TargetSpec {
            size: self.size.clone(),
            style: self.style.clone(),
            hook: self.hook.clone(),
            pattern: self.pattern.clone(),
            each_pattern: self.each_pattern.clone(),
            hang: self.hang,
            tolerance: self.tolerance,
            rides: self.rides.clone(),
            sink: self.sink,
            line: self.line.clone(),
            reach: self.reach,
            within: self.within,
            dive: self.dive,
            slack: self.slack.clone(),
            lead_free: self.lead_free.then_some(true),
            max_friction_band: self.max_friction_band,
            max_mass: self.max_mass,
            max_cost: self.max_cost,
            friction: self.friction,
            clear_gap: self.clear_gap,
            visible_foam: self.visible_foam.then_some(true),
            only: self.only.clone(),
            not: self.not.clone(),
            foam_step: self.foam_step,
            wrap_step: self.wrap_step,
            ..self.conditions.spec()
        }
    }

    /// What a recipe is held against: the conditions of its file, the target file if one is named, then the flags.
    pub(crate) fn for_recipe(&self, recipe: &RecipeDocument, catalog: &Catalog, job: &Job) -> Result<Wanted, Failure> {
        let own = TargetSpec {
            hook: Some(recipe.recipe().hook.clone()),
            pattern: Some(recipe.recipe().dressing.clone()),
            ..job.settings.usual().overridden_by(recipe.conditions().clone())
        };
        let spec = match &self.target {
            Some(path) => {
                let (spec, problems) = Document::open(&job::open(path)?)?.decode::<TargetSpec>();
                own.overridden_by(problems.or(spec.unwrap_or_default())?)
            }
            None => own,
        };
        let spec = spec.overridden_by(self.flags());
        let (target, assumptions) = spec.resolve(catalog).map_err(|_| all_refused(&spec.faults(catalog)))?;
        Ok(Wanted { target: job.settings.in_jar(target)?, assumptions })
    }

    /// Reads the file, lays the flags over it and the settings under it, fills in defaults, and checks all of it against the
    /// catalog.
    pub(crate) fn resolve(&self, catalog: &Catalog, job: &Job) -> Result<Wanted, Failure> {
        let (flags, usual) = (self.flags(), job.settings.usual());
        let Some(path) = &self.target else {
            let flags = usual.overridden_by(flags);
            let (target, assumptions) = flags.resolve(catalog).map_err(|_| all_refused(&flags.faults(catalog)))?;
            return Ok(Wanted { target: job.settings.in_jar(target)?, assumptions });
        };
        let document = Document::open(&job::open(path)?)?;
        let (spec, problems) = document.decode::<TargetSpec>();
        let spec = match spec {
            Some(spec) if problems.is_empty() => spec,
            _ => return Err(problems.into()),
        };
        let spec = usual.overridden_by(spec);
        let both = spec.clone().overridden_by(flags);
        let (target, assumptions) = both.resolve(catalog).map_err(|_| {
            // A fault of the file alone is shown in the file; one that a flag brings in is a wrong option.
            let own = spec.faults(catalog);
            let (in_file, in_flags): (Vec<_>, Vec<_>) = both.faults(catalog).into_iter().partition(|f| own.contains(f));
            let mut problems = Diagnostics::new();
            in_file.iter().for_each(|fault| problems.push(fault.problem(&document, &Path::root())));
            match (problems.is_empty(), in_flags.is_empty()) {
                (true, _) => all_refused(&in_flags),
                (false, true) => problems.into(),
                (false, false) => Failure::Several(vec![problems.into(), all_refused(&in_flags)]),
            }
        })?;
        Ok(Wanted { target: job.settings.in_jar(target)?, assumptions })
    }
}

/// Target errors in options.
fn all_refused(faults: &[TargetError]) -> Failure {
    match faults {
        [one] => refused(one),
        several => Failure::Several(several.iter().map(refused).collect()),
    }
}

/// A target error in an option.
pub(crate) fn refused(error: &TargetError) -> Failure {
    Failure::usage(error.to_string(), error.remedy())
}
