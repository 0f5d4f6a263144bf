//! The arithmetic of a box: needs, ways to tie them, and packs that ways share. No physics here.
//!
//! A plan says how many flies of each need are tied in each way. What it costs follows from it: flies of one way add up
//! over all needs, blocks of stock are whole, and packs are whole.
//!
//! Not every fly comes out right. A way says how many flies of it are enough for 1, 2, 3, ... right ones; where a need mixes
//! ways, the total is held against the most that any of them asks for.

use crate::part::Kind;
use crate::quantity::Money;
use std::cmp::Ordering;

/// A part that ways may take: what is owned, and how it is sold. Amounts are pieces or micrometres.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Supply {
    /// Kind of part.
    pub kind: Kind,
    /// Owned before.
    pub owned: u64,
    /// Content of a pack, at least 1.
    pub pack: u64,
    /// Price of a pack, 0 or more.
    pub price: Money,
    /// Whether it stands for a wish: nothing is bought, and its price is counted once, whatever is taken of it.
    pub wish: bool,
}

/// Content of what stands for a wish: more than any box takes.
pub const ENDLESS: u64 = 10_000_000;

/// What is counted on top of what is paid, so that a box of fewer different things comes first; nothing is bought for it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct OnTop {
    /// For each different recipe.
    pub recipe: Money,
    /// For each different part: hook, bead, pin, wire, foam stock.
    pub part: Money,
}

impl OnTop {
    /// Whether nothing is.
    #[must_use]
    pub fn none(&self) -> bool {
        *self == Self::default()
    }

    /// For so many different recipes and parts.
    #[must_use]
    pub fn of(&self, recipes: u32, parts: u32) -> Money {
        self.recipe.share(u64::from(recipes), 1) + self.part.share(u64::from(parts), 1)
    }
}

/// What a way takes of one supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Take {
    /// Index of the supply.
    pub supply: usize,
    /// Pieces or micrometres cut at a time, at least 1.
    pub block: u64,
    /// Flies that one block serves, at least 1.
    pub serves: u32,
}

impl Take {
    /// Pieces or micrometres for so many flies.
    #[must_use]
    pub fn amount(&self, flies: u32) -> u64 {
        u64::from(flies.div_ceil(self.serves)) * self.block
    }
}

/// One way to tie a fly: a recipe, as the planner sees it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Way {
    /// What it takes, each supply once.
    pub takes: Vec<Take>,
}

/// So many right flies that any of some ways may be used for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Need {
    /// Right flies wanted.
    pub flies: u32,
    /// Fewest right flies where a budget leaves some out.
    pub least: u32,
    /// Indices of the ways that serve.
    pub ways: Vec<usize>,
    /// How little each of them forgives: thousandths short of a margin of 1. Decides between plans of equal outlay.
    pub narrowness: Vec<u32>,
    /// Flies of each way that are enough for 0, 1, 2, ... right ones, never fewer than that. Empty: each fly is a right one.
    pub enough: Vec<Vec<u32>>,
}

impl Need {
    /// Flies of a way, by its place, that are enough for so many right ones.
    #[must_use]
    pub fn enough(&self, place: usize, right: u32) -> u32 {
        self.enough.get(place).and_then(|list| list.get(right as usize)).map_or(right, |n| *n)
    }

    /// Whether each fly is a right one.
    #[must_use]
    pub fn plain(&self) -> bool {
        (0..self.ways.len()).all(|place| self.enough(place, self.flies) == self.flies)
    }

    /// Flies to tie for so many right ones in the ways that some counts use.
    #[must_use]
    pub fn enough_in(&self, counts: &[u32], right: u32) -> u32 {
        let used = counts.iter().enumerate().filter(|(_, n)| **n > 0);
        used.map(|(place, _)| self.enough(place, right)).max().unwrap_or(right)
    }

    /// Right flies among so many of each way, as they are counted; no more than are wanted.
    #[must_use]
    pub fn right(&self, counts: &[u32]) -> u32 {
        let total: u32 = counts.iter().sum();
        (0..=self.flies.min(total)).rev().find(|right| self.enough_in(counts, *right) <= total).unwrap_or(0)
    }

