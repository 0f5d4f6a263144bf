//! From parts to placed loads and drag elements, in the hook frame.
//!
//! Each group of parts is placed on its own: hook with what covers it, front (bead or pin), wraps, foam, dressing. The
//! whole body is their concatenation, so the search can add groups up and get the same figures.

use super::hook_wire::{bare_stretches, bead_run, eye_run, hook_elements, neck_axis, slender, thin};
use super::{Fly, FoamPiece, FrontMount, Wraps, practice};
use crate::part::{Bead, Dressing, Hook, Pin, SealedSection};
use crate::physics::body::{Body, DragElement, DragShape, Label, Load, Rod};
use crate::physics::compression::{FOAM_CELSIUS, GasState};
use crate::physics::constants::ATMOSPHERE;
use crate::physics::statics::{Knot, Moments};
use crate::physics::warning::Warning;
use crate::physics::water::Water;
use crate::quantity::Microns;
use crate::recipe::Seat;
use crate::shape::wrap::CloseWound;
use std::f64::consts::FRAC_PI_4;

/// Whether the dressing still holds air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum State {
    /// Air as the pattern states it.
    Fresh,
    /// No air: bubbles worked off.
    Soaked,
}

impl State {
    /// The word used in targets and reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Fresh => "fresh",
            Self::Soaked => "soaked",
        }
    }
}

/// The water, depth, state and knot under which a fly is judged.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conditions {
    /// Water.
    pub water: Water,
    /// Depth, m, 0 or more.
    pub depth: f64,
    /// Fresh or soaked.
    pub state: State,
    /// Knot.
    pub knot: Knot,
}

impl Conditions {
    /// As foam is measured: at the surface, at the temperature and under the air at which its volume is the catalog's.
    #[must_use]
    pub(crate) fn as_measured(&self) -> Self {
        let water = Water { temperature_c: FOAM_CELSIUS, air_pressure: ATMOSPHERE, ..self.water };
        Self { water, depth: 0.0, ..*self }
    }

    /// Gauge pressure at the depth, Pa.
    #[must_use]
    pub fn gauge_pressure(&self) -> f64 {
        self.water.pressure_at_depth(self.depth)
    }
}

/// Loads and drag elements of one group of parts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placed {
    /// Loads.
    pub loads: Vec<Load>,
    /// Drag elements.
    pub elements: Vec<DragElement>,
}

impl Placed {
    /// Submerged weight and moments of the group.
    #[must_use]
    pub fn moments(&self, water_density: f64) -> Moments {
        self.loads
            .iter()
            .fold(Moments::default(), |sum, load| sum.plus(load.submerged_weight(water_density), load.centroid))
    }
}

/// Places a whole fly.
#[must_use]
pub fn body(fly: &Fly, conditions: &Conditions) -> Body {
    let mut body = Body::default();
    let mut add = |placed: Placed| {
        body.loads.extend(placed.loads);
        body.elements.extend(placed.elements);
    };
    add(hook_parts(fly.hook, fly.bead, fly.dressing));
    if let Some((bead, mount)) = fly.bead {
        add(front_parts(fly.hook, bead, mount));
    }
    if let Some(wraps) = &fly.wraps {
        add(wraps_part(fly.hook, fly.bead, fly.dressing, wraps));
    }
    if let Some(piece) = &fly.foam {
        add(foam_part(fly.hook, piece, conditions));
    }
    add(dressing_parts(fly.hook, fly.dressing, conditions));
    body
}

/// Centre of a bead of some length along its bore that is pushed against the eye, m. A longer bead sits farther along the
/// neck, or past the corner farther aft.
#[must_use]
pub fn eye_bead_centre(hook: &Hook, bead_length: f64) -> [f64; 2] {
    let run = eye_run(hook, bead_length);
    if !hook.is_jig() {
        return [run, 0.0];
    }
    let past_corner = run - hook.neck_length;
    if past_corner < 0.0 {
        let axis = neck_axis(hook);
        [axis[0] * run, axis[1] * run]
    } else {
        let corner = hook.corner();
        [corner[0] + past_corner, corner[1]]
    }
}

/// Centre of the bead's sphere, m.
#[must_use]
pub fn bead_centre(hook: &Hook, bead: &Bead, mount: FrontMount) -> [f64; 2] {
    match mount {
        FrontMount::Eye => eye_bead_centre(hook, bead.length()),
        FrontMount::Pin(pin, projection) => [
            -projection.m() + pin.head_length + 0.5 * bead.length(),
            hook.shank_y() - 0.5 * (hook.wire_diameter + pin.diameter),
        ],
    }
}

