//! A plan over recipes: the arithmetic of [`super::problem`] and the flies that it is about.

use super::exact::Solved;
use super::problem::{Bill, Plan, Problem};
use crate::fly::Fly;
use crate::purchase::{Amounts, PartId};

/// A plan over some recipes.
pub(super) struct Made<'a> {
    pub(super) problem: Problem,
    pub(super) flies: Vec<Fly<'a>>,
    pub(super) plan: Plan,
    pub(super) bill: Bill,
    pub(super) nodes: u64,
}

impl<'a> Made<'a> {
    pub(super) fn new(problem: Problem, flies: Vec<Fly<'a>>, solved: Option<Solved>) -> Self {
        let nodes = solved.as_ref().map_or(0, |s| s.nodes);
        let plan = solved.map_or_else(|| problem.nothing(), |s| s.plan);
        let bill = problem.bill(&plan);
        Self { problem, flies, plan, bill, nodes }
    }

    /// The better of two: a solver that was stopped may hand back less than was known.
    pub(super) fn better(self, other: Self) -> Self {
        if other.problem.score(&other.plan) < self.problem.score(&self.plan) { other } else { self }
    }

    /// What the plan leaves of stock and bought packs.
    pub(super) fn left_over(&self, parts: &[PartId]) -> Amounts {
        let mut left = Amounts::new();
        for (s, supply) in self.problem.supplies.iter().enumerate().filter(|(_, supply)| !supply.wish) {
            let there = supply.owned + self.bill.packs[s] * supply.pack;
            left.set(parts[s].clone(), there - self.bill.needed[s]);
        }
        left
    }

    pub(super) fn flies_in(&self, need: usize, way: usize) -> u32 {
        let place = self.problem.needs[need].ways.iter().position(|w| *w == way);
        place.map_or(0, |place| self.plan[need][place])
    }
}
