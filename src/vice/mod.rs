//! At the vice: what a half-tied fly should look like in the hand and in a jar, what to change when it does not, and how to
//! trim.
//!
//! [`stages`] follows the order of tying and says how the fly hangs at each point; [`forecast`] what such a test is worth;
//! [`correct`] goes from what was seen to what to change; [`trim`] gives the length to start from and the chart to cut by. A
//! jar is fresh water, the fly at [`JAR_DEPTH_M`], soaked and on a free loop; in the hand it hangs in air, dry, on a free loop.
//! The hang that counts is the finished fly's at its fishing depth. Foam that is to be trimmed is on at its start length.

pub mod correct;
pub mod forecast;
pub mod medium;
pub mod minutes;
pub mod range;
mod stage;
pub mod stages;
pub mod trim;

pub use medium::{HangTest, Medium};
pub use stage::Stage;

use crate::fly::{AsTied, Conditions, Deviation, Fly, State};
use crate::physics::friction;
use crate::physics::statics::{Knot, Moments, Rides, hang};
use crate::physics::water::{Water, WaterError};
use crate::quantity::Microns;
use crate::spread::draws::{Spread, spreads};
use crate::spread::seen::READING_SD;
use crate::spread::turn;
use crate::wanted::{Hands, Target};
use trim::Trim;

/// Temperature of tap water that has stood in a room, and of that room, C.
pub const JAR_CELSIUS: f64 = crate::wanted::defaults::JAR_C;

/// Depth at which a fly hangs in a jar, m. Common practice, no source.
pub const JAR_DEPTH_M: f64 = crate::wanted::defaults::JAR_DEPTH_M;

/// A jar of fresh water, and the air over the vice.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jar {
    /// Its water.
    pub water: Water,
    /// The air, as a fluid.
    pub air: Water,
    /// Standard deviation of an angle read in it, rad.
    pub reading_sd: f64,
}

impl Jar {
    /// Fresh water at a temperature, under the air of the place, Pa, read to [`READING_SD`]; the room is as warm.
    ///
    /// # Errors
    /// A temperature at which water is no water, or air that is no air.
    pub fn at(celsius: f64, air_pressure: f64) -> Result<Self, WaterError> {
        let water = Water::new(celsius, 0.0)?.under_air(air_pressure)?;
        let air = Water::air(celsius)?.under_air(air_pressure)?;
        Ok(Self { water, air, reading_sd: READING_SD })
    }

    /// As conditions: a hand's breadth deep, soaked, on a free loop.
    #[must_use]
    pub fn conditions(&self) -> Conditions {
        Conditions { water: self.water, depth: JAR_DEPTH_M, state: State::Soaked, knot: Knot::Loop }
    }

    /// The same of either medium. Without air between its fibres a dressing displaces what its fibres do, in air as in water.
    #[must_use]
    pub fn conditions_in(&self, medium: Medium) -> Conditions {
        match medium {
            Medium::Water => self.conditions(),
            Medium::Air => Conditions { water: self.air, depth: 0.0, ..self.conditions() },
        }
    }
}

/// One recipe at the vice: prepared for the hand, the jar and the fishing depth.
#[derive(Debug, Clone)]
pub struct Bench<'a> {
    /// The recipe's fly.
    pub fly: Fly<'a>,
    /// What the finished fly must do.
    pub target: Target,
    /// The jar.
    pub jar: Jar,
    in_air: AsTied<'a>,
    in_jar: AsTied<'a>,
    at_depth: AsTied<'a>,
    spreads: Vec<Spread>,
    trim: Option<Trim>,
    /// Foam that is on, m, where it is neither the recipe's nor at its start length.
    foam_on: Option<f64>,
}

impl<'a> Bench<'a> {
    /// Prepares a recipe.
    #[must_use]
    pub fn new(fly: Fly<'a>, target: &Target, jar: Jar) -> Self {
        let hands = Hands { jar: jar.water, reading_sd: jar.reading_sd, ..target.hands };
        let mut bench = Self {
            fly,
            target: Target { hands, ..target.clone() },
            jar,
            in_air: AsTied::new(fly, &jar.conditions_in(Medium::Air)),
            in_jar: AsTied::new(fly, &jar.conditions()),
            at_depth: AsTied::new(fly, &target.conditions),
            spreads: spreads(&fly),
            trim: None,
            foam_on: None,
        };
        bench.trim = bench.how_to_trim();
        bench
    }

