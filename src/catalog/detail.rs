//! One row in full: every figure with its unit, and what follows from it.

use super::Catalog;
use super::check::tidy;
use crate::material::{Material, Provenance};
use crate::part::{
    Bead, BeadShape, Component, Dressing, Foam, FoamForm, Hook, Kind, PackUnit, Pin, Row, Surface, Wire,
};

/// One line of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Field {
    /// What it is, in words.
    pub name: String,
    /// The figure or word.
    pub value: String,
    /// Unit of the figure; empty where there is none.
    pub unit: &'static str,
}

#[derive(Default)]
struct Fields(Vec<Field>);

impl Fields {
    fn word(&mut self, name: &str, value: impl ToString) {
        self.0.push(Field { name: name.to_owned(), value: value.to_string(), unit: "" });
    }

    fn number(&mut self, name: &str, value: f64, unit: &'static str) {
        let sign = if value < 0.0 { "-" } else { "" };
        self.0.push(Field { name: name.to_owned(), value: format!("{sign}{}", tidy(value.abs())), unit });
    }

    fn mm(&mut self, name: &str, metres: f64) {
        self.number(name, metres * 1e3, "mm");
    }

    fn mg(&mut self, name: &str, kilograms: f64) {
        self.number(name, kilograms * 1e6, "mg");
    }

    fn percent(&mut self, name: &str, share: f64) {
        self.number(name, share * 100.0, "%");
    }

    fn mass(&mut self, measured: Option<f64>, mass: f64, spread: f64) {
        self.mg(if measured.is_some() { "mass, measured" } else { "mass, computed" }, mass);
        self.percent("mass, standard deviation", spread);
    }

    fn material(&mut self, name: &str, material: &Material) {
        self.word(name, &material.id);
        self.number(&format!("{name}, density"), material.density_kg_m3 / 1e3, "g/cm3");
    }

    fn row(&mut self, row: &Row) {
        self.word("id", &row.id);
        self.word("name", &row.name);
    }

    fn colours(&mut self, colours: &[String]) {
        if !colours.is_empty() {
            self.word("colours", colours.join(", "));
        }
    }

    fn end(&mut self, row: &Row, catalog: &Catalog) {
        match row.pack.unit {
            PackUnit::Pieces(pieces) => self.word("pack", format!("{pieces} pieces")),
            PackUnit::Length(micrometres) => self.number("pack", micrometres as f64 / 1e6, "m"),
        }
        self.word("price of a pack, invented unless it is yours", format!("{} {}", row.pack.price, catalog.currency));
        self.provenance(&row.provenance);
    }

    fn provenance(&mut self, provenance: &Provenance) {
        self.word("source", &provenance.source);
        self.word("how obtained", provenance.how);
    }
}

impl Catalog {
    /// Every figure of a part, with unit and provenance; `None` if there is no such part.
    #[must_use]
    pub fn detail(&self, kind: Kind, id: &str) -> Option<Vec<Field>> {
        let mut fields = Fields::default();
        match kind {
            Kind::Hook => hook(self.hook(id)?, self, &mut fields),
            Kind::Bead => bead(self.bead(id)?, self, &mut fields),
            Kind::Pin => pin(self.pin(id)?, self, &mut fields),
            Kind::Wire => wire(self.wire(id)?, self, &mut fields),
            Kind::Foam => foam(self.foam(id)?, self, &mut fields),
            Kind::Dressing => dressing(self.dressing(id)?, self, &mut fields),
        }
        if let Some(origin) = self.origin(kind, id) {
            fields.word("file", origin);
        }
        Some(fields.0)
    }

    /// Every figure of a material; `None` if there is no such material.
    #[must_use]
    pub fn material_detail(&self, id: &str) -> Option<Vec<Field>> {
        let material = self.material(id)?;
        let mut fields = Fields::default();
        fields.word("id", &material.id);
        fields.word("name", &material.name);
        fields.number("density", material.density_kg_m3 / 1e3, "g/cm3");
        fields.number("density, standard deviation", material.density_sd_kg_m3 / 1e3, "g/cm3");
        fields.word("contains lead", if material.contains_lead { "yes" } else { "no" });
        fields.provenance(&material.provenance);
        Some(fields.0)
    }
}

fn hook(hook: &Hook, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&hook.row);
    fields.word("style", hook.style);
    fields.word("size", hook.size);
    fields.material("material", &hook.material);
    fields.mm("wire diameter", hook.wire_diameter);
    fields.mm("eye, inner diameter", hook.eye_inner_diameter);
    if hook.is_jig() {
        fields.mm("neck length, centre of the eye to corner", hook.neck_length);
        fields.number("neck angle", hook.neck_angle.to_degrees(), "degrees");
    }
    fields.mm("shank length", hook.shank_length);
    fields.mm("gap", hook.gap);
    fields.mm("point length", hook.point_length);
    fields.mass(hook.measured_mass, hook.mass(), hook.mass_spread);
    if let Some(head) = &hook.head {
        fields.material("head material", &head.material);
        fields.word("head size", &head.mass_name);
        fields.mg("head mass", head.mass);
        fields.percent("head mass, standard deviation", head.mass_spread);
        fields.mm("head diameter, computed", head.diameter());
        fields.mm("head centre aft of the corner", head.centre_aft_of_corner);
    }
    fields.end(&hook.row, catalog);
}

