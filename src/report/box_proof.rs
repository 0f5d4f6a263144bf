//! What is proven of a planned box, and what it is judged by.

use super::figure::Figure;
use super::words::grouped;
use crate::fly_box::plan::{BoxPlan, Standing};
use crate::fly_box::spec::BoxOrder;
use crate::quantity::Money;
use serde::Serialize;

/// What is proven, over all recipes of the catalog.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ProofReport {
    /// Recipes looked at one by one, in all searches.
    pub recipes: u64,
    /// No box within limits and budget leaves out fewer flies of the needs that can be met.
    pub least_missing: u32,
    /// No box that leaves out only so many costs less, with what different things count on top; none where nothing is bounded.
    pub bound: Option<Money>,
    /// By how much of it the outlay, so counted, may be more than the least there is, percent; none where flies are missing that might
    /// be tied, or nothing is bounded.
    pub gap_percent: Option<Figure>,
    /// Whether the plan is proven to be the best.
    pub best: bool,
    /// Whether the search was told to stop.
    pub stopped: bool,
    /// How far it was allowed to look, where it ended because of that: 1 is as usual.
    pub worked_out: Option<Figure>,
}

/// What different things count on top of what is paid.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CountedReport {
    /// Different recipes.
    pub recipes: u32,
    /// What each of them counts.
    pub each_recipe: Money,
    /// Different hooks, beads, pins, wires and foam stocks.
    pub parts: u32,
    /// What each of them counts.
    pub each_part: Money,
    /// The outlay, with all that.
    pub in_all: Money,
}

/// Puts what counts on top into figures, where something does.
pub(super) fn counted_report(order: &BoxOrder, plan: &BoxPlan) -> Option<CountedReport> {
    (!order.on_top.none()).then_some(CountedReport {
        recipes: plan.different.recipes,
        each_recipe: order.on_top.recipe,
        parts: plan.different.parts,
        each_part: order.on_top.part,
        in_all: plan.counted,
    })
}

fn counted_words(counted: &CountedReport) -> String {
    let of = |n: u32, what: &str, each: Money| {
        (each > Money::ZERO).then(|| format!("{each} for each of {} {what}{}", n, if n == 1 { "" } else { "s" }))
    };
    let recipes = of(counted.recipes, "recipe", counted.each_recipe);
    let parts = of(counted.parts, "part", counted.each_part);
    let each: Vec<String> = [recipes, parts].into_iter().flatten().collect();
    format!("counted on top of the outlay, not paid: {}; {} in all", each.join(", "), counted.in_all)
}

/// Puts what is proven into figures.
pub(super) fn proof_report(plan: &BoxPlan) -> ProofReport {
    let proof = &plan.proof;
    let met = plan.needs.iter().filter(|need| need.standing == Standing::Met);
    let missing: u32 = met.map(|need| need.wanted - need.reached.min(need.wanted)).sum();
    let gap = |bound: Money| {
        let over = (plan.counted - bound).max(Money::ZERO).micros() as f64;
        Figure(100.0 * over / plan.counted.micros().max(1) as f64)
    };
    ProofReport {
        recipes: proof.recipes,
        least_missing: proof.least_missing,
        bound: proof.bound,
        gap_percent: proof.bound.filter(|_| missing == proof.least_missing).map(gap),
        best: proof.best,
        stopped: proof.stopped,
        worked_out: proof.worked_out.map(Figure),
    }
}

/// What the sentences on a proof are about.
pub(super) struct Said<'r> {
    pub(super) proof: &'r ProofReport,
    pub(super) counted: Option<&'r CountedReport>,
    pub(super) outlay: Money,
    /// Flies left out of needs that can be met; `None` where none can be met.
    pub(super) missing: Option<u32>,
    /// Some need cannot be met.
    pub(super) some_impossible: bool,
}

/// What is proven of a box, a sentence each.
pub(super) fn proof_lines(said: &Said) -> Vec<String> {
    let proof = said.proof;
    // What the box is judged by.
    let (sum, so) = match said.counted {
        Some(counted) => (counted.in_all, ", so counted,"),
        None => (said.outlay, ""),
    };
    let missing = said.missing.unwrap_or(0);
    let mut lines: Vec<String> = said.counted.into_iter().map(counted_words).collect();
    if proof.stopped {
        lines.push("the search was stopped before its end".to_owned());
    }
    let flies = |n: u32| if n == 1 { "1 fly".to_owned() } else { format!("{n} flies") };
    let these = if said.some_impossible { "the flies that can be tied" } else { "all these flies" };
    lines.push(match (proof.bound, missing) {
        _ if said.missing.is_none() => "nothing to prove: nothing can be tied".to_owned(),
        (Some(_), 0) if proof.best => format!("proven: of all recipes there are, no box of {these}{so} costs less than {sum}"),
        (Some(_), _) if proof.best => format!(
            "proven: of all recipes there are, no box within the budget ties more of these flies, and none that ties so many \
             costs less than {sum}"
        ),
        (Some(bound), 0) => format!(
            "of all recipes there are, no box of {these}{so} costs less than {bound}: at most {:.1} % of this {} could be saved",
            proof.gap_percent.map_or(100.0, |gap| gap.0),
            if said.counted.is_some() { "sum" } else { "outlay" }
        ),
        (Some(bound), _) if proof.least_missing == missing => format!(
            "proven: no box within the budget ties more of these flies; none that ties so many costs less than {bound}"
        ),
        (Some(_), _) => format!(
            "not proven to be the most: no box within limits and budget leaves out fewer than {}; this one leaves out {missing}",
            flies(proof.least_missing)
        ),
        (None, _) => "nothing is proven about what the box costs".to_owned(),
    });
    if let Some(effort) = proof.worked_out {
        let further = (400.0 * effort.0).round() / 100.0;
        lines.push(format!("`--effort {further}` looks four times as far for a cheaper one"));
    }
    lines.push(format!("{} looked at one by one", counted(proof.recipes, "recipe")));
    lines
}

/// "1 recipe", "2 recipes".
fn counted(n: u64, what: &str) -> String {
    format!("{} {what}{}", grouped(n), if n == 1 { "" } else { "s" })
}
