//! A planned box as a report: what to tie in which order, what to buy, what is proven, and which fly is for which depth.

use super::box_proof::{CountedReport, ProofReport, Said, counted_report, proof_lines, proof_report};
use super::depth_chart::{DepthChart, DotWords, depth_chart, passings};
use super::explanation::{ExplanationReport, explanation_report, would_help};
use super::figure::Figure;
use super::recipe::RecipeReport;
use super::shopping::ShoppingReport;
use super::story::{colours_story, story};
use super::table::{Spacing, bullets, write_table};
use super::words::hang_words;
use super::{ReportError, shopping::shopping_table};
use crate::assess::predict;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::fly_box::certainty::certainty;
use crate::fly_box::plan::{BoxPlan, Obstacle, Standing, Tie};
use crate::fly_box::spec::{BoxNeed, BoxOrder};
use crate::fly_box::tying::Tying;
use crate::quantity::Money;
use crate::quantity::shown::{DEPTH, RATE};
use crate::report::sheet::Sheet;
use crate::spread::shares::shares;
use crate::vice::minutes::{BEGIN, minutes};
use crate::wanted::Counted;
use serde::Serialize;

/// A planned box.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct BoxReport {
    /// What the guide calls it.
    pub name: String,
    /// Whether every fly is tied.
    pub complete: bool,
    /// Needs, in the order of the file.
    pub needs: Vec<NeedReport>,
    /// Recipes, in tying order.
    pub ties: Vec<TieReport>,
    /// Minutes at the vice for all flies, each recipe begun once; an estimate.
    pub minutes: Figure,
    /// Why it is not complete, if it is not.
    pub obstacles: Vec<String>,
    /// What the next flies would cost, where a budget leaves some out.
    pub more: Vec<MoreReport>,
    /// What different things count on top of what is paid; left out where nothing does.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schemars(default)]
    pub counted: Option<CountedReport>,
    /// What is proven.
    pub proof: ProofReport,
    /// What to buy.
    pub shopping: ShoppingReport,
    /// Seconds to each need's depth, lowered on a tight line.
    pub depths: Vec<DepthRow>,
    /// The same at all depths, as it is drawn.
    pub chart: DepthChart,
}

/// One need.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct NeedReport {
    /// Its name.
    pub name: String,
    /// Right flies wanted; where spares are stated, flies with them.
    pub wanted: u32,
    /// How many of those there are, as they are counted.
    pub reached: u32,
    /// Flies tied.
    pub tied: u32,
    /// Flies that are to come out right.
    pub right: u32,
    /// Least share of right flies that a recipe of it must have, and which share; none where none is asked for.
    pub min_chance: Option<Figure>,
    /// Whether that is the share of flies tied as written and left alone.
    pub as_tied: bool,
    /// How sure it is to be that so many come out right; none where spares are stated.
    pub certainty_wanted: Option<Figure>,
    /// Chance that so many of those tied come out right, or as many as were reached; none where nothing is tied.
    pub certainty: Option<Figure>,
    /// Depth, m; the deep end of a range.
    pub depth_m: Figure,
    /// Shallow end, m, of a range of depths.
    pub depth_from_m: Option<Figure>,
    /// `met`, `impossible`, or `stopped`: no recipe was found before the search was told to stop.
    pub standing: &'static str,
    /// Why no recipe meets it, if none does.
    pub impossible: Option<ExplanationReport>,
}

impl NeedReport {
    /// What is counted of it.
    fn what(&self) -> &'static str {
        if self.certainty_wanted.is_some() { "right flies" } else { "flies tied" }
    }

    /// "3 m", "1 to 1.5 m".
    #[must_use]
    pub fn depth_words(&self) -> String {
        let from = self.depth_from_m.map_or(self.depth_m.0, |from| from.0);
        DEPTH.stated_span([from, self.depth_m.0], 2)
    }
}

/// One recipe of the box.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct TieReport {
    /// Batch, from 1: recipes of a batch share bead, mount and wire.
    pub batch: usize,
    /// Flies in all.
    pub total: u32,
    /// Flies for each need, in the order of the needs.
    pub flies: Vec<u32>,
    /// Narrowest margin in the needs that it is for.
    pub margin: Figure,
    /// Least share of flies that come out right, of the needs that it is for: trimmed in the jar where that can be done.
    pub share: Figure,
    /// Minutes at the vice for one fly, an estimate.
    pub minutes: Figure,
    /// The recipe in one line.
    pub text: String,
    /// The colours that each need asks for, in their order, like "black bead"; left out where none asks for any.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schemars(default)]
    pub colours: Vec<String>,
    /// The recipe.
    pub recipe: RecipeReport,
}

