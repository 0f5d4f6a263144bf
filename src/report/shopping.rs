//! A shopping list and a stock as reports: exact amounts with their unit, exact money.

use super::ReportError;
use super::column::{column, columns_table};
use super::csv;
use super::table::{Spacing, write_table};
use crate::catalog::Catalog;
use crate::part::Kind;
use crate::purchase::{Amounts, Line, ShoppingList};
use crate::quantity::Money;
use crate::quantity::shown::{DEPTH, SIZE};
use crate::report::sheet::Sheet;
use crate::stock::{Shortage, amount_text};
use serde::Serialize;
use std::io::Write;

/// What to buy.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ShoppingReport {
    /// Currency of all prices.
    pub currency: String,
    /// Price of all packs.
    pub outlay: Money,
    /// Every part that is needed.
    pub lines: Vec<ShoppingLine>,
}

/// One part of a shopping list. Amounts are in `unit`.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ShoppingLine {
    /// Kind of part.
    pub kind: &'static str,
    /// Id.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// `pieces` or `mm`.
    pub unit: &'static str,
    /// Needed in all.
    pub needed: Amount,
    /// Owned before.
    pub owned: Amount,
    /// Packs to buy.
    pub packs: u64,
    /// Content of one pack.
    pub pack_content: Amount,
    /// Price of one pack.
    pub pack_price: Money,
    /// Price of these packs.
    pub price: Money,
    /// Left when the flies are tied.
    pub left: Amount,
}

/// Pieces, or millimetres with three decimals: exact.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Amount {
    kind: Kind,
    amount: u64,
}

impl Amount {
    /// So many pieces or micrometres of a kind of part.
    #[must_use]
    pub fn new(kind: Kind, amount: u64) -> Self {
        Self { kind, amount }
    }

    /// `pieces` or `mm`.
    #[must_use]
    pub fn unit(self) -> &'static str {
        if self.is_length() { "mm" } else { "pieces" }
    }

    fn is_length(self) -> bool {
        matches!(self.kind, Kind::Wire | Kind::Foam)
    }

    /// In its unit, for a program.
    fn plain(self) -> String {
        if self.is_length() { (self.amount as f64 / 1e3).to_string() } else { self.amount.to_string() }
    }

    /// For a person: lengths to the millimetre, or in metres.
    #[must_use]
    pub fn words(self) -> String {
        match self.amount {
            um if self.is_length() && um >= 1_000_000 => {
                format!("{} {}", DEPTH.fixed(um as f64 / 1e6, 2), DEPTH.unit())
            }
            um if self.is_length() => SIZE.text(((um + 500) / 1000) as f64, 0),
            pieces => pieces.to_string(),
        }
    }
}

impl Serialize for Amount {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.is_length() {
            serializer.serialize_f64(self.amount as f64 / 1e3)
        } else {
            serializer.serialize_u64(self.amount)
        }
    }
}

impl From<&ShoppingList> for ShoppingReport {
    fn from(list: &ShoppingList) -> Self {
        let lines = list.lines.iter().map(shopping_line).collect();
        Self { currency: list.currency.clone(), outlay: list.outlay, lines }
    }
}

fn shopping_line(line: &Line) -> ShoppingLine {
    let kind = line.part.kind;
    let amount = |n| Amount::new(kind, n);
    ShoppingLine {
        kind: kind.word(),
        id: line.part.id.clone(),
        name: line.name.clone(),
        unit: amount(0).unit(),
        needed: amount(line.needed),
        owned: amount(line.owned),
        packs: line.packs,
        pack_content: amount(line.pack.content()),
        pack_price: line.pack_price,
        price: line.price,
        left: amount(line.left),
    }
}

/// Fewest characters across for what is owned, the price of a pack and what is left over of it.
const WITH_PACK_PRICE: u16 = 80;

/// A line of what to buy; `None`: the sum below them.
type Bought<'l> = Option<&'l ShoppingLine>;

/// Writes a shopping list for a person: what to buy first, then what is there already.
///
/// # Errors
/// The stream refuses.
pub fn shopping_table(out: &mut Sheet, list: &ShoppingReport) -> Result<(), ReportError> {
    let (buy, have): (Vec<_>, Vec<_>) = list.lines.iter().partition(|line| line.packs > 0);
    if buy.is_empty() {
        writeln!(out, "nothing to buy: outlay {} {}", list.outlay, list.currency)?;
    } else {
        let price_head = format!("price\n{}", list.currency);
        let figure = |head: &str, cell: fn(&ShoppingLine) -> String| {
            column(head.to_owned(), move |line: &Bought| line.map_or_else(String::new, cell))
        };
        let outlay = |cell: fn(&ShoppingLine) -> String, sum: String| {
            move |line: &Bought| line.map_or_else(|| sum.clone(), cell)
        };
        let wide = out.paper.columns >= WITH_PACK_PRICE;
        let mut columns = vec![
            column("buy", outlay(|line| line.kind.to_owned(), "outlay".to_owned())),
            figure("id", |line| line.id.clone()),
            figure("needed", |line| line.needed.words()),
        ];
        columns.extend(wide.then(|| figure("owned", |line| line.owned.words())));
        columns.push(figure("packs", |line| format!("{} x {}", line.packs, line.pack_content.words())));
        columns.extend(wide.then(|| figure("price\na pack", |line| line.pack_price.to_string())));
        columns.push(column(price_head, outlay(|line| line.price.to_string(), list.outlay.to_string())));
        columns.extend(wide.then(|| figure("left over", |line| line.left.words())));
        let rows: Vec<Bought> = buy.into_iter().map(Some).chain([None]).collect();
        columns_table(out, &columns, 2, Spacing::Close, &rows)?;
    }
    if !have.is_empty() {
        writeln!(out)?;
        let rows = have.iter().map(|line| {
            vec![line.kind.to_owned(), line.id.clone(), line.needed.words(), line.owned.words(), line.left.words()]
        });
        write_table(out, &["owned", "id", "needed", "there", "left over"], 2, Spacing::Close, rows)?;
    }
    Ok(())
}

