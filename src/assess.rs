//! The one evaluation that everybody calls: a fly and a target in, an assessment out.
//!
//! [`judge`] stops at the first requirement that fails, for the search; [`assess`] computes every figure. Both use the
//! same functions in the same order, so a recipe that one accepts the other accepts.
//!
//! What takes a history in time ([`FallWish::takes_a_history`]) comes last: [`judge_quick`] leaves it out, and its margin
//! is the most that [`judge`] can give. A search asks [`judge_history`] only of recipes that would enter its list.
//!
//! Where a base must meet a target under each of several dressings ([`Choice::each`]), judging does what it says under each:
//! a recipe meets the target when it does under all of them, and its margin and lever are those of the worst. [`assess`] and
//! the checks of flies as they were tied are about the dressing of the fly that they are given.
//!
//! [`Choice::each`]: crate::wanted::Choice::each
//! [`FallWish::takes_a_history`]: crate::wanted::FallWish::takes_a_history

mod depths;
mod history;
mod line_fall;
mod requirement;

pub use history::History;
pub use line_fall::{LineFall, line_fall};
pub use requirement::{Effort, Requirement, Row};

use crate::fly::{self, AsTied, Conditions, Deviation, Fly, Misfit};
use crate::physics::body::Body;
use crate::physics::friction;
use crate::physics::lowered::{Lowered, clearly_outside, lowered, sink_sd, sinks_within};
use crate::physics::statics::{Hang, Knot, Moments, Rest, hang};
use crate::physics::warning::Warning;
use crate::physics::water::Water;
use crate::quantity::Money;
use crate::wanted::{Line, Target, Window};

/// One requirement held against one recipe.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// Which requirement.
    pub requirement: Requirement,
    /// The figure that it looks at, SI (money: units of the currency); NaN never.
    pub value: f64,
    /// What the figure must lie in.
    pub window: Window,
    /// Whether it does.
    pub met: bool,
    /// The depth that it was looked at, m, where that is not the fishing depth.
    pub depth: Option<f64>,
}

/// What a search needs to rank a recipe that meets the target.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Judgement {
    /// Cost of material for one fly, in its own dressing.
    pub cost: Money,
    /// How far inside the narrowest requirement the recipe lies: 1 in the middle, 0 on the edge.
    pub margin: f64,
    /// How firmly it holds its hang: moment over submerged weight, m. Friction in the eye leaves it anywhere within the turn
    /// at which that lever moves sideways by the lever of friction.
    pub lever: f64,
}

impl Judgement {
    /// The margin and the lever of the worse of two dressings of one base; the cost stays.
    fn no_better_than(self, other: &Self) -> Self {
        Self { margin: self.margin.min(other.margin), lever: self.lever.min(other.lever), ..self }
    }
}

/// Every figure about one fly under one set of conditions.
#[derive(Debug, Clone, PartialEq)]
pub struct Prediction {
    /// The placed body.
    pub body: Body,
    /// Submerged weight and moments.
    pub moments: Moments,
    /// How it hangs.
    pub hang: Hang,
    /// How it sinks, lowered on a tight line.
    pub lowered: Lowered,
    /// Correlations used outside their range, and other limits of the model.
    pub warnings: Vec<Warning>,
}

impl Prediction {
    /// Relative standard deviation of the sink rate: how sure the model is of it, not how flies differ.
    #[must_use]
    pub fn sink_sd(&self, water: &Water) -> f64 {
        sink_sd(&self.body, &self.hang, &self.lowered, water)
    }
}

/// A prediction held against a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// The figures.
    pub prediction: Prediction,
    /// Cost of material for one fly.
    pub cost: Money,
    /// Why it cannot be tied, if it cannot.
    pub misfit: Option<Misfit>,
    /// Every requirement of the target.
    pub checks: Vec<Check>,
    /// How far inside the narrowest requirement, 0 when one is missed.
    pub margin: f64,
}

impl Assessment {
    /// Whether all requirements are met.
    #[must_use]
    pub fn feasible(&self) -> bool {
        self.misfit.is_none() && self.checks.iter().all(|c| c.met)
    }
}

/// The forward model: all figures of a fly under given conditions.
#[must_use]
pub fn predict(fly: &Fly, conditions: &Conditions) -> Prediction {
    let body = fly::body(fly, conditions);
    let moments = body.moments(conditions.water.density);
    let hang = hang(moments, conditions.knot, fly.hook.neck_angle);
    let (lowered, mut warnings) = lowered(&body, moments.weight, &hang, &conditions.water);
    warnings.extend(fly.foam.as_ref().and_then(|piece| fly::gas_warning(piece, conditions)));
    Prediction { body, moments, hang, lowered, warnings }
}

