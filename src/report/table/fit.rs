//! What was learned from a jar log, for a person, and line by line.

use super::{Spacing, bullets, write_table};
use crate::quantity::shown::DEPTH;
use crate::report::calibration::{decimals, difference, number, signed};
use crate::report::column::{column, columns_table};
use crate::report::fit::{
    FitReport, HabitReport, LearnedReport, NextReport, OutcomeReport, SeparatesReport, SummaryReport, UnknownReport,
};
use crate::report::sheet::Sheet;
use crate::report::{Figure, ReportError, csv};
use crate::vice::Medium;
use std::io::Write;

fn floats_words(floats: bool) -> String {
    if floats { "floats" } else { "sinks" }.to_owned()
}

/// What is so far off what was seen, as a reading counts it: angles positive tail down and counted on past the vertical
/// from what was seen.
fn counted(reading: &OutcomeReport, off: Figure) -> String {
    match (reading.seen, reading.seen_floats, reading.unit) {
        (_, Some(floats), _) => floats_words(floats == (off.0 == 0.0)),
        (Some(seen), _, "deg") => format!("{:+.1}°", seen.0 + off.0),
        (Some(seen), _, unit) => number(seen.0 + off.0, unit, decimals(unit)),
        (None, None, _) => String::new(),
    }
}

/// Writes a fit for a person.
///
/// # Errors
/// The stream refuses.
pub fn fit_table(out: &mut Sheet, report: &FitReport) -> Result<(), ReportError> {
    let days = match (&report.first_day, &report.last_day) {
        (Some(a), Some(b)) if a != b => format!(", {a} to {b}"),
        (Some(day), _) => format!(", {day}"),
        _ => String::new(),
    };
    let entries = if report.entries == 1 { "entry" } else { "entries" };
    out.told("", &format!("fitted to {} ({} {entries}{days})", report.log, report.entries))?;
    writeln!(out)?;
    if report.corrections.is_empty() {
        out.told("", "these tests correct nothing: they say next to nothing beyond the catalog")?;
    } else {
        corrections_table(out, &report.corrections)?;
    }
    if !report.habits.is_empty() {
        writeln!(out, "\nhabits of hand and eye")?;
        bullets(out, report.habits.iter().map(habit_words))?;
    }
    if !report.correlated.is_empty() {
        out.heading("hard to tell apart: what they do together is known better than either alone")?;
        bullets(
            out,
            report
                .correlated
                .iter()
                .map(|p| format!("{} and {} (correlation {:+.2})", p.one, p.other, p.correlation.0)),
        )?;
    }
    if !report.untold.is_empty() {
        out.heading("left as the catalog has it: these tests say next to nothing about")?;
        bullets(out, std::iter::once(report.untold.join("; ")))?;
    }
    let left_out = if out.paper.columns < WITH_BEFORE { "" } else { "; left out: fitted without that fly" };
    out.heading(&format!("before and after (hangs positive tail down{left_out})"))?;
    readings_table(out, &report.readings)?;
    if !report.summary.is_empty() {
        writeln!(out, "\nhow far off, root mean square")?;
        bullets(out, report.summary.iter().map(summary_words))?;
    }
    if let Some(help) = &report.help {
        let text = format!(
            "off by {:.1}° with the catalog, by {:.1}° with this calibration; nearer with it in {:.0} of 100",
            help.off_without_deg.0,
            help.off_with_deg.0,
            100.0 * help.nearer.0
        );
        writeln!(out, "\nhangs of these recipes, by what this log says")?;
        bullets(out, std::iter::once(text))?;
    }
    let misread: Vec<String> = report.readings.iter().filter(|r| r.looks_misread).map(misread_words).collect();
    if !misread.is_empty() {
        writeln!(out, "\nlooks misread: next to no weight was given to")?;
        bullets(out, misread.into_iter())?;
    }
    if let (Some(before), Some(now)) = (&report.unknown_before, &report.unknown_now) {
        let depth = DEPTH.text(1.0, 2);
        out.heading(&format!("how well these recipes are known at {depth}, apart from what flies scatter"))?;
        let lines = [("by the catalog", before), ("now", now)];
        bullets(out, lines.into_iter().map(|(when, u)| format!("{when}: {}", unknown_words(u))))?;
    }
    if !report.next.is_empty() {
        writeln!(out, "\nwhat would teach most next for its trouble")?;
        next_table(out, &report.next)?;
    }
    let separates: Vec<String> =
        Medium::ALL.into_iter().filter_map(|medium| separates_words(&report.separates, medium)).collect();
    if !separates.is_empty() {
        writeln!(out, "\nof what is left unknown one more hang would tell most")?;
        bullets(out, separates.into_iter())?;
    }
    Ok(())
}

