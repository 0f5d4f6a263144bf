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
pub use foot::{WORKED_OUT, bullets, foot, foot_of_file, searched};
pub use parts::{hang_lines, parts, side_view};
pub use recipes::{chance_cell, checks_cell, recipes, sinks_cell, sinks_head, sinks_words, tying_lines};
pub use told::{does, dressing_line, told};
pub use vice::{advice, slopes, stages, trim};

use super::ReportError;
use crate::report::sheet::{Sheet, broken};
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

/// Heads over a rule, no borders.
const PLAIN: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none())
    .header_separator(LineStyle::none().fill('-').junction('-'))
    .content_lines(ContentLineStyle::none());

const APART: TableStyle = PLAIN.row_separator(LineStyle::none().fill(' ').junction(' '));

/// Writes a table, its first `left` columns flush left and the others flush right. Cells break where they hold a
/// newline, and at blanks when the table gets wider than the paper; never inside a word, so that an id can be copied. On
/// paper that is narrower still, columns stand closer and heads of figures word under word, then figures break at blanks, too, and
/// where no table is narrow enough its rows stand one under another, each cell behind its head.
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
    let heads: Vec<String> = heads.iter().map(|head| (*head).to_owned()).collect();
    let under = |(i, head): (usize, &String)| if i < left { head.clone() } else { head.replace(' ', "\n") };
    let close: Vec<String> = heads.iter().enumerate().map(under).collect();
    let columns = out.paper.columns;
    let fits = |lines: &Vec<String>| lines.iter().all(|line| line.chars().count() <= usize::from(columns));
    // The ends of a range stay together while they can: "(0.23" over "to 0.28)".
    let joined = |cell: &String| cell.replace(" to ", &format!(" to{NO_BREAK}"));
    let ranges: Vec<Vec<String>> = rows.iter().map(|row| row.iter().map(joined).collect()).collect();
    let all = heads.len();
    let ways = [(&heads, 2, left, &rows), (&close, 1, left, &rows), (&close, 1, all, &ranges), (&close, 1, all, &rows)];
    let laid = ways
        .into_iter()
        .map(|(heads, gap, broken, rows)| laid_out(heads, (left, broken), spacing, rows, (gap, columns)));
    let lines = laid.into_iter().find(fits).unwrap_or_else(|| one_under_another((&heads, left), &rows, columns));
    lines.iter().try_for_each(|line| writeln!(out, "{line}"))?;
    Ok(())
}

/// Rows as paragraphs, a line or more for each cell behind its head; empty cells are left out. A head of words, one of the first
/// `left`, that has as many lines as its cell stands line by line beside it.
fn one_under_another((heads, left): (&[String], usize), rows: &[Vec<String>], columns: u16) -> Vec<String> {
    let names = |i: usize, cell: &str| -> Vec<String> {
        let lines = heads[i].split('\n');
        let alike = i < left && lines.clone().count() == cell.split('\n').count();
        if alike { lines.map(str::to_owned).collect() } else { vec![heads[i].replace('\n', " ")] }
    };
    let cells = rows.iter().flat_map(|row| row.iter().enumerate());
    let widest = cells.flat_map(|(i, cell)| names(i, cell)).map(|name| name.chars().count()).max().unwrap_or(0);
    let room = usize::from(columns).saturating_sub(widest + 2);
    let mut lines = Vec::new();
    for (i, row) in rows.iter().enumerate() {
        lines.extend((i > 0).then(String::new));
        for (i, cell) in row.iter().enumerate().filter(|(_, cell)| !cell.is_empty()) {
            let mut names = names(i, cell).into_iter();
            for part in cell.split('\n') {
                let mut name = names.next().unwrap_or_default();
                for line in broken(part, room) {
                    lines.push(format!("{name:widest$}  {line}"));
                    name.clear();
                }
            }
        }
    }
    lines
}

/// A blank at which no cell breaks.
const NO_BREAK: char = '\u{a0}';

/// The lines of a table whose first columns, `left` of them, are flush left, and in `broken` of which cells break at blanks; with
/// `gap` blanks between columns, at most so many characters across where its words allow it.
fn laid_out(
    heads: &[String],
    (left, broken): (usize, usize),
    spacing: Spacing,
    rows: &[Vec<String>],
    (gap, columns): (u16, u16),
) -> Vec<String> {
    let mut table = Table::new();
    table.load_style(match spacing {
        Spacing::Close => PLAIN,
        Spacing::Apart => APART,
    });
    table.set_content_arrangement(ContentArrangement::Dynamic);
    // Each column ends in blanks; those of the last are cut off.
    table.set_width(columns + gap);
    table.set_header(heads.to_vec());
    table.add_rows(rows.to_vec());
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, gap));
        if i >= left {
            column.set_cell_alignment(CellAlignment::Right);
        }
        if i < broken {
            let cells = rows.iter().filter_map(|row| row.get(i).map(String::as_str)).chain([heads[i].as_str()]);
            let longest = cells.flat_map(|cell| cell.split([' ', '\n'])).map(|word| word.chars().count()).max();
            let words = longest.map_or(0, |n| u16::try_from(n).unwrap_or(u16::MAX / 2));
            column.set_constraint(ColumnConstraint::LowerBoundary(Width::Fixed(words + gap)));
        } else {
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    // The rule is as long as the columns with their blanks.
    let cut = |line: &str| match line.strip_suffix(&"-".repeat(usize::from(gap))) {
        Some(rule) if line.starts_with("--") => rule.to_owned(),
        _ => line.trim_end().replace(NO_BREAK, " "),
    };
    table.lines().map(|line| cut(line.as_ref())).collect()
}
