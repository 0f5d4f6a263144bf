//! What a fly is probably like, given how it was seen to hang.
//!
//! Of all deviations that would hang so, the likeliest is taken: the smallest |z|^2 + ((seen - t(z)) / r)^2 over standard
//! normal z, r the error of the reading. For a straight-line t this is the mean of the normal distribution of z given
//! the reading (conditioning of a joint normal, standard); t is bent, so the line is laid anew at each answer until it
//! stands still (iterated update, Gauss-Newton). What is left unknown has the covariance I - g g^T / (g.g + r^2).

use super::draws::{SOURCES, Source, Spread, Standard, deviation};
use super::slopes::{Linear, linear};
use crate::fly::Deviation;
use crate::wanted::defaults::READING_DEG;

/// Standard deviation of an angle read off a fly in a jar, rad. Common practice, no source.
pub const READING_SD: f64 = READING_DEG * std::f64::consts::PI / 180.0;

/// The likeliest fly behind a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Likely {
    /// Its deviation.
    pub deviation: Deviation,
    /// Standard deviations off, by source.
    pub standard: Standard,
    /// How it would be seen to hang, rad; near what was seen unless that was hardly possible.
    pub turn: f64,
    /// Slopes of the reading there, rad per standard deviation.
    slopes: Vec<(Spread, f64)>,
    reading_sd: f64,
}

/// Rounds of laying the line anew.
const ROUNDS: usize = 60;
/// Change of z at which the answer stands still.
const STILL: f64 = 1e-7;

/// The likeliest fly, given that `turn_of` was seen as `seen` with an error of `reading_sd`, rad; `None` where it floats.
#[must_use]
pub fn likely(
    spreads: &[Spread],
    seen: f64,
    reading_sd: f64,
    turn_of: impl Fn(&Deviation) -> Option<f64>,
) -> Option<Likely> {
    let cost = |z: &Standard, turn: f64| norm_sq(z) + ((seen - turn) / reading_sd).powi(2);
    let mut standard: Standard = [0.0; SOURCES];
    let mut line = linear(spreads, &Deviation::NONE, &turn_of)?;
    for _ in 0..ROUNDS {
        let wanted = update(&line, &standard, seen, reading_sd);
        // A full step can overshoot where the curve bends: halve it until it is no worse.
        let now = cost(&standard, line.at);
        let mut share = 1.0;
        let next = loop {
            let z: Standard = std::array::from_fn(|i| standard[i] + share * (wanted[i] - standard[i]));
            if let Some(turn) = turn_of(&deviation(spreads, &z))
                && cost(&z, turn) <= now + 1e-12
            {
                break Some(z);
            }
            share *= 0.5;
            if share < 1e-6 {
                break None;
            }
        };
        let Some(next) = next else { break };
        let moved = (0..SOURCES).map(|i| (next[i] - standard[i]).abs()).fold(0.0, f64::max);
        standard = next;
        line = linear(spreads, &deviation(spreads, &standard), &turn_of)?;
        if moved < STILL {
            break;
        }
    }
    Some(Likely { deviation: deviation(spreads, &standard), standard, turn: line.at, slopes: line.slopes, reading_sd })
}

fn norm_sq(z: &Standard) -> f64 {
    z.iter().map(|v| v * v).sum()
}

/// The least-norm answer for a straight line: z = g (seen - t + g.z) / (g.g + r^2).
fn update(line: &Linear, z: &Standard, seen: f64, reading_sd: f64) -> Standard {
    let mut gz = 0.0;
    let mut gg = reading_sd * reading_sd;
    for (spread, g) in &line.slopes {
        gz += g * z[spread.source.index()];
        gg += g * g;
    }
    let pull = (seen - line.at + gz) / gg;
    let mut next = [0.0; SOURCES];
    for (spread, g) in &line.slopes {
        next[spread.source.index()] = g * pull;
    }
    next
}

impl Likely {
    /// Standard deviation that another figure still has, given the reading; its own slopes at this fly, rad per standard
    /// deviation.
    #[must_use]
    pub fn sd_of(&self, other: &Linear) -> f64 {
        self.sd_with_another(other, &[])
    }

    /// The same when some sources belong to another piece since the reading, which has so much in common with the one seen.
    #[must_use]
    pub fn sd_with_another(&self, other: &Linear, kept: &[(Source, f64)]) -> f64 {
        let mut gg = self.reading_sd * self.reading_sd;
        let (mut gh, mut hh) = (0.0, 0.0);
        for ((spread, g), (_, h)) in self.slopes.iter().zip(&other.slopes) {
            let common = kept.iter().find(|(source, _)| *source == spread.source).map_or(1.0, |(_, share)| *share);
            gg += g * g;
            hh += h * h;
            gh += common * g * h;
        }
        (hh - gh * gh / gg).max(0.0).sqrt()
    }

    /// The sources that are off most, by standard deviations, largest first.
    #[must_use]
    pub fn suspects(&self) -> Vec<(Spread, f64)> {
        let mut list: Vec<(Spread, f64)> =
            self.slopes.iter().map(|(spread, _)| (*spread, self.standard[spread.source.index()])).collect();
        list.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()).then_with(|| a.0.source.cmp(&b.0.source)));
        list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sources() -> Vec<Spread> {
        vec![Spread { source: Source::BeadMass, sd: 0.04 }, Spread { source: Source::Turns, sd: 0.5 }]
    }

    #[test]
    fn a_straight_line_is_conditioned_exactly() {
        // t = 2 a + b in units of one standard deviation; seen 1 with an error of 1: z = g / (g.g + 1) = (1/3, 1/6).
        let turn = |d: &Deviation| Some(2.0 * d.bead_mass / 0.04 + d.turns / 0.5);
        let found = likely(&sources(), 1.0, 1.0, turn).unwrap();
        assert!((found.standard[Source::BeadMass.index()] - 1.0 / 3.0).abs() < 1e-9);
        assert!((found.standard[Source::Turns.index()] - 1.0 / 6.0).abs() < 1e-9);
        // b alone had 1; given the reading it has sqrt(1 - 1/6).
        let other = linear(&sources(), &Deviation::NONE, |d| Some(d.turns / 0.5)).unwrap();
        assert!((found.sd_of(&other) - (5.0_f64 / 6.0).sqrt()).abs() < 1e-9);
        assert_eq!(found.suspects()[0].0.source, Source::BeadMass);
    }

    #[test]
    fn a_bent_curve_is_met_where_the_reading_is() {
        let turn = |d: &Deviation| Some((d.bead_mass / 0.04).atan());
        let found = likely(&sources(), 1.4, 1e-4, turn).unwrap();
        assert!((found.turn - 1.4).abs() < 1e-4);
        assert!((found.standard[Source::BeadMass.index()] - 1.4_f64.tan()).abs() < 0.01);
    }
}
