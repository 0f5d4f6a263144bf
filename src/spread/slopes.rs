//! What moves the hang, to first order.
//!
//! Near the recipe the turn t of a fly goes with its deviations: t = t0 + sum g_i z_i, z_i standard normal, g_i = slope
//! times standard deviation. Then t is normal with standard deviation sqrt(sum g_i^2) (propagation of errors, standard).
//! It is the cross-check of the Monte Carlo, and good while the spread is small against the bend of the curve: a fly
//! with little steadiness, or one near the vertical, turns by more than its slope says.

use super::draws::{Source, Spread};
use super::turn;
use crate::fly::{AsTied, Deviation, practice};
use crate::numeric::normal_share_within;
use crate::physics::body::Label;
use crate::physics::statics::{Knot, Rides, hang};
use crate::wanted::Window;

/// How one fly hangs, as a function of how it was tied.
#[derive(Debug, Clone)]
pub struct View<'a> {
    tied: &'a AsTied<'a>,
    side: Rides,
    knot: Knot,
}

impl<'a> View<'a> {
    /// The whole fly under the conditions that it was prepared for; the side is that on which the recipe rides. `None`
    /// for a recipe that floats.
    #[must_use]
    pub fn new(tied: &'a AsTied<'a>) -> Option<Self> {
        let knot = tied.conditions.knot;
        let as_written = hang(tied.moments(&Deviation::NONE), knot, tied.fly.hook.neck_angle);
        Some(Self { tied, side: as_written.rest()?.rides, knot })
    }

    /// Side from which turns are counted.
    #[must_use]
    pub fn side(&self) -> Rides {
        self.side
    }

    /// The fly.
    #[must_use]
    pub fn tied(&self) -> &'a AsTied<'a> {
        self.tied
    }

    /// Turn of a fly that deviates so, rad; `None` if it floats.
    #[must_use]
    pub fn turn(&self, deviation: &Deviation) -> Option<f64> {
        self.turn_of(deviation, |_| true)
    }

    /// Turn of some of its parts.
    #[must_use]
    pub fn turn_of(&self, deviation: &Deviation, holds: impl Fn(Label) -> bool) -> Option<f64> {
        turn(&hang(self.tied.moments_of(deviation, holds), self.knot, self.tied.fly.hook.neck_angle), self.side)
    }
}

/// The turn near a recipe as a straight line in each source.
#[derive(Debug, Clone, PartialEq)]
pub struct Linear {
    /// Turn at the point, rad.
    pub at: f64,
    /// Each source with its slope, rad per standard deviation.
    pub slopes: Vec<(Spread, f64)>,
}

/// Steps of the difference quotient, standard deviations either way.
const STEP: f64 = 0.1;

/// Slopes at a deviation, by central differences; `None` where the fly floats.
#[must_use]
pub fn linear(spreads: &[Spread], point: &Deviation, turn_of: impl Fn(&Deviation) -> Option<f64>) -> Option<Linear> {
    let at = turn_of(point)?;
    let beside = |spread: &Spread, steps: f64| {
        let mut deviation = *point;
        spread.source.add(&mut deviation, steps * spread.sd);
        turn_of(&deviation)
    };
    let slope =
        |spread: &Spread| Some((*spread, shorter(beside(spread, STEP)? - beside(spread, -STEP)?) / (2.0 * STEP)));
    Some(Linear { at, slopes: spreads.iter().map(slope).collect::<Option<_>>()? })
}

/// The same change of a turn the short way round.
fn shorter(change: f64) -> f64 {
    use std::f64::consts::{PI, TAU};
    (change + PI).rem_euclid(TAU) - PI
}

impl Linear {
    /// Standard deviation of the turn, rad.
    #[must_use]
    pub fn sd(&self) -> f64 {
        self.slopes.iter().map(|(_, g)| g * g).sum::<f64>().sqrt()
    }

    /// Share of flies that hang within a window, if it were exact.
    #[must_use]
    pub fn share_within(&self, window: &Window) -> f64 {
        let edges = (window.low.unwrap_or(f64::NEG_INFINITY), window.high.unwrap_or(f64::INFINITY));
        normal_share_within(self.at, self.sd(), edges)
    }

    /// What makes up the spread, largest first.
    #[must_use]
    pub fn contributors(&self) -> Vec<Contributor> {
        let whole: f64 = self.slopes.iter().map(|(_, g)| g * g).sum();
        let mut list: Vec<Contributor> = self
            .slopes
            .iter()
            .map(|(spread, g)| Contributor {
                spread: *spread,
                turn: *g,
                share: if whole > 0.0 { g * g / whole } else { 0.0 },
            })
            .collect();
        list.sort_by(|a, b| b.share.total_cmp(&a.share).then_with(|| a.spread.source.cmp(&b.spread.source)));
        list
    }
}

/// One source and its part in the spread of the hang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contributor {
    /// Source and its size.
    pub spread: Spread,
    /// Turn for one standard deviation more of it, rad, positive tail down.
    pub turn: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

/// How far the hang turns, degrees, positive tail down, for a little more of each thing that hands can change. `None`
/// where the recipe has no such part.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Slopes {
    /// One wrap more, at the rear of the wraps.
    pub per_wrap: Option<f64>,
    /// Wraps 1 mm farther aft.
    pub per_mm_wraps: Option<f64>,
    /// Foam 1 mm longer.
    pub per_mm_foam: Option<f64>,
    /// Foam bound 1 mm farther aft.
    pub per_mm_seat: Option<f64>,
    /// Bead 1 % heavier.
    pub per_percent_bead: Option<f64>,
    /// Bead and pin 1 mm farther aft.
    pub per_mm_pin: Option<f64>,
}

/// Slopes of a recipe at what it says: from half a unit less to half a unit more.
#[must_use]
pub fn slopes(view: &View) -> Slopes {
    let per = |there: bool, source: Source, unit: f64| {
        let beside = |half: f64| {
            let mut deviation = Deviation::NONE;
            source.add(&mut deviation, half * unit);
            view.turn(&deviation)
        };
        there.then(|| Some(shorter(beside(0.5)? - beside(-0.5)?).to_degrees())).flatten()
    };
    let fly = &view.tied.fly;
    let pin = fly.bead.is_some_and(|(_, mount)| matches!(mount, crate::fly::FrontMount::Pin(..)));
    Slopes {
        per_wrap: per(fly.wraps.is_some(), Source::Turns, 1.0),
        per_mm_wraps: per(fly.wraps.is_some(), Source::WrapsPosition, 1e-3),
        per_mm_foam: per(fly.foam.is_some(), Source::FoamLength, 1e-3),
        per_mm_seat: per(fly.foam.is_some(), Source::FoamPosition, 1e-3),
        per_percent_bead: per(fly.bead.is_some(), Source::BeadMass, 0.01),
        per_mm_pin: per(pin, Source::PinPosition, 1e-3),
    }
}

/// Least length to which a piece of foam may be trimmed, m: what is bound, and a stub behind it.
#[must_use]
pub fn least_foam() -> f64 {
    practice::FOAM_LEAST_LENGTH
}
