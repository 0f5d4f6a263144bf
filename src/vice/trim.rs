//! Foam can only be cut shorter: how long to leave it, and how much to cut off for what the jar shows.
//!
//! **Start length.** For each drawn fly the length that hangs it as wanted at depth is found; the start length is so long
//! that a stated share of all flies need no more, rounded up to the grid and held to what the tail hides.
//!
//! **Chart.** For each angle that the finished fly may show in the jar at the start length, the likeliest fly behind it is
//! found ([`crate::spread::seen`]) and the cut that hangs that fly as wanted at depth. Lift is lost at depth, so a fly that
//! will be level down there hangs head-down in the jar: the chart counts that in.

use super::Bench;
use super::stages::Stage;
use crate::fly::{Deviation, foam_misfit, foam_room, free_shank};
use crate::numeric::bracketed_root;
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::spread::chance::quantile;
use crate::spread::draws::{Draws, Standard, deviation, stream};
use crate::spread::seen::likely;
use crate::spread::slopes::{least_foam, linear};
use rand_distr::{Distribution, StandardNormal};
use rayon::prelude::*;

/// Share of flies that the start length is to level by trimming alone.
pub const START_SHARE: f64 = 0.95;

/// Step of a cut when trimming, micrometres: a sliver off the end with sharp scissors. Common practice, no source.
pub const TRIM_STEP_UM: i32 = 250;

/// Standard deviation of such a cut, m. Common practice, no source.
pub const TRIM_SD: f64 = 0.1e-3;

/// Step of the chart, rad: 5 degrees.
const CHART_STEP: f64 = 5.0 * std::f64::consts::PI / 180.0;

/// Step in which the length that hangs a fly as wanted is looked for, m.
const SEARCH_STEP: f64 = 2e-3;

/// How to trim a recipe's foam.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    /// Length to cut the foam to before tying.
    pub start: Microns,
    /// Share of drawn flies that hang as wanted at this length or a shorter one.
    pub covers: f64,
    /// Turn that the finished fly shows in the jar when it will hang as wanted at depth, rad, counted from `rides`.
    pub jar_shows: f64,
    /// Degrees that the jar reading turns per mm cut off, about there.
    pub per_mm_cut: f64,
    /// Side from which jar turns are counted.
    pub rides: Rides,
    /// Seen at the start length -> cut, from head-down to tail-down.
    pub chart: Vec<Row>,
}

/// One row of the chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Turn seen in the jar, rad.
    pub seen: f64,
    /// To cut off, in slivers; zero where it is short enough or too short.
    pub cut: Microns,
    /// Turn of the fly at depth after the cut, as far as the reading tells, rad.
    pub turn: f64,
    /// Standard deviation that is left, rad.
    pub sd: f64,
}

/// What a tyer gets who ties a recipe many times.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tyer {
    /// Share that hangs within tolerance, foam cut to the recipe's length and left alone.
    pub as_written: f64,
    /// Share that does, tied at the start length, after so many looks into the jar with a cut after each where one helps.
    pub trimmed: [f64; LOOKS],
    /// Flies drawn.
    pub samples: u32,
}

/// Looks into the jar that are followed up.
pub const LOOKS: usize = 3;

impl<'a> Bench<'a> {
    /// How to trim; `None` without foam, or where no length hangs the recipe as wanted.
    #[must_use]
    pub fn trim(&self, draws: &Draws) -> Option<Trim> {
        let piece = self.fly.foam?;
        let needed: Vec<Option<f64>> =
            draws.flies().par_iter().map(|z| self.length_that_hangs(&deviation(self.spreads(), z))).collect();
        let mut lengths: Vec<f64> = needed.iter().flatten().copied().collect();
        lengths.sort_by(f64::total_cmp);
        let start = self.on_grid(quantile(&lengths, START_SHARE)?.max(piece.length.m()));
        let covered = lengths.partition_point(|length| *length <= start.m() + 1e-9);
        let longest = self.with_foam(start);
        let rides = self.side_at_depth();
        let to_level = self.length_that_hangs(&Deviation::NONE)? - piece.length.m();
        let seen = |more: f64| {
            let deviation = Deviation { foam_length: to_level + more, ..Deviation::NONE };
            self.turn_at(Stage::Finish, &deviation, rides)
        };
        Some(Trim {
            start,
            covers: covered as f64 / needed.len() as f64,
            jar_shows: seen(0.0)?,
            per_mm_cut: (seen(-0.5e-3)? - seen(0.5e-3)?).to_degrees(),
            rides,
            chart: longest.chart(rides),
        })
    }

