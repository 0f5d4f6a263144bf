//! What was learned from a jar log, in figures and as a table.

use super::calibration::{ValueReport, kind_of, number, test_words, value_report};
use super::figure::Figure;
use super::table::{Spacing, bullets, write_table};
use super::words::short;
use super::{ReportError, csv};
use crate::calibrate::{
    Class, Correction, Figure as What, Fit, Learned, NextTest, Outcome, Outlook, Reading, Summary, Unknown,
};
use crate::catalog::Catalog;
use crate::jar_log::{Entry, JarLog, Line, Test};
use crate::part::Kind;
use crate::vice::stages::Stage;
use serde::Serialize;
use std::io::Write;

/// Correlation from which two corrections are called hard to tell apart.
const TIED: f64 = 0.9;
/// Tests proposed, and how many of one sort (hang, drop, weigh).
const PROPOSED: usize = 5;
const OF_ONE_SORT: usize = 2;

/// Everything that a fit says.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FitReport {
    /// Name of the log.
    pub log: String,
    /// Entries in it.
    pub entries: usize,
    /// First day given.
    pub first_day: Option<String>,
    /// Last day given.
    pub last_day: Option<String>,
    /// Corrections, those that were told most first.
    pub corrections: Vec<LearnedReport>,
    /// What the log says next to nothing about.
    pub untold: Vec<String>,
    /// Pairs that are hard to tell apart.
    pub correlated: Vec<PairReport>,
    /// Every reading.
    pub readings: Vec<OutcomeReport>,
    /// How far off each kind of reading is.
    pub summary: Vec<SummaryReport>,
    /// What is unknown of the log's recipes at 1 m, by the catalog alone.
    pub unknown_before: UnknownReport,
    /// With this log.
    pub unknown_now: UnknownReport,
    /// Which test would teach most next, best first.
    pub next: Vec<NextReport>,
}

/// What the corrections leave unknown: standard deviations, root mean square over the recipes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UnknownReport {
    /// Of hangs, degrees.
    pub hang_deg: Figure,
    /// Of sink times, %.
    pub time_percent: Figure,
}

impl From<&Unknown> for UnknownReport {
    fn from(unknown: &Unknown) -> Self {
        Self { hang_deg: Figure(unknown.hang.to_degrees()), time_percent: Figure(unknown.time * 100.0) }
    }
}

/// One correction.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LearnedReport {
    /// Kind of part; `None`: all foam.
    pub kind: Option<&'static str>,
    /// Part id.
    pub id: Option<String>,
    /// Figure that is corrected.
    pub figure: &'static str,
    /// All of that in words.
    pub what: String,
    /// Unit of `catalog` and `fitted`.
    pub unit: Option<&'static str>,
    /// As the catalog has it.
    pub catalog: Option<Figure>,
    /// As fitted.
    pub fitted: Option<Figure>,
    /// Change, % (wall pressure: kPa).
    pub change: Figure,
    /// Its standard error.
    pub standard_error: Figure,
    /// The spread before the tests.
    pub spread_before: Figure,
    /// `%` or `kPa`.
    pub change_unit: &'static str,
    /// Share of the variance that the log took away.
    pub told: Figure,
}

/// Two corrections that go together.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairReport {
    /// One.
    pub one: String,
    /// The other.
    pub other: String,
    /// Correlation of their errors.
    pub correlation: Figure,
}

/// One reading before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OutcomeReport {
    /// Place of its entry in the log.
    pub number: usize,
    /// What was tested.
    pub test: String,
    /// hang, drop, mass, floats.
    pub what: &'static str,
    /// Unit of the figures.
    pub unit: &'static str,
    /// Seen; angles positive tail down.
    pub seen: Option<Figure>,
    /// By the catalog.
    pub before: ValueReport,
    /// By the fit.
    pub after: ValueReport,
    /// Predicted less seen, by the catalog.
    pub off_before: Figure,
    /// By the fit.
    pub off_after: Figure,
    /// By a fit without this fly.
    pub off_left_out: Figure,
    /// How far off a prediction may be expected to be, one standard deviation.
    pub expected: Figure,
    /// Weight in the fit.
    pub weight: Figure,
    /// Whether it looks misread.
    pub looks_misread: bool,
}

/// Root mean square of one kind of reading; those that look misread are not counted.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SummaryReport {
    /// hang, drop or mass.
    pub what: &'static str,
    /// deg, or % of what was seen.
    pub unit: &'static str,
    /// Readings.
    pub count: usize,
    /// By the catalog.
    pub rms_before: Figure,
    /// By the fit.
    pub rms_after: Figure,
    /// By fits without the fly in question.
    pub rms_left_out: Figure,
}

