//! From what a stage was seen to do in the hand or in the jar to what to change.
//!
//! The likeliest fly behind the reading is found ([`crate::spread::seen`]); then, for each thing that hands can still
//! change at that stage, the change that brings the finished fly nearest the hang wanted at its fishing depth. Foam that
//! is bound in can be cut shorter, or exchanged (with what has been tied over it); until it is dressed over, wraps can be
//! added, taken off or moved; until the thread is on, the bead can be exchanged. Each change is told with the hang it gives
//! at the vice and at depth, and the chance that is then left.
//!
//! Before foam is on that will be trimmed, most that is off can be made up for by its length: each change is told with the
//! start length that follows ([`Bench::start_after`]), and the chance is that of trimming wherever such a length can be tied.

use super::Stage;
use super::{Bench, HangTest};
use crate::fly::{Deviation, Fly, Wraps, free_shank, front_misfit, least_turns, practice, wraps_misfit};
use crate::numeric::{normal_share_below, normal_share_within};
use crate::part::Bead;
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::spread::draws::BATCH_SHARE;
use crate::spread::draws::{Source, Spread};
use crate::spread::seen::{Likely, likely};
use crate::spread::slopes::{Linear, least_foam, linear};
use crate::spread::trimming::{START_ALLOWANCE, start_length};
use crate::spread::turn_of_rest;
use thiserror::Error;

/// What was seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// After which stage, in what.
    pub test: HangTest,
    /// Shank from horizontal, rad, positive tail down, a quarter turn at most either way.
    pub angle: f64,
    /// Which side the point was on; `None`: the side that the stage should ride on.
    pub rides: Option<Rides>,
}

/// Why there is no advice.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum NoAdvice {
    /// Nothing goes on at that stage.
    #[error("this recipe has no stage `{}`; it has {}", .stage.word(), words(.known))]
    NoStage {
        /// Stage asked for.
        stage: Stage,
        /// Stages of the recipe.
        known: Vec<Stage>,
    },
    /// An angle past the vertical.
    #[error("a hang of {degrees:.0} deg: it lies between -90 (head down) and 90 (tail down)")]
    PastVertical {
        /// Angle, degrees.
        degrees: f64,
    },
    /// The stage floats, so no angle can be read.
    #[error("at stage `{}` this recipe floats", .stage.word())]
    Floats {
        /// Stage.
        stage: Stage,
    },
}

fn words(stages: &[Stage]) -> String {
    stages.iter().map(|s| s.word()).collect::<Vec<_>>().join(", ")
}

/// One thing to change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// Leave it.
    Nothing,
    /// Cut so much off the foam.
    Trim {
        /// To cut off.
        cut: Microns,
    },
    /// Cut so much off the foam, as the chart of its card says, and go on by that.
    ByChart {
        /// To cut off first.
        cut: Microns,
    },
    /// Bind in a piece of foam of this length (in place of the one that is on).
    Foam {
        /// Its length.
        length: Microns,
    },
    /// The same, left so long that it can be trimmed in the jar.
    FoamToTrim {
        /// Its length at first.
        length: Microns,
    },
    /// So many wraps more, at the rear; fewer if negative.
    Wraps {
        /// More.
        more: i32,
    },
    /// Move the wraps aft; forward if negative.
    Move {
        /// Aft.
        aft: Microns,
    },
    /// Exchange the bead for one of those offered, by its place among them.
    Bead(usize),
}

/// A change with what comes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// What to do.
    pub change: Change,
    /// The first test from here on at which the changed part is on; `None` where the fly floats in it.
    pub shows: Option<Shown>,
    /// Start length of the foam that follows, where foam is still to be bound in and trimmed.
    pub start: Option<Microns>,
    /// Turn of the finished fly at depth, rad, where it is trimmed that to which it is; `None` if it floats.
    pub depth: Option<f64>,
    /// Standard deviation of that, rad; `None` where it is trimmed, which ends when it hangs as wanted.
    pub sd: Option<f64>,
    /// Chance that the finished fly then hangs within its tolerance (first order); where it is trimmed, that it comes out right.
    pub chance: f64,
}

/// What a test would show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shown {
    /// After which stage, in what.
    pub test: HangTest,
    /// Turn, rad, counted from `rides`.
    pub turn: f64,
    /// Side from which it is counted.
    pub rides: Rides,
}

