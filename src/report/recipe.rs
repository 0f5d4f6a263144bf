//! One fly and what is predicted for it, in documented units: what every format shares.

use super::figure::Figure;
use super::notice::Notice;
use super::part::{PartReport, part_reports};
use crate::assess::Prediction;
use crate::fly::{self, Conditions, Fly};
use crate::physics::statics::{Hang, Knot, Rest};
use crate::quantity::Money;
use crate::recipe_file::RecipeFile;
use serde::Serialize;

/// A recipe with its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecipeReport {
    /// Place in the list, from 1.
    pub rank: usize,
    /// Stable id of the recipe.
    pub id: String,
    /// The recipe as its file holds it.
    pub recipe: RecipeFile,
    /// Parts in tying order, one entry for each part and each component of the dressing.
    pub parts: Vec<PartReport>,
    /// The whole fly.
    pub totals: Totals,
    /// How it hangs.
    pub hang: HangReport,
    /// How it sinks.
    pub fall: FallReport,
    /// How sure it is that a fly tied this way meets the target; `None` where no target was given or nobody asked.
    pub chance: Option<ChanceReport>,
    /// What it costs.
    pub cost: CostReport,
    /// How far inside the narrowest requirement it lies, 0 to 1; `None` without a target.
    pub margin: Option<Figure>,
    /// Limits of the model that were reached.
    pub warnings: Vec<Notice>,
}

/// Sums over all parts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Totals {
    /// Mass, mg.
    pub mass_mg: Figure,
    /// Water displaced, mm3.
    pub volume_mm3: Figure,
    /// Submerged weight, mN; negative floats.
    #[serde(rename = "submerged_weight_mN")]
    pub submerged_weight_mn: Figure,
    /// Sum of W x about the tie point, mN mm.
    #[serde(rename = "moment_x_mN_mm")]
    pub moment_x_mn_mm: Figure,
    /// Sum of W y, mN mm.
    #[serde(rename = "moment_y_mN_mm")]
    pub moment_y_mn_mm: Figure,
}

/// A position of rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RestReport {
    /// Shank from horizontal, degrees, positive tail down.
    pub angle_deg: Figure,
    /// Which side the point is on.
    pub rides: &'static str,
    /// Restoring moment per radian, mN mm/rad.
    #[serde(rename = "steadiness_mN_mm_per_rad")]
    pub steadiness_mn_mm_per_rad: Figure,
}

/// How it hangs, and under which conditions.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HangReport {
    /// Shank from horizontal, degrees, positive tail down; `None`: it floats.
    pub angle_deg: Option<Figure>,
    /// Which side the point is on.
    pub rides: Option<&'static str>,
    /// Restoring moment per radian, mN mm/rad.
    #[serde(rename = "steadiness_mN_mm_per_rad")]
    pub steadiness_mn_mm_per_rad: Option<Figure>,
    /// A second rest that a snug knot can hold.
    pub second_rest: Option<RestReport>,
    /// Depth, m.
    pub depth_m: Figure,
    /// `fresh` or `soaked`.
    pub state: &'static str,
    /// `loop` or `snug`.
    pub knot: &'static str,
}

/// How it sinks: lowered on a tight line, at the attitude in which it hangs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FallReport {
    /// Vertical speed, m/s, positive down.
    pub sink_rate_m_s: Figure,
    /// Attitude held, degrees, positive tail down.
    pub attitude_deg: Figure,
    /// Horizontal speed, m/s; none on a tight line.
    pub glide_m_s: Figure,
    /// Whether this is a settled state.
    pub settled: bool,
}

/// Share of flies, tied within the stated spreads, that meet the target.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChanceReport {
    /// The share, 0 to 1.
    pub probability: Figure,
    /// Its standard error.
    pub standard_error: Figure,
    /// Number of flies drawn.
    pub samples: u64,
    /// Seed that they were drawn with.
    pub seed: u64,
}

/// What it costs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CostReport {
    /// Material for one fly.
    pub per_fly: Money,
    /// Money out of the pocket today; `None` where nobody asked.
    pub outlay: Option<Money>,
    /// Currency of both.
    pub currency: String,
}

/// Puts a fly and its prediction into figures, as rank 1 and without a margin.
#[must_use]
pub fn recipe_report(fly: &Fly, conditions: &Conditions, prediction: &Prediction, currency: &str) -> RecipeReport {
    let recipe = fly.recipe();
    RecipeReport {
        rank: 1,
        id: recipe.id(),
        recipe: RecipeFile::from(&recipe),
        parts: part_reports(fly, conditions, prediction),
        totals: totals(prediction),
        hang: hang_report(conditions, &prediction.hang),
        fall: FallReport {
            sink_rate_m_s: Figure(prediction.lowered.sink_rate),
            attitude_deg: Figure(prediction.lowered.attitude.to_degrees()),
            glide_m_s: Figure(0.0),
            settled: true,
        },
        chance: None,
        cost: CostReport { per_fly: fly::total_cost(fly), outlay: None, currency: currency.to_owned() },
        margin: None,
        warnings: prediction.warnings.iter().map(Notice::from).collect(),
    }
}

fn totals(prediction: &Prediction) -> Totals {
    let moments = prediction.moments;
    Totals {
        mass_mg: Figure(prediction.body.mass() * 1e6),
        volume_mm3: Figure(prediction.body.loads.iter().map(|l| l.volume).sum::<f64>() * 1e9),
        submerged_weight_mn: Figure(moments.weight * 1e3),
        moment_x_mn_mm: Figure(moments.x * 1e6),
        moment_y_mn_mm: Figure(moments.y * 1e6),
    }
}

fn rest_report(rest: &Rest) -> RestReport {
    RestReport {
        angle_deg: Figure(rest.angle.to_degrees()),
        rides: rest.rides.word(),
        steadiness_mn_mm_per_rad: Figure(rest.steadiness * 1e6),
    }
}

fn hang_report(conditions: &Conditions, hang: &Hang) -> HangReport {
    let (rest, other) = match hang {
        Hang::Taut { rest, other } => (Some(rest_report(rest)), other.as_ref().map(rest_report)),
        Hang::Floats => (None, None),
    };
    HangReport {
        angle_deg: rest.as_ref().map(|r| r.angle_deg),
        rides: rest.as_ref().map(|r| r.rides),
        steadiness_mn_mm_per_rad: rest.as_ref().map(|r| r.steadiness_mn_mm_per_rad),
        second_rest: other,
        depth_m: Figure(conditions.depth),
        state: conditions.state.word(),
        knot: match conditions.knot {
            Knot::Loop => "loop",
            Knot::Snug(_) => "snug",
        },
    }
}
