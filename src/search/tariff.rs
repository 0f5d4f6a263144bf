//! What counts as the price of a recipe in a search: material used, or money out of the pocket.
//!
//! A price is a sum over parts of a charge that never falls as the amount grows. That is all the bounds of the search use,
//! so a search by any tariff is exact.

use crate::fly::{Fly, FrontMount, foam_cut_um, wire_length_um, wrap_core};
use crate::part::{Dressing, Kind, Pack, Row};
use crate::purchase::{Allowance, Amounts, PartId, PartUse, packs_for};
use crate::quantity::Money;
use std::collections::BTreeMap;

/// What counts as the price of a recipe.
#[derive(Debug, Clone, PartialEq, Default)]
pub enum Tariff {
    /// Material used in one fly.
    #[default]
    Material,
    /// Whole packs to buy today.
    Packs(PackTariff),
    /// So much for the use of a part, and so much for each amount of it.
    Rates(RateTariff),
}

/// So much for the use of each part, and so much for each piece or micrometre of it, lost ones included. A part without
/// rates costs nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RateTariff {
    /// Rates of parts.
    pub rates: BTreeMap<PartId, Rate>,
    /// What is lost at the bench.
    pub allowance: Allowance,
}

/// What a part costs, none below 0.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Rate {
    /// For any use of it, millionths.
    pub use_of_it: f64,
    /// For each piece or micrometre, millionths. A piece split off a block bears its share of the block.
    pub each: f64,
}

/// Whole packs to buy for so many flies of one recipe, less what is owned.
#[derive(Debug, Clone, PartialEq)]
pub struct PackTariff {
    /// Flies to tie.
    pub flies: u32,
    /// What is there already.
    pub owned: Amounts,
    /// What is lost at the bench.
    pub allowance: Allowance,
    /// Prices of packs that count instead of the catalog's.
    pub prices: BTreeMap<PartId, Money>,
}

impl PackTariff {
    /// At the catalog's prices.
    #[must_use]
    pub fn new(flies: u32, owned: Amounts, allowance: Allowance) -> Self {
        Self { flies, owned, allowance, prices: BTreeMap::new() }
    }
}

/// What amounts of one part cost.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Charge {
    pack: Pack,
    basis: Basis,
}

/// How amounts are charged.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Basis {
    Material,
    Packs(WholePacks),
    /// Rates, and micrometres lost with each length that is cut.
    Rates(Rate, u64),
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct WholePacks {
    flies: u32,
    owned: u64,
    /// Micrometres lost with each length that is cut.
    lost: u64,
}

impl Tariff {
    /// Whether the price is that of the material.
    #[must_use]
    pub fn is_material(&self) -> bool {
        *self == Self::Material
    }

    /// What amounts of a part cost.
    #[must_use]
    pub fn charge(&self, kind: Kind, row: &Row) -> Charge {
        let lost = |allowance: Allowance| match kind {
            Kind::Wire => allowance.ends_um(),
            Kind::Foam => allowance.kerf_um(),
            Kind::Hook | Kind::Bead | Kind::Pin | Kind::Dressing => 0,
        };
        let part = PartId::new(kind, &row.id);
        match self {
            Self::Material => Charge { pack: row.pack, basis: Basis::Material },
            Self::Packs(tariff) => {
                let price = tariff.prices.get(&part).copied().unwrap_or(row.pack.price);
                let owned = tariff.owned.get(&part);
                let packs = WholePacks { flies: tariff.flies, owned, lost: lost(tariff.allowance) };
                Charge { pack: Pack { price, ..row.pack }, basis: Basis::Packs(packs) }
            }
            Self::Rates(tariff) => {
                let rate = tariff.rates.get(&part).copied().unwrap_or_default();
                Charge { pack: row.pack, basis: Basis::Rates(rate, lost(tariff.allowance)) }
            }
        }
    }

    /// What a dressing costs; nothing where nothing is tied on.
    #[must_use]
    pub fn dressing(&self, dressing: &Dressing) -> Money {
        if !self.is_material() && dressing.components.is_empty() {
            return Money::ZERO;
        }
        self.charge(Kind::Dressing, &dressing.row).piece()
    }

    /// The price of a fly.
    #[must_use]
    pub fn price(&self, fly: &Fly) -> Money {
        let mut price = self.charge(Kind::Hook, &fly.hook.row).piece() + self.dressing(fly.dressing);
        if let Some((bead, mount)) = fly.bead {
            price = price + self.charge(Kind::Bead, &bead.row).piece();
            if let FrontMount::Pin(pin, _) = mount {
                price = price + self.charge(Kind::Pin, &pin.row).piece();
            }
        }
        if let Some(wraps) = &fly.wraps {
            let length = wire_length_um(wraps.wire, wraps.turns, wrap_core(fly.hook, fly.bead));
            price = price + self.charge(Kind::Wire, &wraps.wire.row).length(length, 1);
        }
        if let Some(piece) = &fly.foam {
            let charge = self.charge(Kind::Foam, &piece.foam.row);
            price = price + charge.length(foam_cut_um(piece), piece.cut.pieces() as u32);
        }
        price
    }
}

impl Charge {
    /// One piece for each fly.
    #[must_use]
    pub fn piece(&self) -> Money {
        self.length(1, 1)
    }

