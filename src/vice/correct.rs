//! From what a stage was seen to do in the jar to what to change.
//!
//! The likeliest fly behind the reading is found ([`crate::spread::seen`]); then, for each thing that hands can still
//! change at that stage, the change that brings the finished fly nearest the hang wanted at its fishing depth. Foam that
//! is bound in can be cut shorter, or exchanged (with what has been tied over it); until it is dressed over, wraps can be
//! added, taken off or moved. Each change is told with the hang it gives in the jar and at depth, and the chance that is then left.

use super::Bench;
use super::stages::Stage;
use crate::fly::{Deviation, Wraps, free_shank, least_turns, practice, wraps_misfit};
use crate::numeric::normal_share_within;
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::spread::draws::BATCH_SHARE;
use crate::spread::draws::{Source, Spread};
use crate::spread::seen::{Likely, likely};
use crate::spread::slopes::linear;
use crate::spread::turn_of_rest;
use thiserror::Error;

/// What was seen in the jar.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// At which stage.
    pub stage: Stage,
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
    /// As written the stage floats, so no angle can be read.
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
}

/// A change with what comes of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Correction {
    /// What to do.
    pub change: Change,
    /// The first stage from here on at which the changed part is on, and the turn in the jar there, rad.
    pub jar: Option<(Stage, f64)>,
    /// Turn of the finished fly at depth, rad; `None` if it floats.
    pub depth: Option<f64>,
    /// Standard deviation of that, rad.
    pub sd: f64,
    /// Chance that the finished fly then hangs within its tolerance (first order).
    pub chance: f64,
}

/// What a reading means and what can be done.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// Stage.
    pub stage: Stage,
    /// Turn seen, rad, counted from `rides`.
    pub seen: f64,
    /// Turn that the stage should show, rad.
    pub expected: f64,
    /// Side from which jar turns are counted: that on which the stage should ride.
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

