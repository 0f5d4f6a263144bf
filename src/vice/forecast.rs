//! What a test at the vice is worth.
//!
//! A reading r (the middle one of three, as for trimming, with its error) and what is judged in the end, q, are taken as joint normal: straight lines in the sources of
//! spread, the same that the spreads of hangs use. q is the hang of the finished fly at its depth, between the edges of its
//! tolerance; of a fly whose foam is trimmed it is the length that would hang it as wanted, between the least that can be
//! left and the start length. With b = cov(q, r) / var(r), a reading is expected to end at q0 + b (r - r0), and leaves
//! var(q) - b cov(q, r) of the variance of q (conditioning of a joint normal, standard).
//!
//! **Going on.** A fly is tied on while its chance to end within the edges, given the reading, is at least half of what it was
//! before; the finished fly is kept while it is expected within them. And the reading must be one that tying and reading scatter
//! at all: past [`ORDINARY`] standard deviations a part is wrong or a turn was miscounted, which the spreads do not hold.
//!
//! **Misfits.** Of the flies that end outside, the share that this rule stops.

use super::Stage;
use super::{Bench, HangTest};
use crate::fly::Deviation;
use crate::numeric::{binormal_share_below, normal_share_below, normal_share_within};
use crate::physics::statics::{Rest, Rides};
use crate::spread::slopes::{Linear, least_foam, linear};
use crate::spread::trimming::MIDDLE_OF_THREE;
use crate::spread::{angle_and_side, turn_of_rest};
use std::f64::consts::{PI, TAU};

/// A reading that explains less than this share of the variance says next to nothing.
pub const TELLS_LITTLE: f64 = 0.05;

/// Standard deviations of what tying and reading scatter beyond which a reading is a sign of a mistake.
pub const ORDINARY: f64 = 2.5;

/// Share of the chance before any reading below which a fly is not tied on.
const WORTH_IT: f64 = 0.5;

/// Share of flies that end outside below which there are no misfits to speak of.
const HARDLY_ANY: f64 = 0.002;

/// What sets the readings to go on between.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Outside them the finished fly is expected outside its tolerance.
    Tolerance,
    /// Outside them no cut of the foam brings it there.
    Foam,
    /// Outside them something is wrong with a part or with the tying: they are no wider than what both scatter.
    Ordinary,
}

impl Limit {
    /// The word used in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Tolerance => "tolerance",
            Self::Foam => "foam",
            Self::Ordinary => "ordinary",
        }
    }
}

/// What a reading of a test says about the finished fly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Forecast {
    /// Turn of the finished fly at depth, as written, when the test shows just what it should, rad.
    pub turn: f64,
    /// Degrees that the finished fly turns per degree seen.
    pub per_degree: f64,
    /// Standard deviation of the finished hang before any reading, rad.
    pub sd_before: f64,
    /// What is left of it after the reading, rad.
    pub sd: f64,
    /// Share of the variance of what is judged that the reading explains, 0 to 1.
    pub told: f64,
    /// How much farther tail down the test shows the fly than it will hang finished at its depth, rad.
    pub off: f64,
    /// Whether that is more than the tolerance: who takes the test for a picture of the finished fly is misled.
    pub misleads: bool,
    /// Readings between which to tie on, rad.
    pub go_on: (f64, f64),
    /// What sets them.
    pub limit: Limit,
    /// Share of the flies that end as misfits which the rule stops here; `None` where hardly any do.
    pub found: Option<f64>,
    /// Share of the flies that would come out right which it stops, too.
    pub stopped: f64,
}

/// The finished fly: its hang, and what is judged of it.
pub(super) struct Finished {
    hang: Linear,
    judged: Linear,
    edges: (f64, f64),
    limit: Limit,
}

/// Sum of the products of slopes.
fn product(a: &Linear, b: &Linear) -> f64 {
    a.slopes.iter().zip(&b.slopes).map(|((_, g), (_, h))| g * h).sum()
}

