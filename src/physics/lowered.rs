//! Sink rate of a fly lowered on a tight line: terminal velocity at the attitude in which it hangs.
//!
//! The line holds the attitude but no weight: submerged weight = vertical drag at that attitude. A fly that floats has
//! no hang; its rate is that at which it rises, level, and is negative.

use crate::numeric::bracketed_root;
use crate::physics::body::Body;
use crate::physics::build_up::{Ready, share_outside_range};
use crate::physics::constants::FASTEST;
use crate::physics::doubt::relative_sd;
use crate::physics::statics::Hang;
use crate::physics::warning::Warning;
use crate::physics::water::Water;

/// Terminal state on a tight line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lowered {
    /// Vertical speed, m/s, positive down.
    pub sink_rate: f64,
    /// Attitude held, rad, positive tail down.
    pub attitude: f64,
}

/// Vertical drag, N, at a speed, m/s, of a body whose downward direction in the hook frame is `down`.
#[must_use]
pub fn vertical_drag(body: &Body, down: [f64; 2], speed: f64, water: &Water) -> f64 {
    VerticalDrag::new(body, down, water).at(speed)
}

/// The same for many speeds.
struct VerticalDrag<'w> {
    elements: Vec<Ready>,
    down: [f64; 2],
    water: &'w Water,
}

impl<'w> VerticalDrag<'w> {
    fn new(body: &Body, down: [f64; 2], water: &'w Water) -> Self {
        Self { elements: body.elements.iter().map(Ready::new).collect(), down, water }
    }

    fn at(&self, speed: f64) -> f64 {
        let [x, y] = self.down;
        let forces = self.elements.iter().map(|element| element.force([speed * x, speed * y], self.water));
        forces.map(|force| -(force[0] * x + force[1] * y)).sum()
    }
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
    let drags = VerticalDrag::new(body, down, water);
    let drag = |speed: f64| drags.at(speed);
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
    let drags = VerticalDrag::new(body, way, water);
    let excess = |speed: f64| drags.at(speed) - weight.abs();
    let speed = if weight == 0.0 || body.elements.is_empty() {
        0.0
    } else {
        bracketed_root(excess, 0.0, FASTEST, 1e-9).unwrap_or(FASTEST)
    };
    let outside = share_outside_range(&body.elements, [speed * way[0], speed * way[1]], water);
    warnings.extend(Warning::outside_range(outside));
    (Lowered { sink_rate: if weight < 0.0 { -speed } else { speed }, attitude }, warnings)
}

/// Relative standard deviation of a sink rate found by [`lowered`]: how sure the model is of it, not how flies differ.
#[must_use]
pub fn sink_sd(body: &Body, hang: &Hang, lowered: &Lowered, water: &Water) -> f64 {
    let down = hang.rest().map_or([0.0, 1.0], |rest| rest.down);
    relative_sd(body, [lowered.sink_rate * down[0], lowered.sink_rate * down[1]], water)
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
    let drags = VerticalDrag::new(body, down, water);
    let drag = |speed: f64| drags.at(speed);
    low.is_none_or(|low| low <= 0.0 || weight >= drag(low))
        && high.is_none_or(|high| high > 0.0 && weight <= drag(high))
}
