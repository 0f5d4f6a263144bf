//! The parts that a target leaves, each kind in an order in which neighbours cost and weigh alike, under a tree of hulls.
//!
//! Nothing here depends on the hook. A sink rate is bounded over attitudes that do (a jig may have to ride point-up), but
//! not for spheres, nor for what lies along the shank: from there both sides of the point look the same.

use crate::catalog::Catalog;
use crate::fly::{Conditions, FrontMount, State};
use crate::part::{Bead, Hook, Kind, Pin, Wire};
use crate::physics::body::{DragElement, DragShape, Label, Rod};
use crate::physics::constants::GRAVITY;
use crate::quantity::Microns;
use crate::search::bounds::foam_law::FoamLaw;
use crate::search::bounds::lagrange;
use crate::search::bounds::range::Hull;
use crate::search::bounds::range::Range;
use crate::search::bounds::rod_drag::RodDrag;
use crate::search::bounds::{Bounds, DragRange};
use crate::search::rank::{SUREST, least_of_class, share_class};
use crate::search::space::foam_at_depth::{FoamAtDepth, FoamOnTheWay, foam_laws, foam_ratio};
use crate::search::space::tree::{Tree, arrange};
use crate::search::space::{self, FoamFamily};
use crate::search::tariff::{Charge, LeastCharge, Tariff};
use crate::spread::share_test::ShareTest;
use crate::wanted::defaults::JAR_DEPTH_M;
use crate::wanted::{ShareFloor, Target};
use std::sync::OnceLock;

/// A test for each class of share.
#[derive(Debug, Default)]
pub(in crate::search) struct Ladder {
    tests: [OnceLock<Option<ShareTest>>; SUREST as usize + 1],
}

impl Ladder {
    /// The test that recipes of this class or a surer one pass, no easier than that of the target; `None` beyond the surest.
    pub(in crate::search) fn test(&self, target: &Target, class: u8) -> Option<&ShareTest> {
        let made = self.tests.get(usize::from(class))?.get_or_init(|| {
            let share = target.share.map(|floor| ShareFloor { least: floor.least.max(least_of_class(class)), ..floor });
            ShareTest::of(&Target { share, ..target.clone() })
        });
        made.as_ref()
    }

    /// The hardest test for a share of no more than this.
    pub(in crate::search) fn for_share(&self, target: &Target, share: f64) -> Option<&ShareTest> {
        self.test(target, share_class(share))
    }
}

/// What is known of some beads. Lengths m, weights N, prices millionths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct BeadHull {
    pub(in crate::search) price: i64,
    pub(in crate::search) weight: Range,
    pub(in crate::search) mass: Range,
    pub(in crate::search) length: Range,
    pub(in crate::search) diameter: Range,
    pub(in crate::search) bore: Range,
    /// Centroid of the metal from the centre of the sphere: along the bore, and towards the slot.
    pub(in crate::search) shift: [Range; 2],
    pub(in crate::search) drag: DragRange,
    /// Least price less a rate times the weight, at each of the rates of the shelf.
    less: [f64; RATES],
}

/// MultiplierSets of a newton at which the cheapest of a run of beads is known.
const RATES: usize = 10;

/// Those multipliers, rising from 0, millionths per N.
pub(in crate::search) type Rates = [f64; RATES];

impl BeadHull {
    /// No bead of the run costs less, less its weight at this rate: the least is a concave function of the rate, so
    /// between two rates it lies above the chord.
    pub(in crate::search) fn reduced_price(&self, multipliers: Range, rates: &Rates) -> f64 {
        let plain = self.price as f64 - lagrange::most_value(multipliers, self.weight);
        if self.weight.low < 0.0 || multipliers.high < 0.0 {
            return plain;
        }
        let last = RATES - 1;
        let at = (0..last).find(|i| multipliers.high <= rates[i + 1]);
        let chord = at.map_or_else(
            || self.less[last] - (multipliers.high - rates[last]) * self.weight.high,
            |i| {
                let share = (multipliers.high - rates[i]) / (rates[i + 1] - rates[i]);
                self.less[i] + share * (self.less[i + 1] - self.less[i])
            },
        );
        plain.max(chord)
    }
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
            shift: std::array::from_fn(|i| self.shift[i].hull(other.shift[i])),
            drag: self.drag.hull(other.drag),
            less: std::array::from_fn(|i| self.less[i].min(other.less[i])),
        }
    }
}