/// A test to make next.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextReport {
    /// What to do.
    pub test: String,
    /// What would be unknown after it.
    pub then: UnknownReport,
}

/// Puts a fit into figures.
#[must_use]
pub fn fit_report(
    fit: &Fit,
    log: &JarLog,
    catalog: &Catalog,
    outcomes: &[Outcome],
    summary: &[Summary],
    outlook: &Outlook,
) -> FitReport {
    let mut corrections: Vec<LearnedReport> = fit.learned().iter().map(|l| learned_report(l, catalog)).collect();
    corrections.sort_by(|a, b| b.told.0.total_cmp(&a.told.0));
    let shown = |o: &&Outcome| !matches!(o.observation.reading, Reading::Floats(_)) || o.misses() != [0.0; 3];
    let useful = varied(&outlook.tests);
    FitReport {
        log: log.name().to_owned(),
        entries: log.entries().len(),
        first_day: log.days().map(|d| d.0.to_string()),
        last_day: log.days().map(|d| d.1.to_string()),
        corrections,
        untold: fit.untold().iter().map(Correction::words).collect(),
        correlated: pairs(fit),
        readings: outcomes.iter().filter(shown).map(|o| outcome_report(o, log.entries())).collect(),
        summary: summary.iter().map(summary_report).collect(),
        unknown_before: (&outlook.before).into(),
        unknown_now: (&outlook.now).into(),
        next: useful.into_iter().map(next_report).collect(),
    }
}

/// The tests that teach most, not all of one sort.
fn varied(next: &[NextTest]) -> Vec<&NextTest> {
    let sort = |t: &NextTest| match &t.test {
        Test::Part(_) => 0,
        Test::Fly(fly) if fly.drops.is_empty() => 1,
        Test::Fly(_) => 2,
    };
    let mut kept: Vec<&NextTest> = Vec::new();
    for test in next.iter().filter(|t| t.worth > 0.0) {
        if kept.len() < PROPOSED && kept.iter().filter(|k| sort(k) == sort(test)).count() < OF_ONE_SORT {
            kept.push(test);
        }
    }
    kept
}

fn learned_report(learned: &Learned, catalog: &Catalog) -> LearnedReport {
    let Correction { part, figure } = &learned.correction;
    let wall = *figure == What::WallPressure;
    let (change, scale, change_unit) =
        if wall { (learned.shift() * 1e-3, 1e-3, "kPa") } else { ((learned.factor() - 1.0) * 100.0, 100.0, "%") };
    let value = learned.correction.catalog_figure(catalog);
    LearnedReport {
        kind: part.as_ref().map(|(kind, _)| kind.word()),
        id: part.as_ref().map(|(_, id)| id.clone()),
        figure: figure.word(),
        what: learned.correction.words(),
        unit: value.map(|_| unit_of(&learned.correction)),
        catalog: value.map(Figure),
        fitted: value.map(|v| Figure(v * learned.factor())),
        change: Figure(change),
        standard_error: Figure(learned.standard_error() * scale),
        spread_before: Figure(learned.spread * scale),
        change_unit,
        told: Figure(learned.told()),
    }
}

fn unit_of(correction: &Correction) -> &'static str {
    match (correction.figure, correction.part.as_ref().map(|(kind, _)| *kind)) {
        (What::Mass, Some(Kind::Wire)) => "mg/m",
        (What::Mass | What::HeadMass | What::Amount, _) => "mg",
        (What::Density, _) => "kg/m3",
        (What::Section, _) => "mm2",
        (What::WetDiameter, _) => "mm",
        _ => "",
    }
}

fn pairs(fit: &Fit) -> Vec<PairReport> {
    let learned = fit.learned();
    let mut pairs = Vec::new();
    for i in 0..learned.len() {
        for j in 0..i {
            let r = fit.correlation(i, j);
            if r.abs() > TIED {
                let words = |k: usize| learned[k].correction.words();
                pairs.push(PairReport { one: words(j), other: words(i), correlation: Figure(r) });
            }
        }
    }
    pairs
}

