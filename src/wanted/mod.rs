//! What is wanted: a target, as named requirements over a choice of parts.

mod dressings;
mod error;
mod facet;
mod fall;
mod faults;
mod filter;
mod located;
mod one_or_many;
mod spec;
mod stated;

pub use dressings::MOST_DRESSINGS;
pub use error::{FilterError, Known, TargetError};
pub use facet::Facet;
pub use fall::{Dive, FallWish, Line, Reach};
pub use filter::Filter;
pub use spec::{Assumption, TargetSpec, defaults};

use crate::fly::{Conditions, Limits};
use crate::part::{Dressing, Hook, HookStyle};
use crate::physics::friction;
use crate::physics::statics::Rides;
use crate::physics::water::{Water, WaterError};
use crate::quantity::{Microns, Money};
use std::f64::consts::FRAC_PI_2;
use std::fmt;
use std::sync::Arc;

/// A closed window of a figure; either side may be open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Least value, if there is one.
    pub low: Option<f64>,
    /// Greatest value, if there is one.
    pub high: Option<f64>,
}

impl Window {
    /// How far inside the window a value lies: 1 in the middle, 0 on the edge, negative outside. With one edge only, a
    /// value a quarter beyond it counts as 1.
    #[must_use]
    pub fn margin(&self, value: f64) -> f64 {
        match (self.low, self.high) {
            (Some(low), Some(high)) => {
                let half = (0.5 * (high - low)).max(f64::MIN_POSITIVE);
                (value - low).min(high - value) / half
            }
            (Some(low), None) => ((value - low) / (0.25 * low.abs()).max(f64::MIN_POSITIVE)).min(1.0),
            (None, Some(high)) => ((high - value) / (0.25 * high.abs()).max(f64::MIN_POSITIVE)).min(1.0),
            (None, None) => 1.0,
        }
    }

    /// Whether a value lies inside, edges included.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        self.low.is_none_or(|low| value >= low) && self.high.is_none_or(|high| value <= high)
    }

    /// How far outside a value lies, 0 inside.
    #[must_use]
    pub fn miss(&self, value: f64) -> f64 {
        let below = self.low.map_or(0.0, |low| low - value);
        let above = self.high.map_or(0.0, |high| value - high);
        below.max(above).max(0.0)
    }
}

/// Which side the point must be on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RidesWish {
    /// Up on jig hooks, which are made for it; either on others.
    #[default]
    JigsUp,
    /// Either.
    Either,
    /// As told.
    Side(Rides),
}

impl RidesWish {
    /// The side wanted on a hook, if it matters.
    #[must_use]
    pub fn side(self, hook: &Hook) -> Option<Rides> {
        match self {
            Self::JigsUp => hook.is_jig().then_some(Rides::PointUp),
            Self::Either => None,
            Self::Side(side) => Some(side),
        }
    }
}

/// Which parts may be used.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Choice {
    /// Hook sizes; empty: any.
    pub sizes: Vec<u8>,
    /// Hook styles; empty: any.
    pub styles: Vec<HookStyle>,
    /// Hook ids; empty: any.
    pub hooks: Vec<String>,
    /// Dressing id; of several the first, which prices count and a saved recipe has.
    pub dressing: String,
    /// The dressings, where the same hook, bead, wire and foam must meet the target under each of several; else none.
    pub each: Vec<Arc<Dressing>>,
    /// No part may contain lead.
    pub lead_free: bool,
    /// Part filters, all of which must hold.
    pub filters: Vec<Filter>,
    /// How many of the last filters are part of the question itself, like the bead of a comparison of beads: a requirement
    /// that may be let go is made by the others alone.
    pub held: usize,
}

impl Choice {
    /// How many of the filters make a requirement.
    #[must_use]
    pub fn required_filters(&self) -> usize {
        self.filters.len().saturating_sub(self.held)
    }

    /// Whether a hook may be used.
    #[must_use]
    pub fn allows(&self, hook: &Hook) -> bool {
        let lead = hook.head.as_ref().is_some_and(|h| h.material.contains_lead);
        (self.sizes.is_empty() || self.sizes.contains(&hook.size))
            && (self.styles.is_empty() || self.styles.contains(&hook.style))
            && (self.hooks.is_empty() || self.hooks.contains(&hook.row.id))
            && !(self.lead_free && lead)
            && self.filters.iter().all(|f| f.passes_hook(hook))
    }
}

/// Steps to which lengths are cut and placed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Grid {
    /// Step of foam length.
    pub foam: Microns,
    /// Step of where the wraps start.
    pub start: Microns,
}

/// The tyer's eye, jar and scissors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hands {
    /// Coefficient of friction of the loop in the eye.
    pub eye_friction: f64,
    /// Water in the jar.
    pub jar: Water,
    /// Standard deviation of an angle read off a fly in the jar, rad.
    pub reading_sd: f64,
    /// Step in which scissors shorten foam.
    pub scissors: Microns,
}

