//! A page of several recipes: each told and drawn as it hangs, what it costs against how many come out right, and what else
//! the answer has to say.

use super::curves::marks;
use super::hanging::hanging;
use super::{document, figure};
use crate::fly::Fly;
use crate::report::Notice;
use crate::report::dot_labels::dot_labels;
use crate::report::dressed::told_under;
use crate::report::recipe::{ChanceReport, RecipeReport};
use crate::report::svg::{Anchor, Pen, Svg};
use crate::report::table::does;
use maud::{Markup, html};

/// One recipe of a page.
#[derive(Debug, Clone)]
pub struct Listed<'a> {
    /// What it is called on the page and in its chart: a rank, the value of an attribute.
    pub mark: String,
    /// Its figures.
    pub report: &'a RecipeReport,
    /// The fly.
    pub fly: &'a Fly<'a>,
    /// Share of flies that come out right, where it is known.
    pub share: Option<f64>,
    /// What else is said of it; empty where nothing is.
    pub note: String,
}

/// Something else on a page, under its own heading.
#[derive(Debug, Clone)]
pub enum Block {
    /// Sentences, each on its own.
    List(String, Vec<String>),
    /// A table; the last columns, so many of them, are figures.
    Table(String, Vec<String>, Vec<Vec<String>>, usize),
    /// A drawing, with its name for a screen reader and what stands under it.
    Drawing(String, String, String, String),
}

/// A page of recipes.
#[derive(Debug, Clone)]
pub struct ListPage<'a> {
    /// Its heading.
    pub title: String,
    /// What stands under that: what was asked, what came of it.
    pub lead: Vec<String>,
    /// Recipes.
    pub recipes: Vec<Listed<'a>>,
    /// The rest.
    pub blocks: Vec<Block>,
    /// Limits of the model that were reached.
    pub warnings: &'a [Notice],
    /// What to take care of.
    pub cautions: &'a [Notice],
    /// What was assumed, in words.
    pub assumed: Vec<String>,
}

/// Most recipes whose marks stand in the chart; where there are more, their numbers do.
const MOST_NAMED: usize = 6;

/// Writes it.
#[must_use]
pub fn list_page(page: &ListPage) -> String {
    let numbered = page.recipes.len() > MOST_NAMED;
    let body = html! {
        header {
            h1 { (page.title) }
            @for line in &page.lead { p { (line) } }
        }
        @if let Some(svg) = cost_chart(&page.recipes, numbered) {
            section {
                h2 { "Cost against flies that come out right" }
                (figure(&svg, "Cost of a fly against the share of flies that come out right",
                    "Each recipe by its mark below, dots over each other by one: cheap is left, sure is high."))
            }
        }
        @for (i, recipe) in page.recipes.iter().enumerate() { (listed(recipe, numbered.then_some(i + 1))) }
        @for block in &page.blocks { (drawn(block)) }
        @if !page.warnings.is_empty() {
            section {
                h2 { "Warnings" }
                ul { @for warning in page.warnings { li { (warning.text) } } }
            }
        }
        @if !page.cautions.is_empty() {
            section {
                h2 { "Take care" }
                ul { @for caution in page.cautions { li { (caution.text) } } }
            }
        }
        footer.small {
            p { "counterpoise " (env!("CARGO_PKG_VERSION")) "; all prices are invented unless they are yours" }
            @if !page.assumed.is_empty() { p { "assumed: " (page.assumed.join("; ")) } }
        }
    };
    document(&page.title, body)
}

fn listed(recipe: &Listed, number: Option<usize>) -> Markup {
    let ranked = recipe.mark.parse::<u32>().is_ok();
    let name = match number.filter(|_| !ranked) {
        Some(number) => format!("{number}. {}: ", recipe.mark),
        None => format!("{}{} ", recipe.mark, if ranked { "." } else { ":" }),
    };
    let report = recipe.report;
    let cost = format!("{} {} of material", report.cost.per_fly, report.cost.currency);
    let outlay = report.cost.outlay.map_or_else(String::new, |outlay| format!(", {outlay} to pay now"));
    let of_hundred = |share: f64| format!("{:.0} of 100 come out right", share * 100.0);
    let several = !report.dressings.is_empty();
    let told = report.chance.as_ref().filter(|_| !several).map(ChanceReport::told);
    let right = told.or(recipe.share.map(of_hundred)).filter(|_| !several);
    html! {
        section.recipe {
            h2 { (name) (report.idea) }
            @if !recipe.note.is_empty() { p.shares { (recipe.note) } }
            p {
                (report.told) "; " (report.tied_on)
                @if !several { ", " (recipe.fly.dressing.row.name.to_lowercase()) }
            }
            @if let Some(svg) = hanging(recipe.fly, report) {
                (figure(&svg, &format!("The fly as it hangs at its depth: {}", does(report)), &does(report)))
            }
            p { (cost) (outlay) @if let Some(right) = right { "; " (right) } }
            @if several {
                p { "The same base under each dressing" }
                ul { @for dressed in &report.dressings { li { (told_under(dressed)) } } }
            }
            p.small { "recipe " (report.id) ": " (ids(report)) }
        }
    }
}

