//! What each test at the vice should show, and what it is worth, in figures.

use super::ReportError;
use super::column::{column, optional};
use super::csv::columns_csv;
use super::figure::Figure;
use super::vice::{TurnReport, turn_report};
use super::words::{between, hang_words};
use crate::spread::Shares;
use crate::vice::Medium;
use crate::vice::forecast::{Forecast, Limit};
use crate::vice::stages::{Finds, StageView, TestView, finds_most, first_to_decide};
use crate::vice::trim::Trim;
use serde::Serialize;
use std::io::Write;

/// What a test at the vice should show, and what it is worth.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
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
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct FindsReport {
    /// After which stage.
    pub stage: &'static str,
    /// `air` or `water`.
    pub medium: &'static str,
    /// Share of the misfits.
    pub finds: Figure,
}

/// Where misfits show.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct EarlyReport {
    /// The earliest test that shows half of them or more; `None`: none does.
    pub first: Option<FindsReport>,
    /// The test that shows most of them; `None`: there are hardly any.
    pub most: Option<FindsReport>,
    /// Share of the flies that come out right by trimming, which shows and mends them at the end; `None`: not trimmed.
    pub trimmed: Option<Figure>,
    /// Share of the flies that come out right as they are tied.
    pub as_tied: Figure,
}

/// Puts where misfits show into figures; of a fly that is trimmed they are those that trimming cannot mend.
#[must_use]
pub fn early_report(stages: &[StageView], trim: Option<&Trim>, shares: &Shares) -> EarlyReport {
    let of = |(test, share): Finds| FindsReport {
        stage: test.stage.word(),
        medium: test.medium.word(),
        finds: Figure(share),
    };
    EarlyReport {
        first: first_to_decide(stages).map(of),
        most: finds_most(stages).map(of),
        trimmed: trim.and_then(|trim| trim.shares.trimmed).map(Figure),
        as_tied: Figure(shares.as_tied),
    }
}

/// A share of flies below which most come out wrong.
const HALF: f64 = 0.5;

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
            (_, None) if self.as_tied.0 < HALF => {
                "hardly any fly comes out right as it is written, whatever a test shows: change the recipe".to_owned()
            }
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
