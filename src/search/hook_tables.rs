//! What the search knows of one hook: its own loads, the room on it, and the foam laws that depend on it.

use super::Least;
use super::bare_drag::BareDrag;
use super::bound::{Bounds, DragRange, Joint, Range, STILL, Turning};
use super::dual::{self, Dual, NO_DUAL, WORTHS, Worths};
use super::shelf::Shelf;
use super::space;
use super::tree::{Hull, Tree};
use crate::fly;
use crate::part::{Dressing, Hook};
use crate::physics::body::Label;
use crate::wanted::Target;

/// What a group of parts adds, as ranges. Price in millionths.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Share {
    pub(super) price: i64,
    pub(super) weight: Range,
    pub(super) mass: Range,
    pub(super) turning: Turning,
    pub(super) joint: Joint,
    pub(super) drag: DragRange,
    /// Price less worth, least.
    pub(super) dual: Dual,
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
            dual: NO_DUAL,
        }
    }

    pub(super) fn plus(self, other: Self) -> Self {
        Self::sum([&self, &other])
    }

    pub(super) fn sum<const N: usize>(shares: [&Self; N]) -> Self {
        let mut total = Self::nothing();
        for share in shares {
            total.price += share.price;
            total.weight = total.weight.plus(share.weight);
            total.mass = total.mass.plus(share.mass);
            total.drag = total.drag.plus(share.drag);
            for k in 0..2 {
                for i in 0..3 {
                    total.turning[k][i] = total.turning[k][i].plus(share.turning[k][i]);
                }
                for l in 0..2 {
                    total.joint[k][l] += share.joint[k][l];
                }
                for j in 0..WORTHS {
                    total.dual[k][j] += share.dual[k][j];
                }
            }
        }
        total
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
            dual: std::array::from_fn(|k| std::array::from_fn(|j| self.dual[k][j].min(other.dual[k][j]))),
        }
    }
}

/// One foam family on one hook.
pub(super) struct FoamOnHook {
    /// Its place on the shelf.
    pub(super) family: u32,
    /// First and last length, in steps of the grid, that the bare hook takes.
    pub(super) steps: (u16, u16),
}

/// What a hook takes of each wire and foam.
pub(super) struct HookCounts {
    /// Free shank of the hook without a bead.
    pub(super) free: (f64, f64),
    /// Most turns of each wire on the shelf, 0 where none fit, and running totals of their start positions.
    pub(super) turns: Vec<u16>,
    wire_counts: Vec<u64>,
    /// Families that the bare hook takes, and running totals of their lengths.
    pub(super) foams: Vec<FoamOnHook>,
    foam_counts: Vec<u64>,
}

/// Tables of one hook.
pub(super) struct HookTables<'a> {
    pub(super) hook: &'a Hook,
    pub(super) bounds: Bounds,
    pub(super) worths: Worths,
    pub(super) corner: [f64; 2],
    pub(super) counts: HookCounts,
    /// Hook and dressing.
    pub(super) base: Share,
    pub(super) foam_tree: Tree<Share>,
    /// What lies bare, where a sink rate asks for it.
    pub(super) bare_drag: Option<BareDrag>,
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
        (price, worths): (i64, Worths),
    ) -> Self {
        let bounds = Bounds::new(target, hook).at_least(least);
        let counts = HookCounts::new(hook, dressing, shelf, target);
        let share = |f: &FoamOnHook| foam_share(f, f.steps, shelf, target, (hook, &bounds, &worths));
        let shares: Vec<Share> = counts.foams.iter().map(share).collect();
        Self {
            base: base_share(hook, dressing, target, (&bounds, &worths), price),
            bare_drag: bounds.has_sink().then(|| BareDrag::new(hook, dressing, shelf, &bounds, counts.free.0)),
            corner: hook.corner(),
            hook,
            bounds,
            worths,
            foam_tree: Tree::new(&shares),
            counts,
        }
    }

    /// Bytes that they take, roughly.
    pub(super) fn bytes(&self) -> usize {
        let foams = self.counts.foams.len() * (size_of::<FoamOnHook>() + size_of::<u64>()) + self.foam_tree.bytes();
        foams + self.counts.turns.len() * (size_of::<u16>() + size_of::<u64>())
    }

    /// Share of one family over a range of lengths.
    pub(super) fn foam_share(&self, index: u32, steps: (u16, u16), shelf: &Shelf, target: &Target) -> Share {
        let on_hook = &self.counts.foams[index as usize];
        foam_share(on_hook, steps, shelf, target, (self.hook, &self.bounds, &self.worths))
    }
}

