//! Why nothing meets a target: computed by searching again with one requirement let go at a time.

use super::rank::{Candidate, Variety};
use super::{Observer, Progress, Wish, search};
use crate::assess::{Assessment, Requirement, assess};
use crate::catalog::Catalog;
use crate::physics::statics::Rides;
use crate::quantity::Money;
use crate::wanted::{Dive, FallWish, Line, Reach, RidesWish, Target, Window};
use std::cell::Cell;
use std::f64::consts::FRAC_PI_2;
use std::sync::atomic::{AtomicU32, AtomicU64, Ordering};

/// A change of one requirement that opens the space.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Relaxation<'a> {
    /// The requirement to change; all others stay.
    pub requirement: Requirement,
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
    /// Mass up to this, kg.
    Mass(f64),
    /// Cost up to this.
    Cost(Money),
    /// The point on this side.
    Rides(Rides),
    /// Lead allowed.
    Lead,
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
}

/// Why nothing meets a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Explanation<'a> {
    /// Whether any hook was left to tie on.
    pub any_hook: bool,
    /// Requirements that cannot hold together: without any one of them the others can be met. Empty when not even the
    /// parts alone fit together.
    pub conflict: Vec<Requirement>,
    /// Changes of one requirement that help, each as small as it can be.
    pub relaxations: Vec<Relaxation<'a>>,
    /// Some question took too long and was given up: a smaller or cheaper change may exist, or one more.
    pub cut_short: bool,
}

/// Resolution of the smallest tolerance, rad: a quarter of a degree.
const ANGLE_STEP: f64 = std::f64::consts::PI / 720.0;
/// Resolution of the smallest change of sink rate, m/s.
const SPEED_STEP: f64 = 2e-3;
/// Resolution of the smallest change of mass, kg.
const MASS_STEP: f64 = 1e-6;
/// Resolution of a time to a depth, s.
const TIME_STEP: f64 = 0.1;
/// Resolution of the share of the gap.
const GAP_STEP: f64 = 0.02;

/// Recipes judged before a question is given up. A count, not a time: the answer is the same on any machine.
const MOST_EVALUATED: u64 = 50_000;
/// The same where each of them may be followed in time.
const MOST_FOLLOWED: u64 = 2_000;
/// Rounds of the search before a question is given up.
const MOST_ROUNDS: u32 = 60;

/// Passes progress on, and stops a search that goes on too long.
struct Limited<'o> {
    observer: &'o dyn Observer,
    evaluated: AtomicU64,
    most: u64,
    rounds: AtomicU32,
}

impl Observer for Limited<'_> {
    fn round_done(&self, progress: &Progress) {
        self.evaluated.store(progress.evaluated, Ordering::Relaxed);
        self.rounds.fetch_add(1, Ordering::Relaxed);
        self.observer.round_done(progress);
    }

    fn stop(&self) -> bool {
        self.observer.stop()
            || self.evaluated.load(Ordering::Relaxed) > self.most
            || self.rounds.load(Ordering::Relaxed) >= MOST_ROUNDS
    }
}

/// Explains a target that nothing meets.
#[must_use]
pub fn explain<'a>(catalog: &'a Catalog, target: &Target, observer: &dyn Observer) -> Explanation<'a> {
    let asker = Asker { catalog, observer, cut_short: Cell::new(false) };
    if !catalog.hooks.iter().any(|hook| target.choice.allows(hook)) {
        return Explanation { any_hook: false, conflict: Vec::new(), relaxations: Vec::new(), cut_short: false };
    }
    let demanded = demands(target);
    let relaxations = demanded.iter().filter_map(|r| asker.relax(target, *r)).collect();
    let conflict = asker.conflict(target, &demanded);
    Explanation { any_hook: true, conflict, relaxations, cut_short: asker.cut_short.get() }
}

/// The requirements that a target makes, in the order in which they are let go.
fn demands(target: &Target) -> Vec<Requirement> {
    let sink = target.sink.unwrap_or(Window { low: None, high: None });
    let made = [
        (Requirement::PartFilters, target.choice.required_filters() > 0),
        (Requirement::LeadFree, target.choice.lead_free),
        (Requirement::HiddenFoam, !target.limits.visible_foam),
        (Requirement::ClearGap, target.limits.clear_gap > 0.0),
        (Requirement::Cost, target.max_cost.is_some()),
        (Requirement::Dive, target.fall.dive.is_some()),
        (Requirement::Reach, target.fall.reach.is_some()),
        (Requirement::Settles, target.fall.line == Line::Slack),
        (Requirement::DepthRange, target.fall.shallow.is_some()),
        (Requirement::Mass, target.max_mass.is_some()),
        (Requirement::Rides, target.rides != RidesWish::Either),
        (Requirement::SlowEnough, sink.high.is_some()),
        (Requirement::FastEnough, sink.low.is_some()),
        (Requirement::Hang, true),
    ];
    made.into_iter().filter(|(_, wanted)| *wanted).map(|(r, _)| r).collect()
}

