//! How a fly goes down, for a person.

use super::{Spacing, bullets, write_table};
use crate::quantity::shown::{DEPTH, RATE, SIZE, TEMPERATURE};
use crate::report::ReportError;
use crate::report::budget::{BudgetFigures, BudgetReport};
use crate::report::descent::{
    DepthReport, DescentReport, OtherWaterReport, PassingReport, SlackFallReport, StrokeReport,
};
use crate::report::figure::Figure;
use crate::report::sheet::Sheet;
use crate::report::words::{fixed, hang_words, rate_words, short};

/// Writes one descent: the depths, the fall on a slack line, the jig stroke.
///
/// # Errors
/// The stream refuses.
pub fn descent(out: &mut Sheet, report: &DescentReport, lines: (bool, bool)) -> Result<(), ReportError> {
    writeln!(out, "dressing {}", report.state)?;
    let (tight, slack) = lines;
    let foam = report.depths.iter().any(|d| d.lift_left.is_some());
    let speed = format!("\n{}", RATE.unit());
    let mut heads = vec![format!("depth\n{}", DEPTH.unit()), "hangs there".to_owned()];
    let mut add =
        |wanted: bool, more: &[&str]| heads.extend(more.iter().filter(|_| wanted).map(|&head| head.to_owned()));
    add(foam, &["foam lift\nleft %"]);
    add(tight, &["tight line\ns", &speed]);
    add(slack, &["slack line\ns", &speed, "falls at\ndeg"]);
    let rows = report.depths.iter().map(|d| depth_cells(d, foam, lines));
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    write_table(out, &heads, 2, Spacing::Close, rows)?;
    out.told("slack line  ", &slack_words(&report.slack_fall))?;
    if let Some(stroke) = &report.stroke {
        out.told("jig stroke  ", &stroke_words(stroke))?;
    }
    Ok(())
}

fn depth_cells(depth: &DepthReport, foam: bool, (tight, slack): (bool, bool)) -> Vec<String> {
    let hang = match (depth.hang_deg, depth.rides) {
        (Some(Figure(angle)), Some(rides)) => format!("{}, {rides}", hang_words(angle)),
        _ => "floats".to_owned(),
    };
    let mut cells = vec![DEPTH.short(depth.depth_m.0, 2), hang];
    if foam {
        cells.push(depth.lift_left.map_or_else(String::new, |f| fixed(f.0 * 100.0, 0)));
    }
    let passing = |p: &Option<PassingReport>| match p {
        Some(p) => [fixed(p.time_s.0, 1), RATE.fixed(p.speed_m_s.0, 3), fixed(p.attitude_deg.0, 0)],
        None => ["never".to_owned(), String::new(), String::new()],
    };
    if tight {
        cells.extend_from_slice(&passing(&depth.tight)[..2]);
    }
    if slack {
        cells.extend(passing(&depth.slack));
    }
    cells
}

fn slack_words(fall: &SlackFallReport) -> String {
    let way = if fall.sink_rate_m_s.0 < 0.0 { "rises" } else { "sinks" };
    let rate = rate_words(fall.sink_rate_m_s.0, fall.low_m_s.0, fall.high_m_s.0);
    if !fall.settled {
        return format!("{}: it never comes to rest in one attitude, and {way} {rate} on average", fall.course);
    }
    let glide = match fall.glide_m_s.0 {
        g if g.abs() < 0.005 => String::new(),
        g => format!(
            ", gliding {} {} {}",
            RATE.fixed(g.abs(), 2),
            RATE.unit(),
            if g > 0.0 { "head first" } else { "tail first" }
        ),
    };
    let others = match fall.other_attitudes_deg.as_slice() {
        [] => String::new(),
        list => {
            let words: Vec<String> = list.iter().map(|f| hang_words(f.0)).collect();
            format!("; a knock could leave it at {}", words.join(" or at "))
        }
    };
    format!(
        "settles {}, {} within {:.1} s, and {way} {rate}{glide}{others}",
        hang_words(fall.attitude_deg.0),
        fall.rides,
        fall.time_s.0,
    )
}

