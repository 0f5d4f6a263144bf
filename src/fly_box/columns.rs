//! The cheapest complete box over all recipes there are: every set of supplies that a cheaper box could use is listed, and the
//! cheapest plan over that list is realised, or refuted.
//!
//! **Which sets matter.** Say the best box known costs U, and the shares of [`super::shares`] bound every box by L. A box that
//! ties any fly of need i by a recipe of the supplies S buys at least one pack of each part of S of which the stock does not
//! give even one fly, and what is left of the price of that pack after all shares comes on top of the bound: it costs at least
//! L - v(i) + sum over such p of S of (w(i, p) + c(p) - sum over j of w(j, p) (1 - s(j, p)) - r(p) k(p)) + the least of all
//! else that need i pays. An exact search by that tariff lists, for each need, every set that comes to less than U, without
//! those that hold a listed one. Mostly that is a handful.
//!
//! Where not all flies come out right, sets are listed once for each number of flies that may be enough, the fewest first.
//!
//! **Plans over sets.** A set is first taken to need no more wire and foam than any recipe could, and no more flies than the
//! surest of its level ([`Way`]s too good to be true).
//! The cheapest plan over them bounds every box. When real recipes of its sets cost the same, it is the cheapest box there is.
//! When they do not, all recipes of those sets are walked through, those that take least are put in place of the set, sets
//! that hold it are listed as well, and the plan is made anew.

use super::exact::{Effort, Solved, solve};
use super::narrowed::same_supplies;
use super::plan::JUDGED;
use super::pool::{Pool, Service, no_more, thriftier};
use super::problem::{Need, Plan, Problem, Take, Way};
use super::relaxation::{Relaxed, least_among, units};
use super::rightness::Level;
use super::shares::{Demand, FINE, MOST_PIECES, Shares, price, tariff};
use crate::fly::{self, Fly};
use crate::part::Kind;
use crate::quantity::Money;
use crate::search::exhaustive::walk;
use crate::search::patience::Patience;
use crate::search::rank::Variety;
use crate::search::space::least_turns;
use crate::search::tariff::{Rate, Tariff};
use crate::search::{Observer, Progress, Wish};
use std::sync::atomic::{AtomicBool, Ordering};

/// Most recipes of one set that are walked through.
const MOST_WALKED: u64 = 2_000_000;
/// Rounds of plans over sets.
const MOST_ROUNDS: u32 = 60;
/// What a micrometre of wire or foam costs in a list of sets, units of the currency, so that of recipes of one set a thrifty one
/// comes first; a fly takes some ten centimetres of them at most.
const TOKEN: f64 = 1e-8;
/// What is added to what a set may cost, units of the currency, for that and for rounding.
pub(super) const SLACK: f64 = 5e-3;

/// Recipes of one set of supplies, or one of them.
struct Column<'a> {
    supplies: Vec<usize>,
    takes: Vec<Take>,
    /// A recipe for each need that it serves.
    flies: Vec<Option<Fly<'a>>>,
    /// Flies that are enough for 0, 1, 2, ... right ones of each need; empty where each fly counts.
    enough: Vec<Vec<u32>>,
    /// Whether takes and flies are those of the recipes, not only no more.
    real: bool,
}

/// How far a list of sets goes before it is given up.
#[derive(Debug, Clone, Copy)]
pub(super) struct Listed {
    /// Sets for a need.
    pub(super) sets: usize,
    /// Recipes judged for one level of a need.
    pub(super) judged: u64,
}

impl Listed {
    pub(super) const MOST: Self = Self { sets: 2_500, judged: 200_000 };

    /// So many times twice as far, but no further than the most.
    pub(super) fn doubled(self, times: u32) -> Self {
        let Self { sets, judged } = Self::MOST;
        Self {
            sets: self.sets.checked_shl(times).unwrap_or(sets).min(sets),
            judged: self.judged.checked_shl(times).unwrap_or(judged).min(judged),
        }
    }

    /// The same, a list ending where so much work is done.
    pub(super) fn within(self, work: u64) -> Self {
        Self { judged: self.judged.min(work / JUDGED), ..self }
    }

    /// Rounds of nodes.
    fn rounds(self) -> u64 {
        self.judged / 100
    }
}

/// Right flies left out, then outlay: what a plan is judged by. Without a budget no fly is left out.
pub(super) type Worth = (u32, Money);

