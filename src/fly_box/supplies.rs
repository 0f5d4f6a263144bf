//! What a catalog sells and a guide owns, numbered.

use super::problem::{Supply, Take};
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
    index: BTreeMap<PartId, usize>,
}

impl Supplies {
    pub(super) fn new(order: &BoxOrder, catalog: &Catalog) -> Self {
        let rows = Kind::ALL.into_iter().flat_map(|kind| catalog.rows(kind).into_iter().map(move |row| (kind, row)));
        let (parts, list): (Vec<PartId>, Vec<Supply>) = rows
            .map(|(kind, row)| {
                let part = PartId::new(kind, &row.id);
                let owned = order.owned.get(&part);
                let price = row.pack.price.max(Money::ZERO);
                (part, Supply { kind, owned, pack: row.pack.unit.content().max(1), price })
            })
            .unzip();
        let index = parts.iter().cloned().zip(0..).collect();
        Self { parts, list, index }
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
        takes.sort_unstable_by_key(|take| take.supply);
        takes
    }

    /// The largest amount of which all prices are whole multiples, millionths: outlays come in such steps.
    pub(super) fn price_step(&self) -> i64 {
        price_step(&self.list)
    }
}

/// The largest amount of which the prices of all these are whole multiples, millionths.
pub(super) fn price_step(supplies: &[Supply]) -> i64 {
    let gcd = |mut a: i64, mut b: i64| {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    supplies.iter().map(|s| s.price.micros().max(0)).fold(0, gcd).max(1)
}
