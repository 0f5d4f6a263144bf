//! The answer of `sink`: the way down in each state of the dressing, other waters, what each assumption could move.

use super::answer::Answer;
use super::budget::BudgetReport;
use super::column::{column, optional};
use super::csv::columns_csv;
use super::descent::{DepthReport, DescentReport, LeaderReport, OtherWaterReport, PassingReport};
use super::sheet::Sheet;
use super::{Figure, ReportError, table};
use crate::quantity::shown::{DEPTH, SIZE};
use crate::sink::Question;
use crate::wanted::Line;
use serde::Serialize;
use std::io::Write;

/// What is said of the way down besides the recipe.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SinkReport {
    /// One for each state of the dressing.
    pub descents: Vec<DescentReport>,
    /// The tippet drawn down, if any.
    pub leader: Option<LeaderReport>,
    /// What other waters would change.
    pub other_water: Vec<OtherWaterReport>,
    /// What each assumption could move, if asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub error_budget: Option<BudgetReport>,
}

/// Writes the answer for a person.
///
/// # Errors
/// The stream refuses.
pub fn sink_table(out: &mut Sheet, answer: &Answer<SinkReport>, question: &Question) -> Result<(), ReportError> {
    table::tying_lines(out, &answer.recipes[0])?;
    if let Some(leader) = &answer.body.leader {
        {
            let (length, diameter) = (DEPTH.stated(leader.length_m.0, 2), SIZE.stated(leader.diameter_mm.0, 3));
            writeln!(out, "leader      {length} of {diameter}")?;
        };
    }
    let lines = (question.lines.contains(&Line::Tight), question.lines.contains(&Line::Slack));
    for descent in &answer.body.descents {
        writeln!(out)?;
        table::descent(out, descent, lines)?;
    }
    table::other_waters(out, &answer.body.other_water)?;
    if let Some(budget) = &answer.body.error_budget {
        table::budget(out, budget)?;
    }
    table::foot(out, answer)
}

/// One depth and state a line.
///
/// # Errors
/// The stream refuses.
pub fn sink_csv(out: &mut dyn Write, report: &SinkReport) -> Result<(), ReportError> {
    type Row<'r> = (&'static str, &'r DepthReport);
    let figure = |head: &'static str, of: fn(&DepthReport) -> Option<Figure>| {
        column(head, move |(_, depth): &Row| optional(of(depth).map(Figure::rounded)))
    };
    let passing =
        |head: &'static str, of: fn(&DepthReport) -> Option<&PassingReport>, pick: fn(&PassingReport) -> Figure| {
            column(head, move |(_, depth): &Row| optional(of(depth).map(|p| pick(p).rounded())))
        };
    let columns = [
        column("state", |(state, _): &Row| (*state).to_owned()),
        figure("depth_m", |d| Some(d.depth_m)),
        figure("hang_deg", |d| d.hang_deg),
        column("rides", |(_, depth): &Row| optional(depth.rides)),
        figure("lift_left", |d| d.lift_left),
        passing("tight_time_s", |d| d.tight.as_ref(), |p| p.time_s),
        passing("tight_speed_m_s", |d| d.tight.as_ref(), |p| p.speed_m_s),
        passing("slack_time_s", |d| d.slack.as_ref(), |p| p.time_s),
        passing("slack_speed_m_s", |d| d.slack.as_ref(), |p| p.speed_m_s),
        passing("slack_attitude_deg", |d| d.slack.as_ref(), |p| p.attitude_deg),
    ];
    let rows: Vec<Row> =
        report.descents.iter().flat_map(|descent| descent.depths.iter().map(|depth| (descent.state, depth))).collect();
    columns_csv(out, &columns, &rows)
}
