//! What a catalog sells and a guide owns, numbered. Where each different part counts on top, a second number for each part
//! stands for that: one pack of it, at that price, is enough for any box.

use super::problem::{ENDLESS, Supply, Take, price_step};
use super::spec::BoxOrder;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::part::Kind;
use crate::purchase::{PartId, uses};
use crate::quantity::Money;
use std::collections::BTreeMap;

/// Every part of a catalog, by number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Supplies {
    /// The part of each number.
    pub(super) parts: Vec<PartId>,
    /// How it is sold and how much is owned.
    pub(super) list: Vec<Supply>,
    /// How many of them are real: the number of what a part counts on top is so much higher than its own.
    real: usize,
    each_recipe: Money,
    index: BTreeMap<PartId, usize>,
}

impl Supplies {
    pub(super) fn new(order: &BoxOrder, catalog: &Catalog) -> Self {
        let rows = Kind::ALL.into_iter().flat_map(|kind| catalog.rows(kind).into_iter().map(move |row| (kind, row)));
        let (mut parts, mut list): (Vec<PartId>, Vec<Supply>) = rows
            .map(|(kind, row)| {
                let part = PartId::new(kind, &row.id);
                let owned = order.owned.get(&part);
                let price = row.pack.price.max(Money::ZERO);
                (part, Supply { kind, owned, pack: row.pack.unit.content().max(1), price, wish: false })
            })
            .unzip();
        let index = parts.iter().cloned().zip(0..).collect();
        let real = parts.len();
        if order.on_top.part > Money::ZERO {
            parts.extend_from_within(..);
            let wish = |s: &Supply| Supply { owned: 0, pack: ENDLESS, price: order.on_top.part, wish: true, ..*s };
            list.extend(list.clone().iter().map(wish));
        }
        Self { parts, list, real, each_recipe: order.on_top.recipe, index }
    }

    /// What a fly takes, each supply once, by number.
    pub(super) fn takes(&self, fly: &Fly, order: &BoxOrder) -> Vec<Take> {
        let mut takes: Vec<Take> = uses(fly, order.allowance)
            .iter()
            .filter_map(|used| {
                let supply = *self.index.get(&used.part)?;
                Some(Take { supply, block: used.block.max(1), serves: used.serves.max(1) })
            })
            .collect();
        if self.list.len() > self.real {
            let parts = takes.clone().into_iter().filter(|take| self.list[take.supply].kind != Kind::Dressing);
            takes.extend(parts.map(|take| Take { supply: self.real + take.supply, block: 1, serves: 1 }));
        }
        takes.sort_unstable_by_key(|take| take.supply);
        takes
    }

    /// The largest amount of which all prices are whole multiples, millionths: outlays come in such steps.
    pub(super) fn price_step(&self) -> i64 {
        price_step(self.list.iter().map(|s| s.price).chain([self.each_recipe]))
    }
}
