//! Branch and bound over packs, where the bound over all recipes stays below the best box known.
//!
//! The bound of [`super::shares`] lets a box buy a third of a pack for one need and two thirds for another. A node of the tree
//! decides such a part, of which nothing is owned: either no recipe takes it, or a whole pack is bought (then it is paid for
//! once, whoever takes it). In each case the bound is made anew, from the shares of the node above, by the same exact searches
//! without the parts that are ruled out. A node whose bound comes up to the best box holds no better one; where the two are
//! close, the sets of supplies that could still be cheaper are listed and planned with (`super::columns`). The least bound of
//! what is left open bounds every box.
//!
//! Source: branch and price, a general method, from memory.

use super::columns::Listed;
use super::made::Made;
use super::planner::Planner;
use super::problem::Problem;
use super::relaxation::{Relaxed, relax, round_up, units};
use super::shares::{Decided, Demand, fractions};
use crate::quantity::Money;

/// Rounds of the bound in a node.
const ROUNDS: u32 = 3;
/// How far lists of sets go in a node.
const LISTED: Listed = Listed { sets: 150, judged: 40_000 };
/// How near the bound must be to the best box, as a share of its price, for the sets in between to be listed.
const NEAR: f64 = 0.04;
/// Nodes between plans over all recipes met.
const PLANNED: u32 = 4;

/// A part of the boxes there are.
struct Branch {
    decided: Decided,
    relaxed: Relaxed,
}

/// Boxes that are not known to be dearer than the best.
struct Open<'d> {
    demand: &'d Demand,
    branches: Vec<Branch>,
    /// Bounds of branches that cannot be divided further.
    stuck: Vec<Money>,
}

impl<'a> Planner<'_, 'a> {
    /// Betters the complete box and the bound on any, in so many nodes; returns the bound.
    pub(super) fn grow_tree(&mut self, demand: &Demand, root: Relaxed, made: &mut Made<'a>) -> Money {
        let first = Branch { decided: Decided::default(), relaxed: root.clone() };
        let mut open = Open { demand, branches: vec![first], stuck: Vec::new() };
        for node in 1..=self.effort.nodes {
            let Some(branch) = self.next(&mut open, made.bill.outlay) else { break };
            let part = fractions(&self.pool, &demand.with(&branch.decided, &self.pool), &|| self.stop())
                .and_then(|packs| most_divided(demand, &packs));
            let Some(part) = part else {
                open.stuck.push(self.bound_of(&branch));
                continue;
            };
            for decided in [branch.decided.and_bought(part), branch.decided.and_without(part)] {
                let before = Relaxed { highest: false, ..branch.relaxed.clone() };
                self.divide(&mut open, decided, before, made);
            }
            if node % PLANNED == 0 && !self.stop() {
                let plan = self.make(&Problem::without_budget, demand, (self.quick(), Some(&root)));
                if plan.problem.score(&plan.plan) < made.problem.score(&made.plan) {
                    *made = plan;
                }
            }
            if self.enough() {
                break;
            }
        }
        let left = open.branches.iter().map(|b| self.bound_of(b)).chain(open.stuck.iter().copied());
        left.min().unwrap_or(made.bill.outlay).min(made.bill.outlay)
    }

    fn bound_of(&self, branch: &Branch) -> Money {
        round_up(branch.relaxed.bound, self.pool.supplies.price_step())
    }

    /// The open branch with the least bound; those that hold no better box than the best are closed.
    fn next(&self, open: &mut Open, outlay: Money) -> Option<Branch> {
        open.branches.retain(|b| self.bound_of(b) < outlay);
        let least = |b: &usize| self.bound_of(&open.branches[*b]);
        let place = (0..open.branches.len()).min_by_key(least)?;
        // A branch that is stuck below all others holds the bound: no other node can better it.
        let stuck = open.stuck.iter().min().is_some_and(|stuck| *stuck <= least(&place));
        (!stuck && !self.stop()).then(|| open.branches.swap_remove(place))
    }

    /// The bound of one half of a branch, and what is left open of it.
    fn divide(&mut self, open: &mut Open, decided: Decided, before: Relaxed, made: &mut Made<'a>) {
        let demand = open.demand.with(&decided, &self.pool);
        let known = Some(made.bill.outlay);
        let Some(relaxed) =
            relax(&mut self.pool, &demand, Some(before), (ROUNDS, self.effort.work, known), self.observer)
        else {
            return;
        };
        let mut branch = Branch { decided, relaxed };
        let bound = self.bound_of(&branch);
        let gap = (made.bill.outlay - bound).micros() as f64;
        if gap > 0.0 && gap < NEAR * made.bill.outlay.micros() as f64 && !self.stop() {
            let proven = self.settle_complete(made, &demand, Some(&branch.relaxed), LISTED);
            if let Some(better) = proven.bound.filter(|better| *better > bound) {
                branch.relaxed.bound = branch.relaxed.bound.max(units(better));
            }
        }
        if self.bound_of(&branch) < made.bill.outlay {
            open.branches.push(branch);
        }
    }
}

/// The part whose packs are furthest from whole, by what they cost, of those of which nothing is owned and less than one is bought.
fn most_divided(demand: &Demand, packs: &[f64]) -> Option<usize> {
    let worth = |p: &usize| {
        let supply = &demand.supplies[*p];
        let open = supply.owned == 0 && packs[*p] > 1e-4 && packs[*p] < 1.0 - 1e-4;
        if open { packs[*p].min(1.0 - packs[*p]) * supply.price.micros() as f64 } else { 0.0 }
    };
    (0..packs.len()).filter(|p| worth(p) > 0.0).max_by(|a, b| worth(a).total_cmp(&worth(b)))
}