/// Holds a fly against a target and stops at the first requirement that fails.
#[must_use]
pub fn judge(fly: &Fly, target: &Target) -> Option<Judgement> {
    let quick = judge_quick(fly, target).filter(|_| !clearly_missed_in_time(fly, target))?;
    judge_history(fly, target, quick)
}

/// [`judge`] without the requirements that take a history in time.
#[must_use]
pub fn judge_quick(fly: &Fly, target: &Target) -> Option<Judgement> {
    judge_quick_if(fly, target, |_| true)
}

/// The same, given up where `goes_on` says so once all but a range of depths and the sink rate is known: margins can only
/// become narrower from there. Of other dressings under which the target must hold, all but their histories is known by then.
pub fn judge_quick_if(fly: &Fly, target: &Target, goes_on: impl FnOnce(&Judgement) -> bool) -> Option<Judgement> {
    let mut others = None;
    let own = judge_alone(fly, target, |own| {
        let judged = target.also(fly).try_fold(*own, |least, other| {
            let other = judge_alone(&other, target, |_| true)?;
            Some(least.no_better_than(&other))
        });
        others = judged;
        judged.is_some_and(|least| goes_on(&least))
    })?;
    Some(others.map_or(own, |others| own.no_better_than(&others)))
}

/// [`judge_quick_if`] under the dressing of the fly alone.
fn judge_alone(fly: &Fly, target: &Target, goes_on: impl FnOnce(&Judgement) -> bool) -> Option<Judgement> {
    if fly::first_misfit(fly, &target.limits).is_some() {
        return None;
    }
    let cost = fly::total_cost(fly);
    let early = [lead_check(fly, target), cost_check(cost, target)];
    if early.iter().flatten().any(|c| !c.met) {
        return None;
    }
    let conditions = &target.conditions;
    let body = fly::body(fly, conditions);
    let moments = body.moments(conditions.water.density);
    let mut margin: f64 = 1.0;
    let mut holds = |check: Option<Check>| {
        check.is_none_or(|c| {
            margin = margin.min(c.margin());
            c.met
        })
    };
    if !holds(mass_check(body.mass(), target)) || !holds(Some(sinks_check(moments))) {
        return None;
    }
    let hang = hang(moments, conditions.knot, fly.hook.neck_angle);
    let rest = hang.rest()?;
    if !holds(rides_check(rest, fly, target))
        || !holds(Some(hang_check(rest, target)))
        || !holds(band_check(moments, fly, target))
    {
        return None;
    }
    let lever = moments.magnitude() / moments.weight;
    if !goes_on(&Judgement { cost, margin, lever }) {
        return None;
    }
    let mut holds = |check: Option<Check>| {
        check.is_none_or(|c| {
            margin = margin.min(c.margin());
            c.met
        })
    };
    if target.fall.shallow.is_some() && !depths::checks(fly, target, rest).into_iter().all(|c| holds(Some(c))) {
        return None;
    }
    if let Some(window) = target.sink.filter(|_| target.fall.line == Line::Tight) {
        if clearly_outside(&body, moments.weight, rest.down, &conditions.water, (window.low, window.high)) {
            return None;
        }
        let (lowered, _) = lowered(&body, moments.weight, &hang, &conditions.water);
        if !holds(sink_check(lowered.sink_rate, target)) {
            return None;
        }
        if let Some(shallow) = target.fall.shallow
            && !holds(depths::sink_rate(fly, target, shallow).and_then(|rate| sink_check(rate, target)))
        {
            return None;
        }
    }
    Some(Judgement { cost, margin, lever })
}

/// Whether a quick test shows that a fly misses what takes a history in time.
#[must_use]
pub fn clearly_missed_in_time(fly: &Fly, target: &Target) -> bool {
    history::clearly_missed(fly, target) || target.also(fly).any(|other| history::clearly_missed(&other, target))
}

/// Whether a fly on a tight line, tied so, is later at a depth than wanted even if it takes but so large a share of its time; false
/// where nothing is wanted or known of that.
#[must_use]
pub fn clearly_late(tied: &AsTied, deviation: &Deviation, target: &Target, share: f64) -> bool {
    target.fall.reach.is_some()
        && history::clearly_late(&tied.sinking(deviation), tied.fly.hook.neck_angle, target, share)
}

/// The rest of [`judge`] for a fly that [`judge_quick`] accepts, and that is not clearly missed in time.
#[must_use]
pub fn judge_history(fly: &Fly, target: &Target, quick: Judgement) -> Option<Judgement> {
    if !target.fall.takes_a_history() {
        return Some(quick);
    }
    let mut margin = quick.margin;
    let flies = || std::iter::once(*fly).chain(target.also(fly));
    let held = flies().all(|fly| {
        history::each_check(&fly, target, |check| {
            margin = margin.min(check.margin());
            check.met
        })
    });
    held.then_some(Judgement { margin, ..quick })
}

