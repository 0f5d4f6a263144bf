//! The bench card: all that is needed at the vice on one small page.

use super::column::{column, optional};
use super::csv::columns_csv;
use super::stages::{EarlyReport, StageReport, TestReport};
use super::table::{Spacing, bullets, write_table};
use super::vice::{TrimReport, TrimRow, TurnReport};
use super::words::{between, hang_words, rate_words};
use super::{Figure, ReportError};
use crate::assess::{line_fall, predict};
use crate::fly::{
    Conditions, Fly, FrontMount, foam_span, pin_span, practice, sinking, wire_length_um, wrap_core, wraps_span,
};
use crate::part::{ComponentRole, Cut};
use crate::physics::doubt::band;
use crate::physics::fall::{Fall, lowered_countdown};
use crate::quantity::shown::{DEPTH, MASS, SIZE};
use crate::recipe::Seat;
use crate::report::sheet::Sheet;
use crate::spread::angle_and_side;
use crate::vice::{Bench, Medium};
use crate::wanted::Line;
use serde::Serialize;
use std::io::Write;

/// A bench card.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CardReport {
    /// Recipe id.
    pub id: String,
    /// What the fly is, in a line.
    pub title: String,
    /// What it should do, in a line.
    pub purpose: String,
    /// What the catalog was corrected by, if it was.
    pub corrected: Option<String>,
    /// What to do, in tying order.
    pub steps: Vec<CardStep>,
    /// What hand and jar should show after each stage.
    pub stages: Vec<StageReport>,
    /// Where misfits show.
    pub early: EarlyReport,
    /// How to trim the foam.
    pub trim: Option<TrimReport>,
    /// The finished fly at its depth; `None`: it floats.
    pub at_depth: Option<TurnReport>,
    /// Its sink rate on a tight line there, with its band, in words; `None`: it floats.
    pub sinks: Option<String>,
    /// The same let go on a slack line, where it was asked to sink so.
    pub sinks_free: Option<String>,
    /// Seconds to some depths, lowered on a tight line.
    pub countdown: Vec<CardDepth>,
}

/// One step of tying.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, schemars::JsonSchema)]
pub struct CardStep {
    /// What it is about: hook, bead, wire, thread, foam, fibre, finish.
    pub part: &'static str,
    /// What to do.
    pub text: String,
}

/// One depth of the countdown.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CardDepth {
    /// Depth, m.
    pub depth_m: Figure,
    /// Seconds from the surface.
    pub seconds: Figure,
}

/// Puts a card together. Stages, where misfits show, and `trim` come from the bench in its jar; `corrected` says what the catalog was corrected
/// by.
#[must_use]
pub fn card_report(
    bench: &Bench,
    (stages, early): (Vec<StageReport>, EarlyReport),
    trim: Option<TrimReport>,
    corrected: Option<String>,
) -> CardReport {
    let fly = &bench.fly;
    let conditions = &bench.target.conditions;
    let recipe = fly.recipe();
    let at_depth = bench.turn_at_depth(&crate::fly::Deviation::NONE).map(|turn| {
        let (angle, rides) = angle_and_side(turn, bench.side_at_depth());
        TurnReport { angle_deg: Figure(angle.to_degrees()), rides: rides.word() }
    });
    let hang = at_depth
        .as_ref()
        .map_or_else(|| "floats".to_owned(), |t| format!("hangs {}, {}", hang_words(t.angle_deg.0), t.rides));
    CardReport {
        id: recipe.id(),
        title: format!("{}; {}", fly.hook.row.name, fly.dressing.row.name.to_lowercase()),
        purpose: format!("{hang} at {}{}", DEPTH.stated(conditions.depth, 2), at_the_shallow_end(bench)),
        corrected,
        steps: steps(fly, trim.as_ref()),
        stages,
        early,
        trim,
        at_depth,
        sinks: sinks(fly, conditions),
        sinks_free: sinks_free(bench),
        countdown: countdown(fly, conditions),
    }
}

/// "0.13 (0.11 to 0.15) m/s at 1 m": its sink rate with the band in which it lies.
fn sinks(fly: &Fly, conditions: &Conditions) -> Option<String> {
    let prediction = predict(fly, conditions);
    let rate = prediction.lowered.sink_rate;
    let (low, high) = band(rate, prediction.sink_sd(&conditions.water));
    (rate > 0.0).then(|| format!("{} at {}", rate_words(rate, low, high), DEPTH.stated(conditions.depth, 2)))
}

