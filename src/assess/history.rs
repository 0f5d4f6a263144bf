//! Requirements that take a history in time, cheapest first; [`clearly_missed`] says of some flies, for the price of a few
//! drags, that they cannot meet them.
//!
//! **Time to depth on a tight line.** The mean speed has to be at least v = depth over time, so somewhere on the way the
//! steady sink rate has to be: a fly that starts from rest is never faster than that. Between two depths the weight is at
//! most that at the deeper one. On a free loop the moment vector of a soaked fly moves along a straight line between the
//! two (see [`super::depths`]), so its hang stays between the hangs at both, and its drag at v is no less than the least
//! over those attitudes. Foam shrinks on the way, and its drag across, Cd d, grows with its diameter d, its friction too:
//! both are no less than at the deeper end, while of the drag of its ends none is counted. Where on every stretch of the way this drag exceeds that weight, it is too slow.
//! Otherwise (snug, or with bubbles) any attitude is allowed for.
//!
//! **Sink rate on a slack line.** A fly that never settles has none, and does not meet it. In a settled fall the drag along
//! the path is at most the weight, and the path is at least as fast as the sink rate: where the least drag of any
//! attitude at the lowest rate wanted exceeds the weight, it is not reached. Nor is the window where no stable fall of the
//! fly lies in it.

use super::{Check, Requirement, at_most, sink_check};
use crate::fly::{self, Fly, State};
use crate::physics::build_up::{drag_bounds, drag_parts};
use crate::physics::fall::countdown::LONGEST;
use crate::physics::fall::{Course, Fall, from_rest, lowered_countdown, slack_countdown, stroke};
use crate::physics::sinking::Sinking;
use crate::physics::statics::{Knot, Rest, hang};
use crate::physics::water::Water;
use crate::wanted::{Dive, Line, Reach, Target, Window};
use std::f64::consts::{PI, TAU};

/// Rounding allowed for in the quick tests.
const SLACK: f64 = 1e-9;

/// Hands each check to `take` until it says no; returns whether it never did.
pub(super) fn each_check(fly: &Fly, target: &Target, take: impl FnMut(Check) -> bool) -> bool {
    if !target.fall.takes_a_history() {
        return true;
    }
    each_check_of(&fly::sinking(fly, &target.conditions), fly.hook.neck_angle, target, take)
}

/// The same for a fly that has been placed.
pub(super) fn each_check_of(
    sinking: &Sinking,
    neck_angle: f64,
    target: &Target,
    mut take: impl FnMut(Check) -> bool,
) -> bool {
    let wish = &target.fall;
    let diver = Diver { fall: Fall::new(sinking, &target.conditions.water), target, neck: neck_angle };
    let deep = target.conditions.depth;
    let ends = [Some(deep), wish.shallow].into_iter().flatten();
    let slack_at = |depth: f64| {
        let checks = diver.slack(depth).into_iter();
        checks.map(move |check| if depth == deep { check } else { check.at(depth) })
    };
    wish.reach.is_none_or(|reach| take(diver.reach(reach)))
        && (wish.line == Line::Tight || ends.flat_map(slack_at).all(&mut take))
        && wish.dive.is_none_or(|dive| take(diver.dive(dive)))
}

/// Whether a quick test shows that a requirement cannot be met.
pub(super) fn clearly_missed(fly: &Fly, target: &Target) -> bool {
    match (target.fall.line, target.fall.reach, target.sink.and_then(|w| w.low)) {
        (Line::Tight, Some(reach), _) => never_as_fast(fly, target, reach),
        (Line::Slack, ..) => {
            let sinking = fly::sinking(fly, &target.conditions);
            too_light_to_sink_so(&sinking, target) || settles_nowhere_within(fly, &sinking, target)
        }
        _ => false,
    }
}

/// Whether the weight is less than the least drag of any attitude at the lowest rate wanted.
fn too_light_to_sink_so(sinking: &Sinking, target: &Target) -> bool {
    let Some(low) = target.sink.and_then(|w| w.low).filter(|low| *low > 0.0) else { return false };
    let water = &target.conditions.water;
    let weight = sinking.moments(target.conditions.depth, water).weight;
    // Foam, whose drag changes on the way, is left out: that can only make the least drag less.
    let least: f64 = sinking.firm.elements.iter().map(|e| drag_bounds(e, low, (-PI, PI), water).0).sum();
    least > weight * (1.0 + SLACK)
}

