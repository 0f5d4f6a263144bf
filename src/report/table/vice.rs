//! Stages, trim chart and corrections for a person at a vice.

use super::{Spacing, bullets, write_table};
use crate::quantity::shown::{SIZE, Scale};
use crate::report::sheet::Sheet;
use crate::report::stages::{EarlyReport, StageReport, turns_between};
use crate::report::vice::{AdviceReport, STRAIGHT, SlopeReport, SuspectReport, TrimReport, TurnReport, cut_step};
use crate::report::words::hang_words;
use crate::report::{Figure, ReportError};
use crate::spread::trimming::READINGS;
use crate::vice::Medium;

fn turn(turn: &TurnReport) -> String {
    format!("{}, {}", hang_words(turn.angle_deg.0), turn.rides)
}

fn percent(share: Figure) -> String {
    format!("{:.0} %", share.0 * 100.0)
}

/// The mark of an item.
const ITEM: &str = "  - ";

/// Writes the stages, and where misfits show.
///
/// # Errors
/// The stream refuses.
pub fn stages(out: &mut Sheet, list: &[StageReport], early: &EarlyReport) -> Result<(), ReportError> {
    let rows = list.iter().flat_map(|s| s.tests.iter().map(move |t| (s, t))).map(|(s, t)| {
        let between = |a: &Option<TurnReport>, b: &Option<TurnReport>| match (a, b) {
            (Some(a), Some(b)) => turns_between(a, b),
            _ => "floats".to_owned(),
        };
        let medium = Medium::from_word(t.medium).unwrap_or(Medium::Water);
        let share = |share: Option<Figure>| share.map_or_else(String::new, percent);
        vec![
            if medium == Medium::Air { s.stage.to_owned() } else { String::new() },
            medium.place().trim_start_matches("in the ").to_owned(),
            t.hang.as_ref().map_or_else(|| "floats".to_owned(), turn),
            between(&t.low, &t.high),
            t.go_on.as_ref().map_or_else(|| "nothing to read".to_owned(), |[a, b]| turns_between(a, b)),
            share(t.told),
            share(t.finds),
        ]
    });
    let heads = ["after", "in the", "hangs", "8 in 10 flies between", "go on between", "told", "finds"];
    write_table(out, &heads, 5, Spacing::Close, rows)?;
    writeln!(out, "\nstage by stage (hang it {READINGS} times, take the middle reading)")?;
    bullets(out, list.iter().map(|s| s.say.clone()))?;
    if let Some(length) = list.last().and_then(|s| s.foam_mm) {
        writeln!(out, "  - from its foam on with {} of it on", SIZE.text(length, 2))?;
    }
    bullets(out, std::iter::once(early.words()))
}

/// Writes what moves the hang.
///
/// # Errors
/// The stream refuses.
pub fn slopes(out: &mut Sheet, slopes: &SlopeReport) -> Result<(), ReportError> {
    let (step, mm) = cut_step();
    let per_step = |slope: Option<Figure>| slope.map(|slope| Figure(slope.0 * mm));
    let words = [
        (slopes.deg_per_wrap, "one wrap more".to_owned()),
        (per_step(slopes.deg_per_mm_wraps), format!("wraps {step} aft")),
        (per_step(slopes.deg_per_mm_foam), format!("foam {step} longer")),
        (per_step(slopes.deg_per_mm_seat), format!("foam bound {step} aft")),
        (slopes.deg_per_percent_bead, "bead 1 % heavier".to_owned()),
        (per_step(slopes.deg_per_mm_pin), format!("bead and pin {step} aft")),
    ];
    writeln!(out, "\nwhat turns the finished fly at its depth")?;
    for (slope, what) in words {
        if let Some(Figure(degrees)) = slope {
            let way = if degrees >= 0.0 { "tail down" } else { "head down" };
            if degrees.abs() > STRAIGHT {
                writeln!(out, "  - {what}: far {way}, more than {STRAIGHT:.0}°")?;
            } else {
                writeln!(out, "  - {what}: {:.1}° {way}", degrees.abs())?;
            }
        }
    }
    if let (Some(what), Some(share)) = (&slopes.largest, slopes.largest_share) {
        if slopes.sd_deg.0 > STRAIGHT {
            let text = "flies tied alike hang anyhow: next to nothing holds this one; most of it by";
            return Ok(out.told(ITEM, &format!("{text} {what} ({})", percent(share)))?);
        }
        let differ = format!("flies tied alike differ by +-{:.0}° (one standard deviation)", slopes.sd_deg.0);
        out.told(ITEM, &format!("{differ}; most of it by {what} ({})", percent(share)))?;
    }
    Ok(())
}