    /// What differs from fly to fly.
    #[must_use]
    pub fn spreads(&self) -> &[Spread] {
        &self.spreads
    }

    /// How to trim; `None` without foam in the tail, or where trimming makes no more flies right than leaving them alone.
    #[must_use]
    pub fn trim(&self) -> Option<&Trim> {
        self.trim.as_ref()
    }

    /// The same with foam of another length on.
    #[must_use]
    pub fn with_foam_on(self, length: Microns) -> Self {
        Self { foam_on: Some(length.m()), ..self }
    }

    /// How much longer than the recipe's the foam is after a stage, m: what is to be trimmed is bound in at its start length.
    #[must_use]
    pub fn surplus(&self, stage: Stage) -> f64 {
        let Some(piece) = self.fly.foam.filter(|_| stage >= Stage::Foam) else { return 0.0 };
        let start = self.trim.as_ref().map(|trim| trim.start.m());
        self.foam_on.or(start).map_or(0.0, |length| length - piece.length.m())
    }

    fn tied(&self, medium: Medium) -> &AsTied<'a> {
        match medium {
            Medium::Air => &self.in_air,
            Medium::Water => &self.in_jar,
        }
    }

    fn moments_at(&self, test: HangTest, deviation: &Deviation) -> Moments {
        let surplus = self.surplus(test.stage);
        let deviation = Deviation { foam_length: deviation.foam_length + surplus, ..*deviation };
        self.tied(test.medium).moments_of(&deviation, |label| Stage::of(label, &self.fly) <= test.stage)
    }

    /// Turn that a test shows, rad, counted from `side`; `None` if it floats. The deviation is from what is on then: see
    /// [`Self::surplus`].
    #[must_use]
    pub fn turn_at(&self, test: HangTest, deviation: &Deviation, side: Rides) -> Option<f64> {
        turn(&hang(self.moments_at(test, deviation), Knot::Loop, self.fly.hook.neck_angle), side)
    }

    /// Turn of the finished fly at its fishing depth, rad, counted from the side that the recipe rides on.
    #[must_use]
    pub fn turn_at_depth(&self, deviation: &Deviation) -> Option<f64> {
        let knot = self.at_depth.conditions.knot;
        turn(&hang(self.at_depth.moments(deviation), knot, self.fly.hook.neck_angle), self.side_at_depth())
    }

    /// Side on which a test shows a fly without any deviation; point-up if it floats.
    #[must_use]
    pub fn side_at(&self, test: HangTest) -> Rides {
        let moments = self.moments_at(test, &Deviation::NONE);
        hang(moments, Knot::Loop, self.fly.hook.neck_angle).rest().map_or(Rides::PointUp, |r| r.rides)
    }

    /// Side on which the finished fly rides at depth as written; point-up if it floats.
    #[must_use]
    pub fn side_at_depth(&self) -> Rides {
        let knot = self.at_depth.conditions.knot;
        hang(self.at_depth.moments(&Deviation::NONE), knot, self.fly.hook.neck_angle)
            .rest()
            .map_or(Rides::PointUp, |r| r.rides)
    }

    /// Standard deviation of one reading of a test, rad: of the eye, and of where friction leaves the fly. A dry tippet in the
    /// hand rubs more than a wet one.
    #[must_use]
    pub fn reading_error(&self, test: HangTest) -> f64 {
        let coefficient = match test.medium {
            Medium::Air => friction::DRY_COEFFICIENT,
            Medium::Water => self.target.hands.eye_friction,
        };
        let lever = friction::lever(self.fly.hook.eye_inner_diameter, coefficient);
        let band = friction::band(self.moments_at(test, &Deviation::NONE), lever);
        self.jar.reading_sd.hypot(band.min(friction::MOST_HELD) / 3f64.sqrt())
    }
}
