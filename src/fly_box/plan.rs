//! The plan of a box, and what is proven about it.
//!
//! 1. For each need the cheapest recipes, by material and by outlay, from the exact search. A need that the search shows
//!    to be impossible is explained and left out.
//! 2. The bound over all recipes (`super::relaxation`), whose searches find the recipes that share packs.
//! 3. The cheapest plan over the recipes met so far ([`super::exact`]).
//! 4. Whether any other recipes make a cheaper one (`super::columns`): then that one, proven.
//! 5. Where a budget does not pay for it: the most flies, then the least outlay, by the same steps (`super::budget`).
//! 6. Recipes are exchanged for ones of the same parts with wider margins, where that costs nothing.
//!
//! Told to stop, it goes on with what it has: the plan over the recipes met so far, and the best bound by then.

use super::budget::{Ladder, most_under_budget};
use super::columns::{Chosen, Known, MOST_SETS, Worth, better_box, most_for_complete, posed, same_supplies};
use super::common::add_common;
use super::exact::{Effort, Solved, cheapest_of, solve};
use super::pool::{Pool, Posed, margin_in};
use super::problem::{Bill, Limits, Plan, Problem};
use super::relaxation::{Relaxed, relax, round_up, units};
use super::shares::Demand;
use super::spec::BoxOrder;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::part::Kind;
use crate::purchase::{Amounts, PartId, ShoppingList, uses};
use crate::quantity::Money;
use crate::search::explain::{Explanation, explain};
use crate::search::rank::{Candidate, Variety};
use crate::search::tariff::{PackTariff, Tariff};
use crate::search::{Observer, Wish, search_by};
use crate::wanted::Target;
use std::collections::BTreeMap;

/// How much work goes into a box. All counts, no times: the same settings give the same box on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoxEffort {
    /// Recipes listed for each need, by material and by outlay.
    pub listed: usize,
    /// Turns of some rounds of the bound over all recipes and a list of what could still be cheaper.
    pub turns: u32,
    /// The planner.
    pub planner: Effort,
}

impl Default for BoxEffort {
    fn default() -> Self {
        Self { listed: 12, turns: 10, planner: Effort::default() }
    }
}

/// Rounds of the bound in a turn.
const ROUNDS: u32 = 4;
/// Sets of supplies listed for a need in the first turn; twice as many in each turn after it.
const FEW_SETS: usize = 400;

/// One recipe of a box.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie<'a> {
    /// The fly.
    pub fly: Fly<'a>,
    /// Flies of it for each need.
    pub flies: Vec<u32>,
    /// Whether it meets all that each need asks for.
    pub serves: Vec<bool>,
    /// Narrowest margin in the needs that it is for.
    pub margin: f64,
    /// Tying batch, from 1: recipes of a batch share bead, mount and wire.
    pub batch: usize,
}

impl Tie<'_> {
    /// Flies of it in all.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.flies.iter().sum()
    }
}

/// Whether a need can be met.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing<'a> {
    /// Some recipe meets it.
    Met,
    /// No recipe at all does, and why.
    Impossible(Box<Explanation<'a>>),
    /// No recipe was found before the search was stopped.
    Stopped,
}

/// What became of one need.
#[derive(Debug, Clone, PartialEq)]
pub struct NeedResult<'a> {
    /// Flies wanted.
    pub wanted: u32,
    /// Flies tied.
    pub tied: u32,
    /// Whether it can be met.
    pub standing: Standing<'a>,
}

/// Why a box is not complete.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Obstacle {
    /// A need that no recipe meets; its place in the order.
    Need(usize),
    /// A need for which none was found before the search was stopped.
    Stopped(usize),
    /// The budget is less than what all flies cost.
    Budget {
        /// Budget.
        budget: Money,
        /// Outlay of the cheapest box found that ties all flies.
        complete: Money,
        /// No box that ties all flies costs less than this.
        bound: Money,
    },
    /// The budget does not even pay for the least number of each need, by the recipes looked at.
    Least {
        /// Budget.
        budget: Money,
    },
    /// Too few different things for all flies, among the recipes looked at.
    Limit {
        /// What is limited: `recipes`, `hooks`, `beads`, `foams`.
        what: &'static str,
        /// The limit.
        limit: u32,
        /// The least limit with which all flies can be tied while the others stay, if there is one.
        least: Option<u32>,
    },
}

