//! The total order of recipes, and the best K under it.
//!
//! Cost is compared by the hundredth of the currency, as it is shown: material worth a thousandth of a cent must not
//! decide against a recipe that forgives more.

use crate::assess::Judgement;
use crate::fly::{Fly, FrontMount, Idea};
use crate::quantity::Money;
use std::cmp::Ordering;

/// A recipe that meets the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate<'a> {
    /// The fly.
    pub fly: Fly<'a>,
    /// Cost and margin.
    pub judgement: Judgement,
    /// What it is ranked by: its cost, unless the search is by another tariff.
    pub price: Money,
    /// Share of flies that come out right, where the target asks for one.
    pub share: Option<f64>,
}

impl<'a> Candidate<'a> {
    /// Ranked by the cost of its material.
    #[must_use]
    pub fn new(fly: Fly<'a>, judgement: Judgement) -> Self {
        Self { fly, judgement, price: judgement.cost, share: None }
    }
}

/// What counts as too much alike to be listed twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Variety {
    /// List every recipe.
    Every,
    /// One for each set of parts, cut and seat: not one more wrap, nor half a millimetre less foam.
    #[default]
    Parts,
    /// One for each hook, bead and mount.
    Bead,
    /// One for each idea of balancing a fly: bead at the eye with tail foam, moulded head, wire without bead, ...
    Idea,
    /// One for each set of supplies: hook, bead, pin, wire and foam stock, however cut and seated. Which one of equal price
    /// does not matter: margins do not count. For planners.
    Supplies,
    /// The same, and none that takes all the supplies of a listed one and more, unless it costs less.
    FewestSupplies,
}

impl Variety {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::Every, Self::Parts, Self::Bead, Self::Idea];

    /// The word used on the command line.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Every => "every",
            Self::Parts => "parts",
            Self::Bead => "bead",
            Self::Idea => "idea",
            Self::Supplies => "supplies",
            Self::FewestSupplies => "fewest-supplies",
        }
    }

    /// Whether price alone decides, and any recipe of a price will do.
    #[must_use]
    pub fn by_price_alone(self) -> bool {
        matches!(self, Self::Supplies | Self::FewestSupplies)
    }

    /// Whether two flies are alike; for the fewest supplies, whether the second takes all that the first takes.
    #[must_use]
    pub fn alike(self, a: &Fly, b: &Fly) -> bool {
        match self {
            Self::Every => a == b,
            Self::Parts => {
                same_front(a, b)
                    && a.wraps.map(|w| &w.wire.row.id) == b.wraps.map(|w| &w.wire.row.id)
                    && a.foam.map(|f| (&f.foam.row.id, f.cut, f.seat))
                        == b.foam.map(|f| (&f.foam.row.id, f.cut, f.seat))
            }
            Self::Bead => same_front(a, b),
            Self::Idea => Idea::of(a) == Idea::of(b),
            Self::Supplies => {
                same_front(a, b)
                    && a.wraps.map(|w| &w.wire.row.id) == b.wraps.map(|w| &w.wire.row.id)
                    && a.foam.map(|f| &f.foam.row.id) == b.foam.map(|f| &f.foam.row.id)
            }
            Self::FewestSupplies => takes_all(a, b),
        }
    }
}

/// Whether a fly takes every supply that another takes.
fn takes_all(less: &Fly, more: &Fly) -> bool {
    let pin = |fly: &Fly| match fly.bead {
        Some((_, FrontMount::Pin(pin, _))) => Some(pin.row.id.clone()),
        _ => None,
    };
    let within = |less: Option<&str>, more: Option<&str>| less.is_none() || less == more;
    less.hook.row.id == more.hook.row.id
        && within(less.bead.map(|b| b.0.row.id.as_str()), more.bead.map(|b| b.0.row.id.as_str()))
        && within(pin(less).as_deref(), pin(more).as_deref())
        && within(less.wraps.map(|w| w.wire.row.id.as_str()), more.wraps.map(|w| w.wire.row.id.as_str()))
        && within(less.foam.map(|f| f.foam.row.id.as_str()), more.foam.map(|f| f.foam.row.id.as_str()))
}

fn same_front(a: &Fly, b: &Fly) -> bool {
    let front = |fly: &Fly| {
        fly.bead.map(|(bead, mount)| {
            let pin = match mount {
                FrontMount::Eye => None,
                FrontMount::Pin(pin, _) => Some(pin.row.id.clone()),
            };
            (bead.row.id.clone(), pin)
        })
    };
    a.hook.row.id == b.hook.row.id && front(a) == front(b)
}

