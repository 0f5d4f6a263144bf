//! What the search knows of one hook: its own loads, the room on it, and the foam laws that depend on it.

use super::Least;
use super::bound::{Bounds, DragRange, FoamLaw, Joint, Range, STILL, Turning};
use super::shelf::Shelf;
use super::space;
use super::tree::{Hull, Tree};
use crate::fly;
use crate::part::{Dressing, Hook, Wire};
use crate::physics::body::{DragElement, DragShape, Label};
use crate::target::Target;

/// What a group of parts adds, as ranges. Price in millionths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Share {
    pub(super) price: i64,
    pub(super) weight: Range,
    pub(super) mass: Range,
    pub(super) turning: Turning,
    pub(super) joint: Joint,
    pub(super) drag: DragRange,
}

impl Share {
    pub(super) fn nothing() -> Self {
        Self {
            price: 0,
            weight: Range::point(0.0),
            mass: Range::point(0.0),
            turning: STILL,
            joint: [[0.0; 2]; 2],
            drag: DragRange::default(),
        }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        let mut turning = self.turning;
        for (sum, more) in turning.iter_mut().zip(other.turning) {
            *sum = std::array::from_fn(|i| sum[i].plus(more[i]));
        }
        Self {
            price: self.price + other.price,
            weight: self.weight.plus(other.weight),
            mass: self.mass.plus(other.mass),
            turning,
            joint: std::array::from_fn(|k| std::array::from_fn(|l| self.joint[k][l] + other.joint[k][l])),
            drag: self.drag.plus(other.drag),
        }
    }

    /// Width of the widest range of turning moment, N m.
    pub(super) fn width(&self) -> f64 {
        self.turning.iter().flatten().map(|r| r.high - r.low).fold(0.0, f64::max)
    }
}

impl Hull for Share {
    fn hull(self, other: Self) -> Self {
        let mut turning = self.turning;
        for (sum, more) in turning.iter_mut().zip(other.turning) {
            *sum = std::array::from_fn(|i| sum[i].hull(more[i]));
        }
        Self {
            price: self.price.min(other.price),
            weight: self.weight.hull(other.weight),
            mass: self.mass.hull(other.mass),
            turning,
            joint: std::array::from_fn(|k| std::array::from_fn(|l| self.joint[k][l].max(other.joint[k][l]))),
            drag: self.drag.hull(other.drag),
        }
    }
}

/// One foam family on one hook.
pub(super) struct FoamOnHook {
    /// Its place on the shelf.
    pub(super) family: u32,
    /// First and last length, in steps of the grid, that the bare hook takes.
    pub(super) steps: (u16, u16),
    law: FoamLaw,
    /// Drag at the first, middle and last length.
    knots: [(u16, DragRange); 3],
}

/// Tables of one hook.
pub(super) struct HookTables<'a> {
    pub(super) hook: &'a Hook,
    pub(super) bounds: Bounds,
    pub(super) corner: [f64; 2],
    /// Free shank of the hook without a bead.
    pub(super) free: (f64, f64),
    /// Hook and dressing.
    pub(super) base: Share,
    /// Most turns of each wire on the shelf, 0 where none fit, and running totals of their start positions.
    pub(super) turns: Vec<u16>,
    wire_counts: Vec<u64>,
    pub(super) foams: Vec<FoamOnHook>,
    pub(super) foam_tree: Tree<Share>,
    foam_counts: Vec<u64>,
    /// Greatest drag at the upper sink rate of a whole coil of each wire (same nodes as the shelf's tree of wires), and
    /// of the longest pin; 0 where there is no upper rate.
    pub(super) coil_drag: Tree<Range>,
    coils: Vec<Range>,
    pub(super) pin_drag: f64,
}

fn small(value: u32) -> u16 {
    u16::try_from(value).unwrap_or(u16::MAX)
}

