//! What the search knows of one hook: its own loads, the room on it, and the foam laws that depend on it.

use crate::fly::{self, Conditions, Fly, FoamPiece};
use crate::part::{Dressing, Hook};
use crate::physics::body::Label;
use crate::physics::doubt;
use crate::search::bounds::contribution::{Contribution, InJar, Moved};
use crate::search::bounds::foam_law::FoamLaw;
use crate::search::bounds::lagrange::{self, MultiplierSets};
use crate::search::bounds::range::Range;
use crate::search::bounds::{Bounds, Cutting, DragRange, KNOWN_CUT, MOST_FASTER, Turn};
use crate::search::space;
use crate::search::space::bare_drag::BareDrag;
use crate::search::space::shelf::{End, Shelf};
use crate::search::space::tree::Tree;
use crate::search::space::trim::Trim;
use crate::wanted::{Line, Target};

/// One foam family on one hook.
pub(in crate::search) struct FoamOnHook {
    /// Its place on the shelf.
    pub(in crate::search) family: u32,
    /// First and last length, in steps of the grid, that the bare hook takes: under every dressing that is asked.
    pub(in crate::search) steps: (u16, u16),
    /// The last that it takes under this dressing, to which foam that is to be trimmed may be left longer.
    longest: u16,
    /// Where along it, in the tail, one dressing hides it, from its front, m: the one that hides most of the longest piece.
    hidden: (f64, f64),
}

impl FoamOnHook {
    /// Length that is hidden, at least, of a piece so long, m.
    fn hidden_of(&self, length: f64) -> f64 {
        (self.hidden.1.min(length) - self.hidden.0).max(0.0)
    }
}

/// What a hook takes of each wire and foam.
pub(in crate::search) struct HookCounts {
    /// Free shank of the hook without a bead.
    pub(in crate::search) free: (f64, f64),
    /// Most turns of each wire on the shelf, 0 where none fit, and running totals of their start positions.
    pub(in crate::search) turns: Vec<u16>,
    wire_counts: Vec<u64>,
    /// Families that the bare hook takes, and running totals of their lengths.
    pub(in crate::search) foams: Vec<FoamOnHook>,
    foam_counts: Vec<u64>,
}

/// Tables of one hook.
pub(in crate::search) struct HookTables<'a> {
    pub(in crate::search) hook: &'a Hook,
    pub(in crate::search) bounds: Bounds,
    pub(in crate::search) multiplier_sets: MultiplierSets,
    pub(in crate::search) corner: [f64; 2],
    pub(in crate::search) counts: HookCounts,
    /// Hook and dressing.
    pub(in crate::search) base: Contribution,
    pub(in crate::search) foam_tree: Tree<Contribution>,
    /// The same at the shallow end of a range of depths: hook and dressing, and the families.
    shallow: Option<(Contribution, Tree<Contribution>)>,
    /// What lies bare, where a sink rate asks for it.
    pub(in crate::search) bare_drag: Option<BareDrag>,
    /// The same under each further dressing that a base must do with: of the same turns, families and lengths.
    pub(in crate::search) others: Vec<HookTables<'a>>,
}

fn small(value: u32) -> u16 {
    u16::try_from(value).unwrap_or(u16::MAX)
}

impl<'a> HookTables<'a> {
    pub(in crate::search) fn new(
        hook: &'a Hook,
        dressing: &Dressing,
        shelf: &Shelf<'a>,
        target: &Target,
        (price, multiplier_sets): (i64, MultiplierSets),
    ) -> Self {
        let counts = HookCounts::new(hook, dressing, shelf, target).with_hidden(hook, dressing, shelf, target);
        let cutting = cutting(hook, shelf, target, &counts);
        let bare = Fly { hook, dressing, bead: None, wraps: None, foam: None };
        let bounds = Bounds::new(target, hook).firmly(target, &bare, cutting);
        let on = OnHook { hook, bounds: &bounds, multiplier_sets: &multiplier_sets };
        let tree = |end: End| {
            let each = counts.foams.iter().map(|f| foam_contribution(f, f.steps, (shelf, end), target, on));
            Tree::new(&each.collect::<Vec<_>>())
        };
        let base = |depth: f64| base_contribution(on, dressing, target, price, depth);
        Self {
            base: base(target.conditions.depth),
            shallow: target.fall.shallow.map(|depth| (base(depth), tree(End::Shallow))),
            foam_tree: tree(End::Deep),
            bare_drag: bounds.has_sink().then(|| BareDrag::new(hook, dressing, shelf, &bounds, counts.free.0)),
            corner: hook.corner(),
            hook,
            bounds,
            multiplier_sets,
            counts,
            others: Vec::new(),
        }
    }

