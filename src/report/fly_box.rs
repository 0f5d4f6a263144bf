//! A planned box as a report: what to tie in which order, what to buy, what is proven, and which fly is for which depth.

use super::depth_chart::{DepthChart, depth_chart, passings};
use super::explanation::{ExplanationReport, explanation_report};
use super::figure::Figure;
use super::recipe::RecipeReport;
use super::shopping::ShoppingReport;
use super::table::{Spacing, bullets, write_table};
use super::words::hang_words;
use super::{ReportError, shopping::shopping_table};
use crate::assess::predict;
use crate::catalog::Catalog;
use crate::fly_box::plan::{BoxPlan, Obstacle, Tie};
use crate::fly_box::spec::BoxOrder;
use crate::quantity::Money;
use crate::report::sheet::Sheet;
use serde::Serialize;

/// A planned box.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BoxReport {
    /// What the guide calls it.
    pub name: String,
    /// Whether every fly is tied.
    pub complete: bool,
    /// Needs, in the order of the file.
    pub needs: Vec<NeedReport>,
    /// Recipes, in tying order.
    pub ties: Vec<TieReport>,
    /// Why it is not complete, if it is not.
    pub obstacles: Vec<String>,
    /// What is proven about the outlay.
    pub proof: ProofReport,
    /// What to buy.
    pub shopping: ShoppingReport,
    /// Seconds to each need's depth, lowered on a tight line.
    pub depths: Vec<DepthRow>,
    /// The same at all depths, as it is drawn.
    pub chart: DepthChart,
}

/// One need.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NeedReport {
    /// Its name.
    pub name: String,
    /// Flies wanted, spares included.
    pub wanted: u32,
    /// Flies tied.
    pub tied: u32,
    /// Depth, m.
    pub depth_m: Figure,
    /// Why no recipe meets it, if none does.
    pub impossible: Option<ExplanationReport>,
}

/// One recipe of the box.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TieReport {
    /// Batch, from 1: recipes of a batch share bead, mount and wire.
    pub batch: usize,
    /// Flies in all.
    pub total: u32,
    /// Flies for each need, in the order of the needs.
    pub flies: Vec<u32>,
    /// Narrowest margin in the needs that it is for.
    pub margin: Figure,
    /// The recipe in one line.
    pub text: String,
    /// The recipe.
    pub recipe: RecipeReport,
}

/// What is proven.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofReport {
    /// Recipes looked at.
    pub recipes: usize,
    /// Those that could matter.
    pub candidates: usize,
    /// Whether the plan is the cheapest that can be made of them.
    pub best_of_list: bool,
    /// No plan made of them costs less.
    pub list_bound: Money,
    /// No complete box of any recipes costs less; none where it was not computed.
    pub whole_bound: Option<Money>,
    /// Whether no single need can be tied more cheaply while the others stay.
    pub settled: bool,
}

/// One recipe at the depths of the needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DepthRow {
    /// Recipe id.
    pub recipe: String,
    /// One entry for each need.
    pub at: Vec<DepthEntry>,
}

/// One recipe at one depth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DepthEntry {
    /// Depth, m.
    pub depth_m: Figure,
    /// Seconds to get there, lowered on a tight line; `None`: it does not.
    pub seconds: Option<Figure>,
    /// Hang there, degrees, positive tail down; `None`: it floats.
    pub hang_deg: Option<Figure>,
    /// Whether the box ties it for this need.
    pub used: bool,
    /// Whether it meets all that the need asks for.
    pub serves: bool,
}

/// Puts a plan into figures.
#[must_use]
pub fn box_report(order: &BoxOrder, plan: &BoxPlan, catalog: &Catalog) -> BoxReport {
    let needs = order.needs.iter().zip(&plan.needs).map(|(need, result)| NeedReport {
        name: need.name.clone(),
        wanted: result.wanted,
        tied: result.tied,
        depth_m: Figure(need.target.conditions.depth),
        impossible: result.impossible.as_ref().map(|e| explanation_report(e, &need.target, catalog)),
    });
    let ties = plan.ties.iter().enumerate().map(|(i, tie)| {
        let need = tie.flies.iter().position(|n| *n > 0).unwrap_or_default();
        let target = &order.needs[need].target;
        TieReport {
            batch: tie.batch,
            total: tie.total(),
            flies: tie.flies.clone(),
            margin: Figure(tie.margin),
            text: tie.fly.recipe().to_string(),
            recipe: RecipeReport::judged(&tie.fly, target, &catalog.currency).ranked(i + 1),
        }
    });
    BoxReport {
        name: order.name.clone(),
        complete: plan.complete(),
        needs: needs.collect(),
        ties: ties.collect(),
        obstacles: plan.obstacles.iter().map(|o| obstacle_words(o, order)).collect(),
        proof: ProofReport {
            recipes: plan.proof.recipes,
            candidates: plan.proof.candidates,
            best_of_list: plan.proof.best_of_list,
            list_bound: plan.proof.list_bound,
            whole_bound: plan.proof.whole_bound,
            settled: plan.proof.settled,
        },
        shopping: ShoppingReport::from(&plan.shopping),
        depths: plan.ties.iter().map(|tie| depth_row(tie, order)).collect(),
        chart: depth_chart(order, plan),
    }
}

