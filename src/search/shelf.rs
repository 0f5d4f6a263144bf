//! The parts that a target leaves, each kind in an order in which neighbours cost and weigh alike, under a tree of hulls.
//!
//! Nothing here depends on the hook.

use super::bound::{DragRange, Range};
use super::space::{self, FoamFamily};
use super::tariff::{Charge, LeastCharge, Tariff};
use super::tree::{Hull, Tree, arrange};
use crate::catalog::Catalog;
use crate::fly::{Conditions, FrontMount};
use crate::part::{Bead, Foam, Hook, Kind, Pin, Wire};
use crate::physics::compression::volume_ratio;
use crate::physics::constants::GRAVITY;
use crate::quantity::Microns;
use crate::target::Target;

/// What is known of some beads. Lengths m, weights N, prices millionths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct BeadHull {
    pub(super) price: i64,
    pub(super) weight: Range,
    pub(super) mass: Range,
    pub(super) length: Range,
    pub(super) diameter: Range,
    pub(super) bore: Range,
    /// Greatest distance of the metal's centroid from the centre of the sphere.
    pub(super) shift: f64,
}

impl Hull for BeadHull {
    fn hull(self, other: Self) -> Self {
        Self {
            price: self.price.min(other.price),
            weight: self.weight.hull(other.weight),
            mass: self.mass.hull(other.mass),
            length: self.length.hull(other.length),
            diameter: self.diameter.hull(other.diameter),
            bore: self.bore.hull(other.bore),
            shift: self.shift.max(other.shift),
        }
    }
}

/// What is known of some pins at some projections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PinHull {
    pub(super) price: i64,
    pub(super) projection: Range,
    pub(super) length: Range,
    pub(super) head_length: Range,
    pub(super) diameter: Range,
    pub(super) head_diameter: Range,
    /// Submerged weight per metre of stem, N/m.
    pub(super) stem_weight: Range,
    /// Submerged weight of the head, N.
    pub(super) head_weight: Range,
    /// Mass per metre of stem, kg/m.
    pub(super) stem_mass: Range,
    /// Mass of the head, kg.
    pub(super) head_mass: Range,
}

impl Hull for PinHull {
    fn hull(self, other: Self) -> Self {
        Self {
            price: self.price.min(other.price),
            projection: self.projection.hull(other.projection),
            length: self.length.hull(other.length),
            head_length: self.head_length.hull(other.head_length),
            diameter: self.diameter.hull(other.diameter),
            head_diameter: self.head_diameter.hull(other.head_diameter),
            stem_weight: self.stem_weight.hull(other.stem_weight),
            head_weight: self.head_weight.hull(other.head_weight),
            stem_mass: self.stem_mass.hull(other.stem_mass),
            head_mass: self.head_mass.hull(other.head_mass),
        }
    }
}

/// What is known of some wires.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WireHull {
    pub(super) diameter: Range,
    /// Submerged weight per metre of wire, N/m.
    pub(super) weight: Range,
    /// Mass per metre, kg/m.
    pub(super) mass: Range,
    /// Least price of a length.
    pub(super) charge: LeastCharge,
}

impl Hull for WireHull {
    fn hull(self, other: Self) -> Self {
        Self {
            diameter: self.diameter.hull(other.diameter),
            weight: self.weight.hull(other.weight),
            mass: self.mass.hull(other.mass),
            charge: self.charge.hull(other.charge),
        }
    }
}

impl Hull for Range {
    fn hull(self, other: Self) -> Self {
        Range::hull(self, other)
    }
}

impl Hull for DragRange {
    fn hull(self, other: Self) -> Self {
        DragRange::hull(self, other)
    }
}

/// A metre of stock, micrometres.
const METRE: u64 = 1_000_000;

/// Beads of one kind of bore.
pub(super) struct Beads<'a> {
    pub(super) list: Vec<&'a Bead>,
    pub(super) tree: Tree<BeadHull>,
}

