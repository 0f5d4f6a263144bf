//! Answers for a person at a vice.

mod descent;
mod explanation;
mod fit;
mod foot;
mod parts;
mod recipes;
mod told;
mod vice;

pub use descent::{budget, descent, other_waters};
pub use explanation::explanation;
pub use fit::{fit_csv, fit_table};
pub use foot::{bullets, foot, foot_of_file, searched};
pub use parts::{hang_lines, parts, side_view};
pub use recipes::{chance_cell, checks_cell, recipes, sinks_cell, sinks_head, sinks_words, tying_lines};
pub use told::{does, told};
pub use vice::{advice, slopes, stages, trim};

use super::ReportError;
use crate::report::sheet::Sheet;
use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, Table, TableStyle, Width,
};

/// Whether rows stand apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spacing {
    /// Row under row.
    Close,
    /// A blank line between rows, for rows of several lines.
    Apart,
}

/// Blanks between columns.
const GAP: u16 = 2;

/// The least width that a table takes: texts broken at every blank, figures in one line.
fn least_width(heads: &[&str], left: usize, rows: &[Vec<String>], gap: u16) -> usize {
    let column = |(i, head): (usize, &&str)| {
        let cells = rows.iter().filter_map(|row| row.get(i).map(String::as_str)).chain([*head]);
        let longest = |text: &str| match i < left {
            true => text.split_whitespace().map(|word| word.chars().count()).max().unwrap_or(0),
            false => text.lines().map(|line| line.chars().count()).max().unwrap_or(0),
        };
        cells.map(longest).max().unwrap_or(0) + usize::from(gap)
    };
    heads.iter().enumerate().map(column).sum()
}

/// Heads over a rule, no borders.
const PLAIN: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none())
    .header_separator(LineStyle::none().fill('-').junction('-'))
    .content_lines(ContentLineStyle::none());

const APART: TableStyle = PLAIN.row_separator(LineStyle::none().fill(' ').junction(' '));

/// Writes a table, its first `left` columns flush left and the others flush right. Cells break where they hold a
/// newline, and at blanks when the table gets wider than the paper; never inside a word, so that an id can be copied.
///
/// # Errors
/// The stream refuses.
pub fn write_table(
    out: &mut Sheet,
    heads: &[&str],
    left: usize,
    spacing: Spacing,
    rows: impl Iterator<Item = Vec<String>>,
) -> Result<(), ReportError> {
    let rows: Vec<Vec<String>> = rows.collect();
    let room = usize::from(out.paper.columns) + usize::from(GAP);
    let wide = least_width(heads, left, &rows, GAP) > room;
    // On narrow paper heads of figures stand word under word, and columns closer.
    let (gap, heads): (u16, Vec<String>) = match wide {
        true => (
            1,
            heads
                .iter()
                .enumerate()
                .map(|(i, h)| if i < left { (*h).to_owned() } else { h.replace(' ', "\n") })
                .collect(),
        ),
        false => (GAP, heads.iter().map(|h| (*h).to_owned()).collect()),
    };
    let mut table = Table::new();
    table.load_style(match spacing {
        Spacing::Close => PLAIN,
        Spacing::Apart => APART,
    });
    table.set_content_arrangement(ContentArrangement::Dynamic);
    // Each column ends in blanks; those of the last are cut off.
    table.set_width(out.paper.columns + gap);
    table.set_header(heads.clone());
    let words: Vec<u16> = (0..heads.len())
        .map(|i| {
            let cells = rows.iter().filter_map(|row| row.get(i).map(String::as_str)).chain([heads[i].as_str()]);
            let longest = cells.flat_map(str::split_whitespace).map(|word| word.chars().count()).max();
            longest.map_or(0, |n| u16::try_from(n).unwrap_or(u16::MAX / 2))
        })
        .collect();
    table.add_rows(rows);
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, gap));
        if i < left {
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(words[i] + gap)));
        } else {
            column.set_cell_alignment(CellAlignment::Right);
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    for line in table.lines() {
        // The rule is as long as the columns with their blanks.
        let line =
            if line.starts_with("--") { &line[..line.len().saturating_sub(usize::from(gap))] } else { line.trim_end() };
        writeln!(out, "{line}")?;
    }
    Ok(())
}
