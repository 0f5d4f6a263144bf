//! Entries from a table: CSV with the unit in the head of every column.

use super::schema::{DropEntry, EntryFile, RecipeRef, WeighedEntry};
use crate::part::Cut;
use crate::quantity::{Angle, Length, Mass, Microns, Salinity, Temperature, Time};
use thiserror::Error;

/// Columns that are read; any of them may be left out, in any order.
pub const COLUMNS: [&str; 23] = [
    "date",
    "recipe",
    "fly",
    "stage",
    "water_c",
    "salinity_g_kg",
    "depth_m",
    "state",
    "knot",
    "tippet_mm",
    "hang_deg",
    "hang_error_deg",
    "rides",
    "floats",
    "drop_m",
    "drop_s",
    "drop_line",
    "mass_mg",
    "mass_error_mg",
    "part",
    "count",
    "length_mm",
    "note",
];

/// A table that cannot be taken over.
#[derive(Debug, Error)]
pub enum ImportError {
    /// No table.
    #[error("this is no CSV table: {0}")]
    Csv(#[from] csv::Error),
    /// A column that is not known.
    #[error("column `{column}` is not known; the columns are {}", COLUMNS.join(", "))]
    Column {
        /// Its head.
        column: String,
    },
    /// A cell that does not fit.
    #[error("line {line}, {column}: `{value}` {wanted}")]
    Cell {
        /// Line of the file.
        line: u64,
        /// Head of the column.
        column: &'static str,
        /// What it holds.
        value: String,
        /// What it should be.
        wanted: String,
    },
}

/// Reads entries from CSV text with a head line. `part` is a kind and an id with a blank between, like `bead tungsten-3.5`; a foam
/// may end with its cut, like `foam pe-rod-1-4in quarter`.
///
/// # Errors
/// [`ImportError`], at the first cell that does not fit.
///
/// ```
/// let text = "date,recipe,hang_deg,rides,drop_m,drop_s\n2026-03-01,leech.yaml,12,point-up,0.2,1.1\n";
/// let entries = counterpoise::jar_log::entries_from_csv(text)?;
/// assert_eq!(entries[0].hang.unwrap().deg().round(), 12.0);
/// assert_eq!(entries[0].drops.len(), 1);
/// # Ok::<(), counterpoise::jar_log::ImportError>(())
/// ```
pub fn entries_from_csv(text: &str) -> Result<Vec<EntryFile>, ImportError> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_reader(text.as_bytes());
    let heads = reader.headers()?.clone();
    if let Some(unknown) = heads.iter().find(|h| !COLUMNS.contains(h)) {
        return Err(ImportError::Column { column: unknown.to_owned() });
    }
    let mut entries = Vec::new();
    for record in reader.records() {
        let record = record?;
        let line = record.position().map_or(0, csv::Position::line);
        let cells = heads.iter().zip(record.iter()).filter(|(_, cell)| !cell.is_empty()).collect();
        entries.push(Row { line, cells }.entry()?);
    }
    Ok(entries)
}

struct Row<'a> {
    line: u64,
    cells: Vec<(&'a str, &'a str)>,
}

