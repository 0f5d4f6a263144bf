//! Rows of owned parts, in a stock file or in a box.

use crate::catalog::Catalog;
use crate::document::{Diagnostics, Document, Path};
use crate::part::{Kind, PackUnit};
use crate::purchase::{Amounts, PartId};
use crate::quantity::Length;
use serde::Deserialize;

/// One row as it stands in the file.
#[derive(Debug, Clone, PartialEq, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StockRow {
    /// Kind of part.
    #[schemars(extend("enum" = Kind::ALL.map(Kind::word)))]
    pub kind: String,
    /// Part id.
    pub id: String,
    /// Pieces left.
    #[serde(default)]
    pub count: Option<u32>,
    /// Length left.
    #[serde(default)]
    pub length: Option<Length>,
}

/// Longest length that a row may hold, m.
const LONGEST_M: f64 = 1e6;

/// Checks rows against the catalog and adds them up; what is wrong goes to `faults`.
#[must_use]
pub fn read_rows(
    document: &Document,
    list: &Path,
    rows: &[StockRow],
    catalog: &Catalog,
    faults: &mut Diagnostics,
) -> Amounts {
    let mut amounts = Amounts::new();
    let mut seen: Vec<PartId> = Vec::new();
    for (index, row) in rows.iter().enumerate() {
        let path = list.index(index);
        let Some((part, amount)) = read_row(document, &path, row, catalog, faults) else { continue };
        if seen.contains(&part) {
            let problem = document.problem(&path.key("id"), format!("{part} has a row already"));
            faults.push(problem.help("keep one row for each part"));
            continue;
        }
        amounts.set(part.clone(), amount);
        seen.push(part);
    }
    amounts
}

fn read_row(
    document: &Document,
    path: &Path,
    row: &StockRow,
    catalog: &Catalog,
    faults: &mut Diagnostics,
) -> Option<(PartId, u64)> {
    let Some(kind) = Kind::ALL.into_iter().find(|k| k.word() == row.kind) else {
        let problem = document.problem(&path.key("kind"), format!("`{}` is no kind of part", row.kind));
        faults.push(problem.help("hook, bead, pin, wire, foam or dressing"));
        return None;
    };
    let Some(known) = catalog.row(kind, &row.id) else {
        let problem = document.problem(&path.key("id"), format!("the catalog has no {kind} `{}`", row.id));
        faults.push(match catalog.suggest(kind, &row.id) {
            Some(near) => problem.help(format!("did you mean `{near}`?")),
            None => problem.help("name the catalog file that has it with --catalog"),
        });
        return None;
    };
    let amount = match (known.pack.unit, row.count, row.length) {
        (PackUnit::Pieces(_), Some(count), None) => u64::from(count),
        (PackUnit::Length(_), None, Some(length)) if (0.0..=LONGEST_M).contains(&length.m()) => {
            (length.m() * 1e6).round() as u64
        }
        (PackUnit::Length(_), None, Some(length)) => {
            let text = format!("length is {length}; it must be from 0 to {LONGEST_M} m");
            faults.push(document.problem(&path.key("length"), text));
            return None;
        }
        (PackUnit::Pieces(_), ..) => {
            faults.push(document.problem(path, format!("a {kind} is counted")).help("give `count: 12` alone"));
            return None;
        }
        (PackUnit::Length(_), ..) => {
            let problem = document.problem(path, format!("{kind} has a length"));
            faults.push(problem.help("give `length: 0.8 m` alone"));
            return None;
        }
    };
    Some((PartId::new(kind, &row.id), amount))
}

/// An amount as people write it: a number of pieces, or a length exact to the micrometre.
#[must_use]
pub fn amount_text(kind: Kind, amount: u64) -> String {
    match kind {
        Kind::Wire | Kind::Foam if amount >= 1_000_000 => format!("{} m", thousandths(amount, 6)),
        Kind::Wire | Kind::Foam => format!("{} mm", thousandths(amount, 3)),
        Kind::Hook | Kind::Bead | Kind::Pin | Kind::Dressing => amount.to_string(),
    }
}

/// `amount` / 10^decimals, without spare zeros.
fn thousandths(amount: u64, decimals: usize) -> String {
    let unit = 10_u64.pow(decimals as u32);
    let text = format!("{}.{:0decimals$}", amount / unit, amount % unit);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn amounts_read_as_people_write_them() {
        assert_eq!(amount_text(Kind::Bead, 12), "12");
        assert_eq!(amount_text(Kind::Foam, 350_000), "350 mm");
        assert_eq!(amount_text(Kind::Wire, 2_987_501), "2.987501 m");
        assert_eq!(amount_text(Kind::Wire, 0), "0 mm");
    }

    proptest! {
        #[test]
        fn lengths_read_back_exactly(um in 0..10_000_000_000_u64) {
            let length: Length = amount_text(Kind::Wire, um).parse().unwrap();
            prop_assert_eq!((length.m() * 1e6).round() as u64, um);
        }
    }
}
