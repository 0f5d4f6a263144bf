//! How a fly goes down, in documented units.

use super::Figure;
use crate::error_budget::{Figures, OtherWater};
use crate::physics::doubt::band;
use crate::physics::fall::{Course, Passing, SlackFall, Stroke};
use crate::physics::leader::Leader;
use crate::sink::{DepthRow, Descent};
use serde::Serialize;

/// How one fly goes down, in one state of its dressing.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DescentReport {
    /// `soaked` or `fresh`.
    pub state: &'static str,
    /// One for each depth asked for.
    pub depths: Vec<DepthReport>,
    /// The fall on a slack line.
    pub slack_fall: SlackFallReport,
    /// The jig stroke; `None` for a fly that floats.
    pub stroke: Option<StrokeReport>,
}

/// The fly at one depth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DepthReport {
    /// Depth, m.
    pub depth_m: Figure,
    /// How it hangs there, degrees, positive tail down; `None`: it floats.
    pub hang_deg: Option<Figure>,
    /// Side of the point.
    pub rides: Option<&'static str>,
    /// Lift of the foam there over its lift at the surface; `None` without foam.
    pub lift_left: Option<Figure>,
    /// As it passes, lowered on a tight line.
    pub tight: Option<PassingReport>,
    /// As it passes on a slack line.
    pub slack: Option<PassingReport>,
}

/// The fly as it passes a depth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PassingReport {
    /// Seconds since it was let go at the surface.
    pub time_s: Figure,
    /// Vertical speed, m/s, positive down.
    pub speed_m_s: Figure,
    /// Shank from horizontal, degrees, positive tail down.
    pub attitude_deg: Figure,
}

/// The fall on a slack line from the hang.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SlackFallReport {
    /// `settles`, `flutters` or `tumbles`.
    pub course: &'static str,
    /// Whether it comes to a steady fall.
    pub settled: bool,
    /// Vertical speed, m/s, positive down; the mean of one that never settles.
    pub sink_rate_m_s: Figure,
    /// Lower end of the band in which it lies, m/s.
    pub low_m_s: Figure,
    /// Upper end of that band, m/s.
    pub high_m_s: Figure,
    /// Shank from horizontal, degrees, positive tail down; of one that never settles, at the end.
    pub attitude_deg: Figure,
    /// Side of the point in that attitude.
    pub rides: &'static str,
    /// Horizontal speed, m/s, positive head first.
    pub glide_m_s: Figure,
    /// Until it has settled, or for which it was followed, s.
    pub time_s: Figure,
    /// Other attitudes in which it could fall steadily after a knock, degrees.
    pub other_attitudes_deg: Vec<Figure>,
}

/// The jig stroke.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct StrokeReport {
    /// How long the line was slack, s.
    pub slack_s: Figure,
    /// How far the tie point went down, m.
    pub drop_m: Figure,
    /// How far the nose dropped from the hang, degrees; negative: it only rose.
    pub dive_deg: Figure,
    /// From the line coming tight until it stays within the tolerance of its hang, s; `None`: longer than 20 s.
    pub recovery_s: Option<Figure>,
}

/// A length of tippet that is drawn down.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct LeaderReport {
    /// Length, m.
    pub length_m: Figure,
    /// Diameter, mm.
    pub diameter_mm: Figure,
    /// Density, kg/m3.
    pub density_kg_m3: Figure,
}

/// What another water would change.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct OtherWaterReport {
    /// Temperature, C.
    pub temperature_c: Figure,
    /// Salinity, g/kg.
    pub salinity_g_kg: Figure,
    /// Change of the hang, degrees; `None` where it floats in either.
    pub hang_change_deg: Option<Figure>,
    /// Change of the sink rate on a tight line, m/s.
    pub tight_change_m_s: Option<Figure>,
    /// Change of the sink rate on a slack line, m/s.
    pub slack_change_m_s: Figure,
}

/// Puts a descent into figures.
#[must_use]
pub fn descent_report(descent: &Descent) -> DescentReport {
    DescentReport {
        state: descent.state.word(),
        depths: descent.rows.iter().map(depth_report).collect(),
        slack_fall: slack_fall_report(&descent.fall),
        stroke: descent.stroke.as_ref().map(stroke_report),
    }
}

fn depth_report(row: &DepthRow) -> DepthReport {
    let rest = row.hang.rest();
    DepthReport {
        depth_m: Figure(row.depth),
        hang_deg: rest.map(|r| Figure(r.angle.to_degrees())),
        rides: rest.map(|r| r.rides.word()),
        lift_left: row.lift_left.map(Figure),
        tight: row.tight.as_ref().map(passing_report),
        slack: row.slack.as_ref().map(passing_report),
    }
}

fn passing_report(passing: &Passing) -> PassingReport {
    PassingReport {
        time_s: Figure(passing.time),
        speed_m_s: Figure(passing.speed),
        attitude_deg: Figure(passing.attitude.to_degrees()),
    }
}

fn slack_fall_report(fall: &SlackFall) -> SlackFallReport {
    let (low, high) = band(fall.sink_rate, fall.relative_sd);
    SlackFallReport {
        course: fall.course.word(),
        settled: fall.course == Course::Settles,
        sink_rate_m_s: Figure(fall.sink_rate),
        low_m_s: Figure(low),
        high_m_s: Figure(high),
        attitude_deg: Figure(fall.attitude.to_degrees()),
        rides: fall.rides.word(),
        glide_m_s: Figure(fall.glide),
        time_s: Figure(fall.time),
        other_attitudes_deg: fall.others.iter().map(|s| Figure(s.attitude().to_degrees())).collect(),
    }
}

fn stroke_report(stroke: &Stroke) -> StrokeReport {
    StrokeReport {
        slack_s: Figure(stroke.slack_time),
        drop_m: Figure(stroke.drop),
        dive_deg: Figure(stroke.dive.to_degrees()),
        recovery_s: stroke.recovery.map(Figure),
    }
}

impl From<&Leader> for LeaderReport {
    fn from(leader: &Leader) -> Self {
        Self {
            length_m: Figure(leader.length),
            diameter_mm: Figure(leader.diameter * 1e3),
            density_kg_m3: Figure(leader.density),
        }
    }
}

/// Puts what other waters change into figures.
#[must_use]
pub fn other_water_reports(base: &Figures, others: &[OtherWater]) -> Vec<OtherWaterReport> {
    let change = |a: Option<f64>, b: Option<f64>| a.zip(b).map(|(a, b)| a - b);
    others
        .iter()
        .map(|other| OtherWaterReport {
            temperature_c: Figure(other.water.temperature_c),
            salinity_g_kg: Figure(other.water.salinity_g_kg),
            hang_change_deg: change(other.figures.hang, base.hang).map(|v| Figure(v.to_degrees())),
            tight_change_m_s: change(other.figures.tight, base.tight).map(Figure),
            slack_change_m_s: Figure(other.figures.slack - base.slack),
        })
        .collect()
}
