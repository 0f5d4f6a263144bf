//! Trimming the foam in the jar, as instructions and as a share of flies that come out right.
//!
//! **Instructions.** Leave the foam at its start length; finish the fly; hang it in the jar and read the angle. If it shows
//! less tail-down than the stop reading, cut by the chart, one scissor step at least, and read again. Stop at the first
//! reading at or past the stop reading. A reading is the middle of three, since the eye errs and the loop sticks. Foam can
//! only be cut.
//!
//! **What is followed.** Turning moment of the whole fly in the jar about its stop attitude, counted in scissor steps of
//! foam still too long: r. At the start r is normal: the mean is what the start length adds, the spread is that of all
//! sources together. A reading is r with an error (of the eye, and of where friction leaves the fly, anew at each look);
//! a cut takes its steps with the error of the scissors. The distribution of r among flies not yet done is carried from
//! look to look on a fine grid until all are done: that gives the distribution of r at which they stop.
//!
//! **What comes of it.** A fly that was cut until it shows r has made up for all that turns it in the jar; its length
//! follows from that. So every figure that the target asks, at depth, is a straight line in r and in what is left of
//! each source once the length has made up for its turning moment; what weighs on the jar and on the depth alike cancels,
//! and what does not (the gas lost at depth, the weight) stays. The share is the sum over r. Flies that were too short from
//! the start were not cut, and are counted as tied at the start length, given what they showed.

use super::draws::{Source, Spread, spreads_for};
use super::forms::{Asked, Form, Pull, share_of};
use crate::fly::{AsTied, Conditions, Deviation, Fly, FoamPiece, State, foam_room, free_shank, practice};
use crate::numeric::normal_share_below;
use crate::physics::friction;
use crate::physics::statics::{Knot, Rides, hang};
use crate::quantity::Microns;
use crate::wanted::Target;
use crate::wanted::defaults::JAR_DEPTH_M;
use std::f64::consts::{PI, TAU};

/// Standard deviations of spread that the start length allows for: 19 flies of 20 are not too short.
pub const START_ALLOWANCE: f64 = 1.645;

/// Standard deviation of the length that one snip takes off, m. Common practice, no source.
pub const SNIP_SD: f64 = 0.1e-3;

/// Times that a fly is hung for one reading.
pub const READINGS: u32 = 3;

/// A reading is the middle one of three, the fly lifted and hung anew for each. Its standard deviation is this share of
/// that of one: sqrt(1 - sqrt 3 / pi), the median of three normals (order statistics, standard).
pub const MIDDLE_OF_THREE: f64 = 0.669_828;

/// Points of the grid in one scissor step.
const PER_STEP: usize = 4;
const GRID: f64 = 1.0 / PER_STEP as f64;

/// Most steps in one cut.
const MOST_STEPS: usize = 24;

/// A cut of several steps takes off no more than if each weighed so many times what it should: a fly with less moment along
/// shows a larger angle for the same foam too many, and a cut too long cannot be mended.
const CAUTION: f64 = 1.5;

/// Turn per scissor step, rad, beyond which one snip throws the fly over: a quarter of a right angle.
const TOO_COARSE: f64 = std::f64::consts::FRAC_PI_8;

/// Scissor steps within the error of a reading beyond which cutting does not turn the fly to be seen.
const NOT_SEEN: f64 = 12.0;

/// Looks into the jar after which every fly is taken as done.
const MOST_LOOKS: usize = 40;

/// How one recipe is trimmed.
#[derive(Debug, Clone)]
pub struct Trimming<'a> {
    /// Length to which the foam is cut before it is tied in.
    pub start: Microns,
    /// Length at which a fly without any deviation hangs as wanted at its depth, or the nearest that can be had, m.
    pub aim: f64,
    /// Turn beta that such a fly shows in the jar, rad.
    pub jar_turn: f64,
    /// Reading at which to stop, in steps of foam still too long.
    pub stop: f64,
    /// Error of one reading, in steps.
    pub reading: f64,
    /// Step of the scissors.
    pub scissors: Microns,
    /// The fly in the jar.
    in_jar: AsTied<'a>,
    /// Moment of one scissor step, N m.
    step: f64,
    /// Steps at the start: mean and standard deviation.
    start_steps: (f64, f64),
    /// Turning moment in the jar about `jar_turn`, as a figure at the aim.
    moment: Form,
    /// What the target asks, at the aim.
    asked: Asked,
    stopped: Stopped,
}

