//! Prices of packs shared out among the needs, and the bound on any box that follows from them.
//!
//! **The bound.** Let need i tie n(i) flies, part p be sold in packs of k(p) pieces or micrometres at c(p), with o(p) of it
//! owned, and let the stock alone give need i no more than the share s(i, p) < 1 of its flies. A box that buys q(p) packs
//! and uses p in the share z of the flies of need i, and the amount a(p) in all, has, in whole numbers,
//!
//! ```text
//! z(i, p) <= s(i, p) + (1 - s(i, p)) q(p),      a(p) <= o(p) + k(p) q(p).
//! ```
//!
//! Take any charges w(i, p) >= 0 and rates r(p) >= 0 with  sum over i of w(i, p) (1 - s(i, p)) + r(p) k(p) <= c(p).  Then
//!
//! ```text
//! outlay = sum of c q >= sum over i, p of w z + sum over p of r a - sum of w s - sum of r o
//!                     >= sum over i of v(i)                       - sum of w s - sum of r o,
//! ```
//!
//! Every fly takes a hook: flies of needs that may use the hooks H and no others take m packs of them at least, m being what
//! their stock lacks in the largest packs. With t(H) >= 0 off the prices that charges and rates share out, sum over H of m(H) t(H)
//! comes on top of the bound. (The linear program would buy a tenth of a pack for one hook that is lacking.)
//!
//! In all this v(i) is the least, over all recipes that meet need i, of the charges of the parts that a recipe takes plus n(i) times
//! the rates of what one fly takes: a need that mixes recipes pays the charges of them all, so some single one of them does no
//! worse. v(i) is an exact search by [`RateTariff`]. Split foam bears its share of a block, which is no more than whole blocks.
//!
//! Where not all flies come out right, n(i) is the number of right ones, which is no more than any recipe asks for: stock
//! serves no larger a share of more flies. v(i) is then the least over recipes with the flies that each asks for: one search
//! for each number of flies, among the recipes of which so many are enough ([`super::rightness::levels`]). Those searches take
//! most of the time and add little, so far from the best box a bound does with one search, as if all recipes took as few flies.
//!
//! **Better shares** come from the linear program over the recipes met so far: the highest bound that no recipe met so far
//! refutes (column generation, seen from the dual side). When the exact search finds no recipe below the v(i) of that
//! program, its bound is the best of this kind.
//!
//! Source: Lagrangian duality and column generation, general methods, from memory; the bound is derived above.

use super::pool::Pool;
use super::problem::{Supply, Take};
use super::rightness::{Level, levels};
use crate::part::Kind;
use crate::purchase::{Allowance, PartId};
use crate::search::tariff::{Rate, RateTariff};
use crate::wanted::Filter;
use microlp::{ComparisonOp, OptimizationDirection, SolveOptions, Variable};
use std::collections::{BTreeMap, BTreeSet};
use std::time::Duration;

/// Charges and rates are passed to the search in thousandths of a millionth, so that the search, which compares by the
/// hundredth of the currency, resolves hundred-thousandths of it.
pub(super) const FINE: f64 = 1_000.0;

/// Share of a pack's price that its content bears at least, where none is owned: of recipes that take the same packs, those
/// that take less of them come first.
const TOKEN: f64 = 2e-4;

/// What the bound knows of needs and parts.
#[derive(Clone)]
pub(super) struct Demand {
    /// Right flies of each need.
    pub(super) flies: Vec<u32>,
    /// Recipes of each need, by how many flies of them are enough.
    pub(super) levels: Vec<Vec<Level>>,
    /// Largest share of the flies of each need that the stock of each part can serve; 1: all of them.
    pub(super) from_stock: Vec<Vec<f64>>,
    pub(super) supplies: Vec<Supply>,
    /// Parts that no recipe may take.
    without: Vec<bool>,
    /// Sets of hooks, and parts, of which some packs must be bought.
    hooks: Vec<Hooks>,
}

/// What is decided of parts of which nothing is owned.
#[derive(Debug, Clone, Default)]
pub(super) struct Decided {
    /// No recipe takes them.
    without: Vec<usize>,
    /// A pack of each is bought.
    bought: Vec<usize>,
}

impl Decided {
    pub(super) fn and_without(&self, part: usize) -> Self {
        Self { without: self.without.iter().copied().chain([part]).collect(), ..self.clone() }
    }