    /// With those under further dressings.
    pub(in crate::search) fn with_others(self, others: Vec<Self>) -> Self {
        Self { others, ..self }
    }

    /// Bytes that they take, roughly.
    pub(in crate::search) fn bytes(&self) -> usize {
        let shallow = self.shallow.as_ref().map_or(0, |(_, tree)| tree.bytes());
        let trees = self.foam_tree.bytes() + shallow;
        let foams = self.counts.foams.len() * (size_of::<FoamOnHook>() + size_of::<u64>()) + trees;
        let others: usize = self.others.iter().map(Self::bytes).sum();
        others + foams + self.counts.turns.len() * (size_of::<u16>() + size_of::<u64>())
    }

    /// Hook and dressing at one end of a range of depths.
    pub(in crate::search) fn base_at(&self, end: End) -> &Contribution {
        match (end, &self.shallow) {
            (End::Shallow, Some((base, _))) => base,
            _ => &self.base,
        }
    }

    /// Families at one end of a range of depths.
    pub(in crate::search) fn foam_tree_at(&self, end: End) -> &Tree<Contribution> {
        match (end, &self.shallow) {
            (End::Shallow, Some((_, tree))) => tree,
            _ => &self.foam_tree,
        }
    }

    /// Contribution of one family over a range of lengths.
    pub(in crate::search) fn foam_contribution(
        &self,
        index: u32,
        steps: (u16, u16),
        shelf: (&Shelf, End),
        target: &Target,
    ) -> Contribution {
        let on = OnHook { hook: self.hook, bounds: &self.bounds, multiplier_sets: &self.multiplier_sets };
        foam_contribution(&self.counts.foams[index as usize], steps, shelf, target, on)
    }
}