/// What became of the question whether there is a better box.
pub(super) struct Verdict<'a> {
    /// No box leaves out fewer flies, and none that leaves out so many costs less.
    pub(super) bound: Worth,
    /// Recipes that come up to the bound, where they are not those known before.
    pub(super) chosen: Option<Chosen<'a>>,
}

/// The best box known, and what is to be bettered.
pub(super) struct Known<'r> {
    pub(super) worth: Worth,
    /// No box is better than this.
    pub(super) bound: Worth,
    /// Most that may be spent, where not all flies need be tied.
    pub(super) budget: Option<Money>,
    /// What a set of supplies may cost each need, beyond what it shares with others, for a box that is better.
    pub(super) most: Vec<f64>,
    pub(super) shares: &'r Shares,
}

/// Recipes, and flies of each for each need.
pub(super) type Chosen<'a> = Vec<(Fly<'a>, Vec<u32>)>;

/// Passes on, and stops once a search is past a price.
struct Until<'o> {
    observer: &'o dyn Observer,
    most: Money,
    past: AtomicBool,
}

impl Observer for Until<'_> {
    fn round_done(&self, progress: &Progress) {
        if progress.bound.is_some_and(|bound| bound > self.most) {
            self.past.store(true, Ordering::Relaxed);
        }
        self.observer.round_done(progress);
    }

    fn stop(&self) -> bool {
        self.past.load(Ordering::Relaxed) || self.observer.stop()
    }
}

/// What the sets of supplies of a complete box that costs less than `outlay` may cost each need; `None` when stopped.
pub(super) fn most_for_complete(
    pool: &Pool,
    demand: &Demand,
    relaxed: &Relaxed,
    outlay: Money,
    observer: &dyn Observer,
) -> Option<Vec<f64>> {
    let most = units(outlay - Money::from_micros(pool.supplies.price_step()));
    let of_need = |i: usize| {
        let rest = least_rest(pool, demand, (&relaxed.shares, i), observer)?;
        Some(most - relaxed.bound + relaxed.least[i] - rest + SLACK)
    };
    (0..demand.flies.len()).map(of_need).collect()
}

/// Whether there is a better box than the one known, over all recipes.
pub(super) fn better_box<'a>(
    pool: &Pool<'_, 'a>,
    demand: &Demand,
    known: &Known,
    (effort, most): (Effort, Listed),
    observer: &dyn Observer,
) -> Verdict<'a> {
    if known.bound >= known.worth {
        return Verdict { bound: known.worth, chosen: None };
    }
    Listing { pool, demand, known, most, observer }.settle(effort)
}

struct Listing<'l, 's, 'a> {
    pool: &'l Pool<'s, 'a>,
    demand: &'l Demand,
    known: &'l Known<'l>,
    most: Listed,
    observer: &'l dyn Observer,
}

