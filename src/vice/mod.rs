//! At the vice: what a half-tied fly should look like in a jar, what to change when it does not, and how to trim.
//!
//! [`stages`] follows the order of tying and says how the fly hangs at each point; [`correct`] goes from what was seen to
//! what to change; [`trim`] gives the length to start from and the chart to cut by. A jar is fresh water, the fly
//! at [`JAR_DEPTH_M`], soaked and on a free loop; the hang that counts is the finished fly's at its fishing depth.

pub mod correct;
pub mod minutes;
pub mod stages;
pub mod trim;

use crate::fly::{AsTied, Conditions, Fly, State};
use crate::physics::statics::Knot;
use crate::physics::water::{Water, WaterError};
use crate::spread::draws::{Spread, spreads};
use crate::spread::seen::READING_SD;
use crate::wanted::{Hands, Target};

/// Temperature of tap water that has stood in a room, C.
pub const JAR_CELSIUS: f64 = crate::wanted::defaults::JAR_C;

/// Depth at which a fly hangs in a jar, m. Common practice, no source.
pub const JAR_DEPTH_M: f64 = crate::wanted::defaults::JAR_DEPTH_M;

/// A jar of fresh water.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jar {
    /// Its water.
    pub water: Water,
    /// Standard deviation of an angle read in it, rad.
    pub reading_sd: f64,
}

impl Jar {
    /// Fresh water at a temperature, under the air of the place, Pa, read to [`READING_SD`].
    ///
    /// # Errors
    /// A temperature at which water is no water, or air that is no air.
    pub fn at(celsius: f64, air_pressure: f64) -> Result<Self, WaterError> {
        Ok(Self { water: Water::new(celsius, 0.0)?.under_air(air_pressure)?, reading_sd: READING_SD })
    }

    /// As conditions: a hand's breadth deep, soaked, on a free loop.
    #[must_use]
    pub fn conditions(&self) -> Conditions {
        Conditions { water: self.water, depth: JAR_DEPTH_M, state: State::Soaked, knot: Knot::Loop }
    }
}

/// One recipe at the vice: prepared for the jar and for the fishing depth.
#[derive(Debug, Clone)]
pub struct Bench<'a> {
    /// The recipe's fly.
    pub fly: Fly<'a>,
    /// What the finished fly must do.
    pub target: Target,
    /// The jar.
    pub jar: Jar,
    in_jar: AsTied<'a>,
    at_depth: AsTied<'a>,
    spreads: Vec<Spread>,
}

impl<'a> Bench<'a> {
    /// Prepares a recipe.
    #[must_use]
    pub fn new(fly: Fly<'a>, target: &Target, jar: Jar) -> Self {
        let hands = Hands { jar: jar.water, reading_sd: jar.reading_sd, ..target.hands };
        Self {
            fly,
            target: Target { hands, ..target.clone() },
            jar,
            in_jar: AsTied::new(fly, &jar.conditions()),
            at_depth: AsTied::new(fly, &target.conditions),
            spreads: spreads(&fly),
        }
    }

    /// What differs from fly to fly.
    #[must_use]
    pub fn spreads(&self) -> &[Spread] {
        &self.spreads
    }
}
