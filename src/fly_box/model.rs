//! The mixed-integer program of a plan: flies and packs together.
//!
//! Variables, all whole numbers: x(i, r) flies of need i in way r; q(p) packs of supply p; b(r) blocks of stock that way r
//! cuts, where a block serves several flies; and, where a limit or a wish asks for it, y(r) and v(p), 1 where way r or supply p
//! is used at all.
//!
//! - each need: sum over r of x(i, r) = flies wanted (at most, under a budget);
//! - where not every fly is a right one: z(i, k, n) is 1 for the one pair of right flies k and flies n that is tied; sum
//!   over r of x(i, r) = sum of n z(i, k, n), and flies of the ways that ask for more than n flies for k right ones are at
//!   most the sum of n z over the pairs that are enough for them;
//! - each supply: amounts of x and b <= owned + pack q(p);
//! - each need and supply: sum of x over the ways that take the supply <= flies that the stock alone could serve
//!   plus the rest times q(p). That follows from the line above for whole numbers, and makes the relaxation much tighter:
//!   a quarter of a pack cannot be bought;
//! - blocks: b(r) x flies per block >= sum over i of x(i, r);
//! - where each recipe counts on top: x(i, r) <= flies y(r), and y(r) has that price;
//! - limits: x(i, r) <= flies y(r), sum of y <= recipes; the same for beads and foams.

use super::problem::{Need, Plan, Problem};
use crate::quantity::Money;
use microlp::{ComparisonOp, OptimizationDirection, ResumeOptions, SolveOptions, SolveOutcome, Variable};
use std::time::Duration;

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Goal {
    LeastOutlay { flies: u32 },
    MostFlies,
}

/// What the solver said.
pub(super) struct Said {
    pub(super) plan: Option<Plan>,
    pub(super) bound: Option<f64>,
    pub(super) nodes: u64,
    pub(super) infeasible: bool,
}

pub(super) struct Model<'p> {
    problem: &'p Problem,
    program: microlp::Problem,
    flies: Vec<Vec<Variable>>,
    levels: Vec<Vec<Level>>,
    packs: Vec<Variable>,
    blocks: Vec<Option<Variable>>,
    used_ways: Vec<Option<Variable>>,
    used_supplies: Vec<Option<Variable>>,
}

/// So many right flies of so many tied, and whether it is that.
struct Level {
    right: u32,
    flies: u32,
    chosen: Variable,
}

fn price(money: Money) -> f64 {
    money.micros() as f64 * 1e-6
}

impl<'p> Model<'p> {
    pub(super) fn new(problem: &'p Problem, goal: Goal) -> Self {
        let mut program = microlp::Problem::new(OptimizationDirection::Minimize);
        let (fly_cost, pack_cost) = match goal {
            Goal::LeastOutlay { .. } => (0.0, 1.0),
            Goal::MostFlies => (-1.0, 0.0),
        };
        let flies = problem
            .needs
            .iter()
            .map(|need| {
                let cost = if need.plain() { fly_cost } else { 0.0 };
                need.ways.iter().map(|_| program.add_integer_var(cost, (0, whole(need.most())))).collect()
            })
            .collect();
        let complete = goal == Goal::LeastOutlay { flies: problem.flies() };
        let levels = problem.needs.iter().map(|need| {
            let pairs = if need.plain() { Vec::new() } else { pairs(need, complete) };
            let level = |(right, flies): (u32, u32)| Level {
                right,
                flies,
                chosen: program.add_binary_var(fly_cost * f64::from(right)),
            };
            pairs.into_iter().map(level).collect()
        });
        let levels = levels.collect();
        let most: Vec<u32> = (0..problem.ways.len()).map(|w| most_tied(problem, w)).collect();
        let packs = problem
            .supplies
            .iter()
            .zip(problem.most_packs())
            .map(|(supply, packs)| {
                program.add_integer_var(pack_cost * price(supply.price), (0, i32::try_from(packs).unwrap_or(i32::MAX)))
            })
            .collect();
        let blocks = problem
            .ways
            .iter()
            .zip(&most)
            .map(|(way, n)| {
                let split = way.takes.iter().find(|t| t.serves > 1)?;
                Some(program.add_integer_var(0.0, (0, whole(n.div_ceil(split.serves)))))
            })
            .collect();
        let counted = problem.limits.recipes.is_some() || problem.each_recipe > Money::ZERO;
        let used_ways = problem
            .ways
            .iter()
            .map(|_| counted.then(|| program.add_binary_var(pack_cost * price(problem.each_recipe))))
            .collect();
        let used_supplies = problem
            .supplies
            .iter()
            .map(|s| problem.limits.on(s.kind).filter(|_| !s.wish).map(|_| program.add_binary_var(0.0)))
            .collect();
        let mut model = Self { problem, program, flies, levels, packs, blocks, used_ways, used_supplies };
        model.require_flies(goal);
        model.require_supplies();
        model.require_whole_packs();
        model.require_blocks();
        model.keep_limits();
        model.keep_budget();
        model
    }