/// Share of flies that stop at each r.
#[derive(Debug, Clone)]
struct Stopped {
    /// r of the first point.
    first: f64,
    /// Not cut at all.
    uncut: Vec<f64>,
    /// Cut.
    cut: Vec<f64>,
}

/// One row of the chart: readings of the jar, and what they call for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Reading next to the stop reading, as a turn beta, rad.
    pub near: f64,
    /// Reading farthest from it; `None`: this far and on.
    pub far: Option<f64>,
    /// Scissor steps to cut.
    pub steps: usize,
}

impl<'a> Trimming<'a> {
    /// How a recipe is trimmed for a target; `None` where there is no foam in the tail, or cutting it does not turn the fly.
    #[must_use]
    pub fn for_target(fly: &Fly<'a>, target: &Target) -> Option<Self> {
        let tied = AsTied::new(*fly, &target.conditions);
        Self::of(&tied, &spreads_for(fly, target), target, true)
    }

    pub(super) fn of(tied: &AsTied<'a>, spreads: &[Spread], target: &Target, with_history: bool) -> Option<Self> {
        let piece = tied.fly.foam.filter(|piece| piece.seat.in_tail())?;
        let longest = longest(tied, &piece, target);
        let aim = aimed_length(tied, &piece, target, longest)?;
        let base = Deviation { foam_length: aim - piece.length.m(), ..Deviation::NONE };
        let conditions =
            Conditions { water: target.hands.jar, depth: JAR_DEPTH_M, state: State::Soaked, knot: Knot::Loop };
        let in_jar = AsTied::new(tied.fly, &conditions);
        let written = in_jar.moments(&base);
        let jar_turn = hang(written, Knot::Loop, 0.0).rest()?.beta();
        let mut moment = Pull::of(&in_jar, spreads, &base).slope_at(jar_turn, Knot::Loop, 0.0);
        // Friction moves the reading, not the fly; what it does at depth is another matter than what it did in the jar.
        moment.per[Source::Friction.index()] = 0.0;
        let length_source = spreads.iter().find(|s| s.source == Source::FoamLength)?;
        let per_metre = moment.per[Source::FoamLength.index()] / length_source.sd;
        // Counted so that longer foam is more. Friction in the jar errs each reading; friction at depth is another matter.
        let mut moment = moment.times(per_metre.signum());
        moment.per[Source::Friction.index()] = 0.0;
        let step = per_metre.abs() * target.hands.scissors.m();
        if step <= 1e-15 {
            return None;
        }
        let start = start_length(aim, moment.sd() / per_metre.abs(), target, longest);
        let at_start = {
            let long = Deviation { foam_length: start.m() - piece.length.m(), ..Deviation::NONE };
            let m = in_jar.moments(&long);
            -(m.x * jar_turn.cos() + m.y * jar_turn.sin()) * per_metre.signum()
        };
        let lever = friction::lever(tied.fly.hook.eye_inner_diameter, target.hands.eye_friction);
        let once = (written.magnitude() * target.hands.reading_sd).hypot(written.weight * lever / 3f64.sqrt());
        let misread = once * MIDDLE_OF_THREE;
        let longer = (start.m() - aim) / target.hands.scissors.m();
        let as_straight = longer <= 2.0 || (0.4..2.5).contains(&(at_start / step / longer));
        if misread > NOT_SEEN * step || step > TOO_COARSE * written.magnitude() || !as_straight {
            return None;
        }
        let mut trimming = Self {
            start,
            aim,
            jar_turn,
            stop: 0.5,
            reading: misread / step,
            scissors: target.hands.scissors,
            step,
            start_steps: (at_start / step, moment.sd() / step),
            moment,
            in_jar,
            asked: Asked::of(tied, spreads, &base, target, with_history),
            stopped: Stopped { first: 0.0, uncut: Vec::new(), cut: Vec::new() },
        };
        trimming.settle();
        Some(trimming)
    }

