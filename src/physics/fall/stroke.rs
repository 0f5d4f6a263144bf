//! The jig stroke: from the hang the line goes slack, then tight again.
//!
//! Slack, the fly falls freely from rest. When the line comes tight it holds the tie point still: the jerk passes
//! through the tie point, so the moment of the impulse about it is kept, and from then on the fly swings about it like a
//! pendulum, under its submerged weight, the moment of a snug knot, drag and the water it sets moving. The depth is
//! taken as that of the start: foam does not shrink on the way of a stroke.

use super::history::{Go, HistoryError, Step, follow};
use super::motion::{Fall, Medium, weight_moment};
use super::slack::{State, rates, scales};
use crate::numeric::bracketed_root;
use crate::physics::statics::{Knot, line_moment};
use std::f64::consts::{PI, TAU};

/// How long the line is slack.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Slack {
    /// For a time, s.
    Time(f64),
    /// Until the tie point has gone down so far, m.
    Drop(f64),
}

/// A fly that does not get down the stated drop is given this time, s.
const LONGEST_SLACK: f64 = 10.0;
/// How long the swing is followed, s.
const LONGEST_SWING: f64 = 20.0;

/// What a stroke does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// How far the nose drops: shank from horizontal in the hang less the lowest it gets while the line is slack, rad.
    /// Negative where the nose only rose: then its greatest rise.
    pub dive: f64,
    /// How far the tie point went down, m.
    pub drop: f64,
    /// How long the line was slack, s.
    pub slack_time: f64,
    /// From the moment the line comes tight until the fly stays within the tolerance of its hang, s; `None` where that
    /// takes longer than 20 s.
    pub recovery: Option<f64>,
}

/// The stroke of a fly that hangs at the turn `beta`; `neck_angle` is the hook's, rad; `tolerance` about the hang, rad.
///
/// # Errors
/// [`HistoryError`] where a motion could not be followed.
pub fn stroke(
    fall: &Fall,
    medium: &Medium,
    beta: f64,
    (knot, neck_angle): (Knot, f64),
    slack: Slack,
    tolerance: f64,
) -> Result<Stroke, HistoryError> {
    let Caught { dive, time, state } = fall_free(fall, medium, beta, slack)?;
    let recovery = swing_back(fall, medium, state, beta, (knot, neck_angle), tolerance)?;
    Ok(Stroke { dive, drop: state[4], slack_time: time, recovery })
}

/// [`Stroke::dive`] alone: what comes after the line is tight again is not followed.
///
/// # Errors
/// As [`stroke`].
pub fn dive(fall: &Fall, medium: &Medium, beta: f64, slack: Slack) -> Result<f64, HistoryError> {
    fall_free(fall, medium, beta, slack).map(|caught| caught.dive)
}

/// A fly as the line catches it.
struct Caught {
    dive: f64,
    time: f64,
    state: State,
}

/// The fall of a fly that hangs at the turn `beta` while the line is slack.
fn fall_free(fall: &Fall, medium: &Medium, beta: f64, slack: Slack) -> Result<Caught, HistoryError> {
    let attitude = |beta: f64| beta.sin().clamp(-1.0, 1.0).asin();
    let hang = attitude(beta);
    let (mut lowest, mut highest) = (hang, hang);
    let (limit, drop) = match slack {
        Slack::Time(time) => (time, f64::INFINITY),
        Slack::Drop(drop) => (LONGEST_SLACK, drop),
    };
    let mut tight: Option<(f64, State)> = None;
    let (time, end) = follow(
        |y| rates(fall, medium, y),
        [0.0, 0.0, 0.0, beta, 0.0, 0.0],
        limit,
        scales(medium, 0.1),
        |mut step: Step<6>| {
            if let Some(at) = step.crossing(|y| y[4] - drop) {
                tight = Some((at, step.at(at)));
            }
            let until = tight.map_or(step.to, |(t, _)| t);
            for y in turning_points(&mut step, until) {
                lowest = lowest.min(attitude(y[3]));
                highest = highest.max(attitude(y[3]));
            }
            if tight.is_some() { Go::Stop } else { Go::On }
        },
    )?;
    let (time, state) = tight.unwrap_or((time, end));
    let dive = if lowest < hang { hang - lowest } else { hang - highest };
    Ok(Caught { dive, time, state })
}

/// States of a step, up to a time in it, at which its attitude may be extreme: the end, where it does not turn (omega = 0), and
/// where the shank is vertical, since the angle from the horizontal turns back there. Looked for in both halves.
fn turning_points(step: &mut Step<6>, until: f64) -> Vec<State> {
    let middle = 0.5 * (step.from + until);
    let mut states = vec![step.at(until)];
    for (from, to) in [(step.from, middle), (middle, until)] {
        for of in [|y: &State| y[2], |y: &State| y[3].cos()] {
            let ends = [from, to].map(|t| of(&step.at(t)));
            if (ends[0] < 0.0) != (ends[1] < 0.0)
                && let Ok(time) = bracketed_root(|t| of(&step.at(t)), from, to, 1e-9)
            {
                states.push(step.at(time));
            }
        }
    }
    states
}

