//! Jar tests and what was learned from them, in figures.

use super::figure::Figure;
use super::notice::Notice;
use super::table::{Spacing, write_table};
use super::vice::{TurnReport, turn_report};
use super::words::{hang_words, short};
use super::{ReportError, csv};
use crate::calibrate::{EntryView, ObservationView, Oddity, Predicted, Reading, Slip};
use crate::jar_log::{Entry, Line, PartTest, Test};
use crate::physics::statics::Rides;
use crate::quantity::shown::{DEPTH, MASS, SIZE, Scale, TEMPERATURE};
use crate::report::sheet::Sheet;
use crate::spread::turn_of_rest;
use serde::Serialize;
use std::io::Write;

/// One entry of a jar log.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct EntryReport {
    /// Its place in the log, from 1.
    pub number: usize,
    /// Day.
    pub date: Option<String>,
    /// What was tested, in words.
    pub test: String,
    /// Conditions, in words; empty for loose parts.
    pub conditions: String,
    /// What was read.
    pub readings: Vec<ReadingReport>,
}

/// One reading with its prediction.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ReadingReport {
    /// hang, drop, mass or floats.
    pub what: &'static str,
    /// Unit of the figures: deg, s, mg; empty for floats.
    pub unit: &'static str,
    /// What was seen.
    pub seen: ValueReport,
    /// Standard error of the reading, in the unit.
    pub error: Option<Figure>,
    /// What is predicted.
    pub predicted: ValueReport,
    /// Predicted less seen, in the unit (angles: the shorter way round).
    pub off: Figure,
}

/// A value that was seen or predicted.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
#[serde(untagged)]
pub enum ValueReport {
    /// A hang with the side of the point.
    Turn(TurnReport),
    /// A hang whose side was not seen.
    Angle {
        /// Degrees.
        angle_deg: Figure,
    },
    /// A time or a mass, in the unit of the reading.
    Number(Figure),
    /// Whether it floats.
    Floats(bool),
}

impl ValueReport {
    fn words(&self, unit: &str) -> String {
        match self {
            Self::Turn(turn) => format!("{}, {}", hang_words(turn.angle_deg.0), turn.rides),
            Self::Angle { angle_deg } => hang_words(angle_deg.0),
            Self::Number(Figure(value)) if *value >= NEVER_S && unit == "s" => "never".to_owned(),
            Self::Number(Figure(value)) => number(*value, unit, decimals(unit)),
            Self::Floats(true) => "floats".to_owned(),
            Self::Floats(false) => "sinks".to_owned(),
        }
    }
}

/// A drop that takes as long as this never ends.
const NEVER_S: f64 = 600.0;

/// A figure that comes in `unit`, in the unit that is shown.
pub(crate) fn number(value: f64, unit: &str, decimals: usize) -> String {
    Scale::of_unit(unit)
        .map_or_else(|| format!("{} {unit}", short(value, decimals)), |scale| scale.text(value, decimals))
}

/// Decimals of a reading.
pub(crate) fn decimals(unit: &str) -> usize {
    if unit == "s" { 2 } else { 1 }
}

/// How far something is off in `unit`, in the unit that is shown.
pub(crate) fn signed(value: f64, unit: &str) -> String {
    match unit {
        "deg" => format!("{value:+.1}°"),
        "" => String::new(),
        unit => {
            let (value, unit, decimals) = difference(value, unit, decimals(unit));
            format!("{value:+.decimals$} {unit}")
        }
    }
}

/// A difference of figures that come in `unit`, in the unit that is shown, with its decimals.
pub(crate) fn difference(value: f64, unit: &str, decimals: usize) -> (f64, &str, usize) {
    match Scale::of_unit(unit) {
        Some(scale) => (scale.difference(value), scale.unit(), scale.decimals(decimals)),
        None => (value, unit, decimals),
    }
}

/// Puts entries into figures. What only says that a fly sinks, as it must where a hang was seen, is left out while it
/// is predicted so.
#[must_use]
pub fn entry_reports(entries: &[Entry], views: &[EntryView]) -> Vec<EntryReport> {
    entries.iter().zip(views).map(|(entry, view)| entry_report(entry, view)).collect()
}

fn entry_report(entry: &Entry, view: &EntryView) -> EntryReport {
    EntryReport {
        number: entry.number,
        date: entry.date.map(|d| d.to_string()),
        test: test_words(&entry.test),
        conditions: condition_words(&entry.test),
        readings: view.readings.iter().filter(|r| shown(r, &entry.test)).map(reading_report).collect(),
    }
}

/// Whether a reading is worth a line.
#[must_use]
pub fn shown(reading: &ObservationView, test: &Test) -> bool {
    let said = matches!(test, Test::Fly(test) if test.floats.is_some());
    !matches!(reading.observation.reading, Reading::Floats(_)) || said || reading.miss != 0.0
}

