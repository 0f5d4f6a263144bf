//! Checks of one row, each fault noted at its key.

use super::raw::{RawPack, RawProvenance};
use crate::document::{Diagnostics, Document, Path, closest};
use crate::material::{Material, Provenance};
use crate::part::{Pack, PackUnit, Row};
use crate::quantity::{Money, shown};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Materials by id. `None`: the row exists but is itself refused.
pub(super) type Materials = BTreeMap<String, Option<Arc<Material>>>;

/// What a pack of this kind of part holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum SoldBy {
    Piece,
    Length,
}

/// One row (or a mapping inside one) under inspection.
pub(super) struct RowCheck<'a> {
    document: &'a Document,
    path: Path,
    /// Key of the mapping inside the row, with a dot: "pack.".
    inside: String,
    faults: &'a mut Diagnostics,
}

/// What a weighed mass may come to, as shares of the density of its material, over the volume that the dimensions give
/// (judgement): slots, bores and coats differ between makers by a few tens of parts in a hundred, and a bead may be hollow.
const BELIEVABLE_DENSITY: [f64; 2] = [0.25, 1.5];

impl<'a> RowCheck<'a> {
    pub(super) fn new(document: &'a Document, path: Path, faults: &'a mut Diagnostics) -> Self {
        Self { document, path, inside: String::new(), faults }
    }

    /// A mapping inside the row.
    pub(super) fn inside(&mut self, key: &str) -> RowCheck<'_> {
        let path = self.path.key(key);
        RowCheck { document: self.document, path, inside: format!("{}{key}.", self.inside), faults: self.faults }
    }

    /// An entry of a list inside the row.
    pub(super) fn entry(&mut self, key: &str, index: usize) -> RowCheck<'_> {
        let path = self.path.key(key).index(index);
        let inside = format!("{}{key}[{index}].", self.inside);
        RowCheck { document: self.document, path, inside, faults: self.faults }
    }

    /// Notes a fault: `what` follows the key.
    pub(super) fn fault(&mut self, key: &str, what: &str, help: Option<String>) {
        let text = format!("{}{key} {what}", self.inside);
        let problem = self.document.problem(&self.path.key(key), text);
        self.faults.push(match help {
            Some(help) => problem.help(help),
            None => problem,
        });
    }

    /// Notes a fault if `number` is outside `least..=most`; whether it is inside.
    pub(super) fn within(&mut self, key: &str, number: f64, least: f64, most: f64) -> bool {
        let outside = number < least || number > most;
        if outside {
            let wanted = match number {
                n if n <= 0.0 && least > 0.0 => "positive".to_owned(),
                n if n < 0.0 && least == 0.0 => "0 or more".to_owned(),
                _ => format!("{least} to {most}{}", unit_of(key)),
            };
            self.fault(key, &format!("is {number}; it must be {wanted}"), other_unit(key, number, least, most));
        }
        !outside
    }

    /// As [`Self::within`], where a number is given.
    pub(super) fn within_if_given(&mut self, key: &str, number: Option<f64>, least: f64, most: f64) {
        if let Some(number) = number {
            self.within(key, number, least, most);
        }
    }

    /// The mass of a part on a scale, held against the `volume` (m3) of its material that its dimensions give; of a row in which
    /// anything else is wrong nothing is said.
    pub(super) fn weighed(&mut self, key: &str, mass: Option<f64>, volume: impl FnOnce() -> f64, material: &Material) {
        let row = self.document.problem(&self.path, "");
        let Some(mass) = mass.filter(|_| !self.faults.concern(&row)) else { return };
        let [least, most] = BELIEVABLE_DENSITY;
        let density = mass / volume();
        let share = density / material.density_kg_m3;
        if share < least || share > most {
            let g_cm3 = |kg_m3: f64| shown::short(kg_m3 / 1e3, 2);
            let what = format!(
                "is {}, which is {} g/cm3 by the dimensions of the row; {} has {}",
                tidy(mass * 1e6),
                g_cm3(density),
                material.id,
                g_cm3(material.density_kg_m3)
            );
            let help = format!(
                "{least} to {most} times the density of the material is believed: look at mass, unit, dimensions and material"
            );
            self.fault(key, &what, Some(help));
        }
    }

    /// A standard deviation as a share of the value.
    pub(super) fn spread(&mut self, key: &str, share: f64) {
        if share > 0.5 && share <= 50.0 {
            let help = format!("{share} percent is {}", tidy(share / 100.0));
            self.fault(key, &format!("is {share}; it is a share, so it must be 0 to 0.5"), Some(help));
        } else {
            self.within(key, share, 0.0, 0.5);
        }
    }

    /// A text that must not be empty.
    pub(super) fn text(&mut self, key: &str, text: &str) {
        if text.trim().is_empty() {
            self.fault(key, "is empty", None);
        }
    }

    /// Colours that a part is sold in: plain words that a filter can name, each once.
    pub(super) fn colours(&mut self, colours: &[String]) -> Vec<String> {
        for (i, colour) in colours.iter().enumerate() {
            let plain = !colour.is_empty() && colour.chars().all(|c| c.is_lowercase() || c == '-');
            if !plain || colour == "none" {
                let help = "a colour is a plain word in small letters, like black or light-green".to_owned();
                self.fault("colours", &format!("holds `{colour}`, which is no colour"), Some(help));
            } else if colours[..i].contains(colour) {
                self.fault("colours", &format!("holds {colour} twice"), None);
            }
        }
        colours.to_vec()
    }

    pub(super) fn id(&mut self, id: &str) {
        let allowed = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '.' | '_');
        if id.is_empty() || id.starts_with('-') || !id.chars().all(allowed) {
            let help = "an id has letters, digits, `-`, `.` and `_`, and does not begin with `-`".to_owned();
            self.fault("id", &format!("is `{id}`, which is no id"), Some(help));
        }
    }

    pub(super) fn material(&mut self, key: &str, id: &str, materials: &Materials) -> Option<Arc<Material>> {
        match materials.get(id) {
            Some(material) => material.clone(),
            None => {
                let help = match closest(id, materials.keys().map(String::as_str)) {
                    Some(near) => format!("did you mean `{near}`?"),
                    None => "add it under `materials:`".to_owned(),
                };
                self.fault(key, &format!("is `{id}`, which no material row has"), Some(help));
                None
            }
        }
    }

    pub(super) fn provenance(&mut self, raw: &RawProvenance) -> Provenance {
        self.inside("provenance").text("source", &raw.source);
        Provenance { source: raw.source.clone(), how: raw.how.into() }
    }

    pub(super) fn row(
        &mut self,
        id: &str,
        name: &str,
        pack: &RawPack,
        provenance: &RawProvenance,
        by: SoldBy,
    ) -> Option<Row> {
        self.id(id);
        self.text("name", name);
        let provenance = self.provenance(provenance);
        let pack = self.inside("pack").pack(pack, by)?;
        Some(Row { id: id.to_owned(), name: name.to_owned(), pack, provenance })
    }

    fn pack(&mut self, raw: &RawPack, by: SoldBy) -> Option<Pack> {
        if raw.price < Money::ZERO {
            self.fault("price", &format!("is {}; it must be 0 or more", raw.price), None);
        }
        let unit = match (raw.pieces, raw.length_m, by) {
            (Some(pieces), None, SoldBy::Piece) => {
                self.within("pieces", f64::from(pieces), 1.0, 1e6);
                PackUnit::Pieces(pieces)
            }
            (None, Some(length), SoldBy::Length) => {
                self.within("length_m", length, 0.01, 10_000.0);
                PackUnit::Length((length * 1e6).round() as u64)
            }
            (_, Some(_), SoldBy::Piece) => {
                self.fault("length_m", "does not fit: this is sold by the piece", Some("give `pieces`".to_owned()));
                return None;
            }
            (Some(_), _, SoldBy::Length) => {
                self.fault("pieces", "does not fit: this is sold by length", Some("give `length_m`".to_owned()));
                return None;
            }
            (None, None, _) => {
                let key = if by == SoldBy::Piece { "pieces" } else { "length_m" };
                self.fault(key, "is missing", Some("say how much a pack holds".to_owned()));
                return None;
            }
        };
        Some(Pack { unit, price: raw.price })
    }
}

