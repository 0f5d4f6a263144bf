//! Slopes, trim chart and corrections in figures.

use super::ReportError;
use super::column::{column, optional};
use super::csv::columns_csv;
use super::figure::Figure;
use crate::fly::Fly;
use crate::part::Bead;
use crate::physics::statics::Rides;
use crate::quantity::shown::SIZE;
use crate::quantity::{Microns, Units};
use crate::spread::angle_and_side;
use crate::spread::slopes::{Linear, Slopes};
use crate::spread::trimming::READINGS;
use crate::vice::Stage;
use crate::vice::correct::{Advice, Change, Correction, Shown};
use crate::vice::trim::{Row, Trim};
use serde::Serialize;
use std::io::Write;

/// A hang in the jar or at depth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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

/// Degrees that the hang turns for a little more of each thing, positive tail down.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct TrimReport {
    /// Length to cut before tying, mm.
    pub start_mm: f64,
    /// Step of the scissors, mm.
    pub scissors_mm: f64,
    /// Foam is cut no shorter than this, mm: what is bound, and a stub behind it; where so much may be called for.
    pub least_mm: Option<f64>,
    /// Times to hang it for one reading: the middle one counts.
    pub readings: u32,
    /// What the finished fly shows in the jar when it will hang as wanted at depth.
    pub jar_shows: TurnReport,
    /// Whether that is turned as far either way at both ends of a range of depths.
    pub over_range: bool,
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
    /// How short foam may be cut, as the end of a sentence; nothing where no fly comes near it.
    #[must_use]
    pub fn no_shorter(&self) -> String {
        self.least_mm.map_or_else(String::new, |mm| format!(", to no less than {},", SIZE.text(mm, 2)))
    }

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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
        least_mm: trim.least.map(Microns::mm),
        readings: READINGS,
        jar_shows: turn(trim.jar_shows),
        over_range: trim.over_range,
        stop_at: turn(trim.stop_at),
        too_far: trim.too_far.map(turn),
        deg_per_mm_cut: Figure(trim.per_mm_cut),
        chart: trim.chart.iter().map(row).collect(),
        as_tied: Figure(trim.shares.as_tied),
        trimmed: trim.shares.trimmed.map(Figure),
    }
}

/// What a reading means and what to do.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct AdviceReport {
    /// Stage.
    pub stage: &'static str,
    /// `air`: in the hand; `water`: in the jar.
    pub medium: &'static str,
    /// What was seen.
    pub seen: TurnReport,
    /// What it should show.
    pub expected: TurnReport,
    /// How far off that is, in standard deviations of what tying and reading scatter.
    pub surprise: Figure,
    /// What is likeliest behind it, largest first: source, and how far off in its own unit.
    pub suspects: Vec<SuspectReport>,
    /// What can be done, leaving it first.
    pub corrections: Vec<CorrectionReport>,
}

/// One likely cause.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SuspectReport {
    /// What.
    pub source: String,
    /// How far off.
    pub off: Figure,
    /// Unit of that.
    pub unit: &'static str,
}

/// One thing to do, and what comes of it.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CorrectionReport {
    /// In words.
    pub change: String,
    /// Stage after which it shows.
    pub shows_stage: Option<&'static str>,
    /// In what.
    pub shows_medium: Option<&'static str>,
    /// What is then seen.
    pub shows: Option<TurnReport>,
    /// Length to cut the foam to before tying, where it is still to be bound in and trimmed.
    pub foam_start_mm: Option<f64>,
    /// How the finished fly then hangs at depth, where it is trimmed that to which it is; `None`: it floats.
    pub depth: Option<TurnReport>,
    /// Standard deviation of that, degrees; `None` where it is trimmed until it hangs as wanted.
    pub sd_deg: Option<Figure>,
    /// Chance that it is within tolerance, to first order; where it is trimmed, that it comes out right.
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
        column("shows_stage", |c: &CorrectionReport| optional(c.shows_stage)),
        column("shows_medium", |c: &CorrectionReport| optional(c.shows_medium)),
        column("shows_deg", |c: &CorrectionReport| angle(&c.shows)),
        column("shows_rides", |c: &CorrectionReport| side(&c.shows)),
        column("foam_start_mm", |c: &CorrectionReport| optional(c.foam_start_mm)),
        column("depth_deg", |c: &CorrectionReport| angle(&c.depth)),
        column("depth_rides", |c: &CorrectionReport| side(&c.depth)),
        column("sd_deg", |c: &CorrectionReport| optional(c.sd_deg.map(Figure::rounded))),
        column("chance", |c: &CorrectionReport| c.chance.rounded().to_string()),
    ];
    columns_csv(out, &columns, &advice.corrections)
}