/// What was tested, in words.
#[must_use]
pub fn test_words(test: &Test) -> String {
    match test {
        Test::Fly(test) => {
            let fly = test.fly.as_ref().map_or_else(String::new, |name| format!(", fly {name}"));
            let air = if test.conditions.water.is_air() { ", in air" } else { "" };
            let foam = test.foam.map_or_else(String::new, |l| format!(", {} of foam", SIZE.text(l.mm(), 3)));
            format!("{}{fly}, {}{foam}{air}", test.recipe_name, test.stage.word())
        }
        Test::Part(PartTest { kind, id, count, length, cut, .. }) => {
            let pieces = if *count == 1 { String::new() } else { format!("{count} x ") };
            let cut = if *kind == crate::part::Kind::Foam { format!(" {cut}") } else { String::new() };
            let length = length.map_or_else(String::new, |l| format!(", {}", SIZE.text(l.mm(), 3)));
            format!("{pieces}{kind} {id}{cut}{length}")
        }
    }
}

/// What is odd about an entry, as a warning.
#[must_use]
pub fn oddity_notice(odd: &Oddity, entries: &[Entry]) -> Notice {
    let number = entries[odd.entry].number;
    let (code, text) = match odd.slip {
        Slip::Future(date) => ("odd-day", format!("{date} has not come yet")),
        Slip::LongAgo(date) => ("odd-day", format!("{date} is long gone")),
        Slip::Turned { seen, predicted } => {
            let side = if seen > 0.0 { "head down" } else { "tail down" };
            let [seen, predicted, turned] = [seen, predicted, -seen].map(|a| format!("{:+.0}", a.to_degrees()));
            let text = format!(
                "seen {seen} deg, predicted {predicted}: did you mean {side}? If so, write `hang: {turned} deg` there"
            );
            ("sign", text)
        }
        Slip::Mass { seen, predicted } => {
            let [seen, predicted] = [seen, predicted].map(|m| MASS.text(m * 1e6, 1));
            ("odd-mass", format!("{seen} on the scale, and the parts make {predicted}: a slip of the point?"))
        }
        Slip::Time { seen, predicted } => {
            let [seen, predicted] = [seen, predicted].map(|t| short(t, 2));
            ("odd-time", format!("{seen} s, and {predicted} s are predicted: is that the distance?"))
        }
        Slip::Repeats(of) => {
            let of = entries[of].number;
            (
                "repeated",
                format!("says the same as #{of} and counts once; give another `date` or `fly` if it is another fly"),
            )
        }
    };
    Notice::new(code, format!("entry #{number}: {text}"))
}

fn condition_words(test: &Test) -> String {
    let Test::Fly(test) = test else { return String::new() };
    let c = &test.conditions;
    let knot = if matches!(c.knot, crate::physics::statics::Knot::Loop) { "loop" } else { "snug" };
    if c.water.is_air() {
        return format!("air, dry, {knot}");
    }
    let salt = if c.water.salinity_g_kg > 0.0 { format!(", {} g/kg", c.water.salinity_g_kg) } else { String::new() };
    {
        let (depth, water) = (DEPTH.stated(c.depth, 2), TEMPERATURE.stated(c.water.temperature_c, 1));
        format!("{depth}, {water}{salt}, {}, {knot}", c.state.word())
    }
}

/// The word for a reading, its unit, and the factor from SI.
pub(super) fn kind_of(reading: &Reading) -> (&'static str, &'static str, f64) {
    match reading {
        Reading::Hang { .. } => ("hang", "deg", 1f64.to_degrees()),
        Reading::Drop(drop) if drop.line == Line::Tight => ("drop, tight", "s", 1.0),
        Reading::Drop(_) => ("drop, slack", "s", 1.0),
        Reading::Mass(_) => ("mass", "mg", 1e6),
        Reading::Floats(_) => ("floats", "", 1.0),
    }
}

/// Puts a reading into figures.
#[must_use]
pub fn reading_report(view: &ObservationView) -> ReadingReport {
    let observation = &view.observation;
    let (what, unit, factor) = kind_of(&observation.reading);
    let seen = match observation.reading {
        Reading::Hang { angle, rides: Some(side) } => ValueReport::Turn(turn_report(angle, side)),
        Reading::Hang { angle, rides: None } => ValueReport::Angle { angle_deg: Figure(angle.to_degrees()) },
        Reading::Drop(drop) => ValueReport::Number(Figure(drop.time.value)),
        Reading::Mass(mass) => ValueReport::Number(Figure(mass * factor)),
        Reading::Floats(floats) => ValueReport::Floats(floats),
    };
    let error = match observation.reading {
        Reading::Drop(drop) => Some(Figure(drop.time.error)),
        Reading::Floats(_) => None,
        _ => Some(Figure(observation.error * factor)),
    };
    ReadingReport { what, unit, seen, error, predicted: value_report(&view.predicted), off: off(view) }
}

