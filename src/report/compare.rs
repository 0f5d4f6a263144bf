//! Materials side by side, and one recipe with parts swapped.

use super::column::{Column, column, columns_table, optional};
use super::csv::columns_csv;
use super::explanation::{ExplanationReport, RelaxationReport, explanation_report, would_help};
use super::figure::Figure;
use super::recipe::RecipeReport;
use super::table::{Spacing, bullets, write_table};
use super::table::{chance_cell, checks_cell, sinks_cell, sinks_head};
use super::words::{fixed, hang_words};
use super::{ReportError, csv};
use crate::catalog::Catalog;
use crate::compare::{Side, SideResult};
use crate::fly::Fly;
use crate::quantity::Money;
use crate::quantity::shown::{MASS, RATE, SIZE};
use crate::report::sheet::Sheet;
use crate::search::tariff::Tariff;
use crate::spread::shares;
use crate::wanted::{Facet, Target};
use serde::Serialize;
use std::io::Write;

/// The best recipe for each option.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CompareReport {
    /// What the options are of, like `bead.material`.
    pub by: Vec<String>,
    /// The options, the last of `by` running fastest.
    pub options: Vec<OptionReport>,
}

/// One option.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct OptionReport {
    /// One value for each of `by`.
    pub values: Vec<String>,
    /// Rank of its best recipe in `recipes`: its place in this list, from 1.
    pub rank: Option<usize>,
    /// Price beyond that of the cheapest option.
    pub dearer: Option<Money>,
    /// Whether the recipe contains lead.
    pub contains_lead: Option<bool>,
    /// Whether the recipe, or that there is none, is proven.
    pub proven: bool,
    /// Why there is none.
    pub impossible: Option<ExplanationReport>,
}

/// Puts a comparison into figures, with the best recipe of each option that has one.
#[must_use]
pub fn compare_report(
    sides: &[Side],
    facets: &[Facet],
    catalog: &Catalog,
    tariff: &Tariff,
) -> (CompareReport, Vec<RecipeReport>) {
    let price = |side: &Side| match &side.result {
        SideResult::Best { candidate, .. } => Some(candidate.price),
        _ => None,
    };
    let least = sides.iter().filter_map(price).min();
    let mut recipes = Vec::new();
    let options = sides.iter().enumerate().map(|(i, side)| {
        let mut option = OptionReport {
            values: side.values.clone(),
            rank: None,
            dearer: price(side).zip(least).map(|(price, least)| price - least),
            contains_lead: None,
            proven: true,
            impossible: None,
        };
        match &side.result {
            SideResult::Best { candidate, proven } => {
                let report = RecipeReport::judged(&candidate.fly, &side.target, &catalog.currency);
                let outlay = (!tariff.is_material()).then_some(candidate.price);
                let right = shares(&candidate.fly, &side.target);
                recipes.push(report.ranked(i + 1).with_outlay(outlay).with_shares_asked(&right, &side.target));
                option.rank = Some(i + 1);
                option.contains_lead = Some(candidate.fly.contains_lead());
                option.proven = *proven;
            }
            SideResult::Impossible(explanation) => {
                option.impossible = Some(explanation_report(explanation, &side.target, catalog));
            }
            SideResult::Stopped => option.proven = false,
        }
        option
    });
    let options = options.collect();
    (CompareReport { by: facets.iter().map(|f| f.text.clone()).collect(), options }, recipes)
}

/// Most columns of options that are shown as a grid.
const WIDEST_GRID: usize = 6;

/// Writes a comparison for a person: a grid of two attributes where it is narrow enough, else a list.
///
/// # Errors
/// The stream refuses.
pub fn compare_table(out: &mut Sheet, report: &CompareReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let columns = report.by.get(1).map_or(0, |_| distinct(report, 1).len());
    if (2..=WIDEST_GRID).contains(&columns) {
        grid(out, report, recipes)?;
    } else {
        list(out, report, recipes)?;
    }
    let impossible = impossible_words(report);
    if !impossible.is_empty() {
        writeln!(out, "\nimpossible")?;
        bullets(out, impossible.into_iter())?;
    }
    Ok(())
}

fn of<'r>(option: &OptionReport, recipes: &'r [RecipeReport]) -> Option<&'r RecipeReport> {
    recipes.iter().find(|r| Some(r.rank) == option.rank)
}

