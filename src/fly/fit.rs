//! What fits on a hook. What does not fit is no candidate.

use super::place::eye_bead_centre;
use super::{Fly, FoamPiece, FrontMount, Wraps, practice};
use crate::part::{Bead, Dressing, Hook, Wire};
use crate::quantity::shown::SIZE;
use crate::recipe::Seat;
use thiserror::Error;

/// Fewest turns that hold on a shank. Common practice, no source.
pub const LEAST_TURNS: u32 = 3;
/// Shortest coil worth winding, m. Common practice, no source.
pub const LEAST_COIL: f64 = 1.5e-3;

/// Fewest turns of a wire that are wound: by a search, and when turns are taken off at the vice.
#[must_use]
pub fn least_turns(wire: &Wire) -> u32 {
    LEAST_TURNS.max((LEAST_COIL / wire.diameter - 1e-9).ceil() as u32)
}

/// Limits that the tyer may move.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Share of the gap that must stay clear of bead and foam, 0 to 1.
    pub clear_gap: f64,
    /// Let foam stand out behind the tail that hides it, and be thicker than the gap of the hook.
    pub visible_foam: bool,
}

impl Default for Limits {
    fn default() -> Self {
        Self { clear_gap: 0.5, visible_foam: false }
    }
}

/// Why a recipe cannot be tied.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
pub enum Misfit {
    /// The bore does not take the hook wire.
    #[error("the bore of {} does not pass over {} hook wire", SIZE.text(*.bore_mm, 2), SIZE.text(*.wire_mm, 2))]
    BoreTooSmall {
        /// Bore, mm.
        bore_mm: f64,
        /// Hook wire, mm.
        wire_mm: f64,
    },
    /// The bead slips over the eye or the pin's head.
    #[error("the bore of {} slips over the {} that should stop it", SIZE.text(*.bore_mm, 2), SIZE.text(*.stop_mm, 2))]
    BoreTooLarge {
        /// Bore, mm.
        bore_mm: f64,
        /// What should stop it, mm.
        stop_mm: f64,
    },
    /// A drilled bead on a jig neck.
    #[error("a jig neck needs a slotted bead")]
    NeedsSlot,
    /// A slotted bead on a straight shank or a pin.
    #[error("a slotted bead sits loose on a straight shank or pin")]
    SlotOnStraight,
    /// The hook has a moulded head where the bead would sit.
    #[error("the moulded head leaves no room for a bead or pin")]
    HeadInTheWay,
    /// Too little of the gap stays clear.
    #[error("{clear:.2} of the gap stays clear; {wanted:.2} is asked for")]
    GapBlocked {
        /// Share left clear.
        clear: f64,
        /// Share asked for.
        wanted: f64,
    },
    /// The pin does not hold the bead clear of the eye.
    #[error("the pin stands {} ahead; the bead needs {} to clear the eye", SIZE.text(*.projection_mm, 1), SIZE.text(*.needed_mm, 1))]
    PinTooShort {
        /// Projection, mm.
        projection_mm: f64,
        /// Needed, mm.
        needed_mm: f64,
    },
    /// Too little pin is bound on the shank.
    #[error("{} of the pin would be bound; {} is the least", SIZE.text(*.bound_mm, 1), SIZE.text(*.needed_mm, 1))]
    PinBarelyBound {
        /// Bound length, mm.
        bound_mm: f64,
        /// Least, mm.
        needed_mm: f64,
    },
    /// No turns.
    #[error("a wire needs at least one turn")]
    NoTurns,
    /// The wraps run past the bend.
    #[error("the wraps end {} behind the front; the free shank is {}", SIZE.text(*.end_mm, 1), SIZE.text(*.free_mm, 1))]
    WrapsTooLong {
        /// End of the wraps, mm from the front of the free shank.
        end_mm: f64,
        /// Free shank, mm.
        free_mm: f64,
    },
    /// The piece is too short to bind.
    #[error("foam of {} cannot be bound; {} is the least", SIZE.text(*.length_mm, 1), SIZE.text(*.needed_mm, 1))]
    FoamTooShort {
        /// Length, mm.
        length_mm: f64,
        /// Least, mm.
        needed_mm: f64,
    },
    /// The piece is longer than what carries or hides it.
    #[error("foam of {}; the {what} takes {}", SIZE.text(*.length_mm, 1), SIZE.text(*.room_mm, 1))]
    FoamTooLong {
        /// Length, mm.
        length_mm: f64,
        /// Room, mm.
        room_mm: f64,
        /// Tail or shank.
        what: &'static str,
    },
    /// The piece is thicker than the hook is wide.
    #[error("foam {} across on a hook with a gap of {}", SIZE.text(*.across_mm, 1), SIZE.text(*.gap_mm, 1))]
    FoamTooThick {
        /// Greatest width or height of the piece, mm.
        across_mm: f64,
        /// Gap, mm.
        gap_mm: f64,
    },
    /// The stock does not stand that cut.
    #[error("this foam stock is not cut that way")]
    CutNotOffered,
}

