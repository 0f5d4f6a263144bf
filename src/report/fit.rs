//! What was learned from a jar log, in figures.

use super::calibration::{ValueReport, kind_of, test_words, value_report};
use super::figure::Figure;
use crate::calibrate::{
    Class, Correction, Figure as What, Fit, Help, Learned, LearnedHabit, NextTest, Outcome, Outlook, Reading,
    Separates, Split, Summary, Unknown,
};
use crate::catalog::Catalog;
use crate::jar_log::{Entry, JarLog, Line, Test};
use crate::part::Kind;
use crate::quantity::shown::DEPTH;
use crate::vice::Stage;
use serde::Serialize;

/// Correlation from which two corrections are called hard to tell apart. Priors hold even a pair that only tells its sum
/// somewhat below 1.
const TIED: f64 = 0.8;
/// Tests proposed, and how many of one sort (hang, drop, weigh).
const PROPOSED: usize = 5;
const OF_ONE_SORT: usize = 2;

/// Everything that a fit says.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct FitReport {
    /// Name of the log.
    pub log: String,
    /// Entries in it.
    pub entries: usize,
    /// First day given.
    pub first_day: Option<String>,
    /// Last day given.
    pub last_day: Option<String>,
    /// Corrections, those that were told most first.
    pub corrections: Vec<LearnedReport>,
    /// What the log says next to nothing about.
    pub untold: Vec<String>,
    /// Pairs that are hard to tell apart.
    pub correlated: Vec<PairReport>,
    /// Habits of hand and eye that the log tells of.
    pub habits: Vec<HabitReport>,
    /// What the calibration is expected to do; `None` for a log without flies.
    pub help: Option<HelpReport>,
    /// Whether the log bears a calibration out.
    pub sound: bool,
    /// Chance that every sign in the log was turned.
    pub mirrored_chance: Figure,
    /// Two groups of entries that contradict each other.
    pub split: Option<SplitReport>,
    /// Readings that look misread, of how many that count.
    pub misread: [usize; 2],
    /// Every reading.
    pub readings: Vec<OutcomeReport>,
    /// How far off each kind of reading is.
    pub summary: Vec<SummaryReport>,
    /// What is unknown of the log's recipes at 1 m, by the catalog alone; `None` for a log without flies.
    pub unknown_before: Option<UnknownReport>,
    /// With this log.
    pub unknown_now: Option<UnknownReport>,
    /// Which test would teach most next, best first.
    pub next: Vec<NextReport>,
    /// What one more hang in each medium would tell.
    pub separates: Vec<SeparatesReport>,
}

/// What the corrections leave unknown: standard deviations, root mean square over the recipes.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct UnknownReport {
    /// Of hangs, degrees.
    pub hang_deg: Figure,
    /// Of sink times, %.
    pub time_percent: Figure,
}

impl From<&Unknown> for UnknownReport {
    fn from(unknown: &Unknown) -> Self {
        Self { hang_deg: Figure(unknown.hang.to_degrees()), time_percent: Figure(unknown.time * 100.0) }
    }
}

/// What a calibration is expected to do for the hangs of the log's recipes, by what the log says.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct HelpReport {
    /// How far off the catalog is, degrees, root mean square.
    pub off_without_deg: Figure,
    /// The same with the calibration.
    pub off_with_deg: Figure,
    /// Chance that a hang is nearer the truth with it.
    pub nearer: Figure,
}

impl From<&Help> for HelpReport {
    fn from(help: &Help) -> Self {
        Self {
            off_without_deg: Figure(help.without.to_degrees()),
            off_with_deg: Figure(help.with.to_degrees()),
            nearer: Figure(help.nearer),
        }
    }
}

/// What one more hang would tell of a correction: the share of what is left unknown of it (variance).
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SeparatesReport {
    /// Of what.
    pub what: String,
    /// In air, in the hand with the metal on: masses and their places alone tell there.
    pub air: Figure,
    /// In water, in the jar: masses and volumes.
    pub water: Figure,
}