/// What a reading means and what can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// After which stage, in what.
    pub test: HangTest,
    /// Turn seen, rad, counted from `rides`.
    pub seen: f64,
    /// Turn that the test should show, rad.
    pub expected: f64,
    /// Side from which its turns are counted: that on which the fly should ride in it.
    pub rides: Rides,
    /// Side from which turns at depth are counted.
    pub rides_at_depth: Rides,
    /// How far off the reading is, in standard deviations of what tying and reading scatter.
    pub surprise: f64,
    /// The likeliest fly: sources and how many standard deviations each is off, largest first.
    pub suspects: Vec<(Spread, f64)>,
    /// What can be done, leaving it first.
    pub corrections: Vec<Correction>,
}

impl Advice {
    /// The correction that comes nearest the hang wanted.
    #[must_use]
    pub fn best(&self) -> Option<&Correction> {
        self.corrections.iter().max_by(|a, b| a.chance.total_cmp(&b.chance))
    }
}

impl<'a> Bench<'a> {
    /// What a reading means and what can be done about it, with these beads at hand.
    ///
    /// # Errors
    /// A stage that the recipe does not have, or a reading that cannot be.
    pub fn correct(&self, seen: &Seen, beads: &'a [Bead]) -> Result<Advice, NoAdvice> {
        let test = seen.test;
        let stage = test.stage;
        let known = Stage::of_fly(&self.fly);
        if !known.contains(&stage) {
            return Err(NoAdvice::NoStage { stage, known });
        }
        if seen.angle.to_degrees().abs() > 90.0 + 1e-9 || !seen.angle.is_finite() {
            return Err(NoAdvice::PastVertical { degrees: seen.angle.to_degrees() });
        }
        let rides = self.side_at(test);
        let view = |d: &Deviation| self.turn_at(test, d, rides);
        let floats = || NoAdvice::Floats { stage };
        let turn = turn_seen(seen.angle, seen.rides.unwrap_or(rides), rides);
        let error = self.reading_error(test);
        let line = linear(self.spreads(), &Deviation::NONE, view).ok_or_else(floats)?;
        let found = likely(self.spreads(), turn, error, view).ok_or_else(floats)?;
        let mut corrections: Vec<Correction> = self
            .changes(test, (turn, rides), &found)
            .into_iter()
            .map(|change| self.correction(test, &found, change))
            .collect();
        corrections.extend(self.other_bead(test, &found, beads));
        let left = corrections.first().map_or(0.0, |c| c.chance);
        corrections.retain(|c| c.change == Change::Nothing || c.chance > left + WORTH_WHILE);
        Ok(Advice {
            test,
            seen: turn,
            expected: line.at,
            rides,
            rides_at_depth: self.side_at_depth(),
            surprise: (turn - line.at) / line.sd().hypot(error),
            suspects: found.suspects(),
            corrections,
        })
    }

    fn changes(&self, test: HangTest, seen: (f64, Rides), found: &Likely) -> Vec<Change> {
        let stage = test.stage;
        let mut changes = vec![Change::Nothing];
        if self.fly.foam.is_some() && stage >= Stage::Foam {
            let cut = self.cut_for(&found.deviation);
            changes.extend((cut > Microns::default()).then_some(Change::Trim { cut }));
            let by_chart = self.cut_by_chart(test, seen).filter(|_| cut > Microns::default());
            changes.extend(by_chart.map(|cut| Change::ByChart { cut }));
        }
        if self.trim().is_none() || stage >= Stage::Foam {
            changes.extend(self.other_foam(stage, found));
            changes.extend(self.foam_to_trim(stage, found));
        }
        if stage <= Stage::Foam {
            changes.extend(self.other_wraps(stage, found));
            changes.extend(self.moved_wraps(stage, found));
        }
        changes
    }

    /// Another piece of foam, where another length than the one that is on does better.
    fn other_foam(&self, stage: Stage, found: &Likely) -> Option<Change> {
        let written = self.fly.foam?.length;
        let fresh = with_another_piece(&found.deviation);
        let length = self.on_grid_near(self.length_that_hangs(&fresh)?)?;
        let differs = length != written || stage >= Stage::Foam;
        (differs && self.foam_fits(length)).then_some(Change::Foam { length })
    }