    /// Most flies that are tied in any way.
    #[must_use]
    pub fn most(&self) -> u32 {
        (0..self.ways.len()).map(|place| self.enough(place, self.flies)).max().unwrap_or(self.flies)
    }
}

/// How many different things a box may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Limits {
    /// Different recipes.
    pub recipes: Option<u32>,
    /// Different hooks.
    pub hooks: Option<u32>,
    /// Different beads.
    pub beads: Option<u32>,
    /// Different foam stocks.
    pub foams: Option<u32>,
}

impl Limits {
    /// Whether there is none.
    #[must_use]
    pub fn none(&self) -> bool {
        *self == Self::default()
    }

    /// The limit on different parts of a kind.
    #[must_use]
    pub fn on(&self, kind: Kind) -> Option<u32> {
        match kind {
            Kind::Hook => self.hooks,
            Kind::Bead => self.beads,
            Kind::Foam => self.foams,
            Kind::Pin | Kind::Wire | Kind::Dressing => None,
        }
    }
}

/// Needs, ways and supplies of a box.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Problem {
    /// Needs.
    pub needs: Vec<Need>,
    /// Ways, of which each need may use some.
    pub ways: Vec<Way>,
    /// Supplies.
    pub supplies: Vec<Supply>,
    /// Limits.
    pub limits: Limits,
    /// Most that may be spent.
    pub budget: Option<Money>,
    /// What is counted on top for each different recipe, 0 or more.
    pub each_recipe: Money,
}

/// Flies tied for each need in each of its ways, in the order of [`Need::ways`].
pub type Plan = Vec<Vec<u32>>;

/// What a plan comes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Bill {
    /// Flies tied in each way.
    pub tied: Vec<u32>,
    /// Pieces or micrometres needed of each supply.
    pub needed: Vec<u64>,
    /// Packs to buy of each supply.
    pub packs: Vec<u64>,
    /// What the packs cost, with what is counted on top: see [`OnTop`].
    pub outlay: Money,
    /// Narrowness of all flies together.
    pub narrowness: u64,
    /// Right flies that are wanted and not there.
    pub missing: u32,
    /// Right flies below the least number of each need.
    pub short: u32,
    /// Different recipes.
    pub recipes: u32,
    /// Different hooks.
    pub hooks: u32,
    /// Different beads.
    pub beads: u32,
    /// Different foam stocks.
    pub foams: u32,
}

/// What makes one plan better than another, the first difference deciding: nothing over a limit, no need below its least
/// number, within the budget, no fly missing, less
/// outlay, fewer recipes, wider margins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Score {
    /// Recipes, hooks, beads and foams beyond their limits.
    pub beyond: u32,
    /// Flies below the least number of each need.
    pub short: u32,
    /// Money beyond the budget.
    pub overspent: Money,
    /// Flies missing.
    pub missing: u32,
    /// Outlay.
    pub outlay: Money,
    /// Flies tied, right ones or not.
    pub tied: u32,
    /// Different recipes.
    pub recipes: u32,
    /// Narrowness of all flies together.
    pub narrowness: u64,
}

impl Problem {
    /// A plan that ties nothing.
    #[must_use]
    pub fn nothing(&self) -> Plan {
        self.needs.iter().map(|need| vec![0; need.ways.len()]).collect()
    }

