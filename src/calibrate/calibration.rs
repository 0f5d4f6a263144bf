//! A calibration: what a log taught, as a file that every command takes, and laid over a catalog in memory.

use super::correction::{Correction, Figure};
use super::fingerprint::fingerprint;
use super::fit::{Fit, Learned};
use crate::catalog::{Catalog, fnv};
use crate::document::{Diagnostics, Document, Path, Problem, Source};
use crate::jar_log::{Date, JarLog};
use crate::part::Kind;
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// Version of the file.
pub const VERSION: u32 = 1;
/// Share by which a figure of the catalog may differ from the one that was fitted to: rounding of the file.
const SAME: f64 = 1e-6;

/// The file, key by key.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct CalibrationFile {
    calibration: u32,
    fitted_from: FittedFrom,
    #[serde(default)]
    corrections: Vec<CorrectionEntry>,
    #[serde(default)]
    correlation: Vec<Vec<f64>>,
}

/// What a calibration was fitted from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FittedFrom {
    /// Name of the log.
    pub log: String,
    /// Entries.
    pub entries: usize,
    /// First day given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub first_day: Option<Date>,
    /// Last day given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub last_day: Option<Date>,
    /// Fingerprint of the corrected parts as the catalog had them, without names and prices.
    pub catalog: String,
}

/// One correction in the file.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
struct CorrectionEntry {
    #[serde(default, skip_serializing_if = "Option::is_none")]
    kind: Option<String>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    id: Option<String>,
    figure: String,
    /// As the catalog had it when this was fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    catalog: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    factor: Option<f64>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    shift_kpa: Option<f64>,
    standard_error: f64,
    spread: f64,
}

/// Corrections with what they were fitted from.
#[derive(Debug, Clone)]
pub struct Calibration {
    document: Document,
    file: CalibrationFile,
    corrections: Vec<Correction>,
}

/// The text of the calibration that a fit gives.
///
/// # Errors
/// A figure is no finite number.
pub fn calibration_text(fit: &Fit, log: &JarLog) -> Result<String, crate::yaml::Error> {
    let catalog = fit.model.catalog();
    let (first_day, last_day) = log.days().map_or((None, None), |(a, b)| (Some(a), Some(b)));
    let learned = fit.learned();
    let correlation =
        (0..learned.len()).map(|i| (0..=i).map(|j| rounded(fit.correlation(i, j), 4)).collect()).collect();
    let file = CalibrationFile {
        calibration: VERSION,
        fitted_from: FittedFrom {
            log: log.name().to_owned(),
            entries: log.entries().len(),
            first_day,
            last_day,
            catalog: fingerprint(catalog, &parts(learned.iter().map(|l| &l.correction))),
        },
        corrections: learned.iter().map(|l| entry(l, catalog)).collect(),
        correlation,
    };
    let head = "# Written by `counterpoise fit`; use it with --calibration. Corrections are factors on figures of the catalog\n\
                # (shift_kpa is added), with standard errors as shares (kPa) after the tests, and spreads before them.\n\
                # Units of `catalog`: mass mg (wire mg/m), density kg/m3, section mm2, wet-diameter mm, air a share.\n\
                # `correlation` has a row for each correction, up to itself.\n";
    Ok(format!("{head}{}", crate::yaml::to_string(&file)?))
}

/// JSON Schema of a calibration.
#[must_use]
pub fn calibration_schema() -> schemars::Schema {
    crate::document::file_schema::<CalibrationFile>()
}

fn rounded(value: f64, decimals: i32) -> f64 {
    let scale = 10f64.powi(decimals);
    // Adding zero turns -0 into 0.
    (value * scale).round() / scale + 0.0
}

fn digits(value: f64, digits: usize) -> f64 {
    format!("{value:.*e}", digits - 1).parse().unwrap_or(value)
}

fn entry(learned: &Learned, catalog: &Catalog) -> CorrectionEntry {
    let Correction { part, figure } = &learned.correction;
    let wall = *figure == Figure::WallPressure;
    let scale = if wall { 1e-3 } else { 1.0 };
    CorrectionEntry {
        kind: part.as_ref().map(|(kind, _)| kind.word().to_owned()),
        id: part.as_ref().map(|(_, id)| id.clone()),
        figure: figure.word().to_owned(),
        catalog: learned.correction.catalog_figure(catalog).map(|v| digits(v, 9)),
        factor: (!wall).then(|| digits(learned.factor(), 6)),
        shift_kpa: wall.then(|| digits(learned.shift() * scale, 6)),
        standard_error: digits(learned.standard_error() * scale, 4),
        spread: digits(learned.spread * scale, 4),
    }
}