/// The unit at the end of a key, with a blank before it.
fn unit_of(key: &str) -> &'static str {
    const ENDS: [(&str, &str); 8] = [
        ("_mm", " mm"),
        ("_mg", " mg"),
        ("_deg", " degrees"),
        ("_m", " m"),
        ("_kpa", " kPa"),
        ("_g_cm3", " g/cm3"),
        ("_kg_m3", " kg/m3"),
        ("_pieces", ""),
    ];
    ENDS.iter().find(|(end, _)| key.ends_with(end)).map_or("", |(_, unit)| unit)
}

/// Help where the number would fit in another unit.
fn other_unit(key: &str, number: f64, least: f64, most: f64) -> Option<String> {
    let fits = |factor: f64| (least..=most).contains(&(number * factor)) && number > 0.0;
    let help = |from: &str, factor: f64, to: &str| format!("{number} {from} is {} {to}", tidy(number * factor));
    if key.ends_with("_mm") && fits(25.4) {
        Some(help("in", 25.4, "mm"))
    } else if key.ends_with("_mg") && number < least && fits(1000.0) {
        Some(help("g", 1000.0, "mg"))
    } else if key.ends_with("_g_cm3") && number > most && fits(0.001) {
        Some(help("kg/m3", 0.001, "g/cm3"))
    } else if key.ends_with("_kg_m3") && number < least && fits(1000.0) {
        Some(help("g/cm3", 1000.0, "kg/m3"))
    } else {
        None
    }
}

/// Six significant digits, without trailing zeros.
pub(super) fn tidy(number: f64) -> String {
    if number == 0.0 || !number.is_finite() {
        return number.abs().to_string();
    }
    let decimals = (5 - number.abs().log10().floor() as i32).clamp(0, 12) as usize;
    let text = format!("{number:.decimals$}");
    if decimals == 0 { text } else { text.trim_end_matches('0').trim_end_matches('.').to_owned() }
}
