//! Limits as people write them: a value, a range, at least, at most.

use super::unit::WORDS;
use super::{Quantity, QuantityError, parse, text_form};
use std::fmt;
use std::str::FromStr;

/// A limit on a quantity; its ends belong to it.
///
/// ```
/// use counterpoise::quantity::{Interval, Speed};
/// let wanted: Interval<Speed> = "6..10 in/s".parse()?;
/// assert!(wanted.contains(Speed::from_in_s(10.0)));
/// assert!(!wanted.contains(Speed::from_m_s(0.3)));
/// assert_eq!("<=0.3 m/s".parse(), Ok(Interval::AtMost(Speed::from_m_s(0.3))));
/// # Ok::<(), counterpoise::quantity::QuantityError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Interval<T> {
    /// "0.2 m/s": one value; how close is close enough is for the caller to say (see [`Interval::widened`]).
    Exactly(T),
    /// "0.15..0.25 m/s", "6 to 10 in/s": the unit of the last number serves both.
    Between {
        /// The smaller end.
        low: T,
        /// The larger end.
        high: T,
    },
    /// ">=0.2 m/s" or "0.2 m/s..".
    AtLeast(T),
    /// "<=0.3 m/s" or "..0.3 m/s".
    AtMost(T),
}

impl<T: Quantity> Interval<T> {
    /// The lower end, if there is one.
    pub fn low(&self) -> Option<T> {
        match *self {
            Self::Exactly(value) | Self::AtLeast(value) => Some(value),
            Self::Between { low, .. } => Some(low),
            Self::AtMost(_) => None,
        }
    }

    /// The upper end, if there is one.
    pub fn high(&self) -> Option<T> {
        match *self {
            Self::Exactly(value) | Self::AtMost(value) => Some(value),
            Self::Between { high, .. } => Some(high),
            Self::AtLeast(_) => None,
        }
    }

    /// Whether `value` is within, ends included.
    pub fn contains(&self, value: T) -> bool {
        self.low().is_none_or(|low| low <= value) && self.high().is_none_or(|high| value <= high)
    }

    /// The same limit, with a single value opened by `tolerance` (in the base unit) to each side.
    pub fn widened(self, tolerance: f64) -> Self {
        match self {
            Self::Exactly(value) => Self::Between {
                low: T::from_base(value.base() - tolerance),
                high: T::from_base(value.base() + tolerance),
            },
            other => other,
        }
    }
}

impl<T: Quantity> FromStr for Interval<T> {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let text = text.trim();
        for (mark, limit) in
            [(">=", Self::AtLeast as fn(T) -> Self), ("≥", Self::AtLeast), ("<=", Self::AtMost), ("≤", Self::AtMost)]
        {
            if let Some(rest) = text.strip_prefix(mark) {
                return rest.parse().map(limit);
            }
        }
        if text.starts_with(['<', '>']) {
            return Err(QuantityError::StrictLimit { text: text.to_owned() });
        }
        match text.split_once("..").or_else(|| text.split_once(" to ")) {
            Some((low, high)) if high.trim().is_empty() => low.parse().map(Self::AtLeast),
            Some((low, high)) if low.trim().is_empty() => high.parse().map(Self::AtMost),
            Some((low, high)) => between(text, low.trim(), high.trim()),
            None => text.parse().map(Self::Exactly),
        }
    }
}

fn between<T: Quantity>(text: &str, low: &str, high: &str) -> Result<Interval<T>, QuantityError> {
    let upper: T = high.parse()?;
    let word = |end: &str| WORDS.iter().any(|(word, ..)| end.eq_ignore_ascii_case(word));
    let lower = if word(low) {
        low.parse()?
    } else {
        let scanned = parse::scan(low, T::KIND)?;
        let unit = match (scanned.unit, word(high)) {
            ("", false) => parse::scan(high, T::KIND)?.unit,
            _ => scanned.unit,
        };
        if unit.is_empty() {
            return Err(QuantityError::MissingUnit { number: low.to_owned(), kind: T::KIND });
        }
        format!("{} {unit}", scanned.number).parse()?
    };
    if lower > upper {
        return Err(QuantityError::Backwards { text: text.to_owned() });
    }
    Ok(Interval::Between { low: lower, high: upper })
}

impl<T: Quantity> Interval<T> {
    fn written(&self, end: impl Fn(T) -> String) -> String {
        match *self {
            Self::Exactly(value) => end(value),
            Self::Between { low, high } => format!("{}..{}", end(low), end(high)),
            Self::AtLeast(value) => format!(">={}", end(value)),
            Self::AtMost(value) => format!("<={}", end(value)),
        }
    }
}

