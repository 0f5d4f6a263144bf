//! The chance that a fly, tied within the stated spreads, meets the whole target.
//!
//! A seeded Monte Carlo: each drawn fly is placed and judged like any other, and those that meet every requirement are
//! counted. With k of n, the chance is k/n and its standard error sqrt(p (1 - p) / n), where p = (k + 1) / (n + 2)
//! (Laplace's rule, from memory) keeps a count of none or all from claiming to be exact.
//!
//! What takes a history in time (time to a depth, a jig stroke, a slack fall) would take minutes for thousands of flies:
//! there the figure is taken as a straight line in each source, drawn through flies one standard deviation either side,
//! and a fly that settles on a slack line as written is taken to settle however it is tied.
//!
//! Every recipe is tried on the same flies: the same number goes to the same source (common random numbers), so two
//! recipes differ by what they are, hardly by luck. The counts are whole numbers, so they do not depend on threads.

use super::draws::{Draws, Plan, Source, Spread, Standard, counted, deviation, spreads};
use crate::assess::{Check, Requirement, first_miss, history_checks};
use crate::fly::{AsTied, Deviation, Fly};
use crate::wanted::Target;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;

/// How likely one fly is to meet the whole target.
#[derive(Debug, Clone, PartialEq)]
pub struct Chance {
    /// Share of the drawn flies that meet it.
    pub probability: f64,
    /// Standard error of that share.
    pub standard_error: f64,
    /// Flies drawn, from which seed.
    pub plan: Plan,
    /// Share of the drawn flies that miss, by the first requirement that they miss.
    pub missed: BTreeMap<Requirement, f64>,
}

/// The chance of one recipe, on flies that share nothing.
#[must_use]
pub fn chance(fly: &Fly, target: &Target, draws: &Draws) -> Chance {
    Trial::new(fly, target).chance(draws)
}

/// The same with all that the shares of `super::shares` count: friction in the eye, and how sure the sink rate is.
#[must_use]
pub fn chance_counted(fly: &Fly, target: &Target, draws: &Draws) -> Chance {
    Trial { spreads: counted(fly, target), ..Trial::new(fly, target) }.chance(draws)
}

fn counted_among(draws: &Draws, miss: impl Fn(&Standard) -> Option<Requirement> + Sync + Send) -> Chance {
    let outcomes: Vec<Option<Requirement>> = draws.flies().par_iter().map(miss).collect();
    let share = |count: usize| count as f64 / outcomes.len().max(1) as f64;
    let mut missed: BTreeMap<Requirement, usize> = BTreeMap::new();
    for requirement in outcomes.iter().flatten() {
        *missed.entry(*requirement).or_default() += 1;
    }
    let met = outcomes.iter().filter(|o| o.is_none()).count();
    Chance {
        probability: share(met),
        standard_error: standard_error(met, outcomes.len()),
        plan: draws.plan(),
        missed: missed.into_iter().map(|(requirement, count)| (requirement, share(count))).collect(),
    }
}

/// Standard error of a share of k in n.
#[must_use]
pub fn standard_error(met: usize, of: usize) -> f64 {
    let p = (met as f64 + 1.0) / (of as f64 + 2.0);
    (p * (1.0 - p) / of.max(1) as f64).sqrt()
}

/// One recipe on trial: each drawn fly is judged by itself.
pub struct Trial<'a> {
    tied: AsTied<'a>,
    spreads: Vec<Spread>,
    target: &'a Target,
    histories: OnceLock<Vec<HistoryLine>>,
}

/// A figure that takes a history in time, as a straight line in each source.
struct HistoryLine {
    check: Check,
    /// Change of the figure per standard deviation.
    slopes: Vec<(Source, f64)>,
}

impl<'a> Trial<'a> {
    /// Prepares it.
    #[must_use]
    pub fn new(fly: &Fly<'a>, target: &'a Target) -> Self {
        let tied = AsTied::new(*fly, &target.conditions);
        Self { tied, spreads: spreads(fly), target, histories: OnceLock::new() }
    }

