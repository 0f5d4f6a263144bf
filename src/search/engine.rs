//! Best-first branch and bound, in rounds that do not depend on the number of threads.

use super::hook_tables::HookTables;
use super::node::{Context, Node, Sum};
use super::rank::{Best, Candidate, Cutoff, cents};
use super::shelf::Shelf;
use super::tariff::Tariff;
use super::{Found, Least, Observer, Progress, Pruned, Tally, Wish};
use crate::assess::{Judgement, judge_history, judge_quick, predict};
use crate::catalog::Catalog;
use crate::fly::{self, Fly};
use crate::part::{Dressing, Hook, Kind};
use crate::quantity::Money;
use crate::target::Target;
use rayon::prelude::*;
use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;
use std::sync::OnceLock;

/// Nodes per round: enough work for some cores, few enough that the cutoff stays fresh.
const ROUND: usize = 64;
/// Nodes that a task opens before it hands the rest back.
const OPENED: usize = 96;
/// Nodes in the queue above which tasks dig down instead: a few hundred bytes a node must not fill the memory.
const MOST_QUEUED: usize = 300_000;
/// Nodes that a task opens when it digs down.
const DUG: usize = 20_000;

/// A node in the queue: cheapest first, then the one that was split most, then the oldest.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Queued {
    cents: i64,
    depth: Reverse<u32>,
    age: u64,
    node: Node,
}

impl Ord for Queued {
    fn cmp(&self, other: &Self) -> Ordering {
        (self.cents, self.depth, self.age).cmp(&(other.cents, other.depth, other.age))
    }
}

impl PartialOrd for Queued {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

struct HookState<'a> {
    hook: &'a Hook,
    tables: OnceLock<HookTables<'a>>,
}

/// One search.
pub(super) struct Engine<'s, 'a> {
    target: &'s Target,
    wish: Wish,
    least: Least,
    tariff: &'s Tariff,
    shelf: Shelf<'a>,
    dressing: Option<&'a Dressing>,
    hooks: Vec<HookState<'a>>,
}

/// What a task hands back.
struct Done<'a> {
    best: Best<'a>,
    tally: Tally,
    rest: Vec<Queued>,
}

impl<'s, 'a> Engine<'s, 'a> {
    pub(super) fn new(catalog: &'a Catalog, target: &'s Target, tariff: &'s Tariff, wish: Wish, least: Least) -> Self {
        let hooks = catalog
            .hooks
            .iter()
            .filter(|hook| target.choice.allows(hook))
            .map(|hook| HookState { hook, tables: OnceLock::new() })
            .collect();
        Self {
            target,
            wish,
            least,
            tariff,
            shelf: Shelf::new(catalog, target, tariff),
            dressing: catalog.dressing(&target.choice.dressing),
            hooks,
        }
    }

