//! Answers as CSV: one recipe a line, or one part a line. Units stand in the column heads.

use super::column::{Column, cells, column, heads, optional};
use super::dressed::each_dressed;
use super::part::PartReport;
use super::recipe::{DressedFoam, DressedReport, RecipeReport};
use super::table::checks_cell;
use super::{Figure, ReportError};
use crate::recipe_file::MountWord;
use std::io::Write;

/// Any list, one entry a line.
///
/// # Errors
/// The stream refuses.
pub fn lines(out: &mut dyn Write, heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<(), ReportError> {
    let mut writer = ::csv::Writer::from_writer(out);
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.flush()?;
    Ok(())
}

/// One recipe a line; where several dressings were asked, one line for each under each, with how its foam is trimmed.
///
/// # Errors
/// The stream refuses.
pub fn recipes(out: &mut dyn Write, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let mut columns = recipe_columns();
    columns.extend(figure_columns());
    if recipes.iter().all(|report| report.dressings.is_empty()) {
        return columns_csv(out, &columns, recipes);
    }
    let mut columns: Vec<Column<Line>> = columns.into_iter().map(|known| known.of(|line: &Line| line.0)).collect();
    let foam = |head: &'static str, of: fn(&DressedFoam) -> Option<Figure>| {
        column(head, move |line: &Line| {
            let foam = line.1.and_then(|dressed| dressed.foam.as_ref());
            optional(foam.and_then(of).map(Figure::rounded))
        })
    };
    columns.push(foam("foam_start_mm", |foam| Some(Figure(foam.start_mm))));
    columns.push(foam("foam_trimmed_mm", |foam| Some(foam.trimmed_mm)));
    columns.push(foam("hang_as_first_deg", |foam| foam.hang_as_first_deg));
    let lines: Vec<Line> = each_dressed(recipes).collect();
    columns_csv(out, &columns, &lines)
}

/// A recipe, and under which of several dressings.
type Line<'l> = (&'l RecipeReport, Option<&'l DressedReport>);

/// What to tie.
fn recipe_columns() -> Vec<Column<'static, RecipeReport>> {
    vec![
        column("rank", |r: &RecipeReport| r.rank.to_string()),
        column("id", |r: &RecipeReport| r.id.clone()),
        column("idea", |r: &RecipeReport| r.idea.clone()),
        column("hook", |r: &RecipeReport| r.recipe.hook.clone()),
        column("pattern", |r: &RecipeReport| r.recipe.pattern.clone()),
        column("bead", |r: &RecipeReport| optional(r.recipe.bead.as_ref().map(|b| &b.id))),
        column("mount", |r: &RecipeReport| {
            let word = |mount| match mount {
                MountWord::Eye => "eye",
                MountWord::Pin => "pin",
            };
            optional(r.recipe.bead.as_ref().map(|b| word(b.mount)))
        }),
        column("pin", |r: &RecipeReport| optional(r.recipe.bead.as_ref().and_then(|b| b.pin.as_ref()))),
        column("projection_mm", |r: &RecipeReport| optional(r.recipe.bead.as_ref().and_then(|b| b.projection_mm))),
        column("wire", |r: &RecipeReport| optional(r.recipe.wire.as_ref().map(|w| &w.id))),
        column("turns", |r: &RecipeReport| optional(r.recipe.wire.as_ref().map(|w| w.turns))),
        column("start_mm", |r: &RecipeReport| optional(r.recipe.wire.as_ref().map(|w| w.start_mm))),
        column("foam", |r: &RecipeReport| optional(r.recipe.foam.as_ref().map(|f| &f.id))),
        column("cut", |r: &RecipeReport| optional(r.recipe.foam.as_ref().map(|f| f.cut))),
        column("length_mm", |r: &RecipeReport| optional(r.recipe.foam.as_ref().map(|f| f.length_mm))),
        column("seat", |r: &RecipeReport| optional(r.recipe.foam.as_ref().map(|f| f.seat))),
    ]
}