/// The hook with its head, without drag where bead, head or dressing cover it.
#[must_use]
pub fn hook_parts(hook: &Hook, bead: Option<(&Bead, FrontMount)>, dressing: &Dressing) -> Placed {
    let path = hook.path();
    let centroid = path.centroid();
    let second = path.second_moment_per_length();
    let mut placed = Placed {
        loads: vec![Load {
            label: Label::Hook,
            mass: hook.mass(),
            volume: path.volume(),
            centroid,
            gyration_sq: (second[0] + second[1] - centroid[0] * centroid[0] - centroid[1] * centroid[1]).max(0.0),
        }],
        elements: Vec::new(),
    };
    if let Some(head) = &hook.head {
        let corner = hook.corner();
        let radius = 0.5 * head.diameter();
        let centre = [corner[0] + head.centre_aft_of_corner, corner[1]];
        placed.loads.push(Load {
            label: Label::Head,
            mass: head.mass,
            volume: head.volume(),
            centroid: centre,
            gyration_sq: 0.4 * radius * radius,
        });
        placed.elements.push(DragElement {
            label: Label::Head,
            shape: DragShape::Sphere { diameter: head.diameter() },
            centre,
        });
    }
    placed.elements.extend(hook_elements(hook, bead, dressing));
    placed
}

/// Bead, and pin if it sits on one.
#[must_use]
pub fn front_parts(hook: &Hook, bead: &Bead, mount: FrontMount) -> Placed {
    let centre = bead_centre(hook, bead, mount);
    let on_neck = matches!(mount, FrontMount::Eye) && hook.is_jig() && bead_run(hook, bead) < hook.neck_length;
    let axis = if on_neck { neck_axis(hook) } else { [1.0, 0.0] };
    let solid = bead.solid();
    let shift = solid.centroid;
    let radius = 0.5 * bead.diameter;
    let mut placed = Placed {
        loads: vec![Load {
            label: Label::Bead,
            mass: bead.mass(),
            volume: solid.volume,
            centroid: [
                centre[0] + axis[0] * shift[0] - axis[1] * shift[1],
                centre[1] + axis[1] * shift[0] + axis[0] * shift[1],
            ],
            gyration_sq: 0.4 * radius * radius,
        }],
        elements: vec![DragElement {
            label: Label::Bead,
            shape: DragShape::Sphere { diameter: bead.diameter },
            centre,
        }],
    };
    if let FrontMount::Pin(pin, projection) = mount {
        let y = centre[1];
        let (head, stem_rear) = pin_span(hook, pin, projection);
        let stem_front = head + pin.head_length;
        let stem = stem_rear - stem_front;
        let density = pin.material.density_kg_m3;
        placed.loads.push(Load {
            label: Label::Pin,
            mass: density * pin.head_volume(),
            volume: pin.head_volume(),
            centroid: [head + 0.5 * pin.head_length, y],
            gyration_sq: 0.0,
        });
        placed.loads.push(Load {
            label: Label::Pin,
            mass: density * pin.stem_volume(stem),
            volume: pin.stem_volume(stem),
            centroid: [0.5 * (stem_front + stem_rear), y],
            gyration_sq: stem * stem / 12.0,
        });
        let bead_rear = centre[0] + 0.5 * bead.length();
        let wire = Rod { span: pin.length, ..thin(pin.diameter) };
        placed.elements.extend(slender(Label::Pin, [bead_rear, y], [hook.corner()[0], y], wire));
    }
    placed
}

/// Wraps as real amounts: those of a recipe, or of a fly that was tied a little off it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WrapsAmounts {
    pub(super) turns: f64,
    /// Behind what fills the front of the shank, m.
    pub(super) start: f64,
    /// Of the wire, m.
    pub(super) diameter: f64,
    /// Of the wire, kg/m3.
    pub(super) density: f64,
}

impl WrapsAmounts {
    pub(super) fn of(wraps: &Wraps) -> Self {
        Self {
            turns: f64::from(wraps.turns),
            start: wraps.start.m(),
            diameter: wraps.wire.diameter,
            density: wraps.wire.material.density_kg_m3,
        }
    }
}

/// Wraps, with drag where no dressing covers them.
#[must_use]
pub fn wraps_part(hook: &Hook, bead: Option<(&Bead, FrontMount)>, dressing: &Dressing, wraps: &Wraps) -> Placed {
    let amounts = WrapsAmounts::of(wraps);
    Placed { loads: vec![wraps_load(hook, bead, &amounts)], elements: wraps_elements(hook, bead, dressing, &amounts) }
}

/// The coil, and where it begins, m.
fn wound(hook: &Hook, bead: Option<(&Bead, FrontMount)>, wraps: &WrapsAmounts) -> (CloseWound, f64) {
    let core = super::wrap_core(hook, bead);
    let wound = CloseWound { turns: wraps.turns, wire: wraps.diameter, core };
    (wound, super::free_shank(hook, bead).0 + wraps.start)
}

