//! A set of recipes on one hook: what it adds up to, what it counts, and how it splits.

use crate::fly::{self, Fly, FoamPiece, FrontMount, Wraps};
use crate::part::Hook;
use crate::search::bounds::contribution::Contribution;
use crate::search::bounds::foam_law::FoamLaw;
use crate::search::bounds::lagrange;
use crate::search::bounds::range::Range;
use crate::search::bounds::{self, MOSTS, Narrowed, Turning};
use crate::search::space::front::{FrontContribution, FrontSet, SLACK};
use crate::search::space::hook_tables::{HookCounts, HookTables};
use crate::search::space::shelf::{End, Shelf, WireHull};
use crate::search::space::{self, LEAST_TURNS};
use crate::shape::wrap::CloseWound;
use crate::wanted::Target;
use std::collections::HashMap;
use std::f64::consts::PI;

/// Wraps: none, some wires at any turns and starts, or one wire within ranges.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) enum WrapSet {
    None,
    Wires(u32),
    Wire { wire: u32, turns: (u16, u16), starts: (u16, u16) },
}

/// Foam: none, some families at any length, or one family within a range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(in crate::search) enum FoamSet {
    None,
    Families(u32),
    Family { index: u32, steps: (u16, u16) },
}

/// A set of recipes on one hook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) struct Node {
    pub(in crate::search) hook: u32,
    pub(in crate::search) front: FrontSet,
    pub(in crate::search) wraps: WrapSet,
    pub(in crate::search) foam: FoamSet,
}

/// What the groups of a node add, as places in [`Contributions`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::search) struct Groups {
    front: usize,
    wraps: usize,
    foam: usize,
    /// Foam at the shallow end of a range of depths, where one is asked.
    shallow_foam: usize,
}

/// Contributions of groups that have been worked out: a node has two of its three in common with the one that it is a part of, and
/// foam adds the same behind any front and wraps.
#[derive(Debug, Default)]
pub(in crate::search) struct Contributions {
    fronts: Vec<FrontContribution>,
    others: Vec<Contribution>,
    /// Foam at the fishing depth and at the shallow end of a range, as places in the above; nothing where none of it fits.
    foams: HashMap<FoamSet, Option<(usize, usize)>>,
}

fn keep<T>(list: &mut Vec<T>, item: T) -> usize {
    list.push(item);
    list.len() - 1
}

/// What every node of a search shares.
#[derive(Clone, Copy)]
pub(in crate::search) struct Context<'s, 'a> {
    pub(in crate::search) shelf: &'s Shelf<'a>,
    pub(in crate::search) target: &'s Target,
    pub(in crate::search) tables: &'s HookTables<'a>,
}

impl Contributions {
    /// Front, wraps and foam.
    pub(in crate::search) fn of(&self, groups: &Groups) -> [&Contribution; 3] {
        self.at(groups, End::Deep)
    }

    /// The same at one end of a range of depths.
    pub(in crate::search) fn at(&self, groups: &Groups, end: End) -> [&Contribution; 3] {
        let foam = match end {
            End::Deep => groups.foam,
            End::Shallow => groups.shallow_foam,
        };
        [&self.fronts[groups.front].share, &self.others[groups.wraps], &self.others[foam]]
    }
}

