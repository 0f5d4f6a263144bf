//! Densities of the shipped catalog beside the tables that they come from.

use super::{Row, rows};
use counterpoise::catalog::Catalog;
use counterpoise::material::HowObtained;
use std::collections::BTreeSet;
use std::ops::RangeInclusive;

/// Tables print hundredths of g/cm3, and one alloy stands for several rows.
const FIGURE: f64 = 2e-3;
/// A mid-range is printed to the hundredth below or above the exact half: 17.075 is printed 17.08.
const MID_RANGE: f64 = 3e-4;

fn table() -> Vec<Row> {
    rows(include_str!("data/densities.csv"))
}

/// "16.85-17.30", where the row gives a range.
fn range(row: &Row) -> Option<RangeInclusive<f64>> {
    let (low, high) = row.text("value").split_once('-')?;
    Some(low.parse().unwrap()..=high.parse().unwrap())
}

#[test]
fn shipped_materials_have_the_published_densities() {
    let catalog = Catalog::built_in().unwrap();
    let table = table();
    assert_eq!(table.len(), 43);
    for row in table.iter().filter(|row| !row.text("catalog").starts_with("foam:")) {
        let ours = catalog.material(row.text("catalog")).unwrap().density_kg_m3 / 1e3;
        match range(row) {
            Some(range) => assert!(range.contains(&ours), "{ours} is not in {range:?}: {}", row.text("material")),
            None if row.text("material").ends_with("mid-range") => row.assert_value(ours, MID_RANGE),
            None => row.assert_value(ours, FIGURE),
        }
    }
}

#[test]
fn each_class_of_tungsten_alloy_would_fail_in_place_of_another() {
    let catalog = Catalog::built_in().unwrap();
    let classes = ["tungsten-alloy-90", "tungsten-alloy", "tungsten-alloy-95", "tungsten-alloy-97"];
    for row in table().iter().filter(|row| row.text("material").ends_with("mid-range")) {
        for id in classes.into_iter().filter(|id| *id != row.text("catalog")) {
            let ours = catalog.material(id).unwrap().density_kg_m3 / 1e3;
            assert!((ours / row.value() - 1.0).abs() > 10.0 * MID_RANGE, "{id} passes for {}", row.text("catalog"));
        }
    }
}

#[test]
fn shipped_foams_are_within_the_published_ranges() {
    let catalog = Catalog::built_in().unwrap();
    let mut seen = BTreeSet::new();
    for row in &table() {
        let Some(prefix) = row.text("catalog").strip_prefix("foam:") else { continue };
        let range = range(row).unwrap();
        for foam in catalog.foams.iter().filter(|foam| foam.row.id.starts_with(prefix)) {
            let ours = foam.density / 1e3;
            assert!(range.contains(&ours), "{}: {ours} is not in {range:?}", foam.row.id);
            seen.insert(&foam.row.id);
        }
    }
    assert_eq!(seen.len(), catalog.foams.len(), "a foam without a published range");
}

/// A row that is called "read" in the catalog is backed by a row of the table that was read.
#[test]
fn what_is_called_read_was_read() {
    let catalog = Catalog::built_in().unwrap();
    let table = table();
    for material in &catalog.materials {
        let mut backing = table.iter().filter(|row| row.text("catalog") == material.id).peekable();
        if material.provenance.how == HowObtained::Read {
            assert!(backing.any(|row| row.text("how_obtained") == "read"), "{}", material.id);
        } else if material.provenance.how == HowObtained::Computed {
            assert!(backing.any(|row| row.text("how_obtained") == "library"), "{}", material.id);
        }
    }
}
