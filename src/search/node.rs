//! A set of recipes on one hook: what it adds up to, what it counts, and how it splits.

use super::bound::{DragRange, Range};
use super::hook_tables::{HookTables, Share};
use super::shelf::{BeadHull, PinHull, Shelf, WireHull};
use super::space::{self, LEAST_TURNS};
use crate::fly::{self, Fly, FoamPiece, FrontMount, Wraps, practice};
use crate::part::Hook;
use crate::physics::body::{DragElement, DragShape, Label};
use crate::shape::wrap::CloseWound;
use crate::target::Target;
use std::f64::consts::PI;

/// What sits at the front: nothing, some beads against the eye, or some beads on some pins.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FrontSet {
    None,
    Eye(u32),
    Pin(u32, u32),
}

/// Wraps: none, some wires at any turns and starts, or one wire within ranges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WrapSet {
    None,
    Wires(u32),
    Wire { wire: u32, turns: (u16, u16), starts: (u16, u16) },
}

/// Foam: none, some families at any length, or one family within a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum FoamSet {
    None,
    Families(u32),
    Family { index: u32, steps: (u16, u16) },
}

/// A set of recipes on one hook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Node {
    pub(super) hook: u32,
    pub(super) front: FrontSet,
    pub(super) wraps: WrapSet,
    pub(super) foam: FoamSet,
}

/// A front as ranges: what it adds, and what it leaves of the shank.
#[derive(Debug, Clone, Copy, PartialEq)]
struct FrontShare {
    share: Share,
    /// x where the free shank begins, m.
    begins: Range,
    /// Diameter that wraps are wound on, m.
    core: Range,
}

/// Everything that bounds need about a node, and the widths that decide how it splits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sum {
    pub(super) total: Share,
    widths: [f64; 3],
}

/// What every node of a search shares.
#[derive(Clone, Copy)]
pub(super) struct Context<'s, 'a> {
    pub(super) shelf: &'s Shelf<'a>,
    pub(super) target: &'s Target,
    pub(super) tables: &'s HookTables<'a>,
}

