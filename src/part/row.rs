//! What every catalog row carries besides its dimensions.

use crate::material::Provenance;
use crate::quantity::Money;
use std::fmt;

/// The kinds of purchasable parts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Kind {
    /// Hook, bare or with a moulded head.
    Hook,
    /// Bead.
    Bead,
    /// Pin that carries a bead ahead of the eye.
    Pin,
    /// Wire for wraps.
    Wire,
    /// Foam stock.
    Foam,
    /// Dressing pattern.
    Dressing,
}

impl Kind {
    /// All kinds, in the order in which a fly is tied.
    pub const ALL: [Self; 6] = [Self::Hook, Self::Bead, Self::Pin, Self::Wire, Self::Foam, Self::Dressing];

    /// The word used in catalogs, filters and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Hook => "hook",
            Self::Bead => "bead",
            Self::Pin => "pin",
            Self::Wire => "wire",
            Self::Foam => "foam",
            Self::Dressing => "dressing",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

/// What a pack holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PackUnit {
    /// So many pieces (hooks, beads, pins; flies' worth of dressing).
    Pieces(u32),
    /// So many micrometres of stock (wire, foam).
    Length(u64),
}

impl PackUnit {
    /// Pieces, or micrometres of stock.
    #[must_use]
    pub fn content(self) -> u64 {
        match self {
            Self::Pieces(pieces) => u64::from(pieces),
            Self::Length(micrometres) => micrometres,
        }
    }
}

/// One pack as the shop sells it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Pack {
    /// Content.
    pub unit: PackUnit,
    /// Price of the whole pack.
    pub price: Money,
}

impl Pack {
    /// Price of `amount` (pieces, or micrometres of stock), rounded half up to a millionth of the currency.
    #[must_use]
    pub fn price_of(&self, amount: u64) -> Money {
        self.price.share(amount, self.unit.content())
    }
}

/// Identity, price and provenance of a catalog row.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Stable id, unique within its kind.
    pub id: String,
    /// Plain description; generic, no brand.
    pub name: String,
    /// Pack and price.
    pub pack: Pack,
    /// Where the dimensions come from.
    pub provenance: Provenance,
}