fn habit_words(h: &HabitReport) -> String {
    let decimals = if h.unit == "mm" { 2 } else { 1 };
    let (_, shown, decimals) = difference(0.0, h.unit, decimals);
    let unit = if h.unit == "deg" { "°".to_owned() } else { format!(" {shown}") };
    let least = if h.unit == "mm" { 0.005 } else { 0.05 };
    let amount = if h.amount.0.abs() < least { 0.0 } else { h.amount.0 };
    let from = if h.goes_with_flies { "" } else { "; left out of the calibration" };
    format!(
        "{}: {:+.decimals$}{unit} +-{:.decimals$}{unit} (before: +-{:.decimals$}{unit}{from})",
        h.what,
        difference(amount, h.unit, decimals).0,
        difference(h.standard_error.0, h.unit, decimals).0,
        difference(h.spread_before.0, h.unit, decimals).0
    )
}

fn misread_words(r: &OutcomeReport) -> String {
    let against = match r.seen_floats {
        Some(floats) => format!("seen that it {}, against all the rest", floats_words(floats)),
        None => format!("{} away from what all the rest says", signed(-r.off_left_out.0, r.unit)),
    };
    format!("#{}, {}: {against}", r.number, r.what)
}

fn unknown_words(u: &UnknownReport) -> String {
    format!("hangs to +-{:.1}°, sink times to +-{:.1} %", u.hang_deg.0, u.time_percent.0)
}

fn corrections_table(out: &mut Sheet, list: &[LearnedReport]) -> Result<(), ReportError> {
    let rows = list.iter().map(|c| {
        let value = |v: Option<Figure>| match (v, c.unit) {
            (Some(v), Some(unit)) => number(v.0, unit, 2).trim_end().to_owned(),
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

/// What one more hang in each medium would tell most of: "in the hand, masses alone: wire: mass 12 %".
fn separates_words(list: &[SeparatesReport], medium: Medium) -> Option<String> {
    const MOST: usize = 3;
    const LEAST: f64 = 0.01;
    let tells = |s: &SeparatesReport| if medium == Medium::Air { s.air.0 } else { s.water.0 };
    let mut told: Vec<&SeparatesReport> = list.iter().filter(|s| tells(s) >= LEAST).collect();
    told.sort_by(|a, b| tells(b).total_cmp(&tells(a)));
    let words: Vec<String> = told.iter().take(MOST).map(|s| format!("{} {:.0} %", s.what, 100.0 * tells(s))).collect();
    let of = if medium == Medium::Air { "masses and where they sit" } else { "masses and volumes" };
    (!words.is_empty()).then(|| format!("{} ({of}): {}", medium.place(), words.join("; ")))
}

/// Fewest characters across for what was predicted before and how far off a reading is with its fly left out.
const WITH_BEFORE: u16 = 80;

fn readings_table(out: &mut Sheet, list: &[OutcomeReport]) -> Result<(), ReportError> {
    let wide = out.paper.columns >= WITH_BEFORE;
    let mut columns = vec![
        column("#", |r: &OutcomeReport| r.number.to_string()),
        column("test", |r: &OutcomeReport| r.test.clone()),
        column("reading", |r: &OutcomeReport| r.what.to_owned()),
        column("seen", |r: &OutcomeReport| counted(r, Figure(0.0))),
    ];
    columns.extend(wide.then(|| column("before", |r: &OutcomeReport| counted(r, r.off_before))));
    columns.push(column("after", |r: &OutcomeReport| counted(r, r.off_after)));
    columns.extend(wide.then(|| column("off, left\nout", |r: &OutcomeReport| signed(r.off_left_out.0, r.unit))));
    columns.push(column("expected\noff", |r: &OutcomeReport| match r.unit {
        "" => String::new(),
        unit => signed(r.expected.0, unit).replace('+', "+-"),
    }));
    columns.push(column("", |r: &OutcomeReport| if r.looks_misread { "misread?".to_owned() } else { String::new() }));
    columns_table(out, &columns, 3, Spacing::Close, list)
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

fn next_table(out: &mut Sheet, list: &[NextReport]) -> Result<(), ReportError> {
    let rows = list.iter().map(|n| {
        vec![
            n.test.clone(),
            format!("{:.0} min", n.minutes.0),
            format!("+-{:.1}°", n.then.hang_deg.0),
            format!("+-{:.1} %", n.then.time_percent.0),
            format!("{:.0} of 100", 100.0 * n.nearer.0),
        ]
    });
    let heads = ["test", "takes", "then hangs\nknown to", "sink times\nknown to", "expected\nnearer"];
    write_table(out, &heads, 1, Spacing::Close, rows)
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
