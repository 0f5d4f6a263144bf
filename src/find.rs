//! The main job: the recipes that meet a target, in the order wanted, with how sure each one is.

use crate::catalog::Catalog;
use crate::quantity::Microns;
use crate::search::explain::{Explanation, explain};
use crate::search::rank::{Candidate, Variety};
use crate::search::refine::centred;
use crate::search::tariff::Tariff;
use crate::search::{Found, Observer, Wish, pareto::front, search, search_by};
use crate::spread::chance::{Chance, chance};
use crate::spread::draws::{Draws, Plan};
use crate::wanted::Target;

/// What a list holds and in which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Listing {
    /// The cheapest first.
    #[default]
    Cheapest,
    /// The surest first, of the cheapest that are asked for their chance.
    Surest,
    /// Recipes that no other beats in cost, margin and sink rate at once.
    Front,
}

/// What is wanted of a list of recipes.
#[derive(Debug, Clone)]
pub struct Order {
    /// What each recipe must do.
    pub target: Target,
    /// What is cheap.
    pub tariff: Tariff,
    /// Which recipes, in which order.
    pub listing: Listing,
    /// How many recipes.
    pub top: usize,
    /// How different they are.
    pub variety: Variety,
    /// Least share of flies that come out right, if one is asked for.
    pub min_chance: Option<f64>,
    /// Centre each recipe on this finer step of foam length and wrap position.
    pub fine_step: Option<Microns>,
    /// Flies drawn for the chance.
    pub draws: Plan,
}

impl Order {
    /// The five cheapest recipes in material, each of other parts.
    #[must_use]
    pub fn new(target: Target) -> Self {
        Self {
            target,
            tariff: Tariff::Material,
            listing: Listing::Cheapest,
            top: 5,
            variety: Variety::default(),
            min_chance: None,
            fine_step: None,
            draws: Plan::default(),
        }
    }

    /// How many of the cheapest are asked for their chance, where the chance decides. Different beads are few: to list
    /// many of them, the search has to look far.
    #[must_use]
    pub fn pool(&self) -> Option<usize> {
        let asked = self.min_chance.is_some() || self.listing == Listing::Surest;
        asked.then_some(if self.variety == Variety::Bead { 50 } else { 200 })
    }
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Answer<'a> {
    /// The recipes, and how the search ended.
    pub found: Found<'a>,
    /// The chance of each recipe.
    pub chances: Vec<Chance>,
    /// Whether any recipe meets the target, its chance left aside.
    pub any: bool,
    /// The best chance of all recipes that were asked for it.
    pub best_chance: Option<f64>,
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
    let any = !found.candidates.is_empty();
    let (chances, best_chance) = by_chance(order, &mut found);
    let explanation = (!any && found.proven()).then(|| explain(catalog, target, observer));
    Answer { found, chances, any, best_chance, explanation }
}

/// The chance of each recipe; where the chance decides, those that have enough of it, the best first if so ranked. And
/// the best chance of all that were asked.
fn by_chance(order: &Order, found: &mut Found) -> (Vec<Chance>, Option<f64>) {
    let draws = Draws::new(order.draws);
    let mut list: Vec<(Candidate, Chance)> =
        found.candidates.iter().map(|c| (*c, chance(&c.fly, &order.target, &draws))).collect();
    let best = list.iter().map(|(_, chance)| chance.probability).reduce(f64::max);
    if let Some(least) = order.min_chance {
        list.retain(|(_, chance)| chance.probability >= least);
    }
    if order.listing == Listing::Surest {
        // A stable sort: at equal chance the cheaper one stays first.
        list.sort_by(|a, b| b.1.probability.total_cmp(&a.1.probability));
    }
    if order.pool().is_some() {
        list.truncate(order.top);
    }
    let (candidates, chances) = list.into_iter().unzip();
    found.candidates = candidates;
    (chances, best)
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
