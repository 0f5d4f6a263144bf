//! One fly part by part, and how it hangs and sinks.

use super::{Spacing, write_table};
use crate::quantity::shown::{DEPTH, MASS, MOMENT, RATE, SIZE, STEADINESS, WEIGHT};
use crate::report::part::PartReport;
use crate::report::recipe::RecipeReport;
use crate::report::sheet::Sheet;
use crate::report::words::{band_words, hang_words};
use crate::report::{Figure, ReportError};
use crate::wanted::Line;

/// Writes what is predicted, one figure a line.
///
/// # Errors
/// The stream refuses.
pub fn hang_lines(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    let hang = &report.hang;
    writeln!(out, "at          {}, dressing {}, {} knot", DEPTH.stated(hang.depth_m.0, 2), hang.state, hang.knot)?;
    match (hang.angle_deg, hang.rides, hang.steadiness_mn_mm_per_rad) {
        (Some(Figure(angle)), Some(rides), Some(Figure(steadiness))) => {
            writeln!(out, "hangs       {}, {rides}", hang_words(angle))?;
            let band = match hang.friction_band_deg {
                Some(Figure(band)) if band < 90.0 => format!("; friction in the eye can leave it {band:.0}° off"),
                Some(_) => "; friction in the eye can hold it at any angle".to_owned(),
                None => String::new(),
            };
            out.told("steadiness  ", &format!("{}{band}", STEADINESS.text(steadiness, 3)))?;
        }
        _ => writeln!(out, "hangs       not at all: it floats")?,
    }
    if let Some(second) = &hang.second_rest {
        writeln!(out, "or hangs    {}, {} (second rest)", hang_words(second.angle_deg.0), second.rides)?;
    }
    fall_lines(out, report)?;
    writeln!(out, "weighs      {} in water", WEIGHT.text(report.totals.submerged_weight_mn.0, 3))?;
    writeln!(out, "mass        {}", MASS.text(report.totals.mass_mg.0, 1))?;
    writeln!(out, "costs       {} {} in material", report.cost.per_fly.fine(), report.cost.currency)?;
    Ok(())
}

fn fall_lines(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    let fall = &report.fall;
    let rate = fall.sink_rate_m_s.0;
    let (way, rate) = if rate < 0.0 { ("rises       ", -rate) } else { ("sinks       ", rate) };
    let band = match (fall.low_m_s, fall.high_m_s) {
        (Some(low), Some(high)) => format!(" {}", band_words(low.0, high.0)),
        _ => String::new(),
    };
    let how = if fall.line == Line::Slack.word() {
        let settled = if fall.settled { "" } else { ", never settling" };
        let (attitude, glide) = (hang_words(fall.attitude_deg.0), RATE.fixed(fall.glide_m_s.0, 3));
        format!(", free on a slack line, at {attitude}, gliding {glide} {}{settled}", RATE.unit())
    } else if report.fall.sink_rate_m_s.0 < 0.0 {
        String::new()
    } else {
        ", lowered on a tight line".to_owned()
    };
    Ok(out.told(way, &format!("{}{band} {}{how}", RATE.fixed(rate, 2), RATE.unit()))?)
}

/// Writes the fly from the side as it hangs, to scale, where there is such a view.
///
/// # Errors
/// The stream refuses.
pub fn side_view(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    if report.side_view.is_empty() {
        return Ok(());
    }
    writeln!(out)?;
    out.told(
        "",
        &format!("{} as it hangs, to scale (' line, @ eye, o bead or head, = wire, # foam, ~ dressing)", report.id),
    )?;
    writeln!(out)?;
    report.side_view.iter().try_for_each(|line| writeln!(out, "    {line}"))?;
    Ok(())
}

/// Fewest characters across for the columns of moments; the share of the pull says nearly the same.
const WITH_MOMENTS: u16 = 84;

/// Writes every part with its weight in water, its place and its moments, and how much of the pull each way is its.
///
/// # Errors
/// The stream refuses.
pub fn parts(out: &mut Sheet, report: &RecipeReport) -> Result<(), ReportError> {
    let heads = ["part", "", "pulls"].map(str::to_owned).into_iter().chain([
        format!("mass\n{}", MASS.unit()),
        format!("in water\n{}", WEIGHT.unit()),
        format!("aft\n{}", SIZE.unit()),
        format!("point side\n{}", SIZE.unit()),
        format!("moment x\n{}", MOMENT.unit()),
        format!("moment y\n{}", MOMENT.unit()),
    ]);
    let heads: Vec<String> = heads.collect();
    let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
    let pulls = Pulls::of(&report.parts);
    let mut rows: Vec<Vec<String>> = report
        .parts
        .iter()
        .map(|part| {
            vec![
                part.kind.to_owned(),
                described(part),
                pulls.words(part.moment_x_mn_mm.0),
                MASS.fixed(part.mass_mg.0, 1),
                WEIGHT.fixed(part.submerged_weight_mn.0, 3),
                SIZE.fixed(part.x_mm.0, 1),
                SIZE.fixed(part.y_mm.0, 1),
                MOMENT.fixed(part.moment_x_mn_mm.0, 2),
                MOMENT.fixed(part.moment_y_mn_mm.0, 2),
            ]
        })
        .collect();
    let totals = &report.totals;
    rows.push(vec![
        "total".to_owned(),
        String::new(),
        String::new(),
        MASS.fixed(totals.mass_mg.0, 1),
        WEIGHT.fixed(totals.submerged_weight_mn.0, 3),
        String::new(),
        String::new(),
        MOMENT.fixed(totals.moment_x_mn_mm.0, 2),
        MOMENT.fixed(totals.moment_y_mn_mm.0, 2),
    ]);
    if out.paper.columns >= WITH_MOMENTS {
        return write_table(out, &heads, 3, Spacing::Close, rows.into_iter());
    }
    // Kind and id share a column, and moments are left out.
    let narrow = rows.into_iter().map(|row| {
        let named = format!("{} {}", row[0], row[1]).trim_end().to_owned();
        std::iter::once(named).chain(row[2..row.len() - 2].iter().cloned()).collect()
    });
    let heads: Vec<&str> = std::iter::once("part").chain(heads[2..heads.len() - 2].iter().copied()).collect();
    write_table(out, &heads, 2, Spacing::Close, narrow)
}

fn described(part: &PartReport) -> String {
    match part.kind {
        "wire" => format!("{} x {}", part.count, part.id),
        "head" | "dressing" => part.name.clone(),
        _ => part.id.clone(),
    }
}

/// The sums of all moments that pull the tail down, and of all that pull the head down.
struct Pulls {
    tail: f64,
    head: f64,
}

impl Pulls {
    fn of(parts: &[PartReport]) -> Self {
        let sum = |sign: f64| parts.iter().map(|p| (sign * p.moment_x_mn_mm.0).max(0.0)).sum();
        Self { tail: sum(1.0), head: sum(-1.0) }
    }

    /// "tail down 66 %": the share of the pull that way; nothing below one percent.
    fn words(&self, moment_x: f64) -> String {
        let (way, of) = if moment_x > 0.0 { ("tail down", self.tail) } else { ("head down", self.head) };
        let percent = if of > 0.0 { 100.0 * moment_x.abs() / of } else { 0.0 };
        if percent < 0.5 { String::new() } else { format!("{way} {percent:>3.0} %") }
    }
}
