//! The best plan, with a proof or a gap: a mixed-integer program over flies and packs together.
//!
//! Variables, all whole numbers: x(i, r) flies of need i in way r; q(p) packs of supply p; b(r) blocks of stock that way r
//! cuts, where a block serves several flies; and, where a limit asks for it, y(r) and v(p), 1 where way r or supply p
//! is used at all.
//!
//! - each need: sum over r of x(i, r) = flies wanted (at most, under a budget);
//! - each supply: amounts of x and b <= owned + pack q(p);
//! - each need and supply: sum of x over the ways that take the supply <= flies that the stock alone could serve
//!   plus the rest times q(p). That follows from the line above for whole numbers, and makes the relaxation much tighter:
//!   a quarter of a pack cannot be bought;
//! - blocks: b(r) x flies per block >= sum over i of x(i, r);
//! - limits: x(i, r) <= flies y(r), sum of y <= recipes; the same for beads and foams.
//!
//! Least outlay is wanted; under a budget first the most flies, then the least outlay for so many. Prices are whole
//! multiples of some smallest step, so a bound between two steps counts as the upper one. Whatever the solver answers is
//! billed again in exact money, and the bound is never set above that.

use super::problem::{Plan, Problem};
use super::start::quick_plan;
use super::supplies::price_step;
use crate::quantity::Money;
use microlp::{ComparisonOp, LinearExpr, OptimizationDirection, ResumeOptions, SolveOptions, SolveOutcome, Variable};
use std::time::Duration;

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

/// Finds the best plan: of complete ones the cheapest; under a budget the most flies, then the least outlay for so many.
/// `None` when no plan keeps the limits and least numbers, which is proven. Ends early, with what it has, once `stop` says so.
#[must_use]
pub fn solve(problem: &Problem, effort: Effort, stop: &dyn Fn() -> bool) -> Option<Solved> {
    let start = quick_plan(problem);
    if problem.budget.is_none() {
        return cheapest(problem, start, problem.flies(), (effort, stop));
    }
    let model = Model::new(problem, Goal::MostFlies);
    let answer = model.solve(&start, effort.nodes, stop);
    if answer.infeasible && !usable(problem, &start) {
        return None;
    }
    let start = better(problem, start, answer.plan.clone());
    let tied = problem.flies() - problem.bill(&start).missing;
    let most = answer.bound.map_or(problem.flies(), |b| ((-b + 1e-6).floor().max(0.0) as u32).max(tied));
    let least_missing = problem.flies().saturating_sub(most);
    let solved = cheapest(problem, start, tied, (effort, stop))?;
    Some(Solved { least_missing, nodes: solved.nodes + answer.nodes, ..solved })
}

/// The least outlay for so many flies or more, budget or not.
#[must_use]
pub fn cheapest_of(problem: &Problem, flies: u32, effort: Effort, stop: &dyn Fn() -> bool) -> Option<Solved> {
    let start = quick_plan(problem);
    cheapest(problem, start, flies, (effort, stop))
}

fn usable(problem: &Problem, plan: &Plan) -> bool {
    let score = problem.score(plan);
    score.beyond == 0 && score.short == 0 && score.overspent == Money::ZERO
}

fn cheapest(problem: &Problem, start: Plan, flies: u32, (effort, stop): (Effort, &dyn Fn() -> bool)) -> Option<Solved> {
    let model = Model::new(problem, Goal::LeastOutlay { flies });
    let enough = |plan: &Plan| usable(problem, plan) && problem.flies() - problem.bill(plan).missing >= flies;
    let answer = model.solve(&start, effort.nodes, stop);
    if answer.infeasible && !enough(&start) {
        return None;
    }
    let plan = match answer.plan {
        Some(found) if !enough(&start) || problem.bill(&found).outlay < problem.bill(&start).outlay => found,
        Some(found) => better(problem, start, Some(found)),
        None => start,
    };
    let bill = problem.bill(&plan);
    let step = price_step(&problem.supplies);
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

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Goal {
    LeastOutlay { flies: u32 },
    MostFlies,
}

/// What the solver said.
struct Said {
    plan: Option<Plan>,
    bound: Option<f64>,
    nodes: u64,
    infeasible: bool,
}

struct Model<'p> {
    problem: &'p Problem,
    program: microlp::Problem,
    flies: Vec<Vec<Variable>>,
    packs: Vec<Variable>,
    blocks: Vec<Option<Variable>>,
    used_ways: Vec<Option<Variable>>,
    used_supplies: Vec<Option<Variable>>,
}