impl<'a> HookTables<'a> {
    pub(super) fn new(
        hook: &'a Hook,
        dressing: &'a Dressing,
        shelf: &Shelf<'a>,
        target: &Target,
        least: &Least,
        price: i64,
    ) -> Self {
        let bounds = Bounds::new(target, hook).at_least(least);
        let free = fly::free_shank(hook, None);
        let foams = foams_on(hook, dressing, shelf, target, &bounds, free);
        let shares: Vec<Share> = foams.iter().map(|f| foam_share(f, f.steps, shelf, target, &bounds)).collect();
        let (turns, wire_counts) = wire_counts(shelf, target, free);
        let mut total = 0;
        let foam_counts = std::iter::once(0)
            .chain(foams.iter().map(|f| {
                total += u64::from(f.steps.1 - f.steps.0) + 1;
                total
            }))
            .collect();
        let coils: Vec<Range> =
            shelf.wires.iter().map(|w| Range::point(coil_drag(w, hook, shelf, free, &bounds))).collect();
        Self {
            base: base_share(hook, dressing, target, &bounds, price),
            coil_drag: Tree::new(&coils),
            coils,
            pin_drag: shelf.thickest_pin().map_or(0.0, |(d, l)| rod_drag(d, d, l, &bounds)),
            corner: hook.corner(),
            hook,
            bounds,
            free,
            turns,
            wire_counts,
            foam_tree: Tree::new(&shares),
            foams,
            foam_counts,
        }
    }

    /// Number of wires x turns x starts of a run of wires.
    pub(super) fn wire_count(&self, from: u32, to: u32) -> u64 {
        self.wire_counts[to as usize] - self.wire_counts[from as usize]
    }

    /// Greatest drag of a coil of one wire along the whole free shank.
    pub(super) fn coil_most(&self, wire: u32) -> f64 {
        self.coils[wire as usize].high
    }

    /// Number of families x lengths of a run of foams.
    pub(super) fn foam_count(&self, from: u32, to: u32) -> u64 {
        self.foam_counts[to as usize] - self.foam_counts[from as usize]
    }

    /// Share of one family over a range of lengths.
    pub(super) fn foam_share(&self, index: u32, steps: (u16, u16), shelf: &Shelf, target: &Target) -> Share {
        foam_share(&self.foams[index as usize], steps, shelf, target, &self.bounds)
    }
}

/// Greatest drag at the upper sink rate of a rod along the shank, N; 0 when there is no upper rate.
fn rod_drag(diameter: f64, breadth: f64, length: f64, bounds: &Bounds) -> f64 {
    if bounds.sink.high.is_none() || length <= 0.0 {
        return 0.0;
    }
    let shape = DragShape::Slender { diameter, breadth, length, axis: [1.0, 0.0], solidity: 1.0, blunt_ends: 0.0 };
    bounds.drag(&[DragElement { label: Label::Wraps, shape, centre: [0.0, 0.0] }]).most_at_high
}

/// Greatest drag of a coil of a wire along the whole free shank.
///
/// Wraps may lie bare or under the dressing. Where the dressing bares a coil in pieces, each piece has less normal drag
/// than its share, but friction goes with the root of the length: twice the whole covers up to four pieces.
fn coil_drag(wire: &Wire, hook: &Hook, shelf: &Shelf, free: (f64, f64), bounds: &Bounds) -> f64 {
    let core = hook.wire_diameter + shelf.thickest_pin().map_or(0.0, |(d, _)| d);
    let outside = core + 2.0 * wire.diameter;
    2.0 * rod_drag(outside, outside - hook.wire_diameter, free.1 - free.0, bounds)
}

fn wire_counts(shelf: &Shelf, target: &Target, free: (f64, f64)) -> (Vec<u16>, Vec<u64>) {
    let mut turns = Vec::with_capacity(shelf.wires.len());
    let mut counts = vec![0];
    let mut total = 0;
    for wire in &shelf.wires {
        let most = space::most_turns(free, wire);
        turns.push(small(most));
        total += (space::least_turns(wire)..=most)
            .map(|t| u64::from(space::start_count(free, wire, t, target.grid.start)))
            .sum::<u64>();
        counts.push(total);
    }
    (turns, counts)
}

