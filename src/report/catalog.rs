//! Answers about the catalog: what is in it, one row in full, what a file of one's own holds.

use super::ReportError;
use super::answer::Answer;
use super::column::{Column, column, columns_csv, columns_table, optional};
use super::sheet::Sheet;
use super::table::{Spacing, foot};
use crate::catalog::Catalog;
use crate::part::{Kind, PackUnit};
use crate::quantity::Money;
use serde::Serialize;
use std::io::Write;

/// A list of rows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CatalogList {
    /// Currency of the prices.
    pub currency: String,
    /// Rows, kind by kind.
    pub rows: Vec<ListedRow>,
}

/// One row of a list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ListedRow {
    /// Kind of part, or `material`.
    pub kind: &'static str,
    /// Id.
    pub id: String,
    /// In words.
    pub name: String,
    /// Of one piece, or one metre of stock.
    pub price: Option<Money>,
    /// `piece` or `metre`.
    pub price_of: Option<&'static str>,
}

impl CatalogList {
    /// Adds the parts of a kind.
    pub fn add_parts(&mut self, catalog: &Catalog, kind: Kind) {
        self.rows.extend(catalog.rows(kind).into_iter().map(|row| {
            let (amount, of) = match row.pack.unit {
                PackUnit::Pieces(_) => (1, "piece"),
                PackUnit::Length(_) => (1_000_000, "metre"),
            };
            let price = Some(row.pack.price_of(amount));
            ListedRow { kind: kind.word(), id: row.id.clone(), name: row.name.clone(), price, price_of: Some(of) }
        }));
    }

    /// Adds the materials.
    pub fn add_materials(&mut self, catalog: &Catalog) {
        self.rows.extend(catalog.materials.iter().map(|m| ListedRow {
            kind: "material",
            id: m.id.clone(),
            name: m.name.clone(),
            price: None,
            price_of: None,
        }));
    }

    fn columns(price: &str, of: &'static str) -> [Column<'static, ListedRow>; 5] {
        [
            column("kind", |r: &ListedRow| r.kind.to_owned()),
            column("id", |r: &ListedRow| r.id.clone()),
            column("name", |r: &ListedRow| r.name.clone()),
            column(price.to_owned(), |r: &ListedRow| optional(r.price.map(Money::fine))),
            column(of, |r: &ListedRow| optional(r.price_of)),
        ]
    }
}

/// Writes a list for a person.
///
/// # Errors
/// The stream refuses.
pub fn list_table(out: &mut Sheet, answer: &Answer<CatalogList>) -> Result<(), ReportError> {
    let columns = CatalogList::columns(&format!("price, {}", answer.body.currency), "of one");
    columns_table(out, &columns, 3, Spacing::Close, &answer.body.rows)?;
    foot(out, answer)
}

/// Writes a list as CSV.
///
/// # Errors
/// The stream refuses.
pub fn list_csv(out: &mut dyn Write, list: &CatalogList) -> Result<(), ReportError> {
    columns_csv(out, &CatalogList::columns("price", "price_of"), &list.rows)
}

/// One row in full.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RowDetail {
    /// Kind of part, or `material`.
    pub kind: &'static str,
    /// Id.
    #[serde(skip)]
    pub id: String,
    /// Its figures, one by one.
    pub fields: Vec<Field>,
}

/// One figure of a row.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Field {
    /// Name.
    pub name: String,
    /// Value.
    pub value: String,
    /// Unit.
    pub unit: &'static str,
}

/// Writes a row for a person.
///
/// # Errors
/// The stream refuses.
pub fn detail_table(out: &mut Sheet, answer: &Answer<RowDetail>) -> Result<(), ReportError> {
    let columns = [
        column(answer.body.kind, |f: &Field| f.name.clone()),
        column(answer.body.id.clone(), |f: &Field| format!("{} {}", f.value, f.unit)),
    ];
    columns_table(out, &columns, 2, Spacing::Close, &answer.body.fields)?;
    foot(out, answer)
}

/// Writes a row as CSV, one figure a line.
///
/// # Errors
/// The stream refuses.
pub fn detail_csv(out: &mut dyn Write, detail: &RowDetail) -> Result<(), ReportError> {
    let columns = [
        column("name", |f: &Field| f.name.clone()),
        column("value", |f: &Field| f.value.clone()),
        column("unit", |f: &Field| f.unit.to_owned()),
    ];
    columns_csv(out, &columns, &detail.fields)
}

/// What files of one's own hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CatalogCheck {
    /// The files.
    pub files: Vec<String>,
    /// How many rows of each kind count.
    pub sound: Vec<Count>,
    /// What rows leave out, and what they are given.
    pub filled: Vec<String>,
}

/// How many rows of a kind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Count {
    /// Kind of part.
    pub kind: &'static str,
    /// Rows.
    pub rows: usize,
}

impl CatalogCheck {
    /// What these files add to a catalog that they are laid over.
    #[must_use]
    pub fn of(catalog: &Catalog, files: Vec<String>) -> Self {
        let ours = |origin: &str| files.iter().any(|name| name == origin);
        let rows = |kind: Kind| {
            let origins = catalog.rows(kind).into_iter().filter_map(|row| catalog.origin(kind, &row.id));
            origins.filter(|origin| ours(origin)).count()
        };
        let counts = Kind::ALL.into_iter().map(|kind| Count { kind: kind.word(), rows: rows(kind) });
        let filled = catalog.filled.iter().filter(|f| ours(&f.file)).map(|f| match f.id.as_str() {
            "" => format!("{} in {}: {} {}", f.list, f.file, f.key, f.value),
            id => format!("{id} in {} of {}: {} {}", f.list, f.file, f.key, f.value),
        });
        let (sound, filled) = (counts.filter(|count| count.rows > 0).collect(), filled.collect());
        Self { files, sound, filled }
    }

    fn columns(rows: &'static str) -> [Column<'static, Count>; 2] {
        [column("kind", |c: &Count| c.kind.to_owned()), column(rows, |c: &Count| c.rows.to_string())]
    }
}

/// Writes what files hold for a person.
///
/// # Errors
/// The stream refuses.
pub fn check_table(out: &mut Sheet, check: &CatalogCheck) -> Result<(), ReportError> {
    writeln!(out, "sound: {}\n", check.files.join(", "))?;
    columns_table(out, &CatalogCheck::columns("rows that count"), 1, Spacing::Close, &check.sound)?;
    if !check.filled.is_empty() {
        writeln!(out, "\nnot given, so the usual is taken (give the key to say otherwise)")?;
    }
    check.filled.iter().try_for_each(|line| writeln!(out, "  - {line}"))?;
    Ok(())
}

/// Writes the same as CSV.
///
/// # Errors
/// The stream refuses.
pub fn check_csv(out: &mut dyn Write, check: &CatalogCheck) -> Result<(), ReportError> {
    columns_csv(out, &CatalogCheck::columns("rows"), &check.sound)
}