    fn at_most(&mut self, terms: Vec<(Variable, f64)>, most: f64) {
        if !terms.is_empty() {
            self.program.add_constraint(terms, ComparisonOp::Le, most);
        }
    }

    fn require_flies(&mut self, goal: Goal) {
        let all = self.problem.flies();
        let complete = goal == Goal::LeastOutlay { flies: all };
        let mut right: Vec<(Variable, f64)> = Vec::new();
        for i in 0..self.problem.needs.len() {
            if self.problem.needs[i].plain() {
                self.require_each(i, complete);
                right.extend(self.flies[i].iter().map(|v| (*v, 1.0)));
            } else {
                self.require_level(i);
                right.extend(self.levels[i].iter().map(|level| (level.chosen, f64::from(level.right))));
            }
        }
        if let Goal::LeastOutlay { flies } = goal
            && !complete
        {
            self.program.add_constraint(right, ComparisonOp::Ge, f64::from(flies));
        }
    }

    /// Flies of a need of which each is a right one.
    fn require_each(&mut self, i: usize, complete: bool) {
        let need = &self.problem.needs[i];
        let all: Vec<(Variable, f64)> = self.flies[i].iter().map(|v| (*v, 1.0)).collect();
        if all.is_empty() {
            return;
        }
        if !complete && need.least > 0 {
            self.program.add_constraint(all.clone(), ComparisonOp::Ge, f64::from(need.least.min(need.flies)));
        }
        let op = if complete { ComparisonOp::Eq } else { ComparisonOp::Le };
        self.program.add_constraint(all, op, f64::from(need.flies));
    }

    /// Flies of a need of which not all come out right.
    fn require_level(&mut self, i: usize) {
        let need = &self.problem.needs[i];
        let one: Vec<(Variable, f64)> = self.levels[i].iter().map(|level| (level.chosen, 1.0)).collect();
        self.program.add_constraint(one, ComparisonOp::Eq, 1.0);
        let taken = self.levels[i].iter().map(|level| (level.chosen, -f64::from(level.flies)));
        let all: Vec<(Variable, f64)> = self.flies[i].iter().map(|v| (*v, 1.0)).chain(taken).collect();
        self.program.add_constraint(all, ComparisonOp::Eq, 0.0);
        // The ways that ask for the most first: what is not enough for one is not enough for those before it.
        let mut order: Vec<usize> = (0..need.ways.len()).collect();
        let rights: Vec<u32> = self.levels[i].iter().map(|level| level.right).collect();
        let list = |place: usize| rights.iter().map(move |right| need.enough(place, *right));
        order.sort_by(|a, b| list(*b).cmp(list(*a)));
        let mut rows = Vec::new();
        for (at, place) in order.iter().enumerate() {
            let last = order.get(at + 1).is_none_or(|next| !list(*next).eq(list(*place)));
            let enough = |level: &&Level| level.flies >= need.enough(*place, level.right);
            if last && !self.levels[i].iter().all(|level| enough(&level)) {
                let ways = order[..=at].iter().map(|place| (self.flies[i][*place], 1.0));
                let levels = self.levels[i].iter().filter(enough);
                rows.push(ways.chain(levels.map(|level| (level.chosen, -f64::from(level.flies)))).collect());
            }
        }
        rows.into_iter().for_each(|row| self.at_most(row, 0.0));
    }

    /// Variables for the flies of a way, over all needs.
    fn flies_of(&self, way: usize) -> Vec<Variable> {
        let needs = self.problem.needs.iter().zip(&self.flies);
        needs.filter_map(|(need, vars)| Some(vars[need.ways.iter().position(|w| *w == way)?])).collect()
    }

