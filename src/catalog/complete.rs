//! Rows of one's own need say only what is known: the rest is taken over from the row of the same id, or filled in.
//!
//! Before a file of one's own is decoded, each of its rows is completed:
//! - a quantity may carry its unit in the value (`diameter: 1/8 in`, `bore_mm: 0.05 in`, `length: 10 ft`): it is turned into
//!   the unit that the key is kept in;
//! - a row whose id an earlier file holds keeps every key of that row which it does not give itself. What the new keys make
//!   untrue is not kept: a slot takes the place of a countersink, a strip's width that of a rod's diameter, and a mass
//!   that was weighed goes when dimensions or material change and no new mass is given;
//! - a row with a new id may leave out its name, its spreads and its provenance; the usual values are in [`USUAL`].
//!
//! Everything that was filled in so is listed in [`Filled`], for `catalog check` and `catalog show` to say.

use crate::document::Node;
use crate::quantity::{Angle, Density, Kind as Unit, Length, Mass};
use std::collections::BTreeMap;

/// A value that a row did not give itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Filled {
    /// The file.
    pub file: String,
    /// The list that the row stands in, `beads` say.
    pub list: &'static str,
    /// The row.
    pub id: String,
    /// The key, `mass_spread` say.
    pub key: &'static str,
    /// What it was given, as it would be written.
    pub value: String,
}

/// Lists of a catalog file.
const LISTS: [&str; 7] = ["materials", "hooks", "beads", "pins", "wires", "foams", "dressings"];

/// Texts that are never quantities, though they may look like one (`name: 1/8 oz`).
const TEXTS: [&str; 13] = [
    "id",
    "name",
    "mass_name",
    "material",
    "solid",
    "source",
    "how",
    "style",
    "role",
    "surface",
    "cuts",
    "colours",
    "price",
];

/// What a new row of one's own has where it says nothing, as the shipped rows of its kind mostly have it (judgement).
const USUAL: [(&str, &str, f64); 9] = [
    ("hooks", "mass_spread", 0.03),
    ("beads", "diameter_sd_mm", 0.03),
    ("beads", "mass_spread", 0.04),
    ("pins", "mass_spread", 0.02),
    ("wires", "diameter_spread", 0.02),
    ("foams", "density_sd_kg_m3", 4.0),
    ("foams", "section_spread", 0.08),
    ("foams", "collapse_pressure_kpa", 0.0),
    ("foams", "cell_mm", 0.6),
];

/// Spread of the amount of each component of a dressing where none is given: of an ordinary hand (judgement).
const COMPONENT_SPREAD: f64 = 0.2;

/// Spread of a density between batches where none is given, as a share of it (judgement).
const DENSITY_SHARE: f64 = 0.02;

type Entries = Vec<(String, Node)>;

/// Rows by list and id, as they stand after all files so far.
#[derive(Default)]
pub(super) struct Known(BTreeMap<(&'static str, String), Entries>);

impl Known {
    /// Remembers the rows of a file.
    pub(super) fn learn(&mut self, root: &Node) {
        for list in LISTS {
            for row in rows(root, list) {
                if let Some(id) = text_of(row, "id") {
                    self.0.insert((list, id.to_owned()), row.clone());
                }
            }
        }
    }

    /// Completes the rows of a file of one's own; what was filled in is added to `filled`.
    pub(super) fn complete(&self, file: &str, root: &mut Node, filled: &mut Vec<Filled>) {
        let Node::Map(top) = root else { return };
        for (key, value) in top {
            let (Some(list), Node::List(items)) = (LISTS.into_iter().find(|l| l == key), value) else { continue };
            for item in items {
                let Node::Map(row) = item else { continue };
                turn_units(row, if list == "materials" { Kept::Material } else { Kept::Part });
                let Some(id) = text_of(row, "id").map(str::to_owned) else { continue };
                match self.0.get(&(list, id.clone())) {
                    Some(earlier) => take_over(row, earlier),
                    None => {
                        let note = |key, value| {
                            filled.push(Filled { file: file.to_owned(), list, id: id.clone(), key, value })
                        };
                        fill_usual(list, &id, row, note);
                    }
                }
            }
        }
    }
}

fn rows<'a>(root: &'a Node, list: &str) -> impl Iterator<Item = &'a Entries> {
    let items = match root.get(list) {
        Some(Node::List(items)) => items.as_slice(),
        _ => &[],
    };
    items.iter().filter_map(|item| match item {
        Node::Map(row) => Some(row),
        _ => None,
    })
}

fn text_of<'a>(row: &'a Entries, key: &str) -> Option<&'a str> {
    row.iter().find(|(k, _)| k == key).and_then(|(_, value)| match value {
        Node::Text(text) => Some(text.as_str()),
        _ => None,
    })
}

fn has(row: &Entries, key: &str) -> bool {
    row.iter().any(|(k, _)| k == key)
}

/// Which units a mapping keeps its figures in: a pack metres, a material g/cm3; any other part millimetres and kg/m3.
#[derive(Clone, Copy, PartialEq)]
enum Kept {
    Material,
    Part,
    Pack,
}