/// Whether no stable fall at all has a sink rate within the window: what it settles into is one of them, found the same
/// way, so it need not be followed.
fn settles_nowhere_within(fly: &Fly, sinking: &Sinking, target: &Target) -> bool {
    let water = &target.conditions.water;
    let fall = Fall::new(sinking, water);
    let ends = [Some(target.conditions.depth), target.fall.shallow].into_iter().flatten();
    ends.into_iter().any(|depth| {
        let medium = fall.medium(depth);
        let rest = hang(medium.moments, target.conditions.knot, fly.hook.neck_angle);
        let Some(beta) = rest.rest().map(Rest::beta) else { return true };
        let holds = |rate: f64| target.sink.is_none_or(|window| window.holds(rate));
        !fall.settled(&medium, beta).iter().any(|s| s.stable() && holds(s.sink_rate()))
    })
}

/// Stretches of the way down on each of which the drag is bounded.
const STRETCHES: u32 = 6;

/// Whether a fly on a tight line is nowhere on its way as fast as it has to be in the mean.
fn never_as_fast(fly: &Fly, target: &Target, reach: Reach) -> bool {
    let conditions = &target.conditions;
    let sinking = fly::sinking(fly, conditions);
    let speed = reach.depth / reach.within;
    let straight = conditions.knot == Knot::Loop && conditions.state == State::Soaked;
    let turn = |depth: f64| {
        let moments = sinking.moments(depth, &conditions.water);
        hang(moments, conditions.knot, fly.hook.neck_angle).rest().map(Rest::beta)
    };
    let station = |i: u32| reach.depth * f64::from(i) / f64::from(STRETCHES);
    (0..STRETCHES).all(|i| {
        let (shallow, deep) = (station(i), station(i + 1));
        let attitudes = match (turn(shallow), turn(deep)) {
            (Some(a), Some(b)) if straight => {
                let b = a + (b - a + PI).rem_euclid(TAU) - PI;
                (a.min(b), a.max(b))
            }
            _ => (-PI, PI),
        };
        let weight = sinking.moments(deep, &conditions.water).weight;
        least_drag(&sinking, speed, attitudes, deep, &conditions.water) > weight * (1.0 + SLACK)
    })
}

/// Least drag of a body at a speed between two attitudes and at no more than a depth.
fn least_drag(sinking: &Sinking, speed: f64, attitudes: (f64, f64), deepest: f64, water: &Water) -> f64 {
    let firm: f64 = sinking.firm.elements.iter().map(|e| drag_bounds(e, speed, attitudes, water).0).sum();
    let soft = sinking.soft.iter().map(|element| {
        let thin = element.at(water.pressure_at_depth(deepest), water.gas());
        let [across, skin, _] = drag_parts(&thin, speed, attitudes, water);
        across.0 + skin.0
    });
    firm + soft.sum::<f64>()
}

struct Diver<'f> {
    fall: Fall<'f>,
    target: &'f Target,
    neck: f64,
}

impl Diver<'_> {
    /// Turn of the downward direction in the hang at a depth; `None` where it floats.
    fn hang(&self, depth: f64) -> Option<f64> {
        let moments = self.fall.medium(depth).moments;
        hang(moments, self.target.conditions.knot, self.neck).rest().map(|rest| rest.beta())
    }

    fn reach(&self, reach: Reach) -> Check {
        let knot = self.target.conditions.knot;
        let depths = [reach.depth];
        let count = self.hang(0.0).and_then(|beta| match self.target.fall.line {
            Line::Tight => lowered_countdown(&self.fall, (knot, self.neck), &depths).ok(),
            Line::Slack => slack_countdown(&self.fall, beta, &depths).ok(),
        });
        let time = count.and_then(|c| c.passings[0]).map_or(LONGEST, |p| p.time);
        Check::of(Requirement::Reach, time, at_most(reach.within))
    }

    fn slack(&self, depth: f64) -> Vec<Check> {
        let medium = self.fall.medium(depth);
        let fall = self.hang(depth).and_then(|beta| from_rest(&self.fall, &medium, beta).ok());
        let settles = fall.as_ref().is_some_and(|f| f.course == Course::Settles);
        let mut checks = vec![Check::of(Requirement::Settles, if settles { 0.0 } else { 1.0 }, at_most(0.0))];
        checks.extend(fall.and_then(|f| sink_check(f.sink_rate, self.target)));
        checks
    }

    fn dive(&self, dive: Dive) -> Check {
        let depth = self.target.conditions.depth;
        let (medium, knot) = (self.fall.medium(depth), (self.target.conditions.knot, self.neck));
        let done = self
            .hang(depth)
            .and_then(|beta| stroke(&self.fall, &medium, beta, knot, dive.slack, self.target.tolerance).ok());
        // A fly that cannot be followed does not dive.
        let drop = done.map_or(-PI, |s| s.dive);
        Check::of(Requirement::Dive, drop, Window { low: Some(dive.least), high: None })
    }
}