/// The same let go on a slack line, where its target asks for that.
fn sinks_free(bench: &Bench) -> Option<String> {
    let (fly, conditions) = (&bench.fly, &bench.target.conditions);
    if bench.target.fall.line != Line::Slack {
        return None;
    }
    let fall = line_fall(fly, conditions, Line::Slack, &predict(fly, conditions));
    let (low, high) = fall.band?;
    Some(rate_words(fall.sink_rate, low, high))
}

/// ", 0.4° head down at 0.5 m" where hang and sink rate must hold over a range of depths.
fn at_the_shallow_end(bench: &Bench) -> String {
    let hang = bench.target.fall.shallow.and_then(|depth| {
        let prediction = predict(&bench.fly, &Conditions { depth, ..bench.target.conditions });
        let angle = prediction.hang.rest()?.angle;
        Some(format!(", {} at {}", hang_words(angle.to_degrees()), DEPTH.stated(depth, 2)))
    });
    hang.unwrap_or_default()
}

const MM: f64 = 1e3;

/// "12.5 mm".
fn mm(metres: f64) -> String {
    SIZE.text(metres * MM, 1)
}

/// "13.2 mm behind the eye", from the middle of the eye.
fn behind(x: f64) -> String {
    if x < 0.0 { format!("{} ahead of the eye", mm(-x)) } else { format!("{} behind the eye", mm(x)) }
}

fn steps(fly: &Fly, trim: Option<&TrimReport>) -> Vec<CardStep> {
    let mut steps = vec![CardStep { part: "hook", text: fly.hook.row.id.clone() }];
    let mut add = |part, text: Option<String>| steps.extend(text.map(|text| CardStep { part, text }));
    add("bead", bead_step(fly));
    add("wire", wire_step(fly));
    add("thread", component_step(fly, ComponentRole::Thread));
    add("foam", foam_step(fly, trim));
    add("fibre", component_step(fly, ComponentRole::Fibre));
    add("finish", component_step(fly, ComponentRole::Adhesive));
    steps
}

fn bead_step(fly: &Fly) -> Option<String> {
    let (bead, mount) = fly.bead?;
    let name = format!("{} ({})", bead.row.id, mm(bead.diameter));
    Some(match mount {
        FrontMount::Eye => format!("{name} up against the eye"),
        FrontMount::Pin(pin, projection) => {
            let (_, rear) = pin_span(fly.hook, pin, projection);
            format!(
                "{name} on {}: bind the pin along the back of the shank, front of its head {} ahead of the eye, its rear end {}",
                pin.row.id,
                mm(projection.m()),
                behind(rear)
            )
        }
    })
}

fn wire_step(fly: &Fly) -> Option<String> {
    let wraps = fly.wraps.as_ref()?;
    let (front, rear) = wraps_span(fly.hook, fly.bead, wraps);
    let length = wire_length_um(wraps.wire, wraps.turns, wrap_core(fly.hook, fly.bead)) as f64 * 1e-6;
    let turns = if wraps.turns == 1 { "turn" } else { "turns" };
    Some(format!(
        "{} close {turns} of {} ({} of wire), from {} to {}",
        wraps.turns,
        wraps.wire.row.id,
        mm(length),
        mm(front),
        behind(rear)
    ))
}

fn foam_step(fly: &Fly, trim: Option<&TrimReport>) -> Option<String> {
    let piece = fly.foam.as_ref()?;
    let (front, rear) = foam_span(fly.hook, piece);
    let cut = match piece.cut {
        Cut::Whole => "whole".to_owned(),
        cut => format!("split lengthwise in {}", cut.pieces()),
    };
    let longer = trim.filter(|t| t.start_mm > piece.length.mm()).map_or_else(String::new, |t| {
        format!(" (cut it {} long at first and trim it in the jar)", SIZE.text(t.start_mm, 1))
    });
    let tail = |where_: &str, rest: &str| {
        format!(
            "bind its front {} {where_}, front edge {}; the rest trails {rest}",
            mm(practice::FOAM_BOUND_LENGTH.min(piece.length.m())),
            behind(front)
        )
    };
    let place = match piece.seat {
        Seat::Tail => tail("on the back of the shank", "over its line"),
        Seat::TailAlong => tail("slit round the shank", "in line with it"),
        Seat::TailUnder => tail("on the point side of the shank", "under its line"),
        Seat::Back => format!("bind both ends on the back of the shank, from {} to {}", mm(front), behind(rear)),
        Seat::Belly => format!("bind both ends on the point side of the shank, from {} to {}", mm(front), behind(rear)),
    };
    Some(format!("{}, {cut}, {} long{longer}: {place}", piece.foam.row.id, SIZE.text(piece.length.mm(), 3)))
}