/// The first requirement that a fly misses as it was tied, of those that differ from fly to fly.
///
/// The same checks as [`judge`], in the same order, but for two: instead of the sink rate itself it compares weight and
/// drag at the edges of the window, which says the same for a fraction of the work; and what takes a history in time is
/// left to [`history_checks`]. Parts, fit and cost are the recipe's and do not differ.
#[must_use]
pub fn first_miss(tied: &AsTied, deviation: &Deviation, target: &Target) -> Option<Requirement> {
    let missed = |check: Check| (!check.met).then_some(check.requirement);
    if target.max_mass.is_some()
        && let Some(miss) = mass_check(tied.mass(deviation), target).and_then(missed)
    {
        return Some(miss);
    }
    let (conditions, neck_angle) = (&target.conditions, tied.fly.hook.neck_angle);
    let moments = tied.moments(deviation);
    let deep = hang(moments, conditions.knot, neck_angle);
    let Some(rest) = deep.rest() else { return Some(Requirement::Sinks) };
    let rest = &friction::held(rest, moments, deviation.friction);
    let attitude = rides_check(rest, &tied.fly, target).and_then(missed).or_else(|| missed(hang_check(rest, target)));
    if attitude.is_some() {
        return attitude;
    }
    let window = target.sink.filter(|_| target.fall.line == Line::Tight);
    // As fast as it is for what the model has it to be.
    let known_as = |rate: f64| rate * (-deviation.sink_rate).exp();
    let too_slow_or_fast = |body: &Body, weight: f64, rest: &Rest| {
        let edges = |w: Window| (w.low.map(known_as), w.high.map(known_as));
        let holds = |w: Window| sinks_within(body, weight, rest.down, &conditions.water, edges(w));
        (!window.is_none_or(holds)).then_some(Requirement::SinkRate)
    };
    if let Some(shallow) = target.fall.shallow {
        let sinking = tied.sinking(deviation);
        let range =
            depths::checks_of(&sinking, neck_angle, target, rest, deviation.friction).into_iter().find_map(missed);
        if range.is_some() {
            return range;
        }
        let moments = sinking.moments(shallow, &conditions.water);
        if let Some(rest) = hang(moments, conditions.knot, neck_angle).rest()
            && let Some(miss) = too_slow_or_fast(&sinking.at(shallow, &conditions.water), moments.weight, rest)
        {
            return Some(miss);
        }
    }
    window.and_then(|_| too_slow_or_fast(&tied.body(deviation), moments.weight, rest))
}

/// The checks that take a history in time, of a fly as it was tied.
#[must_use]
pub fn history_checks(tied: &AsTied, deviation: &Deviation, target: &Target) -> Vec<Check> {
    histories(tied, deviation, target).into_iter().map(|history| history.check).collect()
}

/// The same, each with what tells it of flies that differ a little.
#[must_use]
pub fn histories(tied: &AsTied, deviation: &Deviation, target: &Target) -> Vec<History> {
    let mut list = Vec::new();
    each_history(tied, deviation, target, |history| {
        list.push(history);
        true
    });
    list
}

/// The same one by one, as long as they are taken: whether all of them were. None is followed after one that is not.
pub fn each_history(
    tied: &AsTied,
    deviation: &Deviation,
    target: &Target,
    mut take: impl FnMut(History) -> bool,
) -> bool {
    let known_as = |history: History| History { check: history.check.sinking_faster(deviation.sink_rate), ..history };
    !target.fall.takes_a_history()
        || history::each_of(&tied.sinking(deviation), tied.fly.hook.neck_angle, target, |h| take(known_as(h)))
}

/// The figures of histories, of a fly tied so that differs a little from the one that they are of, at a fraction of the work;
/// `None` where that is not known. What is taken as level still differs by how well the sink rate is known.
#[must_use]
pub fn histories_near(list: &[History], tied: &AsTied, deviation: &Deviation, target: &Target) -> Vec<Option<f64>> {
    let values = History::near(list, &tied.sinking(deviation), tied.fly.hook.neck_angle, target).into_iter();
    let known_as = |(history, value): (&History, Option<f64>)| {
        Some(Check { value: value?, ..history.check }.sinking_faster(deviation.sink_rate).value)
    };
    list.iter().zip(values).map(known_as).collect()
}