/// The target without one requirement.
fn without(target: &Target, requirement: Requirement) -> Target {
    let mut open = target.clone();
    match requirement {
        Requirement::PartFilters => drop(open.choice.filters.drain(..target.choice.required_filters())),
        Requirement::LeadFree => open.choice.lead_free = false,
        Requirement::HiddenFoam => open.limits.visible_foam = true,
        Requirement::ClearGap => open.limits.clear_gap = 0.0,
        Requirement::Cost => open.max_cost = None,
        Requirement::Mass => open.max_mass = None,
        Requirement::Rides => open.rides = RidesWish::Either,
        Requirement::SlowEnough => open.sink = open.sink.map(|w| Window { high: None, ..w }),
        Requirement::FastEnough => open.sink = open.sink.map(|w| Window { low: None, ..w }),
        Requirement::Hang => open.tolerance = FRAC_PI_2 + open.hang.abs(),
        Requirement::Dive => open.fall.dive = None,
        Requirement::Reach => open.fall.reach = None,
        Requirement::Settles => open.fall.line = Line::Tight,
        Requirement::DepthRange => open.fall.shallow = None,
        Requirement::Fit | Requirement::Sinks | Requirement::SinkRate => {}
    }
    open
}

/// The figure that a requirement looks at.
fn value(assessment: &Assessment, requirement: Requirement) -> Option<f64> {
    assessment.checks.iter().find(|c| c.requirement == requirement).map(|c| c.value)
}

struct Asker<'s, 'a> {
    catalog: &'a Catalog,
    observer: &'s dyn Observer,
    cut_short: Cell<bool>,
}