/// What more flies would cost.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct MoreReport {
    /// Flies in all.
    pub flies: u32,
    /// Least outlay found for so many.
    pub outlay: Money,
}

/// One recipe at the depths of the needs.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct DepthRow {
    /// Recipe id.
    pub recipe: String,
    /// One entry for each need.
    pub at: Vec<DepthEntry>,
}

/// One recipe at one depth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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

impl BoxReport {
    /// How each recipe hangs at the depths for which it is tied, with the seconds and the depth, m, of those dots of the chart.
    #[must_use]
    pub fn hangs_at_dots(&self, named: impl Fn(usize) -> String) -> Vec<DotWords> {
        let dots = self.depths.iter().enumerate().flat_map(|(i, row)| {
            let name = named(i);
            row.at.iter().filter(|entry| entry.used).filter_map(move |entry| {
                let hang = hang_words(entry.hang_deg?.0);
                Some(([entry.seconds?.0, entry.depth_m.0], format!("{name}{hang}")))
            })
        });
        dots.collect()
    }

    /// What is proven of it, a sentence each.
    #[must_use]
    pub fn proof_lines(&self) -> Vec<String> {
        let met = || self.needs.iter().filter(|need| need.standing == "met");
        let missing = met().map(|need| need.wanted - need.reached.min(need.wanted)).sum();
        let some_impossible = self.needs.iter().any(|need| need.standing == "impossible");
        proof_lines(&Said {
            some_impossible,
            proof: &self.proof,
            counted: self.counted.as_ref(),
            outlay: self.shopping.outlay,
            missing: met().next().map(|_| missing),
        })
    }
}

/// Puts a plan into figures.
#[must_use]
pub fn box_report(order: &BoxOrder, plan: &BoxPlan, catalog: &Catalog) -> BoxReport {
    let shares: Vec<Vec<Option<f64>>> = plan.ties.iter().map(|tie| shares_of(tie, order)).collect();
    let needs = order.needs.iter().zip(&plan.needs).enumerate().map(|(n, (need, result))| NeedReport {
        name: need.name.clone(),
        wanted: result.wanted,
        reached: result.reached,
        tied: result.tied,
        right: need.right,
        min_chance: need.target.share.map(|floor| Figure(floor.least)),
        as_tied: need.target.share.is_some_and(|floor| floor.counted == Counted::AsTied),
        certainty_wanted: match need.tying {
            Tying::Sure(sure) => Some(Figure(sure)),
            Tying::Spares(_) => None,
        },
        certainty: tied_at(plan, &shares, n)
            .map(|ties| Figure(certainty(need.right.min(result.reached), &ties).max(0.0))),
        depth_m: Figure(need.target.conditions.depth),
        depth_from_m: need.target.fall.shallow.map(Figure),
        standing: match result.standing {
            Standing::Met => "met",
            Standing::Impossible(_) => "impossible",
            Standing::Stopped => "stopped",
        },
        impossible: match &result.standing {
            Standing::Impossible(e) => Some(explanation_report(e, &need.target, catalog)),
            Standing::Met | Standing::Stopped => None,
        },
    });
    let ties = plan.ties.iter().zip(&shares).enumerate().map(|(i, (tie, shares))| {
        let need = tie.flies.iter().position(|n| *n > 0).unwrap_or_default();
        let target = &order.needs[need].target;
        let mut recipe = RecipeReport::judged(&tie.fly, target, &catalog.currency).ranked(i + 1);
        // Needs of one recipe may ask for other colours: they stand with the needs.
        recipe.told = story(&tie.fly);
        TieReport {
            batch: tie.batch,
            total: tie.total(),
            flies: tie.flies.clone(),
            margin: Figure(tie.margin),
            share: Figure(shares.iter().flatten().copied().fold(1.0, f64::min)),
            minutes: Figure(minutes(&tie.fly)),
            text: tie.fly.recipe().to_string(),
            colours: colours_of(tie, order),
            recipe,
        }
    });
    BoxReport {
        name: order.name.clone(),
        complete: plan.complete(),
        needs: needs.collect(),
        ties: ties.collect(),
        minutes: Figure(plan.ties.iter().map(|tie| BEGIN + f64::from(tie.total()) * minutes(&tie.fly)).sum()),
        obstacles: plan.obstacles.iter().map(|o| obstacle_words(o, order)).collect(),
        more: plan.more.iter().map(|m| MoreReport { flies: m.flies, outlay: m.outlay }).collect(),
        counted: counted_report(order, plan),
        proof: proof_report(plan),
        shopping: ShoppingReport::from(&plan.shopping),
        depths: plan.ties.iter().map(|tie| depth_row(tie, order)).collect(),
        chart: depth_chart(order, plan),
    }
}