/// What is known of some pins at some projections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct PinHull {
    pub(in crate::search) price: i64,
    pub(in crate::search) projection: Range,
    pub(in crate::search) length: Range,
    pub(in crate::search) head_length: Range,
    pub(in crate::search) diameter: Range,
    pub(in crate::search) head_diameter: Range,
    /// Submerged weight per metre of stem, N/m.
    pub(in crate::search) stem_weight: Range,
    /// Submerged weight of the head, N.
    pub(in crate::search) head_weight: Range,
    /// Mass per metre of stem, kg/m.
    pub(in crate::search) stem_mass: Range,
    /// Mass of the head, kg.
    pub(in crate::search) head_mass: Range,
    /// Of the stem between bead and hook.
    pub(in crate::search) drag: RodDrag,
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
            drag: self.drag.hull(other.drag),
        }
    }
}

/// What is known of some wires.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::search) struct WireHull {
    pub(in crate::search) diameter: Range,
    /// Submerged weight per metre of wire, N/m.
    pub(in crate::search) weight: Range,
    /// Mass per metre, kg/m.
    pub(in crate::search) mass: Range,
    /// Least price of a length.
    pub(in crate::search) charge: LeastCharge,
    /// Least price per newton of a length, beyond a fixed sum.
    pub(in crate::search) per_newton: f64,
}

impl Hull for WireHull {
    fn hull(self, other: Self) -> Self {
        Self {
            diameter: self.diameter.hull(other.diameter),
            weight: self.weight.hull(other.weight),
            mass: self.mass.hull(other.mass),
            charge: self.charge.hull(other.charge),
            per_newton: self.per_newton.min(other.per_newton),
        }
    }
}

/// A metre of stock, micrometres.
const METRE: u64 = 1_000_000;

/// Beads of one kind of bore.
pub(in crate::search) struct Beads<'a> {
    pub(in crate::search) list: Vec<&'a Bead>,
    pub(in crate::search) tree: Tree<BeadHull>,
}

/// Everything that a target leaves to choose from, on any hook.
pub(in crate::search) struct Shelf<'a> {
    pub(in crate::search) without_bead: bool,
    /// For the eye of a straight hook.
    pub(in crate::search) drilled: Beads<'a>,
    /// For a jig neck.
    pub(in crate::search) slotted: Beads<'a>,
    /// For a pin.
    pub(in crate::search) pin_beads: Beads<'a>,
    /// MultiplierSets at which runs of beads know their cheapest.
    pub(in crate::search) rates: Rates,
    pub(in crate::search) pins: Vec<(&'a Pin, Microns)>,
    pub(in crate::search) pin_tree: Tree<PinHull>,
    pub(in crate::search) without_wire: bool,
    pub(in crate::search) wires: Vec<&'a Wire>,
    pub(in crate::search) wire_charges: Vec<Charge>,
    pub(in crate::search) wire_tree: Tree<WireHull>,
    pub(in crate::search) without_foam: bool,
    pub(in crate::search) foams: Vec<FoamFamily<'a>>,
    /// What is asked of the share of flies that come out right.
    pub(in crate::search) share_test: Option<ShareTest>,
    /// The same for each class of share, each made when it is first asked for.
    pub(in crate::search) ladder: Ladder,
    pub(in crate::search) foam_charges: Vec<Charge>,
    /// At the fishing depth, the deep end of a range.
    pub(in crate::search) deep: FoamAtDepth,
    /// At the shallow end of a range.
    pub(in crate::search) shallow: Option<FoamAtDepth>,
    /// Laws in the jar, where flies are trimmed and a share of them is asked for.
    pub(in crate::search) jar: Option<Vec<FoamLaw>>,
    /// On the way to a depth to be reached.
    pub(in crate::search) way: Option<FoamOnTheWay>,
}

