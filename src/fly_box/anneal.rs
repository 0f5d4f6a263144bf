//! A good plan in a short time: greedy start, simulated annealing, and a descent that ends where no single change helps.
//!
//! Nothing here is proven; [`super::exact`] starts from the plan found here and proves it, or betters it.

use super::problem::{Plan, Problem, Score};
use crate::quantity::Money;
use argmin::core::{CostFunction, Error, Executor};
use argmin::solver::simulatedannealing::{Anneal, SATempFunc, SimulatedAnnealing};
use rand_xoshiro::Xoshiro256PlusPlus;
use rand_xoshiro::rand_core::{RngCore, SeedableRng};
use std::cell::RefCell;

/// How long and from where the annealer runs. The same settings give the same plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Annealing {
    /// Changes tried.
    pub iterations: u64,
    /// Seed of the random numbers.
    pub seed: u64,
}

impl Default for Annealing {
    fn default() -> Self {
        Self { iterations: 60_000, seed: 1 }
    }
}

/// The best plan found.
#[must_use]
pub fn anneal(problem: &Problem, settings: Annealing) -> Plan {
    let start = descend(problem, greedy(problem));
    let movable = (0..problem.needs.len()).filter(|n| !problem.needs[*n].ways.is_empty()).collect::<Vec<_>>();
    if movable.is_empty() || settings.iterations == 0 {
        return start;
    }
    let scale = Scale::of(problem);
    let moves = Moves {
        problem,
        scale,
        movable,
        random: RefCell::new(Xoshiro256PlusPlus::seed_from_u64(settings.seed)),
        best: RefCell::new((problem.score(&start), start.clone())),
    };
    // From a typical pack down to a hundredth of it.
    let hot = scale.pack.max(1e-3);
    let cooling = 0.01_f64.powf(1.0 / settings.iterations as f64);
    let solver = SimulatedAnnealing::new_with_rng(hot, Xoshiro256PlusPlus::seed_from_u64(settings.seed ^ 0x5eed));
    let found = solver.map(|solver| solver.with_temp_func(SATempFunc::Exponential(cooling))).and_then(|solver| {
        Executor::new(moves, solver)
            .configure(|state| state.param(start.clone()).max_iters(settings.iterations))
            .timer(false)
            .run()
    });
    let best = found.ok().and_then(|mut run| {
        let seen = run.problem.take_problem().map(|moves| moves.best.into_inner().1);
        seen.or_else(|| run.state.take_best_param())
    });
    descend(problem, best.unwrap_or(start))
}

/// What limits, missing flies and packs weigh in the annealer, in units of the currency.
#[derive(Debug, Clone, Copy)]
struct Scale {
    /// A middling pack.
    pack: f64,
    /// More than any box can cost.
    all: f64,
}

impl Scale {
    fn of(problem: &Problem) -> Self {
        let mut prices: Vec<f64> = problem.supplies.iter().map(|s| units(s.price)).filter(|p| *p > 0.0).collect();
        prices.sort_by(f64::total_cmp);
        let pack = prices.get(prices.len() / 2).copied().unwrap_or(1.0);
        Self { pack, all: 1.0 + 4.0 * pack * problem.needs.len() as f64 }
    }

    /// Finite, and ordered like the score where it matters.
    fn cost(self, score: &Score) -> f64 {
        f64::from(score.beyond) * self.all
            + units(score.overspent) * 10.0
            + f64::from(u8::from(score.overspent > Money::ZERO)) * self.all
            + f64::from(score.missing) * 2.0 * self.pack
            + units(score.outlay)
            + 0.05 * self.pack * f64::from(score.recipes)
            + 1e-6 * self.pack * score.narrowness as f64
    }
}

fn units(money: Money) -> f64 {
    money.micros() as f64 * 1e-6
}

struct Moves<'p> {
    problem: &'p Problem,
    scale: Scale,
    /// Needs with any way at all.
    movable: Vec<usize>,
    random: RefCell<Xoshiro256PlusPlus>,
    best: RefCell<(Score, Plan)>,
}

impl Moves<'_> {
    fn below(&self, n: usize) -> usize {
        (self.random.borrow_mut().next_u64() % n.max(1) as u64) as usize
    }

    /// Moves all or some flies of one need from one way (or from missing) to another (or to missing).
    fn shift_one(&self, plan: &mut Plan) {
        let need = self.movable[self.below(self.movable.len())];
        let wanted = self.problem.needs[need].flies;
        let counts = &mut plan[need];
        let used: Vec<usize> = (0..counts.len()).filter(|w| counts[*w] > 0).collect();
        let missing = wanted - counts.iter().sum::<u32>();
        let sources = used.len() + usize::from(missing > 0);
        if sources == 0 {
            return;
        }
        let from = used.get(self.below(sources)).copied();
        let there = from.map_or(missing, |w| counts[w]);
        let many = if self.below(10) < 7 { there } else { 1 + self.below(there as usize) as u32 };
        // Where a budget binds, leaving flies out must be possible.
        let leave_out = self.problem.budget.is_some() && self.below(8) == 0;
        let to = self.below(counts.len());
        if let Some(from) = from {
            counts[from] -= many;
        }
        if !(leave_out && from.is_some()) {
            counts[to] += many;
        }
    }

    /// Replaces one way by another wherever both serve.
    fn swap_way(&self, plan: &mut Plan) {
        let need = self.movable[self.below(self.movable.len())];
        let ways = &self.problem.needs[need].ways;
        let used: Vec<usize> = (0..ways.len()).filter(|w| plan[need][*w] > 0).collect();
        let Some(from) = used.get(self.below(used.len())).map(|w| ways[*w]) else { return };
        let to = ways[self.below(ways.len())];
        replace_way(self.problem, plan, from, to);
    }
}

