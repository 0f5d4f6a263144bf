//! Stages, slopes, trim chart and corrections in figures.

use super::ReportError;
use super::column::{column, columns_csv, optional};
use super::figure::Figure;
use super::words::{between, hang_words};
use crate::fly::Fly;
use crate::part::Bead;
use crate::physics::statics::Rides;
use crate::quantity::Microns;
use crate::spread::angle_and_side;
use crate::spread::slopes::{Linear, Slopes};
use crate::spread::trimming::READINGS;
use crate::vice::Medium;
use crate::vice::correct::{Advice, Change, Correction, Shown};
use crate::vice::forecast::{Forecast, Limit};
use crate::vice::stages::{Finds, StageView, TestView, finds_most, first_to_decide};
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

/// What a test at the vice should show, and what it is worth.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TestReport {
    /// `air`: in the hand; `water`: in the jar.
    pub medium: &'static str,
    /// Of a fly without any deviation; `None`: it floats.
    pub hang: Option<TurnReport>,
    /// One fly in ten hangs more head-down than this.
    pub low: Option<TurnReport>,
    /// One in ten hangs more tail-down than this.
    pub high: Option<TurnReport>,
    /// Share of flies that float in it.
    pub floats: Option<Figure>,
    /// Degrees that the finished fly turns at depth per degree seen.
    pub final_deg_per_deg: Option<Figure>,
    /// Share of the variance of what is judged that a reading explains.
    pub told: Option<Figure>,
    /// Standard deviation of the finished hang before a reading.
    pub final_sd_deg: Option<Figure>,
    /// The same after it.
    pub final_sd_after_deg: Option<Figure>,
    /// How much farther tail down it shows the fly than that will hang finished at its depth.
    pub off_deg: Option<Figure>,
    /// Whether that is more than the tolerance.
    pub misleads: Option<bool>,
    /// Readings to tie on between.
    pub go_on: Option<[TurnReport; 2]>,
    /// What sets them: `tolerance`, `foam` (no cut mends what is outside), `ordinary` (outside is a mistake).
    pub limit: Option<&'static str>,
    /// Share of the misfits that this stops; `None` where there are hardly any.
    pub finds: Option<Figure>,
    /// Share of the good flies that it stops, too.
    pub stops_good: Option<Figure>,
}

/// How a stage should look.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StageReport {
    /// Stage.
    pub stage: &'static str,
    /// Length of the foam that is on.
    pub foam_mm: Option<f64>,
    /// What to do, in a line.
    pub say: String,
    /// In the hand, and in the jar.
    pub tests: [TestReport; 2],
    /// Which of them says more of the finished fly.
    #[serde(skip)]
    better: usize,
}

impl StageReport {
    /// What is seen in the hand.
    #[must_use]
    pub fn hand(&self) -> &TestReport {
        &self.tests[0]
    }

    /// What is seen in the jar.
    #[must_use]
    pub fn jar(&self) -> &TestReport {
        &self.tests[1]
    }

    /// The test that says more of the finished fly.
    #[must_use]
    pub fn better(&self) -> &TestReport {
        &self.tests[self.better]
    }
}

/// A test, and the share of the misfits that it shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FindsReport {
    /// After which stage.
    pub stage: &'static str,
    /// `air` or `water`.
    pub medium: &'static str,
    /// Share of the misfits.
    pub finds: Figure,
}

/// Where misfits show.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EarlyReport {
    /// The earliest test that shows half of them or more; `None`: none does.
    pub first: Option<FindsReport>,
    /// The test that shows most of them; `None`: there are hardly any.
    pub most: Option<FindsReport>,
    /// Share of the flies that come out right by trimming, which shows and mends them at the end; `None`: not trimmed.
    pub trimmed: Option<Figure>,
}

/// Puts where misfits show into figures; of a fly that is trimmed they are those that trimming cannot mend.
#[must_use]
pub fn early_report(stages: &[StageView], trim: Option<&Trim>) -> EarlyReport {
    let of = |(test, share): Finds| FindsReport {
        stage: test.stage.word(),
        medium: test.medium.word(),
        finds: Figure(share),
    };
    EarlyReport {
        first: first_to_decide(stages).map(of),
        most: finds_most(stages).map(of),
        trimmed: trim.and_then(|trim| trim.shares.trimmed).map(Figure),
    }
}

