//! What a target asked of a fly, as it was judged: one entry for each requirement.

use super::figure::Figure;
use super::words::{fixed, short};
use crate::assess::{Check, Requirement, Row};
use crate::physics::statics::Rides;
use crate::quantity::shown::{DEPTH, Scale};
use serde::Serialize;

/// One requirement held against one fly.
#[derive(Debug, Clone, PartialEq, Serialize, schemars::JsonSchema)]
pub struct CheckReport {
    /// What is asked.
    pub requirement: &'static str,
    /// What the fly has. A yes or no is 1 or 0.
    pub value: Figure,
    /// Least value wanted, if there is one.
    pub low: Option<Figure>,
    /// Greatest value wanted, if there is one.
    pub high: Option<Figure>,
    /// Unit of the three; `yes` for a yes or no.
    pub unit: &'static str,
    /// Whether it is met.
    pub met: bool,
    /// The depth that decides, m, where it is not the fishing depth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub depth_m: Option<Figure>,
    /// What is wanted in words, where a figure does not say it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wanted: Option<String>,
    #[serde(skip)]
    decimals: usize,
}

impl CheckReport {
    /// A requirement as it was judged. `side` is the side of the point that is wanted, if one is.
    #[must_use]
    pub fn new(check: &Check, side: Option<Rides>) -> Self {
        let Row { words, unit, scale, decimals, .. } = *check.requirement.row();
        let scaled = |value: f64| Figure(value * scale);
        let mut report = Self {
            requirement: words,
            value: scaled(check.value),
            low: check.window.low.map(scaled),
            high: check.window.high.map(scaled),
            unit,
            met: check.met,
            depth_m: check.depth.map(Figure),
            wanted: None,
            decimals,
        };
        if unit == "yes" {
            // Judged as 0 where it is as wanted and 1 where it is not; written as an answer to the question.
            report.value = Figure(f64::from(u8::from(check.met)));
            report.low = Some(Figure(1.0));
            report.high = Some(Figure(1.0));
        }
        if check.requirement == Requirement::Rides {
            report.wanted = side.map(|side| side.word().to_owned());
        }
        report
    }

    /// That the parts fit each other, or why they do not.
    #[must_use]
    pub fn fit(misfit: Option<&crate::fly::Misfit>) -> Self {
        Self {
            requirement: Requirement::Fit.words(),
            value: Figure(f64::from(u8::from(misfit.is_none()))),
            low: Some(Figure(1.0)),
            high: Some(Figure(1.0)),
            unit: "yes",
            met: misfit.is_none(),
            depth_m: None,
            wanted: None,
            decimals: 0,
        }
    }

    /// That enough flies come out right.
    #[must_use]
    pub fn chance(share: f64, floor: f64) -> Self {
        Self {
            requirement: "chance",
            value: Figure(share),
            low: Some(Figure(floor)),
            high: None,
            unit: "share",
            met: share >= floor,
            depth_m: None,
            wanted: None,
            decimals: 2,
        }
    }

    /// "hang 2.1 deg (-5 to 5)", "rides point-up: no".
    #[must_use]
    pub fn words(&self) -> String {
        let (decimals, name) = (self.decimals, self.requirement);
        if self.unit == "yes" {
            let wanted = self.wanted.as_ref().map_or_else(String::new, |w| format!(" {w}"));
            return format!("{name}{wanted}: {}", if self.met { "yes" } else { "no" });
        }
        let scale = Scale::of_unit(self.unit);
        let edge = |f: &Figure| scale.map_or_else(|| short(f.0, decimals), |scale| scale.short(f.0, decimals));
        let window = match (&self.low, &self.high) {
            (Some(low), Some(high)) => format!(" ({} to {})", edge(low), edge(high)),
            (Some(low), None) => format!(" (from {})", edge(low)),
            (None, Some(high)) => format!(" (up to {})", edge(high)),
            (None, None) => String::new(),
        };
        let unit = match self.unit {
            "money" | "share" => String::new(),
            unit => format!(" {}", scale.map_or(unit, Scale::unit)),
        };
        let depth = self.depth_m.map_or_else(String::new, |d| format!(" at {}", DEPTH.text(d.0, 2)));
        format!(
            "{name} {}{unit}{window}{depth}{}",
            scale.map_or_else(|| fixed(self.value.0, decimals), |scale| scale.fixed(self.value.0, decimals)),
            if self.met { "" } else { ": missed" }
        )
    }
}
