//! How much of each part a number of flies takes.

use crate::fly::{self, Fly, FrontMount};
use crate::part::{Kind, Row};
use crate::quantity::Microns;
use std::collections::BTreeMap;
use std::fmt;

/// A part of a catalog, by kind and id. Ids are unique within a kind only.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct PartId {
    /// Kind.
    pub kind: Kind,
    /// Id.
    pub id: String,
}

impl PartId {
    /// Of this kind, with this id.
    #[must_use]
    pub fn new(kind: Kind, id: &str) -> Self {
        Self { kind, id: id.to_owned() }
    }
}

impl fmt::Display for PartId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} `{}`", self.kind, self.id)
    }
}

/// What is lost at the bench besides what stays in the fly. Common practice, no source.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Allowance {
    /// Length of foam lost with every block that is cut off.
    pub kerf: Microns,
    /// Length of wire held in the fingers and cut off, per fly.
    pub wire_ends: Microns,
}

impl Default for Allowance {
    /// Half a millimetre of foam to a cut, 20 mm of wire to a fly.
    fn default() -> Self {
        Self { kerf: Microns::new(500), wire_ends: Microns::new(20_000) }
    }
}

impl Allowance {
    /// Nothing is lost.
    pub const NONE: Self = Self { kerf: Microns::new(0), wire_ends: Microns::new(0) };

    /// Micrometres of foam lost with every block.
    #[must_use]
    pub fn kerf_um(self) -> u64 {
        u64::from(self.kerf.micrometres().max(0).unsigned_abs())
    }

    /// Micrometres of wire lost with every fly.
    #[must_use]
    pub fn ends_um(self) -> u64 {
        u64::from(self.wire_ends.micrometres().max(0).unsigned_abs())
    }
}

/// What one recipe takes of one part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartUse {
    /// The part.
    pub part: PartId,
    /// Pieces or micrometres that are cut at a time.
    pub block: u64,
    /// Flies that one block serves.
    pub serves: u32,
}

impl PartUse {
    /// Pieces or micrometres for so many flies.
    #[must_use]
    pub fn amount(&self, flies: u32) -> u64 {
        Self::amount_of(self.block, self.serves, flies)
    }

    /// The same without a part: whole blocks, each of which serves some flies.
    #[must_use]
    pub fn amount_of(block: u64, serves: u32, flies: u32) -> u64 {
        u64::from(flies.div_ceil(serves.max(1))) * block
    }

    /// Pieces that are cut but not used: their block was split into more than so many flies need.
    #[must_use]
    pub fn spare(&self, flies: u32) -> u32 {
        flies.div_ceil(self.serves.max(1)) * self.serves.max(1) - flies
    }
}

/// What a fly takes of each part, in tying order. A dressing of nothing takes nothing.
#[must_use]
pub fn uses(fly: &Fly, allowance: Allowance) -> Vec<PartUse> {
    let piece = |kind, row: &Row| PartUse { part: PartId::new(kind, &row.id), block: 1, serves: 1 };
    let mut list = vec![piece(Kind::Hook, &fly.hook.row)];
    if let Some((bead, mount)) = fly.bead {
        list.push(piece(Kind::Bead, &bead.row));
        if let FrontMount::Pin(pin, _) = mount {
            list.push(piece(Kind::Pin, &pin.row));
        }
    }
    if let Some(wraps) = &fly.wraps {
        let wound = fly::wire_length_um(wraps.wire, wraps.turns, fly::wrap_core(fly.hook, fly.bead));
        let part = PartId::new(Kind::Wire, &wraps.wire.row.id);
        list.push(PartUse { part, block: wound + allowance.ends_um(), serves: 1 });
    }
    if let Some(piece) = &fly.foam {
        let part = PartId::new(Kind::Foam, &piece.foam.row.id);
        let block = fly::foam_cut_um(piece) + allowance.kerf_um();
        list.push(PartUse { part, block, serves: piece.cut.pieces() as u32 });
    }
    if !fly.dressing.components.is_empty() {
        list.push(piece(Kind::Dressing, &fly.dressing.row));
    }
    list
}

/// Amounts of parts: pieces, or micrometres of stock.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Amounts(BTreeMap<PartId, u64>);

impl Amounts {
    /// None of anything.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// What these flies take, so many of each.
    #[must_use]
    pub fn of<'f, 'c: 'f>(flies: impl IntoIterator<Item = (&'f Fly<'c>, u32)>, allowance: Allowance) -> Self {
        let mut amounts = Self::new();
        for (fly, count) in flies {
            for used in uses(fly, allowance) {
                let amount = used.amount(count);
                amounts.add(used.part, amount);
            }
        }
        amounts
    }

    /// Puts more of a part in.
    pub fn add(&mut self, part: PartId, amount: u64) {
        let held = self.0.entry(part).or_default();
        *held = held.saturating_add(amount);
    }

    /// How much there is of a part.
    #[must_use]
    pub fn get(&self, part: &PartId) -> u64 {
        self.0.get(part).copied().unwrap_or(0)
    }

    /// Replaces the amount of a part.
    pub fn set(&mut self, part: PartId, amount: u64) {
        self.0.insert(part, amount);
    }

    /// Parts and amounts, by kind and id.
    pub fn iter(&self) -> impl Iterator<Item = (&PartId, u64)> {
        self.0.iter().map(|(part, amount)| (part, *amount))
    }

    /// Whether nothing is listed.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn split_foam_is_cut_in_whole_blocks() {
        let quarter = PartUse { part: PartId::new(Kind::Foam, "rod"), block: 12_500, serves: 4 };
        assert_eq!([0, 1, 4, 5, 12].map(|n| quarter.amount(n)), [0, 12_500, 12_500, 25_000, 37_500]);
        assert_eq!([0, 1, 4, 5, 12].map(|n| quarter.spare(n)), [0, 3, 0, 3, 0]);
    }
}
