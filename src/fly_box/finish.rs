//! From a plan to a box: recipes with the widest margins that cost no more, in the order of tying, and what is proven.

use super::made::Made;
use super::narrowed::same_supplies;
use super::plan::{BoxPlan, Different, MoreFlies, NeedResult, Obstacle, Proof, Standing, Tie};
use super::planner::{Planner, Proven};
use super::pool::{Service, no_more};
use crate::fly::Fly;
use crate::part::Kind;
use crate::purchase::{Amounts, ShoppingList, uses};
use crate::quantity::Money;
use crate::search::Wish;
use crate::search::patience::Patience;
use crate::search::rank::{Candidate, Variety};
use crate::search::tariff::{PackTariff, Tariff};
use std::collections::BTreeMap;

/// Recipes judged, and rounds of nodes, before the look for a wider margin is cut short.
const MOST_JUDGED: u64 = 5_000;
const MOST_ROUNDS: u64 = 50;

impl<'a> Planner<'_, 'a> {
    /// The plan as it is handed back.
    pub(super) fn finish(
        self,
        made: &Made<'a>,
        standings: Vec<Standing<'a>>,
        (obstacles, more): (Vec<Obstacle>, Vec<MoreFlies>),
        proven: Proven,
    ) -> BoxPlan<'a> {
        let ties = self.ties(made);
        let with_needs = standings.iter().zip(&self.order.needs);
        let met: u32 = with_needs.filter(|(s, _)| **s == Standing::Met).map(|(_, need)| need.flies_wanted()).sum();
        let needs: Vec<NeedResult> = standings
            .into_iter()
            .enumerate()
            .map(|(n, standing)| NeedResult {
                wanted: self.order.needs[n].flies_wanted(),
                reached: made.problem.needs[n].right(&made.plan[n]),
                tied: made.plan[n].iter().sum(),
                standing,
            })
            .collect();
        let needed = Amounts::of(ties.iter().map(|tie| (&tie.fly, tie.total())), self.order.allowance);
        let shopping = ShoppingList::new(&needed, &self.order.owned, self.catalog);
        let missing = met - needs.iter().map(|need| need.reached).sum::<u32>().min(met);
        let different = Different {
            recipes: u32::try_from(ties.len()).unwrap_or(u32::MAX),
            parts: u32::try_from(needed.iter().filter(|(part, n)| part.kind != Kind::Dressing && *n > 0).count())
                .unwrap_or(u32::MAX),
        };
        let counted = shopping.outlay + self.order.on_top.of(different.recipes, different.parts);
        let best = proven.bound.is_some_and(|bound| (proven.least_missing, bound) >= (missing, counted));
        let best = best && needs.iter().all(|need| need.standing != Standing::Stopped);
        let proof = Proof {
            recipes: self.pool.judged(),
            least_missing: proven.least_missing,
            bound: proven.bound,
            best,
            stopped: self.stop() && !best,
            worked_out: (self.enough() && !self.stop() && !best).then(|| self.effort.factor()),
            nodes: made.nodes,
        };
        BoxPlan { ties: in_batches(ties), needs, shopping, different, counted, obstacles, more, proof }
    }

    fn ties(&self, made: &Made<'a>) -> Vec<Tie<'a>> {
        let mut room = made.left_over(&self.pool.supplies.parts);
        let mut tied: Vec<(Fly<'a>, Vec<u32>)> = Vec::new();
        for (way, fly) in made.flies.iter().enumerate() {
            let flies: Vec<u32> = (0..self.order.needs.len()).map(|n| made.flies_in(n, way)).collect();
            if flies.iter().sum::<u32>() == 0 {
                continue;
            }
            let one = tied
                .iter()
                .enumerate()
                .find_map(|(i, other)| self.in_one(other, &(*fly, flies.clone()), &mut room).map(|one| (i, one)));
            match one {
                Some((i, one)) => tied[i] = one,
                None => tied.push((*fly, flies)),
            }
        }
        tied.into_iter().map(|(fly, flies)| self.widened(fly, flies, &mut room)).collect()
    }

    /// One recipe of the same supplies in place of two, with no more flies tied and no more bought: `room` is left when all is
    /// tied as planned.
    fn in_one(
        &self,
        a: &(Fly<'a>, Vec<u32>),
        b: &(Fly<'a>, Vec<u32>),
        room: &mut Amounts,
    ) -> Option<(Fly<'a>, Vec<u32>)> {
        let apart = a.1.iter().zip(&b.1).all(|(a, b)| *a == 0 || *b == 0);
        if !Variety::Supplies.alike(&a.0, &b.0) || !apart || self.stop() {
            return None;
        }
        let flies: Vec<u32> = a.1.iter().zip(&b.1).map(|(a, b)| a + b).collect();
        let needs: Vec<usize> = (0..flies.len()).filter(|i| flies[*i] > 0).collect();
        let of_need = |i: usize| if a.1[i] > 0 { &a.0 } else { &b.0 };
        let before: Vec<Service> = needs.iter().map(|i| self.pool.service(of_need(*i), *i)).collect::<Option<_>>()?;
        let as_right = |fly: &Fly| {
            needs.iter().zip(&before).all(|(i, before)| {
                self.pool.service(fly, *i).is_some_and(|service| no_more(&service.enough, &before.enough))
            })
        };
        let mut free = room.clone();
        for (fly, flies) in [a, b] {
            for used in uses(fly, self.order.allowance) {
                free.add(used.part.clone(), used.amount(flies.iter().sum()));
            }
        }
        let total = flies.iter().sum();
        let target = same_supplies(&self.order.needs[needs[0]].target, &a.0)?;
        let tariff = Tariff::Packs(PackTariff::new(total, free.clone(), self.order.allowance));
        let patience = Patience::new(self.observer, MOST_JUDGED, MOST_ROUNDS);
        let wish = Wish { top: 1, variety: Variety::Every };
        let found = self.pool.search_accepted(&target, &tariff, wish, &as_right, &patience);
        let one = found.candidates.first().filter(|one| one.price <= Money::ZERO)?.fly;
        for used in uses(&one, self.order.allowance) {
            let left = free.get(&used.part).saturating_sub(used.amount(total));
            free.set(used.part, left);
        }
        *room = free;
        Some((one, flies))
    }

    /// A recipe of the same parts with a wider margin and as many right flies, where that takes no more than `room`, which is
    /// left when all is tied as planned.
    fn widened(&self, fly: Fly<'a>, flies: Vec<u32>, room: &mut Amounts) -> Tie<'a> {
        let held = |fly: &Fly| -> Option<Vec<Service>> {
            let tied = (0..flies.len()).filter(|i| flies[*i] > 0);
            tied.map(|i| self.pool.service(fly, i)).collect()
        };
        let narrowest = |services: &[Service]| services.iter().map(|s| s.margin).fold(1.0_f64, f64::min);
        let before = held(&fly).unwrap_or_default();
        let mut best = (fly, narrowest(&before));
        let total: u32 = flies.iter().sum();
        for used in uses(&fly, self.order.allowance) {
            room.add(used.part.clone(), used.amount(total));
        }
        let first = flies.iter().position(|n| *n > 0).unwrap_or_default();
        if let Some(target) = same_supplies(&self.order.needs[first].target, &fly).filter(|_| !self.stop()) {
            let tariff = Tariff::Packs(PackTariff::new(total, room.clone(), self.order.allowance));
            let wish = Wish { top: 12, variety: Variety::Every };
            let patience = Patience::new(self.observer, MOST_JUDGED, MOST_ROUNDS);
            let list: Vec<Candidate> = self.pool.search(&target, &tariff, wish, &patience).candidates;
            // The list is in the order of outlay, then of margin in the first need.
            for candidate in list.iter().filter(|c| c.price <= Money::ZERO) {
                let Some(services) = held(&candidate.fly) else { continue };
                let as_right = services.iter().zip(&before).all(|(new, old)| no_more(&new.enough, &old.enough));
                let margin = narrowest(&services);
                if as_right && margin > best.1 {
                    best = (candidate.fly, margin);
                }
            }
        }
        for used in uses(&best.0, self.order.allowance) {
            let left = room.get(&used.part).saturating_sub(used.amount(total));
            room.set(used.part, left);
        }
        let serves = (0..self.order.needs.len()).map(|i| self.pool.service(&best.0, i).is_some()).collect();
        Tie { fly: best.0, margin: best.1, flies, serves, batch: 0 }
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
