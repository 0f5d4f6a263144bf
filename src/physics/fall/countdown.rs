//! Countdown: seconds to each depth, let go at rest at the surface, with gas shrinking on the way.
//!
//! The start is integrated in time. Once the fly goes as fast as it would steadily go at its depth, what is left of its
//! change is the slow change of the foam, and the rest is t = integral of dz / V(z), V the steady sink rate at each depth (Gauss's
//! rule of three points between depths at most half a metre apart). A fly that never settles is integrated in time all
//! the way down.
//!
//! **Tight.** Lowered on a tight line the fly keeps its hang at each depth; the line holds the attitude and no weight.
//!
//! **Slack.** It falls freely, from its hang at the surface.

use super::history::{Go, HistoryError, Step, follow};
use super::motion::{Fall, Medium};
use super::settled::Settled;
use super::slack::{State, close, rates, scales};
use crate::numeric::bracketed_root;
use crate::physics::constants::FASTEST;
use crate::physics::statics::{Hang, Knot, Rest, hang};

/// Longest countdown, s.
pub const LONGEST: f64 = 600.0;
/// Greatest step of the steady part, m.
const STRIDE: f64 = 0.5;
/// Greatest steps of [`steady_time`], m: on a tight line, and on a slack one, where a settled fall is followed from depth to depth.
const COARSE: (f64, f64) = (3.0, 1.0);
/// The start is over when the speed is within this share of the steady one.
const STEADY: f64 = 2e-3;
/// Then drag and weight differ by no more than this share, since drag grows with no more than the 2.5th power of the speed.
const NEARLY: f64 = 1e-2;
/// A usual sink rate, m/s, and a usual power of the speed with which drag grows.
const LIKELY: f64 = 0.3;
const POWER: f64 = 1.8;
/// Powers outside which secants are left, and how many are tried.
const POWERS: (f64, f64) = (0.7, 4.0);
const SECANTS: usize = 12;
/// The last of them changes the speed by no more than this share: what is left then is a small fraction of it.
const EXACT: f64 = 1e-9;
/// Gauss's rule of three points on [0, 1].
const GAUSS: [(f64, f64); 3] =
    [(0.112_701_665_379_258_3, 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.887_298_334_620_741_7, 5.0 / 18.0)];

/// The fly as it passes a depth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passing {
    /// Depth, m.
    pub depth: f64,
    /// Seconds since it was let go.
    pub time: f64,
    /// Vertical speed, m/s, positive down.
    pub speed: f64,
    /// Shank from horizontal as it passes, rad, positive tail down.
    pub attitude: f64,
}

/// A countdown: the depths in the order given that were reached.
#[derive(Debug, Clone, PartialEq)]
pub struct Countdown {
    /// One for each depth; `None` where it never gets there, or not within ten minutes.
    pub passings: Vec<Option<Passing>>,
    /// Whether it comes to a steady fall. A tight line always lets it.
    pub settles: bool,
    /// The settled fall that it came to on a slack line, where that was.
    pub reached: Option<Settled>,
}

impl Countdown {
    fn on_tight_line(passings: Vec<Option<Passing>>) -> Self {
        Self { passings, settles: true, reached: None }
    }
}

/// Depths in order from the top, with where each stands in the caller's list.
fn from_the_top(depths: &[f64]) -> Vec<(usize, f64)> {
    let mut order: Vec<(usize, f64)> = depths.iter().copied().enumerate().collect();
    order.sort_by(|a, b| a.1.total_cmp(&b.1));
    order
}

/// Speed and attitude with which a fly steadily goes through a depth; `None` where it stops.
trait Steadily {
    fn passing(&mut self, depth: f64) -> Option<(f64, f64)>;
}

impl<S: Steadily + ?Sized> Steadily for &mut S {
    fn passing(&mut self, depth: f64) -> Option<(f64, f64)> {
        (**self).passing(depth)
    }
}

/// Seconds from a depth on, so many metres; `None` where it stops.
fn stretch(steady: &mut impl Steadily, depth: f64, stride: f64) -> Option<f64> {
    GAUSS.into_iter().try_fold(0.0, |seconds, (point, weight)| {
        let (speed, _) = steady.passing(depth + point * stride).filter(|(speed, _)| *speed > 0.0)?;
        Some(seconds + weight * stride / speed)
    })
}