fn outcome_report(outcome: &Outcome, entries: &[Entry]) -> OutcomeReport {
    let observation = &outcome.observation;
    let entry = &entries[observation.entry];
    let (what, unit, factor) = kind_of(&observation.reading);
    let [before, after, left_out] = outcome.misses();
    let off = |miss: f64| {
        Figure(match observation.reading {
            Reading::Drop(drop) => drop.time.value * (miss.exp() - 1.0),
            Reading::Floats(_) => f64::from(u8::from(miss != 0.0)),
            _ => miss * factor,
        })
    };
    let seen = match observation.reading {
        Reading::Hang { angle, .. } => Some(Figure(angle.to_degrees())),
        Reading::Drop(drop) => Some(Figure(drop.time.value)),
        Reading::Mass(mass) => Some(Figure(mass * factor)),
        Reading::Floats(_) => None,
    };
    let expected = match observation.reading {
        Reading::Drop(drop) => drop.time.value * outcome.expected,
        Reading::Floats(_) => 0.0,
        _ => outcome.expected * factor,
    };
    OutcomeReport {
        number: entry.number,
        test: test_words(&entry.test),
        what,
        unit,
        seen,
        before: value_report(&outcome.before),
        after: value_report(&outcome.after),
        off_before: off(before),
        off_after: off(after),
        off_left_out: off(left_out),
        expected: Figure(expected),
        weight: Figure(outcome.weight),
        looks_misread: outcome.looks_misread(),
    }
}

fn summary_report(summary: &Summary) -> SummaryReport {
    let (what, unit, factor) = match summary.class {
        Class::Hang => ("hang", "deg", 1f64.to_degrees()),
        Class::Time => ("drop", "%", 100.0),
        Class::Mass => ("mass", "%", 100.0),
    };
    let [before, after, left_out] = summary.rms.map(|v| Figure(v * factor));
    SummaryReport { what, unit, count: summary.count, rms_before: before, rms_after: after, rms_left_out: left_out }
}

fn next_report(next: &NextTest) -> NextReport {
    NextReport { test: to_do(&next.test), then: (&next.then).into() }
}

fn to_do(test: &Test) -> String {
    match test {
        Test::Part(_) => format!("weigh {}", test_words(test)),
        Test::Fly(fly) => match (fly.drops.first(), fly.stage) {
            (Some(drop), _) => {
                let line = if drop.line == Line::Tight { "lower" } else { "let go of" };
                format!("{line} another {} over {} m and take the time", fly.recipe_name, short(drop.distance, 2))
            }
            (None, Stage::Finish) => format!("hang another {}, finished", fly.recipe_name),
            (None, stage) => format!("hang another {} after {}", fly.recipe_name, stage.word()),
        },
    }
}

/// Predicted as a reading counts it: angles positive tail down and counted on past the vertical from what was seen.
fn counted(reading: &OutcomeReport, off: Figure) -> String {
    match (reading.seen, reading.unit) {
        (None, _) => if off.0 == 0.0 { "as seen" } else { "not so" }.to_owned(),
        (Some(seen), "deg") => format!("{:+.1}°", seen.0 + off.0),
        (Some(seen), unit) => number(seen.0 + off.0, unit),
    }
}

fn signed(value: f64, unit: &str) -> String {
    match unit {
        "deg" => format!("{value:+.1}°"),
        "s" => format!("{value:+.2} s"),
        "" => String::new(),
        unit => format!("{value:+.1} {unit}"),
    }
}

/// Writes a fit for a person.
///
/// # Errors
/// The stream refuses.
pub fn fit_table(out: &mut dyn Write, report: &FitReport) -> Result<(), ReportError> {
    let days = match (&report.first_day, &report.last_day) {
        (Some(a), Some(b)) if a != b => format!(", {a} to {b}"),
        (Some(day), _) => format!(", {day}"),
        _ => String::new(),
    };
    writeln!(out, "fitted to {} ({} entries{days})\n", report.log, report.entries)?;
    if report.corrections.is_empty() {
        writeln!(out, "these tests correct nothing: they say next to nothing beyond the catalog")?;
    } else {
        corrections_table(out, &report.corrections)?;
    }
    if !report.correlated.is_empty() {
        writeln!(out, "\nhard to tell apart: what they do together is known better than either alone")?;
        bullets(
            out,
            report
                .correlated
                .iter()
                .map(|p| format!("{} and {} (correlation {:+.2})", p.one, p.other, p.correlation.0)),
        )?;
    }
    if !report.untold.is_empty() {
        writeln!(out, "\nleft as the catalog has it: these tests say next to nothing about")?;
        bullets(out, std::iter::once(report.untold.join("; ")))?;
    }
    writeln!(out, "\nbefore and after (hangs positive tail down; left out: fitted without that fly)")?;
    readings_table(out, &report.readings)?;
    writeln!(out, "\nhow far off, root mean square")?;
    bullets(out, report.summary.iter().map(summary_words))?;
    let misread: Vec<String> = report
        .readings
        .iter()
        .filter(|r| r.looks_misread)
        .map(|r| {
            format!("#{}, {}: {} away from what all the rest says", r.number, r.what, signed(-r.off_left_out.0, r.unit))
        })
        .collect();
    if !misread.is_empty() {
        writeln!(out, "\nlooks misread: next to no weight was given to")?;
        bullets(out, misread.into_iter())?;
    }
    let words =
        |u: &UnknownReport| format!("hangs to +-{:.1}°, sink times to +-{:.1} %", u.hang_deg.0, u.time_percent.0);
    writeln!(out, "\nhow well these recipes are known at 1 m, apart from what flies scatter")?;
    bullets(
        out,
        [format!("by the catalog: {}", words(&report.unknown_before)), format!("now: {}", words(&report.unknown_now))]
            .into_iter(),
    )?;
    if !report.next.is_empty() {
        writeln!(out, "\nwhat would teach most next")?;
        next_table(out, &report.next)?;
    }
    Ok(())
}