pub(super) fn wraps_load(hook: &Hook, bead: Option<(&Bead, FrontMount)>, wraps: &WrapsAmounts) -> Load {
    let (wound, front) = wound(hook, bead, wraps);
    let rear = front + wound.wound_length();
    Load {
        label: Label::Wraps,
        mass: wraps.density * wound.volume(),
        volume: wound.volume(),
        centroid: [0.5 * (front + rear), hook.shank_y()],
        gyration_sq: wound.wound_length().powi(2) / 12.0,
    }
}

pub(super) fn wraps_elements(
    hook: &Hook,
    bead: Option<(&Bead, FrontMount)>,
    dressing: &Dressing,
    wraps: &WrapsAmounts,
) -> Vec<DragElement> {
    let (wound, front) = wound(hook, bead, wraps);
    let y = hook.shank_y();
    let outside = wound.outside_diameter();
    let breadth = outside - hook.wire_diameter;
    bare_stretches(hook, dressing, front, front + wound.wound_length())
        .into_iter()
        .filter_map(|(from, to)| slender(Label::Wraps, [from, y], [to, y], Rod { breadth, ..thin(outside) }))
        .collect()
}

/// Foam as real amounts: those of a recipe, or of a fly that was tied a little off it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FoamAmounts {
    pub(super) section: SealedSection,
    /// kg/m3.
    pub(super) density: f64,
    /// m.
    pub(super) length: f64,
    /// Farther aft than the seat says, m.
    pub(super) aft: f64,
    /// Farther off the shank than the seat says, m.
    pub(super) off: f64,
}

impl FoamAmounts {
    pub(super) fn of(piece: &FoamPiece) -> Self {
        Self {
            section: piece.foam.section(piece.cut),
            density: piece.foam.density,
            length: piece.length.m(),
            aft: 0.0,
            off: 0.0,
        }
    }
}

/// A piece of foam: its polymer, and the water that its closed cells displace at depth.
#[must_use]
pub fn foam_part(hook: &Hook, piece: &FoamPiece, conditions: &Conditions) -> Placed {
    let amounts = FoamAmounts::of(piece);
    Placed {
        loads: foam_loads(hook, piece, &amounts, conditions).to_vec(),
        elements: foam_element(hook, piece, &amounts, conditions).into_iter().collect(),
    }
}

/// Front and rear x of a pin, m: the front of its head, and where its bound stem ends.
#[must_use]
pub fn pin_span(hook: &Hook, pin: &Pin, projection: Microns) -> (f64, f64) {
    let bound = (pin.length - projection.m() - hook.corner()[0]).min(hook.shank_length);
    (-projection.m(), hook.corner()[0] + bound.max(0.0))
}

/// Front and rear x of the wraps, m.
#[must_use]
pub fn wraps_span(hook: &Hook, bead: Option<(&Bead, FrontMount)>, wraps: &Wraps) -> (f64, f64) {
    let (wound, front) = wound(hook, bead, &WrapsAmounts::of(wraps));
    (front, front + wound.wound_length())
}

/// Front and rear x of a piece of foam, m.
#[must_use]
pub fn foam_span(hook: &Hook, piece: &FoamPiece) -> (f64, f64) {
    let amounts = FoamAmounts::of(piece);
    let front = foam_front(hook, piece, &amounts);
    (front, front + amounts.length)
}

/// x of the front of a piece, m.
fn foam_front(hook: &Hook, piece: &FoamPiece, amounts: &FoamAmounts) -> f64 {
    let bound = practice::FOAM_BOUND_LENGTH.min(amounts.length);
    let front = match piece.seat {
        Seat::Tail | Seat::TailAlong | Seat::TailUnder => hook.bend_x() - bound,
        Seat::Back | Seat::Belly => hook.bend_x() - amounts.length,
    };
    front + amounts.aft
}

/// y of a point of a piece that lies so high above the shank, m.
fn foam_y(hook: &Hook, seat: Seat, height: f64) -> f64 {
    hook.shank_y() + seat.side() * (0.5 * hook.wire_diameter + height)
}

/// Which way a piece lies that lies farther off than its seat says; in line it may be off either way, counted towards the
/// point.
fn off_side(seat: Seat) -> f64 {
    if seat == Seat::TailAlong { 1.0 } else { seat.side() }
}

fn foam_ratio(piece: &FoamPiece, amounts: &FoamAmounts, conditions: &Conditions) -> f64 {
    let solid_share = amounts.density / piece.foam.solid.density_kg_m3;
    conditions.water.gas().volume_ratio(conditions.gauge_pressure(), piece.foam.collapse_pressure, solid_share)
}

