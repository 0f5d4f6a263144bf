//! Requirements that take a history in time, cheapest first; [`clearly_missed`] says of some flies, for the price of a few
//! drags, that they cannot meet them.
//!
//! **Time to depth on a tight line.** The mean speed has to be at least v = depth over time. The weight on the way is at
//! most that at the depth itself. Where even the least drag of any attitude at v exceeds that weight, a fly that starts
//! from rest never gets as fast as v.
//!
//! **Sink rate on a slack line.** A fly that never settles has none, and does not meet it. In a settled fall the drag along
//! the path is at most the weight, and the path is at least as fast as the sink rate: where the least drag of any
//! attitude at the lowest rate wanted exceeds the weight, it is not reached.

use super::{Check, Requirement, at_most, sink_check};
use crate::fly::{self, Fly};
use crate::physics::build_up::drag_bounds;
use crate::physics::fall::countdown::LONGEST;
use crate::physics::fall::{Course, Fall, from_rest, lowered_countdown, slack_countdown, stroke};
use crate::physics::sinking::Sinking;
use crate::physics::statics::hang;
use crate::target::{Dive, Line, Reach, Target, Window};
use std::f64::consts::PI;

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
    wish.reach.is_none_or(|reach| take(diver.reach(reach)))
        && (wish.line == Line::Tight || ends.flat_map(|depth| diver.slack(depth)).all(&mut take))
        && wish.dive.is_none_or(|dive| take(diver.dive(dive)))
}

/// Whether a quick test shows that a requirement cannot be met.
pub(super) fn clearly_missed(fly: &Fly, target: &Target) -> bool {
    let deep = target.conditions.depth;
    let (depth, speed) = match (target.fall.line, target.fall.reach, target.sink.and_then(|w| w.low)) {
        (Line::Tight, Some(reach), _) => (reach.depth, reach.depth / reach.within),
        (Line::Slack, _, Some(low)) if low > 0.0 => (deep, low),
        _ => return false,
    };
    let water = &target.conditions.water;
    let sinking = fly::sinking(fly, &target.conditions);
    let weight = sinking.moments(depth, water).weight;
    // Foam, whose drag changes on the way, is left out: that can only make the least drag less.
    let least: f64 = sinking.firm.elements.iter().map(|e| drag_bounds(e, speed, (-PI, PI), water).0).sum();
    least > weight * (1.0 + SLACK)
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