impl From<&Separates> for SeparatesReport {
    fn from(s: &Separates) -> Self {
        Self { what: s.correction.words(), air: Figure(s.air), water: Figure(s.water) }
    }
}

/// One habit.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct HabitReport {
    /// What.
    pub what: &'static str,
    /// How much.
    pub amount: Figure,
    /// Its standard error.
    pub standard_error: Figure,
    /// Before the tests.
    pub spread_before: Figure,
    /// Unit of these.
    pub unit: &'static str,
    /// Whether the next fly has it, too; if not it is left behind with the readings.
    pub goes_with_flies: bool,
}

/// Entries that contradict each other as two groups.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SplitReport {
    /// Entry numbers of the first group.
    pub first: Vec<usize>,
    /// Of the second.
    pub second: Vec<usize>,
    /// Whether the second is all that comes after the first.
    pub in_order: bool,
    /// Natural logarithm of the odds of two groups against one.
    pub log_odds: Figure,
}

/// One correction.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct LearnedReport {
    /// Kind of part; `None`: all foam.
    pub kind: Option<&'static str>,
    /// Part id.
    pub id: Option<String>,
    /// Figure that is corrected.
    pub figure: &'static str,
    /// All of that in words.
    pub what: String,
    /// Unit of `catalog` and `fitted`.
    pub unit: Option<&'static str>,
    /// As the catalog has it.
    pub catalog: Option<Figure>,
    /// As fitted.
    pub fitted: Option<Figure>,
    /// Change, % (wall pressure: kPa).
    pub change: Figure,
    /// Its standard error.
    pub standard_error: Figure,
    /// The spread before the tests.
    pub spread_before: Figure,
    /// `%` or `kPa`.
    pub change_unit: &'static str,
    /// Share of the variance that the log took away.
    pub told: Figure,
}

/// Two corrections that go together.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct PairReport {
    /// One.
    pub one: String,
    /// The other.
    pub other: String,
    /// Correlation of their errors.
    pub correlation: Figure,
}

/// One reading before and after.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct OutcomeReport {
    /// Place of its entry in the log.
    pub number: usize,
    /// What was tested.
    pub test: String,
    /// hang, drop, mass, floats.
    pub what: &'static str,
    /// Unit of the figures.
    pub unit: &'static str,
    /// Seen; angles positive tail down. `None` for floats.
    pub seen: Option<Figure>,
    /// Whether it was seen to float.
    pub seen_floats: Option<bool>,
    /// By the catalog.
    pub before: ValueReport,
    /// By the fit.
    pub after: ValueReport,
    /// Predicted less seen, by the catalog.
    pub off_before: Figure,
    /// By the fit.
    pub off_after: Figure,
    /// By a fit without this fly.
    pub off_left_out: Figure,
    /// How far off a prediction may be expected to be, one standard deviation.
    pub expected: Figure,
    /// Weight in the fit.
    pub weight: Figure,
    /// Whether it looks misread.
    pub looks_misread: bool,
}

/// Root mean square of one kind of reading; those that look misread are not counted.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct SummaryReport {
    /// hang, drop or mass.
    pub what: &'static str,
    /// deg, or % of what was seen.
    pub unit: &'static str,
    /// Readings.
    pub count: usize,
    /// By the catalog.
    pub rms_before: Figure,
    /// By the fit.
    pub rms_after: Figure,
    /// By fits without the fly in question.
    pub rms_left_out: Figure,
}

/// A test to make next.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct NextReport {
    /// What to do.
    pub test: String,
    /// How: weigh, in the hand, in the jar, drop.
    pub way: &'static str,
    /// Minutes that it takes, by common practice.
    pub minutes: Figure,
    /// What would be unknown after it.
    pub then: UnknownReport,
    /// Chance, before it is made, that a calibration after it brings a hang nearer the truth.
    pub nearer: Figure,
}