    pub(super) fn and_bought(&self, part: usize) -> Self {
        Self { bought: self.bought.iter().copied().chain([part]).collect(), ..self.clone() }
    }
}

/// Parts, like the hooks that a need may use, of which so many packs at least must be bought.
#[derive(Clone)]
struct Hooks {
    parts: Vec<bool>,
    packs: f64,
}

/// Charges w and rates r.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Shares {
    /// charges[need][part], units of the currency.
    pub(super) charges: Vec<Vec<f64>>,
    /// Per piece or micrometre, units of the currency.
    pub(super) rates: Vec<f64>,
    /// What each set of hooks that must be bought takes off the price of a pack, units of the currency.
    pub(super) hooks: Vec<f64>,
}

impl Demand {
    /// For so many right flies of each need.
    pub(super) fn new(pool: &Pool, flies: Vec<u32>) -> Self {
        let supplies = pool.supplies.list.clone();
        let least = |supply: &Supply| least_amount(supply.kind, pool.order.allowance, pool);
        let from_stock = flies
            .iter()
            .map(|n| {
                let share = |supply: &Supply| {
                    let served = (supply.owned as f64 / least(supply)).floor();
                    if *n == 0 { 1.0 } else { (served / f64::from(*n)).min(1.0) }
                };
                supplies.iter().map(share).collect()
            })
            .collect();
        let hooks = hooks_to_buy(pool, &flies, &supplies);
        let needs = flies.iter().zip(&pool.order.needs);
        let levels = needs.map(|(n, need)| if *n == 0 { Vec::new() } else { levels(need) }).collect();
        let without = vec![false; supplies.len()];
        Self { flies, levels, from_stock, supplies, without, hooks }
    }

    /// The same where some parts are decided.
    pub(super) fn with(&self, decided: &Decided, pool: &Pool) -> Self {
        let mut demand = self.clone();
        for part in &decided.without {
            demand.without[*part] = true;
            let PartId { kind, id } = &pool.supplies.parts[*part];
            let filter = Filter::parse(&format!("{kind}={id}"), false);
            for level in demand.levels.iter_mut().flatten() {
                // An id that makes no filter leaves the part in: the bound is lower for it.
                level.target.choice.filters.extend(filter.clone());
            }
        }
        for part in &decided.bought {
            let parts = (0..self.supplies.len()).map(|p| p == *part).collect();
            demand.hooks.push(Hooks { parts, packs: 1.0 });
        }
        demand
    }

    /// Whether a recipe that takes these may be used.
    fn allows(&self, takes: &[Take]) -> bool {
        takes.iter().all(|take| !self.without[take.supply])
    }

    fn needs(&self) -> usize {
        self.flies.len()
    }

    /// Every price shared out evenly.
    pub(super) fn even(&self, users: &[Vec<bool>]) -> Shares {
        let mut shares = self.none();
        for (p, supply) in self.supplies.iter().enumerate() {
            let payers: Vec<usize> =
                (0..self.needs()).filter(|i| users[*i][p] && self.from_stock[*i][p] < 1.0).collect();
            for i in &payers {
                let part = price(supply) / payers.len() as f64;
                shares.charges[*i][p] = part / (1.0 - self.from_stock[*i][p]);
            }
        }
        shares
    }

    pub(super) fn none(&self) -> Shares {
        Shares {
            charges: vec![vec![0.0; self.supplies.len()]; self.needs()],
            rates: vec![0.0; self.supplies.len()],
            hooks: vec![0.0; self.hooks.len()],
        }
    }

    /// What is left of the price of a pack when all have paid their share.
    pub(super) fn slack(&self, shares: &Shares, p: usize) -> f64 {
        let paid: f64 = (0..self.needs()).map(|i| shares.charges[i][p] * (1.0 - self.from_stock[i][p])).sum();
        let off: f64 = self.hooks.iter().zip(&shares.hooks).filter(|(h, _)| h.parts[p]).map(|(_, off)| off).sum();
        price(&self.supplies[p]) - paid - off - shares.rates[p] * self.supplies[p].pack as f64
    }

