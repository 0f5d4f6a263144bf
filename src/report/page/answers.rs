//! The answers of `find`, `compare` and `box` as pages.

use super::listing::{Block, ListPage, Listed, list_page};
use crate::fly::Fly;
use crate::quantity::Money;
use crate::report::Answer;
use crate::report::compare::{CompareReport, SwapReport, impossible_words};
use crate::report::depth_chart::{DepthChart, depth_picture};
use crate::report::explanation::ExplanationReport;
use crate::report::find::FindReport;
use crate::report::fly_box::{BoxReport, DEPTH_HEADS, RIGHT_HEADS, TieReport, depth_rows, missing, right_rows};
use crate::report::recipe::{ChanceReport, RecipeReport};
use crate::report::shopping::ShoppingReport;
use crate::report::table::searched;

fn share(report: &RecipeReport) -> Option<f64> {
    report.chance.as_ref().map(ChanceReport::share)
}

/// The frame that all answers share.
fn framed<'a, B>(answer: &'a Answer<B>, title: &str, asked: &str, recipes: Vec<Listed<'a>>) -> ListPage<'a> {
    ListPage {
        title: title.to_owned(),
        lead: vec![format!("asked: {asked}")],
        recipes,
        blocks: Vec::new(),
        warnings: &answer.warnings,
        cautions: &answer.cautions,
        assumed: answer.assumptions.iter().map(|a| a.text.clone()).collect(),
    }
}

/// Ranked recipes. `flies` are those of the answer, in its order; `asked` is what was typed.
#[must_use]
pub fn find_page(answer: &Answer<FindReport>, flies: &[&Fly], asked: &str) -> String {
    let recipes = answer.recipes.iter().zip(flies).map(|(report, fly)| Listed {
        mark: report.rank.to_string(),
        report,
        fly,
        share: share(report),
        note: String::new(),
    });
    let title = if answer.recipes.is_empty() { "Nothing meets this target" } else { "Recipes, best first" };
    let mut page = framed(answer, title, asked, recipes.collect());
    page.lead.extend(answer.body.empty.clone());
    page.lead.extend(answer.search.as_ref().map(|search| searched(search, answer.recipes.is_empty())));
    page.blocks.extend(answer.body.explanation.as_ref().map(why).into_iter().flatten());
    list_page(&page)
}

fn why(explanation: &ExplanationReport) -> [Block; 2] {
    let changes = explanation.relaxations.iter().map(|r| format!("{} ({})", r.text, r.option)).collect();
    [Block::List("Why".to_owned(), explanation.reasons()), Block::List("What would help".to_owned(), changes)]
}

/// The best recipe for each option of a comparison.
#[must_use]
pub fn compare_page<B>(answer: &Answer<B>, report: &CompareReport, flies: &[&Fly], asked: &str) -> String {
    let recipes = answer.recipes.iter().zip(flies).filter_map(|(recipe, fly)| {
        let option = report.options.iter().find(|option| option.rank == Some(recipe.rank))?;
        let dearer = option.dearer.filter(|more| *more > Money::ZERO);
        let note = match dearer {
            Some(more) => format!("{more} {} more than the cheapest", recipe.cost.currency),
            None => "the cheapest".to_owned(),
        };
        let lead = if recipe.contains_lead { "; contains lead" } else { "" };
        let mark = option.values.join(", ");
        Some(Listed { mark, report: recipe, fly, share: share(recipe), note: format!("{note}{lead}") })
    });
    let mut page = framed(answer, &format!("By {}", report.by.join(" and ")), asked, recipes.collect());
    let not = impossible_words(report);
    page.blocks.extend((!not.is_empty()).then(|| Block::List("Impossible".to_owned(), not)));
    list_page(&page)
}