    /// Puts the stop reading where flies that are cut stop, on the mean, at the aim.
    fn settle(&mut self) {
        const ROUNDS: usize = 2;
        self.stopped = self.followed();
        for _ in 0..ROUNDS {
            let Some(mean) = self.stopped.mean_cut() else { return };
            self.stop -= mean;
            self.stopped = self.followed();
        }
    }

    /// Least reading, in steps, at which so many steps are cut at once: one from the stop reading on; more only where a
    /// reading one standard deviation too high, on a fly whose foam weighs [`CAUTION`] times as much, leaves them in hand.
    fn least_reading(&self, steps: usize) -> f64 {
        if steps <= 1 { self.stop } else { self.stop + self.reading + CAUTION * steps as f64 }
    }

    /// Carries the distribution of r from look to look.
    fn followed(&self) -> Stopped {
        let (mean, sd) = (self.start_steps.0, self.start_steps.1.max(0.05));
        let low = (mean - 4.0 * sd).min(self.stop - 3.0 - 4.0 * self.reading);
        let points = (((mean + 4.0 * sd - low) / GRID).ceil().clamp(8.0, 4_000.0)) as usize;
        let r = |i: usize| low + i as f64 * GRID;
        let below = |x: f64| normal_share_below((x - mean) / sd);
        let mut going: Vec<f64> = (0..points).map(|i| below(r(i) + 0.5 * GRID) - below(r(i) - 0.5 * GRID)).collect();
        let called = self.called(low, points);
        let blur = blur(SNIP_SD / self.scissors.m());
        let half = blur.len() / 2;
        let mut stopped = Stopped { first: low, uncut: vec![0.0; points], cut: vec![0.0; points] };
        let mut next = vec![0.0; points + blur.len()];
        for look in 0..MOST_LOOKS {
            next.fill(0.0);
            let mut left = 0.0;
            for i in (0..points).filter(|i| going[*i] > 1e-9) {
                let done = if look == 0 { &mut stopped.uncut[i] } else { &mut stopped.cut[i] };
                *done += going[i] * called[i][0];
                for (steps, share) in called[i].iter().enumerate().skip(1).filter(|(_, share)| **share > 1e-9) {
                    next[(i + half).saturating_sub(steps * PER_STEP)] += going[i] * share;
                    left += going[i] * share;
                }
            }
            // `next` is moved on by `half`, so that the snip's error may go either way.
            for (i, going) in going.iter_mut().enumerate() {
                *going = blur.iter().enumerate().map(|(k, weight)| weight * next[i + k]).sum();
            }
            if left < 1e-5 {
                break;
            }
        }
        for (cut, share) in stopped.cut.iter_mut().zip(&going) {
            *cut += share;
        }
        stopped
    }

    /// Share of readings at each point of the grid that call for 0, 1, 2 ... steps.
    fn called(&self, low: f64, points: usize) -> Vec<[f64; MOST_STEPS + 1]> {
        let reaches = |r: f64, least: f64| normal_share_below((r - least) / self.reading);
        let r = |i: i64| low + i as f64 * GRID;
        // From two steps on the readings lie CAUTION steps apart, whole points of the grid: one row of shares serves all.
        let apart = (CAUTION * PER_STEP as f64).round() as i64;
        let two = self.least_reading(2);
        let lead = apart * MOST_STEPS as i64;
        let shares: Vec<f64> = (-lead..points as i64).map(|i| reaches(r(i), two)).collect();
        let at_least = |i: usize, steps: usize| match steps {
            0 => 1.0,
            1 => reaches(r(i as i64), self.stop),
            more => shares[(lead + i as i64 - apart * (more as i64 - 2)) as usize],
        };
        (0..points)
            .map(|i| {
                let mut row = [0.0; MOST_STEPS + 1];
                let mut so_far = 1.0;
                for (steps, share) in row.iter_mut().enumerate() {
                    let more = if steps < MOST_STEPS { at_least(i, steps + 1).min(so_far) } else { 0.0 };
                    *share = so_far - more;
                    so_far = more;
                    if so_far < 1e-9 {
                        break;
                    }
                }
                row
            })
            .collect()
    }

    fn per_metre(&self) -> f64 {
        self.moment.per[Source::FoamLength.index()] / practice::FOAM_LENGTH_SD
    }

