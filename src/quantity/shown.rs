//! Figures as a person reads them: the one place that knows in which units.
//!
//! Answers hold figures in documented metric units (`_mm`, `_mg`, `_m_s`); only where a figure becomes text for a person does
//! a [`Scale`] turn it into the units of [`Units::shown`]. Those are set once, on the thread that writes answers, as a
//! locale is; texts made without setting them are metric.

use super::unit::{self, Unit};
use std::cell::Cell;

/// Units that a person reads.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Units {
    /// mm, m, mg, mN, m/s, °C.
    #[default]
    Metric,
    /// Inches, feet, grains, in/s, °F.
    Us,
}

thread_local! {
    static SHOWN: Cell<Units> = const { Cell::new(Units::Metric) };
}

impl Units {
    /// All of them.
    pub const ALL: [Self; 2] = [Self::Metric, Self::Us];

    /// The word for it in options and files.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Metric => "metric",
            Self::Us => "us",
        }
    }

    /// The units in which this thread writes texts for a person.
    #[must_use]
    pub fn shown() -> Self {
        SHOWN.get()
    }

    /// Makes this thread write texts for a person in these units.
    pub fn show(self) {
        SHOWN.set(self);
    }
}

/// One kind of figure: the metric unit in which it comes, and the unit of the trade in which a US reader wants it.
///
/// ```
/// use counterpoise::quantity::{Units, shown};
/// assert_eq!(shown::SIZE.text(16.5, 1), "16.5 mm");
/// Units::Us.show();
/// assert_eq!(shown::SIZE.text(16.5, 1), "0.65 in");
/// assert_eq!(shown::DEPTH.text(1.2192, 2), "4 ft");
/// assert_eq!(shown::RATE.text(0.12, 2), "4.7 in/s");
/// assert_eq!(shown::TEMPERATURE.text(12.0, 1), "53.6 F");
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    metric: &'static str,
    us: &'static str,
    /// US units in one metric unit.
    factor: f64,
    /// US figure of a metric zero.
    zero: f64,
    /// Decimals that a US figure takes beyond those of the metric one.
    more: i32,
}

/// Finest decimals of a US figure: thousandths, as of an inch.
const FINEST: i32 = 3;

/// Newtons that a grain weighs.
const GRAIN_N: f64 = unit::GRAIN.to_base(1.0) * 9.806_65;

const fn scale(metric: &'static Unit, us: &'static Unit, more: i32) -> Scale {
    let zero = us.of_base(metric.to_base(0.0));
    let factor = us.of_base(metric.to_base(1.0)) - zero;
    Scale { metric: metric.symbol, us: us.symbol, factor, zero, more }
}

/// Parts, cuts and places on a hook; comes in mm.
pub const SIZE: Scale = scale(&unit::MILLIMETRE, &unit::INCH, 2);
/// Depths, drops and leaders; comes in m.
pub const DEPTH: Scale = scale(&unit::METRE, &unit::FOOT, -1);
/// Sink rates; comes in m/s.
pub const RATE: Scale = scale(&unit::M_S, &unit::IN_S, -1);
/// Masses of flies and parts; comes in mg.
pub const MASS: Scale = scale(&unit::MILLIGRAM, &unit::GRAIN, 2);
/// Mass of wire; comes in g/m.
pub const MASS_PER_LENGTH: Scale =
    Scale { metric: "g/m", us: "grain/in", factor: 25.4 / 1e6 / unit::GRAIN.to_base(1.0), zero: 0.0, more: 0 };
/// The same of what is fitted; comes in mg/m.
const FITTED_PER_LENGTH: Scale =
    Scale { metric: "mg/m", factor: MASS_PER_LENGTH.factor / 1e3, more: 1, ..MASS_PER_LENGTH };
/// Water; comes in °C.
pub const TEMPERATURE: Scale = scale(&unit::CELSIUS, &unit::FAHRENHEIT, 0);
/// Weight in water; comes in mN.
pub const WEIGHT: Scale = Scale { metric: "mN", us: "grain", factor: 1e-3 / GRAIN_N, zero: 0.0, more: 0 };
/// Moments about the tie point; comes in mN mm.
pub const MOMENT: Scale = Scale { metric: "mN mm", us: "grain in", factor: 1e-3 / GRAIN_N / 25.4, zero: 0.0, more: 1 };
/// Steadiness; comes in mN mm/rad.
pub const STEADINESS: Scale = Scale { metric: "mN mm/rad", us: "grain in/rad", ..MOMENT };

const ALL: [Scale; 10] =
    [SIZE, DEPTH, RATE, MASS, MASS_PER_LENGTH, FITTED_PER_LENGTH, TEMPERATURE, WEIGHT, MOMENT, STEADINESS];

impl Scale {
    /// The scale of figures that come in a metric unit; `None` where everyone reads that unit (degrees, seconds, shares).
    #[must_use]
    pub fn of_unit(metric: &str) -> Option<Self> {
        ALL.into_iter().find(|scale| scale.metric == metric)
    }

