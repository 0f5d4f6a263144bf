//! Best-first branch and bound, in rounds that do not depend on the number of threads.

mod ahead;
mod alike;
mod judging;
mod multipliers;
mod open_hooks;
mod sums;

use super::{Found, Observer, Progress, Pruned, Tally, Wish};
use crate::catalog::Catalog;
use crate::fly::{self, Fly};
use crate::part::Hook;
use crate::quantity::Money;
use crate::search::bounds::{Bounds, Narrowed};
use crate::search::rank::{Cutoff, Incumbents, Ranking, SURE, cents};
use crate::search::space::node::{Context, Contributions, Groups, Node};
use crate::search::tariff::Tariff;
use crate::wanted::Target;
use alike::Kinds;
use open_hooks::OpenHooks;
use rayon::prelude::*;
use std::cmp::{Ordering, Reverse};
use std::collections::{BinaryHeap, HashMap};
use sums::{Sums, least_cost};

/// Nodes per round: enough work for some cores, few enough that the cutoff stays fresh.
const ROUND: usize = 64;
/// Hooks in a round: each has tables.
const HOOKS: usize = 8;
/// Nodes that a task opens before it hands the rest back.
const OPENED: usize = 256;
/// Nodes that a task opens before it asks again whether to stop. A recipe followed in time takes a few ms.
const LOOK_UP: usize = 8;
/// Nodes in the queue above which tasks dig down instead: a few hundred bytes a node must not fill the memory.
const MOST_QUEUED: usize = 200_000;
/// Nodes that a task opens when it digs down.
const DUG: usize = 20_000;

/// A node in the queue: cheapest first, then hook by hook, so that few tables are in use at a time, then the one that was
/// split most, then the oldest.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Queued {
    cents: i64,
    depth: Reverse<u32>,
    age: u64,
    node: Node,
    /// Number of recipes, once it is known.
    count: Option<u64>,
}

impl Ord for Queued {
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |q: &Self| (q.cents, q.node.hook, q.depth, q.age);
        key(self).cmp(&key(other))
    }
}

impl PartialOrd for Queued {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// A node of a task, and which opened node it is a part of.
#[derive(Clone, Copy)]
struct Local {
    queued: Queued,
    from: usize,
}

/// What else a recipe must be: asked of single recipes that meet the target.
pub type Accept<'s> = &'s (dyn Fn(&Fly) -> bool + Sync);

/// One search.
pub(in crate::search) struct Engine<'s, 'a> {
    target: &'s Target,
    wish: Wish,
    ranking: Ranking,
    /// What else a recipe must be.
    accept: Accept<'s>,
    /// Nothing when no hook is left.
    open_hooks: Option<OpenHooks<'s, 'a>>,
    /// Class of share that sets are held to, beyond what the target asks; see [`ahead`].
    held_to: Option<u8>,
}

/// What a recipe must beat.
struct Threshold {
    cutoff: Option<Cutoff>,
    ranking: Ranking,
    /// What is left of the windows for any recipe, and for one that costs as much as the last in the list.
    whole: Narrowed,
    tied: Narrowed,
    /// Whether that is less than the target asks for.
    narrower: bool,
}

impl Threshold {
    fn new(cutoff: Option<Cutoff>, ranking: Ranking, bounds: &Bounds) -> Self {
        // Where the surer comes first, a margin alone lets nothing in and shuts nothing out.
        let tied = cutoff.filter(|_| !ranking.surer).map_or(0.0, |c| c.margin);
        Self { cutoff, ranking, whole: bounds.narrowed(0.0), tied: bounds.narrowed(tied), narrower: tied > 0.0 }
    }

    /// What is left of the windows for recipes that cost no less than this, and whether that is less than is asked for.
    fn narrowed(&self, least: i64) -> (&Narrowed, bool) {
        // At the cost of the last in the list, only a wider margin gets in.
        let tied = self.cutoff.is_some_and(|c| self.ranking.step_of(least) == c.step);
        if tied { (&self.tied, self.narrower) } else { (&self.whole, false) }
    }
}

/// How far a search has come.
struct Course<'a> {
    queue: BinaryHeap<Reverse<Queued>>,
    best: Incumbents<'a>,
    tally: Tally,
    /// Rounds so far.
    now: u64,
}

