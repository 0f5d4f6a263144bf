//! Why nothing meets a target: computed by searching again with one requirement let go at a time.

mod demand;

pub use demand::Demand;

use super::patience::Patience;
use super::rank::{Candidate, Variety};
use super::{Observer, Wish, search};
use crate::assess::assess;
use crate::catalog::Catalog;
use crate::fly::total_cost;
use crate::physics::statics::Rides;
use crate::quantity::Money;
use crate::wanted::Target;
use demand::Scale;
use std::cell::Cell;

/// A change of one requirement that opens the space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relaxation<'a> {
    /// The demand to change; all others stay.
    pub demand: Demand,
    /// How far it must go.
    pub to: Relaxed,
    /// The cheapest recipe that this lets in: the nearest miss.
    pub candidate: Candidate<'a>,
}

/// How far one requirement must be relaxed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Relaxed {
    /// Hang within this tolerance, rad.
    Tolerance(f64),
    /// Sink rate from this, m/s, instead of the lower edge.
    SinkFrom(f64),
    /// Sink rate up to this, m/s, instead of the upper edge.
    SinkTo(f64),
    /// Friction in the eye may leave it off by this, rad.
    Band(f64),
    /// Mass up to this, kg.
    Mass(f64),
    /// Cost up to this.
    Cost(Money),
    /// The point on this side.
    Rides(Rides),
    /// Lead allowed.
    Lead,
    /// Not under this dressing.
    FewerDressings,
    /// Part filters dropped.
    AnyPart,
    /// This share of the gap clear, 0 to 1.
    ClearGap(f64),
    /// Foam longer than the tail allowed.
    VisibleFoam,
    /// The depth reached in this time, s.
    Within(f64),
    /// The nose drops so far, rad.
    DiveFrom(f64),
    /// At the deepest depth of the range only.
    OneDepth,
    /// On a tight line instead of a slack one.
    TightLine,
    /// So many flies come out right, at best, 0 to 1.
    Share(f64),
}

/// Why nothing meets a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation<'a> {
    /// Whether any hook was left to tie on.
    pub any_hook: bool,
    /// Demands that cannot hold together: without any one of them the others can be met, or the question was given up. Empty when not
    /// even the parts alone fit together.
    pub conflict: Vec<Demand>,
    /// Changes of one requirement that help, each as small as it can be, or, where a question was given up, as was found.
    pub relaxations: Vec<Relaxation<'a>>,
    /// Some question took too long and was given up: a smaller or cheaper change may exist, or one more.
    pub cut_short: bool,
}

/// Recipes judged before a question is given up. A count, not a time: the answer is the same on any machine.
const MOST_EVALUATED: u64 = 50_000;
/// The same where each of them may be asked for its share.
const MOST_SHARED: u64 = 20_000;
/// The same where each of them may be followed in time.
const MOST_FOLLOWED: u64 = 2_000;
/// Rounds of the search before a question is given up.
const MOST_ROUNDS: u64 = 100;

/// Explains a target that nothing meets.
#[must_use]
pub fn explain<'a>(catalog: &'a Catalog, target: &Target, observer: &dyn Observer) -> Explanation<'a> {
    let asker = Asker { catalog, observer, cut_short: Cell::new(false) };
    if !catalog.hooks.iter().any(|hook| target.choice.allows(hook)) {
        return Explanation { any_hook: false, conflict: Vec::new(), relaxations: Vec::new(), cut_short: false };
    }
    let demanded = Demand::all_made(target);
    let relaxations = demanded.iter().filter_map(|demand| asker.relax(target, *demand)).collect();
    let conflict = asker.conflict(target, &demanded);
    Explanation { any_hook: true, conflict, relaxations, cut_short: asker.cut_short.get() }
}

/// A question that took too long.
struct GivenUp;

struct Asker<'s, 'a> {
    catalog: &'a Catalog,
    observer: &'s dyn Observer,
    cut_short: Cell<bool>,
}