/// A predicted value in figures.
#[must_use]
pub fn value_report(predicted: &Predicted) -> ValueReport {
    match predicted {
        Predicted::Hang(rest) => ValueReport::Turn(turn_report(turn_of_rest(rest, Rides::PointUp), Rides::PointUp)),
        Predicted::Weight(weight) => ValueReport::Floats(*weight <= 0.0),
        Predicted::Time(time) => ValueReport::Number(Figure(*time)),
        Predicted::Mass(mass) => ValueReport::Number(Figure(mass * 1e6)),
    }
}

/// Predicted less seen in the unit of the reading; for floats 0 where it is right, 1 where it is wrong.
fn off(view: &ObservationView) -> Figure {
    Figure(match (view.observation.reading, view.predicted) {
        (Reading::Hang { .. }, _) => view.miss.to_degrees(),
        (Reading::Drop(drop), Predicted::Time(time)) => time - drop.time.value,
        (Reading::Mass(_), _) => view.miss * 1e6,
        _ => f64::from(u8::from(view.miss != 0.0)),
    })
}

fn off_words(reading: &ReadingReport) -> String {
    match reading.unit {
        "" if reading.off.0 == 0.0 => String::new(),
        "" => "wrong".to_owned(),
        unit => signed(reading.off.0, unit),
    }
}

/// Fewest characters across for the day of an entry.
const WITH_DAY: u16 = 80;

/// Writes entries, one reading a line.
///
/// # Errors
/// The stream refuses.
pub fn entries_table(out: &mut Sheet, entries: &[EntryReport]) -> Result<(), ReportError> {
    let wide = out.paper.columns >= WITH_DAY;
    let rows = entries.iter().flat_map(|entry| {
        entry.readings.iter().enumerate().map(move |(i, r)| {
            let error = match r.error {
                Some(Figure(error)) if r.unit == "deg" => format!(" +-{}°", short(error, 1)),
                Some(Figure(error)) => {
                    let (error, _, decimals) = difference(error, r.unit, 2);
                    format!(" +-{}", short(error, decimals))
                }
                None => String::new(),
            };
            let once = |text: String| if i == 0 { text } else { String::new() };
            let at = if entry.conditions.is_empty() { String::new() } else { format!("\n{}", entry.conditions) };
            let mut cells = vec![once(entry.number.to_string())];
            cells.extend(wide.then(|| once(entry.date.clone().unwrap_or_default())));
            cells.extend([
                once(format!("{}{at}", entry.test)),
                r.what.to_owned(),
                format!("{}{error}", r.seen.words(r.unit)),
                r.predicted.words(r.unit),
                off_words(r),
            ]);
            cells
        })
    });
    let heads = ["#", "day", "test", "reading", "seen", "predicted", "off"];
    let heads: Vec<&str> = heads.into_iter().filter(|head| wide || *head != "day").collect();
    write_table(out, &heads, heads.len() - 1, Spacing::Close, rows)
}

const ENTRY_HEADS: [&str; 11] = [
    "number",
    "date",
    "test",
    "conditions",
    "reading",
    "unit",
    "seen",
    "seen_rides",
    "predicted",
    "predicted_rides",
    "off",
];

/// Writes entries as CSV, one reading a line.
///
/// # Errors
/// The stream refuses.
pub fn entries_csv(out: &mut dyn Write, entries: &[EntryReport]) -> Result<(), ReportError> {
    let rows = entries.iter().flat_map(|entry| {
        entry.readings.iter().map(move |r| {
            let (seen, seen_rides) = plain(&r.seen);
            let (predicted, predicted_rides) = plain(&r.predicted);
            vec![
                entry.number.to_string(),
                entry.date.clone().unwrap_or_default(),
                entry.test.clone(),
                entry.conditions.clone(),
                r.what.to_owned(),
                r.unit.to_owned(),
                seen,
                seen_rides,
                predicted,
                predicted_rides,
                r.off.rounded().to_string(),
            ]
        })
    });
    csv::lines(out, &ENTRY_HEADS, rows)
}

fn plain(value: &ValueReport) -> (String, String) {
    match value {
        ValueReport::Turn(turn) => (turn.angle_deg.rounded().to_string(), turn.rides.to_owned()),
        ValueReport::Angle { angle_deg } => (angle_deg.rounded().to_string(), String::new()),
        ValueReport::Number(number) => (number.rounded().to_string(), String::new()),
        ValueReport::Floats(floats) => (if *floats { "yes" } else { "no" }.to_owned(), String::new()),
    }
}