    /// The unit, for a head or after several figures.
    #[must_use]
    pub fn unit(self) -> &'static str {
        match Units::shown() {
            Units::Metric => self.metric,
            Units::Us => self.us,
        }
    }

    /// A figure in the unit that is shown.
    #[must_use]
    pub fn figure(self, metric: f64) -> f64 {
        match Units::shown() {
            Units::Metric => metric,
            Units::Us => metric * self.factor + self.zero,
        }
    }

    /// A difference of two figures in the unit that is shown.
    #[must_use]
    pub fn difference(self, metric: f64) -> f64 {
        self.figure(metric) - self.figure(0.0)
    }

    /// The decimals to show where a metric figure would have so many.
    #[must_use]
    pub fn decimals(self, metric: usize) -> usize {
        match Units::shown() {
            Units::Metric => metric,
            Units::Us => (i32::try_from(metric).unwrap_or(FINEST) + self.more).clamp(0, FINEST).unsigned_abs() as usize,
        }
    }

    /// The figure with its decimals, for a column whose head has the unit.
    #[must_use]
    pub fn fixed(self, metric: f64, decimals: usize) -> String {
        fixed(self.figure(metric), self.decimals(decimals))
    }

    /// The figure without spare zeros.
    #[must_use]
    pub fn short(self, metric: f64, decimals: usize) -> String {
        short(self.figure(metric), self.decimals(decimals))
    }

    /// "3.5 mm": the figure without spare zeros, and the unit.
    #[must_use]
    pub fn text(self, metric: f64, decimals: usize) -> String {
        format!("{} {}", self.short(metric, decimals), self.unit())
    }

    /// What a person stated, as it was most likely typed: in the unit that takes the fewest digits, 4 ft and not 1.2192 m.
    #[must_use]
    pub fn stated(self, metric: f64, decimals: usize) -> String {
        self.stated_span([metric, metric], decimals)
    }

    /// "0.5 to 3 m", or one figure where both ends are the same, as [`Self::stated`].
    #[must_use]
    pub fn stated_span(self, ends: [f64; 2], decimals: usize) -> String {
        let us = ends.map(|end| end * self.factor + self.zero);
        let count = |ends: [f64; 2]| ends.map(digits).iter().sum::<usize>();
        let typed = Units::shown() == Units::Metric && count(us) < count(ends);
        let (words, unit) = if typed {
            (us.map(|end| short(end, FINEST.unsigned_abs() as usize)), self.us)
        } else {
            (ends.map(|end| self.short(end, decimals)), self.unit())
        };
        let [from, to] = words;
        if from == to { format!("{to} {unit}") } else { format!("{from} to {to} {unit}") }
    }
}

/// Significant digits that say a number: 1 of 4, 5 of 1.2192.
pub(super) fn digits(value: f64) -> usize {
    // Twelve digits: what arithmetic adds beyond is no part of what was typed.
    let text = format!("{value:.11e}");
    let mantissa = text.split('e').next().unwrap_or_default();
    mantissa.trim_end_matches('0').chars().filter(char::is_ascii_digit).count().max(1)
}

/// A number with so many decimals, and no sign on a zero.
///
/// ```
/// use counterpoise::quantity::shown::fixed;
/// assert_eq!((fixed(-1.25, 2), fixed(-0.004, 2)), ("-1.25".to_owned(), "0.00".to_owned()));
/// ```
#[must_use]
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}

/// A number with so many decimals and no spare zeros: "3.5", "12", "0.38".
///
/// ```
/// use counterpoise::quantity::shown::short;
/// assert_eq!((short(3.5, 2), short(12.0, 2), short(-0.001, 2)), ("3.5".to_owned(), "12".to_owned(), "0".to_owned()));
/// ```
#[must_use]
pub fn short(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_same_figure_in_the_units_of_the_reader() {
        let shown = || {
            [SIZE.text(3.5, 2), DEPTH.text(2.0, 2), RATE.text(0.2, 2), MASS.text(245.0, 0), WEIGHT.text(0.97, 3)]
                .join(", ")
        };
        assert_eq!(shown(), "3.5 mm, 2 m, 0.2 m/s, 245 mg, 0.97 mN");
        Units::Us.show();
        assert_eq!(shown(), "0.138 in, 6.6 ft, 7.9 in/s, 3.78 grain, 1.526 grain");
        assert_eq!(MOMENT.fixed(8.62, 2), "0.534");
        assert!((TEMPERATURE.difference(5.0) - 9.0).abs() < 1e-9);
        Units::Metric.show();
        assert_eq!(Scale::of_unit("mm"), Some(SIZE));
        assert_eq!(Scale::of_unit("deg"), None);
    }

    #[test]
    fn what_was_typed_comes_back() {
        assert_eq!(DEPTH.stated(1.2192, 2), "4 ft");
        assert_eq!(DEPTH.stated(1.2, 2), "1.2 m");
        assert_eq!(DEPTH.stated_span([0.6096, 1.8288], 2), "2 to 6 ft");
        assert_eq!(DEPTH.stated_span([0.5, 3.0], 2), "0.5 to 3 m");
        assert_eq!(TEMPERATURE.stated(110.0 / 9.0, 1), "54 F");
        assert_eq!(TEMPERATURE.stated(12.0, 1), "12 C");
        assert_eq!([digits(4.0), digits(1.2192), digits(0.1 + 0.2), digits(0.0)], [1, 5, 1, 1]);
    }
}
