//! One fly and what is predicted for it, in documented units: what every format shares.

use super::check::CheckReport;
use super::figure::Figure;
use super::notice::{Notice, merged_warnings};
use super::part::{PartReport, part_reports};
use super::side_view::side_view;
use super::story::{hook_story, story, story_asked};
use crate::assess::{LineFall, Prediction, assess, line_fall, predict};
use crate::fly::{self, Conditions, Fly, Idea, Limits};
use crate::physics::fall::Course;
use crate::physics::friction;
use crate::physics::statics::{Hang, Knot, Rest, Rides};
use crate::physics::warning::{Warning, note_worst};
use crate::quantity::Money;
use crate::recipe_file::{ConditionsEntry, RecipeFile};
use crate::spread::shares::Shares;
use crate::wanted::{Line, Target};
use serde::Serialize;

/// A recipe with its figures.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RecipeReport {
    /// Place in the list, from 1.
    pub rank: usize,
    /// Stable id of the recipe.
    pub id: String,
    /// How the fly is balanced, in words of the trade.
    pub idea: String,
    /// What balances it, as a tyer tells it.
    pub told: String,
    /// What it is tied on, as a tyer tells it.
    pub tied_on: String,
    /// The recipe as its file holds it, with the conditions of these figures.
    pub recipe: RecipeFile,
    /// Parts in tying order, one entry for each part and each component of the dressing.
    pub parts: Vec<PartReport>,
    /// The whole fly.
    pub totals: Totals,
    /// How it hangs.
    pub hang: HangReport,
    /// How it sinks, on the line that was asked for.
    pub fall: FallReport,
    /// Everything that was asked, as it was judged.
    pub checks: Vec<CheckReport>,
    /// How sure it is that a fly tied this way meets the target; `None` where no target was given or nobody asked.
    pub chance: Option<ChanceReport>,
    /// What it costs.
    pub cost: CostReport,
    /// How far inside the narrowest requirement it lies, 0 to 1; `None` without a target.
    pub margin: Option<Figure>,
    /// Whether any part contains lead.
    pub contains_lead: bool,
    /// Limits of the model that were reached.
    pub warnings: Vec<Notice>,
    /// The same base under each dressing, where several were asked; what stands above is under the first of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub dressings: Vec<DressedReport>,
    /// The same, for a summary of many recipes.
    #[serde(skip)]
    pub limits: Vec<Warning>,
    /// It from the side in letters, as it hangs; empty unless asked for.
    #[serde(skip)]
    pub side_view: Vec<String>,
}

/// Sums over all parts.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct HangReport {
    /// Shank from horizontal, degrees, positive tail down; `None`: it floats.
    pub angle_deg: Option<Figure>,
    /// Which side the point is on.
    pub rides: Option<&'static str>,
    /// Restoring moment per radian, mN mm/rad.
    #[serde(rename = "steadiness_mN_mm_per_rad")]
    pub steadiness_mn_mm_per_rad: Option<Figure>,
    /// How far either way friction of a loop in the eye can leave it, degrees; `None`: it floats, or a snug knot holds it.
    pub friction_band_deg: Option<Figure>,
    /// A second rest that a snug knot can hold.
    pub second_rest: Option<RestReport>,
    /// Depth, m.
    pub depth_m: Figure,
    /// `fresh` or `soaked`.
    pub state: &'static str,
    /// `loop` or `snug`.
    pub knot: &'static str,
}

/// How it sinks, on the line that was asked for.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct FallReport {
    /// `tight`: lowered, at the attitude in which it hangs; `slack`: free.
    pub line: &'static str,
    /// Vertical speed, m/s, positive down; the mean of a fall that never settles.
    pub sink_rate_m_s: Figure,
    /// The true rate is expected from here, m/s; `None` where that is not worked out.
    pub low_m_s: Option<Figure>,
    /// To here, m/s.
    pub high_m_s: Option<Figure>,
    /// Attitude held, degrees, positive tail down.
    pub attitude_deg: Figure,
    /// Horizontal speed, m/s, positive head first; none on a tight line.
    pub glide_m_s: Figure,
    /// Whether this is a settled state.
    pub settled: bool,
}

/// Share of flies, tied within the stated spreads, that meet the target.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ChanceReport {
    /// The share as tied, 0 to 1.
    pub as_tied: Figure,
    /// The share after trimming in the jar; `None` where nothing can be trimmed.
    pub trimmed: Option<Figure>,
    /// The one that a requirement counts: `as_tied` or `trimmed`.
    pub counted: &'static str,
    /// The least that is asked for, if any is.
    pub floor: Option<Figure>,
    /// How it was worked out.
    pub method: String,
}

