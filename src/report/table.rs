//! Answers for a person at a vice.

mod foot;
mod parts;
mod recipes;

pub use foot::foot;
pub use parts::{hang_lines, parts};
pub use recipes::recipes;

use comfy_table::{
    CellAlignment, ColumnConstraint, ContentArrangement, ContentLineStyle, LineStyle, Table, TableStyle,
};

/// Widest line of a table, characters.
pub const WIDTH: u16 = 110;

/// Heads over a rule, no borders.
const PLAIN: TableStyle = TableStyle::new()
    .header_lines(ContentLineStyle::none())
    .header_separator(LineStyle::none().fill('-').junction('-'))
    .content_lines(ContentLineStyle::none());

/// A table with these heads, its first `left` columns flush left and the others flush right. Cells break where they
/// hold a newline, and only when the table gets wider than [`WIDTH`] elsewhere.
#[must_use]
pub fn plain(heads: &[&str], left: usize, rows: impl IntoIterator<Item = Vec<String>>) -> Table {
    let mut table = Table::new();
    table.load_style(PLAIN);
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(WIDTH);
    table.set_header(heads.to_vec());
    for row in rows {
        table.add_row(row);
    }
    for (i, column) in table.column_iter_mut().enumerate() {
        column.set_padding((0, 2));
        if i >= left {
            column.set_cell_alignment(CellAlignment::Right);
            column.set_constraint(ColumnConstraint::ContentWidth);
        }
    }
    table
}
