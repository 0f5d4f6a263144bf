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
use crate::physics::fall::{self, countdown::LONGEST};
use crate::physics::fall::{
    Course, Fall, Settled, Way, even_time, from_rest, lowered_countdown, slack_countdown, steady_time,
};
use crate::physics::sinking::Sinking;
use crate::physics::statics::{Knot, Rest, hang};
use crate::physics::water::Water;
use crate::wanted::{Dive, Line, Reach, Target, Window};
use std::f64::consts::{PI, TAU};

/// Rounding allowed for in the quick tests.
const SLACK: f64 = 1e-9;

/// Hands each check to `take` until it says no; returns whether it never did.
pub(super) fn each_check(fly: &Fly, target: &Target, mut take: impl FnMut(Check) -> bool) -> bool {
    if !target.fall.takes_a_history() {
        return true;
    }
    let sinking = fly::sinking(fly, &target.conditions);
    each_of(&sinking, fly.hook.neck_angle, target, |history| take(history.check))
}

/// The same for a fly that has been placed, each with what tells it of flies that differ a little.
pub(super) fn each_of(
    sinking: &Sinking,
    neck_angle: f64,
    target: &Target,
    mut take: impl FnMut(History) -> bool,
) -> bool {
    let wish = &target.fall;
    let diver = Diver { fall: Fall::new(sinking, &target.conditions.water), target, neck: neck_angle };
    let deep = target.conditions.depth;
    let ends = [Some(deep), wish.shallow].into_iter().flatten();
    let slack_at = |depth: f64| {
        let histories = diver.slack(depth).into_iter();
        histories.map(move |h| if depth == deep { h } else { History { check: h.check.at(depth), ..h } })
    };
    wish.reach.is_none_or(|reach| take(diver.reach(reach)))
        && (wish.line == Line::Tight || ends.flat_map(slack_at).all(&mut take))
        && wish.dive.is_none_or(|dive| take(diver.dive(dive)))
}

/// A figure that takes a history in time, of one fly, with what tells it of flies that differ a little.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct History {
    /// The figure.
    pub check: Check,
    pub(super) near: Near,
}

/// What tells a figure of a fly that differs a little from one whose history is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Near {
    /// It is taken as level: whether a fly settles, and whatever cannot be followed.
    Level,
    /// A time to a depth differs by what the steady time does (s, here of the one that is known): the start is short, and much the same.
    WayDown { depth: f64, way: Way, steady: f64 },
    /// It settles into the fall next to this one, at a depth, m.
    Settled { depth: f64, fall: Settled },
    /// Its stroke is followed.
    Stroke(Dive),
}

impl History {
    /// Each of these figures of a fly placed so that differs a little from the one that they are of; `None` where that is
    /// not known.
    #[must_use]
    pub(super) fn near(list: &[Self], sinking: &Sinking, neck_angle: f64, target: &Target) -> Vec<Option<f64>> {
        let diver = Diver { fall: Fall::new(sinking, &target.conditions.water), target, neck: neck_angle };
        let each = list.iter().map(|history| match history.near {
            Near::Level => Some(history.check.value),
            Near::WayDown { depth, way, steady } => {
                steady_time(&diver.fall, way, depth).map(|time| history.check.value + time - steady)
            }
            Near::Settled { depth, fall } => {
                let near = diver.fall.settled_near(&diver.fall.medium(depth), &fall);
                near.filter(Settled::stable).map(|settled| settled.sink_rate())
            }
            Near::Stroke(dive) => Some(diver.dive(dive).check.value),
        });
        each.collect()
    }
}

