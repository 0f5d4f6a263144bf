//! Timed drops: followed down in time once, and scaled nearby.

use crate::fly::{AsTied, Deviation};
use crate::jar_log::{Drop, Line};
use crate::physics::fall::{Fall, Settled, lowered_countdown, lowered_speed, slack_countdown};
use crate::physics::lowered::vertical_drag;
use crate::physics::statics::hang;

/// Time that stands for "never gets there", s.
const NEVER: f64 = 600.0;

/// A drop followed down once. Nearby, the time goes with the inverse of the steady speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Course {
    time: f64,
    nearby: Nearby,
}

/// How the steady speed is found beside a course.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Nearby {
    /// From the settled fall there.
    Settled(Settled),
    /// From weight over drag at the speed there, which goes with a power of the speed.
    Held { speed: f64, excess: f64, power: f64 },
}

/// Follows a drop down in time.
pub(super) fn follow(tied: &AsTied, deviation: &Deviation, drop: &Drop) -> Option<Course> {
    let sinking = tied.sinking(deviation);
    let (water, knot) = (&tied.conditions.water, tied.conditions.knot);
    let neck = tied.fly.hook.neck_angle;
    let fall = Fall::with(&sinking, water, None, Default::default());
    let half = 0.5 * drop.distance;
    if drop.line == Line::Tight {
        let found = lowered_countdown(&fall, (knot, neck), &[drop.distance]).ok()?;
        let time = found.passings.first().copied().flatten()?.time;
        let speed = lowered_speed(&fall, half, knot, neck)?;
        return Some(Course { time, nearby: held(tied, deviation, speed)? });
    }
    let beta = hang(sinking.moments(0.0, water), knot, neck).rest()?.beta();
    let found = slack_countdown(&fall, beta, &[drop.distance]).ok()?;
    let passing = found.passings.first().copied().flatten()?;
    let stable = fall.settled(&fall.medium(half), beta).into_iter().filter(Settled::stable);
    let off = |s: &Settled| (s.sink_rate() - passing.speed).abs();
    let nearby = match stable.min_by(|a, b| off(a).total_cmp(&off(b))) {
        Some(settled) => Nearby::Settled(settled),
        None => held(tied, deviation, passing.speed)?,
    };
    Some(Course { time: passing.time, nearby })
}

/// Weight over vertical drag at a speed, in the hang; `None` for a fly that floats.
fn weight_over_drag(tied: &AsTied, deviation: &Deviation, speed: f64) -> Option<f64> {
    let water = &tied.conditions.water;
    let body = tied.body(deviation);
    let moments = body.moments(water.density);
    let rest = *hang(moments, tied.conditions.knot, tied.fly.hook.neck_angle).rest()?;
    let drag = vertical_drag(&body, rest.down, speed, water);
    (drag > 0.0).then_some(moments.weight / drag)
}

fn held(tied: &AsTied, deviation: &Deviation, speed: f64) -> Option<Nearby> {
    const STEP: f64 = 1e-3;
    let at = |speed: f64| weight_over_drag(tied, deviation, speed);
    let power = (at(speed * (1.0 - STEP))? / at(speed * (1.0 + STEP))?).ln() / (2.0 * STEP);
    (speed > 0.0 && power > 0.5).then_some(Nearby::Held { speed, excess: at(speed)?, power })
}

/// Time of a drop near a course that was followed.
pub(super) fn time(tied: &AsTied, deviation: &Deviation, drop: &Drop, course: Option<&Course>) -> f64 {
    let Some(course) = course else { return NEVER };
    let faster = match course.nearby {
        Nearby::Held { speed, excess, power } => {
            weight_over_drag(tied, deviation, speed).map(|now| (now / excess).powf(1.0 / power))
        }
        Nearby::Settled(known) => {
            let sinking = tied.sinking(deviation);
            let fall = Fall::with(&sinking, &tied.conditions.water, None, Default::default());
            let settled = fall.settled_near(&fall.medium(0.5 * drop.distance), &known);
            settled.map(|s| s.sink_rate() / known.sink_rate())
        }
    };
    faster.filter(|f| *f > 0.0).map_or(NEVER, |f| (course.time / f).min(NEVER))
}
