//! What one fly costs in material: exact decimal money.

use super::{Fly, FoamPiece, FrontMount};
use crate::part::{Bead, Hook, Kind, Wire};
use crate::quantity::Money;
use crate::shape::wrap::CloseWound;

/// Cost of one part in one fly.
#[derive(Debug, Clone, PartialEq)]
pub struct PartCost {
    /// Kind of part.
    pub kind: Kind,
    /// Part id.
    pub id: String,
    /// Amount taken from a pack: pieces, or micrometres of stock.
    pub amount: u64,
    /// Its price, rounded half up to a millionth of the currency.
    pub price: Money,
}

/// Diameter of what the wraps are wound on, m: the hook wire, and a pin bound beside it.
#[must_use]
pub fn wrap_core(hook: &Hook, bead: Option<(&Bead, FrontMount)>) -> f64 {
    let pin = match bead {
        Some((_, FrontMount::Pin(pin, _))) => pin.diameter,
        _ => 0.0,
    };
    hook.wire_diameter + pin
}

/// Length of wire in so many turns, whole micrometres, rounded up.
#[must_use]
pub fn wire_length_um(wire: &Wire, turns: u32, core: f64) -> u64 {
    let length = CloseWound { turns: f64::from(turns), wire: wire.diameter, core }.length();
    (length * 1e6).ceil() as u64
}

/// Cost of every part of one fly, in tying order.
#[must_use]
pub fn costs(fly: &Fly) -> Vec<PartCost> {
    let piece =
        |kind, row: &crate::part::Row| PartCost { kind, id: row.id.clone(), amount: 1, price: row.pack.price_of(1) };
    let mut list = vec![piece(Kind::Hook, &fly.hook.row)];
    if let Some((bead, mount)) = fly.bead {
        list.push(piece(Kind::Bead, &bead.row));
        if let FrontMount::Pin(pin, _) = mount {
            list.push(piece(Kind::Pin, &pin.row));
        }
    }
    if let Some(wraps) = &fly.wraps {
        let amount = wire_length_um(wraps.wire, wraps.turns, wrap_core(fly.hook, fly.bead));
        let price = wraps.wire.row.pack.price_of(amount);
        list.push(PartCost { kind: Kind::Wire, id: wraps.wire.row.id.clone(), amount, price });
    }
    if let Some(piece) = &fly.foam {
        let amount = foam_length_um(piece);
        let price = foam_price(piece);
        list.push(PartCost { kind: Kind::Foam, id: piece.foam.row.id.clone(), amount, price });
    }
    list.push(piece(Kind::Dressing, &fly.dressing.row));
    list
}

/// Length of a piece, whole micrometres.
#[must_use]
pub fn foam_cut_um(piece: &FoamPiece) -> u64 {
    u64::from(piece.length.micrometres().max(0).unsigned_abs())
}

/// Micrometres of stock that a piece uses: its share of the whole section, rounded up.
#[must_use]
pub fn foam_length_um(piece: &FoamPiece) -> u64 {
    foam_cut_um(piece).div_ceil(piece.cut.pieces())
}

/// Price of a piece of foam.
#[must_use]
pub fn foam_price(piece: &FoamPiece) -> Money {
    piece.foam.row.pack.price_of(foam_length_um(piece))
}

/// Cost of one fly in material.
#[must_use]
pub fn total_cost(fly: &Fly) -> Money {
    costs(fly).into_iter().fold(Money::ZERO, |sum, c| sum + c.price)
}