impl<'a> Listing<'_, '_, 'a> {
    fn settle(&self, effort: Effort) -> Verdict<'a> {
        let needs = self.demand.flies.len();
        let known = Verdict { bound: self.known.worth, chosen: None };
        let open = |bound: Worth| Verdict { bound, chosen: None };
        let mut whole = vec![self.pool.order.counts_recipes(); needs];
        let mut columns = Columns::default();
        for (i, whole) in whole.iter().enumerate() {
            match columns.list_for(self, i, *whole) {
                // No better box ties this need at all.
                Some(0) if self.demand.flies[i] > 0 && self.known.budget.is_none() => return known,
                Some(_) => {}
                None => return open(self.known.bound),
            }
        }
        let mut bound = self.known.bound;
        for _ in 0..MOST_ROUNDS {
            let problem = columns.problem(self);
            let Some(solved) = solve(&problem, effort, &|| self.observer.stop()) else { return known };
            let bill = problem.bill(&solved.plan);
            if solved.least_missing > bound.0 {
                bound = (solved.least_missing, Money::ZERO);
            }
            let proven = solved.proven(&problem);
            if proven {
                bound = bound.max((bill.missing, bill.outlay));
            } else if solved.least_missing == bill.missing && bound.0 == bill.missing {
                bound.1 = bound.1.max(solved.bound);
            }
            if bound >= self.known.worth {
                return known;
            }
            if !proven {
                return open(bound);
            }
            let chosen = columns.chosen(self.pool, &problem, &solved);
            if self.worth_of(&chosen) == Some((bill.missing, bill.outlay)) {
                return Verdict { bound, chosen: Some(chosen) };
            }
            // Recipes cannot do what their sets promise: look at them one by one.
            let used: Vec<usize> = columns.used(&problem, &solved).filter(|c| !columns.list[*c].real).collect();
            if used.is_empty() || self.observer.stop() {
                return open(bound);
            }
            for column in used.into_iter().rev() {
                let set = columns.list.swap_remove(column);
                let Some(real) = self.walked(&set) else { return open(bound) };
                columns.list.extend(real);
                for (i, whole) in whole.iter_mut().enumerate().filter(|(i, _)| set.flies[*i].is_some()) {
                    if !*whole {
                        *whole = true;
                        if columns.list_for(self, i, true).is_none() {
                            return open(bound);
                        }
                    }
                }
            }
        }
        open(bound)
    }

    /// What real recipes come to, if they keep the limits.
    fn worth_of(&self, chosen: &Chosen<'a>) -> Option<Worth> {
        let (problem, plan) = posed(self.pool, chosen);
        let score = problem.score(&plan);
        let unmet = problem.flies() - self.demand.flies.iter().sum::<u32>();
        (score.beyond == 0).then_some((score.missing - unmet.min(score.missing), score.outlay))
    }

    /// A recipe of every set of supplies that a box cheap enough could use for a need at a level; with `whole` also of those
    /// that hold another. `None` when there are too many, or the search was stopped.
    fn sets_of(&self, (i, level): (usize, &Level), whole: bool) -> Option<Vec<Fly<'a>>> {
        let (shares, supplies) = (self.known.shares, &self.demand.supplies);
        let opening = |p: usize| {
            let sure = self.demand.from_stock[i][p] <= 0.0;
            let all = shares.charges[i][p] + self.demand.slack(shares, p).max(0.0);
            let token = if matches!(supplies[p].kind, Kind::Wire | Kind::Foam) { TOKEN } else { 0.0 };
            Rate { use_of_it: if sure { all * 1e6 * FINE } else { 0.0 }, each: token * 1e6 * FINE }
        };
        let most = self.known.most[i];
        if most < 0.0 {
            return Some(Vec::new());
        }
        let most = Money::from_micros((most * 1e6 * FINE) as i64);
        let tariff = Tariff::Rates(tariff(self.pool, opening));
        let variety = if whole { Variety::Supplies } else { Variety::FewestSupplies };
        let patience = Patience::new(self.observer, self.most.judged, self.most.rounds());
        let until = Until { observer: &patience, most, past: AtomicBool::new(false) };
        let wish = Wish { top: self.most.sets, variety };
        let found = self.pool.search(&level.target, &tariff, wish, &until);
        let complete = found.proven() || until.past.load(Ordering::Relaxed);
        let listed: Vec<Fly> = found.candidates.iter().filter(|c| c.price <= most).map(|c| c.fly).collect();
        (complete && listed.len() < self.most.sets).then_some(listed)
    }

    /// Recipes of a set that no other of it undercuts, for the needs that it serves; `None` when there are too many to look at.
    fn walked(&self, set: &Column<'a>) -> Option<Vec<Column<'a>>> {
        let needs: Vec<usize> = (0..set.flies.len()).filter(|i| set.flies[*i].is_some()).collect();
        let mut found: Vec<Column<'a>> = Vec::new();
        for i in &needs {
            let fly = set.flies[*i].as_ref()?;
            let narrow = same_supplies(&self.pool.order.needs[*i].target, fly)?;
            let mut walked = 0_u64;
            walk(self.pool.catalog, &narrow, &mut |fly| {
                walked += 1;
                let takes = self.pool.supplies.takes(fly, self.pool.order);
                let best = |c: &Column, j: &usize| c.flies[*j].is_some() && no_more(&c.enough[*j], &set.enough[*j]);
                if !found.iter().any(|c| needs.iter().all(|j| best(c, j)) && thriftier(&c.takes, &takes)) {
                    found.extend(self.real(fly, takes, set, &found));
                }
                walked < MOST_WALKED && !(walked.is_multiple_of(8) && self.observer.stop())
            });
            if walked >= MOST_WALKED || self.observer.stop() {
                return None;
            }
        }
        Some(found)
    }

    /// A recipe as a column, unless others of its set do as well.
    fn real(&self, fly: &Fly<'a>, takes: Vec<Take>, set: &Column, found: &[Column<'a>]) -> Option<Column<'a>> {
        let of_need = |i: usize| set.flies[i].and_then(|_| self.pool.service(fly, i));
        let served: Vec<Option<Service>> = (0..set.flies.len()).map(of_need).collect();
        let covers = |c: &Column| {
            let as_well = |(i, service): (usize, &Option<Service>)| match service {
                Some(service) => c.flies[i].is_some() && no_more(&c.enough[i], &service.enough),
                None => true,
            };
            served.iter().enumerate().all(as_well) && thriftier(&c.takes, &takes)
        };
        if served.iter().all(Option::is_none) || found.iter().any(covers) {
            return None;
        }
        let flies = served.iter().map(|s| s.as_ref().map(|_| *fly)).collect();
        let enough = served.into_iter().map(|s| s.map_or_else(Vec::new, |s| s.enough)).collect();
        Some(Column { supplies: set.supplies.clone(), takes, flies, enough, real: true })
    }

    /// No more of each part than any recipe with the supplies of this one takes.
    fn at_least(&self, i: usize, fly: &Fly<'a>) -> Vec<Take> {
        let order = self.pool.order;
        let mut takes = self.pool.supplies.takes(fly, order);
        for take in takes.iter_mut().filter(|take| !self.demand.supplies[take.supply].wish) {
            match self.demand.supplies[take.supply].kind {
                Kind::Wire => {
                    if let Some(wraps) = &fly.wraps {
                        let core = fly::wrap_core(fly.hook, fly.bead);
                        take.block =
                            fly::wire_length_um(wraps.wire, least_turns(wraps.wire), core) + order.allowance.ends_um();
                    }
                }
                Kind::Foam => {
                    let shortest = order.needs[i].target.grid.foam.micrometres().max(1).unsigned_abs();
                    let block = u64::from(shortest) + order.allowance.kerf_um();
                    *take = Take { block: (block / MOST_PIECES as u64).max(1), serves: 1, ..*take };
                }
                Kind::Hook | Kind::Bead | Kind::Pin | Kind::Dressing => {}
            }
        }
        takes
    }
}

