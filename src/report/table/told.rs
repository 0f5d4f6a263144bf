//! The ranked list as a tyer tells it: a few short lines a recipe, on any width.

use super::sinks_words;
use crate::quantity::shown::MASS;
use crate::report::ReportError;
use crate::report::dressed::{least_share, told_under};
use crate::report::recipe::RecipeReport;
use crate::report::sheet::{Sheet, broken};
use crate::report::words::hang_words;

/// Columns before the words of a recipe.
const INDENT: usize = 4;

/// Writes the list.
///
/// # Errors
/// The stream refuses.
pub fn told(out: &mut Sheet, list: &[RecipeReport]) -> Result<(), ReportError> {
    let Some(first) = list.first() else { return Ok(()) };
    writeln!(out, "{}\n", dressing_line(first))?;
    for (i, report) in list.iter().enumerate() {
        if i > 0 {
            writeln!(out)?;
        }
        one(out, report)?;
    }
    Ok(())
}

/// "dressing fur-leech", "one base under each dressing: fur-leech, slim-nymph".
#[must_use]
pub fn dressing_line(first: &RecipeReport) -> String {
    let several: Vec<&str> = first.dressings.iter().map(|dressed| dressed.pattern.as_str()).collect();
    match several.as_slice() {
        [] => format!("dressing {}", first.recipe.pattern),
        several => format!("one base under each dressing: {}", several.join(", ")),
    }
}

fn one(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    let room = usize::from(out.paper.columns) - INDENT;
    let head = headline(report);
    let pad = " ".repeat(INDENT);
    let mut lines = vec![head, format!("{}; {}", report.told, report.tied_on)];
    if report.dressings.is_empty() {
        lines.push(does(report));
    }
    lines.extend(report.dressings.iter().map(told_under));
    let whole: Vec<String> = lines.iter().flat_map(|line| broken(line, room)).collect();
    Ok(writeln!(out, "{:<INDENT$}{}", report.rank, whole.join(&format!("\n{pad}")))?)
}

/// "bead at the eye with tail foam, 0.52 EUR; 93 of 100 come out right trimmed, 41 as tied   [8x7k2wpq]".
fn headline(report: &RecipeReport) -> String {
    let cost = format!("{} {}", report.cost.per_fly, report.cost.currency);
    let outlay = report.cost.outlay.map_or_else(String::new, |outlay| format!(", {outlay} out of the pocket"));
    let shares = match (least_share(report), &report.chance) {
        (Some(least), _) => format!("; at least {:.0} of 100 come out right under each dressing", least * 100.0),
        (None, Some(chance)) => format!("; {}", chance.told()),
        (None, None) => String::new(),
    };
    format!("{}  {}, {cost}{outlay}{shares}", report.id, report.idea)
}

/// "hangs 1.0° tail down (+-4° by friction), point-up; sinks 0.23 (0.20 to 0.26) m/s; 512 mg".
#[must_use]
pub fn does(report: &RecipeReport) -> String {
    let hangs = match (report.hang.angle_deg, report.hang.rides) {
        (Some(angle), Some(rides)) => {
            let band = report.hang.friction_band_deg.filter(|band| band.0 >= 0.5);
            let band = band.map_or_else(String::new, |band| match band.0 {
                band if band < 90.0 => format!(" (+-{band:.0}° by friction in the eye)"),
                _ => " (or anyhow: friction in the eye holds it as it is)".to_owned(),
            });
            format!("hangs {}{band}, {rides}", hang_words(angle.0))
        }
        _ => "floats".to_owned(),
    };
    let decided: Vec<String> = report
        .checks
        .iter()
        .filter(|check| ["time to depth", "dive"].contains(&check.requirement))
        .map(|check| format!("; {}", check.words()))
        .collect();
    format!("{hangs}; {}{}; {}", sinks_words(report), decided.concat(), MASS.text(report.totals.mass_mg.0, 0))
}
