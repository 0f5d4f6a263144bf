//! The answer of a search: its recipes, or why there are none.

use super::answer::{Answer, SearchReport};
use super::dressed::dressings_table;
use super::explanation::{ExplanationReport, explanation_report};
use super::recipe::RecipeReport;
use super::{ReportError, table};
use crate::catalog::Catalog;
use crate::find::{self, Listing, Order};
use crate::fly::Fly;
use crate::quantity::Money;
use crate::report::sheet::Sheet;
use crate::search::rank::{Ranking, SHARE_STEP, SURE, least_of_class};
use crate::spread;
use crate::wanted::{Assumption, Target};
use serde::Serialize;

/// What a search says besides its recipes.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
    let list = found.found.candidates.iter().zip(&found.shares).enumerate();
    let recipes: Vec<RecipeReport> = list
        .map(|(i, (candidate, shares))| {
            let outlay = (!order.tariff.is_material()).then_some(candidate.price);
            let report = RecipeReport::judged(&candidate.fly, target, &catalog.currency);
            let report = if i == 0 { report.with_side_view(&candidate.fly) } else { report };
            let of_fly = |fly: &Fly| spread::shares(fly, target);
            report.ranked(i + 1).with_outlay(outlay).with_shares_asked(shares, target).under_each(
                &candidate.fly,
                target,
                &catalog.currency,
                Some(&of_fly),
            )
        })
        .collect();
    let empty = (recipes.is_empty() && explanation.is_none()).then(|| stopped_empty(target));
    (FindReport { explanation, empty }, recipes)
}

/// What is said where a search was stopped with nothing found.
fn stopped_empty(target: &Target) -> String {
    let share = target.share.filter(|floor| floor.least > 0.0);
    let advice = share.map(|floor| {
        format!(
            " Of none that was looked at do {:.0} of 100 flies come out right: ask for fewer (--min-chance), for a wider \
             window, or give it longer. --min-chance 0% shows the cheapest on paper.",
            100.0 * floor.least
        )
    });
    format!("Nothing was found before the search was stopped.{}", advice.unwrap_or_default())
}

/// That prices count as equal within a step, where they do.
#[must_use]
pub fn step_words(ranking: Ranking) -> Option<String> {
    (ranking.step > 1).then(|| {
        let step = Money::from_micros(ranking.step * 10_000);
        format!("prices within one step of {step} count as equal: the surer recipe first, then the steadier")
    })
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
    let floor = order.target.share.filter(|floor| floor.least > 0.0).map(|floor| floor.to_string());
    let step = step_words(order.ranked_by());
    let unsure =
        Some(order.ranked_by()).filter(|r| r.unsure > 0 && order.listing == Listing::Cheapest).map(|ranking| {
            let dearer = Money::from_micros(ranking.unsure * 10_000);
            format!("fewer than {:.0} of 100 right counts {dearer} dearer", 100.0 * least_of_class(SURE))
        });
    let surest = (order.listing == Listing::Surest)
        .then(|| format!("the surest first, in classes of {SHARE_STEP} of 100; of a class the cheapest"));
    let each = (!order.target.choice.each.is_empty()).then(|| {
        let first = &order.target.choice.dressing;
        format!("one base under each dressing; all that is asked must hold under each, prices are those in `{first}`")
    });
    let said =
        [("each-pattern", each), ("min-chance", floor), ("price-step", step), ("unsure", unsure), ("rank", surest)];
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
    }
    if let Some(text) = &answer.body.empty {
        out.told("", text)?;
    }
    if out.paper.whole {
        table::recipes(out, &answer.recipes)?;
        dressings_table(out, &answer.recipes)?;
        if let Some(first) = answer.recipes.first() {
            table::side_view(out, first)?;
        }
    } else {
        table::told(out, &answer.recipes)?;
    }
    table::foot(out, answer)
}
