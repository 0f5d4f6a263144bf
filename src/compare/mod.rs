//! Materials side by side: the best recipe for each value of an attribute, on one target; and one recipe with a part
//! swapped.

pub mod swap;

use crate::catalog::Catalog;
use crate::search::explain::{Explanation, explain};
use crate::search::rank::{Candidate, PRICE_STEP, Ranking, Variety};
use crate::search::tariff::Tariff;
use crate::search::{Observer, Wish, search_ranked};
use crate::wanted::{Facet, FilterError, Target};

/// The best recipe with some attributes held, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub struct Side<'a> {
    /// The value of each attribute, in their order.
    pub values: Vec<String>,
    /// The target with these values held.
    pub target: Target,
    /// What came of it.
    pub result: SideResult<'a>,
}

/// What came of holding some attributes.
#[derive(Debug, Clone, PartialEq)]
pub enum SideResult<'a> {
    /// The best recipe, and whether it is proven to be.
    Best {
        /// The recipe.
        candidate: Box<Candidate<'a>>,
        /// Proven, or stopped early.
        proven: bool,
    },
    /// There is none, and why.
    Impossible(Box<Explanation<'a>>),
    /// Stopped before anything was found.
    Stopped,
}

/// Finds the best recipe for each combination of values of the attributes; the last attribute runs fastest.
///
/// # Errors
/// A value of the catalog that a filter does not take.
pub fn compare<'a>(
    catalog: &'a Catalog,
    target: &Target,
    facets: &[Facet],
    tariff: &Tariff,
    observer: &dyn Observer,
) -> Result<Vec<Side<'a>>, FilterError> {
    let side = |(values, target): (Vec<String>, Target)| {
        let wish = Wish { top: 1, variety: Variety::Every };
        let order = (tariff, ranking(&target));
        let found = search_ranked(catalog, &target, order, wish, &|_| true, observer);
        let result = match found.candidates.first() {
            Some(best) => SideResult::Best { candidate: Box::new(*best), proven: found.proven() },
            None if found.proven() => SideResult::Impossible(Box::new(explain(catalog, &target, observer))),
            None => SideResult::Stopped,
        };
        Side { values, target, result }
    };
    Ok(combinations(catalog, target, facets)?.into_iter().map(side).collect())
}

/// How the recipes of one side are put in order: the surest within a step of the price. What each costs is the question, so
/// nothing counts dearer.
#[must_use]
pub fn ranking(target: &Target) -> Ranking {
    Ranking::surer_in_steps(PRICE_STEP).under(target)
}

/// Every combination of values, with its target.
///
/// # Errors
/// A value of the catalog that a filter does not take.
pub fn combinations(
    catalog: &Catalog,
    target: &Target,
    facets: &[Facet],
) -> Result<Vec<(Vec<String>, Target)>, FilterError> {
    let mut all = vec![(Vec::new(), target.clone())];
    for facet in facets {
        let mut longer = Vec::new();
        for (values, held) in &all {
            for value in facet.values(catalog, target) {
                let narrower = facet.hold(held, &value)?;
                longer.push((values.iter().cloned().chain([value]).collect(), narrower));
            }
        }
        all = longer;
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::search::explain::Demand;
    use crate::search::{Unwatched, search};
    use crate::wanted::TargetSpec;

    /// Holding an attribute is the question; what the user filters is a requirement, whatever else is held.
    #[test]
    fn only_the_filters_of_the_user_are_to_blame() {
        let catalog = Catalog::built_in().unwrap();
        let reasons = |only: &[&str], by: &str, value: &str| {
            let only = only.iter().map(|f| (*f).to_owned()).collect();
            let spec = TargetSpec { size: vec![12], lead_free: Some(true), only, ..TargetSpec::default() };
            let target = spec.resolve(&catalog).unwrap().0;
            let sides =
                compare(&catalog, &target, &[Facet::parse(by).unwrap()], &Tariff::Material, &Unwatched).unwrap();
            let side = sides.into_iter().find(|s| s.values == [value]).unwrap();
            let SideResult::Impossible(explanation) = side.result else { panic!("{value} is possible") };
            explanation.conflict
        };
        assert_eq!(reasons(&[], "wire.material", "lead"), [Demand::LeadFree]);
        assert_eq!(reasons(&["foam.cut=whole"], "wire.material", "lead"), [Demand::LeadFree]);
        // No lead-free wire is of lead: here the filter is the user's, the dressing only held.
        let blamed = reasons(&["wire.material=lead"], "dressing", "slim-nymph");
        assert!(blamed.contains(&Demand::PartFilters) && blamed.contains(&Demand::LeadFree), "{blamed:?}");
    }

    #[test]
    fn the_best_side_is_the_best_of_all() {
        let catalog = Catalog::built_in().unwrap();
        let spec = TargetSpec { size: vec![12], pattern: Some("slim-nymph".to_owned()), ..TargetSpec::default() };
        let target = spec.resolve(&catalog).unwrap().0;
        let best = search(&catalog, &target, Wish { top: 1, variety: Variety::Every }, &Unwatched).candidates[0];
        for facets in [&["bead.material"][..], &["foam.cut", "wire"]] {
            let facets: Vec<Facet> = facets.iter().map(|f| Facet::parse(f).unwrap()).collect();
            let sides = compare(&catalog, &target, &facets, &Tariff::Material, &Unwatched).unwrap();
            let least = sides.iter().filter_map(|s| match &s.result {
                SideResult::Best { candidate, proven: true } => Some(candidate.judgement.cost.cents()),
                _ => None,
            });
            assert_eq!(least.min(), Some(best.judgement.cost.cents()));
            for side in &sides {
                if let SideResult::Best { candidate, .. } = &side.result {
                    assert!(side.target.choice.filters.iter().all(|f| f.passes(&candidate.fly)));
                }
            }
        }
    }
}