/// What more flies would cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MoreFlies {
    /// Flies in all.
    pub flies: u32,
    /// Least outlay found for so many.
    pub outlay: Money,
}

/// What is proven about a plan, over all recipes of the catalog.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Proof {
    /// Recipes looked at one by one.
    pub recipes: usize,
    /// No box within limits and budget leaves out fewer flies of the needs that can be met; where nothing is bounded, 0.
    pub least_missing: u32,
    /// No box that leaves out only so many flies costs less than this; none where nothing is bounded.
    pub bound: Option<Money>,
    /// Whether the plan is proven to be the best: the most flies, then the least outlay.
    pub best: bool,
    /// Whether it was told to stop.
    pub stopped: bool,
    /// Branch-and-bound nodes.
    pub nodes: u64,
}

/// A planned box.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxPlan<'a> {
    /// Recipes, in tying order.
    pub ties: Vec<Tie<'a>>,
    /// Needs, in the order of the file.
    pub needs: Vec<NeedResult<'a>>,
    /// What to buy.
    pub shopping: ShoppingList,
    /// Why it is not complete, if it is not.
    pub obstacles: Vec<Obstacle>,
    /// What the next flies would cost, where a budget leaves some out.
    pub more: Vec<MoreFlies>,
    /// What is proven.
    pub proof: Proof,
}

impl BoxPlan<'_> {
    /// Whether every fly is tied.
    #[must_use]
    pub fn complete(&self) -> bool {
        self.needs.iter().all(|need| need.tied >= need.wanted)
    }

    /// Whether it is proven that no box ties every fly within the budget.
    #[must_use]
    pub fn proven_incomplete(&self) -> bool {
        let impossible = self.needs.iter().any(|need| matches!(need.standing, Standing::Impossible(_)));
        impossible || self.proof.least_missing > 0
    }
}

/// Plans a box.
#[must_use]
pub fn plan<'a>(order: &BoxOrder, catalog: &'a Catalog, effort: BoxEffort, observer: &dyn Observer) -> BoxPlan<'a> {
    Planner { pool: Pool::new(order, catalog), order, catalog, effort, observer }.run()
}

struct Planner<'s, 'a> {
    pool: Pool<'s, 'a>,
    order: &'s BoxOrder,
    catalog: &'a Catalog,
    effort: BoxEffort,
    observer: &'s dyn Observer,
}

/// A plan over some recipes.
struct Made<'a> {
    problem: Problem,
    flies: Vec<Fly<'a>>,
    plan: Plan,
    bill: Bill,
    nodes: u64,
}

/// What is proven so far.
struct Proven {
    least_missing: u32,
    bound: Option<Money>,
}

