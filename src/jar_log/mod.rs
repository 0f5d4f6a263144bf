//! The jar log: what a tyer saw, timed and weighed, kept by hand or with `counterpoise jar add`.
//!
//! ```
//! use counterpoise::document::Source;
//! use counterpoise::jar_log::JarLog;
//!
//! let text = "
//! jar_log: 1
//! jar: {water: 18 C, depth: 12 cm}      # where nothing else is said
//! recipes:
//!   leech: {hook: jig60-12, pattern: light-body, bead: {id: tungsten-slotted-3.5},
//!           foam: {id: pe-rod-1-4in, cut: quarter, length_mm: 9.5, seat: tail}}
//! entries:
//!   - {date: 2026-03-01, recipe: leech, fly: A, stage: foam, hang: 31 deg, rides: point-up}
//!   - {date: 2026-03-01, recipe: leech, fly: A, hang: 12 deg, rides: point-up, drops: [{distance: 20 cm, time: 1.1 s}]}
//!   - {date: 2026-03-02, weighed: {kind: bead, id: tungsten-slotted-3.5, count: 10, mass: 2.71 g}}
//! ";
//! let log = JarLog::read(&Source::new("jar.yaml", text), ".".as_ref())?;
//! assert_eq!(log.entries().len(), 3);
//! # Ok::<(), counterpoise::document::Diagnostics>(())
//! ```
//!
//! The same `fly` in two entries of one recipe is one and the same fly, tested twice; an entry without it stands for a fly of
//! its own.

mod append;
mod check;
mod date;
mod import;
mod schema;

pub use append::{AppendError, Appended, Manner, append, append_in, with_entries};
pub use date::Date;
pub use import::{COLUMNS, ImportError, ImportFaults, entries_from_csv};
pub use schema::{DropEntry, EntryFile, JarEntry, JarLogFile, RecipeRef, VERSION, WeighedEntry};

use crate::catalog::Catalog;
use crate::document::{Diagnostics, Document, Source};
use crate::fly::{Conditions, UnknownPart, resolve};
use crate::part::{Cut, Kind};
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::recipe::{FoamUse, Recipe};
use crate::vice::Stage;

/// Errors of readings where the log states none. Estimates, no source.
pub mod reading_errors {
    /// Hang angle read by eye, rad.
    pub const HANG: f64 = crate::spread::seen::READING_SD;
    /// Time by a stop watch started and stopped by hand, s.
    pub const TIME: f64 = 0.15;
    /// Scale of 1 mg steps, kg.
    pub const MASS: f64 = 1e-6;
}

/// How the line was during a drop.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Line {
    /// Let go.
    Slack,
    /// Lowered on a tight line, or with the line just following.
    Tight,
}

/// A reading with its standard error, SI.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What was read.
    pub value: f64,
    /// Its standard error.
    pub error: f64,
}

/// A timed drop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Drop {
    /// Distance, m.
    pub distance: f64,
    /// Time, s.
    pub time: Measured,
    /// Line.
    pub line: Line,
}

/// What was seen of a fly, finished or on the way.
#[derive(Debug, Clone, PartialEq)]
pub struct FlyTest {
    /// Name of the recipe, as the log says it.
    pub recipe_name: String,
    /// Recipe.
    pub recipe: Recipe,
    /// Which fly, if it is named.
    pub fly: Option<String>,
    /// How far it was tied.
    pub stage: Stage,
    /// Length of the foam that was on, where it is not the recipe's.
    pub foam: Option<Microns>,
    /// Water, depth, state, knot.
    pub conditions: Conditions,
    /// Hang angle, rad, positive tail down.
    pub hang: Option<Measured>,
    /// Side of the point.
    pub rides: Option<Rides>,
    /// Seen to float (`true`) or to sink.
    pub floats: Option<bool>,
    /// Timed drops.
    pub drops: Vec<Drop>,
    /// On the scale, dry, kg.
    pub mass: Option<Measured>,
}

impl FlyTest {
    /// The recipe with the foam that was on.
    #[must_use]
    pub fn as_tested(&self) -> Recipe {
        let of_length = |foam: &FoamUse| FoamUse { length: self.foam.unwrap_or(foam.length), ..foam.clone() };
        Recipe { foam: self.recipe.foam.as_ref().map(of_length), ..self.recipe.clone() }
    }
}

