//! The ranked list: what to put on the hook, and what comes of it.

use super::Spacing;
use crate::assess::Requirement;
use crate::quantity::Units;
use crate::quantity::shown::{DEPTH, MASS, RATE, SIZE};
use crate::recipe::Seat;
use crate::recipe_file::MountWord;
use crate::report::check::CheckReport;
use crate::report::column::{Column, column, columns_table, optional};
use crate::report::part::PartReport;
use crate::report::recipe::{ChanceReport, RecipeReport};
use crate::report::sheet::Sheet;
use crate::report::words::{fixed, hang_words, short};
use crate::report::{Figure, ReportError};
use crate::wanted::Line;

/// Fewest characters across that the table takes; on narrower paper recipes are told in lines.
const LEAST_COLUMNS: u16 = 100;

/// Writes the list. A hook that all share stands above it, as does the dressing.
///
/// # Errors
/// The stream refuses.
pub fn recipes(out: &mut Sheet, list: &[RecipeReport]) -> Result<(), ReportError> {
    let Some(first) = list.first() else { return Ok(()) };
    if out.paper.columns < LEAST_COLUMNS {
        return super::told(out, list);
    }
    let one_hook = list.iter().all(|r| r.recipe.hook == first.recipe.hook);
    let shared = if one_hook { format!("hook {}, ", first.recipe.hook) } else { String::new() };
    writeln!(out, "{shared}{}\n", super::dressing_line(first))?;
    columns_table(out, &columns(list, one_hook), 5, Spacing::Apart, list)
}

fn columns(list: &[RecipeReport], one_hook: bool) -> Vec<Column<'_, RecipeReport>> {
    let currency = list.first().map_or("", |r| r.cost.currency.as_str());
    let hook = move |r: &RecipeReport| if one_hook { String::new() } else { format!("\n{}", r.recipe.hook) };
    let mut columns = vec![
        column(if one_hook { "#\nrecipe" } else { "#\nrecipe\nhook" }, move |r: &RecipeReport| {
            format!("{}\n{}{}", r.rank, r.id, hook(r))
        }),
        column("bead", bead),
        column("wire", wire),
        column("foam", foam),
        column("hangs", hang),
        column("chance", chance_cell),
        column(sinks_head(list), sinks_cell),
    ];
    columns.extend(decided(list));
    columns.push(column(format!("mass\n{}", MASS.unit()), |r: &RecipeReport| MASS.fixed(r.totals.mass_mg.0, 0)));
    columns.push(column(format!("cost\n{currency}"), |r: &RecipeReport| r.cost.per_fly.to_string()));
    if list.iter().any(|r| r.cost.outlay.is_some()) {
        columns.push(column(format!("outlay\n{currency}"), |r: &RecipeReport| optional(r.cost.outlay)));
    }
    columns
}

/// What decided beside hang and sink rate: a time to a depth, a dive, the hang at the other depths of a range.
fn decided(list: &[RecipeReport]) -> Vec<Column<'_, RecipeReport>> {
    let figure = |r: &RecipeReport, name: &str, decimals| {
        let check = r.checks.iter().find(|c| c.requirement == name);
        check.map_or_else(String::new, |c| {
            let depth = c.depth_m.map_or_else(String::new, |d| format!("\nat {}", DEPTH.text(d.0, 2)));
            format!("{}{depth}", fixed(c.value.0, decimals))
        })
    };
    let asked =
        |requirement: Requirement| list.iter().any(|r| r.checks.iter().any(|c| c.requirement == requirement.words()));
    let mut columns = Vec::new();
    let extra = [(Requirement::Reach, "to depth\ns", 1), (Requirement::Dive, "dives\ndeg", 0)];
    for (requirement, head, decimals) in extra.into_iter().filter(|(r, ..)| asked(*r)) {
        columns.push(column(head, move |r: &RecipeReport| figure(r, requirement.words(), decimals)));
    }
    let elsewhere = |r: &RecipeReport| r.checks.iter().any(|c| c.depth_m.is_some());
    if list.iter().any(elsewhere) {
        columns.push(column("worst hang\ndeg", move |r| figure(r, Requirement::Hang.words(), 1)));
    }
    columns
}