impl<'a> Asker<'_, 'a> {
    fn cheapest(&self, target: &Target) -> Option<Candidate<'a>> {
        let wish = Wish { top: 1, variety: Variety::Every };
        let most = if target.fall.takes_a_history() { MOST_FOLLOWED } else { MOST_EVALUATED };
        let (evaluated, rounds) = (AtomicU64::new(0), AtomicU32::new(0));
        let limited = Limited { observer: self.observer, evaluated, most, rounds };
        let found = search(self.catalog, target, wish, &limited);
        if !found.proven() {
            self.cut_short.set(true);
        }
        found.candidates.first().copied()
    }

    /// A set of requirements of which none can be spared: drop each in turn, and leave it out if the rest still cannot
    /// be met.
    fn conflict(&self, target: &Target, demanded: &[Requirement]) -> Vec<Requirement> {
        let mut rest = target.clone();
        let mut needed = Vec::new();
        for &requirement in demanded {
            let open = without(&rest, requirement);
            if self.cheapest(&open).is_some() {
                needed.push(requirement);
            } else {
                rest = open;
            }
        }
        needed
    }

    fn relax(&self, target: &Target, requirement: Requirement) -> Option<Relaxation<'a>> {
        let candidate = self.cheapest(&without(target, requirement))?;
        let look = |candidate: &Candidate| assess(&candidate.fly, target);
        let (candidate, to) = match requirement {
            Requirement::Hang => {
                let off =
                    |a: &Assessment| value(a, Requirement::Hang).map_or(f64::INFINITY, |v| (v - target.hang).abs());
                let (c, t) = self.least(candidate, target.tolerance, ANGLE_STEP, &|c| off(&look(c)), &|t| Target {
                    tolerance: t,
                    ..target.clone()
                });
                (c, Relaxed::Tolerance(t))
            }
            Requirement::FastEnough => {
                let low = target.sink.and_then(|w| w.low)?;
                let below = |c: &Candidate| value(&look(c), Requirement::SinkRate).map_or(f64::INFINITY, |v| low - v);
                let (c, t) = self.least(candidate, 0.0, SPEED_STEP, &below, &|t| {
                    let sink = target.sink.map(|w| Window { low: Some(low - t), ..w });
                    Target { sink, ..target.clone() }
                });
                (c, Relaxed::SinkFrom(low - t))
            }
            Requirement::SlowEnough => {
                let high = target.sink.and_then(|w| w.high)?;
                let above = |c: &Candidate| value(&look(c), Requirement::SinkRate).map_or(f64::INFINITY, |v| v - high);
                let (c, t) = self.least(candidate, 0.0, SPEED_STEP, &above, &|t| {
                    let sink = target.sink.map(|w| Window { high: Some(high + t), ..w });
                    Target { sink, ..target.clone() }
                });
                (c, Relaxed::SinkTo(high + t))
            }
            Requirement::Mass => {
                let most = target.max_mass?;
                let mass = |c: &Candidate| look(c).prediction.body.mass();
                let (c, t) =
                    self.least(candidate, most, MASS_STEP, &mass, &|t| Target { max_mass: Some(t), ..target.clone() });
                (c, Relaxed::Mass(t))
            }
            Requirement::ClearGap => {
                let wanted = target.limits.clear_gap;
                let (c, t) = self.least(candidate, 0.0, GAP_STEP, &|_| wanted, &|t| {
                    let mut open = target.clone();
                    open.limits.clear_gap = wanted - t;
                    open
                });
                (c, Relaxed::ClearGap(wanted - t))
            }
            Requirement::Reach => {
                let reach = target.fall.reach?;
                let time = |c: &Candidate| value(&look(c), Requirement::Reach).unwrap_or(f64::INFINITY);
                let (c, t) = self.least(candidate, reach.within, TIME_STEP, &time, &|within| {
                    let reach = Some(Reach { within, ..reach });
                    Target { fall: FallWish { reach, ..target.fall }, ..target.clone() }
                });
                (c, Relaxed::Within(t))
            }
            Requirement::Dive => {
                let dive = target.fall.dive?;
                let short =
                    |c: &Candidate| value(&look(c), Requirement::Dive).map_or(f64::INFINITY, |v| dive.least - v);
                let (c, t) = self.least(candidate, 0.0, ANGLE_STEP, &short, &|less| {
                    let dive = Some(Dive { least: dive.least - less, ..dive });
                    Target { fall: FallWish { dive, ..target.fall }, ..target.clone() }
                });
                (c, Relaxed::DiveFrom(dive.least - t))
            }
            Requirement::DepthRange => (candidate, Relaxed::OneDepth),
            Requirement::Settles => (candidate, Relaxed::TightLine),
            Requirement::Cost => (candidate, Relaxed::Cost(candidate.judgement.cost)),
            Requirement::Rides => {
                let rides = look(&candidate).prediction.hang.rest()?.rides;
                (candidate, Relaxed::Rides(rides))
            }
            Requirement::LeadFree => (candidate, Relaxed::Lead),
            Requirement::PartFilters => (candidate, Relaxed::AnyPart),
            Requirement::HiddenFoam => (candidate, Relaxed::VisibleFoam),
            Requirement::Fit | Requirement::Sinks | Requirement::SinkRate => return None,
        };
        Some(Relaxation { requirement, to, candidate })
    }

    /// The least limit, to within a step, that lets anything in: between `shut`, which lets nothing in, and what a
    /// candidate needs.
    fn least(
        &self,
        candidate: Candidate<'a>,
        shut: f64,
        step: f64,
        needs: &dyn Fn(&Candidate) -> f64,
        with_limit: &dyn Fn(f64) -> Target,
    ) -> (Candidate<'a>, f64) {
        let (mut shut, mut open, mut best) = (shut, needs(&candidate), candidate);
        while open - shut > step && open.is_finite() {
            let middle = 0.5 * (shut + open);
            match self.cheapest(&with_limit(middle)) {
                Some(found) => {
                    best = found;
                    open = middle.min(needs(&found));
                }
                None => shut = middle,
            }
        }
        (best, open)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Angle, Length};
    use crate::search::Unwatched;
    use crate::wanted::TargetSpec;

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
        assert_eq!(found.conflict, [Requirement::PartFilters, Requirement::Hang]);
        let hang = found.relaxations.iter().find(|r| r.requirement == Requirement::Hang).expect("helps");
        let Relaxed::Tolerance(needed) = hang.to else { panic!("a tolerance") };
        // As small as it can be: what it lets in meets it, and a quarter of a degree less lets nothing in.
        let open = Target { tolerance: needed, ..target.clone() };
        assert!(assess(&hang.candidate.fly, &open).feasible());
        let tight = Target { tolerance: needed - 1.01 * ANGLE_STEP, ..target };
        let wish = Wish { top: 1, variety: Variety::Every };
        assert!(search(&catalog, &tight, wish, &Unwatched).candidates.is_empty());
    }

    #[test]
    fn no_hook_is_said_as_such() {
        let catalog = Catalog::built_in().expect("built-in");
        let spec = TargetSpec { size: vec![3], hang: Some(Angle::from_deg(0.0)), ..TargetSpec::default() };
        assert!(!explained(&catalog, spec).1.any_hook);
    }
}