/// What comes of it.
fn figure_columns() -> Vec<Column<'static, RecipeReport>> {
    let figure = |head: &'static str, of: fn(&RecipeReport) -> Option<Figure>| {
        column(head, move |r: &RecipeReport| optional(of(r).map(Figure::rounded)))
    };
    vec![
        figure("hang_deg", |r| r.hang.angle_deg),
        column("rides", |r: &RecipeReport| optional(r.hang.rides)),
        figure("steadiness_mN_mm_per_rad", |r| r.hang.steadiness_mn_mm_per_rad),
        figure("friction_band_deg", |r| r.hang.friction_band_deg),
        figure("depth_m", |r| Some(r.hang.depth_m)),
        column("state", |r: &RecipeReport| r.hang.state.to_owned()),
        column("knot", |r: &RecipeReport| r.hang.knot.to_owned()),
        column("line", |r: &RecipeReport| r.fall.line.to_owned()),
        figure("sink_rate_m_s", |r| Some(r.fall.sink_rate_m_s)),
        figure("sink_rate_low_m_s", |r| r.fall.low_m_s),
        figure("sink_rate_high_m_s", |r| r.fall.high_m_s),
        figure("attitude_deg", |r| Some(r.fall.attitude_deg)),
        figure("glide_m_s", |r| Some(r.fall.glide_m_s)),
        column("settled", |r: &RecipeReport| r.fall.settled.to_string()),
        figure("mass_mg", |r| Some(r.totals.mass_mg)),
        figure("submerged_weight_mN", |r| Some(r.totals.submerged_weight_mn)),
        figure("moment_x_mN_mm", |r| Some(r.totals.moment_x_mn_mm)),
        figure("moment_y_mN_mm", |r| Some(r.totals.moment_y_mn_mm)),
        figure("chance_as_tied", |r| r.chance.as_ref().map(|c| c.as_tied)),
        figure("chance_trimmed", |r| r.chance.as_ref().and_then(|c| c.trimmed)),
        column("chance_counted", |r: &RecipeReport| optional(r.chance.as_ref().map(|c| c.counted))),
        figure("chance_floor", |r| r.chance.as_ref().and_then(|c| c.floor)),
        column("cost_per_fly", |r: &RecipeReport| r.cost.per_fly.fine()),
        column("currency", |r: &RecipeReport| r.cost.currency.clone()),
        figure("margin", |r| r.margin),
        column("outlay", |r: &RecipeReport| optional(r.cost.outlay.map(crate::quantity::Money::exact))),
        column("missed", |r: &RecipeReport| r.missed().map(|c| c.requirement).collect::<Vec<_>>().join("; ")),
        column("checks", checks_cell),
    ]
}

/// One part a line, and the whole fly in the last: how it hangs and sinks is said of that alone.
///
/// # Errors
/// The stream refuses.
pub fn parts(out: &mut dyn Write, report: &RecipeReport) -> Result<(), ReportError> {
    let (of_part, of_fly) = (part_columns(), fly_columns());
    let all: Vec<&str> = heads(&of_part).into_iter().chain(heads(&of_fly)).collect();
    let blank = vec![String::new(); of_fly.len()];
    let parts = report.parts.iter().map(|part| [cells(&of_part, part), blank.clone()].concat());
    let sum = |f: Figure| f.rounded().to_string();
    let totals = &report.totals;
    let total = of_part.iter().map(|column| match column.head() {
        "kind" => "total".to_owned(),
        "id" => report.id.clone(),
        "mass_mg" => sum(totals.mass_mg),
        "volume_mm3" => sum(totals.volume_mm3),
        "submerged_weight_mN" => sum(totals.submerged_weight_mn),
        "moment_x_mN_mm" => sum(totals.moment_x_mn_mm),
        "moment_y_mN_mm" => sum(totals.moment_y_mn_mm),
        _ => String::new(),
    });
    let total = total.chain(cells(&of_fly, report)).collect();
    lines(out, &all, parts.chain(std::iter::once(total)))
}

/// What is said of each part.
fn part_columns() -> Vec<Column<'static, PartReport>> {
    let figure = |head: &'static str, of: fn(&PartReport) -> Figure| {
        column(head, move |p: &PartReport| of(p).rounded().to_string())
    };
    vec![
        column("kind", |p: &PartReport| p.kind.to_owned()),
        column("id", |p: &PartReport| p.id.clone()),
        column("name", |p: &PartReport| p.name.clone()),
        column("material", |p: &PartReport| p.material.clone()),
        column("count", |p: &PartReport| p.count.to_string()),
        column("length_mm", |p: &PartReport| optional(p.length_mm.map(Figure::rounded))),
        figure("mass_mg", |p| p.mass_mg),
        figure("volume_mm3", |p| p.volume_mm3),
        figure("submerged_weight_mN", |p| p.submerged_weight_mn),
        figure("x_mm", |p| p.x_mm),
        figure("y_mm", |p| p.y_mm),
        figure("moment_x_mN_mm", |p| p.moment_x_mn_mm),
        figure("moment_y_mN_mm", |p| p.moment_y_mn_mm),
    ]
}

/// What is said of the whole fly beside its parts: of the columns of a list of recipes those before the totals, which stand
/// in the columns of the parts.
fn fly_columns() -> Vec<Column<'static, RecipeReport>> {
    figure_columns().into_iter().take_while(|column| column.head() != "mass_mg").collect()
}

/// Writes rows as CSV.
///
/// # Errors
/// The stream refuses.
pub fn columns_csv<'r, R: 'r>(
    out: &mut dyn Write,
    columns: &[Column<'_, R>],
    rows: impl IntoIterator<Item = &'r R>,
) -> Result<(), ReportError> {
    lines(out, &heads(columns), rows.into_iter().map(|row| cells(columns, row)))
}
