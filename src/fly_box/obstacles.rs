//! Why a box is not complete, and what more flies would cost.

use super::exact::{cheapest_of, solve};
use super::made::Made;
use super::plan::{MoreFlies, Obstacle, Standing};
use super::planner::{Planner, meetable};
use super::problem::Limits;
use super::shares::Demand;

/// Steps of the outlay that are told beyond a budget, and programs that are solved for them.
const MOST_STEPS: usize = 3;
const MOST_ASKED: u32 = 12;

impl<'a> Planner<'_, 'a> {
    /// What the next few flies would cost, and all.
    pub(super) fn more(&self, made: &Made<'a>, demand: &Demand, complete: Option<&Made<'a>>) -> Vec<MoreFlies> {
        let whole = demand.flies.iter().sum::<u32>();
        let tied = made.problem.flies() - made.bill.missing;
        let problem = meetable(&self.pool.pose().problem.without_budget(), demand);
        let mut more: Vec<MoreFlies> = Vec::new();
        let mut wanted = tied + 1;
        for _ in 0..MOST_ASKED {
            if wanted >= whole {
                break;
            }
            let Some(solved) = cheapest_of(&problem, wanted, self.effort.planner, &|| self.stop()) else { break };
            let bill = problem.bill(&solved.plan);
            let next = MoreFlies { flies: problem.flies() - bill.missing, outlay: bill.outlay };
            if next.flies < wanted || self.stop() {
                break;
            }
            let same = more.last().is_some_and(|last| last.outlay == next.outlay);
            if same {
                more.pop();
            } else if more.len() == MOST_STEPS {
                break;
            }
            more.push(next);
            wanted = next.flies + 1;
        }
        if let Some(made) = complete {
            // What was tried quickly for as many flies is no better known.
            more.retain(|m| m.flies < whole);
            more.push(MoreFlies { flies: whole, outlay: made.bill.outlay });
        }
        // What costs as much as more flies is no step.
        more.reverse();
        more.dedup_by_key(|m| m.outlay);
        more.reverse();
        more.dedup_by_key(|m| m.flies);
        more
    }

    /// Needs that cannot be met, as far as is known.
    pub(super) fn need_obstacles(&self, standings: &[Standing<'a>]) -> Vec<Obstacle> {
        let obstacle = |(n, standing): (usize, &Standing)| match standing {
            Standing::Met => None,
            Standing::Impossible(_) => Some(Obstacle::Need(n)),
            Standing::Stopped => Some(Obstacle::Stopped(n)),
        };
        standings.iter().enumerate().filter_map(obstacle).collect()
    }

    /// Which limits are in the way of a complete box, and what would do.
    pub(super) fn limit_obstacles(&self, made: &Made<'a>, demand: &Demand) -> Vec<Obstacle> {
        let reachable: u32 = demand.flies.iter().sum();
        if self.order.limits.none() || made.problem.flies() - made.bill.missing >= reachable {
            return Vec::new();
        }
        let limits = self.order.limits;
        let mut obstacles = Vec::new();
        type Set = fn(&mut Limits, Option<u32>);
        let kinds: [(&'static str, Option<u32>, Set); 4] = [
            ("recipes", limits.recipes, |l, n| l.recipes = n),
            ("hooks", limits.hooks, |l, n| l.hooks = n),
            ("beads", limits.beads, |l, n| l.beads = n),
            ("foams", limits.foams, |l, n| l.foams = n),
        ];
        let quick = self.quick();
        for (what, limit, set) in kinds {
            let Some(limit) = limit else { continue };
            let most = (self.order.needs.len() as u32).max(limit + 1);
            let least = (limit + 1..=most).find(|n| {
                let mut problem = meetable(&self.pool.pose().problem.without_budget(), demand);
                set(&mut problem.limits, Some(*n));
                solve(&problem, quick, &|| self.stop()).is_some_and(|s| problem.bill(&s.plan).missing == 0)
            });
            obstacles.push(Obstacle::Limit { what, limit, least });
        }
        obstacles
    }
}