fn parts<'a>(corrections: impl Iterator<Item = &'a Correction>) -> BTreeSet<(Kind, &'a str)> {
    corrections.filter_map(|c| c.part.as_ref()).map(|(kind, id)| (*kind, id.as_str())).collect()
}

impl Calibration {
    /// Digest of what it says; comments, order of keys and the name of the file do not count.
    #[must_use]
    pub fn digest(&self) -> String {
        fnv(format!("{:?}", self.file).into_bytes())
    }

    /// Reads a calibration.
    ///
    /// # Errors
    /// Everything that is wrong with the file.
    pub fn read(source: &Source) -> Result<Self, Diagnostics> {
        let document = Document::open(source)?;
        let (file, mut problems) = document.decode::<CalibrationFile>();
        let Some(file) = file else { return Err(problems) };
        if file.calibration != VERSION {
            let text = format!("calibration is {}; this program reads version {VERSION}", file.calibration);
            problems.push(document.problem(&Path::root().key("calibration"), text).help("fit the jar log again"));
        }
        let at = |i: usize| Path::root().key("corrections").index(i);
        let corrections: Vec<Option<Correction>> = file
            .corrections
            .iter()
            .enumerate()
            .map(|(i, entry)| checked(entry, &document, &at(i), &mut problems))
            .collect();
        for (i, correction) in corrections.iter().enumerate() {
            if correction.is_some() && corrections[..i].contains(correction) {
                problems.push(document.problem(&at(i), "this is corrected already").help("keep one of them"));
            }
        }
        let rows = &file.correlation;
        let triangle = rows.len() == corrections.len() && rows.iter().enumerate().all(|(i, row)| row.len() == i + 1);
        if !triangle || !rows.iter().flatten().all(|r| (-1.0..=1.0).contains(r)) {
            let text = "correlation must have a row for each correction, each one longer, of numbers from -1 to 1";
            problems.push(document.problem(&Path::root().key("correlation"), text));
        }
        let corrections = corrections.into_iter().flatten().collect();
        problems.or(Self { document, file, corrections })
    }

    /// The name of the file.
    #[must_use]
    pub fn name(&self) -> &str {
        self.document.source().name()
    }

    /// What it was fitted from.
    #[must_use]
    pub fn fitted_from(&self) -> &FittedFrom {
        &self.file.fitted_from
    }

    /// What it corrects.
    #[must_use]
    pub fn corrections(&self) -> &[Correction] {
        &self.corrections
    }

    /// One sentence: how many corrections, from what.
    #[must_use]
    pub fn words(&self) -> String {
        let from = self.fitted_from();
        let days = match (from.first_day, from.last_day) {
            (Some(a), Some(b)) if a != b => format!(", {a} to {b}"),
            (Some(day), _) => format!(", {day}"),
            _ => String::new(),
        };
        let counted = |n: usize, one: &str, more: &str| format!("{n} {}", if n == 1 { one } else { more });
        format!(
            "parts corrected by {}: {} fitted to {} ({}{days})",
            self.name(),
            counted(self.corrections.len(), "correction", "corrections"),
            from.log,
            counted(from.entries, "entry", "entries")
        )
    }

    /// A catalog with the corrections in it: figures moved, and their spreads narrowed to what the tests left.
    ///
    /// # Errors
    /// Parts that the catalog does not hold, and parts that are no longer as they were when the calibration was fitted: it
    /// would correct them twice.
    pub fn apply(&self, catalog: &Catalog) -> Result<Catalog, Diagnostics> {
        let mut problems = Diagnostics::new();
        for (i, (correction, entry)) in self.corrections.iter().zip(&self.file.corrections).enumerate() {
            if let Some(problem) = self.misfit(correction, entry, catalog, i) {
                problems.push(problem);
            }
        }
        let now = fingerprint(catalog, &parts(self.corrections.iter()));
        if problems.is_empty() && now != self.fitted_from().catalog {
            let path = Path::root().key("fitted_from").key("catalog");
            let text = format!("the corrected parts are no longer as they were: their fingerprint is `{now}`");
            problems.push(self.document.problem(&path, text).help(AGAIN));
        }
        let mut corrected = catalog.clone();
        for (correction, entry) in self.corrections.iter().zip(&self.file.corrections) {
            let shift = entry.factor.map_or_else(|| 1e3 * entry.shift_kpa.unwrap_or(0.0), f64::ln);
            let scale = if entry.factor.is_some() { 1.0 } else { 1e3 };
            if let Some(spread) = correction.spread(catalog) {
                let left = (entry.standard_error * scale / spread).clamp(0.0, 1.0);
                correction.apply(&mut corrected, shift / spread, left);
            }
        }
        problems.or(corrected)
    }

