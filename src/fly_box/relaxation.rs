//! The bound on a complete box over all recipes there are, and the recipes that it is made of: rounds of a linear program over
//! the recipes met so far, whose shares the exact search then tries to refute. See [`super::shares`] for the bound itself.

use super::pool::Pool;
use super::shares::{Demand, FINE, Shares, best_over_pool};
use crate::fly::Fly;
use crate::part::Kind;
use crate::purchase::PartId;
use crate::quantity::Money;
use crate::search::patience::Patience;
use crate::search::rank::{Candidate, Variety, cents};
use crate::search::tariff::Tariff;
use crate::search::{Observer, Wish};
use crate::wanted::Target;
use rayon::prelude::*;
use std::collections::BTreeMap;

/// Recipes that the search hands back for each need in each round.
const WISH: Wish = Wish { top: 24, variety: Variety::FewestSupplies };
/// How near a bound must be to the best box, as a share of its price, for it to be made sharper by levels of shares: that takes most
/// of the time, and adds little.
const NEAR: f64 = 0.04;
/// A bound this close to that of the program, units of the currency, is as good.
const REFUTED: f64 = 2e-5;
/// How far shares move from the best so far towards those of the program: all the way would swing to and fro.
const STRIDE: f64 = 0.6;

/// A bound on the outlay, and the shares that give it.
#[derive(Clone)]
pub(super) struct Relaxed {
    pub(super) shares: Shares,
    /// The least charge of each need, for all its flies.
    pub(super) least: Vec<f64>,
    /// The bound, dressings included, units of the currency.
    pub(super) bound: f64,
    /// Whether no other shares give a higher one.
    pub(super) highest: bool,
}

/// What dressings cost in whole packs when each need ties so many flies.
pub(super) fn dressings(pool: &Pool, flies: &[u32]) -> Money {
    let mut wanted: BTreeMap<&str, u64> = BTreeMap::new();
    for (need, flies) in pool.order.needs.iter().zip(flies) {
        *wanted.entry(&need.target.choice.dressing).or_default() += u64::from(*flies);
    }
    let price = |(id, flies): (&str, u64)| {
        let dressing = pool.catalog.dressing(id).filter(|d| !d.components.is_empty())?;
        let missing = flies.saturating_sub(pool.order.owned.get(&PartId::new(Kind::Dressing, id)));
        let pack = dressing.row.pack;
        Some(pack.price.share(missing.div_ceil(pack.unit.content().max(1)), 1))
    };
    wanted.into_iter().filter_map(price).sum()
}

/// The best bound found in so many more rounds, none of which begins once so much work is done; recipes met on the way join
/// the pool. `None` where a search was stopped before there was any. Ends once the bound comes up to `outlay`, which is what the best box known costs.
pub(super) fn relax(
    pool: &mut Pool,
    demand: &Demand,
    before: Option<Relaxed>,
    (rounds, work, outlay): (u32, u64, Option<Money>),
    observer: &dyn Observer,
) -> Option<Relaxed> {
    let fixed = units(dressings(pool, &demand.flies));
    let mut best = before;
    // Half way to the program at first, all the way when half way brings nothing new.
    let mut stride = STRIDE;
    for _ in 0..rounds {
        if best.is_some() && pool.work() >= work {
            break;
        }
        let (mut shares, program_bound) = match &best {
            None => (demand.even(&users(pool)), f64::INFINITY),
            Some(known) => {
                match best_over_pool(pool, demand, &|| observer.stop()) {
                    Some((new, values)) => {
                        let bound = fixed + values.iter().sum::<f64>() + demand.constant(&new);
                        (mixed(&known.shares, &new, stride), bound)
                    }
                    None if observer.stop() => break,
                    // No recipe of the pool may be used for some need: others are looked for at the shares known.
                    None => (known.shares.clone(), f64::INFINITY),
                }
            }
        };
        demand.settle(&mut shares);
        let bound_of = |tried: &Tried| fixed + tried.least.iter().sum::<f64>() + demand.constant(&shares);
        let Some(mut tried) = minima(pool, demand, &shares, None, observer) else { break };
        let near = |bound: f64| outlay.is_some_and(|outlay| bound > (1.0 - NEAR) * units(outlay));
        if near(bound_of(&tried)) {
            let Some(by_levels) = minima(pool, demand, &shares, Some(&tried), observer) else { break };
            tried = Tried { new: tried.new || by_levels.new, ..by_levels };
        }
        let bound = bound_of(&tried);
        if best.as_ref().is_none_or(|b| bound > b.bound) {
            best = Some(Relaxed { shares, least: tried.least, bound, highest: false });
        }
        let Some(known) = &mut best else { break };
        // No room left below the program, or nothing new at its very shares: no bound of this kind is higher.
        known.highest = program_bound - known.bound < REFUTED || (!tried.new && stride == 1.0);
        let reached = outlay.is_some_and(|outlay| round_up(known.bound, pool.supplies.price_step()) >= outlay);
        if reached || known.highest {
            break;
        }
        stride = if tried.new { STRIDE } else { 1.0 };
    }
    best
}

