//! Small random catalogs and targets: every part a shop could sell, in spaces small enough to try everything.
//!
//! Prices take few values, so that recipes often cost the same and the rest of the order has to decide.

use counterpoise::catalog::Catalog;
use counterpoise::fly::{Conditions, Limits, State};
use counterpoise::material::{HowObtained, Material, Provenance};
use counterpoise::part::{
    Bead, BeadShape, Component, ComponentRole, Cut, Dressing, Foam, FoamForm, Hook, HookStyle, MouldedHead, Pack,
    PackUnit, Pin, Row, Surface, Wire,
};
use counterpoise::physics::statics::{Knot, Rides, Tippet};
use counterpoise::physics::water::Water;
use counterpoise::quantity::{Microns, Money};
use counterpoise::search::Wish;
use counterpoise::search::rank::Variety;
use counterpoise::wanted::{Choice, FallWish, Filter, Grid, Hands, RidesWish, Target, Window};
use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::{select, subsequence};
use std::sync::{Arc, OnceLock};

fn provenance() -> Provenance {
    Provenance { source: "random, for tests".into(), how: HowObtained::Invented }
}

/// A material that holds lead above 10 000 kg/m3, more or less as real ones do.
pub(crate) fn material(density: f64) -> Arc<Material> {
    Arc::new(Material {
        id: format!("m{density:.0}"),
        name: "stuff".into(),
        density_kg_m3: density,
        density_sd_kg_m3: 0.0,
        contains_lead: (10_000.0..12_000.0).contains(&density),
        provenance: provenance(),
    })
}

fn metal() -> impl Strategy<Value = Arc<Material>> {
    select(vec![17_500.0, 11_340.0, 8_520.0, 7_280.0, 2_500.0]).prop_map(material)
}

/// A price per piece of 10, 10.3, 20 or 30 cents, or per metre of stock.
fn row(id: String, unit: PackUnit) -> impl Strategy<Value = Row> {
    select(vec![100_000, 103_000, 200_000, 300_000]).prop_map(move |micros| Row {
        id: id.clone(),
        name: id.clone(),
        pack: Pack { unit, price: Money::from_micros(micros) },
        provenance: provenance(),
    })
}

fn piece(kind: &str, index: usize) -> impl Strategy<Value = Row> + use<> {
    row(format!("{kind}-{index}"), PackUnit::Pieces(1))
}

fn stock(kind: &str, index: usize) -> impl Strategy<Value = Row> + use<> {
    row(format!("{kind}-{index}"), PackUnit::Length(1_000_000))
}

/// Hooks of all families, with and without a moulded head.
pub(crate) fn hook(index: usize) -> impl Strategy<Value = Hook> {
    let head = option::weighted(0.2, (select(vec![7_280.0, 10_900.0]), 0.2e-3..1.0e-3f64, -0.3e-3..0.8e-3f64));
    let neck = option::weighted(0.5, (select(vec![45.0, 60.0, 90.0f64]), 1.2e-3..3.0e-3f64));
    (piece("hook", index), neck, head, 5.0e-3..9.0e-3f64, 0.4e-3..0.7e-3f64, 3.0e-3..7.0e-3f64, 10u8..13).prop_map(
        |(row, neck, head, shank_length, wire_diameter, gap, size)| Hook {
            row,
            style: if neck.is_some() { HookStyle::Jig60 } else { HookStyle::Straight },
            size,
            material: material(7_850.0),
            wire_diameter,
            eye_inner_diameter: 1.4 * wire_diameter,
            neck_length: neck.map_or(0.0, |n| n.1 + head.map_or(0.0, |h| h.1 * 2.0)),
            neck_angle: neck.map_or(0.0, |n| n.0.to_radians()),
            shank_length,
            gap,
            point_length: 0.6 * gap,
            measured_mass: None,
            mass_spread: 0.0,
            head: head.map(|(density, mass, centre_aft_of_corner)| MouldedHead {
                material: material(density),
                mass: mass * 1e-3,
                mass_spread: 0.0,
                centre_aft_of_corner,
                mass_name: "some".into(),
            }),
        },
    )
}

/// A bead.
pub(crate) fn bead(index: usize) -> impl Strategy<Value = Bead> {
    let shape = prop_oneof![
        Just(None),
        Just(Some(BeadShape::Drilled)),
        Just(Some(BeadShape::Countersunk { diameter: 1.6e-3, depth: 0.4e-3 })),
    ];
    (piece("bead", index), metal(), 2.0e-3..4.0e-3f64, 0.8e-3..1.1e-3f64, shape).prop_map(
        |(row, material, diameter, bore_diameter, shape)| Bead {
            row,
            material,
            diameter,
            diameter_sd: 0.0,
            bore_diameter,
            shape: shape.unwrap_or(BeadShape::Slotted { width: bore_diameter, length_share: 0.6 }),
            colours: Vec::new(),
            measured_mass: None,
            mass_spread: 0.0,
        },
    )
}

