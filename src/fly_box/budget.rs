//! What so many flies cost at least, over all recipes there are: the bound where a budget does not pay for all.
//!
//! By the bound of [`super::shares`], a box that ties k(i) right flies of each need costs no less than the sum of f(i, k(i)),
//! less what the stock is worth. f(i, 0) = 0; for k of 1 or more, f(i, k) is the least over all recipes of a charge and k times
//! a rate (no recipe takes fewer flies than are right): a minimum of straight lines, so it is concave, and lies above the
//! straight line from f(i, 1) to f(i, n(i)). Two exact searches give both ends. The least sum for so many flies in all follows by dynamic programming over the needs.

use super::pool::Pool;
use super::relaxation::{Relaxed, least_among, users};
use super::shares::{Demand, Shares, price};
use crate::part::Kind;
use crate::quantity::Money;
use crate::search::rank::Variety;
use crate::search::tariff::Tariff;
use crate::search::{Observer, Wish};

/// Most flies in all for which the sums are made: their number goes with the square.
const MOST_FLIES: u32 = 4_000;

/// What flies of each need cost at least.
pub(super) struct Ladder {
    flies: Vec<u32>,
    least: Vec<u32>,
    /// The first fly of each need, and all of them.
    ends: Vec<(f64, f64)>,
    /// What no fly changes: what the stock is worth, below zero.
    constant: f64,
    pub(super) shares: Shares,
    /// What the dressing of one fly of each need costs at least, beyond what it shares.
    pub(super) dressing: Vec<f64>,
}

impl Ladder {
    /// `None` when a search was stopped, or there are too many flies.
    pub(super) fn new(pool: &Pool, demand: &Demand, relaxed: &Relaxed, observer: &dyn Observer) -> Option<Self> {
        if demand.flies.iter().sum::<u32>() > MOST_FLIES {
            return None;
        }
        let mut shares = relaxed.shares.clone();
        // Which hooks must be bought depends on which flies are tied.
        shares.hooks.iter_mut().for_each(|off| *off = 0.0);
        share_dressings(pool, demand, &mut shares);
        demand.settle(&mut shares);
        share_rest(pool, demand, &mut shares);
        let mut ends = Vec::new();
        let mut dressing = Vec::new();
        for (i, flies) in demand.flies.iter().enumerate() {
            if *flies == 0 {
                ends.push((0.0, 0.0));
                dressing.push(0.0);
                continue;
            }
            let least = |k: u32| {
                let tariff = Tariff::Rates(demand.tariff(&shares, i, k, pool));
                let wish = Wish { top: 1, variety: Variety::FewestSupplies };
                least_among(pool, &pool.order.needs[i].target, &tariff, wish, observer).map(|(least, _)| least)
            };
            let on = |k: u32| dressing_of(pool, demand, &shares, (i, k));
            let one = least(1)?;
            let all = least(*flies)?;
            ends.push((one + on(1), all + on(*flies)));
            dressing.push(on(1));
        }
        let least = pool.order.needs.iter().zip(&demand.flies).map(|(need, n)| need.least.min(*n)).collect();
        Some(Self { flies: demand.flies.clone(), least, ends, constant: demand.constant(&shares), shares, dressing })
    }

    /// Least outlay, units of the currency, for so many flies or more in all, by their number; without what one need adds.
    pub(super) fn least_outlay(&self, without: Option<usize>) -> Vec<f64> {
        let mut sums = vec![0.0];
        for i in (0..self.flies.len()).filter(|i| Some(*i) != without) {
            let (n, least) = (self.flies[i], self.least[i]);
            let (first, all) = self.ends[i];
            let step = if n > 1 { (all - first) / f64::from(n - 1) } else { 0.0 };
            let mut next = vec![f64::INFINITY; sums.len() + n as usize];
            for (before, sum) in sums.iter().enumerate() {
                for k in least..=n {
                    let cost = if k == 0 { 0.0 } else { first + step * f64::from(k - 1) };
                    let at = &mut next[before + k as usize];
                    *at = at.min(sum + cost);
                }
            }
            sums = next;
        }
        // More flies are never cheaper than fewer.
        for at in (0..sums.len() - 1).rev() {
            sums[at] = sums[at].min(sums[at + 1]);
        }
        sums.iter().map(|sum| sum + self.constant).collect()
    }