impl Bench<'_> {
    /// The finished fly; `None` if it floats.
    pub(super) fn finished(&self) -> Option<Finished> {
        let hang = linear(self.spreads(), &Deviation::NONE, |d| self.turn_at_depth(d))?;
        if let Some(trim) = self.trim()
            && let Some(judged) = linear(self.spreads(), &Deviation::NONE, |d| self.length_that_hangs(d))
        {
            return Some(Finished { hang, judged, edges: (least_foam(), trim.start.m()), limit: Limit::Foam });
        }
        let window = self.target.hang_window();
        let edges = (window.low.unwrap_or(f64::NEG_INFINITY), window.high.unwrap_or(f64::INFINITY));
        Some(Finished { judged: hang.clone(), hang, edges, limit: Limit::Tolerance })
    }

    /// What a reading of a test says; `None` where the fly floats in it.
    pub(super) fn forecast(&self, test: HangTest, finished: &Finished) -> Option<Forecast> {
        let rides = self.side_at(test);
        let line = linear(self.spreads(), &Deviation::NONE, |d| self.turn_at(test, d, rides))?;
        let reading = product(&line, &line) + (MIDDLE_OF_THREE * self.reading_error(test)).powi(2);
        let Finished { hang, judged, edges, .. } = finished;
        let (joint, whole) = (product(&line, hang), product(hang, hang));
        let (end_joint, end_whole) = (product(&line, judged), product(judged, judged));
        let told = if end_whole > 0.0 { (end_joint.powi(2) / (reading * end_whole)).clamp(0.0, 1.0) } else { 0.0 };
        let end = End { mean: judged.at, sd: end_whole.sqrt(), told, edges: *edges };
        let last = Stage::of_fly(&self.fly).last() == Some(&test.stage);
        let rule = end.rule(last, end_joint.abs() / reading * MIDDLE_OF_THREE * self.jar.reading_sd);
        let off = (line.at - self.ends_at(hang.at, rides) + PI).rem_euclid(TAU) - PI;
        // The forecast of an end goes with the reading; where it does not, the rule is that of ordinary readings.
        let per = end_joint / reading;
        let back = |forecast: f64| line.at + (forecast - judged.at) / per;
        let ordinary = [-1.0, 1.0].map(|way| line.at + way * ORDINARY * reading.sqrt());
        let go_on = if rule.only_ordinary { ordinary } else { [back(rule.band.0), back(rule.band.1)] };
        Some(Forecast {
            turn: hang.at,
            per_degree: joint / reading,
            sd_before: whole.sqrt(),
            sd: (whole - joint * joint / reading).max(0.0).sqrt(),
            told,
            off,
            misleads: off.abs() > self.target.tolerance,
            go_on: (go_on[0].min(go_on[1]), go_on[0].max(go_on[1])),
            limit: if rule.only_ordinary { Limit::Ordinary } else { finished.limit },
            found: end.found(&rule),
            stopped: end.stopped(&rule),
        })
    }

    /// Turn of the finished fly counted from a side: the hang wanted of a fly that is trimmed, else its own.
    fn ends_at(&self, written: f64, side: Rides) -> f64 {
        let turn = if self.trim().is_some() { self.target.trimmed_to() } else { written };
        let (angle, rides) = angle_and_side(turn, self.side_at_depth());
        turn_of_rest(&Rest { angle, rides, steadiness: 0.0, down: [0.0; 2] }, side)
    }
}

/// What is judged in the end, and how much of its variance a reading explains.
#[derive(Debug, Clone, Copy)]
struct End {
    mean: f64,
    sd: f64,
    told: f64,
    edges: (f64, f64),
}

/// Ends forecast between which a fly is tied on.
#[derive(Debug, Clone, Copy)]
struct Rule {
    band: (f64, f64),
    only_ordinary: bool,
}

impl End {
    /// Chance to end within the edges when that is forecast.
    fn chance(&self, forecast: f64) -> f64 {
        normal_share_within(forecast, self.sd * (1.0 - self.told).sqrt(), self.edges)
    }

    /// The rule; `readable` is the least width of a band that can be read.
    fn rule(&self, last: bool, readable: f64) -> Rule {
        let far = ORDINARY * self.told.sqrt() * self.sd;
        let ordinary = (self.mean - far, self.mean + far);
        let (low, high) = (self.edges.0.max(-FAR), self.edges.1.min(FAR));
        let middle = 0.5 * (low + high);
        let before = normal_share_within(self.mean, self.sd, self.edges);
        // Out from the middle the chance falls.
        let edge = |way: f64| {
            let (mut inside, mut outside) = (0.0, (high - low) + 8.0 * self.sd);
            for _ in 0..60 {
                let half = 0.5 * (inside + outside);
                let worth_it = self.chance(middle + way * half) >= WORTH_IT * before;
                if worth_it { inside = half } else { outside = half }
            }
            middle + way * inside
        };
        let (from, to) = if last { self.edges } else { (edge(-1.0), edge(1.0)) };
        let band = (from.max(ordinary.0), to.min(ordinary.1));
        if self.told < TELLS_LITTLE || band.1 - band.0 < readable || band == ordinary {
            return Rule { band: ordinary, only_ordinary: true };
        }
        Rule { band, only_ordinary: false }
    }