impl Course<'_> {
    fn progress(&self) -> Progress {
        Progress {
            evaluated: self.tally.evaluated,
            cutoff: self.best.cutoff().and_then(|_| self.best.list().last()).map(|last| cents(last.price)),
            bound: self.queue.peek().map(|q| Money::from_micros(q.0.cents * 10_000)),
        }
    }
}

/// What a task hands back.
struct Done<'a> {
    best: Incumbents<'a>,
    tally: Tally,
    rest: Vec<Queued>,
}

impl<'s, 'a> Engine<'s, 'a> {
    pub(in crate::search) fn new(catalog: &'a Catalog, target: &'s Target, tariff: &'s Tariff, wish: Wish) -> Self {
        let open_hooks = OpenHooks::new(catalog, target, tariff);
        Self { target, wish, ranking: Ranking::default(), accept: &|_| true, open_hooks, held_to: None }
    }

    /// The same in another order.
    pub(in crate::search) fn ranked(self, ranking: Ranking) -> Self {
        Self { ranking, ..self }
    }

    fn nothing_found<'f>(&self) -> Incumbents<'f> {
        Incumbents::new(self.wish.top, self.wish.variety).ranked(self.ranking)
    }

    /// The same among recipes that are something else besides.
    pub(in crate::search) fn accepting(self, accept: Accept<'s>) -> Self {
        Self { accept, ..self }
    }