const MM: f64 = 1e3;

/// Front and rear x of the shank that is free for wraps, m: behind bead or head, up to the bend.
#[must_use]
pub fn free_shank(hook: &Hook, bead: Option<(&Bead, FrontMount)>) -> (f64, f64) {
    let corner = hook.corner()[0];
    let front = match (&hook.head, bead) {
        (Some(head), _) => corner + head.centre_aft_of_corner + 0.5 * head.diameter(),
        (None, Some((bead, FrontMount::Eye))) => behind_eye_bead(hook, bead.length()),
        (None, _) => corner,
    };
    (front.max(corner), hook.bend_x())
}

/// x where the shank begins to be free behind a bead of some length along its bore that is pushed against the eye, m.
#[must_use]
pub fn behind_eye_bead(hook: &Hook, bead_length: f64) -> f64 {
    let centre = eye_bead_centre(hook, bead_length);
    let off = centre[1] - hook.shank_y();
    let half = 0.5 * bead_length;
    (centre[0] + (half * half - off * off).max(0.0).sqrt()).max(hook.corner()[0])
}

fn gap_clear(hook: &Hook, intrusion_from_shank_centre: f64) -> f64 {
    let inside = hook.gap - hook.wire_diameter;
    (hook.gap - 0.5 * hook.wire_diameter - intrusion_from_shank_centre) / inside
}

/// How far a pin must stand out ahead of the tie point to hold a bead clear of the ring of the eye, m.
#[must_use]
pub fn pin_projection_needed(hook: &Hook, head_length: f64, bead_length: f64) -> f64 {
    head_length + bead_length + practice::PIN_BEAD_CLEARANCE + hook.ring_rear()
}

/// Whether bead and mount fit the hook.
#[must_use]
pub fn front_misfit(hook: &Hook, bead: &Bead, mount: FrontMount, limits: &Limits) -> Option<Misfit> {
    if hook.head.is_some() {
        return Some(Misfit::HeadInTheWay);
    }
    match mount {
        FrontMount::Eye => eye_misfit(hook, bead, limits),
        FrontMount::Pin(pin, projection) => {
            if bead.is_slotted() {
                return Some(Misfit::SlotOnStraight);
            }
            if bead.bore_diameter < pin.diameter {
                return Some(Misfit::BoreTooSmall { bore_mm: bead.bore_diameter * MM, wire_mm: pin.diameter * MM });
            }
            if bead.bore_diameter >= pin.head_diameter {
                return Some(Misfit::BoreTooLarge {
                    bore_mm: bead.bore_diameter * MM,
                    stop_mm: pin.head_diameter * MM,
                });
            }
            let needed = pin_projection_needed(hook, pin.head_length, bead.length());
            if projection.m() < needed {
                return Some(Misfit::PinTooShort { projection_mm: projection.mm(), needed_mm: needed * MM });
            }
            let bound = (pin.length - projection.m() - hook.corner()[0]).min(hook.shank_length);
            let least = practice::PIN_LEAST_BOUND.max(practice::PIN_BOUND_SHARE * projection.m());
            (bound < least).then_some(Misfit::PinBarelyBound { bound_mm: bound * MM, needed_mm: least * MM })
        }
    }
}

