//! Branch and bound inside one hook and front: wire x turns x start x foam family x length.

use super::bound::{Bounds, DragRange, FoamLaw, Range, Turning};
use super::rank::{Best, Candidate, Cutoff, Variety, cents};
use super::space::{self, FoamFamily, Front, HookSpace, LEAST_TURNS};
use super::{Pruned, Tally};
use crate::assess::judge;
use crate::fly::{self, Wraps};
use crate::part::Wire;
use crate::physics::body::{DragElement, DragShape, Label};
use crate::quantity::Money;
use crate::shape::wrap::CloseWound;
use crate::target::Target;

/// Foam families of one hook, with what does not depend on the front.
pub(super) struct HookTables<'a> {
    /// The space.
    pub(super) space: HookSpace<'a>,
    bounds: Bounds,
    laws: Vec<FoamLaw>,
    /// Drag of each family's piece by multiple of the grid step; empty unless a sink rate is wanted.
    foam_drag: Vec<Vec<DragRange>>,
    hook_price: Money,
}

impl<'a> HookTables<'a> {
    /// Builds the tables.
    pub(super) fn new(space: HookSpace<'a>, target: &Target) -> Self {
        let bounds = Bounds::new(target, space.hook);
        let step = target.grid.foam;
        let widest = fly::free_shank(space.hook, None);
        let laws =
            space.foams.iter().map(|family| FoamLaw::new(space.hook, family.piece(step), &target.conditions)).collect();
        let foam_drag = space
            .foams
            .iter()
            .map(|family| {
                let last = match space::length_steps(&space, widest, family, target) {
                    Some((_, last)) if bounds.has_sink() => last,
                    _ => return Vec::new(),
                };
                (0..=last)
                    .map(|k| {
                        let piece = family.piece(space::multiple(step, k));
                        bounds.drag(&fly::foam_part(space.hook, &piece, &target.conditions).elements)
                    })
                    .collect()
            })
            .collect();
        let hook_price = space.hook.row.pack.price_of(1) + space.dressing.row.pack.price_of(1);
        Self { space, bounds, laws, foam_drag, hook_price }
    }

    /// Cost of hook, dressing and front alone: the least that this front can cost.
    pub(super) fn front_price(&self, front: Front) -> Money {
        let mut price = self.hook_price;
        if let Some((bead, mount)) = front {
            price = price + bead.row.pack.price_of(1);
            if let fly::FrontMount::Pin(pin, _) = mount {
                price = price + pin.row.pack.price_of(1);
            }
        }
        price
    }
}

/// Wraps of one wire: ranges of turns and of start steps, or none.
#[derive(Clone, Copy)]
struct WrapSet<'a> {
    wire: &'a Wire,
    turns: (u32, u32),
    starts: (u32, u32),
}

/// Foam of one family: a range of lengths in grid steps.
#[derive(Clone, Copy)]
struct FoamSet {
    family: usize,
    steps: (u32, u32),
}

#[derive(Clone, Copy)]
struct Node<'a> {
    wraps: Option<WrapSet<'a>>,
    foam: Option<FoamSet>,
}

/// What a group adds, as ranges.
#[derive(Clone, Copy)]
struct Share {
    cost: Money,
    weight: Range,
    mass: Range,
    turning: Turning,
    drag: DragRange,
}

/// The search inside one hook and front.
pub(super) struct FrontSearch<'s, 'a> {
    tables: &'s HookTables<'a>,
    target: &'s Target,
    bounds: &'s Bounds,
    front: Front<'a>,
    free: (f64, f64),
    core: f64,
    base: Share,
    cutoff: Option<Cutoff>,
    best: Best<'a>,
    tally: Tally,
}

impl<'s, 'a> FrontSearch<'s, 'a> {
    /// Prepares the search; nothing dearer than `cutoff` is looked at.
    pub(super) fn new(
        tables: &'s HookTables<'a>,
        target: &'s Target,
        front: Front<'a>,
        (keep, variety): (usize, Variety),
        cutoff: Option<Cutoff>,
    ) -> Self {
        let bounds = &tables.bounds;
        let space = &tables.space;
        let mut placed = fly::hook_parts(space.hook, front, space.dressing);
        let mut add = |part: fly::Placed| {
            placed.loads.extend(part.loads);
            placed.elements.extend(part.elements);
        };
        if let Some((bead, mount)) = front {
            add(fly::front_parts(space.hook, bead, mount));
        }
        add(fly::dressing_parts(space.hook, space.dressing, &target.conditions));
        let moments = placed.moments(target.conditions.water.density);
        let base = Share {
            cost: tables.front_price(front),
            weight: Range::point(moments.weight),
            mass: Range::point(placed.loads.iter().map(|l| l.mass).sum()),
            turning: bounds.turning(moments),
            drag: if bounds.has_sink() { bounds.drag(&placed.elements) } else { DragRange::default() },
        };
        Self {
            tables,
            target,
            bounds,
            front,
            free: fly::free_shank(space.hook, front),
            core: fly::wrap_core(space.hook, front),
            base,
            cutoff,
            best: Best::new(keep, variety),
            tally: Tally::default(),
        }
    }