impl Hands {
    /// A jar of fresh water at a temperature, all else as usual.
    ///
    /// # Errors
    /// A temperature at which water is no water.
    pub fn with_jar_at(celsius: f64) -> Result<Self, WaterError> {
        Ok(Self {
            eye_friction: friction::COEFFICIENT,
            jar: Water::new(celsius, 0.0)?,
            reading_sd: defaults::READING_DEG.to_radians(),
            scissors: Microns::new(defaults::SCISSORS_UM),
        })
    }
}

/// Which share of flies is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Counted {
    /// Trimmed in the jar by the printed instructions, where that can be done.
    #[default]
    Trimmed,
    /// Tied as written and left alone.
    AsTied,
}

/// The least share of flies that must come out right.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ShareFloor {
    /// Share, 0 to 1.
    pub least: f64,
    /// Which share.
    pub counted: Counted,
}

impl fmt::Display for ShareFloor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let how = match self.counted {
            Counted::Trimmed => "trimmed in the jar where they can be",
            Counted::AsTied => "tied as written and left alone",
        };
        write!(f, "at least {:.0} % of flies come out right, {how}", 100.0 * self.least)
    }
}

/// Everything that decides whether a recipe is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Hang angle wanted, rad, positive tail down.
    pub hang: f64,
    /// Tolerance on it, rad.
    pub tolerance: f64,
    /// Which side the point must be on.
    pub rides: RidesWish,
    /// Sink rate, m/s, if it matters; on a tight line unless `fall` says otherwise.
    pub sink: Option<Window>,
    /// Widest band within which friction of the loop in the eye may leave it off its hang, rad either way.
    pub max_band: Option<f64>,
    /// Greatest mass of the fly, kg.
    pub max_mass: Option<f64>,
    /// Greatest cost of material for one fly.
    pub max_cost: Option<Money>,
    /// What is wanted of it on its way down.
    pub fall: FallWish,
    /// Water, depth (the deepest of a range), state, knot.
    pub conditions: Conditions,
    /// What fits.
    pub limits: Limits,
    /// Which parts.
    pub choice: Choice,
    /// Steps.
    pub grid: Grid,
    /// With what eye, jar and scissors it is tied.
    pub hands: Hands,
    /// How many of the flies tied from it must come out right.
    pub share: Option<ShareFloor>,
}

impl Target {
    /// The same where flies are trimmed in a jar of fresh water at a temperature, under the air of the place.
    ///
    /// # Errors
    /// A temperature at which water is no water.
    pub fn with_jar_at(mut self, celsius: f64) -> Result<Self, WaterError> {
        self.hands.jar = Water::new(celsius, 0.0)?.under_air(self.conditions.water.air_pressure)?;
        Ok(self)
    }

    /// What is wanted of the hang alone, on the side of the point and at the depths of the target.
    #[must_use]
    pub fn hang_only(&self) -> Self {
        let choice = Choice { lead_free: false, ..self.choice.clone() };
        Self {
            sink: None,
            max_band: None,
            max_mass: None,
            max_cost: None,
            fall: FallWish { shallow: self.fall.shallow, ..FallWish::default() },
            choice,
            ..self.clone()
        }
    }

    /// What is wanted of the hang, and of all else that `stated` says itself: defaults of a question are no wishes of a recipe.
    #[must_use]
    pub fn as_stated(&self, stated: &TargetSpec) -> Self {
        let hang = self.hang_only();
        let of_fall = stated.line.is_some() || stated.reach.is_some() || stated.dive.is_some();
        Self {
            sink: self.sink.filter(|_| stated.sink.is_some()),
            max_band: self.max_band.filter(|_| stated.max_friction_band.is_some()),
            max_mass: self.max_mass.filter(|_| stated.max_mass.is_some()),
            fall: if of_fall { self.fall } else { hang.fall },
            ..hang
        }
    }

    /// The window of hang angles, rad.
    #[must_use]
    pub fn hang_window(&self) -> Window {
        Window { low: Some(self.hang - self.tolerance), high: Some(self.hang + self.tolerance) }
    }

    /// What the vertical leaves of that window: nothing hangs steeper, for what turns on shows on the other side of the point.
    #[must_use]
    pub fn hangs_left(&self) -> (f64, f64) {
        ((self.hang - self.tolerance).max(-FRAC_PI_2), (self.hang + self.tolerance).min(FRAC_PI_2))
    }

    /// The hang that flies are trimmed to, rad: the one wanted, or the middle of what the vertical leaves of its window.
    #[must_use]
    pub fn trimmed_to(&self) -> f64 {
        let (low, high) = self.hangs_left();
        let whole = low > -FRAC_PI_2 && high < FRAC_PI_2;
        if whole { self.hang } else { 0.5 * (low + high) }
    }

    /// Whether a drop of the nose is asked that no hang of the target leaves room for: it drops from the hang to the vertical at
    /// most.
    #[must_use]
    pub fn dives_beyond_the_vertical(&self) -> bool {
        let most = self.hangs_left().1 + FRAC_PI_2;
        self.fall.dive.is_some_and(|dive| dive.least > most * (1.0 + 1e-9))
    }
}
