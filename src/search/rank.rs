//! The total order of recipes, and the best K under it.

use crate::assess::Judgement;
use crate::fly::Fly;
use crate::quantity::Money;
use std::cmp::Ordering;

/// A recipe that meets the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate<'a> {
    /// The fly.
    pub fly: Fly<'a>,
    /// Cost and margin.
    pub judgement: Judgement,
}

/// Cost, then margin (wider first), then catalog ids: no two different recipes are equal.
#[must_use]
pub fn order(a: &Candidate, b: &Candidate) -> Ordering {
    a.judgement
        .cost
        .cmp(&b.judgement.cost)
        .then_with(|| b.judgement.margin.total_cmp(&a.judgement.margin))
        .then_with(|| a.fly.recipe().cmp(&b.fly.recipe()))
}

/// The best K seen so far, in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Best<'a> {
    keep: usize,
    list: Vec<Candidate<'a>>,
}

impl<'a> Best<'a> {
    /// None seen yet; keeps at least one.
    #[must_use]
    pub fn new(keep: usize) -> Self {
        Self { keep: keep.max(1), list: Vec::new() }
    }

    /// Takes one more into account.
    pub fn offer(&mut self, candidate: Candidate<'a>) {
        let at = self.list.partition_point(|known| order(known, &candidate) == Ordering::Less);
        if at < self.keep {
            self.list.insert(at, candidate);
            self.list.truncate(self.keep);
        }
    }

    /// Takes all of another list into account.
    pub fn merge(&mut self, other: Self) {
        for candidate in other.list {
            self.offer(candidate);
        }
    }

    /// Cost above which nothing can enter any more; `None` while there is room.
    #[must_use]
    pub fn cutoff(&self) -> Option<Money> {
        if self.list.len() < self.keep { None } else { self.list.last().map(|c| c.judgement.cost) }
    }

    /// The list, best first.
    #[must_use]
    pub fn list(&self) -> &[Candidate<'a>] {
        &self.list
    }
}