/// What holds a fly on its way down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Way {
    /// A tight line, with a knot on a neck at an angle, rad.
    Tight(Knot, f64),
    /// Nothing: it falls as one that settled so near the surface.
    Slack(Settled),
}

/// Seconds to a depth of a fly that goes all the way as fast as it steadily would where it is: a countdown without its start, for
/// how flies differ that differ a little. `None` where it stops, or another settled fall takes over.
#[must_use]
pub fn steady_time(fall: &Fall, way: Way, depth: f64) -> Option<f64> {
    let along = |mut steady: &mut dyn Steadily, longest: f64| {
        let strides = (depth / longest).ceil().max(1.0);
        let stride = depth / strides;
        (0..strides as usize).try_fold(0.0, |time, i| Some(time + stretch(&mut steady, i as f64 * stride, stride)?))
    };
    match way {
        Way::Tight(knot, neck_angle) => along(&mut OnTightLine::new(fall, (knot, neck_angle)), COARSE.0),
        Way::Slack(known) => along(&mut Freely { fall, known }, COARSE.1),
    }
}

/// Greatest ratio of the speeds that [`even_time`] meets.
const EVEN: f64 = 1.25;

/// The same on a tight line, with a knot on a neck at an angle, rad, of a fly whose speed hardly changes on the way; `None` where it
/// changes more.
#[must_use]
pub fn even_time(fall: &Fall, (knot, neck_angle): (Knot, f64), depth: f64) -> Option<f64> {
    /// Keeps the least and the greatest speed.
    struct Between<'f, 'a>(OnTightLine<'f, 'a>, (f64, f64));
    impl Steadily for Between<'_, '_> {
        fn passing(&mut self, depth: f64) -> Option<(f64, f64)> {
            let (speed, attitude) = self.0.passing(depth)?;
            self.1 = (self.1.0.min(speed), self.1.1.max(speed));
            (self.1.1 < EVEN * self.1.0).then_some((speed, attitude))
        }
    }
    let mut between = Between(OnTightLine::new(fall, (knot, neck_angle)), (f64::INFINITY, 0.0));
    let strides = (depth / COARSE.0).ceil().max(1.0);
    let stride = depth / strides;
    (0..strides as usize).try_fold(0.0, |time, i| Some(time + stretch(&mut between, i as f64 * stride, stride)?))
}

/// Carries a countdown on from a depth and time at which the motion is steady.
fn carry_on(
    mut steady: impl Steadily,
    (mut depth, mut time): (f64, f64),
    order: &[(usize, f64)],
    passings: &mut [Option<Passing>],
) {
    for &(place, wanted) in order {
        if passings[place].is_some() {
            continue;
        }
        let strides = ((wanted - depth) / STRIDE).ceil().max(1.0);
        let stride = (wanted - depth) / strides;
        for _ in 0..strides as usize {
            let Some(seconds) = stretch(&mut steady, depth, stride) else { return };
            depth += stride;
            time += seconds;
            if time > LONGEST {
                return;
            }
        }
        let Some((speed, attitude)) = steady.passing(wanted) else { return };
        passings[place] = Some(Passing { depth: wanted, time, speed, attitude });
    }
}

struct OnTightLine<'f, 'a> {
    fall: &'f Fall<'a>,
    knot: Knot,
    neck_angle: f64,
    /// A speed near which the next may be, m/s.
    near: f64,
}

impl<'f, 'a> OnTightLine<'f, 'a> {
    fn new(fall: &'f Fall<'a>, (knot, neck_angle): (Knot, f64)) -> Self {
        Self { fall, knot, neck_angle, near: LIKELY }
    }

    fn rest(&self, medium: &Medium) -> Option<Rest> {
        match hang(medium.moments, self.knot, self.neck_angle) {
            Hang::Taut { rest, .. } => Some(rest),
            Hang::Floats => None,
        }
    }

    /// Drag against straight sinking, N.
    fn drag(&self, medium: &Medium, down: [f64; 2], speed: f64) -> f64 {
        let force = self.fall.drag(medium, [speed * down[0], speed * down[1], 0.0]);
        -(force[0] * down[0] + force[1] * down[1])
    }