impl Bench<'_> {
    /// What a reading means and what can be done about it.
    ///
    /// # Errors
    /// A stage that the recipe does not have, or a reading that cannot be.
    pub fn correct(&self, seen: &Seen) -> Result<Advice, NoAdvice> {
        let stage = seen.stage;
        let known = Stage::of_fly(&self.fly);
        if !known.contains(&stage) {
            return Err(NoAdvice::NoStage { stage, known });
        }
        if seen.angle.to_degrees().abs() > 90.0 + 1e-9 || !seen.angle.is_finite() {
            return Err(NoAdvice::PastVertical { degrees: seen.angle.to_degrees() });
        }
        let rides = self.side_at(stage);
        let view = |d: &Deviation| self.turn_at(stage, d, rides);
        let floats = || NoAdvice::Floats { stage };
        let turn = turn_seen(seen.angle, seen.rides.unwrap_or(rides), rides);
        let line = linear(self.spreads(), &Deviation::NONE, view).ok_or_else(floats)?;
        let found = likely(self.spreads(), turn, self.jar.reading_sd, view).ok_or_else(floats)?;
        let scatter = line.sd().hypot(self.jar.reading_sd);
        let mut corrections: Vec<Correction> = self
            .changes(stage, &found)
            .into_iter()
            .map(|change| self.correction(stage, rides, &found, change))
            .collect();
        let left = corrections.first().map_or(0.0, |c| c.chance);
        corrections.retain(|c| c.change == Change::Nothing || c.chance > left + WORTH_WHILE);
        Ok(Advice {
            stage,
            seen: turn,
            expected: line.at,
            rides,
            rides_at_depth: self.side_at_depth(),
            surprise: (turn - line.at) / scatter,
            suspects: found.suspects(),
            corrections,
        })
    }

    fn changes(&self, stage: Stage, found: &Likely) -> Vec<Change> {
        let mut changes = vec![Change::Nothing];
        if self.fly.foam.is_some() && stage >= Stage::Foam {
            let cut = self.cut_for(&found.deviation);
            changes.extend((cut > Microns::default()).then_some(Change::Trim { cut }));
        }
        changes.extend(self.other_foam(stage, found));
        changes.extend(self.foam_to_trim(stage));
        if stage <= Stage::Foam {
            changes.extend(self.other_wraps(found));
            changes.extend(self.moved_wraps(found));
        }
        changes
    }

    /// Another piece of foam, where another length than the recipe's does better.
    fn other_foam(&self, stage: Stage, found: &Likely) -> Option<Change> {
        let written = self.fly.foam?.length;
        let fresh = with_another_piece(&found.deviation);
        let length = self.on_grid_near(self.length_that_hangs(&fresh)?)?;
        let differs = length != written || stage >= Stage::Foam;
        (differs && self.foam_fits(length)).then_some(Change::Foam { length })
    }

    /// A new piece at the start length, where the finished fly can be trimmed.
    fn foam_to_trim(&self, stage: Stage) -> Option<Change> {
        let length = self.trim().filter(|_| stage >= Stage::Foam)?.start;
        self.foam_fits(length).then_some(Change::FoamToTrim { length })
    }

    fn other_wraps(&self, found: &Likely) -> Option<Change> {
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
        let more = self.nearest(fewest..=most, |more| Deviation {
            turns: found.deviation.turns + f64::from(more),
            ..found.deviation
        })?;
        (more != 0).then_some(Change::Wraps { more })
    }

    fn moved_wraps(&self, found: &Likely) -> Option<Change> {
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
        let steps = self.nearest(first..=last, |steps| Deviation {
            wraps_position: found.deviation.wraps_position + aft(steps).m(),
            ..found.deviation
        })?;
        (steps != 0).then_some(Change::Move { aft: aft(steps) })
    }

    /// The step that brings the finished fly nearest the hang wanted; the smallest of equals.
    fn nearest(&self, range: impl Iterator<Item = i32>, change: impl Fn(i32) -> Deviation) -> Option<i32> {
        range
            .filter_map(|step| {
                let off = (self.turn_at_depth(&change(step))? - self.target.hang).abs();
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

    fn correction(&self, stage: Stage, rides: Rides, found: &Likely, change: Change) -> Correction {
        let known = &found.deviation;
        let (after, kept, on): (Deviation, &[(Source, f64)], Stage) = match change {
            Change::Nothing => (*known, &[], stage),
            Change::Trim { cut } => {
                (Deviation { foam_length: known.foam_length - cut.m(), ..*known }, &[], stage.max(Stage::Foam))
            }
            Change::Foam { length } | Change::FoamToTrim { length } => {
                let written = self.fly.foam.map_or(0.0, |piece| piece.length.m());
                let fresh = with_another_piece(known);
                (Deviation { foam_length: length.m() - written, ..fresh }, &ANOTHER_PIECE, stage.max(Stage::Foam))
            }
            Change::Wraps { more } => {
                (Deviation { turns: known.turns + f64::from(more), ..*known }, &[], stage.max(Stage::Wire))
            }
            Change::Move { aft } => {
                let moved = known.wraps_position + aft.m();
                (Deviation { wraps_position: moved, ..*known }, &[], stage.max(Stage::Wire))
            }
        };
        let line = linear(self.spreads(), &after, |d| self.turn_at_depth(d));
        let sd = line.as_ref().map_or(0.0, |line| {
            let slope =
                |wanted: Source| line.slopes.iter().find(|(s, _)| s.source == wanted).map_or(0.0, |(s, g)| g / s.sd);
            let by_hand = match change {
                Change::Trim { .. } => slope(Source::FoamLength) * practice::FOAM_LENGTH_SD,
                Change::Move { .. } => slope(Source::WrapsPosition) * practice::POSITION_SD,
                Change::Nothing | Change::Foam { .. } | Change::FoamToTrim { .. } | Change::Wraps { .. } => 0.0,
            };
            found.sd_with_another(line, kept).hypot(by_hand)
        });
        let window = self.target.hang_window();
        let edges = (window.low.unwrap_or(f64::NEG_INFINITY), window.high.unwrap_or(f64::INFINITY));
        let jar_rides = if on == stage { rides } else { self.side_at(on) };
        Correction {
            change,
            jar: self.turn_at(on, &after, jar_rides).map(|turn| (on, turn)),
            depth: line.as_ref().map(|l| l.at),
            sd,
            chance: match (change, &line) {
                // What trimming makes of a new piece, whatever the fly.
                (Change::FoamToTrim { .. }, _) => self.shares().counted(),
                (_, Some(line)) => normal_share_within(line.at, sd, edges),
                (_, None) => 0.0,
            },
        }
    }
}

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
