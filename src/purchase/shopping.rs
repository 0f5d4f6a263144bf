//! The shopping list: what is needed, what is there, whole packs for the rest, and what is left over.

use super::{Amounts, PartId};
use crate::catalog::Catalog;
use crate::part::{PackUnit, Row};
use crate::quantity::Money;

/// One part of a shopping list. Amounts are pieces, or micrometres of stock.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// The part.
    pub part: PartId,
    /// Its plain name.
    pub name: String,
    /// Needed in all.
    pub needed: u64,
    /// Owned before.
    pub owned: u64,
    /// Content of one pack.
    pub pack: PackUnit,
    /// Price of one pack.
    pub pack_price: Money,
    /// Packs to buy.
    pub packs: u64,
    /// Price of these packs.
    pub price: Money,
    /// Left when the flies are tied.
    pub left: u64,
}

/// What to buy for some flies.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShoppingList {
    /// Currency of all prices.
    pub currency: String,
    /// Every part that is needed, by kind and id; parts that are owned in full have no packs.
    pub lines: Vec<Line>,
    /// Price of all packs.
    pub outlay: Money,
}

/// Whole packs that hold `missing` pieces or micrometres.
#[must_use]
pub fn packs_for(missing: u64, pack: PackUnit) -> u64 {
    missing.div_ceil(pack.content().max(1))
}

impl ShoppingList {
    /// What to buy where so much is needed and so much is owned. Parts that the catalog does not hold are passed over.
    #[must_use]
    pub fn new(needed: &Amounts, owned: &Amounts, catalog: &Catalog) -> Self {
        let lines: Vec<Line> = needed
            .iter()
            .filter(|(_, amount)| *amount > 0)
            .filter_map(|(part, amount)| {
                let row = catalog.row(part.kind, &part.id)?;
                Some(line(part, amount, owned.get(part), row))
            })
            .collect();
        let outlay = lines.iter().map(|line| line.price).sum();
        Self { currency: catalog.currency.clone(), lines, outlay }
    }

    /// The lines with something to buy.
    pub fn to_buy(&self) -> impl Iterator<Item = &Line> {
        self.lines.iter().filter(|line| line.packs > 0)
    }
}

fn line(part: &PartId, needed: u64, owned: u64, row: &Row) -> Line {
    let pack = row.pack;
    let packs = packs_for(needed.saturating_sub(owned), pack.unit);
    let left = owned.saturating_add(packs.saturating_mul(pack.unit.content())).saturating_sub(needed);
    Line {
        part: part.clone(),
        name: row.name.clone(),
        needed,
        owned,
        pack: pack.unit,
        pack_price: pack.price,
        packs,
        price: pack.price.share(packs, 1),
        left,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::Cut;
    use crate::part::Kind;
    use crate::purchase::{Allowance, uses};
    use crate::quantity::Microns;
    use crate::recipe::{FoamUse, Recipe, Seat, WireUse};

    fn leech() -> Recipe {
        Recipe {
            hook: "streamer-8".into(),
            dressing: "fur-leech".into(),
            bead: None,
            wire: Some(WireUse { id: "copper-0.2mm".into(), turns: 10, start: Microns::new(0) }),
            foam: Some(FoamUse {
                id: "eva-cylinder-5mm".into(),
                cut: Cut::Half,
                length: Microns::new(11_500),
                seat: Seat::Tail,
            }),
        }
    }

    #[test]
    fn whole_packs_less_what_is_owned() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = leech();
        let fly = crate::fly::resolve(&recipe, &catalog).unwrap();
        let needed = Amounts::of([(&fly, 26)], Allowance::default());
        let mut owned = Amounts::new();
        owned.add(PartId::new(Kind::Hook, "streamer-8"), 1);
        owned.add(PartId::new(Kind::Bead, "brass-2.0"), 99);
        let list = ShoppingList::new(&needed, &owned, &catalog);

        let by_kind = |kind| list.lines.iter().find(|l| l.part.kind == kind).unwrap();
        let hooks = by_kind(Kind::Hook);
        assert_eq!((hooks.needed, hooks.owned, hooks.packs, hooks.left), (26, 1, 1, 0));
        let foam = by_kind(Kind::Foam);
        // 13 blocks of 11.5 mm and half a millimetre of saw cut from packs of 0.6 m.
        assert_eq!((foam.needed, foam.packs, foam.left), (13 * 12_000, 1, 600_000 - 13 * 12_000));
        let wire = by_kind(Kind::Wire);
        assert_eq!(
            wire.needed,
            26 * (crate::fly::wire_length_um(catalog.wire("copper-0.2mm").unwrap(), 10, 0.75e-3) + 20_000)
        );
        let dressing = by_kind(Kind::Dressing);
        assert_eq!(dressing.packs, 26_u64.div_ceil(dressing.pack.content()));
        let by_hand: Money = list.lines.iter().map(|l| l.pack_price.share(l.packs, 1)).sum();
        assert_eq!(list.outlay, by_hand);
        assert!(list.to_buy().all(|l| l.part.kind != Kind::Bead));
    }

    #[test]
    fn a_bare_hook_needs_no_dressing() {
        let catalog = Catalog::built_in().unwrap();
        let recipe = Recipe { dressing: "bare".into(), ..leech() };
        let fly = crate::fly::resolve(&recipe, &catalog).unwrap();
        assert!(uses(&fly, Allowance::NONE).iter().all(|u| u.part.kind != Kind::Dressing));
    }
}
