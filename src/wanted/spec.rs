//! A target as people state it: every key optional, with units; and the defaults that fill the rest, said aloud.

use super::one_or_many::{OneOrMany, one_or_many};
use crate::quantity::{Angle, Interval, Length, Mass, Money, Pressure, Salinity, Speed, Temperature, Time};
use serde::{Deserialize, Serialize};

/// Words that a target may hold.
pub(super) const RIDES: &[&str] = &["point-up", "point-down", "either"];
pub(super) const LINES: &[&str] = &["tight", "slack"];
pub(super) const STATES: &[&str] = &["soaked", "fresh"];
pub(super) const KNOTS: &[&str] = &["loop", "snug"];

/// These words, or nothing, as a schema has them.
fn or_nothing(words: &'static [&'static str]) -> Vec<Option<&'static str>> {
    words.iter().copied().map(Some).chain([None]).collect()
}

/// A stated target. A file holds these keys; flags of the same name win over it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct TargetSpec {
    /// Hook sizes.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "one_or_many")]
    #[schemars(with = "OneOrMany<u8>")]
    pub size: Vec<u8>,
    /// Hook styles; `jig` means jig-60 and jig-90.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "one_or_many")]
    #[schemars(with = "OneOrMany<String>")]
    pub style: Vec<String>,
    /// Hook id.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hook: Option<String>,
    /// Dressing pattern id.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pattern: Option<String>,
    /// Dressing pattern ids: one base, the same hook, bead, wire and foam, that meets the target under each of them. In place of
    /// `pattern`.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "one_or_many")]
    #[schemars(with = "OneOrMany<String>")]
    pub each_pattern: Vec<String>,
    /// Hang angle, positive tail down, or `level`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub hang: Option<Angle>,
    /// Tolerance on the hang.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tolerance: Option<Angle>,
    /// `point-up`, `point-down` or `either`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("enum" = or_nothing(RIDES)))]
    pub rides: Option<String>,
    /// Sink rate.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sink: Option<Interval<Speed>>,
    /// Line on which it sinks: `tight` or `slack`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("enum" = or_nothing(LINES)))]
    pub line: Option<String>,
    /// A depth to be reached, let go at the surface.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reach: Option<Length>,
    /// Time in which it has to be reached.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub within: Option<Time>,
    /// Least drop of the nose from the hang when the line goes slack.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dive: Option<Angle>,
    /// How long the line goes slack in a jig stroke: a time, or a drop.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub slack: Option<String>,
    /// Fishing depth, or a range of depths over which hang and sink rate must hold.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth: Option<Interval<Length>>,
    /// Water temperature.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub water: Option<Temperature>,
    /// Salinity.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub salinity: Option<Salinity>,
    /// Altitude of the water, for the pressure of the standard atmosphere there.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub altitude: Option<Length>,
    /// Pressure of the air on the water, in place of an altitude.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air_pressure: Option<Pressure>,
    /// `soaked` or `fresh`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("enum" = or_nothing(STATES)))]
    pub state: Option<String>,
    /// `loop` or `snug`.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(extend("enum" = or_nothing(KNOTS)))]
    pub knot: Option<String>,
    /// Tippet diameter, for a snug knot.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tippet: Option<Length>,
    /// No part may contain lead.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead_free: Option<bool>,
    /// Widest band within which friction of the loop in the eye may leave it off its hang, either way.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_friction_band: Option<Angle>,
    /// Greatest mass of the fly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_mass: Option<Mass>,
    /// Greatest cost of material for one fly.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub max_cost: Option<Money>,
    /// Coefficient of friction of the loop in the eye.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub friction: Option<f64>,
    /// Share of the gap that stays clear.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub clear_gap: Option<f64>,
    /// Let foam stand out behind the tail.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub visible_foam: Option<bool>,
    /// Part filters to keep.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "one_or_many")]
    #[schemars(with = "OneOrMany<String>")]
    pub only: Vec<String>,
    /// Part filters to drop.
    #[serde(skip_serializing_if = "Vec::is_empty", deserialize_with = "one_or_many")]
    #[schemars(with = "OneOrMany<String>")]
    pub not: Vec<String>,
    /// Step of foam length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub foam_step: Option<Length>,
    /// Step of where the wraps start.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wrap_step: Option<Length>,
}