impl<'a> Shelf<'a> {
    /// `hook`: any hook that the target leaves.
    pub(in crate::search) fn new(catalog: &'a Catalog, target: &Target, tariff: &Tariff, hook: &Hook) -> Self {
        let bounds = Bounds::new(target, hook);
        let filters = &target.choice.filters;
        let no_pin = filters.iter().all(|f| f.passes_pin(None));
        let (pins, pin_tree) = pins(catalog, target, tariff, &bounds);
        let (wires, wire_charges, wire_tree) = wires(catalog, target, tariff);
        let foams = foam_items(catalog, target);
        let rates = rates(catalog, target, tariff);
        let share_test = ShareTest::of(target);
        let given = (catalog, target, tariff, &bounds);
        Self {
            without_bead: filters.iter().all(|f| f.passes_front(None::<(&Bead, FrontMount)>)),
            drilled: Beads::new(given, &rates, "eye", |b| no_pin && !b.is_slotted()),
            slotted: Beads::new(given, &rates, "eye", |b| no_pin && b.is_slotted()),
            pin_beads: Beads::new(given, &rates, "pin", |b| !b.is_slotted()),
            rates,
            pins,
            pin_tree,
            without_wire: filters.iter().all(|f| f.passes_wire(None)),
            wires,
            wire_charges,
            wire_tree,
            without_foam: filters.iter().all(|f| f.passes_foam(None)),
            foam_charges: foams.iter().map(|f| tariff.charge(Kind::Foam, &f.foam.row)).collect(),
            deep: FoamAtDepth::new(&foams, hook, target, &bounds, target.conditions.depth),
            ladder: Ladder::default(),
            shallow: target.fall.shallow.map(|depth| FoamAtDepth::new(&foams, hook, target, &bounds, depth)),
            way: bounds.descent().map(|way| FoamOnTheWay::new(&foams, hook, target, way)),
            jar: share_test.as_ref().and_then(ShareTest::windows).map(|_| {
                let jar = Conditions {
                    water: target.hands.jar,
                    depth: JAR_DEPTH_M,
                    state: State::Soaked,
                    ..target.conditions
                };
                foam_laws(&foams, hook, target, &jar)
            }),
            share_test,
            foams,
        }
    }

    /// The foam at one end of a range of depths.
    pub(in crate::search) fn foam_at(&self, end: End) -> &FoamAtDepth {
        match (end, &self.shallow) {
            (End::Shallow, Some(shallow)) => shallow,
            _ => &self.deep,
        }
    }

    /// Greatest diameter of any pin, m.
    pub(in crate::search) fn thickest_pin(&self) -> Option<f64> {
        (!self.pin_tree.is_empty()).then(|| self.pin_tree.node(0).hull.diameter.high)
    }

    /// Diameters of all wires, m.
    pub(in crate::search) fn wire_diameters(&self) -> Option<Range> {
        (!self.wire_tree.is_empty()).then(|| self.wire_tree.node(0).hull.diameter)
    }

    /// Beads that may go against the eye of a hook.
    pub(in crate::search) fn eye_beads(&self, hook: &Hook) -> &Beads<'a> {
        if hook.is_jig() { &self.slotted } else { &self.drilled }
    }
}

fn allowed(lead: bool, target: &Target) -> bool {
    !(target.choice.lead_free && lead)
}