/// A pin.
pub(crate) fn pin(index: usize) -> impl Strategy<Value = Pin> {
    (piece("pin", index), 0.4e-3..0.7e-3f64, subsequence(vec![4_500, 6_000, 9_000], 1..3)).prop_map(
        |(row, diameter, projections)| Pin {
            row,
            material: material(7_950.0),
            diameter,
            length: 20e-3,
            head_diameter: 1.3e-3,
            head_length: 0.6e-3,
            projections: projections.into_iter().map(Microns::new).collect(),
            mass_spread: 0.0,
        },
    )
}

/// A wire.
pub(crate) fn wire(index: usize) -> impl Strategy<Value = Wire> {
    (stock("wire", index), metal(), 0.4e-3..0.9e-3f64).prop_map(|(row, material, diameter)| Wire {
        row,
        material,
        diameter,
        diameter_spread: 0.0,
    })
}

/// Foam stock of all forms and surfaces.
pub(crate) fn foam(index: usize) -> impl Strategy<Value = Foam> {
    let form = prop_oneof![
        prop_oneof![9 => 3e-3..9e-3f64, 1 => 10e-3..25e-3f64].prop_map(|diameter| FoamForm::Rod { diameter }),
        (2e-3..5e-3f64, 1e-3..3e-3f64).prop_map(|(width, thickness)| FoamForm::Strip { width, thickness }),
    ];
    let cuts = subsequence(Cut::ALL.to_vec(), 1..3);
    let cell = prop_oneof![9 => 0.0..0.8e-3f64, 1 => 2.5e-3..3e-3f64];
    (stock("foam", index), form, cuts, 25.0..200.0f64, cell, any::<bool>(), select(vec![0.0, 8e3])).prop_map(
        |(row, form, cuts, density, cell, skin, collapse_pressure)| Foam {
            row,
            form,
            density,
            density_sd: 0.0,
            solid: material(920.0),
            cell,
            surface: if skin { Surface::Skin } else { Surface::Cut },
            collapse_pressure,
            cuts,
            colours: Vec::new(),
            section_spread: 0.0,
            section_factor: 1.0,
        },
    )
}

fn component(name: &'static str, from: f64, to: f64) -> impl Strategy<Value = Component> {
    (select(vec![910.0, 1_140.0, 1_310.0]), 1e-6..15e-6f64, option::weighted(0.7, 1.5e-3..5e-3f64), 0.1..0.7f64)
        .prop_map(move |(density, dry_mass, wet_diameter, solidity)| Component {
            name: name.into(),
            role: ComponentRole::Fibre,
            material: material(density),
            dry_mass,
            mass_spread: 0.0,
            from,
            to,
            wet_diameter,
            solidity,
            fresh_air_share: 0.6,
        })
}

/// A dressing of up to three materials.
pub(crate) fn dressing() -> impl Strategy<Value = Dressing> {
    let parts = (component("body", 0.1, 0.9), component("tail", 1.0, 2.4), component("collar", 0.2, 0.4));
    (piece("dressing", 0), parts, 0usize..4, 0.3..1.2f64).prop_map(|(row, (body, tail, collar), count, hides_tail)| {
        Dressing {
            row,
            reference_shank: 10e-3,
            hides_tail,
            components: [body, tail, collar].into_iter().take(count).collect(),
        }
    })
}

/// The built-in catalog, whose lists are replaced; it cannot be built from nothing.
fn frame() -> Catalog {
    static BUILT_IN: OnceLock<Catalog> = OnceLock::new();
    BUILT_IN.get_or_init(|| Catalog::built_in().unwrap()).clone()
}

/// A catalog of one or two hooks and few other parts.
pub(crate) fn catalog() -> impl Strategy<Value = Catalog> {
    let list = |most: usize| 0..=most;
    (
        prop_oneof![2 => hook(0).prop_map(|h| vec![h]), 1 => (hook(0), hook(1)).prop_map(|(a, b)| vec![a, b])],
        list(3).prop_flat_map(|n| (0..n).map(|i| bead(i).boxed()).collect::<Vec<_>>()),
        list(1).prop_flat_map(|n| (0..n).map(|i| pin(i).boxed()).collect::<Vec<_>>()),
        list(2).prop_flat_map(|n| (0..n).map(|i| wire(i).boxed()).collect::<Vec<_>>()),
        list(2).prop_flat_map(|n| (0..n).map(|i| foam(i).boxed()).collect::<Vec<_>>()),
        dressing(),
    )
        .prop_map(|(hooks, beads, pins, wires, foams, dressing)| {
            let mut catalog = frame();
            (catalog.hooks, catalog.beads, catalog.pins) = (hooks, beads, pins);
            (catalog.wires, catalog.foams, catalog.dressings) = (wires, foams, vec![dressing]);
            catalog
        })
}