fn bead(bead: &Bead, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&bead.row);
    fields.material("material", &bead.material);
    fields.mm("diameter", bead.diameter);
    fields.mm("diameter, standard deviation", bead.diameter_sd);
    fields.mm("bore", bead.bore_diameter);
    match bead.shape {
        BeadShape::Drilled => fields.word("drilled", "straight"),
        BeadShape::Countersunk { diameter, depth } => {
            fields.mm("countersink diameter", diameter);
            fields.mm("countersink depth", depth);
        }
        BeadShape::Slotted { width, length_share } => {
            fields.mm("slot width", width);
            fields.percent("slot, share of the bead's length", length_share);
        }
    }
    fields.colours(&bead.colours);
    fields.mass(bead.measured_mass, bead.mass(), bead.mass_spread);
    fields.end(&bead.row, catalog);
}

fn pin(pin: &Pin, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&pin.row);
    fields.material("material", &pin.material);
    fields.mm("diameter", pin.diameter);
    fields.mm("length", pin.length);
    fields.mm("head diameter", pin.head_diameter);
    fields.mm("head length", pin.head_length);
    let list: Vec<String> = pin.projections.iter().map(ToString::to_string).collect();
    fields.0.push(Field { name: "projections".to_owned(), value: list.join(", "), unit: "mm" });
    fields.percent("mass, standard deviation", pin.mass_spread);
    fields.end(&pin.row, catalog);
}

fn wire(wire: &Wire, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&wire.row);
    fields.material("material", &wire.material);
    fields.mm("diameter", wire.diameter);
    fields.percent("diameter, standard deviation", wire.diameter_spread);
    fields.number("mass per length, computed", wire.mass_per_length() * 1e3, "g/m");
    fields.end(&wire.row, catalog);
}

fn foam(foam: &Foam, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&foam.row);
    match foam.form {
        FoamForm::Rod { diameter } => fields.mm("rod, diameter", diameter),
        FoamForm::Strip { width, thickness } => {
            fields.mm("strip, width", width);
            fields.mm("strip, thickness", thickness);
        }
    }
    fields.number("density", foam.density, "kg/m3");
    fields.number("density, standard deviation", foam.density_sd, "kg/m3");
    fields.material("solid", &foam.solid);
    fields.mm("cell", foam.cell);
    let surface = match foam.surface {
        Surface::Skin => "skin",
        Surface::Cut => "cut",
    };
    fields.word("surface", surface);
    fields.number("collapse pressure", foam.collapse_pressure / 1e3, "kPa");
    for cut in &foam.cuts {
        let section = foam.section(*cut);
        fields.number(&format!("{cut}, section"), section.area * 1e6, "mm2");
        fields.number(&format!("{cut}, section with closed cells"), section.sealed_area * 1e6, "mm2");
    }
    if foam.section_factor != 1.0 {
        fields.percent("section over that of the dimensions, by jar tests", foam.section_factor);
    }
    fields.percent("section, standard deviation", foam.section_spread);
    fields.colours(&foam.colours);
    fields.end(&foam.row, catalog);
}

fn dressing(dressing: &Dressing, catalog: &Catalog, fields: &mut Fields) {
    fields.row(&dressing.row);
    fields.mm("reference shank", dressing.reference_shank);
    fields.number("tail hides foam", dressing.hides_tail, "shanks behind the bend");
    fields.mg("dry mass in all", dressing.components.iter().map(|c| c.dry_mass).sum());
    for part in &dressing.components {
        component(part, fields);
    }
    fields.end(&dressing.row, catalog);
}

fn component(part: &Component, fields: &mut Fields) {
    let name = &part.name;
    fields.word(name, format!("{}, {}", part.role.word(), part.material.id));
    fields.mg(&format!("{name}, dry mass"), part.dry_mass);
    fields.percent(&format!("{name}, standard deviation"), part.mass_spread);
    fields.0.push(Field {
        name: format!("{name}, from and to"),
        value: format!("{} to {}", part.from, part.to),
        unit: "shanks",
    });
    if let Some(diameter) = part.wet_diameter {
        fields.mm(&format!("{name}, wet diameter"), diameter);
        fields.number(&format!("{name}, solidity"), part.solidity, "");
    }
    if part.fresh_air_share > 0.0 {
        fields.percent(&format!("{name}, air when fresh"), part.fresh_air_share);
    }
}