fn depth_row(tie: &Tie, order: &BoxOrder) -> DepthRow {
    let fly = &tie.fly;
    let at = order.needs.iter().enumerate().map(|(n, need)| {
        let conditions = &need.target.conditions;
        let prediction = predict(fly, conditions);
        DepthEntry {
            depth_m: Figure(conditions.depth),
            seconds: passings(fly, need, &[conditions.depth]).first().map(|[seconds, _]| *seconds),
            hang_deg: prediction.hang.rest().map(|r| Figure(r.angle.to_degrees())),
            used: tie.flies[n] > 0,
            serves: tie.serves[n],
        }
    });
    DepthRow { recipe: fly.recipe().id(), at: at.collect() }
}

fn obstacle_words(obstacle: &Obstacle, order: &BoxOrder) -> String {
    match obstacle {
        Obstacle::Need(n) => format!("no recipe meets the need \"{}\"", order.needs[*n].name),
        Obstacle::Budget { budget, complete, bound } => format!(
            "the budget of {budget} does not pay for all flies: the cheapest complete box found costs {complete}, and no \
             box of the recipes looked at costs less than {bound}"
        ),
        Obstacle::Limit { what, limit, least } => match least {
            Some(n) => format!("at most {limit} {what} do not tie all flies; {n} would"),
            None => format!("at most {limit} {what} do not tie all flies, and no other limit on {what} alone does"),
        },
    }
}

/// Writes a box for a person.
///
/// # Errors
/// The stream refuses.
pub fn box_table(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    writeln!(out, "{}: {}\n", report.name, if report.complete { "complete" } else { "not complete" })?;
    let heads: Vec<String> = report.needs.iter().map(|n| format!("{}\n{} m", n.name, n.depth_m.rounded())).collect();
    let mut all = vec!["batch", "tie", "recipe"];
    all.extend(heads.iter().map(String::as_str));
    let rows = report.ties.iter().map(|tie| {
        let mut row = vec![tie.batch.to_string(), tie.total.to_string(), recipe_cell(tie)];
        row.extend(tie.flies.iter().map(|n| if *n == 0 { String::new() } else { n.to_string() }));
        row
    });
    write_table(out, &all, 3, Spacing::Apart, rows)?;
    let short: Vec<String> = report
        .needs
        .iter()
        .filter(|n| n.tied < n.wanted)
        .map(|n| {
            let why = n.impossible.as_ref().map_or_else(String::new, |e| {
                let changes: Vec<&str> = e.relaxations.iter().map(|r| r.text.as_str()).collect();
                let helps =
                    if changes.is_empty() { String::new() } else { format!("; would help: {}", changes.join("; or ")) };
                format!(": {}{helps}", e.reasons().join("; "))
            });
            format!("{}: {} of {} tied{why}", n.name, n.tied, n.wanted)
        })
        .collect();
    if !short.is_empty() {
        writeln!(out, "\nmissing")?;
        bullets(out, short.into_iter().chain(report.obstacles.iter().cloned()))?;
    }
    writeln!(out, "\nwhich fly for which depth: seconds on a tight line, hang there")?;
    let heads: Vec<String> = report.needs.iter().map(|n| format!("{}\n{} m", n.name, n.depth_m.rounded())).collect();
    let mut all = vec!["recipe"];
    all.extend(heads.iter().map(String::as_str));
    let rows = report
        .depths
        .iter()
        .map(|row| std::iter::once(row.recipe.clone()).chain(row.at.iter().map(depth_cell)).collect::<Vec<_>>());
    write_table(out, &all, 1, Spacing::Close, rows)?;
    writeln!(out, "* tied for it; in brackets: not all that this need asks for")?;
    writeln!(out, "\nto buy")?;
    shopping_table(out, &report.shopping)?;
    writeln!(out, "\nproof")?;
    bullets(out, proof_lines(&report.proof, report.shopping.outlay).into_iter())
}

fn recipe_cell(tie: &TieReport) -> String {
    let hang = tie.recipe.hang.angle_deg.map_or_else(|| "floats".to_owned(), |a| hang_words(a.0));
    let parts = tie.text.replace("; ", "\n");
    format!("{}\n{parts}\nhangs {hang}, sinks {:.2} m/s", tie.recipe.id, tie.recipe.fall.sink_rate_m_s.0)
}

fn depth_cell(entry: &DepthEntry) -> String {
    let words = match (&entry.seconds, &entry.hang_deg) {
        (Some(s), Some(hang)) => format!("{:.1} s, {}", s.0, hang_words(hang.0)),
        _ => "floats".to_owned(),
    };
    match (entry.used, entry.serves) {
        (true, _) => format!("{words} *"),
        (false, true) => words,
        (false, false) => format!("({words})"),
    }
}

fn proof_lines(proof: &ProofReport, outlay: Money) -> Vec<String> {
    let mut lines = vec![format!("{} recipes looked at, {} of them could matter", proof.recipes, proof.candidates)];
    lines.push(if proof.best_of_list {
        format!("proven: no box made of them costs less than {outlay}")
    } else {
        format!("no box made of them costs less than {}", proof.list_bound)
    });
    lines.push(match proof.whole_bound {
        Some(bound) if bound >= outlay => "proven: no box of any recipes at all costs less".to_owned(),
        Some(bound) => {
            format!("no complete box of any recipes at all costs less than {bound}: a cheaper one may hide between")
        }
        None => "not bounded over all recipes, since not every need is met".to_owned(),
    });
    if proof.settled {
        lines.push("no single need can be tied more cheaply by any recipe while the others stay".to_owned());
    }
    lines
}