impl Row<'_> {
    fn text(&self, column: &str) -> Option<&str> {
        self.cells.iter().find(|(head, _)| *head == column).map(|(_, cell)| *cell)
    }

    fn refuse(&self, column: &'static str, wanted: impl ToString) -> ImportError {
        let value = self.text(column).unwrap_or_default().to_owned();
        ImportError::Cell { line: self.line, column, value, wanted: wanted.to_string() }
    }

    fn number(&self, column: &'static str) -> Result<Option<f64>, ImportError> {
        let Some(text) = self.text(column) else { return Ok(None) };
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() => Ok(Some(number)),
            _ if text.contains(',') => Err(self.refuse(column, "is no number: decimals take a point")),
            _ => Err(self.refuse(column, "is no number; the unit is in the head of the column")),
        }
    }

    fn owned(&self, column: &str) -> Option<String> {
        self.text(column).map(str::to_owned)
    }

    fn entry(&self) -> Result<EntryFile, ImportError> {
        let date = self
            .text("date")
            .map(str::parse)
            .transpose()
            .map_err(|_| self.refuse("date", "is no day like 2026-03-01"))?;
        let floats = match self.text("floats") {
            None => None,
            Some("yes" | "true") => Some(true),
            Some("no" | "false") => Some(false),
            Some(_) => return Err(self.refuse("floats", "must be yes or no")),
        };
        let part = self.text("part").is_some();
        Ok(EntryFile {
            date,
            recipe: self.owned("recipe").map(RecipeRef::Named),
            fly: self.owned("fly"),
            stage: self.owned("stage"),
            water: self.number("water_c")?.map(Temperature::from_celsius),
            salinity: self.number("salinity_g_kg")?.map(Salinity::from_g_kg),
            depth: self.number("depth_m")?.map(Length::from_m),
            state: self.owned("state"),
            knot: self.owned("knot"),
            tippet: self.number("tippet_mm")?.map(Length::from_mm),
            hang: self.number("hang_deg")?.map(Angle::from_deg),
            hang_error: self.number("hang_error_deg")?.map(Angle::from_deg),
            rides: self.owned("rides"),
            floats,
            drops: self.drops()?,
            mass: self.number("mass_mg")?.map(Mass::from_mg).filter(|_| !part),
            mass_error: self.number("mass_error_mg")?.map(Mass::from_mg).filter(|_| !part),
            weighed: self.weighed()?,
            note: self.owned("note"),
        })
    }

    fn drops(&self) -> Result<Vec<DropEntry>, ImportError> {
        match (self.number("drop_m")?, self.number("drop_s")?) {
            (None, None) => Ok(Vec::new()),
            (Some(m), Some(s)) => Ok(vec![DropEntry {
                distance: Length::from_m(m),
                time: Time::from_s(s),
                error: None,
                line: self.owned("drop_line"),
            }]),
            (None, Some(_)) => Err(self.refuse("drop_s", "stands without drop_m")),
            (Some(_), None) => Err(self.refuse("drop_m", "stands without drop_s")),
        }
    }

    fn weighed(&self) -> Result<Option<WeighedEntry>, ImportError> {
        let Some(part) = self.text("part") else { return Ok(None) };
        let words: Vec<&str> = part.split_whitespace().collect();
        let (kind, id, cut) = match words.as_slice() {
            [kind, id] => (*kind, *id, None),
            [kind, id, cut] => {
                let cut =
                    Cut::from_word(cut).ok_or_else(|| self.refuse("part", "ends with a cut that is not known"))?;
                (*kind, *id, Some(cut))
            }
            _ => return Err(self.refuse("part", "must be a kind and an id, like `bead tungsten-3.5`")),
        };
        let mass =
            self.number("mass_mg")?.ok_or_else(|| self.refuse("mass_mg", "is missing: what do the parts weigh?"))?;
        let count = match self.number("count")? {
            None => None,
            Some(n) if n.fract() == 0.0 && (1.0..=1e5).contains(&n) => Some(n as u32),
            Some(_) => return Err(self.refuse("count", "must be a whole number of pieces")),
        };
        let length = self.number("length_mm")?.map(Microns::from_mm).transpose();
        Ok(Some(WeighedEntry {
            kind: kind.to_owned(),
            id: id.to_owned(),
            count,
            length_mm: length.map_err(|e| self.refuse("length_mm", e))?,
            cut,
            mass: Mass::from_mg(mass),
            error: self.number("mass_error_mg")?.map(Mass::from_mg),
        }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_flies_and_comments() {
        let text = "recipe,part,count,length_mm,mass_mg,hang_deg,floats\n# a comment\nleech,,,,,-5,\n,bead tungsten-3.5,10,,2710,,\n,foam pe-rod-1-4in quarter,4,50,31,,\nleech,,,,,,yes\n";
        let entries = entries_from_csv(text).unwrap();
        assert_eq!(entries.len(), 4);
        assert_eq!(entries[1].weighed.as_ref().unwrap().count, Some(10));
        assert_eq!(entries[1].mass, None);
        assert_eq!(entries[2].weighed.as_ref().unwrap().cut, Some(Cut::Quarter));
        assert_eq!(entries[3].floats, Some(true));
    }

    #[test]
    fn cells_that_do_not_fit_are_located() {
        let message = |text: &str| entries_from_csv(text).unwrap_err().to_string();
        assert_eq!(
            message("hang_deg\n12\n3x\n"),
            "line 3, hang_deg: `3x` is no number; the unit is in the head of the column"
        );
        assert!(message("hang\n12\n").starts_with("column `hang` is not known; the columns are date, recipe,"));
        assert!(message("drop_m\n0.2\n").contains("stands without drop_s"));
        assert!(message("date\n1.3.2026\n").contains("is no day"));
        assert!(message("part,mass_mg\nbead,2\n").contains("a kind and an id"));
    }
}