/// Says when the temperature of the water, or thin air, takes much of the room that the gas in foam has at 20 C by the sea.
#[must_use]
pub fn gas_warning(piece: &FoamPiece, conditions: &Conditions) -> Option<Warning> {
    let (pressure, collapse) = (conditions.gauge_pressure(), piece.foam.collapse_pressure);
    let solid = piece.foam.relative_density();
    let room = |gas: GasState| gas.volume_ratio(pressure, collapse, solid);
    let (here, usual) = (room(conditions.water.gas()), room(GasState::STANDARD));
    Warning::gas_lost(1.0 - here / usual, conditions.water.temperature_c, conditions.water.air_pressure)
}

pub(super) fn foam_loads(hook: &Hook, piece: &FoamPiece, amounts: &FoamAmounts, conditions: &Conditions) -> [Load; 3] {
    let FoamAmounts { section, density, length, off, .. } = *amounts;
    let layer = piece.foam.flooded_layer();
    let ratio = foam_ratio(piece, amounts, conditions);
    let front = foam_front(hook, piece, amounts);
    let sealed_length = (length - 2.0 * layer).max(0.0);
    let bound_sealed = (practice::FOAM_BOUND_LENGTH.min(length) - layer).clamp(0.0, sealed_length);
    let free_sealed = sealed_length - bound_sealed;
    let middle = front + 0.5 * length;
    let (bound_x, free_x) = match piece.seat {
        Seat::Tail | Seat::TailAlong | Seat::TailUnder => {
            (front + layer + 0.5 * bound_sealed, front + layer + bound_sealed + 0.5 * free_sealed)
        }
        // Half the binding at either end.
        Seat::Back | Seat::Belly => (middle, middle),
    };
    let flooded = section.area * length - section.sealed_area * sealed_length;
    let gas = |length: f64, share: f64, x: f64| Load {
        label: Label::Foam,
        mass: 0.0,
        volume: section.sealed_area * length * share * ratio,
        centroid: [x, foam_y(hook, piece.seat, section.sealed_height) + off_side(piece.seat) * off],
        gyration_sq: 0.0,
    };
    [
        Load {
            label: Label::Foam,
            mass: density * section.area * length,
            volume: density / piece.foam.solid.density_kg_m3 * flooded,
            centroid: [middle, foam_y(hook, piece.seat, section.centroid_height) + off_side(piece.seat) * off],
            gyration_sq: length * length / 12.0,
        },
        gas(bound_sealed, 1.0 - practice::FOAM_SQUEEZE, bound_x),
        gas(free_sealed, 1.0, free_x),
    ]
}

pub(super) fn foam_element(
    hook: &Hook,
    piece: &FoamPiece,
    amounts: &FoamAmounts,
    conditions: &Conditions,
) -> Option<DragElement> {
    let front = foam_front(hook, piece, amounts);
    let y = foam_y(hook, piece.seat, amounts.section.centroid_height) + off_side(piece.seat) * amounts.off;
    let section = &amounts.section;
    // One end stands free; the other is faired by thread. Their area is that of the section.
    let blunt_ends = 0.5 * section.area / (FRAC_PI_4 * section.width * section.width);
    let width = section.width * foam_ratio(piece, amounts, conditions).cbrt();
    let rod = Rod { blunt_ends, sharp: section.sharp, ..thin(width) };
    slender(Label::Foam, [front, y], [front + amounts.length, y], rod)
}

/// Dressing, scaled to the hook.
#[must_use]
pub fn dressing_parts(hook: &Hook, dressing: &Dressing, conditions: &Conditions) -> Placed {
    let scale = dressing.scale(hook.shank_length);
    let corner = hook.corner();
    // Bubbles shrink with depth like any gas (Boyle).
    let air = conditions.water.air_pressure;
    let bubble = air / (air + conditions.gauge_pressure());
    let mut placed = Placed::default();
    for (i, component) in dressing.components.iter().enumerate() {
        let label = Label::Dressing(u8::try_from(i).unwrap_or(u8::MAX));
        let mass = component.dry_mass * scale * scale;
        let fibre = mass / component.material.density_kg_m3;
        let air = match conditions.state {
            State::Fresh => component.fresh_air_share * fibre * bubble,
            State::Soaked => 0.0,
        };
        let from = corner[0] + component.from * hook.shank_length;
        let to = corner[0] + component.to * hook.shank_length;
        placed.loads.push(Load {
            label,
            mass,
            volume: fibre + air,
            centroid: [0.5 * (from + to), corner[1]],
            gyration_sq: (to - from).powi(2) / 12.0,
        });
        if let Some(diameter) = component.wet_diameter.map(|d| d * scale) {
            let ends = [[from, corner[1]], [to, corner[1]]];
            // End on, fibres stand in the stream as they do across it: the same share of a blunt rod.
            let brush = Rod { solidity: component.solidity, blunt_ends: component.solidity, ..thin(diameter) };
            placed.elements.extend(slender(label, ends[0], ends[1], brush));
        }
    }
    placed
}
