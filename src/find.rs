//! The main job: the recipes that meet a target, in the order wanted, with how sure each one is.

use crate::catalog::Catalog;
use crate::fly::Fly;
use crate::purchase::{Allowance, Amounts};
use crate::quantity::{Microns, Share};
use crate::search::explain::{Explanation, explain};
use crate::search::rank::{Candidate, PRICE_STEP, Ranking, SUREST, UNSURE, Variety, least_of_class, share_class};
use crate::search::refine::centred;
use crate::search::tariff::Tariff;
use crate::search::{Accept, Found, Observer, Wish, search_ranked};
use crate::spread::{Shares, shares};
use crate::stock::{self, StockShort};
use crate::wanted::{Counted, Line, ShareFloor, Target};

/// What a list holds and in which order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Listing {
    /// The cheapest first.
    #[default]
    Cheapest,
    /// The surest first, in classes of [`crate::search::rank::SHARE_STEP`] points; in a class the cheapest.
    Surest,
    /// The cheapest recipe of each class of share that is surer than all that cost less: cost against share.
    Front,
}

/// Share of flies that must come out right where nothing is said.
pub const LEAST_SHARE: f64 = 0.8;

/// The share that is asked for where nothing is said: none on a slack line, where each recipe takes long to follow and no set of
/// them can be ruled out for it.
#[must_use]
pub fn usual_floor(target: &Target) -> Option<ShareFloor> {
    (target.fall.line == Line::Tight).then_some(ShareFloor { least: LEAST_SHARE, counted: Counted::Trimmed })
}

/// The share that is asked for: `least` of the flies, or the usual share where none is said; `None` where none is asked, which
/// 0 says, too.
#[must_use]
pub fn floor_of(target: &Target, least: Option<Share>, counted: Counted) -> Option<ShareFloor> {
    let least = least.map_or_else(|| usual_floor(target).map_or(0.0, |floor| floor.least), |share| share.0);
    (least > 0.0).then_some(ShareFloor { least, counted })
}

/// What is wanted of a list of recipes.
#[derive(Debug, Clone)]
pub struct Order {
    /// What each recipe must do, the share of flies that come out right included.
    pub target: Target,
    /// What is cheap.
    pub tariff: Tariff,
    /// Which recipes, in which order.
    pub listing: Listing,
    /// How prices and what else are compared, where a share is asked.
    pub ranking: Ranking,
    /// How many recipes.
    pub top: usize,
    /// How different they are.
    pub variety: Variety,
    /// Centre each recipe on this finer step of foam length and wrap position.
    pub fine_step: Option<Microns>,
}

impl Order {
    /// The three cheapest recipes in material, each another idea, of which the usual share of flies comes out right; those of
    /// which fewer than [`SURE`](crate::search::rank::SURE) do count a little dearer.
    #[must_use]
    pub fn new(target: Target) -> Self {
        let share = target.share.or_else(|| usual_floor(&target));
        let unsure = usual_unsure(&target);
        Self {
            target: Target { share, ..target },
            tariff: Tariff::Material,
            listing: Listing::Cheapest,
            ranking: Ranking { unsure, ..Ranking::surer_in_steps(PRICE_STEP) },
            top: 3,
            variety: Variety::default(),
            fine_step: None,
        }
    }
}

/// What an unsure recipe counts dearer where nothing is said, hundredths of the currency. Over a range of depths nothing: few
/// flies are sure there, and to prove that there is no surer one for a little more takes too long.
#[must_use]
pub fn usual_unsure(target: &Target) -> i64 {
    if target.fall.shallow.is_some() { 0 } else { UNSURE }
}

/// The step within which prices count as equal where nothing is said: none where each class of share has its cheapest recipe.
#[must_use]
pub fn usual_step(listing: Listing) -> i64 {
    if listing == Listing::Cheapest { PRICE_STEP } else { 1 }
}

/// What was found.
#[derive(Debug, Clone)]
pub struct Answer<'a> {
    /// The recipes, and how the search ended.
    pub found: Found<'a>,
    /// The shares of each recipe that come out right, in its first dressing where several are asked.
    pub shares: Vec<Shares>,
    /// Why nothing meets the target, if that is proven.
    pub explanation: Option<Explanation<'a>>,
}

