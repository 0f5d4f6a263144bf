//! A good plan in no time: a greedy start, and a descent that ends where no single change helps.
//!
//! Nothing here is proven; [`super::exact`] starts from the plan found here and proves it, or betters it.

use super::problem::{Need, Plan, Problem, Score};
use crate::quantity::Money;

/// Ways of all needs together above which the descent, which tries every change, would take longer than it saves.
const MOST_WAYS: usize = 700;

/// A plan that no single change betters.
#[must_use]
pub fn quick_plan(problem: &Problem) -> Plan {
    bettered(problem, greedy(problem))
}

/// A plan as long as single changes better it, where there are not too many to try: of plans that cost the same, the solver knows
/// no better one.
pub(super) fn bettered(problem: &Problem, plan: Plan) -> Plan {
    let ways: usize = problem.needs.iter().map(|need| need.ways.len()).sum();
    if ways <= MOST_WAYS { descend(problem, plan) } else { plan }
}

/// Need by need, the largest first, all flies in the way that then costs least.
fn greedy(problem: &Problem) -> Plan {
    let mut plan = problem.nothing();
    let mut order: Vec<usize> = (0..problem.needs.len()).collect();
    order.sort_by_key(|n| (std::cmp::Reverse(problem.needs[*n].flies), *n));
    for need in order {
        let flies = |way| problem.needs[need].enough(way, problem.needs[need].flies);
        let best = (0..plan[need].len())
            .map(|way| {
                let mut with = plan.clone();
                with[need][way] = flies(way);
                (problem.score(&with), way)
            })
            .min();
        if let Some((score, way)) = best {
            let affordable = score.beyond == 0 && score.overspent == Money::ZERO;
            if affordable || problem.budget.is_none() {
                plan[need][way] = flies(way);
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
        let right = need.right(&plan[n]);
        let missing = need.flies - right;
        for to in 0..need.ways.len() {
            for many in [missing, 1].into_iter().filter(|many| *many > 0 && missing >= *many) {
                let mut next = plan.clone();
                next[n][to] += 1;
                fit(need, &mut next[n], to, right + many);
                consider(next);
            }
            for from in (0..need.ways.len()).filter(|from| *from != to && plan[n][*from] > 0) {
                for many in [plan[n][from], 1] {
                    let mut next = plan.clone();
                    next[n][from] -= many;
                    next[n][to] += many;
                    fit(need, &mut next[n], to, right);
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

/// Ties as many flies of one way as make up just so many right ones with what the others tie.
fn fit(need: &Need, counts: &mut [u32], way: usize, right: u32) {
    let total: u32 = counts.iter().sum();
    let enough = need.enough_in(counts, right);
    counts[way] = (counts[way] + enough).saturating_sub(total);
}

/// Gives every fly of one way to another, for the needs that both serve.
fn replace_way(problem: &Problem, plan: &mut Plan, from: usize, to: usize) {
    for (need, counts) in problem.needs.iter().zip(plan.iter_mut()) {
        let place = |way| need.ways.iter().position(|w| *w == way);
        if let (Some(from), Some(to)) = (place(from), place(to))
            && from != to
        {
            let right = need.right(counts);
            counts[to] += counts[from];
            counts[from] = 0;
            if counts[to] > 0 {
                fit(need, counts, to, right);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fly_box::exact::{Effort, solve};
    use crate::fly_box::problem::{Supply, Take, Way};
    use crate::part::Kind;

    #[test]
    fn of_plans_that_cost_the_same_fewer_flies_are_tied() {
        let supply = Supply { kind: Kind::Bead, owned: 0, pack: 10, price: Money::from_micros(3_000_000), wish: false };
        let way = || Way { takes: vec![Take { supply: 0, block: 1, serves: 1 }] };
        let enough = vec![vec![0, 2, 4], vec![0, 2, 3]];
        let need = Need { flies: 2, ways: vec![0, 1], narrowness: vec![0; 2], enough, ..Need::default() };
        let problem =
            Problem { needs: vec![need], ways: vec![way(), way()], supplies: vec![supply], ..Problem::default() };
        assert_eq!(bettered(&problem, vec![vec![4, 0]]), vec![vec![0, 3]]);
        let solved = solve(&problem, Effort::default(), &|| false).unwrap();
        assert_eq!(problem.bill(&solved.plan).tied, vec![0, 3]);
    }

    #[test]
    fn two_needs_share_one_pack() {
        let supply =
            |price| Supply { kind: Kind::Bead, owned: 0, pack: 10, price: Money::from_micros(price), wish: false };
        let way = |supply| Way { takes: vec![Take { supply, block: 1, serves: 1 }] };
        // Each alone is cheapest in a way of its own; together they are cheapest in the third, which both can use.
        let problem = Problem {
            needs: vec![
                Need { flies: 4, ways: vec![0, 2], narrowness: vec![0; 2], ..Need::default() },
                Need { flies: 5, ways: vec![1, 2], narrowness: vec![0; 2], ..Need::default() },
            ],
            ways: vec![way(0), way(1), way(2)],
            supplies: vec![supply(3_000_000), supply(3_000_000), supply(4_000_000)],
            ..Problem::default()
        };
        // No single change leads from one to the other: that is left to the solver, which starts from here.
        assert_eq!(problem.bill(&quick_plan(&problem)).outlay, Money::from_micros(6_000_000));
        let solved = solve(&problem, Effort::default(), &|| false).unwrap();
        assert_eq!(problem.bill(&solved.plan).outlay, Money::from_micros(4_000_000));
    }
}