    pub(in crate::search) fn run(&self, observer: &dyn Observer) -> Found<'a> {
        let Some(open_hooks) = &self.open_hooks else {
            return Found { candidates: Vec::new(), space: 0, tally: Tally::default(), bound: None };
        };
        let mut course = self.start(open_hooks);
        if open_hooks.refused() {
            let mut tally = course.tally;
            let of = if self.target.dives_beyond_the_vertical() { &mut tally.hang } else { &mut tally.sink_rate };
            *of = left(course.queue, open_hooks);
            return Found { candidates: Vec::new(), space: tally.total(), tally, bound: None };
        }
        let stopped = self.empty(&mut course, open_hooks, observer);
        let Course { queue, best, mut tally, .. } = course;
        let bound = queue.peek().filter(|_| stopped).map(|q| Money::from_micros(q.0.cents * 10_000));
        let rest = left(queue, open_hooks);
        let of = if stopped { &mut tally.unexplored } else { &mut tally.cost };
        *of = of.saturating_add(rest);
        Found { candidates: best.list().to_vec(), space: tally.total(), tally, bound }
    }

    fn start(&self, open_hooks: &OpenHooks<'s, 'a>) -> Course<'a> {
        Course { queue: roots(open_hooks), best: self.nothing_found(), tally: Tally::default(), now: 0 }
    }

    /// Opens what is in the queue, round by round, until nothing is left that could enter the list; whether it was stopped
    /// before.
    fn empty(&self, course: &mut Course<'a>, open_hooks: &OpenHooks<'s, 'a>, observer: &dyn Observer) -> bool {
        let mut age = course.queue.len() as u64;
        let mut looked_ahead = false;
        loop {
            let Course { queue, best, tally, now } = &mut *course;
            *now += 1;
            let cutoff = best.cutoff();
            let Some(least) = queue.peek().map(|q| q.0.cents) else { return false };
            if cutoff.is_some_and(|c| self.too_dear(least, &c)) {
                return false;
            }
            if observer.stop() {
                return true;
            }
            let round = next_round(queue);
            let dig = queue.len() > MOST_QUEUED;
            let kinds = Kinds::of(self.wish.variety, &self.ranking, best.list());
            let barred = (cutoff, &kinds);
            let open = |q| self.open(open_hooks, (q, *now), barred, dig, observer);
            let results: Vec<Done> = round.into_par_iter().map(open).collect();
            for done in results {
                best.merge(done.best);
                tally.add(done.tally);
                for mut rest in done.rest {
                    rest.age = age;
                    age += 1;
                    queue.push(Reverse(rest));
                }
            }
            open_hooks.tidy(*now);
            observer.round_done(&course.progress());
            if !looked_ahead && self.is_hard(course) {
                looked_ahead = true;
                self.look_ahead(course, open_hooks, observer);
            }
        }
    }

    /// Opens a node and what comes out of it up to a fixed number of nodes: cheapest first, or, to dig, deepest first,
    /// which hands back hardly more than it took.
    fn open(
        &self,
        open_hooks: &OpenHooks<'s, 'a>,
        (root, now): (Queued, u64),
        (cutoff, kinds): (Option<Cutoff>, &Kinds),
        dig: bool,
        observer: &dyn Observer,
    ) -> Done<'a> {
        let mut done = Done { best: self.nothing_found(), tally: Tally::default(), rest: Vec::new() };
        if observer.stop() {
            done.rest.push(root);
            return done;
        }
        let tables = open_hooks.tables(root.node.hook, now);
        let context = Context { shelf: &open_hooks.shelf, target: self.target, tables: &tables };
        let mut bar = Threshold::new(cutoff, self.ranking, &tables.bounds);
        let mut age = 0;
        let mut opened: Vec<(Node, Groups)> = Vec::new();
        let mut waiting: Vec<Local> = Vec::new();
        let mut shares = Contributions::default();
        let node = context.normal(root.node);
        let first = Queued { count: root.count.or_else(|| Some(context.count(&node))), node, ..root };
        let mut queue = BinaryHeap::from([Reverse((first.cents, first.depth, age, 0))]);
        waiting.push(Local { queued: first, from: usize::MAX });
        for step in 1..=if dig { DUG } else { OPENED } {
            if step % LOOK_UP == 0 && observer.stop() {
                break;
            }
            let Some(Reverse((_, _, _, at))) = queue.pop() else { break };
            let Local { queued: next, from } = waiting[at];
            let hardest = match (cutoff, done.best.cutoff()) {
                (Some(a), Some(b)) => Some(a.harder(b)),
                (a, b) => a.or(b),
            };
            if hardest != bar.cutoff {
                bar = Threshold::new(hardest, self.ranking, &tables.bounds);
            }
            let asked = (&next, opened.get(from));
            let kept = self.survives(open_hooks, &context, &mut shares, asked, (&bar, kinds), &mut done.tally);
            let Some((node, groups, price)) = kept else { continue };
            match context.split(&node, shares.of(&groups)) {
                None => {
                    let bars = [cutoff, kinds.bar(&context, &node, 0)];
                    let sums = Sums::new(&context, &shares, &groups);
                    self.judge_single(open_hooks, &context, (&node, &sums), bars, &mut done);
                }
                Some(halves) => {
                    opened.push((node, groups));
                    let depth = Reverse(next.depth.0 + 1);
                    // To dig, all that comes out of a node passes for as cheap as the node: then depth alone decides.
                    let cents = if dig { next.cents } else { cents(price).max(next.cents) };
                    for half in halves {
                        let count = context.count(&half);
                        if count == 0 {
                            continue;
                        }
                        age += 1;
                        let queued = Queued { cents, depth, age, node: half, count: Some(count) };
                        queue.push(Reverse((cents, depth, age, waiting.len())));
                        waiting.push(Local { queued, from: opened.len() - 1 });
                    }
                }
            }
        }
        done.rest = queue.into_sorted_vec().into_iter().rev().map(|q| waiting[q.0.3].queued).collect();
        done
    }

    /// Judges the only recipe of a node that does not split, and takes it into account.
    fn judge_single(
        &self,
        open_hooks: &OpenHooks<'s, 'a>,
        context: &Context<'_, 'a>,
        (node, sums): (&Node, &Sums),
        bars: [Option<Cutoff>; 2],
        done: &mut Done<'a>,
    ) {
        let fly = context.fly(node, open_hooks.dressing);
        if fly::first_misfit(&fly, &self.target.limits).is_some() {
            done.tally.misfit += 1;
            return;
        }
        done.tally.evaluated += 1;
        let alone = |class| sums.may_be_left_alone(context, self.target, class);
        if let Some(found) = self.judged(open_hooks, (fly, &alone), (&done.best, bars)) {
            done.best.offer(found);
        }
    }

    /// Whether so many cents are too many to enter the list.
    fn too_dear(&self, cents: i64, cutoff: &Cutoff) -> bool {
        let step = self.ranking.step_of(cents);
        step > cutoff.step || (step == cutoff.step && self.wish.variety.by_price_alone())
    }

    /// Whether nothing of a node, none of which costs less cents than this, comes before what stands behind a bar.
    fn shut_out(&self, context: &Context, sums: &Sums, cents: i64, bar: &Cutoff) -> bool {
        if self.too_dear(cents, bar) {
            return true;
        }
        if !self.ranking.surer {
            return false;
        }
        let none_sure = || sums.none_of_class(context, self.target, SURE);
        let no_surer = || sums.no_surer(context, self.target, bar);
        match [SURE, 0].map(|class| self.ranking.counted_step(cents, class).cmp(&bar.step)) {
            [_, Ordering::Less] => false,
            [Ordering::Less, Ordering::Greater] => none_sure(),
            [Ordering::Less, Ordering::Equal] => none_sure() && no_surer(),
            [_, Ordering::Equal] => no_surer(),
            [_, Ordering::Greater] => none_sure() || no_surer(),
        }
    }

    /// The groups of a node that may hold a recipe for the list, and its least price; otherwise counts it as dropped.
    fn survives(
        &self,
        open_hooks: &OpenHooks<'_, 'a>,
        context: &Context<'_, 'a>,
        shares: &mut Contributions,
        (queued, whole): (&Queued, Option<&(Node, Groups)>),
        (bar, kinds): (&Threshold, &Kinds),
        tally: &mut Tally,
    ) -> Option<(Node, Groups, Money)> {
        tally.nodes += 1;
        let count = queued.count.unwrap_or(0);
        if count == 0 {
            return None;
        }
        let (mut node, mut count) = (queued.node, count);
        let mut known = whole.copied();
        loop {
            let Some(groups) = context.groups(shares, &node, known.as_ref()) else {
                tally.misfit = tally.misfit.saturating_add(count);
                return None;
            };
            let sums = Sums::new(context, shares, &groups);
            let price = Money::from_micros(least_cost(context, &sums).max(0));
            if let Some(reason) = self.prune(open_hooks, context, (&sums, price), bar) {
                tally.prune(reason, count);
                return None;
            }
            let of_kind = kinds.bar(context, &node, self.ranking.step_of(cents(price)));
            if of_kind.is_some_and(|bar| self.shut_out(context, &sums, cents(price), &bar)) {
                tally.prune(Pruned::Cost, count);
                return None;
            }
            if let Some(reason) = self.pruned_otherwise(open_hooks, context, &node, bar) {
                tally.prune(reason, count);
                return None;
            }
            let (narrowed, narrower) = bar.narrowed(cents(price));
            let fewer = sums
                .ends()
                .find_map(|(end, total)| context.fewer(&node, (total, shares.at(&groups, end), end), narrowed));
            let Some(fewer) = fewer else { return Some((node, groups, price)) };
            let left = context.count(&fewer);
            tally.prune(if narrower { Pruned::Margin } else { Pruned::Hang }, count - left);
            known = Some((node, groups));
            (node, count) = (fewer, left);
        }
    }

    /// Why nothing of a node can enter the list under some further dressing, if that is so.
    fn pruned_otherwise(
        &self,
        open_hooks: &OpenHooks<'_, 'a>,
        context: &Context<'_, 'a>,
        node: &Node,
        bar: &Threshold,
    ) -> Option<Pruned> {
        context.tables.others.iter().find_map(|tables| {
            let context = Context { tables, ..*context };
            let mut shares = Contributions::default();
            let groups = context.groups(&mut shares, node, None)?;
            let sums = Sums::new(&context, &shares, &groups);
            let price = Money::from_micros(least_cost(&context, &sums).max(0));
            self.prune(open_hooks, &context, (&sums, price), bar)
        })
    }

    fn prune(
        &self,
        open_hooks: &OpenHooks<'_, 'a>,
        context: &Context,
        (sums, price): (&Sums, Money),
        bar: &Threshold,
    ) -> Option<Pruned> {
        let bounds = &context.tables.bounds;
        let least = cents(price);
        let deep = &sums.deep;
        if open_hooks.too_dear(price) || bar.cutoff.is_some_and(|c| self.too_dear(least, &c)) {
            Some(Pruned::Cost)
        } else if sums.any(|total| total.weight.high <= 0.0) {
            Some(Pruned::Weight)
        } else if bounds.mass_impossible(deep.mass) {
            Some(Pruned::Mass)
        } else if sums.hang_out(bounds) == [true; 2] {
            Some(Pruned::Hang)
        } else if bounds.has_sink() && sums.any(|total| bounds.sink_impossible(total.weight, total.drag)) {
            Some(Pruned::SinkRate)
        } else if sums.jointly_out(bounds) == [true; 2] {
            Some(Pruned::Hang)
        } else {
            self.prune_by_share(context, sums, least, bar)
        }
    }

    /// The same by what costs more to find out, of a node that may hang and sink as wanted.
    fn prune_by_share(&self, context: &Context, sums: &Sums, least: i64, bar: &Threshold) -> Option<Pruned> {
        let bounds = &context.tables.bounds;
        // First, since what may be sure enough for the list need not be held to what the target asks.
        let shut_out = bar.cutoff.is_some_and(|c| self.shut_out(context, sums, least, &c));
        if sums.too_loose(context, self.target, self.held_to) == [true; 2] {
            Some(Pruned::Share)
        } else if sums.too_slow_down(bounds) {
            Some(Pruned::SinkRate)
        } else if shut_out {
            Some(Pruned::Margin)
        } else {
            let (narrowed, narrower) = bar.narrowed(least);
            (narrower && sums.narrowed_out(bounds, narrowed)).then_some(Pruned::Margin)
        }
    }
}