/// Values with a unit become numbers in the unit of their key, which is added to the key where it is missing.
fn turn_units(row: &mut Entries, kept: Kept) {
    for (key, value) in row {
        match value {
            Node::Map(inside) => turn_units(inside, if key == "pack" { Kept::Pack } else { kept }),
            Node::List(items) if key == "components" => {
                for item in items {
                    if let Node::Map(component) = item {
                        turn_units(component, kept);
                    }
                }
            }
            Node::List(items) if key.trim_end_matches("_mm") == "projections" => {
                let lengths: Option<Vec<f64>> = items.iter().map(length_mm).collect();
                if let Some(lengths) = lengths {
                    *items = lengths.into_iter().map(Node::Number).collect();
                    "projections_mm".clone_into(key);
                }
            }
            Node::Text(text) if !TEXTS.contains(&key.as_str()) => {
                if let Some((unit, number)) = in_kept_unit(text, kept) {
                    if !key.ends_with(unit) {
                        key.push_str(unit);
                    }
                    *value = Node::Number(number);
                }
            }
            _ => {}
        }
    }
}

fn length_mm(node: &Node) -> Option<f64> {
    match node {
        Node::Text(text) => text.parse::<Length>().ok().map(|length| tidy(length.mm())),
        _ => None,
    }
}

/// The unit that catalogs keep such a quantity in, as it ends a key, and the number in it. What cannot be below zero is turned
/// all the same where it is: the checks of the row then say what is wrong with it.
fn in_kept_unit(text: &str, kept: Kept) -> Option<(&'static str, f64)> {
    let (sign, text) = match text.trim().strip_prefix(['-', '−']) {
        Some(size) => (-1.0, size),
        None => (1.0, text),
    };
    let (unit, number) = if let Ok(length) = text.parse::<Length>() {
        if kept == Kept::Pack { ("_m", length.m()) } else { ("_mm", length.mm()) }
    } else if let Ok(mass) = text.parse::<Mass>() {
        ("_mg", mass.mg())
    } else if let Ok(density) = text.parse::<Density>() {
        if kept == Kept::Material { ("_g_cm3", density.kg_m3() / 1000.0) } else { ("_kg_m3", density.kg_m3()) }
    } else if let Ok(angle) = text.parse::<Angle>() {
        ("_deg", angle.deg())
    } else {
        return None;
    };
    Some((unit, tidy(sign * number)))
}

/// The units in which catalogs keep figures, as they end a key, and what they measure.
pub(super) const KEPT_UNITS: [(&str, Unit); 6] = [
    ("_g_cm3", Unit::Density),
    ("_kg_m3", Unit::Density),
    ("_mm", Unit::Length),
    ("_mg", Unit::Mass),
    ("_deg", Unit::Angle),
    ("_m", Unit::Length),
];

/// Twelve digits: 0.1 in is 2.54 mm, not 2.5399999999999996.
fn tidy(number: f64) -> f64 {
    format!("{number:.11e}").parse().unwrap_or(number)
}

/// Keys of which one takes the place of the others.
const INSTEAD: [(&str, &[&str]); 6] = [
    ("slot", &["countersink"]),
    ("countersink", &["slot"]),
    ("diameter_mm", &["width_mm", "thickness_mm"]),
    ("width_mm", &["diameter_mm"]),
    ("pieces", &["length_m"]),
    ("length_m", &["pieces"]),
];

/// Keys that a weighed mass does not depend on.
const LEAVE_MASS: [&str; 7] = ["id", "name", "colours", "pack", "provenance", "mass_spread", "measured_mass_mg"];

/// Adds what an earlier row of the same id holds and this one does not say.
fn take_over(row: &mut Entries, earlier: &Entries) {
    let reshaped = row.iter().any(|(key, _)| !LEAVE_MASS.contains(&key.as_str()));
    for (key, value) in earlier {
        let replaced = INSTEAD.iter().any(|(new, old)| has(row, new) && old.contains(&key.as_str()));
        let outdated = key == "measured_mass_mg" && reshaped;
        match row.iter_mut().find(|(k, _)| k == key) {
            Some((_, Node::Map(mine))) => {
                if let Node::Map(theirs) = value {
                    take_over(mine, theirs);
                }
            }
            Some(_) => {}
            None if replaced || outdated => {}
            None => row.push((key.clone(), value.clone())),
        }
    }
}

