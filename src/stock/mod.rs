//! What is on the bench: how many pieces, or what length, of each part is left.
//!
//! A stock file is YAML:
//!
//! ```yaml
//! stock:
//!   - {kind: bead, id: tungsten-3.5, count: 12}
//!   - {kind: foam, id: eva-cylinder-5mm, length: 0.35 m}
//! ```
//!
//! Hooks, beads, pins and dressings (flies' worth) are counted; wire and foam have a length. Where a stock names no dressing
//! at all they are not counted: few people count fur. Booking out never goes below zero, and a file is replaced in one step: its
//! comments and everything else in it stay as they are.

mod file;
mod rows;

pub use file::{StockFile, StockFileError, schema, with_packs};
pub use rows::{StockRow, amount_text, read_rows};

use crate::catalog::Catalog;
use crate::part::{Kind, Row};
use crate::purchase::{Amounts, PartId};
use thiserror::Error;

/// One part of which there is too little.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Shortage {
    /// The part.
    pub part: PartId,
    /// Pieces or micrometres needed.
    pub needed: u64,
    /// Pieces or micrometres left.
    pub left: u64,
}

/// The stock does not hold what was to be taken; nothing was.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("the stock falls short: {}", shortages.iter().map(short_text).collect::<Vec<_>>().join("; "))]
pub struct StockShort {
    /// Every part that falls short.
    pub shortages: Vec<Shortage>,
}

fn short_text(short: &Shortage) -> String {
    let kind = short.part.kind;
    format!("{} needs {}, {} left", short.part, amount_text(kind, short.needed), amount_text(kind, short.left))
}

/// Whether dressings are counted: the stock names some.
#[must_use]
pub fn counts_dressings(stock: &Amounts) -> bool {
    stock.iter().any(|(part, _)| part.kind == Kind::Dressing)
}

/// What is left after taking `needed` out of `stock`.
///
/// # Errors
/// All parts of which there is too little.
pub fn take(stock: &Amounts, needed: &Amounts) -> Result<Amounts, StockShort> {
    let mut rest = stock.clone();
    let mut shortages = Vec::new();
    let counted = |part: &PartId| part.kind != Kind::Dressing || counts_dressings(stock);
    for (part, amount) in needed.iter().filter(|(part, _)| counted(part)) {
        let left = stock.get(part);
        match left.checked_sub(amount) {
            Some(remains) if amount > 0 => rest.set(part.clone(), remains),
            Some(_) => {}
            None => shortages.push(Shortage { part: part.clone(), needed: amount, left }),
        }
    }
    if shortages.is_empty() { Ok(rest) } else { Err(StockShort { shortages }) }
}

/// The catalog with only those hooks, beads, pins, wires and foams of which some is left. Dressings stay: they come with
/// the pattern.
#[must_use]
pub fn on_bench(catalog: &Catalog, stock: &Amounts) -> Catalog {
    let left = |kind: Kind, row: &Row| stock.get(&PartId::new(kind, &row.id)) > 0;
    let mut bench = catalog.clone();
    bench.hooks.retain(|part| left(Kind::Hook, &part.row));
    bench.beads.retain(|part| left(Kind::Bead, &part.row));
    bench.pins.retain(|part| left(Kind::Pin, &part.row));
    bench.wires.retain(|part| left(Kind::Wire, &part.row));
    bench.foams.retain(|part| left(Kind::Foam, &part.row));
    bench
}

/// The stock, with a lifetime's worth of every dressing where they are not counted.
#[must_use]
pub fn with_dressings(stock: &Amounts, catalog: &Catalog) -> Amounts {
    let mut all = stock.clone();
    if counts_dressings(stock) {
        return all;
    }
    catalog.dressings.iter().for_each(|part| all.add(PartId::new(Kind::Dressing, &part.row.id), u64::from(u32::MAX)));
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn amounts(list: &[u64]) -> Amounts {
        let mut amounts = Amounts::new();
        for (i, amount) in list.iter().enumerate() {
            amounts.add(PartId::new(Kind::Bead, &format!("b{i}")), *amount);
        }
        amounts
    }

    #[test]
    fn refuses_all_or_takes_all() {
        let stock = amounts(&[5, 2]);
        let error = take(&stock, &amounts(&[6, 1])).unwrap_err();
        assert_eq!(error.to_string(), "the stock falls short: bead `b0` needs 6, 5 left");
        assert_eq!(take(&stock, &amounts(&[5, 1])).unwrap(), amounts(&[0, 1]));
    }

    #[test]
    fn dressings_are_counted_where_some_are_named() {
        let fur = PartId::new(Kind::Dressing, "fur");
        let mut needed = amounts(&[1]);
        needed.add(fur.clone(), 3);
        assert_eq!(take(&amounts(&[5]), &needed).unwrap(), amounts(&[4]));
        let mut stock = amounts(&[5]);
        stock.add(fur, 2);
        assert!(take(&stock, &needed).is_err());
    }

    proptest! {
        #[test]
        fn taking_never_goes_below_zero(stock in prop::collection::vec(0..20_u64, 3), needed in prop::collection::vec(0..20_u64, 3)) {
            let enough = stock.iter().zip(&needed).all(|(s, n)| s >= n);
            match take(&amounts(&stock), &amounts(&needed)) {
                Ok(rest) => {
                    prop_assert!(enough);
                    for (i, (s, n)) in stock.iter().zip(&needed).enumerate() {
                        prop_assert_eq!(rest.get(&PartId::new(Kind::Bead, &format!("b{i}"))), s - n);
                    }
                }
                Err(short) => prop_assert!(!enough && short.shortages.iter().all(|s| s.needed > s.left)),
            }
        }
    }
}