impl ChanceReport {
    /// The share that counts.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.trimmed.filter(|_| self.counted == "trimmed").unwrap_or(self.as_tied).0
    }

    /// "93 of 100 come out right when trimmed, 41 as tied".
    #[must_use]
    pub fn told(&self) -> String {
        let of_hundred = |share: Figure| format!("{:.0} of 100 come out right", share.0 * 100.0);
        match self.trimmed {
            Some(trimmed) => format!("{} when trimmed, {:.0} as tied", of_hundred(trimmed), self.as_tied.0 * 100.0),
            None => of_hundred(self.as_tied),
        }
    }

    /// "84 %".
    #[must_use]
    pub fn words(&self) -> String {
        format!("{:.0} %", self.share() * 100.0)
    }
}

/// What it costs.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CostReport {
    /// Material for one fly.
    pub per_fly: Money,
    /// Money out of the pocket today; `None` where nobody asked.
    pub outlay: Option<Money>,
    /// Currency of both.
    pub currency: String,
}

impl RecipeReport {
    /// A fly held against a target, as rank 1: every figure, every check.
    #[must_use]
    pub fn judged(fly: &Fly, target: &Target, currency: &str) -> Self {
        let assessment = assess(fly, target);
        let side = target.rides.side(fly.hook);
        let mut checks = vec![CheckReport::fit(assessment.misfit.as_ref())];
        checks.extend(assessment.checks.iter().map(|check| CheckReport::new(check, side)));
        let judged = Judged {
            fly,
            conditions: &target.conditions,
            limits: &target.limits,
            line: target.fall.line,
            eye_friction: target.hands.eye_friction,
            prediction: &assessment.prediction,
        };
        let mut report = judged.report(assessment.misfit.as_ref(), currency);
        report.recipe.conditions = report.recipe.conditions.map(|conditions| conditions.asked_by(target));
        report.told = story_asked(fly, &target.choice);
        report.checks = checks;
        report.margin = Some(Figure(assessment.margin));
        report
    }

    /// A fly of which nothing is asked but that it can be tied.
    #[must_use]
    pub fn predicted(fly: &Fly, conditions: &Conditions, limits: &Limits, line: Line, currency: &str) -> Self {
        let misfit = fly::first_misfit(fly, limits);
        let prediction = predict(fly, conditions);
        let eye_friction = friction::COEFFICIENT;
        let judged = Judged { fly, conditions, limits, line, eye_friction, prediction: &prediction };
        Self { checks: vec![CheckReport::fit(misfit.as_ref())], ..judged.report(misfit.as_ref(), currency) }
    }

    /// With a view from the side in letters, where it hangs at all. `fly` is the fly of this report.
    #[must_use]
    pub fn with_side_view(mut self, fly: &Fly) -> Self {
        let rides = [Rides::PointUp, Rides::PointDown].into_iter().find(|side| self.hang.rides == Some(side.word()));
        if let (Some(Figure(angle)), Some(rides)) = (self.hang.angle_deg, rides) {
            self.side_view = side_view(fly, angle.to_radians(), rides, SIDE_VIEW_COLUMNS);
        }
        self
    }

    /// At another place in the list.
    #[must_use]
    pub fn ranked(self, rank: usize) -> Self {
        Self { rank, ..self }
    }

    /// With the money that leaves the pocket today.
    #[must_use]
    pub fn with_outlay(mut self, outlay: Option<Money>) -> Self {
        self.cost.outlay = outlay;
        self
    }

    /// With the shares of flies that come out right, worked out without drawing any, and the least that was asked.
    #[must_use]
    pub fn with_shares(mut self, shares: Shares, floor: Option<f64>) -> Self {
        let report = ChanceReport {
            as_tied: Figure(shares.as_tied),
            trimmed: shares.trimmed.map(Figure),
            counted: if shares.trimmed.is_some() { "trimmed" } else { "as_tied" },
            floor: floor.map(Figure),
            method: "joint normal spreads of catalog and tying, worked out without drawing any".to_owned(),
        };
        self.checks.extend(floor.map(|floor| CheckReport::chance(report.share(), floor)));
        self.chance = Some(report);
        self
    }

    /// With the shares of a fly as a target counts them, held against what it asks; without the trimmed one where it asks for
    /// flies left alone.
    #[must_use]
    pub fn with_shares_asked(self, shares: &Shares, target: &Target) -> Self {
        self.with_shares(shares.as_asked(target), target.share.map(|floor| floor.least))
    }

    /// With further limits of the model that were reached.
    #[must_use]
    pub fn noting(mut self, warnings: &[Warning]) -> Self {
        warnings.iter().for_each(|w| note_worst(&mut self.limits, w.clone()));
        let misfit = self.warnings.iter().filter(|n| n.code == MISFIT).cloned();
        self.warnings = misfit.chain(merged_warnings(std::iter::once(self.limits.as_slice()))).collect();
        self
    }

