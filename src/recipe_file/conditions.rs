//! What a recipe was made for: the water, and what was asked of it there.

use crate::fly::{Conditions, Limits};
use crate::physics::constants::ATMOSPHERE;
use crate::physics::fall::Slack;
use crate::physics::friction::COEFFICIENT;
use crate::physics::statics::Knot;
use crate::quantity::{Angle, Interval, Length, Mass, Pressure, Salinity, Speed, Temperature, Time};
use crate::wanted::{Line, RidesWish, Target, TargetSpec, Window};
use serde::{Deserialize, Serialize};

/// The conditions of a recipe file: the same keys as in a target.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct ConditionsEntry {
    /// Fishing depth, or a range of depths.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<Interval<Length>>,
    /// Water temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<Temperature>,
    /// Salinity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub salinity: Option<Salinity>,
    /// Altitude of the water.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub altitude: Option<Length>,
    /// Pressure of the air on the water, in place of an altitude.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_pressure: Option<Pressure>,
    /// `soaked` or `fresh`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// `loop` or `snug`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub knot: Option<String>,
    /// Tippet diameter, for a snug knot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tippet: Option<Length>,
    /// Line on which it was asked to sink, where that is a slack one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub line: Option<String>,
    /// Share of the gap that was asked to stay clear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clear_gap: Option<f64>,
    /// Foam was allowed to stand out behind the tail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visible_foam: Option<bool>,
    /// Hang that was asked of it: what it is trimmed to at the vice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hang: Option<Angle>,
    /// How far off that it may be.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<Angle>,
    /// Side on which the point was asked to ride, where that is not the usual one of its hook.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rides: Option<String>,
    /// Sink rate that was asked of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sink: Option<Interval<Speed>>,
    /// A depth that it was asked to reach.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<Length>,
    /// Time in which it was asked to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within: Option<Time>,
    /// Least drop of the nose that was asked of it when the line goes slack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dive: Option<Angle>,
    /// How long the line goes slack for that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slack: Option<String>,
    /// Greatest mass that was asked of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_mass: Option<Mass>,
    /// Widest band within which friction was allowed to leave it off its hang.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_friction_band: Option<Angle>,
    /// Coefficient of friction that was counted with, where that is not the usual one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub friction: Option<f64>,
}

impl ConditionsEntry {
    /// Everything said, so that the file means the same when defaults change.
    #[must_use]
    pub fn new(conditions: &Conditions, limits: &Limits, line: Line) -> Self {
        let (knot, tippet) = match conditions.knot {
            Knot::Loop => ("loop", None),
            Knot::Snug(tippet) => ("snug", Some(Length::from_m(tippet.diameter))),
        };
        let usual = Limits::default();
        Self {
            depth: Some(Interval::Exactly(Length::from_m(conditions.depth))),
            water: Some(Temperature::from_celsius(conditions.water.temperature_c)),
            salinity: Some(Salinity::from_g_kg(conditions.water.salinity_g_kg)),
            altitude: None,
            air_pressure: (conditions.water.air_pressure != ATMOSPHERE)
                .then_some(Pressure::from_pa(conditions.water.air_pressure)),
            state: Some(conditions.state.word().to_owned()),
            knot: Some(knot.to_owned()),
            tippet,
            line: (line != Line::Tight).then(|| line.word().to_owned()),
            clear_gap: (limits.clear_gap != usual.clear_gap).then_some(limits.clear_gap),
            visible_foam: (limits.visible_foam != usual.visible_foam).then_some(limits.visible_foam),
            ..Self::default()
        }
    }

    /// The same with what a target asks of the fly in the water: what it is trimmed to, and what its share of right flies counts.
    #[must_use]
    pub fn asked_by(self, target: &Target) -> Self {
        let rides = match target.rides {
            RidesWish::JigsUp => None,
            RidesWish::Either => Some("either".to_owned()),
            RidesWish::Side(side) => Some(side.word().to_owned()),
        };
        let fall = &target.fall;
        let deep = Length::from_m(target.conditions.depth);
        let range = fall.shallow.map(|low| Interval::Between { low: Length::from_m(low), high: deep });
        let slack = fall.dive.map(|dive| match dive.slack {
            Slack::Time(s) => Time::from_s(s).to_string(),
            Slack::Drop(m) => Length::from_m(m).to_string(),
        });
        let friction = target.hands.eye_friction;
        Self {
            depth: range.or(self.depth),
            hang: Some(angle(target.hang)),
            tolerance: Some(angle(target.tolerance)),
            rides,
            sink: target.sink.and_then(rates),
            reach: fall.reach.map(|reach| Length::from_m(reach.depth)),
            within: fall.reach.map(|reach| Time::from_s(reach.within)),
            dive: fall.dive.map(|dive| angle(dive.least)),
            slack,
            max_mass: target.max_mass.map(Mass::from_kg),
            max_friction_band: target.max_band.map(angle),
            friction: (friction != COEFFICIENT).then_some(friction),
            ..self
        }
    }

    /// The same with what a file says was asked of it.
    #[must_use]
    pub fn asked_in(self, file: &TargetSpec) -> Self {
        Self {
            depth: file.depth.filter(|depth| !matches!(depth, Interval::Exactly(_))).or(self.depth),
            hang: file.hang,
            tolerance: file.tolerance,
            rides: file.rides.clone(),
            sink: file.sink,
            reach: file.reach,
            within: file.within,
            dive: file.dive,
            slack: file.slack.clone(),
            max_mass: file.max_mass,
            max_friction_band: file.max_friction_band,
            friction: file.friction,
            ..self
        }
    }

    /// The same as a target that states nothing else.
    #[must_use]
    pub fn spec(&self) -> TargetSpec {
        TargetSpec {
            depth: self.depth,
            water: self.water,
            salinity: self.salinity,
            altitude: self.altitude,
            air_pressure: self.air_pressure,
            state: self.state.clone(),
            knot: self.knot.clone(),
            tippet: self.tippet,
            line: self.line.clone(),
            clear_gap: self.clear_gap,
            visible_foam: self.visible_foam,
            hang: self.hang,
            tolerance: self.tolerance,
            rides: self.rides.clone(),
            sink: self.sink,
            reach: self.reach,
            within: self.within,
            dive: self.dive,
            slack: self.slack.clone(),
            max_mass: self.max_mass,
            max_friction_band: self.max_friction_band,
            friction: self.friction,
            ..TargetSpec::default()
        }
    }
}

/// To a thousandth of a degree: no more than anyone asks.
fn angle(rad: f64) -> Angle {
    Angle::from_deg((rad.to_degrees() * 1e3).round() / 1e3)
}

/// A window of sink rates as it is stated.
fn rates(window: Window) -> Option<Interval<Speed>> {
    let rate = Speed::from_m_s;
    match (window.low, window.high) {
        (Some(low), Some(high)) => Some(Interval::Between { low: rate(low), high: rate(high) }),
        (Some(low), None) => Some(Interval::AtLeast(rate(low))),
        (None, Some(high)) => Some(Interval::AtMost(rate(high))),
        (None, None) => None,
    }
}
