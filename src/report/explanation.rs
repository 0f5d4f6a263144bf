//! Why nothing meets a target, in words and options that can be typed.

use super::recipe::RecipeReport;
use crate::catalog::Catalog;
use crate::physics::doubt::{BAND, least_force_share};
use crate::quantity::shown::{DEPTH, MASS, RATE, short};
use crate::search::explain::{Demand, Explanation, Relaxation, Relaxed};
use crate::spread::shares;
use crate::wanted::{Line, Target, Window};
use serde::Serialize;

/// Why nothing meets a target.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct ExplanationReport {
    /// Whether any hook was left to tie on.
    pub any_hook: bool,
    /// Requirements that cannot hold together: all are needed for that, unless some question was given up.
    pub conflict: Vec<String>,
    /// Changes of one requirement that help, each as small as it can be unless some question was given up, with the nearest miss of each.
    pub relaxations: Vec<RelaxationReport>,
    /// Why so few flies sink as fast as they must, where the window is narrower than a sink rate is known.
    pub narrow: Option<String>,
    /// Some question was given up: a smaller or cheaper change may exist, or one more.
    pub cut_short: bool,
}

/// A change of one requirement that opens the space.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct RelaxationReport {
    /// The requirement.
    pub requirement: String,
    /// The change, in words.
    pub text: String,
    /// The same as an option of the command.
    pub option: String,
    /// The cheapest recipe that it lets in; its rank is the number of this change.
    pub recipe: RecipeReport,
}

impl ExplanationReport {
    /// The conflict in words.
    #[must_use]
    pub fn reasons(&self) -> Vec<String> {
        if !self.any_hook {
            return vec![
                "the catalog has no hook of this size, style and id (`counterpoise catalog list hook`)".into(),
            ];
        }
        match self.conflict.as_slice() {
            [] => vec!["no parts that are left fit together, whatever they weigh".into()],
            [one] => vec![format!("one requirement alone cannot be met: {one}")],
            several => {
                let together = format!("these cannot be met together: {}", several.join(", "));
                std::iter::once(together).chain(self.narrow.clone()).collect()
            }
        }
    }
}

/// What would help, as the end of a line; nothing where nothing was found.
pub(super) fn would_help(report: &ExplanationReport, changes: &[String]) -> String {
    if changes.is_empty() {
        return String::new();
    }
    let smaller = if report.cut_short { " (smaller changes may do)" } else { "" };
    format!("; would help: {}{smaller}", changes.join("; or "))
}

/// Puts an explanation into words and figures.
#[must_use]
pub fn explanation_report(explanation: &Explanation, target: &Target, catalog: &Catalog) -> ExplanationReport {
    let relaxations = explanation.relaxations.iter().enumerate().map(|(i, relaxation)| {
        let (text, option) = change(relaxation, target, explanation.cut_short);
        // Held against the target as it was asked: what it misses is what has to change.
        let fly = &relaxation.candidate.fly;
        let recipe = RecipeReport::judged(fly, target, &catalog.currency).ranked(i + 1);
        let recipe =
            if target.share.is_some() { recipe.with_shares_asked(&shares(fly, target), target) } else { recipe };
        let recipe = recipe.under_each(fly, target, &catalog.currency, None);
        RelaxationReport { requirement: demand_words(relaxation.demand, target), text, option, recipe }
    });
    // Dressings in the order in which they were named.
    let mut conflict = explanation.conflict.clone();
    conflict.sort_by_key(|demand| if let Demand::Dressing(i) = demand { *i } else { u8::MAX });
    ExplanationReport {
        any_hook: explanation.any_hook,
        conflict: conflict.into_iter().map(|demand| demand_words(demand, target)).collect(),
        relaxations: relaxations.collect(),
        narrow: narrow(explanation, target),
        cut_short: explanation.cut_short,
    }
}

/// Half a window of sink rates, as a share of its middle, within which they are known at best: two standard deviations of the surest
/// drag, which goes with less than the square of the speed.
fn known_at_best() -> f64 {
    0.5 * BAND * least_force_share()
}

/// Few flies sink as they must within a window that is hardly wider than a sink rate is known.
fn narrow(explanation: &Explanation, target: &Target) -> Option<String> {
    /// Most flies of the catalog are known two or three times less well than the best.
    const MOSTLY: f64 = 3.0;
    let (low, high) = target.sink.and_then(|window| window.low.zip(window.high))?;
    let half = (high - low) / (high + low);
    let of_share = [Demand::Share, Demand::FastEnough].iter().all(|demand| explanation.conflict.contains(demand));
    (of_share && target.fall.line == Line::Tight && half < MOSTLY * known_at_best()).then(|| {
        format!(
            "sink rates are known to +-{:.0} % at best, mostly to +-10 to 20 %, and this window is +-{:.0} %: few flies are sure to be \
             within; time your own (`fit`), widen it, or ask for fewer (--min-chance)",
            100.0 * known_at_best(),
            100.0 * half
        )
    })
}

/// A demand by its words; a dressing by its id.
fn demand_words(demand: Demand, target: &Target) -> String {
    match demand {
        Demand::Dressing(i) => match target.choice.dressings().get(usize::from(i)) {
            Some(id) => format!("{} {id}", demand.words()),
            None => demand.words().to_owned(),
        },
        demand => demand.words().to_owned(),
    }
}