fn base_share(hook: &Hook, dressing: &Dressing, target: &Target, bounds: &Bounds, price: i64) -> Share {
    let placed = fly::hook_parts(hook, None, dressing);
    let dressed = fly::dressing_parts(hook, dressing, &target.conditions);
    let water = target.conditions.water.density;
    let moments = placed.moments(water).sum(dressed.moments(water));
    let mass = placed.loads.iter().chain(&dressed.loads).map(|l| l.mass).sum();
    let drag = if bounds.has_sink() {
        let always = bounds.drag(&dressed.elements);
        let mut most = bounds.drag(&placed.elements);
        // A bead may hide eye side, neck and shank; bend, point leg and a moulded head stay in the water.
        most.least_at_low = bounds.drag(&never_hidden(hook, &placed.elements)).least_at_low;
        always.plus(most)
    } else {
        DragRange::default()
    };
    Share {
        price,
        weight: Range::point(moments.weight),
        mass: Range::point(mass),
        turning: bounds.turning(moments),
        joint: bounds
            .per_lever(|lever, beta| moments.weight - lever * (moments.x * beta.cos() + moments.y * beta.sin())),
        drag,
    }
}

fn never_hidden(hook: &Hook, elements: &[DragElement]) -> Vec<DragElement> {
    elements
        .iter()
        .filter(|e| {
            e.label == Label::Head
                || e.centre[1] > hook.shank_y() + 1e-9
                    && e.centre[0] > hook.bend_x() - hook.point_length
                    && !matches!(e.shape, DragShape::Across { .. })
                    && e.centre[0] > hook.corner()[0]
        })
        .copied()
        .collect()
}

fn foams_on(
    hook: &Hook,
    dressing: &Dressing,
    shelf: &Shelf,
    target: &Target,
    bounds: &Bounds,
    free: (f64, f64),
) -> Vec<FoamOnHook> {
    let mut list = Vec::new();
    for (i, family) in shelf.foams.iter().enumerate() {
        let Some((first, last)) = space::length_steps(hook, dressing, free, family, target) else {
            continue;
        };
        let step = target.grid.foam;
        let knot = |at: u32| {
            let drag = if bounds.has_sink() {
                let piece = family.piece(space::multiple(step, at));
                bounds.drag(&fly::foam_part(hook, &piece, &target.conditions).elements)
            } else {
                DragRange::default()
            };
            (small(at), drag)
        };
        list.push(FoamOnHook {
            family: u32::try_from(i).unwrap_or(u32::MAX),
            steps: (small(first), small(last)),
            law: FoamLaw::new(hook, family.piece(step), &target.conditions),
            knots: [knot(first), knot(first + (last - first) / 2), knot(last)],
        });
    }
    list
}

/// Price of the shortest piece of a range, millionths.
fn foam_price(foam: &FoamOnHook, first: u16, shelf: &Shelf, target: &Target) -> i64 {
    let piece = shelf.foams[foam.family as usize].piece(space::multiple(target.grid.foam, u32::from(first)));
    shelf.foam_charges[foam.family as usize].length(fly::foam_cut_um(&piece), piece.cut.pieces() as u32).micros()
}

fn foam_share(foam: &FoamOnHook, steps: (u16, u16), shelf: &Shelf, target: &Target, bounds: &Bounds) -> Share {
    let step = target.grid.foam;
    let (from, to) = (f64::from(steps.0) * step.m(), f64::from(steps.1) * step.m());
    // Drag grows with length: the nearest knot below bounds it from below, the nearest above from above.
    let below = foam.knots.iter().rev().find(|k| k.0 <= steps.0).map_or(0.0, |k| k.1.least_at_low);
    let above = foam.knots.iter().find(|k| k.0 >= steps.1).map_or(f64::INFINITY, |k| k.1.most_at_high);
    Share {
        price: foam_price(foam, steps.0, shelf, target),
        weight: foam.law.weight(from, to),
        mass: foam.law.mass(from, to),
        turning: bounds.per_edge(|beta| foam.law.turning(beta, from, to)),
        joint: bounds.per_lever(|lever, beta| foam.law.joint(lever, beta, from, to)),
        drag: DragRange { least_at_low: below, most_at_high: above },
    }
}
