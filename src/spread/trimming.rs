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
use super::forms::{Asked, Detail, Form, Pull, Side, share_of};
pub use super::snips::SNIP_SD;
use super::snips::{MOST_STEPS, Snips, Stopped};
use crate::fly::{AsTied, Conditions, Deviation, Fly, FoamPiece, State, foam_room, free_shank, practice};
use crate::physics::friction;
use crate::physics::statics::{Knot, Rides, hang, line_moment};
use crate::quantity::Microns;
use crate::wanted::Target;
use crate::wanted::defaults::JAR_DEPTH_M;
use std::f64::consts::{PI, TAU};
use std::sync::OnceLock;

/// Standard deviations of spread that the start length allows for: 19 flies of 20 are not too short.
pub const START_ALLOWANCE: f64 = 1.645;

/// Times that a fly is hung for one reading.
pub const READINGS: u32 = 3;

/// A reading is the middle one of three, the fly lifted and hung anew for each. Its standard deviation is this share of
/// that of one: sqrt(1 - sqrt 3 / pi), the median of three normals (order statistics, standard).
pub const MIDDLE_OF_THREE: f64 = 0.669_828;

/// Turn per scissor step, rad, beyond which one snip throws the fly over: a quarter of a right angle.
const TOO_COARSE: f64 = std::f64::consts::FRAC_PI_8;

/// Scissor steps within the error of a reading beyond which cutting does not turn the fly to be seen.
const NOT_SEEN: f64 = 12.0;

/// A heap of flies that end alike, of those that are heaped.
const FINE_HEAP: f64 = 0.01;

/// The same of a rough share, and what that may differ by: see `tests/laws/shares.rs`.
pub(super) const ROUGH_HEAP: f64 = 0.035;
pub(super) const ROUGHLY: f64 = 0.015;

/// How one recipe is trimmed.
#[derive(Debug, Clone)]
pub struct Trimming<'a> {
    /// Length to which the foam is cut before it is tied in.
    pub start: Microns,
    /// Length at which a fly without any deviation hangs at [`Target::trimmed_to`] at its depth (over a range of depths: turned as far either way
    /// at both ends), or the nearest that can be had, m.
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
    pub(super) step: f64,
    /// Steps at the start: mean and standard deviation.
    pub(super) start_steps: (f64, f64),
    /// What can be cut off in all, down to the least that can be bound.
    room: f64,
    /// Turning moment in the jar about `jar_turn`, as a figure at the aim.
    pub(super) moment: Form,
    /// What the target asks, at the aim.
    pub(super) asked: Asked,
    /// How flies end with the stop reading as it is, once that is asked.
    stopped: OnceLock<Stopped>,
    settled: bool,
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

/// To what length a piece of foam is cut.
pub(super) struct Aim<'a> {
    piece: FoamPiece<'a>,
    /// Longest foam that the seat takes, m.
    longest: f64,
    /// See [`Trimming::aim`].
    aim: f64,
    /// The fly as written, but for that length.
    pub(super) base: Deviation,
}

impl<'a> Aim<'a> {
    /// `None` where there is no foam in the tail, or it cannot be brought to hang as wanted.
    pub(super) fn of(tied: &AsTied<'a>, target: &Target) -> Option<Self> {
        let piece = tied.fly.foam.filter(|piece| piece.seat.in_tail())?;
        let longest = longest(tied, &piece, target);
        let aim = aimed_length(tied, &piece, target, longest)?;
        let base = Deviation { foam_length: aim - piece.length.m(), ..Deviation::NONE };
        Some(Self { piece, longest, aim, base })
    }
}

impl<'a> Trimming<'a> {
    /// How a recipe is trimmed for a target; `None` where there is no foam in the tail, or cutting it does not turn the fly.
    #[must_use]
    pub fn for_target(fly: &Fly<'a>, target: &Target) -> Option<Self> {
        let tied = AsTied::new(*fly, &target.conditions);
        let mut trimming = Self::of(&tied, &spreads_for(fly, target), target, Detail::Whole)?;
        trimming.settle();
        Some(trimming)
    }

    /// The same, its stop reading not yet settled: see [`Self::settle`].
    pub(super) fn of(tied: &AsTied<'a>, spreads: &[Spread], target: &Target, detail: Detail) -> Option<Self> {
        Self::towards(Aim::of(tied, target)?, tied, spreads, target, detail)
    }