    /// Scales down what would be more than the price of a pack, so that the bound holds.
    pub(super) fn settle(&self, shares: &mut Shares) {
        for p in 0..self.supplies.len() {
            let price = price(&self.supplies[p]);
            let over = -self.slack(shares, p);
            if over > 0.0 {
                let scale = if price > 0.0 { price / (price + over) * (1.0 - 1e-12) } else { 0.0 };
                shares.rates[p] *= scale;
                shares.charges.iter_mut().for_each(|row| row[p] *= scale);
                let of_part = self.hooks.iter().zip(&mut shares.hooks).filter(|(h, _)| h.parts[p]);
                of_part.for_each(|(_, off)| *off *= scale);
            }
        }
    }

    /// The part of the bound that no recipe changes, below zero: what the stock takes off, less what hooks to buy add.
    pub(super) fn constant(&self, shares: &Shares) -> f64 {
        let of_part = |p: usize| {
            let charged: f64 = (0..self.needs()).map(|i| shares.charges[i][p] * self.from_stock[i][p]).sum();
            charged + shares.rates[p] * self.supplies[p].owned as f64
        };
        let hooks: f64 = self.hooks.iter().zip(&shares.hooks).map(|(h, off)| h.packs * off).sum();
        hooks - (0..self.supplies.len()).map(of_part).sum::<f64>()
    }

    /// The tariff by which a need looks for its cheapest recipe when it ties `flies` of it.
    pub(super) fn tariff(&self, shares: &Shares, need: usize, flies: u32, pool: &Pool) -> RateTariff {
        let wanted = f64::from(self.flies[need].max(1));
        let rate = |p: usize| {
            let some = self.from_stock[need][p] > 0.0;
            let charge = shares.charges[need][p] * if some { (f64::from(flies) / wanted).min(1.0) } else { 1.0 };
            Rate { use_of_it: charge * 1e6 * FINE, each: shares.rates[p] * f64::from(flies) * 1e6 * FINE }
        };
        tariff(pool, rate)
    }
}

/// Sets of hooks of which packs must be bought: those that each need may use, and all.
fn hooks_to_buy(pool: &Pool, flies: &[u32], supplies: &[Supply]) -> Vec<Hooks> {
    let needs = &pool.order.needs;
    // What hooks count on top is not bought in packs.
    let real = || pool.supplies.parts.iter().zip(supplies).map(|(part, supply)| (part, !supply.wish));
    let may = |i: usize, part: &PartId| {
        part.kind == Kind::Hook && pool.catalog.hook(&part.id).is_some_and(|hook| needs[i].target.choice.allows(hook))
    };
    let of_need: Vec<Vec<bool>> =
        (0..needs.len()).map(|i| real().map(|(part, real)| real && may(i, part)).collect()).collect();
    let all = real().map(|(part, real)| real && part.kind == Kind::Hook).collect();
    let mut sets: Vec<Vec<bool>> = of_need.clone();
    sets.push(all);
    sets.sort();
    sets.dedup();
    let packs = |set: &Vec<bool>| {
        let within = |hooks: &Vec<bool>| hooks.iter().zip(set).all(|(may, of_set)| *of_set || !may);
        let wanted: u64 = (0..needs.len()).filter(|i| within(&of_need[*i])).map(|i| u64::from(flies[i])).sum();
        let of_set = || supplies.iter().zip(set).filter(|(_, of_set)| **of_set).map(|(supply, _)| supply);
        let owned: u64 = of_set().map(|s| s.owned).sum();
        wanted.saturating_sub(owned).div_ceil(of_set().map(|s| s.pack).max().unwrap_or(1))
    };
    let hooks = sets.into_iter().map(|set| Hooks { packs: packs(&set) as f64, parts: set });
    hooks.filter(|hooks| hooks.packs > 0.0).collect()
}

/// A tariff from a rate for each part; dressings are paid for apart.
pub(super) fn tariff(pool: &Pool, rate: impl Fn(usize) -> Rate) -> RateTariff {
    let mut rates: BTreeMap<PartId, Rate> = BTreeMap::new();
    for (p, part) in pool.supplies.parts.iter().enumerate().filter(|(_, part)| part.kind != Kind::Dressing) {
        let rate = rate(p);
        if rate != Rate::default() {
            // A part, and what it counts on top.
            let sum = rates.entry(part.clone()).or_default();
            *sum = Rate { use_of_it: sum.use_of_it + rate.use_of_it, each: sum.each + rate.each };
        }
    }
    RateTariff { rates, allowance: pool.order.allowance }
}

