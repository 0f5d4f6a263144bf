//! What a search tells of itself: how far it has come, what became of the space, and whether that is a proof.

use super::rank::Candidate;
use crate::quantity::Money;

/// Why a part of the space was dropped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pruned {
    /// Dearer than the K-th best, than the limit, or than a listed one that it is too much like.
    Cost,
    /// Cannot hang as wanted.
    Hang,
    /// Floats.
    Weight,
    /// Cannot sink at the rate wanted.
    SinkRate,
    /// Too heavy.
    Mass,
    /// As dear as the K-th best, with no wider margin.
    Margin,
    /// Held too loosely for enough flies to come out right.
    Share,
}

/// How many recipes were judged, and how many dropped by which bound.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Tally {
    /// Judged one by one.
    pub evaluated: u64,
    /// Dropped by cost.
    pub cost: u64,
    /// Dropped by hang.
    pub hang: u64,
    /// Dropped since they float.
    pub weight: u64,
    /// Dropped by sink rate.
    pub sink_rate: u64,
    /// Dropped by mass.
    pub mass: u64,
    /// Dropped since their margin is no wider than that of the K-th best at the same cost.
    pub margin: u64,
    /// Dropped since too few flies would come out right.
    pub share: u64,
    /// Dropped since the parts do not fit.
    pub misfit: u64,
    /// Not looked at: the search was stopped.
    pub unexplored: u64,
    /// Nodes opened.
    pub nodes: u64,
}

impl Tally {
    // A space may hold more recipes than can be counted: figures stop at the greatest there is.
    pub(super) fn prune(&mut self, reason: Pruned, count: u64) {
        let dropped = match reason {
            Pruned::Cost => &mut self.cost,
            Pruned::Hang => &mut self.hang,
            Pruned::Weight => &mut self.weight,
            Pruned::SinkRate => &mut self.sink_rate,
            Pruned::Mass => &mut self.mass,
            Pruned::Margin => &mut self.margin,
            Pruned::Share => &mut self.share,
        };
        *dropped = dropped.saturating_add(count);
    }

    pub(super) fn add(&mut self, other: Self) {
        self.nodes += other.nodes;
        self.evaluated += other.evaluated;
        let sums = [
            (&mut self.cost, other.cost),
            (&mut self.hang, other.hang),
            (&mut self.weight, other.weight),
            (&mut self.sink_rate, other.sink_rate),
            (&mut self.mass, other.mass),
            (&mut self.margin, other.margin),
            (&mut self.share, other.share),
            (&mut self.misfit, other.misfit),
            (&mut self.unexplored, other.unexplored),
        ];
        for (sum, more) in sums {
            *sum = sum.saturating_add(more);
        }
    }

    /// Recipes accounted for.
    #[must_use]
    pub fn total(&self) -> u64 {
        [
            self.cost,
            self.hang,
            self.weight,
            self.sink_rate,
            self.mass,
            self.margin,
            self.share,
            self.misfit,
            self.unexplored,
        ]
        .into_iter()
        .fold(self.evaluated, u64::saturating_add)
    }
}

/// How far a search has come.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Progress {
    /// Recipes judged.
    pub evaluated: u64,
    /// Price of the last in the list, hundredths of the currency, once the list is full.
    pub cutoff: Option<i64>,
    /// No recipe still to come costs less than this.
    pub bound: Option<Money>,
}

/// Watches a search, and may stop it; the core itself never prints.
pub trait Observer: Sync {
    /// After every round.
    fn round_done(&self, progress: &Progress);

    /// Asked before every round: whether to stop with the best so far.
    fn stop(&self) -> bool {
        false
    }
}

/// Watches nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Observer for Unwatched {
    fn round_done(&self, _: &Progress) {}
}

/// The answer of a search, with its certificate.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<'a> {
    /// The best recipes, best first.
    pub candidates: Vec<Candidate<'a>>,
    /// Number of recipes in the space.
    pub space: u64,
    /// What became of them.
    pub tally: Tally,
    /// Set when the search was stopped early: no recipe that was not looked at costs less than this.
    pub bound: Option<Money>,
}

impl Found<'_> {
    /// Whether the list is proven to be the best.
    #[must_use]
    pub fn proven(&self) -> bool {
        self.tally.unexplored == 0
    }
}