impl<'a> Context<'_, 'a> {
    /// The root sets of a hook: with and without bead, wire and foam.
    pub(in crate::search) fn roots(shelf: &Shelf, hook: &Hook, index: u32) -> Vec<Node> {
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
    pub(in crate::search) fn root_price(shelf: &Shelf, hook: &Hook, base: i64, node: &Node) -> i64 {
        let front = match node.front {
            FrontSet::None => 0,
            FrontSet::Eye(bead) => shelf.eye_beads(hook).tree.node(bead).hull.price,
            FrontSet::Pin(bead, pin) => {
                shelf.pin_beads.tree.node(bead).hull.price + shelf.pin_tree.node(pin).hull.price
            }
        };
        base + front
    }

    /// Number of recipes of a root, without the tables of its hook.
    pub(in crate::search) fn root_count(shelf: &Shelf, hook: &Hook, counts: &HookCounts, node: &Node) -> u64 {
        let front = match node.front {
            FrontSet::None => 1,
            FrontSet::Eye(_) => shelf.eye_beads(hook).list.len() as u64,
            FrontSet::Pin(..) => (shelf.pin_beads.list.len() * shelf.pins.len()) as u64,
        };
        let (wraps, foams) = counts.totals();
        let wraps = if node.wraps == WrapSet::None { 1 } else { wraps };
        let foams = if node.foam == FoamSet::None { 1 } else { foams };
        front.saturating_mul(wraps).saturating_mul(foams)
    }

    /// Number of recipes, those that do not fit included.
    pub(in crate::search) fn count(&self, node: &Node) -> u64 {
        let (wraps, foams) = (self.wrap_count(node.wraps), self.foam_count(node.foam));
        self.front_count(node.front).saturating_mul(wraps).saturating_mul(foams)
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
                self.tables.counts.wire_count(node.from, node.to)
            }
            WrapSet::Wire { wire, turns, starts } => {
                let part = self.shelf.wires[wire as usize];
                (turns.0..=turns.1)
                    .map(|t| {
                        let fit =
                            space::start_count(self.tables.counts.free, part, u32::from(t), self.target.grid.start);
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
                self.tables.counts.foam_count(node.from, node.to)
            }
            FoamSet::Family { steps, .. } => u64::from(steps.1 - steps.0) + 1,
        }
    }

    /// What the groups of a node add, less work where they are known of the node that it is a part of; `None` when none of
    /// it fits.
    pub(in crate::search) fn groups(
        &self,
        shares: &mut Contributions,
        node: &Node,
        known: Option<&(Node, Groups)>,
    ) -> Option<Groups> {
        let front = match known {
            Some((whole, groups)) if whole.front == node.front => groups.front,
            _ => keep(&mut shares.fronts, self.front_contribution(node.front)?),
        };
        let here = &shares.fronts[front];
        if !self.foam_fits(node.foam, here) {
            return None;
        }
        // Wraps lie on what the front leaves; foam adds the same behind any front.
        let wraps = match known {
            Some((whole, groups)) if whole.front == node.front && whole.wraps == node.wraps => groups.wraps,
            _ => keep(&mut shares.others, self.wraps_contribution(node.wraps, here)?),
        };
        let (foam, shallow_foam) = match known {
            Some((whole, groups)) if whole.foam == node.foam => (groups.foam, groups.shallow_foam),
            _ => self.foam_groups(shares, node.foam)?,
        };
        Some(Groups { front, wraps, foam, shallow_foam })
    }

    /// Places of what foam adds at both ends of a range of depths.
    fn foam_groups(&self, shares: &mut Contributions, foam: FoamSet) -> Option<(usize, usize)> {
        let Contributions { others, foams, .. } = shares;
        *foams.entry(foam).or_insert_with(|| {
            let deep = keep(others, self.foam_contribution(foam, End::Deep)?);
            let range = self.tables.bounds.has_range();
            let shallow = if range { keep(others, self.foam_contribution(foam, End::Shallow)?) } else { deep };
            Some((deep, shallow))
        })
    }

    /// What a node adds up to at one end of a range of depths.
    pub(in crate::search) fn total(&self, shares: &Contributions, groups: &Groups, end: End) -> Contribution {
        let [front, wraps, foam] = shares.at(groups, end);
        Contribution::sum([self.tables.base_at(end), front, wraps, foam])
    }

    pub(in crate::search) fn wraps_contribution(
        &self,
        wraps: WrapSet,
        front: &FrontContribution,
    ) -> Option<Contribution> {
        match wraps {
            WrapSet::None => Some(Contribution::nothing()),
            WrapSet::Wires(index) => {
                let hull = &self.shelf.wire_tree.node(index).hull;
                let room = self.tables.counts.free.1 - front.begins.low;
                let least = f64::from(LEAST_TURNS) * hull.diameter.low;
                if least > room + SLACK {
                    return None;
                }
                let turn = |d: f64, core: f64| CloseWound { turns: 1.0, wire: d, core }.length();
                let shortest = f64::from(LEAST_TURNS) * turn(hull.diameter.low, front.core.low);
                // A coil of so many mm takes ever more wire the thinner the wire: pi (D / d + 1) per mm, and a little.
                let per_length = (PI * (front.core.high / hull.diameter.low + 1.0)).hypot(1.0);
                let longest = (room + SLACK) * per_length;
                let x = Range {
                    low: front.begins.low + 0.5 * least,
                    high: self.tables.counts.free.1 + SLACK - 0.5 * least,
                };
                let most = self.coil_drag(hull.diameter.high, room);
                let length = Range { low: shortest, high: longest.max(shortest) };
                Some(self.coil_contribution(hull, hull.charge.at(shortest), length, x, most))
            }
            WrapSet::Wire { wire, turns, starts } => self.wire_contribution(wire, turns, starts, front),
        }
    }

    fn wire_contribution(
        &self,
        wire: u32,
        turns: (u16, u16),
        starts: (u16, u16),
        front: &FrontContribution,
    ) -> Option<Contribution> {
        let part = self.shelf.wires[wire as usize];
        let step = self.target.grid.start.m();
        let wound = |turns: u16, core: f64| CloseWound { turns: f64::from(turns), wire: part.diameter, core };
        let (few, many) = (wound(turns.0, front.core.low), wound(turns.1, front.core.high));
        let first = front.begins.low + f64::from(starts.0) * step;
        if first + few.wound_length() > self.tables.counts.free.1 + SLACK {
            return None;
        }
        let half = 0.5 * few.wound_length();
        let rear = (front.begins.high + f64::from(starts.1) * step + 0.5 * many.wound_length())
            .min(self.tables.counts.free.1 + SLACK - half);
        let x = Range { low: first + half, high: rear.max(first + half) };
        let hull = self.wire_hull(wire);
        let length = Range { low: few.length(), high: many.length() };
        let most = self.coil_drag(part.diameter, many.wound_length());
        let amount = fly::wire_length_um(part, u32::from(turns.0), front.core.low);
        let price = self.shelf.wire_charges[wire as usize].length(amount, 1).micros();
        Some(self.coil_contribution(&hull, price, length, x, most))
    }

    fn coil_drag(&self, diameter: f64, length: f64) -> [f64; MOSTS] {
        self.tables.bare_drag.as_ref().map_or([0.0; MOSTS], |bare| bare.coil(diameter, length))
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
    fn coil_contribution(
        &self,
        hull: &WireHull,
        price: i64,
        length: Range,
        x: Range,
        most: [f64; MOSTS],
    ) -> Contribution {
        let y = Range::point(self.tables.corner[1]);
        let weight = hull.weight.times(length);
        let mut share = self.point_contribution(weight, hull.mass.times(length), x, y);
        share.price = price;
        share = share.placed_by_hand(weight);
        share.drag.most = most;
        // The price is no less than that of the least length, nor less than so much a newton.
        share.reduced_price = lagrange::per_multipliers(&self.tables.multiplier_sets, |multipliers| {
            let multipliers = multipliers.of_weight(x, y);
            let plain = price as f64 - lagrange::most_value(multipliers, weight);
            if weight.low < 0.0 {
                return plain;
            }
            let gain = hull.per_newton - multipliers.high;
            plain.max(hull.charge.line().0 + (gain * weight.low).min(gain * weight.high))
        });
        share
    }

    /// Whether any piece of a set may fit behind a front.
    fn foam_fits(&self, foam: FoamSet, front: &FrontContribution) -> bool {
        let FoamSet::Family { index, steps } = foam else { return true };
        let family = &self.shelf.foams[self.tables.counts.foams[index as usize].family as usize];
        let shortest = f64::from(steps.0) * self.target.grid.foam.m();
        family.seat.in_tail() || shortest <= self.tables.counts.free.1 - front.begins.low + SLACK
    }

    pub(in crate::search) fn foam_contribution(&self, foam: FoamSet, end: End) -> Option<Contribution> {
        let tree = self.tables.foam_tree_at(end);
        match foam {
            FoamSet::None => Some(Contribution { snip: [f64::INFINITY; 2], ..Contribution::nothing() }),
            FoamSet::Families(_) if tree.is_empty() => None,
            FoamSet::Families(index) => Some(tree.node(index).hull),
            FoamSet::Family { index, steps } => {
                Some(self.tables.foam_contribution(index, steps, (self.shelf, end), self.target))
            }
        }
    }

    /// The same node without turns and lengths, where it has one wire or one foam family, at which nothing of it can hang
    /// or sink within narrowed windows: what a group adds must make up for what all else, at its best, lacks. `None` when
    /// all are left.
    pub(in crate::search) fn fewer(
        &self,
        node: &Node,
        (total, shares, end): (&Contribution, [&Contribution; 3], End),
        narrowed: &Narrowed,
    ) -> Option<Node> {
        let weights = self.tables.bounds.weights(total.drag, narrowed);
        let wraps = self.fewer_turns(node.wraps, total, shares[1], weights);
        let foam = self.fewer_lengths(node.foam, (total, shares, end), (weights, narrowed));
        (wraps.is_some() || foam.is_some()).then(|| Node {
            wraps: wraps.unwrap_or(node.wraps),
            foam: foam.unwrap_or(node.foam),
            ..*node
        })
    }

    fn fewer_turns(&self, set: WrapSet, total: &Contribution, coil: &Contribution, weights: Range) -> Option<WrapSet> {
        let WrapSet::Wire { wire, turns, starts } = set else { return None };
        if turns.0 == turns.1 || coil.weight.low <= 0.0 {
            return None;
        }
        let missing = without(weights, total.weight, coil.weight);
        // The weight of a coil goes with its turns, at least as on the thinnest core and at most as on the thickest.
        let per_turn = [coil.weight.low / f64::from(turns.0), coil.weight.high / f64::from(turns.1)];
        let first = (missing.low / per_turn[1] - STEP_SLACK).ceil().max(0.0) as u16;
        let last = (missing.high / per_turn[0] + STEP_SLACK).floor().max(0.0) as u16;
        let fewer = (first.max(turns.0), last.min(turns.1));
        (fewer.0 <= fewer.1 && fewer != turns).then_some(WrapSet::Wire { wire, turns: fewer, starts })
    }

    fn fewer_lengths(
        &self,
        set: FoamSet,
        (total, shares, end): (&Contribution, [&Contribution; 3], End),
        (weights, narrowed): (Range, &Narrowed),
    ) -> Option<FoamSet> {
        let FoamSet::Family { index, steps } = set else { return None };
        if steps.0 == steps.1 {
            return None;
        }
        let family = self.tables.counts.foams[index as usize].family as usize;
        let law = self.shelf.foam_at(end).laws[family].on(self.tables.hook, self.shelf.foams[family].seat);
        let step = self.target.grid.foam.m();
        let whole = Range { low: f64::from(steps.0) * step, high: f64::from(steps.1) * step };
        let mut left = law.lengths_of_weight(without(weights, total.weight, shares[2].weight), whole)?;
        if self.tables.bounds.on_loop() {
            let others =
                bounds::both(&self.tables.base_at(end).turning, &bounds::both(&shares[0].turning, &shares[1].turning));
            left = left.meet(hanging_lengths(&law, &others, whole, narrowed)?)?;
        }
        let first = ((left.low / step - STEP_SLACK).ceil().max(0.0) as u16).max(steps.0);
        let last = ((left.high / step + STEP_SLACK).floor().max(0.0) as u16).min(steps.1);
        let fewer = first <= last && (first, last) != steps;
        fewer.then_some(FoamSet::Family { index, steps: (first, last) })
    }

    /// A set of one wire or one family in its own form.
    pub(in crate::search) fn normal(&self, node: Node) -> Node {
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
    pub(in crate::search) fn fly(&self, node: &Node, dressing: &'a crate::part::Dressing) -> Fly<'a> {
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
                let family = &self.shelf.foams[self.tables.counts.foams[index as usize].family as usize];
                Some(family.piece(space::multiple(self.target.grid.foam, u32::from(steps.0))))
            }
            FoamSet::None | FoamSet::Families(_) => None,
        };
        Fly { hook, dressing, bead, wraps, foam }
    }
}

/// What is missing from a sum that must lie within some range when one of its parts, each within a range, is taken out.
fn without(wanted: Range, total: Range, part: Range) -> Range {
    Range { low: wanted.low - (total.high - part.high), high: wanted.high - (total.low - part.low) }
}

/// Lengths of a foam at which a fly may hang within narrowed windows, all else turning it somewhere within some ranges.
fn hanging_lengths(law: &FoamLaw, others: &Turning, lengths: Range, narrowed: &Narrowed) -> Option<Range> {
    let mut left: Option<Range> = None;
    for edges in narrowed.edges(others) {
        let Some([p, q]) = edges else { return Some(lengths) };
        let enough = law.lengths_with(p.0, (-p.1.high, false), lengths);
        let little = law.lengths_with(q.0, (-q.1.low, true), lengths);
        if let Some(range) = enough.zip(little).and_then(|(a, b)| a.meet(b)) {
            left = Some(left.map_or(range, |known| known.hull(range)));
        }
    }
    left
}

/// Slack on a length, in steps of the grid, far above the rounding of a root.
const STEP_SLACK: f64 = 1e-6;
