//! The space that a target and a catalog give: per hook, fronts x wraps x foam, on the grid of the target.

mod bare_drag;
pub(in crate::search) mod foam_at_depth;
pub(in crate::search) mod front;
pub(in crate::search) mod front_set;
pub(in crate::search) mod hook_tables;
pub(in crate::search) mod node;
pub(in crate::search) mod shelf;
mod split;
pub(in crate::search) mod tree;
mod trim;

use crate::catalog::Catalog;
use crate::fly::{self, Fly, FoamPiece, FrontMount, Wraps};
use crate::part::{Bead, Cut, Dressing, Foam, Hook, Wire};
use crate::quantity::Microns;
use crate::recipe::Seat;
use crate::wanted::{Filter, Target};

pub use crate::fly::{LEAST_TURNS, least_turns};

/// What sits at the front of the hook: a bead on its mount, or nothing.
pub type Front<'a> = Option<(&'a Bead, FrontMount<'a>)>;

/// Foam stock, cut and seat; lengths are the grid's.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoamFamily<'a> {
    /// Stock.
    pub foam: &'a Foam,
    /// Cut.
    pub cut: Cut,
    /// Seat.
    pub seat: Seat,
}

impl<'a> FoamFamily<'a> {
    /// The piece of this family with a length.
    #[must_use]
    pub fn piece(&self, length: Microns) -> FoamPiece<'a> {
        FoamPiece { foam: self.foam, cut: self.cut, length, seat: self.seat }
    }
}

/// Everything that may be tied on one hook.
#[derive(Debug, Clone, PartialEq)]
pub struct HookSpace<'a> {
    /// Hook.
    pub hook: &'a Hook,
    /// Dressing.
    pub dressing: &'a Dressing,
    /// Fronts that fit, in catalog order, none first where none is allowed.
    pub fronts: Vec<Front<'a>>,
    /// Wires, in catalog order.
    pub wires: Vec<&'a Wire>,
    /// Whether no wire is allowed.
    pub without_wire: bool,
    /// Foam families, in catalog order.
    pub foams: Vec<FoamFamily<'a>>,
    /// Whether no foam is allowed.
    pub without_foam: bool,
}

/// The hooks, with what may be tied on them, that a target leaves in a catalog.
#[must_use]
pub fn spaces<'a>(catalog: &'a Catalog, target: &Target) -> Vec<HookSpace<'a>> {
    let Some(dressing) = catalog.dressing(&target.choice.dressing) else {
        return Vec::new();
    };
    catalog
        .hooks
        .iter()
        .filter(|hook| target.choice.allows(hook))
        .map(|hook| hook_space(catalog, target, hook, dressing))
        .collect()
}

fn hook_space<'a>(catalog: &'a Catalog, target: &Target, hook: &'a Hook, dressing: &'a Dressing) -> HookSpace<'a> {
    let filters = &target.choice.filters;
    let lead_free = target.choice.lead_free;
    HookSpace {
        hook,
        dressing,
        fronts: fronts(catalog, target, hook),
        wires: catalog
            .wires
            .iter()
            .filter(|w| !(lead_free && w.material.contains_lead))
            .filter(|w| filters.iter().all(|f| f.passes_wire(Some(w))))
            .collect(),
        without_wire: filters.iter().all(|f| f.passes_wire(None)),
        foams: foams(catalog, filters),
        without_foam: filters.iter().all(|f| f.passes_foam(None)),
    }
}

fn fronts<'a>(catalog: &'a Catalog, target: &Target, hook: &Hook) -> Vec<Front<'a>> {
    let mut fronts: Vec<Front<'a>> = vec![None];
    for bead in &catalog.beads {
        if target.choice.lead_free && bead.material.contains_lead {
            continue;
        }
        fronts.push(Some((bead, FrontMount::Eye)));
        for pin in &catalog.pins {
            fronts.extend(pin.projections.iter().map(|p| Some((bead, FrontMount::Pin(pin, *p)))));
        }
    }
    fronts.retain(|front| {
        target.choice.filters.iter().all(|f| f.passes_front(*front))
            && front.is_none_or(|(bead, mount)| fly::front_misfit(hook, bead, mount, &target.limits).is_none())
    });
    fronts
}

pub(in crate::search) fn foams<'a>(catalog: &'a Catalog, filters: &[Filter]) -> Vec<FoamFamily<'a>> {
    let mut families = Vec::new();
    for foam in &catalog.foams {
        for &cut in &foam.cuts {
            for seat in Seat::ALL {
                if filters.iter().all(|f| f.passes_foam(Some((foam, cut, seat)))) {
                    families.push(FoamFamily { foam, cut, seat });
                }
            }
        }
    }
    families
}

/// Greatest number of turns that a free shank takes from its very front; 0 when it takes fewer than
/// [`least_turns`].
#[must_use]
pub fn most_turns(free: (f64, f64), wire: &Wire) -> u32 {
    let turns = ((free.1 - free.0 + 1e-9) / wire.diameter).floor().max(0.0) as u32;
    if turns < least_turns(wire) { 0 } else { turns }
}

/// How many start positions so many turns have on the grid.
#[must_use]
pub fn start_count(free: (f64, f64), wire: &Wire, turns: u32, step: Microns) -> u32 {
    let spare = free.1 - free.0 + 1e-9 - f64::from(turns) * wire.diameter;
    if spare < 0.0 { 0 } else { (spare / step.m()).floor() as u32 + 1 }
}

/// First and last multiple of the grid step that a foam family takes; `None` when it takes none.
#[must_use]
pub fn length_steps(
    hook: &Hook,
    dressing: &Dressing,
    free: (f64, f64),
    family: &FoamFamily,
    target: &Target,
) -> Option<(u32, u32)> {
    let step = target.grid.foam.m();
    let least = fly::practice::FOAM_LEAST_LENGTH;
    let room = fly::foam_room(hook, free, dressing, family.seat, &target.limits).0;
    let first = ((least - 1e-9) / step).ceil().max(1.0) as u32;
    let last = ((room + 1e-9) / step).floor().max(0.0) as u32;
    if first > last {
        return None;
    }
    let piece = family.piece(multiple(target.grid.foam, first));
    fly::foam_misfit(hook, free, dressing, &piece, &target.limits).is_none().then_some((first, last))
}

/// So many steps as a length.
#[must_use]
pub fn multiple(step: Microns, count: u32) -> Microns {
    Microns::new(step.micrometres().saturating_mul(i32::try_from(count).unwrap_or(i32::MAX)))
}

/// One point of the space as a fly.
#[must_use]
pub fn fly<'a>(
    space: &HookSpace<'a>,
    front: Front<'a>,
    wraps: Option<Wraps<'a>>,
    foam: Option<FoamPiece<'a>>,
) -> Fly<'a> {
    Fly { hook: space.hook, dressing: space.dressing, bead: front, wraps, foam }
}
