//! A fly: a recipe whose ids have been looked up, placed as loads and drag elements that physics can use.

mod as_tied;
mod cost;
mod deviation;
mod fit;
mod hook_wire;
mod idea;
mod place;
mod resolve;
mod sinking;

pub use as_tied::AsTied;
pub use cost::{PartCost, costs, foam_cut_um, foam_length_um, foam_price, total_cost, wire_length_um, wrap_core};
pub use deviation::{COMPONENTS, Deviation};
pub use fit::{
    LEAST_COIL, LEAST_TURNS, Limits, Misfit, behind_eye_bead, first_misfit, foam_misfit, foam_room, free_shank,
    front_misfit, least_turns, pin_projection_needed, wraps_misfit,
};
pub use hook_wire::{bare_neck, bare_shank, bare_stretches, eye_and_bend};
pub use idea::{FrontWeight, Idea, Lift};
pub use place::{
    Conditions, Placed, State, bead_centre, body, dressing_parts, eye_bead_centre, foam_part, foam_span, front_parts,
    gas_warning, hook_parts, pin_span, wraps_part, wraps_span,
};
pub use resolve::{UnknownPart, resolve};
pub use sinking::{sinking, sinking_squeezed};

use crate::part::{Bead, Cut, Dressing, Foam, Hook, Pin, Wire};
use crate::quantity::Microns;
use crate::recipe::{BeadUse, FoamUse, Mount, Recipe, Seat, WireUse};

/// Figures of ordinary tying that no catalog row carries. Common practice, no source.
pub mod practice {
    /// Length of foam under the thread at each binding, m.
    pub const FOAM_BOUND_LENGTH: f64 = 2.5e-3;
    /// Share of its displaced volume that foam loses under tight thread.
    pub const FOAM_SQUEEZE: f64 = 0.5;
    /// Least length of foam that shows behind its binding, m.
    pub const FOAM_LEAST_FREE: f64 = 1.5e-3;
    /// Shortest piece that can be tied in in the tail, m.
    pub const FOAM_LEAST_LENGTH: f64 = FOAM_BOUND_LENGTH + FOAM_LEAST_FREE;
    /// Play between bore and hook wire that lets a bead pass the bend, m.
    pub const BORE_PLAY: f64 = 0.05e-3;
    /// Clear length between the ring of the eye and a bead on a pin, m.
    pub const PIN_BEAD_CLEARANCE: f64 = 0.5e-3;
    /// Least length of pin that is bound along the shank, m.
    pub const PIN_LEAST_BOUND: f64 = 5.0e-3;
    /// Least length of pin that is bound, for each length that stands out: a longer lever works loose.
    pub const PIN_BOUND_SHARE: f64 = 0.8;
    /// Standard deviation of where foam or wraps end up along the shank, m.
    pub const POSITION_SD: f64 = 0.4e-3;
    /// Standard deviation of the length of a cut piece of foam, m.
    pub const FOAM_LENGTH_SD: f64 = 0.25e-3;
    /// Standard deviation of how high a piece of foam sits off the shank, m: thread draws it down more or less.
    pub const FOAM_HEIGHT_SD: f64 = 0.15e-3;
    /// The same as a share of the height of its centroid: 15 degrees round the shank lower it by 3 %, 25 by 9 %.
    pub const FOAM_AROUND_SHARE: f64 = 0.05;
    /// Standard deviation of the neck of hooks of one box, m, and of its angle, rad.
    pub const NECK_SD: (f64, f64) = (0.05e-3, 1.0 * std::f64::consts::PI / 180.0);
    /// Standard deviation of the shank length of hooks of one box, share.
    pub const SHANK_SHARE: f64 = 0.005;
    /// How far a stand-in row may be off the hook at hand: neck, m, and its angle, rad; shank, share. Hook sizes are not
    /// standardised between makers.
    pub const STAND_IN_NECK_SD: (f64, f64) = (0.1e-3, 2.0 * std::f64::consts::PI / 180.0);
    /// See [`STAND_IN_NECK_SD`].
    pub const STAND_IN_SHANK_SHARE: f64 = 0.015;
    /// Share of the play in its bore that a bead against the eye keeps once thread and varnish hold it.
    pub const BEAD_PLAY_LEFT: f64 = 0.5;
    /// Standard deviation of a count of wraps, turns.
    pub const TURNS_SD: f64 = 0.3;
}

/// Where a bead sits, with its pin looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FrontMount<'a> {
    /// Against the eye.
    Eye,
    /// On a pin, front of the pin's head so far ahead of the tie point.
    Pin(&'a Pin, Microns),
}

/// Wraps with their wire looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wraps<'a> {
    /// Wire.
    pub wire: &'a Wire,
    /// Turns.
    pub turns: u32,
    /// From the rear of what fills the front of the shank to the first turn.
    pub start: Microns,
}

/// A piece of foam with its stock looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FoamPiece<'a> {
    /// Stock.
    pub foam: &'a Foam,
    /// Lengthwise cut.
    pub cut: Cut,
    /// Length.
    pub length: Microns,
    /// Seat.
    pub seat: Seat,
}

/// A recipe whose ids have been looked up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fly<'a> {
    /// Hook.
    pub hook: &'a Hook,
    /// Dressing.
    pub dressing: &'a Dressing,
    /// Bead and mount.
    pub bead: Option<(&'a Bead, FrontMount<'a>)>,
    /// Wraps.
    pub wraps: Option<Wraps<'a>>,
    /// Foam.
    pub foam: Option<FoamPiece<'a>>,
}

impl Fly<'_> {
    /// The recipe, by ids.
    #[must_use]
    pub fn recipe(&self) -> Recipe {
        Recipe {
            hook: self.hook.row.id.clone(),
            dressing: self.dressing.row.id.clone(),
            bead: self.bead.map(|(bead, mount)| BeadUse {
                id: bead.row.id.clone(),
                mount: match mount {
                    FrontMount::Eye => Mount::Eye,
                    FrontMount::Pin(pin, projection) => Mount::Pin { pin: pin.row.id.clone(), projection },
                },
            }),
            wire: self.wraps.map(|w| WireUse { id: w.wire.row.id.clone(), turns: w.turns, start: w.start }),
            foam: self.foam.map(|f| FoamUse { id: f.foam.row.id.clone(), cut: f.cut, length: f.length, seat: f.seat }),
        }
    }

    /// Whether any part contains lead.
    #[must_use]
    pub fn contains_lead(&self) -> bool {
        self.hook.head.as_ref().is_some_and(|h| h.material.contains_lead)
            || self.bead.is_some_and(|(b, _)| b.material.contains_lead)
            || self.wraps.is_some_and(|w| w.wire.material.contains_lead)
    }
}
