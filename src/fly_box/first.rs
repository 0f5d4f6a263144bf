//! The first recipes of each need, from the exact search; needs that no recipe meets are found out here.

use super::common::add_common;
use super::narrowed::only;
use super::plan::Standing;
use super::planner::Planner;
use super::rightness::levels;
use super::spec::BoxNeed;
use crate::part::Kind;
use crate::quantity::Money;
use crate::search::explain::explain;
use crate::search::patience::Patience;
use crate::search::rank::Variety;
use crate::search::tariff::{PackTariff, Tariff};
use crate::search::{Found, Wish};
use crate::wanted::Target;

/// Recipes judged, and rounds of nodes, before a list is cut short.
const MOST_JUDGED: u64 = 50_000;
const MOST_ROUNDS: u64 = 1_000;

impl<'a> Planner<'_, 'a> {
    /// Lists recipes for every need, and what is known of each then.
    pub(super) fn first_lists(&mut self) -> Vec<Standing<'a>> {
        let standings: Vec<Standing> = (0..self.order.needs.len()).map(|n| self.first_list(n)).collect();
        let met = |n: &usize| standings[*n] == Standing::Met && self.order.needs[*n].right > 0;
        let needs: Vec<usize> = (0..standings.len()).filter(met).collect();
        let too_few = self.order.limits.recipes.is_some_and(|most| (most as usize) < needs.len());
        if too_few || self.order.on_top.recipe > Money::ZERO {
            add_common(&mut self.pool, &needs, &self.order.owned, self.observer);
        }
        standings
    }

    fn first_list(&mut self, n: usize) -> Standing<'a> {
        let order = self.order;
        let need = &order.needs[n];
        if need.right == 0 {
            return Standing::Met;
        }
        let wish = Wish { top: self.effort.listed, variety: Variety::Parts };
        let found = self.listed(&need.target, &Tariff::Material, wish);
        let none = found.candidates.is_empty();
        if none && found.proven() {
            return Standing::Impossible(Box::new(explain(self.catalog, &need.target, self.observer)));
        }
        found.candidates.into_iter().for_each(|c| _ = self.pool.add(c.fly));
        if none {
            // However long it takes: without a recipe there is no box.
            let first = Wish { top: 1, variety: Variety::Every };
            let found = self.pool.search(&need.target, &Tariff::Material, first, self.observer);
            if found.candidates.is_empty() && found.proven() {
                return Standing::Impossible(Box::new(explain(self.catalog, &need.target, self.observer)));
            }
            found.candidates.into_iter().for_each(|c| _ = self.pool.add(c.fly));
        }
        for level in levels(need) {
            let packs = self.packs(level.flies);
            let found = self.listed(&level.target, &packs, wish);
            found.candidates.into_iter().for_each(|c| _ = self.pool.add(c.fly));
        }
        self.list_by_part(n, need);
        if self.pool.serves(n) { Standing::Met } else { Standing::Stopped }
    }

    fn packs(&self, flies: u32) -> Tariff {
        Tariff::Packs(PackTariff::new(flies, self.order.owned.clone(), self.order.allowance))
    }

    fn listed(&self, target: &Target, tariff: &Tariff, wish: Wish) -> Found<'a> {
        let patience = Patience::new(self.observer, MOST_JUDGED, MOST_ROUNDS);
        self.pool.search(target, tariff, wish, &patience)
    }

    fn list_by_part(&mut self, n: usize, need: &BoxNeed) {
        let few = Wish { top: 3, variety: Variety::FewestSupplies };
        let packs = self.packs(need.flies_wanted());
        for target in self.by_part(&need.target) {
            for candidate in self.listed(&target, &packs, few).candidates {
                self.pool.add_for(n, candidate.fly);
            }
        }
    }

    /// Where hooks, beads or foams are limited, the target once for each of them: what one of them can do for all needs.
    fn by_part(&self, target: &Target) -> Vec<Target> {
        let mut targets = Vec::new();
        for kind in [Kind::Hook, Kind::Bead, Kind::Foam] {
            if self.order.limits.on(kind).is_some() {
                let none = (kind != Kind::Hook).then_some("none");
                let ids = self.catalog.rows(kind).into_iter().map(|row| row.id.as_str()).chain(none);
                targets.extend(ids.filter_map(|id| only(target, &[(kind, id)])));
            }
        }
        targets
    }
}
