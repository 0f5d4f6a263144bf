//! The plan of a box, and what is proven about it.
//!
//! Flies come out right by the share of their recipe: a recipe below the share that a need asks for does not serve it, and so
//! many flies are tied that the wanted number is right with the stated certainty ([`super::rightness`]).
//!
//! 1. For each need the cheapest recipes, by material and by outlay, from the exact search. A need that the search shows
//!    to be impossible is explained and left out.
//! 2. The bound over all recipes (`super::relaxation`), whose searches find the recipes that share packs.
//! 3. The cheapest plan over the recipes met so far ([`super::exact`]): of a long list, over those that charge each need the
//!    least, for a linear program over more than a thousand takes minutes and finds none cheaper.
//! 4. Whether any other recipes make a cheaper one (`super::columns`), once the bound is near: then that one, proven.
//! 5. Where that is too much, branch and bound over the packs that are bought (`super::tree`).
//! 6. Where a budget does not pay for it: the most flies, then the least outlay, by the same steps (`super::budget`).
//! 7. Recipes are exchanged for ones of the same parts with wider margins, where that costs nothing.
//!
//! Told to stop, it goes on with what it has: the plan over the recipes met so far, and the best bound by then.

use super::exact::Effort;
use crate::fly::Fly;
use crate::purchase::ShoppingList;
use crate::quantity::Money;
use crate::search::explain::Explanation;

/// How much work goes into a box. All counts, no times: the same settings give the same box on any machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct BoxEffort {
    /// Recipes listed for each need, by material and by outlay.
    pub listed: usize,
    /// Turns of some rounds of the bound over all recipes and a list of what could still be cheaper.
    pub turns: u32,
    /// Nodes of the tree over packs, where those turns end below the best box known.
    pub nodes: u32,
    /// The planner.
    pub planner: Effort,
    /// Nodes of searches opened for bounds, a recipe judged counting as [`JUDGED`] of them, after which no more is begun.
    pub work: u64,
}

/// What a recipe judged counts as, in nodes of a search: it takes about ten times as long.
pub const JUDGED: u64 = 10;

/// Work of a box as usual: a minute or two on two cores, at most.
const WORK: u64 = 24_000_000;

impl BoxEffort {
    /// So many times the usual work.
    #[must_use]
    pub fn times(factor: f64) -> Self {
        Self { work: (WORK as f64 * factor.max(0.0)) as u64, ..Self::default() }
    }

    /// Work over the usual.
    #[must_use]
    pub fn factor(self) -> f64 {
        self.work as f64 / WORK as f64
    }
}

impl Default for BoxEffort {
    fn default() -> Self {
        Self { listed: 12, turns: 10, nodes: 60, planner: Effort::default(), work: WORK }
    }
}

/// One recipe of a box.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie<'a> {
    /// The fly.
    pub fly: Fly<'a>,
    /// Flies of it for each need.
    pub flies: Vec<u32>,
    /// Whether it meets all that each need asks for.
    pub serves: Vec<bool>,
    /// Narrowest margin in the needs that it is for.
    pub margin: f64,
    /// Tying batch, from 1: recipes of a batch share bead, mount and wire.
    pub batch: usize,
}

impl Tie<'_> {
    /// Flies of it in all.
    #[must_use]
    pub fn total(&self) -> u32 {
        self.flies.iter().sum()
    }
}

/// Whether a need can be met.
#[derive(Debug, Clone, PartialEq)]
pub enum Standing<'a> {
    /// Some recipe meets it.
    Met,
    /// No recipe at all does, and why.
    Impossible(Box<Explanation<'a>>),
    /// No recipe was found before the search was stopped.
    Stopped,
}

/// What became of one need.
#[derive(Debug, Clone, PartialEq)]
pub struct NeedResult<'a> {
    /// Right flies wanted; where spares are stated, flies with them.
    pub wanted: u32,
    /// How many of those wanted there are, as they are counted.
    pub reached: u32,
    /// Flies tied.
    pub tied: u32,
    /// Whether it can be met.
    pub standing: Standing<'a>,
}

/// Why a box is not complete.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Obstacle {
    /// A need that no recipe meets; its place in the order.
    Need(usize),
    /// A need for which none was found before the search was stopped.
    Stopped(usize),
    /// The budget is less than what all flies cost.
    Budget {
        /// Budget.
        budget: Money,
        /// Outlay of the cheapest box found that ties all flies.
        complete: Money,
        /// No box that ties all flies costs less than this.
        bound: Money,
    },
    /// The budget does not even pay for the least number of each need, by the recipes looked at.
    Least {
        /// Budget.
        budget: Money,
    },
    /// Too few different things for all flies, among the recipes looked at.
    Limit {
        /// What is limited: `recipes`, `hooks`, `beads`, `foams`.
        what: &'static str,
        /// The limit.
        limit: u32,
        /// The least limit with which all flies can be tied while the others stay, if there is one.
        least: Option<u32>,
    },
}

/// What more flies would cost.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct MoreFlies {
    /// Right flies in all.
    pub flies: u32,
    /// Least outlay found for so many.
    pub outlay: Money,
}

/// What is proven about a plan, over all recipes of the catalog.
#[derive(Debug, Clone, PartialEq)]
pub struct Proof {
    /// Recipes looked at one by one, in all searches.
    pub recipes: u64,
    /// No box within limits and budget leaves out fewer flies of the needs that can be met; where nothing is bounded, 0.
    pub least_missing: u32,
    /// No box that leaves out only so many flies costs less than this, with what different things count on top; none where
    /// nothing is bounded.
    pub bound: Option<Money>,
    /// Whether the plan is proven to be the best: the most flies, then the least outlay.
    pub best: bool,
    /// Whether it was told to stop.
    pub stopped: bool,
    /// What was allowed of the usual work, where planning was ended because that was done.
    pub worked_out: Option<f64>,
    /// Branch-and-bound nodes.
    pub nodes: u64,
}

/// How many different things a box is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Different {
    /// Recipes.
    pub recipes: u32,
    /// Hooks, beads, pins, wires and foam stocks.
    pub parts: u32,
}

/// A planned box.
#[derive(Debug, Clone, PartialEq)]
pub struct BoxPlan<'a> {
    /// Recipes, in tying order.
    pub ties: Vec<Tie<'a>>,
    /// Needs, in the order of the file.
    pub needs: Vec<NeedResult<'a>>,
    /// What to buy.
    pub shopping: ShoppingList,
    /// How many different things it is made of.
    pub different: Different,
    /// What the plan is judged by: the outlay, with what different things count on top.
    pub counted: Money,
    /// Why it is not complete, if it is not.
    pub obstacles: Vec<Obstacle>,
    /// What the next flies would cost, where a budget leaves some out.
    pub more: Vec<MoreFlies>,
    /// What is proven.
    pub proof: Proof,
}

impl BoxPlan<'_> {
    /// Whether every fly is tied.
    #[must_use]
    pub fn complete(&self) -> bool {
        self.needs.iter().all(|need| need.reached >= need.wanted)
    }

    /// Whether it is proven that no box ties every fly within the budget.
    #[must_use]
    pub fn proven_incomplete(&self) -> bool {
        let impossible = self.needs.iter().any(|need| matches!(need.standing, Standing::Impossible(_)));
        impossible || self.proof.least_missing > 0
    }
}