impl<T: Quantity> fmt::Display for Interval<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.written(|end| end.to_string()))
    }
}

impl<T: Quantity> serde::Serialize for Interval<T> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.written(T::exact_text))
    }
}

impl<'de, T: Quantity> serde::Deserialize<'de> for Interval<T> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        text_form::deserialize(deserializer, T::KIND, "or a range with a unit, like")
    }
}

impl<T: Quantity> schemars::JsonSchema for Interval<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("{}Range", T::KIND.name()).into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        text_form::schema(T::KIND, "or a range of them, with its unit, like 1..2, >=1, <=2")
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Angle, Length, Speed};
    use super::*;

    fn speed(text: &str) -> Interval<Speed> {
        text.parse().unwrap_or_else(|e| panic!("{text}: {e}"))
    }

    #[test]
    fn forms() {
        let low = Speed::from_m_s(0.15);
        let high = Speed::from_m_s(0.25);
        for text in ["0.15..0.25m/s", "0.15 .. 0.25 m/s", "0.15 m/s..0.25 m/s", "15 cm/s..0.25 m/s", "0.15 to 0.25 m/s"]
        {
            assert_eq!(speed(text), Interval::Between { low, high }, "{text}");
        }
        assert_eq!(speed(">=0.15 m/s"), Interval::AtLeast(low));
        assert_eq!(speed("0.15 m/s.."), Interval::AtLeast(low));
        assert_eq!(speed("≤ 0.25 m/s"), Interval::AtMost(high));
        assert_eq!(speed("..0.25 m/s"), Interval::AtMost(high));
        assert_eq!(speed("0.25 m/s"), Interval::Exactly(high));
        assert_eq!(speed("-.5...5 m/s").low(), Some(Speed::from_m_s(-0.5)));
        let tilt: Interval<Angle> = "-5 deg..level".parse().unwrap();
        assert!("-5..level".parse::<Interval<Angle>>().is_err());
        assert_eq!(tilt.high(), Some(Angle::from_deg(0.0)));
        assert_eq!(
            "level..5deg".parse(),
            Ok(Interval::Between { low: Angle::from_deg(0.0), high: Angle::from_deg(5.0) })
        );
        let size: Interval<Length> = "1/8..5/32 in".parse().unwrap();
        assert!(size.contains(Length::from_mm(3.5)) && !size.contains(Length::from_mm(4.0)));
    }

    #[test]
    fn refusals() {
        let refusal = |text: &str| text.parse::<Interval<Speed>>().unwrap_err().to_string();
        assert_eq!(refusal("0.3..0.2 m/s"), "`0.3..0.2 m/s` runs backwards: write the smaller end first");
        assert_eq!(refusal("0.2..0.3"), "a speed needs a unit: did you mean `0.3 m/s` or `0.3 in/s`?");
        assert_eq!(refusal("0.2 m/s..0.3"), "a speed needs a unit: did you mean `0.3 m/s` or `0.3 in/s`?");
        assert_eq!(refusal("0.2 g..0.3 m/s"), "`0.2 g` is a mass, a speed was expected");
        assert_eq!(refusal(">0.2 m/s"), "`>0.2 m/s`: write `>=` or `<=`, the limit itself is allowed");
        assert_eq!(refusal(".."), "a speed is missing: write it like `0.2 m/s`");
        assert_eq!(
            refusal("-5 level"),
            "`level` in `-5 level` is not a unit of speed: use m/s, cm/s, mm/s, in/s, ft/s"
        );
        let number = crate::yaml::from_str::<Interval<Speed>>("0.2").unwrap_err().to_string();
        assert_eq!(number, "a speed needs a unit: did you mean `0.2 m/s` or `0.2 in/s`?");
    }

    #[test]
    fn one_value_is_opened_by_the_tolerance_only_when_exact() {
        let opened = speed("0.2 m/s").widened(0.01);
        assert!(opened.contains(Speed::from_m_s(0.2099)) && !opened.contains(Speed::from_m_s(0.2101)));
        assert_eq!(speed(">=0.2 m/s").widened(0.01), speed(">=0.2 m/s"));
    }

    #[test]
    fn reads_back_from_yaml() {
        for text in ["6..10 in/s", ">=8 in/s", "<=0.3 m/s", "0.1234567 m/s"] {
            let yaml = crate::yaml::to_string(&speed(text)).unwrap();
            assert_eq!(crate::yaml::from_str::<Interval<Speed>>(&yaml).unwrap(), speed(text));
        }
        assert_eq!(speed("0.15..0.25m/s").to_string(), "0.15 m/s..0.25 m/s");
    }
}
