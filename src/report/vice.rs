//! Stages, slopes, trim chart and corrections in figures.

use super::ReportError;
use super::column::{column, columns_csv, optional};
use super::figure::Figure;
use crate::fly::Fly;
use crate::physics::statics::Rides;
use crate::quantity::shown::SIZE;
use crate::quantity::{Microns, Units};
use crate::spread::angle_and_side;
use crate::spread::slopes::{Linear, Slopes};
use crate::spread::trimming::READINGS;
use crate::vice::correct::{Advice, Change, Correction};
use crate::vice::stages::{Forecast, StageView, TELLS_LITTLE};
use crate::vice::trim::{Row, Trim};
use serde::Serialize;
use std::io::Write;

/// A hang in the jar or at depth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TurnReport {
    /// Shank from horizontal, degrees, positive tail down.
    pub angle_deg: Figure,
    /// Which side the point is on.
    pub rides: &'static str,
}

/// Puts a turn counted from a side into an angle and the side that it rides on.
#[must_use]
pub fn turn_report(turn: f64, side: Rides) -> TurnReport {
    let (angle, rides) = angle_and_side(turn, side);
    TurnReport { angle_deg: Figure(angle.to_degrees()), rides: rides.word() }
}

/// How a stage should look in the jar.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageReport {
    /// Stage.
    pub stage: &'static str,
    /// As written; `None`: it floats.
    pub hang: Option<TurnReport>,
    /// One fly in ten hangs more head-down than this.
    pub low: Option<TurnReport>,
    /// One in ten hangs more tail-down than this.
    pub high: Option<TurnReport>,
    /// Share of flies that float at this stage.
    pub floats: Option<Figure>,
    /// Degrees that the finished fly turns at depth per degree seen.
    pub final_deg_per_deg: Option<Figure>,
    /// Share of the finished fly's variance that a reading explains.
    pub told: Option<Figure>,
    /// Readings between which the finished fly is expected within its tolerance; `None`: a reading says next to nothing, or
    /// they lie closer together than it can be read.
    pub go_on: Option<[TurnReport; 2]>,
}

impl StageReport {
    /// Why there are no readings to go on between.
    #[must_use]
    pub fn why_not_go_on(&self) -> &'static str {
        if self.told.is_some_and(|told| told.0 >= TELLS_LITTLE) { "too fine to read" } else { "says little yet" }
    }
}

/// Puts a stage into figures.
#[must_use]
pub fn stage_report(view: &StageView) -> StageReport {
    let at = |turn: f64| turn_report(turn, view.rides);
    let told = |f: fn(&Forecast) -> f64| view.forecast.as_ref().map(|x| Figure(f(x)));
    StageReport {
        stage: view.stage.word(),
        hang: view.turn.map(at),
        low: view.spread.map(|s| at(s.low)),
        high: view.spread.map(|s| at(s.high)),
        floats: view.spread.map(|s| Figure(s.floats)),
        final_deg_per_deg: told(|f| f.per_degree),
        told: told(|f| f.told),
        go_on: view.forecast.and_then(|f| f.go_on).map(|(a, b)| [at(a), at(b)]),
    }
}

/// Stages as CSV, one a line.
///
/// # Errors
/// The stream refuses.
pub fn stages_csv(out: &mut dyn Write, stages: &[StageReport]) -> Result<(), ReportError> {
    let figure = |head: &'static str, of: fn(&StageReport) -> Option<Figure>| {
        column(head, move |s: &StageReport| optional(of(s).map(Figure::rounded)))
    };
    let side = |head: &'static str, of: fn(&StageReport) -> Option<&TurnReport>| {
        column(head, move |s: &StageReport| optional(of(s).map(|turn| turn.rides)))
    };
    let columns = [
        column("stage", |s: &StageReport| s.stage.to_owned()),
        figure("hang_deg", |s| s.hang.as_ref().map(|t| t.angle_deg)),
        side("rides", |s| s.hang.as_ref()),
        figure("low_deg", |s| s.low.as_ref().map(|t| t.angle_deg)),
        side("low_rides", |s| s.low.as_ref()),
        figure("high_deg", |s| s.high.as_ref().map(|t| t.angle_deg)),
        side("high_rides", |s| s.high.as_ref()),
        figure("floats", |s| s.floats),
        figure("final_deg_per_deg", |s| s.final_deg_per_deg),
        figure("told", |s| s.told),
        figure("go_on_from_deg", |s| s.go_on.as_ref().map(|[a, _]| a.angle_deg)),
        side("go_on_from_rides", |s| s.go_on.as_ref().map(|[a, _]| a)),
        figure("go_on_to_deg", |s| s.go_on.as_ref().map(|[_, b]| b.angle_deg)),
        side("go_on_to_rides", |s| s.go_on.as_ref().map(|[_, b]| b)),
    ];
    columns_csv(out, &columns, stages)
}

