//! What no box can cost less than, whatever recipes it is made of: not only those that were looked at.
//!
//! **The bound.** Split the price of each part's pack among the needs: w(i, p) >= 0, sum over i of w(i, p) <= price(p).
//! In any box that ties every fly, take for each need i any recipe r(i) that it uses. A part of r(i) of which less is
//! owned than one fly takes has to be bought, so
//!
//! outlay >= sum over bought p of price(p) >= sum over i of (sum over p in r(i) to buy of w(i, p))
//!        >= sum over i of (least over all recipes of need i of the same sum).
//!
//! Each of those minima is an exact search by a tariff that charges w(i, p) for part p. Dressings are left out of the
//! split: the pattern of a need is fixed, so what its dressings cost is known beforehand and is added.
//!
//! **The split** is improved by projected subgradient steps (Polyak's step length): where the recipe found for a need
//! uses a part, that need is charged more for it and others less. Every split gives a valid bound; the best is kept. Packs
//! beyond the first of a part are not in it, which is why a large box may stay below its bound's reach.
//!
//! Source: Lagrangean cost splitting, general method, from memory; the bound is derived above.

use super::pool::Pool;
use crate::part::Kind;
use crate::purchase::{Amounts, PartId, uses};
use crate::quantity::Money;
use crate::search::rank::{Variety, cents};
use crate::search::tariff::{PackTariff, Tariff};
use crate::search::{Observer, Wish, search_by};
use std::collections::BTreeMap;

/// Shares are counted in millionths of this fraction of the currency unit, so that the search, which compares by the
/// hundredth, resolves hundred-thousandths.
const FINE: i64 = 1_000;

/// Prices of packs split among needs, in units of 1e-9.
struct Split {
    parts: Vec<Priced>,
    /// shares[need][part]
    shares: Vec<Vec<f64>>,
}

struct Priced {
    part: PartId,
    price: f64,
    /// Needs that may use it.
    users: Vec<usize>,
}

/// A lower bound on the outlay of any box that ties every fly. Recipes met on the way are added to the pool.
pub(super) fn whole_bound(
    pool: &mut Pool<'_, '_>,
    used_by: &BTreeMap<PartId, Vec<usize>>,
    outlay: Money,
    rounds: u32,
    observer: &dyn Observer,
) -> Option<Money> {
    let fixed = dressings(pool);
    let mut split = Split::new(pool, used_by);
    let mut best: Option<i64> = None;
    let (mut step_share, mut stale) = (1.0, 0);
    for _ in 0..rounds {
        let Some(round) = split.round(pool, observer) else { break };
        let total = fixed + Money::from_micros(round.least.div_euclid(FINE));
        if best.is_none_or(|b| round.least > b) {
            (best, stale) = (Some(round.least), 0);
        } else {
            stale += 1;
            if stale == 3 {
                (step_share, stale) = (0.5 * step_share, 0);
            }
        }
        let gap = (outlay - total).micros() as f64 * FINE as f64;
        if gap <= 0.0 || !split.step(&round.bought, step_share * gap) {
            break;
        }
    }
    let step = price_step(pool);
    let least = fixed.micros() + best? / FINE;
    // Every outlay is a whole number of steps.
    Some(Money::from_micros((least + step - 1).div_euclid(step) * step))
}