    /// Share of flies that come out right.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.asked.sides.iter().map(|forms| self.share_on(forms)).sum::<f64>().min(1.0)
    }

    fn share_on(&self, forms: &[Form]) -> f64 {
        let per_metre = self.per_metre();
        let variance = self.moment.covariance(&self.moment);
        let longer = (self.start_steps.0 * self.step - self.moment.at) / per_metre;
        // What a metre of foam does to each figure.
        let lengths: Vec<f64> =
            forms.iter().map(|f| f.per[Source::FoamLength.index()] / practice::FOAM_LENGTH_SD).collect();
        let mut cut: Vec<Form> =
            forms.iter().zip(&lengths).map(|(f, length)| f.plus(-length / per_metre, &self.moment)).collect();
        let uncut: Vec<Form> = forms
            .iter()
            .zip(&lengths)
            .map(|(f, length)| {
                let known = f.covariance(&self.moment) / variance;
                let mut left = f.plus(-known, &self.moment);
                left.at = f.at + length * longer - known * self.start_steps.0 * self.step;
                left
            })
            .collect();
        let told: Vec<f64> = forms.iter().map(|f| f.covariance(&self.moment) / variance).collect();
        let after_cut = |i: usize| lengths[i] / per_metre * self.step;
        let (heaps, within) = self.stopped.heaps(&self.stopped.cut, 6.0);
        for (i, form) in cut.iter_mut().enumerate() {
            // What differs within a heap takes the place of the length as cut, of which nothing is left.
            form.per[Source::FoamLength.index()] = after_cut(i) * within;
        }
        let of_cut: f64 = heaps.iter().map(|(weight, r)| weight * share_of(&cut, |i| after_cut(i) * r)).sum();
        let (heaps, _) = self.stopped.heaps(&self.stopped.uncut, 10.0);
        let of_uncut: f64 =
            heaps.iter().map(|(weight, r)| weight * share_of(&uncut, |i| told[i] * self.step * r)).sum();
        of_cut + of_uncut
    }

    /// Turn beta that a fly without any other deviation shows in the jar with so many steps of foam too many, rad, counted on
    /// from `jar_turn`; `None` where it floats.
    #[must_use]
    pub fn shows(&self, steps: f64) -> Option<f64> {
        let written = self.in_jar.fly.foam?.length.m();
        let length = self.aim + steps * self.scissors.m();
        let moments = self.in_jar.moments(&Deviation { foam_length: length - written, ..Deviation::NONE });
        let beta = hang(moments, Knot::Loop, 0.0).rest()?.beta();
        Some(self.jar_turn + (beta - self.jar_turn + PI).rem_euclid(TAU) - PI)
    }

    /// Steps, below zero, at which a fly without any other deviation is at the edge of its hang window at depth; `None` where it
    /// is outside at the aim.
    #[must_use]
    pub fn too_far(&self) -> Option<f64> {
        let edges = self.asked.sides.iter().filter_map(|forms| forms.get(..2));
        let within = edges.into_iter().find(|edges| edges.iter().all(|edge| edge.at > 0.0))?;
        let per_step = self.step / self.per_metre() / practice::FOAM_LENGTH_SD;
        within
            .iter()
            .map(|edge| (edge.at, edge.per[Source::FoamLength.index()] * per_step))
            .filter(|(_, per_step)| *per_step > 0.0)
            .map(|(at, per_step)| -at / per_step)
            .reduce(f64::max)
    }

    /// What readings call for, from the stop reading on to the farthest that 39 of 40 flies show at the start.
    #[must_use]
    pub fn chart(&self) -> Vec<Row> {
        let (mean, sd) = self.start_steps;
        let farthest = mean + 2.0 * sd.hypot(self.reading);
        let mut rows: Vec<Row> = Vec::new();
        for steps in 1..=MOST_STEPS {
            let least = self.least_reading(steps);
            if least > farthest && steps > 1 {
                break;
            }
            let Some(near) = self.shows(least) else { break };
            if let Some(last) = rows.last_mut() {
                last.far = Some(near);
            }
            rows.push(Row { near, far: None, steps });
        }
        rows
    }
}

impl Stopped {
    fn mean_cut(&self) -> Option<f64> {
        let whole: f64 = self.cut.iter().sum();
        let sum: f64 = self.cut.iter().enumerate().map(|(i, share)| share * (self.first + i as f64 * GRID)).sum();
        (whole > 1e-3).then(|| sum / whole)
    }