fn distinct(report: &CompareReport, at: usize) -> Vec<&str> {
    let mut values: Vec<&str> = Vec::new();
    for value in report.options.iter().filter_map(|o| o.values.get(at)) {
        if !values.contains(&value.as_str()) {
            values.push(value);
        }
    }
    values
}

/// Fewest characters across for foam, mass and lead in columns of their own; on narrower paper foam stands with the other parts,
/// which tell lead, too.
const WITH_FOAM: u16 = 90;
/// Fewest characters across for the mass of the best recipes.
const BESIDE_MASS: u16 = 110;

fn list(out: &mut Sheet, report: &CompareReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let currency = recipes.first().map_or("", |r| r.cost.currency.as_str());
    let by_outlay = recipes.iter().any(|r| r.cost.outlay.is_some());
    let price_head = format!("{}\n{currency}", if by_outlay { "outlay" } else { "cost" });
    let figure = |head: String, cell: fn(&RecipeReport) -> String| {
        column(head, move |option: &OptionReport| of(option, recipes).map_or_else(|| "-".to_owned(), cell))
    };
    let lead = |r: &RecipeReport| if r.contains_lead { "lead" } else { "no" }.to_owned();
    let price = |r: &RecipeReport| r.cost.outlay.unwrap_or(r.cost.per_fly).to_string();
    let wide = out.paper.columns >= WITH_FOAM;
    let whole =
        |r: &RecipeReport| if r.recipe.foam.is_some() { format!("{}\n{}", parts(r), foam(r)) } else { parts(r) };
    let dearer = column("dearer", |o: &OptionReport| if o.rank.is_none() { "-".to_owned() } else { dearer(o) });
    let mut columns = values(report);
    columns.push(figure("recipe".into(), if wide { parts } else { whole }));
    columns.extend(wide.then(|| figure("foam".into(), foam)));
    columns.push(figure("hangs".into(), hangs));
    columns.extend(wide.then(|| figure("lead".into(), lead)));
    let left = columns.len();
    columns.push(figure("chance".into(), chance_cell));
    columns.push(figure(sinks_head(recipes), sinks_cell));
    let mass = out.paper.columns >= BESIDE_MASS;
    columns.extend(mass.then(|| figure(format!("mass\n{}", MASS.unit()), |r| MASS.fixed(r.totals.mass_mg.0, 0))));
    columns.extend([figure(price_head, price), dearer]);
    columns_table(out, &columns, left, Spacing::Apart, &report.options)
}

/// One column for each attribute that is compared.
fn values(report: &CompareReport) -> Vec<Column<'_, OptionReport>> {
    let one = |(i, by): (usize, &'_ String)| column(by.clone(), move |o: &OptionReport| optional(o.values.get(i)));
    report.by.iter().enumerate().map(one).collect()
}

fn hangs(recipe: &RecipeReport) -> String {
    recipe.hang.angle_deg.map_or_else(|| "floats".to_owned(), |a| hang_words(a.0))
}

fn dearer(option: &OptionReport) -> String {
    match option.dearer {
        Some(Money::ZERO) => "cheapest".to_owned(),
        // Less than is shown of a price.
        Some(more) if more.cents() == 0 => "as cheap".to_owned(),
        Some(more) => format!("+{more}"),
        None => String::new(),
    }
}

/// The parts but foam and dressing, one a line.
fn parts(recipe: &RecipeReport) -> String {
    let file = &recipe.recipe;
    let mut lines = vec![recipe.id.clone(), file.hook.clone()];
    lines.extend(file.bead.as_ref().map(|bead| match (&bead.pin, bead.projection_mm) {
        (Some(pin), Some(ahead)) => format!("{}\non {pin}, {} ahead", bead.id, SIZE.text(ahead.mm(), 3)),
        _ => bead.id.clone(),
    }));
    lines.extend(file.wire.as_ref().map(|wire| format!("{} x {}", wire.turns, wire.id)));
    lines.join("\n")
}

fn foam(recipe: &RecipeReport) -> String {
    let foam = recipe.recipe.foam.as_ref();
    foam.map_or_else(
        || "none".to_owned(),
        |f| format!("{}\n{} {}\n{}", f.id, f.cut, SIZE.text(f.length_mm.mm(), 3), f.seat),
    )
}

