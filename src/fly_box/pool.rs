//! Recipes looked at for a box, each held against every need, and the planner's problem made of them.

use super::problem::{Need, Problem, Supply, Take, Way};
use super::spec::BoxOrder;
use crate::assess::judge;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::purchase::{PartId, PartUse, uses};
use crate::quantity::Money;
use crate::wanted::Target;
use std::collections::BTreeMap;

/// A recipe that serves at least one need.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Member<'a> {
    pub(super) fly: Fly<'a>,
    pub(super) uses: Vec<PartUse>,
    /// Its margin in each need that it serves.
    pub(super) margins: Vec<Option<f64>>,
}

/// All recipes looked at.
pub(super) struct Pool<'s, 'a> {
    pub(super) order: &'s BoxOrder,
    pub(super) catalog: &'a Catalog,
    pub(super) members: Vec<Member<'a>>,
}

/// A problem, and what its indices stand for.
pub(super) struct Posed {
    pub(super) problem: Problem,
    /// Member of each way.
    pub(super) members: Vec<usize>,
    /// Part of each supply.
    pub(super) parts: Vec<PartId>,
}

/// The margin of a fly in a target, if it is of the target's choice and meets it.
pub(super) fn margin_in(fly: &Fly, target: &Target) -> Option<f64> {
    let chosen = target.choice.allows(fly.hook)
        && fly.dressing.row.id == target.choice.dressing
        && target.choice.filters.iter().all(|f| f.passes(fly));
    if chosen { judge(fly, target).map(|j| j.margin) } else { None }
}

impl<'s, 'a> Pool<'s, 'a> {
    pub(super) fn new(order: &'s BoxOrder, catalog: &'a Catalog) -> Self {
        Self { order, catalog, members: Vec::new() }
    }

    /// Adds a recipe, unless it is known; returns whether it was new.
    pub(super) fn add(&mut self, fly: Fly<'a>) -> bool {
        if self.members.iter().any(|m| m.fly == fly) {
            return false;
        }
        let margins = self.order.needs.iter().map(|need| margin_in(&fly, &need.target)).collect();
        let uses = uses(&fly, self.order.allowance);
        self.members.push(Member { fly, uses, margins });
        true
    }

    /// Whether any recipe serves a need.
    pub(super) fn serves(&self, need: usize) -> bool {
        self.members.iter().any(|m| m.margins[need].is_some())
    }

    /// The planner's problem, without members that another replaces in every plan.
    pub(super) fn pose(&self) -> Posed {
        let members: Vec<usize> = (0..self.members.len()).filter(|m| !self.replaced(*m)).collect();
        let mut index: BTreeMap<&PartId, usize> =
            members.iter().flat_map(|m| &self.members[*m].uses).map(|used| (&used.part, 0)).collect();
        for (place, at) in index.values_mut().enumerate() {
            *at = place;
        }
        let supplies = index.keys().map(|part| self.supply(part)).collect();
        let way = |m: &usize| {
            let takes = self.members[*m].uses.iter().map(|used| Take {
                supply: index.get(&used.part).copied().unwrap_or_default(),
                block: used.block.max(1),
                serves: used.serves.max(1),
            });
            Way { takes: takes.collect() }
        };
        let ways = members.iter().map(way).collect();
        let needs = (0..self.order.needs.len()).map(|n| self.need(n, &members)).collect();
        let problem = Problem { needs, ways, supplies, limits: self.order.limits, budget: self.order.budget };
        Posed { problem, parts: index.into_keys().cloned().collect(), members }
    }

    fn supply(&self, part: &PartId) -> Supply {
        let row = self.catalog.row(part.kind, &part.id);
        Supply {
            kind: part.kind,
            owned: self.order.owned.get(part),
            pack: row.map_or(1, |r| r.pack.unit.content().max(1)),
            price: row.map_or(Money::ZERO, |r| r.pack.price.max(Money::ZERO)),
        }
    }

    fn need(&self, need: usize, members: &[usize]) -> Need {
        let (ways, narrowness) = members
            .iter()
            .enumerate()
            .filter_map(|(way, m)| Some((way, narrowness(self.members[*m].margins[need]?))))
            .unzip();
        Need { flies: self.order.needs[need].flies, ways, narrowness }
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

/// Whether `a` can stand for `b` in every plan.
fn covers(a: &Member, b: &Member) -> bool {
    let thrifty = a.uses.iter().all(|ua| {
        b.uses.iter().any(|ub| ua.part == ub.part && ua.block <= ub.block && ua.serves.is_multiple_of(ub.serves))
    });
    thrifty
        && a.margins.iter().zip(&b.margins).all(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => narrowness(*a) <= narrowness(*b),
            (None, Some(_)) => false,
            (_, None) => true,
        })
}