/// Units of the currency.
pub(super) fn units(money: Money) -> f64 {
    money.micros() as f64 * 1e-6
}

/// What a bound is trusted to, units of the currency: charges are passed on to hundred-thousandths for each part and need.
const BOUND_SLACK: f64 = 2e-4;

/// The least outlay that a bound leaves: a whole multiple of `step`.
pub(super) fn round_up(bound: f64, step: i64) -> Money {
    let steps = ((bound - BOUND_SLACK) * 1e6 / step as f64).ceil().max(0.0);
    Money::from_micros((steps as i64).saturating_mul(step))
}

/// Which needs may use which parts: all, but for hooks.
pub(super) fn users(pool: &Pool) -> Vec<Vec<bool>> {
    let may = |need: &super::spec::BoxNeed, part: &PartId| match part.kind {
        Kind::Hook => pool.catalog.hook(&part.id).is_some_and(|hook| need.target.choice.allows(hook)),
        _ => true,
    };
    pool.order.needs.iter().map(|need| pool.supplies.parts.iter().map(|part| may(need, part)).collect()).collect()
}

fn mixed(a: &Shares, b: &Shares, stride: f64) -> Shares {
    let mix = |a: &f64, b: &f64| a + stride * (b - a);
    Shares {
        charges: a
            .charges
            .iter()
            .zip(&b.charges)
            .map(|(a, b)| a.iter().zip(b).map(|(a, b)| mix(a, b)).collect())
            .collect(),
        rates: a.rates.iter().zip(&b.rates).map(|(a, b)| mix(a, b)).collect(),
        // Sets that must be bought may have joined since.
        hooks: b.hooks.iter().enumerate().map(|(at, b)| mix(a.hooks.get(at).unwrap_or(&0.0), b)).collect(),
    }
}

/// What the searches of a round came to.
struct Tried {
    least: Vec<f64>,
    /// What the recipes that were met charge at least, with the flies that each takes.
    reached: Vec<f64>,
    /// Whether any of them found a recipe that was not known.
    new: bool,
}

/// The least charge of each need, as if no recipe took more flies than are to be right; with what came out so, level by level;
/// `None` when a search was stopped.
fn minima(
    pool: &mut Pool,
    demand: &Demand,
    shares: &Shares,
    roughly: Option<&Tried>,
    observer: &dyn Observer,
) -> Option<Tried> {
    let ask = |i: usize| match roughly {
        _ if demand.flies[i] == 0 => Some((0.0, f64::INFINITY, Vec::new())),
        None => least_of_need(pool, demand, (shares, i), observer),
        Some(Tried { least, reached, .. }) => {
            least_by_levels(pool, demand, (shares, i), (least[i], reached[i]), observer)
        }
    };
    let answers: Vec<_> = (0..demand.flies.len()).into_par_iter().map(ask).collect();
    let mut tried = Tried { least: Vec::new(), reached: Vec::new(), new: false };
    for (i, answer) in answers.into_iter().enumerate() {
        let (least, reached, candidates) = answer?;
        tried.least.push(least);
        tried.reached.push(reached);
        for candidate in candidates {
            tried.new |= pool.add_for(i, candidate.fly);
        }
    }
    Some(tried)
}