/// "sinks m/s", and on which line where that is not a tight one.
#[must_use]
pub fn sinks_head(list: &[RecipeReport]) -> String {
    match list.first() {
        Some(first) if first.fall.line == Line::Slack.word() => format!("sinks,\nslack line\n{}", RATE.unit()),
        _ => format!("sinks\n{}", RATE.unit()),
    }
}

/// "0.22", with its band; a fall that never settles is said to be one.
#[must_use]
pub fn sinks_cell(report: &RecipeReport) -> String {
    let fall = &report.fall;
    let band = match (fall.low_m_s, fall.high_m_s) {
        (Some(low), Some(high)) => format!("\n({} to {})", RATE.fixed(low.0, 2), RATE.fixed(high.0, 2)),
        _ => String::new(),
    };
    let unsettled = if fall.settled { "" } else { "\nunsettled" };
    format!("{}{band}{unsettled}", RATE.fixed(fall.sink_rate_m_s.0, 2))
}

/// "sinks 0.23 (0.20 to 0.26) m/s", and on which line where that is not a tight one.
#[must_use]
pub fn sinks_words(report: &RecipeReport) -> String {
    let cell = sinks_cell(report);
    let mut lines = cell.split('\n');
    let rate = lines.next().unwrap_or_default();
    let rest: String = lines.map(|line| format!(" {line}")).collect();
    let line = if report.fall.line == Line::Slack.word() { " on a slack line" } else { "" };
    format!("sinks {rate}{rest} {}{line}", RATE.unit())
}

/// "84 %", or nothing where nobody asked.
#[must_use]
pub fn chance_cell(report: &RecipeReport) -> String {
    report.chance.as_ref().map_or_else(String::new, ChanceReport::words)
}

/// Every check in a line: "hang 2.1 deg (-5 to 5); ...".
#[must_use]
pub fn checks_cell(report: &RecipeReport) -> String {
    report.checks.iter().map(CheckReport::words).collect::<Vec<_>>().join("; ")
}

/// Writes one recipe, one part a line.
///
/// # Errors
/// The stream refuses.
pub fn tying_lines(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    let flat = |cell: String| cell.replace(",\n", ", ").replace("\n(", " (").replace('\n', ", ");
    writeln!(out, "recipe      {}", report.id)?;
    writeln!(out, "idea        {}", report.idea)?;
    writeln!(out, "hook        {}", report.recipe.hook)?;
    out.told("bead        ", &flat(bead(report)))?;
    out.told("wire        ", &flat(wire(report)))?;
    out.told("foam        ", &flat(foam(report)))?;
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
        (Some(_), None, Some(inch)) if Units::shown() == Units::Us => inch.clone(),
        (Some(Figure(mm)), Some(Figure(width)), _) => format!("{} x {}", SIZE.short(mm, 2), SIZE.text(width, 2)),
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
        (MountWord::Pin, Some(pin), Some(projection)) => {
            format!("{pin},\n{} ahead of eye", SIZE.text(projection.mm(), 3))
        }
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
        (Some(stop), _) => format!("from {} behind {stop}", SIZE.text(wire.start_mm.mm(), 3)),
        (None, 0) => "from front of shank".to_owned(),
        (None, _) => format!("from {} down shank", SIZE.text(wire.start_mm.mm(), 3)),
    };
    format!("{} x {}\n{}\n{place}", wire.turns, wire.id, size(part(report, "wire")))
}

fn foam(report: &RecipeReport) -> String {
    let Some(foam) = &report.recipe.foam else { return "none".to_owned() };
    let place = match foam.seat {
        Seat::Tail => "in tail",
        Seat::TailAlong => "in tail, in line",
        Seat::TailUnder => "in tail, under",
        Seat::Back => "on back",
        Seat::Belly => "on belly",
    };
    {
        let length = SIZE.text(foam.length_mm.mm(), 3);
        format!("{}\n{}\n{} {length} {place}", foam.id, size(part(report, "foam")), foam.cut)
    }
}

fn hang(report: &RecipeReport) -> String {
    match (report.hang.angle_deg, report.hang.rides) {
        (Some(Figure(angle)), Some(rides)) => format!("{}\n{rides}", hang_words(angle)),
        _ => "floats".to_owned(),
    }
}