impl<'a> Context<'_, 'a> {
    /// The root sets of a hook: with and without bead, wire and foam.
    pub(super) fn roots(shelf: &Shelf, hook: &Hook, index: u32) -> Vec<Node> {
        let mut fronts = Vec::new();
        if shelf.without_bead {
            fronts.push(FrontSet::None);
        }
        if hook.head.is_none() {
            if !shelf.eye_beads(hook).tree.is_empty() {
                fronts.push(FrontSet::Eye(0));
            }
            if !shelf.pin_beads.tree.is_empty() && !shelf.pin_tree.is_empty() {
                fronts.push(FrontSet::Pin(0, 0));
            }
        }
        let wraps =
            [shelf.without_wire.then_some(WrapSet::None), (!shelf.wire_tree.is_empty()).then_some(WrapSet::Wires(0))];
        let foams =
            [shelf.without_foam.then_some(FoamSet::None), (!shelf.foams.is_empty()).then_some(FoamSet::Families(0))];
        let mut roots = Vec::new();
        for front in fronts {
            for wraps in wraps.into_iter().flatten() {
                for foam in foams.into_iter().flatten() {
                    roots.push(Node { hook: index, front, wraps, foam });
                }
            }
        }
        roots
    }

    /// Least price of a root, millionths, without looking at the hook's tables. `base`: that of hook and dressing.
    pub(super) fn root_price(shelf: &Shelf, hook: &Hook, base: i64, node: &Node) -> i64 {
        let front = match node.front {
            FrontSet::None => 0,
            FrontSet::Eye(bead) => shelf.eye_beads(hook).tree.node(bead).hull.price,
            FrontSet::Pin(bead, pin) => {
                shelf.pin_beads.tree.node(bead).hull.price + shelf.pin_tree.node(pin).hull.price
            }
        };
        base + front
    }

    /// Number of recipes, those that do not fit included.
    pub(super) fn count(&self, node: &Node) -> u64 {
        self.front_count(node.front) * self.wrap_count(node.wraps) * self.foam_count(node.foam)
    }

    fn front_count(&self, front: FrontSet) -> u64 {
        match front {
            FrontSet::None => 1,
            FrontSet::Eye(bead) => self.shelf.eye_beads(self.tables.hook).tree.node(bead).len(),
            FrontSet::Pin(bead, pin) => {
                self.shelf.pin_beads.tree.node(bead).len() * self.shelf.pin_tree.node(pin).len()
            }
        }
    }

    fn wrap_count(&self, wraps: WrapSet) -> u64 {
        match wraps {
            WrapSet::None => 1,
            WrapSet::Wires(index) => {
                let node = self.shelf.wire_tree.node(index);
                self.tables.wire_count(node.from, node.to)
            }
            WrapSet::Wire { wire, turns, starts } => {
                let part = self.shelf.wires[wire as usize];
                (turns.0..=turns.1)
                    .map(|t| {
                        let fit = space::start_count(self.tables.free, part, u32::from(t), self.target.grid.start);
                        u64::from(fit.min(u32::from(starts.1) + 1).saturating_sub(u32::from(starts.0)))
                    })
                    .sum()
            }
        }
    }

    fn foam_count(&self, foam: FoamSet) -> u64 {
        match foam {
            FoamSet::None => 1,
            FoamSet::Families(index) => {
                if self.tables.foam_tree.is_empty() {
                    return 0;
                }
                let node = self.tables.foam_tree.node(index);
                self.tables.foam_count(node.from, node.to)
            }
            FoamSet::Family { steps, .. } => u64::from(steps.1 - steps.0) + 1,
        }
    }

    /// Ranges of everything a node adds up to; `None` when none of it fits.
    pub(super) fn sum(&self, node: &Node) -> Option<Sum> {
        let front = self.front_share(node.front)?;
        let wraps = self.wraps_share(node.wraps, &front)?;
        let foam = self.foam_share(node.foam, &front)?;
        Some(Sum {
            total: self.tables.base.plus(front.share).plus(wraps).plus(foam),
            widths: [front.share.width(), wraps.width(), foam.width()],
        })
    }

    fn front_share(&self, front: FrontSet) -> Option<FrontShare> {
        let hook = self.tables.hook;
        match front {
            FrontSet::None => Some(FrontShare {
                share: Share::nothing(),
                begins: Range::point(self.tables.free.0),
                core: Range::point(hook.wire_diameter),
            }),
            FrontSet::Eye(bead) => self.eye_share(&self.shelf.eye_beads(hook).tree.node(bead).hull),
            FrontSet::Pin(bead, pin) => {
                self.pin_share(&self.shelf.pin_beads.tree.node(bead).hull, &self.shelf.pin_tree.node(pin).hull)
            }
        }
    }

    /// A point load: its weight anywhere in a box.
    fn point_share(&self, weight: Range, mass: Range, x: Range, y: Range) -> Share {
        Share {
            weight,
            mass,
            turning: self.tables.bounds.per_edge(|beta| {
                let (sin, cos) = beta.sin_cos();
                weight.times(x.times(Range::point(cos)).plus(y.times(Range::point(sin))))
            }),
            joint: self.tables.bounds.joint(weight, x, y),
            ..Share::nothing()
        }
    }

    fn eye_share(&self, bead: &BeadHull) -> Option<FrontShare> {
        let hook = self.tables.hook;
        let clear = hook.gap - 0.5 * (hook.wire_diameter + bead.diameter.low);
        let blocked = clear < self.target.limits.clear_gap * (hook.gap - hook.wire_diameter) - SLACK;
        if bead.bore.high < hook.wire_diameter + practice::BORE_PLAY
            || bead.bore.low >= hook.eye_outer_diameter()
            || blocked
        {
            return None;
        }
        let (near, far) = (self.bead_centre(bead.length.low), self.bead_centre(bead.length.high));
        let x = Range { low: near[0] - bead.shift, high: far[0] + bead.shift };
        let y = Range { low: far[1] - bead.shift, high: near[1] + bead.shift };
        let mut share = self.point_share(bead.weight, bead.mass, x, y);
        share.price = bead.price;
        share.drag = self.sphere_drag(bead.diameter);
        let corner = self.tables.corner[0];
        Some(FrontShare {
            share,
            begins: Range { low: near[0].max(corner), high: (far[0] + 0.5 * bead.length.high).max(corner) },
            core: Range::point(hook.wire_diameter),
        })
    }

    /// Centre of a bead of this length against the eye.
    fn bead_centre(&self, length: f64) -> [f64; 2] {
        fly::eye_bead_centre(self.tables.hook, length)
    }

    fn pin_share(&self, bead: &BeadHull, pin: &PinHull) -> Option<FrontShare> {
        let hook = self.tables.hook;
        let corner = self.tables.corner;
        let needed = fly::pin_projection_needed(hook, pin.head_length.low, bead.length.low);
        let bound = |pin_length: f64, projection: f64| (pin_length - projection - corner[0]).min(hook.shank_length);
        if bead.bore.high < pin.diameter.low
            || bead.bore.low >= pin.head_diameter.high
            || pin.projection.high < needed - SLACK
            || bound(pin.length.high, pin.projection.low)
                < practice::PIN_LEAST_BOUND.max(practice::PIN_BOUND_SHARE * pin.projection.low) - SLACK
        {
            return None;
        }
        let side = Range { low: -0.5 * pin.diameter.high, high: -0.5 * pin.diameter.low };
        let y = Range::point(corner[1] - 0.5 * hook.wire_diameter).plus(side);
        let ahead = Range { low: -pin.projection.high, high: -pin.projection.low };
        let stem_front = ahead.plus(pin.head_length);
        let half = bead.length.times(Range::point(0.5));
        let bead_x = stem_front.plus(half);
        let bead_box = |r: Range| Range { low: r.low - bead.shift, high: r.high + bead.shift };
        let stem_rear = Range {
            low: corner[0] + bound(pin.length.low, pin.projection.high).max(0.0),
            high: corner[0] + bound(pin.length.high, pin.projection.low).max(0.0),
        };
        let stem = Range { low: (stem_rear.low - stem_front.high).max(0.0), high: stem_rear.high - stem_front.low };
        let middle = stem_front.plus(stem_rear).times(Range::point(0.5));
        let head_x = ahead.plus(pin.head_length.times(Range::point(0.5)));
        let mut share = self
            .point_share(bead.weight, bead.mass, bead_box(bead_x), bead_box(y))
            .plus(self.point_share(pin.head_weight, pin.head_mass, head_x, y))
            .plus(self.point_share(pin.stem_weight.times(stem), pin.stem_mass.times(stem), middle, y));
        share.price = bead.price + pin.price;
        share.drag = self.sphere_drag(bead.diameter);
        share.drag.most_at_high += self.tables.pin_drag;
        Some(FrontShare {
            share,
            begins: Range::point(self.tables.free.0),
            core: Range::point(hook.wire_diameter).plus(pin.diameter),
        })
    }

    fn sphere_drag(&self, diameter: Range) -> DragRange {
        let bounds = &self.tables.bounds;
        if !bounds.has_sink() {
            return DragRange::default();
        }
        let at = |diameter: f64| {
            bounds.drag(&[DragElement {
                label: Label::Bead,
                shape: DragShape::Sphere { diameter },
                centre: [0.0, 0.0],
            }])
        };
        at(diameter.low).hull(at(diameter.high))
    }

    fn wraps_share(&self, wraps: WrapSet, front: &FrontShare) -> Option<Share> {
        match wraps {
            WrapSet::None => Some(Share::nothing()),
            WrapSet::Wires(index) => {
                let hull = &self.shelf.wire_tree.node(index).hull;
                let room = self.tables.free.1 - front.begins.low;
                let least = f64::from(LEAST_TURNS) * hull.diameter.low;
                if least > room + SLACK {
                    return None;
                }
                let turn = |d: f64, core: f64| CloseWound { turns: 1.0, wire: d, core }.length();
                let shortest = f64::from(LEAST_TURNS) * turn(hull.diameter.low, front.core.low);
                // A coil of so many mm takes ever more wire the thinner the wire: pi (D / d + 1) per mm, and a little.
                let per_length = (PI * (front.core.high / hull.diameter.low + 1.0)).hypot(1.0);
                let longest = (room + SLACK) * per_length;
                let x = Range { low: front.begins.low + 0.5 * least, high: self.tables.free.1 + SLACK - 0.5 * least };
                let most = self.tables.coil_drag.node(index).hull.high;
                Some(self.coil_share(hull, Range { low: shortest, high: longest.max(shortest) }, x, most))
            }
            WrapSet::Wire { wire, turns, starts } => self.wire_share(wire, turns, starts, front),
        }
    }

    fn wire_share(&self, wire: u32, turns: (u16, u16), starts: (u16, u16), front: &FrontShare) -> Option<Share> {
        let part = self.shelf.wires[wire as usize];
        let step = self.target.grid.start.m();
        let wound = |turns: u16, core: f64| CloseWound { turns: f64::from(turns), wire: part.diameter, core };
        let (few, many) = (wound(turns.0, front.core.low), wound(turns.1, front.core.high));
        let first = front.begins.low + f64::from(starts.0) * step;
        if first + few.wound_length() > self.tables.free.1 + SLACK {
            return None;
        }
        let half = 0.5 * few.wound_length();
        let rear = (front.begins.high + f64::from(starts.1) * step + 0.5 * many.wound_length())
            .min(self.tables.free.1 + SLACK - half);
        let x = Range { low: first + half, high: rear.max(first + half) };
        let hull = self.wire_hull(wire);
        let length = Range { low: few.length(), high: many.length() };
        // Drag grows with length no faster than in proportion, friction no slower than with its root.
        let share_of_shank = many.wound_length() / (self.tables.free.1 - self.tables.free.0);
        let most = self.tables.coil_most(wire) * share_of_shank.min(1.0).sqrt();
        let mut share = self.coil_share(&hull, length, x, most);
        let amount = fly::wire_length_um(part, u32::from(turns.0), front.core.low);
        share.price = self.shelf.wire_charges[wire as usize].length(amount, 1).micros();
        Some(share)
    }

    fn wire_hull(&self, wire: u32) -> WireHull {
        super::shelf::wire_hull(
            self.shelf.wires[wire as usize],
            &self.shelf.wire_charges[wire as usize],
            self.target.conditions.water.density,
        )
    }

    /// A coil of some length of wire, its middle between two x, with no more drag than `most` at the upper sink rate: it
    /// may lie bare or under the dressing.
    fn coil_share(&self, hull: &WireHull, length: Range, x: Range, most: f64) -> Share {
        let y = Range::point(self.tables.corner[1]);
        let mut share = self.point_share(hull.weight.times(length), hull.mass.times(length), x, y);
        share.price = hull.charge.at(length.low);
        share.drag.most_at_high = most;
        share
    }

    fn foam_share(&self, foam: FoamSet, front: &FrontShare) -> Option<Share> {
        match foam {
            FoamSet::None => Some(Share::nothing()),
            FoamSet::Families(_) if self.tables.foam_tree.is_empty() => None,
            FoamSet::Families(index) => Some(self.tables.foam_tree.node(index).hull),
            FoamSet::Family { index, steps } => {
                let on_hook = &self.tables.foams[index as usize];
                let family = &self.shelf.foams[on_hook.family as usize];
                let shortest = f64::from(steps.0) * self.target.grid.foam.m();
                let room = self.tables.free.1 - front.begins.low;
                if family.seat != crate::recipe::Seat::Tail && shortest > room + SLACK {
                    return None;
                }
                Some(self.tables.foam_share(index, steps, self.shelf, self.target))
            }
        }
    }

    /// Two parts of a node that together hold all of it; `None` for a single recipe.
    pub(super) fn split(&self, node: &Node, sum: &Sum) -> Option<[Node; 2]> {
        let mut ways = [
            (sum.widths[0], self.split_front(node.front).map(|h| h.map(|front| Node { front, ..*node }))),
            (sum.widths[1], self.split_wraps(node.wraps).map(|h| h.map(|wraps| Node { wraps, ..*node }))),
            (sum.widths[2], self.split_foam(node.foam).map(|h| h.map(|foam| Node { foam, ..*node }))),
        ];
        ways.sort_by(|a, b| b.0.total_cmp(&a.0));
        ways.into_iter().find_map(|(_, halves)| halves)
    }

    fn split_front(&self, front: FrontSet) -> Option<[FrontSet; 2]> {
        match front {
            FrontSet::None => None,
            FrontSet::Eye(bead) => {
                let (a, b) = self.shelf.eye_beads(self.tables.hook).tree.node(bead).halves?;
                Some([FrontSet::Eye(a), FrontSet::Eye(b)])
            }
            FrontSet::Pin(bead, pin) => {
                let beads = self.shelf.pin_beads.tree.node(bead);
                let pins = self.shelf.pin_tree.node(pin);
                match (beads.halves, pins.halves) {
                    (Some((a, b)), other) if other.is_none() || beads.len() >= pins.len() => {
                        Some([FrontSet::Pin(a, pin), FrontSet::Pin(b, pin)])
                    }
                    (_, Some((a, b))) => Some([FrontSet::Pin(bead, a), FrontSet::Pin(bead, b)]),
                    (_, None) => None,
                }
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
    fn wires(&self, index: u32) -> WrapSet {
        let node = self.shelf.wire_tree.node(index);
        if node.len() > 1 {
            return WrapSet::Wires(index);
        }
        let wire = node.from;
        let most = self.tables.turns[wire as usize];
        let part = self.shelf.wires[wire as usize];
        let fewest = space::least_turns(part);
        let least = u16::try_from(fewest).unwrap_or(u16::MAX);
        let starts = space::start_count(self.tables.free, part, fewest, self.target.grid.start);
        WrapSet::Wire {
            wire,
            turns: (least, most.max(least)),
            starts: (0, u16::try_from(starts.saturating_sub(1)).unwrap_or(u16::MAX)),
        }
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

    fn families(&self, index: u32) -> FoamSet {
        let node = self.tables.foam_tree.node(index);
        if node.len() > 1 {
            FoamSet::Families(index)
        } else {
            FoamSet::Family { index: node.from, steps: self.tables.foams[node.from as usize].steps }
        }
    }

    /// A set of one wire or one family in its own form.
    pub(super) fn normal(&self, node: Node) -> Node {
        Node {
            wraps: match node.wraps {
                WrapSet::Wires(index) => self.wires(index),
                other => other,
            },
            foam: match node.foam {
                FoamSet::Families(index) if !self.tables.foam_tree.is_empty() => self.families(index),
                other => other,
            },
            ..node
        }
    }

    /// The only recipe of a node that does not split.
    pub(super) fn fly(&self, node: &Node, dressing: &'a crate::part::Dressing) -> Fly<'a> {
        let hook = self.tables.hook;
        let bead = match node.front {
            FrontSet::None => None,
            FrontSet::Eye(bead) => {
                let beads = self.shelf.eye_beads(hook);
                Some((beads.list[beads.tree.node(bead).from as usize], FrontMount::Eye))
            }
            FrontSet::Pin(bead, pin) => {
                let bead = self.shelf.pin_beads.list[self.shelf.pin_beads.tree.node(bead).from as usize];
                let (pin, projection) = self.shelf.pins[self.shelf.pin_tree.node(pin).from as usize];
                Some((bead, FrontMount::Pin(pin, projection)))
            }
        };
        let wraps = match node.wraps {
            WrapSet::Wire { wire, turns, starts } => Some(Wraps {
                wire: self.shelf.wires[wire as usize],
                turns: u32::from(turns.0),
                start: space::multiple(self.target.grid.start, u32::from(starts.0)),
            }),
            WrapSet::None | WrapSet::Wires(_) => None,
        };
        let foam: Option<FoamPiece<'a>> = match node.foam {
            FoamSet::Family { index, steps } => {
                let family = &self.shelf.foams[self.tables.foams[index as usize].family as usize];
                Some(family.piece(space::multiple(self.target.grid.foam, u32::from(steps.0))))
            }
            FoamSet::None | FoamSet::Families(_) => None,
        };
        Fly { hook, dressing, bead, wraps, foam }
    }
}

/// Slack on lengths, m: the fit rules allow a nanometre.
const SLACK: f64 = 2e-9;

fn halves(range: (u16, u16)) -> Option<[(u16, u16); 2]> {
    (range.0 < range.1).then(|| {
        let middle = range.0 + (range.1 - range.0) / 2;
        [(range.0, middle), (middle + 1, range.1)]
    })
}
