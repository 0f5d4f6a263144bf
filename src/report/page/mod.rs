//! A page for the bench: one self-contained HTML file, for a phone, a screen and paper, that needs no network.
//!
//! Drawings are SVG with the lengths of paper in millimetres; all but those at true size shrink to the screen. Nothing is
//! told by colour alone.

mod answers;
mod curves;
mod hanging;
mod listing;
mod template;

pub use answers::{box_page, compare_page, find_page, swap_page};
pub use curves::Curves;
pub use listing::{Block, ListPage, Listed, list_page};

use super::Notice;
use super::card::{CardReport, countdown_words, go_on, shows, turn_words};
use super::story::{hook_story, story};
use super::words::hang_words;
use crate::fly::{Conditions, Fly};
use crate::quantity::shown::{DEPTH, SIZE};
use crate::wanted::Target;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// What a page is made of.
#[derive(Debug, Clone, Copy)]
pub struct Page<'a> {
    /// The card.
    pub card: &'a CardReport,
    /// The fly.
    pub fly: &'a Fly<'a>,
    /// What is wanted of it.
    pub target: &'a Target,
    /// The jar, as conditions.
    pub jar: &'a Conditions,
    /// What it costs, in words; empty where nobody asked.
    pub cost: &'a str,
    /// How many come out right, in words.
    pub shares: &'a str,
    /// What to take care of.
    pub cautions: &'a [Notice],
    /// What was assumed, in words.
    pub assumed: &'a [String],
}

/// Writes a page.
#[must_use]
pub fn page(page: &Page) -> String {
    let title = format!("{}: {}", hook_story(page.fly.hook), story(page.fly));
    let body = html! {
        header {
            h1 { (story(page.fly)) }
            p { (hook_story(page.fly.hook)) "; " (page.fly.dressing.row.name) }
            p { (page.card.purpose) }
            @if !page.shares.is_empty() { p.shares { (page.shares) } }
            @if let Some(corrected) = &page.card.corrected { p.small { (corrected) } }
        }
        (jar(page))
        (steps(page))
        (template_section(page))
        (trim(page))
        (drawn_curves(page))
        (materials(page))
        section {
            h2 { "Take care" }
            ul { @for caution in page.cautions { li { (caution.text) } } }
        }
        footer.small {
            p { "recipe " (page.card.id) "; counterpoise " (env!("CARGO_PKG_VERSION")) "; all prices are invented unless they are yours" }
            @if !page.assumed.is_empty() { p { "assumed: " (page.assumed.join("; ")) } }
        }
    };
    document(&title, body)
}

/// The frame around every page.
fn document(title: &str, body: Markup) -> String {
    let style = include_str!("style.css");
    let markup = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) }
                style { (PreEscaped(style)) }
            }
            body { main { (body) } }
        }
    };
    markup.into_string()
}

/// An SVG that tells what it shows.
fn figure(svg: &str, alt: &str, caption: &str) -> Markup {
    html! {
        figure {
            (PreEscaped(named(svg, alt)))
            figcaption { (caption) }
        }
    }
}

/// Gives a drawing the name that a screen reader reads.
fn named(svg: &str, alt: &str) -> String {
    let alt = alt.replace('&', "&amp;").replace('<', "&lt;").replace('"', "&quot;");
    svg.replacen("<svg ", &format!("<svg role=\"img\" aria-label=\"{alt}\" "), 1)
}