fn stroke_words(stroke: &StrokeReport) -> String {
    let dive = stroke.dive_deg.0;
    let nose = if dive >= 0.0 { "drops" } else { "rises" };
    let back = match stroke.recovery_s {
        Some(Figure(0.0)) => "it never leaves its hang".to_owned(),
        Some(Figure(s)) => format!("back in its hang {s:.1} s after the line comes tight"),
        None => "not back in its hang within 20 s".to_owned(),
    };
    format!(
        "slack for {:.2} s the fly goes down {} {} and the nose {nose} {:.0}°; {back}",
        stroke.slack_s.0,
        SIZE.fixed(stroke.drop_m.0 * 1e3, 0),
        SIZE.unit(),
        dive.abs()
    )
}

/// Writes how much other waters matter.
///
/// # Errors
/// The stream refuses.
pub fn other_waters(out: &mut Sheet, list: &[OtherWaterReport]) -> Result<(), ReportError> {
    writeln!(out, "\nin other water")?;
    let lines = list.iter().map(|other| {
        let salt = if other.salinity_g_kg.0 > 0.0 {
            format!("{} g/kg salt", short(other.salinity_g_kg.0, 1))
        } else {
            "fresh".to_owned()
        };
        let hang = match other.hang_change_deg {
            Some(Figure(deg)) if deg.abs() < 0.05 => "the same hang".to_owned(),
            Some(Figure(deg)) => format!("the tail {:.1}° {}", deg.abs(), if deg > 0.0 { "lower" } else { "higher" }),
            None => "floats".to_owned(),
        };
        let change = other.tight_change_m_s.unwrap_or(other.slack_change_m_s).0;
        let (way, faster) = if other.hang_change_deg.is_some() { ("sinks", change) } else { ("rises", -change) };
        format!(
            "{}, {salt}: {hang}, {way} {} {} {}",
            TEMPERATURE.stated(other.temperature_c.0, 1),
            RATE.fixed(faster.abs(), 3),
            RATE.unit(),
            if faster >= 0.0 { "faster" } else { "slower" }
        )
    });
    bullets(out, lines)
}

/// Writes an error budget.
///
/// # Errors
/// The stream refuses.
pub fn budget(out: &mut Sheet, report: &BudgetReport) -> Result<(), ReportError> {
    out.heading("what each assumption could move, at either end of its spread (together: if they are independent)")?;
    let [tight, slack] = ["tight", "slack"].map(|line| format!("{line} line\n{}", RATE.unit()));
    let heads = ["assumed", "spread", "hang\ndeg", &tight, &slack, "dive\ndeg", "recovery\ns"];
    let mut rows: Vec<Vec<String>> = report
        .lines
        .iter()
        .map(|line| {
            let mut cells = vec![line.assumed.to_owned(), line.spread.to_owned()];
            cells.extend(moves(&line.low, &line.high));
            cells
        })
        .collect();
    let signed = |f: &Option<Figure>, decimals: usize| f.map_or_else(String::new, |f| format!("+-{:.decimals$}", f.0));
    let sum = &report.sum;
    rows.push(vec![
        "all together".to_owned(),
        String::new(),
        signed(&sum.hang_deg, 1),
        signed(&rate(sum.tight_m_s), RATE.decimals(3)),
        signed(&rate(sum.slack_m_s), RATE.decimals(3)),
        signed(&sum.dive_deg, 0),
        signed(&sum.recovery_s, 1),
    ]);
    write_table(out, &heads, 2, Spacing::Close, rows.into_iter())
}

/// A change of sink rate in the units that are shown.
fn rate(change: Option<Figure>) -> Option<Figure> {
    change.map(|change| Figure(RATE.difference(change.0)))
}

/// "-0.5 +1.2" for each figure; blank where neither end moves it.
fn moves(low: &BudgetFigures, high: &BudgetFigures) -> [String; 5] {
    let pair = |a: Option<Figure>, b: Option<Figure>, decimals: usize| {
        let step = 0.5 * 10f64.powi(-(decimals as i32));
        match (a, b) {
            (Some(a), Some(b)) if a.0.abs() >= step || b.0.abs() >= step => {
                format!("{:+.decimals$} {:+.decimals$}", a.0, b.0)
            }
            _ => String::new(),
        }
    };
    [
        pair(low.hang_deg, high.hang_deg, 1),
        pair(rate(low.tight_m_s), rate(high.tight_m_s), RATE.decimals(3)),
        pair(rate(low.slack_m_s), rate(high.slack_m_s), RATE.decimals(3)),
        pair(low.dive_deg, high.dive_deg, 0),
        pair(low.recovery_s, high.recovery_s, 1),
    ]
}