    /// Share of flies that end within the edges and are tied on, share that ends there, share that is tied on.
    fn shares(&self, rule: &Rule) -> [f64; 3] {
        let within =
            |z: &dyn Fn(f64) -> f64, (low, high): (f64, f64)| normal_share_below(z(high)) - normal_share_below(z(low));
        let root = self.told.sqrt();
        let z = |edge: f64| ((edge - self.mean) / self.sd).clamp(-40.0, 40.0);
        // The forecast is normal with the share `root` of the standard deviation, and correlates with the end as much.
        let m = |edge: f64| ((edge - self.mean) / (root * self.sd).max(f64::MIN_POSITIVE)).clamp(-40.0, 40.0);
        let below = |x: f64, y: f64| binormal_share_below(m(x), z(y), root);
        let ((a, b), (low, high)) = (rule.band, self.edges);
        let both = below(b, high) - below(a, high) - below(b, low) + below(a, low);
        [both, within(&z, self.edges), within(&m, rule.band)]
    }

    fn found(&self, rule: &Rule) -> Option<f64> {
        let [both, right, on] = if self.sd > 0.0 { self.shares(rule) } else { return None };
        let wrong = 1.0 - right;
        (wrong > HARDLY_ANY).then(|| (1.0 - (on - both) / wrong).clamp(0.0, 1.0))
    }

    fn stopped(&self, rule: &Rule) -> f64 {
        let [both, right, _] = if self.sd > 0.0 { self.shares(rule) } else { return 0.0 };
        if right > 0.0 { (1.0 - both / right).clamp(0.0, 1.0) } else { 0.0 }
    }
}

/// Stands for an edge that is not there: farther than any turn or length.
const FAR: f64 = 10.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::spread::draws::stream;
    use rand_distr::{Distribution, StandardNormal};

    /// Against a count of pairs drawn, and the rule against its own words.
    #[test]
    fn misfits_are_those_of_drawn_pairs() {
        for (mean, told, edges) in
            [(0.3, 0.8, (-1.0, 1.5)), (-2.0, 0.3, (-1.0, 1.5)), (0.0, 0.97, (-0.5, 7.0)), (1.0, 0.03, (-2.0, 2.0))]
        {
            let end = End { mean, sd: 1.3, told, edges };
            let rule = end.rule(false, 0.0);
            assert_eq!(rule.only_ordinary, told < TELLS_LITTLE);
            let before = normal_share_within(mean, 1.3, edges);
            for at in [rule.band.0, rule.band.1] {
                let ordinary = ((at - mean).abs() - ORDINARY * 1.3 * told.sqrt()).abs() < 1e-9;
                assert!(ordinary || (end.chance(at) / before - WORTH_IT).abs() < 1e-6, "{rule:?}");
            }
            let mut luck = stream(5, 9, 1);
            let mut normal = || -> f64 { StandardNormal.sample(&mut luck) };
            let mut count = [[0.0; 2]; 2];
            for _ in 0..100_000 {
                let forecast = mean + 1.3 * told.sqrt() * normal();
                let at = forecast + 1.3 * (1.0 - told).sqrt() * normal();
                let on = (rule.band.0..=rule.band.1).contains(&forecast);
                count[usize::from((edges.0..=edges.1).contains(&at))][usize::from(on)] += 1.0;
            }
            let found = count[0][0] / (count[0][0] + count[0][1]);
            let stopped = count[1][0] / (count[1][0] + count[1][1]);
            let ours = (end.found(&rule).unwrap(), end.stopped(&rule));
            assert!((ours.0 - found).abs() < 0.012 && (ours.1 - stopped).abs() < 0.012, "{ours:?} {found} {stopped}");
        }
    }
}