fn corrections_table(out: &mut dyn Write, list: &[LearnedReport]) -> Result<(), ReportError> {
    let rows = list.iter().map(|c| {
        let value = |v: Option<Figure>| match (v, c.unit) {
            (Some(v), Some(unit)) => format!("{} {unit}", short(v.0, 2)).trim_end().to_owned(),
            _ => String::new(),
        };
        vec![
            c.what.clone(),
            value(c.catalog),
            value(c.fitted),
            format!("{:+.1} {}", c.change.0, c.change_unit),
            format!("+-{:.1} {}", c.spread_before.0, c.change_unit),
            format!("+-{:.1} {}", c.standard_error.0, c.change_unit),
            format!("{:.0} %", c.told.0 * 100.0),
        ]
    });
    let heads = ["what", "catalog", "fitted", "change", "known to\nbefore", "known to\nnow", "told"];
    write_table(out, &heads, 1, Spacing::Close, rows)
}

fn readings_table(out: &mut dyn Write, list: &[OutcomeReport]) -> Result<(), ReportError> {
    let rows = list.iter().map(|r| {
        let seen = match (r.seen, r.unit) {
            (None, _) => String::new(),
            (Some(seen), "deg") => format!("{:+.1}°", seen.0),
            (Some(seen), unit) => number(seen.0, unit),
        };
        vec![
            r.number.to_string(),
            r.test.clone(),
            r.what.to_owned(),
            seen,
            counted(r, r.off_before),
            counted(r, r.off_after),
            signed(r.off_left_out.0, r.unit),
            match r.unit {
                "" => String::new(),
                unit => signed(r.expected.0, unit).replace('+', "+-"),
            },
            if r.looks_misread { "misread?".to_owned() } else { String::new() },
        ]
    });
    let heads = ["#", "test", "reading", "seen", "before", "after", "off, left\nout", "expected\noff", ""];
    write_table(out, &heads, 3, Spacing::Close, rows)
}

fn summary_words(s: &SummaryReport) -> String {
    let unit = if s.unit == "deg" { "°" } else { " %" };
    let value = |v: Figure| format!("{:.1}{unit}", v.0);
    let readings = if s.count == 1 { "reading" } else { "readings" };
    format!(
        "{} ({} {readings}): {} before, {} after, {} left out",
        s.what,
        s.count,
        value(s.rms_before),
        value(s.rms_after),
        value(s.rms_left_out)
    )
}

fn next_table(out: &mut dyn Write, list: &[NextReport]) -> Result<(), ReportError> {
    let rows = list.iter().map(|n| {
        vec![n.test.clone(), format!("+-{:.1}°", n.then.hang_deg.0), format!("+-{:.1} %", n.then.time_percent.0)]
    });
    write_table(out, &["test", "then hangs\nknown to", "sink times\nknown to"], 1, Spacing::Close, rows)
}

const HEADS: [&str; 12] = [
    "number",
    "test",
    "reading",
    "unit",
    "seen",
    "before",
    "after",
    "off_before",
    "off_after",
    "off_left_out",
    "expected",
    "looks_misread",
];

/// Writes every reading as CSV.
///
/// # Errors
/// The stream refuses.
pub fn fit_csv(out: &mut dyn Write, report: &FitReport) -> Result<(), ReportError> {
    let rows = report.readings.iter().map(|r| {
        let plus = |off: Figure| r.seen.map_or_else(String::new, |s| Figure(s.0 + off.0).rounded().to_string());
        vec![
            r.number.to_string(),
            r.test.clone(),
            r.what.to_owned(),
            r.unit.to_owned(),
            r.seen.map_or_else(String::new, |s| s.rounded().to_string()),
            plus(r.off_before),
            plus(r.off_after),
            r.off_before.rounded().to_string(),
            r.off_after.rounded().to_string(),
            r.off_left_out.rounded().to_string(),
            r.expected.rounded().to_string(),
            r.looks_misread.to_string(),
        ]
    });
    csv::lines(out, &HEADS, rows)
}
