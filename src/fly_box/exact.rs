//! The best plan, with a proof or a gap, by the mixed-integer program of `super::model`.
//!
//! Least outlay is wanted; under a budget first the most flies, then the least outlay for so many. Prices are whole
//! multiples of some smallest step, so a bound between two steps counts as the upper one. Whatever the solver answers is
//! billed again in exact money, and the bound is never set above that.

use super::model::{Goal, Model};
use super::problem::{Plan, Problem};
use super::start::{bettered, quick_plan};
use crate::quantity::Money;

/// How much work a proof may take: a count, so that the same settings give the same answer on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Branch-and-bound nodes.
    pub nodes: u64,
}

impl Default for Effort {
    fn default() -> Self {
        Self { nodes: 20_000 }
    }
}

/// The best plan found, and how good it is at least.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solved {
    /// The plan.
    pub plan: Plan,
    /// No plan that ties as many flies costs less.
    pub bound: Money,
    /// No plan within limits and budget misses fewer flies than this.
    pub least_missing: u32,
    /// Branch-and-bound nodes that were solved.
    pub nodes: u64,
}

impl Solved {
    /// Whether the plan is proven to be the best.
    #[must_use]
    pub fn proven(&self, problem: &Problem) -> bool {
        let bill = problem.bill(&self.plan);
        bill.missing == self.least_missing && bill.outlay == self.bound
    }
}

/// Finds the best plan: of complete ones the cheapest; under a budget the most right flies, then the least outlay for so many.
/// `None` when no plan keeps the limits and least numbers, which is proven. Ends early, with what it has, once `stop` says so.
#[must_use]
pub fn solve(problem: &Problem, effort: Effort, stop: &dyn Fn() -> bool) -> Option<Solved> {
    let start = quick_plan(problem);
    if problem.budget.is_none() {
        return cheapest(problem, start, problem.flies(), (effort, stop));
    }
    let model = Model::new(problem, Goal::MostFlies);
    let answer = model.solve(&start, effort.nodes, stop);
    if answer.infeasible && !problem.allows(&start) {
        return None;
    }
    let start = better(problem, start, answer.plan.clone());
    let tied = problem.flies() - problem.bill(&start).missing;
    let most = answer.bound.map_or(problem.flies(), |b| ((-b + 1e-6).floor().max(0.0) as u32).max(tied));
    let least_missing = problem.flies().saturating_sub(most);
    let solved = cheapest(problem, start, tied, (effort, stop))?;
    Some(Solved { least_missing, nodes: solved.nodes + answer.nodes, ..solved })
}

/// The least outlay for so many right flies or more, budget or not.
#[must_use]
pub fn cheapest_of(problem: &Problem, flies: u32, effort: Effort, stop: &dyn Fn() -> bool) -> Option<Solved> {
    let start = quick_plan(problem);
    cheapest(problem, start, flies, (effort, stop))
}

fn cheapest(problem: &Problem, start: Plan, flies: u32, (effort, stop): (Effort, &dyn Fn() -> bool)) -> Option<Solved> {
    let model = Model::new(problem, Goal::LeastOutlay { flies });
    let enough = |plan: &Plan| problem.allows(plan) && problem.flies() - problem.bill(plan).missing >= flies;
    let answer = model.solve(&start, effort.nodes, stop);
    if answer.infeasible && !enough(&start) {
        return None;
    }
    let plan = match answer.plan {
        Some(found) if !enough(&start) || problem.bill(&found).outlay < problem.bill(&start).outlay => found,
        Some(found) => better(problem, start, Some(found)),
        None => start,
    };
    let plan = if enough(&plan) { bettered(problem, plan) } else { plan };
    let bill = problem.bill(&plan);
    let step = problem.price_step();
    let bound = answer.bound.map_or(Money::ZERO, |b| round_up(b, step));
    let bound = if enough(&plan) { bound.clamp(Money::ZERO, bill.outlay) } else { bound };
    Some(Solved { plan, bound, least_missing: bill.missing, nodes: answer.nodes })
}

fn better(problem: &Problem, a: Plan, b: Option<Plan>) -> Plan {
    match b {
        Some(b) if problem.compare(&b, &a).is_lt() => b,
        _ => a,
    }
}

/// The solver's feasibility tolerance is 1e-7 per constraint and it works to about 1e-9 of an objective; a bound is trusted to
/// this much, in units of the currency.
const BOUND_SLACK: f64 = 1e-5;

/// The least whole multiple of `step` that is not below `bound`, but for rounding.
fn round_up(bound: f64, step: i64) -> Money {
    let steps = ((bound - BOUND_SLACK) * 1e6 / step as f64).ceil().max(0.0);
    Money::from_micros((steps as i64).saturating_mul(step))
}