impl HookCounts {
    /// Counts on a hook.
    pub(super) fn new(hook: &Hook, dressing: &Dressing, shelf: &Shelf, target: &Target) -> Self {
        let free = fly::free_shank(hook, None);
        let foams = foams_on(hook, dressing, shelf, target, free);
        let (turns, wire_counts) = wire_counts(shelf, target, free);
        let mut total = 0;
        let lengths = foams.iter().map(|f| {
            total += u64::from(f.steps.1 - f.steps.0) + 1;
            total
        });
        Self { free, turns, wire_counts, foam_counts: std::iter::once(0).chain(lengths).collect(), foams }
    }

    /// Number of wires x turns x starts of a run of wires.
    pub(super) fn wire_count(&self, from: u32, to: u32) -> u64 {
        self.wire_counts[to as usize] - self.wire_counts[from as usize]
    }

    /// Number of families x lengths of a run of foams.
    pub(super) fn foam_count(&self, from: u32, to: u32) -> u64 {
        self.foam_counts[to as usize] - self.foam_counts[from as usize]
    }

    /// Number of wires x turns x starts, and of families x lengths, of all.
    pub(super) fn totals(&self) -> (u64, u64) {
        let last = |counts: &[u64]| counts.last().copied().unwrap_or(0);
        (last(&self.wire_counts), last(&self.foam_counts))
    }
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

fn base_share(
    hook: &Hook,
    dressing: &Dressing,
    target: &Target,
    (bounds, worths): (&Bounds, &Worths),
    price: i64,
) -> Share {
    let placed = fly::hook_parts(hook, None, dressing);
    let dressed = fly::dressing_parts(hook, dressing, &target.conditions);
    let water = target.conditions.water.density;
    let moments = placed.moments(water).sum(dressed.moments(water));
    let mass = placed.loads.iter().chain(&dressed.loads).map(|l| l.mass).sum();
    let mut drag = DragRange::default();
    if bounds.has_sink() {
        drag = bounds.drag(&dressed.elements).plus(bounds.drag(&fly::eye_and_bend(hook)));
        let head: Vec<_> = placed.elements.iter().filter(|e| e.label == Label::Head).copied().collect();
        drag = drag.plus(bounds.drag(&head));
    }
    Share {
        price,
        weight: Range::point(moments.weight),
        mass: Range::point(mass),
        turning: bounds.turning(moments),
        joint: bounds.per_lever(|lever, turn| moments.weight - lever * turn.f(moments.x, moments.y)),
        drag,
        dual: dual::per_worth(worths, |worth| {
            price as f64 + worth.less_worth(moments.weight, [moments.x, moments.y]) + worth.of_drag(drag.least[0])
        }),
    }
}

fn foams_on(hook: &Hook, dressing: &Dressing, shelf: &Shelf, target: &Target, free: (f64, f64)) -> Vec<FoamOnHook> {
    let mut list = Vec::new();
    for (i, family) in shelf.foams.iter().enumerate() {
        let Some((first, last)) = space::length_steps(hook, dressing, free, family, target) else {
            continue;
        };
        list.push(FoamOnHook { family: u32::try_from(i).unwrap_or(u32::MAX), steps: (small(first), small(last)) });
    }
    list
}

fn foam_share(
    foam: &FoamOnHook,
    steps: (u16, u16),
    shelf: &Shelf,
    target: &Target,
    (hook, bounds, worths): (&Hook, &Bounds, &Worths),
) -> Share {
    let step = target.grid.foam;
    let (from, to) = (f64::from(steps.0) * step.m(), f64::from(steps.1) * step.m());
    let family = foam.family as usize;
    let law = shelf.foam_laws[family].on(hook, shelf.foams[family].seat);
    let shortest = shelf.foams[family].piece(space::multiple(step, u32::from(steps.0)));
    let pieces = shortest.cut.pieces() as u32;
    let charge = &shelf.foam_charges[family];
    let price = charge.length(fly::foam_cut_um(&shortest), pieces).micros();
    let price_line = charge.least(pieces).line();
    let drag_line = shelf.foam_drag_line(foam.family, from, to);
    Share {
        price,
        weight: law.weight(from, to),
        mass: law.mass(from, to),
        turning: bounds.per_edge(|turn| law.turning(turn, from, to)),
        joint: bounds.per_lever(|lever, turn| law.joint(lever, turn, from, to)),
        drag: shelf.foam_drag(foam.family, from, to),
        // The price of a length is no less than that of the shortest, nor less than a line.
        dual: dual::per_worth(worths, |worth| {
            law.less_worth(worth, (price as f64, 0.0), drag_line, (from, to)).max(law.less_worth(
                worth,
                price_line,
                drag_line,
                (from, to),
            ))
        }),
    }
}
