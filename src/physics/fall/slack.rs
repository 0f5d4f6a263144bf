//! The fall of a fly whose line goes slack: from rest in its hang to whatever it settles into, if it does.

use super::history::{Go, HistoryError, Step, follow};
use super::motion::{Fall, Medium, down};
use super::settled::Settled;
use crate::physics::statics::Rides;
use crate::physics::warning::Warning;
use std::f64::consts::{PI, TAU};

/// How long a fly is given to settle, s.
const PATIENCE: f64 = 10.0;
/// A fly has settled when speeds are within this share of the settled speed and the attitude within as many radians.
const CLOSE: f64 = 0.02;

/// What becomes of a fly on a slack line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Course {
    /// It comes to a steady attitude and speed.
    Settles,
    /// It rocks and never comes to rest in one attitude.
    Flutters,
    /// It turns over and over.
    Tumbles,
}

impl Course {
    /// The word used in reports.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Settles => "settles",
            Self::Flutters => "flutters",
            Self::Tumbles => "tumbles",
        }
    }
}

/// The fall on a slack line.
#[derive(Debug, Clone, PartialEq)]
pub struct SlackFall {
    /// What becomes of it.
    pub course: Course,
    /// Vertical speed, m/s, positive down: settled, or the mean of one that never settles.
    pub sink_rate: f64,
    /// Horizontal speed, m/s, positive head first; of one that never settles its mean, positive where the head pointed
    /// at the start.
    pub glide: f64,
    /// Shank from horizontal, rad, positive tail down: settled, or where it was when the time was up.
    pub attitude: f64,
    /// Side of the point in that attitude.
    pub rides: Rides,
    /// Time until it has settled, or for which it was followed, s.
    pub time: f64,
    /// The settled fall that it reached.
    pub reached: Option<Settled>,
    /// Stable falls that it did not reach: a knock could put it there.
    pub others: Vec<Settled>,
    /// Relative standard deviation of the sink rate: how sure the model is of it.
    pub relative_sd: f64,
    /// What limits the prediction.
    pub warnings: Vec<Warning>,
}

/// State of a history: u, w, omega, beta, drop, drift.
pub(super) type State = [f64; 6];

/// Rates of a state, with the medium of its own depth.
pub(super) fn rates(fall: &Fall, medium: &Medium, y: &State) -> State {
    let a = fall.accelerations(medium, [y[0], y[1], y[2]], y[3]);
    let d = down(y[3]);
    [a[0], a[1], a[2], -y[2], y[0] * d[0] + y[1] * d[1], y[1] * d[0] - y[0] * d[1]]
}

/// Sizes below which the components of a state do not matter.
pub(super) fn scales(medium: &Medium, speed: f64) -> State {
    let speed = speed.max(1e-3);
    [speed, speed, speed / medium.reach(), 1.0, 0.1, 0.1]
}

/// Whether a state is within a share of a settled fall.
pub(super) fn close(y: &State, settled: &Settled, reach: f64, share: f64) -> bool {
    let [u, w] = settled.velocity;
    let speed = u.hypot(w);
    let turn = (y[3] - settled.beta + PI).rem_euclid(TAU) - PI;
    (y[0] - u).hypot(y[1] - w) < share * speed && (y[2] * reach).abs() < share * speed && turn.abs() < share
}

pub(super) fn rides(beta: f64) -> Rides {
    if down(beta)[1] < 0.0 { Rides::PointUp } else { Rides::PointDown }
}

/// Lets a fly go at a depth, at rest with its downward direction at the turn `beta`, and follows it until it has
/// settled or ten seconds are over.
///
/// # Errors
/// [`HistoryError`] where the motion could not be followed.
pub fn from_rest(fall: &Fall, medium: &Medium, beta: f64) -> Result<SlackFall, HistoryError> {
    let all = fall.settled(medium, beta);
    let stable: Vec<Settled> = all.iter().filter(|s| s.stable()).copied().collect();
    let speed = all.iter().map(|s| s.velocity[0].hypot(s.velocity[1])).fold(0.0, f64::max);
    let reach = medium.reach();
    let mut reached = None;
    let mut half_way: Option<(f64, State)> = None;
    let start = [0.0, 0.0, 0.0, beta, 0.0, 0.0];
    let (time, end) = follow(
        |y| rates(fall, medium, y),
        start,
        PATIENCE,
        scales(medium, speed),
        |step: Step<6>| {
            if half_way.is_none() && step.to >= 0.5 * PATIENCE {
                half_way = Some((step.to, *step.after));
            }
            reached = stable.iter().position(|s| close(step.after, s, reach, CLOSE));
            if reached.is_some() { Go::Stop } else { Go::On }
        },
    )?;
    if let Some(i) = reached {
        let settled = stable[i];
        let outside = fall.share_outside_range(medium, [settled.velocity[0], settled.velocity[1], 0.0]);
        let warnings = Warning::outside_range(outside).into_iter().collect();
        let relative_sd = fall.relative_sd(medium, settled.velocity);
        return Ok(SlackFall {
            course: Course::Settles,
            sink_rate: settled.sink_rate(),
            glide: settled.glide(),
            attitude: settled.attitude(),
            rides: rides(settled.beta),
            time,
            reached: Some(settled),
            others: stable.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, s)| *s).collect(),
            relative_sd,
            warnings,
        });
    }
    let (since, middle) = half_way.unwrap_or((0.0, start));
    let span = (time - since).max(f64::MIN_POSITIVE);
    let warnings = Warning::outside_range(fall.share_outside_range(medium, [end[0], end[1], end[2]]));
    Ok(SlackFall {
        course: if (end[3] - middle[3]).abs() >= TAU { Course::Tumbles } else { Course::Flutters },
        sink_rate: (end[4] - middle[4]) / span,
        glide: -(end[5] - middle[5]) / span * if beta.cos() < 0.0 { -1.0 } else { 1.0 },
        attitude: end[3].sin().clamp(-1.0, 1.0).asin(),
        rides: rides(end[3]),
        time,
        reached: None,
        others: stable,
        relative_sd: fall.relative_sd(medium, [end[0], end[1]]),
        warnings: warnings.into_iter().collect(),
    })
}