    /// A new piece so long that the finished fly can be trimmed: as long as this fly takes, not the one on paper.
    fn foam_to_trim(&self, stage: Stage, found: &Likely) -> Option<Change> {
        self.trim().filter(|_| stage >= Stage::Foam)?;
        let needed = linear(self.spreads(), &with_another_piece(&found.deviation), |d| self.length_that_hangs(d))?;
        let length = self.start_of(&needed, found.sd_with_another(&needed, &ANOTHER_PIECE))?;
        Some(Change::FoamToTrim { length })
    }

    /// Start length of foam that is still to be bound in and trimmed, for a fly that is known so far: so long that 19 of 20
    /// such flies are not too short. `None` where no length that can be tied brings it to hang as wanted.
    #[must_use]
    pub fn start_after(&self, found: &Likely) -> Option<Microns> {
        self.trim()?;
        let line = linear(self.spreads(), &found.deviation, |d| self.length_that_hangs(d))?;
        self.start_of(&line, found.sd_of(&line))
    }

    fn start_of(&self, needed: &Linear, sd: f64) -> Option<Microns> {
        let start = start_length(needed.at, sd, &self.target, self.longest());
        (needed.at > least_foam() && needed.at < start.m() && self.foam_fits(start)).then_some(start)
    }

    /// Share of flies that come out right when foam of a length, m, is trimmed on a fly that is known so far: that of all such
    /// flies, less those on which the piece is too short, for none can be put back. `kept`: what its foam has in common with that
    /// on the fly when it was seen.
    fn trimmed_from(&self, on: f64, fly: &Deviation, found: &Likely, kept: &[(Source, f64)]) -> f64 {
        let Some(needed) = linear(self.spreads(), fly, |d| self.length_that_hangs(d)) else { return 0.0 };
        if needed.at <= least_foam() {
            return 0.0;
        }
        let sd = found.sd_with_another(&needed, kept).max(1e-9);
        let spare = self.may_be_short_by(fly, needed.at);
        let long_enough = |allowed: f64| normal_share_below((allowed + spare) / sd);
        let of_all = long_enough(START_ALLOWANCE * sd);
        self.shares().counted() * (long_enough(on - needed.at) / of_all).min(1.0)
    }

    /// By how much foam may be shorter than a fly needs, m, before its hang at depth leaves the tolerance; to first order.
    fn may_be_short_by(&self, fly: &Deviation, needed: f64) -> f64 {
        const STEP: f64 = 1e-4;
        let written = self.fly.foam.map_or(0.0, |piece| piece.length.m());
        let at =
            |length: f64| self.turn_at_depth(&Deviation { foam_length: fly.foam_length + length - written, ..*fly });
        let per_metre = at(needed + STEP).zip(at(needed - STEP)).map(|(more, less)| (more - less).abs() / (2.0 * STEP));
        per_metre.filter(|slope| *slope > 0.0).map_or(0.0, |slope| self.target.tolerance / slope)
    }

    fn other_wraps(&self, stage: Stage, found: &Likely) -> Option<Change> {
        let wraps = self.fly.wraps?;
        let free = free_shank(self.fly.hook, self.fly.bead);
        // A recipe may have fewer turns than a search would wind; none are taken off it then.
        let least = least_turns(wraps.wire).min(wraps.turns);
        let fits = |more: i32| {
            wraps
                .turns
                .checked_add_signed(more)
                .is_some_and(|turns| turns >= least && wraps_misfit(free, &Wraps { turns, ..wraps }).is_none())
        };
        let fewest = i32::try_from(least).ok()? - i32::try_from(wraps.turns).ok()?;
        let most = (0..).take_while(|n| fits(*n)).last()?;
        let more = self.nearest(stage, fewest..=most, |more| Deviation {
            turns: found.deviation.turns + f64::from(more),
            ..found.deviation
        })?;
        (more != 0).then_some(Change::Wraps { more })
    }

    fn moved_wraps(&self, stage: Stage, found: &Likely) -> Option<Change> {
        let wraps = self.fly.wraps?;
        let free = free_shank(self.fly.hook, self.fly.bead);
        let step = MOVE_STEP.micrometres();
        let fits = |steps: i32| {
            let start = Microns::new(wraps.start.micrometres() + steps * step);
            wraps_misfit(free, &Wraps { start, ..wraps }).is_none()
        };
        let (first, last) =
            ((0..).map(|n: i32| -n).take_while(|n| fits(*n)).last()?, (0..).take_while(|n| fits(*n)).last()?);
        let aft = |steps: i32| Microns::new(steps * step);
        let steps = self.nearest(stage, first..=last, |steps| Deviation {
            wraps_position: found.deviation.wraps_position + aft(steps).m(),
            ..found.deviation
        })?;
        (steps != 0).then_some(Change::Move { aft: aft(steps) })
    }