    /// Amounts are in packs, so that coefficients stay near 1.
    fn require_supplies(&mut self) {
        for (s, supply) in self.problem.supplies.iter().enumerate() {
            let mut terms = Vec::new();
            for (w, way) in self.problem.ways.iter().enumerate() {
                for take in way.takes.iter().filter(|t| t.supply == s) {
                    let share = take.block as f64 / supply.pack as f64;
                    match self.blocks[w] {
                        Some(blocks) if take.serves > 1 => terms.push((blocks, share)),
                        _ => terms.extend(self.flies_of(w).into_iter().map(|v| (v, share))),
                    }
                }
            }
            if !terms.is_empty() {
                terms.push((self.packs[s], -1.0));
                self.at_most(terms, supply.owned as f64 / supply.pack as f64);
            }
        }
    }

    fn require_whole_packs(&mut self) {
        for (need, vars) in self.problem.needs.iter().zip(&self.flies) {
            let mut rows: Vec<(Vec<(Variable, f64)>, f64)> = Vec::new();
            for (s, supply) in self.problem.supplies.iter().enumerate() {
                let mut terms = Vec::new();
                let mut from_stock = 0.0_f64;
                for (way, var) in need.ways.iter().zip(vars) {
                    for take in self.problem.ways[*way].takes.iter().filter(|t| t.supply == s) {
                        terms.push((*var, 1.0));
                        // No mix of ways gets more flies out of the stock than the thriftiest of them.
                        let flies = u128::from(supply.owned) * u128::from(take.serves) / u128::from(take.block);
                        from_stock = from_stock.max(flies as f64);
                    }
                }
                let wanted = f64::from(need.most());
                if !terms.is_empty() && from_stock < wanted {
                    terms.push((self.packs[s], from_stock - wanted));
                    rows.push((terms, from_stock));
                }
            }
            for (terms, most) in rows {
                self.program.add_constraint(terms, ComparisonOp::Le, most);
            }
        }
    }

    fn require_blocks(&mut self) {
        for (w, way) in self.problem.ways.iter().enumerate() {
            if let (Some(blocks), Some(split)) = (self.blocks[w], way.takes.iter().find(|t| t.serves > 1)) {
                let mut terms: Vec<(Variable, f64)> = self.flies_of(w).into_iter().map(|v| (v, 1.0)).collect();
                if !terms.is_empty() {
                    terms.push((blocks, -f64::from(split.serves)));
                    self.at_most(terms, 0.0);
                }
            }
        }
    }

    fn keep_limits(&mut self) {
        if self.used_ways.iter().any(Option::is_some) {
            for (need, vars) in self.problem.needs.iter().zip(self.flies.clone()) {
                for (way, var) in need.ways.iter().zip(vars) {
                    if let Some(used) = self.used_ways[*way] {
                        self.at_most(vec![(var, 1.0), (used, -f64::from(need.most()))], 0.0);
                    }
                }
            }
        }
        if let Some(most) = self.problem.limits.recipes {
            let all = self.used_ways.iter().flatten().map(|v| (*v, 1.0)).collect();
            self.at_most(all, f64::from(most));
        }
        for kind in crate::part::Kind::ALL {
            let Some(most) = self.problem.limits.on(kind) else { continue };
            let supplies: Vec<usize> =
                (0..self.problem.supplies.len()).filter(|s| self.problem.supplies[*s].kind == kind).collect();
            for s in &supplies {
                self.tie_to_supply(*s);
            }
            let all = supplies.iter().filter_map(|s| self.used_supplies[*s]).map(|v| (v, 1.0)).collect();
            self.at_most(all, f64::from(most));
        }
    }

    /// Flies of a need that take a supply only where the supply is used.
    fn tie_to_supply(&mut self, s: usize) {
        let Some(used) = self.used_supplies[s] else { return };
        for (need, vars) in self.problem.needs.iter().zip(self.flies.clone()) {
            let takes = |way: &usize| self.problem.ways[*way].takes.iter().any(|t| t.supply == s);
            let mut terms: Vec<(Variable, f64)> =
                need.ways.iter().zip(vars).filter(|(way, _)| takes(way)).map(|(_, v)| (v, 1.0)).collect();
            if !terms.is_empty() {
                terms.push((used, -f64::from(need.most())));
                self.at_most(terms, 0.0);
            }
        }
    }

    fn keep_budget(&mut self) {
        if let Some(budget) = self.problem.budget {
            let terms: Vec<(Variable, f64)> =
                self.packs.iter().zip(&self.problem.supplies).map(|(v, s)| (*v, price(s.price))).collect();
            // Outlays are whole multiples of the step: what lies between two of them cannot be spent.
            let step = self.problem.price_step();
            self.at_most(terms, price(Money::from_micros(budget.micros().div_euclid(step) * step)));
        }
    }