/// Cost in whole hundredths of the currency, rounded half up.
#[must_use]
pub fn cents(cost: Money) -> i64 {
    cost.cents()
}

/// Price by the cent, then margin (wider first), then price and material to the last digit, then catalog ids: no two
/// different recipes are equal.
#[must_use]
pub fn order(a: &Candidate, b: &Candidate) -> Ordering {
    cents(a.price)
        .cmp(&cents(b.price))
        .then_with(|| b.judgement.margin.total_cmp(&a.judgement.margin))
        .then_with(|| a.price.cmp(&b.price))
        .then_with(|| a.judgement.cost.cmp(&b.judgement.cost))
        .then_with(|| a.fly.recipe().cmp(&b.fly.recipe()))
}

/// What a recipe must beat to enter a full list.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cutoff {
    /// Price, in cents: anything dearer is out.
    pub cents: i64,
    /// Margin: at the same price, anything narrower is out.
    pub margin: f64,
}

impl Cutoff {
    /// Whether a recipe of this cost with at most this margin is not out.
    #[must_use]
    pub fn lets_in(&self, candidate: &Candidate) -> bool {
        let cost = cents(candidate.price);
        cost < self.cents || (cost == self.cents && candidate.judgement.margin >= self.margin)
    }

    /// The harder one to beat.
    #[must_use]
    pub fn harder(self, other: Self) -> Self {
        let first = (self.cents, -self.margin);
        let second = (other.cents, -other.margin);
        if first.0 < second.0 || (first.0 == second.0 && first.1 <= second.1) { self } else { other }
    }
}

/// The best K seen so far, in order, no two alike.
#[derive(Debug, Clone, PartialEq)]
pub struct Incumbents<'a> {
    keep: usize,
    variety: Variety,
    list: Vec<Candidate<'a>>,
}

impl<'a> Incumbents<'a> {
    /// None seen yet; keeps at least one.
    #[must_use]
    pub fn new(keep: usize, variety: Variety) -> Self {
        Self { keep: keep.max(1), variety, list: Vec::new() }
    }

    /// Takes one more into account.
    pub fn offer(&mut self, candidate: Candidate<'a>) {
        let at = self.list.partition_point(|known| order(known, &candidate) == Ordering::Less);
        if at >= self.keep {
            return;
        }
        if self.variety.by_price_alone() {
            let stands_for = |known: &Candidate| self.variety.alike(&known.fly, &candidate.fly);
            if self.list.iter().any(|k| cents(k.price) <= cents(candidate.price) && stands_for(k)) {
                return;
            }
            self.list.retain(|known| !Variety::Supplies.alike(&known.fly, &candidate.fly));
            let at = self.list.partition_point(|known| order(known, &candidate) == Ordering::Less);
            self.list.insert(at, candidate);
            self.list.truncate(self.keep);
            return;
        }
        let alike = |known: &Candidate| self.variety.alike(&known.fly, &candidate.fly);
        if let Some(known) = self.list.iter().position(alike) {
            if known < at {
                return;
            }
            self.list.remove(known);
        }
        self.list.insert(at, candidate);
        self.list.truncate(self.keep);
    }

    /// Whether a recipe with at most this margin could still enter: false is certain, since a narrower margin ranks it no
    /// better.
    #[must_use]
    pub fn would_take(&self, candidate: &Candidate<'a>) -> bool {
        let at = self.list.partition_point(|known| order(known, candidate) == Ordering::Less);
        at < self.keep && !self.list[..at].iter().any(|known| self.variety.alike(&known.fly, &candidate.fly))
    }

    /// Takes all of another list into account.
    pub fn merge(&mut self, other: Self) {
        for candidate in other.list {
            self.offer(candidate);
        }
    }

    /// What a recipe must beat to enter; `None` while there is room.
    #[must_use]
    pub fn cutoff(&self) -> Option<Cutoff> {
        if self.list.len() < self.keep {
            return None;
        }
        self.list.last().map(|c| Cutoff { cents: cents(c.price), margin: c.judgement.margin })
    }

    /// The list, best first.
    #[must_use]
    pub fn list(&self) -> &[Candidate<'a>] {
        &self.list
    }
}
