//! Entries that are likely slips of the pen, told before anything is fitted.

use super::linear::slopes;
use super::model::Model;
use super::reading::{Predicted, Reading};
use crate::jar_log::{Date, Entry};

/// A reading this many deviations of all that could be behind it off is odd; one within [`NATURAL`] of them is not.
const ODD: f64 = 4.0;
const NATURAL: f64 = 2.0;
/// Least miss of a hang that is asked about, rad: 12 degrees.
const LEAST_TURN: f64 = 12.0 * std::f64::consts::PI / 180.0;
/// Factor by which a mass on the scale may differ from that of the parts.
const MASS_FACTOR: f64 = 2.0;
/// The same of a time.
const TIME_FACTOR: f64 = 4.0;
/// Year before which no day of a log lies.
const FIRST_YEAR: u16 = 1980;

/// Why an entry is odd.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slip {
    /// A day that has not come yet.
    Future(Date),
    /// A day long gone.
    LongAgo(Date),
    /// A hang, rad, that would be natural with its sign turned.
    Turned {
        /// As read.
        seen: f64,
        /// As predicted.
        predicted: f64,
    },
    /// A mass, kg, far from that of the parts.
    Mass {
        /// As read.
        seen: f64,
        /// As predicted.
        predicted: f64,
    },
    /// A time, s, far from what is predicted.
    Time {
        /// As read.
        seen: f64,
        /// As predicted.
        predicted: f64,
    },
    /// The same as an earlier entry, by place.
    Repeats(usize),
}

impl Slip {
    /// Whether it can hardly be true, and not only be one tyer's oddity.
    #[must_use]
    pub fn is_unlikely(&self) -> bool {
        matches!(self, Self::Future(_) | Self::LongAgo(_) | Self::Mass { .. } | Self::Time { .. })
    }
}

/// An odd entry, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oddity {
    /// Place.
    pub entry: usize,
    /// Why.
    pub slip: Slip,
}

/// What is odd about entries, from a place on. `today` is the last day that has come.
#[must_use]
pub fn oddities(model: &Model, entries: &[Entry], from: usize, today: Option<Date>) -> Vec<Oddity> {
    let mut found: Vec<Oddity> = Vec::new();
    let mut add = |entry: usize, slip: Slip| found.push(Oddity { entry, slip });
    for (i, entry) in entries.iter().enumerate().skip(from) {
        match (entry.date, today) {
            (Some(date), Some(today)) if date > today => add(i, Slip::Future(date)),
            (Some(date), _) if date.year() < FIRST_YEAR => add(i, Slip::LongAgo(date)),
            _ => {}
        }
    }
    model.repeats().into_iter().filter(|(i, _)| *i >= from).for_each(|(i, of)| add(i, Slip::Repeats(of)));
    let start = model.start();
    let asked: Vec<usize> = (from..model.entries()).collect();
    let far = |factor: f64, a: f64, b: f64| a > factor * b || b > factor * a;
    let mut hangs: Vec<(usize, f64, f64)> = Vec::new();
    for (i, predicted) in model.predictions_of(&asked, &start) {
        let observation = &model.observations()[i];
        let entry = observation.entry;
        match (observation.reading, predicted) {
            (Reading::Mass(seen), Predicted::Mass(mass)) if far(MASS_FACTOR, seen, mass) => {
                add(entry, Slip::Mass { seen, predicted: mass });
            }
            (Reading::Drop(drop), Predicted::Time(time)) if far(TIME_FACTOR, drop.time.value, time) => {
                add(entry, Slip::Time { seen: drop.time.value, predicted: time });
            }
            (Reading::Hang { .. }, _) => {
                let (miss, turned) = (observation.miss(&predicted), observation.mirrored().miss(&predicted));
                if miss.abs() > LEAST_TURN && turned.abs() < 0.5 * miss.abs() {
                    hangs.push((i, miss, turned));
                }
            }
            _ => {}
        }
    }
    if !hangs.is_empty() {
        let slopes = slopes(model, &start);
        for (i, miss, turned) in hangs {
            let observation = &model.observations()[i];
            let variance = model.error(i).powi(2) + slopes[i].shared.norm_squared() + slopes[i].own.norm_squared();
            let deviation = variance.sqrt();
            if let Reading::Hang { angle, .. } = observation.reading
                && miss.abs() > ODD * deviation
                && turned.abs() < NATURAL * deviation
            {
                add(observation.entry, Slip::Turned { seen: angle, predicted: angle + miss });
            }
        }
    }
    found.sort_by_key(|odd| odd.entry);
    found
}
