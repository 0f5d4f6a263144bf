//! Recipes that serve several needs at once: looked for where a box may hold fewer recipes than it has needs.
//!
//! For sets of needs, grown one by one from those that have a recipe in common, the exact search of one of them is asked for
//! the cheapest recipes that meet the others, too. What is found joins the pool. A question that goes on too long is given
//! up, so that none found proves nothing.

use super::pool::Pool;
use crate::fly::Fly;
use crate::purchase::Amounts;
use crate::search::patience::Patience;
use crate::search::rank::Variety;
use crate::search::tariff::{PackTariff, Tariff};
use crate::search::{Observer, Wish};

/// Recipes judged before a question is given up.
const MOST_JUDGED: u64 = 30_000;
/// Sets of needs that are asked about.
const MOST_QUESTIONS: usize = 150;
/// Recipes listed for each set.
const LISTED: usize = 4;

/// Adds recipes that serve several of these needs.
pub(super) fn add_common(pool: &mut Pool, needs: &[usize], owned: &Amounts, observer: &dyn Observer) {
    let mut asked = 0;
    let mut sets: Vec<Vec<usize>> = needs.iter().map(|need| vec![*need]).collect();
    while !sets.is_empty() && asked < MOST_QUESTIONS {
        let mut larger: Vec<Vec<usize>> = Vec::new();
        for set in &sets {
            let last = set.last().copied().unwrap_or(0);
            for other in needs.iter().filter(|n| **n > last) {
                if asked == MOST_QUESTIONS || observer.stop() {
                    return;
                }
                let mut set = set.clone();
                set.push(*other);
                if !alike(pool, &set) {
                    continue;
                }
                asked += 1;
                let found = in_common(pool, &set, owned, observer);
                if !found.is_empty() {
                    larger.push(set);
                }
                for fly in found {
                    pool.add(fly);
                }
            }
        }
        sets = larger;
    }
}

/// Whether needs are tied in one dressing and leave a hook in common.
fn alike(pool: &Pool, set: &[usize]) -> bool {
    let targets = || set.iter().map(|i| &pool.order.needs[*i].target);
    let dressing = &pool.order.needs[set[0]].target.choice.dressing;
    targets().all(|t| t.choice.dressing == *dressing)
        && pool.catalog.hooks.iter().any(|hook| targets().all(|t| t.choice.allows(hook)))
}

/// The cheapest recipes that meet all of some needs.
fn in_common<'a>(pool: &Pool<'_, 'a>, set: &[usize], owned: &Amounts, observer: &dyn Observer) -> Vec<Fly<'a>> {
    let needs = &pool.order.needs;
    let flies = set.iter().map(|i| needs[*i].flies_wanted()).sum();
    let tariff = Tariff::Packs(PackTariff::new(flies, owned.clone(), pool.order.allowance));
    let wish = Wish { top: LISTED, variety: Variety::FewestSupplies };
    let others = |fly: &Fly| set[1..].iter().all(|i| pool.service(fly, *i).is_some());
    let patience = Patience::new(observer, MOST_JUDGED, u64::MAX);
    let found = pool.search_accepted(&needs[set[0]].target, &tariff, wish, &others, &patience);
    found.candidates.into_iter().map(|c| c.fly).collect()
}