/// The largest amount of which all prices are whole multiples, millionths.
fn price_step(pool: &Pool) -> i64 {
    let gcd = |mut a: i64, mut b: i64| {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    let rows = Kind::ALL.into_iter().flat_map(|kind| pool.catalog.rows(kind));
    rows.map(|row| row.pack.price.micros().max(0)).fold(0, gcd).max(1)
}

/// What the dressings of all needs cost, whole packs of each pattern.
fn dressings(pool: &Pool) -> Money {
    let mut wanted: BTreeMap<&str, u64> = BTreeMap::new();
    for need in &pool.order.needs {
        *wanted.entry(&need.target.choice.dressing).or_default() += u64::from(need.flies);
    }
    let price = |(id, flies): (&str, u64)| {
        let dressing = pool.catalog.dressing(id).filter(|d| !d.components.is_empty())?;
        let missing = flies.saturating_sub(pool.order.owned.get(&PartId::new(Kind::Dressing, id)));
        let pack = dressing.row.pack;
        Some(pack.price.share(missing.div_ceil(pack.unit.content().max(1)), 1))
    };
    wanted.into_iter().filter_map(price).sum()
}

struct Round {
    /// Sum of the minima, units of 1e-9, rounded down.
    least: i64,
    /// Parts that the recipe found for each need has to buy.
    bought: Vec<Vec<usize>>,
}

impl Split {
    fn new(pool: &Pool, used_by: &BTreeMap<PartId, Vec<usize>>) -> Self {
        let needs = &pool.order.needs;
        let mut parts = Vec::new();
        let mut shares = vec![Vec::new(); needs.len()];
        for kind in [Kind::Hook, Kind::Bead, Kind::Pin, Kind::Wire, Kind::Foam] {
            for row in pool.catalog.rows(kind) {
                let part = PartId::new(kind, &row.id);
                let price = row.pack.price.micros().max(0) as f64 * FINE as f64;
                let may_use = |n: &usize| match (kind, pool.catalog.hook(&row.id)) {
                    (Kind::Hook, Some(hook)) => needs[*n].target.choice.allows(hook),
                    _ => true,
                };
                let users: Vec<usize> = (0..needs.len()).filter(may_use).collect();
                let payers = used_by.get(&part).filter(|list| !list.is_empty()).unwrap_or(&users);
                for (n, list) in shares.iter_mut().enumerate() {
                    list.push(if payers.contains(&n) { price / payers.len() as f64 } else { 0.0 });
                }
                parts.push(Priced { part, price, users });
            }
        }
        Self { parts, shares }
    }

    /// The least sum of each need; `None` when the search was stopped or a need cannot be met.
    fn round(&self, pool: &mut Pool, observer: &dyn Observer) -> Option<Round> {
        let mut round = Round { least: 0, bought: Vec::new() };
        for n in 0..self.shares.len() {
            let target = &pool.order.needs[n].target;
            let tariff = Tariff::Packs(self.tariff(n, pool));
            let wish = Wish { top: 1, variety: Variety::Every };
            let found = search_by(pool.catalog, target, &tariff, wish, observer);
            let cheapest = found.candidates.first().filter(|_| found.proven())?;
            // The first in the list has the fewest cents, not the fewest millionths: half a cent is lost.
            round.least += (cents(cheapest.price) * 10_000 - 5_000).max(0);
            round.bought.push(self.bought(cheapest.fly, pool));
            pool.add(cheapest.fly);
        }
        Some(round)
    }

    fn tariff(&self, need: usize, pool: &Pool) -> PackTariff {
        let mut tariff = PackTariff::new(1, pool.order.owned.clone(), pool.order.allowance);
        let shares = self.parts.iter().zip(&self.shares[need]);
        tariff.prices = shares.map(|(p, share)| (p.part.clone(), Money::from_micros(share.floor() as i64))).collect();
        for row in pool.catalog.rows(Kind::Dressing) {
            tariff.prices.insert(PartId::new(Kind::Dressing, &row.id), Money::ZERO);
        }
        tariff
    }

    fn bought(&self, fly: crate::fly::Fly, pool: &Pool) -> Vec<usize> {
        let short = |part: &PartId, amount: u64, owned: &Amounts| amount > owned.get(part);
        uses(&fly, pool.order.allowance)
            .iter()
            .filter(|used| short(&used.part, used.amount(1), &pool.order.owned))
            .filter_map(|used| self.parts.iter().position(|p| p.part == used.part))
            .collect()
    }

    /// Moves the shares along the subgradient so that, were the sum linear, it would gain `gain`. Returns whether there
    /// is anywhere to go.
    fn step(&mut self, bought: &[Vec<usize>], gain: f64) -> bool {
        let mut change: Vec<(usize, Vec<f64>)> = Vec::new();
        let mut norm = 0.0;
        for (p, priced) in self.parts.iter().enumerate() {
            let raw: Vec<f64> = priced.users.iter().map(|n| f64::from(u8::from(bought[*n].contains(&p)))).collect();
            if raw.iter().all(|g| *g == 0.0) {
                continue;
            }
            let mean = raw.iter().sum::<f64>() / raw.len() as f64;
            let centred: Vec<f64> = raw.iter().map(|g| g - mean).collect();
            norm += centred.iter().map(|g| g * g).sum::<f64>();
            change.push((p, centred));
        }
        if norm <= 0.0 {
            return false;
        }
        for (p, centred) in change {
            let priced = &self.parts[p];
            let moved: Vec<f64> =
                priced.users.iter().zip(&centred).map(|(n, g)| self.shares[*n][p] + gain / norm * g).collect();
            for (n, share) in priced.users.iter().zip(onto_simplex(moved, priced.price)) {
                self.shares[*n][p] = share;
            }
        }
        true
    }
}

/// The nearest point with no negative share and the given sum (Euclidean projection: sort, then one threshold).
fn onto_simplex(values: Vec<f64>, sum: f64) -> Vec<f64> {
    let mut sorted = values.clone();
    sorted.sort_by(|a, b| b.total_cmp(a));
    let (mut total, mut threshold) = (0.0, 0.0);
    for (i, value) in sorted.iter().enumerate() {
        total += value;
        let candidate = (total - sum) / (i + 1) as f64;
        if *value > candidate {
            threshold = candidate;
        }
    }
    values.into_iter().map(|v| (v - threshold).max(0.0)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn shares_sum_to_the_price(values in prop::collection::vec(-5.0..5.0_f64, 1..8), sum in 0.0..9.0_f64) {
            let shares = onto_simplex(values, sum);
            prop_assert!(shares.iter().all(|s| *s >= 0.0));
            prop_assert!((shares.iter().sum::<f64>() - sum).abs() < 1e-9);
        }
    }
}
