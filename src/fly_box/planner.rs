//! The steps from needs to a plan, as [`super::plan`] tells them.

use super::budget::{Ladder, most_under_budget};
use super::columns::{Chosen, Known, Listed, SLACK, Worth, better_box, most_for_complete, posed};
use super::exact::{Effort, solve};
use super::made::Made;
use super::plan::{BoxEffort, BoxPlan, Obstacle, Standing};
use super::pool::{Member, Pool, Posed};
use super::problem::Problem;
use super::relaxation::{Relaxed, relax, round_up, units, users};
use super::shares::{Demand, Shares};
use super::spec::BoxOrder;
use crate::catalog::Catalog;
use crate::quantity::Money;
use crate::search::Observer;
use crate::search::tariff::Tariff;

/// How near the bound must be to the best box, as a share of its price, for sets in between to be listed before the last turn.
const NEAR: f64 = 0.14;
/// Nodes of a plan that is bettered later.
const QUICK: u64 = 1_000;
/// Recipes of each need that are planned with, of those that charge the least by either shares.
const MOST_POSED: usize = 40;
/// Rounds of the bound in a turn.
const ROUNDS: u32 = 4;
/// How far lists of sets go in the first turn; twice as far in each turn after it.
const FIRST_LISTED: Listed = Listed { sets: 400, judged: 80_000 };

/// Plans a box.
#[must_use]
pub fn plan<'a>(order: &BoxOrder, catalog: &'a Catalog, effort: BoxEffort, observer: &dyn Observer) -> BoxPlan<'a> {
    Planner::new(order, catalog, effort, observer).run()
}

/// What planning goes by.
pub(super) struct Planner<'s, 'a> {
    pub(super) pool: Pool<'s, 'a>,
    pub(super) order: &'s BoxOrder,
    pub(super) catalog: &'a Catalog,
    pub(super) effort: BoxEffort,
    pub(super) observer: &'s dyn Observer,
}

/// What is proven so far.
pub(super) struct Proven {
    pub(super) least_missing: u32,
    pub(super) bound: Option<Money>,
}

impl<'s, 'a> Planner<'s, 'a> {
    pub(super) fn new(
        order: &'s BoxOrder,
        catalog: &'a Catalog,
        effort: BoxEffort,
        observer: &'s dyn Observer,
    ) -> Self {
        Self { pool: Pool::new(order, catalog), order, catalog, effort, observer }
    }