/// Puts a fit into figures.
#[must_use]
pub fn fit_report(
    fit: &Fit,
    log: &JarLog,
    catalog: &Catalog,
    outcomes: &[Outcome],
    summary: &[Summary],
    outlook: &Outlook,
) -> FitReport {
    let mut corrections: Vec<LearnedReport> = fit.learned().iter().map(|l| learned_report(l, catalog)).collect();
    corrections.sort_by(|a, b| b.told.0.total_cmp(&a.told.0));
    let shown = |o: &&Outcome| !matches!(o.observation.reading, Reading::Floats(_)) || o.misses() != [0.0; 3];
    let useful = varied(&outlook.tests);
    FitReport {
        log: log.name().to_owned(),
        entries: log.entries().len(),
        first_day: log.days().map(|d| d.0.to_string()),
        last_day: log.days().map(|d| d.1.to_string()),
        corrections,
        untold: fit.untold().iter().map(Correction::words).collect(),
        correlated: pairs(fit),
        habits: habits(fit),
        help: outlook.help.as_ref().map(Into::into),
        sound: fit.sound(),
        mirrored_chance: Figure(fit.mirrored()),
        split: fit.split().map(|split| split_report(split, log.entries())),
        misread: fit.misread().into(),
        readings: outcomes.iter().filter(shown).map(|o| outcome_report(o, log.entries())).collect(),
        summary: summary.iter().map(summary_report).collect(),
        unknown_before: outlook.unknown.map(|u| (&u[0]).into()),
        unknown_now: outlook.unknown.map(|u| (&u[1]).into()),
        next: useful.into_iter().map(next_report).collect(),
        separates: outlook.separates.iter().map(Into::into).collect(),
    }
}

/// Share of the prior variance that a log must take away from a habit for it to be shown.
const HABIT_TOLD: f64 = 0.1;

fn habits(fit: &Fit) -> Vec<HabitReport> {
    let of = |learned: &LearnedHabit| {
        let (unit, factor) = learned.habit.unit();
        HabitReport {
            what: learned.habit.words(),
            amount: Figure(learned.amount * factor),
            standard_error: Figure(learned.standard_error * factor),
            spread_before: Figure(learned.habit.spread() * factor),
            unit,
            goes_with_flies: learned.habit.goes_with_flies(),
        }
    };
    let told = |l: &&LearnedHabit| 1.0 - (l.standard_error / l.habit.spread()).powi(2) >= HABIT_TOLD;
    fit.habits().iter().filter(told).map(of).collect()
}

fn split_report(split: &Split, entries: &[Entry]) -> SplitReport {
    let numbers = |list: &[usize]| list.iter().map(|i| entries[*i].number).collect();
    let [first, second] = &split.entries;
    SplitReport {
        first: numbers(first),
        second: numbers(second),
        in_order: split.in_order,
        log_odds: Figure(split.log_odds),
    }
}

/// The tests that teach most, not all of one sort.
fn varied(next: &[NextTest]) -> Vec<&NextTest> {
    let mut kept: Vec<&NextTest> = Vec::new();
    for test in next {
        if kept.len() < PROPOSED && kept.iter().filter(|k| k.way() == test.way()).count() < OF_ONE_SORT {
            kept.push(test);
        }
    }
    kept
}

fn learned_report(learned: &Learned, catalog: &Catalog) -> LearnedReport {
    let Correction { part, figure } = &learned.correction;
    let wall = *figure == What::WallPressure;
    let (change, scale, change_unit) =
        if wall { (learned.shift() * 1e-3, 1e-3, "kPa") } else { ((learned.factor() - 1.0) * 100.0, 100.0, "%") };
    let value = learned.correction.catalog_figure(catalog);
    LearnedReport {
        kind: part.as_ref().map(|(kind, _)| kind.word()),
        id: part.as_ref().map(|(_, id)| id.clone()),
        figure: figure.word(),
        what: learned.correction.words(),
        unit: value.map(|_| unit_of(&learned.correction)),
        catalog: value.map(Figure),
        fitted: value.map(|v| Figure(v * learned.factor())),
        change: Figure(change),
        standard_error: Figure(learned.standard_error() * scale),
        spread_before: Figure(learned.spread * scale),
        change_unit,
        told: Figure(learned.told()),
    }
}