/// One recipe with parts swapped.
#[must_use]
pub fn swap_page<B>(answer: &Answer<B>, report: &SwapReport, flies: &[&Fly], asked: &str) -> String {
    let recipes = answer.recipes.iter().zip(flies).zip(&report.rows).map(|((recipe, fly), row)| {
        let missed = match row.missed.as_slice() {
            [] => "misses nothing".to_owned(),
            missed => format!("misses {}", missed.join(", ")),
        };
        let mark = if row.swap.is_empty() { "as it is".to_owned() } else { row.swap.clone() };
        Listed { mark, report: recipe, fly, share: share(recipe), note: missed }
    });
    let mut page = framed(answer, "One recipe, parts swapped", asked, recipes.collect());
    let cannot: Vec<String> = report.cannot.iter().map(|no| format!("{}: {}", no.swap, no.why)).collect();
    page.blocks.extend((!cannot.is_empty()).then(|| Block::List("Cannot be tied".to_owned(), cannot)));
    list_page(&page)
}

/// A box: what to tie and how many, which fly for which depth, what to buy.
#[must_use]
pub fn box_page<B>(answer: &Answer<B>, report: &BoxReport, flies: &[&Fly], asked: &str) -> String {
    let recipes = report.ties.iter().zip(flies).enumerate().map(|(i, (tie, fly))| Listed {
        mark: (i + 1).to_string(),
        report: &tie.recipe,
        fly,
        share: Some(tie.share.0),
        note: format!("tie {}: {}; batch {}", tie.total, for_whom(report, tie), tie.batch),
    });
    let mut page = framed(answer, &report.name, asked, recipes.collect());
    let state = if report.complete { "complete" } else { "not complete" };
    page.lead.push(format!("{state}; {} {} to pay", report.shopping.outlay, report.shopping.currency));
    let lacking = missing(report);
    page.blocks.extend((!lacking.is_empty()).then(|| Block::List("Missing".to_owned(), lacking)));
    let hangs = report.hangs_at_dots(|i| format!("{}: ", i + 1));
    page.blocks.push(Block::Drawing(
        "Which fly for which depth".to_owned(),
        depth_picture(&named_chart(report), &report.name, &hangs),
        "Depth against time for each fly of the box".to_owned(),
        "The bands are the depths that are wanted. Each line is one of the flies above; at each dot stands how it hangs there."
            .to_owned(),
    ));
    let depths = depth_rows(report, |i| format!("{}. {}", i + 1, report.depths[i].recipe));
    page.blocks.push(table("How each fly hangs there, on a tight line", &DEPTH_HEADS, depths, 1));
    let right = table("How many come out right", &RIGHT_HEADS, right_rows(report), RIGHT_HEADS.len() - 1);
    page.blocks.push(right);
    page.blocks.push(shopping(&report.shopping));
    page.blocks.push(Block::List("Proof".to_owned(), report.proof_lines()));
    list_page(&page)
}

/// "7 drop-off, 3 m; 2 weed edge, 1 m".
fn for_whom(report: &BoxReport, tie: &TieReport) -> String {
    tie.for_needs(report).join("; ")
}

/// A table with the heads of a terminal's, of which the last `figures` are over figures.
fn table(title: &str, heads: &[&str], rows: Vec<Vec<String>>, figures: usize) -> Block {
    let heads = heads.iter().map(|head| head.replace('\n', " ")).collect();
    Block::Table(title.to_owned(), heads, rows, figures)
}

/// The chart with the flies as the page numbers them, and the needs for which there is none.
fn named_chart(report: &BoxReport) -> DepthChart {
    let mut chart = report.chart.clone();
    for (i, line) in chart.lines.iter_mut().enumerate() {
        line.recipe = format!("fly {}", i + 1);
    }
    for (band, _) in chart.bands.iter_mut().zip(&report.needs).filter(|(_, need)| need.tied == 0) {
        band.need.push_str(" (no fly)");
    }
    chart
}

fn shopping(list: &ShoppingReport) -> Block {
    let heads = ["what", "needed", "there", "buy", &format!("price, {}", list.currency)].map(str::to_owned).to_vec();
    let rows = list.lines.iter().map(|line| {
        let buy = match line.packs {
            0 => "nothing".to_owned(),
            packs => format!("{packs} x {}", line.pack_content.words()),
        };
        vec![line.name.clone(), line.needed.words(), line.owned.words(), buy, line.price.to_string()]
    });
    let total = ["in all", "", "", "", &list.outlay.to_string()].map(str::to_owned).to_vec();
    Block::Table("What to buy".to_owned(), heads, rows.chain([total]).collect(), 4)
}