    /// Most flies that any box can tie for so much.
    pub(super) fn most_flies(&self, budget: f64) -> u32 {
        let outlays = self.least_outlay(None);
        outlays.iter().rposition(|least| *least <= budget).map_or(0, |flies| flies as u32)
    }
}

/// What is left of the price of a pack is borne by the needs that may use it, each alike: that of hooks above all, which the
/// bound on complete boxes counts by the packs that all flies take.
fn share_rest(pool: &Pool, demand: &Demand, shares: &mut Shares) {
    let may = users(pool);
    for p in (0..demand.supplies.len()).filter(|p| demand.supplies[*p].kind != Kind::Dressing) {
        let pays = |i: &usize| demand.flies[*i] > 0 && may[*i][p] && demand.from_stock[*i][p] < 1.0;
        let payers: Vec<usize> = (0..demand.flies.len()).filter(pays).collect();
        // A little less than all, so that no sum is above the price for rounding.
        let each = demand.slack(shares, p).max(0.0) * (1.0 - 1e-9) / payers.len().max(1) as f64;
        for i in payers {
            shares.charges[i][p] += each / (1.0 - demand.from_stock[i][p]);
        }
    }
}

/// Dressings are fixed by the needs: each need bears its share of the first pack of its pattern, or, where one pack is not
/// enough for all, its flies bear their share of packs.
fn share_dressings(pool: &Pool, demand: &Demand, shares: &mut Shares) {
    for (p, supply) in demand.supplies.iter().enumerate().filter(|(_, s)| s.kind == Kind::Dressing) {
        let takers: Vec<usize> =
            (0..demand.flies.len()).filter(|i| demand.flies[*i] > 0 && ties(pool, *i, p)).collect();
        let flies: u64 = takers.iter().map(|i| u64::from(demand.flies[*i])).sum();
        if flies > supply.owned + supply.pack {
            shares.rates[p] = price(supply) / supply.pack as f64;
            continue;
        }
        let payers: Vec<&usize> = takers.iter().filter(|i| demand.from_stock[**i][p] < 1.0).collect();
        for i in &payers {
            shares.charges[**i][p] = price(supply) / payers.len() as f64 / (1.0 - demand.from_stock[**i][p]);
        }
    }
}

/// Whether a need takes a dressing at all.
fn ties(pool: &Pool, need: usize, dressing: usize) -> bool {
    let id = &pool.order.needs[need].target.choice.dressing;
    pool.supplies.parts[dressing].id == *id && pool.catalog.dressing(id).is_some_and(|d| !d.components.is_empty())
}

/// What the dressings of so many flies of a need cost by the shares.
fn dressing_of(pool: &Pool, demand: &Demand, shares: &Shares, (need, flies): (usize, u32)) -> f64 {
    let kind = |p: &usize| demand.supplies[*p].kind == Kind::Dressing;
    let of_part = |p: usize| {
        let share = if demand.from_stock[need][p] > 0.0 {
            f64::from(flies) / f64::from(demand.flies[need].max(1))
        } else {
            1.0
        };
        shares.charges[need][p] * share + shares.rates[p] * f64::from(flies)
    };
    (0..demand.supplies.len()).filter(|p| kind(p) && ties(pool, need, *p)).map(of_part).sum()
}

/// What the sets of supplies of a box that ties at least as many flies as the one known for no more may cost each need.
pub(super) fn most_under_budget(ladder: &Ladder, budget: Money, tied: u32) -> Vec<f64> {
    let budget = super::relaxation::units(budget);
    let of_need = |i: usize| {
        let others = ladder.least_outlay(Some(i));
        let wanted = tied.saturating_sub(ladder.flies[i]) as usize;
        budget - others.get(wanted).copied().unwrap_or(f64::INFINITY) - ladder.dressing[i] + super::columns::SLACK
    };
    (0..ladder.flies.len()).map(of_need).collect()
}