fn eye_misfit(hook: &Hook, bead: &Bead, limits: &Limits) -> Option<Misfit> {
    if hook.is_jig() != bead.is_slotted() {
        return Some(if hook.is_jig() { Misfit::NeedsSlot } else { Misfit::SlotOnStraight });
    }
    if bead.bore_diameter < hook.wire_diameter + practice::BORE_PLAY {
        return Some(Misfit::BoreTooSmall { bore_mm: bead.bore_diameter * MM, wire_mm: hook.wire_diameter * MM });
    }
    if bead.bore_diameter >= hook.eye_outer_diameter() {
        return Some(Misfit::BoreTooLarge {
            bore_mm: bead.bore_diameter * MM,
            stop_mm: hook.eye_outer_diameter() * MM,
        });
    }
    let (front, rear) = free_shank(hook, Some((bead, FrontMount::Eye)));
    let clear = gap_clear(hook, 0.5 * bead.diameter);
    if clear < limits.clear_gap {
        return Some(Misfit::GapBlocked { clear, wanted: limits.clear_gap });
    }
    // A bead that fills the shank leaves nothing to tie on.
    (front > rear).then_some(Misfit::WrapsTooLong { end_mm: 0.0, free_mm: (rear - front) * MM })
}

/// Whether wraps fit behind what fills the front of the shank.
#[must_use]
pub fn wraps_misfit(free: (f64, f64), wraps: &Wraps) -> Option<Misfit> {
    if wraps.turns == 0 || wraps.start.m() < 0.0 {
        return Some(Misfit::NoTurns);
    }
    let end = wraps.start.m() + f64::from(wraps.turns) * wraps.wire.diameter;
    let room = free.1 - free.0;
    // A nanometre of slack keeps rounding of the sum from refusing an exact fit.
    (end > room + 1e-9).then_some(Misfit::WrapsTooLong { end_mm: end * MM, free_mm: room * MM })
}

/// Whether a piece of foam fits.
#[must_use]
pub fn foam_misfit(
    hook: &Hook,
    free: (f64, f64),
    dressing: &Dressing,
    piece: &FoamPiece,
    limits: &Limits,
) -> Option<Misfit> {
    if !piece.foam.cuts.contains(&piece.cut) {
        return Some(Misfit::CutNotOffered);
    }
    let length = piece.length.m();
    let least = practice::FOAM_LEAST_LENGTH;
    if length < least - 1e-9 {
        return Some(Misfit::FoamTooShort { length_mm: length * MM, needed_mm: least * MM });
    }
    let (room, what) = foam_room(hook, free, dressing, piece.seat, limits);
    if length > room + 1e-9 {
        return Some(Misfit::FoamTooLong { length_mm: length * MM, room_mm: room * MM, what });
    }
    let across = piece.foam.across(piece.cut);
    if !limits.visible_foam && across > hook.gap + 1e-9 {
        return Some(Misfit::FoamTooThick { across_mm: across * MM, gap_mm: hook.gap * MM });
    }
    if matches!(piece.seat, Seat::Belly | Seat::TailUnder | Seat::TailAlong) {
        let whole = piece.foam.section(piece.cut).height;
        // In line with the shank half of it stands into the gap.
        let height = if piece.seat == Seat::TailAlong { 0.5 * (whole - hook.wire_diameter) } else { whole };
        let clear = gap_clear(hook, 0.5 * hook.wire_diameter + height);
        if clear < limits.clear_gap {
            return Some(Misfit::GapBlocked { clear, wanted: limits.clear_gap });
        }
    }
    None
}

/// Longest piece that a seat takes, m, and what limits it.
#[must_use]
pub fn foam_room(
    hook: &Hook,
    free: (f64, f64),
    dressing: &Dressing,
    seat: Seat,
    limits: &Limits,
) -> (f64, &'static str) {
    match seat {
        Seat::Tail | Seat::TailAlong | Seat::TailUnder => {
            let hidden = dressing.hides_tail * hook.shank_length;
            let longest = 3.0 * hook.shank_length;
            let behind = if limits.visible_foam { longest } else { hidden };
            (practice::FOAM_BOUND_LENGTH + behind, "tail that hides it")
        }
        Seat::Back | Seat::Belly => (free.1 - free.0, "free shank"),
    }
}

/// The first reason why a fly cannot be tied, if there is one.
#[must_use]
pub fn first_misfit(fly: &Fly, limits: &Limits) -> Option<Misfit> {
    if let Some((bead, mount)) = fly.bead
        && let Some(misfit) = front_misfit(fly.hook, bead, mount, limits)
    {
        return Some(misfit);
    }
    let free = free_shank(fly.hook, fly.bead);
    fly.wraps
        .as_ref()
        .and_then(|w| wraps_misfit(free, w))
        .or_else(|| fly.foam.as_ref().and_then(|p| foam_misfit(fly.hook, free, fly.dressing, p, limits)))
}