fn grid(out: &mut Sheet, report: &CompareReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let across = distinct(report, 1);
    let corner = format!("{}\n(across: {})", report.by[0], report.by[1]);
    let mut heads = vec![corner.as_str()];
    heads.extend(&across);
    let rows = distinct(report, 0).into_iter().map(|down| {
        let mut row = vec![down.to_owned()];
        row.extend(across.iter().map(|value| {
            let option = report.options.iter().find(|o| o.values[0] == down && o.values[1] == *value);
            option.and_then(|o| of(o, recipes).map(|r| cell(o, r))).unwrap_or_else(|| "-".to_owned())
        }));
        row
    });
    write_table(out, &heads, 1 + across.len(), Spacing::Apart, rows)?;
    if let Some(first) = recipes.first() {
        let price = if first.cost.outlay.is_some() { "outlay" } else { "cost" };
        out.heading(&format!("in each cell: {price} in {}, hang, sink rate, chance, recipe", first.cost.currency))?;
    }
    Ok(())
}

fn cell(option: &OptionReport, recipe: &RecipeReport) -> String {
    let price = recipe.cost.outlay.unwrap_or(recipe.cost.per_fly);
    let mark = if option.dearer == Some(Money::ZERO) { " cheapest" } else { "" };
    let lead = if option.contains_lead == Some(true) { ", lead" } else { "" };
    let (hang, chance) = (hangs(recipe), chance_cell(recipe));
    let rate = RATE.fixed(recipe.fall.sink_rate_m_s.0, 3);
    format!("{price}{mark}\n{hang}\n{rate} {}, {chance}\n{}{lead}", RATE.unit(), recipe.id)
}

/// Why some options have no recipe, a sentence each.
#[must_use]
pub fn impossible_words(report: &CompareReport) -> Vec<String> {
    report.options.iter().filter_map(why_not).collect()
}

/// Most changes that are named for an option.
const MOST_CHANGES: usize = 2;

fn why_not(option: &OptionReport) -> Option<String> {
    let name = option.values.join(", ");
    let Some(explanation) = &option.impossible else {
        return option.rank.is_none().then(|| format!("{name}: not known, the search was stopped"));
    };
    let why = explanation.reasons().join("; ");
    let changes: Vec<String> = explanation.relaxations.iter().take(MOST_CHANGES).map(change).collect();
    Some(format!("{name}: {why}{}", would_help(explanation, &changes)))
}

fn change(relaxation: &RelaxationReport) -> String {
    format!("{} ({})", relaxation.text, relaxation.option)
}

/// A comparison as CSV, one option a line.
///
/// # Errors
/// The stream refuses.
pub fn compare_csv(out: &mut dyn Write, report: &CompareReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let figure = |head: &'static str, cell: fn(&RecipeReport) -> String| {
        column(head, move |o: &OptionReport| of(o, recipes).map_or_else(String::new, cell))
    };
    let mut columns = values(report);
    columns.extend([
        figure("recipe", |r| r.id.clone()),
        figure("idea", |r| r.idea.clone()),
        figure("hook", |r| r.recipe.hook.clone()),
        figure("bead", |r| optional(r.recipe.bead.as_ref().map(|b| &b.id))),
        figure("wire", |r| optional(r.recipe.wire.as_ref().map(|w| &w.id))),
        figure("turns", |r| optional(r.recipe.wire.as_ref().map(|w| w.turns))),
        figure("foam", |r| optional(r.recipe.foam.as_ref().map(|f| &f.id))),
        figure("cut", |r| optional(r.recipe.foam.as_ref().map(|f| f.cut))),
        figure("length_mm", |r| optional(r.recipe.foam.as_ref().map(|f| f.length_mm))),
        figure("hang_deg", |r| optional(r.hang.angle_deg.map(Figure::rounded))),
        figure("chance_as_tied", |r| optional(r.chance.as_ref().map(|c| c.as_tied.rounded()))),
        figure("chance_trimmed", |r| optional(r.chance.as_ref().and_then(|c| c.trimmed).map(Figure::rounded))),
        figure("line", |r| r.fall.line.to_owned()),
        figure("sink_rate_m_s", |r| r.fall.sink_rate_m_s.rounded().to_string()),
        figure("settled", |r| r.fall.settled.to_string()),
        figure("mass_mg", |r| r.totals.mass_mg.rounded().to_string()),
        figure("cost_per_fly", |r| r.cost.per_fly.fine()),
        figure("outlay", |r| optional(r.cost.outlay.map(Money::exact))),
        column("dearer", |o: &OptionReport| optional(o.dearer.map(Money::exact))),
        figure("currency", |r| r.cost.currency.clone()),
        figure("checks", checks_cell),
        column("contains_lead", |o: &OptionReport| optional(o.contains_lead)),
        column("proven", |o: &OptionReport| o.proven.to_string()),
        column("impossible", |o: &OptionReport| optional(o.impossible.as_ref().map(|e| e.reasons().join("; ")))),
    ]);
    columns_csv(out, &columns, &report.options)
}