/// The first nodes of the queue, as many as make a round.
fn next_round(queue: &mut BinaryHeap<Reverse<Queued>>) -> Vec<Queued> {
    let mut round: Vec<Queued> = Vec::with_capacity(ROUND);
    let mut hooks: Vec<u32> = Vec::with_capacity(HOOKS);
    while let Some(Reverse(next)) = queue.peek() {
        let new = !hooks.contains(&next.node.hook);
        if round.len() == ROUND || (new && hooks.len() == HOOKS) {
            break;
        }
        if new {
            hooks.push(next.node.hook);
        }
        round.extend(queue.pop().map(|q| q.0));
    }
    round
}

/// All hooks, with and without each kind of part.
fn roots(open_hooks: &OpenHooks) -> BinaryHeap<Reverse<Queued>> {
    let mut queue = BinaryHeap::new();
    for (index, hook) in open_hooks.hooks() {
        let base = open_hooks.base_price(hook);
        for node in Context::roots(&open_hooks.shelf, hook, index) {
            let price = Context::root_price(&open_hooks.shelf, hook, base, &node);
            let (cents, age) = (cents(Money::from_micros(price)), queue.len() as u64);
            queue.push(Reverse(Queued { cents, depth: Reverse(0), age, node, count: None }));
        }
    }
    queue
}

/// Recipes in the nodes that are left in a queue.
fn left(queue: BinaryHeap<Reverse<Queued>>, open_hooks: &OpenHooks) -> u64 {
    let nodes = queue.into_vec();
    let counted = nodes.iter().filter_map(|q| q.0.count).fold(0, u64::saturating_add);
    let mut roots: HashMap<u32, Vec<Node>> = HashMap::new();
    for queued in nodes.iter().filter(|q| q.0.count.is_none()) {
        roots.entry(queued.0.node.hook).or_default().push(queued.0.node);
    }
    let hooks: Vec<_> = open_hooks.hooks().filter(|(index, _)| roots.contains_key(index)).collect();
    let of_roots = |(index, hook): (u32, &Hook)| -> u64 {
        let counts = open_hooks.counts(hook);
        roots[&index]
            .iter()
            .map(|root| Context::root_count(&open_hooks.shelf, hook, &counts, root))
            .fold(0, u64::saturating_add)
    };
    hooks.into_par_iter().map(of_roots).reduce(|| 0, u64::saturating_add).saturating_add(counted)
}
