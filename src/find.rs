//! The main job: the recipes that meet a target, in the order wanted, with how sure each one is.

use crate::catalog::Catalog;
use crate::quantity::Microns;
use crate::search::explain::{Explanation, explain};
use crate::search::rank::{Candidate, Variety};
use crate::search::refine::centred;
use crate::search::tariff::Tariff;
use crate::search::{Found, Observer, Wish, pareto::front, search, search_by};
use crate::spread::{Shares, shares};
use crate::wanted::{Counted, ShareFloor, Target};

/// What a list holds and in which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Listing {
    /// The cheapest first.
    #[default]
    Cheapest,
    /// The surest first, of the cheapest 200.
    Surest,
    /// Recipes that no other beats in cost, margin and sink rate at once.
    Front,
}

/// Share of flies that must come out right where nothing is said.
pub const LEAST_SHARE: f64 = 0.8;

/// The share that is asked for where nothing is said: none where a target takes a history in time, since the share of each
/// recipe then takes dozens of them.
#[must_use]
pub fn usual_floor(target: &Target) -> Option<ShareFloor> {
    let quick = !target.fall.takes_a_history();
    quick.then_some(ShareFloor { least: LEAST_SHARE, counted: Counted::Trimmed })
}

/// Cheapest recipes of which the surest are listed first.
const POOL: usize = 200;
/// The same with one for each bead or idea: those are few, and the search has to look far for them.
const SMALL_POOL: usize = 50;

/// What is wanted of a list of recipes.
#[derive(Debug, Clone)]
pub struct Order {
    /// What each recipe must do, the share of flies that come out right included.
    pub target: Target,
    /// What is cheap.
    pub tariff: Tariff,
    /// Which recipes, in which order.
    pub listing: Listing,
    /// How many recipes.
    pub top: usize,
    /// How different they are.
    pub variety: Variety,
    /// Centre each recipe on this finer step of foam length and wrap position.
    pub fine_step: Option<Microns>,
}

impl Order {
    /// The five cheapest recipes in material, each of other parts, of which the usual share of flies comes out right.
    #[must_use]
    pub fn new(target: Target) -> Self {
        let share = target.share.or_else(|| usual_floor(&target));
        Self {
            target: Target { share, ..target },
            tariff: Tariff::Material,
            listing: Listing::Cheapest,
            top: 5,
            variety: Variety::default(),
            fine_step: None,
        }
    }

    /// Of how many of the cheapest the surest are listed first.
    #[must_use]
    pub fn pool(&self) -> Option<usize> {
        let small = matches!(self.variety, Variety::Bead | Variety::Idea);
        (self.listing == Listing::Surest).then_some(if small { SMALL_POOL } else { POOL })
    }
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Answer<'a> {
    /// The recipes, and how the search ended.
    pub found: Found<'a>,
    /// The shares of each recipe that come out right.
    pub shares: Vec<Shares>,
    /// Why nothing meets the target, if that is proven.
    pub explanation: Option<Explanation<'a>>,
}

/// Finds recipes.
#[must_use]
pub fn find<'a>(catalog: &'a Catalog, order: &Order, observer: &dyn Observer) -> Answer<'a> {
    let target = &order.target;
    let mut found = match order.listing {
        Listing::Front => front_of(catalog, target, observer),
        Listing::Cheapest | Listing::Surest => {
            let top = order.top.max(order.pool().unwrap_or_default());
            search_by(catalog, target, &order.tariff, Wish { top, variety: order.variety }, observer)
        }
    };
    if let Some(step) = order.fine_step {
        for candidate in &mut found.candidates {
            *candidate = centred(candidate, target, &order.tariff, step);
        }
    }
    let shares = with_shares(order, &mut found);
    let explanation = (found.candidates.is_empty() && found.proven()).then(|| explain(catalog, target, observer));
    Answer { found, shares, explanation }
}

/// The shares of each recipe; where the surest come first, in that order.
fn with_shares(order: &Order, found: &mut Found) -> Vec<Shares> {
    let mut list: Vec<(Candidate, Shares)> =
        found.candidates.iter().map(|candidate| (*candidate, shares(&candidate.fly, &order.target))).collect();
    if order.listing == Listing::Surest {
        // A stable sort: of those as sure the cheaper one stays first.
        list.sort_by(|a, b| b.1.counted().total_cmp(&a.1.counted()));
        list.truncate(order.top);
    }
    let (candidates, shares) = list.into_iter().unzip();
    found.candidates = candidates;
    shares
}

/// The front, with the certificate of the search for its cheapest recipe.
fn front_of<'a>(catalog: &'a Catalog, target: &Target, observer: &dyn Observer) -> Found<'a> {
    let mut found = search(catalog, target, Wish { top: 1, variety: Variety::Every }, observer);
    let (points, whole) = front(catalog, target, observer);
    found.candidates = points.iter().map(|p| p.candidate).collect();
    if !whole {
        found.tally.unexplored = found.tally.unexplored.max(1);
    }
    found
}
