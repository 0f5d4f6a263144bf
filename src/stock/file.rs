//! A stock file: read strictly, changed in place, replaced in one step.

use super::rows::{StockRow, amount_text, read_rows};
use crate::catalog::Catalog;
use crate::document::save::{self, SaveError};
use crate::document::{Diagnostics, Document, Path, Source};
use crate::part::{Kind, PackUnit};
use crate::purchase::{Amounts, PartId};
use serde::Deserialize;
use thiserror::Error;

/// A stock file that has been read.
#[derive(Debug, Clone)]
pub struct StockFile {
    /// What it holds.
    pub stock: Amounts,
    document: Document,
    rows: Vec<StockRow>,
}

#[derive(Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct RawStock {
    #[serde(default)]
    stock: Vec<StockRow>,
}

/// Why a stock file was not changed.
#[derive(Debug, Error)]
pub enum StockFileError {
    /// The rows are written in a way that this program does not change by itself.
    #[error("the rows of {name} cannot be changed in place; write each row on a line of its own, starting with `- `")]
    Layout {
        /// The file.
        name: String,
    },
    /// It could not be written.
    #[error(transparent)]
    Save(#[from] SaveError),
}

impl StockFile {
    /// Reads a stock.
    ///
    /// # Errors
    /// Everything that is wrong with the file: unknown keys, kinds or ids, a length where pieces are counted, two rows for
    /// one part.
    pub fn read(source: &Source, catalog: &Catalog) -> Result<Self, Diagnostics> {
        let document = Document::open(source)?;
        let (raw, mut faults) = document.decode::<RawStock>();
        let rows = raw.map(|raw| raw.stock).unwrap_or_default();
        let stock = read_rows(&document, &Path::root().key("stock"), &rows, catalog, &mut faults);
        faults.or(Self { stock, document, rows })
    }

    /// The text of a new file that holds `stock`.
    #[must_use]
    pub fn fresh(stock: &Amounts) -> String {
        let mut text = String::from("# What is on the bench: pieces, or length of stock, left of each part.\nstock:\n");
        for (part, amount) in stock.iter() {
            text.push_str(&row_text("  ", part, amount));
        }
        if stock.is_empty() { text.replace("stock:\n", "stock: []\n") } else { text }
    }

    /// The text of this file changed to hold `stock`: figures of changed rows are replaced where they stand, rows for
    /// parts that have none are added at the end, and everything else stays as it is.
    ///
    /// # Errors
    /// [`StockFileError::Layout`] when that does not give a file that reads as `stock`.
    pub fn edited(&self, stock: &Amounts, catalog: &Catalog) -> Result<String, StockFileError> {
        let source = self.document.source();
        let layout = || StockFileError::Layout { name: source.name().to_owned() };
        let mut text = source.text().to_owned();
        let mut edits = Vec::new();
        for (index, row) in self.rows.iter().enumerate() {
            let Some(kind) = Kind::ALL.into_iter().find(|k| k.word() == row.kind) else { continue };
            let part = PartId::new(kind, &row.id);
            if stock.get(&part) == self.stock.get(&part) {
                continue;
            }
            let key = if row.count.is_some() { "count" } else { "length" };
            let path = Path::root().key("stock").index(index).key(key);
            let at = self.document.problem(&path, "").location().ok_or_else(layout)?;
            edits.push((at.start, at.end, amount_text(kind, stock.get(&part))));
        }
        edits.sort_unstable_by_key(|edit| std::cmp::Reverse(edit.0));
        for (start, end, figure) in edits {
            text.replace_range(start..end, &figure);
        }
        self.append(&mut text, stock);
        match Self::read(&Source::new(source.name(), &text), catalog) {
            Ok(back) if holds_the_same(&back.stock, stock) => Ok(text),
            _ => Err(layout()),
        }
    }

    /// Adds rows for parts that have none.
    fn append(&self, text: &mut String, stock: &Amounts) {
        let known: Vec<(&str, &str)> = self.rows.iter().map(|r| (r.kind.as_str(), r.id.as_str())).collect();
        let indent = match text.lines().find(|line| line.trim_start().starts_with("- ")) {
            Some(line) => line[..line.len() - line.trim_start().len()].to_owned(),
            None => {
                // No rows yet: make room for a list.
                *text = text.replace("stock: []", "stock:");
                "  ".to_owned()
            }
        };
        for (part, amount) in stock.iter() {
            if amount > 0 && !known.contains(&(part.kind.word(), part.id.as_str())) {
                if !text.ends_with('\n') {
                    text.push('\n');
                }
                text.push_str(&row_text(&indent, part, amount));
            }
        }
    }

    /// Writes the changed file over the old one, in one step; `turn` is that of the file, taken before it was read.
    ///
    /// # Errors
    /// As [`StockFile::edited`], or the file changed since it was read, or the system refuses. The old file stays then.
    pub fn save(&self, turn: &save::Turn, stock: &Amounts, catalog: &Catalog) -> Result<(), StockFileError> {
        let text = self.edited(stock, catalog)?;
        let source = self.document.source();
        let (before, after) = (source.as_in_file(source.text()), source.as_in_file(&text));
        Ok(turn.replace(Some(before.as_bytes()), after.as_bytes())?)
    }
}

fn holds_the_same(a: &Amounts, b: &Amounts) -> bool {
    a.iter().all(|(part, amount)| b.get(part) == amount) && b.iter().all(|(part, amount)| a.get(part) == amount)
}

fn row_text(indent: &str, part: &PartId, amount: u64) -> String {
    let (kind, id) = (part.kind, &part.id);
    let key = match kind {
        Kind::Wire | Kind::Foam => "length",
        Kind::Hook | Kind::Bead | Kind::Pin | Kind::Dressing => "count",
    };
    format!("{indent}- {{kind: {kind}, id: {id}, {key}: {}}}\n", amount_text(kind, amount))
}

/// Adds so many packs, as the catalog sells them, to a stock; `None` for a part that the catalog does not hold.
#[must_use]
pub fn with_packs(stock: &Amounts, part: &PartId, packs: u64, catalog: &Catalog) -> Option<Amounts> {
    let unit: PackUnit = catalog.row(part.kind, &part.id)?.pack.unit;
    let mut more = stock.clone();
    more.add(part.clone(), packs.saturating_mul(unit.content()));
    Some(more)
}

/// JSON Schema of a stock file.
#[must_use]
pub fn schema() -> schemars::Schema {
    crate::document::file_schema::<RawStock>()
}

#[cfg(test)]
mod tests {
    use super::*;

