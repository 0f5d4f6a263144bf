//! Answers as CSV: one recipe a line, or one part a line. Units stand in the column heads.

use super::ReportError;
use super::recipe::RecipeReport;
use crate::recipe_file::MountWord;
use std::io::Write;

/// Any list, one entry a line.
///
/// # Errors
/// The stream refuses.
pub fn lines(out: &mut dyn Write, heads: &[&str], rows: impl Iterator<Item = Vec<String>>) -> Result<(), ReportError> {
    let mut writer = ::csv::Writer::from_writer(out);
    writer.write_record(heads)?;
    for row in rows {
        writer.write_record(row)?;
    }
    writer.flush()?;
    Ok(())
}

/// One recipe a line.
///
/// # Errors
/// The stream refuses.
pub fn recipes(out: &mut dyn Write, recipes: &[RecipeReport]) -> Result<(), ReportError> {
    let mut writer = ::csv::Writer::from_writer(out);
    writer.write_record(RECIPE_HEADS)?;
    for report in recipes {
        writer.write_record(recipe_line(report))?;
    }
    writer.flush()?;
    Ok(())
}

const RECIPE_HEADS: [&str; 30] = [
    "rank",
    "id",
    "hook",
    "pattern",
    "bead",
    "mount",
    "pin",
    "projection_mm",
    "wire",
    "turns",
    "start_mm",
    "foam",
    "cut",
    "length_mm",
    "seat",
    "hang_deg",
    "rides",
    "steadiness_mN_mm_per_rad",
    "depth_m",
    "state",
    "knot",
    "sink_rate_m_s",
    "mass_mg",
    "submerged_weight_mN",
    "moment_x_mN_mm",
    "moment_y_mN_mm",
    "cost_per_fly",
    "currency",
    "margin",
    "outlay",
];

fn recipe_line(report: &RecipeReport) -> Vec<String> {
    let file = &report.recipe;
    let bead = file.bead.as_ref();
    let pin = bead.and_then(|b| b.pin.clone());
    let mount = bead.map(|b| match b.mount {
        MountWord::Eye => "eye",
        MountWord::Pin => "pin",
    });
    let wire = file.wire.as_ref();
    let foam = file.foam.as_ref();
    let figure = |f: Option<super::Figure>| f.map(super::Figure::rounded);
    let RecipeReport { hang, totals, .. } = report;
    vec![
        report.rank.to_string(),
        report.id.clone(),
        file.hook.clone(),
        file.pattern.clone(),
        text(bead.map(|b| &b.id)),
        text(mount),
        text(pin),
        text(bead.and_then(|b| b.projection_mm)),
        text(wire.map(|w| &w.id)),
        text(wire.map(|w| w.turns)),
        text(wire.map(|w| w.start_mm)),
        text(foam.map(|f| &f.id)),
        text(foam.map(|f| f.cut)),
        text(foam.map(|f| f.length_mm)),
        text(foam.map(|f| f.seat)),
        text(figure(hang.angle_deg)),
        text(hang.rides),
        text(figure(hang.steadiness_mn_mm_per_rad)),
        hang.depth_m.rounded().to_string(),
        hang.state.to_owned(),
        hang.knot.to_owned(),
        report.fall.sink_rate_m_s.rounded().to_string(),
        totals.mass_mg.rounded().to_string(),
        totals.submerged_weight_mn.rounded().to_string(),
        totals.moment_x_mn_mm.rounded().to_string(),
        totals.moment_y_mn_mm.rounded().to_string(),
        report.cost.per_fly.fine(),
        report.cost.currency.clone(),
        text(figure(report.margin)),
        text(report.cost.outlay.map(crate::quantity::Money::exact)),
    ]
}

fn text<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(String::new, |v| v.to_string())
}

/// One part a line, and the whole fly in the last.
///
/// # Errors
/// The stream refuses.
pub fn parts(out: &mut dyn Write, report: &RecipeReport) -> Result<(), ReportError> {
    let mut writer = ::csv::Writer::from_writer(out);
    writer.write_record([
        "kind",
        "id",
        "name",
        "material",
        "count",
        "length_mm",
        "mass_mg",
        "volume_mm3",
        "submerged_weight_mN",
        "x_mm",
        "y_mm",
        "moment_x_mN_mm",
        "moment_y_mN_mm",
    ])?;
    for part in &report.parts {
        let figures = [
            part.mass_mg,
            part.volume_mm3,
            part.submerged_weight_mn,
            part.x_mm,
            part.y_mm,
            part.moment_x_mn_mm,
            part.moment_y_mn_mm,
        ];
        let words = [
            part.kind.to_owned(),
            part.id.clone(),
            part.name.clone(),
            part.material.clone(),
            part.count.to_string(),
            text(part.length_mm.map(super::Figure::rounded)),
        ];
        writer.write_record(words.into_iter().chain(figures.map(|f| f.rounded().to_string())))?;
    }
    let totals = &report.totals;
    let sum = |f: super::Figure| f.rounded().to_string();
    let blank = String::new;
    writer.write_record([
        "total".to_owned(),
        report.id.clone(),
        blank(),
        blank(),
        blank(),
        blank(),
        sum(totals.mass_mg),
        sum(totals.volume_mm3),
        sum(totals.submerged_weight_mn),
        blank(),
        blank(),
        sum(totals.moment_x_mn_mm),
        sum(totals.moment_y_mn_mm),
    ])?;
    writer.flush()?;
    Ok(())
}