fn unit_of(correction: &Correction) -> &'static str {
    match (correction.figure, correction.part.as_ref().map(|(kind, _)| *kind)) {
        (What::Mass, Some(Kind::Wire)) => "mg/m",
        (What::Mass | What::HeadMass | What::Amount, _) => "mg",
        (What::Density, _) => "kg/m3",
        (What::Section, _) => "mm2",
        (What::WetDiameter, _) => "mm",
        _ => "",
    }
}

fn pairs(fit: &Fit) -> Vec<PairReport> {
    let learned = fit.learned();
    let mut pairs = Vec::new();
    for i in 0..learned.len() {
        for j in 0..i {
            let r = fit.correlation(i, j);
            if r.abs() > TIED {
                let words = |k: usize| learned[k].correction.words();
                pairs.push(PairReport { one: words(j), other: words(i), correlation: Figure(r) });
            }
        }
    }
    pairs
}

fn outcome_report(outcome: &Outcome, entries: &[Entry]) -> OutcomeReport {
    let observation = &outcome.observation;
    let entry = &entries[observation.entry];
    let (what, unit, factor) = kind_of(&observation.reading);
    let [before, after, left_out] = outcome.misses();
    let off = |miss: f64| {
        Figure(match observation.reading {
            Reading::Drop(drop) => drop.time.value * (miss.exp() - 1.0),
            Reading::Floats(_) => f64::from(u8::from(miss != 0.0)),
            _ => miss * factor,
        })
    };
    let seen = match observation.reading {
        Reading::Hang { angle, .. } => Some(Figure(angle.to_degrees())),
        Reading::Drop(drop) => Some(Figure(drop.time.value)),
        Reading::Mass(mass) => Some(Figure(mass * factor)),
        Reading::Floats(_) => None,
    };
    let expected = match observation.reading {
        Reading::Drop(drop) => drop.time.value * outcome.expected,
        Reading::Floats(_) => 0.0,
        _ => outcome.expected * factor,
    };
    OutcomeReport {
        number: entry.number,
        test: test_words(&entry.test),
        what,
        unit,
        seen,
        seen_floats: match observation.reading {
            Reading::Floats(floats) => Some(floats),
            _ => None,
        },
        before: value_report(&outcome.before),
        after: value_report(&outcome.after),
        off_before: off(before),
        off_after: off(after),
        off_left_out: off(left_out),
        expected: Figure(expected),
        weight: Figure(outcome.weight),
        looks_misread: outcome.looks_misread(),
    }
}

fn summary_report(summary: &Summary) -> SummaryReport {
    let (what, unit, factor) = match summary.class {
        Class::Hang => ("hang", "deg", 1f64.to_degrees()),
        Class::Time => ("drop", "%", 100.0),
        Class::Mass => ("mass", "%", 100.0),
    };
    let [before, after, left_out] = summary.rms.map(|v| Figure(v * factor));
    SummaryReport { what, unit, count: summary.count, rms_before: before, rms_after: after, rms_left_out: left_out }
}

fn next_report(next: &NextTest) -> NextReport {
    NextReport {
        test: to_do(&next.test),
        way: next.way().word(),
        minutes: Figure(next.minutes),
        then: (&next.then).into(),
        nearer: Figure(next.helps),
    }
}

fn to_do(test: &Test) -> String {
    match test {
        Test::Part(_) => format!("weigh {}", test_words(test)),
        Test::Fly(fly) => match (fly.drops.first(), fly.stage) {
            (Some(drop), _) => {
                let line = if drop.line == Line::Tight { "lower" } else { "let go of" };
                let distance = DEPTH.stated(drop.distance, 2);
                format!("{line} another {} over {distance} and take the time", fly.recipe_name)
            }
            (None, stage) if fly.conditions.water.is_air() => {
                format!("hang another {} in the hand (air) after {}", fly.recipe_name, stage.word())
            }
            (None, Stage::Finish) => format!("hang another {}, finished", fly.recipe_name),
            (None, stage) => format!("hang another {} after {}", fly.recipe_name, stage.word()),
        },
    }
}
