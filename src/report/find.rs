//! The answer of a search: its recipes, or why there are none.

use super::answer::{Answer, SearchReport};
use super::explanation::{ExplanationReport, explanation_report};
use super::recipe::RecipeReport;
use super::{ReportError, table};
use crate::catalog::Catalog;
use crate::find::{self, Order};
use crate::report::sheet::Sheet;
use crate::wanted::Assumption;
use serde::Serialize;

/// What a search says besides its recipes.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FindReport {
    /// Why there are none, if there are none.
    pub explanation: Option<ExplanationReport>,
    /// Why the list is empty, in words, where recipes that meet the target were left out or not looked for.
    #[serde(skip)]
    pub empty: Option<String>,
}

/// Puts what was found into figures.
#[must_use]
pub fn find_report(order: &Order, found: &find::Answer, catalog: &Catalog) -> (FindReport, Vec<RecipeReport>) {
    let target = &order.target;
    let explanation = found.explanation.as_ref().map(|e| explanation_report(e, target, catalog));
    let list = found.found.candidates.iter().zip(&found.chances).enumerate();
    let recipes: Vec<RecipeReport> = list
        .map(|(i, (candidate, chance))| {
            let outlay = (!order.tariff.is_material()).then_some(candidate.price);
            let report = RecipeReport::judged(&candidate.fly, target, &catalog.currency);
            report.ranked(i + 1).with_outlay(outlay).with_chance(chance, order.min_chance)
        })
        .collect();
    let empty = match (recipes.is_empty() && explanation.is_none(), found.any, order.pool()) {
        (false, ..) => None,
        (true, true, pool) => Some(format!(
            "Recipes meet the target, but none of the cheapest {} has the chance asked for: the best has {:.0} %.\n\
             A wider --tolerance helps; so does trimming in the jar, which `stages` counts.",
            pool.unwrap_or_default(),
            found.best_chance.unwrap_or_default() * 100.0
        )),
        (true, false, _) => Some("Nothing was found before the search was stopped.".to_owned()),
    };
    (FindReport { explanation, empty }, recipes)
}

/// The whole answer. `assumptions` are those of the target.
#[must_use]
pub fn find_answer(
    order: &Order,
    found: &find::Answer,
    catalog: &Catalog,
    assumptions: Vec<Assumption>,
) -> Answer<FindReport> {
    let (body, recipes) = find_report(order, found, catalog);
    let drawn = recipes.first().and_then(|r| r.chance.as_ref()).map(|c| format!("chance by {}", c.method));
    let pooled = order.pool().map(|pool| {
        format!("the chance is asked of the cheapest {pool} that the variety leaves; a dearer one may have more")
    });
    let said = [("seed", drawn), ("variety", pooled)];
    Answer::with_body("find", body)
        .with_recipes(recipes)
        .assuming(assumptions)
        .assuming(said.into_iter().filter_map(|(key, text)| Some(Assumption { key, text: text? })))
        .searched(SearchReport::from(&found.found))
}

/// Writes the answer for a person.
///
/// # Errors
/// The stream refuses.
pub fn find_table(out: &mut Sheet, answer: &Answer<FindReport>) -> Result<(), ReportError> {
    if let Some(explanation) = &answer.body.explanation {
        table::explanation(out, explanation)?;
    } else if let Some(text) = &answer.body.empty {
        writeln!(out, "{text}")?;
    }
    if out.paper.whole {
        table::recipes(out, &answer.recipes)?;
    } else {
        table::told(out, &answer.recipes)?;
    }
    table::foot(out, answer)
}