/// The share that counts in each need for which a recipe is tied.
fn shares_of(tie: &Tie, order: &BoxOrder) -> Vec<Option<f64>> {
    let needs = tie.flies.iter().zip(&order.needs);
    needs.map(|(flies, need)| (*flies > 0).then(|| share_of(tie, need))).collect()
}

fn share_of(tie: &Tie, need: &BoxNeed) -> f64 {
    let of = |fly: &Fly| shares(fly, &need.target).as_asked(&need.target).counted();
    need.target.least_under_each(&tie.fly, |fly| Some(of(fly))).unwrap_or(0.0)
}

/// Flies and share of each recipe tied for a need.
fn tied_at(plan: &BoxPlan, shares: &[Vec<Option<f64>>], need: usize) -> Option<Vec<(u32, f64)>> {
    let ties: Vec<(u32, f64)> =
        plan.ties.iter().zip(shares).filter_map(|(tie, shares)| Some((tie.flies[need], shares[need]?))).collect();
    (!ties.is_empty()).then_some(ties)
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
        Obstacle::Stopped(n) => {
            format!("no recipe was found yet for the need \"{}\" when the search stopped", order.needs[*n].name)
        }
        Obstacle::Budget { budget, complete, bound } if bound >= complete => {
            format!(
                "the budget of {budget} does not pay for all flies: the cheapest box that ties them all costs {complete}"
            )
        }
        Obstacle::Budget { budget, complete, bound } => format!(
            "the budget of {budget} does not pay for all flies: the cheapest box found that ties them all costs {complete}, and \
             none costs less than {bound}"
        ),
        Obstacle::Least { budget } => {
            format!("the budget of {budget} does not pay for the least number of each need, by the recipes looked at")
        }
        Obstacle::Limit { what, limit, least } => match least {
            Some(n) => format!("{} not tie all flies, by the recipes looked at; {n} would", at_most(*limit, what)),
            None => format!(
                "{} not tie all flies, by the recipes looked at; no other limit on {what} alone does",
                at_most(*limit, what)
            ),
        },
    }
}

/// "at most 1 recipe does", "at most 2 recipes do".
fn at_most(limit: u32, what: &str) -> String {
    if limit == 1 {
        format!("at most 1 {} does", what.trim_end_matches('s'))
    } else {
        format!("at most {limit} {what} do")
    }
}

/// Writes a box for a person.
///
/// # Errors
/// The stream refuses.
pub fn box_table(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    let state = match (report.complete, report.proof.stopped) {
        (true, false) => "complete",
        (false, false) => "not complete",
        (true, true) => "complete; the search was stopped, this is the best box so far",
        (false, true) => "not complete; the search was stopped, this is the best box so far",
    };
    writeln!(out, "{}: {state}\n", report.name)?;
    ties_table(out, report)?;
    right_table(out, report)?;
    missing_lines(out, report)?;
    depths_table(out, report)?;
    writeln!(out, "\nto buy")?;
    shopping_table(out, &report.shopping)?;
    writeln!(out, "\nproof")?;
    bullets(out, report.proof_lines().into_iter())
}

fn ties_table(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    if report.ties.is_empty() {
        return Ok(writeln!(out, "nothing tied")?);
    }
    let rows = report.ties.iter().map(|tie| {
        vec![tie.batch.to_string(), tie.total.to_string(), recipe_cell(tie), tie.for_needs(report).join("\n")]
    });
    write_table(out, &["batch", "tie", "recipe", "for"], 4, Spacing::Apart, rows)?;
    let whole = (report.minutes.0 / 5.0).round() as u32 * 5;
    let time = if whole < 60 { format!("{whole} min") } else { format!("{} h {:02} min", whole / 60, whole % 60) };
    Ok(out.heading(&format!("at the vice: about {time}, each recipe begun once (an estimate)"))?)
}

/// Heads of the table of flies that come out right: a need, and figures.
pub(super) const RIGHT_HEADS: [&str; 6] =
    ["need", "to be\nright", "tied", "recipes\nright in", "certainty\nwanted", "so many\nare right"];

/// How many of the flies tied for each need are to come out right, and how sure that is.
pub(super) fn right_rows(report: &BoxReport) -> Vec<Vec<String>> {
    let percent = |share: &Figure| format!("{} %", crate::quantity::shown::short(100.0 * share.0, 1));
    report
        .needs
        .iter()
        .filter_map(|need| {
            let sure = format!("{:.0} %", 100.0 * need.certainty.as_ref()?.0);
            let least = need.min_chance.as_ref().map_or_else(|| "any".to_owned(), percent);
            let wanted = need.certainty_wanted.as_ref().map_or_else(|| "spares".to_owned(), percent);
            let right = need.right.min(need.reached);
            let right = if right < need.right { format!("{right} of {}", need.right) } else { right.to_string() };
            Some(vec![need.name.clone(), right, need.tied.to_string(), least, wanted, sure])
        })
        .collect()
}

