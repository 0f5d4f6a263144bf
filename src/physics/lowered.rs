//! Sink rate of a fly lowered on a tight line: terminal velocity at the attitude in which it hangs.
//!
//! The line holds the attitude but no weight: submerged weight = vertical drag at that attitude. A fly that floats has
//! no hang; its rate is that at which it rises, level, and is negative.

use crate::numeric::bracketed_root;
use crate::physics::body::Body;
use crate::physics::build_up::element_force;
use crate::physics::statics::Hang;
use crate::physics::warning::{Warning, note_worst};
use crate::physics::water::Water;

/// Terminal state on a tight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowered {
    /// Vertical speed, m/s, positive down.
    pub sink_rate: f64,
    /// Attitude held, rad, positive tail down.
    pub attitude: f64,
}

/// No fly sinks faster than this, m/s: ten times a 6 mm tungsten ball.
const FASTEST: f64 = 20.0;

/// Vertical drag at a speed, N, for a body whose downward direction in the hook frame is `down`.
#[must_use]
pub fn vertical_drag(body: &Body, down: [f64; 2], speed: f64, water: &Water, note: &mut dyn FnMut(Warning)) -> f64 {
    let velocity = [speed * down[0], speed * down[1]];
    body.elements
        .iter()
        .map(|element| {
            let force = element_force(element, velocity, water, note);
            -(force[0] * down[0] + force[1] * down[1])
        })
        .sum()
}

/// Whether the sink rate of a taut, sinking fly lies clearly outside some limits (m/s, both above 0 where given), from
/// two drags instead of a root: drag grows with speed, so it is slower than v when drag at v exceeds the weight.
#[must_use]
pub fn clearly_outside(
    body: &Body,
    weight: f64,
    down: [f64; 2],
    water: &Water,
    limits: (Option<f64>, Option<f64>),
) -> bool {
    // Far wider than the root's tolerance, so that nothing is turned away that the root would let in.
    const SLACK: f64 = 1e-6;
    let drag = |speed: f64| vertical_drag(body, down, speed, water, &mut |_| {});
    let positive = |limit: Option<f64>| limit.filter(|v| *v > 0.0);
    positive(limits.0).is_some_and(|low| drag(low) > weight * (1.0 + SLACK))
        || positive(limits.1).is_some_and(|high| drag(high) < weight * (1.0 - SLACK))
}

/// Sink rate on a tight line, with the warnings that belong to the whole prediction.
#[must_use]
pub fn lowered(body: &Body, weight: f64, hang: &Hang, water: &Water) -> (Lowered, Vec<Warning>) {
    let mut warnings = Vec::new();
    let (down, attitude) = match hang {
        Hang::Taut { rest, other } => {
            warnings.extend(other.map(|r| Warning::SecondRest { angle: r.angle }));
            (rest.down, rest.angle)
        }
        Hang::Floats => {
            warnings.push(Warning::Floats);
            ([0.0, 1.0], 0.0)
        }
    };
    let way = if weight < 0.0 { [-down[0], -down[1]] } else { down };
    let excess = |speed: f64| vertical_drag(body, way, speed, water, &mut |_| {}) - weight.abs();
    let speed = if weight == 0.0 || body.elements.is_empty() {
        0.0
    } else {
        bracketed_root(excess, 0.0, FASTEST, 1e-9).unwrap_or(FASTEST)
    };
    note_once(body, way, speed, water, &mut warnings);
    (Lowered { sink_rate: if weight < 0.0 { -speed } else { speed }, attitude }, warnings)
}

/// Whether a sinking body of this weight, N, held in the attitude `down`, has its sink rate from `low` to `high`, m/s.
///
/// Vertical drag D grows with speed v, and at the sink rate it equals the weight W: the rate is at least v1 exactly when
/// W >= D(v1), and at most v2 exactly when W <= D(v2).
#[must_use]
pub fn sinks_within(
    body: &Body,
    weight: f64,
    down: [f64; 2],
    water: &Water,
    (low, high): (Option<f64>, Option<f64>),
) -> bool {
    let drag = |speed: f64| vertical_drag(body, down, speed, water, &mut |_| {});
    low.is_none_or(|low| low <= 0.0 || weight >= drag(low))
        && high.is_none_or(|high| high > 0.0 && weight <= drag(high))
}

/// Adds each correlation that is outside its range once, with the Reynolds number farthest out.
fn note_once(body: &Body, way: [f64; 2], speed: f64, water: &Water, warnings: &mut Vec<Warning>) {
    let _ = vertical_drag(body, way, speed, water, &mut |new| note_worst(warnings, new));
}