/// Components of one role with what they weigh on this hook.
fn component_step(fly: &Fly, role: ComponentRole) -> Option<String> {
    let scale = fly.dressing.scale(fly.hook.shank_length);
    let (corner, shank) = (fly.hook.corner()[0], fly.hook.shank_length);
    let list: Vec<String> = fly
        .dressing
        .components
        .iter()
        .filter(|c| c.role == role)
        .map(|c| {
            let mass = MASS.text(c.dry_mass * scale * scale * 1e6, 1);
            let (from, to) = (corner + c.from * shank, corner + c.to * shank);
            format!("{} {mass}, {} to {}", c.name, SIZE.short(from * MM, 0), mm_whole(to))
        })
        .collect();
    (!list.is_empty()).then(|| list.join("; "))
}

fn mm_whole(metres: f64) -> String {
    SIZE.text(metres * MM, 0)
}

/// Depths of the countdown, m, besides the fishing depth.
const DEPTHS: [f64; 6] = [0.5, 1.0, 2.0, 3.0, 4.0, 6.0];

fn countdown(fly: &Fly, conditions: &Conditions) -> Vec<CardDepth> {
    let deepest = (2.0 * conditions.depth).max(2.0);
    let mut depths: Vec<f64> = DEPTHS.into_iter().filter(|d| *d <= deepest).chain([conditions.depth]).collect();
    depths.retain(|d| *d > 0.0);
    depths.sort_by(f64::total_cmp);
    depths.dedup();
    let body = sinking(fly, conditions);
    let fall = Fall::new(&body, &conditions.water);
    let Ok(countdown) = lowered_countdown(&fall, (conditions.knot, fly.hook.neck_angle), &depths) else {
        return Vec::new();
    };
    let passed = countdown.passings.iter().zip(&depths);
    passed.filter_map(|(p, d)| p.as_ref().map(|p| CardDepth { depth_m: Figure(*d), seconds: Figure(p.time) })).collect()
}

/// Writes a card for a person.
///
/// # Errors
/// The stream refuses.
pub fn card_table(out: &mut Sheet, card: &CardReport) -> Result<(), ReportError> {
    out.told("", &format!("{}  {}", card.id, card.title))?;
    writeln!(out, "{}\n", card.purpose)?;
    let steps = card.steps.iter().map(|s| vec![s.part.to_owned(), s.text.clone()]);
    write_table(out, &["part", "what to do (lengths from the middle of the eye)"], 2, Spacing::Close, steps)?;
    writeln!(out)?;
    let stages = card.stages.iter().map(|s| vec![s.stage.to_owned(), shows(s.hand()), shows(s.jar()), go_on(s)]);
    write_table(out, &["after", "the hand shows", "the jar shows", "go on between"], 4, Spacing::Close, stages)?;
    writeln!(out)?;
    out.told("", &card.early.words())?;
    if let Some(trim) = &card.trim {
        writeln!(out)?;
        out.told("", &trim_words(trim))?;
        writeln!(out)?;
        let rows = trim.chart.iter().map(|row| vec![trim_row_words(row), SIZE.text(row.cut_mm, 2)]);
        write_table(out, &["the finished fly shows", "cut off"], 1, Spacing::Close, rows)?;
    }
    if !card.countdown.is_empty() {
        writeln!(out, "\nlowered on a tight line")?;
        bullets(out, std::iter::once(countdown_words(card)))?;
    }
    Ok(())
}

/// A line of a card, for a program.
struct CardLine {
    section: &'static str,
    item: String,
    text: String,
    turn: Option<TurnReport>,
    value: Option<f64>,
    unit: &'static str,
}

impl CardLine {
    fn new(section: &'static str, item: impl Into<String>, text: impl Into<String>) -> Self {
        Self { section, item: item.into(), text: text.into(), turn: None, value: None, unit: "" }
    }
}