    /// Whether a speed is within a share of the steady one, or there is none. The root of the drag is looked for only where drag and
    /// weight are near.
    fn goes_steadily(&self, medium: &Medium, speed: f64) -> bool {
        let Some(rest) = self.rest(medium) else { return true };
        if (self.drag(medium, rest.down, speed) / medium.weight - 1.0).abs() > NEARLY {
            return false;
        }
        self.steady_speed(medium, rest.down).is_none_or(|v| (speed / v - 1.0).abs() < STEADY)
    }

    fn steady_speed(&self, medium: &Medium, down: [f64; 2]) -> Option<f64> {
        self.steady_speed_near(medium, down, LIKELY)
    }

    /// Drag grows about with a power of the speed, so secants through its logarithm get there in a few steps from anywhere near.
    fn steady_speed_near(&self, medium: &Medium, down: [f64; 2], near: f64) -> Option<f64> {
        let off = |speed: f64| (self.drag(medium, down, speed) / medium.weight).ln();
        let (mut last, mut last_off) = (near, off(near));
        let mut power = POWER;
        for _ in 0..SECANTS {
            let step = -last_off / power;
            let (speed, was_off) = (last * step.exp(), last_off);
            if step.abs() < EXACT {
                return Some(speed);
            }
            (last, last_off) = (speed, off(speed));
            power = (last_off - was_off) / step;
            if !(POWERS.0..=POWERS.1).contains(&power) {
                break;
            }
        }
        bracketed_root(|v| self.drag(medium, down, v) - medium.weight, 0.0, FASTEST, 1e-12).ok()
    }
}

impl Steadily for OnTightLine<'_, '_> {
    fn passing(&mut self, depth: f64) -> Option<(f64, f64)> {
        let medium = self.fall.medium(depth);
        let rest = self.rest(&medium)?;
        self.near = self.steady_speed_near(&medium, rest.down, self.near)?;
        Some((self.near, rest.angle))
    }
}

/// Steady sink rate on a tight line at a depth, m/s, with the leader and factors of the fall; `None` for a fly that
/// floats there.
#[must_use]
pub fn lowered_speed(fall: &Fall, depth: f64, knot: Knot, neck_angle: f64) -> Option<f64> {
    OnTightLine::new(fall, (knot, neck_angle)).passing(depth).map(|(speed, _)| speed)
}

/// Countdown on a tight line.
///
/// # Errors
/// [`HistoryError`] where the start could not be followed.
pub fn lowered_countdown(
    fall: &Fall,
    (knot, neck_angle): (Knot, f64),
    depths: &[f64],
) -> Result<Countdown, HistoryError> {
    let order = from_the_top(depths);
    let mut passings = vec![None; depths.len()];
    let tight = OnTightLine::new(fall, (knot, neck_angle));
    let surface = fall.medium(0.0);
    if tight.rest(&surface).is_none() {
        return Ok(Countdown::on_tight_line(passings));
    }
    let rate = |y: &[f64; 2]| {
        let medium = fall.medium(y[1]);
        let Some(rest) = tight.rest(&medium) else { return [0.0, 0.0] };
        let [dx, dy] = rest.down;
        let m = &medium.inertia.rows;
        let mass = dx * dx * m[0][0] + 2.0 * dx * dy * m[0][1] + dy * dy * m[1][1];
        let speed = y[0].max(0.0);
        [(medium.weight - tight.drag(&medium, rest.down, speed)) / mass, y[0]]
    };
    let (time, end) = follow(rate, [0.0, 0.0], LONGEST, [0.1, 0.1], |mut step: Step<2>| {
        pass(&mut step, &order, &mut passings, |y| (y[1], y[0], None));
        let medium = fall.medium(step.after[1]);
        let done = passings.iter().all(Option::is_some);
        let close = !done && tight.goes_steadily(&medium, step.after[0]);
        if done || close { Go::Stop } else { Go::On }
    })?;
    for passing in passings.iter_mut().flatten() {
        let rest = tight.rest(&fall.medium(passing.depth));
        passing.attitude = rest.map_or(passing.attitude, |r| r.angle);
    }
    carry_on(tight, (end[1], time), &order, &mut passings);
    Ok(Countdown::on_tight_line(passings))
}