/// One recipe, and what each swap makes of it.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SwapReport {
    /// Nothing swapped, then each swap that can be made.
    pub rows: Vec<SwapRow>,
    /// Swaps that cannot be made, and why.
    pub cannot: Vec<SwapRefusal>,
}

/// One swap.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SwapRow {
    /// The swap, like `bead=brass-3.5`; empty for the recipe as it is.
    pub swap: String,
    /// Rank of its recipe in `recipes`.
    pub rank: usize,
    /// Turn of the hang, degrees, positive tail down; `None` where one of the two floats or the point is on the other side.
    pub hang_change_deg: Option<Figure>,
    /// Change of the sink rate, m/s.
    pub sink_rate_change_m_s: Figure,
    /// Change of mass, mg.
    pub mass_change_mg: Figure,
    /// Change of cost for one fly.
    pub cost_change: Money,
    /// Requirements of the target that are missed.
    pub missed: Vec<&'static str>,
}

/// A swap that cannot be made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct SwapRefusal {
    /// The swap.
    pub swap: String,
    /// Why.
    pub why: String,
}

/// Puts swaps into figures. `flies` holds the recipe as it is, then each swap with what it is called.
#[must_use]
pub fn swap_report(
    flies: &[(String, Fly)],
    cannot: Vec<SwapRefusal>,
    target: &Target,
    currency: &str,
) -> (SwapReport, Vec<RecipeReport>) {
    let recipes: Vec<RecipeReport> = flies
        .iter()
        .enumerate()
        .map(|(i, (_, fly))| {
            let report = RecipeReport::judged(fly, target, currency).ranked(i + 1);
            report.with_shares_asked(&shares(fly, target), target)
        })
        .collect();
    let rows = flies.iter().zip(&recipes).map(|((swap, _), after)| swap_row(swap, &recipes[0], after)).collect();
    (SwapReport { rows, cannot }, recipes)
}

fn swap_row(swap: &str, before: &RecipeReport, after: &RecipeReport) -> SwapRow {
    let change = |of: fn(&RecipeReport) -> f64| Figure(of(after) - of(before));
    let turn = after.hang.angle_deg.zip(before.hang.angle_deg).filter(|_| after.hang.rides == before.hang.rides);
    SwapRow {
        swap: swap.to_owned(),
        rank: after.rank,
        hang_change_deg: turn.map(|(a, b)| Figure(a.0 - b.0)),
        sink_rate_change_m_s: change(|r| r.fall.sink_rate_m_s.0),
        mass_change_mg: change(|r| r.totals.mass_mg.0),
        cost_change: after.cost.per_fly - before.cost.per_fly,
        missed: after.missed().map(|check| check.requirement).collect(),
    }
}

/// Fewest characters across for the masses of swaps.
const WITH_MASS: u16 = 72;