/// Loose parts on a scale.
#[derive(Debug, Clone, PartialEq)]
pub struct PartTest {
    /// Kind.
    pub kind: Kind,
    /// Id.
    pub id: String,
    /// Pieces.
    pub count: u32,
    /// Length of wire or foam in each piece.
    pub length: Option<Microns>,
    /// Lengthwise cut of foam.
    pub cut: Cut,
    /// All together, kg.
    pub mass: Measured,
}

/// What an entry is about.
#[derive(Debug, Clone, PartialEq)]
#[allow(clippy::large_enum_variant)] // a log has some dozens of entries
pub enum Test {
    /// A fly.
    Fly(FlyTest),
    /// Loose parts.
    Part(PartTest),
}

/// One entry, checked.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its place in the log, from 1.
    pub number: usize,
    /// Day, if it is given.
    pub date: Option<Date>,
    /// What was tested.
    pub test: Test,
}

/// A log that was read.
#[derive(Debug, Clone)]
pub struct JarLog {
    document: Document,
    entries: Vec<Entry>,
    names: Vec<String>,
}

/// The folder that a log lies in, from which the recipe files that it names are looked for.
#[must_use]
pub fn folder_of(path: &std::path::Path) -> &std::path::Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or_else(|| ".".as_ref())
}

impl JarLog {
    /// Reads a log. Recipe files that it names are looked for from `folder`.
    ///
    /// # Errors
    /// Everything that is wrong with it, or with the recipe files.
    pub fn read(source: &Source, folder: &std::path::Path) -> Result<Self, Diagnostics> {
        let document = Document::open(source)?;
        let (file, mut problems) = document.decode::<JarLogFile>();
        let Some(file) = file else { return Err(problems) };
        let (entries, names) = check::entries(&file, &document, folder, &mut problems);
        problems.or(Self { document, entries, names })
    }

    /// What an entry may call a recipe of this log: names under `recipes:`, files and ids.
    #[must_use]
    pub fn recipe_names(&self) -> &[String] {
        &self.names
    }

    /// The name of the file.
    #[must_use]
    pub fn name(&self) -> &str {
        self.document.source().name()
    }

    /// The entries, in order.
    #[must_use]
    pub fn entries(&self) -> &[Entry] {
        &self.entries
    }

    /// The same log with the sign of every hang turned.
    #[must_use]
    pub fn with_signs_turned(mut self) -> Self {
        for entry in &mut self.entries {
            if let Test::Fly(FlyTest { hang: Some(hang), .. }) = &mut entry.test {
                hang.value = -hang.value;
            }
        }
        self
    }

    /// First and last day given.
    #[must_use]
    pub fn days(&self) -> Option<(Date, Date)> {
        let days = || self.entries.iter().filter_map(|e| e.date);
        Some((days().min()?, days().max()?))
    }

    /// Whether the catalog holds every part.
    ///
    /// # Errors
    /// Each entry with a part that it does not hold.
    pub fn check_parts(&self, catalog: &Catalog) -> Result<(), Diagnostics> {
        let mut problems = Diagnostics::new();
        for entry in &self.entries {
            let at = crate::document::Path::root().key("entries").index(entry.number - 1);
            let found = match &entry.test {
                Test::Fly(test) => resolve(&test.recipe, catalog).err().map(|e| (at.key("recipe"), e)),
                Test::Part(test) => {
                    let known = catalog.rows(test.kind).iter().any(|row| row.id == test.id);
                    let suggestion = catalog.suggest(test.kind, &test.id).map(str::to_owned);
                    let unknown = UnknownPart { kind: test.kind, id: test.id.clone(), suggestion };
                    (!known).then(|| (at.key("weighed").key("id"), unknown))
                }
            };
            if let Some((path, unknown)) = found {
                let problem = self.document.problem(&path, unknown.to_string());
                problems.push(match unknown.suggestion {
                    Some(near) => problem.help(format!("did you mean `{near}`?")),
                    None => problem.help(format!("`counterpoise catalog list {}` shows what there is", unknown.kind)),
                });
            }
        }
        problems.or(())
    }
}