/// The least that all flies of a need pay by the rates, and by charges on parts of which some are owned; `None` when stopped.
fn least_rest(pool: &Pool, demand: &Demand, (shares, i): (&Shares, usize), observer: &dyn Observer) -> Option<f64> {
    let flies = f64::from(demand.flies[i]);
    let rest = |p: usize| {
        let some = demand.from_stock[i][p] > 0.0;
        let charge = if some { shares.charges[i][p] } else { 0.0 };
        Rate { use_of_it: charge * 1e6 * FINE, each: shares.rates[p] * flies * 1e6 * FINE }
    };
    let matters = |p: usize| {
        let supply = &demand.supplies[p];
        shares.rates[p] * supply.pack as f64 > 0.001 * price(supply) || rest(p).use_of_it > 0.0
    };
    if demand.flies[i] == 0 || !(0..demand.supplies.len()).any(matters) {
        return Some(0.0);
    }
    let tariff = Tariff::Rates(tariff(pool, rest));
    let wish = Wish { top: 1, variety: Variety::FewestSupplies };
    least_among(pool, &pool.order.needs[i].target, &tariff, wish, observer).map(|(least, _)| least)
}

#[derive(Default)]
struct Columns<'a> {
    list: Vec<Column<'a>>,
}

impl<'a> Columns<'a> {
    /// Lists the sets of a need, those of the surest recipes first; how many there are. `None` when there are too many.
    fn list_for(&mut self, listing: &Listing<'_, '_, 'a>, i: usize, whole: bool) -> Option<usize> {
        let mut count = 0;
        for level in &listing.demand.levels[i] {
            let found = listing.sets_of((i, level), whole)?;
            count += found.len();
            found.into_iter().for_each(|fly| self.add(listing, (i, level), fly));
        }
        Some(count)
    }

    /// One column for all needs that a set serves. Of the levels of a need the first in which it is listed counts: it takes
    /// the fewest flies.
    fn add(&mut self, listing: &Listing<'_, '_, 'a>, (i, level): (usize, &Level), fly: Fly<'a>) {
        let takes = listing.at_least(i, &fly);
        let supplies: Vec<usize> = takes.iter().map(|t| t.supply).collect();
        let same = |c: &Column| c.supplies == supplies;
        if self.list.iter().any(|c| same(c) && c.flies[i].is_some()) {
            return;
        }
        let needs = listing.demand.flies.len();
        let (flies, enough) = (vec![None; needs], vec![Vec::new(); needs]);
        let mut column = Column { supplies: supplies.clone(), takes, flies, enough, real: false };
        column.flies[i] = Some(fly);
        column.enough[i].clone_from(&level.enough);
        // A set that was walked through for others is a set again.
        while let Some(known) = self.list.iter().position(same) {
            let known = self.list.swap_remove(known);
            for (j, (fly, enough)) in known.flies.into_iter().zip(known.enough).enumerate() {
                if fly.is_some() && column.flies[j].is_none() {
                    column.flies[j] = fly;
                    column.enough[j] = enough;
                } else if fly.is_some() {
                    column.enough[j].iter_mut().zip(enough).for_each(|(mine, other)| *mine = (*mine).min(other));
                }
            }
            if !known.real {
                // The least of both: foam may be cut to a finer step for one need.
                for (mine, other) in column.takes.iter_mut().zip(known.takes) {
                    mine.block = mine.block.min(other.block);
                }
            }
        }
        self.list.push(column);
    }