/// Every figure of a fly, held against every requirement of a target.
#[must_use]
pub fn assess(fly: &Fly, target: &Target) -> Assessment {
    let prediction = predict(fly, &target.conditions);
    let cost = fly::total_cost(fly);
    let mut checks: Vec<Check> =
        [lead_check(fly, target), cost_check(cost, target), mass_check(prediction.body.mass(), target)]
            .into_iter()
            .flatten()
            .collect();
    checks.push(sinks_check(prediction.moments));
    if let Some(rest) = prediction.hang.rest() {
        checks.extend(rides_check(rest, fly, target));
        checks.push(hang_check(rest, target));
        checks.extend(band_check(prediction.moments, fly, target));
        checks.extend(depths::checks(fly, target, rest));
        if target.fall.line == Line::Tight {
            checks.extend(sink_check(prediction.lowered.sink_rate, target));
            checks.extend(target.fall.shallow.and_then(|depth| {
                let rate = depths::sink_rate(fly, target, depth)?;
                sink_check(rate, target).map(|check| check.at(depth))
            }));
        }
        history::each_check(fly, target, |check| {
            checks.push(check);
            true
        });
        narrowest_of_each(&mut checks);
    }
    let misfit = fly::first_misfit(fly, &target.limits);
    let met = misfit.is_none() && checks.iter().all(|c| c.met);
    let margin = if met { checks.iter().map(Check::margin).fold(1.0, f64::min) } else { 0.0 };
    Assessment { prediction, cost, misfit, checks, margin }
}

impl Check {
    fn of(requirement: Requirement, value: f64, window: Window) -> Self {
        Self { requirement, value, window, met: window.holds(value), depth: None }
    }

    /// The same of a fly that sinks faster; `by` is the logarithm of the ratio.
    pub(crate) fn sinking_faster(self, by: f64) -> Self {
        let value = match self.requirement {
            Requirement::SinkRate => self.value * by.exp(),
            Requirement::Reach => self.value * (-by).exp(),
            _ => return self,
        };
        Self { value, met: self.window.holds(value), ..self }
    }

    fn at(self, depth: f64) -> Self {
        Self { depth: Some(depth), ..self }
    }

    /// How far inside its window, 1 for requirements that are only met or missed.
    #[must_use]
    pub fn margin(&self) -> f64 {
        if self.requirement.row().graded { self.window.margin(self.value) } else { 1.0 }
    }
}

fn at_most(high: f64) -> Window {
    Window { low: None, high: Some(high) }
}

fn lead_check(fly: &Fly, target: &Target) -> Option<Check> {
    target.choice.lead_free.then(|| {
        let lead = if fly.contains_lead() { 1.0 } else { 0.0 };
        Check::of(Requirement::LeadFree, lead, at_most(0.0))
    })
}

fn cost_check(cost: Money, target: &Target) -> Option<Check> {
    target.max_cost.map(|most| Check {
        requirement: Requirement::Cost,
        value: cost.micros() as f64 * 1e-6,
        window: at_most(most.micros() as f64 * 1e-6),
        // As it is shown: a fly listed at 0.74 meets a limit of 0.74.
        met: cost.cents() <= most.cents(),
        depth: None,
    })
}

fn mass_check(mass: f64, target: &Target) -> Option<Check> {
    target.max_mass.map(|most| Check::of(Requirement::Mass, mass, at_most(most)))
}

fn sinks_check(moments: Moments) -> Check {
    Check {
        requirement: Requirement::Sinks,
        value: moments.weight,
        window: Window { low: Some(0.0), high: None },
        met: moments.weight > 0.0,
        depth: None,
    }
}

fn rides_check(rest: &Rest, fly: &Fly, target: &Target) -> Option<Check> {
    target.rides.side(fly.hook).map(|wanted| {
        let value = if rest.rides == wanted { 0.0 } else { 1.0 };
        Check::of(Requirement::Rides, value, at_most(0.0))
    })
}

fn hang_check(rest: &Rest, target: &Target) -> Check {
    Check::of(Requirement::Hang, rest.angle, target.hang_window())
}

/// A snug knot holds a fly itself: friction in the eye is none of its matters.
fn band_check(moments: Moments, fly: &Fly, target: &Target) -> Option<Check> {
    let most = target.max_band.filter(|_| target.conditions.knot == Knot::Loop)?;
    let lever = friction::lever(fly.hook.eye_inner_diameter, target.hands.eye_friction);
    Some(Check::of(Requirement::Band, friction::band(moments, lever), at_most(most)))
}

fn sink_check(sink_rate: f64, target: &Target) -> Option<Check> {
    target.sink.map(|window| Check::of(Requirement::SinkRate, sink_rate, window))
}

/// Keeps one check of each requirement: the one that fails, or else the one with the least margin.
fn narrowest_of_each(checks: &mut Vec<Check>) {
    let mut kept: Vec<Check> = Vec::with_capacity(checks.len());
    for check in checks.drain(..) {
        match kept.iter_mut().find(|k| k.requirement == check.requirement) {
            Some(known) if (check.met, check.margin()) < (known.met, known.margin()) => *known = check,
            Some(_) => {}
            None => kept.push(check),
        }
    }
    *checks = kept;
}