/// Something that was assumed because nothing was said.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct Assumption {
    /// The key that would change it.
    pub key: &'static str,
    /// What was assumed, in words.
    pub text: String,
}

/// What stands where nothing is said. Common practice, no source, unless a comment says otherwise.
pub mod defaults {
    /// Tolerance on the hang, degrees: what an eye in front of a jar can tell.
    pub const TOLERANCE_DEG: f64 = 5.0;
    /// Least sink rate, m/s: enough weight to pull the line straight.
    pub const LEAST_SINK_M_S: f64 = 0.10;
    /// Fishing depth, m.
    pub const DEPTH_M: f64 = 1.0;
    /// How long the line goes slack in a jig stroke, s.
    pub const SLACK_S: f64 = 0.5;
    /// Water temperature, degrees Celsius.
    pub const WATER_C: f64 = 12.0;
    /// Dressing pattern.
    pub const PATTERN: &str = "fur-leech";
    /// Tippet diameter, mm.
    pub const TIPPET_MM: f64 = 0.18;
    /// Young's modulus of wet nylon, Pa: a resin maker's figure for polyamide 66 at equilibrium moisture; drawn line is
    /// stiffer when dry and creeps when wet.
    pub const NYLON_WET_PA: f64 = 1.5e9;
    /// Density of nylon tippet, kg/m3: Morton & Hearle 2008, table 5.1 (read in a web copy).
    pub const NYLON_KG_M3: f64 = 1140.0;
    /// Temperature of tap water that has stood in a room, C.
    pub const JAR_C: f64 = 20.0;
    /// Depth at which a fly hangs in a jar, m.
    pub const JAR_DEPTH_M: f64 = 0.1;
    /// Standard deviation of an angle read off a fly in a jar, degrees.
    pub const READING_DEG: f64 = 3.0;
    /// Step in which scissors shorten foam, micrometres.
    pub const SCISSORS_UM: i32 = 500;
    /// Step of foam length, micrometres.
    pub const FOAM_STEP_UM: i32 = 500;
    /// Step of where the wraps start, micrometres.
    pub const WRAP_STEP_UM: i32 = 1000;
}

macro_rules! merge_options {
    ($into:ident, $from:ident, $($key:ident),+ $(,)?) => { $( if $from.$key.is_some() { $into.$key = $from.$key; } )+ };
}
macro_rules! merge_lists {
    ($into:ident, $from:ident, $($key:ident),+ $(,)?) => { $( if !$from.$key.is_empty() { $into.$key = $from.$key; } )+ };
}

impl TargetSpec {
    /// This target with every key that `over` states replaced.
    #[must_use]
    pub fn overridden_by(self, over: Self) -> Self {
        let mut into = self;
        // Two ways to say the same: what is laid over replaces either.
        if over.pattern.is_some() || !over.each_pattern.is_empty() {
            (into.pattern, into.each_pattern) = (None, Vec::new());
        }
        merge_lists!(into, over, size, style, each_pattern, only, not);
        merge_options!(
            into,
            over,
            hook,
            pattern,
            hang,
            tolerance,
            rides,
            sink,
            line,
            reach,
            within,
            dive,
            slack,
            depth,
            water,
            salinity,
            altitude,
            air_pressure,
            state,
            knot,
            tippet,
            lead_free,
            max_friction_band,
            max_mass,
            max_cost,
            friction,
            clear_gap,
            visible_foam,
            foam_step,
            wrap_step,
        );
        into
    }
}