fn jar(page: &Page) -> Markup {
    let Some(at_depth) = &page.card.at_depth else {
        return html! { p { "It floats: there is nothing to hang." } };
    };
    let stages = &page.card.stages;
    let last = hanging::shown(page);
    html! {
        section {
            h2 { "As hand and jar should show it" }
            @if let (Some(shown), Some(svg)) = (last, hanging::in_jar(page)) {
                (figure(&svg, &format!("The fly on its line in the jar: {}", turn_words(shown)), &hanging::caption(page)))
            }
            div.wide {
                table {
                    thead { tr { th { "after" } th { "the hand shows" } th { "the jar shows" } th { "go on between" } } }
                    tbody {
                        @for stage in stages {
                            tr {
                                td { (stage.stage) }
                                td { (shows(stage.hand())) }
                                td { (shows(stage.jar())) }
                                td { (go_on(stage)) }
                            }
                        }
                    }
                }
            }
            p { (page.card.early.words()) }
            details {
                summary { "Stage by stage" }
                ul { @for stage in stages { li { (stage.say) } } }
            }
            h2 { "What pulls which way at " (DEPTH.stated(page.target.conditions.depth, 2)) }
            @if let Some(svg) = hanging::forces(page) {
                (figure(&svg, &format!("Forces on the fly at depth: it hangs {}", turn_words(at_depth)),
                    "Arrows down: what a part weighs in water; arrows up: what it lifts. The dot is the tie point."))
            }
        }
    }
}

fn steps(page: &Page) -> Markup {
    html! {
        section {
            h2 { "Tie it" }
            p.small { "Lengths from the middle of the eye." }
            ol { @for step in &page.card.steps { li { strong { (step.part) } " " (step.text) } } }
        }
    }
}

fn template_section(page: &Page) -> Markup {
    let Some(svg) = template::template(page) else { return html! {} };
    html! {
        section {
            h2 { "Cut the foam" }
            figure {
                div.true-size { (PreEscaped(named(&svg, "Template for the foam at true size, with a bar of 50 mm"))) }
                figcaption { "True size when printed at 100 %: the bar must measure 50 mm. A screen may show another size." }
            }
        }
    }
}

fn trim(page: &Page) -> Markup {
    let Some(trim) = &page.card.trim else { return html! {} };
    html! {
        section {
            h2 { "Trim it in the jar" }
            p { (super::card::trim_words(trim)) }
            @if !trim.chart.is_empty() {
                table {
                    thead { tr { th { "the finished fly shows" } th.figure { "cut off" } } }
                    tbody {
                        @for row in &trim.chart {
                            tr { td { (super::card::trim_row_words(row)) } td.figure { (SIZE.text(row.cut_mm, 2)) } }
                        }
                    }
                }
            }
        }
    }
}

fn drawn_curves(page: &Page) -> Markup {
    let curves = Curves::of(page.fly, page.target, page.jar);
    html! {
        @if let Some(svg) = curves::foam_chart(&curves, page) {
            section {
                h2 { "Hang against foam length" }
                (figure(&svg, "Hang in the jar and at depth against the length of the foam",
                    "Whole line: at the fishing depth. Dashed: in the jar. Grey band: what was asked for. Upright line: this recipe."))
            }
        }
        @if let Some(svg) = curves::depth_chart(&curves) {
            section {
                h2 { "On the way down" }
                (figure(&svg, "Depth against time, lowered on a tight line",
                    &format!("Lowered on a tight line; the strokes show how the shank lies. {}", countdown_words(page.card))))
            }
        }
    }
}

fn materials(page: &Page) -> Markup {
    let fly = page.fly;
    let rows = [
        Some(("hook", &fly.hook.row)),
        fly.bead.map(|(bead, _)| ("bead", &bead.row)),
        fly.bead.and_then(|(_, mount)| match mount {
            crate::fly::FrontMount::Pin(pin, _) => Some(("pin", &pin.row)),
            crate::fly::FrontMount::Eye => None,
        }),
        fly.wraps.as_ref().map(|w| ("wire", &w.wire.row)),
        fly.foam.as_ref().map(|f| ("foam", &f.foam.row)),
        Some(("dressing", &fly.dressing.row)),
    ];
    html! {
        section {
            h2 { "Materials" }
            div.wide {
                table {
                    thead { tr { th { "" } th { "what" } th { "catalog id" } } }
                    tbody {
                        @for (kind, row) in rows.into_iter().flatten() {
                            tr { td { (kind) } td { (row.name) } td { (row.id) } }
                        }
                    }
                }
            }
            @if !page.cost.is_empty() { p { (page.cost) } }
        }
    }
}

/// "3° head down to 6° tail down" of two whole degrees.
fn span_words(low: f64, high: f64) -> String {
    format!("{} to {}", hang_words(low.round()), hang_words(high.round()))
}