/// Finds recipes.
#[must_use]
pub fn find<'a>(catalog: &'a Catalog, order: &Order, observer: &dyn Observer) -> Answer<'a> {
    let target = &order.target;
    let mut found = match order.listing {
        Listing::Front => front(catalog, order, observer),
        Listing::Cheapest => by_price(catalog, order, order.top, &|_| true, observer),
        Listing::Surest => surest(catalog, order, observer),
    };
    if let Some(step) = order.fine_step {
        for candidate in &mut found.candidates {
            *candidate = centred(candidate, target, &order.tariff, step);
        }
    }
    let shares = found.candidates.iter().map(|candidate| shares(&candidate.fly, target)).collect();
    let explanation = (found.candidates.is_empty() && found.proven()).then(|| explain(catalog, target, observer));
    Answer { found, shares, explanation }
}

/// Keeps of an answer that was ranked by outlay what `flies` flies can be tied of with what is on the bench alone, and of the
/// changes that would help those that lead to such a fly. Where none is left: what the nearest fly of them lacks.
pub fn keep_to_bench(answer: &mut Answer, flies: u32, allowance: Allowance, bench: &Amounts) -> Option<StockShort> {
    let lacks = |candidate: &Candidate| stock::take(bench, &Amounts::of([(&candidate.fly, flies)], allowance)).err();
    let mut short = None;
    // The cheapest to buy for is the nearest.
    if let Some(first) = answer.found.candidates.first() {
        short = lacks(first);
    }
    let tied = answer.found.candidates.iter().take_while(|candidate| lacks(candidate).is_none()).count();
    answer.found.candidates.truncate(tied);
    answer.shares.truncate(tied);
    if let Some(explanation) = &mut answer.explanation {
        let all = explanation.relaxations.len();
        short = explanation.relaxations.first().and_then(|relaxation| lacks(&relaxation.candidate));
        explanation.relaxations.retain(|relaxation| lacks(&relaxation.candidate).is_none());
        explanation.cut_short |= explanation.relaxations.len() < all;
        short = short.filter(|_| explanation.relaxations.is_empty());
    }
    short
}

impl Order {
    /// How its recipes are put in order: where no share is asked, by the cent and the margin.
    #[must_use]
    pub fn ranked_by(&self) -> Ranking {
        self.ranking.under(&self.target)
    }
}

/// The cheapest recipes that are something else besides.
fn by_price<'a>(catalog: &'a Catalog, order: &Order, top: usize, accept: Accept, observer: &dyn Observer) -> Found<'a> {
    let wish = Wish { top, variety: order.variety };
    search_ranked(catalog, &order.target, (&order.tariff, order.ranked_by()), wish, accept, observer)
}

/// The same order with a class of share as the least.
fn of_class(order: &Order, class: u8) -> Order {
    let floor = order.target.share.unwrap_or(ShareFloor { least: 0.0, counted: Counted::Trimmed });
    let share = Some(ShareFloor { least: floor.least.max(least_of_class(class)), ..floor });
    // Here the class decides; what is unsure is not dearer for it.
    let ranking = Ranking { unsure: 0, ..order.ranking };
    Order { target: Target { share, ..order.target.clone() }, ranking, ..order.clone() }
}

/// The least class that is asked for.
fn least_class(order: &Order) -> u8 {
    order.target.share.map_or(0, |floor| share_class(floor.least))
}

/// The surest recipes first. Each class is searched for the cheapest that are not like what a surer class has given, so that
/// the list is that of the whole space.
fn surest<'a>(catalog: &'a Catalog, order: &Order, observer: &dyn Observer) -> Found<'a> {
    let mut list: Vec<Candidate<'a>> = Vec::new();
    let mut last: Option<Found<'a>> = None;
    for class in (least_class(order)..=SUREST).rev() {
        let listed = list.clone();
        let new = |fly: &Fly| !listed.iter().any(|known| order.variety.alike(&known.fly, fly));
        let found = by_price(catalog, &of_class(order, class), order.top - list.len(), &new, observer);
        list.extend(&found.candidates);
        let ended = !found.proven() || list.len() >= order.top;
        last = Some(found);
        if ended {
            break;
        }
    }
    let mut found = last.unwrap_or_else(|| by_price(catalog, order, order.top, &|_| true, observer));
    found.candidates = list;
    found
}

/// Cost against share: the cheapest recipe of each class or a surer one, where that is surer than all that cost less.
fn front<'a>(catalog: &'a Catalog, order: &Order, observer: &dyn Observer) -> Found<'a> {
    let mut list: Vec<Candidate<'a>> = Vec::new();
    let mut class = least_class(order);
    loop {
        let mut found = by_price(catalog, &of_class(order, class), 1, &|_| true, observer);
        let next = found.candidates.first().copied();
        list.extend(next);
        let reached = next.map_or(SUREST, |candidate| candidate.class().max(class));
        if reached >= SUREST || !found.proven() {
            found.candidates = list;
            return found;
        }
        class = reached + 1;
    }
}