/// Catalog ids of its parts, for the shop.
fn ids(report: &RecipeReport) -> String {
    let recipe = &report.recipe;
    let bead = recipe.bead.as_ref().map(|bead| bead.id.as_str());
    let pin = recipe.bead.as_ref().and_then(|bead| bead.pin.as_deref());
    let (wire, foam) = (recipe.wire.as_ref().map(|w| w.id.as_str()), recipe.foam.as_ref().map(|f| f.id.as_str()));
    let all = [Some(recipe.hook.as_str()), bead, pin, wire, foam, Some(recipe.pattern.as_str())];
    all.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

fn drawn(block: &Block) -> Markup {
    match block {
        Block::List(title, lines) => html! {
            section {
                h2 { (title) }
                ul { @for line in lines { li { (line) } } }
            }
        },
        Block::Table(title, heads, rows, figures) => {
            let words = heads.len() - figures;
            html! {
                section {
                    h2 { (title) }
                    div.wide {
                        table {
                            thead { tr { @for (i, head) in heads.iter().enumerate() { th.figure[i >= words] { (head) } } } }
                            tbody {
                                @for row in rows {
                                    tr { @for (i, cell) in row.iter().enumerate() { td.figure[i >= words] { (cell) } } }
                                }
                            }
                        }
                    }
                }
            }
        }
        Block::Drawing(title, svg, alt, caption) => html! {
            section {
                h2 { (title) }
                div.wide { (figure(svg, alt, caption)) }
            }
        },
    }
}

/// The chart on its page, mm.
const PAGE: [f64; 2] = [110.0, 70.0];
const PLOT: [f64; 4] = [16.0, 4.0, 88.0, 50.0];

/// Cost against share; `None` where there are not two recipes to set side by side.
fn cost_chart(recipes: &[Listed], numbered: bool) -> Option<String> {
    let mark = |i: usize, r: &Listed| if numbered { (i + 1).to_string() } else { r.mark.clone() };
    let point = |r: &Listed| Some([r.report.cost.per_fly.micros() as f64 * 1e-6, 100.0 * r.share?]);
    let points: Vec<([f64; 2], String)> =
        recipes.iter().enumerate().filter_map(|(i, r)| Some((point(r)?, mark(i, r)))).collect();
    if points.len() < 2 {
        return None;
    }
    let [left, top, width, height] = PLOT;
    let ends =
        |axis: usize| points.iter().fold((f64::MAX, f64::MIN), |(a, b), (p, _)| (a.min(p[axis]), b.max(p[axis])));
    let ((cheap, dear), (unsure, sure)) = (ends(0), ends(1));
    let room = (0.15 * (dear - cheap)).max(0.05 * dear).max(0.01);
    let costs = ((cheap - room).max(0.0), dear + room);
    // Whole fifths of a hundred, the points well within.
    let shares = (((unsure - 5.0) / 20.0).floor().max(0.0) * 20.0, ((sure + 5.0) / 20.0).ceil().min(5.0) * 20.0);
    let along = |(from, to): (f64, f64), value: f64| (value - from) / (to - from);
    let at = |[cost, share]: [f64; 2]| [left + width * along(costs, cost), top + height * (1.0 - along(shares, share))];
    let mut svg = Svg::page(PAGE[0], PAGE[1]);
    svg.rectangle([left, top], [width, height], Pen::line("#000000", 0.3));
    for share in marks(shares) {
        let [_, y] = at([cheap, share]);
        svg.path(&[[left - 1.2, y], [left, y]], Pen::line("#000000", 0.3));
        svg.sized([left - 2.0, y + 1.0], Anchor::End, "black", 2.8, &format!("{share:.0} %"));
    }
    for cost in marks(costs) {
        let [x, _] = at([cost, unsure]);
        svg.path(&[[x, top + height], [x, top + height + 1.2]], Pen::line("#000000", 0.3));
        svg.words([x, top + height + 5.0], Anchor::Middle, "black", &format!("{cost:.2}"));
    }
    let currency = recipes.first().map_or("", |r| r.report.cost.currency.as_str());
    let name = format!("material of one fly, {currency}");
    svg.words([left + 0.5 * width, PAGE[1] - 3.0], Anchor::Middle, "black", &name);
    let dots: Vec<([f64; 2], String)> = points.iter().map(|(point, mark)| (at(*point), mark.clone())).collect();
    for (dot, _) in &dots {
        svg.circle(*dot, 0.9, Pen::fill("#000000"));
    }
    dot_labels(&mut svg, &dots, [left, top, left + width, top + height]);
    Some(svg.finish())
}