/// Price of a pack, units of the currency.
pub(super) fn price(supply: &Supply) -> f64 {
    supply.price.micros() as f64 * 1e-6
}

/// The least that one fly can take of a part, pieces or micrometres: one piece, the ends of a wire, or the saw cut and the
/// shortest piece of foam split eight ways.
fn least_amount(kind: Kind, allowance: Allowance, pool: &Pool) -> f64 {
    match kind {
        Kind::Wire => allowance.ends_um().max(1) as f64,
        Kind::Foam => {
            let steps = pool.order.needs.iter().map(|need| need.target.grid.foam.micrometres().max(1));
            (allowance.kerf_um() as f64 + f64::from(steps.min().unwrap_or(1))) / MOST_PIECES
        }
        Kind::Hook | Kind::Bead | Kind::Pin | Kind::Dressing => 1.0,
    }
}

/// Most pieces that a length of foam is split into.
pub(super) const MOST_PIECES: f64 = 16.0;

/// Shares that no recipe of the pool refutes, of all of them those with the highest bound, and the least charge of each
/// need under them; `None` when the program was given up.
pub(super) fn best_over_pool(pool: &Pool, demand: &Demand, stop: &dyn Fn() -> bool) -> Option<(Shares, Vec<f64>)> {
    let mut program = microlp::Problem::new(OptimizationDirection::Maximize);
    let bounds = (0.0, f64::INFINITY);
    let least: Vec<Variable> = demand.flies.iter().map(|_| program.add_var(1.0, bounds)).collect();
    let mut rates: BTreeMap<usize, Variable> = BTreeMap::new();
    let mut charges: BTreeMap<(usize, usize), Variable> = BTreeMap::new();
    let mut wishes: BTreeSet<usize> = BTreeSet::new();
    for (i, right) in demand.flies.iter().enumerate().filter(|(_, n)| **n > 0) {
        let members = pool.members.iter().filter(|m| demand.allows(&m.takes));
        for (member, service) in members.filter_map(|m| Some((m, m.serves[i].as_ref()?))) {
            let flies = service.enough.last().unwrap_or(right);
            let mut terms = vec![(least[i], 1.0)];
            for take in &member.takes {
                let (p, supply) = (take.supply, &demand.supplies[take.supply]);
                if supply.kind == Kind::Dressing {
                    continue;
                }
                let share = demand.from_stock[i][p];
                if share < 1.0 {
                    let charge = *charges.entry((i, p)).or_insert_with(|| program.add_var(-share, bounds));
                    terms.push((charge, -1.0));
                }
                // Of a wish nothing is measured out.
                if supply.wish {
                    wishes.insert(p);
                    continue;
                }
                let rate = *rates.entry(p).or_insert_with(|| {
                    let token = if supply.owned == 0 { TOKEN * price(supply) } else { 0.0 };
                    program.add_var(-(supply.owned as f64) / supply.pack as f64, (token, f64::INFINITY))
                });
                let amount = f64::from(*flies) * take.block as f64 / f64::from(take.serves) / supply.pack as f64;
                terms.push((rate, -amount));
            }
            program.add_constraint(terms, ComparisonOp::Le, 0.0);
        }
    }
    let hooks: Vec<Variable> = demand.hooks.iter().map(|hooks| program.add_var(hooks.packs, bounds)).collect();
    for (p, supply) in demand.supplies.iter().enumerate().filter(|(p, _)| !rates.contains_key(p)) {
        let off = demand.hooks.iter().zip(&hooks).filter(|(h, _)| h.parts[p]).map(|(_, var)| (*var, 1.0));
        let off: Vec<_> = off.collect();
        if !off.is_empty() {
            program.add_constraint(off, ComparisonOp::Le, price(supply));
        }
    }
    for p in &wishes {
        let of_part = charges.iter().filter(|((_, q), _)| q == p).map(|(_, var)| (*var, 1.0));
        let off = demand.hooks.iter().zip(&hooks).filter(|(h, _)| h.parts[*p]).map(|(_, var)| (*var, 1.0));
        program.add_constraint(of_part.chain(off).collect::<Vec<_>>(), ComparisonOp::Le, price(&demand.supplies[*p]));
    }
    for (p, rate) in &rates {
        let of_part = charges.iter().filter(|((_, q), _)| q == p);
        let mut terms: Vec<_> = of_part.map(|((i, _), var)| (*var, 1.0 - demand.from_stock[*i][*p])).collect();
        terms.push((*rate, 1.0));
        terms.extend(demand.hooks.iter().zip(&hooks).filter(|(h, _)| h.parts[*p]).map(|(_, var)| (*var, 1.0)));
        program.add_constraint(terms, ComparisonOp::Le, price(&demand.supplies[*p]));
    }
    let solution = solve(&program, stop)?;
    let mut shares = demand.none();
    for ((i, p), var) in charges {
        shares.charges[i][p] = solution.var_value(var).max(0.0);
    }
    for (p, var) in rates {
        shares.rates[p] = solution.var_value(var).max(0.0) / demand.supplies[p].pack as f64;
    }
    shares.hooks = hooks.iter().map(|var| solution.var_value(*var).max(0.0)).collect();
    let values = least.iter().map(|var| solution.var_value(*var)).collect();
    Some((shares, values))
}