    /// Runs it.
    pub(super) fn run(mut self) -> (Best<'a>, Tally) {
        let foams = self.foam_sets();
        for wraps in self.wrap_sets() {
            for foam in &foams {
                self.explore(Node { wraps, foam: *foam });
            }
        }
        (self.best, self.tally)
    }

    fn wrap_sets(&self) -> Vec<Option<WrapSet<'a>>> {
        let none = self.tables.space.without_wire.then_some(None);
        let wires = self.tables.space.wires.iter().filter_map(|wire| {
            let most = space::most_turns(self.free, wire);
            (most >= LEAST_TURNS).then(|| {
                let starts = space::start_count(self.free, wire, LEAST_TURNS, self.target.grid.start);
                Some(WrapSet { wire, turns: (LEAST_TURNS, most), starts: (0, starts - 1) })
            })
        });
        none.into_iter().chain(wires).collect()
    }

    fn foam_sets(&self) -> Vec<Option<FoamSet>> {
        let space = &self.tables.space;
        let none = space.without_foam.then_some(None);
        let families = space.foams.iter().enumerate().filter_map(|(family, f)| {
            space::length_steps(space, self.free, f, self.target).map(|steps| Some(FoamSet { family, steps }))
        });
        none.into_iter().chain(families).collect()
    }

    fn explore(&mut self, node: Node<'a>) {
        let count = self.count(&node);
        if count == 0 {
            return;
        }
        if let Some(reason) = self.prune(&node) {
            self.tally.prune(reason, count);
            return;
        }
        if count == 1 {
            self.evaluate(&node);
            return;
        }
        for half in self.split(node) {
            self.explore(half);
        }
    }

    /// Number of recipes in a node.
    fn count(&self, node: &Node) -> u64 {
        let wraps = node.wraps.map_or(1, |w| {
            (w.turns.0..=w.turns.1)
                .map(|turns| {
                    let fit = space::start_count(self.free, w.wire, turns, self.target.grid.start);
                    u64::from(fit.min(w.starts.1 + 1).saturating_sub(w.starts.0))
                })
                .sum()
        });
        wraps * node.foam.map_or(1, |f| u64::from(f.steps.1 - f.steps.0 + 1))
    }

    fn prune(&self, node: &Node) -> Option<Pruned> {
        let mut sum = self.base;
        if let Some(wraps) = &node.wraps {
            sum = plus(sum, self.wraps_share(wraps));
        }
        if let Some(foam) = &node.foam {
            sum = plus(sum, self.foam_share(foam));
        }
        let cutoff = match (self.cutoff, self.best.cutoff()) {
            (Some(a), Some(b)) => Some(a.harder(b)),
            (a, b) => a.or(b),
        };
        let least = cents(sum.cost);
        if cutoff.is_some_and(|c| least > c.cents) || self.target.max_cost.is_some_and(|most| sum.cost > most) {
            Some(Pruned::Cost)
        } else if sum.weight.high <= 0.0 {
            Some(Pruned::Weight)
        } else if self.bounds.mass_impossible(sum.mass) {
            Some(Pruned::Mass)
        } else if self.bounds.hang_impossible(&sum.turning, sum.weight.high) {
            Some(Pruned::Hang)
        } else if self.bounds.has_sink() && self.bounds.sink_impossible(sum.weight, sum.drag) {
            Some(Pruned::SinkRate)
        } else {
            // At the cost of the last in the list, only a wider margin gets in.
            let tied = cutoff.filter(|c| least == c.cents)?;
            self.bounds.margin_impossible(&sum.turning, sum.weight.high, tied.margin).then_some(Pruned::Margin)
        }
    }

    fn wound(&self, wraps: &WrapSet, turns: u32) -> CloseWound {
        CloseWound { turns: f64::from(turns), wire: wraps.wire.diameter, core: self.core }
    }

    fn wraps_share(&self, wraps: &WrapSet) -> Share {
        let (few, many) = (self.wound(wraps, wraps.turns.0), self.wound(wraps, wraps.turns.1));
        let density = wraps.wire.material.density_kg_m3;
        let mass = Range { low: density * few.volume(), high: density * many.volume() };
        let water = self.target.conditions.water.density;
        let per_mass = (1.0 - water / density) * crate::physics::constants::GRAVITY;
        let weight = Range { low: mass.low * per_mass, high: mass.high * per_mass };
        let step = self.target.grid.start.m();
        let half = 0.5 * few.wound_length();
        let front = self.free.0 + f64::from(wraps.starts.0) * step + half;
        let rear =
            (self.free.0 + f64::from(wraps.starts.1) * step + 0.5 * many.wound_length()).min(self.free.1 + 1e-9 - half);
        let x = Range { low: front, high: rear.max(front) };
        let y = self.tables.space.hook.shank_y();
        let turning = self.bounds.per_edge(|beta| {
            let (sin, cos) = beta.sin_cos();
            weight.times(x.times(Range::point(cos)).plus(Range::point(y * sin)))
        });
        let amount = fly::wire_length_um(wraps.wire, wraps.turns.0, self.core);
        Share { cost: wraps.wire.row.pack.price_of(amount), weight, mass, turning, drag: self.wraps_drag(wraps, &many) }
    }

    /// Wraps may lie bare or under the dressing: between no drag and that of the whole coil. Where the dressing bares it
    /// in pieces, each piece has less normal drag than its share, but friction goes with the root of the length: twice
    /// the whole covers up to four pieces.
    fn wraps_drag(&self, wraps: &WrapSet, many: &CloseWound) -> DragRange {
        if !self.bounds.has_sink() {
            return DragRange::default();
        }
        let outside = self.core + 2.0 * wraps.wire.diameter;
        let element = DragElement {
            label: Label::Wraps,
            shape: DragShape::Slender {
                diameter: outside,
                breadth: outside - self.tables.space.hook.wire_diameter,
                length: many.wound_length(),
                axis: [1.0, 0.0],
                solidity: 1.0,
                blunt_ends: 0.0,
            },
            centre: [0.0, 0.0],
        };
        let whole = self.bounds.drag(&[element]);
        DragRange { least_at_low: 0.0, most_at_high: 2.0 * whole.most_at_high }
    }

    fn foam_share(&self, foam: &FoamSet) -> Share {
        let law = &self.tables.laws[foam.family];
        let family = &self.tables.space.foams[foam.family];
        let step = self.target.grid.foam;
        let (from, to) = (f64::from(foam.steps.0) * step.m(), f64::from(foam.steps.1) * step.m());
        let table = &self.tables.foam_drag[foam.family];
        let drag = match (table.get(foam.steps.0 as usize), table.get(foam.steps.1 as usize)) {
            (Some(short), Some(long)) => short.hull(*long),
            _ => DragRange::default(),
        };
        Share {
            cost: fly::foam_price(&family.piece(space::multiple(step, foam.steps.0))),
            weight: law.weight(from, to),
            mass: law.mass(from, to),
            turning: self.bounds.per_edge(|beta| law.turning(beta, from, to)),
            drag,
        }
    }

    fn evaluate(&mut self, node: &Node<'a>) {
        self.tally.evaluated += 1;
        let wraps = node.wraps.map(|w| Wraps {
            wire: w.wire,
            turns: w.turns.0,
            start: space::multiple(self.target.grid.start, w.starts.0),
        });
        let foam = node.foam.map(|f| {
            let family: &FoamFamily<'a> = &self.tables.space.foams[f.family];
            family.piece(space::multiple(self.target.grid.foam, f.steps.0))
        });
        let fly = space::fly(&self.tables.space, self.front, wraps, foam);
        if let Some(judgement) = judge(&fly, self.target) {
            self.best.offer(Candidate { fly, judgement });
        }
    }

    /// Two halves: along the length of foam or the turns, whichever has more steps, then along the start. The cheaper
    /// half comes first.
    fn split(&self, node: Node<'a>) -> [Node<'a>; 2] {
        let width = |range: (u32, u32)| range.1 - range.0;
        let foam = node.foam.map_or(0, |f| width(f.steps));
        let turns = node.wraps.map_or(0, |w| width(w.turns));
        let halves = |range: (u32, u32)| {
            let middle = range.0 + (range.1 - range.0) / 2;
            [(range.0, middle), (middle + 1, range.1)]
        };
        let with_wraps = |change: &dyn Fn(&mut WrapSet<'a>)| {
            let mut copy = node;
            if let Some(wraps) = copy.wraps.as_mut() {
                change(wraps);
            }
            copy
        };
        match (node.foam, node.wraps) {
            (Some(set), _) if foam > 0 && foam >= turns => {
                halves(set.steps).map(|steps| Node { foam: Some(FoamSet { steps, ..set }), ..node })
            }
            (_, Some(set)) if turns > 0 => halves(set.turns).map(|turns| with_wraps(&|w| w.turns = turns)),
            (_, Some(set)) => halves(set.starts).map(|starts| with_wraps(&|w| w.starts = starts)),
            (_, None) => [node, node],
        }
    }
}

fn plus(a: Share, b: Share) -> Share {
    let mut turning = a.turning;
    for (sum, more) in turning.iter_mut().zip(b.turning) {
        *sum = [sum[0].plus(more[0]), sum[1].plus(more[1])];
    }
    Share {
        cost: a.cost + b.cost,
        weight: a.weight.plus(b.weight),
        mass: a.mass.plus(b.mass),
        turning,
        drag: a.drag.plus(b.drag),
    }
}