impl<'a> Beads<'a> {
    fn new(
        (catalog, target, tariff, bounds): (&'a Catalog, &Target, &Tariff, &Bounds),
        rates: &Rates,
        mount: &str,
        kind: impl Fn(&Bead) -> bool,
    ) -> Self {
        let mut beads: Vec<(&'a Bead, BeadHull)> = catalog
            .beads
            .iter()
            .filter(|b| kind(b) && allowed(b.material.contains_lead, target))
            .filter(|b| target.choice.filters.iter().all(|f| f.passes_bead(b, mount)))
            .map(|b| (b, bead_hull(b, (target, tariff, bounds), rates)))
            .collect();
        arrange(&mut beads, |(_, hull)| [hull.price as f64, hull.weight.low, hull.length.low]);
        let (list, hulls): (Vec<_>, Vec<_>) = beads.into_iter().unzip();
        Self { list, tree: Tree::new(&hulls) }
    }
}

fn pins<'a>(
    catalog: &'a Catalog,
    target: &Target,
    tariff: &Tariff,
    bounds: &Bounds,
) -> (Vec<(&'a Pin, Microns)>, Tree<PinHull>) {
    let water = target.conditions.water.density;
    let mut pins: Vec<((&Pin, Microns), PinHull)> = Vec::new();
    for pin in catalog.pins.iter().filter(|p| target.choice.filters.iter().all(|f| f.passes_pin(Some(p)))) {
        let price = tariff.charge(Kind::Pin, &pin.row).piece().micros();
        let drag = if bounds.has_sink() { stem_rod(pin, bounds) } else { RodDrag::none() };
        pins.extend(pin.projections.iter().map(|&at| ((pin, at), pin_hull(pin, at, (price, drag), water))));
    }
    arrange(&mut pins, |((pin, at), hull)| [hull.price as f64, at.m(), pin.diameter]);
    let (pins, hulls): (Vec<_>, Vec<_>) = pins.into_iter().unzip();
    (pins, Tree::new(&hulls))
}

fn stem_rod(pin: &Pin, bounds: &Bounds) -> RodDrag {
    let diameter = pin.diameter;
    RodDrag::new(bounds, |length| {
        let rod = Rod { span: pin.length.max(length), ..Rod::round(diameter, length, [1.0, 0.0]) };
        Some(DragElement { label: Label::Pin, shape: DragShape::Slender(rod), centre: [0.0; 2] })
    })
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

fn bead_weight(bead: &Bead, target: &Target) -> f64 {
    (bead.mass() - target.conditions.water.density * bead.solid().volume) * GRAVITY
}

/// Rates that double from half that of the cheapest weight there is.
fn rates(catalog: &Catalog, target: &Target, tariff: &Tariff) -> Rates {
    let rate = |b: &Bead| tariff.charge(Kind::Bead, &b.row).piece().micros() as f64 / bead_weight(b, target);
    let cheapest = catalog.beads.iter().map(rate).filter(|r| *r > 0.0).fold(f64::INFINITY, f64::min);
    let first = if cheapest.is_finite() { 0.5 * cheapest } else { 1.0 };
    std::array::from_fn(|i| if i == 0 { 0.0 } else { first * 2f64.powi(i as i32 - 1) })
}

fn bead_hull(bead: &Bead, (target, tariff, bounds): (&Target, &Tariff, &Bounds), rates: &Rates) -> BeadHull {
    let solid = bead.solid();
    let mass = bead.mass();
    let price = tariff.charge(Kind::Bead, &bead.row).piece().micros();
    let weight = bead_weight(bead, target);
    BeadHull {
        price,
        less: rates.map(|rate| price as f64 - rate * weight),
        weight: Range::point(weight),
        mass: Range::point(mass),
        length: Range::point(bead.length()),
        diameter: Range::point(bead.diameter),
        bore: Range::point(bead.bore_diameter),
        shift: solid.centroid.map(Range::point),
        drag: bounds.drag(&[DragElement {
            label: Label::Bead,
            shape: DragShape::Sphere { diameter: bead.diameter },
            centre: [0.0; 2],
        }]),
    }
}

fn pin_hull(pin: &Pin, projection: Microns, (price, drag): (i64, RodDrag), water: f64) -> PinHull {
    let density = pin.material.density_kg_m3;
    let per_volume = (density - water) * GRAVITY;
    PinHull {
        price,
        drag,
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

pub(in crate::search) fn wire_hull(wire: &Wire, charge: &Charge, water: f64) -> WireHull {
    let mass = wire.mass_per_length();
    let weight = mass * (1.0 - water / wire.material.density_kg_m3) * GRAVITY;
    let charge = charge.least(1);
    WireHull {
        diameter: Range::point(wire.diameter),
        weight: Range::point(weight),
        mass: Range::point(mass),
        per_newton: if weight > 0.0 { charge.line().1 / weight } else { f64::NEG_INFINITY },
        charge,
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

/// One end of a range of depths; without a range there is the deep one alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) enum End {
    Deep,
    Shallow,
}