    /// Values of all variables for a plan.
    fn hint(&self, plan: &Plan) -> Vec<(Variable, f64)> {
        let bill = self.problem.bill(plan);
        let mut hint = Vec::new();
        for (vars, counts) in self.flies.iter().zip(plan) {
            hint.extend(vars.iter().zip(counts).map(|(v, n)| (*v, f64::from(*n))));
        }
        for ((need, levels), counts) in self.problem.needs.iter().zip(&self.levels).zip(plan) {
            let (right, flies) = (need.right(counts), counts.iter().sum::<u32>());
            let it = |level: &Level| level.right == right && level.flies == flies;
            hint.extend(levels.iter().map(|level| (level.chosen, f64::from(u8::from(it(level))))));
        }
        hint.extend(self.packs.iter().zip(&bill.packs).map(|(v, n)| (*v, *n as f64)));
        for (w, way) in self.problem.ways.iter().enumerate() {
            if let (Some(var), Some(split)) = (self.blocks[w], way.takes.iter().find(|t| t.serves > 1)) {
                hint.push((var, f64::from(bill.tied[w].div_ceil(split.serves))));
            }
            hint.extend(self.used_ways[w].map(|v| (v, f64::from(u8::from(bill.tied[w] > 0)))));
        }
        for (s, var) in self.used_supplies.iter().enumerate() {
            hint.extend(var.map(|v| (v, f64::from(u8::from(bill.needed[s] > 0)))));
        }
        hint
    }

    pub(super) fn solve(&self, start: &Plan, nodes: u64, stop: &dyn Fn() -> bool) -> Said {
        let usable = self.problem.allows(start);
        let mut options = SolveOptions::default();
        options.node_limit = Some(nodes.max(1));
        options.time_limit = Some(SLICE);
        options.warm_start = usable.then(|| self.hint(start));
        let mut said = self.program.solve_with(options);
        loop {
            let outcome = match said {
                Ok(outcome) => outcome,
                Err(microlp::Error::Infeasible) => {
                    return Said { plan: None, bound: None, nodes: 0, infeasible: true };
                }
                // The solver gave up: no bound, and the start stands.
                Err(_) => return Said { plan: None, bound: None, nodes: 0, infeasible: false },
            };
            let solved = outcome.stats().nodes_solved;
            if !out_of_time(&outcome) || solved >= nodes || stop() {
                return self.said(&outcome);
            }
            let mut options = ResumeOptions::default();
            options.node_limit = Some(nodes - solved);
            options.time_limit = Some(SLICE);
            said = outcome.resume_with(options);
        }
    }

    fn said(&self, outcome: &SolveOutcome) -> Said {
        let stats = outcome.stats();
        let bound = if outcome.is_optimal() {
            outcome.solution().map(microlp::Solution::objective)
        } else {
            stats.best_bound.filter(|b| b.is_finite())
        };
        Said { plan: outcome.solution().map(|s| self.read(s)), bound, nodes: stats.nodes_solved, infeasible: false }
    }

    fn read(&self, solution: &microlp::Solution) -> Plan {
        self.flies
            .iter()
            .map(|vars| vars.iter().map(|v| solution.var_value(*v).round().max(0.0) as u32).collect())
            .collect()
    }
}

/// The solver is asked to pause so often, to see whether it is to stop.
const SLICE: Duration = Duration::from_millis(60);

/// Whether a solve ended only since its slice of time did.
fn out_of_time(outcome: &SolveOutcome) -> bool {
    let reason = match outcome {
        SolveOutcome::Solution(solution) => solution.termination_reason(),
        SolveOutcome::Interrupted(interrupted) => interrupted.termination_reason(),
    };
    reason == microlp::TerminationReason::TimeLimit
}

/// Right flies and flies tied that go together in a need, by what its ways ask for.
fn pairs(need: &Need, complete: bool) -> Vec<(u32, u32)> {
    let from = if complete { need.flies } else { need.least.min(need.flies) };
    let mut pairs: Vec<(u32, u32)> = (from..=need.flies)
        .flat_map(|right| (0..need.ways.len()).map(move |w| (right, need.enough(w, right))))
        .collect();
    pairs.sort_unstable();
    pairs.dedup();
    pairs
}

/// Most flies that a way can be asked for.
fn most_tied(problem: &Problem, way: usize) -> u32 {
    problem.needs.iter().filter(|need| need.ways.contains(&way)).map(Need::most).sum()
}

fn whole(n: u32) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX)
}