/// Notes the depths that a step passes.
fn pass<const N: usize>(
    step: &mut Step<N>,
    order: &[(usize, f64)],
    passings: &mut [Option<Passing>],
    read: impl Fn(&[f64; N]) -> (f64, f64, Option<f64>),
) {
    for &(place, wanted) in order {
        if passings[place].is_some() {
            continue;
        }
        if wanted <= 0.0 {
            let (_, speed, attitude) = read(step.before);
            passings[place] = Some(Passing { depth: wanted, time: 0.0, speed, attitude: attitude.unwrap_or(0.0) });
        } else if let Some(time) = step.crossing(|y| read(y).0 - wanted) {
            let (_, speed, attitude) = read(&step.at(time));
            passings[place] = Some(Passing { depth: wanted, time, speed, attitude: attitude.unwrap_or(0.0) });
        }
    }
}

struct Freely<'f, 'a> {
    fall: &'f Fall<'a>,
    known: Settled,
}

impl Steadily for Freely<'_, '_> {
    fn passing(&mut self, depth: f64) -> Option<(f64, f64)> {
        let medium = self.fall.medium(depth);
        let settled = self.fall.settled_near(&medium, &self.known).filter(Settled::stable)?;
        self.known = settled;
        Some((settled.sink_rate(), settled.attitude()))
    }
}

/// Countdown on a slack line, from rest with the downward direction at the turn `beta`.
///
/// # Errors
/// [`HistoryError`] where the motion could not be followed.
pub fn slack_countdown(fall: &Fall, beta: f64, depths: &[f64]) -> Result<Countdown, HistoryError> {
    let order = from_the_top(depths);
    let deepest = order.last().map_or(0.0, |(_, d)| *d);
    let mut passings = vec![None; depths.len()];
    let first = fall.medium(0.0);
    let mut stable: Vec<Settled> = fall.settled(&first, beta).into_iter().filter(Settled::stable).collect();
    let start = [0.0, 0.0, 0.0, beta, 0.0, 0.0];
    let mut reached: Option<Settled> = None;
    let rate = |y: &State| rates(fall, &fall.medium(y[4]), y);
    let (time, end) = follow(rate, start, LONGEST, scales(&first, 0.1), |mut step: Step<6>| {
        pass(&mut step, &order, &mut passings, speed_and_attitude);
        let y = step.after;
        let medium = fall.medium(y[4]);
        if nearly_steady(fall, &medium, y) {
            // The settled fall at this depth is near the one last seen above it.
            for known in &mut stable {
                *known = fall.settled_near(&medium, known).unwrap_or(*known);
            }
            reached = stable
                .iter()
                .copied()
                .find(|s| close(y, s, medium.reach(), STEADY) && s.stable() && s.sink_rate() > 0.0);
        }
        let gone = y[4] < -0.2 || y[4] > deepest || passings.iter().all(Option::is_some);
        if reached.is_some() || gone { Go::Stop } else { Go::On }
    })?;
    if let Some(known) = reached {
        carry_on(Freely { fall, known }, (end[4], time), &order, &mut passings);
    }
    Ok(Countdown { passings, settles: reached.is_some(), reached })
}

/// Whether a motion changes so slowly that it is worth asking whether it has settled.
fn nearly_steady(fall: &Fall, medium: &Medium, y: &State) -> bool {
    let a = fall.accelerations(medium, [y[0], y[1], y[2]], y[3]);
    let pull = medium.weight.abs() / medium.inertia.rows[0][0].max(f64::MIN_POSITIVE);
    a[0].hypot(a[1]) < 0.1 * pull && (y[2] * medium.reach()).abs() < 0.05 * y[0].hypot(y[1])
}

fn speed_and_attitude(y: &State) -> (f64, f64, Option<f64>) {
    let d = super::motion::down(y[3]);
    (y[4], y[0] * d[0] + y[1] * d[1], Some(y[3].sin().clamp(-1.0, 1.0).asin()))
}