    fn problem(&self, listing: &Listing<'_, '_, 'a>) -> Problem {
        let need = |i: usize| {
            let ways: Vec<usize> = (0..self.list.len()).filter(|c| self.list[*c].flies[i].is_some()).collect();
            let least = listing.pool.order.needs[i].least.min(listing.demand.flies[i]);
            let enough = ways.iter().map(|c| self.list[*c].enough[i].clone()).collect();
            Need { flies: listing.demand.flies[i], least, narrowness: vec![0; ways.len()], ways, enough }
        };
        Problem {
            needs: (0..listing.demand.flies.len()).map(need).collect(),
            ways: self.list.iter().map(|c| Way { takes: c.takes.clone() }).collect(),
            supplies: listing.demand.supplies.clone(),
            limits: listing.pool.order.limits,
            budget: listing.known.budget,
            each_recipe: listing.pool.order.on_top.recipe,
        }
    }

    fn used(&self, problem: &Problem, solved: &Solved) -> impl Iterator<Item = usize> {
        let tied = problem.bill(&solved.plan).tied;
        (0..self.list.len()).filter(move |c| tied[*c] > 0)
    }

    /// Recipes of the sets that a plan uses: one for all needs of a set where one of those known serves them all.
    fn chosen(&self, pool: &Pool, problem: &Problem, solved: &Solved) -> Chosen<'a> {
        let mut chosen: Chosen<'a> = Vec::new();
        for column in self.used(problem, solved) {
            let set = &self.list[column];
            let count = |i: usize| {
                let place = problem.needs[i].ways.iter().position(|w| *w == column);
                place.map_or(0, |place| solved.plan[i][place])
            };
            let counts: Vec<u32> = (0..problem.needs.len()).map(count).collect();
            let needs: Vec<usize> = (0..counts.len()).filter(|i| counts[*i] > 0).collect();
            let flies: Vec<(usize, Fly)> = needs.iter().filter_map(|i| Some((*i, set.flies[*i]?))).collect();
            let serves_all = |fly: &Fly| needs.iter().all(|i| pool.service(fly, *i).is_some());
            match flies.iter().find(|(_, fly)| set.real || needs.len() == 1 || serves_all(fly)) {
                Some((_, fly)) => chosen.push((*fly, counts)),
                None => chosen.extend(flies.into_iter().map(|(i, fly)| {
                    let mut own = vec![0; counts.len()];
                    own[i] = counts[i];
                    (fly, own)
                })),
            }
        }
        chosen
    }
}

/// The problem of some recipes, and the plan that ties them so.
pub(super) fn posed(pool: &Pool, chosen: &Chosen) -> (Problem, Plan) {
    let ways = chosen.iter().map(|(fly, _)| Way { takes: pool.supplies.takes(fly, pool.order) }).collect();
    let all: Vec<usize> = (0..chosen.len()).collect();
    let enough =
        |i, fly, tied| if tied > 0 { pool.service(fly, i).map_or_else(Vec::new, |s| s.enough) } else { Vec::new() };
    let needs = pool.order.needs.iter().enumerate().map(|(i, need)| Need {
        flies: need.flies_wanted(),
        least: need.least,
        narrowness: vec![0; all.len()],
        ways: all.clone(),
        enough: chosen.iter().map(|(fly, counts)| enough(i, fly, counts[i])).collect(),
    });
    let plan = (0..pool.order.needs.len()).map(|i| chosen.iter().map(|(_, counts)| counts[i]).collect()).collect();
    let supplies = pool.supplies.list.clone();
    let limits = pool.order.limits;
    let each_recipe = pool.order.on_top.recipe;
    (Problem { needs: needs.collect(), ways, supplies, limits, budget: None, each_recipe }, plan)
}
