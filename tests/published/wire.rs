//! Wire by the metre and by the turn: trade diameters, gauges and the masses that follow from the density.

use super::{Row, rows};
use counterpoise::quantity::{Length, thousandths_name};
use counterpoise::shape::wire_path::{Segment, WirePath, mass_per_length};
use counterpoise::shape::wrap::CloseWound;
use std::f64::consts::PI;

const LEAD: f64 = 11340.0;
const TIN: f64 = 7280.0;
const STEEL: f64 = 7850.0;

/// Half of the last digit printed for a mass per length, g/m.
const PRINTED: f64 = 5.1e-6;

fn grams_per_metre(density: f64, diameter: Length) -> f64 {
    1e3 * mass_per_length(density, diameter.m())
}

/// Diameter that the size column of lead and tin wire names, in inches.
fn inches(row: &Row) -> Length {
    Length::from_inches(row.number("gauge_or_size"))
}

#[test]
fn wire_weighs_what_its_diameter_and_density_say() {
    let table = rows(include_str!("data/wire.csv"));
    assert_eq!(table.len(), 94);
    let mut gauge_diameter = None;
    for row in &table {
        match row.text("series") {
            // Trade diameters from memory: the check is of the inch and of the name.
            "round lead wire" => {
                row.assert_printed(inches(row).mm(), 1e-9);
                let named: Length = thousandths_name(inches(row)).parse().unwrap();
                assert_eq!(named, inches(row));
            }
            "round lead wire mass" => row.assert_printed(grams_per_metre(LEAD, inches(row)), PRINTED),
            "round tin-alloy wire mass" => row.assert_printed(grams_per_metre(TIN, inches(row)), PRINTED),
            "music wire gauge" => {
                let diameter = Length::from_mm(row.value());
                let named: Length = row.text("note").parse().unwrap();
                assert!((diameter - named).mm().abs() < 1e-9);
                gauge_diameter = Some(diameter);
            }
            "music wire mass" => {
                let diameter = gauge_diameter.take().expect("each mass follows its gauge");
                row.assert_printed(grams_per_metre(STEEL, diameter), PRINTED);
            }
            "steel wire mass" => {
                let diameter = Length::from_mm(row.number("gauge_or_size"));
                row.assert_printed(grams_per_metre(STEEL, diameter), 5.1e-5);
            }
            "lead wire wrap, close wound" => {
                let turn = CloseWound { turns: 1.0, wire: inches(row).m(), core: 0.6e-3 };
                // The source leaves the pitch out of the turn and gives its effect beside it: +0.761 %.
                let flat = PI * (turn.core + turn.wire);
                let pitch_percent = 100.0 * (turn.length() / flat - 1.0);
                assert!((pitch_percent - 0.761).abs() < 5.1e-4, "{pitch_percent}");
                row.assert_printed(1e6 * LEAD * turn.volume() * flat / turn.length(), 5.1e-5);
            }
            other => panic!("nothing checks {other}"),
        }
    }
}

#[test]
fn a_metre_of_straight_wire_agrees_with_the_mass_per_length() {
    let wire = WirePath::new(vec![Segment::line([0.0, 0.0], [1.0, 0.0])], 1e-3);
    // Steel wire handbooks print 6.165 g/m at 1.0 mm (from memory).
    assert!((1e3 * STEEL * wire.volume() - 6.165).abs() < 5e-4);
    assert!((wire.volume() * STEEL / mass_per_length(STEEL, 1e-3) - 1.0).abs() < 1e-14);
}
