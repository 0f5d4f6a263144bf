//! The search: the K cheapest recipes that meet a target, exactly.
//!
//! **Space.** For every hook that the target leaves: every front that fits (bead on its mount, or none) x every wire,
//! number of turns and start position (or none) x every foam stock, cut, seat and length (or none), on the grid of the
//! target. [`exhaustive`] tries them all.
//!
//! **Exactness.** [`search`] splits that space into nodes (ranges of turns, starts and lengths of one wire and one foam
//! family behind one front) and drops a node only when [`bound`] shows that none of its recipes meets the target, or
//! when none can rank before the K-th best found: its cheapest recipe costs more cents, or as many with no wider margin. All three are statements about every recipe of the node, so
//! no recipe of the answer is dropped. What is left is judged one by one with [`crate::assess::judge`], and ranked by a
//! total order (cost, then margin, then ids), under which the best K are unique: the answer cannot depend on the order
//! of the search. A node with cost equal to the K-th best is never dropped, since its margin may be wider.
//!
//! **Threads.** Fronts are taken in order of their least cost, in batches of fixed size. Every front of a batch starts
//! from the same cutoff, and batches are merged in order, so the counts too are the same for any number of threads.

pub mod bound;
mod branch;
pub mod exhaustive;
pub mod rank;
pub mod space;

use crate::catalog::Catalog;
use crate::quantity::Money;
use crate::target::Target;
use branch::{FrontSearch, HookTables};
use rank::{Best, Candidate, Cutoff, Variety};
use rayon::prelude::*;

/// Why a part of the space was dropped.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pruned {
    /// Dearer than the K-th best, or than the limit.
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
}

impl Tally {
    fn prune(&mut self, reason: Pruned, count: u64) {
        *match reason {
            Pruned::Cost => &mut self.cost,
            Pruned::Hang => &mut self.hang,
            Pruned::Weight => &mut self.weight,
            Pruned::SinkRate => &mut self.sink_rate,
            Pruned::Mass => &mut self.mass,
            Pruned::Margin => &mut self.margin,
        } += count;
    }

    fn add(&mut self, other: Self) {
        self.evaluated += other.evaluated;
        self.cost += other.cost;
        self.hang += other.hang;
        self.weight += other.weight;
        self.sink_rate += other.sink_rate;
        self.mass += other.mass;
        self.margin += other.margin;
    }

    /// Recipes accounted for.
    #[must_use]
    pub fn total(&self) -> u64 {
        self.evaluated + self.cost + self.hang + self.weight + self.sink_rate + self.mass + self.margin
    }
}

/// Watches a search; the core itself never prints.
pub trait Observer: Sync {
    /// So many of so many batches are done, and the dearest of the best K so far costs this much.
    fn batch_done(&self, done: usize, of: usize, cutoff: Option<Cutoff>);
}

/// Watches nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct Unwatched;

impl Observer for Unwatched {
    fn batch_done(&self, _: usize, _: usize, _: Option<Cutoff>) {}
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
}

/// How many recipes are wanted, and how different.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// How many, at least 1.
    pub top: usize,
    /// What counts as too much alike.
    pub variety: Variety,
}

/// Fronts per batch: enough work for some cores, few enough that the cutoff soon helps.
const BATCH: usize = 32;

/// The best recipes that meet the target, exactly, in order.
#[must_use]
pub fn search<'a>(catalog: &'a Catalog, target: &Target, wish: Wish, observer: &dyn Observer) -> Found<'a> {
    let tables: Vec<HookTables<'a>> =
        space::spaces(catalog, target).into_par_iter().map(|space| HookTables::new(space, target)).collect();
    let space = tables.par_iter().map(|t| space::size(&t.space, target)).sum();
    let mut fronts: Vec<(Money, usize, usize)> = tables
        .iter()
        .enumerate()
        .flat_map(|(h, t)| t.space.fronts.iter().enumerate().map(move |(f, front)| (t.front_price(*front), h, f)))
        .collect();
    fronts.sort_unstable();
    let mut best = Best::new(wish.top, wish.variety);
    let mut tally = Tally::default();
    let batches = fronts.len().div_ceil(BATCH);
    for (i, batch) in fronts.chunks(BATCH).enumerate() {
        let cutoff = best.cutoff();
        let results: Vec<(Best, Tally)> = batch
            .par_iter()
            .map(|&(_, h, f)| {
                let front = tables[h].space.fronts[f];
                FrontSearch::new(&tables[h], target, front, (wish.top, wish.variety), cutoff).run()
            })
            .collect();
        for (found, count) in results {
            best.merge(found);
            tally.add(count);
        }
        observer.batch_done(i + 1, batches, best.cutoff());
    }
    Found { candidates: best.list().to_vec(), space, tally }
}
