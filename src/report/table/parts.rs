//! One fly part by part, and how it hangs and sinks.

use super::plain;
use crate::report::recipe::RecipeReport;
use crate::report::words::{hang_words, short};
use crate::report::{Figure, ReportError};
use std::io::Write;

/// Writes what is predicted, one figure a line.
///
/// # Errors
/// The stream refuses.
pub fn hang_lines(out: &mut dyn Write, report: &RecipeReport) -> Result<(), ReportError> {
    let hang = &report.hang;
    match (hang.angle_deg, hang.rides, hang.steadiness_mn_mm_per_rad) {
        (Some(Figure(angle)), Some(rides), Some(Figure(steadiness))) => {
            writeln!(out, "hangs       {}, {rides}", hang_words(angle))?;
            writeln!(out, "steadiness  {} mN mm/rad", short(steadiness, 3))?;
        }
        _ => writeln!(out, "hangs       not at all: it floats")?,
    }
    if let Some(second) = &hang.second_rest {
        writeln!(out, "or hangs    {}, {} (second rest)", hang_words(second.angle_deg.0), second.rides)?;
    }
    let rate = report.fall.sink_rate_m_s.0;
    if rate < 0.0 {
        writeln!(out, "rises       {:.3} m/s", -rate)?;
    } else {
        writeln!(out, "sinks       {rate:.3} m/s, lowered on a tight line")?;
    }
    writeln!(out, "weighs      {} mN in water", short(report.totals.submerged_weight_mn.0, 3))?;
    writeln!(out, "mass        {} mg", short(report.totals.mass_mg.0, 1))?;
    writeln!(out, "costs       {} {} in material", report.cost.per_fly.fine(), report.cost.currency)?;
    Ok(())
}

/// Writes every part with its weight in water, its place and its moments, and says which way it pulls.
///
/// # Errors
/// The stream refuses.
pub fn parts(out: &mut dyn Write, report: &RecipeReport) -> Result<(), ReportError> {
    let heads =
        ["part", "", "mass\nmg", "in water\nmN", "aft\nmm", "point side\nmm", "moment x\nmN mm", "moment y\nmN mm"];
    let strongest = report.parts.iter().map(|p| p.moment_x_mn_mm.0.abs()).fold(0.0, f64::max);
    let mut rows: Vec<Vec<String>> = report
        .parts
        .iter()
        .map(|part| {
            vec![
                part.kind.to_owned(),
                described(part),
                short(part.mass_mg.0, 1),
                format!("{:.3}", part.submerged_weight_mn.0),
                format!("{:.1}", part.x_mm.0),
                format!("{:.1}", part.y_mm.0),
                format!("{:.2}", part.moment_x_mn_mm.0),
                format!("{:.2}", part.moment_y_mn_mm.0),
                pull(part.moment_x_mn_mm.0, strongest).to_owned(),
            ]
        })
        .collect();
    let totals = &report.totals;
    rows.push(vec![
        "total".to_owned(),
        String::new(),
        short(totals.mass_mg.0, 1),
        format!("{:.3}", totals.submerged_weight_mn.0),
        String::new(),
        String::new(),
        format!("{:.2}", totals.moment_x_mn_mm.0),
        format!("{:.2}", totals.moment_y_mn_mm.0),
        String::new(),
    ]);
    let heads: Vec<&str> = heads.into_iter().chain(["pulls"]).collect();
    for line in plain(&heads, 2, rows).lines() {
        writeln!(out, "{}", line.trim_end())?;
    }
    Ok(())
}

fn described(part: &crate::report::PartReport) -> String {
    match part.kind {
        "wire" => format!("{} x {}", part.count, part.id),
        "head" | "dressing" => part.name.clone(),
        _ => part.id.clone(),
    }
}

/// Which way a part pulls, in words: arrows would need a font that has them.
fn pull(moment_x: f64, strongest: f64) -> &'static str {
    let share = if strongest > 0.0 { moment_x / strongest } else { 0.0 };
    match share {
        s if s > 0.5 => "tail down !",
        s if s > 0.02 => "tail down",
        s if s < -0.5 => "head down !",
        s if s < -0.02 => "head down",
        _ => "-",
    }
}