/// The same base under all dressings but one.
fn fewer_dressings(demand: Demand, target: &Target) -> (String, String) {
    let Demand::Dressing(i) = demand else { return (String::new(), String::new()) };
    let fewer = target.choice.without_dressing(usize::from(i));
    let kept = fewer.dressings();
    let option = if kept.len() > 1 { "--each-pattern" } else { "--pattern" };
    (format!("without the {}", demand_words(demand, target)), format!("{option} {}", kept.join(",")))
}

/// The change in words, and as an option; figures are rounded to the side that still lets the recipe in.
fn change(relaxation: &Relaxation, target: &Target, cut_short: bool) -> (String, String) {
    match relaxation.to {
        Relaxed::Tolerance(rad) => {
            let deg = up(rad.to_degrees(), 10.0);
            // Nobody fishes a fly for level that hangs on its nose: then it is another hang.
            let words = match deg > ANOTHER_HANG_DEG {
                true if cut_short => "another hang: the nearest that was found lies",
                true => "another hang: the nearest there is lies",
                false => "a hang within",
            };
            let of = if deg > ANOTHER_HANG_DEG { "off" } else { "of" };
            (format!("{words} {deg} degrees {of} what is wanted"), format!("--tolerance {deg}deg"))
        }
        Relaxed::SinkFrom(low) => {
            let low = -up(-low, 1e3) + 0.0;
            let high = target.sink.and_then(|w| w.high);
            (format!("a sink rate from {}", RATE.text(low, 3)), sink_option(Window { low: Some(low), high }))
        }
        Relaxed::SinkTo(high) => {
            let high = up(high, 1e3);
            let low = target.sink.and_then(|w| w.low);
            (format!("a sink rate up to {}", RATE.text(high, 3)), sink_option(Window { low, high: Some(high) }))
        }
        Relaxed::Band(most) => {
            let deg = up(most.to_degrees(), 10.0);
            (format!("a band of friction of {deg}° either way"), format!("--max-friction-band {deg}deg"))
        }
        Relaxed::Mass(kg) => {
            let decimals = MASS.decimals(1);
            let (mass, unit) = (up(MASS.figure(kg * 1e6), 10f64.powi(decimals as i32)), MASS.unit());
            (format!("a mass up to {} {unit}", short(mass, decimals)), format!("--max-mass {mass}{unit}"))
        }
        Relaxed::Cost(cost) => {
            let text = crate::quantity::Money::from_micros(cost.cents() * 10_000).to_string();
            (format!("a cost up to {text}"), format!("--max-cost {text}"))
        }
        Relaxed::Rides(side) => (format!("riding {}", side.word()), format!("--rides {}", side.word())),
        Relaxed::Lead => ("lead allowed".to_owned(), "without --lead-free".to_owned()),
        Relaxed::FewerDressings => fewer_dressings(relaxation.demand, target),
        Relaxed::AnyPart if target.choice.filters.len() > 1 => {
            ("other parts allowed".to_owned(), "without --only and --not, or without some of them".to_owned())
        }
        Relaxed::AnyPart => ("any part allowed".to_owned(), "without --only and --not".to_owned()),
        Relaxed::ClearGap(share) => {
            let share = (-up(-share, 100.0) + 0.0).max(0.0);
            (format!("{:.0} % of the gap clear", share * 100.0), format!("--clear-gap {share}"))
        }
        Relaxed::Within(seconds) => {
            let seconds = up(seconds, 10.0);
            (format!("{seconds} s to the depth to be reached"), format!("--within {seconds}s"))
        }
        Relaxed::DiveFrom(rad) => {
            let deg = -up(-rad.to_degrees(), 10.0) + 0.0;
            (format!("a dive of {deg} degrees"), format!("--dive {deg}deg"))
        }
        Relaxed::OneDepth => {
            let depth = target.conditions.depth;
            (format!("the hang at {} alone", DEPTH.stated(depth, 2)), format!("--depth {depth}m"))
        }
        Relaxed::Share(share) => {
            // Down to a whole point, so that what is said opens the space.
            let percent = (share * 100.0).floor().max(0.0);
            (format!("{percent:.0} % of flies that come out right"), format!("--min-chance {percent:.0}%"))
        }
        Relaxed::TightLine => ("a tight line instead of a slack one".to_owned(), "--line tight".to_owned()),
        Relaxed::VisibleFoam => ("foam longer than the tail that hides it".to_owned(), "--visible-foam".to_owned()),
    }
}

/// So far off, degrees, a hang is no longer the one that was asked for.
const ANOTHER_HANG_DEG: f64 = 30.0;

/// Rounded up to a whole number of `1/parts`.
fn up(value: f64, parts: f64) -> f64 {
    (value * parts - 1e-9).ceil() / parts
}

fn sink_option(window: Window) -> String {
    match (window.low, window.high) {
        (Some(low), Some(high)) => format!("--sink {low}..{high}m/s"),
        (Some(low), None) => format!("--sink {low}m/s.."),
        (None, Some(high)) => format!("--sink ..{high}m/s"),
        (None, None) => String::new(),
    }
}
