//! What was read, and what is predicted for it.

use crate::jar_log::{Drop, Test};
use crate::physics::statics::{Rest, Rides};
use crate::spread::turn_of_rest;
use std::f64::consts::{PI, TAU};

/// Submerged weight by which a fly seen to sink may be predicted to float (and the other way) before it counts, N: that of
/// a few milligrams of water.
const FLOAT_ERROR: f64 = 2e-5;

/// One thing that was read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reading {
    /// Hang: shank from horizontal, rad, and the side of the point if it was seen.
    Hang {
        /// Angle.
        angle: f64,
        /// Side.
        rides: Option<Rides>,
    },
    /// It sinks, or floats (`true`).
    Floats(bool),
    /// A timed drop.
    Drop(Drop),
    /// A mass, kg.
    Mass(f64),
}

/// One reading of an entry, with its standard error: rad; share of the time; kg; N.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Observation {
    /// Place of the entry in the list.
    pub entry: usize,
    /// What was read.
    pub reading: Reading,
    /// Standard error of the reading.
    pub error: f64,
}

/// What is predicted for a reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Predicted {
    /// How it hangs; a fly without weight hangs as it would with the least of it.
    Hang(Rest),
    /// Submerged weight, N.
    Weight(f64),
    /// Seconds; ten minutes where it never gets there.
    Time(f64),
    /// kg.
    Mass(f64),
}

impl Observation {
    /// Predicted less seen, in the unit of the error. Angles are wrapped: the shorter way round, counted on past the
    /// vertical; without a side that was seen, the nearer of the two that show this angle. Of times, the logarithm.
    #[must_use]
    pub fn miss(&self, predicted: &Predicted) -> f64 {
        match (self.reading, predicted) {
            (Reading::Hang { angle, rides: Some(side) }, Predicted::Hang(rest)) => {
                wrapped(turn_of_rest(rest, side) - angle)
            }
            (Reading::Hang { angle, rides: None }, Predicted::Hang(rest)) => {
                let same = wrapped(rest.angle - angle);
                let other = wrapped(if rest.angle >= 0.0 { PI - rest.angle } else { -PI - rest.angle } - angle);
                if other.abs() < same.abs() { other } else { same }
            }
            (Reading::Floats(false), Predicted::Weight(weight)) => weight.min(0.0),
            (Reading::Floats(true), Predicted::Weight(weight)) => weight.max(0.0),
            (Reading::Drop(drop), Predicted::Time(time)) => (time / drop.time.value).ln(),
            (Reading::Mass(seen), Predicted::Mass(mass)) => mass - seen,
            _ => 0.0,
        }
    }

    /// The same reading with the sign of its angle turned; anything else as it is.
    #[must_use]
    pub fn mirrored(self) -> Self {
        match self.reading {
            Reading::Hang { angle, rides } => Self { reading: Reading::Hang { angle: -angle, rides }, ..self },
            _ => self,
        }
    }

    /// Whether it tells more than that a fly sinks.
    pub(super) fn is_telling(&self) -> bool {
        !matches!(self.reading, Reading::Floats(_))
    }

    pub(super) fn is_hang(&self) -> bool {
        matches!(self.reading, Reading::Hang { .. })
    }
}

/// An angle brought into (-pi, pi].
fn wrapped(angle: f64) -> f64 {
    let turn = (angle + PI).rem_euclid(TAU) - PI;
    if turn == -PI { PI } else { turn }
}

/// The readings of an entry.
pub(super) fn observations(entry: usize, test: &Test) -> Vec<Observation> {
    let of = |reading, error| Observation { entry, reading, error };
    match test {
        Test::Part(test) => vec![of(Reading::Mass(test.mass.value), test.mass.error)],
        Test::Fly(test) => {
            let mut list = Vec::new();
            if let Some(seen) = test.hang {
                list.push(of(Reading::Hang { angle: seen.value, rides: test.rides }, seen.error));
            }
            for drop in &test.drops {
                list.push(of(Reading::Drop(*drop), drop.time.error / drop.time.value));
            }
            if let Some(seen) = test.mass {
                list.push(of(Reading::Mass(seen.value), seen.error));
            }
            // What hangs taut or goes down sinks, whether it was written down or not.
            let sinks = test.hang.is_some() || !test.drops.is_empty();
            if let Some(floats) = test.floats.or(sinks.then_some(false)) {
                list.push(of(Reading::Floats(floats), FLOAT_ERROR));
            }
            list
        }
    }
}