/// Conditions of all kinds: cold to warm, fresh to salt, near the surface to deep, both knots and states.
pub(crate) fn conditions() -> impl Strategy<Value = Conditions> {
    let water = (select(vec![4.0, 12.0, 25.0]), select(vec![0.0, 35.0]))
        .prop_map(|(celsius, salinity)| Water::new(celsius, salinity).unwrap());
    let knot = prop_oneof![
        2 => Just(Knot::Loop),
        1 => (0.1e-3..0.3e-3f64).prop_map(|diameter| Knot::Snug(Tippet { diameter, modulus: 1.5e9 })),
    ];
    (water, 0.0..6.0f64, any::<bool>(), knot).prop_map(|(water, depth, fresh, knot)| Conditions {
        water,
        depth,
        state: if fresh { State::Fresh } else { State::Soaked },
        knot,
    })
}

fn sink() -> impl Strategy<Value = Option<Window>> {
    let rate = 0.05..0.9f64;
    prop_oneof![
        2 => Just(None),
        1 => rate.clone().prop_map(|low| Some(Window { low: Some(low), high: None })),
        1 => rate.clone().prop_map(|high| Some(Window { low: None, high: Some(high) })),
        2 => (rate, 0.02..0.4f64).prop_map(|(low, width)| Some(Window { low: Some(low), high: Some(low + width) })),
        1 => Just(Some(Window { low: Some(-0.2), high: Some(0.5) })),
    ]
}

fn filters() -> impl Strategy<Value = Vec<Filter>> {
    let texts = vec![
        ("wire=none", false),
        ("foam=none", false),
        ("bead=none", false),
        ("bead.mount=eye", true),
        ("foam.seat=tail", true),
        ("foam.seat=back", false),
        ("foam.cut=half", false),
        ("wire.size=0.5mm..0.9mm", true),
        ("wire.material=m11340", false),
    ];
    vec(select(texts), 0..2)
        .prop_map(|list| list.into_iter().map(|(text, keep)| Filter::parse(text, keep).unwrap()).collect())
}

/// A target with a wide enough tolerance that many of them can be met.
pub(crate) fn target() -> impl Strategy<Value = Target> {
    let rides = prop_oneof![
        2 => Just(RidesWish::Either),
        1 => Just(RidesWish::JigsUp),
        1 => Just(RidesWish::Side(Rides::PointUp)),
        1 => Just(RidesWish::Side(Rides::PointDown)),
    ];
    let hang = (
        prop_oneof![4 => -90.0..90.0f64, 1 => select(vec![-90.0, 0.0, 90.0])],
        prop_oneof![8 => 2.0..60.0f64, 1 => Just(90.0)],
    );
    let most = (
        option::weighted(0.2, 0.1e-3..1.0e-3f64),
        option::weighted(0.2, 0.01..0.6f64),
        option::weighted(0.2, 200_000..900_000i64),
    );
    let limits = (select(vec![0.0, 0.3, 0.5]), any::<bool>());
    let grid = (select(vec![1_000, 1_500, 2_000]), select(vec![1_000, 1_500, 2_000]));
    (hang, rides, sink(), most, conditions(), limits, grid, (any::<bool>(), filters())).prop_map(
        |(
            (hang, tolerance),
            rides,
            sink,
            (max_mass, max_band, max_cost),
            conditions,
            (clear_gap, visible_foam),
            grid,
            choice,
        )| {
            Target {
                hang: hang.to_radians(),
                tolerance: tolerance.to_radians(),
                rides,
                sink,
                max_band,
                max_mass,
                max_cost: max_cost.map(Money::from_micros),
                fall: FallWish::default(),
                conditions,
                limits: Limits { clear_gap, visible_foam },
                choice: Choice {
                    dressing: "dressing-0".into(),
                    lead_free: choice.0,
                    filters: choice.1,
                    ..Choice::default()
                },
                grid: Grid { foam: Microns::new(grid.0), start: Microns::new(grid.1) },
                hands: Hands::with_jar_at(20.0).unwrap(),
                share: None,
            }
        },
    )
}

/// Few recipes or many, of any variety.
pub(crate) fn wish() -> impl Strategy<Value = Wish> {
    (select(vec![1, 2, 3, 5, 8, 40]), select(Variety::ALL.to_vec())).prop_map(|(top, variety)| Wish { top, variety })
}