/// Name, spreads and provenance of a new row that does not give them.
fn fill_usual(list: &'static str, id: &str, row: &mut Entries, mut note: impl FnMut(&'static str, String)) {
    let mut add = |row: &mut Entries, key: &'static str, value: Node, words: String| {
        if !has(row, key) {
            row.push((key.to_owned(), value));
            note(key, words);
        }
    };
    add(row, "name", Node::Text(id.to_owned()), id.to_owned());
    for (_, key, value) in USUAL.into_iter().filter(|(of, ..)| *of == list) {
        // A weighed bead is as sure as the scale and the bag: half the spread of a computed one.
        let weighed = key == "mass_spread" && has(row, "measured_mass_mg");
        let value = if weighed { 0.5 * value } else { value };
        add(row, key, Node::Number(value), value.to_string());
    }
    if list == "foams" {
        add(row, "surface", Node::Text("cut".to_owned()), "cut".to_owned());
    }
    if list == "materials"
        && let Some(Node::Number(density)) = row.iter().find(|(k, _)| k == "density_g_cm3").map(|(_, v)| v.clone())
    {
        let sd = tidy(DENSITY_SHARE * density);
        add(row, "density_sd_g_cm3", Node::Number(sd), sd.to_string());
    }
    if let Some((_, Node::List(components))) = row.iter_mut().find(|(k, _)| k == "components") {
        for component in components {
            if let Node::Map(component) = component
                && !has(component, "mass_spread")
            {
                component.push(("mass_spread".to_owned(), Node::Number(COMPONENT_SPREAD)));
            }
        }
    }
    let words = "not stated";
    let provenance = vec![
        ("source".to_owned(), Node::Text("the owner of the file, who does not say".to_owned())),
        ("how".to_owned(), Node::Text("stated".to_owned())),
    ];
    add(row, "provenance", Node::Map(provenance), words.to_owned());
}

#[cfg(test)]
mod tests {
    use crate::catalog::Catalog;
    use crate::document::Source;
    use crate::part::BeadShape;

    fn with(text: &str) -> Catalog {
        Catalog::with_overlays(&[Source::new("mine.yaml", text)]).unwrap_or_else(|faults| panic!("{faults}"))
    }

    #[test]
    fn a_row_with_a_known_id_replaces_only_what_it_gives() {
        let (old, new) = (Catalog::built_in().unwrap(), with("beads: [{id: tungsten-3.5, pack: {price: 6.20}}]\n"));
        let (before, after) = (old.bead("tungsten-3.5").unwrap(), new.bead("tungsten-3.5").unwrap());
        assert_eq!((after.row.pack.price.to_string(), after.row.pack.unit), ("6.20".to_owned(), before.row.pack.unit));
        assert_eq!((after.diameter, after.shape, after.mass()), (before.diameter, before.shape, before.mass()));
        assert_eq!(new.beads.len(), old.beads.len());
    }

    #[test]
    fn what_new_keys_make_untrue_is_not_kept() {
        let slot = with("beads: [{id: tungsten-3.5, slot: {width: 1 mm, length_share: 0.5}}]\n");
        assert!(matches!(slot.bead("tungsten-3.5").unwrap().shape, BeadShape::Slotted { .. }));
        let weighed = Source::new("weighed.yaml", "beads: [{id: tungsten-3.5, measured_mass: 0.31 g}]\n");
        let thinner = Source::new("thinner.yaml", "beads: [{id: tungsten-3.5, diameter: 3.4 mm}]\n");
        let dearer = Source::new("dearer.yaml", "beads: [{id: tungsten-3.5, pack: {price: 9}}]\n");
        let mass = |files: &[Source]| {
            let catalog = Catalog::with_overlays(files).unwrap();
            catalog.bead("tungsten-3.5").unwrap().measured_mass
        };
        assert!((mass(&[weighed.clone(), dearer]).unwrap() - 3.1e-4).abs() < 1e-12);
        assert_eq!(mass(&[weighed, thinner]), None);
    }

    #[test]
    fn figures_carry_any_unit() {
        let catalog = with(
            "currency: USD\nmaterials: [{id: mine, density: 1020 lb/ft3}]\nwires: [{id: w, material: mine, diameter: 0.02 in, \
             pack: {length: 15 ft, price: 3}}]\nbeads: [{id: b, material: mine, diameter_mm: 1/8 in, bore: 0.9mm, \
             pack: {pieces: 20, price: 4}}]\npins: [{id: p, material: mine, diameter: 0.5 mm, length: 1 in, \
             head_diameter: 1.2 mm, head_length: 0.6 mm, projections: [5 mm, 0.25 in], pack: {pieces: 9, price: 1}}]\n",
        );
        assert!((catalog.material("mine").unwrap().density_kg_m3 - 1020.0 * 16.018_463).abs() < 0.1);
        assert!((catalog.wire("w").unwrap().diameter - 0.508e-3).abs() < 1e-12);
        assert!((catalog.bead("b").unwrap().diameter - 3.175e-3).abs() < 1e-12);
        assert_eq!(catalog.pin("p").unwrap().projections.len(), 2);
        assert_eq!(catalog.currency, "USD");
        let keys: Vec<&str> = catalog.filled.iter().filter(|f| f.id == "b").map(|f| f.key).collect();
        assert_eq!(keys, ["name", "diameter_sd_mm", "mass_spread", "provenance"]);
    }

    #[test]
    fn two_currencies_of_ones_own_are_refused() {
        let file = |name: &str, code: &str| Source::new(name, &format!("currency: {code}\nhooks: []\n"));
        let refused = Catalog::with_overlays(&[file("a.yaml", "USD"), file("b.yaml", "GBP")]).unwrap_err().to_string();
        assert!(refused.contains("currency is GBP, but that of a.yaml is USD"), "{refused}");
    }
}