fn price(money: Money) -> f64 {
    money.micros() as f64 * 1e-6
}

impl<'p> Model<'p> {
    fn new(problem: &'p Problem, goal: Goal) -> Self {
        let mut program = microlp::Problem::new(OptimizationDirection::Minimize);
        let (fly_cost, pack_cost) = match goal {
            Goal::LeastOutlay { .. } => (0.0, 1.0),
            Goal::MostFlies => (-1.0, 0.0),
        };
        let flies = problem
            .needs
            .iter()
            .map(|need| need.ways.iter().map(|_| program.add_integer_var(fly_cost, (0, whole(need.flies)))).collect())
            .collect();
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
        let used_ways =
            problem.ways.iter().map(|_| problem.limits.recipes.map(|_| program.add_binary_var(0.0))).collect();
        let used_supplies =
            problem.supplies.iter().map(|s| problem.limits.on(s.kind).map(|_| program.add_binary_var(0.0))).collect();
        let mut model = Self { problem, program, flies, packs, blocks, used_ways, used_supplies };
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
        for (need, vars) in self.problem.needs.iter().zip(&self.flies) {
            let expression: LinearExpr = vars.iter().map(|v| (*v, 1.0)).collect::<Vec<_>>().into();
            let exact = goal == Goal::LeastOutlay { flies: all };
            let op = if exact { ComparisonOp::Eq } else { ComparisonOp::Le };
            if vars.is_empty() {
                continue;
            }
            if !exact && need.least > 0 {
                let least = f64::from(need.least.min(need.flies));
                self.program.add_constraint(expression.clone(), ComparisonOp::Ge, least);
            }
            self.program.add_constraint(expression, op, f64::from(need.flies));
        }
        if let Goal::LeastOutlay { flies } = goal
            && flies < all
        {
            let every: Vec<(Variable, f64)> = self.flies.iter().flatten().map(|v| (*v, 1.0)).collect();
            self.program.add_constraint(every, ComparisonOp::Ge, f64::from(flies));
        }
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
                let wanted = f64::from(need.flies);
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
        if let Some(most) = self.problem.limits.recipes {
            for (need, vars) in self.problem.needs.iter().zip(self.flies.clone()) {
                for (way, var) in need.ways.iter().zip(vars) {
                    if let Some(used) = self.used_ways[*way] {
                        self.at_most(vec![(var, 1.0), (used, -f64::from(need.flies))], 0.0);
                    }
                }
            }
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
                terms.push((used, -f64::from(need.flies)));
                self.at_most(terms, 0.0);
            }
        }
    }

    fn keep_budget(&mut self) {
        if let Some(budget) = self.problem.budget {
            let terms: Vec<(Variable, f64)> =
                self.packs.iter().zip(&self.problem.supplies).map(|(v, s)| (*v, price(s.price))).collect();
            // Outlays are whole multiples of the step: what lies between two of them cannot be spent.
            let step = price_step(&self.problem.supplies);
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

    fn solve(&self, start: &Plan, nodes: u64, stop: &dyn Fn() -> bool) -> Said {
        let usable = usable(self.problem, start);
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

/// Most flies that a way can be asked for.
fn most_tied(problem: &Problem, way: usize) -> u32 {
    problem.needs.iter().filter(|need| need.ways.contains(&way)).map(|need| need.flies).sum()
}

fn whole(n: u32) -> i32 {
    i32::try_from(n).unwrap_or(i32::MAX)
}