impl<'a> Asker<'_, 'a> {
    fn cheapest(&self, target: &Target) -> Option<Candidate<'a>> {
        self.ask(target).ok().flatten()
    }

    /// The cheapest recipe that is found, or none where there is none.
    ///
    /// # Errors
    /// Nothing was found before it was given up.
    fn ask(&self, target: &Target) -> Result<Option<Candidate<'a>>, GivenUp> {
        let wish = Wish { top: 1, variety: Variety::Every };
        let most = match (target.fall.takes_a_history(), target.share.is_some()) {
            (true, _) => MOST_FOLLOWED,
            (false, true) => MOST_SHARED,
            (false, false) => MOST_EVALUATED,
        };
        let patience = Patience::new(self.observer, most, MOST_ROUNDS);
        let found = search(self.catalog, target, wish, &patience);
        if !found.proven() {
            self.cut_short.set(true);
        }
        let first = found.candidates.first().copied();
        if first.is_none() && !found.proven() { Err(GivenUp) } else { Ok(first) }
    }

    /// A set of demands that cannot be met together, of which none can be spared as far as is known: drop each in turn, and leave it
    /// out if the rest still cannot be met.
    fn conflict(&self, target: &Target, demanded: &[Demand]) -> Vec<Demand> {
        let mut rest = target.clone();
        let mut needed = Vec::new();
        for &demand in demanded {
            // The last of several dressings is not let go: some dressing a fly has.
            if matches!(demand, Demand::Dressing(_)) && rest.choice.each.is_empty() {
                continue;
            }
            let open = demand.let_go(&rest);
            match self.ask(&open) {
                Ok(None) => rest = open,
                Ok(Some(_)) | Err(GivenUp) => needed.push(demand),
            }
        }
        needed
    }

    fn relax(&self, target: &Target, demand: Demand) -> Option<Relaxation<'a>> {
        let candidate = self.cheapest(&demand.let_go(target))?;
        if let Some(scale) = demand.scale(target) {
            let (candidate, limit) = self.least(candidate, &scale)?;
            return Some(Relaxation { demand, to: (scale.relaxed)(limit), candidate });
        }
        let to = match demand {
            Demand::Dressing(_) => Relaxed::FewerDressings,
            Demand::Cost => {
                let others = target.also(&candidate.fly).map(|fly| total_cost(&fly));
                Relaxed::Cost(others.fold(candidate.judgement.cost, Money::max))
            }
            Demand::Rides => Relaxed::Rides(assess(&candidate.fly, target).prediction.hang.rest()?.rides),
            Demand::LeadFree => Relaxed::Lead,
            Demand::PartFilters => Relaxed::AnyPart,
            Demand::HiddenFoam => Relaxed::VisibleFoam,
            Demand::DepthRange => Relaxed::OneDepth,
            Demand::Settles => Relaxed::TightLine,
            _ => return None,
        };
        Some(Relaxation { demand, to, candidate })
    }

    /// The least limit, to within a step, that lets anything in: between the one that is asked, which lets nothing in, and
    /// one that lets a candidate in.
    fn least(&self, candidate: Candidate<'a>, scale: &Scale) -> Option<(Candidate<'a>, f64)> {
        let (mut shut, mut open, mut best) = (scale.shut, scale.lets_in(&candidate.fly)?, candidate);
        while open - shut > scale.step {
            let middle = 0.5 * (shut + open);
            match self.cheapest(&(scale.with_limit)(middle)) {
                Some(found) => {
                    best = found;
                    open = scale.lets_in(&found.fly).map_or(middle, |limit| limit.min(middle));
                }
                None => shut = middle,
            }
        }
        Some((best, open))
    }
}

#[cfg(test)]
mod tests {
    use super::demand::ANGLE_STEP;
    use super::*;
    use crate::fly::Fly;
    use crate::quantity::{Angle, Length};
    use crate::search::rank::Ranking;
    use crate::search::tariff::Tariff;
    use crate::search::{Unwatched, search_ranked};
    use crate::spread::shares;
    use crate::wanted::{Counted, ShareFloor, TargetSpec};

