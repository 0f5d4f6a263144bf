//! The bent line at a snug knot against boundary-value solutions and worked examples.

use super::{Row, rows};
use counterpoise::physics::knot::{bending_stiffness, decay_length, end_moment, lateral_offset};

const TABLE: &str = include_str!("data/knot.csv");

#[test]
fn knot_rows_match() {
    for row in rows(TABLE) {
        match row.text("quantity") {
            "numerical_check" => boundary_value_row(&row),
            "worked_example" => worked_row(&row),
            other => panic!("no check for {other}"),
        }
    }
}

/// A line 14 decay lengths long solved as a boundary-value problem: moment over sqrt(EI T), offset over lambda.
fn boundary_value_row(row: &Row) {
    let angle = row.number_after("condition", "phi=").to_radians();
    row.assert_printed(end_moment(1.0, 1.0, angle), 0.51e-7);
    let offset = row.number_after("note", "lateral offset ");
    assert!((lateral_offset(1.0, 1.0, angle) / offset - 1.0).abs() < 4e-6);
}

fn worked_row(row: &Row) {
    let stiffness =
        bending_stiffness(row.number_after("condition", "d=") * 1e-3, row.number_after("condition", "E=") * 1e9);
    let tension = row.number_after("condition", "T=") * 1e-3;
    let angle = row.number_after("condition", "phi=").to_radians();
    row.assert_printed(end_moment(stiffness, tension, angle) * 1e6, 0.51e-3);
    let lever = lateral_offset(stiffness, tension, angle);
    for (ours, key, half_a_digit) in [
        (stiffness * 1e9, "EI=", 0.51e-3),
        (decay_length(stiffness, tension) * 1e3, "lambda=", 0.51e-2),
        (lever * 1e3, "M/T=", 0.51e-2),
    ] {
        let theirs = row.number_after("note", key);
        assert!((ours - theirs).abs() <= half_a_digit, "{key} {ours} {theirs}");
    }
}