/// The least charge of one need, for all its flies, as if no recipe took more of them than are to be right; what the recipes met on
/// the way really charge; and those recipes.
fn least_of_need<'a>(
    pool: &Pool<'_, 'a>,
    demand: &Demand,
    (shares, i): (&Shares, usize),
    observer: &dyn Observer,
) -> Option<(f64, f64, Vec<Candidate<'a>>)> {
    let (level, right) = (demand.levels[i].last()?, demand.flies[i]);
    let tariff = Tariff::Rates(demand.tariff(shares, i, right, pool));
    let (least, met) = least_among(pool, &level.target, &tariff, WISH, observer)?;
    let true_charge = |fly: &Fly| {
        let flies = pool.service(fly, i).and_then(|s| s.enough.last().copied()).unwrap_or(u32::MAX);
        units(Tariff::Rates(demand.tariff(shares, i, flies, pool)).price(fly)) / FINE
    };
    let reached = met.iter().map(|c| true_charge(&c.fly)).fold(f64::INFINITY, f64::min);
    Some((least, reached, met))
}

/// The same level by level, where recipes take more flies than are to be right, and pay for them.
fn least_by_levels<'a>(
    pool: &Pool<'_, 'a>,
    demand: &Demand,
    (shares, i): (&Shares, usize),
    (least, reached): (f64, f64),
    observer: &dyn Observer,
) -> Option<(f64, f64, Vec<Candidate<'a>>)> {
    let levels = &demand.levels[i];
    let mut met = Vec::new();
    if levels.len() == 1 {
        return Some((least, reached, met));
    }
    let mut of_levels = f64::INFINITY;
    for level in levels {
        if of_levels.min(reached) < least + REFUTED {
            return Some((least, reached, met));
        }
        let tariff = Tariff::Rates(demand.tariff(shares, i, level.flies, pool));
        let (charge, more) = least_among(pool, &level.target, &tariff, WISH, observer)?;
        of_levels = of_levels.min(charge);
        met.extend(more);
    }
    Some((of_levels.max(least), reached, met))
}

/// Recipes judged, and rounds of nodes, before a search for a bound is cut short.
const MOST_JUDGED: u64 = 20_000;
const MOST_ROUNDS: u64 = 400;

/// What no recipe of a need with some target charges less than, and the cheapest that were met; infinite where there is none. A search that
/// goes on too long is cut short: what it did not look at has a bound. `None` when stopped.
pub(super) fn least_among<'a>(
    pool: &Pool<'_, 'a>,
    target: &Target,
    tariff: &Tariff,
    wish: Wish,
    observer: &dyn Observer,
) -> Option<(f64, Vec<Candidate<'a>>)> {
    let patience = Patience::new(observer, MOST_JUDGED, MOST_ROUNDS);
    let found = pool.search(target, tariff, wish, &patience);
    if observer.stop() {
        return None;
    }
    let first = found.candidates.first().map_or(f64::INFINITY, |c| least_charge(c.price));
    let rest = found.bound.filter(|_| !found.proven()).map_or(f64::INFINITY, least_charge);
    Some((first.min(rest), found.candidates))
}

/// What the price of the first in a list says of all, units of the currency: it has the fewest cents, not the fewest
/// millionths, so half a cent of the fine scale is lost.
pub(super) fn least_charge(price: Money) -> f64 {
    (cents(price) * 10_000 - 5_000).max(0) as f64 / FINE * 1e-6
}
