//! How sets of recipes are split in two.

use crate::search::bounds::contribution::Contribution;
use crate::search::space;
use crate::search::space::front::FrontSet;
use crate::search::space::node::{Context, FoamSet, Node, WrapSet};

/// A front is split before wraps and foam unless it leaves so much less open: where wraps may lie follows from it, and a share of flies
/// that come out right is known of few fronts only. With 3, and beads before pins, there are half
/// the nodes that there are with 1 and the longer list first; from 6 on there are more again.
const FRONT_FIRST: f64 = 3.0;

impl Context<'_, '_> {
    /// Two parts of a node that together hold all of it; `None` for a single recipe.
    pub(in crate::search) fn split(&self, node: &Node, shares: [&Contribution; 3]) -> Option<[Node; 2]> {
        let multipliers = &self.tables.multiplier_sets[0][node.front.class()];
        let [front, wraps, foam] = shares.map(|share| multipliers.open(share));
        let open = [FRONT_FIRST * front, wraps, foam];
        let mut order = [0, 1, 2];
        order.sort_by(|a: &usize, b| open[*b].total_cmp(&open[*a]));
        order.into_iter().find_map(|group| match group {
            0 => self.split_front(node.front).map(|h| h.map(|front| Node { front, ..*node })),
            1 => self.split_wraps(node.wraps).map(|h| h.map(|wraps| Node { wraps, ..*node })),
            _ => self.split_foam(node.foam).map(|h| h.map(|foam| Node { foam, ..*node })),
        })
    }

    fn split_front(&self, front: FrontSet) -> Option<[FrontSet; 2]> {
        match front {
            FrontSet::None => None,
            FrontSet::Eye(bead) => {
                let (a, b) = self.shelf.eye_beads(self.tables.hook).tree.node(bead).halves?;
                Some([FrontSet::Eye(a), FrontSet::Eye(b)])
            }
            FrontSet::Pin(bead, pin) => {
                // Which bead it is moves price and weight more than how far it lies ahead of the eye.
                let beads = self.shelf.pin_beads.tree.node(bead).halves;
                let pins = self.shelf.pin_tree.node(pin).halves;
                let by_bead = beads.map(|(a, b)| [FrontSet::Pin(a, pin), FrontSet::Pin(b, pin)]);
                by_bead.or_else(|| pins.map(|(a, b)| [FrontSet::Pin(bead, a), FrontSet::Pin(bead, b)]))
            }
        }
    }

    fn split_wraps(&self, wraps: WrapSet) -> Option<[WrapSet; 2]> {
        match wraps {
            WrapSet::None => None,
            WrapSet::Wires(index) => {
                let node = self.shelf.wire_tree.node(index);
                node.halves.map(|(a, b)| [self.wires(a), self.wires(b)])
            }
            WrapSet::Wire { wire, turns, starts } => {
                if turns.0 < turns.1 {
                    halves(turns).map(|h| h.map(|turns| WrapSet::Wire { wire, turns, starts }))
                } else {
                    halves(starts).map(|h| h.map(|starts| WrapSet::Wire { wire, turns, starts }))
                }
            }
        }
    }

    /// Some wires; a single one with its own turns and starts.
    pub(super) fn wires(&self, index: u32) -> WrapSet {
        let node = self.shelf.wire_tree.node(index);
        if node.len() > 1 { WrapSet::Wires(index) } else { self.whole_wire(node.from) }
    }

    /// One wire at all its turns and starts.
    pub(in crate::search) fn whole_wire(&self, wire: u32) -> WrapSet {
        let most = self.tables.counts.turns[wire as usize];
        let least = u16::try_from(space::least_turns(self.shelf.wires[wire as usize])).unwrap_or(u16::MAX);
        WrapSet::Wire { wire, turns: (least, most.max(least)), starts: (0, self.last_start(wire, least)) }
    }

    /// Last start of so many turns on the bare hook.
    pub(in crate::search) fn last_start(&self, wire: u32, turns: u16) -> u16 {
        let part = self.shelf.wires[wire as usize];
        let starts = space::start_count(self.tables.counts.free, part, u32::from(turns), self.target.grid.start);
        u16::try_from(starts.saturating_sub(1)).unwrap_or(u16::MAX)
    }

    fn split_foam(&self, foam: FoamSet) -> Option<[FoamSet; 2]> {
        match foam {
            FoamSet::None => None,
            FoamSet::Families(index) => {
                let node = self.tables.foam_tree.node(index);
                node.halves.map(|(a, b)| [self.families(a), self.families(b)])
            }
            FoamSet::Family { index, steps } => halves(steps).map(|h| h.map(|steps| FoamSet::Family { index, steps })),
        }
    }

    pub(super) fn families(&self, index: u32) -> FoamSet {
        let node = self.tables.foam_tree.node(index);
        if node.len() > 1 {
            FoamSet::Families(index)
        } else {
            FoamSet::Family { index: node.from, steps: self.tables.counts.foams[node.from as usize].steps }
        }
    }
}

fn halves(range: (u16, u16)) -> Option<[(u16, u16); 2]> {
    (range.0 < range.1).then(|| {
        let middle = range.0 + (range.1 - range.0) / 2;
        [(range.0, middle), (middle + 1, range.1)]
    })
}
