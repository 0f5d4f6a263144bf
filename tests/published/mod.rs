//! Our values beside published ones. Every file under `data/` keeps the source's number, its source and how it was obtained
//! (`read`, `library` = computed by a named library or from a formula that was read, `memory` = from memory); every row of it is
//! checked or the test fails.
#![allow(clippy::unwrap_used, clippy::expect_used)]

mod added_mass;
mod densities;
mod drag;
mod foam;
mod geometry;
mod knot;
mod least_squares;
mod short_bodies;
mod statics;
mod terminal;
mod water;
mod wire;

use std::collections::HashMap;

/// One row of a table of published values.
struct Row(HashMap<String, String>);

impl Row {
    fn text(&self, column: &str) -> &str {
        self.0.get(column).map(String::as_str).unwrap_or_else(|| panic!("no column {column}"))
    }

    fn number(&self, column: &str) -> f64 {
        let text = self.text(column);
        text.parse().unwrap_or_else(|_| panic!("{column}: {text} is not a number"))
    }

    fn value(&self) -> f64 {
        self.number("value")
    }

    /// The number after `key` in `column`, as in `depth=10 m`.
    fn number_after(&self, column: &str, key: &str) -> f64 {
        let text = self.text(column);
        let rest = text.split(key).nth(1).unwrap_or_else(|| panic!("{column}: no {key} in {text}"));
        let end = rest.find(|c: char| !(c.is_ascii_digit() || c == '.' || c == '-')).unwrap_or(rest.len());
        rest[..end].parse().unwrap_or_else(|_| panic!("{column}: no number after {key} in {text}"))
    }

    /// Fails unless `ours` is within `relative` of the published value.
    fn assert_value(&self, ours: f64, relative: f64) {
        let theirs = self.value();
        let off = ours / theirs - 1.0;
        assert!(
            off.abs() <= relative,
            "ours {ours}, published {theirs} ({off:+.2e} off, {relative:.1e} allowed): {:?}",
            self.0
        );
    }

    /// Fails unless `ours` is within `half_a_digit` (in the row's unit) of the published value: for tables printed to few digits.
    fn assert_printed(&self, ours: f64, half_a_digit: f64) {
        let theirs = self.value();
        assert!(
            (ours - theirs).abs() <= half_a_digit,
            "ours {ours}, published {theirs} +-{half_a_digit}: {:?}",
            self.0
        );
    }
}

/// All rows of a table.
fn rows(table: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(table.as_bytes());
    let header = reader.headers().unwrap().clone();
    reader
        .records()
        .map(|record| {
            Row(header.iter().zip(record.unwrap().iter()).map(|(h, v)| (h.to_owned(), v.to_owned())).collect())
        })
        .collect()
}