/// Time until the fly, caught by the line in `state`, stays within the tolerance of the hang at `beta`.
fn swing_back(
    fall: &Fall,
    medium: &Medium,
    state: State,
    beta: f64,
    (knot, neck_angle): (Knot, f64),
    tolerance: f64,
) -> Result<Option<f64>, HistoryError> {
    let about_tie = medium.inertia.rows[2][2];
    let caught = medium.inertia.times([state[0], state[1], state[2]])[2] / about_tie;
    let rate = |y: &[f64; 2]| {
        let drag = fall.drag(medium, [0.0, 0.0, y[0]])[2];
        let line = line_moment(medium.moments.weight, knot, neck_angle, y[1]);
        [(drag + weight_moment(medium.moments, y[1]) + line) / about_tie, -y[0]]
    };
    // Turning rate times this is the angle that the fly could still swing out to.
    let swing_time = (about_tie / medium.moments.magnitude().max(f64::MIN_POSITIVE)).sqrt();
    let off = |y: &[f64; 2]| ((y[1] - beta + PI).rem_euclid(TAU) - PI).abs() - tolerance;
    let start = [caught, state[3]];
    // The last moment outside the tolerance; energy left there must be too little to get out again.
    let mut back = if off(&start) > 0.0 { None } else { Some(0.0) };
    let scale = [scales(medium, 0.1)[2], 1.0];
    let (_, end) = follow(rate, start, LONGEST_SWING, scale, |mut step: Step<2>| {
        if step.crossing(off).is_some() {
            back = None;
        }
        if let Some(inside) = step.crossing(|y| -off(y)) {
            back = Some(inside);
        }
        let away = tolerance + off(step.after);
        let spent = away.hypot(step.after[0] * swing_time) < 0.5 * tolerance;
        if spent && back.is_some() { Go::Stop } else { Go::On }
    })?;
    Ok(back.filter(|_| off(&end) <= 0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::body::{Body, DragElement, DragShape, Label, Load};
    use crate::physics::sinking::Sinking;
    use crate::physics::water::Water;

    fn hammer(with_drag: bool) -> Sinking {
        let at = [8e-3, 0.0];
        let load = Load { label: Label::Bead, mass: 4e-4, volume: 3e-8, centroid: at, gyration_sq: 1e-6 };
        let ball = DragElement { label: Label::Bead, shape: DragShape::Sphere { diameter: 4e-3 }, centre: at };
        let elements = if with_drag { vec![ball] } else { Vec::new() };
        Sinking::firm(Body { loads: vec![load], elements })
    }

    fn back_from(sinking: &Sinking, off: f64, tolerance: f64) -> Option<f64> {
        let fall = Fall::new(sinking, &Water::new(12.0, 0.0).unwrap());
        let medium = fall.medium(0.0);
        let beta = std::f64::consts::FRAC_PI_2;
        let state = [0.0, 0.0, 0.0, beta + off, 0.0, 0.0];
        swing_back(&fall, &medium, state, beta, (Knot::Loop, 0.0), tolerance).unwrap()
    }

    /// A stroke that turns past the vertical dives to it, whatever the steps of the history were.
    #[test]
    fn the_lowest_attitude_of_a_dive_is_found() {
        let at = [[8e-3, 0.0], [0.0, -1.5e-3]];
        let load = |mass: f64, centroid| Load { label: Label::Bead, mass, volume: 1e-8, centroid, gyration_sq: 1e-6 };
        let ball = |diameter, centre| DragElement { label: Label::Bead, shape: DragShape::Sphere { diameter }, centre };
        let body = Body {
            loads: vec![load(0.6e-4, at[0]), load(3e-4, at[1])],
            elements: vec![ball(5e-3, at[0]), ball(3e-3, at[1])],
        };
        let sinking = Sinking::firm(body);
        let fall = Fall::new(&sinking, &Water::new(12.0, 0.0).unwrap());
        let medium = fall.medium(0.0);
        let beta = crate::physics::statics::hang(medium.moments, Knot::Loop, 0.0).rest().unwrap().beta();
        let dive = |time| stroke(&fall, &medium, beta, (Knot::Loop, 0.0), Slack::Time(time), 0.1).unwrap().dive;
        // The deepest dive of a longer stroke is never less, and does not depend on where its steps fall.
        let long = dive(0.6);
        for time in [0.601, 0.61, 0.633, 0.65] {
            assert!((dive(time) - long).abs() < 1e-4, "{time}: {} {long}", dive(time));
        }
        assert!(dive(0.05) < long && long > 0.3, "{long}");
    }

    #[test]
    fn without_drag_it_swings_for_ever() {
        assert_eq!(back_from(&hammer(false), 0.4, 0.1), None);
    }

    #[test]
    fn a_narrower_tolerance_takes_longer() {
        let times: Vec<f64> = [0.2, 0.1, 0.05].map(|t| back_from(&hammer(true), 0.8, t).unwrap()).to_vec();
        assert!(times[0] > 0.0 && times[0] <= times[1] && times[1] < times[2], "{times:?}");
        assert_eq!(back_from(&hammer(true), 0.05, 0.1), Some(0.0), "it never left");
        let mirror = back_from(&hammer(true), -0.8, 0.1).unwrap();
        assert!((mirror / times[1] - 1.0).abs() < 1e-4, "either way round");
    }

    #[test]
    fn a_snug_knot_pulls_back_harder() {
        use crate::physics::statics::{Tippet, hang};
        let sinking = hammer(true);
        let fall = Fall::new(&sinking, &Water::new(12.0, 0.0).unwrap());
        let medium = fall.medium(0.0);
        let knot = Knot::Snug(Tippet { diameter: 0.3e-3, modulus: 1.5e9 });
        let beta = hang(medium.moments, knot, 0.0).rest().unwrap().beta();
        let state = [0.0, 0.0, 0.0, beta + 0.8, 0.0, 0.0];
        let first = |knot| swing_back(&fall, &medium, state, beta, (knot, 0.0), 0.79).unwrap().unwrap();
        assert!(first(knot) < first(Knot::Loop), "{} {}", first(knot), first(Knot::Loop));
    }
}
