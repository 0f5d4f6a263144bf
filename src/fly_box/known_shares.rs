//! Shares worked out once: many searches ask for the same recipes of a need at other prices.

use super::spec::BoxOrder;
use crate::fly::{Fly, FrontMount};
use crate::part::Cut;
use crate::quantity::Microns;
use crate::recipe::Seat;
use crate::spread::shares::{share_as_tied, shares};
use crate::wanted::{Counted, Target};
use std::collections::HashMap;
use std::ptr::from_ref;
use std::sync::{PoisonError, RwLock};

/// A recipe by its parts in the catalog, which stays where it is.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Key {
    hook: usize,
    dressing: usize,
    bead: usize,
    pin: (usize, Microns),
    wire: (usize, u32, Microns),
    foam: Option<(usize, Cut, Microns, Seat)>,
}

fn place<T>(part: &T) -> usize {
    from_ref(part).addr()
}

impl Key {
    fn of(fly: &Fly) -> Self {
        let pin = match fly.bead {
            Some((_, FrontMount::Pin(pin, projection))) => (place(pin), projection),
            _ => (0, Microns::default()),
        };
        Self {
            hook: place(fly.hook),
            dressing: place(fly.dressing),
            bead: fly.bead.map_or(0, |(bead, _)| place(bead)),
            pin,
            wire: fly.wraps.map_or((0, 0, Microns::default()), |w| (place(w.wire), w.turns, w.start)),
            foam: fly.foam.map(|f| (place(f.foam), f.cut, f.length, f.seat)),
        }
    }
}

/// Shares of recipes in each need.
pub(super) struct KnownShares {
    of_need: Vec<RwLock<HashMap<Key, f64>>>,
}

impl KnownShares {
    pub(super) fn new(order: &BoxOrder) -> Self {
        Self { of_need: order.needs.iter().map(|_| RwLock::default()).collect() }
    }

    /// The share of a recipe that counts for a need, which must ask for one; `target`: that of the need, or one that differs
    /// from it in the parts it leaves or in the least share only.
    pub(super) fn share(&self, fly: &Fly, (need, target): (usize, &Target)) -> f64 {
        let Some(floor) = &target.share else { return 1.0 };
        let known = &self.of_need[need];
        let key = Key::of(fly);
        if let Some(share) = known.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
            return *share;
        }
        let of = |fly: &Fly| match floor.counted {
            Counted::AsTied => share_as_tied(fly, target),
            Counted::Trimmed => shares(fly, target).counted(),
        };
        let share = target.least_under_each(fly, |fly| Some(of(fly))).unwrap_or(0.0);
        known.write().unwrap_or_else(PoisonError::into_inner).insert(key, share);
        share
    }
}