/// Whether a quick test shows that a requirement cannot be met.
pub(super) fn clearly_missed(fly: &Fly, target: &Target) -> bool {
    match (target.fall.line, target.fall.reach, target.sink.and_then(|w| w.low)) {
        (Line::Tight, Some(reach), _) => {
            let sinking = fly::sinking(fly, &target.conditions);
            never_as_fast(fly, &sinking, target, reach) || clearly_late(&sinking, fly.hook.neck_angle, target, 1.0)
        }
        (Line::Slack, ..) => {
            let sinking = fly::sinking(fly, &target.conditions);
            too_light_to_sink_so(&sinking, target) || settles_nowhere_within(fly, &sinking, target)
        }
        _ => false,
    }
}

/// A fly from rest on a tight line takes no less than this of what it would take at its steady rate all the way: it is faster than
/// that by no more than it has kept from where the rate was greater, some centimetres back, and that time is worked out by few
/// stations. Tested, not proven: of 30,000 flies drawn none took less than 0.98 of it.
const AGAINST_STEADY: f64 = 0.975;

/// Whether a fly placed so, on a tight line, is later than wanted even if it takes but `share` of its time.
pub(super) fn clearly_late(sinking: &Sinking, neck_angle: f64, target: &Target, share: f64) -> bool {
    let Some(reach) = target.fall.reach.filter(|_| target.fall.line == Line::Tight) else { return false };
    let fall = Fall::new(sinking, &target.conditions.water);
    let steady = even_time(&fall, (target.conditions.knot, neck_angle), reach.depth);
    steady.is_some_and(|time| AGAINST_STEADY * share * time > reach.within)
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
fn never_as_fast(fly: &Fly, sinking: &Sinking, target: &Target, reach: Reach) -> bool {
    let conditions = &target.conditions;
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
        least_drag(sinking, speed, attitudes, deep, &conditions.water) > weight * (1.0 + SLACK)
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

    fn reach(&self, reach: Reach) -> History {
        let knot = self.target.conditions.knot;
        let depths = [reach.depth];
        let count = self.hang(0.0).and_then(|beta| match self.target.fall.line {
            Line::Tight => lowered_countdown(&self.fall, (knot, self.neck), &depths).ok(),
            Line::Slack => slack_countdown(&self.fall, beta, &depths).ok(),
        });
        let passing = count.as_ref().and_then(|c| c.passings[0]);
        let way = match self.target.fall.line {
            Line::Tight => Some(Way::Tight(knot, self.neck)),
            Line::Slack => count.and_then(|c| c.reached).map(Way::Slack),
        };
        let near = || {
            let way = way.filter(|_| passing.is_some())?;
            Some(Near::WayDown { depth: reach.depth, way, steady: steady_time(&self.fall, way, reach.depth)? })
        };
        let time = passing.map_or(LONGEST, |p| p.time);
        let near = near().unwrap_or(Near::Level);
        History { check: Check::of(Requirement::Reach, time, at_most(reach.within)), near }
    }

    fn slack(&self, depth: f64) -> Vec<History> {
        let medium = self.fall.medium(depth);
        let fall = self.hang(depth).and_then(|beta| from_rest(&self.fall, &medium, beta).ok());
        let settles = fall.as_ref().is_some_and(|f| f.course == Course::Settles);
        let check = Check::of(Requirement::Settles, if settles { 0.0 } else { 1.0 }, at_most(0.0));
        let mut histories = vec![History { check, near: Near::Level }];
        histories.extend(fall.and_then(|f| {
            let near = f.reached.map_or(Near::Level, |fall| Near::Settled { depth, fall });
            sink_check(f.sink_rate, self.target).map(|check| History { check, near })
        }));
        histories
    }

    fn dive(&self, dive: Dive) -> History {
        let depth = self.target.conditions.depth;
        let medium = self.fall.medium(depth);
        // A fly that cannot be followed does not dive.
        let drop =
            self.hang(depth).and_then(|beta| fall::dive(&self.fall, &medium, beta, dive.slack).ok()).unwrap_or(-PI);
        let check = Check::of(Requirement::Dive, drop, Window { low: Some(dive.least), high: None });
        History { check, near: Near::Stroke(dive) }
    }
}
