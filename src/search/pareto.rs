//! The front: recipes that no other beats in cost, margin and sink rate at once.
//!
//! Each search gives the cheapest recipe with more than some margin and some sink rate; what beats it in margin lies in one
//! half of what is left, what beats it in sink rate in the other, and each half is searched in turn. So no recipe that
//! belongs to the front by more than the steps below is missed.

use super::rank::{Candidate, Variety, cents};
use super::{Least, Observer, Wish, search_among};
use crate::assess::predict;
use crate::catalog::Catalog;
use crate::wanted::Target;

/// Step of the margin: a recipe must forgive this much more to count as better.
pub const MARGIN_STEP: f64 = 0.05;
/// Step of the sink rate, m/s: a recipe must sink this much faster to count as better.
pub const SINK_STEP: f64 = 0.01;
/// Searches after which the front is given up as it stands.
const MOST_SEARCHES: usize = 200;

/// A recipe of the front.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FrontPoint<'a> {
    /// The recipe.
    pub candidate: Candidate<'a>,
    /// Its sink rate on a tight line, m/s.
    pub sink_rate: f64,
}

impl FrontPoint<'_> {
    fn beats(&self, other: &Self) -> bool {
        let cost = cents(self.candidate.price).cmp(&cents(other.candidate.price));
        let margin = self.candidate.judgement.margin.total_cmp(&other.candidate.judgement.margin);
        let sink = self.sink_rate.total_cmp(&other.sink_rate);
        let no_worse = cost.is_le() && margin.is_ge() && sink.is_ge();
        no_worse && !(cost.is_eq() && margin.is_eq() && sink.is_eq())
    }
}

/// The front of a target, cheapest first, and whether it is whole.
#[must_use]
pub fn front<'a>(catalog: &'a Catalog, target: &Target, observer: &dyn Observer) -> (Vec<FrontPoint<'a>>, bool) {
    let wish = Wish { top: 1, variety: Variety::Every };
    let mut regions = vec![Least::default()];
    let mut points: Vec<FrontPoint<'a>> = Vec::new();
    let mut asked: Vec<Least> = Vec::new();
    while let Some(least) = regions.pop() {
        if asked.contains(&least) {
            continue;
        }
        if asked.len() >= MOST_SEARCHES || observer.stop() {
            regions.push(least);
            break;
        }
        asked.push(least);
        let Some(candidate) = search_among(catalog, target, wish, least, observer).candidates.first().copied() else {
            continue;
        };
        let sink_rate = predict(&candidate.fly, &target.conditions).lowered.sink_rate;
        regions.push(Least { sink_rate: Some(sink_rate + SINK_STEP), ..least });
        regions.push(Least { margin: candidate.judgement.margin + MARGIN_STEP, ..least });
        points.push(FrontPoint { candidate, sink_rate });
    }
    let mut kept: Vec<FrontPoint<'a>> = points.iter().filter(|p| !points.iter().any(|q| q.beats(p))).copied().collect();
    kept.sort_by(|a, b| super::rank::order(&a.candidate, &b.candidate));
    kept.dedup_by(|a, b| a.candidate.fly == b.candidate.fly);
    (kept, regions.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Angle, Length};
    use crate::search::Unwatched;
    use crate::wanted::TargetSpec;

    #[test]
    fn no_point_beats_another_and_the_cheapest_leads() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec {
            hook: Some("jig60-10".into()),
            only: vec!["wire=none".into(), "bead.mount=eye".into()],
            hang: Some(Angle::from_deg(0.0)),
            foam_step: Some(Length::from_mm(1.0)),
            ..TargetSpec::default()
        };
        let (target, _) = spec.resolve(&catalog).expect("sound");
        let (points, whole) = front(&catalog, &target, &Unwatched);
        assert!(whole && points.len() > 2, "{} points", points.len());
        for a in &points {
            assert!(!points.iter().any(|b| b.beats(a)));
        }
        let wish = Wish { top: 1, variety: Variety::Every };
        let best = crate::search::search(&catalog, &target, wish, &Unwatched).candidates[0];
        assert_eq!(points[0].candidate.fly, best.fly);
    }
}