    /// The step that brings the finished fly nearest the hang wanted; the smallest of equals.
    fn nearest(
        &self,
        stage: Stage,
        range: impl Iterator<Item = i32>,
        change: impl Fn(i32) -> Deviation,
    ) -> Option<i32> {
        range
            .filter_map(|step| {
                let off = (self.turn_left(stage, &change(step))? - self.target.trimmed_to()).abs();
                Some((off, step))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.abs().cmp(&b.1.abs())))
            .map(|(_, step)| step)
    }

    fn on_grid_near(&self, length: f64) -> Option<Microns> {
        let step = self.target.grid.foam;
        let steps = (length / step.m()).round();
        (1.0..1e6).contains(&steps).then(|| Microns::new(step.micrometres() * steps as i32))
    }

    /// Turn at depth of a fly that is finished and left as it is after a stage, with a deviation from what is on then.
    fn turn_left(&self, stage: Stage, deviation: &Deviation) -> Option<f64> {
        let foam_length = deviation.foam_length + self.surplus(stage);
        self.turn_at_depth(&Deviation { foam_length, ..*deviation })
    }

    fn correction(&self, test: HangTest, found: &Likely, change: Change) -> Correction {
        let stage = test.stage;
        let known = &found.deviation;
        let (after, kept, on): (Deviation, &[(Source, f64)], Stage) = match change {
            Change::Nothing | Change::Bead(_) => (*known, &[], stage),
            Change::Trim { cut } | Change::ByChart { cut } => {
                (Deviation { foam_length: known.foam_length - cut.m(), ..*known }, &[], stage.max(Stage::Foam))
            }
            Change::Foam { length } | Change::FoamToTrim { length } => {
                let was = self.fly.foam.map_or(0.0, |piece| piece.length.m()) + self.surplus(stage);
                let fresh = with_another_piece(known);
                (Deviation { foam_length: length.m() - was, ..fresh }, &ANOTHER_PIECE, stage.max(Stage::Foam))
            }
            Change::Wraps { more } => {
                (Deviation { turns: known.turns + f64::from(more), ..*known }, &[], stage.max(Stage::Wire))
            }
            Change::Move { aft } => {
                let moved = known.wraps_position + aft.m();
                (Deviation { wraps_position: moved, ..*known }, &[], stage.max(Stage::Wire))
            }
        };
        let on = if on == stage { test } else { HangTest::in_jar(on) };
        let by_hand = match change {
            Change::Trim { .. } | Change::ByChart { .. } => Some((Source::FoamLength, practice::FOAM_LENGTH_SD)),
            Change::Move { .. } => Some((Source::WrapsPosition, practice::POSITION_SD)),
            _ => None,
        };
        self.come_of(test, on, found, &Changed { change, after, kept, by_hand })
    }

    /// What comes of a change.
    fn come_of(&self, seen: HangTest, on: HangTest, found: &Likely, changed: &Changed) -> Correction {
        let Changed { change, after, kept, by_hand } = changed;
        let sd_of = |line: &Linear| {
            let slope = |(wanted, sd): (Source, f64)| {
                line.slopes.iter().find(|(s, _)| s.source == wanted).map_or(0.0, |(s, g)| g / s.sd * sd)
            };
            found.sd_with_another(line, kept).hypot(by_hand.map_or(0.0, slope))
        };
        let rides = self.side_at(on);
        let shows = self.turn_at(on, after, rides).map(|turn| Shown { test: on, turn, rides });
        let trimmed = self.trim().filter(|_| seen.stage < Stage::Foam).and_then(|trim| {
            let needed = linear(self.spreads(), after, |d| self.length_that_hangs(d))?;
            Some((self.start_of(&needed, sd_of(&needed))?, trim.shares.counted()))
        });
        let written = self.fly.foam.map_or(0.0, |piece| piece.length.m());
        let line = linear(self.spreads(), after, |d| self.turn_left(seen.stage, d));
        let sd = line.as_ref().map_or(0.0, sd_of);
        let depth = line.as_ref().map(|l| l.at);
        let window = self.target.hang_window();
        let edges = (window.low.unwrap_or(f64::NEG_INFINITY), window.high.unwrap_or(f64::INFINITY));
        let left = depth.map_or(0.0, |at| normal_share_within(at, sd, edges));
        let by_trimming = |chance: f64| (Some(self.target.trimmed_to()), None, chance);
        let (start, (depth, sd, chance)) = match (change, trimmed) {
            (Change::FoamToTrim { length }, _) => {
                let fresh = with_another_piece(&found.deviation);
                (None, by_trimming(self.trimmed_from(length.m(), &fresh, found, kept)))
            }
            (Change::ByChart { cut }, _) => {
                let on = written + self.surplus(seen.stage) - cut.m();
                (None, by_trimming(self.trimmed_from(on, &found.deviation, found, kept)))
            }
            (_, Some((start, chance))) => (Some(start), by_trimming(chance)),
            (_, None) => (None, (depth, Some(sd), left)),
        };
        Correction { change: *change, shows, start, depth, sd, chance }
    }

