//! The ranked list: what to put on the hook, and what comes of it.

use super::plain;
use crate::recipe::Seat;
use crate::recipe_file::MountWord;
use crate::report::part::PartReport;
use crate::report::recipe::RecipeReport;
use crate::report::words::{hang_words, short};
use crate::report::{Figure, ReportError};
use std::io::Write;

/// Writes the list; the hook and dressing that all share stand above it.
///
/// # Errors
/// The stream refuses.
pub fn recipes(out: &mut dyn Write, list: &[RecipeReport]) -> Result<(), ReportError> {
    let Some(first) = list.first() else { return Ok(()) };
    let one_hook = list.iter().all(|r| r.recipe.hook == first.recipe.hook);
    if one_hook {
        writeln!(out, "hook {}, dressing {}\n", first.recipe.hook, first.recipe.pattern)?;
    } else {
        writeln!(out, "dressing {}\n", first.recipe.pattern)?;
    }
    let mut heads = vec!["#", "recipe"];
    if !one_hook {
        heads.push("hook");
    }
    heads.extend(["bead", "wire", "foam", "hangs"]);
    let left = heads.len();
    heads.extend(["sinks\nm/s", "mass\nmg"]);
    let cost_head = format!("cost\n{}", first.cost.currency);
    heads.push(&cost_head);
    let last = list.len() - 1;
    let rows = list.iter().enumerate().map(|(i, report)| {
        let mut row = vec![report.rank.to_string(), report.id.clone()];
        if !one_hook {
            row.push(report.recipe.hook.clone());
        }
        row.extend([bead(report), wire(report), foam(report), hang(report)]);
        row.extend([
            format!("{:.3}", report.fall.sink_rate_m_s.0),
            format!("{:.0}", report.totals.mass_mg.0),
            report.cost.per_fly.to_string(),
        ]);
        if i < last {
            // A blank line keeps recipes of several lines apart.
            let tallest = row.iter().map(|cell| cell.lines().count()).max().unwrap_or(1);
            row[0].push_str(&"\n".repeat(tallest));
            row[0].push(' ');
        }
        row
    });
    let table = plain(&heads, left, rows);
    for line in table.lines() {
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

fn part<'a>(report: &'a RecipeReport, kind: &str) -> Option<&'a PartReport> {
    report.parts.iter().find(|p| p.kind == kind)
}

/// "3.5 mm (9/64 in)".
fn size(part: Option<&PartReport>) -> String {
    match part.map(|p| (p.size_mm, &p.size_inch)) {
        Some((Some(Figure(mm)), Some(inch))) => format!("{} mm ({inch})", short(mm, 2)),
        _ => String::new(),
    }
}

fn bead(report: &RecipeReport) -> String {
    let Some(bead) = &report.recipe.bead else {
        return match part(report, "head") {
            Some(head) => format!("none ({})", head.name),
            None => "none".to_owned(),
        };
    };
    let place = match (bead.mount, &bead.pin, bead.projection_mm) {
        (MountWord::Pin, Some(pin), Some(projection)) => {
            format!("{pin},\nits head {projection} mm\nahead of the eye")
        }
        _ => "at the eye".to_owned(),
    };
    format!("{}\n{}\n{place}", bead.id, size(part(report, "bead")))
}

/// What the first turn lies against: bead, moulded head, or the front of the shank.
fn front(report: &RecipeReport) -> &'static str {
    match &report.recipe.bead {
        Some(bead) if bead.mount == MountWord::Eye => "bead",
        _ if part(report, "head").is_some() => "head",
        _ => "front of shank",
    }
}

fn wire(report: &RecipeReport) -> String {
    let Some(wire) = &report.recipe.wire else { return "none".to_owned() };
    let front = front(report);
    let place = if wire.start_mm.micrometres() == 0 {
        format!("right behind the {front}")
    } else {
        format!("from {} mm behind\nthe {front}", wire.start_mm)
    };
    format!("{} x {}\n{}\n{place}", wire.turns, wire.id, size(part(report, "wire")))
}

fn foam(report: &RecipeReport) -> String {
    let Some(foam) = &report.recipe.foam else { return "none".to_owned() };
    let place = match foam.seat {
        Seat::Tail => "in the tail",
        Seat::Back => "on the back",
        Seat::Belly => "on the belly",
    };
    format!("{}\n{}\n{} mm long, {place}", foam.id, foam.cut, foam.length_mm)
}

fn hang(report: &RecipeReport) -> String {
    match (report.hang.angle_deg, report.hang.rides) {
        (Some(Figure(angle)), Some(rides)) => format!("{}\n{rides}", hang_words(angle)),
        _ => "floats".to_owned(),
    }
}