    /// What is asked and not met.
    pub fn missed(&self) -> impl Iterator<Item = &CheckReport> {
        self.checks.iter().filter(|check| !check.met)
    }
}

/// Characters across of a view from the side: it fits the narrowest paper.
const SIDE_VIEW_COLUMNS: usize = 48;

/// Code of the warning that a recipe cannot be tied.
pub const MISFIT: &str = "misfit";

/// A fly with what was computed for it.
struct Judged<'j, 'a> {
    fly: &'j Fly<'a>,
    conditions: &'j Conditions,
    limits: &'j Limits,
    line: Line,
    eye_friction: f64,
    prediction: &'j Prediction,
}

impl Judged<'_, '_> {
    fn report(&self, misfit: Option<&fly::Misfit>, currency: &str) -> RecipeReport {
        let Self { fly, conditions, limits, line, eye_friction, prediction } = *self;
        let recipe = fly.recipe();
        let fall = line_fall(fly, conditions, line, prediction);
        let file = RecipeFile { conditions: Some(ConditionsEntry::new(conditions, limits, line)), ..(&recipe).into() };
        let misfit = misfit.map(|m| Notice::new(MISFIT, format!("this cannot be tied as written: {m}")));
        RecipeReport {
            rank: 1,
            id: recipe.id(),
            idea: Idea::of(fly).to_string(),
            told: story(fly),
            tied_on: hook_story(fly.hook),
            recipe: file,
            parts: part_reports(fly, conditions, prediction),
            totals: totals(prediction),
            hang: hang_report(fly, conditions, eye_friction, prediction),
            fall: fall_report(&fall),
            checks: Vec::new(),
            chance: None,
            cost: CostReport { per_fly: fly::total_cost(fly), outlay: None, currency: currency.to_owned() },
            margin: None,
            contains_lead: fly.contains_lead(),
            warnings: misfit.into_iter().chain(fall.warnings.iter().map(Notice::from)).collect(),
            dressings: Vec::new(),
            limits: fall.warnings,
            side_view: Vec::new(),
        }
    }
}

fn fall_report(fall: &LineFall) -> FallReport {
    FallReport {
        line: fall.line.word(),
        sink_rate_m_s: Figure(fall.sink_rate),
        low_m_s: fall.band.map(|(low, _)| Figure(low)),
        high_m_s: fall.band.map(|(_, high)| Figure(high)),
        attitude_deg: Figure(fall.attitude.to_degrees()),
        glide_m_s: Figure(fall.glide),
        settled: fall.course == Course::Settles,
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

fn friction_band(fly: &Fly, conditions: &Conditions, eye_friction: f64, prediction: &Prediction) -> Option<f64> {
    let lever = friction::lever(fly.hook.eye_inner_diameter, eye_friction);
    let held = prediction.hang.rest().is_some() && conditions.knot == Knot::Loop;
    held.then(|| friction::band(prediction.moments, lever))
}

fn hang_report(fly: &Fly, conditions: &Conditions, eye_friction: f64, prediction: &Prediction) -> HangReport {
    let (rest, other) = match &prediction.hang {
        Hang::Taut { rest, other } => (Some(rest_report(rest)), other.as_ref().map(rest_report)),
        Hang::Floats => (None, None),
    };
    HangReport {
        angle_deg: rest.as_ref().map(|r| r.angle_deg),
        rides: rest.as_ref().map(|r| r.rides),
        steadiness_mn_mm_per_rad: rest.as_ref().map(|r| r.steadiness_mn_mm_per_rad),
        friction_band_deg: friction_band(fly, conditions, eye_friction, prediction)
            .map(|band| Figure(band.to_degrees())),
        second_rest: other,
        depth_m: Figure(conditions.depth),
        state: conditions.state.word(),
        knot: match conditions.knot {
            Knot::Loop => "loop",
            Knot::Snug(_) => "snug",
        },
    }
}

/// What one base does under one of the dressings that were asked.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DressedReport {
    /// Dressing pattern id.
    pub pattern: String,
    /// How its foam is trimmed in the jar; `None` where it is left as written.
    pub foam: Option<DressedFoam>,
    /// The base with this dressing, as any recipe.
    #[serde(flatten)]
    pub fly: RecipeReport,
}

/// Foam of a base under one dressing.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DressedFoam {
    /// Length to which it is cut before the jar when this dressing goes on, mm.
    pub start_mm: f64,
    /// Length at which a fly without any deviation hangs as wanted, mm: where trimming is expected to end.
    pub trimmed_mm: Figure,
    /// Hang with the length to which the first dressing is trimmed, degrees, positive tail down: how far one jar test does for
    /// all; `None` where that dressing is not trimmed, or it floats.
    pub hang_as_first_deg: Option<Figure>,
}