    /// The chance, and what is missed.
    #[must_use]
    pub fn chance(&self, draws: &Draws) -> Chance {
        counted_among(draws, |standard| self.miss(standard))
    }

    /// The first requirement that a drawn fly misses.
    #[must_use]
    pub fn miss(&self, standard: &Standard) -> Option<Requirement> {
        first_miss(&self.tied, &deviation(&self.spreads, standard), self.target).or_else(|| {
            let histories = self.histories.get_or_init(|| self.history_lines());
            histories.iter().find(|line| !line.holds(standard)).map(|line| line.check.requirement)
        })
    }

    /// Every figure with a history, from flies one standard deviation either side in each source.
    fn history_lines(&self) -> Vec<HistoryLine> {
        let at = |deviation: &Deviation| history_checks(&self.tied, deviation, self.target);
        let mut lines: Vec<HistoryLine> =
            at(&Deviation::NONE).into_iter().map(|check| HistoryLine { check, slopes: Vec::new() }).collect();
        if lines.is_empty() {
            return lines;
        }
        for spread in &self.spreads {
            let beside = |steps: f64| {
                let mut deviation = Deviation::NONE;
                spread.source.add(&mut deviation, steps * spread.sd);
                at(&deviation)
            };
            let (less, more) = (beside(-1.0), beside(1.0));
            // Where a history breaks off on one side its figures are missing there; they are taken as level.
            if less.len() == lines.len() && more.len() == lines.len() {
                for (line, (a, b)) in lines.iter_mut().zip(less.iter().zip(&more)) {
                    line.slopes.push((spread.source, 0.5 * (b.value - a.value)));
                }
            }
        }
        lines
    }

    /// How many of the drawn flies meet the target, if at least `least` do; `None` as soon as too many have missed.
    ///
    /// The same count as [`chance`], reached sooner.
    #[must_use]
    pub fn count_if(&self, draws: &Draws, least: usize) -> Option<usize> {
        let mut may_miss = draws.flies().len().checked_sub(least)?;
        let mut met = 0;
        for standard in draws.flies() {
            if self.miss(standard).is_none() {
                met += 1;
            } else if may_miss == 0 {
                return None;
            } else {
                may_miss -= 1;
            }
        }
        Some(met)
    }
}

impl HistoryLine {
    fn holds(&self, standard: &Standard) -> bool {
        let more: f64 = self.slopes.iter().map(|(source, slope)| slope * standard[source.index()]).sum();
        self.check.window.holds(self.check.value + more)
    }
}

/// Least count of n that makes up a share, to within rounding of the share.
#[must_use]
pub fn least_count(share: f64, of: usize) -> usize {
    (share * of as f64 - 1e-9).ceil().max(0.0) as usize
}

/// Where the hang of drawn flies lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HangSpread {
    /// One fly in ten hangs more head-down than this, rad, counted on past the vertical.
    pub low: f64,
    /// Half do.
    pub median: f64,
    /// One in ten hangs more tail-down than this.
    pub high: f64,
    /// Share that floats, left out of the figures above.
    pub floats: f64,
}

/// Where the hang of drawn flies lies, given how each hangs; `None` if all float.
#[must_use]
pub fn hang_spread(
    spreads: &[Spread],
    draws: &Draws,
    turn_of: impl Fn(&Deviation) -> Option<f64> + Sync,
) -> Option<HangSpread> {
    let turns: Vec<Option<f64>> = draws.flies().par_iter().map(|z| turn_of(&deviation(spreads, z))).collect();
    let mut taut: Vec<f64> = turns.iter().flatten().copied().collect();
    taut.sort_by(f64::total_cmp);
    let floats = (turns.len() - taut.len()) as f64 / turns.len().max(1) as f64;
    Some(HangSpread { low: quantile(&taut, 0.1)?, median: quantile(&taut, 0.5)?, high: quantile(&taut, 0.9)?, floats })
}

/// The value below which a share of a sorted list lies: the list's own value next above.
#[must_use]
pub fn quantile(sorted: &[f64], share: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let at = (share * sorted.len() as f64).ceil().max(1.0) as usize - 1;
    Some(sorted[at.min(last)])
}