    /// The same recipe with another length of foam.
    #[must_use]
    pub fn with_foam(&self, length: Microns) -> Bench<'a> {
        let mut fly = self.fly;
        if let Some(piece) = fly.foam.as_mut() {
            piece.length = length;
        }
        Bench::new(fly, &self.target, self.jar)
    }

    /// Whole length of foam that hangs a fly as wanted at depth, m; `None` where none from the least to three times the
    /// longest that the recipe can hide does.
    pub(super) fn length_that_hangs(&self, fly: &Deviation) -> Option<f64> {
        let written = self.fly.foam?.length.m();
        let off = |length: f64| {
            let deviation = Deviation { foam_length: fly.foam_length + length - written, ..*fly };
            self.turn_at_depth(&deviation).map(|turn| turn - self.target.hang)
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
    fn longest(&self) -> f64 {
        let Some(piece) = self.fly.foam else { return 0.0 };
        let free = free_shank(self.fly.hook, self.fly.bead);
        foam_room(self.fly.hook, free, self.fly.dressing, piece.seat, &self.target.limits).0
    }

    /// Rounded up to the grid, but no longer than fits.
    fn on_grid(&self, length: f64) -> Microns {
        let step = self.target.grid.foam.m();
        let up = (length / step - 1e-6).ceil();
        let most = ((self.longest() + 1e-9) / step).floor();
        let steps = up.min(most) as i32;
        Microns::new(self.target.grid.foam.micrometres() * steps)
    }

    /// The chart at this recipe's length of foam.
    fn chart(&self, rides: Rides) -> Vec<Row> {
        let view = |d: &Deviation| self.turn_at(Stage::Finish, d, rides);
        let Some(line) = linear(self.spreads(), &Deviation::NONE, view) else { return Vec::new() };
        let reach = 2.5 * (line.sd().powi(2) + self.jar.reading_sd.powi(2)).sqrt();
        let first = ((line.at - reach) / CHART_STEP).floor() as i32;
        let last = ((line.at + reach) / CHART_STEP).ceil() as i32;
        (first..=last).filter_map(|i| self.row(f64::from(i) * CHART_STEP, rides)).collect()
    }

    fn row(&self, seen: f64, rides: Rides) -> Option<Row> {
        let view = |d: &Deviation| self.turn_at(Stage::Finish, d, rides);
        let found = likely(self.spreads(), seen, self.jar.reading_sd, view)?;
        let cut = self.cut_for(&found.deviation);
        let after = Deviation { foam_length: found.deviation.foam_length - cut.m(), ..found.deviation };
        let line = linear(self.spreads(), &after, |d| self.turn_at_depth(d))?;
        Some(Row { seen, cut, turn: line.at, sd: found.sd_of(&line) })
    }

    /// What to cut off a fly, in whole slivers: rather one too few than one too many, for none can be put back. Nothing if
    /// it is too short already.
    pub(super) fn cut_for(&self, fly: &Deviation) -> Microns {
        let Some(piece) = self.fly.foam else { return Microns::default() };
        let Some(length) = self.length_that_hangs(fly) else { return Microns::default() };
        let most = piece.length.m() - least_foam();
        slivers((piece.length.m() - length).min(most))
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

    /// Ties every drawn fly as written, and at the start length with [`LOOKS`] looks into the jar: the first is followed by
    /// a cut from the chart, the later ones by what is still missing.
    ///
    /// Readings err by the jar's error and cuts by [`TRIM_SD`], both seeded like the flies.
    #[must_use]
    pub fn tyer(&self, trim: &Trim, draws: &Draws) -> Tyer {
        let start = self.with_foam(trim.start);
        let flies: Vec<(u64, &Standard)> = (0..).zip(draws.flies()).collect();
        let outcomes: Vec<[bool; 1 + LOOKS]> = flies
            .into_par_iter()
            .map(|(number, z)| {
                let written = deviation(self.spreads(), z);
                let mut luck = stream(draws.plan().seed, AT_THE_JAR, number);
                let mut fly = written;
                let mut met = [self.within(&written); 1 + LOOKS];
                for look in 0..LOOKS {
                    let luck = [StandardNormal.sample(&mut luck), StandardNormal.sample(&mut luck)];
                    fly = start.look_and_cut(fly, trim, look == 0, luck);
                    met[1 + look] = start.within(&fly);
                }
                met
            })
            .collect();
        let share = |k: usize| outcomes.iter().filter(|o| o[k]).count() as f64 / outcomes.len().max(1) as f64;
        Tyer {
            as_written: share(0),
            trimmed: std::array::from_fn(|look| share(1 + look)),
            samples: draws.plan().samples,
        }
    }

    /// Whether the finished fly hangs within tolerance at depth, the right side up.
    #[must_use]
    pub fn within(&self, fly: &Deviation) -> bool {
        self.turn_at_depth(fly).is_some_and(|turn| self.target.hang_window().holds(turn))
    }

    fn look_and_cut(&self, fly: Deviation, trim: &Trim, first: bool, [misread, miscut]: [f64; 2]) -> Deviation {
        // One that floats shows no angle; a cut as long as the chart has is a good start.
        let seen = self
            .turn_at(Stage::Finish, &fly, trim.rides)
            .map_or(f64::NEG_INFINITY, |turn| turn + misread * self.jar.reading_sd);
        let cut = if first { trim.cut(seen) } else { trim.further_cut(seen) }.m();
        if cut <= 0.0 {
            return fly;
        }
        Deviation { foam_length: fly.foam_length - (cut + miscut * TRIM_SD).max(0.0), ..fly }
    }
}

const AT_THE_JAR: u64 = 3;

/// Whole slivers in a length, m.
fn slivers(length: f64) -> Microns {
    let count = (length * 1e6 / f64::from(TRIM_STEP_UM) + 1e-6).floor().clamp(0.0, 1e4);
    Microns::new(TRIM_STEP_UM * count as i32)
}

impl Trim {
    /// What the chart says to cut for a reading: the nearest row's.
    #[must_use]
    pub fn cut(&self, seen: f64) -> Microns {
        let (Some(first), Some(last)) = (self.chart.first(), self.chart.last()) else { return Microns::default() };
        let seen = seen.clamp(first.seen, last.seen);
        self.chart
            .iter()
            .min_by(|a, b| (a.seen - seen).abs().total_cmp(&(b.seen - seen).abs()))
            .map_or(Microns::default(), |row| row.cut)
    }

    /// What to cut at a later look: what is still missing to what the jar should show, at so many degrees per mm.
    #[must_use]
    pub fn further_cut(&self, seen: f64) -> Microns {
        let mm = (self.jar_shows - seen).to_degrees() / self.per_mm_cut;
        slivers(mm * 1e-3 + 0.5e-6 * f64::from(TRIM_STEP_UM))
    }
}