    pub(super) fn run(mut self) -> BoxPlan<'a> {
        let standings = self.first_lists();
        let demand = self.demand(&standings);
        let (mut made, relaxed, mut proven) = self.complete(&demand, self.unmet(&standings));
        let mut obstacles = self.need_obstacles(&standings);
        obstacles.extend(self.limit_obstacles(&made, &demand));
        let mut more = Vec::new();
        let limited = made.bill.missing > self.unmet(&standings);
        if let Some(budget) = self.order.budget.filter(|budget| limited || *budget < made.bill.outlay) {
            let bound = proven.bound.unwrap_or(Money::ZERO);
            if !limited {
                obstacles.push(Obstacle::Budget { budget, complete: made.bill.outlay, bound });
            }
            let complete = made;
            made = self.make(&Problem::clone, &demand, (self.effort.planner, relaxed.as_ref()));
            proven = self.settle_budget(&mut made, &demand, relaxed.as_ref(), budget);
            if made.bill.short > 0 {
                obstacles.push(Obstacle::Least { budget });
            }
            more = self.more(&made, &demand, (!limited).then_some(&complete));
        }
        self.finish(&made, standings, (obstacles, more), proven)
    }

    /// The cheapest complete box, by turns of a better bound and a list of what could still be cheaper, and what is proven.
    fn complete(&mut self, demand: &Demand, unmet: u32) -> (Made<'a>, Option<Relaxed>, Proven) {
        let quick = self.quick();
        let mut made = self.make(&Problem::without_budget, demand, (quick, None));
        let mut relaxed = None;
        let mut proven = Proven { least_missing: 0, bound: None };
        for turn in 0..self.effort.turns {
            let known = (made.bill.missing == unmet).then_some(made.bill.outlay);
            // Shares that have hardly moved leave fewer sets that could be cheaper than better ones that tie many of them.
            let rounds = if turn == 0 { 1 } else { ROUNDS };
            relaxed = relax(&mut self.pool, demand, relaxed, (rounds, self.effort.work, known), self.observer);
            made = self.make(&Problem::without_budget, demand, (quick, relaxed.as_ref())).better(made);
            let last = turn + 1 == self.effort.turns || relaxed.as_ref().is_none_or(|r| r.highest);
            let most = if last { Listed::MOST } else { FIRST_LISTED.doubled(turn) };
            let bound = relaxed.as_ref().map(|relaxed| round_up(relaxed.bound, self.pool.supplies.price_step()));
            proven.bound = proven.bound.max(bound);
            if last || self.near(&made, relaxed.as_ref()) {
                let now = self.settle_complete(&mut made, demand, relaxed.as_ref(), most);
                proven.bound = proven.bound.max(now.bound);
            }
            if last
                || self.enough()
                || proven.bound.is_some_and(|bound| bound >= made.bill.outlay || self.beyond(bound))
            {
                break;
            }
        }
        // What no budget pays for need not be the cheapest.
        let beyond = proven.bound.is_some_and(|bound| self.beyond(bound));
        let open = |made: &Made, proven: &Proven| !beyond && proven.bound.is_none_or(|bound| bound < made.bill.outlay);
        if let Some(root) =
            relaxed.clone().filter(|_| open(&made, &proven) && made.bill.missing == unmet && !self.enough())
        {
            let bound = self.grow_tree(demand, root, &mut made);
            proven.bound = proven.bound.max(Some(bound));
        }
        if open(&made, &proven) && !self.stop() {
            let thorough = (self.effort.planner, relaxed.as_ref());
            made = self.make(&Problem::without_budget, demand, thorough).better(made);
        }
        (made, relaxed, proven)
    }

    /// Whether the bound is near enough to the best box for lists of what lies between to be worth their while.
    fn near(&self, made: &Made, relaxed: Option<&Relaxed>) -> bool {
        relaxed.is_some_and(|relaxed| relaxed.bound > (1.0 - NEAR) * units(made.bill.outlay))
    }

    /// Whether so much is more than the budget.
    fn beyond(&self, outlay: Money) -> bool {
        self.order.budget.is_some_and(|budget| outlay > budget)
    }

    /// Little work: for plans that are bettered later.
    pub(super) fn quick(&self) -> Effort {
        Effort { nodes: self.effort.planner.nodes.min(QUICK) }
    }

    /// Right flies of each need that can be met, as far as is known.
    fn demand(&self, standings: &[Standing<'a>]) -> Demand {
        let flies = self.order.needs.iter().zip(standings);
        let flies = flies.map(|(need, s)| if *s == Standing::Met { need.flies_wanted() } else { 0 }).collect();
        Demand::new(&self.pool, flies)
    }

    /// Flies of needs that cannot be met.
    fn unmet(&self, standings: &[Standing<'a>]) -> u32 {
        let needs = self.order.needs.iter().zip(standings);
        needs.filter(|(_, s)| **s != Standing::Met).map(|(need, _)| need.flies_wanted()).sum()
    }

    pub(super) fn stop(&self) -> bool {
        self.observer.stop()
    }

    /// Whether no further search for a bound is begun.
    pub(super) fn enough(&self) -> bool {
        self.stop() || self.pool.work() >= self.effort.work
    }

    /// Work that is left.
    fn left(&self) -> u64 {
        self.effort.work.saturating_sub(self.pool.work())
    }

    /// What is planned with. Where nothing limits how many different things there are, recipes that charge a need much, both by even
    /// shares and by the best known, are left out.
    fn posed(&self, demand: &Demand, relaxed: Option<&Relaxed>) -> Posed {
        let Some(relaxed) = relaxed.filter(|_| self.order.limits.none() && !self.order.counts_recipes()) else {
            return self.pool.pose();
        };
        let even = demand.even(&users(&self.pool));
        let charge = |shares: &Shares, need: usize, member: &Member| {
            let enough = member.serves[need].as_ref().and_then(|service| service.enough.last().copied());
            let flies = enough.unwrap_or(demand.flies[need]);
            units(Tariff::Rates(demand.tariff(shares, need, flies, &self.pool)).price(&member.fly))
        };
        self.pool
            .pose_few(MOST_POSED, |need, member| [&even, &relaxed.shares].map(|shares| charge(shares, need, member)))
    }

    /// The best plan over the pool; where limits shut every complete plan out, the one that ties most flies.
    pub(super) fn make(
        &self,
        change: &dyn Fn(&Problem) -> Problem,
        demand: &Demand,
        (effort, relaxed): (Effort, Option<&Relaxed>),
    ) -> Made<'a> {
        let Posed { problem, members } = self.posed(demand, relaxed);
        let mut problem = change(&problem);
        for (need, flies) in problem.needs.iter_mut().zip(&demand.flies) {
            need.least = need.least.min(*flies);
        }
        let stop = || self.stop();
        let solved = solve(&meetable(&problem, demand), effort, &stop).or_else(|| {
            let ample = problem.supplies.iter().zip(problem.most_packs()).map(|(s, n)| s.price.share(n, 1));
            let recipes = problem.each_recipe.share(problem.ways.len() as u64, 1);
            let ample = problem.budget.or(Some(ample.sum::<Money>() + recipes));
            let mut most = Problem { budget: ample, ..problem.clone() };
            most.needs.iter_mut().for_each(|need| need.least = 0);
            solve(&most, effort, &stop)
        });
        let flies = members.iter().map(|m| self.pool.members[*m].fly).collect();
        Made::new(problem, flies, solved)
    }

    /// Proves the complete plan, or finds a better one.
    pub(super) fn settle_complete(
        &self,
        made: &mut Made<'a>,
        demand: &Demand,
        relaxed: Option<&Relaxed>,
        most_listed: Listed,
    ) -> Proven {
        let Some(relaxed) = relaxed else { return Proven { least_missing: 0, bound: None } };
        let bound = round_up(relaxed.bound, self.pool.supplies.price_step());
        let open = Proven { least_missing: 0, bound: Some(bound) };
        let missing = made.problem.flies() - demand.flies.iter().sum::<u32>();
        if made.bill.missing > missing || made.problem.score(&made.plan).beyond > 0 {
            return open;
        }
        let outlay = made.bill.outlay;
        let most = most_for_complete(&self.pool, demand, relaxed, outlay, self.observer);
        let Some(most) = most.filter(|_| !self.stop()) else { return open };
        let known =
            Known { worth: (0, outlay), bound: (0, bound.min(outlay)), budget: None, most, shares: &relaxed.shares };
        let verdict = better_box(
            &self.pool,
            demand,
            &known,
            (self.effort.planner, most_listed.within(self.left())),
            self.observer,
        );
        if let Some(chosen) = verdict.chosen {
            *made = self.made_of(&chosen);
        }
        Proven { least_missing: 0, bound: Some(verdict.bound.1) }
    }

    /// Proves the plan within a budget, or finds a better one.
    fn settle_budget(&self, made: &mut Made<'a>, demand: &Demand, relaxed: Option<&Relaxed>, budget: Money) -> Proven {
        let unbounded = Proven { least_missing: 0, bound: None };
        let ladder = relaxed.and_then(|relaxed| Ladder::new(&self.pool, demand, relaxed, self.observer));
        let Some(ladder) = ladder else { return unbounded };
        let whole = demand.flies.iter().sum::<u32>();
        let tied = made.problem.flies() - made.bill.missing;
        let most = ladder.most_flies(units(budget) + SLACK).max(tied);
        let least = ladder.least_outlay(None).get(most as usize).copied().unwrap_or(0.0);
        let bound: Worth = (whole - most, round_up(least, self.pool.supplies.price_step()).max(Money::ZERO));
        let worth = (whole - tied, made.bill.outlay);
        if made.bill.short > 0 || self.stop() {
            return Proven { least_missing: bound.0, bound: Some(bound.1) };
        }
        let most = most_under_budget(&ladder, budget, tied);
        let known = Known { worth, bound: bound.min(worth), budget: Some(budget), most, shares: &ladder.shares };
        let verdict = better_box(
            &self.pool,
            demand,
            &known,
            (self.effort.planner, Listed::MOST.within(self.left())),
            self.observer,
        );
        if let Some(chosen) = verdict.chosen {
            *made = self.made_of(&chosen);
        }
        Proven { least_missing: verdict.bound.0, bound: Some(verdict.bound.1) }
    }

    fn made_of(&self, chosen: &Chosen<'a>) -> Made<'a> {
        let (problem, plan) = posed(&self.pool, chosen);
        let bill = problem.bill(&plan);
        Made { problem, flies: chosen.iter().map(|(fly, _)| *fly).collect(), plan, bill, nodes: 0 }
    }
}

/// The problem with no flies of needs that cannot be met.
pub(super) fn meetable(problem: &Problem, demand: &Demand) -> Problem {
    let mut problem = problem.clone();
    for (need, flies) in problem.needs.iter_mut().zip(&demand.flies) {
        need.flies = *flies;
        need.least = need.least.min(*flies);
    }
    problem
}