/// Degrees that the hang turns for a little more of each thing, positive tail down.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlopeReport {
    /// One wrap more.
    pub deg_per_wrap: Option<Figure>,
    /// Wraps 1 mm aft.
    pub deg_per_mm_wraps: Option<Figure>,
    /// Foam 1 mm longer.
    pub deg_per_mm_foam: Option<Figure>,
    /// Foam bound 1 mm aft.
    pub deg_per_mm_seat: Option<Figure>,
    /// Bead 1 % heavier.
    pub deg_per_percent_bead: Option<Figure>,
    /// Bead and pin 1 mm aft.
    pub deg_per_mm_pin: Option<Figure>,
    /// Standard deviation of the hang to first order, degrees.
    pub sd_deg: Figure,
    /// What adds most to it.
    pub largest: Option<String>,
    /// Its share of the variance.
    pub largest_share: Option<Figure>,
}

/// Puts slopes into figures.
#[must_use]
pub fn slope_report(fly: &Fly, slopes: &Slopes, line: &Linear) -> SlopeReport {
    let first = line.contributors().first().copied();
    SlopeReport {
        deg_per_wrap: slopes.per_wrap.map(Figure),
        deg_per_mm_wraps: slopes.per_mm_wraps.map(Figure),
        deg_per_mm_foam: slopes.per_mm_foam.map(Figure),
        deg_per_mm_seat: slopes.per_mm_seat.map(Figure),
        deg_per_percent_bead: slopes.per_percent_bead.map(Figure),
        deg_per_mm_pin: slopes.per_mm_pin.map(Figure),
        sd_deg: Figure(line.sd().to_degrees()),
        largest: first.map(|c| c.spread.source.words(fly)),
        largest_share: first.map(|c| Figure(c.share)),
    }
}

/// How to trim the foam.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrimReport {
    /// Length to cut before tying, mm.
    pub start_mm: f64,
    /// Step of the scissors, mm.
    pub scissors_mm: f64,
    /// Times to hang it for one reading: the middle one counts.
    pub readings: u32,
    /// What the finished fly shows in the jar when it will hang as wanted at depth.
    pub jar_shows: TurnReport,
    /// Stop at the first reading at or past this.
    pub stop_at: TurnReport,
    /// A fly that shows more than this is too short: it is expected outside its tolerance.
    pub too_far: Option<TurnReport>,
    /// Degrees that the jar reading turns per mm cut off, about there.
    pub deg_per_mm_cut: Figure,
    /// What readings short of the stop call for.
    pub chart: Vec<TrimRow>,
    /// Share of flies that come out right: tied as written and left alone.
    pub as_tied: Figure,
    /// Tied at the start length and trimmed so.
    pub trimmed: Option<Figure>,
}

/// Degrees beyond which a straight line says nothing of a hang.
pub const STRAIGHT: f64 = 45.0;

impl TrimReport {
    /// What a millimetre does, in words.
    #[must_use]
    pub fn per_mm_words(&self) -> String {
        let (step, mm) = cut_step();
        let turn = self.deg_per_mm_cut.0.abs() * mm;
        if turn > STRAIGHT {
            format!("{step} off turns it far, by more than {STRAIGHT:.0}°")
        } else {
            format!("{step} off turns it {turn:.0}°")
        }
    }
}

/// The step by which a person thinks of cuts and places, and its length, mm: a millimetre or a sixteenth of an inch.
#[must_use]
pub fn cut_step() -> (&'static str, f64) {
    match Units::shown() {
        Units::Metric => ("1 mm", 1.0),
        Units::Us => ("1/16 in", 25.4 / 16.0),
    }
}

/// One row of the chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TrimRow {
    /// Shown in the jar, from here
    pub from: TurnReport,
    /// to here; `None`: and on.
    pub to: Option<TurnReport>,
    /// To cut off, mm.
    pub cut_mm: f64,
}

/// Puts the instructions into figures.
#[must_use]
pub fn trim_report(trim: &Trim) -> TrimReport {
    let turn = |turn: f64| turn_report(turn, trim.rides);
    let row = |row: &Row| TrimRow { from: turn(row.near), to: row.far.map(turn), cut_mm: row.cut.mm() };
    TrimReport {
        start_mm: trim.start.mm(),
        scissors_mm: trim.scissors.mm(),
        readings: READINGS,
        jar_shows: turn(trim.jar_shows),
        stop_at: turn(trim.stop_at),
        too_far: trim.too_far.map(turn),
        deg_per_mm_cut: Figure(trim.per_mm_cut),
        chart: trim.chart.iter().map(row).collect(),
        as_tied: Figure(trim.shares.as_tied),
        trimmed: trim.shares.trimmed.map(Figure),
    }
}

