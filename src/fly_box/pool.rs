//! Recipes looked at for a box, each held against every need.

use super::problem::{Need, Problem, Take, Way};
use super::spec::BoxOrder;
use super::supplies::Supplies;
use crate::assess::judge;
use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::spread::shares::share_above;
use crate::wanted::Target;

/// A recipe that serves at least one need.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Member<'a> {
    pub(super) fly: Fly<'a>,
    /// What one fly takes, by number of the supply.
    pub(super) takes: Vec<Take>,
    /// Its margin in each need that it serves.
    pub(super) margins: Vec<Option<f64>>,
}

/// All recipes looked at.
pub(super) struct Pool<'s, 'a> {
    pub(super) order: &'s BoxOrder,
    pub(super) catalog: &'a Catalog,
    pub(super) supplies: Supplies,
    pub(super) members: Vec<Member<'a>>,
}

/// A problem, and the member of each of its ways.
pub(super) struct Posed {
    pub(super) problem: Problem,
    pub(super) members: Vec<usize>,
}

/// The margin of a fly in a target, if it is of the target's choice and meets it.
pub(super) fn margin_in(fly: &Fly, target: &Target) -> Option<f64> {
    let chosen = target.choice.allows(fly.hook)
        && fly.dressing.row.id == target.choice.dressing
        && target.choice.filters.iter().all(|f| f.passes(fly));
    if !chosen {
        return None;
    }
    let margin = judge(fly, target)?.margin;
    target.share.as_ref().is_none_or(|floor| share_above(fly, target, floor).is_some()).then_some(margin)
}

impl<'s, 'a> Pool<'s, 'a> {
    pub(super) fn new(order: &'s BoxOrder, catalog: &'a Catalog) -> Self {
        Self { order, catalog, supplies: Supplies::new(order, catalog), members: Vec::new() }
    }

    /// Adds a recipe, unless it is known; returns its number and whether it was new.
    pub(super) fn add(&mut self, fly: Fly<'a>) -> (usize, bool) {
        if let Some(known) = self.members.iter().position(|m| m.fly == fly) {
            return (known, false);
        }
        let margins = self.order.needs.iter().map(|need| margin_in(&fly, &need.target)).collect();
        let takes = self.supplies.takes(&fly, self.order);
        self.members.push(Member { fly, takes, margins });
        (self.members.len() - 1, true)
    }

    /// Adds a recipe found for a need, unless one is known that serves it and takes no more of anything; whether it was new.
    pub(super) fn add_for(&mut self, need: usize, fly: Fly<'a>) -> bool {
        let takes = self.supplies.takes(&fly, self.order);
        let known = |m: &Member| m.margins[need].is_some() && thriftier(&m.takes, &takes);
        !self.members.iter().any(known) && self.add(fly).1
    }

    /// Whether any recipe serves a need.
    pub(super) fn serves(&self, need: usize) -> bool {
        self.members.iter().any(|m| m.margins[need].is_some())
    }

    /// The planner's problem, without members that another replaces in every plan.
    pub(super) fn pose(&self) -> Posed {
        let members: Vec<usize> = (0..self.members.len()).filter(|m| !self.replaced(*m)).collect();
        let ways = members.iter().map(|m| Way { takes: self.members[*m].takes.clone() }).collect();
        let needs = (0..self.order.needs.len()).map(|n| self.need(n, &members)).collect();
        let supplies = self.supplies.list.clone();
        let problem = Problem { needs, ways, supplies, limits: self.order.limits, budget: self.order.budget };
        Posed { problem, members }
    }

    fn need(&self, need: usize, members: &[usize]) -> Need {
        let (ways, narrowness) = members
            .iter()
            .enumerate()
            .filter_map(|(way, m)| Some((way, narrowness(self.members[*m].margins[need]?))))
            .unzip();
        let wanted = &self.order.needs[need];
        Need { flies: wanted.flies, least: wanted.least, ways, narrowness }
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
        && a.margins.iter().zip(&b.margins).all(|(a, b)| match (a, b) {
            (Some(a), Some(b)) => narrowness(*a) <= narrowness(*b),
            (None, Some(_)) => false,
            (_, None) => true,
        })
}