    /// A length of so many micrometres for each fly, of which stock gives `pieces` side by side.
    #[must_use]
    pub fn length(&self, micrometres: u64, pieces: u32) -> Money {
        match self.basis {
            Basis::Material => self.pack.price_of(micrometres.div_ceil(u64::from(pieces))),
            Basis::Packs(packs) => {
                let needed = PartUse::amount_of(micrometres + packs.lost, pieces, packs.flies);
                self.pack.price.share(packs_for(needed.saturating_sub(packs.owned), self.pack.unit), 1)
            }
            Basis::Rates(rate, lost) => {
                let amount = (micrometres + lost) as f64 / f64::from(pieces.max(1));
                Money::from_micros((rate.use_of_it + rate.each * amount).floor() as i64)
            }
        }
    }

    /// A bound from below that is easy to take the hull of: no length, cut side by side with others from stock that gives
    /// `pieces`, costs less than `sure`, nor less than `offset` + `per_m` x length; millionths and metres.
    #[must_use]
    pub fn least(&self, pieces: u32) -> LeastCharge {
        let price = self.pack.price.micros() as f64;
        let side_by_side = f64::from(pieces.max(1));
        let per_um = price / self.pack.unit.content().max(1) as f64;
        match self.basis {
            // Rounding half up takes at most half a millionth off.
            Basis::Material => LeastCharge { sure: 0.0, offset: -1.0, per_m: per_um * 1e6 / side_by_side },
            // Rounding down takes at most one millionth off.
            Basis::Rates(rate, lost) => LeastCharge {
                sure: rate.use_of_it.floor(),
                offset: rate.use_of_it + rate.each * lost as f64 / side_by_side * (1.0 - SLACK) - 1.0,
                per_m: rate.each * 1e6 / side_by_side * (1.0 - SLACK),
            },
            Basis::Packs(packs) => {
                let flies = f64::from(packs.flies);
                let lost = PartUse::amount_of(packs.lost, pieces, packs.flies);
                let owned = packs.owned as f64;
                LeastCharge {
                    sure: if lost >= packs.owned { price } else { 0.0 },
                    offset: per_um * (flies * packs.lost as f64 / side_by_side * (1.0 - SLACK) - owned * (1.0 + SLACK))
                        - price * SLACK
                        - 1.0,
                    per_m: per_um * 1e6 * flies / side_by_side * (1.0 - SLACK),
                }
            }
        }
    }
}

/// Relative slack for rounding.
const SLACK: f64 = 1e-9;

/// A lower bound on a charge, as two straight lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastCharge {
    sure: f64,
    offset: f64,
    per_m: f64,
}

impl LeastCharge {
    /// Holds for either.
    #[must_use]
    pub fn hull(self, other: Self) -> Self {
        Self {
            sure: self.sure.min(other.sure),
            offset: self.offset.min(other.offset),
            per_m: self.per_m.min(other.per_m),
        }
    }

    /// The line: millionths at no length, and per m.
    #[must_use]
    pub fn line(&self) -> (f64, f64) {
        (self.offset, self.per_m)
    }

    /// Least price of at least this length, whole millionths.
    #[must_use]
    pub fn at(&self, metres: f64) -> i64 {
        self.sure.max(self.offset + self.per_m * metres).floor() as i64
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::PackUnit;
    use proptest::prelude::*;

    fn rates(use_of_it: f64, each: f64, lost: u64) -> Charge {
        Charge { basis: Basis::Rates(Rate { use_of_it, each }, lost), ..charge(None, 0, lost, 1, 0) }
    }

    fn charge(flies: Option<u32>, owned: u64, lost: u64, content: u64, price: i64) -> Charge {
        Charge {
            pack: Pack { unit: PackUnit::Length(content), price: Money::from_micros(price) },
            basis: flies.map_or(Basis::Material, |flies| Basis::Packs(WholePacks { flies, owned, lost })),
        }
    }

    proptest! {
        #[test]
        fn charges_grow_and_the_bound_holds(
            flies in prop::option::of(1..40_u32), owned in prop_oneof![Just(0), 0..2_000_000_u64], lost in 0..30_000_u64,
            content in 1..5_000_000_u64, price in 0..9_000_000_i64, a in 1..400_000_u64, b in 1..400_000_u64,
            other in 0..9_000_000_i64,
        ) {
            let charge = match flies {
                Some(flies) if flies % 3 == 0 => rates(price as f64 * 0.37, owned as f64 * 1e-3, lost),
                _ => charge(flies, owned, lost, content, price),
            };
            let (short, long) = (a.min(b), a.max(b));
            prop_assert!(charge.length(short, 1) <= charge.length(long, 1));
            prop_assert!(charge.length(long, 4) <= charge.length(long, 1));
            for pieces in [2, 4, 8] {
                prop_assert!(charge.least(pieces).at(long as f64 * 1e-6) <= charge.length(long, pieces).micros());
            }
            let least = charge.least(1);
            prop_assert!(least.at(long as f64 * 1e-6) <= charge.length(long, 1).micros());
            let dearer = match charge.basis {
                Basis::Rates(rate, lost) => rates(other as f64, rate.each, lost),
                _ => Charge { pack: Pack { price: Money::from_micros(other), ..charge.pack }, ..charge },
            };
            let both = least.hull(dearer.least(1)).at(long as f64 * 1e-6);
            prop_assert!(both <= charge.length(long, 1).micros() && both <= dearer.length(long, 1).micros());
        }
    }
}