/// What a reading means and what to do.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AdviceReport {
    /// Stage.
    pub stage: &'static str,
    /// What was seen.
    pub seen: TurnReport,
    /// What the stage should show.
    pub expected: TurnReport,
    /// How far off that is, in standard deviations of what tying and reading scatter.
    pub surprise: Figure,
    /// What is likeliest behind it, largest first: source, and how far off in its own unit.
    pub suspects: Vec<SuspectReport>,
    /// What can be done, leaving it first.
    pub corrections: Vec<CorrectionReport>,
}

/// One likely cause.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SuspectReport {
    /// What.
    pub source: String,
    /// How far off.
    pub off: Figure,
    /// Unit of that.
    pub unit: &'static str,
}

/// One thing to do, and what comes of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CorrectionReport {
    /// In words.
    pub change: String,
    /// Stage at which the jar shows it.
    pub jar_stage: Option<&'static str>,
    /// What the jar then shows.
    pub jar: Option<TurnReport>,
    /// How the finished fly then hangs at depth; `None`: it floats.
    pub depth: Option<TurnReport>,
    /// Standard deviation of that, degrees.
    pub sd_deg: Figure,
    /// Chance that it is within tolerance, to first order.
    pub chance: Figure,
}

/// What can be done as CSV, one correction a line.
///
/// # Errors
/// The stream refuses.
pub fn advice_csv(out: &mut dyn Write, advice: &AdviceReport) -> Result<(), ReportError> {
    let angle = |turn: &Option<TurnReport>| optional(turn.as_ref().map(|t| t.angle_deg.rounded()));
    let side = |turn: &Option<TurnReport>| optional(turn.as_ref().map(|t| t.rides));
    let columns = [
        column("do", |c: &CorrectionReport| c.change.clone()),
        column("jar_stage", |c: &CorrectionReport| optional(c.jar_stage)),
        column("jar_deg", |c: &CorrectionReport| angle(&c.jar)),
        column("jar_rides", |c: &CorrectionReport| side(&c.jar)),
        column("depth_deg", |c: &CorrectionReport| angle(&c.depth)),
        column("depth_rides", |c: &CorrectionReport| side(&c.depth)),
        column("sd_deg", |c: &CorrectionReport| c.sd_deg.rounded().to_string()),
        column("chance", |c: &CorrectionReport| c.chance.rounded().to_string()),
    ];
    columns_csv(out, &columns, &advice.corrections)
}

/// Puts advice into figures. `side_at` tells on which side a stage should ride.
#[must_use]
pub fn advice_report(
    fly: &Fly,
    advice: &Advice,
    side_at: impl Fn(crate::vice::stages::Stage) -> Rides,
) -> AdviceReport {
    const MOST_SUSPECTS: usize = 3;
    let suspects = advice.suspects.iter().take(MOST_SUSPECTS).map(|(spread, z)| {
        let (unit, factor) = spread.source.unit();
        SuspectReport { source: spread.source.words(fly), off: Figure(z * spread.sd * factor), unit }
    });
    let one = |c: &Correction| CorrectionReport {
        change: change_words(c.change),
        jar_stage: c.jar.map(|(stage, _)| stage.word()),
        jar: c.jar.map(|(stage, turn)| {
            let side = if stage == advice.stage { advice.rides } else { side_at(stage) };
            turn_report(turn, side)
        }),
        depth: c.depth.map(|turn| turn_report(turn, advice.rides_at_depth)),
        sd_deg: Figure(c.sd.to_degrees()),
        chance: Figure(c.chance),
    };
    AdviceReport {
        stage: advice.stage.word(),
        seen: turn_report(advice.seen, advice.rides),
        expected: turn_report(advice.expected, advice.rides),
        surprise: Figure(advice.surprise),
        suspects: suspects.collect(),
        corrections: advice.corrections.iter().map(one).collect(),
    }
}

fn change_words(change: Change) -> String {
    let size = |cut: Microns| SIZE.text(cut.mm(), 3);
    match change {
        Change::Nothing => "leave it".to_owned(),
        Change::Trim { cut } => format!("cut {} off the foam", size(cut)),
        Change::Foam { length } => format!("bind in a new piece of foam of {}", size(length)),
        Change::FoamToTrim { length } => format!("bind in a new piece of {} and trim it", size(length)),
        Change::Wraps { more } if more > 0 => format!("add {more} wraps at the rear"),
        Change::Wraps { more } => format!("take {} wraps off the rear", -more),
        Change::Move { aft } if aft.micrometres() > 0 => format!("move the wraps {} aft", size(aft)),
        Change::Move { aft } => format!("move the wraps {} forward", size(Microns::new(-aft.micrometres()))),
    }
}