    /// What a plan comes to.
    #[must_use]
    pub fn bill(&self, plan: &Plan) -> Bill {
        let mut tied = vec![0_u32; self.ways.len()];
        let (mut missing, mut short) = (0, 0);
        let mut narrowness = 0;
        for (need, counts) in self.needs.iter().zip(plan) {
            let served = need.right(counts);
            missing += need.flies.saturating_sub(served);
            short += need.least.min(need.flies).saturating_sub(served);
            for ((way, narrow), count) in need.ways.iter().zip(&need.narrowness).zip(counts) {
                tied[*way] += count;
                narrowness += u64::from(*narrow) * u64::from(*count);
            }
        }
        let mut needed = vec![0_u64; self.supplies.len()];
        for (way, flies) in self.ways.iter().zip(&tied) {
            if *flies > 0 {
                for take in &way.takes {
                    needed[take.supply] += take.amount(*flies);
                }
            }
        }
        let packs: Vec<u64> = self.supplies.iter().zip(&needed).map(|(s, n)| s.packs(*n)).collect();
        let recipes = count(tied.iter().filter(|n| **n > 0).count());
        let bought: Money = self.supplies.iter().zip(&packs).map(|(s, packs)| s.price.share(*packs, 1)).sum();
        let outlay = bought + self.each_recipe.share(u64::from(recipes), 1);
        let real = |(s, n): &(&Supply, &u64)| !s.wish && **n > 0;
        let different =
            |kind| self.supplies.iter().zip(&needed).filter(|used| used.0.kind == kind && real(used)).count();
        Bill {
            packs,
            outlay,
            narrowness,
            missing,
            short,
            recipes,
            hooks: count(different(Kind::Hook)),
            beads: count(different(Kind::Bead)),
            foams: count(different(Kind::Foam)),
            tied,
            needed,
        }
    }

    /// Whether a plan keeps limits, least numbers and budget.
    #[must_use]
    pub fn allows(&self, plan: &Plan) -> bool {
        let score = self.score(plan);
        score.beyond == 0 && score.short == 0 && score.overspent == Money::ZERO
    }

    /// The score of a plan; less is better.
    #[must_use]
    pub fn score(&self, plan: &Plan) -> Score {
        let bill = self.bill(plan);
        let over = |used: u32, most: Option<u32>| most.map_or(0, |most| used.saturating_sub(most));
        Score {
            beyond: over(bill.recipes, self.limits.recipes)
                + over(bill.hooks, self.limits.hooks)
                + over(bill.beads, self.limits.beads)
                + over(bill.foams, self.limits.foams),
            short: bill.short,
            overspent: self.budget.map_or(Money::ZERO, |most| (bill.outlay - most).max(Money::ZERO)),
            missing: bill.missing,
            outlay: bill.outlay,
            tied: bill.tied.iter().sum(),
            recipes: bill.recipes,
            narrowness: bill.narrowness,
        }
    }

    /// Which of two plans is better (`Less` when the first is).
    #[must_use]
    pub fn compare(&self, a: &Plan, b: &Plan) -> Ordering {
        self.score(a).cmp(&self.score(b))
    }

    /// Right flies wanted in all.
    #[must_use]
    pub fn flies(&self) -> u32 {
        self.needs.iter().map(|need| need.flies).sum()
    }

    /// More packs of each supply than any plan needs.
    #[must_use]
    pub fn most_packs(&self) -> Vec<u64> {
        let mut needed = vec![0; self.supplies.len()];
        for (w, way) in self.ways.iter().enumerate() {
            let most: u32 = self.needs.iter().filter(|need| need.ways.contains(&w)).map(Need::most).sum();
            for take in &way.takes {
                needed[take.supply] += take.amount(most);
            }
        }
        self.supplies.iter().zip(needed).map(|(s, n)| s.packs(n)).collect()
    }

    /// The largest amount of which all that outlays are made of are whole multiples, millionths.
    #[must_use]
    pub fn price_step(&self) -> i64 {
        price_step(self.supplies.iter().map(|s| s.price).chain([self.each_recipe]))
    }

    /// The same problem without a budget.
    #[must_use]
    pub fn without_budget(&self) -> Self {
        Self { budget: None, ..self.clone() }
    }
}

impl Supply {
    /// Packs to buy when so much is needed.
    #[must_use]
    pub fn packs(&self, needed: u64) -> u64 {
        needed.saturating_sub(self.owned).div_ceil(self.pack)
    }
}

/// The largest amount of which all of these are whole multiples, millionths.
pub(super) fn price_step(prices: impl Iterator<Item = Money>) -> i64 {
    let gcd = |mut a: i64, mut b: i64| {
        while b != 0 {
            (a, b) = (b, a % b);
        }
        a
    };
    prices.map(|price| price.micros().max(0)).fold(0, gcd).max(1)
}

fn count(items: usize) -> u32 {
    u32::try_from(items).unwrap_or(u32::MAX)
}
