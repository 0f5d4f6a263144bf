//! Random flies: parts of a random catalog put together without asking whether they fit.

use super::random_catalog::{bead, dressing, foam, hook, pin, wire};
use counterpoise::fly::{Fly, FoamPiece, FrontMount, Wraps};
use counterpoise::part::{Bead, Cut, Dressing, Foam, Hook, Pin, Wire};
use counterpoise::quantity::Microns;
use counterpoise::recipe::Seat;
use proptest::option;
use proptest::prelude::*;
use proptest::sample::select;

/// Parts of one fly.
#[derive(Debug, Clone)]
pub(crate) struct Parts {
    pub(crate) hook: Hook,
    pub(crate) dressing: Dressing,
    pub(crate) bead: Option<(Bead, Option<(Pin, Microns)>)>,
    pub(crate) wire: Option<(Wire, u32, Microns)>,
    pub(crate) foam: Option<(Foam, Cut, Microns, Seat)>,
}

impl Parts {
    pub(crate) fn fly(&self) -> Fly<'_> {
        Fly {
            hook: &self.hook,
            dressing: &self.dressing,
            bead: self.bead.as_ref().map(|(bead, pin)| match pin {
                Some((pin, at)) => (bead, FrontMount::Pin(pin, *at)),
                None => (bead, FrontMount::Eye),
            }),
            wraps: self.wire.as_ref().map(|(wire, turns, start)| Wraps { wire, turns: *turns, start: *start }),
            foam: self.foam.as_ref().map(|(foam, cut, length, seat)| FoamPiece {
                foam,
                cut: *cut,
                length: *length,
                seat: *seat,
            }),
        }
    }
}

/// A piece of foam of any stock, cut and seat, 4 to 20 mm long.
pub(crate) fn piece() -> impl Strategy<Value = (Foam, Cut, Microns, Seat)> {
    (foam(0), select(Cut::ALL.to_vec()), 4_000..20_000i32, select(Seat::ALL.to_vec()))
        .prop_map(|(foam, cut, um, seat)| (foam, cut, Microns::new(um), seat))
}

/// Any fly.
pub(crate) fn parts() -> impl Strategy<Value = Parts> {
    let front = (bead(0), option::of((pin(0), (4_000..10_000i32).prop_map(Microns::new))));
    let wraps = (wire(0), 3u32..12, (0..3_000i32).prop_map(Microns::new));
    (hook(0), dressing(), option::of(front), option::of(wraps), option::of(piece()))
        .prop_map(|(hook, dressing, bead, wire, foam)| Parts { hook, dressing, bead, wire, foam })
}