impl<'a> Planner<'_, 'a> {
    fn run(mut self) -> BoxPlan<'a> {
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
            made = self.make(&Problem::clone, &demand, self.effort.planner);
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
        let mut made = self.make(&Problem::without_budget, demand, quick);
        let mut relaxed = None;
        let mut proven = Proven { least_missing: 0, bound: None };
        for turn in 0..self.effort.turns {
            let known = (made.bill.missing == unmet).then_some(made.bill.outlay);
            relaxed = relax(&mut self.pool, demand, relaxed, (ROUNDS, known), self.observer);
            made = self.make(&Problem::without_budget, demand, quick).better(made);
            let last = turn + 1 == self.effort.turns || relaxed.as_ref().is_none_or(|r| r.highest);
            let most_sets = if last { MOST_SETS } else { FEW_SETS << turn };
            let now = self.settle_complete(&mut made, demand, relaxed.as_ref(), most_sets);
            proven.bound = proven.bound.max(now.bound);
            if last || self.stop() || proven.bound.is_some_and(|bound| bound >= made.bill.outlay) {
                break;
            }
        }
        if proven.bound.is_none_or(|bound| bound < made.bill.outlay) && !self.stop() {
            made = self.make(&Problem::without_budget, demand, self.effort.planner).better(made);
        }
        (made, relaxed, proven)
    }

    /// Little work: for plans that are bettered later.
    fn quick(&self) -> Effort {
        Effort { nodes: self.effort.planner.nodes.min(60) }
    }

    /// Flies of each need that can be met, as far as is known.
    fn demand(&self, standings: &[Standing<'a>]) -> Demand {
        let flies = self.order.needs.iter().zip(standings);
        let flies = flies.map(|(need, s)| if *s == Standing::Met { need.flies } else { 0 }).collect();
        Demand::new(&self.pool, flies)
    }

    /// Flies of needs that cannot be met.
    fn unmet(&self, standings: &[Standing<'a>]) -> u32 {
        let needs = self.order.needs.iter().zip(standings);
        needs.filter(|(_, s)| **s != Standing::Met).map(|(need, _)| need.flies).sum()
    }

    fn first_lists(&mut self) -> Vec<Standing<'a>> {
        let wish = Wish { top: self.effort.listed, variety: Variety::Parts };
        let few = Wish { top: 3, variety: Variety::FewestSupplies };
        let mut standings = Vec::new();
        for (n, need) in self.order.needs.iter().enumerate() {
            if need.flies == 0 {
                standings.push(Standing::Met);
                continue;
            }
            let packs = PackTariff::new(need.flies, self.order.owned.clone(), self.order.allowance);
            let packs = Tariff::Packs(packs);
            let mut none = false;
            for tariff in [&Tariff::Material, &packs] {
                let found = search_by(self.catalog, &need.target, tariff, wish, self.observer);
                none |= found.candidates.is_empty() && found.proven();
                if none {
                    break;
                }
                for candidate in found.candidates {
                    self.pool.add(candidate.fly);
                }
            }
            if none {
                let explained = explain(self.catalog, &need.target, self.observer);
                standings.push(Standing::Impossible(Box::new(explained)));
                continue;
            }
            for target in self.by_part(&need.target) {
                let found = search_by(self.catalog, &target, &packs, few, self.observer);
                for candidate in found.candidates {
                    self.pool.add_for(n, candidate.fly);
                }
            }
            standings.push(if self.pool.serves(n) { Standing::Met } else { Standing::Stopped });
        }
        let met = |n: &usize| standings[*n] == Standing::Met && self.order.needs[*n].flies > 0;
        let needs: Vec<usize> = (0..standings.len()).filter(met).collect();
        if self.order.limits.recipes.is_some_and(|most| (most as usize) < needs.len()) {
            add_common(&mut self.pool, &needs, &self.order.owned, self.observer);
        }
        standings
    }

    /// Where hooks, beads or foams are limited, the target once for each of them: what one of them can do for all needs.
    fn by_part(&self, target: &Target) -> Vec<Target> {
        let mut targets = Vec::new();
        for kind in [Kind::Hook, Kind::Bead, Kind::Foam] {
            if self.order.limits.on(kind).is_some() {
                let none = (kind != Kind::Hook).then_some("none");
                let ids = self.catalog.rows(kind).into_iter().map(|row| row.id.as_str()).chain(none);
                targets.extend(ids.filter_map(|id| super::columns::only(target, &[(kind, id)])));
            }
        }
        targets
    }

    fn stop(&self) -> bool {
        self.observer.stop()
    }

    /// The best plan over the pool; where limits shut every complete plan out, the one that ties most flies.
    fn make(&self, change: &dyn Fn(&Problem) -> Problem, demand: &Demand, effort: Effort) -> Made<'a> {
        let Posed { problem, members } = self.pool.pose();
        let mut problem = change(&problem);
        for (need, flies) in problem.needs.iter_mut().zip(&demand.flies) {
            need.least = need.least.min(*flies);
        }
        let stop = || self.stop();
        let solved = solve(&meetable(&problem, demand), effort, &stop).or_else(|| {
            let ample = problem.supplies.iter().zip(problem.most_packs()).map(|(s, n)| s.price.share(n, 1));
            let mut most = Problem { budget: problem.budget.or(Some(ample.sum())), ..problem.clone() };
            most.needs.iter_mut().for_each(|need| need.least = 0);
            solve(&most, effort, &stop)
        });
        let flies = members.iter().map(|m| self.pool.members[*m].fly).collect();
        Made::new(problem, flies, solved)
    }

    /// Proves the complete plan, or finds a better one.
    fn settle_complete(
        &self,
        made: &mut Made<'a>,
        demand: &Demand,
        relaxed: Option<&Relaxed>,
        most_sets: usize,
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
        let verdict = better_box(&self.pool, demand, &known, (self.effort.planner, most_sets), self.observer);
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
        let most = ladder.most_flies(units(budget) + super::columns::SLACK).max(tied);
        let least = ladder.least_outlay(None).get(most as usize).copied().unwrap_or(0.0);
        let bound: Worth = (whole - most, round_up(least, self.pool.supplies.price_step()).max(Money::ZERO));
        let worth = (whole - tied, made.bill.outlay);
        if made.bill.short > 0 || self.stop() {
            return Proven { least_missing: bound.0, bound: Some(bound.1) };
        }
        let most = most_under_budget(&ladder, budget, tied);
        let known = Known { worth, bound: bound.min(worth), budget: Some(budget), most, shares: &ladder.shares };
        let verdict = better_box(&self.pool, demand, &known, (self.effort.planner, MOST_SETS), self.observer);
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

    /// What the next few flies would cost, and all.
    fn more(&self, made: &Made<'a>, demand: &Demand, complete: Option<&Made<'a>>) -> Vec<MoreFlies> {
        let whole = demand.flies.iter().sum::<u32>();
        let tied = made.problem.flies() - made.bill.missing;
        let problem = meetable(&self.pool.pose().problem.without_budget(), demand);
        let mut more: Vec<MoreFlies> = Vec::new();
        for flies in (tied + 1..whole).take(3) {
            let Some(solved) = cheapest_of(&problem, flies, self.effort.planner, &|| self.stop()) else { break };
            let bill = problem.bill(&solved.plan);
            if problem.flies() - bill.missing >= flies && !self.stop() {
                more.push(MoreFlies { flies: problem.flies() - bill.missing, outlay: bill.outlay });
            }
        }
        more.extend(complete.map(|made| MoreFlies { flies: whole, outlay: made.bill.outlay }));
        more.dedup_by_key(|m| m.flies);
        more
    }

    fn need_obstacles(&self, standings: &[Standing<'a>]) -> Vec<Obstacle> {
        let obstacle = |(n, standing): (usize, &Standing)| match standing {
            Standing::Met => None,
            Standing::Impossible(_) => Some(Obstacle::Need(n)),
            Standing::Stopped => Some(Obstacle::Stopped(n)),
        };
        standings.iter().enumerate().filter_map(obstacle).collect()
    }

    /// Which limits are in the way of a complete box, and what would do.
    fn limit_obstacles(&self, made: &Made<'a>, demand: &Demand) -> Vec<Obstacle> {
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

    fn finish(
        self,
        made: &Made<'a>,
        standings: Vec<Standing<'a>>,
        (obstacles, more): (Vec<Obstacle>, Vec<MoreFlies>),
        proven: Proven,
    ) -> BoxPlan<'a> {
        let ties = self.ties(made);
        let met: u32 =
            standings.iter().zip(&self.order.needs).filter(|(s, _)| **s == Standing::Met).map(|(_, n)| n.flies).sum();
        let needs: Vec<NeedResult> = standings
            .into_iter()
            .enumerate()
            .map(|(n, standing)| NeedResult {
                wanted: self.order.needs[n].flies,
                tied: made.plan[n].iter().sum(),
                standing,
            })
            .collect();
        let needed = Amounts::of(ties.iter().map(|tie| (&tie.fly, tie.total())), self.order.allowance);
        let shopping = ShoppingList::new(&needed, &self.order.owned, self.catalog);
        let missing = met - needs.iter().map(|need| need.tied).sum::<u32>().min(met);
        let best = proven.bound.is_some_and(|bound| (proven.least_missing, bound) >= (missing, shopping.outlay));
        let best = best && needs.iter().all(|need| need.standing != Standing::Stopped);
        let proof = Proof {
            recipes: self.pool.members.len(),
            least_missing: proven.least_missing,
            bound: proven.bound,
            best,
            stopped: self.stop() && !best,
            nodes: made.nodes,
        };
        BoxPlan { ties: in_batches(ties), needs, shopping, obstacles, more, proof }
    }

    fn ties(&self, made: &Made<'a>) -> Vec<Tie<'a>> {
        let mut room = made.left_over(&self.pool.supplies.parts);
        let mut ties = Vec::new();
        for (way, fly) in made.flies.iter().enumerate() {
            let flies: Vec<u32> = (0..self.order.needs.len()).map(|n| made.flies_in(n, way)).collect();
            if flies.iter().sum::<u32>() > 0 {
                ties.push(self.widened(*fly, flies, &mut room));
            }
        }
        ties
    }

    /// A recipe of the same parts with a wider margin, where that takes no more than `room`, which is left when all is
    /// tied as planned.
    fn widened(&self, fly: Fly<'a>, flies: Vec<u32>, room: &mut Amounts) -> Tie<'a> {
        let narrowest = |fly: &Fly| {
            let margins = flies.iter().zip(&self.order.needs).filter(|(n, _)| **n > 0);
            margins.map(|(_, need)| margin_in(fly, &need.target)).try_fold(1.0_f64, |least, m| Some(least.min(m?)))
        };
        let mut best = (fly, narrowest(&fly).unwrap_or(0.0));
        let total: u32 = flies.iter().sum();
        for used in uses(&fly, self.order.allowance) {
            room.add(used.part.clone(), used.amount(total));
        }
        let first = flies.iter().position(|n| *n > 0).unwrap_or_default();
        if let Some(target) = same_supplies(&self.order.needs[first].target, &fly).filter(|_| !self.stop()) {
            let tariff = Tariff::Packs(PackTariff::new(total, room.clone(), self.order.allowance));
            let wish = Wish { top: 12, variety: Variety::Every };
            let list: Vec<Candidate> = search_by(self.catalog, &target, &tariff, wish, self.observer).candidates;
            // The list is in the order of outlay, then of margin in the first need.
            for candidate in list.iter().filter(|c| c.price <= Money::ZERO) {
                if let Some(margin) = narrowest(&candidate.fly).filter(|m| *m > best.1) {
                    best = (candidate.fly, margin);
                }
            }
        }
        for used in uses(&best.0, self.order.allowance) {
            let left = room.get(&used.part).saturating_sub(used.amount(total));
            room.set(used.part, left);
        }
        let serves = self.order.needs.iter().map(|need| margin_in(&best.0, &need.target).is_some()).collect();
        Tie { fly: best.0, margin: best.1, flies, serves, batch: 0 }
    }
}

/// The problem with no flies of needs that cannot be met.
fn meetable(problem: &Problem, demand: &Demand) -> Problem {
    let mut problem = problem.clone();
    for (need, flies) in problem.needs.iter_mut().zip(&demand.flies) {
        need.flies = *flies;
        need.least = need.least.min(*flies);
    }
    problem
}

impl<'a> Made<'a> {
    fn new(problem: Problem, flies: Vec<Fly<'a>>, solved: Option<Solved>) -> Self {
        let nodes = solved.as_ref().map_or(0, |s| s.nodes);
        let plan = solved.map_or_else(|| problem.nothing(), |s| s.plan);
        let bill = problem.bill(&plan);
        Self { problem, flies, plan, bill, nodes }
    }

    /// The better of two: a solver that was stopped may hand back less than was known.
    fn better(self, other: Self) -> Self {
        if other.problem.score(&other.plan) < self.problem.score(&self.plan) { other } else { self }
    }

    /// What the plan leaves of stock and bought packs.
    fn left_over(&self, parts: &[PartId]) -> Amounts {
        let mut left = Amounts::new();
        for (s, supply) in self.problem.supplies.iter().enumerate() {
            let there = supply.owned + self.bill.packs[s] * supply.pack;
            left.set(parts[s].clone(), there - self.bill.needed[s]);
        }
        left
    }

    fn flies_in(&self, need: usize, way: usize) -> u32 {
        let place = self.problem.needs[need].ways.iter().position(|w| *w == way);
        place.map_or(0, |place| self.plan[need][place])
    }
}

/// Tying order: recipes with the same bead, mount and wire together, the largest batch first; in a batch by hook.
fn in_batches(mut ties: Vec<Tie<'_>>) -> Vec<Tie<'_>> {
    let key = |fly: &Fly| {
        let recipe = fly.recipe();
        (recipe.bead, recipe.wire.map(|w| w.id))
    };
    let mut sizes: BTreeMap<_, u32> = BTreeMap::new();
    for tie in &ties {
        *sizes.entry(key(&tie.fly)).or_default() += tie.total();
    }
    let mut order: Vec<_> = sizes.into_iter().collect();
    order.sort_by(|a, b| b.1.cmp(&a.1).then_with(|| a.0.cmp(&b.0)));
    for tie in &mut ties {
        let key = key(&tie.fly);
        tie.batch = 1 + order.iter().position(|(k, _)| *k == key).unwrap_or_default();
    }
    ties.sort_by_cached_key(|tie| (tie.batch, tie.fly.recipe()));
    ties
}