    /// The same where its aim is known.
    pub(super) fn towards(
        Aim { piece, longest, aim, base }: Aim<'a>,
        tied: &AsTied<'a>,
        spreads: &[Spread],
        target: &Target,
        detail: Detail,
    ) -> Option<Self> {
        let conditions =
            Conditions { water: target.hands.jar, depth: JAR_DEPTH_M, state: State::Soaked, knot: Knot::Loop };
        let in_jar = tied.under(&conditions);
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
        let at = |length: f64| {
            let m = in_jar.moments(&Deviation { foam_length: length - piece.length.m(), ..Deviation::NONE });
            -(m.x * jar_turn.cos() + m.y * jar_turn.sin()) * per_metre.signum()
        };
        let at_start = at(start.m());
        let lever = friction::lever(tied.fly.hook.eye_inner_diameter, target.hands.eye_friction);
        let once = (written.magnitude() * target.hands.reading_sd).hypot(written.weight * lever / 3f64.sqrt());
        let misread = once * MIDDLE_OF_THREE;
        let longer = (start.m() - aim) / target.hands.scissors.m();
        let as_straight = longer <= 2.0 || (0.4..2.5).contains(&(at_start / step / longer));
        if misread > NOT_SEEN * step || step > TOO_COARSE * written.magnitude() || !as_straight {
            return None;
        }
        Some(Self {
            start,
            aim,
            jar_turn,
            stop: 0.5,
            reading: misread / step,
            scissors: target.hands.scissors,
            step,
            start_steps: (at_start / step, moment.sd() / step),
            room: (at_start - at(practice::FOAM_LEAST_LENGTH)) / step,
            moment,
            in_jar,
            asked: Asked::of(tied, spreads, &base, target, detail),
            stopped: OnceLock::new(),
            settled: false,
        })
    }

    /// Asks for more of what the target asks.
    pub(super) fn ask(&mut self, tied: &AsTied, spreads: &[Spread], target: &Target, detail: Detail) {
        let written = tied.fly.foam.map_or(self.aim, |piece| piece.length.m());
        let base = Deviation { foam_length: self.aim - written, ..Deviation::NONE };
        self.asked = Asked::of(tied, spreads, &base, target, detail);
    }

    /// How flies end with the stop reading as it is.
    pub(super) fn followed(&self) -> &Stopped {
        self.stopped.get_or_init(|| self.snips().followed())
    }

    /// Puts the stop reading where flies that are cut stop, on the mean, at the aim.
    pub(super) fn settle(&mut self) {
        const ROUNDS: usize = 2;
        let rounds = if self.settled { 0 } else { ROUNDS };
        for _ in 0..rounds {
            let Some(mean) = self.followed().mean_cut() else { break };
            self.stop -= mean;
            self.stopped = OnceLock::new();
        }
        self.settled = true;
    }

    pub(super) fn snips(&self) -> Snips {
        let snip = SNIP_SD / self.scissors.m();
        Snips { start: self.start_steps, stop: self.stop, reading: self.reading, snip, room: self.room }
    }

    pub(super) fn per_metre(&self) -> f64 {
        self.moment.per[Source::FoamLength.index()] / practice::FOAM_LENGTH_SD
    }

    /// Share of flies that come out right.
    #[must_use]
    pub fn share(&self) -> f64 {
        self.share_by_heaps(|whole| FINE_HEAP * whole.max(0.05))
    }

    /// The same within [`ROUGHLY`], for a fraction of the work.
    pub(super) fn rough_share(&self) -> f64 {
        self.share_by_heaps(|whole| ROUGH_HEAP * whole.max(0.2))
    }

    /// Heaps are no less than this of all flies, by the share of all that are heaped.
    fn share_by_heaps(&self, least: impl Fn(f64) -> f64) -> f64 {
        self.asked.sides.iter().map(|side| self.share_on(&side.forms, &least)).sum::<f64>().min(1.0)
    }

    fn share_on(&self, forms: &[Form], least: &impl Fn(f64) -> f64) -> f64 {
        let per_metre = self.per_metre();
        let lengths: Vec<f64> = forms.iter().map(per_metre_of_foam).collect();
        let mut cut: Vec<Form> =
            forms.iter().zip(&lengths).map(|(f, length)| f.plus(-length / per_metre, &self.moment)).collect();
        let after_cut = |i: usize| lengths[i] / per_metre * self.step;
        let stopped = self.followed();
        let of_cut =
            stopped.heaps(&stopped.cut, least(stopped.cut.iter().sum())).into_iter().map(|(weight, r, within)| {
                for (i, form) in cut.iter_mut().enumerate() {
                    // What differs within a heap takes the place of the length as cut, of which nothing is left.
                    form.per[Source::FoamLength.index()] = after_cut(i) * within;
                }
                weight * share_of(&cut, |i| after_cut(i) * r)
            });
        let uncut = least(stopped.uncut.iter().sum());
        of_cut.sum::<f64>() + self.share_of_uncut(forms.iter(), (stopped, uncut))
    }