impl HookCounts {
    /// Counts on a hook.
    pub(in crate::search) fn new(hook: &Hook, dressing: &Dressing, shelf: &Shelf, target: &Target) -> Self {
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

    /// With what of each foam the dressing hides: not needed to count.
    fn with_hidden(mut self, hook: &Hook, dressing: &Dressing, shelf: &Shelf, target: &Target) -> Self {
        if by_share_and_rate(target) {
            for foam in &mut self.foams {
                let length = space::multiple(target.grid.foam, u32::from(foam.longest));
                foam.hidden = most_hidden(hook, dressing, shelf.foams[foam.family as usize].piece(length), target);
            }
        }
        self
    }

    /// Number of wires x turns x starts of a run of wires.
    pub(in crate::search) fn wire_count(&self, from: u32, to: u32) -> u64 {
        self.wire_counts[to as usize] - self.wire_counts[from as usize]
    }

    /// Number of families x lengths of a run of foams.
    pub(in crate::search) fn foam_count(&self, from: u32, to: u32) -> u64 {
        self.foam_counts[to as usize] - self.foam_counts[from as usize]
    }

    /// Number of wires x turns x starts, and of families x lengths, of all.
    pub(in crate::search) fn totals(&self) -> (u64, u64) {
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

/// What a contribution depends on besides the parts.
#[derive(Clone, Copy)]
struct OnHook<'t> {
    hook: &'t Hook,
    bounds: &'t Bounds,
    multiplier_sets: &'t MultiplierSets,
}

/// Hook and dressing at a depth.
fn base_contribution(on: OnHook, dressing: &Dressing, target: &Target, price: i64, depth: f64) -> Contribution {
    let OnHook { hook, bounds, multiplier_sets } = on;
    let placed = fly::hook_parts(hook, None, dressing);
    let dressed = |depth: f64| fly::dressing_parts(hook, dressing, &Conditions { depth, ..target.conditions });
    let here = dressed(depth);
    let water = target.conditions.water.density;
    let moments = placed.moments(water).sum(here.moments(water));
    let mass = placed.loads.iter().chain(&here.loads).map(|l| l.mass).sum();
    let mut drag = DragRange::default();
    if bounds.has_sink() {
        drag = bounds.drag(&here.elements).plus(bounds.drag(&fly::eye_and_bend(hook)));
        let head: Vec<_> = placed.elements.iter().filter(|e| e.label == Label::Head).copied().collect();
        drag = drag.plus(bounds.drag(&head));
    }
    // Air in a fresh dressing changes with depth; all else of it stays.
    let differs = |at: f64| {
        let there = dressed(at).moments(water);
        let own = here.moments(water);
        (there.weight - own.weight, (there.x - own.x).hypot(there.y - own.y))
    };
    let (gain, shift) = bounds.descent().map_or((0.0, 0.0), |way| {
        let [surface, half_way, deepest] = [0.0, 0.5 * way.depth, way.depth].map(differs);
        (half_way.0, surface.1.max(deepest.1))
    });
    let swing = {
        let deep = placed.moments(water).sum(dressed(target.conditions.depth).moments(water));
        let shallow = target.fall.shallow.map_or(deep, |d| placed.moments(water).sum(dressed(d).moments(water)));
        bounds.per_swing(|p, q| q.f(deep.x, deep.y) - p.f(shallow.x, shallow.y))
    };
    Contribution {
        price,
        weight: Range::point(moments.weight),
        mass: Range::point(mass),
        turning: bounds.turning(moments),
        joint: bounds.per_lever(|lever, turn| moments.weight - lever * turn.f(moments.x, moments.y)),
        drag,
        swing,
        firm: bounds.per_firmness(|lever, down| down.f(moments.x, moments.y) - lever * moments.weight),
        snip: [0.0; 2],
        scatter: bounds.scatter_of_hook(),
        placed: 0.0,
        in_jar: [InJar::default(); 2],
        faster: 0.0,
        slower: 0.0,
        rising: 0.0,
        longer: Moved::default(),
        shorter: Moved::default(),
        lighter: 0.0,
        doubt: [0.0; 2],
        gain,
        shift,
        reduced_price: lagrange::per_multipliers(multiplier_sets, |multipliers| {
            price as f64
                + multipliers.reduced_price(moments.weight, [moments.x, moments.y])
                + multipliers.of_drag(drag.least[0])
        }),
    }
}

/// Lengths from which and to which a piece may be cut, or longer, by so few snips that what it does is known; m.
fn once_cut((from, to): (f64, f64), scissors: f64) -> (f64, f64) {
    let least = fly::practice::FOAM_LEAST_LENGTH;
    ((from - KNOWN_CUT * scissors).max(least.min(from)), to + KNOWN_CUT * scissors)
}

/// What foam is otherwise in the jar, and at the other end of a range of depths; nothing where it is not cut there.
fn in_jar(
    bounds: &Bounds,
    law: &FoamLaw,
    (jar, ends): (Option<FoamLaw>, Option<[FoamLaw; 2]>),
    piece: &FoamPiece,
    [from, to, longest]: [f64; 3],
) -> [InJar; 2] {
    let Some(jar) = jar.filter(|_| piece.seat.in_tail()) else { return [InJar::default(); 2] };
    let more = jar.less(law);
    let least = fly::practice::FOAM_LEAST_LENGTH;
    let once_cut = |scissors: f64| once_cut((from, to), scissors);
    bounds.per_jar(|scissors, [lower, upper, middle, down]| InJar {
        room: law.room(middle, (from, to), longest) / scissors,
        greatest_snip: scissors * law.greatest_slope(middle, once_cut(scissors)),
        length: from / scissors,
        cut_off: law.cut_off(middle, (from, to), least),
        side: more.turning(middle, from, to),
        down: more.turning(down, from, to),
        weight: more.weight(from, to).low,
        across: law.least_across(middle, (from, to), piece),
        gas: FoamLaw::slopes_over((&jar, middle), (law, middle), once_cut(scissors)),
        tilt: FoamLaw::slopes_over((law, down), (law, middle), once_cut(scissors)),
        between: ends
            .map_or(0.0, |[deep, shallow]| FoamLaw::between((&deep, &shallow), [lower, middle, upper], (from, to))),
    })
}

/// What cutting foam of any family does at most, over all its lengths and windows.
fn cutting(hook: &Hook, shelf: &Shelf, target: &Target, counts: &HookCounts) -> Cutting {
    let mut most = Cutting::default();
    if target.share.is_none() {
        return most;
    }
    let bounds = Bounds::new(target, hook);
    let middles: Vec<Turn> = bounds.windows.iter().map(|w| Turn::new(0.5 * (w.from + w.to))).collect();
    let step = target.grid.foam.m();
    for foam in &counts.foams {
        let family = foam.family as usize;
        let seat = shelf.foams[family].seat;
        // Foam along the shank lies under the dressing: it is not trimmed.
        if seat.in_tail() {
            let law = shelf.deep.laws[family].on(hook, seat);
            let lengths = (f64::from(foam.steps.0) * step, f64::from(foam.longest) * step);
            most.sideways = middles.iter().map(|turn| law.sideways(*turn, lengths)).fold(most.sideways, f64::max);
            let faster = faster(&bounds, &law, shelf.deep.drag(foam.family, lengths.1, lengths.1), lengths);
            most.faster = most.faster.max(Some(faster).filter(|faster| *faster < MOST_FASTER).unwrap_or(0.0));
        }
    }
    most
}

/// See [`Cutting`]; `drag` is that of the longest piece.
fn faster(bounds: &Bounds, law: &FoamLaw, drag: DragRange, lengths: (f64, f64)) -> f64 {
    let edges = bounds.windows.iter().flat_map(|w| [w.from, w.to].map(Turn::new));
    // At the lower rate, or at the mean speed to a depth.
    let [lower, _, _, on_the_way @ ..] = drag.least;
    let drag = DRAG_AT_AN_END * on_the_way.into_iter().fold(lower, f64::max) / lengths.1;
    edges.map(|turn| law.faster(turn, drag, lengths)).fold(0.0, f64::max)
}

/// The last bit of a piece of foam adds no more than this to its drag, over the mean of the piece; it is looked at in the attitude of
/// least drag, too.
const DRAG_AT_AN_END: f64 = 1.5;

fn foams_on(hook: &Hook, dressing: &Dressing, shelf: &Shelf, target: &Target, free: (f64, f64)) -> Vec<FoamOnHook> {
    let mut list = Vec::new();
    for (i, family) in shelf.foams.iter().enumerate() {
        let under = |dressing: &Dressing| space::length_steps(hook, dressing, free, family, target);
        let Some(own) = under(dressing) else { continue };
        let all = target.choice.each.iter().try_fold(own, |(first, last), dressing| {
            let (from, to) = under(dressing)?;
            Some((first.max(from), last.min(to))).filter(|(first, last)| first <= last)
        });
        let Some((first, last)) = all else { continue };
        let family = u32::try_from(i).unwrap_or(u32::MAX);
        list.push(FoamOnHook { family, steps: (small(first), small(last)), longest: small(own.1), hidden: (0.0, 0.0) });
    }
    list
}

/// Whether how well a sink rate is known counts, or a time to a depth.
fn by_share_and_rate(target: &Target) -> bool {
    let asked = target.sink.is_some() || target.fall.reach.is_some();
    target.share.is_some() && asked && target.fall.line == Line::Tight
}

/// Where along a piece of foam in the tail the dressing that hides most of it does so; at the surface, where foam is thickest.
fn most_hidden(hook: &Hook, dressing: &Dressing, piece: FoamPiece, target: &Target) -> (f64, f64) {
    let fly = Fly { hook, dressing, bead: None, wraps: None, foam: Some(piece) };
    let elements = fly::body(&fly, &Conditions { depth: 0.0, ..target.conditions }).elements;
    let foam = elements.iter().find(|e| e.label == Label::Foam).filter(|_| piece.seat.in_tail());
    let lengths = foam.into_iter().flat_map(|foam| doubt::hidden_lengths(foam, &elements));
    lengths.max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).unwrap_or((0.0, 0.0))
}

/// A family over a range of lengths at one end of a range of depths.
fn foam_contribution(
    foam: &FoamOnHook,
    steps: (u16, u16),
    (shelf, end): (&Shelf, End),
    target: &Target,
    on: OnHook,
) -> Contribution {
    let OnHook { hook, bounds, multiplier_sets } = on;
    let step = target.grid.foam;
    let (from, to) = (f64::from(steps.0) * step.m(), f64::from(steps.1) * step.m());
    let longest = f64::from(foam.longest) * step.m();
    let family = foam.family as usize;
    let (at, seat) = (shelf.foam_at(end), shelf.foams[family].seat);
    let law_on = |laws: &[FoamLaw]| laws[family].on(hook, seat);
    let law = law_on(&at.laws);
    let shortest = shelf.foams[family].piece(space::multiple(step, u32::from(steps.0)));
    let pieces = shortest.cut.pieces() as u32;
    let charge = &shelf.foam_charges[family];
    let price = charge.length(fly::foam_cut_um(&shortest), pieces).micros();
    let price_line = charge.least(pieces).line();
    let (drag, drag_lines) = at.drag_by_lines(foam.family, from, to);
    let (gain, shift) = shelf.way.as_ref().map_or((0.0, 0.0), |way| {
        let [surface, mean, deepest] = [&way.surface, &way.mean, &way.deepest].map(|laws| law_on(laws).less(&law));
        let shift = surface.greatest_moment(from, to).max(deepest.greatest_moment(from, to));
        (mean.weight(from, to).high, way.stiffer[family] * shift)
    });
    let ends = shelf.shallow.as_ref().map(|shallow| [&shelf.deep.laws, &shallow.laws].map(|laws| law_on(laws)));
    let swing = ends.map_or([0.0; 2], |[deep, shallow]| {
        bounds.per_swing(|p, q| FoamLaw::least_difference((&deep, q), (&shallow, p), from, to))
    });
    let trim = if by_share_and_rate(target) && seat.in_tail() {
        let growth = |from: f64, to: f64| at.growth(foam.family, from, to);
        Trim::new(bounds, &law, growth, [from, to, longest], target.hands.scissors.m())
    } else {
        Trim::default()
    };
    Contribution {
        price,
        weight: law.weight(from, to),
        mass: law.mass(from, to),
        turning: bounds.per_edge(|turn| law.turning(turn, from, to)),
        joint: bounds.per_lever(|lever, turn| law.joint(lever, turn, from, to)),
        drag,
        swing,
        firm: bounds.per_firmness(|lever, down| law.firm(lever, down, from, to)),
        snip: bounds.per_middle(|firmness, middle| {
            if seat.in_tail() { firmness.step * law.least_slope(middle, (from, to)) } else { f64::INFINITY }
        }),
        placed: 0.0,
        scatter: bounds.per_middle(|_, middle| law.least_variance(middle, (from, to), &shortest)),
        in_jar: in_jar(bounds, &law, (shelf.jar.as_deref().map(law_on), ends), &shortest, [from, to, longest]),
        faster: if target.share.is_some() && seat.in_tail() {
            faster(bounds, &law, at.drag(foam.family, to, to), (from, to))
        } else {
            0.0
        },
        slower: trim.slower,
        rising: trim.rising,
        longer: trim.longer,
        shorter: trim.shorter,
        lighter: if by_share_and_rate(target) && seat.in_tail() {
            let lengths = once_cut((from, to), target.hands.scissors.m());
            let middles = bounds.windows.iter().map(|w| Turn::new(0.5 * (w.from + w.to)));
            middles.map(|turn| law.lighter(turn, lengths)).fold(f64::INFINITY, f64::min)
        } else {
            0.0
        },
        doubt: if by_share_and_rate(target) {
            let lift = doubt::sd::FOAM_LIFT * law.weight(from, to).high.min(0.0);
            let hidden = foam.hidden_of(from);
            let per_length = |i: usize| {
                let (offset, slope) = drag_lines[i];
                slope + offset / if offset > 0.0 { to } else { from }
            };
            [0, 2].map(|i| {
                let of_hidden = doubt::sd::HIDDEN * hidden * per_length(i).max(0.0);
                lift.powi(2) + of_hidden.powi(2) + (doubt::least_foam_share() * drag.least[i]).powi(2)
            })
        } else {
            [0.0; 2]
        },
        gain,
        shift,
        // The price of a length is no less than that of the shortest, nor less than a line.
        reduced_price: lagrange::per_multipliers(multiplier_sets, |multipliers| {
            let least = |price: (f64, f64)| law.reduced_price(multipliers, price, drag_lines[0], (from, to));
            least((price as f64, 0.0)).max(least(price_line))
        }),
    }
}