    fn explained<'a>(catalog: &'a Catalog, spec: TargetSpec) -> (Target, Explanation<'a>) {
        let spec = TargetSpec {
            hook: Some("straight-8".into()),
            foam_step: Some(Length::from_mm(2.0)),
            wrap_step: Some(Length::from_mm(5.0)),
            ..spec
        };
        let (target, _) = spec.resolve(catalog).expect("sound");
        let explanation = explain(catalog, &target, &Unwatched);
        (target, explanation)
    }

    #[test]
    fn a_level_fly_without_foam_or_pin_is_named_as_the_conflict() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec { only: vec!["foam=none".into(), "pin=none".into()], ..TargetSpec::default() };
        let (target, found) = explained(&catalog, spec);
        assert_eq!(found.conflict, [Demand::PartFilters, Demand::Hang]);
        let hang = found.relaxations.iter().find(|r| r.demand == Demand::Hang).expect("helps");
        let Relaxed::Tolerance(needed) = hang.to else { panic!("a tolerance") };
        // As small as it can be: what it lets in meets it, and a quarter of a degree less lets nothing in.
        let open = Target { tolerance: needed, ..target.clone() };
        assert!(assess(&hang.candidate.fly, &open).feasible());
        let tight = Target { tolerance: needed - 1.01 * ANGLE_STEP, ..target };
        let wish = Wish { top: 1, variety: Variety::Every };
        assert!(search(&catalog, &tight, wish, &Unwatched).candidates.is_empty());
    }

    #[test]
    fn dressings_that_no_base_does_with_are_named() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec {
            hook: Some("jig60-12".into()),
            only: ["bead.mount=pin", "foam=none", "wire=none"].map(str::to_owned).into(),
            tolerance: Some(Angle::from_deg(2.0)),
            each_pattern: vec!["bare".into(), "bulky-crawler".into()],
            ..TargetSpec::default()
        };
        let (target, _) = spec.resolve(&catalog).expect("sound");
        let found = explain(&catalog, &target, &Unwatched);
        assert!([0, 1].iter().all(|i| found.conflict.contains(&Demand::Dressing(*i))), "{:?}", found.conflict);
        let mut helped = 0;
        for relaxation in &found.relaxations {
            let Demand::Dressing(gone) = relaxation.demand else { continue };
            // It lets in what the other dressing does alone, and what this one shuts out.
            let under = |id: &str| {
                let fly = Fly { dressing: catalog.dressing(id).expect("known"), ..relaxation.candidate.fly };
                assess(&fly, &target.under(id)).feasible()
            };
            let ids = target.choice.dressings();
            assert_eq!([under(ids[usize::from(gone)]), under(ids[1 - usize::from(gone)])], [false, true]);
            helped += 1;
        }
        assert_eq!(helped, 2);
    }

    #[test]
    fn no_hook_is_said_as_such() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec { size: vec![10], hang: Some(Angle::from_deg(0.0)), ..TargetSpec::default() };
        assert!(!explained(&catalog, spec).1.any_hook);
    }

    #[test]
    fn the_best_share_there_is_is_named() {
        let mut catalog = Catalog::built_in().expect("built-in");
        catalog.wires.truncate(3);
        catalog.foams.truncate(2);
        let spec = TargetSpec {
            hook: Some("straight-8".into()),
            hang: Some(Angle::from_deg(0.0)),
            only: vec!["bead=none".into()],
            foam_step: Some(Length::from_mm(1.0)),
            wrap_step: Some(Length::from_mm(3.0)),
            ..TargetSpec::default()
        };
        let (mut target, _) = spec.resolve(&catalog).expect("sound");
        target.share = Some(ShareFloor { least: 0.99, counted: Counted::Trimmed });
        let found = explain(&catalog, &target, &Unwatched);
        let share = found.relaxations.iter().find(|r| r.demand == Demand::Share).expect("helps");
        let Relaxed::Share(best) = share.to else { panic!("a share") };
        let has = shares(&share.candidate.fly, &target).counted();
        assert!(best > 0.0 && best <= has && has < 0.99, "{best} {has}");
        let best_of_all = Ranking { surer: true, ..Ranking::default() };
        let one = Wish { top: 1, variety: Variety::Every };
        let above = Target { share: Some(ShareFloor { least: best + 0.011, counted: Counted::Trimmed }), ..target };
        let found = search_ranked(&catalog, &above, (&Tariff::Material, best_of_all), one, &|_| true, &Unwatched);
        assert!(found.candidates.is_empty() && found.proven());
    }
}