    const BENCH: &str = "\
# My bench. Weighed in spring.
stock:
  # the good ones
  - {kind: bead, id: tungsten-3.5, count: 12}   # two are chipped
  - kind: foam
    id: eva-cylinder-5mm
    length: 0.35 m   # the long piece
";

    fn bench(catalog: &Catalog) -> StockFile {
        StockFile::read(&Source::new("bench.yaml", BENCH), catalog).unwrap_or_else(|e| panic!("{e}"))
    }

    fn bead() -> PartId {
        PartId::new(Kind::Bead, "tungsten-3.5")
    }

    #[test]
    fn only_the_figures_change() {
        let catalog = Catalog::built_in().unwrap();
        let file = bench(&catalog);
        let mut stock = file.stock.clone();
        stock.set(bead(), 9);
        stock.set(PartId::new(Kind::Foam, "eva-cylinder-5mm"), 311_500);
        stock.add(PartId::new(Kind::Wire, "copper-0.2mm"), 10_000_000);
        let expected = BENCH.replace("count: 12", "count: 9").replace("0.35 m", "311.5 mm")
            + "  - {kind: wire, id: copper-0.2mm, length: 10 m}\n";
        assert_eq!(file.edited(&stock, &catalog).unwrap(), expected);
    }

    #[test]
    fn a_fresh_file_reads_back() {
        let catalog = Catalog::built_in().unwrap();
        let empty = StockFile::fresh(&Amounts::new());
        let file = StockFile::read(&Source::new("bench.yaml", &empty), &catalog).unwrap_or_else(|e| panic!("{e}"));
        let stock = with_packs(&file.stock, &bead(), 2, &catalog).unwrap();
        let text = file.edited(&stock, &catalog).unwrap();
        let back = StockFile::read(&Source::new("bench.yaml", &text), &catalog).unwrap();
        assert_eq!(back.stock, stock);
        assert_eq!(back.stock.get(&bead()), 50);
        assert_eq!(StockFile::fresh(&stock), text);
    }

    #[test]
    fn a_byte_order_mark_stays() {
        let catalog = Catalog::built_in().unwrap();
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("bench.yaml");
        std::fs::write(&path, format!("\u{feff}{BENCH}")).unwrap();
        let turn = save::Turn::wait(&path, save::PATIENCE).unwrap();
        let file = StockFile::read(&Source::open(&path).unwrap(), &catalog).unwrap();
        let mut stock = file.stock.clone();
        stock.set(bead(), 9);
        file.save(&turn, &stock, &catalog).unwrap();
        assert_eq!(
            std::fs::read_to_string(&path).unwrap(),
            format!("\u{feff}{}", BENCH.replace("count: 12", "count: 9"))
        );
    }

    #[test]
    fn rows_in_brackets_are_refused_rather_than_spoilt() {
        let catalog = Catalog::built_in().unwrap();
        let source = Source::new("bench.yaml", "stock: [{kind: bead, id: tungsten-3.5, count: 12}]\n");
        let file = StockFile::read(&source, &catalog).unwrap();
        let more = with_packs(&file.stock, &PartId::new(Kind::Bead, "brass-2.0"), 1, &catalog).unwrap();
        assert!(matches!(file.edited(&more, &catalog), Err(StockFileError::Layout { .. })));
        let mut fewer = file.stock.clone();
        fewer.set(bead(), 0);
        assert_eq!(file.edited(&fewer, &catalog).unwrap(), "stock: [{kind: bead, id: tungsten-3.5, count: 0}]\n");
    }

    #[test]
    fn says_all_that_is_wrong() {
        let catalog = Catalog::built_in().unwrap();
        let text = "\
stock:
  - {kind: bead, id: tungsten-3.55, count: 12}
  - {kind: beed, id: tungsten-3.5, count: 12}
  - {kind: bead, id: tungsten-3.5, length: 12 mm}
  - {kind: wire, id: copper-0.2mm, count: 1}
  - {kind: bead, id: brass-2.0, count: 1}
  - {kind: bead, id: brass-2.0, count: 2}
  - {kind: bead, id: brass-2.5, count: -2}
";
        let faults = StockFile::read(&Source::new("bench.yaml", text), &catalog).unwrap_err();
        let messages: Vec<String> = faults.iter().map(crate::document::Problem::message).collect();
        let expected = [
            "count is -2; it must be",
            "the catalog has no bead `tungsten-3.55`",
            "`beed` is no kind of part",
            "a bead is counted",
            "wire has a length",
            "bead `brass-2.0` has a row already",
        ];
        assert_eq!(messages.len(), expected.len(), "{messages:#?}");
        for (message, part) in messages.iter().zip(expected) {
            assert!(message.contains(part), "{message}");
        }
    }
}