/// Packs of each part that the linear program buys: the cheapest mix of the recipes of the pool, fractions and all; `None` when
/// it was given up.
pub(super) fn fractions(pool: &Pool, demand: &Demand, stop: &dyn Fn() -> bool) -> Option<Vec<f64>> {
    let mut program = microlp::Problem::new(OptimizationDirection::Minimize);
    let packs: Vec<Variable> =
        demand.supplies.iter().map(|s| program.add_var(price(s), (0.0, f64::INFINITY))).collect();
    let mut amounts: BTreeMap<usize, Vec<(Variable, f64)>> = BTreeMap::new();
    for (i, right) in demand.flies.iter().enumerate().filter(|(_, n)| **n > 0) {
        let mut whole: Vec<(Variable, f64)> = Vec::new();
        let mut parts: BTreeMap<usize, Vec<(Variable, f64)>> = BTreeMap::new();
        let members = pool.members.iter().filter(|m| demand.allows(&m.takes));
        for (member, service) in members.filter_map(|m| Some((m, m.serves[i].as_ref()?))) {
            let flies = f64::from(*service.enough.last().unwrap_or(right));
            let part = program.add_var(0.0, (0.0, 1.0));
            whole.push((part, 1.0));
            for take in member.takes.iter().filter(|t| demand.supplies[t.supply].kind != Kind::Dressing) {
                let amount = flies * take.block as f64 / f64::from(take.serves);
                let pack = demand.supplies[take.supply].pack as f64;
                amounts.entry(take.supply).or_default().push((part, amount / pack));
                parts.entry(take.supply).or_default().push((part, 1.0));
            }
        }
        if whole.is_empty() {
            return None;
        }
        program.add_constraint(whole, ComparisonOp::Eq, 1.0);
        for (p, mut terms) in parts {
            let share = demand.from_stock[i][p];
            terms.push((packs[p], share - 1.0));
            program.add_constraint(terms, ComparisonOp::Le, share);
        }
    }
    for (p, mut terms) in amounts {
        terms.push((packs[p], -1.0));
        let supply = &demand.supplies[p];
        program.add_constraint(terms, ComparisonOp::Le, supply.owned as f64 / supply.pack as f64);
    }
    for hooks in &demand.hooks {
        let terms: Vec<_> = packs.iter().zip(&hooks.parts).filter(|(_, of)| **of).map(|(v, _)| (*v, 1.0)).collect();
        program.add_constraint(terms, ComparisonOp::Ge, hooks.packs);
    }
    let solution = solve(&program, stop)?;
    Some(packs.iter().map(|var| solution.var_value(*var)).collect())
}

/// Solves a linear program, in slices so that it can be stopped.
fn solve(program: &microlp::Problem, stop: &dyn Fn() -> bool) -> Option<microlp::Solution> {
    let slice = Some(Duration::from_millis(60));
    let mut options = SolveOptions::default();
    options.time_limit = slice;
    let mut said = program.solve_with(options);
    loop {
        let outcome = said.ok()?;
        if let Some(solution) = outcome.solution().filter(|_| outcome.is_optimal()) {
            return Some(solution.clone());
        }
        if stop() {
            return None;
        }
        let mut options = microlp::ResumeOptions::default();
        options.time_limit = slice;
        said = outcome.resume_with(options);
    }
}