    pub(super) fn run(&self, observer: &dyn Observer) -> Found<'a> {
        let mut best = Best::new(self.wish.top, self.wish.variety);
        let mut tally = Tally::default();
        let mut queue = self.roots();
        let mut age = queue.len() as u64;
        let mut stopped = false;
        while let Some(least) = queue.peek().map(|q| q.0.cents) {
            let cutoff = best.cutoff();
            if cutoff.is_some_and(|c| least > c.cents) {
                break;
            }
            if observer.stop() {
                stopped = true;
                break;
            }
            let round: Vec<Queued> = std::iter::from_fn(|| queue.pop().map(|q| q.0)).take(ROUND).collect();
            let dig = queue.len() > MOST_QUEUED;
            let results: Vec<Done> = round.into_par_iter().map(|q| self.open(q, cutoff, dig)).collect();
            for done in results {
                best.merge(done.best);
                tally.add(done.tally);
                for mut rest in done.rest {
                    rest.age = age;
                    age += 1;
                    queue.push(Reverse(rest));
                }
            }
            observer.round_done(&Progress {
                evaluated: tally.evaluated,
                cutoff: best.cutoff(),
                bound: queue.peek().map(|q| Money::from_micros(q.0.cents * 10_000)),
            });
        }
        let bound = queue.peek().filter(|_| stopped).map(|q| Money::from_micros(q.0.cents * 10_000));
        let rest: u64 =
            queue.into_vec().par_iter().map(|q| self.context(&q.0.node).map_or(0, |c| c.count(&q.0.node))).sum();
        if stopped {
            tally.unexplored += rest;
        } else {
            tally.cost += rest;
        }
        Found { candidates: best.list().to_vec(), space: tally.total(), tally, bound }
    }

    fn roots(&self) -> BinaryHeap<Reverse<Queued>> {
        let mut age = 0;
        let mut queue = BinaryHeap::new();
        for (i, state) in self.hooks.iter().enumerate() {
            let index = u32::try_from(i).unwrap_or(u32::MAX);
            let base = self.base_price(state.hook);
            for node in Context::roots(&self.shelf, state.hook, index) {
                let price = Context::root_price(&self.shelf, state.hook, base, &node);
                age += 1;
                queue.push(Reverse(Queued { cents: cents(Money::from_micros(price)), depth: Reverse(0), age, node }));
            }
        }
        queue
    }

    /// Price of hook and dressing, millionths.
    fn base_price(&self, hook: &Hook) -> i64 {
        let dressing = self.dressing.map_or(Money::ZERO, |d| self.tariff.dressing(d));
        (self.tariff.charge(Kind::Hook, &hook.row).piece() + dressing).micros()
    }

    fn context(&self, node: &Node) -> Option<Context<'_, 'a>> {
        let state = &self.hooks[node.hook as usize];
        let dressing = self.dressing?;
        let tables = state.tables.get_or_init(|| {
            let price = self.base_price(state.hook);
            HookTables::new(state.hook, dressing, &self.shelf, self.target, &self.least, price)
        });
        Some(Context { shelf: &self.shelf, target: self.target, tables })
    }

    /// Opens a node and what comes out of it up to a fixed number of nodes: cheapest first, or, to dig, deepest first,
    /// which hands back hardly more than it took.
    fn open(&self, root: Queued, cutoff: Option<Cutoff>, dig: bool) -> Done<'a> {
        let mut done =
            Done { best: Best::new(self.wish.top, self.wish.variety), tally: Tally::default(), rest: Vec::new() };
        let Some(context) = self.context(&root.node) else { return done };
        let Some(dressing) = self.dressing else { return done };
        let mut age = 0;
        let mut queue = BinaryHeap::from([Reverse(Queued { node: context.normal(root.node), ..root })]);
        for _ in 0..if dig { DUG } else { OPENED } {
            let Some(Reverse(next)) = queue.pop() else { break };
            let hardest = match (cutoff, done.best.cutoff()) {
                (Some(a), Some(b)) => Some(a.harder(b)),
                (a, b) => a.or(b),
            };
            let Some((sum, node)) = self.survives(&context, &next.node, hardest, &mut done.tally) else { continue };
            match context.split(&node, &sum) {
                None => {
                    let fly = context.fly(&node, dressing);
                    if fly::first_misfit(&fly, &self.target.limits).is_some() {
                        done.tally.misfit += 1;
                        continue;
                    }
                    done.tally.evaluated += 1;
                    // What takes a history in time is asked only of recipes that would enter the list.
                    let quick = judge_quick(&fly, self.target).map(|judgement| self.candidate(fly, judgement));
                    let enters = |c: &Candidate<'a>| done.best.would_take(c) && cutoff.is_none_or(|k| k.lets_in(c));
                    if let Some(candidate) = quick.filter(enters)
                        && let Some(judgement) = judge_history(&fly, self.target, candidate.judgement)
                        && self.enough(&fly, &judgement)
                    {
                        done.best.offer(self.candidate(fly, judgement));
                    }
                }
                Some(halves) => {
                    for half in halves {
                        age += 1;
                        let price = sum.total.price.max(0);
                        let depth = Reverse(next.depth.0 + 1);
                        // To dig, all that comes out of a node passes for as cheap as the node: then depth alone decides.
                        let cents = if dig { next.cents } else { cents(Money::from_micros(price)).max(next.cents) };
                        queue.push(Reverse(Queued { cents, depth, age, node: half }));
                    }
                }
            }
        }
        done.rest = queue.into_sorted_vec().into_iter().rev().map(|q| q.0).collect();
        done
    }

    fn candidate(&self, fly: Fly<'a>, judgement: Judgement) -> Candidate<'a> {
        let price = if self.tariff.is_material() { judgement.cost } else { self.tariff.price(&fly) };
        Candidate { fly, judgement, price }
    }

    /// Whether a recipe has the margin and sink rate that are wanted beyond the target.
    fn enough(&self, fly: &Fly, judgement: &Judgement) -> bool {
        let fast = |rate: f64| predict(fly, &self.target.conditions).lowered.sink_rate >= rate;
        judgement.margin >= self.least.margin && self.least.sink_rate.is_none_or(fast)
    }

    /// The sum of a node that may hold a recipe for the list; otherwise counts it as dropped.
    fn survives(
        &self,
        context: &Context<'_, 'a>,
        node: &Node,
        cutoff: Option<Cutoff>,
        tally: &mut Tally,
    ) -> Option<(Sum, Node)> {
        tally.nodes += 1;
        let count = context.count(node);
        if count == 0 {
            return None;
        }
        let Some(sum) = context.sum(node) else {
            tally.misfit += count;
            return None;
        };
        match self.prune(context, &sum, cutoff) {
            Some(reason) => {
                tally.prune(reason, count);
                None
            }
            None => Some((sum, *node)),
        }
    }

    fn prune(&self, context: &Context, sum: &Sum, cutoff: Option<Cutoff>) -> Option<Pruned> {
        let total = &sum.total;
        let bounds = &context.tables.bounds;
        let price = Money::from_micros(total.price);
        let least = cents(price);
        // By another tariff the price bounds no cost: that is left to the judge.
        let too_dear = self.tariff.is_material() && self.target.max_cost.is_some_and(|most| price > most);
        if too_dear || cutoff.is_some_and(|c| least > c.cents) {
            Some(Pruned::Cost)
        } else if total.weight.high <= 0.0 {
            Some(Pruned::Weight)
        } else if bounds.mass_impossible(total.mass) {
            Some(Pruned::Mass)
        } else if bounds.hang_impossible(&total.turning, total.weight) {
            Some(Pruned::Hang)
        } else if bounds.has_sink() && bounds.sink_impossible(total.weight, total.drag) {
            Some(Pruned::SinkRate)
        } else if bounds.jointly_impossible(&total.joint, total.drag) {
            Some(Pruned::Hang)
        } else if self.least.margin > 0.0 && bounds.margin_impossible(&total.turning, total.weight, self.least.margin) {
            Some(Pruned::Margin)
        } else {
            // At the cost of the last in the list, only a wider margin gets in.
            let tied = cutoff.filter(|c| least == c.cents)?;
            bounds.margin_impossible(&total.turning, total.weight, tied.margin).then_some(Pruned::Margin)
        }
    }
}