fn right_table(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    let rows = right_rows(report);
    if rows.is_empty() {
        return Ok(());
    }
    out.heading("flies tied so that enough come out right, each by the share of its recipe")?;
    write_table(out, &RIGHT_HEADS, 1, Spacing::Close, rows.into_iter())
}

/// What is missing, why, what would help, and what more flies would cost; nothing where every need is met.
pub(super) fn missing(report: &BoxReport) -> Vec<String> {
    let short: Vec<String> = report
        .needs
        .iter()
        .filter(|n| n.reached < n.wanted)
        .map(|n| {
            let why = n.impossible.as_ref().map_or_else(String::new, |e| {
                let changes: Vec<String> = e.relaxations.iter().map(|r| r.text.clone()).collect();
                format!(": {}{}", e.reasons().join("; "), would_help(e, &changes))
            });
            format!("{}: {} of {} {}{why}", n.name, n.reached, n.wanted, n.what())
        })
        .collect();
    if short.is_empty() {
        return short;
    }
    let tied: u32 = report.needs.iter().map(|n| n.reached).sum();
    let more = report.more.iter().map(|m| {
        let (n, outlay) = (m.flies - tied.min(m.flies), m.outlay);
        format!(
            "{n} more {}: {outlay} in all, {} more",
            if n == 1 { "fly" } else { "flies" },
            outlay - report.shopping.outlay
        )
    });
    short.into_iter().chain(report.obstacles.iter().cloned()).chain(more).collect()
}

fn missing_lines(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    let lines = missing(report);
    if lines.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nmissing")?;
    bullets(out, lines.into_iter())
}

/// Heads of the table of depths: words, and a time.
pub(super) const DEPTH_HEADS: [&str; 5] = ["recipe", "need", "depth", "hangs there", "s"];

/// Which fly for which depth: a row for each need that a recipe is tied for, or meets in full as well. `named` is what the recipe
/// at a place is called.
pub(super) fn depth_rows(report: &BoxReport, named: impl Fn(usize) -> String) -> Vec<Vec<String>> {
    let rows = report.depths.iter().enumerate().flat_map(|(i, row)| {
        let name = named(i);
        let at = row.at.iter().zip(&report.needs).filter(|(entry, _)| entry.used || entry.serves);
        at.map(move |(entry, need)| {
            let seconds = entry.seconds.as_ref().map_or_else(|| "floats".to_owned(), |s| format!("{:.1}", s.0));
            let hang = entry.hang_deg.as_ref().map_or_else(String::new, |hang| hang_words(hang.0));
            let tied = if entry.used { "" } else { " (meets it, too)" };
            vec![name.clone(), format!("{}{tied}", need.name), DEPTH.stated(entry.depth_m.0, 2), hang, seconds]
        })
    });
    rows.collect()
}

fn depths_table(out: &mut Sheet, report: &BoxReport) -> Result<(), ReportError> {
    if report.depths.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nwhich fly for which depth, on a tight line")?;
    let rows = depth_rows(report, |i| report.depths[i].recipe.clone());
    write_table(out, &DEPTH_HEADS, 4, Spacing::Close, rows.into_iter())
}

fn recipe_cell(tie: &TieReport) -> String {
    let hang = tie.recipe.hang.angle_deg.map_or_else(|| "floats".to_owned(), |a| hang_words(a.0));
    let parts = format!("{}, {}\n{}", tie.recipe.tied_on, tie.recipe.recipe.pattern, tie.recipe.told);
    let share = 100.0 * tie.share.0;
    format!(
        "{}\n{parts}\nhangs {hang}, sinks {} {}; {share:.0} % right; {:.0} min a fly",
        tie.recipe.id,
        RATE.fixed(tie.recipe.fall.sink_rate_m_s.0, 2),
        RATE.unit(),
        tie.minutes.0
    )
}

/// The colours that each need asks of a recipe; nothing where none asks for any.
fn colours_of(tie: &Tie, order: &BoxOrder) -> Vec<String> {
    let needs = order.needs.iter();
    let words: Vec<String> = needs.map(|need| colours_story(&tie.fly, &need.target.choice)).collect();
    if words.iter().all(String::is_empty) { Vec::new() } else { words }
}
