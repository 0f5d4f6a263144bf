//! Entries from a table: CSV with the unit in the head of every column.

use super::schema::{DropEntry, EntryFile, RecipeRef, WeighedEntry};
use crate::document::{Diagnostics, Problem};
use crate::part::Cut;
use crate::quantity::{Angle, Length, Mass, Microns, Salinity, Temperature, Time};
use thiserror::Error;

/// Columns that are read; any of them may be left out, in any order.
pub const COLUMNS: [&str; 25] = [
    "date",
    "recipe",
    "fly",
    "stage",
    "foam_mm",
    "medium",
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

/// Faults of a table that are told; a table with more is given up there.
const MOST_FAULTS: usize = 1000;

/// All that is wrong with a table.
#[derive(Debug, Error)]
#[error("{}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct ImportFaults(Vec<ImportError>);

impl ImportFaults {
    /// Each fault by itself.
    #[must_use]
    pub fn all(&self) -> &[ImportError] {
        &self.0
    }

    /// As problems of the file of this name.
    #[must_use]
    pub fn problems(&self, name: &str) -> Diagnostics {
        let mut problems = Diagnostics::new();
        for fault in &self.0 {
            problems.push(Problem::of_file(name, fault.to_string()));
        }
        problems
    }
}

/// One thing that is wrong with a table.
#[derive(Debug, Error)]
pub enum ImportError {
    /// No table.
    #[error("this is no CSV table: {0}")]
    Csv(#[from] csv::Error),
    /// Nothing in it.
    #[error("the table is empty; it begins with a line of columns, like {}", COLUMNS[..2].join(","))]
    Empty,
    /// A column that is not known.
    #[error("column `{column}` is not known; the columns are {}", COLUMNS.join(", "))]
    Column {
        /// Its head.
        column: String,
    },
    /// A column that is there already.
    #[error("column `{column}` is given twice")]
    Repeated {
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
/// Every cell that does not fit; the columns alone where one of them is not known.
///
/// ```
/// let text = "date,recipe,hang_deg,rides,drop_m,drop_s\n2026-03-01,leech.yaml,12,point-up,0.2,1.1\n";
/// let entries = counterpoise::jar_log::entries_from_csv(text)?;
/// assert_eq!(entries[0].hang.unwrap().deg().round(), 12.0);
/// assert_eq!(entries[0].drops.len(), 1);
/// # Ok::<(), counterpoise::jar_log::ImportFaults>(())
/// ```
pub fn entries_from_csv(text: &str) -> Result<Vec<EntryFile>, ImportFaults> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).comment(Some(b'#')).from_reader(text.as_bytes());
    let heads = reader.headers().map_err(|error| ImportFaults(vec![error.into()]))?.clone();
    if heads.iter().all(str::is_empty) {
        return Err(ImportFaults(vec![ImportError::Empty]));
    }
    let unknown = |head: &&str| !COLUMNS.contains(head);
    let twice = |(i, head): &(usize, &str)| heads.iter().take(*i).any(|earlier| earlier == *head);
    let strange = heads.iter().filter(unknown).map(|head| ImportError::Column { column: head.to_owned() });
    let repeated = heads.iter().enumerate().filter(twice).map(|(_, h)| ImportError::Repeated { column: h.to_owned() });
    let faults: Vec<ImportError> = strange.chain(repeated).take(MOST_FAULTS).collect();
    if !faults.is_empty() {
        return Err(ImportFaults(faults));
    }
    let (mut entries, mut faults) = (Vec::new(), Vec::new());
    for record in reader.records() {
        match record {
            Err(error) => faults.push(error.into()),
            Ok(record) => {
                let line = record.position().map_or(0, csv::Position::line);
                let cells = heads.iter().zip(record.iter()).filter(|(_, cell)| !cell.is_empty()).collect();
                let mut row = Row { line, cells, faults: Vec::new() };
                entries.push(row.entry());
                faults.append(&mut row.faults);
            }
        }
        if faults.len() >= MOST_FAULTS {
            break;
        }
    }
    if faults.is_empty() { Ok(entries) } else { Err(ImportFaults(faults)) }
}

struct Row<'a> {
    line: u64,
    cells: Vec<(&'a str, &'a str)>,
    faults: Vec<ImportError>,
}

impl<'a> Row<'a> {
    fn text(&self, column: &str) -> Option<&'a str> {
        self.cells.iter().find(|(head, _)| *head == column).map(|(_, cell)| *cell)
    }

    fn refuse(&mut self, column: &'static str, wanted: impl ToString) {
        let value = shortened(self.text(column).unwrap_or_default());
        self.faults.push(ImportError::Cell { line: self.line, column, value, wanted: wanted.to_string() });
    }

    fn number(&mut self, column: &'static str) -> Option<f64> {
        let text = self.text(column)?;
        match text.parse::<f64>() {
            Ok(number) if number.is_finite() => return Some(number),
            _ if text.contains(',') => self.refuse(column, "is no number: decimals take a point"),
            _ => self.refuse(column, "is no number; the unit is in the head of the column"),
        }
        None
    }

    fn owned(&self, column: &str) -> Option<String> {
        self.text(column).map(str::to_owned)
    }

    /// The entry; good only where no faults were noted.
    fn entry(&mut self) -> EntryFile {
        let date = self.text("date").and_then(|text| match text.parse() {
            Ok(date) => Some(date),
            Err(_) => {
                self.refuse("date", "is no day like 2026-03-01");
                None
            }
        });
        let floats = match self.text("floats") {
            None => None,
            Some("yes" | "true") => Some(true),
            Some("no" | "false") => Some(false),
            Some(_) => {
                self.refuse("floats", "must be yes or no");
                None
            }
        };
        let part = self.text("part").is_some();
        EntryFile {
            date,
            recipe: self.owned("recipe").map(RecipeRef::Named),
            fly: self.owned("fly"),
            stage: self.owned("stage"),
            foam: self.number("foam_mm").map(Length::from_mm),
            medium: self.owned("medium"),
            water: self.number("water_c").map(Temperature::from_celsius),
            salinity: self.number("salinity_g_kg").map(Salinity::from_g_kg),
            depth: self.number("depth_m").map(Length::from_m),
            state: self.owned("state"),
            knot: self.owned("knot"),
            tippet: self.number("tippet_mm").map(Length::from_mm),
            hang: self.number("hang_deg").map(Angle::from_deg),
            hang_error: self.number("hang_error_deg").map(Angle::from_deg),
            rides: self.owned("rides"),
            floats,
            drops: self.drops(),
            mass: if part { None } else { self.number("mass_mg").map(Mass::from_mg) },
            mass_error: if part { None } else { self.number("mass_error_mg").map(Mass::from_mg) },
            weighed: self.weighed(),
            note: self.owned("note"),
        }
    }

    fn drops(&mut self) -> Vec<DropEntry> {
        for (column, other) in [("drop_s", "drop_m"), ("drop_m", "drop_s")] {
            if self.text(column).is_some() && self.text(other).is_none() {
                self.refuse(column, format!("stands without {other}"));
            }
        }
        let (distance, time) = (self.number("drop_m"), self.number("drop_s"));
        let (Some(m), Some(s)) = (distance, time) else { return Vec::new() };
        let (distance, time) = (Length::from_m(m), Time::from_s(s));
        vec![DropEntry { distance, time, error: None, line: self.owned("drop_line") }]
    }

    fn weighed(&mut self) -> Option<WeighedEntry> {
        let words: Vec<&str> = self.text("part")?.split_whitespace().collect();
        let (kind, id, cut) = match words.as_slice() {
            [kind, id] => (*kind, *id, None),
            [kind, id, word] => {
                let cut = Cut::from_word(word);
                if cut.is_none() {
                    self.refuse("part", "ends with a cut that is not known");
                }
                (*kind, *id, cut)
            }
            _ => {
                self.refuse("part", "must be a kind and an id, like `bead tungsten-3.5`");
                ("", "", None)
            }
        };
        if self.text("mass_mg").is_none() {
            self.refuse("mass_mg", "is missing: what do the parts weigh?");
        }
        let mass = self.number("mass_mg").unwrap_or_default();
        let count = match self.number("count") {
            None => None,
            Some(n) if n.fract() == 0.0 && (1.0..=1e5).contains(&n) => Some(n as u32),
            Some(_) => {
                self.refuse("count", "must be a whole number of pieces, up to 100000");
                None
            }
        };
        let length_mm = match self.number("length_mm").map(Microns::from_mm).transpose() {
            Ok(length) => length,
            Err(error) => {
                self.refuse("length_mm", error);
                None
            }
        };
        Some(WeighedEntry {
            kind: kind.to_owned(),
            id: id.to_owned(),
            count,
            length_mm,
            cut,
            mass: Mass::from_mg(mass),
            error: self.number("mass_error_mg").map(Mass::from_mg),
        })
    }
}

/// The start of a cell, where it is long.
fn shortened(cell: &str) -> String {
    match cell.char_indices().nth(60) {
        Some((end, _)) => format!("{}...", &cell[..end]),
        None => cell.to_owned(),
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

    #[test]
    fn all_that_is_wrong_is_said_at_once() {
        let text =
            "date,hang_deg,floats,drop_s,part,mass_mg,count\n1.3.26,x,perhaps,1,bead,,0\n2026-01-01,1,2\n,y,,,,,\n";
        let faults = entries_from_csv(text).unwrap_err();
        let said: Vec<String> = faults.all().iter().map(ToString::to_string).collect();
        assert_eq!(said.len(), 9, "{said:#?}");
        assert!(said[7].contains("line: 3") && said[8].starts_with("line 4, hang_deg"), "{said:#?}");
        let heads = entries_from_csv("hang,date,date,rides,sunk\n").unwrap_err();
        assert_eq!(heads.all().len(), 3, "{heads}");
        let many = format!("hang_deg\n{}", "x\n".repeat(50_000));
        assert_eq!(entries_from_csv(&many).unwrap_err().all().len(), MOST_FAULTS);
    }
}