/// Everything that a target leaves to choose from, on any hook.
pub(super) struct Shelf<'a> {
    pub(super) without_bead: bool,
    /// For the eye of a straight hook.
    pub(super) drilled: Beads<'a>,
    /// For a jig neck.
    pub(super) slotted: Beads<'a>,
    /// For a pin.
    pub(super) pin_beads: Beads<'a>,
    pub(super) pins: Vec<(&'a Pin, Microns)>,
    pub(super) pin_tree: Tree<PinHull>,
    pub(super) without_wire: bool,
    pub(super) wires: Vec<&'a Wire>,
    pub(super) wire_charges: Vec<Charge>,
    pub(super) wire_tree: Tree<WireHull>,
    pub(super) without_foam: bool,
    pub(super) foams: Vec<FoamFamily<'a>>,
    pub(super) foam_charges: Vec<Charge>,
}

impl<'a> Shelf<'a> {
    pub(super) fn new(catalog: &'a Catalog, target: &Target, tariff: &Tariff) -> Self {
        let filters = &target.choice.filters;
        let no_pin = filters.iter().all(|f| f.passes_pin(None));
        let (pins, pin_tree) = pins(catalog, target, tariff);
        let (wires, wire_charges, wire_tree) = wires(catalog, target, tariff);
        let foams = foam_items(catalog, target);
        Self {
            without_bead: filters.iter().all(|f| f.passes_front(None::<(&Bead, FrontMount)>)),
            drilled: Beads::new(catalog, target, tariff, "eye", |b| no_pin && !b.is_slotted()),
            slotted: Beads::new(catalog, target, tariff, "eye", |b| no_pin && b.is_slotted()),
            pin_beads: Beads::new(catalog, target, tariff, "pin", |b| !b.is_slotted()),
            pins,
            pin_tree,
            without_wire: filters.iter().all(|f| f.passes_wire(None)),
            wires,
            wire_charges,
            wire_tree,
            without_foam: filters.iter().all(|f| f.passes_foam(None)),
            foam_charges: foams.iter().map(|f| tariff.charge(Kind::Foam, &f.foam.row)).collect(),
            foams,
        }
    }

    /// Greatest diameter and length of any pin, m.
    pub(super) fn thickest_pin(&self) -> Option<(f64, f64)> {
        (!self.pin_tree.is_empty()).then(|| {
            let hull = &self.pin_tree.node(0).hull;
            (hull.diameter.high, hull.length.high)
        })
    }

    /// Beads that may go against the eye of a hook.
    pub(super) fn eye_beads(&self, hook: &Hook) -> &Beads<'a> {
        if hook.is_jig() { &self.slotted } else { &self.drilled }
    }
}

fn allowed(lead: bool, target: &Target) -> bool {
    !(target.choice.lead_free && lead)
}

impl<'a> Beads<'a> {
    fn new(catalog: &'a Catalog, target: &Target, tariff: &Tariff, mount: &str, kind: impl Fn(&Bead) -> bool) -> Self {
        let water = target.conditions.water.density;
        let mut beads: Vec<(&'a Bead, BeadHull)> = catalog
            .beads
            .iter()
            .filter(|b| kind(b) && allowed(b.material.contains_lead, target))
            .filter(|b| target.choice.filters.iter().all(|f| f.passes_bead(b, mount)))
            .map(|b| (b, bead_hull(b, water, tariff)))
            .collect();
        arrange(&mut beads, |(_, hull)| [hull.price as f64, hull.weight.low, hull.length.low]);
        let (list, hulls): (Vec<_>, Vec<_>) = beads.into_iter().unzip();
        Self { list, tree: Tree::new(&hulls) }
    }
}

fn pins<'a>(catalog: &'a Catalog, target: &Target, tariff: &Tariff) -> (Vec<(&'a Pin, Microns)>, Tree<PinHull>) {
    let mut pins: Vec<(&Pin, Microns)> = catalog
        .pins
        .iter()
        .filter(|p| target.choice.filters.iter().all(|f| f.passes_pin(Some(p))))
        .flat_map(|p| p.projections.iter().map(move |&at| (p, at)))
        .collect();
    arrange(&mut pins, |(pin, at)| [tariff.charge(Kind::Pin, &pin.row).piece().micros() as f64, at.m(), pin.diameter]);
    let water = target.conditions.water.density;
    let hulls: Vec<PinHull> = pins.iter().map(|(pin, at)| pin_hull(pin, *at, water, tariff)).collect();
    (pins, Tree::new(&hulls))
}

fn wires<'a>(catalog: &'a Catalog, target: &Target, tariff: &Tariff) -> (Vec<&'a Wire>, Vec<Charge>, Tree<WireHull>) {
    let mut wires: Vec<&Wire> = catalog
        .wires
        .iter()
        .filter(|w| allowed(w.material.contains_lead, target))
        .filter(|w| target.choice.filters.iter().all(|f| f.passes_wire(Some(w))))
        .collect();
    // By the price and the weight of a coil, per length of shank.
    arrange(&mut wires, |w| {
        let price = w.row.pack.price_of(METRE).micros() as f64;
        [price / w.diameter, w.mass_per_length() / w.diameter, w.diameter]
    });
    let water = target.conditions.water.density;
    let charges: Vec<Charge> = wires.iter().map(|w| tariff.charge(Kind::Wire, &w.row)).collect();
    let hulls: Vec<WireHull> = wires.iter().zip(&charges).map(|(w, charge)| wire_hull(w, charge, water)).collect();
    (wires, charges, Tree::new(&hulls))
}

