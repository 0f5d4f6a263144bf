//! Answers about the catalog: what is in it, one row in full, what a file of one's own holds.

use super::ReportError;
use super::answer::Answer;
use super::column::{Column, column, columns_table, optional};
use super::csv::columns_csv;
use super::figure::Figure;
use super::sheet::Sheet;
use super::table::{Spacing, foot};
use crate::catalog::Catalog;
use crate::catalog::portion::Amount;
use crate::part::{Kind, PackUnit};
use crate::physics::constants::GRAVITY;
use crate::quantity::shown::{MASS, SIZE, Scale, WEIGHT, fixed};
use crate::quantity::{Length, Money, Units, fraction_name, thousandths_name};
use serde::Serialize;
use std::io::Write;

/// A list of rows.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CatalogList {
    /// Currency of the prices.
    pub currency: String,
    /// Rows, kind by kind.
    pub rows: Vec<ListedRow>,
}

/// One row of a list.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ListedRow {
    /// Kind of part, or `material`.
    pub kind: &'static str,
    /// Id.
    pub id: String,
    /// In words.
    pub name: String,
    /// Colours that it is sold in, where its row says.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub colours: Vec<String>,
    /// Hook size.
    pub hook_size: Option<u8>,
    /// Diameter of bead, pin, wire and rod, thickness of a sheet, mm.
    pub size_mm: Option<Figure>,
    /// Width of a strip, mm.
    pub width_mm: Option<Figure>,
    /// Density of its material; of foam with its cells, of a hook with its moulded head.
    pub density_g_cm3: Option<Figure>,
    /// Mass of `mass_of`, mg.
    pub mass_mg: Option<Figure>,
    /// Its weight in fresh water at the surface, mN; negative is lift.
    #[serde(rename = "submerged_weight_mN")]
    pub submerged_weight_mn: Option<Figure>,
    /// `piece`, `10 mm` of stock, or what a `fly` takes.
    pub mass_of: Option<&'static str>,
    /// Of one piece, or one metre of stock.
    pub price: Option<Money>,
    /// `piece` or `metre`.
    pub price_of: Option<&'static str>,
}

impl CatalogList {
    /// Adds the parts of a kind.
    pub fn add_parts(&mut self, catalog: &Catalog, kind: Kind) {
        let portions = catalog.portions(kind);
        self.rows.extend(catalog.rows(kind).into_iter().zip(portions).map(|(row, portion)| {
            let (amount, of) = match row.pack.unit {
                PackUnit::Pieces(_) => (1, "piece"),
                PackUnit::Length(_) => (1_000_000, METRE),
            };
            let mm = |metres: Option<f64>| metres.map(|m| Figure(m * 1e3));
            ListedRow {
                kind: kind.word(),
                id: row.id.clone(),
                name: row.name.clone(),
                colours: portion.colours,
                hook_size: portion.hook_size,
                size_mm: mm(portion.size),
                width_mm: mm(portion.width),
                density_g_cm3: portion.density.map(|density| Figure(density * 1e-3)),
                mass_mg: Some(Figure(portion.mass * 1e6)),
                submerged_weight_mn: Some(Figure((portion.mass - WATER * portion.volume) * GRAVITY * 1e3)),
                mass_of: Some(portion.amount.word()),
                price: Some(row.pack.price_of(amount)),
                price_of: Some(of),
            }
        }));
    }

    /// Adds the materials.
    pub fn add_materials(&mut self, catalog: &Catalog) {
        self.rows.extend(catalog.materials.iter().map(|m| ListedRow {
            kind: "material",
            id: m.id.clone(),
            name: m.name.clone(),
            colours: Vec::new(),
            hook_size: None,
            size_mm: None,
            width_mm: None,
            density_g_cm3: Some(Figure(m.density_kg_m3 * 1e-3)),
            mass_mg: None,
            submerged_weight_mn: None,
            mass_of: None,
            price: None,
            price_of: None,
        }));
    }
}

/// The amounts of stock that figures of a list are about.
const TEN_MM: &str = Amount::TenMillimetres.word();
const METRE: &str = "metre";

/// Fresh water at its densest, kg/m3: figures of a list are for choosing, and no lake differs by more than 3 in 1000.
const WATER: f64 = 1000.0;

impl ListedRow {
    /// "3.5 mm", "2 x 3 mm", the number of a hook.
    fn size(&self) -> String {
        match (self.hook_size, self.size_mm, self.width_mm) {
            (Some(size), ..) => size.to_string(),
            (None, Some(size), Some(width)) => format!("{} x {}", SIZE.short(size.0, 2), SIZE.text(width.0, 2)),
            (None, Some(size), None) => match (self.kind, Units::shown()) {
                (_, Units::Metric) => SIZE.text(size.0, 3),
                ("bead" | "foam", Units::Us) => fraction_name(Length::from_mm(size.0)),
                (_, Units::Us) => thousandths_name(Length::from_mm(size.0)),
            },
            (None, None, _) => String::new(),
        }
    }
}

/// Characters across from which a list has names, too: an id says nearly the same.
const WIDE: u16 = 120;

/// From how many columns on a list shows colours; `show` and CSV always do.
const ROOM_FOR_COLOURS: u16 = 80;

