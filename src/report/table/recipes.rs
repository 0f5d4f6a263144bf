//! The ranked list: what to put on the hook, and what comes of it.

use super::{Spacing, write_table};
use crate::recipe::Seat;
use crate::recipe_file::MountWord;
use crate::report::part::PartReport;
use crate::report::recipe::RecipeReport;
use crate::report::words::{hang_words, short};
use crate::report::{Figure, ReportError};
use std::io::Write;

/// Writes the list. A hook that all share stands above it, as does the dressing.
///
/// # Errors
/// The stream refuses.
pub fn recipes(out: &mut dyn Write, list: &[RecipeReport]) -> Result<(), ReportError> {
    let Some(first) = list.first() else { return Ok(()) };
    let one_hook = list.iter().all(|r| r.recipe.hook == first.recipe.hook);
    let shared = if one_hook { format!("hook {}, ", first.recipe.hook) } else { String::new() };
    writeln!(out, "{shared}dressing {}\n", first.recipe.pattern)?;
    let cost_head = format!("cost\n{}", first.cost.currency);
    let recipe_head = if one_hook { "#\nrecipe" } else { "#\nrecipe\nhook" };
    let outlay_head = format!("outlay\n{}", first.cost.currency);
    let by_outlay = list.iter().any(|r| r.cost.outlay.is_some());
    let mut heads = vec![recipe_head, "bead", "wire", "foam", "hangs", "chance", "sinks\nm/s", "mass\nmg", &cost_head];
    if by_outlay {
        heads.push(&outlay_head);
    }
    let rows = list.iter().map(|report| {
        let hook = if one_hook { String::new() } else { format!("\n{}", report.recipe.hook) };
        let mut row = vec![
            format!("{}\n{}{hook}", report.rank, report.id),
            bead(report),
            wire(report),
            foam(report),
            hang(report),
            report.chance.as_ref().map_or_else(String::new, |c| format!("{:.0} %", c.probability.0 * 100.0)),
            format!("{:.3}", report.fall.sink_rate_m_s.0),
            format!("{:.0}", report.totals.mass_mg.0),
            report.cost.per_fly.to_string(),
        ];
        if by_outlay {
            row.push(report.cost.outlay.map_or_else(String::new, |o| o.to_string()));
        }
        row
    });
    write_table(out, &heads, 5, Spacing::Apart, rows)
}

/// Writes one recipe, one part a line.
///
/// # Errors
/// The stream refuses.
pub fn tying_lines(out: &mut dyn Write, report: &RecipeReport) -> Result<(), ReportError> {
    let flat = |cell: String| cell.replace(",\n", ", ").replace("\n(", " (").replace('\n', ", ");
    writeln!(out, "recipe      {}", report.id)?;
    writeln!(out, "hook        {}", report.recipe.hook)?;
    writeln!(out, "bead        {}", flat(bead(report)))?;
    writeln!(out, "wire        {}", flat(wire(report)))?;
    writeln!(out, "foam        {}", flat(foam(report)))?;
    writeln!(out, "dressing    {}", report.recipe.pattern)?;
    Ok(())
}

fn part<'a>(report: &'a RecipeReport, kind: &str) -> Option<&'a PartReport> {
    report.parts.iter().find(|p| p.kind == kind)
}

/// "3.5 mm (9/64 in)"; a strip "3 x 5 mm".
fn size(part: Option<&PartReport>) -> String {
    let Some(part) = part else { return String::new() };
    match (part.size_mm, part.width_mm, &part.size_inch) {
        (Some(Figure(mm)), Some(Figure(width)), _) => format!("{} x {} mm", short(mm, 2), short(width, 2)),
        (Some(Figure(mm)), None, Some(inch)) => format!("{} mm ({inch})", short(mm, 2)),
        _ => String::new(),
    }
}

fn bead(report: &RecipeReport) -> String {
    let Some(bead) = &report.recipe.bead else {
        return match part(report, "head") {
            Some(head) => format!("none\n({})", head.name),
            None => "none".to_owned(),
        };
    };
    let place = match (bead.mount, &bead.pin, bead.projection_mm) {
        (MountWord::Pin, Some(pin), Some(projection)) => format!("{pin},\n{projection} mm ahead of eye"),
        _ => "at the eye".to_owned(),
    };
    format!("{}\n{}\n{place}", bead.id, size(part(report, "bead")))
}

/// Where the first turn lies: against bead or moulded head, or at the front of the shank.
fn wire(report: &RecipeReport) -> String {
    let Some(wire) = &report.recipe.wire else { return "none".to_owned() };
    let stop = match &report.recipe.bead {
        Some(bead) if bead.mount == MountWord::Eye => Some("bead"),
        _ => part(report, "head").map(|_| "head"),
    };
    let place = match (stop, wire.start_mm.micrometres()) {
        (Some(stop), 0) => format!("right behind {stop}"),
        (Some(stop), _) => format!("from {} mm behind {stop}", wire.start_mm),
        (None, 0) => "from front of shank".to_owned(),
        (None, _) => format!("from {} mm down shank", wire.start_mm),
    };
    format!("{} x {}\n{}\n{place}", wire.turns, wire.id, size(part(report, "wire")))
}

fn foam(report: &RecipeReport) -> String {
    let Some(foam) = &report.recipe.foam else { return "none".to_owned() };
    let place = match foam.seat {
        Seat::Tail => "in tail",
        Seat::Back => "on back",
        Seat::Belly => "on belly",
    };
    format!("{}\n{}\n{} {} mm {place}", foam.id, size(part(report, "foam")), foam.cut, foam.length_mm)
}

fn hang(report: &RecipeReport) -> String {
    match (report.hang.angle_deg, report.hang.rides) {
        (Some(Figure(angle)), Some(rides)) => format!("{}\n{rides}", hang_words(angle)),
        _ => "floats".to_owned(),
    }
}