    /// Another bead in its place, where one does better: until the thread is on, which holds all.
    fn other_bead(&self, test: HangTest, found: &Likely, beads: &'a [Bead]) -> Option<Correction> {
        let (_, mount) = self.fly.bead.filter(|_| test.stage <= Stage::Wire)?;
        let mut after = found.deviation;
        for (source, _) in ANOTHER_BEAD {
            source.set(&mut after, 0.0);
        }
        let of = |(place, bead): (usize, &'a Bead)| {
            let fly = Fly { bead: Some((bead, mount)), ..self.fly };
            let room = free_shank(fly.hook, fly.bead);
            let fits = front_misfit(fly.hook, bead, mount, &self.target.limits).is_none()
                && fly.wraps.is_none_or(|wraps| wraps_misfit(room, &wraps).is_none());
            let other = fits.then(|| Bench::new(fly, &self.target, self.jar))?;
            // The same sources, so that what is known of this fly can be laid over that one.
            let alike = other.spreads().iter().map(|s| s.source).eq(self.spreads().iter().map(|s| s.source));
            let changed = Changed { change: Change::Bead(place), after, kept: &ANOTHER_BEAD, by_hand: None };
            alike.then(|| other.come_of(test, test, found, &changed))
        };
        let off = |c: &Correction| c.depth.map_or(f64::INFINITY, |turn| (turn - self.target.trimmed_to()).abs());
        let all = beads.iter().enumerate().filter_map(of);
        all.max_by(|a, b| a.chance.total_cmp(&b.chance).then_with(|| off(b).total_cmp(&off(a))))
    }
}

/// A change, and what is known of the fly after it.
struct Changed<'k> {
    change: Change,
    after: Deviation,
    /// Sources that belong to another piece now, and what that has in common with the one before.
    kept: &'k [(Source, f64)],
    /// What the change itself errs by.
    by_hand: Option<(Source, f64)>,
}

/// Another bead has nothing in common with the one before: it is weighed in by its own row.
const ANOTHER_BEAD: [(Source, f64); 3] = [(Source::BeadMass, 0.0), (Source::BeadSize, 0.0), (Source::BeadSeat, 0.0)];

/// A change that adds less than this to the chance is not worth the thread.
const WORTH_WHILE: f64 = 0.02;

/// Step in which wraps are moved.
const MOVE_STEP: Microns = Microns::new(500);

/// What another piece of foam from the same rod has in common with the one before, as a share of what that was off: half of
/// the variance of its section is the rod's and the hand's ([`BATCH_SHARE`]), its length and place are
/// its own; its density is the rod's and stays.
const ANOTHER_PIECE: [(Source, f64); 4] = [
    (Source::FoamSection, BATCH_SHARE),
    (Source::FoamLength, 0.0),
    (Source::FoamPosition, 0.0),
    (Source::FoamHeight, BATCH_SHARE),
];

/// The fly with another piece of foam in it, as far as is known.
fn with_another_piece(deviation: &Deviation) -> Deviation {
    let mut rest = *deviation;
    for (source, kept) in ANOTHER_PIECE {
        let was = source.amount(deviation);
        source.set(&mut rest, kept * was);
    }
    rest
}

fn turn_seen(angle: f64, seen_on: Rides, side: Rides) -> f64 {
    let rest = crate::physics::statics::Rest { angle, rides: seen_on, steadiness: 0.0, down: [0.0, 0.0] };
    turn_of_rest(&rest, side)
}