/// Writes a list for a person: a table for each kind, with what that kind is chosen by.
///
/// # Errors
/// The stream refuses.
pub fn list_table(out: &mut Sheet, answer: &Answer<CatalogList>) -> Result<(), ReportError> {
    let rows = &answer.body.rows;
    for (i, of_kind) in rows.chunk_by(|a, b| a.kind == b.kind).enumerate() {
        if i > 0 {
            writeln!(out)?;
        }
        let columns = kind_columns(of_kind, &answer.body.currency, out.paper.columns);
        let words = 2 + usize::from(of_kind.iter().any(|row| !row.colours.is_empty()));
        columns_table(out, &columns, columns.len().min(words), Spacing::Close, of_kind)?;
    }
    foot(out, answer)
}

/// The columns of one kind: those of which its rows have any.
fn kind_columns<'c>(rows: &'c [ListedRow], currency: &str, width: u16) -> Vec<Column<'c, ListedRow>> {
    let Some(first) = rows.first() else { return Vec::new() };
    let material = first.kind == "material";
    let mut columns = vec![column(first.kind, |r: &ListedRow| r.id.clone())];
    if width >= WIDE || material {
        columns.push(column("name", |r: &ListedRow| r.name.clone()));
    }
    if width >= ROOM_FOR_COLOURS && rows.iter().any(|r| !r.colours.is_empty()) {
        columns.push(column("colours", |r: &ListedRow| r.colours.join(", ")));
    }
    if rows.iter().any(|r| r.hook_size.or(r.size_mm.map(|_| 0)).is_some()) {
        columns.push(column("size", ListedRow::size));
    }
    // Hooks are of one density, nearly: on narrow paper it is left out.
    if first.density_g_cm3.is_some() && (width >= ROOM_FOR_COLOURS || first.kind != "hook") {
        let decimals = if first.kind == "foam" { 3 } else { 2 };
        columns.push(column("density\ng/cm3", move |r: &ListedRow| {
            r.density_g_cm3.map_or_else(String::new, |f| fixed(f.0, decimals))
        }));
    }
    if let Some(of) = first.mass_of {
        let (of, [part, whole]) = amount_shown(of);
        let share = part as f64 / whole as f64;
        columns.push(column(format!("{of} has\n{}", MASS.unit()), move |r: &ListedRow| {
            r.mass_mg.map_or_else(String::new, |f| MASS.fixed(f.0 * share, 1))
        }));
        columns.push(column(format!("in water\n{}", WEIGHT.unit()), move |r: &ListedRow| {
            r.submerged_weight_mn.map_or_else(String::new, |f| WEIGHT.fixed(f.0 * share, 3))
        }));
    }
    if let Some(of) = first.price_of {
        let (of, [part, whole]) = amount_shown(of);
        columns.push(column(format!("a {of} costs\n{currency}"), move |r: &ListedRow| {
            optional(r.price.map(|price| price.share(part, whole).fine()))
        }));
    }
    columns
}

/// An amount of stock as the reader measures it, and the share that it is of the metric one.
fn amount_shown(metric: &'static str) -> (&'static str, [u64; 2]) {
    match (metric, Units::shown()) {
        (TEN_MM, Units::Us) => ("1 in", [254, 100]),
        (METRE, Units::Us) => ("foot", [3048, 10_000]),
        _ => (metric, [1, 1]),
    }
}

/// Writes a list as CSV.
///
/// # Errors
/// The stream refuses.
pub fn list_csv(out: &mut dyn Write, list: &CatalogList) -> Result<(), ReportError> {
    let figure = |head: &'static str, of: fn(&ListedRow) -> Option<Figure>| {
        column(head, move |r: &ListedRow| optional(of(r).map(Figure::rounded)))
    };
    let columns = [
        column("kind", |r: &ListedRow| r.kind.to_owned()),
        column("id", |r: &ListedRow| r.id.clone()),
        column("name", |r: &ListedRow| r.name.clone()),
        column("hook_size", |r: &ListedRow| optional(r.hook_size)),
        figure("size_mm", |r| r.size_mm),
        figure("width_mm", |r| r.width_mm),
        figure("density_g_cm3", |r| r.density_g_cm3),
        figure("mass_mg", |r| r.mass_mg),
        figure("submerged_weight_mN", |r| r.submerged_weight_mn),
        column("mass_of", |r: &ListedRow| optional(r.mass_of)),
        column("price", |r: &ListedRow| optional(r.price.map(Money::fine))),
        column("price_of", |r: &ListedRow| optional(r.price_of)),
        column("colours", |r: &ListedRow| r.colours.join("; ")),
    ];
    columns_csv(out, &columns, &list.rows)
}

/// One row in full.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct Field {
    /// Name.
    pub name: String,
    /// Value.
    pub value: String,
    /// Unit.
    pub unit: &'static str,
}

impl Field {
    /// "3.5 mm": in the unit that is shown where the value is one figure.
    fn words(&self) -> String {
        match (Scale::of_unit(self.unit), self.value.parse()) {
            (Some(scale), Ok(figure)) if Units::shown() == Units::Us => scale.text(figure, 3),
            _ => format!("{} {}", self.value, self.unit),
        }
    }
}

/// Writes a row for a person.
///
/// # Errors
/// The stream refuses.
pub fn detail_table(out: &mut Sheet, answer: &Answer<RowDetail>) -> Result<(), ReportError> {
    let columns = [column(answer.body.kind, |f: &Field| f.name.clone()), column(answer.body.id.clone(), Field::words)];
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
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct CatalogCheck {
    /// The files.
    pub files: Vec<String>,
    /// How many rows of each kind count.
    pub sound: Vec<Count>,
    /// What rows leave out, and what they are given.
    pub filled: Vec<String>,
}

/// How many rows of a kind.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
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