/// Puts advice into figures; the beads are those that were offered for it.
#[must_use]
pub fn advice_report(fly: &Fly, advice: &Advice, beads: &[Bead]) -> AdviceReport {
    const MOST_SUSPECTS: usize = 3;
    let suspects = advice.suspects.iter().take(MOST_SUSPECTS).map(|(spread, z)| {
        let (unit, factor) = spread.source.unit();
        SuspectReport { source: spread.source.words(fly), off: Figure(z * spread.sd * factor), unit }
    });
    let turn = |shown: Shown| turn_report(shown.turn, shown.rides);
    let one = |c: &Correction| CorrectionReport {
        change: change_words(c, advice.test.stage, fly, beads),
        shows_stage: c.shows.map(|s| s.test.stage.word()),
        shows_medium: c.shows.map(|s| s.test.medium.word()),
        shows: c.shows.map(turn),
        foam_start_mm: c.start.map(Microns::mm),
        depth: c.depth.map(|turn| turn_report(turn, advice.rides_at_depth)),
        sd_deg: c.sd.map(|sd| Figure(sd.to_degrees())),
        chance: Figure(c.chance),
    };
    AdviceReport {
        stage: advice.test.stage.word(),
        medium: advice.test.medium.word(),
        seen: turn_report(advice.seen, advice.rides),
        expected: turn_report(advice.expected, advice.rides),
        surprise: Figure(advice.surprise),
        suspects: suspects.collect(),
        corrections: advice.corrections.iter().map(one).collect(),
    }
}

fn change_words(correction: &Correction, stage: Stage, fly: &Fly, beads: &[Bead]) -> String {
    let &Correction { change, start, .. } = correction;
    let size = |length: Microns| SIZE.text(length.mm(), 3);
    let what = match change {
        Change::Nothing if start.is_some() => "tie on".to_owned(),
        Change::Nothing => "leave it".to_owned(),
        Change::Bead(place) => {
            let id = beads.get(place).map_or("", |bead| bead.row.id.as_str());
            let same = fly.bead.is_some_and(|(bead, _)| bead.row.id == id);
            format!("exchange the bead for {} {id}", if same { "another" } else { "a" })
        }
        Change::Trim { cut } => format!("cut {} off the foam", size(cut)),
        Change::ByChart { cut } if cut == Microns::default() => "go on, and trim it when it is finished".to_owned(),
        Change::ByChart { cut } => format!("cut {} off the foam by its chart, and go on by it", size(cut)),
        Change::Foam { length } => format!("bind in a new piece of foam of {}", size(length)),
        Change::FoamToTrim { length } => format!("bind in a new piece of {} and trim it", size(length)),
        Change::Wraps { more } => wraps_words(more, stage, fly),
        Change::Move { aft } => {
            let (by, way) =
                (size(Microns::new(aft.micrometres().abs())), if aft.micrometres() > 0 { "aft" } else { "forward" });
            if stage < Stage::Wire {
                format!("wind the wire {by} farther {way}")
            } else {
                format!("move the wraps {by} {way}")
            }
        }
    };
    match start {
        Some(start) => format!("{what}; foam {} at first", size(start)),
        None => what,
    }
}

/// So many wraps more than the recipe has: on what is wound, or before it is.
fn wraps_words(more: i32, stage: Stage, fly: &Fly) -> String {
    let counted = |n: u32, of: &str| if n == 1 { format!("1 {of}") } else { format!("{n} {of}s") };
    let wraps = counted(more.unsigned_abs(), "wrap");
    let written = fly.wraps.map_or(0, |wraps| wraps.turns);
    match (stage < Stage::Wire, more > 0) {
        (true, _) => format!("wind {} instead of {written}", counted(written.saturating_add_signed(more), "turn")),
        (false, true) => format!("add {wraps} at the rear"),
        (false, false) => format!("take {wraps} off the rear"),
    }
}