/// Writes a card as CSV: what to do, what the jar shows, how to trim, the finished fly, the countdown.
///
/// # Errors
/// The stream refuses.
pub fn card_csv(out: &mut dyn Write, card: &CardReport) -> Result<(), ReportError> {
    let mut lines: Vec<CardLine> = card.steps.iter().map(|s| CardLine::new("step", s.part, &s.text)).collect();
    lines.extend(card.stages.iter().flat_map(|s| {
        s.tests.iter().map(|test| CardLine {
            turn: test.hang.clone(),
            ..CardLine::new("stage", format!("{} ({})", s.stage, test.medium), s.say.clone())
        })
    }));
    lines.push(CardLine::new("stage", "misfits", card.early.words()));
    lines.extend(card.trim.iter().map(|t| CardLine {
        turn: Some(t.jar_shows.clone()),
        value: Some(t.start_mm),
        unit: "mm",
        ..CardLine::new("trim", "start length", trim_words(t))
    }));
    lines.push(CardLine { turn: card.at_depth.clone(), ..CardLine::new("finished", "at depth", &card.purpose) });
    lines.extend(card.countdown.iter().map(|d| CardLine {
        value: Some(d.seconds.rounded()),
        unit: "s",
        ..CardLine::new("countdown", format!("{} m", d.depth_m.rounded()), "lowered on a tight line")
    }));
    let columns = [
        column("section", |l: &CardLine| l.section.to_owned()),
        column("item", |l: &CardLine| l.item.clone()),
        column("hang_deg", |l: &CardLine| optional(l.turn.as_ref().map(|t| t.angle_deg.rounded()))),
        column("rides", |l: &CardLine| optional(l.turn.as_ref().map(|t| t.rides))),
        column("value", |l: &CardLine| optional(l.value)),
        column("unit", |l: &CardLine| l.unit.to_owned()),
        column("text", |l: &CardLine| l.text.clone()),
    ];
    columns_csv(out, &columns, &lines)
}

pub(super) fn turn_words(turn: &TurnReport) -> String {
    format!("{}, {}", hang_words(turn.angle_deg.0), turn.rides)
}

/// What a test shows.
pub(super) fn shows(test: &TestReport) -> String {
    test.hang.as_ref().map_or_else(|| "floats".to_owned(), turn_words)
}

/// "hand: 57.2° to 61.0° tail down": by the test that says more.
pub(super) fn go_on(stage: &StageReport) -> String {
    let test = stage.better();
    let place = if test.medium == Medium::Air.word() { "hand" } else { "jar" };
    match &test.go_on {
        Some([a, b]) if a.rides == b.rides => format!("{place}: {}", between(a.angle_deg.0, b.angle_deg.0)),
        Some([a, b]) => format!("{place}: {} to {}", turn_words(a), turn_words(b)),
        None => "nothing to read".to_owned(),
    }
}

pub(super) fn trim_words(trim: &TrimReport) -> String {
    let stop = match &trim.too_far {
        Some(far) => between(trim.stop_at.angle_deg.0, far.angle_deg.0),
        None => hang_words(trim.stop_at.angle_deg.0),
    };
    let most = trim.chart.last().map_or(trim.scissors_mm, |row| row.cut_mm);
    let cut = if most > trim.scissors_mm {
        format!("{} to {}", SIZE.short(trim.scissors_mm, 2), SIZE.text(most, 2))
    } else {
        SIZE.text(most, 2)
    };
    format!(
        "trim: hang it {} times, take the middle reading; stop when it shows {stop}; short of that cut {cut} by the chart{} \
         and hang it again; {}; {:.0} % of flies come out right so, {:.0} % left alone",
        trim.readings,
        trim.no_shorter(),
        trim.per_mm_words(),
        100.0 * trim.trimmed.unwrap_or(trim.as_tied).0,
        100.0 * trim.as_tied.0
    )
}

/// "12.3° head down to 18.0° head down", "40.1° head down and on".
pub(super) fn trim_row_words(row: &TrimRow) -> String {
    match &row.to {
        Some(to) => between(row.from.angle_deg.0, to.angle_deg.0),
        None => format!("{} and on", hang_words(row.from.angle_deg.0)),
    }
}

pub(super) fn countdown_words(card: &CardReport) -> String {
    let list: Vec<String> = card
        .countdown
        .iter()
        .map(|d| format!("{} {:.1} s", DEPTH.stated(d.depth_m.rounded(), 2), d.seconds.0))
        .collect();
    let sinks = card.sinks.as_ref().map_or_else(String::new, |words| format!("; sinks {words}"));
    let free = card.sinks_free.as_ref().map_or_else(String::new, |words| format!("; let go on a slack line {words}"));
    format!("{}{sinks}{free}", list.join(", "))
}