/// Gives every fly of one way to another, for the needs that both serve.
fn replace_way(problem: &Problem, plan: &mut Plan, from: usize, to: usize) {
    for (need, counts) in problem.needs.iter().zip(plan.iter_mut()) {
        let place = |way| need.ways.iter().position(|w| *w == way);
        if let (Some(from), Some(to)) = (place(from), place(to))
            && from != to
        {
            counts[to] += counts[from];
            counts[from] = 0;
        }
    }
}

impl CostFunction for Moves<'_> {
    type Param = Plan;
    type Output = f64;

    fn cost(&self, plan: &Plan) -> Result<f64, Error> {
        let score = self.problem.score(plan);
        let mut best = self.best.borrow_mut();
        if score < best.0 {
            *best = (score, plan.clone());
        }
        Ok(self.scale.cost(&score))
    }
}

impl Anneal for Moves<'_> {
    type Param = Plan;
    type Output = Plan;
    type Float = f64;

    fn anneal(&self, plan: &Plan, _: f64) -> Result<Plan, Error> {
        let mut next = plan.clone();
        if self.below(4) == 0 {
            self.swap_way(&mut next)
        } else {
            self.shift_one(&mut next)
        }
        Ok(next)
    }
}

/// Need by need, the largest first, all flies in the way that then costs least.
fn greedy(problem: &Problem) -> Plan {
    let mut plan = problem.nothing();
    let mut order: Vec<usize> = (0..problem.needs.len()).collect();
    order.sort_by_key(|n| (std::cmp::Reverse(problem.needs[*n].flies), *n));
    for need in order {
        let flies = problem.needs[need].flies;
        let best = (0..plan[need].len())
            .map(|way| {
                let mut with = plan.clone();
                with[need][way] = flies;
                (problem.score(&with), way)
            })
            .min();
        if let Some((score, way)) = best {
            let affordable = score.beyond == 0 && score.overspent == Money::ZERO;
            if affordable || problem.budget.is_none() {
                plan[need][way] = flies;
            }
        }
    }
    plan
}

/// Changes one thing at a time while that helps: one need to another way, one way to another everywhere, one more fly.
fn descend(problem: &Problem, mut plan: Plan) -> Plan {
    let mut score = problem.score(&plan);
    while let Some((better, next)) = best_change(problem, &plan, score) {
        score = better;
        plan = next;
    }
    plan
}

fn best_change(problem: &Problem, plan: &Plan, score: Score) -> Option<(Score, Plan)> {
    let mut best: Option<(Score, Plan)> = None;
    let mut consider = |next: Plan| {
        let new = problem.score(&next);
        if new < best.as_ref().map_or(score, |b| b.0) {
            best = Some((new, next));
        }
    };
    for (n, need) in problem.needs.iter().enumerate() {
        let missing = need.flies - plan[n].iter().sum::<u32>();
        for to in 0..need.ways.len() {
            for many in [missing, 1] {
                if missing >= many && many > 0 {
                    let mut next = plan.clone();
                    next[n][to] += many;
                    consider(next);
                }
            }
            for from in (0..need.ways.len()).filter(|from| *from != to && plan[n][*from] > 0) {
                for many in [plan[n][from], 1] {
                    let mut next = plan.clone();
                    next[n][from] -= many;
                    next[n][to] += many;
                    consider(next);
                }
                let mut next = plan.clone();
                replace_way(problem, &mut next, need.ways[from], need.ways[to]);
                consider(next);
            }
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fly_box::problem::{Need, Supply, Take, Way};
    use crate::part::Kind;

    #[test]
    fn two_needs_share_one_pack() {
        let supply = |price| Supply { kind: Kind::Bead, owned: 0, pack: 10, price: Money::from_micros(price) };
        let way = |supply| Way { takes: vec![Take { supply, block: 1, serves: 1 }] };
        // Each alone is cheapest in a way of its own; together they are cheapest in the third, which both can use.
        let problem = Problem {
            needs: vec![
                Need { flies: 4, ways: vec![0, 2], narrowness: vec![0; 2] },
                Need { flies: 5, ways: vec![1, 2], narrowness: vec![0; 2] },
            ],
            ways: vec![way(0), way(1), way(2)],
            supplies: vec![supply(3_000_000), supply(3_000_000), supply(4_000_000)],
            ..Problem::default()
        };
        let plan = anneal(&problem, Annealing { iterations: 2_000, seed: 7 });
        assert_eq!(problem.bill(&plan).outlay, Money::from_micros(4_000_000));
        assert_eq!(plan, anneal(&problem, Annealing { iterations: 2_000, seed: 7 }));
    }
}