    /// Shares gathered into so many heaps, each at its mean, and the standard deviation within a heap.
    fn heaps(&self, shares: &[f64], count: f64) -> (Vec<(f64, f64)>, f64) {
        let whole: f64 = shares.iter().sum();
        let (mut heaps, mut within) = (Vec::with_capacity(8), 0.0);
        let (mut weight, mut sum, mut squares) = (0.0, 0.0, 0.0);
        for (i, share) in shares.iter().enumerate() {
            let r = self.first + i as f64 * GRID;
            weight += share;
            sum += share * r;
            squares += share * r * r;
            if weight >= whole / count || (i + 1 == shares.len() && weight > 1e-9) {
                heaps.push((weight, sum / weight));
                within += squares - sum * sum / weight;
                (weight, sum, squares) = (0.0, 0.0, 0.0);
            }
        }
        (heaps, if whole > 0.0 { (within / whole).max(0.0).sqrt() } else { 0.0 })
    }
}

/// Error of a snip on the grid, symmetric.
fn blur(steps: f64) -> Vec<f64> {
    let half = (4.0 * steps / GRID).ceil().clamp(1.0, 12.0) as i32;
    let below = |x: f64| normal_share_below(x / steps);
    let mut weights: Vec<f64> =
        (-half..=half).map(|k| below((f64::from(k) + 0.5) * GRID) - below((f64::from(k) - 0.5) * GRID)).collect();
    let whole: f64 = weights.iter().sum();
    weights.iter_mut().for_each(|w| *w /= whole);
    weights
}

/// Longest foam that the seat takes, m.
fn longest(tied: &AsTied, piece: &FoamPiece, target: &Target) -> f64 {
    let free = free_shank(tied.fly.hook, tied.fly.bead);
    foam_room(tied.fly.hook, free, tied.fly.dressing, piece.seat, &target.limits).0.max(piece.length.m())
}

/// Length at which the recipe hangs as wanted at depth, on the side on which it hangs as written, or the nearest there is.
fn aimed_length(tied: &AsTied, piece: &FoamPiece, target: &Target, longest: f64) -> Option<f64> {
    const ROUNDS: usize = 6;
    let (knot, neck) = (tied.conditions.knot, tied.fly.hook.neck_angle);
    let rides = target
        .rides
        .side(tied.fly.hook)
        .or_else(|| hang(tied.moments(&Deviation::NONE), knot, neck).rest().map(|rest| rest.rides))?;
    let turn = match rides {
        Rides::PointUp => target.hang,
        Rides::PointDown => PI - target.hang,
    };
    let written = piece.length.m();
    let slope = |length: f64| {
        let m = tied.moments(&Deviation { foam_length: length - written, ..Deviation::NONE });
        -(m.x * turn.cos() + m.y * turn.sin()) + crate::physics::statics::line_moment(m.weight, knot, neck, turn)
    };
    let least = practice::FOAM_BOUND_LENGTH + practice::FOAM_LEAST_FREE;
    let (mut at, mut beside) = (written, (written + 0.5e-3).min(longest));
    if (beside - at).abs() < 1e-6 {
        beside = at - 0.5e-3;
    }
    let (mut f_at, mut f_beside) = (slope(at), slope(beside));
    for _ in 0..ROUNDS {
        if (f_at - f_beside).abs() <= 1e-14 * f_at.abs() {
            break;
        }
        let next = (at - f_at * (at - beside) / (f_at - f_beside)).clamp(least, longest);
        (beside, f_beside) = (at, f_at);
        (at, f_at) = (next, slope(next));
        if (at - beside).abs() < 1e-8 {
            break;
        }
    }
    // At its least length it cannot be brought to hang as wanted by cutting.
    (at > least + 1e-6).then_some(at)
}

/// So long that few flies are too short, on the grid, and no longer than fits.
fn start_length(aim: f64, sd: f64, target: &Target, longest: f64) -> Microns {
    let step = target.grid.foam.m();
    let up = ((aim + START_ALLOWANCE * sd) / step - 1e-6).ceil();
    let most = ((longest + 1e-9) / step).floor();
    Microns::new(target.grid.foam.micrometres().saturating_mul(up.min(most) as i32))
}
