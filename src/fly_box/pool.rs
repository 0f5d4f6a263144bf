//! Recipes looked at for a box, each held against every need.

use super::known_shares::KnownShares;
use super::plan::JUDGED;
use super::problem::{Need, OnTop, Problem, Take, Way};
use super::rightness::enough;
use super::spec::BoxOrder;
use super::supplies::Supplies;
use crate::assess::judge;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::search::tariff::Tariff;
use crate::search::{Accept, Found, Observer, Wish, search_accepted, search_by};
use crate::wanted::Target;
use std::sync::atomic::{AtomicU64, Ordering};

/// A recipe that serves at least one need.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Member<'a> {
    pub(super) fly: Fly<'a>,
    /// What one fly takes, by number of the supply.
    pub(super) takes: Vec<Take>,
    /// How it serves each need that it serves.
    pub(super) serves: Vec<Option<Service>>,
}

/// How a recipe serves a need.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Service {
    /// Its margin.
    pub(super) margin: f64,
    /// Flies that are enough for 0, 1, 2, ... right ones; empty where spares are stated, and each fly counts.
    pub(super) enough: Vec<u32>,
}

impl Service {
    /// Whether no more flies are tied than for another, for any number of right ones.
    fn no_more_flies(&self, other: &Self) -> bool {
        no_more(&self.enough, &other.enough)
    }
}

/// Whether so many flies are no more than others, for any number of right ones.
pub(super) fn no_more(a: &[u32], b: &[u32]) -> bool {
    a.iter().zip(b).all(|(a, b)| a <= b)
}

/// All recipes looked at.
pub(super) struct Pool<'s, 'a> {
    pub(super) order: &'s BoxOrder,
    pub(super) catalog: &'a Catalog,
    pub(super) supplies: Supplies,
    pub(super) shares: KnownShares,
    pub(super) members: Vec<Member<'a>>,
    judged: AtomicU64,
    nodes: AtomicU64,
}

/// A problem, and the member of each of its ways.
pub(super) struct Posed {
    pub(super) problem: Problem,
    pub(super) members: Vec<usize>,
}

impl<'s, 'a> Pool<'s, 'a> {
    pub(super) fn new(order: &'s BoxOrder, catalog: &'a Catalog) -> Self {
        let (supplies, shares) = (Supplies::new(order, catalog), KnownShares::new(order));
        Self {
            order,
            catalog,
            supplies,
            shares,
            members: Vec::new(),
            judged: AtomicU64::new(0),
            nodes: AtomicU64::new(0),
        }
    }

    /// How a fly serves a need, if it is of the choice of its target and meets it.
    pub(super) fn service(&self, fly: &Fly, i: usize) -> Option<Service> {
        let need = &self.order.needs[i];
        let target = &need.target;
        let chosen = target.choice.allows(fly.hook)
            && fly.dressing.row.id == target.choice.dressing
            && target.choice.filters.iter().all(|f| f.passes(fly));
        if !chosen {
            return None;
        }
        let margin = judge(fly, target)?.margin;
        let share = self.shares.share(fly, (i, target));
        let enough_right = target.share.is_none_or(|floor| share >= floor.least);
        enough_right.then(|| Service { margin, enough: enough(need, share) })
    }

