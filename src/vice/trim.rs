//! Foam can only be cut shorter: how long to leave it, and how much to cut off for what the jar shows.
//!
//! The instructions are those of [`crate::spread::trimming`], whose share is the one that a search counts, put in what a jar
//! shows: the reading to stop at, the reading past which too much is off, and what to cut for what is seen. Lift is lost at
//! depth, so a fly that will be level down there hangs head-down in the jar: the readings count that in.

use super::{Bench, HangTest};
use crate::fly::{Deviation, foam_misfit, foam_room, free_shank};
use crate::numeric::bracketed_root;
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::spread::shares::Shares;
use crate::spread::slopes::least_foam;
use crate::spread::trimming::Trimming;
use crate::vice::Stage;
use std::f64::consts::PI;

/// Step in which the length that hangs a fly as wanted is looked for, m.
const SEARCH_STEP: f64 = 2e-3;

/// How to trim a recipe's foam.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    /// Length to cut the foam to before tying.
    pub start: Microns,
    /// Step of the scissors.
    pub scissors: Microns,
    /// Least that its foam is cut to, where so much may be called for.
    pub least: Option<Microns>,
    /// Turn that the finished fly shows in the jar when it will hang as wanted at depth, rad, counted from `rides`.
    pub jar_shows: f64,
    /// Whether that is turned as far either way at both ends of a range of depths.
    pub over_range: bool,
    /// Reading at which to stop: no further cut at it or past it.
    pub stop_at: f64,
    /// Reading past which the finished fly is expected outside its tolerance: too much is off.
    pub too_far: Option<f64>,
    /// Degrees that the jar reading turns per mm cut off, about there.
    pub per_mm_cut: f64,
    /// Side from which jar turns are counted: that on which a trimmed fly rides in the jar.
    pub rides: Rides,
    /// What readings call for, from the stop reading on.
    pub chart: Vec<Row>,
    /// Flies that come out right.
    pub shares: Shares,
}

/// One row of the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Readings from here, rad,
    pub near: f64,
    /// to here; `None`: and on.
    pub far: Option<f64>,
    /// To cut off, in whole steps of the scissors.
    pub cut: Microns,
}

impl<'a> Bench<'a> {
    pub(super) fn how_to_trim(&self) -> Option<Trim> {
        let shares = self.shares();
        shares.trimmed?;
        let trimming = Trimming::for_target(&self.fly, &self.target)?;
        let rides = if trimming.jar_turn.abs() <= 0.5 * PI { Rides::PointUp } else { Rides::PointDown };
        // A turn of the downward direction as a hang counted from the side on which the fly rides.
        let turn = |beta: f64| match rides {
            Rides::PointUp => beta,
            Rides::PointDown => PI - beta.rem_euclid(2.0 * PI),
        };
        let shows = |steps: f64| trimming.shows(steps).map(turn);
        let per_step = shows(-0.5)? - shows(0.5)?;
        let step = |steps: usize| Microns::new(trimming.scissors.micrometres() * steps as i32);
        let row = |row: &crate::spread::trimming::Row| Row {
            near: turn(row.near),
            far: row.far.map(turn),
            cut: step(row.steps),
        };
        Some(Trim {
            start: trimming.start,
            scissors: trimming.scissors,
            least: trimming.may_end_too_long().then(|| Microns::new((least_foam() * 1e6).round() as i32)),
            jar_shows: shows(0.0)?,
            over_range: self.target.fall.shallow.is_some(),
            stop_at: shows(trimming.stop)?,
            too_far: trimming.too_far().and_then(shows),
            per_mm_cut: per_step.to_degrees() / trimming.scissors.mm(),
            rides,
            chart: trimming.chart().iter().map(row).collect(),
            shares,
        })
    }

    /// Share of flies that come out right, with this jar.
    #[must_use]
    pub fn shares(&self) -> Shares {
        crate::spread::shares(&self.fly, &self.target)
    }

    /// Whole length of foam that hangs a fly as wanted at depth, m; `None` where none from the least to three times the
    /// longest that the recipe can hide does.
    pub(super) fn length_that_hangs(&self, fly: &Deviation) -> Option<f64> {
        let written = self.fly.foam?.length.m();
        let off = |length: f64| {
            let deviation = Deviation { foam_length: fly.foam_length + length - written, ..*fly };
            self.turn_at_depth(&deviation).map(|turn| turn - self.target.trimmed_to())
        };
        let low = least_foam();
        let at_low = off(low)?;
        let most = 3.0 * self.longest().max(written);
        // The first step of length past the hang wanted; with more foam than that it may roll over or float.
        let steps = ((most - low) / SEARCH_STEP).ceil() as u32;
        let high = (1..=steps)
            .map(|i| low + f64::from(i) * SEARCH_STEP)
            .find(|length| off(*length).is_none_or(|v| v * at_low <= 0.0))?;
        bracketed_root(|length| off(length).unwrap_or(-at_low), high - SEARCH_STEP, high, 1e-7).ok()
    }

    /// Longest foam that the recipe's seat takes, m.
    pub(super) fn longest(&self) -> f64 {
        let Some(piece) = self.fly.foam else { return 0.0 };
        let free = free_shank(self.fly.hook, self.fly.bead);
        foam_room(self.fly.hook, free, self.fly.dressing, piece.seat, &self.target.limits).0
    }

    /// What to cut off a fly whose foam is on, in whole steps: rather one too few than one too many, for none can be put back. Nothing if it
    /// is too short already.
    pub(super) fn cut_for(&self, fly: &Deviation) -> Microns {
        let Some(piece) = self.fly.foam else { return Microns::default() };
        let Some(length) = self.length_that_hangs(fly) else { return Microns::default() };
        let on = piece.length.m() + self.surplus(Stage::Foam);
        let steps = ((on - length).min(on - least_foam()) / self.target.hands.scissors.m() + 1e-6).floor();
        Microns::new(self.target.hands.scissors.micrometres() * steps.clamp(0.0, 1e4) as i32)
    }

    /// What the chart calls for where a fly with its foam is seen to hang so: nothing yet before it is finished. `None` where it is done,
    /// or shows what no chart tells.
    pub(super) fn cut_by_chart(&self, test: HangTest, (turn, rides): (f64, Rides)) -> Option<Microns> {
        let trim = self.trim()?;
        if test.stage < Stage::Finish {
            return Some(Microns::default());
        }
        if test != HangTest::in_jar(Stage::Finish) || trim.rides != rides {
            return None;
        }
        let way = (trim.stop_at - trim.jar_shows).signum();
        trim.chart.iter().rev().find(|row| (turn - row.near) * way >= 0.0).map(|row| row.cut)
    }

    /// Whether a length of foam fits the recipe.
    #[must_use]
    pub fn foam_fits(&self, length: Microns) -> bool {
        let free = free_shank(self.fly.hook, self.fly.bead);
        self.fly.foam.is_none_or(|piece| {
            let piece = crate::fly::FoamPiece { length, ..piece };
            foam_misfit(self.fly.hook, free, self.fly.dressing, &piece, &self.target.limits).is_none()
        })
    }
}