fn bead_hull(bead: &Bead, water: f64, tariff: &Tariff) -> BeadHull {
    let solid = bead.solid();
    let mass = bead.mass();
    BeadHull {
        price: tariff.charge(Kind::Bead, &bead.row).piece().micros(),
        weight: Range::point((mass - water * solid.volume) * GRAVITY),
        mass: Range::point(mass),
        length: Range::point(bead.length()),
        diameter: Range::point(bead.diameter),
        bore: Range::point(bead.bore_diameter),
        shift: solid.centroid[0].hypot(solid.centroid[1]),
    }
}

fn pin_hull(pin: &Pin, projection: Microns, water: f64, tariff: &Tariff) -> PinHull {
    let density = pin.material.density_kg_m3;
    let per_volume = (density - water) * GRAVITY;
    PinHull {
        price: tariff.charge(Kind::Pin, &pin.row).piece().micros(),
        projection: Range::point(projection.m()),
        length: Range::point(pin.length),
        head_length: Range::point(pin.head_length),
        diameter: Range::point(pin.diameter),
        head_diameter: Range::point(pin.head_diameter),
        stem_weight: Range::point(per_volume * pin.stem_volume(1.0)),
        head_weight: Range::point(per_volume * pin.head_volume()),
        stem_mass: Range::point(density * pin.stem_volume(1.0)),
        head_mass: Range::point(density * pin.head_volume()),
    }
}

pub(super) fn wire_hull(wire: &Wire, charge: &Charge, water: f64) -> WireHull {
    let mass = wire.mass_per_length();
    let density = wire.material.density_kg_m3;
    WireHull {
        diameter: Range::point(wire.diameter),
        weight: Range::point(mass * (1.0 - water / density) * GRAVITY),
        mass: Range::point(mass),
        charge: charge.least(),
    }
}

fn foam_items<'a>(catalog: &'a Catalog, target: &Target) -> Vec<FoamFamily<'a>> {
    let mut items: Vec<([f64; 3], FoamFamily<'a>)> = space::foams(catalog, &target.choice.filters)
        .into_iter()
        .map(|family| {
            let ratio = foam_ratio(family.foam, &target.conditions);
            let price = family.foam.row.pack.price_of(METRE / family.cut.pieces()).micros() as f64;
            let section = family.foam.section(family.cut);
            ([f64::from(family.seat as u8), price, section.sealed_area * ratio], family)
        })
        .collect();
    arrange(&mut items, |(place, _)| *place);
    items.into_iter().map(|(_, family)| family).collect()
}

fn foam_ratio(foam: &Foam, conditions: &Conditions) -> f64 {
    volume_ratio(conditions.gauge_pressure(), foam.collapse_pressure, foam.relative_density())
}