    /// The exact search for a need, by the target of one of its levels or with fewer parts.
    pub(super) fn search(&self, target: &Target, tariff: &Tariff, wish: Wish, observer: &dyn Observer) -> Found<'a> {
        self.counted(search_by(self.catalog, target, tariff, wish, observer))
    }

    /// The same among recipes that are something else besides.
    pub(super) fn search_accepted(
        &self,
        target: &Target,
        tariff: &Tariff,
        wish: Wish,
        accept: Accept,
        observer: &dyn Observer,
    ) -> Found<'a> {
        self.counted(search_accepted(self.catalog, target, tariff, wish, accept, observer))
    }

    fn counted(&self, found: Found<'a>) -> Found<'a> {
        self.judged.fetch_add(found.tally.evaluated, Ordering::Relaxed);
        self.nodes.fetch_add(found.tally.nodes, Ordering::Relaxed);
        found
    }

    /// Recipes judged in all searches so far.
    pub(super) fn judged(&self) -> u64 {
        self.judged.load(Ordering::Relaxed)
    }

    /// Work of all searches so far; see [`super::plan::BoxEffort::work`]. To be asked between searches alone, so that the
    /// same plan comes out on any machine.
    pub(super) fn work(&self) -> u64 {
        self.judged() * JUDGED + self.nodes.load(Ordering::Relaxed)
    }

    /// Adds a recipe, unless it is known; returns its number and whether it was new.
    pub(super) fn add(&mut self, fly: Fly<'a>) -> (usize, bool) {
        if let Some(known) = self.members.iter().position(|m| m.fly == fly) {
            return (known, false);
        }
        let serves = (0..self.order.needs.len()).map(|i| self.service(&fly, i)).collect();
        let takes = self.supplies.takes(&fly, self.order);
        self.members.push(Member { fly, takes, serves });
        (self.members.len() - 1, true)
    }

    /// Adds a recipe found for a need, unless one is known that serves it with no more flies and takes no more of anything;
    /// whether it was new.
    pub(super) fn add_for(&mut self, need: usize, fly: Fly<'a>) -> bool {
        let takes = self.supplies.takes(&fly, self.order);
        let known: Vec<&Service> = self
            .members
            .iter()
            .filter(|m| thriftier(&m.takes, &takes))
            .filter_map(|m| m.serves[need].as_ref())
            .collect();
        if known.iter().any(|s| s.enough.iter().zip(0..).all(|(flies, right)| *flies == right)) {
            return false;
        }
        if !known.is_empty() {
            let Some(new) = self.service(&fly, need) else { return false };
            if known.iter().any(|s| s.no_more_flies(&new)) {
                return false;
            }
        }
        self.add(fly).1
    }

    /// Whether any recipe serves a need.
    pub(super) fn serves(&self, need: usize) -> bool {
        self.members.iter().any(|m| m.serves[need].is_some())
    }

    /// The planner's problem, without members that another replaces in every plan.
    pub(super) fn pose(&self) -> Posed {
        self.posed((0..self.members.len()).filter(|m| !self.replaced(*m)).collect())
    }

    /// The same over no more members than so many that charge each need the least, by either of two charges: of a long list, the
    /// plan over those is found sooner, and hardly dearer.
    pub(super) fn pose_few(&self, most: usize, charges: impl Fn(usize, &Member<'a>) -> [f64; 2]) -> Posed {
        let whole = self.pose();
        let mut few: Vec<usize> = Vec::new();
        for n in 0..self.order.needs.len() {
            let serving = whole.members.iter().filter(|m| self.members[**m].serves[n].is_some());
            let mut charged: Vec<([f64; 2], usize)> = serving.map(|m| (charges(n, &self.members[*m]), *m)).collect();
            for by in 0..2 {
                charged.sort_by(|a, b| a.0[by].total_cmp(&b.0[by]).then(a.1.cmp(&b.1)));
                few.extend(charged.iter().take(most).map(|(_, m)| *m));
            }
        }
        few.sort_unstable();
        few.dedup();
        if few.len() < whole.members.len() { self.posed(few) } else { whole }
    }

    fn posed(&self, members: Vec<usize>) -> Posed {
        let ways = members.iter().map(|m| Way { takes: self.members[*m].takes.clone() }).collect();
        let needs = (0..self.order.needs.len()).map(|n| self.need(n, &members)).collect();
        let supplies = self.supplies.list.clone();
        let OnTop { recipe: each_recipe, .. } = self.order.on_top;
        let problem =
            Problem { needs, ways, supplies, limits: self.order.limits, budget: self.order.budget, each_recipe };
        Posed { problem, members }
    }

    fn need(&self, need: usize, members: &[usize]) -> Need {
        let mut posed = Need::default();
        for (way, m) in members.iter().enumerate() {
            if let Some(service) = &self.members[*m].serves[need] {
                posed.ways.push(way);
                posed.narrowness.push(narrowness(service.margin));
                posed.enough.push(service.enough.clone());
            }
        }
        let wanted = &self.order.needs[need];
        Need { flies: wanted.flies_wanted(), least: wanted.least, ..posed }
    }

    /// Whether some other member takes no more of anything, serves the same needs and more, and forgives as much.
    fn replaced(&self, member: usize) -> bool {
        let this = &self.members[member];
        self.members
            .iter()
            .enumerate()
            .any(|(other, that)| other != member && covers(that, this) && !(covers(this, that) && other > member))
    }
}

fn narrowness(margin: f64) -> u32 {
    (1000.0 * (1.0 - margin)).round().clamp(0.0, 1000.0) as u32
}

/// Whether what `a` takes is nowhere more than what `b` takes, for any number of flies.
pub(super) fn thriftier(a: &[Take], b: &[Take]) -> bool {
    a.iter().all(|ta| {
        b.iter().any(|tb| ta.supply == tb.supply && ta.block <= tb.block && ta.serves.is_multiple_of(tb.serves))
    })
}

/// Whether `a` can stand for `b` in every plan.
fn covers(a: &Member, b: &Member) -> bool {
    thriftier(&a.takes, &b.takes)
        && a.serves.iter().zip(&b.serves).all(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => narrowness(a.margin) <= narrowness(b.margin) && a.no_more_flies(b),
            (None, Some(_)) => false,
            (_, None) => true,
        })
}
