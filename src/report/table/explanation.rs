//! Why nothing meets a target, and what would help.

use super::foot::bullets;
use crate::report::ReportError;
use crate::report::explanation::ExplanationReport;
use crate::report::recipe::RecipeReport;
use crate::report::sheet::Sheet;

/// Writes the conflict, the smallest change of each requirement that helps (or, where a question was given up, one that does), and
/// the nearest miss of each.
///
/// # Errors
/// The stream refuses.
pub fn explanation(out: &mut Sheet, report: &ExplanationReport) -> Result<(), ReportError> {
    writeln!(out, "Nothing in the catalog meets this target.")?;
    writeln!(out, "\nwhy")?;
    let cut_short = report.cut_short.then(|| {
        "the space is large: some questions were given up, so smaller or cheaper changes may exist, or more".to_owned()
    });
    bullets(out, report.reasons().into_iter().chain(cut_short))?;
    if report.relaxations.is_empty() {
        return Ok(());
    }
    let small = if report.cut_short { "; smaller changes may do" } else { ", each as small a change as it can be" };
    out.heading(&format!("what would help: any one of these{small}"))?;
    let lines = report.relaxations.iter().map(|r| format!("{}: {} ({})", r.recipe.rank, r.text, r.option));
    bullets(out, lines)?;
    let which = if report.cut_short { "a" } else { "the cheapest" };
    out.heading(&format!("nearest misses: {which} recipe that each of these lets in"))?;
    let nearest: Vec<RecipeReport> = report.relaxations.iter().map(|r| r.recipe.clone()).collect();
    // Under several dressings what counts is what each recipe misses under which.
    let several = nearest.iter().any(|recipe| !recipe.dressings.is_empty());
    if several { super::told(out, &nearest) } else { super::recipes(out, &nearest) }
}
