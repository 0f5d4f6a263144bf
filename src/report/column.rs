//! Columns: a head and what stands below it, in one value, for tables and CSV alike.

use super::ReportError;
use super::table::{Spacing, write_table};
use crate::report::sheet::Sheet;
use std::borrow::Cow;

/// A column of a list of `R`.
pub struct Column<'c, R: ?Sized> {
    head: Cow<'c, str>,
    cell: Box<dyn Fn(&R) -> String + 'c>,
}

/// A column with its head and what stands below it.
pub fn column<'c, R: ?Sized>(head: impl Into<Cow<'c, str>>, cell: impl Fn(&R) -> String + 'c) -> Column<'c, R> {
    Column { head: head.into(), cell: Box::new(cell) }
}

impl<'c, R: ?Sized + 'c> Column<'c, R> {
    /// What stands above it.
    #[must_use]
    pub fn head(&self) -> &str {
        &self.head
    }

    /// The same column of a list whose entries hold what it is about.
    #[must_use]
    pub fn of<S: ?Sized>(self, held: impl Fn(&S) -> &R + 'c) -> Column<'c, S> {
        let cell = self.cell;
        Column { head: self.head, cell: Box::new(move |entry| cell(held(entry))) }
    }
}

/// A cell of CSV that may be empty.
#[must_use]
pub fn optional<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |v| v.to_string())
}

pub(super) fn heads<'c, R: ?Sized>(columns: &'c [Column<'_, R>]) -> Vec<&'c str> {
    columns.iter().map(|c| c.head.as_ref()).collect()
}

pub(super) fn cells<R: ?Sized>(columns: &[Column<'_, R>], row: &R) -> Vec<String> {
    columns.iter().map(|c| (c.cell)(row)).collect()
}

/// Writes rows as a table, the first `left` columns flush left.
///
/// # Errors
/// The stream refuses.
pub fn columns_table<'r, R: 'r>(
    out: &mut Sheet,
    columns: &[Column<'_, R>],
    left: usize,
    spacing: Spacing,
    rows: impl IntoIterator<Item = &'r R>,
) -> Result<(), ReportError> {
    write_table(out, &heads(columns), left, spacing, rows.into_iter().map(|row| cells(columns, row)))
}