impl EarlyReport {
    /// "most misfits show after finish in the jar (92 %); already after wire in the hand 71 % do".
    #[must_use]
    pub fn words(&self) -> String {
        let place = |f: &FindsReport| {
            let medium = Medium::from_word(f.medium).unwrap_or(Medium::Water);
            format!("after {} {}", f.stage, medium.place())
        };
        let share = |f: &FindsReport| format!("{:.0} %", 100.0 * f.finds.0);
        if let Some(trimmed) = &self.trimmed {
            return format!(
                "the jar decides at the end, where it is trimmed: {:.0} % come out right; before its foam is on, hand and \
                 jar show mistakes only",
                100.0 * trimmed.0
            );
        }
        match (&self.first, &self.most) {
            (_, None) => "hardly any fly comes out wrong: no test at the vice is needed".to_owned(),
            (Some(first), Some(most)) if first == most => {
                format!("misfits show {} ({} of them): no test finds more", place(most), share(most))
            }
            (Some(first), Some(most)) => format!(
                "most misfits show {} ({}); {} {} show already",
                place(most),
                share(most),
                place(first),
                share(first)
            ),
            (None, Some(most)) => {
                format!("no test at the vice shows half of the misfits; {} shows {}", place(most), share(most))
            }
        }
    }
}

fn test_report(view: &TestView) -> TestReport {
    let at = |turn: f64| turn_report(turn, view.rides);
    let said = |f: fn(&Forecast) -> f64| view.forecast.as_ref().map(|x| Figure(f(x)));
    TestReport {
        medium: view.test.medium.word(),
        hang: view.turn.map(at),
        low: view.spread.map(|s| at(s.low)),
        high: view.spread.map(|s| at(s.high)),
        floats: view.spread.map(|s| Figure(s.floats)),
        final_deg_per_deg: said(|f| f.per_degree),
        told: said(|f| f.told),
        final_sd_deg: said(|f| f.sd_before.to_degrees()),
        final_sd_after_deg: said(|f| f.sd.to_degrees()),
        off_deg: said(|f| f.off.to_degrees()),
        misleads: view.forecast.map(|f| f.misleads),
        go_on: view.forecast.map(|f| [at(f.go_on.0), at(f.go_on.1)]),
        limit: view.forecast.map(|f| f.limit.word()),
        finds: view.forecast.and_then(|f| f.found).map(Figure),
        stops_good: said(|f| f.stopped),
    }
}

/// "in the hand after wire: 57.2° to 61.0° tail down, point-up; outside that mend it now, foam cannot".
fn say(view: &TestView, report: &TestReport) -> String {
    let place = format!("{} after {}", view.test.medium.place(), view.test.stage.word());
    let (Some(forecast), Some([a, b])) = (&view.forecast, &report.go_on) else {
        return format!("{place}: it floats, or the finished fly does; nothing can be read");
    };
    let outside = match forecast.limit {
        Limit::Tolerance => "outside that mend it now",
        Limit::Foam => "outside that mend it now, foam cannot",
        Limit::Ordinary => "outside that look for a mistake",
    };
    let apart = forecast.off.to_degrees();
    let way = if apart > 0.0 { "more tail down" } else { "more head down" };
    let misled = if forecast.misleads {
        format!("; no picture of the finished fly: {:.0}° {way}", apart.abs())
    } else {
        String::new()
    };
    format!("{place}: {}; {outside}{misled}", turns_between(a, b))
}

/// "40.1° to 23.4° head down, point-up", or both in full where the sides differ.
#[must_use]
pub fn turns_between(a: &TurnReport, b: &TurnReport) -> String {
    if a.rides == b.rides {
        format!("{}, {}", between(a.angle_deg.0, b.angle_deg.0), a.rides)
    } else {
        let one = |t: &TurnReport| format!("{}, {}", hang_words(t.angle_deg.0), t.rides);
        format!("{} to {}", one(a), one(b))
    }
}

/// Puts a stage into figures.
#[must_use]
pub fn stage_report(view: &StageView) -> StageReport {
    let tests = [test_report(&view.hand), test_report(&view.jar)];
    let better = usize::from(view.better().test.medium == Medium::Water);
    StageReport {
        stage: view.stage.word(),
        foam_mm: view.foam.map(|length| (length * 1e6).round() * 1e-3),
        say: say(view.better(), &tests[better]),
        tests,
        better,
    }
}