/// Writes swaps for a person.
///
/// # Errors
/// The stream refuses.
pub fn swap_table(out: &mut Sheet, report: &SwapReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let currency = recipes.first().map_or("", |r| r.cost.currency.as_str());
    let cost_head = format!("cost\n{currency}");
    let sinks_head = sinks_head(recipes);
    let mass_head = format!("mass\n{}", MASS.unit());
    let narrow = out.paper.columns < WITH_MASS;
    let mut heads = vec!["swap", "hangs", "misses", "chance", &sinks_head, &cost_head, &mass_head];
    heads.truncate(heads.len() - usize::from(narrow));
    let rows = report.rows.iter().zip(recipes).map(|(row, recipe)| {
        let first = row.swap.is_empty();
        let with = |figure: String, change: String| if first { figure } else { format!("{figure}\n{change}") };
        let hang = hangs(recipe);
        let turn = match (row.hang_change_deg, recipe.hang.rides) {
            (Some(turn), _) => format!("{}°", signed(turn.0, 1)),
            (None, Some(rides)) => rides.to_owned(),
            (None, None) => "-".to_owned(),
        };
        let more = if row.cost_change < Money::ZERO { "" } else { "+" };
        let mut cells = vec![
            if first { "as it is".to_owned() } else { row.swap.replace('=', if narrow { "=\n" } else { "=" }) },
            with(hang, turn),
            if row.missed.is_empty() { "nothing".to_owned() } else { row.missed.join(", ") },
            chance_cell(recipe),
            with(
                RATE.fixed(recipe.fall.sink_rate_m_s.0, 3),
                signed(RATE.difference(row.sink_rate_change_m_s.0), RATE.decimals(3)),
            ),
            with(recipe.cost.per_fly.to_string(), format!("{more}{}", row.cost_change)),
            with(
                MASS.fixed(recipe.totals.mass_mg.0, 0),
                signed(MASS.difference(row.mass_change_mg.0), MASS.decimals(0)),
            ),
        ];
        cells.truncate(cells.len() - usize::from(narrow));
        cells
    });
    write_table(out, &heads, 3, Spacing::Apart, rows)?;
    writeln!(out)?;
    out.told("", "under each figure its change: + is tail down, faster, heavier, dearer")?;
    if !report.cannot.is_empty() {
        writeln!(out, "\ncannot be tied")?;
        bullets(out, by_reason(&report.cannot).into_iter())?;
    }
    Ok(())
}

fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.starts_with('-') { text } else { format!("+{text}") }
}

/// Swaps with the same reason together.
fn by_reason(cannot: &[SwapRefusal]) -> Vec<String> {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    for refusal in cannot {
        match groups.iter_mut().find(|(why, _)| *why == refusal.why) {
            Some((_, swaps)) => swaps.push(&refusal.swap),
            None => groups.push((&refusal.why, vec![&refusal.swap])),
        }
    }
    groups.into_iter().map(|(why, swaps)| format!("{why}: {}", swaps.join(", "))).collect()
}

/// Swaps as CSV, one a line, those that cannot be made last.
///
/// # Errors
/// The stream refuses.
pub fn swap_csv(out: &mut dyn Write, report: &SwapReport, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let heads = [
        "swap",
        "recipe",
        "hang_deg",
        "hang_change_deg",
        "sink_rate_m_s",
        "sink_rate_change_m_s",
        "mass_mg",
        "mass_change_mg",
        "cost_per_fly",
        "cost_change",
        "currency",
        "chance_as_tied",
        "chance_trimmed",
        "missed",
        "cannot_be_tied",
    ];
    let figure = |f: Option<Figure>| f.map_or_else(String::new, |f| f.rounded().to_string());
    let made = report.rows.iter().zip(recipes).map(|(row, recipe)| {
        vec![
            row.swap.clone(),
            recipe.id.clone(),
            figure(recipe.hang.angle_deg),
            figure(row.hang_change_deg),
            figure(Some(recipe.fall.sink_rate_m_s)),
            figure(Some(row.sink_rate_change_m_s)),
            figure(Some(recipe.totals.mass_mg)),
            figure(Some(row.mass_change_mg)),
            recipe.cost.per_fly.fine(),
            row.cost_change.fine(),
            recipe.cost.currency.clone(),
            figure(recipe.chance.as_ref().map(|c| c.as_tied)),
            figure(recipe.chance.as_ref().and_then(|c| c.trimmed)),
            row.missed.join("; "),
            String::new(),
        ]
    });
    let cannot = report.cannot.iter().map(|refusal| {
        let mut row = vec![String::new(); heads.len()];
        row[0].clone_from(&refusal.swap);
        row[heads.len() - 1].clone_from(&refusal.why);
        row
    });
    csv::lines(out, &heads, made.chain(cannot))
}