    /// Share of all flies that were too short from the start, and come out right by these figures, given what they showed.
    pub(super) fn share_of_uncut<'f>(
        &self,
        forms: impl Iterator<Item = &'f Form>,
        (stopped, least): (&Stopped, f64),
    ) -> f64 {
        let variance = self.moment.covariance(&self.moment);
        let longer = (self.start_steps.0 * self.step - self.moment.at) / self.per_metre();
        let (told, left): (Vec<f64>, Vec<Form>) = forms
            .map(|f| {
                let told = f.covariance(&self.moment) / variance;
                let mut left = f.plus(-told, &self.moment);
                left.at = f.at + per_metre_of_foam(f) * longer - told * self.start_steps.0 * self.step;
                (told, left)
            })
            .unzip();
        let heaps = stopped.heaps(&stopped.uncut, least).into_iter();
        heaps.map(|(weight, r, _)| weight * share_of(&left, |i| told[i] * self.step * r)).sum()
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
        let edges = self.asked.sides.iter().map(Side::edges);
        let within = edges.into_iter().find(|edges| edges.iter().all(|edge| edge.at > 0.0))?;
        let per_step = self.step / self.per_metre() / practice::FOAM_LENGTH_SD;
        within
            .iter()
            .map(|edge| (edge.at, edge.per[Source::FoamLength.index()] * per_step))
            .filter(|(_, per_step)| *per_step > 0.0)
            .map(|(at, per_step)| -at / per_step)
            .reduce(f64::max)
    }

    /// Scissor steps that can be cut off in all: down to what is bound, and a stub behind it.
    #[must_use]
    pub fn most_cut(&self) -> usize {
        ((self.start.m() - practice::FOAM_LEAST_LENGTH) / self.scissors.m() + 1e-6).floor().max(0.0) as usize
    }

    /// Whether some flies have to be cut as far as that, and are not done even so: one in a hundred at least.
    #[must_use]
    pub fn may_end_too_long(&self) -> bool {
        let (mean, sd) = self.start_steps;
        mean + 2.33 * sd > self.room + self.stop
    }

    /// What readings call for, from the stop reading on to the farthest that 39 of 40 flies show at the start.
    #[must_use]
    pub fn chart(&self) -> Vec<Row> {
        let (mean, sd) = self.start_steps;
        let farthest = mean + 2.0 * sd.hypot(self.reading);
        let most = self.most_cut();
        let mut rows: Vec<Row> = Vec::new();
        for steps in 1..=MOST_STEPS.min(most) {
            let least = self.snips().least_reading(steps);
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

/// What a metre of foam does to a figure.
pub(super) fn per_metre_of_foam(form: &Form) -> f64 {
    form.per[Source::FoamLength.index()] / practice::FOAM_LENGTH_SD
}

/// Longest foam that the seat takes, m.
fn longest(tied: &AsTied, piece: &FoamPiece, target: &Target) -> f64 {
    let free = free_shank(tied.fly.hook, tied.fly.bead);
    foam_room(tied.fly.hook, free, tied.fly.dressing, piece.seat, &target.limits).0.max(piece.length.m())
}

/// Length at which the recipe hangs at [`Target::trimmed_to`] at its depth, or is turned as far either way at both ends of a range of
/// depths, on the side on which it hangs as written, or the nearest there is.
fn aimed_length(tied: &AsTied, piece: &FoamPiece, target: &Target, longest: f64) -> Option<f64> {
    const ROUNDS: usize = 6;
    let (knot, neck) = (tied.conditions.knot, tied.fly.hook.neck_angle);
    let rides = target
        .rides
        .side(tied.fly.hook)
        .or_else(|| hang(tied.moments(&Deviation::NONE), knot, neck).rest().map(|rest| rest.rides))?;
    let turn = match rides {
        Rides::PointUp => target.trimmed_to(),
        Rides::PointDown => PI - target.trimmed_to(),
    };
    let written = piece.length.m();
    let shallow = target.fall.shallow.map(|depth| tied.under(&Conditions { depth, ..tied.conditions }));
    let slope_of = |tied: &AsTied, deviation: &Deviation| {
        let m = tied.moments(deviation);
        -(m.x * turn.cos() + m.y * turn.sin()) + line_moment(m.weight, knot, neck, turn)
    };
    let slope = |length: f64| {
        let deviation = Deviation { foam_length: length - written, ..Deviation::NONE };
        slope_of(tied, &deviation) + shallow.as_ref().map_or(0.0, |tied| slope_of(tied, &deviation))
    };
    let least = practice::FOAM_LEAST_LENGTH;
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

/// Start length of foam: so long that 19 of 20 flies are not too short, on the grid of the target, and no longer than fits. `aim`: the
/// length that hangs the fly as wanted, m, `sd`: its standard deviation; `longest`: what fits.
#[must_use]
pub fn start_length(aim: f64, sd: f64, target: &Target, longest: f64) -> Microns {
    let step = target.grid.foam.m();
    let up = ((aim + START_ALLOWANCE * sd) / step - 1e-6).ceil();
    let most = ((longest + 1e-9) / step).floor();
    Microns::new(target.grid.foam.micrometres().saturating_mul(up.min(most) as i32))
}