/// Writes a shopping list as CSV, one part a line.
///
/// # Errors
/// The stream refuses.
pub fn shopping_csv(out: &mut dyn Write, list: &ShoppingReport) -> Result<(), ReportError> {
    const HEADS: [&str; 12] = [
        "kind",
        "id",
        "name",
        "unit",
        "needed",
        "owned",
        "packs",
        "pack_content",
        "pack_price",
        "price",
        "left",
        "currency",
    ];
    let rows = list.lines.iter().map(|line| {
        vec![
            line.kind.to_owned(),
            line.id.clone(),
            line.name.clone(),
            line.unit.to_owned(),
            line.needed.plain(),
            line.owned.plain(),
            line.packs.to_string(),
            line.pack_content.plain(),
            line.pack_price.exact(),
            line.price.exact(),
            line.left.plain(),
            list.currency.clone(),
        ]
    });
    csv::lines(out, &HEADS, rows)
}

/// One part of a stock.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct StockLine {
    /// Kind of part.
    pub kind: &'static str,
    /// Id.
    pub id: String,
    /// Plain name.
    pub name: String,
    /// `pieces` or `mm`.
    pub unit: &'static str,
    /// What is left.
    pub left: Amount,
    /// Its share of the price of a pack.
    pub worth: Money,
}

/// The parts of a stock, by kind and id.
#[must_use]
pub fn stock_lines(stock: &Amounts, catalog: &Catalog) -> Vec<StockLine> {
    let line = |(part, amount): (&crate::purchase::PartId, u64)| {
        let row = catalog.row(part.kind, &part.id)?;
        let left = Amount::new(part.kind, amount);
        Some(StockLine {
            kind: part.kind.word(),
            id: part.id.clone(),
            name: row.name.clone(),
            unit: left.unit(),
            left,
            worth: row.pack.price_of(amount),
        })
    };
    stock.iter().filter_map(line).collect()
}

/// Writes a stock for a person.
///
/// # Errors
/// The stream refuses.
pub fn stock_table(out: &mut Sheet, lines: &[StockLine], currency: &str) -> Result<(), ReportError> {
    if lines.is_empty() {
        writeln!(out, "the stock is empty")?;
        return Ok(());
    }
    let worth_head = format!("worth\n{currency}");
    let rows = lines
        .iter()
        .map(|l| vec![l.kind.to_owned(), l.id.clone(), l.name.clone(), l.left.words(), l.worth.to_string()]);
    write_table(out, &["kind", "id", "name", "left", &worth_head], 3, Spacing::Close, rows)
}

/// Writes a stock as CSV.
///
/// # Errors
/// The stream refuses.
pub fn stock_csv(out: &mut dyn Write, lines: &[StockLine], currency: &str) -> Result<(), ReportError> {
    let rows = lines.iter().map(|l| {
        let texts = [l.kind, &l.id, &l.name, l.unit, &l.left.plain(), &l.worth.exact(), currency];
        texts.map(str::to_owned).to_vec()
    });
    csv::lines(out, &["kind", "id", "name", "unit", "left", "worth", "currency"], rows)
}

/// One part of which there is too little.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ShortageLine {
    /// Kind of part.
    pub kind: &'static str,
    /// Id.
    pub id: String,
    /// `pieces` or `mm`.
    pub unit: &'static str,
    /// Needed.
    pub needed: Amount,
    /// There.
    pub left: Amount,
}

impl From<&Shortage> for ShortageLine {
    fn from(short: &Shortage) -> Self {
        let amount = |n| Amount::new(short.part.kind, n);
        Self {
            kind: short.part.kind.word(),
            id: short.part.id.clone(),
            unit: amount(0).unit(),
            needed: amount(short.needed),
            left: amount(short.left),
        }
    }
}

impl ShortageLine {
    /// "bead `tungsten-3.5`: 12 needed, 7 left", exact.
    #[must_use]
    pub fn words(&self) -> String {
        let exact = |a: Amount| amount_text(a.kind, a.amount);
        format!("{} `{}`: {} needed, {} left", self.kind, self.id, exact(self.needed), exact(self.left))
    }
}

impl schemars::JsonSchema for Amount {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Amount".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "number", "description": "millimetres of wire and foam, pieces of all else" })
    }
}