/// Writes how to trim.
///
/// # Errors
/// The stream refuses.
pub fn trim(out: &mut Sheet, trim: &TrimReport) -> Result<(), ReportError> {
    writeln!(out, "\ntrim (foam can only be cut shorter)")?;
    writeln!(out, "  - cut the foam to {} before tying", SIZE.text(trim.start_mm, 2))?;
    let far = trim.too_far.as_ref().map_or_else(String::new, |far| format!(" to {}", turn(far)));
    let stop = format!("stop when it shows {}{far}", turn(&trim.stop_at));
    out.told(ITEM, &format!("hang the finished fly {} times, take the middle reading; {stop}", trim.readings))?;
    let cut = format!("short of that cut by the chart{} and hang it again; past it too much is off", trim.no_shorter());
    out.told(ITEM, &cut)?;
    let aim = if trim.over_range {
        "it will be turned as far either way at both ends of its depths"
    } else {
        "it will hang as wanted at its depth"
    };
    let right = format!("{aim} when the jar shows {}", turn(&trim.jar_shows));
    out.told(ITEM, &format!("{right}; {}", trim.per_mm_words()))?;
    let trimmed = trim.trimmed.map_or_else(String::new, |share| format!(", {} trimmed so", percent(share)));
    out.told(ITEM, &format!("come out right: {} of flies tied as written{trimmed}", percent(trim.as_tied)))?;
    writeln!(out)?;
    let rows = trim.chart.iter().map(|row| {
        let to = row.to.as_ref().map_or_else(|| "and on".to_owned(), |to| format!("to {}", turn(to)));
        vec![format!("{} {to}", turn(&row.from)), SIZE.text(row.cut_mm, 2)]
    });
    write_table(out, &["finished fly shows in the jar", "cut off"], 1, Spacing::Close, rows)
}

/// "foam cut length +0.4 mm": a likely cause, and how far off.
fn suspect_words(suspect: &SuspectReport) -> String {
    let (off, unit, decimals) = match Scale::of_unit(suspect.unit) {
        Some(scale) => (scale.difference(suspect.off.0), scale.unit(), scale.decimals(1)),
        None => (suspect.off.0, suspect.unit, 1),
    };
    format!("{} {off:+.decimals$} {unit}", suspect.source)
}

/// A fly of which nothing helps is given up where it comes out right less often than so.
const HOPELESS: f64 = 0.5;

/// Writes advice.
///
/// # Errors
/// The stream refuses.
pub fn advice(out: &mut Sheet, advice: &AdviceReport) -> Result<(), ReportError> {
    let medium = Medium::from_word(advice.medium).unwrap_or(Medium::Water);
    let (seen, expected) = (turn(&advice.seen), turn(&advice.expected));
    out.told("", &format!("seen {} after {}: {seen}; it should show {expected}", medium.place(), advice.stage))?;
    let surprise = advice.surprise.0.abs();
    let words = match surprise {
        s if s < 1.0 => "ordinary",
        s if s < 2.5 => "not rare",
        _ if medium == Medium::Air => "rare: look for a mistake first (wrong part, misread angle)",
        _ => "rare: look for a mistake first (wrong part, misread angle, bubbles)",
    };
    out.told("", &format!("that is {surprise:.1} times what tying and reading scatter: {words}"))?;
    let suspects: Vec<String> = advice.suspects.iter().map(suspect_words).collect();
    if !suspects.is_empty() {
        out.told("", &format!("likeliest behind it: {}", suspects.join("; ")))?;
    }
    writeln!(out)?;
    let rows = advice.corrections.iter().map(|c| {
        let shows = match (&c.shows, c.shows_stage, c.shows_medium) {
            (Some(hang), Some(stage), Some(there)) if stage != advice.stage || there != advice.medium => {
                let place = Medium::from_word(there).unwrap_or(Medium::Water).place();
                format!("{} ({place} after {stage})", turn(hang))
            }
            (Some(hang), ..) => turn(hang),
            (None, ..) => "floats".to_owned(),
        };
        vec![
            c.change.clone(),
            shows,
            c.depth.as_ref().map_or_else(|| "floats".to_owned(), turn),
            c.sd_deg.map_or_else(|| "trimmed".to_owned(), |sd| format!("+-{:.0}°", sd.0)),
            percent(c.chance),
        ]
    });
    write_table(out, &["do", "then shows", "finished, at depth", "or so", "chance"], 3, Spacing::Close, rows)?;
    if let [left] = advice.corrections.as_slice()
        && left.chance.0 < HOPELESS
    {
        writeln!(out)?;
        out.told("", "nothing that can still be changed mends this fly: begin a new one, or fish it as it is")?;
    }
    Ok(())
}