/// Stages as CSV, one test a line.
///
/// # Errors
/// The stream refuses.
pub fn stages_csv(out: &mut dyn Write, stages: &[StageReport]) -> Result<(), ReportError> {
    type Row<'a> = (&'a StageReport, &'a TestReport);
    let figure = |head: &'static str, of: fn(&TestReport) -> Option<Figure>| {
        column(head, move |(_, t): &Row| optional(of(t).map(Figure::rounded)))
    };
    let side = |head: &'static str, of: fn(&TestReport) -> Option<&TurnReport>| {
        column(head, move |(_, t): &Row| optional(of(t).map(|turn| turn.rides)))
    };
    let columns = [
        column("stage", |(s, _): &Row| s.stage.to_owned()),
        column("medium", |(_, t): &Row| t.medium.to_owned()),
        column("foam_mm", |(s, _): &Row| optional(s.foam_mm)),
        figure("hang_deg", |s| s.hang.as_ref().map(|t| t.angle_deg)),
        side("rides", |s| s.hang.as_ref()),
        figure("low_deg", |s| s.low.as_ref().map(|t| t.angle_deg)),
        side("low_rides", |s| s.low.as_ref()),
        figure("high_deg", |s| s.high.as_ref().map(|t| t.angle_deg)),
        side("high_rides", |s| s.high.as_ref()),
        figure("floats", |s| s.floats),
        figure("final_deg_per_deg", |s| s.final_deg_per_deg),
        figure("told", |s| s.told),
        figure("final_sd_deg", |s| s.final_sd_deg),
        figure("final_sd_after_deg", |s| s.final_sd_after_deg),
        figure("off_deg", |s| s.off_deg),
        column("misleads", |(_, t): &Row| optional(t.misleads)),
        figure("go_on_from_deg", |s| s.go_on.as_ref().map(|[a, _]| a.angle_deg)),
        side("go_on_from_rides", |s| s.go_on.as_ref().map(|[a, _]| a)),
        figure("go_on_to_deg", |s| s.go_on.as_ref().map(|[_, b]| b.angle_deg)),
        side("go_on_to_rides", |s| s.go_on.as_ref().map(|[_, b]| b)),
        column("limit", |(_, t): &Row| optional(t.limit)),
        figure("finds", |s| s.finds),
        figure("stops_good", |s| s.stops_good),
    ];
    let rows: Vec<Row> = stages.iter().flat_map(|s| s.tests.iter().map(move |t| (s, t))).collect();
    columns_csv(out, &columns, &rows)
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
        let turn = self.deg_per_mm_cut.0.abs();
        if turn > STRAIGHT {
            format!("1 mm off turns it far, by more than {STRAIGHT:.0}°")
        } else {
            format!("1 mm off turns it {turn:.0}°")
        }
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
    /// Stage after which it shows.
    pub shows_stage: Option<&'static str>,
    /// In what.
    pub shows_medium: Option<&'static str>,
    /// What is then seen.
    pub shows: Option<TurnReport>,
    /// Length to cut the foam to before tying, where it is still to be bound in and trimmed.
    pub foam_start_mm: Option<f64>,
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
        column("shows_stage", |c: &CorrectionReport| optional(c.shows_stage)),
        column("shows_medium", |c: &CorrectionReport| optional(c.shows_medium)),
        column("shows_deg", |c: &CorrectionReport| angle(&c.shows)),
        column("shows_rides", |c: &CorrectionReport| side(&c.shows)),
        column("foam_start_mm", |c: &CorrectionReport| optional(c.foam_start_mm)),
        column("depth_deg", |c: &CorrectionReport| angle(&c.depth)),
        column("depth_rides", |c: &CorrectionReport| side(&c.depth)),
        column("sd_deg", |c: &CorrectionReport| c.sd_deg.rounded().to_string()),
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
        change: change_words(c.change, c.start, fly, beads),
        shows_stage: c.shows.map(|s| s.test.stage.word()),
        shows_medium: c.shows.map(|s| s.test.medium.word()),
        shows: c.shows.map(turn),
        foam_start_mm: c.start.map(Microns::mm),
        depth: c.depth.map(|turn| turn_report(turn, advice.rides_at_depth)),
        sd_deg: Figure(c.sd.to_degrees()),
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

fn change_words(change: Change, start: Option<Microns>, fly: &Fly, beads: &[Bead]) -> String {
    let what = match change {
        Change::Nothing if start.is_some() => "tie on".to_owned(),
        Change::Nothing => "leave it".to_owned(),
        Change::Bead(place) => {
            let id = beads.get(place).map_or("", |bead| bead.row.id.as_str());
            let same = fly.bead.is_some_and(|(bead, _)| bead.row.id == id);
            format!("exchange the bead for {} {id}", if same { "another" } else { "a" })
        }
        Change::Trim { cut } => format!("cut {cut} mm off the foam"),
        Change::Foam { length } => format!("bind in a new piece of foam of {length} mm"),
        Change::FoamToTrim { length } => format!("bind in a new piece of {length} mm and trim it"),
        Change::Wraps { more } if more > 0 => format!("add {more} wraps at the rear"),
        Change::Wraps { more } => format!("take {} wraps off the rear", -more),
        Change::Move { aft } if aft.micrometres() > 0 => format!("move the wraps {aft} mm aft"),
        Change::Move { aft } => {
            format!("move the wraps {} mm forward", Microns::new(-aft.micrometres()))
        }
    };
    match start {
        Some(start) => format!("{what}; foam {start} mm at first"),
        None => what,
    }
}