    /// Why a correction does not go with a catalog.
    fn misfit(&self, correction: &Correction, entry: &CorrectionEntry, catalog: &Catalog, i: usize) -> Option<Problem> {
        let path = Path::root().key("corrections").index(i);
        if let Some((kind, id)) = &correction.part
            && catalog.row(*kind, id).is_none()
        {
            let problem = self.document.problem(&path.key("id"), format!("the catalog has no {kind} `{id}`"));
            return Some(match catalog.suggest(*kind, id) {
                Some(near) => problem.help(format!("did you mean `{near}`?")),
                None => problem.help("give the files of --catalog that the jar log was fitted with"),
            });
        }
        let (now, then) = (correction.catalog_figure(catalog), entry.catalog);
        let same = match (now, then) {
            (Some(now), Some(then)) => (now - then).abs() <= SAME * then.abs(),
            (None, None) => true,
            _ => false,
        };
        if same && correction.spread(catalog).is_some() {
            return None;
        }
        let figure = |value: Option<f64>| value.map_or_else(|| "none".to_owned(), |v| digits(v, 6).to_string());
        let text = format!(
            "{} is {} in the catalog, and was {} when this was fitted",
            correction.figure.word(),
            figure(now),
            figure(then)
        );
        Some(self.document.problem(&path.key("catalog"), text).help(AGAIN))
    }
}

const AGAIN: &str = "fit the jar log again, with the same files of --catalog as now";

fn checked(
    entry: &CorrectionEntry,
    document: &Document,
    path: &Path,
    problems: &mut Diagnostics,
) -> Option<Correction> {
    let before = problems.len();
    let mut refuse = |key: &str, text: String| problems.push(document.problem(&path.key(key), text));
    let figure = Figure::from_word(&entry.figure);
    if figure.is_none() {
        let known = Figure::ALL.map(Figure::word).join(", ");
        refuse("figure", format!("figure is `{}`; it must be one of {known}", entry.figure));
    }
    let kind = entry.kind.as_ref().map(|word| (word, Kind::ALL.into_iter().find(|k| k.word() == word)));
    if let Some((word, None)) = kind {
        refuse("kind", format!("`{word}` is no kind of part"));
    }
    let part = match (kind, &entry.id) {
        (Some((_, Some(kind))), Some(id)) => Some((kind, id.clone())),
        (None, None) | (Some((_, None)), _) => None,
        _ => {
            refuse("kind", "`kind` and `id` go together".to_owned());
            None
        }
    };
    if let Some(figure) = figure {
        let known = match &part {
            Some((kind, _)) => Figure::of_kind(*kind).contains(&figure),
            None => kind.is_some() || Figure::OF_ALL_FOAM.contains(&figure),
        };
        if !known {
            let of = part.as_ref().map_or("all foam".to_owned(), |(kind, _)| format!("a {kind}"));
            refuse("figure", format!("{} is not corrected for {of}", figure.word()));
        }
        let wall = figure == Figure::WallPressure;
        let number = if wall { entry.shift_kpa } else { entry.factor };
        let key = if wall { "shift_kpa" } else { "factor" };
        let sound = |v: f64| if wall { v.abs() <= 500.0 } else { (0.05..=20.0).contains(&v) };
        match number {
            Some(v) if sound(v) => {}
            Some(v) => refuse(key, format!("{key} is {v}, which makes no sense")),
            None => refuse(key, format!("`{key}` is missing")),
        }
        if entry.factor.is_some() && entry.shift_kpa.is_some() {
            refuse("shift_kpa", "`factor` and `shift_kpa` do not go together".to_owned());
        }
    }
    for (key, value) in [("standard_error", entry.standard_error), ("spread", entry.spread)] {
        if !(value > 0.0 && value < 500.0) {
            refuse(key, format!("{key} is {value}; it must be above 0"));
        }
    }
    figure.filter(|_| problems.len() == before).map(|figure| Correction { part, figure })
}
